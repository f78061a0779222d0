//! The small things by lines: days, numbers at bands, what comes up late.

use casepan::case::{Case, Layer, Reading};
use casepan::fact::Value;

use super::{Bench, short};
use crate::made::{choice, spot};
use crate::session::crown;

/// A crown whose walls are asked for, each with a chamfer.
fn walled() -> Case {
    let mut case = crown();
    let mut put = |fact: &str, at: &str, value: Value| {
        case.put(spot(fact, at), Layer::Measured, Reading::plain(value));
    };
    put("tooth.wall_by_wall", "26", Value::Yes);
    for wall in ["mesial", "distal", "facial", "lingual"] {
        put("wall.margin_form", &format!("26/{wall}"), choice("chamfer"));
    }
    case
}

#[test]
fn days_are_said_in_words_and_typed_as_on_a_ticket() {
    for (fact, line, said) in [
        ("impression.taken", "3", "saved: taken on: Fri 20 Nov 2026"),
        (
            "impression.taken",
            "20.11",
            "saved: taken on: Fri 20 Nov 2026",
        ),
        (
            "impression.poured",
            "+2",
            "saved: poured on: Wed 25 Nov 2026",
        ),
        (
            "order.seating_day",
            "7",
            "saved: seating day: Mon 30 Nov 2026",
        ),
        (
            "order.seating_day",
            "28/11",
            "saved: seating day: Sat 28 Nov 2026",
        ),
        (
            "order.seating_day",
            "28 11",
            "saved: seating day: Sat 28 Nov 2026",
        ),
        (
            "order.seating_day",
            "2026-11-28",
            "saved: seating day: Sat 28 Nov 2026",
        ),
    ] {
        Bench::on(&walled())
            .at(fact, "case")
            .all(&format!("{line}\n"))
            .has(said);
    }
    let told = Bench::on(&walled())
        .at("order.seating_day", "case")
        .say("20-11\n");
    told.has("refused: Fri 20 Nov 2026 is past; enter today or a later day");
}

#[test]
fn a_number_at_bands_is_one_line() {
    for (line, said) in [
        ("0.6", "saved: 26 mesial, margin width: 0.6 mm"),
        (".6", "saved: 26 mesial, margin width: 0.6 mm"),
        ("1.2", "saved: 26 mesial, margin width: 1.2 mm"),
        ("1", "saved: 26 mesial, margin width: 0.3 mm"),
    ] {
        Bench::on(&walled())
            .at("wall.margin_width", "26/mesial")
            .all(&format!("{line}\n"))
            .has(said);
    }
    let told = Bench::on(&walled())
        .at("wall.margin_width", "26/mesial")
        .say("9.0\n");
    told.has("refused: enter 0 to 3 mm");
}

#[test]
fn what_comes_up_late_is_asked_next_and_said() {
    let mut bench = Bench::on(&short());
    // The prep turns out to be short of hold, so that grinding matters.
    let told = bench.at("tooth.width_top_fl", "26").all("6.8\n1\n1\n1\n");
    told.has("back to Bite: grinding or clenching");
    told.has("saved: grinding or clenching: none known");
    let inspection = bench.desk.session.inspection.as_ref().unwrap();
    let cursor = inspection.cursor().unwrap();
    assert_eq!(
        format!("{}@{}", cursor.fact, cursor.at),
        "tooth.clearance@26"
    );
}

/// None of them beside a tooth contradicts itself: nothing is kept, and the question stands.
#[test]
fn none_beside_a_tooth_is_no_answer() {
    for line in ["10", "1 0", "01", "0 1"] {
        let mut bench = Bench::on(&walled());
        let before = bench.journal();
        let told = bench
            .at("restoration.usual_path", "R1")
            .say(&format!("{line}\n"));
        told.has("refused: 0 means none of them and stands alone; name teeth without it");
        assert_eq!(bench.journal(), before, "{line}");
    }
}
