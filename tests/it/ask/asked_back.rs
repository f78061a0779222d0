//! A reading that cannot be is asked back line by line too; the next line answers it.

use casepan::case::{Case, Layer, Reading};
use casepan::fact::Value;

use super::Bench;
use crate::made::{mm, spot};
use crate::session::crown;

fn case() -> Case {
    let mut case = crown();
    for (fact, value) in [("tooth.height", 4.5), ("tooth.width_margin_md", 8.6)] {
        case.put(spot(fact, "26"), Layer::Measured, Reading::plain(mm(value)));
    }
    case
}

fn bench() -> Bench {
    let mut bench = Bench::on(&case());
    let inspection = bench.desk.session.inspection.as_mut().expect("a case");
    inspection.put_cursor(Some(spot("tooth.width_top_md", "26")));
    bench
}

fn kept(bench: &Bench) -> Option<Value> {
    let spot = spot("tooth.width_top_md", "26");
    let inspection = bench.desk.session.inspection.as_ref().expect("a case");
    inspection.case().value(&spot.fact, spot.at).cloned()
}

const ASKED: &str = "please check: 26: top 9.4 mm but margin 8.6 mm, m-d. Swapped?";

#[test]
fn it_is_said_and_yes_or_the_same_again_keeps_it() {
    for line in ["yes", "9.4", "+", "save as measured", ":insist"] {
        let mut bench = bench();
        let told = bench.say("9.4\n");
        told.has(ASKED);
        assert_eq!((told.ended.refused, kept(&bench)), (0, None));
        let told = bench.say(&format!("{line}\n"));
        assert_eq!(told.ended.refused, 0, "{line}: {:#?}", told.lines);
        assert_eq!(kept(&bench), Some(mm(9.4)), "{line}");
    }
}

#[test]
fn an_empty_line_says_it_again_and_another_answer_takes_its_place() {
    let mut bench = bench();
    let told = bench.say("9.4\n\n\n");
    assert!(told.lines.iter().filter(|line| *line == ASKED).count() >= 2);
    assert_eq!(kept(&bench), None);
    bench.say("7.9\n");
    assert_eq!(kept(&bench), Some(mm(7.9)));
}

#[test]
fn what_is_not_taken_leaves_it_typed() {
    let mut bench = bench();
    let told = bench.say("9.4\n99\n");
    assert_eq!(told.ended.refused, 1);
    let inspection = bench.desk.session.inspection.as_ref().expect("a case");
    assert_eq!((kept(&bench), inspection.typed()), (None, "9.4"));
}

/// Lines that end there are told that the reading is not kept.
#[test]
fn lines_that_end_there_say_so() {
    let mut bench = bench();
    let told = bench.say("9.4\n");
    assert!(told.ended.asked_back);
    told.has(casepan::ask::NOT_KEPT);
    let told = bench.say("9.4\nyes\n");
    assert!(!told.ended.asked_back);
}
