//! What is offered and what is not: whose it is, in which amounts, for which finding, in which words. Cases invented.

use std::collections::BTreeSet;

use casepan::case::Case;
use casepan::fact::Place;
use casepan::flow::{Level, OptionId, Verb, Whose};
use casepan::options::{Amount, CaseOption, for_the_dentist, ranked};

use super::lists::{listed, phrase, several, short};
use super::{id, quick, the, ways};
use crate::good::{choice, finish, flow, mm, pan, put, walls};
use crate::single_fault::rows::Base;

/// The bench does by itself what changes neither the order nor the tooth.
#[test]
fn the_laboratorys_list_holds_only_what_is_the_laboratorys() {
    for option in flow()
        .options
        .iter()
        .filter(|option| option.by == Whose::Laboratory)
    {
        let own = match &option.verb {
            Verb::Enlarge { .. } | Verb::Say => true,
            Verb::Set(values) => values
                .iter()
                .all(|(fact, _)| !fact.as_str().starts_with("order.")),
            _ => false,
        };
        assert!(own, "{}", option.id);
        assert_ne!(option.price, "new-record", "{}", option.id);
    }
    for case in several() {
        let (_, ways) = ways(&case);
        let listed = ranked(flow(), &ways).into_iter().map(|(_, way)| way);
        for way in listed.chain(for_the_dentist(flow(), &ways)) {
            assert!(!way.is_as_it_is(flow()));
        }
    }
    // What changes the order says so.
    for id in [
        "other-material",
        "other-cement",
        "bond-it",
        "split",
        "metal-occlusal",
        "non-rigid-joint",
    ] {
        let option = flow()
            .options
            .iter()
            .find(|option| option.id == id)
            .expect(id);
        assert_eq!(option.by, Whose::Dentist, "{id}");
        assert!(
            option
                .cautions
                .iter()
                .any(|text| text.contains("amended order")),
            "{id}"
        );
    }
}

/// What is taken off the top for room is gone from the walls; a tooth eased against it leaves them. A margin cut lower all
/// round lies that much further under the sound tooth.
#[test]
fn reducing_a_prep_makes_it_lower() {
    let mut case = pan("46", "zirconia-3y", "resin-modified");
    put(&mut case, "tooth.clearance", "46", mm(0.6));
    finish(&mut case, true);
    let (_, ways) = ways(&case);
    let heights = |way: &CaseOption| {
        let own = way.changes.iter();
        own.filter(|(spot, _)| spot.fact.as_str() == "tooth.height")
            .count()
    };
    let reduced = the(&ways, "more-room");
    assert_eq!(heights(reduced), 1);
    assert_eq!(heights(the(&ways, "reduction-coping")), 1);
    assert_eq!(heights(the(&ways, "adjust-opposing")), 0);
    let (before, after) = reduced.after.as_ref().expect("it is tried").grip[0]
        .both()
        .expect("a grip");
    assert!(after < before, "{after} {before}");

    let mut case = pan("45", "zirconia-3y", "resin-modified");
    put(&mut case, "tooth.core", "45", choice("post"));
    put(&mut case, "tooth.sound_above_margin", "45", mm(1.0));
    finish(&mut case, true);
    let (_, ways) = super::ways(&case);
    let lengthened = the(&ways, "crown-lengthening");
    assert!(lengthened.changes.iter().any(|(spot, value)| {
        spot.fact.as_str() == "tooth.sound_above_margin" && value.number() == Some(2.0)
    }));
}

/// A build-up is a millimetre at the least, a margin goes down by half a millimetre at the least, and a groove has a wall
/// to stand in.
#[test]
fn no_amount_is_offered_that_cannot_be_made() {
    let mut built = 0;
    for height in [2.0, 2.6, 3.2, 3.8] {
        for tooth in ["46", "15"] {
            let mut case = short(tooth);
            put(&mut case, "tooth.height", tooth, mm(height));
            put(&mut case, "tooth.clearance", tooth, mm(3.0));
            for wall in walls(tooth) {
                put(&mut case, "wall.margin_to_gum", &wall, choice("above"));
            }
            put(
                &mut case,
                "wall.height",
                &format!("{tooth}/mesial"),
                mm(1.5),
            );
            let (_, ways) = ways(&case);
            for way in ways.iter().filter(|way| !way.forbidden) {
                match (id(way), way.amount) {
                    ("build-up", Some(Amount::By(by, _))) => {
                        assert!(by >= 1.0, "{by}");
                        built += 1;
                    }
                    ("deeper-wall" | "deeper-all-round", Some(Amount::By(by, _))) => {
                        assert!(by >= 0.5, "{by}");
                    }
                    ("groove-proximal", _) => panic!("a groove in a wall of 1.5 mm"),
                    _ => {}
                }
            }
        }
    }
    assert!(built > 0);
}

/// A finding has one option for a new record.
#[test]
fn no_finding_has_two_options_for_a_new_record() {
    for rule in &flow().rules {
        let records: Vec<&str> = flow()
            .options
            .iter()
            .filter(|option| matches!(option.price.as_str(), "new-record" | "new-file"))
            .filter(|option| {
                let mut answers = option.answers.iter();
                answers.any(|name| *name == rule.id || Some(name) == rule.topic.as_ref())
            })
            .map(|option| option.id.as_str())
            .collect();
        assert!(records.len() <= 1, "{}: {records:?}", rule.id);
    }
    // Wherever the record is at fault there is one.
    for rule in [
        "scan-gaps",
        "scan-step",
        "scan-size",
        "scan-margin-line",
        "finish-line-lost",
        "impression-age",
        "dual-arch",
        "dual-arch-bite",
        "die-bubble",
        "opposing",
        "bite-two-ways",
        "bite-scans-differ",
        "bite-stops",
        "last-tooth-without-bite",
        "distance",
    ] {
        let answers = |option: &&casepan::flow::OptionRow| {
            option.by == Whose::Dentist && option.answers.iter().any(|name| name == rule)
        };
        assert!(
            flow().options.iter().any(|option| answers(&option)),
            "{rule}"
        );
    }
}

/// Connectors that are all too small are made larger in one line; a single one by itself.
#[test]
fn all_connectors_are_made_larger_in_one_line() {
    let mut case = Base::Bridge.case();
    for at in ["44-45", "45-46"] {
        put(&mut case, "connector.height", at, mm(3.0));
        put(&mut case, "connector.width", at, mm(2.9));
    }
    finish(&mut case, true);
    let names = |case: &Case| -> Vec<(&'static str, Place)> {
        let (_, ways) = ways(case);
        let larger = |way: &&CaseOption| {
            matches!(
                way.of(flow()).expect("an option").verb,
                Verb::Enlarge { .. }
            )
        };
        let lines = listed(&ways);
        lines
            .into_iter()
            .filter(|way| larger(way))
            .map(|way| (id(way), way.at))
            .collect()
    };
    let at = |place: &str| place.parse::<Place>().expect("a place");
    assert_eq!(names(&case), [("fuller-connectors", at("R1"))]);
    let (_, ways) = ways(&case);
    let all = the(&ways, "fuller-connectors");
    assert_eq!(all.changes.len(), 2);
    assert_eq!(all.after.as_ref().expect("an outcome").left, Level::Fine);
    put(&mut case, "connector.height", "44-45", mm(4.0));
    put(&mut case, "connector.width", "44-45", mm(4.0));
    assert_eq!(names(&case), [("fuller-connector", at("45-46"))]);
}

/// Where clearance is short there are, apart from one another, the opposing tooth, the prep, a coping to reduce it by, and
/// metal over the top; the coping only with written consent.
#[test]
fn short_clearance_has_every_option_of_the_trade() {
    let mut case = pan("46", "metal-ceramic", "zinc-phosphate");
    put(&mut case, "tooth.clearance", "46", mm(1.2));
    let open = |case: &Case| -> BTreeSet<&'static str> {
        let (_, ways) = ways(case);
        listed(&ways).into_iter().map(id).collect()
    };
    for wanted in [
        "adjust-opposing",
        "reduction-coping",
        "more-room",
        "metal-occlusal",
    ] {
        assert!(open(&case).contains(wanted), "{wanted}");
    }
    let coping = flow()
        .options
        .iter()
        .find(|option| option.id == "reduction-coping");
    assert!(coping.expect("the coping").cautions[0].contains("written consent"));
    // Metal needs its own least, as the table has it.
    let least = flow().material("cast-metal").expect("a material").occlusal;
    put(&mut case, "tooth.clearance", "46", mm(least));
    assert!(open(&case).contains("metal-occlusal"));
    put(&mut case, "tooth.clearance", "46", mm(least - 0.1));
    assert!(!open(&case).contains("metal-occlusal"));
    put(&mut case, "bite.opposed_by", "R1", choice("nothing"));
    assert!(!open(&case).contains("adjust-opposing"));
    // A bridge whose teeth lean can be jointed or corrected, a crown cannot.
    for (units, has) in [("44 x45 46", true), ("46", false)] {
        let mut case = pan(units, "zirconia-3y", "resin-modified");
        put(&mut case, "tooth.undercut", "46", choice("to-0.3"));
        for wanted in ["non-rigid-joint", "path-coping"] {
            assert_eq!(open(&case).contains(wanted), has, "{wanted} {units}");
        }
    }
}

/// Options are told in the words of the trade.
#[test]
fn options_are_in_the_words_of_the_trade() {
    let wrong = [
        "finish line",
        "stump",
        " room",
        "further down",
        "towards cheek",
        "straighter",
        "gum held back",
        "inside of",
        " wants",
        "way out",
        "held back",
        "blown",
        "as it is",
    ];
    for option in &flow().options {
        let bars = option
            .bars
            .iter()
            .chain(&option.needs)
            .chain(&option.wall_bars);
        let texts = std::iter::once(&option.does)
            .chain(&option.cautions)
            .chain(bars.map(|(_, why)| why));
        for text in texts {
            for word in wrong {
                assert!(!text.contains(word), "{}: {text}", option.id);
            }
        }
    }
    let of = |id: &str| -> OptionId {
        let mut all = flow().options();
        all.find(|(_, option)| option.id == id).expect(id).0
    };
    let says = |case: &Case, id: &str| {
        let (_, ways) = ways(case);
        let way = ways.iter().find(|way| way.option == of(id)).expect(id);
        phrase().does(&quick(case), way)
    };
    let mut case = short("46");
    for wall in walls("46") {
        put(&mut case, "wall.margin_to_gum", &wall, choice("above"));
    }
    assert_eq!(
        says(&case, "groove-facial-lingual"),
        "cut buccal and lingual grooves in 46"
    );
    assert!(
        says(&case, "crown-lengthening").starts_with("arrange crown lengthening of 46, margin ")
    );
    assert!(says(&case, "deeper-all-round").ends_with(" mm all round"));
    assert_eq!(
        says(&case, "as-it-is"),
        "make as ordered; put the findings in writing"
    );
}
