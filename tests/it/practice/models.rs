//! Known models: a walk beside the key, worst first; practice walks are no cases of the laboratory; the own hand.

use casepan::archive::Archive;
use casepan::case::{Case, Reading};
use casepan::derive::Facts;
use casepan::fact::{FactId, Place, Spot, Value};
use casepan::flow::Level;
use casepan::judge::doubt::error_of;
use casepan::practice::hand::{DAYS, Walk, hands};
use casepan::practice::model::{Compared, Harm, compare, means};
use jiff::civil::date;

use crate::good::{finish, flow, mm, pan, put};
use crate::support::{Home, Output};

const USAGE: i32 = 64;
const NO_INPUT: i32 = 66;

/// A sound crown on 46 with these readings. Zirconia needs 0.7 mm of room.
fn walk(clearance: f64, height: f64) -> Case {
    let mut case = pan("46", "zirconia-3y", "resin-modified");
    put(&mut case, "tooth.clearance", "46", mm(clearance));
    put(&mut case, "tooth.height", "46", mm(height));
    put(&mut case, "tooth.width_margin_md", "46", mm(8.0));
    put(&mut case, "tooth.width_top_md", "46", mm(7.0));
    put(&mut case, "tooth.width_margin_fl", "46", mm(8.0));
    put(&mut case, "tooth.width_top_fl", "46", mm(7.0));
    finish(&mut case, false);
    case
}

fn of<'a>(readings: &'a [Compared], fact: &str) -> &'a Compared {
    let fact = FactId::named(fact);
    readings.iter().find(|own| own.spot.fact == fact).unwrap()
}

#[test]
fn a_missed_call_comes_first_and_what_two_careful_people_differ_by_is_nothing() {
    // The experts find 0.4 mm of room and less: 0.3 short and more, a call. The walk finds plenty.
    let passes = [
        walk(0.4, 4.6),
        walk(0.3, 4.6),
        walk(0.35, 4.6),
        walk(0.35, 4.6),
    ];
    let own = walk(1.2, 4.8);
    let found = compare(flow(), &own, &passes).unwrap();
    assert_eq!((found.own, found.key), (Level::Fine, Level::Call));
    assert!(found.finished);
    assert_eq!(
        found.readings[0].spot.fact,
        FactId::named("tooth.clearance")
    );
    let clearance = &found.readings[0];
    assert_eq!(clearance.harm, Harm::Missed);
    assert_eq!(clearance.level, Level::Call);
    let rules: Vec<&str> = clearance
        .missed
        .iter()
        .map(|(rule, _)| flow().rule(*rule).unwrap().id.as_str())
        .collect();
    assert_eq!(rules, ["clearance"]);
    assert!((clearance.differ.unwrap() - 0.85).abs() < 1e-9);
    assert_eq!(clearance.experts, Some((0.3, 0.4)));
    // By hand: the gauge is off by 0.1, models closed by hand by 0.1: √0.02. The passes' standard deviation is 0.0408248, of four
    // 0.0204124. 1.96 · √(0.02 + 0.0004167) = 0.28006.
    assert!(
        (clearance.spread.unwrap() - 0.280_06).abs() < 1e-4,
        "{clearance:?}"
    );
    // Half a reading error of the height does nothing.
    let height = of(&found.readings, "tooth.height");
    assert_eq!(height.harm, Harm::Within);
    // The passes agree: 1.96 · 0.2.
    assert!((height.spread.unwrap() - 0.392).abs() < 1e-9);
    assert!(found.same > 20);
}

#[test]
fn a_call_that_only_the_walk_has_is_invented_and_experts_who_differ_tell_nothing() {
    let passes = [
        walk(1.2, 4.6),
        walk(1.2, 4.6),
        walk(1.2, 4.6),
        walk(1.2, 4.6),
    ];
    let found = compare(flow(), &walk(0.3, 4.6), &passes).unwrap();
    let clearance = of(&found.readings, "tooth.clearance");
    assert_eq!(clearance.harm, Harm::Invented);
    assert_eq!(
        (found.own, found.key, clearance.level),
        (Level::Call, Level::Fine, Level::Fine)
    );
    // Two passes a millimetre apart: standard error 0.5, more than a third of 1.96 · √(0.02 + 0.25).
    let passes = [walk(0.9, 4.6), walk(1.9, 4.6)];
    let found = compare(flow(), &walk(0.3, 4.6), &passes).unwrap();
    assert_eq!(of(&found.readings, "tooth.clearance").harm, Harm::Unsure);
    // As the key has it, nothing is told; and without a key there is nothing to tell.
    let found = compare(flow(), &walk(1.2, 4.6), &[walk(1.2, 4.6)]).unwrap();
    assert_eq!(found.readings, []);
    assert_eq!(compare(flow(), &walk(1.2, 4.6), &[]), None);
}

/// Eight heights: a bridge's worth of preps, each read on three days. Standard deviation by hand: each place was read at x - 0.1, x
/// and x + 0.1, variance 0.01, so that s is 0.1 with 16 degrees of freedom; drawn to the flow's 0.2 with 10 it is
/// √((10 · 0.04 + 16 · 0.01) / 26) = 0.14676.
#[test]
fn the_own_hand_is_the_spread_of_three_days() {
    let units = "13 12 11 21 22 23 24 25";
    let on_day = |off: f64| {
        let mut case = pan(units, "zirconia-3y", "resin-modified");
        for (nth, tooth) in units.split(' ').enumerate() {
            put(
                &mut case,
                "tooth.height",
                tooth,
                mm(4.0 + 0.1 * nth as f64 + off),
            );
        }
        case
    };
    let days = [-0.1, 0.0, 0.1];
    let mut walks: Vec<Walk> = (1..)
        .zip(days)
        .map(|(day, off)| Walk {
            model: "M-03".to_owned(),
            on: date(2026, 11, day),
            case: on_day(off),
        })
        .collect();
    let passes = means(&[on_day(-0.3)]);
    let key = |_: &str, spot: &Spot| passes.get(spot).and_then(Value::number);
    let found = hands(flow(), &walks, &key);
    assert_eq!(found.len(), 1);
    let own = &found[0];
    assert_eq!(
        (own.fact.as_str(), own.with.as_str()),
        ("tooth.height", "caliper")
    );
    let within = own.within.unwrap();
    assert!(
        (within.sd - 0.1).abs() < 1e-9 && within.freedom == 16,
        "{own:?}"
    );
    assert!((own.own.unwrap() - 0.146_76).abs() < 1e-5, "{own:?}");
    assert_eq!(own.usual, 0.2);
    // Two days are too few, however often the model was walked on them.
    walks[2].on = walks[1].on;
    let few = &hands(flow(), &walks, &key)[0];
    assert_eq!((few.within, few.own, few.spots), (None, None, 0));
    assert_eq!(DAYS, 3);
    let at: Place = "13".parse().unwrap();
    assert!(means(&[]).is_empty() && passes.keys().any(|spot| spot.at == at));
}

/// Where a supervisor has agreed, somebody's readings are off by the own error, those of others by the usual one.
#[test]
fn an_own_reading_error_takes_the_place_of_the_usual_one_for_that_person_alone() {
    let mut own = flow().clone();
    own.hands.set(
        "t2",
        &[("tooth.height".to_owned(), "caliper".to_owned(), 0.15)],
    );
    let case = walk(1.2, 4.6);
    let facts = Facts::of(&own, &case);
    let spot = Spot {
        fact: FactId::named("tooth.height"),
        at: "46".parse().unwrap(),
    };
    let error = |who: Option<&str>, with: Option<&str>| {
        let reading = Reading {
            who: who.map(str::to_owned),
            with: with.map(str::to_owned),
            ..Reading::plain(mm(4.6))
        };
        error_of(&facts, &spot, &reading)
    };
    assert_eq!(error(Some("t2"), None), Some(0.15));
    assert_eq!(error(Some("t2"), Some("caliper")), Some(0.15));
    // The probe is another instrument.
    assert_eq!(error(Some("t2"), Some("probe-0.5")), Some(0.3));
    assert_eq!(error(Some("t3"), None), Some(0.2));
    assert_eq!(error(None, None), Some(0.2));
    // What is agreed later takes the place of all before.
    own.hands.set("t2", &[]);
    assert!(own.hands.is_empty());
}

#[track_caller]
fn good(output: Output) -> String {
    assert_eq!(output.code, Some(0), "{output:?}");
    output.stdout
}

/// A crown of which the experts read these; invented.
fn file(number: &str, clearance: &str) -> String {
    format!(
        r#"Case(
    format: 1, number: "{number}", flow: "fixed", version: 3,
    restorations: [Crown("R1", [Abutment("26")])],
    facts: [
        (fact: "order.scope", at: "R1", is: Choice("teeth")),
        (fact: "order.material", at: "R1", is: Choice("zirconia-3y")),
        (fact: "tooth.clearance", at: "26", is: Mm({clearance}), with: "gauge"),
    ],
)
"#
    )
}

#[test]
fn a_walk_is_blind_and_no_case_of_the_laboratory() {
    let home = Home::new();
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    for (number, clearance) in [("24-1", "0.4"), ("24-2", "0.3"), ("24-3", "1.5")] {
        home.file("case.ron", file(number, clearance));
        good(run(&["archive", "import", "case.ron"]));
    }
    let refused = run(&["--who", "t2", "practise", "M-03", "--key", "24-1"]);
    assert_eq!(refused.code, Some(USAGE), "{refused:?}");
    let none = run(&["--who", "t2", "practise", "M-03", "--walk"]);
    assert_eq!(none.code, Some(NO_INPUT), "{none:?}");
    for number in ["24-1", "24-2"] {
        good(run(&[
            "--supervisor",
            "--who",
            "s1",
            "practise",
            "M-03",
            "--key",
            number,
        ]));
    }
    let told = good(run(&["--who", "t2", "practise", "M-03", "--walk"]));
    assert!(told.contains("M-03-t2-1"), "{told}");
    // Only the laboratory's own case is left.
    let listed = good(run(&["list"]));
    assert!(
        listed.contains("24-3") && !listed.contains("24-1"),
        "{listed}"
    );
    assert!(!listed.contains("M-03"), "{listed}");
    // The key opens for supervisors only, and the walk has nothing of it.
    for args in [["print", "24-1"], ["history", "24-1"]] {
        let shut = run(&args);
        assert_eq!(shut.code, Some(USAGE), "{shut:?}");
        assert!(!shut.stdout.contains("0.4"), "{shut:?}");
    }
    good(run(&["--supervisor", "print", "24-1"]));
    let own = good(run(&["print", "M-03-t2-1"]));
    assert!(!own.contains("0.4 mm") && !own.contains("0.3 mm"), "{own}");
    let early = run(&["--who", "t2", "practise", "M-03"]);
    assert_eq!(early.code, Some(NO_INPUT), "{early:?}");
    // Everything up to the material is answered as the key has it; then the clearance is put in and taken as plenty.
    let lines = "1\n\n";
    let walked = home.run_with(
        &[
            "--archive",
            "a.casepan",
            "--who",
            "t2",
            "ask",
            "M-03-t2-1",
            "--go-on",
        ],
        lines.as_bytes(),
    );
    assert_eq!(walked.code, Some(0), "{walked:?}");
    let told = good(run(&["--who", "t2", "practise", "M-03"]));
    assert!(
        told.starts_with("Practice: model M-03, walk M-03-t2-1, key of 2 passes\n"),
        "{told}"
    );
    assert!(told.contains("as the key has them."), "{told}");
    // What was not walked is no result.
    assert!(told.contains("The walk is not finished"), "{told}");
    let record = good(run(&["--who", "t2", "practise", "--record"]));
    assert!(!record.contains("walked"), "{record}");
    // Another one's walk is the supervisor's to see.
    let other = run(&["--who", "t3", "practise", "M-03", "--of", "t2"]);
    assert_eq!(other.code, Some(USAGE), "{other:?}");
    good(run(&["--supervisor", "practise", "M-03", "--of", "t2"]));
    let archive = Archive::open_existing(&home.path("a.casepan")).unwrap();
    assert_eq!(archive.check(), Ok(vec![]));
    assert_eq!(archive.own_cases().unwrap().len(), 1);
}

/// What was delivered is followed up, until it turns out that it was a model to practise on.
#[test]
fn a_practice_model_is_in_no_follow_up_and_no_figure() {
    let home = Home::new();
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    for number in ["24-1", "24-2"] {
        let text = file(number, "0.9").replace(
            "    facts: [",
            "    facts: [\n        (fact: \"order.dentist\", at: \"case\", is: Text(\"P-04\")),",
        );
        home.file("case.ron", text);
        good(run(&["archive", "import", "case.ron"]));
        good(run(&["became", number, "delivered", "--on", "2026-01-12"]));
    }
    let asked = |on: &str| good(run(&["follow-up", "P-04", "--on", on]));
    let both = asked("2026-08-12");
    assert!(both.contains("24-1") && both.contains("24-2"), "{both}");
    good(run(&[
        "--supervisor",
        "--who",
        "s1",
        "practise",
        "M-03",
        "--key",
        "24-1",
    ]));
    let one = asked("2026-08-12");
    assert!(!one.contains("24-1") && one.contains("24-2"), "{one}");
    // What is counted is the same as a laboratory has that never had the model.
    let figures = good(run(&["rates", "--as", "json"]));
    let other = |args: &[&str]| home.run(&[&["--archive", "b.casepan"], args].concat());
    good(other(&["archive", "import", "case.ron"]));
    good(other(&[
        "became",
        "24-2",
        "delivered",
        "--on",
        "2026-01-12",
    ]));
    assert_eq!(figures, good(other(&["rates", "--as", "json"])));
}
