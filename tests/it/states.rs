//! From open to delivered: fourteen invented stories of a case, each by keys, with what the ticket, the worklist and the
//! letter say of it. Common practice, no source: what was agreed does not lie at the bench, work on hold starts on a
//! written order alone, and a call is made once.

mod later;
mod records;

use casepan::case::coming::Part;
use casepan::case::decision::Decider;
use casepan::case::instruction::Instruction;
use casepan::case::journal::fold;
use casepan::case::life::State;
use casepan::case::{Case, Layer};
use casepan::derive::{Facts, Precision};
use casepan::fact::Value;
use casepan::judge::judge;
use casepan::print::{Beside, Sheet, Told, document};
use casepan::session::call::{Pick, Row};
use casepan::session::{Act, Page};
use casepan::state::{ArrivalError, arrival};

use super::good::{finish, flow, put};
use super::made::{case, choice, mm, spot};
use super::session::Technician;

/// A case with good readings throughout, and these in their place.
pub(crate) fn good(units: &str, material: &str, other: &[(&str, &str, Value)]) -> Case {
    let mut case = case(units, &[]);
    let ids: Vec<u8> = case.units.restorations().iter().map(|own| own.id).collect();
    for id in ids {
        put(&mut case, "order.scope", &format!("R{id}"), choice("teeth"));
        put(
            &mut case,
            "order.material",
            &format!("R{id}"),
            choice(material),
        );
        put(
            &mut case,
            "order.cement",
            &format!("R{id}"),
            choice("resin-modified"),
        );
    }
    for (fact, at, value) in other {
        put(&mut case, fact, at, value.clone());
    }
    finish(&mut case, false);
    case
}

pub(crate) fn sit(case: &Case) -> Technician {
    let mut tech = Technician::on(case);
    tech.with_ways();
    tech.session.page = Page::Questions;
    tech
}

/// How far the case is, and each restoration in a line.
pub(crate) fn far(tech: &Technician) -> (State, Vec<String>) {
    let state = tech.session.case_state().expect("a case").state;
    (state, tech.session.state_lines())
}

#[track_caller]
pub(crate) fn says(tech: &Technician, state: State, lines: &[&str]) {
    let (own, said) = far(tech);
    assert_eq!((own, said.len()), (state, lines.len()), "{said:#?}");
    for (own, wanted) in said.iter().zip(lines) {
        assert!(own.contains(wanted), "{own:?} does not say {wanted:?}");
    }
}

/// A sheet as one line of text.
pub(crate) fn sheet(tech: &Technician, sheet: Sheet) -> String {
    let case = tech.case();
    let facts = Facts::with(flow(), case, Precision::Quick);
    let judgement = judge(flow(), &facts);
    let told = Told {
        beside: Beside {
            today: tech.session.today,
            ..Beside::default()
        },
        ..crate::made::told(flow(), &facts, &judgement)
    };
    let text = document(told, &[sheet]).to_text();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A text without its boxes and dashes.
fn flatly(text: &str) -> String {
    text.split_whitespace()
        .filter(|word| !word.chars().all(|c| c == '-'))
        .collect::<Vec<_>>()
        .join(" ")
}

/// Opens the call and marks the question of a rule.
fn mark(tech: &mut Technician, rule: &str) {
    tech.key("c");
    let inspection = tech.session.inspection.as_ref().unwrap();
    let rows = tech.session.call_rows(inspection);
    let row = rows
        .iter()
        .position(|row| matches!(row, Row::Ask(matter) if matter.rule == rule));
    let row = row.unwrap_or_else(|| panic!("{rule} is not asked: {rows:?}"));
    tech.act(Act::Mark(row));
}

/// Answers the question of a rule on the phone by keys: who speaks, the option or outcome, further keys, and keeps it.
fn answer(tech: &mut Technician, rule: &str, by: char, what: &str, more: &str) {
    tech.with_ways();
    mark(tech, rule);
    if tech.session.call.speaker.is_none() {
        tech.key(&by.to_string());
    }
    let digit = match what {
        "as it is" => '7',
        "declines" => '8',
        "no decision" => '9',
        option => {
            let mut found = None;
            for _ in 0..6 {
                let inspection = tech.session.inspection.as_ref().unwrap();
                let Some(Row::Ask(about)) = tech.session.marked_row() else {
                    panic!("no question is marked");
                };
                let picks = tech.session.picks(inspection, &about);
                found = picks.into_iter().find_map(|(digit, pick)| match pick {
                    Pick::Way(way) if way.of(flow()).unwrap().id == option => Some(digit),
                    _ => None,
                });
                if found.is_some() {
                    break;
                }
                tech.key("m");
            }
            found.unwrap_or_else(|| panic!("{option} is no option of {rule}"))
        }
    };
    tech.key(&digit.to_string());
    tech.keys(more);
    tech.key("enter");
    assert!(tech.session.draft().is_none(), "{:?}", tech.session.notice);
}

/// Something arrives today, by keys.
fn arrives(tech: &mut Technician, part: Part) {
    tech.key("a");
    let inspection = tech.session.inspection.as_ref().unwrap();
    let rows = tech.session.call_rows(inspection);
    let row = rows
        .iter()
        .position(|row| matches!(row, Row::Awaited(own, _) if *own == part));
    let row = row.unwrap_or_else(|| panic!("{part} is not awaited: {rows:?}"));
    tech.act(Act::Mark(row));
    tech.keys("enter enter");
    assert!(
        tech.session.over.line().is_none(),
        "{:?}",
        tech.session.notice
    );
}

/// Inspects again what is open: as it was before, but for these.
fn inspect_again(tech: &mut Technician, other: &[(&str, &str, Value)]) {
    for _ in 0..400 {
        if tech.session.inspection.as_ref().unwrap().is_done() {
            return;
        }
        let Some(cell) = tech.session.inspection.as_ref().unwrap().cursor().cloned() else {
            return;
        };
        let open = tech.case().merged(&cell).is_none();
        if !open {
            return;
        }
        let own = other
            .iter()
            .find(|(fact, at, _)| spot(fact, at) == cell)
            .map(|(_, _, value)| value.clone());
        let before = tech
            .case()
            .reading(&cell, Layer::Before)
            .map(|reading| reading.value.clone());
        let value = own.or(before).unwrap_or_else(|| {
            let mut copy = tech.case().clone();
            finish(&mut copy, false);
            copy.value(&cell.fact, cell.at)
                .unwrap_or_else(|| panic!("{cell:?} has no good answer"))
                .clone()
        });
        let at = cell.clone();
        tech.with(|inspection, moment| inspection.answer_at(at, value, moment));
        tech.session.inspection.as_mut().unwrap().put_cursor(None);
        let next = tech.session.inspection.as_ref().unwrap().next_open();
        tech.session.inspection.as_mut().unwrap().put_cursor(next);
    }
    panic!("the inspection does not end");
}

fn lost_46() -> [(&'static str, &'static str, Value); 1] {
    [("tooth.margin_seen", "46", choice("over-2"))]
}

#[test]
fn story_1_of_two_crowns_one_is_made_while_the_other_waits() {
    let mut tech = sit(&good("26; 46", "zirconia-4y", &lost_46()));
    says(
        &tech,
        State::ToCall,
        &["26 CLEARED TO MAKE.", "46 CALL FIRST"],
    );
    answer(&mut tech, "finish-line-lost", '1', "clear-margin", "");
    says(
        &tech,
        State::Waiting,
        &[
            "26 CLEARED TO MAKE.",
            "46 WAITING for a new impression or scan, due Mon 30 Nov 2026. Do not start 46.",
        ],
    );
    // The result is what lies here; what is expected stands beside it and counts for nothing.
    let inspection = tech.session.inspection.as_ref().unwrap();
    assert!(inspection.judgement().verdict.level > casepan::flow::Level::Fine);
    assert_eq!(
        inspection.expected().map(|own| own.level),
        Some(casepan::flow::Level::Fine)
    );
    let summary = sheet(&tech, Sheet::Summary);
    let (_, then) = summary
        .split_once("Once everything has arrived")
        .expect("what is expected");
    assert!(then.contains("result ON HOLD NOTHING FOUND"), "{summary}");
    let head = tech.session.view().header.expect("a case");
    let aloud = head.result();
    assert!(aloud.starts_with("on hold, waiting "), "{aloud}");
    assert!(aloud.contains(" for a new impression or scan"), "{aloud}");
    assert!(aloud.ends_with(", expected nothing found"), "{aloud}");
    let far = head.beside();
    assert!(far.contains("for a new impression or scan"), "{far}");
    assert!(far.contains("expected ~NOTHING FOUND"), "{far}");
    // Where there is no room for that, what was found stands beside what waits.
    assert_eq!(head.badge(), casepan::session::view::Badge::Waiting);
    assert_eq!(head.beside_in_short(), "ON HOLD");
    let ticket = sheet(&tech, Sheet::Ticket);
    assert!(
        ticket.contains("WAITING 1 of 2 for a new impression or scan, do not start"),
        "{ticket}"
    );
    // Of 46 nothing stands there to build from.
    assert!(
        ticket.contains("26 all round") && !ticket.contains("46 all round"),
        "{ticket}"
    );
    let letter = sheet(&tech, Sheet::Letter);
    for said in [
        "Please send [ ] a new impression or scan for 46, by Mon 30 Nov 2026",
        "Until then we will not start 46. We are going ahead with 26.",
    ] {
        assert!(flatly(&letter).contains(said), "{said} in {letter}");
    }
}

#[test]
fn story_2_a_part_arrives_and_the_rest_is_waited_for() {
    let one_side = [
        ("impression.tray", "case", choice("dual-arch")),
        ("records.kind", "case", choice("impression")),
    ];
    let mut tech = sit(&good("45 x46 47", "zirconia-4y", &one_side));
    answer(&mut tech, "dual-arch", '1', "new-impression", "");
    says(
        &tech,
        State::Waiting,
        &["45 x46 47 WAITING for a new impression or scan and a new bite"],
    );
    arrives(&mut tech, Part::Impression);
    says(
        &tech,
        State::Waiting,
        &[
            "45 x46 47 WAITING for a new bite, due Mon 30 Nov 2026. Impression or scan is here: inspect only. Do not start 45 x46 47.",
        ],
    );
    assert_eq!(tech.session.page, Page::Questions);
}

#[test]
fn story_3_it_comes_and_is_bad_again_and_another_unit_is_worse() {
    let mut tech = sit(&good("44 x45 46", "zirconia-4y", &lost_46()));
    answer(&mut tech, "finish-line-lost", '1', "clear-margin", "");
    arrives(&mut tech, Part::Impression);
    says(&tech, State::Inspecting, &["44 x45 46 OPEN"]);
    inspect_again(
        &mut tech,
        &[
            ("tooth.margin_seen", "46", choice("over-2")),
            ("tooth.margin_seen", "44", choice("1-2")),
        ],
    );
    says(
        &tech,
        State::ToCall,
        &["44 x45 46 CALL FIRST, asked again: 2 questions for the dentist."],
    );
}

#[test]
fn story_4_declined_then_in_writing_as_it_is() {
    let short = [("tooth.clearance", "36", mm(0.4))];
    let mut tech = sit(&good("36", "lithium-disilicate", &short));
    let rule = "clearance";
    answer(&mut tech, rule, '1', "declines", "");
    says(&tech, State::ToCall, &["36 CALL FIRST"]);
    assert!(sheet(&tech, Sheet::Ticket).contains("ON HOLD, call first, do not start"));
    answer(&mut tech, rule, '1', "as it is", "");
    says(&tech, State::Waiting, &["36 WAITING for the written order"]);
    arrives(&mut tech, Part::Order);
    says(
        &tech,
        State::ToMake,
        &["36 CLEARED TO MAKE as agreed. Accepted: 36"],
    );
    // The result stays what was found.
    let ticket = sheet(&tech, Sheet::Ticket);
    assert!(ticket.contains("Result: ON HOLD"), "{ticket}");
    let letter = sheet(&tech, Sheet::Letter);
    assert!(
        letter.contains("we will make 36 as it is, on your written order of Mon 23 Nov 2026"),
        "{letter}"
    );
    assert!(letter.contains("knowing this: "), "{letter}");
    assert!(ticket.contains("Result: ON HOLD, accepted"), "{ticket}");
    assert!(ticket.contains("Accepted as it is"), "{ticket}");
}

#[test]
fn story_5_another_material_counts_at_once_and_is_made_on_the_written_order() {
    let dark = [
        ("tooth.prep_colour", "21", choice("dark")),
        ("restoration.usual_preps", "R1", Value::Teeth(Vec::new())),
    ];
    let mut tech = sit(&good("21", "lithium-disilicate", &dark));
    answer(&mut tech, "dark-stump", '1', "other-material", "");
    told_material(&tech);
}

fn told_material(tech: &Technician) {
    let (state, lines) = far(tech);
    assert_eq!(state, State::ForDesign, "{lines:?}");
    assert!(
        lines[0].contains(
            "21 CLEARED FOR DESIGN. Do not make 21 yet: the written order is still to come"
        ),
        "{lines:?}"
    );
    let (layer, _) = tech.case().merged(&spot("order.material", "R1")).unwrap();
    assert_eq!(layer, Layer::Decided);
}

#[test]
fn story_6_whoever_passes_it_on_decides_nothing() {
    let two_ways = [("bite.models_close", "case", choice("two-ways"))];
    let mut tech = sit(&good("14", "zirconia-4y", &two_ways));
    answer(&mut tech, "bite-two-ways", '4', "new-bite", "");
    says(
        &tech,
        State::Waiting,
        &["14 WAITING for the dentist's own answer and a new bite"],
    );
    let decided = tech.case().decisions().next().unwrap();
    assert_eq!(decided.decision.by, Some(Decider::Message));
    assert!(!decided.decision.is_settled());
    let letter = sheet(&tech, Sheet::Letter);
    let said = "Please confirm Your practice told us: - By phone on Mon 23 Nov 2026: you will send a new full-arch bite record";
    assert!(flatly(&letter).contains(&flatly(said)), "{letter}");
    // What the dentist says is picked on the call: nobody keeps an answer without saying which.
    let inspection = tech.session.inspection.as_ref().unwrap();
    let there = (inspection.case(), inspection.judgement());
    let told = arrival(
        flow(),
        there,
        Part::Answer,
        &[],
        tech.session.today.unwrap(),
    );
    assert_eq!(told, Err(ArrivalError::AnswerOnCall));
    tech.keys("esc r");
    answer(&mut tech, "bite-two-ways", '1', "declines", "");
    says(&tech, State::ToCall, &["14 CALL FIRST"]);
    assert!(!sheet(&tech, Sheet::Letter).contains("Please confirm"));
}

#[test]
fn story_7_a_standing_instruction_is_as_agreed_and_never_on_hold() {
    let unclear = [
        ("tooth.margin_seen", "26", choice("1-2")),
        ("order.dentist", "case", Value::Text("K17".to_owned())),
    ];
    let mut tech = sit(&good("26", "zirconia-4y", &unclear));
    says(&tech, State::ToCall, &["26 CALL FIRST"]);
    tech.session.instructions = vec![Instruction {
        id: uuid::Uuid::nil(),
        dentist: "K17".to_owned(),
        rule: "finish-line-lost".to_owned(),
        words: "draw the margin where both sides are seen".to_owned(),
        from: jiff::civil::date(2026, 3, 3),
        until: None,
    }];
    says(&tech, State::ToMake, &["26 CLEARED TO MAKE as agreed."]);
    let at = spot("tooth.margin_seen", "26");
    tech.with(|i, moment| i.answer_at(at, choice("over-2"), moment));
    says(&tech, State::ToCall, &["26 CALL FIRST"]);
}

#[test]
fn story_8_healing_and_then_an_impression() {
    let short = [
        ("tooth.height", "47", mm(1.9)),
        ("tooth.wall_by_wall", "47", Value::No),
    ];
    let mut tech = sit(&good("47", "zirconia-4y", &short));
    let inspection = tech.session.inspection.as_ref().unwrap();
    let rule = inspection
        .judgement()
        .findings
        .iter()
        .find(|finding| finding.level >= casepan::flow::Level::Call)
        .and_then(|finding| flow().rule(finding.rule))
        .map(|rule| rule.id.clone())
        .expect("a short prep is asked about");
    answer(&mut tech, &rule, '1', "crown-lengthening", "");
    says(
        &tech,
        State::Waiting,
        &[
            "47 WAITING for healing and a new impression or scan, due Fri 22 Jan 2027. Do not start 47.",
        ],
    );
    // No impression before it has healed.
    let there = |tech: &Technician| {
        let inspection = tech.session.inspection.as_ref().unwrap();
        let there = (inspection.case(), inspection.judgement());
        arrival(
            flow(),
            there,
            Part::Impression,
            &[],
            tech.session.today.unwrap(),
        )
    };
    assert_eq!(there(&tech), Err(ArrivalError::NotHealed(Part::Impression)));
    arrives(&mut tech, Part::Healed);
    assert!(there(&tech).is_ok());
}

#[test]
fn story_9_what_only_the_dentist_knows_is_asked_and_blocks_the_making() {
    let unknown = [("order.cement", "R1", Value::NotSeen)];
    let mut case = good("46", "lithium-disilicate", &[]);
    for (fact, at, value) in unknown {
        put(&mut case, fact, at, value);
    }
    let tech = sit(&case);
    let list = sheet(&tech, Sheet::Call);
    assert!(list.contains("Please also tell us"), "{list}");
    assert!(list.contains("Which cement will you use for 46?"), "{list}");
    let letter = sheet(&tech, Sheet::Letter);
    assert!(
        letter.contains("Which cement will you use for 46?"),
        "{letter}"
    );
    assert!(letter.contains("[ ] not known"), "{letter}");
    says(
        &tech,
        State::ForDesign,
        &["46 CLEARED FOR DESIGN. Do not make 46 yet: planned cement of 46 not known."],
    );
    // Told on the phone, by keys: it counts at once.
    let mut tech = tech;
    tech.key("c");
    let rows = tech
        .session
        .call_rows(tech.session.inspection.as_ref().unwrap());
    let row = rows.iter().position(|row| matches!(row, Row::Tell(_)));
    tech.session.call.marked = row.expect("something to tell");
    tech.key("1");
    let told = tech.case().merged(&spot("order.cement", "R1")).unwrap();
    assert_eq!(told.0, Layer::Decided);
}

#[test]
fn story_10_not_covered_beside_covered() {
    let case = good("44; 36", "zirconia-4y", &[]);
    let mut other = case;
    put(&mut other, "order.scope", "R2", choice("implant"));
    let tech = sit(&other);
    says(
        &tech,
        State::ToMake,
        &["44 CLEARED TO MAKE.", "36 NOT COVERED: not checked here."],
    );
    let letter = sheet(&tech, Sheet::Letter);
    assert!(
        letter.contains(
            "Nothing has to be settled before we go on with 44. 36, on an implant, was not checked."
        ),
        "{letter}"
    );
}

/// An arrival asks anew what it replaces, keeps the old value beside the new one, and undo brings it back.
#[test]
fn an_arrival_sets_readings_aside_and_undo_brings_them_back() {
    let mut tech = sit(&good("44 x45 46", "zirconia-4y", &lost_46()));
    answer(&mut tech, "finish-line-lost", '1', "clear-margin", "");
    let before = tech.case().clone();
    arrives(&mut tech, Part::Impression);
    let seen = spot("tooth.margin_seen", "46");
    assert!(tech.case().merged(&seen).is_none());
    let old = tech.case().reading(&seen, Layer::Before).unwrap();
    assert_eq!(old.value, choice("over-2"));
    // What was read of the bite and of the order stays.
    assert!(tech.case().merged(&spot("bite.record", "case")).is_some());
    assert!(tech.case().merged(&spot("order.material", "R1")).is_some());
    assert_eq!(&fold(&tech.journal).unwrap(), tech.case());
    inspect_again(&mut tech, &[("tooth.margin_seen", "46", choice("all"))]);
    says(&tech, State::ForDesign, &["CLEARED FOR DESIGN"]);
    let what = |case: &Case| -> Vec<_> {
        let layers = case.layers();
        layers
            .map(|(spot, layer, own)| (spot.clone(), layer, own.value.clone()))
            .collect()
    };
    for _ in 0..400 {
        if what(tech.case()) == what(&before) && tech.case().waits().count() == 1 {
            return;
        }
        tech.keys("f u");
    }
    panic!("undo does not lead back");
}

/// Nothing that was agreed turns a result green: for every demo and every option of the dentist's that something has to
/// come in for, the verdict before and after the yes is the same.
#[test]
fn a_yes_never_changes_a_result() {
    let mut looked = 0;
    for (name, _) in casepan::demo::CASES {
        let mut tech = sit(&casepan::demo::case(name).unwrap());
        tech.key("c");
        let inspection = tech.session.inspection.as_ref().unwrap();
        let verdict = inspection.judgement().verdict;
        let abouts: Vec<_> = tech
            .session
            .call_rows(inspection)
            .into_iter()
            .filter_map(|row| match row {
                Row::Ask(about) => Some(about),
                _ => None,
            })
            .collect();
        for about in abouts {
            let inspection = tech.session.inspection.as_ref().unwrap();
            for way in tech.session.ways_behind(inspection, &about) {
                if way.of(flow()).unwrap().is_told() {
                    continue;
                }
                let mut own = sit(&casepan::demo::case(name).unwrap());
                answer(&mut own, &about.rule, '1', &way.of(flow()).unwrap().id, "");
                let inspection = own.session.inspection.as_ref().unwrap();
                assert_eq!(
                    inspection.judgement().verdict,
                    verdict,
                    "{name} {}",
                    about.rule
                );
                looked += 1;
            }
        }
    }
    assert!(looked > 5, "{looked}");
}
