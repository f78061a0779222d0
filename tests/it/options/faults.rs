//! Options that `flow check` finds fault with.

use casepan::flow::{EMBEDDED, Flow, load};
use casepan::options::faults;
use casepan::ronfile::Source;

/// The shipped flow with these options in place of its own.
#[track_caller]
fn with(options: &str) -> Flow {
    let sources = EMBEDDED
        .iter()
        .map(|(name, text)| match *name {
            "options.ron" => Source::new(*name, format!("Options([\n{options}\n])")),
            _ => Source::new(*name, *text),
        })
        .collect();
    let loaded = load(sources);
    assert_eq!(loaded.problems, Vec::new());
    loaded.flow.expect("a flow")
}

fn option(id: &str, at: &str, verb: &str, answers: &str, more: &str) -> String {
    format!(
        "(id: \"{id}\", at: {at}, by: Laboratory, does: \"do\", verb: {verb}, answers: [{answers}], price: \"none\", days: 0, source: \"ours\", {more}),"
    )
}

#[test]
fn the_shipped_options_are_without_fault() {
    let flow = casepan::flow::embedded().flow.expect("the shipped flow");
    let told: Vec<String> = faults(&flow).iter().map(ToString::to_string).collect();
    assert_eq!(told, Vec::<String>::new());
}

#[test]
fn each_fault_is_told_with_its_place() {
    for (options, what) in [
        // A groove does not give room.
        (
            option(
                "a",
                "Abutment",
                "Groove(Proximal)",
                "\"stump\", \"clearance\"",
                "",
            ),
            "changes nothing that \"clearance\" reads",
        ),
        (
            option(
                "a",
                "Restoration",
                "Set([(\"order.fitting_surface\", Choice(\"nothing\")), (\"order.fitting_surface\", Choice(\"etched\"))])",
                "\"bonding\"",
                "",
            ),
            "to two values",
        ),
        (
            option(
                "a",
                "Case",
                "Set([(\"records.disinfected\", Yes)])",
                "\"not-disinfected\"",
                "bars: [(Is(\"records.disinfected\", Yes), \"no\")]",
            ),
            "bars itself: no",
        ),
        (
            option(
                "a",
                "Case",
                "Set([(\"records.disinfected\", No)])",
                "\"not-disinfected\"",
                "",
            ),
            "it makes rule \"not-disinfected\" fire all by itself",
        ),
        (
            format!(
                "{}\n{}",
                option(
                    "a",
                    "Restoration",
                    "Set([(\"order.fitting_surface\", Choice(\"etched-silane\"))])",
                    "\"bonding\"",
                    ""
                ),
                option(
                    "b",
                    "Restoration",
                    "Set([(\"order.fitting_surface\", Choice(\"abraded\"))])",
                    "\"bonding\"",
                    ""
                ),
            ),
            "\"b\" undo each other",
        ),
    ] {
        let flow = with(&options);
        let told: Vec<String> = faults(&flow).iter().map(ToString::to_string).collect();
        assert!(
            told.iter()
                .any(|fault| fault.contains(what)
                    && fault.starts_with("options.ron:2: option \"a\"")),
            "{what}: {told:?}"
        );
    }
}

/// Files that were written for an older version: the old names of the list, its rows and the facts are read.
#[test]
fn a_flow_with_former_names_is_read_as_the_shipped_one() {
    use casepan::fact::FORMER_NAMES;
    let sources = EMBEDDED.iter().map(|(name, text)| {
        let mut text = text.to_string();
        if *name == "options.ron" {
            text = text
                .replace("\nOptions(", "\nRemedies(")
                .replace("    OptionRow(", "    Remedy(");
            assert!(text.contains("Remedies(") && text.contains("Remedy("));
        }
        for (former, now) in FORMER_NAMES {
            text = text.replace(&format!("\"{now}\""), &format!("\"{former}\""));
        }
        let name = if *name == "options.ron" {
            "remedies.ron"
        } else {
            name
        };
        Source::new(name, text)
    });
    let loaded = load(sources.collect());
    assert_eq!(loaded.problems, Vec::new());
    let (old, now) = (
        loaded.flow.expect("a flow"),
        casepan::flow::embedded().flow.expect("the shipped flow"),
    );
    assert_eq!(old.options.len(), now.options.len());
    let facts = |flow: &Flow| -> Vec<String> {
        flow.questions
            .iter()
            .map(|own| own.fact.to_string())
            .collect()
    };
    assert_eq!(facts(&old), facts(&now));
}
