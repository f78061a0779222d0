//! The walk: keys in, journal entries out, on a walk in memory without an archive.

mod acts;
mod asked_back;
mod course;
mod find;
mod keys;
mod random;
mod slips;
mod still;
mod usual;

use casepan::case::journal::{Body, Entry};
use casepan::case::{Case, Layer};
use casepan::fact::{Spot, Value};
use casepan::options::{case_options, together};
use casepan::session::command::COMMANDS;
use casepan::session::view::{CellState, LineView, PageView, QuestionsView};
use casepan::session::{Act, Effect, Given, Inspection, Moment, Page, Session, Ways};
use casepan::tooth::Notation;
use uuid::Uuid;

use super::made::{case, choice, flow, mm, spot};

/// One technician at the bench: a walk on one case and the journal it has written.
pub(crate) struct Technician {
    pub(crate) session: Session,
    /// The whole journal, with the opening and what was there before.
    pub(crate) journal: Vec<Entry>,
    /// How many entries were there before.
    before: usize,
    tick: u64,
}

/// Half past nine on a Monday, a second later with each key; ids count up.
pub(crate) fn moment(tick: u64) -> Moment {
    let start: jiff::Timestamp = "2026-11-23T09:30:00Z".parse().expect("a time");
    Moment {
        now: start + jiff::SignedDuration::from_secs(i64::try_from(tick).unwrap()),
        today: jiff::civil::date(2026, 11, 23),
        id: Uuid::from_u128(1000 + u128::from(tick)),
    }
}

impl Technician {
    /// Takes up a case: its facts were answered in another session.
    pub(crate) fn on(case: &Case) -> Technician {
        let entry = |n: usize, body: Body| Entry {
            id: Uuid::from_u128(n as u128),
            seen: n as u64,
            session: Uuid::from_u128(7),
            when: "2026-11-20T08:00:00Z".parse().expect("a time"),
            who: None,
            body,
        };
        let opened = Body::Opened {
            number: case.number.clone(),
            flow: case.flow.clone(),
            units: case.units.clone(),
        };
        let answers = case.layers().map(|(spot, layer, reading)| Body::Answer {
            spot: spot.clone(),
            value: reading.value.clone(),
            with: reading.with.clone(),
            layer,
            undoes: None,
        });
        let decisions = case.decisions().map(|decided| Body::Decide {
            decision: Box::new(decided.decision.clone()),
        });
        let journal: Vec<Entry> = std::iter::once(opened)
            .chain(decisions)
            .chain(answers)
            .enumerate()
            .map(|(n, body)| entry(n, body))
            .collect();
        let mut session = Session::new(Notation::Iso3950);
        let own = (Uuid::from_u128(8), Some("mk".to_owned()));
        let inspection = Inspection::of_journal(flow(), journal.clone(), own.0, own.1);
        session.show(inspection.expect("a case"));
        Technician {
            session,
            before: journal.len(),
            journal,
            tick: 0,
        }
    }

    /// Does something to the case under inspection.
    pub(crate) fn with(&mut self, what: impl FnOnce(&mut Inspection, &Moment) -> Vec<Effect>) {
        self.tick += 1;
        let moment = moment(self.tick);
        let effects = what(self.inspection_mut(), &moment);
        self.take(&effects);
    }

    fn take(&mut self, effects: &[Effect]) {
        for effect in effects {
            if let Effect::Append { number, entries } = effect {
                assert_eq!(*number, self.case().number);
                self.journal.extend(entries.iter().cloned());
            }
        }
    }

    /// Presses one key by its name.
    pub(crate) fn key(&mut self, key: &str) -> Vec<Effect> {
        self.tick += 1;
        let effects = self.session.key(key, &moment(self.tick));
        self.take(&effects);
        effects
    }

    /// Presses keys: a word that names a key is that key, every other word is typed letter by letter.
    pub(crate) fn keys(&mut self, keys: &str) -> &mut Technician {
        for word in keys.split_whitespace() {
            let named = word == "space" || COMMANDS.iter().any(|spec| spec.keys.contains(&word));
            if named {
                self.key(word);
            } else {
                for c in word.chars() {
                    self.key(&c.to_string());
                }
            }
        }
        self
    }

    /// Does something by whatever key.
    pub(crate) fn act(&mut self, act: Act) -> Vec<Effect> {
        self.tick += 1;
        let effects = self.session.act(act, &moment(self.tick));
        self.take(&effects);
        effects
    }

    /// Answers a question as it would be typed.
    pub(crate) fn answer(&mut self, fact: &str, at: &str, typed: &str) -> &mut Technician {
        self.act(Act::Answer(spot(fact, at), Given::Typed(typed.to_owned())));
        self
    }

    pub(crate) fn go(&mut self, page: Page) -> &mut Technician {
        self.act(Act::Go(page));
        assert_eq!(self.session.page, page);
        self
    }

    pub(crate) fn at(&mut self, fact: &str, at: &str) -> &mut Technician {
        self.inspection_mut().put_cursor(Some(spot(fact, at)));
        assert_eq!(self.cursor(), format!("{fact}@{at}"));
        self
    }

    /// Works options out, as the desk would.
    pub(crate) fn with_ways(&mut self) -> &mut Technician {
        let inspection = self.inspection_mut();
        let ways = {
            let facts = inspection.facts();
            let singles = case_options(inspection.flow(), &facts, inspection.judgement());
            let pairs = together(inspection.flow(), &facts, inspection.judgement(), &singles);
            Ways {
                singles,
                together: Some(pairs),
                steady: Vec::new(),
            }
        };
        inspection.ways = Some(ways);
        self
    }

    /// Goes back to the questions of the case itself, whatever is open.
    pub(crate) fn home(&mut self) -> &mut Technician {
        for _ in 0..30 {
            let session = &self.session;
            let over = session.over.helps()
                || session.over.line().is_some()
                || session.over.find().is_some();
            let open = over || session.is_trying();
            if open || matches!(session.page, Page::Call | Page::Options) {
                self.key("esc");
            }
        }
        self
    }

    fn inspection_mut(&mut self) -> &mut Inspection {
        self.session.inspection.as_mut().expect("a case is open")
    }

    pub(crate) fn case(&self) -> &Case {
        self.session.real().expect("a case is open").case()
    }

    pub(crate) fn cursor(&self) -> String {
        let inspection = self.session.inspection.as_ref().expect("a case is open");
        inspection.cursor().map_or_else(String::new, said)
    }

    pub(crate) fn questions(&self) -> Box<QuestionsView> {
        match self.session.view().page {
            PageView::Questions(view) => view,
            _ => panic!("another page is shown"),
        }
    }

    /// Why the last key was refused, at the cell or in a notice.
    fn refusal(&self) -> String {
        let present = self.questions().present.and_then(|p| p.refusal);
        present.or(self.session.notice.clone()).unwrap_or_default()
    }

    /// What this technician wrote, one short line an entry.
    pub(crate) fn wrote(&self) -> Vec<String> {
        self.journal[self.before..].iter().map(line).collect()
    }
}

fn said(spot: &Spot) -> String {
    format!("{}@{}", spot.fact, spot.at)
}

/// An entry in a line: what was answered with what; `<` and the tick of the entry that it takes back.
pub(crate) fn line(entry: &Entry) -> String {
    let (text, undoes) = match &entry.body {
        Body::Answer {
            spot,
            value,
            with,
            undoes,
            ..
        } => {
            let value = match value {
                Value::Number(number, unit) => format!("{number} {}", unit.variant()),
                Value::Choice(name) => name.clone(),
                Value::Teeth(teeth) => format!("{teeth:?}"),
                Value::Day(day) => day.to_string(),
                Value::Text(text) => format!("{text:?}"),
                Value::Yes => "yes".to_owned(),
                Value::No => "no".to_owned(),
                Value::NotSeen => "not seen".to_owned(),
            };
            let with = with.as_ref().map_or(String::new(), |id| format!(", {id}"));
            (format!("{} = {value}{with}", said(spot)), undoes)
        }
        Body::Clear { spot, undoes, .. } => (format!("clear {}", said(spot)), undoes),
        Body::Units { units, undoes } => {
            let teeth = units.restorations().iter().flat_map(|r| &r.units);
            let teeth: Vec<_> = teeth.map(|unit| unit.tooth.to_string()).collect();
            (format!("units {}", teeth.join(" ")), undoes)
        }
        other => (format!("{other:?}"), &None),
    };
    match undoes {
        Some(id) => format!("{text} < {}", id.as_u128() - 1000),
        None => text,
    }
}

/// A crown on 26, its order and records answered; the prep is next.
pub(crate) fn crown() -> Case {
    case(
        "26",
        &[
            ("order.scope", "R1", choice("teeth")),
            ("order.make", "R1", choice("first")),
            ("order.material", "R1", choice("zirconia-3y")),
            ("records.kind", "case", choice("impression")),
        ],
    )
}

/// The same, each wall asked for.
fn walls() -> Technician {
    let mut case = crown();
    let wanted = casepan::case::Reading::plain(Value::Yes);
    case.put(spot("tooth.wall_by_wall", "26"), Layer::Measured, wanted);
    Technician::on(&case)
}

/// Values with their instruments, without who and when: an answer taken back is put back at another time.
pub(crate) fn values(case: &Case) -> Vec<(Spot, Value, Option<String>)> {
    case.layers()
        .map(|(spot, _, reading)| (spot.clone(), reading.value.clone(), reading.with.clone()))
        .collect()
}

#[test]
fn undo_appends_and_stays_within_the_session() {
    let mut tech = Technician::on(&crown());
    tech.at("tooth.height", "26");
    let start = values(tech.case());
    tech.keys("4.4 enter 7 enter");
    let there = values(tech.case());
    tech.keys("u");
    assert_eq!(tech.cursor(), "tooth.width_margin_md@26");
    tech.keys("u");
    assert_eq!(tech.cursor(), "tooth.height@26");
    assert_eq!(values(tech.case()), start);
    tech.keys("u");
    assert_eq!(tech.refusal(), "nothing to undo in this session");
    tech.keys("y y");
    assert_eq!(values(tech.case()), there);
    tech.keys("y");
    assert_eq!(tech.refusal(), "nothing to redo");
    assert_eq!(
        tech.wrote(),
        [
            "tooth.height@26 = 4.4 Mm, caliper",
            "tooth.width_margin_md@26 = 7 Mm, caliper",
            // Keys 6 and 4 wrote the two entries: nothing is taken out of the journal.
            "clear tooth.width_margin_md@26 < 6",
            "clear tooth.height@26 < 4",
            "tooth.height@26 = 4.4 Mm, caliper",
            "tooth.width_margin_md@26 = 7 Mm, caliper",
        ]
    );
}

#[test]
fn undo_puts_back_what_stood_there_and_a_new_answer_ends_redo() {
    let mut tech = Technician::on(&crown());
    tech.at("order.make", "R1").keys("2 u");
    assert_eq!(
        tech.wrote(),
        ["order.make@R1 = remake", "order.make@R1 = first < 1"]
    );
    tech.at("order.shade_given", "case").keys("1 y");
    assert_eq!(
        tech.session
            .inspection
            .as_ref()
            .unwrap()
            .case()
            .value(&spot("order.make", "R1").fact, spot("order.make", "R1").at),
        Some(&choice("first"))
    );
    // Undoing what was done again names the entry that did it again.
    let mut tech = Technician::on(&crown());
    tech.at("order.make", "R1").keys("2 u y u");
    assert_eq!(tech.wrote()[3], "order.make@R1 = first < 3");
}

#[test]
fn wall_by_wall_goes_round_and_stops() {
    let mut tech = Technician::on(&crown());
    tech.at("tooth.clearance", "26").keys("w");
    assert_eq!(tech.cursor(), "wall.height@26/mesial");
    tech.keys("w");
    assert_eq!(
        tech.wrote(),
        ["tooth.wall_by_wall@26 = yes", "tooth.wall_by_wall@26 = no"]
    );
    assert!(!tech.cursor().is_empty());
}

#[test]
fn what_is_not_asked_says_why() {
    let mut tech = Technician::on(&crown());
    tech.at("order.scope", "R1");
    let idle: Vec<(String, Vec<String>)> = tech
        .questions()
        .lines
        .into_iter()
        .filter_map(|line| match line {
            LineView::Idle { label, why } => Some((label, why)),
            _ => None,
        })
        .collect();
    let remake = idle
        .iter()
        .find(|(label, _)| label.contains("what happened"))
        .expect("the questions on the previous restoration");
    assert_eq!(remake.1, ["new or remake: new"]);
    // Once it is a remake, they are asked.
    tech.at("order.make", "R1").keys("2");
    let asked = tech.questions().lines.into_iter().any(|line| {
        matches!(line, LineView::Ask { label, cell, .. }
            if label == "what happened" && cell.state != CellState::Idle)
    });
    assert!(asked);
}

fn erase(tech: &mut Technician) -> &mut Technician {
    for _ in 0..20 {
        tech.key("backspace");
    }
    tech
}

#[test]
fn units_changed_midway_set_answers_aside_and_bring_them_back() {
    let facts = [
        ("tooth.height", "46", mm(4.0)),
        ("pontic.span", "45", mm(7.0)),
        ("connector.space_height", "45-46", mm(5.0)),
    ];
    let mut tech = Technician::on(&case("44 x45 46", &facts));
    let whole = values(tech.case());
    tech.at("tooth.height", "46").keys("e");
    erase(&mut tech).keys("44 enter");
    assert_eq!(tech.wrote(), ["units 44"]);
    assert_eq!(tech.case().set_aside().count(), 3);
    // The cell is gone: the cursor stands on another that is asked.
    assert!(!tech.cursor().is_empty() && !tech.cursor().contains("46"));
    tech.keys("e");
    erase(&mut tech).keys("44 space x45 space 46 enter");
    assert_eq!(tech.case().set_aside().count(), 0);
    assert_eq!(values(tech.case()), whole);
    // Undo of the units brings the other state.
    tech.keys("u");
    assert_eq!(tech.case().set_aside().count(), 3);
    // What is no line of units is refused and stays to be mended.
    tech.keys("e");
    erase(&mut tech).keys("44 space x99 enter");
    assert!(tech.session.over.line().is_some());
    assert!(
        tech.session
            .notice
            .as_deref()
            .is_some_and(|n| n.contains("99"))
    );
    tech.keys("esc");
    assert!(tech.session.over.line().is_none());
}

#[test]
fn letters_go_into_a_text_and_commands_go_elsewhere() {
    let mut tech = Technician::on(&crown());
    tech.at("order.fee_lines", "case")
        .keys("quwn-* space é enter");
    assert_eq!(tech.wrote(), ["order.fee_lines@case = \"quwn-* é\""]);
}

#[test]
fn pasted_text_goes_only_where_it_fits() {
    let mut tech = Technician::on(&crown());
    tech.at("tooth.height", "26");
    tech.session.paste(" 4,4\n", &moment(1));
    assert_eq!(tech.questions().present.unwrap().input, "4,4");
    for odd in ["12q", "u", "4.4 4.4", "12345678901"] {
        tech.session.paste(odd, &moment(1));
        assert!(tech.session.notice.is_some(), "{odd}");
        assert_eq!(tech.questions().present.unwrap().input, "4,4", "{odd}");
    }
    tech.at("tooth.undercut", "26");
    tech.session.paste("1", &moment(1));
    assert!(tech.wrote().is_empty());
}

#[test]
fn pages_lead_to_one_another_and_back() {
    let mut tech = Technician::on(&crown());
    for (keys, page) in [
        ("f", Page::Findings),
        ("s", Page::Summary),
        ("f", Page::Findings),
        ("esc", Page::Questions),
        ("?", Page::Questions),
        ("esc", Page::Questions),
        ("s", Page::Summary),
        ("enter", Page::Questions),
    ] {
        tech.keys(keys);
        assert_eq!(tech.session.page, page, "{keys}");
        assert!(tech.wrote().is_empty());
    }
    // What was typed and not kept goes first.
    tech.at("tooth.height", "26").keys("4 esc");
    assert_eq!(tech.questions().present.unwrap().input, "");
    let effects = tech.key("q");
    assert_eq!(effects, [Effect::List]);
    assert_eq!(tech.session.page, Page::Worklist);
    assert_eq!(tech.key("q"), [Effect::Quit]);
}

#[test]
fn a_new_case_is_numbered_and_given_units() {
    let mut session = Session::new(Notation::Iso3950);
    let mut press = |keys: &str| -> Vec<Effect> {
        let mut last = Vec::new();
        for key in keys.split(' ') {
            last = session.key(key, &moment(1));
        }
        last
    };
    press("n");
    // No name of anybody, no empty number.
    assert!(press("enter").is_empty());
    assert!(press("2 4 ; enter").is_empty());
    // Not every case is in the part of the list that is here: whoever has the archive looks.
    let number = "24-7".to_owned();
    assert_eq!(press("backspace - 7 enter"), [Effect::LookUp { number }]);
    // Bare numbers that would be other teeth in Universal are asked back first.
    assert!(press("2 6 space 2 7 enter").is_empty());
    let effects = press("enter");
    assert_eq!(
        effects,
        [
            Effect::Create {
                number: "24-7".to_owned(),
                units: super::made::units("26 27"),
            },
            // It was said which teeth are meant: the next case is not asked about.
            Effect::Choose(Notation::Iso3950),
        ]
    );
}
