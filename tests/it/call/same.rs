//! One answer for several questions.

use casepan::case::decision::Matter;
use casepan::case::{Layer, Reading};
use casepan::derive::{Facts, Precision};
use casepan::fact::Value;
use casepan::judge::judge;
use casepan::options::{CaseOption, case_options};
use casepan::session::Ways;
use casepan::session::call::{Pick, Row};
use casepan::session::view::{PageView, PanelLine};

use super::demo;
use crate::good::flow;
use crate::made::{mm, spot};
use crate::session::Technician;

/// Works the options out, as the thread beside the keys does.
fn work_out(tech: &mut Technician) {
    let inspection = tech.session.inspection.as_mut().unwrap();
    let case = inspection.case().clone();
    let facts = Facts::with(flow(), &case, Precision::Quick);
    inspection.ways = Some(Ways {
        singles: case_options(flow(), &facts, &judge(flow(), &facts)),
        together: Some(Vec::new()),
        steady: Vec::new(),
    });
}

fn questions(tech: &Technician) -> Vec<(usize, Matter)> {
    let inspection = tech.session.inspection.as_ref().unwrap();
    let rows = tech.session.call_rows(inspection).into_iter().enumerate();
    rows.filter_map(|(place, row)| match row {
        Row::Ask(about) => Some((place, about)),
        _ => None,
    })
    .collect()
}

fn ways(tech: &Technician, about: &Matter) -> Vec<CaseOption> {
    let inspection = tech.session.inspection.as_ref().unwrap();
    tech.session.ways_behind(inspection, about)
}

/// Returns whether the page says that the marked question can have the answer before.
fn offers_the_same(tech: &Technician) -> bool {
    let PageView::Call(page) = tech.session.view().page else {
        panic!("not the call");
    };
    let mut lines = page.panel.iter();
    lines.any(
        |line| matches!(line, PanelLine::Text(text) if text.starts_with("* the same answer: ")),
    )
}

#[test]
fn one_answer_is_given_to_a_second_question_in_two_keys() {
    // Two retainers that tip, and no shade.
    let mut case = demo("bridge-44-46");
    for (fact, at, value) in [
        ("tooth.height", "44", mm(2.4)),
        ("tooth.width_top_md", "44", mm(3.4)),
        ("tooth.width_top_fl", "44", mm(4.2)),
        ("order.shade_given", "case", Value::No),
    ] {
        case.put(spot(fact, at), Layer::Measured, Reading::plain(value));
    }
    let mut tech = Technician::on(&case);
    work_out(&mut tech);
    tech.keys("c 1");
    let all = questions(&tech);
    // Two questions that one option answers, and a third that it does not.
    let shared = all.iter().find_map(|(_, one)| {
        ways(&tech, one).into_iter().find_map(|way| {
            let has = |about: &Matter| ways(&tech, about).iter().any(|own| own.is_same(&way));
            let with: Vec<_> = all
                .iter()
                .filter(|(_, about)| has(about))
                .cloned()
                .collect();
            let without = all.iter().find(|(_, about)| !has(about)).cloned();
            Some((way, with, without?)).filter(|(_, with, _)| with.len() > 1)
        })
    });
    let (way, with, without) = shared.expect("an option for two questions");
    let [first, second] = [&with[0], &with[1]];
    tech.session.call.marked = first.0;
    assert!(!offers_the_same(&tech));
    tech.key("*");
    assert!(tech.session.notice.take().is_some());
    assert!(tech.session.call.open.is_none());
    let inspection = tech.session.inspection.as_ref().unwrap();
    let picks = tech.session.picks(inspection, &first.1);
    let (digit, _) = picks
        .into_iter()
        .find(|(_, pick)| matches!(pick, Pick::Way(own) if own.is_same(&way)))
        .expect("on the first page of options");
    tech.keys(&format!("{digit} enter"));
    work_out(&mut tech);
    let taken = |tech: &Technician, about: &Matter| {
        let case = tech.session.inspection.as_ref().unwrap().case();
        case.decision(about).map(|own| own.decision.taken.clone())
    };
    let said = taken(&tech, &first.1).expect("the first is answered");
    assert_eq!(taken(&tech, &second.1), None);
    // Where it is no answer, the key says so and opens nothing.
    tech.session.call.marked = without.0;
    assert!(!offers_the_same(&tech));
    tech.key("*");
    assert!(tech.session.notice.take().is_some());
    assert!(tech.session.call.open.is_none());
    let place = questions(&tech)
        .into_iter()
        .find(|(_, own)| *own == second.1);
    tech.session.call.marked = place.expect("it is still asked").0;
    assert!(offers_the_same(&tech));
    tech.key("*");
    // It is read back, and kept by Enter alone.
    assert_eq!(taken(&tech, &second.1), None);
    tech.key("enter");
    assert_eq!(taken(&tech, &second.1), Some(said));
}
