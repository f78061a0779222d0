//! A remake is linked with the case that came back: its readings stand beside those of now, and its outcome is written down.

use casepan::case::Case;
use casepan::case::journal::fold;
use casepan::case::outcome::Kind;
use casepan::fact::{Place, REMAKE_CASE, Value};
use casepan::session::view::{OutcomeView, PageView};
use uuid::Uuid;

use super::{Lab, TODAY};
use crate::good::{choice, mm, put};
use crate::session::moment;
use crate::states::good;

fn case(number: &str, units: &str, dentist: &str) -> Case {
    let mut case = good(units, "zirconia-3y", &[]);
    case.number = number.to_owned();
    put(
        &mut case,
        "order.dentist",
        "case",
        Value::Text(dentist.to_owned()),
    );
    case
}

fn remake(number: &str, height: f64) -> Case {
    let mut case = case(number, "46", "p-04");
    put(&mut case, "order.make", "R1", choice("remake"));
    put(&mut case, "remake.what", "R1", choice("came-off"));
    put(&mut case, "tooth.height", "46", mm(height));
    case
}

impl Lab {
    /// Keys, each at its own moment: no two entries have one id.
    fn typed(&mut self, keys: &str) {
        for key in keys.split(' ') {
            let at = casepan::session::Moment {
                id: Uuid::new_v4(),
                ..moment(1)
            };
            self.desk.key(key, &at);
        }
    }

    fn deliver(&mut self, case: &Case) {
        self.bring_in(case);
        self.desk.open(&case.number).unwrap();
        self.typed("s b 1 enter");
        if self.desk.session.over.line().is_some() {
            self.typed("enter");
        }
        let delivered = self
            .desk
            .session
            .inspection
            .as_ref()
            .unwrap()
            .case()
            .delivered();
        assert_eq!(delivered, [1], "{:?}", self.desk.session.notice);
    }

    fn kept(&self, number: &str) -> Case {
        fold(&self.archive().journal(number).unwrap()).unwrap()
    }

    fn page(&self) -> OutcomeView {
        match self.desk.session.view().page {
            PageView::Outcome(page) => *page,
            _ => panic!("another page"),
        }
    }
}

#[test]
fn a_remake_is_linked_with_the_delivered_case_of_its_dentist_and_tooth() {
    let mut lab = Lab::new();
    lab.deliver(&case("D-1", "46", "p-04"));
    lab.deliver(&case("D-2", "26", "p-04"));
    lab.deliver(&case("D-3", "46", "p-05"));
    lab.bring_in(&case("D-4", "46", "p-04"));
    let new = remake("D-9", 2.9);
    lab.bring_in(&new);
    lab.desk.open("D-9").unwrap();
    lab.typed("s e");
    let page = lab.page();
    let offered: Vec<&str> = page.choices.iter().map(|own| own.words.as_str()).collect();
    assert_eq!(offered, ["D-1: 46, delivered Mon 23 Nov 2026"]);

    // A digit alone writes nothing.
    lab.typed("1");
    assert!(lab.kept("D-1").outcomes().is_empty());
    lab.typed("enter");
    let old = lab.kept("D-1");
    let [outcome] = old.outcomes() else {
        panic!("{:?}", old.outcomes());
    };
    assert_eq!((outcome.what, outcome.on), (Kind::CameOff, TODAY));
    assert_eq!(outcome.goes_on.as_deref(), Some("D-9"));
    let named = |lab: &Lab| {
        lab.kept("D-9")
            .value(&REMAKE_CASE, Place::Restoration(1))
            .cloned()
    };
    assert_eq!(named(&lab), Some(Value::Text("D-1".to_owned())));

    // What was read then stands beside what is read now, on the page and on the sheet.
    let height = old
        .value(&casepan::fact::HEIGHT, "46".parse().unwrap())
        .cloned();
    let Some(Value::Number(height, _)) = height else {
        panic!("no height");
    };
    let line = format!("46 height: {height:.1} mm then, 2.9 mm today");
    let page = lab.page();
    let lines: Vec<&String> = page.then.iter().flat_map(|(_, lines)| lines).collect();
    assert!(lines.contains(&&line), "{lines:?} lacks {line}");
    assert!(
        page.known.iter().any(|own| own.contains("was D-1")),
        "{:?}",
        page.known
    );
    lab.typed("s");
    let PageView::Summary(lines) = lab.desk.session.view().page else {
        panic!("another page");
    };
    assert!(lines.iter().any(|own| own.text == "D-1 and today"));

    // Another bench finds it too.
    lab.again();
    lab.desk.open("D-9").unwrap();
    let earlier = &lab.desk.session.inspection.as_ref().unwrap().earlier;
    assert_eq!(earlier.len(), 1);
    assert_eq!(earlier[0].number, "D-1");
    assert!(earlier[0].case.is_some());
}

#[test]
fn nothing_is_offered_without_the_dentist_and_nothing_linked_before_it_is_said_what_went_wrong() {
    let mut lab = Lab::new();
    lab.deliver(&case("D-1", "46", "p-04"));
    let mut silent = remake("D-8", 3.0);
    silent.clear(
        &casepan::fact::Spot {
            fact: casepan::fact::REMAKE_WHAT,
            at: Place::Restoration(1),
        },
        casepan::case::Layer::Measured,
    );
    lab.bring_in(&silent);
    lab.desk.open("D-8").unwrap();
    lab.typed("s e 1");
    let notice = lab.desk.session.notice.clone().unwrap_or_default();
    assert!(notice.contains("what went wrong"), "{notice}");
    lab.typed("enter");
    assert!(lab.kept("D-1").outcomes().is_empty());

    let mut nobody = remake("D-9", 3.0);
    nobody.clear(
        &casepan::fact::Spot {
            fact: casepan::fact::ORDER_DENTIST,
            at: Place::Case,
        },
        casepan::case::Layer::Measured,
    );
    lab.bring_in(&nobody);
    lab.desk.open("D-9").unwrap();
    lab.typed("s e");
    let page = lab.page();
    assert!(page.choices.is_empty());
    assert!(
        page.says.iter().any(|own| own.contains("dentist's code")),
        "{:?}",
        page.says
    );
}

#[test]
fn a_number_that_the_archive_does_not_have_is_said_to_be_missing() {
    let mut lab = Lab::new();
    let mut new = remake("D-9", 2.9);
    put(&mut new, "remake.case", "R1", Value::Text("D-0".to_owned()));
    lab.bring_in(&new);
    lab.desk.open("D-9").unwrap();
    lab.typed("s e");
    let known = lab.page().known;
    assert!(
        known
            .iter()
            .any(|own| own.contains("D-0, which this archive does not have")),
        "{known:?}"
    );
}

#[test]
fn a_link_that_is_undone_says_what_still_stands_and_asks_again() {
    let mut lab = Lab::new();
    lab.deliver(&case("D-1", "46", "p-04"));
    lab.bring_in(&remake("D-8", 2.9));
    lab.bring_in(&remake("D-9", 3.0));
    lab.desk.open("D-9").unwrap();
    lab.typed("s e 1 enter u");
    assert_eq!(
        lab.kept("D-9").value(&REMAKE_CASE, Place::Restoration(1)),
        None
    );
    assert_eq!(
        lab.kept("D-1").outcomes().len(),
        1,
        "nobody takes back what stands in another case"
    );
    let notice = lab.desk.session.notice.clone().unwrap_or_default();
    assert!(notice.contains("D-1 still says"), "{notice}");
    // Its own case offers it again; another one does not: it goes on already.
    assert_eq!(lab.page().choices.len(), 1);
    lab.desk.open("D-8").unwrap();
    lab.typed("s e");
    assert!(lab.page().choices.is_empty());
}
