//! What single pages must show at each size.

use casepan::flow::{LONGEST, embedded};
use casepan::screen::Theme;
use casepan::session::view::PageView;

use super::{drawn, low_crown, row};
use crate::made::{case, choice};
use crate::session::Technician;

fn text(tech: &Technician, size: (u16, u16)) -> String {
    let (buf, _) = drawn(&tech.session.view(), size, Theme::plain());
    let rows: Vec<String> = (0..size.1).map(|y| row(&buf, y)).collect();
    rows.join("\n")
}

/// What a finding rests on stands in columns where there is room: what was found, what it needs, what it is from; and none
/// of it is lost where there is not.
#[test]
fn evidence_says_what_was_found_what_it_needs_and_from_what() {
    let mut tech = Technician::on(&low_crown());
    tech.keys("f down");
    let PageView::Findings(page) = tech.session.view().page else {
        panic!("no findings");
    };
    assert!(
        page.evidence.iter().any(|own| own.needs.is_some()),
        "{:?}",
        page.evidence
    );
    assert!(page.evidence.iter().any(|own| !own.from.is_empty()));
    // What decided is found on the wrong side of what it needs.
    let own = page
        .evidence
        .iter()
        .find(|own| own.needs.is_some())
        .unwrap();
    let (_, limit) = own.needs.as_ref().unwrap();
    for width in [80, 100, 120, 160] {
        let text = text(&tech, (width, 60));
        let line = text
            .lines()
            .find(|line| line.contains(limit.as_str()) && line.contains(&own.found));
        assert!(line.is_some(), "{width}: {limit} {}\n{text}", own.found);
    }
    for width in [40, 60] {
        let text = text(&tech, (width, 200));
        let words: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains(limit.as_str()), "{width}\n{text}");
    }
}

/// No choice is cut in the smallest window that questions are shown in, whatever the material and the step.
#[test]
fn every_choice_is_told_apart_in_the_smallest_window() {
    let flow = embedded().flow.unwrap();
    for (fact, at) in [
        ("order.matches", "case"),
        ("order.scope", "R1"),
        ("order.material", "R1"),
        ("order.cement", "R1"),
    ] {
        let given = [("order.material", "R1", choice("zirconia-3y"))];
        let mut tech = Technician::on(&case(
            "26",
            if fact == "order.cement" { &given } else { &[] },
        ));
        tech.at(fact, at);
        let view = tech.session.view();
        let PageView::Questions(page) = &view.page else {
            panic!("no questions");
        };
        let choices = page.present.as_ref().unwrap().choices.clone();
        assert!(choices.len() >= 3, "{fact}");
        let text = text(&tech, (40, 12));
        for own in &choices {
            let whole = format!("{}  {}", own.digit, own.words);
            let short = format!("{}  {}", own.digit, own.short);
            assert!(
                text.contains(&whole) || text.contains(&short),
                "{fact} {short}\n{text}"
            );
        }
    }
    assert!(
        flow.shorts
            .iter()
            .all(|own| own.words.chars().count() <= LONGEST)
    );
    assert!(flow.shorts.len() >= 10);
}

/// The options begin with the case as it is, and a figure that moves shows both.
#[test]
fn options_begin_with_the_case_as_it_is() {
    let mut tech = Technician::on(&low_crown());
    tech.with_ways().keys("o");
    let PageView::Options(page) = tech.session.view().page else {
        panic!("no options");
    };
    let now = page.now.as_ref().expect("the case as it is");
    assert_eq!(
        now.verdict,
        Some(
            tech.session
                .inspection
                .as_ref()
                .unwrap()
                .judgement()
                .verdict
        )
    );
    let text = text(&tech, (120, 40));
    let at = |wanted: &str| {
        text.lines()
            .position(|line| line.trim_start().starts_with(wanted))
    };
    assert_eq!(at("now"), Some(4), "{text}");
}

/// While a correction lasts, the row of messages says where it goes back to.
#[test]
fn a_correction_says_on_the_screen_where_it_goes_back_to() {
    let mut tech = Technician::on(&low_crown());
    tech.at("tooth.clearance", "26").keys("up up");
    for size in [(80, 24), (100, 30), (120, 40)] {
        let text = text(&tech, size);
        let row = text.lines().find(|line| line.contains("then back to"));
        assert!(row.is_some_and(|row| row.contains("clearance")), "{text}");
    }
    tech.key("esc");
    assert!(!text(&tech, (80, 24)).contains("then back to"));
}
