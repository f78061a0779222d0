//! What is kept: two records in one case, what was judged on the way, and decisions of older versions.

use casepan::case::coming::Part;
use casepan::case::journal::fold;
use casepan::case::life::{Stage, State};
use casepan::case::{Layer, Reading};
use casepan::derive::{Facts, Precision};
use casepan::judge::judge;

use super::{answer, arrives, far, good, inspect_again, lost_46, says, sit};
use crate::good::flow;
use crate::made::{choice, spot};

/// A new impression of 46 asks nothing of 26 anew, and what is said of it judges 46 alone.
#[test]
fn a_restoration_stays_on_the_record_it_is_made_on() {
    let mut tech = sit(&good("26; 46", "zirconia-4y", &lost_46()));
    answer(&mut tech, "finish-line-lost", '1', "clear-margin", "");
    arrives(&mut tech, Part::Impression);
    says(
        &tech,
        State::Inspecting,
        &["26 CLEARED TO MAKE.", "46 OPEN"],
    );
    // The second one is in alginate.
    inspect_again(
        &mut tech,
        &[
            ("tooth.margin_seen", "46", choice("all")),
            ("records.kind", "case", choice("impression")),
            ("impression.tray", "case", choice("full-arch")),
            ("impression.material", "case", choice("alginate")),
        ],
    );
    let kept = |fact: &str| {
        tech.case()
            .merged(&spot(fact, "case"))
            .map(|(_, own)| own.value.clone())
    };
    assert_eq!(
        kept("impression.material"),
        Some(choice("alginate")),
        "{:?} {:?}",
        kept("records.kind"),
        kept("impression.tray")
    );
    let (_, lines) = far(&tech);
    assert!(lines[0].contains("26 CLEARED TO MAKE."), "{lines:?}");
    let facts = Facts::with(flow(), tech.case(), Precision::Quick);
    let judgement = judge(flow(), &facts);
    let level = |id: u8| {
        let own = judgement.by_restoration.iter().find(|(own, _)| *own == id);
        own.unwrap().1.level
    };
    assert!(level(2) > level(1), "{:?}", judgement.by_restoration);
    assert_eq!(judgement.verdict.level, level(2));
    assert!(tech.case().merged(&spot("tooth.height", "26")).is_some());
}

/// Crowns that touch: neither is made while the impression of the other is awaited.
#[test]
fn a_crown_beside_one_that_waits_is_not_made() {
    let mut tech = sit(&good("45; 46", "zirconia-4y", &lost_46()));
    answer(&mut tech, "finish-line-lost", '1', "clear-margin", "");
    says(
        &tech,
        State::Waiting,
        &[
            "45 CLEARED FOR DESIGN. Do not make 45 yet: 46 next to it waits for its impression",
            "46 WAITING",
        ],
    );
}

/// What was judged is kept twice: as found, before anything was decided, and as built, once it is cleared to make.
#[test]
fn what_was_judged_is_kept_as_found_and_as_built() {
    let mut tech = sit(&good("26", "zirconia-4y", &[]));
    assert!(tech.case().judged(Stage::AsFound).is_none());
    let at = spot("tooth.height", "26");
    tech.at("tooth.height", "26").keys("5 enter");
    assert!(tech.case().value(&at.fact, at.at).is_some());
    let found = tech.case().judged(Stage::AsFound).expect("kept").clone();
    let built = tech.case().judged(Stage::AsBuilt).expect("kept").clone();
    assert_eq!(found.rules, built.rules);
    assert!(found.rules.len() > 60, "{}", found.rules.len());
    let again = fold(&tech.journal).unwrap();
    assert_eq!(again.judged(Stage::AsFound), Some(&found));
}

/// Decisions of an older version, in a journal or a file, are shown as agreed without an arrival, and count for nothing
/// but what stands on the order.
#[test]
fn old_decisions_wait_without_a_day() {
    let mut case = good("46", "zirconia-4y", &lost_46());
    let text = casepan::case::file::write(&case, true).unwrap();
    let old = "    decisions: [\n        (rule: \"finish-line-lost\", at: \"46\", outcome: Agreed, from: \"2026-11-02\", by: Dentist, \
               taken: [(remedy: \"clear-margin\", at: \"46\")], changes: [(fact: \"tooth.margin_seen\", at: \"46\", is: Choice(\"all\"))]),\n    ],\n)\n";
    let text = format!("{}{old}", text.trim_end().trim_end_matches(')'));
    let read = casepan::case::file::read(&casepan::ronfile::Source::new("old.ron", &text)).unwrap();
    let at = spot("tooth.margin_seen", "46");
    assert_eq!(read.value(&at.fact, at.at), Some(&choice("over-2")));
    let tech = sit(&read);
    says(
        &tech,
        State::Waiting,
        &["46 WAITING for agreed, arrival not recorded"],
    );
    case.put(at, Layer::Measured, Reading::plain(choice("all")));
    assert_eq!(far(&sit(&case)).0, State::ToMake);
}
