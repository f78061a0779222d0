//! Random histories of two to eight people at one case, against a plain model: a list of what was acknowledged, and for
//! each question what must stand there. The model knows nothing of journals, folds or rebasing.

use std::collections::BTreeMap;

use casepan::case::decision::DentistAnswer;
use casepan::case::journal::Body;
use casepan::case::life::{CaseEvent, Happened};
use casepan::desk::Desk;
use casepan::fact::Value;
use casepan::session::{Act, Command, Effect, Inspection, Moment, Page};
use proptest::prelude::*;

use super::{Lab, Person};
use crate::decision::decision;
use crate::made::{mm, spot};
use crate::session::{crown, moment};

const CODES: [&str; 8] = ["p0", "p1", "p2", "p3", "p4", "p5", "p6", "p7"];
const FACTS: [&str; 3] = [
    "tooth.height",
    "tooth.width_margin_md",
    "tooth.width_top_md",
];

/// What a person does.
#[derive(Clone, Copy, Debug)]
enum Deed {
    Answer(usize, u8),
    /// As an answer, while others hold the archive.
    Wait(usize, u8),
    Decide(bool),
    Deliver,
    Undo,
    Tick,
    /// The program is cut off, and the person opens the case again.
    Cut,
    Print,
}

/// What is written to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Where {
    Fact(usize),
    Matter,
    Life,
}

/// What must stand somewhere.
#[derive(Clone, PartialEq, Debug)]
enum Stands {
    Nothing,
    Value(u8, &'static str),
    /// Answers that nobody has settled, each with who gave it; no answer where one was taken back.
    Two(Vec<(Option<u8>, Option<&'static str>)>),
    /// A list that grows.
    List(Vec<u8>),
}

/// Something that was acknowledged.
#[derive(Clone, Debug)]
struct Acknowledged {
    session: usize,
    at: Vec<Where>,
    /// The answer, where it is one.
    answer: Option<u8>,
    /// What stood everywhere afterwards.
    after: BTreeMap<Where, Stands>,
}

/// A change that a session can take back.
#[derive(Clone, Debug)]
struct Done {
    at: Vec<Where>,
    before: BTreeMap<Where, Stands>,
    knew: usize,
}

/// A session as the model sees it.
#[derive(Clone, Debug, Default)]
struct Seat {
    session: usize,
    code: &'static str,
    known: usize,
    done: Vec<Done>,
    waits: Option<(usize, u8)>,
}

#[derive(Default)]
struct Model {
    log: Vec<Acknowledged>,
    deliveries: u8,
}

impl Model {
    fn after(&self, count: usize) -> BTreeMap<Where, Stands> {
        let last = count.checked_sub(1).and_then(|last| self.log.get(last));
        last.map_or_else(BTreeMap::new, |own| own.after.clone())
    }

    fn now(&self) -> BTreeMap<Where, Stands> {
        self.after(self.log.len())
    }

    fn stands(state: &BTreeMap<Where, Stands>, at: Where) -> Stands {
        state.get(&at).cloned().unwrap_or(Stands::Nothing)
    }

    /// What others have written somewhere from a moment on: by its place in the list.
    fn others(&self, seat: &Seat, at: &[Where], since: usize) -> Vec<usize> {
        let own = self.log.iter().enumerate().skip(since);
        own.filter(|(_, own)| own.session != seat.session)
            .filter(|(_, own)| own.at.iter().any(|own| at.contains(own)))
            .map(|(index, _)| index)
            .collect()
    }

    /// Somebody answers, knowing what was there when the answer was given.
    fn answer(&mut self, seat: &mut Seat, at: Where, value: u8) {
        let before = self.now();
        let unseen = self.others(seat, &[at], seat.known);
        let mine = Stands::Value(value, seat.code);
        let stood = Self::stands(&before, at);
        let newest = unseen
            .last()
            .map(|index| Self::stands(&self.log[*index].after, at));
        let differs = match &newest {
            None => false,
            Some(Stands::Value(theirs, _)) => *theirs != value,
            Some(_) => true,
        };
        let now = match (differs, stood) {
            (false, _) => mine,
            (true, Stands::Two(mut sides)) => {
                let own = (Some(value), Some(seat.code));
                // Whoever answered a fact differently before says it anew; the first stays the first.
                let again = sides
                    .iter()
                    .skip(1)
                    .position(|(_, who)| *who == Some(seat.code));
                match again.filter(|_| at != Where::Matter) {
                    Some(place) => sides[place + 1] = own,
                    None => sides.push(own),
                }
                Stands::Two(sides)
            }
            (true, stood) => {
                let first = match stood {
                    Stands::Value(theirs, who) => vec![(Some(theirs), Some(who))],
                    _ if at == Where::Matter => Vec::new(),
                    _ => vec![(None, None)],
                };
                let own = std::iter::once((Some(value), Some(seat.code)));
                Stands::Two(first.into_iter().chain(own).collect())
            }
        };
        let knew = if differs { self.log.len() } else { seat.known };
        // A decision brings what had arrived and happened with it when it is taken back.
        let reach = match (at, differs) {
            (Where::Matter, false) => vec![at, Where::Life],
            _ => vec![at],
        };
        let mut after = before.clone();
        after.insert(at, now);
        self.log.push(Acknowledged {
            session: seat.session,
            at: vec![at],
            answer: Some(value),
            after,
        });
        seat.done.push(Done {
            before: reach
                .iter()
                .map(|at| (*at, Self::stands(&before, *at)))
                .collect(),
            at: reach,
            knew,
        });
        seat.known = self.log.len();
    }

    fn deliver(&mut self, seat: &mut Seat, day: u8) {
        let before = self.now();
        let stood = Self::stands(&before, Where::Life);
        let mut list = match stood.clone() {
            Stands::List(list) => list,
            _ => Vec::new(),
        };
        list.push(day);
        let mut after = before;
        after.insert(Where::Life, Stands::List(list));
        self.log.push(Acknowledged {
            session: seat.session,
            at: vec![Where::Life],
            answer: None,
            after,
        });
        seat.done.push(Done {
            at: vec![Where::Life],
            before: BTreeMap::from([(Where::Life, stood)]),
            knew: seat.known,
        });
        seat.known = self.log.len();
    }

    fn undo(&mut self, seat: &mut Seat) {
        let Some(change) = seat.done.last().cloned() else {
            return;
        };
        let others = self.others(seat, &change.at, change.knew);
        if others.iter().any(|index| *index < seat.known) {
            // Refused: somebody has written it since, and that was seen.
            return;
        }
        seat.done.pop();
        // What is not seen stays as it is; the rest is put back.
        let mut after = self.now();
        // A decision goes with what had arrived and happened, or not at all.
        let is_free = self.others(seat, &change.at, change.knew).is_empty();
        let free = if is_free {
            change.at.clone()
        } else {
            Vec::new()
        };
        let known = seat.known;
        seat.known = self.log.len();
        if free.is_empty() {
            return;
        }
        for at in &free {
            after.insert(*at, change.before[at].clone());
        }
        assert!(known <= self.log.len());
        self.log.push(Acknowledged {
            session: seat.session,
            at: free,
            answer: None,
            after,
        });
        seat.known = self.log.len();
    }
}

fn value(fact: usize, number: u8) -> Value {
    match FACTS[fact] {
        "tooth.width_top_md" => mm(7.0 + f64::from(number) / 10.0),
        "tooth.width_margin_md" => mm(8.0 + f64::from(number) / 10.0),
        _ => mm(3.0 + f64::from(number)),
    }
}

fn note(agreed: bool) -> casepan::case::decision::Decision {
    let outcome = match agreed {
        true => DentistAnswer::AsItIs,
        false => DentistAnswer::Refused,
    };
    decision("grip", "26", outcome)
}

struct History {
    lab: Lab,
    people: Vec<Option<Person>>,
    seats: Vec<Seat>,
    model: Model,
    sessions: usize,
}

fn write(
    person: &mut Person,
    moment: &Moment,
    what: impl FnOnce(&mut Inspection, &Moment) -> Vec<Effect>,
) {
    let desk: &mut Desk = &mut person.desk;
    let inspection = desk.session.inspection.as_mut().expect("an open case");
    let effects = what(inspection, moment);
    // What is not kept waits; the model knows when.
    let _ = desk.carry_out(effects, moment);
}

impl History {
    fn new(people: usize) -> History {
        let lab = Lab::with(&crown());
        let mut own = History {
            lab,
            people: Vec::new(),
            seats: Vec::new(),
            model: Model::default(),
            sessions: 0,
        };
        for code in &CODES[..people] {
            let person = own.lab.person(code);
            own.sit(person, code);
        }
        own
    }

    fn sit(&mut self, mut person: Person, code: &'static str) {
        person.desk.at_the_screen().expect("an archive");
        person.desk.session.page = Page::Questions;
        // What comes in at the open question has a rule of its own: here nobody stands at what is answered.
        let aside = spot("tooth.clearance", "26");
        let open = person.desk.session.inspection.as_mut().unwrap();
        open.put_cursor(Some(aside));
        self.sessions += 1;
        let place = self.seats.iter().position(|seat| seat.code == code);
        let seat = Seat {
            session: self.sessions,
            code,
            known: self.model.log.len(),
            ..Seat::default()
        };
        match place {
            Some(place) => {
                self.seats[place] = seat;
                self.people[place] = Some(person);
            }
            None => {
                self.seats.push(seat);
                self.people.push(Some(person));
            }
        }
    }

    fn moment(&mut self) -> Moment {
        self.lab.tick += 1;
        moment(self.lab.tick)
    }

    /// What waits is tried again, and is acknowledged with it.
    fn settle(&mut self, who: usize) {
        if let Some((fact, number)) = self.seats[who].waits.take() {
            let now = self.moment();
            let person = self.people[who].as_mut().unwrap();
            person.desk.tick(&now);
            assert!(!person.desk.has_unsaved());
            let seat = &mut self.seats[who];
            self.model.answer(seat, Where::Fact(fact), number);
        }
    }

    fn does(&mut self, who: usize, deed: Deed) {
        if !matches!(deed, Deed::Cut) {
            self.settle(who);
        }
        let now = self.moment();
        match deed {
            Deed::Answer(fact, number) => {
                if self.says_it_already(who, fact, number) {
                    return;
                }
                let person = self.people[who].as_mut().unwrap();
                write(person, &now, |inspection, now| {
                    inspection.answer_at(spot(FACTS[fact], "26"), value(fact, number), now)
                });
                assert!(!person.desk.has_unsaved());
                self.model
                    .answer(&mut self.seats[who], Where::Fact(fact), number);
            }
            Deed::Wait(fact, number) => {
                if self.says_it_already(who, fact, number) {
                    return;
                }
                let path = self.lab.directory.path().join("a.casepan");
                let mut other = rusqlite::Connection::open(path).unwrap();
                let lock = other
                    .transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)
                    .unwrap();
                let person = self.people[who].as_mut().unwrap();
                write(person, &now, |inspection, now| {
                    inspection.answer_at(spot(FACTS[fact], "26"), value(fact, number), now)
                });
                drop(lock);
                assert!(person.desk.has_unsaved());
                assert!(person.desk.session.not_saved.is_some());
                self.seats[who].waits = Some((fact, number));
            }
            Deed::Decide(agreed) => {
                let person = self.people[who].as_mut().unwrap();
                write(person, &now, |inspection, now| {
                    inspection.decide(note(agreed), now)
                });
                self.model
                    .answer(&mut self.seats[who], Where::Matter, u8::from(agreed));
            }
            Deed::Deliver => {
                self.model.deliveries += 1;
                let day = self.model.deliveries;
                let person = self.people[who].as_mut().unwrap();
                write(person, &now, |inspection, now| {
                    let event = CaseEvent {
                        what: Happened::Resumed,
                        restorations: vec![1],
                        on: jiff::civil::date(2026, 1, 1) + jiff::Span::new().days(i64::from(day)),
                        goes_on: None,
                    };
                    inspection.happen(event, now)
                });
                self.model.deliver(&mut self.seats[who], day);
            }
            Deed::Undo => {
                let person = self.people[who].as_mut().unwrap();
                person.desk.session.page = Page::Questions;
                person.desk.act(Act::Do(Command::Undo), &now);
                self.model.undo(&mut self.seats[who]);
            }
            Deed::Tick => {
                self.people[who].as_mut().unwrap().desk.tick(&now);
                self.seats[who].known = self.model.log.len();
            }
            Deed::Cut => {
                // Only what waited is lost, and it was said to be not saved.
                drop(self.people[who].take());
                let code = self.seats[who].code;
                let person = self.lab.person(code);
                self.sit(person, code);
            }
            Deed::Print => {
                let news = self.model.log[self.seats[who].known..]
                    .iter()
                    .any(|own| own.session != self.seats[who].session);
                let person = self.people[who].as_mut().unwrap();
                person.desk.session.page = Page::Summary;
                person.desk.key("w", &now);
                let notice = person.notice();
                assert_eq!(notice.starts_with("not printed yet"), news, "{notice}");
                if !news {
                    // No print is written over: the newest has the highest number.
                    let prints = self.lab.directory.path().join("prints");
                    let named = |number: usize| match number {
                        1 => prints.join("casepan-T-1-ticket.txt"),
                        number => prints.join(format!("casepan-T-1.{number}-ticket.txt")),
                    };
                    let newest = (1..).take_while(|number| named(*number).exists()).last();
                    let text = std::fs::read_to_string(named(newest.unwrap_or(1)));
                    let foot = format!("From entry {}, ", self.lab.journal().len());
                    assert!(text.unwrap().contains(&foot));
                }
                self.seats[who].known = self.model.log.len();
            }
        }
    }

    /// An answer that is there already as it is seen writes nothing.
    fn says_it_already(&self, who: usize, fact: usize, number: u8) -> bool {
        let seat = &self.seats[who];
        let state = self.model.after(seat.known);
        matches!(Model::stands(&state, Where::Fact(fact)), Stands::Value(own, _) if own == number)
    }

    fn check(&self) {
        let kept = self.lab.case();
        // Every acknowledged answer stands in the journal once, in the order in which it was acknowledged.
        let journal = self.lab.journal();
        let written: Vec<(usize, Value)> = journal
            .iter()
            .filter_map(|entry| {
                let body = match &entry.body {
                    Body::Differs { body, .. } => &**body,
                    body => body,
                };
                match body {
                    Body::Answer {
                        spot: own,
                        value,
                        undoes: None,
                        ..
                    } => {
                        let fact = FACTS.iter().position(|fact| *own == spot(fact, "26"))?;
                        Some((fact, value.clone()))
                    }
                    _ => None,
                }
            })
            .collect();
        let wanted: Vec<(usize, Value)> = self
            .model
            .log
            .iter()
            .filter_map(|own| match (own.at.as_slice(), own.answer) {
                ([Where::Fact(fact)], Some(number)) => Some((*fact, value(*fact, number))),
                _ => None,
            })
            .collect();
        assert_eq!(written, wanted);
        let state = self.model.now();
        for (fact, name) in FACTS.iter().enumerate() {
            let own = spot(name, "26");
            let there = kept.merged(&own).map(|(_, reading)| reading.value.clone());
            let sides = kept.dispute(&own).map(|dispute| {
                let sides = dispute.sides.iter();
                sides.map(|side| side.value.clone()).collect::<Vec<_>>()
            });
            match Model::stands(&state, Where::Fact(fact)) {
                Stands::Value(number, _) => {
                    assert_eq!((there, sides), (Some(value(fact, number)), None), "{name}");
                }
                Stands::Two(both) => {
                    let both = both
                        .into_iter()
                        .map(|(number, _)| number.map(|own| value(fact, own)));
                    assert_eq!((there, sides), (None, Some(both.collect())), "{name}");
                }
                Stands::Nothing | Stands::List(_) => {
                    assert_eq!((there, sides), (None, None), "{name}")
                }
            }
        }
        let about = note(true).about;
        let noted = kept.decision(&about).map(|own| own.decision.outcome);
        let both: Vec<_> = (kept.disputed_decision(&about).iter())
            .map(|own| Some(own.decision.outcome))
            .collect();
        let outcome = |number| note(number == 1).outcome;
        match Model::stands(&state, Where::Matter) {
            Stands::Value(number, _) => assert_eq!((noted, both), (Some(outcome(number)), vec![])),
            Stands::Two(sides) => {
                let sides = sides.into_iter().map(|(number, _)| number.map(outcome));
                assert_eq!((noted, both), (None, sides.collect()));
            }
            Stands::Nothing | Stands::List(_) => assert_eq!((noted, both), (None, vec![])),
        }
        let days: Vec<_> = kept.life().iter().map(|event| event.on).collect();
        let wanted = match Model::stands(&state, Where::Life) {
            Stands::List(list) => list,
            _ => Vec::new(),
        };
        let first = jiff::civil::date(2026, 1, 1);
        let wanted: Vec<_> = wanted
            .into_iter()
            .map(|day| first + jiff::Span::new().days(i64::from(day)))
            .collect();
        assert_eq!(days, wanted);
        // Each window that has seen everything shows what the archive has.
        for (seat, person) in self.seats.iter().zip(&self.people) {
            if seat.known == self.model.log.len() && seat.waits.is_none() {
                assert_eq!(
                    *person.as_ref().unwrap().open().case(),
                    kept,
                    "{}",
                    seat.code
                );
            }
        }
    }
}

fn deed() -> impl Strategy<Value = Deed> {
    prop_oneof![
        12 => (0..FACTS.len(), 0..3u8).prop_map(|(fact, number)| Deed::Answer(fact, number)),
        1 => (0..FACTS.len(), 0..3u8).prop_map(|(fact, number)| Deed::Wait(fact, number)),
        3 => any::<bool>().prop_map(Deed::Decide),
        2 => Just(Deed::Deliver),
        6 => Just(Deed::Undo),
        5 => Just(Deed::Tick),
        1 => Just(Deed::Cut),
        1 => Just(Deed::Print),
    ]
}

/// How many histories: more on request.
fn histories() -> u32 {
    let asked = std::env::var("CASEPAN_HISTORIES").ok();
    asked.and_then(|own| own.parse().ok()).unwrap_or(24)
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: histories(),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn nothing_acknowledged_is_lost_and_nothing_unseen_is_overwritten(
        people in 2..=8usize,
        deeds in prop::collection::vec((0..8usize, deed()), 1..40),
    ) {
        let mut history = History::new(people);
        for (who, deed) in deeds {
            history.does(who % people, deed);
        }
        history.check();
    }
}

/// Histories in which an answer that waited was lost, or could not be taken back.
#[test]
fn what_waited_behind_others_is_kept_and_taken_back_alone() {
    let (a, w) = (Deed::Answer, Deed::Wait);
    let same = [(3, a(0, 2)), (0, w(0, 0)), (3, w(0, 0)), (3, a(0, 0))];
    let same = same.into_iter().chain([(0, a(0, 0))]).collect::<Vec<_>>();
    let behind_two = [(2, a(1, 1)), (1, w(1, 0)), (3, a(1, 0)), (1, Deed::Undo)];
    for deeds in [&same[..], &behind_two] {
        let mut history = History::new(5);
        for (who, deed) in deeds {
            history.does(*who, *deed);
        }
        history.check();
    }
}
