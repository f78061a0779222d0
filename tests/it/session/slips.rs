//! Slips of the finger: days, numbers at bands, instruments, units, taps, names.

use casepan::case::{Layer, Reading};
use casepan::session::{Effect, Page, Prompt, Session, units_line};
use casepan::tooth::Notation;

use super::{Technician, crown, moment, walls};
use crate::made::{case, choice, spot, units};

#[test]
fn a_day_lies_where_its_question_looks() {
    for (fact, keys, wrote) in [
        ("order.seating_day", "7 enter", "2026-11-30"),
        ("order.seating_day", "28-11 enter", "2026-11-28"),
        ("order.seating_day", "28.11 enter", "2026-11-28"),
        ("order.seating_day", "28/11 enter", "2026-11-28"),
        ("order.seating_day", "28 space 11 enter", "2026-11-28"),
        ("order.seating_day", "5.1 enter", "2027-01-05"),
        ("impression.taken", "7 enter", "2026-11-16"),
        ("impression.taken", "16.11 enter", "2026-11-16"),
        ("impression.poured", "2 enter", "2026-11-21"),
        ("impression.poured", "2+ enter", "2026-11-25"),
        ("impression.poured", "2-12 enter", "2026-12-02"),
    ] {
        let mut tech = walls();
        tech.at(fact, "case").keys(keys);
        assert_eq!(
            tech.wrote(),
            [format!("{fact}@case = {wrote}")],
            "{fact} {keys}"
        );
    }
    // The prompt says which way, and the day is shown with its weekday.
    let mut tech = walls();
    tech.at("order.seating_day", "case");
    let present = tech.questions().present.unwrap();
    assert_eq!(
        present.takes,
        "days from today, day-month or year-month-day"
    );
    tech.keys("11 enter").at("order.seating_day", "case");
    let present = tech.questions().present.unwrap();
    let last = present.last.expect("an answer");
    assert_eq!(last.said(), "Fri 4 Dec 2026");
}

#[test]
fn a_day_that_cannot_be_is_refused_with_a_sentence() {
    for (fact, keys, why) in [
        (
            "order.seating_day",
            "20-11 enter",
            "Fri 20 Nov 2026 is past; enter today or a later day",
        ),
        (
            "impression.taken",
            "28-11 enter",
            "Sat 28 Nov 2026 is still to come; enter today or an earlier day",
        ),
        (
            "impression.poured",
            "5 enter",
            "poured on Wed 18 Nov 2026, but taken on Fri 20 Nov 2026: correct the wrong one",
        ),
    ] {
        let mut tech = walls();
        tech.at("impression.taken", "case").keys("3 enter");
        tech.at(fact, "case").keys(keys);
        assert_eq!(tech.refusal(), why, "{fact} {keys}");
        assert_eq!(tech.wrote().len(), 1, "{fact} {keys}");
    }
    // The other way round too.
    let mut tech = walls();
    tech.at("impression.poured", "case").keys("3 enter");
    tech.at("impression.taken", "case").keys("2 enter");
    assert!(
        tech.refusal()
            .starts_with("taken on Sat 21 Nov 2026, but poured on")
    );
}

#[test]
fn a_number_can_be_typed_where_bands_are_listed() {
    for (keys, wrote) in [
        ("0.6 enter", "0.6 Mm, loupe"),
        (".6 enter", "0.6 Mm, loupe"),
        (",6 enter", "0.6 Mm, loupe"),
        ("01.2 enter", "1.2 Mm, loupe"),
        ("m 0.65 enter", "0.65 Mm, scan"),
        ("3", "0.8 Mm, loupe"),
    ] {
        let mut tech = walls();
        tech.at("wall.margin_width", "26/mesial").keys(keys);
        assert_eq!(tech.refusal(), "", "{keys}");
        assert_eq!(
            tech.wrote(),
            [format!("wall.margin_width@26/mesial = {wrote}")],
            "{keys}"
        );
    }
    // 1.2 begins with a digit that picks: its point goes back, and the number over the band.
    for keys in ["1 . 2 enter", "1 , 2 enter"] {
        let mut tech = walls();
        tech.at("wall.margin_form", "26/mesial").keys("1 1 1 1");
        tech.at("wall.margin_width", "26/mesial").keys(keys);
        assert_eq!(tech.refusal(), "");
        let wrote = tech.wrote();
        assert_eq!(
            wrote.last().unwrap(),
            "wall.margin_width@26/mesial = 1.2 Mm, loupe"
        );
    }
    // A digit that picks nothing begins a number all the same: it is out of bounds, and never 0.5.
    let mut tech = walls();
    tech.at("wall.margin_form", "26/mesial").keys("1 1 1 1");
    tech.at("wall.margin_width", "26/mesial")
        .keys("7 . 5 enter");
    assert_eq!(tech.session.inspection.as_ref().unwrap().typed(), "7.5");
    assert!(
        tech.refusal().contains("enter 0 to 3 mm"),
        "{}",
        tech.refusal()
    );
    // Enter out of habit after a band's digit leaves the next cell alone.
    let mut tech = walls();
    tech.at("wall.margin_width", "26/mesial").keys("3");
    let next = tech.session.inspection.as_ref().unwrap().cursor().cloned();
    tech.keys("enter");
    assert_eq!(
        tech.session.inspection.as_ref().unwrap().cursor(),
        next.as_ref()
    );
    tech.keys("enter");
    assert_ne!(
        tech.session.inspection.as_ref().unwrap().cursor(),
        next.as_ref()
    );
    // Left before enter, nothing of it is kept, the band least of all.
    for keys in ["1 . 2 down", "1 . down", "1 . 2 pgdn"] {
        let mut tech = walls();
        tech.at("wall.margin_form", "26/mesial").keys("1 1 1 1");
        tech.at("wall.margin_width", "26/mesial").keys(keys);
        let case = tech.session.inspection.as_ref().unwrap().case();
        let width = case.merged(&spot("wall.margin_width", "26/mesial"));
        assert!(width.is_none(), "{keys}");
    }
    // Another key between them: the point begins a number of its own.
    let mut tech = walls();
    tech.at("wall.margin_form", "26/mesial").keys("1 1 1 1");
    tech.at("wall.margin_width", "26/mesial")
        .keys("1 down up . 5");
    assert_eq!(tech.session.inspection.as_ref().unwrap().typed(), ".5");
}

fn scanned() -> Technician {
    let mut case = crown();
    let kind = Reading::plain(choice("scan"));
    case.put(spot("records.kind", "case"), Layer::Measured, kind);
    Technician::on(&case)
}

#[test]
fn the_instrument_follows_the_record_and_sticks() {
    let mut tech = scanned();
    tech.at("tooth.height", "26").keys("4.45 enter 9.05 enter");
    // Somebody takes the caliper up: it serves what follows, until it is laid down.
    tech.keys("m 7.5 enter 9 enter 7 enter");
    assert_eq!(
        tech.wrote(),
        [
            "tooth.height@26 = 4.45 Mm, scan",
            "tooth.width_margin_md@26 = 9.05 Mm, scan",
            "tooth.width_top_md@26 = 7.5 Mm, caliper",
            "tooth.width_margin_fl@26 = 9 Mm, caliper",
            "tooth.width_top_fl@26 = 7 Mm, caliper",
        ]
    );
    // Where the caliper does not measure, the scan does.
    assert_eq!(tech.cursor(), "tooth.clearance@26");
    assert!(tech.questions().present.unwrap().takes.contains("scan"));
    // A reading that is there keeps its own instrument.
    tech.at("tooth.height", "26").keys("4.55 enter");
    assert_eq!(
        tech.wrote().last().unwrap(),
        "tooth.height@26 = 4.55 Mm, scan"
    );
    // Undone and reopened, it is still the caliper's turn.
    tech.keys("u u");
    tech.at("tooth.width_top_fl", "26");
    assert!(tech.questions().present.unwrap().takes.contains("caliper"));
    let again = casepan::session::Inspection::new(
        crate::made::flow(),
        casepan::case::journal::fold(&tech.journal).unwrap(),
        tech.journal.len() as u64,
        uuid::Uuid::from_u128(9),
        None,
    );
    tech.session.show(again);
    tech.at("tooth.width_top_fl", "26");
    assert!(tech.questions().present.unwrap().takes.contains("caliper"));
}

#[test]
fn an_impression_is_measured_with_the_caliper() {
    let mut tech = Technician::on(&crown());
    tech.at("tooth.height", "26")
        .keys("m m 4.45 enter 9.05 enter");
    assert_eq!(
        tech.wrote(),
        [
            "tooth.height@26 = 4.45 Mm, scan",
            // It sticks.
            "tooth.width_margin_md@26 = 9.05 Mm, scan",
        ]
    );
    let mut tech = Technician::on(&crown());
    tech.at("tooth.height", "26").keys("4.4 enter");
    assert_eq!(tech.wrote(), ["tooth.height@26 = 4.4 Mm, caliper"]);
}

#[test]
fn a_line_of_units_is_read_as_a_technician_means_it() {
    for (line, same) in [
        ("14-16", "14 x15 16"),
        ("14 - 16", "14 x15 16"),
        ("14\u{2013}16", "14 x15 16"),
        ("14-16 17", "14 x15 16 17"),
        ("14-16-18", "14 x15 16 x17 18"),
        ("13-23", "13 x12 x11 x21 x22 23"),
        ("44-x45-46", "44 x45 46"),
        ("x14-16", "x14 x15 16"),
        ("14-15", "14 15"),
        ("14,15", "14 15"),
        ("14, x15, 16", "14 x15 16"),
        ("14/15", "14 15"),
        ("14+15", "14; 15"),
        ("14;15", "14; 15"),
        ("14-16+26", "14 x15 16; 26"),
    ] {
        assert_eq!(
            units_line::read(line, Notation::Iso3950),
            Ok(units(same)),
            "{line}"
        );
    }
    for (line, notation, same) in [
        ("3-5", Notation::Universal, "16 x15 14"),
        ("UR4-UR6", Notation::Palmer, "14 x15 16"),
    ] {
        assert_eq!(units_line::read(line, notation), Ok(units(same)), "{line}");
    }
    for (line, why) in [
        (
            "14-36",
            "14 and 36 are in different arches; put ; between two restorations: 44 x45 46; 26",
        ),
        (
            "14 36",
            "the units of R1 are not all in one arch; put ; between two restorations: 44 x45 46; 26",
        ),
        (
            "14-",
            "there is a mark without a tooth; enter for example 44 x45 46; 26",
        ),
        (
            "14 x",
            "there is a mark without a tooth; enter for example 44 x45 46; 26",
        ),
        (
            "",
            "a case needs at least one unit; enter the teeth: 44 x45 46; 26",
        ),
        (
            "14 14",
            "tooth 14 is listed twice; enter each tooth once: 44 x45 46; 26",
        ),
        (
            "x14",
            "R1 has no abutment; put x before missing teeth only: 44 x45 46; 26",
        ),
    ] {
        assert_eq!(
            units_line::read(line, Notation::Iso3950),
            Err(why.to_owned()),
            "{line}"
        );
    }
}

/// A worklist on which the line of a new case is typed.
fn new_case(number: &str, line: &str) -> Session {
    let mut session = Session::new(Notation::Iso3950);
    let mut tick = 0;
    let mut key = |session: &mut Session, key: &str| {
        tick += 1;
        session.key(key, &moment(tick))
    };
    key(&mut session, "n");
    for c in number.chars() {
        key(&mut session, &c.to_string());
    }
    key(&mut session, "enter");
    for c in line.chars() {
        key(&mut session, &c.to_string());
    }
    if !line.is_empty() {
        key(&mut session, "enter");
    }
    session
}

fn asked_back(session: &Session) -> Option<&str> {
    match session.over.line() {
        Some((Prompt::Sure(_, _, says), _)) => Some(says),
        _ => None,
    }
}

#[test]
fn a_bridge_by_its_ends_is_read_back_before_it_is_kept() {
    let mut session = new_case("24-1", "44-46");
    assert_eq!(
        asked_back(&session),
        Some("44-46 means 44 x45 46, 45 missing")
    );
    // Back to the line as it was typed.
    session.key("esc", &moment(50));
    assert_eq!(session.over.line().unwrap().1, "44-46");
    session.key("enter", &moment(51));
    let effects = session.key("enter", &moment(52));
    assert!(
        matches!(&effects[..], [Effect::Create { units: made, .. }] if *made == units("44 x45 46"))
    );
}

#[test]
fn teeth_that_can_be_mistaken_are_asked_about_until_the_notation_is_chosen() {
    let mut session = new_case("24-1", "26");
    assert!(
        asked_back(&session)
            .unwrap()
            .contains("in Universal it would be")
    );
    let effects = session.key("enter", &moment(50));
    assert!(matches!(
        &effects[..],
        [Effect::Create { .. }, Effect::Choose(Notation::Iso3950)]
    ));
    // The next case is not asked about, but in a notation that nobody has chosen.
    for (notation, asks) in [(Notation::Iso3950, false), (Notation::Universal, true)] {
        session.notation = notation;
        for key in ["n", "7", "enter", "1", "4", "enter"] {
            session.key(key, &moment(60));
        }
        assert_eq!(asked_back(&session).is_some(), asks, "{notation:?}");
        session.over.close_line();
    }
}

#[test]
fn a_number_that_is_a_name_is_asked_back_once() {
    for name in [
        "Mary Smith",
        "Smith",
        "smith, m".replace(',', "").as_str(),
        "mary smith",
        "Mary-Smith",
        "O.Smith",
        "राम",
    ] {
        let mut session = new_case(name, "");
        let says = asked_back(&session).unwrap_or_default().to_owned();
        assert!(says.starts_with("No patient names: use"), "{name}: {says}");
        session.key("esc", &moment(50));
        assert_eq!(
            session.over.line(),
            Some(&(Prompt::Number, name.to_owned()))
        );
        session.key("enter", &moment(51));
        session.key("enter", &moment(52));
        assert_eq!(
            session.over.line(),
            Some(&(Prompt::NewUnits(name.to_owned()), String::new()))
        );
    }
    for code in [
        "AB-12", "2026/117", "K17", "ABC", "24-0381", "Smith 2", "ab",
    ] {
        let session = new_case(code, "");
        assert_eq!(
            session.over.line(),
            Some(&(Prompt::NewUnits(code.to_owned()), String::new()))
        );
    }
}

/// Taps a digit by hand at a time in milliseconds.
fn tap(tech: &mut Technician, key: &str, at: i64) {
    let start = moment(0);
    let mut now = moment(1_000 + u64::try_from(at).unwrap());
    now.now = start.now + jiff::SignedDuration::from_millis(at);
    let effects = tech.session.key(key, &now);
    tech.take(&effects);
}

fn tapping() -> Technician {
    let mut tech = Technician::on(&case("26", &[]));
    tech.session.taps.by_hand = true;
    assert_eq!(tech.cursor(), "order.scope@R1");
    tech
}

#[test]
fn a_second_tap_answers_nothing() {
    let mut tech = tapping();
    tap(&mut tech, "1", 0);
    tap(&mut tech, "1", 90);
    assert_eq!(tech.wrote(), ["order.scope@R1 = teeth"]);
    assert_eq!(tech.session.notice.as_deref(), Some("second press ignored"));
    // Somebody who has read the question answers it.
    tap(&mut tech, "1", 500);
    assert_eq!(tech.wrote().len(), 2);
    assert_eq!(tech.session.notice, None);
    // Another digit counts at once.
    let mut tech = tapping();
    for (n, key) in ["1", "2", "1", "5", "1"].into_iter().enumerate() {
        tap(&mut tech, key, 60 * n as i64);
    }
    assert_eq!(tech.wrote().len(), 5);
    // What came in one moment was typed ahead, and lines are no taps.
    let mut tech = tapping();
    for _ in 0..3 {
        tap(&mut tech, "1", 0);
    }
    assert_eq!(tech.wrote().len(), 3);
    let mut tech = tapping();
    tech.session.taps.by_hand = false;
    for n in 0..3 {
        tap(&mut tech, "1", 20 * n);
    }
    assert_eq!(tech.wrote().len(), 3);
}

/// None of all preps is one key for many checks: struck twice it answers one list, even where both came at once.
#[test]
fn none_struck_twice_answers_one_list() {
    for gap in [0, 90] {
        let mut tech = tapping();
        tech.at("restoration.usual_path", "R1");
        tap(&mut tech, "0", 0);
        tap(&mut tech, "0", gap);
        assert_eq!(tech.wrote().len(), 1, "{gap} ms");
        tap(&mut tech, "0", gap + 600);
        assert_eq!(tech.wrote().len(), 2, "{gap} ms");
    }
}

/// "Not seen" and "as before" answer at once like a digit: held down they answer one question too.
#[test]
fn a_held_key_for_not_seen_answers_one_question() {
    for (delay, every) in [(500, 33), (250, 33), (660, 40)] {
        let mut tech = tapping();
        let first = tech.cursor();
        tap(&mut tech, "-", 0);
        for n in 0..40 {
            tap(&mut tech, "-", delay + every * n);
        }
        assert_ne!(tech.cursor(), first);
        assert_eq!(tech.case().layers().count(), 1, "{delay} {every}");
    }
}

#[test]
fn a_digit_that_is_held_answers_one_question() {
    for (delay, every) in [(500, 33), (250, 33), (660, 40), (400, 90)] {
        let mut tech = tapping();
        tap(&mut tech, "1", 0);
        for n in 0..40 {
            tap(&mut tech, "1", delay + every * n);
        }
        assert_eq!(tech.session.page, Page::Questions);
        assert_eq!(tech.cursor(), "order.matches@case", "{delay} {every}");
        let case = tech.case();
        assert_eq!(case.layers().count(), 1, "{delay} {every}");
    }
}
