//! The search against all subsets, on a small invented flow.

use casepan::case::{Case, FlowRef, Layer, Reading};
use casepan::derive::{Facts, Precision};
use casepan::fact::{FactId, Place, Spot, Value};
use casepan::flow::{Flow, Level, Verb, load};
use casepan::judge::judge;
use casepan::options::{case_options, proposed, together};
use casepan::ronfile::Source;

use crate::made::units;

/// Five facts that may be wrong; rules that look at one or two of them; options that mend one each.
fn flow() -> Flow {
    let names = ["a", "b", "c", "d", "e"];
    let facts: Vec<String> = names
        .iter()
        .map(|n| {
            format!("(id: \"x.{n}\", at: Case, kind: YesNo, label: \"{n}\", sentence: \"{n}.\")")
        })
        .collect();
    let questions: Vec<String> = names
        .iter()
        .map(|n| format!("(fact: \"x.{n}\", asks: \"{n}?\", look: \"There.\", why: \"So.\", source: \"ours\")"))
        .collect();
    let asks: Vec<String> = names.iter().map(|n| format!("Ask(\"x.{n}\")")).collect();
    let rule = |id: &str, level: &str, when: &str| {
        format!(
            "(id: \"{id}\", at: Case, levels: [({level}, {when})], says: \"{id}\", because: \"So.\", source: \"ours\", asks: \"This or that?\")"
        )
    };
    let rules = [
        rule("one", "Hold", "All([Is(\"x.a\", No), Is(\"x.b\", No)])"),
        rule("two", "Call", "Any([Is(\"x.c\", No), Is(\"x.d\", No)])"),
        rule("three", "Call", "Is(\"x.b\", No)"),
        rule("four", "Watch", "Is(\"x.e\", No)"),
        // Mending d spoils this one.
        rule("five", "Call", "All([Is(\"x.d\", Yes), Is(\"x.e\", No)])"),
    ];
    let options: Vec<String> = names
        .iter()
        .enumerate()
        .map(|(rank, n)| {
            format!(
                "(id: \"mend-{n}\", at: Case, by: Laboratory, does: \"mend {n}\", verb: Set([(\"x.{n}\", Yes)]), answers: [\"one\", \"two\", \"three\", \"four\", \"five\"], price: \"p{rank}\", days: 0, source: \"ours\")"
            )
        })
        .collect();
    let prices: Vec<String> = (0..names.len())
        .map(|rank| format!("(id: \"p{rank}\", text: \"p\", rank: {rank})"))
        .collect();
    let head = format!(
        "Flow((id: \"s\", version: 1, title: \"Small\", steps: [(id: \"one\", title: \"One\", blocks: [{}])]))",
        asks.join(", ")
    );
    let list = |name: &str, rows: &[String]| format!("{name}([\n{}\n])", rows.join(",\n"));
    let loaded = load(vec![
        Source::new("facts.ron", list("Facts", &facts)),
        Source::new("flow.ron", head),
        Source::new("prices.ron", list("Prices", &prices)),
        Source::new("questions.ron", list("Questions", &questions)),
        Source::new("options.ron", list("Options", &options)),
        Source::new("rules.ron", list("Rules", &rules)),
        Source::new(
            "sources.ron",
            "Sources([(id: \"ours\", text: \"Ours\", status: Ours)])",
        ),
    ]);
    assert_eq!(loaded.problems, Vec::new());
    loaded.flow.expect("a flow")
}

fn level(flow: &Flow, case: &Case) -> Level {
    judge(flow, &Facts::with(flow, case, Precision::Quick))
        .verdict
        .level
}

/// Over all thirty-two states: the best of all single options and of all pairs is the one that the search comes to.
#[test]
fn the_search_finds_what_all_subsets_hold() {
    let flow = flow();
    let names = ["x.a", "x.b", "x.c", "x.d", "x.e"];
    let mut gained = 0;
    for state in 0..32_u32 {
        let own = FlowRef {
            id: flow.id.clone(),
            version: 1,
            digest: String::new(),
        };
        let mut case = Case::new("S-1", own, units("26"));
        let spot = |name: &str| Spot {
            fact: FactId::named(name),
            at: Place::Case,
        };
        for (bit, name) in names.iter().enumerate() {
            let value = Value::from(state >> bit & 1 == 1);
            case.put(spot(name), Layer::Measured, Reading::plain(value));
        }
        let now = level(&flow, &case);
        let mend = |set: &[&str]| {
            let changes: Vec<(Spot, Value)> =
                set.iter().map(|name| (spot(name), Value::Yes)).collect();
            level(&flow, &proposed(&case, &changes, None))
        };
        let singles = names.iter().map(|name| mend(&[name])).min().expect("five");
        let mut pairs = Level::Hold;
        for (index, one) in names.iter().enumerate() {
            for other in &names[index + 1..] {
                pairs = pairs.min(mend(&[one, other]));
            }
        }
        let facts = Facts::with(&flow, &case, Precision::Quick);
        let judgement = judge(&flow, &facts);
        let ways = case_options(&flow, &facts, &judgement);
        let found = ways
            .iter()
            .filter(|way| way.bar.is_none())
            .filter_map(|way| way.after.as_ref())
            .map(|after| after.verdict.level)
            .min()
            .unwrap_or(now);
        assert_eq!(found.min(now), singles.min(now), "state {state:05b}");
        let both = together(&flow, &facts, &judgement, &ways);
        let best = both
            .iter()
            .filter(|pair| !pair.greedy)
            .map(|pair| pair.after.verdict.level)
            .min();
        // Pairs are told where they go further than any single one.
        if pairs < singles.min(now) && pairs <= Level::Watch {
            assert_eq!(best, Some(pairs), "state {state:05b}");
            gained += 1;
        }
        for pair in &both {
            let set: Vec<&str> = pair
                .parts
                .iter()
                .map(
                    |part| match &ways[*part].of(&flow).expect("an option").verb {
                        Verb::Set(values) => *names
                            .iter()
                            .find(|name| values[0].0.as_str() == **name)
                            .expect("one of the five"),
                        verb => panic!("{verb:?}"),
                    },
                )
                .collect();
            assert_eq!(pair.after.verdict.level, mend(&set), "state {state:05b}");
        }
    }
    assert!(gained >= 3, "{gained}");
}
