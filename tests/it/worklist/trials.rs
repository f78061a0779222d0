//! The pages of rules on trial and of a limit that is moved: their figures against an archive that is counted plainly, their
//! keys, and that nobody waits for what nobody asks any more.

use std::sync::mpsc::sync_channel;

use casepan::case::decision::DentistAnswer;
use casepan::case::journal::{Body, Entry};
use casepan::case::life::Happened;
use casepan::case::outcome::Kind;
use casepan::demo::journal;
use casepan::demo::laboratory::{Plan, orders};
use casepan::fact::Value;
use casepan::session::view::{LeafView, PageView};
use casepan::session::{Page, Rated};
use jiff::ToSpan as _;
use jiff::civil::{Date, date};

use super::{Lab, TODAY, sql};
use crate::made::flow;

/// What stands in a journal, read without the program's own reading of it.
struct Plain {
    number: String,
    dentist: String,
    opened: Date,
    molar: bool,
    height: f64,
    /// Cut anew or not made after all.
    changed: bool,
    delivered: Option<Date>,
    outcomes: Vec<(Kind, Date)>,
}

fn plain(number: &str, opened: Date, tooth: u8, entries: &[Entry]) -> Plain {
    let mut own = Plain {
        number: number.to_owned(),
        dentist: String::new(),
        opened,
        molar: tooth % 10 >= 6,
        height: f64::NAN,
        changed: false,
        delivered: None,
        outcomes: Vec::new(),
    };
    let mut found = true;
    for entry in entries {
        match &entry.body {
            Body::Answer { spot, value, .. } => match (spot.fact.as_str(), value) {
                ("order.dentist", Value::Text(code)) => own.dentist.clone_from(code),
                ("tooth.height", Value::Number(height, _)) if found => own.height = *height,
                _ => {}
            },
            Body::Decide { decision } => {
                found = false;
                // A shade that is told changes no prep.
                own.changed |= decision.outcome == DentistAnswer::Agreed
                    && decision.about.rule != "shade-missing";
            }
            Body::Happened { event } => {
                found = false;
                match event.what {
                    Happened::Delivered => own.delivered = Some(event.on),
                    Happened::Withdrawn => own.changed = true,
                    _ => {}
                }
            }
            Body::Outcome { outcome } => own.outcomes.push((outcome.what, outcome.on)),
            _ => {}
        }
    }
    own
}

/// An invented laboratory, and what stands in its journals.
fn invented(cases: usize) -> (Lab, Vec<Plain>) {
    let mut lab = Lab::new();
    let mut archive = lab.archive();
    let plan = Plan {
        cases,
        seed: 2,
        until: TODAY,
    };
    let mut all = Vec::new();
    for order in orders(&plan) {
        let entries = journal(&flow(), &order, TODAY, 2).unwrap();
        archive.append(&order.number(), &entries).unwrap();
        all.push(plain(&order.number(), order.opened, order.tooth, &entries));
    }
    lab.desk.show_worklist().unwrap();
    (lab, all)
}

fn shown(lab: &Lab) -> LeafView {
    match lab.desk.session.view().page {
        PageView::Leaf(page) => *page,
        _ => panic!("another page"),
    }
}

fn row(page: &LeafView, name: &str) -> usize {
    let mut rows = page.leaf.rows.iter();
    let found = rows.position(|row| row[0] == name);
    found.unwrap_or_else(|| panic!("{name}: {:#?}", page.leaf.rows))
}

/// Marks a row by its name and opens it.
fn open(lab: &mut Lab, name: &str) {
    for _ in 0..row(&shown(lab), name) {
        lab.keys("down");
    }
    lab.keys("enter");
}

fn number(cell: &str) -> u64 {
    let text = cell.trim();
    text.parse().unwrap_or_else(|_| panic!("{cell:?}"))
}

/// The first day of the quarter of [`TODAY`].
const CLOSING: Date = date(2026, 10, 1);

/// Whether it was followed for a year, and whether it came off within it; `None` if it tells nothing.
fn followed(own: &Plain, all: &[Plain]) -> Option<bool> {
    let delivered = own.delivered.filter(|on| *on <= CLOSING && !own.changed)?;
    let of_dentist = || all.iter().filter(|other| other.dentist == own.dentist);
    if of_dentist().all(|other| other.outcomes.is_empty()) {
        return None;
    }
    let orders = of_dentist().map(|other| other.opened);
    let last = orders.filter(|on| *on <= CLOSING).max().unwrap();
    let lost = own
        .outcomes
        .iter()
        .filter(|(what, _)| *what == Kind::LostSight);
    let last = lost.map(|(_, on)| *on).fold(last, Date::min);
    let end = delivered.saturating_add(12.months());
    let off = |(what, on): &(Kind, Date)| *what == Kind::CameOff && *on <= end;
    (end <= last).then(|| own.outcomes.iter().any(off))
}

/// The slices of the call for short molars, counted plainly from the journals.
#[test]
fn slices_are_what_counting_the_journals_gives() {
    let (mut lab, all) = invented(300);
    lab.keys("t");
    open(&mut lab, "stump-short");
    assert_eq!(shown(&lab).leaf.title, "Rule on trial: stump-short");
    // Its first limit is that of all teeth, the second that of molars.
    lab.keys("l right");
    let page = shown(&lab);
    assert_eq!(page.right, "limit 2 of 4, steps of 0.2 mm");
    let at: Vec<f64> = (0..9).map(|nth| f64::from(17 + 2 * nth) / 10.0).collect();
    let told = |own: &Plain, at: f64| own.height < 2.0 || own.molar && own.height < at;
    let slice = |own: &Plain| at.iter().position(|at| told(own, *at)).unwrap_or(at.len());
    let mut sum = 0;
    let mut filled = 0;
    assert_eq!(page.leaf.rows.len(), at.len() + 1);
    for (nth, row) in page.leaf.rows.iter().enumerate() {
        let here: Vec<&Plain> = all.iter().filter(|own| slice(own) == nth).collect();
        let count = |of: &dyn Fn(&Plain) -> bool| here.iter().filter(|own| of(own)).count() as u64;
        sum += here.len() as u64;
        filled += u64::from(!here.is_empty());
        let wanted = [
            (1, here.len() as u64),
            (3, count(&|own| followed(own, &all).is_some())),
            (4, count(&|own| followed(own, &all) == Some(true))),
            (6, count(&|own| own.changed || own.delivered.is_none())),
        ];
        for (column, wanted) in wanted {
            assert_eq!(number(&row[column]), wanted, "{nth} {column}: {row:?}");
        }
        match at.get(nth) {
            Some(_) => assert_eq!(number(&row[2]), sum, "{row:?}"),
            None => assert_eq!(row[2].trim(), "–"),
        }
        assert_eq!(row[7] == "now", nth == 4, "{row:?}");
    }
    assert!(filled > 3, "{:#?}", page.leaf.rows);
    assert_eq!(sum, 300);
    // Enter lists the cases of the marked slice, which is where the limit stands; one further there are some.
    lab.keys("down enter");
    let page = shown(&lab);
    let wanted: Vec<String> = all
        .iter()
        .filter(|own| slice(own) == 5)
        .map(|own| format!("{} R1", own.number))
        .collect();
    let listed: Vec<&String> = page.leaf.rows.iter().map(|row| &row[0]).collect();
    assert!(wanted.len() > 1);
    assert_eq!(listed, wanted.iter().collect::<Vec<_>>());
    assert_eq!(page.leaf.title, "stump-short, call: 2.5 to 2.7 mm");
    for row in &page.leaf.rows {
        let own = all
            .iter()
            .find(|own| row[0].starts_with(&own.number))
            .unwrap();
        let wanted = match (own.changed || own.delivered.is_none(), followed(own, &all)) {
            (true, _) => "changed or not made",
            (_, Some(true)) => "back",
            (_, Some(false)) => "not back",
            _ => {
                assert!(
                    ["not long enough", "never heard of", "delivered since"]
                        .contains(&row[3].as_str()),
                    "{row:?}"
                );
                continue;
            }
        };
        assert_eq!(row[3], wanted, "{row:?}");
    }
    // Enter opens a case, and whoever leaves it is where the slice was.
    lab.keys("down enter");
    let open = lab
        .desk
        .session
        .inspection
        .as_ref()
        .map(|own| own.case().number.clone());
    assert_eq!(open.map(|own| format!("{own} R1")), Some(wanted[1].clone()));
    lab.keys("q");
    assert_eq!(
        (lab.desk.session.page, shown(&lab).marked),
        (Page::Limits, Some(1))
    );
    lab.keys("esc esc esc esc");
    assert_eq!(lab.desk.session.page, Page::Worklist);
    // A case that is opened from the worklist goes back there.
    lab.keys("enter q");
    assert_eq!(lab.desk.session.page, Page::Worklist);
}

/// Each rule's own counts, from the journals: at how many a height under 4 mm or 3 mm was read.
#[test]
fn the_list_and_the_rule_in_full_count_alike() {
    let (mut lab, all) = invented(120);
    lab.keys("t");
    let page = shown(&lab);
    assert_eq!(page.leaf.title, "Rules on trial");
    let own = &page.leaf.rows[row(&page, "stump-short")];
    let short = |own: &&Plain| own.height < 3.0 || own.molar && own.height < 4.0;
    assert_eq!(number(&own[1]), all.iter().filter(short).count() as u64);
    // Rules that never told anything come last, and are there all the same.
    let told: Vec<bool> = page
        .leaf
        .rows
        .iter()
        .map(|row| number(&row[1]) > 0)
        .collect();
    assert!(told.is_sorted_by(|one, other| one >= other), "{told:?}");
    assert!(told.contains(&false) && told.contains(&true));
    let foretell = flow()
        .rules
        .iter()
        .filter(|own| !own.foretells.is_empty())
        .count();
    assert_eq!(told.len(), foretell);
    let (as_ordered, silent) = (own[3].clone(), own[5].clone());
    open(&mut lab, "stump-short");
    let page = shown(&lab);
    for (name, wanted) in [("told, as ordered", as_ordered), ("silent", silent)] {
        assert_eq!(page.leaf.rows[row(&page, name)][1], wanted, "{name}");
    }
    // Others by key, and back again.
    lab.keys("n");
    assert_ne!(shown(&lab).leaf.title, page.leaf.title);
    lab.keys("b");
    assert_eq!(shown(&lab), page);
    lab.keys("m");
    assert!(
        shown(&lab).leaf.over.contains("24 months"),
        "{:?}",
        shown(&lab).leaf.over
    );
    // What is shown is what is printed.
    lab.keys("w");
    let print = lab.directory.path().join("prints/casepan-rules");
    let text = std::fs::read_to_string(print.with_extension("txt")).unwrap();
    for part in [
        "Rule on trial: stump-short\n====",
        "told, as ordered",
        "not drawn by lot",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert!(print.with_extension("html").exists());
    lab.keys("esc esc");
    assert_eq!(lab.desk.session.page, Page::Worklist);
}

/// What can be asked of a limit: finer and wider steps; a rule without a number has none.
#[test]
fn a_limit_is_moved_finer_and_wider() {
    let (mut lab, _) = invented(60);
    lab.keys("t");
    open(&mut lab, "stump-short");
    lab.keys("l");
    let steps = |lab: &Lab| shown(lab).right;
    assert_eq!(steps(&lab), "limit 1 of 4, steps of 0.2 mm");
    lab.keys("s");
    assert_eq!(steps(&lab), "limit 1 of 4, steps of 0.1 mm");
    lab.keys("s");
    assert_eq!(steps(&lab), "limit 1 of 4, steps of 0.5 mm");
    lab.keys("s left");
    assert_eq!(steps(&lab), "limit 4 of 4, steps of 0.2 mm");
    // Sixty cases have too few returns, and that is said in place of slices.
    let page = shown(&lab);
    assert!(page.leaf.rows.is_empty());
    let said = page.leaf.before.join(" ");
    assert!(said.contains("slices of so few say nothing"), "{said}");
    assert!(said.contains("m follows each restoration"), "{said}");
    assert_eq!(page.leaf.title, "stump-short, watch: height; came off");
}

/// A case that cannot be read is left out, and said to be.
#[test]
fn what_cannot_be_read_is_counted() {
    let (mut lab, _) = invented(20);
    sql(
        &lab.path(),
        "DROP TRIGGER entry_is_final; UPDATE entry SET body = '{}' WHERE case_number = 'L-0003' AND number = 2;",
    );
    lab.keys("t");
    let page = shown(&lab);
    assert!(
        page.leaf.before[0].starts_with("19 restorations"),
        "{:?}",
        page.leaf.before
    );
    assert_eq!(page.leaf.before[1], "Left out: 1 case cannot be read.");
}

/// No key waits; whoever leaves or turns on stops what is read, and an answer that comes late is dropped.
#[test]
fn nobody_waits_for_what_nobody_asks_any_more() {
    let (mut lab, _) = invented(300);
    // Nobody takes an answer: the thread stands at the first that it gives.
    let (sender, came) = sync_channel(0);
    lab.desk.rate_apart(move |rated| drop(sender.send(rated)));
    lab.keys("t");
    assert_eq!(shown(&lab).leaf.before, ["The cases are being read."]);
    assert!(matches!(came.recv().unwrap(), Rated::Reading(64, 300)));
    lab.keys("esc t");
    // At most what it had in hand is told; then all is read once more, and no answer comes to what nobody asks.
    let mut reads = Vec::new();
    loop {
        let rated = came.recv().unwrap();
        let done = matches!(rated, Rated::Trials(..));
        if let Rated::Reading(done, 300) = rated {
            reads.push(done);
        }
        lab.desk.session.rated(rated);
        if done {
            break;
        }
    }
    let own = reads.iter().rposition(|done| *done == 64).unwrap();
    assert_eq!(reads[own..], [64, 128, 192, 256, 300]);
    assert!(own < 2, "{reads:?}");
    open(&mut lab, "stump-short");
    lab.keys("l");
    let first = came.recv().unwrap();
    let Rated::Moving(of_first, 64, 300) = &first else {
        panic!("{first:?}");
    };
    let of_first = of_first.clone();
    lab.keys("right");
    lab.desk.session.rated(first);
    assert_eq!(shown(&lab).leaf.before, ["The cases are being read."]);
    let mut answered = None;
    let mut moved = [0, 0];
    while answered.is_none() {
        let rated = came.recv().unwrap();
        match &rated {
            Rated::Moving(own, ..) => moved[usize::from(*own != of_first)] += 1,
            Rated::Swept(own) => {
                assert_ne!(own.moved, *of_first);
                answered = Some(own.clone());
            }
            other => panic!("{other:?}"),
        }
        lab.desk.session.rated(rated);
    }
    assert!(moved[0] < 2 && moved[1] == 5, "{moved:?}");
    let page = shown(&lab);
    assert!(page.right.starts_with("limit 2 of 4"), "{page:?}");
    // While the rules are read once more for other months, the marked one stays.
    lab.keys("esc");
    let title = shown(&lab).leaf.title;
    lab.keys("m");
    lab.desk.session.rated(Rated::Reading(64, 300));
    loop {
        let rated = came.recv().unwrap();
        let done = matches!(rated, Rated::Trials(..));
        lab.desk.session.rated(rated);
        if done {
            break;
        }
    }
    assert_eq!(shown(&lab).leaf.title, title);
    lab.keys("l");
    assert!(matches!(came.recv().unwrap(), Rated::Moving(_, 64, 300)));
    // The answer to another question is none to this one.
    lab.keys("right s");
    lab.desk.session.rated(Rated::Swept(answered.unwrap()));
    assert_eq!(shown(&lab).leaf.before, ["The cases are being read."]);
    // Nobody listens any more.
    lab.keys("esc");
    drop(came);
}
