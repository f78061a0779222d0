//! The walk: keys in, journal entries out, on a walk in memory without an archive.

mod asked_back;
mod course;
mod find;
mod keys;
mod random;
mod slips;
mod still;
mod usual;

use casepan::case::journal::{Body, Entry, fold};
use casepan::case::{Case, Layer};
use casepan::fact::{Spot, Value};
use casepan::remedy::{together, ways_out};
use casepan::tooth::Notation;
use casepan::walk::command::COMMANDS;
use casepan::walk::view::{CellState, LineView, PageView, QuestionsView};
use casepan::walk::{Effect, Inspection, Moment, Page, Walk, Ways};
use uuid::Uuid;

use super::made::{case, choice, flow, mm, spot};

/// One sitting at the bench: a walk on one case and the journal it has written.
pub(crate) struct Sitting {
    pub(crate) walk: Walk,
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

impl Sitting {
    /// Takes up a case: its facts were answered in another sitting.
    pub(crate) fn on(case: &Case) -> Sitting {
        let entry = |n: usize, body: Body| Entry {
            id: Uuid::from_u128(n as u128),
            seen: n as u64,
            sitting: Uuid::from_u128(7),
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
        let mut walk = Walk::new(Notation::Iso3950);
        walk.show(Inspection::new(
            flow(),
            fold(&journal).expect("a case"),
            journal.len() as u64,
            Uuid::from_u128(8),
            Some("mk".to_owned()),
        ));
        Sitting {
            walk,
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
        let effects = self.walk.key(key, &moment(self.tick));
        self.take(&effects);
        effects
    }

    /// Presses keys: a word that names a key is that key, every other word is typed letter by letter.
    pub(crate) fn keys(&mut self, keys: &str) -> &mut Sitting {
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

    pub(crate) fn at(&mut self, fact: &str, at: &str) -> &mut Sitting {
        self.inspection_mut().put_cursor(Some(spot(fact, at)));
        assert_eq!(self.cursor(), format!("{fact}@{at}"));
        self
    }

    /// Works ways out out, as the desk would.
    pub(crate) fn with_ways(&mut self) -> &mut Sitting {
        let inspection = self.inspection_mut();
        let ways = {
            let facts = inspection.facts();
            let singles = ways_out(inspection.flow(), &facts, inspection.judgement());
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
    pub(crate) fn home(&mut self) -> &mut Sitting {
        for _ in 0..30 {
            let walk = &self.walk;
            let over = walk.help || walk.prompt.is_some() || walk.search.is_some();
            let open = over || walk.is_trying();
            if open || matches!(walk.page, Page::Call | Page::Options) {
                self.key("esc");
            }
        }
        self
    }

    fn inspection_mut(&mut self) -> &mut Inspection {
        self.walk.inspection.as_mut().expect("a case is open")
    }

    pub(crate) fn case(&self) -> &Case {
        self.walk.real().expect("a case is open").case()
    }

    pub(crate) fn cursor(&self) -> String {
        let inspection = self.walk.inspection.as_ref().expect("a case is open");
        inspection.cursor().map_or_else(String::new, said)
    }

    pub(crate) fn questions(&self) -> Box<QuestionsView> {
        match self.walk.view().page {
            PageView::Questions(view) => view,
            _ => panic!("another page is shown"),
        }
    }

    /// Why the last key was refused, at the cell or in a notice.
    fn refusal(&self) -> String {
        let present = self.questions().present.and_then(|p| p.refusal);
        present.or(self.walk.notice.clone()).unwrap_or_default()
    }

    /// What this sitting wrote, one short line an entry.
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

/// A crown on 26, its order and records answered; the stump is next.
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
fn walls() -> Sitting {
    let mut case = crown();
    let wanted = casepan::case::Reading::plain(Value::Yes);
    case.put(spot("tooth.wall_by_wall", "26"), Layer::Measured, wanted);
    Sitting::on(&case)
}

/// Values with their instruments, without who and when: an answer taken back is put back at another time.
pub(crate) fn values(case: &Case) -> Vec<(Spot, Value, Option<String>)> {
    case.layers()
        .map(|(spot, _, reading)| (spot.clone(), reading.value.clone(), reading.with.clone()))
        .collect()
}

#[test]
fn undo_appends_and_stays_within_the_sitting() {
    let mut sitting = Sitting::on(&crown());
    sitting.at("tooth.height", "26");
    let start = values(sitting.case());
    sitting.keys("4.4 enter 7 enter");
    let there = values(sitting.case());
    sitting.keys("u");
    assert_eq!(sitting.cursor(), "tooth.width_margin_md@26");
    sitting.keys("u");
    assert_eq!(sitting.cursor(), "tooth.height@26");
    assert_eq!(values(sitting.case()), start);
    sitting.keys("u");
    assert_eq!(sitting.refusal(), "nothing of this sitting to undo");
    sitting.keys("y y");
    assert_eq!(values(sitting.case()), there);
    sitting.keys("y");
    assert_eq!(sitting.refusal(), "nothing to do again");
    assert_eq!(
        sitting.wrote(),
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
    let mut sitting = Sitting::on(&crown());
    sitting.at("order.make", "R1").keys("2 u");
    assert_eq!(
        sitting.wrote(),
        ["order.make@R1 = remake", "order.make@R1 = first < 1"]
    );
    sitting.at("order.shade_given", "case").keys("1 y");
    assert_eq!(
        sitting
            .walk
            .inspection
            .as_ref()
            .unwrap()
            .case()
            .value(&spot("order.make", "R1").fact, spot("order.make", "R1").at),
        Some(&choice("first"))
    );
    // Undoing what was done again names the entry that did it again.
    let mut sitting = Sitting::on(&crown());
    sitting.at("order.make", "R1").keys("2 u y u");
    assert_eq!(sitting.wrote()[3], "order.make@R1 = first < 3");
}

#[test]
fn wall_by_wall_goes_round_and_stops() {
    let mut sitting = Sitting::on(&crown());
    sitting.at("tooth.clearance", "26").keys("w");
    assert_eq!(sitting.cursor(), "wall.height@26/mesial");
    sitting.keys("w");
    assert_eq!(
        sitting.wrote(),
        ["tooth.wall_by_wall@26 = yes", "tooth.wall_by_wall@26 = no"]
    );
    assert!(!sitting.cursor().is_empty());
}

#[test]
fn what_is_not_asked_says_why() {
    let mut sitting = Sitting::on(&crown());
    sitting.at("order.scope", "R1");
    let idle: Vec<(String, String)> = sitting
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
        .expect("the questions on the one before");
    assert_eq!(remake.1, "first or remake: first make");
    // Once it is a remake, they are asked.
    sitting.at("order.make", "R1").keys("2");
    let asked = sitting.questions().lines.into_iter().any(|line| {
        matches!(line, LineView::Ask { label, cell, .. }
            if label == "what happened" && cell.state != CellState::Idle)
    });
    assert!(asked);
}

fn erase(sitting: &mut Sitting) -> &mut Sitting {
    for _ in 0..20 {
        sitting.key("backspace");
    }
    sitting
}

#[test]
fn units_changed_midway_set_answers_aside_and_bring_them_back() {
    let facts = [
        ("tooth.height", "46", mm(4.0)),
        ("pontic.span", "45", mm(7.0)),
        ("connector.room_height", "45-46", mm(5.0)),
    ];
    let mut sitting = Sitting::on(&case("44 x45 46", &facts));
    let whole = values(sitting.case());
    sitting.at("tooth.height", "46").keys("o");
    erase(&mut sitting).keys("44 enter");
    assert_eq!(sitting.wrote(), ["units 44"]);
    assert_eq!(sitting.case().set_aside().count(), 3);
    // The cell is gone: the cursor stands on another that is asked.
    assert!(!sitting.cursor().is_empty() && !sitting.cursor().contains("46"));
    sitting.keys("o");
    erase(&mut sitting).keys("44 space x45 space 46 enter");
    assert_eq!(sitting.case().set_aside().count(), 0);
    assert_eq!(values(sitting.case()), whole);
    // Undo of the units brings the other state.
    sitting.keys("u");
    assert_eq!(sitting.case().set_aside().count(), 3);
    // What is no line of units is refused and stays to be mended.
    sitting.keys("o");
    erase(&mut sitting).keys("44 space x99 enter");
    assert!(sitting.walk.prompt.is_some());
    assert!(
        sitting
            .walk
            .notice
            .as_deref()
            .is_some_and(|n| n.contains("99"))
    );
    sitting.keys("esc");
    assert!(sitting.walk.prompt.is_none());
}

#[test]
fn letters_go_into_a_text_and_commands_go_elsewhere() {
    let mut sitting = Sitting::on(&crown());
    sitting
        .at("order.fee_lines", "case")
        .keys("quwn-* space é enter");
    assert_eq!(sitting.wrote(), ["order.fee_lines@case = \"quwn-* é\""]);
}

#[test]
fn pasted_text_goes_only_where_it_fits() {
    let mut sitting = Sitting::on(&crown());
    sitting.at("tooth.height", "26");
    sitting.walk.paste(" 4,4\n", &moment(1));
    assert_eq!(sitting.questions().present.unwrap().input, "4,4");
    for odd in ["12q", "u", "4.4 4.4", "12345678901"] {
        sitting.walk.paste(odd, &moment(1));
        assert!(sitting.walk.notice.is_some(), "{odd}");
        assert_eq!(sitting.questions().present.unwrap().input, "4,4", "{odd}");
    }
    sitting.at("tooth.undercut", "26");
    sitting.walk.paste("1", &moment(1));
    assert!(sitting.wrote().is_empty());
}

#[test]
fn pages_lead_to_one_another_and_back() {
    let mut sitting = Sitting::on(&crown());
    for (keys, page) in [
        ("f", Page::Findings),
        ("e", Page::End),
        ("f", Page::Findings),
        ("esc", Page::Questions),
        ("?", Page::Questions),
        ("esc", Page::Questions),
        ("e", Page::End),
        ("enter", Page::Questions),
    ] {
        sitting.keys(keys);
        assert_eq!(sitting.walk.page, page, "{keys}");
        assert!(sitting.wrote().is_empty());
    }
    // What was typed and not kept goes first.
    sitting.at("tooth.height", "26").keys("4 esc");
    assert_eq!(sitting.questions().present.unwrap().input, "");
    let effects = sitting.key("q");
    assert_eq!(effects, [Effect::List]);
    assert_eq!(sitting.walk.page, Page::Worklist);
    assert_eq!(sitting.key("q"), [Effect::Quit]);
}

#[test]
fn a_new_case_is_numbered_and_given_units() {
    let mut walk = Walk::new(Notation::Iso3950);
    let mut press = |keys: &str| -> Vec<Effect> {
        let mut last = Vec::new();
        for key in keys.split(' ') {
            last = walk.key(key, &moment(1));
        }
        last
    };
    press("n");
    // No name of anybody, no empty number.
    assert!(press("enter").is_empty());
    assert!(press("2 4 ; enter").is_empty());
    assert!(press("backspace - 7 enter").is_empty());
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
