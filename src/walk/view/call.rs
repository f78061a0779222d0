//! The page of the call in ready strings.

use crate::call::{Ask, MOST_QUESTIONS, State, earlier, matter};
use crate::case::decision::{Decider, Matter};
use crate::derive::Facts;
use crate::fact::{FactId, Kind, Value};
use crate::flow::Level;
use crate::phrase::{DENTIST_MAY, LABORATORY_CAN, NO_ANSWER, Phrase, WORKED_OUT};
use crate::remedy::WayOut;
use crate::walk::call::{Draft, Pick, READY, Stage, behind, ordered, ready};
use crate::walk::{Inspection, Keymap, Walk};

/// The call.
#[derive(Clone, Debug, Default)]
pub struct CallView {
    /// How many questions are still to be asked, and how many of them in writing.
    pub count: String,
    /// What to have ready: its name, what was answered, whether it is marked.
    pub ready: Vec<(String, String, bool)>,
    /// The lines of the list.
    pub rows: Vec<CallRow>,
    /// The marked line in full, or the answer as far as it is.
    pub panel: Vec<PanelLine>,
}

/// A line of the list.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct CallRow {
    /// The heading before it, where it begins a part.
    pub section: Option<&'static str>,
    /// Its number.
    pub number: String,
    /// The level that it tells of.
    pub level: Option<Level>,
    /// What it says.
    pub text: String,
    /// What was said to it.
    pub state: String,
    /// Whether it is marked.
    pub marked: bool,
}

/// A line below the list.
#[derive(Clone, PartialEq, Debug)]
pub enum PanelLine {
    /// A heading.
    Heading(String),
    /// A text.
    Text(String),
    /// Less important.
    Dim(String),
    /// Something to pick.
    Pick {
        /// Its digit, where it has one.
        digit: Option<char>,
        /// Whether it is picked.
        ticked: bool,
        /// Whether it is marked.
        marked: bool,
        /// What it is.
        text: String,
        /// What comes of it.
        note: String,
    },
}

impl Walk {
    pub(super) fn call(&self, inspection: &Inspection, facts: &Facts<'_>) -> CallView {
        let phrase = self.phrase(inspection);
        let standing = self.standing();
        let list = ordered(facts, inspection, phrase, &standing);
        let open = list.iter().filter(|ask| ask.is_open()).count();
        let count = match (
            open.min(MOST_QUESTIONS),
            open.saturating_sub(MOST_QUESTIONS),
        ) {
            (0, _) => "nothing to ask".to_owned(),
            (ask, 0) => format!("{ask} to ask"),
            (ask, rest) => format!("{ask} to ask, {rest} in writing"),
        };
        let marked = self.marked_index(inspection);
        let ready = READY.iter().enumerate().map(|(index, fact)| {
            let value = phrase.fact(facts, &ready(fact));
            let begun = self.call.lines.get(fact).map(|line| format!("{line} .."));
            (
                phrase.label(fact),
                value.or(begun).unwrap_or_default(),
                index == marked,
            )
        });
        CallView {
            count,
            ready: ready.collect(),
            rows: self.rows(inspection, facts, &list, marked),
            panel: self.panel(inspection, facts, &list, marked),
        }
    }

    fn marked_index(&self, inspection: &Inspection) -> usize {
        let last = self.call_rows(inspection).len().saturating_sub(1);
        self.call.marked.min(last)
    }

    fn rows(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
        list: &[Ask<'_>],
        marked: usize,
    ) -> Vec<CallRow> {
        let phrase = self.phrase(inspection);
        let mut rows: Vec<(&'static str, CallRow)> = Vec::new();
        for (index, ask) in list.iter().enumerate() {
            let section = match (ask.is_open(), index < MOST_QUESTIONS) {
                (true, true) => "On the phone",
                (true, false) => "In writing",
                (false, _) => "Said already",
            };
            let about = matter(phrase.flow, ask.finding);
            let state = match ask.state {
                _ if self.call.drafts.iter().any(|draft| draft.about == about) => "begun",
                State::Open => "",
                State::Undecided(_) => "no decision yet",
                State::Decided(_) => "decided",
                State::Standing(_) => "agreed to",
            };
            rows.push((
                section,
                CallRow {
                    number: (index + 1).to_string(),
                    level: Some(ask.finding.level),
                    text: ask.asks.clone(),
                    state: state.to_owned(),
                    ..CallRow::default()
                },
            ));
        }
        for decided in earlier(facts.case(), list) {
            rows.push((
                "No longer asked",
                CallRow {
                    text: format!(
                        "{}: {}",
                        phrase.place(decided.decision.about.at),
                        phrase.decision(facts, decided)
                    ),
                    ..CallRow::default()
                },
            ));
        }
        for proposal in facts.case().proposals() {
            rows.push((
                "To propose",
                CallRow {
                    text: phrase.changes(facts, &proposal.changes).join("; "),
                    ..CallRow::default()
                },
            ));
        }
        let mut section = "";
        rows.into_iter()
            .enumerate()
            .map(|(index, (own, mut row))| {
                row.section = (own != section).then_some(own);
                section = own;
                row.marked = index + READY.len() == marked;
                row
            })
            .collect()
    }

    fn panel(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
        list: &[Ask<'_>],
        marked: usize,
    ) -> Vec<PanelLine> {
        let phrase = self.phrase(inspection);
        if let Some(fact) = READY.get(marked) {
            return ready_panel(&self.keymap, phrase, inspection, fact);
        }
        let index = marked - READY.len();
        if let Some(ask) = list.get(index) {
            let about = matter(phrase.flow, ask.finding);
            return match self.draft().filter(|draft| draft.about == about) {
                Some(draft) => self.answering(inspection, facts, ask, draft),
                None => question_panel(phrase, inspection, facts, ask, &about),
            };
        }
        let earlier = earlier(facts.case(), list);
        if let Some(decided) = earlier.get(index - list.len()) {
            let mut lines = vec![PanelLine::Text(phrase.decision(facts, decided))];
            lines.extend(
                phrase
                    .changes(facts, &decided.decision.changes)
                    .into_iter()
                    .map(PanelLine::Dim),
            );
            return lines;
        }
        let proposal = index - list.len() - earlier.len();
        facts.case().proposals().get(proposal).map_or_else(
            || vec![PanelLine::Text("Nothing to ask.".to_owned())],
            |proposal| {
                phrase
                    .changes(facts, &proposal.changes)
                    .into_iter()
                    .map(PanelLine::Text)
                    .collect()
            },
        )
    }

    /// The answer as far as it is.
    fn answering(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
        ask: &Ask<'_>,
        draft: &Draft,
    ) -> Vec<PanelLine> {
        let phrase = self.phrase(inspection);
        let mut lines = vec![PanelLine::Heading(ask.asks.clone())];
        let digit = |index: usize| {
            u32::try_from(index + 1)
                .ok()
                .and_then(|n| char::from_digit(n, 10))
        };
        let line = |index: usize, ticked: bool, text: &str| PanelLine::Pick {
            digit: digit(index),
            ticked,
            marked: index == draft.marked,
            text: text.to_owned(),
            note: String::new(),
        };
        match draft.stage {
            Stage::Pick => {
                let mut section = "";
                for (index, pick) in self.picks(inspection, &draft.about).iter().enumerate() {
                    let ticked = draft.has(pick);
                    match pick {
                        Pick::Outcome(outcome) => {
                            let text = match outcome {
                                crate::case::decision::Outcome::Agreed => "in other words",
                                outcome => phrase.outcome(*outcome),
                            };
                            lines.push(line(index, ticked, text));
                        }
                        Pick::Way(way) => {
                            let own = heading(phrase, way);
                            if own != section {
                                section = own;
                                lines.push(PanelLine::Heading(own.to_owned()));
                            }
                            lines.push(PanelLine::Pick {
                                digit: digit(index),
                                ticked,
                                marked: index == draft.marked,
                                text: phrase.does(facts, way),
                                note: note(phrase, way),
                            });
                            if index == draft.marked || ticked {
                                lines.extend(careful(phrase, way));
                            }
                        }
                    }
                }
                if inspection.ways.is_none() {
                    lines.push(PanelLine::Dim(format!("ways out: {WORKED_OUT}")));
                }
            }
            Stage::Role => {
                lines.push(PanelLine::Text("Who decided?".to_owned()));
                for (index, by) in Decider::ALL.into_iter().enumerate() {
                    lines.push(line(index, draft.by == Some(by), phrase.decider(by)));
                }
            }
            Stage::Amended => {
                lines.push(PanelLine::Text(
                    "This is on hold. Is the amended order here in writing?".to_owned(),
                ));
                lines.push(line(0, draft.amended == Some(true), "yes"));
                lines.push(line(1, draft.amended == Some(false), "no"));
            }
            Stage::Line(_) => {}
            Stage::Confirm => {
                let ways: Vec<String> = draft
                    .ways
                    .iter()
                    .map(|way| phrase.does(facts, way))
                    .collect();
                let decision = draft.decision(inspection, self.today);
                lines.push(PanelLine::Dim("Read back:".to_owned()));
                lines.push(PanelLine::Text(phrase.read_back(&decision, &ways)));
                lines.push(PanelLine::Dim(
                    self.keymap.say("{choose} keeps it, {back} goes back"),
                ));
            }
        }
        lines
    }
}

fn heading(phrase: Phrase<'_>, way: &WayOut) -> &'static str {
    match way.of(phrase.flow).map(|remedy| remedy.by) {
        Some(crate::flow::Whose::Dentist) => DENTIST_MAY,
        _ => LABORATORY_CAN,
    }
}

/// What comes of a way out, what it cuts, costs and takes.
fn note(phrase: Phrase<'_>, way: &WayOut) -> String {
    let mut said = Vec::new();
    if let Some(after) = &way.after {
        said.push(format!("then {}", phrase.level(after.verdict.level)));
        said.extend(phrase.grip_change(after).map(|grip| format!("grip {grip}")));
    }
    said.extend(phrase.cut(way.cut).map(|cut| format!("cuts {cut}")));
    if let Some(remedy) = way.of(phrase.flow) {
        said.push(phrase.price(remedy));
        if remedy.days > 0 {
            said.push(phrase.days(remedy.days));
        }
    }
    said.join(", ")
}

/// What to be careful about with a way out.
fn careful(phrase: Phrase<'_>, way: &WayOut) -> Vec<PanelLine> {
    let cautions = way.of(phrase.flow).map(|remedy| remedy.cautions.iter());
    let said = cautions.into_iter().flatten();
    said.map(|text| PanelLine::Text(text.clone())).collect()
}

fn ready_panel(
    keymap: &Keymap,
    phrase: Phrase<'_>,
    inspection: &Inspection,
    fact: &FactId,
) -> Vec<PanelLine> {
    let mut lines = Vec::new();
    if let Some(question) = phrase.flow.question(fact) {
        lines.push(PanelLine::Heading(question.asks.clone()));
        lines.push(PanelLine::Dim(question.look.clone()));
    }
    let now = inspection
        .case()
        .merged(&ready(fact))
        .map(|(_, reading)| &reading.value);
    let kind = phrase.flow.spec(fact).map(|spec| &spec.kind);
    let choices: Vec<(Value, String)> = match kind {
        Some(Kind::YesNo) => vec![(Value::Yes, "yes".to_owned()), (Value::No, "no".to_owned())],
        Some(kind @ Kind::Choice(_)) => phrase
            .flow
            .choices(kind)
            .into_iter()
            .map(|(id, words)| (Value::Choice(id), words))
            .collect(),
        _ => {
            lines.push(PanelLine::Dim(keymap.say("{open-row} opens it to type")));
            Vec::new()
        }
    };
    for (digit, (value, text)) in ('1'..='9').zip(choices) {
        lines.push(PanelLine::Pick {
            digit: Some(digit),
            ticked: now == Some(&value),
            marked: false,
            text,
            note: String::new(),
        });
    }
    lines
}

/// A question in full: what was found, what was said, and the ways out behind it.
fn question_panel(
    phrase: Phrase<'_>,
    inspection: &Inspection,
    facts: &Facts<'_>,
    ask: &Ask<'_>,
    about: &Matter,
) -> Vec<PanelLine> {
    let mut lines = vec![
        PanelLine::Heading(ask.asks.clone()),
        PanelLine::Dim(phrase.line(facts, ask.finding)),
    ];
    match ask.state {
        State::Open => {}
        State::Undecided(decided) | State::Decided(decided) => {
            lines.push(PanelLine::Text(phrase.decision(facts, decided)));
        }
        State::Standing(agreement) => lines.push(PanelLine::Text(phrase.agreement(agreement))),
    }
    let (laboratory, dentist) = behind(inspection, facts, about);
    for (title, ways) in [(LABORATORY_CAN, laboratory), (DENTIST_MAY, dentist)] {
        if !ways.is_empty() {
            lines.push(PanelLine::Heading(title.to_owned()));
        }
        for way in ways {
            lines.push(PanelLine::Pick {
                digit: None,
                ticked: false,
                marked: false,
                text: phrase.does(facts, &way),
                note: note(phrase, &way),
            });
        }
    }
    if inspection.ways.is_none() {
        lines.push(PanelLine::Dim(format!("ways out: {WORKED_OUT}")));
    }
    lines.push(PanelLine::Dim(NO_ANSWER.to_owned()));
    lines
}
