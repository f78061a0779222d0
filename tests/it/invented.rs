//! The invented laboratory: what has an effect is found again, what has none is not, over seeds that were fixed beforehand.

use casepan::case::journal::fold;
use casepan::case::life::{Stage, State};
use casepan::case::outcome::Kind;
use casepan::demo::journal;
use casepan::demo::laboratory::{Answer, Order, Plan, SHORT_PREPS, Tray, orders};
use casepan::derive::{Facts, Precision};
use casepan::judge::judge;
use casepan::learn::{Against, Asked, Group, Lot, Made, Row, figures};
use casepan::phrase::Phrase;
use casepan::state::CaseState;
use casepan::tooth::Notation;
use jiff::civil::{Date, Weekday, date};
use jiff::tz::TimeZone;
use rayon::prelude::*;

use crate::made::flow;

pub(crate) const UNTIL: Date = date(2026, 10, 1);

pub(crate) fn plan(seed: u64) -> Plan {
    Plan {
        cases: 400,
        seed,
        until: UNTIL,
    }
}

/// Two things that no record tells restorations apart by stand in the places of others.
const FRIDAY: Group = Group::Height;
const NO_SHADE: Group = Group::Taper;

/// An order as the figures see it, without its journal.
pub(crate) fn lot(order: &Order) -> Lot {
    let is_made = order.is_made() && order.left <= UNTIL;
    let as_ordered = order.answer == Some(Answer::AsOrdered);
    let mut own = Made {
        delivered: order.left,
        outcomes: order.events.iter().map(|own| (own.what, own.on)).collect(),
        ..Made::default()
    };
    let mut name = |group: Group, name: String| own.groups[group.nth()] = Some((0, name));
    name(Group::Grip, format!("low {}", order.low && as_ordered));
    name(Group::Tray, format!("{:?}", order.tray));
    name(Group::Material, order.of.0.to_owned());
    name(Group::Dentist, order.dentist_code());
    name(Group::Technician, order.technician_code());
    name(
        FRIDAY,
        format!("{}", order.left.weekday() == Weekday::Friday),
    );
    name(NO_SHADE, format!("{}", !order.shade));
    Lot {
        number: order.number(),
        opened: order.opened,
        dentist: Some(order.dentist_code()),
        remake: false,
        made: if is_made { vec![own] } else { Vec::new() },
        not_made: usize::from(!is_made),
        withdrawn: usize::from(!order.is_made()),
    }
}

fn rows(lots: &[Lot], kinds: &[Kind], months: i32, by: Group) -> Vec<Row> {
    let asked = Asked {
        by: vec![by],
        kinds: kinds.to_vec(),
        months,
        from: None,
        to: None,
        today: UNTIL,
    };
    figures(lots, &asked).unwrap().rows
}

const OFF: [Kind; 1] = [Kind::CameOff];
const CONTACT: [Kind; 2] = [Kind::HighContact, Kind::ContactOpen];
const MARGIN: [Kind; 1] = [Kind::OpenMargin];

fn out<'r>(rows: &'r [Row], named: &str) -> Option<&'r Row> {
    let own = |row: &&Row| row.names[0].as_deref() == Some(named) && row.stands_out;
    rows.iter().find(own)
}

fn is_more(row: Option<&Row>) -> bool {
    row.is_some_and(|row| match &row.against {
        Against::Times(times) => times.ratio.is_none_or(|ratio| ratio > 1.0),
        _ => true,
    })
}

/// What is found of what has an effect: low grip, the tray, the dentist.
fn found(lots: &[Lot], low: &str, tray: &str) -> [bool; 3] {
    [
        is_more(out(&rows(lots, &OFF, 12, Group::Grip), low)),
        is_more(out(&rows(lots, &CONTACT, 1, Group::Tray), tray)),
        is_more(out(&rows(lots, &MARGIN, 1, Group::Dentist), "P-03")),
    ]
}

/// What is found of what has none: the day, the shade, the second material, other dentists, the technician of short preps.
fn falsely(lots: &[Lot]) -> [bool; 5] {
    let technician = format!("T{SHORT_PREPS}");
    let dentists = rows(lots, &MARGIN, 1, Group::Dentist);
    let other = |row: &Row| row.stands_out && row.names[0].as_deref() != Some("P-03");
    [
        out(&rows(lots, &OFF, 12, FRIDAY), "true").is_some(),
        out(&rows(lots, &OFF, 12, NO_SHADE), "true").is_some(),
        out(&rows(lots, &OFF, 12, Group::Material), "lithium-disilicate").is_some(),
        dentists.iter().any(other),
        out(&rows(lots, &MARGIN, 1, Group::Technician), &technician).is_some(),
    ]
}

/// Of 200 laboratories at least 93 % show each effect, and at most 4 % each thing that has none.
#[test]
fn effects_are_found_and_chance_is_not() {
    let (mut effects, mut nulls) = ([0; 3], [0; 5]);
    let all: Vec<([bool; 3], [bool; 5])> = (1..=200u64)
        .into_par_iter()
        .map(|seed| {
            let lots: Vec<Lot> = orders(&plan(seed)).iter().map(lot).collect();
            let low = found(&lots, "low true", "DualArch");
            (low, falsely(&lots))
        })
        .collect();
    for (found, falsely) in all {
        for (count, is) in effects.iter_mut().zip(found) {
            *count += u32::from(is);
        }
        for (count, is) in nulls.iter_mut().zip(falsely) {
            *count += u32::from(is);
        }
    }
    assert!(
        effects.iter().all(|own| *own >= 186),
        "{effects:?} {nulls:?}"
    );
    assert!(nulls.iter().all(|own| *own <= 8), "{effects:?} {nulls:?}");
}

/// Without its effects the laboratory shows none of them: the figures do not find what they were written for.
#[test]
fn what_was_taken_away_is_not_found() {
    let mut counts = [0; 3];
    for seed in 1..=60 {
        let mut all = orders(&plan(seed));
        // Outcomes go to another order of the same dentists: nothing hangs together any more.
        let events: Vec<_> = all
            .iter()
            .map(|own| (own.left, own.events.clone()))
            .collect();
        let many = all.len();
        for (nth, own) in all.iter_mut().enumerate() {
            let (left, events) = &events[(nth + many / 3) % many];
            let moved = |on: Date| own.left.saturating_add(on - *left);
            own.events = events
                .iter()
                .map(|event| casepan::demo::laboratory::Event {
                    on: moved(event.on),
                    ..*event
                })
                .collect();
        }
        let lots: Vec<Lot> = all.iter().map(lot).collect();
        for (count, is) in counts.iter_mut().zip(found(&lots, "low true", "DualArch")) {
            *count += u32::from(is);
        }
    }
    assert!(counts.iter().all(|own| *own <= 4), "{counts:?}");
}

/// Whole journals, of three laboratories: they fold, nothing is left to ask, and the figures of them are those of the plan.
#[test]
fn journals_are_real_and_show_the_same() {
    let flow = flow();
    let mut effects = 0;
    for seed in 1..=3 {
        let all = orders(&plan(seed));
        let read: Vec<(Lot, bool)> = all
            .par_iter()
            .map(|order| {
                let entries = journal(&flow, order, UNTIL, seed).unwrap();
                assert!(entries.iter().zip(0..).all(|(own, nth)| own.seen == nth));
                assert!(entries.is_sorted_by_key(|own| own.when));
                let case = fold(&entries).unwrap();
                let facts = Facts::with(&flow, &case, Precision::Quick);
                let judgement = judge(&flow, &facts);
                let phrase = Phrase {
                    flow: &flow,
                    notation: Notation::Iso3950,
                };
                let state = CaseState::of(&facts, &judgement, phrase, &[]);
                assert!(case.judged(Stage::AsFound).is_some(), "{}", order.number());
                // Only the last days are still at the bench.
                let left = &state.restorations[0].to_do;
                assert!(left.is_empty(), "{} {left:?}", order.number());
                if order.left.saturating_add(jiff::ToSpan::days(40)) < UNTIL {
                    let ended = [State::Closed, State::Withdrawn];
                    assert!(
                        ended.contains(&state.state),
                        "{} {:?}",
                        order.number(),
                        state.state
                    );
                    let built = case.judged(Stage::AsBuilt).is_some();
                    assert_eq!(built, order.is_made(), "{}", order.number());
                }
                let own = Lot::of(&facts, &entries, &TimeZone::UTC).unwrap();
                let found = judgement.all_findings().next().is_some();
                (own, found)
            })
            .collect();
        let mut spoken = 0;
        for (order, (own, found)) in all.iter().zip(&read) {
            let wanted = lot(order);
            assert_eq!(
                (own.opened, &own.dentist, own.not_made, own.withdrawn),
                (
                    wanted.opened,
                    &wanted.dentist,
                    wanted.not_made,
                    wanted.withdrawn
                ),
                "{}",
                order.number()
            );
            for (own, wanted) in own.made.iter().zip(&wanted.made) {
                assert_eq!(own.delivered, wanted.delivered);
                assert_eq!(own.outcomes, wanted.outcomes, "{}", order.number());
                let grip = own.groups[Group::Grip.nth()].as_ref().unwrap();
                let is_low = order.low && order.answer == Some(Answer::AsOrdered);
                assert_eq!(grip.0 == 0, is_low, "{} {grip:?}", order.number());
                for by in [Group::Dentist, Group::Technician] {
                    assert_eq!(own.groups[by.nth()], wanted.groups[by.nth()]);
                }
                let answer = own.groups[Group::Answer.nth()].as_ref().unwrap();
                let asked = order.low
                    || order.answer.is_some()
                    || order.tray == Tray::DualArch
                    || !order.shade;
                assert_eq!(
                    answer.1 != "not asked",
                    asked,
                    "{} {answer:?}",
                    order.number()
                );
                // A sound prep with everything on the order and another tray draws nothing.
                let clean = !asked;
                assert_eq!(own.nothing_found, Some(clean), "{}", order.number());
            }
            spoken += usize::from(*found);
        }
        assert!((100..300).contains(&spoken), "{spoken}");
        let lots: Vec<Lot> = read.into_iter().map(|(own, _)| own).collect();
        effects += found(&lots, "under 0.85", "dual-arch")
            .iter()
            .filter(|own| **own)
            .count();
    }
    assert!(effects >= 8, "{effects} of 9");
}

#[test]
fn a_seed_is_one_laboratory() {
    let flow = flow();
    let one = orders(&plan(5));
    assert_eq!(one, orders(&plan(5)));
    assert_ne!(one, orders(&plan(6)));
    let entries = |seed| journal(&flow, &one[3], UNTIL, seed).unwrap();
    assert_eq!(entries(5), entries(5));
    assert_ne!(entries(5), entries(6));
}
