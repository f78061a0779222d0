//! The page of the call in ready strings.

mod lines;

use crate::call::{Ask, State, earlier, matter, tells};
use crate::case::coming::{Part, awaited};
use crate::case::decision::{Decider, Matter, Outcome};
use crate::derive::Facts;
use crate::fact::Spot;
use crate::flow::Level;
use crate::phrase::coming::{self, PLEASE_TELL};
use crate::phrase::{NOTHING_CHECKED, WORKED_OUT};
use crate::session::call::{
    Draft, FREE_PARTS, OPTIONS_AT_ONCE, OUTCOMES, Pick, READY, Row, Stage, ordered, ready,
    tell_choices, written_first,
};
use crate::session::{Inspection, Session};
use crate::state::replaced;
use lines::{careful, heading, not_enough, note, plain_pick, ready_panel};

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

impl Session {
    pub(super) fn call(&self, inspection: &Inspection, facts: &Facts<'_>) -> CallView {
        let phrase = self.phrase(inspection);
        let standing = self.standing();
        let list = ordered(facts, inspection, phrase, &standing);
        let open = list.iter().filter(|ask| ask.is_open()).count();
        let tells = tells(facts, &inspection.judgement, phrase).len();
        let count = match open {
            0 if !inspection.judgement.verdict.covered => NOTHING_CHECKED.to_owned(),
            0 if tells > 0 => format!("nothing to ask, {tells} to be told"),
            0 => "nothing to ask".to_owned(),
            open => format!("{open} to ask"),
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
            let section = match ask.state {
                _ if ask.is_open() => "To ask",
                State::Awaiting(_) => "Waiting",
                _ => "Answered",
            };
            let about = matter(phrase.flow, ask.finding);
            let state = match ask.state {
                _ if self.call.drafts.iter().any(|draft| draft.about == about) => "begun",
                State::Open => "",
                State::Declined(_) => "declined",
                State::Again(_) | State::Changed(_) => "again",
                State::Awaiting(_) => "waiting",
                State::Decided(_) => "answered",
                State::Standing(_) => "standing",
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
        for tell in tells(facts, &inspection.judgement, phrase) {
            let state = match (tell.is_unknown, tell.could_be >= Level::Call) {
                (true, _) => "not known",
                (false, true) => "before it is made",
                (false, false) => "",
            };
            rows.push((
                PLEASE_TELL,
                CallRow {
                    // The whole question stands below: in a cut line two teeth could not be told apart.
                    text: phrase.told_of(facts, &tell.spot),
                    state: state.to_owned(),
                    ..CallRow::default()
                },
            ));
        }
        for own in awaited(inspection.case()) {
            rows.push((
                "To come in",
                CallRow {
                    text: phrase.awaited(facts, &own),
                    state: match (own.due, self.today) {
                        (Some(due), Some(today)) if due < today => "late".to_owned(),
                        _ => String::new(),
                    },
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
                        phrase.decided_at(facts, decided.decision.about.at),
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
        let rows = self.call_rows(inspection);
        match rows.get(marked) {
            Some(Row::Ready(fact)) => ready_panel(&self.keymap, phrase, inspection, fact),
            Some(Row::Ask(about)) => {
                let ask = list
                    .iter()
                    .find(|ask| matter(phrase.flow, ask.finding) == *about);
                match (ask, self.draft().filter(|draft| draft.about == *about)) {
                    (Some(ask), Some(draft)) => self.answering(inspection, facts, ask, draft),
                    (Some(ask), None) => self.question(inspection, facts, ask, about),
                    (None, _) => Vec::new(),
                }
            }
            Some(Row::Tell(spot)) => self.telling(inspection, facts, spot),
            Some(Row::Awaited(part, restorations)) => {
                self.coming_in(inspection, facts, *part, restorations)
            }
            Some(Row::Earlier(about)) => {
                let mut lines = Vec::new();
                if let Some(decided) = facts.case().decision(about) {
                    lines.push(PanelLine::Text(phrase.decision(facts, decided)));
                    let (told, expected) = decided.decision.sorted();
                    let changes = phrase.changes(facts, &told).into_iter();
                    lines.extend(changes.map(PanelLine::Dim));
                    let expected = phrase.changes(facts, &expected).into_iter();
                    lines.extend(expected.map(|text| PanelLine::Dim(format!("expected: {text}"))));
                }
                lines
            }
            Some(Row::Proposal(index)) => {
                facts
                    .case()
                    .proposals()
                    .get(*index)
                    .map_or_else(Vec::new, |proposal| {
                        let changes = phrase.changes(facts, &proposal.changes).into_iter();
                        changes.map(PanelLine::Text).collect()
                    })
            }
            None => vec![PanelLine::Text("Nothing to ask.".to_owned())],
        }
    }

    /// A marked question: what was found, what was said, and what can be said to it, each behind its digit.
    fn question(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
        ask: &Ask<'_>,
        about: &Matter,
    ) -> Vec<PanelLine> {
        let phrase = self.phrase(inspection);
        let mut lines = vec![
            PanelLine::Heading(ask.asks.clone()),
            PanelLine::Dim(phrase.line(facts, ask.finding)),
        ];
        if let Some(decided) = ask.state.decided() {
            lines.push(PanelLine::Text(phrase.decision(facts, decided)));
        }
        match ask.state {
            State::Standing(instruction) => {
                lines.push(PanelLine::Text(phrase.instruction(instruction)))
            }
            State::Changed(_) => lines.push(PanelLine::Text(
                "It is not any more what was accepted: it is asked again.".to_owned(),
            )),
            State::Again(_) => lines.push(PanelLine::Text(
                "What was agreed has come in, and it is found again.".to_owned(),
            )),
            State::Declined(_) => lines.push(PanelLine::Text(
                "Declined: as it is, in writing, another option, or take it off the order."
                    .to_owned(),
            )),
            _ => {}
        }
        let Some(speaker) = self.call.speaker else {
            // In a low window only the first lines are seen.
            let mut first = vec![PanelLine::Heading("Who speaks?".to_owned())];
            first.extend(
                ('1'..)
                    .zip(Decider::ALL)
                    .map(|(digit, by)| plain_pick(digit, phrase.decider(by))),
            );
            first.extend(lines);
            return first;
        };
        lines.push(PanelLine::Dim(self.keymap.say(&format!(
            "{} speaks ({{speaker}} changes)",
            phrase.decider(speaker)
        ))));
        // A long list of options hides what follows it.
        let always = OUTCOMES.map(|(digit, own)| format!("{digit} {}", phrase.outcome(own)));
        lines.push(PanelLine::Dim(always.join(", ")));
        lines.extend(self.options_of(inspection, facts, about, None));
        if let Some(why) = written_first(ask.finding.level) {
            lines.push(PanelLine::Dim(why.to_owned()));
        }
        lines
    }

    /// The options of a question and what else can be said, each with its digit; while one is added, those picked.
    fn options_of(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
        about: &Matter,
        adding: Option<&Draft>,
    ) -> Vec<PanelLine> {
        let phrase = self.phrase(inspection);
        let mut lines = Vec::new();
        let mut section = "";
        let all = self.ways_behind(inspection, about).len();
        if all > OPTIONS_AT_ONCE {
            let first = self.first_shown(all) + 1;
            let last = (first + OPTIONS_AT_ONCE - 1).min(all);
            let said = format!("options {first} to {last} of {all}; {{more-options}}: more");
            lines.push(PanelLine::Dim(self.keymap.say(&said)));
        }
        for (index, (digit, pick)) in self.picks(inspection, about).into_iter().enumerate() {
            match pick {
                Pick::Way(way) => {
                    let own = heading(phrase, &way);
                    if own != section {
                        section = own;
                        lines.push(PanelLine::Heading(own.to_owned()));
                    }
                    let ticked = adding.is_some_and(|draft| draft.has(&way));
                    let marked = adding.is_some_and(|draft| draft.marked == index);
                    lines.push(PanelLine::Pick {
                        digit: Some(digit),
                        ticked,
                        marked,
                        text: phrase.does(facts, &way),
                        note: note(phrase, &way),
                    });
                }
                // They stand above, in one line.
                Pick::Outcome(_) => {}
            }
        }
        if inspection.ways.is_none() {
            lines.push(PanelLine::Dim(format!("options: {WORKED_OUT}")));
        }
        lines
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
        match draft.stage {
            Stage::Add => {
                lines.push(PanelLine::Text("With it, also:".to_owned()));
                lines.extend(self.options_of(inspection, facts, &draft.about, Some(draft)));
            }
            Stage::Offered => {
                lines.push(PanelLine::Text(
                    self.keymap
                        .say("What was said? {choose}: in other words, typed"),
                ));
                let offered = self.offered(inspection, &draft.about);
                for (index, (digit, own)) in ('1'..='9').zip(offered).enumerate() {
                    lines.push(PanelLine::Pick {
                        digit: Some(digit),
                        ticked: false,
                        marked: draft.marked == index,
                        text: own.words,
                        note: String::new(),
                    });
                }
            }
            Stage::Coming => {
                lines.push(PanelLine::Text(self.keymap.say(
                    "What has to come in before it counts? {choose}: what is picked",
                )));
                for (index, (digit, part)) in ('1'..).zip(FREE_PARTS).enumerate() {
                    lines.push(PanelLine::Pick {
                        digit: Some(digit),
                        ticked: draft.parts.contains(&part),
                        marked: draft.marked == index,
                        text: coming::part(part).to_owned(),
                        note: String::new(),
                    });
                }
            }
            Stage::Line(_) => {}
            Stage::ReadBack => {
                let decision = draft.decision(inspection, self.call.speaker, self.today);
                lines.push(PanelLine::Dim("Read back:".to_owned()));
                lines.push(PanelLine::Text(phrase.read_back(
                    facts,
                    ask.finding,
                    &decision,
                    &draft.ways,
                )));
                for way in &draft.ways {
                    lines.extend(not_enough(way));
                    lines.extend(careful(phrase, way));
                }
                lines.push(PanelLine::Dim(self.keymap.say(&self.read_back_keys(draft))));
            }
        }
        lines
    }

    /// What can be done with what is read back; a key that would do nothing is not named.
    fn read_back_keys(&self, draft: &Draft) -> String {
        let settles = matches!(draft.outcome, Outcome::Agreed | Outcome::AsItIs);
        let more = [
            (self.takes_option(), "{add-option} more"),
            (draft.outcome != Outcome::Refused, "{change-day} day"),
            (settles, "{change-cost} cost"),
            (true, "{change-words} words"),
            (self.takes_order(), "{order-here} order is here"),
        ];
        let more: Vec<&str> = more
            .into_iter()
            .filter_map(|(takes, said)| takes.then_some(said))
            .collect();
        format!(
            "{{choose}} keeps it, {{back}} goes back; {}",
            more.join(", ")
        )
    }

    /// What only the dentist can tell, with the choices of the answer.
    fn telling(&self, inspection: &Inspection, facts: &Facts<'_>, spot: &Spot) -> Vec<PanelLine> {
        let phrase = self.phrase(inspection);
        let mut lines = Vec::new();
        if let Some(question) = phrase.flow.question(&spot.fact) {
            let text = question.dentist.as_deref().unwrap_or(&question.asks);
            lines.push(PanelLine::Heading(phrase.tell(facts, text, spot.at)));
            lines.push(PanelLine::Dim(question.why.clone()));
        }
        let kind = phrase.flow.spec(&spot.fact).map(|spec| &spec.kind);
        let choices = tell_choices(inspection, kind);
        if choices.is_empty() {
            lines.push(PanelLine::Dim(
                self.keymap.say("{open-row} opens it to type"),
            ));
        }
        for (digit, text) in self.tell_digits(&choices) {
            lines.push(plain_pick(digit, &text));
        }
        lines.push(plain_pick('0', "not known"));
        lines
    }

    /// Something that has to come in: for what, and what is read anew once it is here.
    fn coming_in(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
        part: Part,
        restorations: &[u8],
    ) -> Vec<PanelLine> {
        let phrase = self.phrase(inspection);
        let list = awaited(inspection.case());
        let Some(own) = list
            .iter()
            .find(|own| own.part == part && own.restorations == restorations)
        else {
            return Vec::new();
        };
        let mut lines = vec![PanelLine::Heading(phrase.awaited(facts, own))];
        for about in &own.matters {
            if let Some(decided) = facts.case().decision(about) {
                lines.push(PanelLine::Text(format!(
                    "{}: {}",
                    phrase.decided_at(facts, about.at),
                    phrase.decision(facts, decided)
                )));
            }
        }
        let anew = replaced(inspection.flow(), inspection.case(), part, own, true).len();
        if anew > 0 {
            lines.push(PanelLine::Dim(format!(
                "Once it is here {anew} answers are asked anew, each with the old value beside it."
            )));
        }
        lines.push(PanelLine::Dim(
            self.keymap.say("{open-row}: it has arrived"),
        ));
        lines
    }
}
