//! What is asked by exception: one look for all preps, and then only those that are named.

use casepan::derive::{Facts, Turn};
use casepan::fact::{FactId, Value};
use casepan::logic::Truth;

use super::{Technician, crown};
use crate::made::{case, choice, flow, iso, spot, units};

/// The bridge, with nothing answered.
fn bridge() -> Technician {
    Technician::on(&case("44 x45 46", &[]))
}

fn turn(tech: &Technician, fact: &str, at: &str) -> Turn {
    let flow = flow();
    let spot = spot(fact, at);
    Facts::of(&flow, tech.case()).turn(&spot.fact, spot.at)
}

fn value(tech: &Technician, fact: &str, at: &str) -> Option<Value> {
    let flow = flow();
    let spot = spot(fact, at);
    Facts::of(&flow, tech.case())
        .value(&spot.fact, spot.at)
        .cloned()
}

#[test]
fn one_key_says_that_nothing_is_unusual() {
    let mut tech = bridge();
    tech.at("restoration.usual_preps", "R1").key("0");
    assert_eq!(
        tech.wrote(),
        [
            "restoration.usual_preps@R1 = [Tooth { quadrant: 4, position: 4 }, Tooth { quadrant: 4, position: 6 }]"
        ]
    );
    for tooth in ["44", "46"] {
        assert_eq!(value(&tech, "tooth.core", tooth), Some(choice("none")));
        assert_eq!(
            value(&tech, "tooth.carries_denture", tooth),
            Some(Value::No)
        );
        assert_eq!(turn(&tech, "tooth.core", tooth), Turn::Idle);
    }
    // Pontics are looked at for their bite as well.
    tech.at("restoration.usual_occlusion", "R1").key("0");
    assert_eq!(value(&tech, "unit.occlusion", "45"), Some(choice("normal")));
    tech.key("u");
    assert_eq!(value(&tech, "unit.occlusion", "45"), None);
}

#[test]
fn a_prep_that_is_named_is_asked_in_full_and_no_other() {
    let mut tech = bridge();
    tech.at("restoration.usual_preps", "R1").keys("2 enter");
    assert_eq!(
        tech.wrote(),
        ["restoration.usual_preps@R1 = [Tooth { quadrant: 4, position: 4 }]"]
    );
    for fact in [
        "tooth.core",
        "tooth.grooves",
        "tooth.margin_defect",
        "tooth.contact",
    ] {
        assert_eq!(turn(&tech, fact, "46"), Turn::Up, "{fact}");
        assert_eq!(turn(&tech, fact, "44"), Turn::Idle, "{fact}");
        assert_eq!(value(&tech, fact, "46"), None, "{fact}");
    }
    // Whoever named both has to answer for both.
    tech.at("restoration.usual_preps", "R1").keys("1 2 enter");
    assert_eq!(turn(&tech, "tooth.core", "44"), Turn::Up);
}

#[test]
fn a_tooth_that_comes_later_was_not_looked_at() {
    let mut tech = bridge();
    tech.at("restoration.usual_preps", "R1").key("0");
    let mut later = tech.case().clone();
    later.units = units("43 44 x45 46");
    let later = Technician::on(&later);
    assert_eq!(value(&later, "tooth.core", "43"), None);
    assert_eq!(turn(&later, "tooth.core", "43"), Turn::Up);
    assert_eq!(turn(&later, "tooth.core", "44"), Turn::Idle);
}

#[test]
fn an_answer_of_its_own_counts_before_the_list() {
    let mut tech = Technician::on(&case("26", &[("tooth.core", "26", choice("post-loose"))]));
    tech.at("restoration.usual_preps", "R1").key("0");
    assert_eq!(value(&tech, "tooth.core", "26"), Some(choice("post-loose")));
    assert_eq!(value(&tech, "tooth.grooves", "26"), Some(choice("none")));
}

#[test]
fn not_seen_is_nobodys_all_clear() {
    let mut tech = bridge();
    tech.at("restoration.usual_preps", "R1").key("-");
    assert_eq!(value(&tech, "tooth.core", "44"), None);
    assert_eq!(turn(&tech, "tooth.core", "44"), Turn::Up);
}

/// A case file from before has its preps answered one by one: nothing is asked twice, and what is new is still to do.
#[test]
fn a_case_from_before_is_asked_only_for_what_is_new() {
    let mut old = crown();
    for (fact, value) in [
        ("tooth.undercut", choice("none")),
        ("tooth.grooves", choice("none")),
        ("tooth.core", choice("none")),
        ("tooth.neighbour_in_path", Value::No),
        ("tooth.carries_denture", Value::No),
    ] {
        let reading = casepan::case::Reading::plain(value);
        old.put(spot(fact, "26"), casepan::case::Layer::Measured, reading);
    }
    let tech = Technician::on(&old);
    assert_eq!(turn(&tech, "restoration.usual_path", "R1"), Turn::Idle);
    // Sharp edges and contacts are new.
    assert_eq!(turn(&tech, "restoration.usual_preps", "R1"), Turn::Up);
    for fact in ["tooth.margin_form", "tooth.margin_to_gum"] {
        assert_eq!(turn(&tech, fact, "26"), Turn::Up, "{fact}");
    }
    let inspection = tech.session.inspection.as_ref().unwrap();
    let waits = |rule: &str| {
        let mut points = inspection.judgement().open_points.iter();
        points.any(|point| {
            flow()
                .rule(point.rule.expect("a rule"))
                .is_some_and(|known| known.id == rule)
        })
    };
    for rule in ["margin-form", "margin-shallow", "margin-under-gum"] {
        assert!(waits(rule), "{rule}");
    }
}

/// Of walls that were all read one by one the prep is not asked again.
#[test]
fn walls_that_were_read_stand_for_the_prep() {
    let walls = ["mesial", "distal", "facial", "lingual"].map(|side| format!("26/{side}"));
    let facts: Vec<(&str, &str, Value)> = walls
        .iter()
        .map(|wall| ("wall.margin_to_gum", wall.as_str(), choice("at")))
        .collect();
    let mut tech = Technician::on(&case("26", &facts));
    assert_eq!(turn(&tech, "tooth.margin_to_gum", "26"), Turn::Idle);
    assert_eq!(turn(&tech, "tooth.margin_form", "26"), Turn::Up);
    // A form that differs is asked wall by wall.
    tech.at("tooth.margin_form", "26").key("7");
    assert_eq!(turn(&tech, "wall.margin_form", "26/distal"), Turn::Up);
    let flow = flow();
    let facts = Facts::of(&flow, tech.case());
    let used = FactId::named("wall.margin_taken");
    let rule = flow
        .rules
        .iter()
        .find(|rule| rule.id == "margin-form")
        .unwrap();
    let outcome = rule.levels[0].1.eval(&facts, "26".parse().unwrap());
    assert_eq!(outcome.truth, Truth::Unknown);
    assert!(facts.value(&used, "26/distal".parse().unwrap()).is_none());
    assert_eq!(tech.case().units.restorations()[0].units[0].tooth, iso(26));
}

/// Marks and none at once contradict one another: nothing is kept.
#[test]
fn none_beside_a_mark_is_refused() {
    let mut tech = bridge();
    tech.at("restoration.usual_path", "R1").keys("1 0");
    assert!(tech.wrote().is_empty());
    assert_eq!(tech.cursor(), "restoration.usual_path@R1");
    assert!(tech.refusal().contains("unmark"), "{}", tech.refusal());
    tech.keys("enter");
    assert_eq!(
        value(&tech, "restoration.usual_path", "R1"),
        Some(Value::Teeth(vec![iso(46)]))
    );
}

/// `0` answers at once. Whoever presses Enter after it all the same does not skip the next question; the Enter after that
/// goes on as ever.
#[test]
fn enter_after_none_of_them_skips_no_question() {
    let mut tech = bridge();
    tech.at("restoration.usual_path", "R1").keys("0");
    let next = tech.cursor();
    assert_ne!(next, "restoration.usual_path@R1");
    tech.keys("enter");
    assert_eq!(tech.cursor(), next);
    tech.keys("enter");
    assert_ne!(tech.cursor(), next);
    assert_eq!(tech.wrote().len(), 1);
}
