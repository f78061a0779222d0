//! What was agreed and what arrives, by lines.

use casepan::case::coming::Part;
use casepan::case::life::State;

use super::Bench;
use crate::made::choice;
use crate::states::good;

/// The first two stories by lines: agreed, waited for, arrived, asked anew.
#[test]
fn what_was_agreed_is_waited_for_and_arrives_by_lines() {
    let lost = [("tooth.margin_seen", "46", choice("over-2"))];
    let mut bench = Bench::on(&good("26; 46", "zirconia-4y", &lost));
    bench.desk.work_late();
    let told = bench.all("call\n1\n");
    let option = told
        .lines
        .iter()
        .find(|line| line.contains("a new impression or scan of 46"))
        .expect("an option");
    let digit = option.split(':').next().expect("its digit").to_owned();
    bench.all(&format!("{digit}\n\n"));
    let far = |bench: &Bench| bench.desk.session.case_state().expect("a case").state;
    assert_eq!(far(&bench), State::Waiting);
    assert_eq!(
        bench.kept().waits().next().unwrap().missing[0].0,
        Part::Impression
    );
    let told = bench.all("where\n");
    assert!(
        told.lines.iter().any(|line| line.starts_with("result: ")
            && line.contains(", waiting 1 of 2 for ")
            && line.contains("impression")),
        "{:#?}",
        told.lines
    );
    // Nothing came that is still to come.
    let told = bench.say("arrived\n\n2030-01-01\n:back\n");
    assert_eq!(told.ended.refused, 1, "{:#?}", told.lines);
    bench.all("arrived\n\n\n");
    assert_eq!(far(&bench), State::Inspecting);
    assert!(bench.kept().waits().next().is_none());
}
