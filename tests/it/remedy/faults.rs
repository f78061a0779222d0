//! Remedies that `flow check` finds fault with.

use casepan::flow::{EMBEDDED, Flow, load};
use casepan::remedy::faults;
use casepan::ronfile::Source;

/// The shipped flow with these remedies in place of its own.
#[track_caller]
fn with(remedies: &str) -> Flow {
    let sources = EMBEDDED
        .iter()
        .map(|(name, text)| match *name {
            "remedies.ron" => Source::new(*name, format!("Remedies([\n{remedies}\n])")),
            _ => Source::new(*name, *text),
        })
        .collect();
    let loaded = load(sources);
    assert_eq!(loaded.problems, Vec::new());
    loaded.flow.expect("a flow")
}

fn remedy(id: &str, at: &str, verb: &str, answers: &str, more: &str) -> String {
    format!(
        "(id: \"{id}\", at: {at}, by: Laboratory, does: \"do\", verb: {verb}, answers: [{answers}], price: \"none\", days: 0, source: \"ours\", {more}),"
    )
}

#[test]
fn the_shipped_remedies_are_without_fault() {
    let flow = casepan::flow::embedded().flow.expect("the shipped flow");
    let told: Vec<String> = faults(&flow).iter().map(ToString::to_string).collect();
    assert_eq!(told, Vec::<String>::new());
}

#[test]
fn each_fault_is_told_with_its_place() {
    for (remedies, what) in [
        // A groove does not give room.
        (
            remedy(
                "a",
                "Abutment",
                "Groove(Proximal)",
                "\"stump\", \"clearance\"",
                "",
            ),
            "changes nothing that \"clearance\" looks at",
        ),
        (
            remedy(
                "a",
                "Restoration",
                "Set([(\"order.inside\", Choice(\"nothing\")), (\"order.inside\", Choice(\"etched\"))])",
                "\"bonding\"",
                "",
            ),
            "to be two things",
        ),
        (
            remedy(
                "a",
                "Case",
                "Set([(\"records.disinfected\", Yes)])",
                "\"not-disinfected\"",
                "bars: [(Is(\"records.disinfected\", Yes), \"no\")]",
            ),
            "bars itself: no",
        ),
        (
            remedy(
                "a",
                "Case",
                "Set([(\"records.disinfected\", No)])",
                "\"not-disinfected\"",
                "",
            ),
            "it alone makes \"not-disinfected\" fire",
        ),
        (
            format!(
                "{}\n{}",
                remedy(
                    "a",
                    "Restoration",
                    "Set([(\"order.inside\", Choice(\"etched-silane\"))])",
                    "\"bonding\"",
                    ""
                ),
                remedy(
                    "b",
                    "Restoration",
                    "Set([(\"order.inside\", Choice(\"abraded\"))])",
                    "\"bonding\"",
                    ""
                ),
            ),
            "\"b\" undo one another",
        ),
    ] {
        let flow = with(&remedies);
        let told: Vec<String> = faults(&flow).iter().map(ToString::to_string).collect();
        assert!(
            told.iter()
                .any(|fault| fault.contains(what)
                    && fault.starts_with("remedies.ron:2: remedy \"a\"")),
            "{what}: {told:?}"
        );
    }
}
