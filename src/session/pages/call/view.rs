//! What is shown of the call.

use super::lines::{careful, heading, not_enough, note, plain_pick, ready_panel};
use super::{
    AnswerStage, Draft, FREE_PARTS, OPTIONS_AT_ONCE, OUTCOMES, Pick, READY, Row, ordered, ready,
    tell_choices,
};
use crate::call::{Ask, QuestionState, earlier, matter, tells};
use crate::case::coming::{Part, awaited};
use crate::case::decision::{Decider, DentistAnswer, Matter};
use crate::derive::Facts;
use crate::fact::Spot;
use crate::flow::{Level, replaced};
use crate::phrase::coming::{self, PLEASE_TELL};
use crate::phrase::pages::call::{self as said, RowMark};
use crate::phrase::pages::cells::Cell;
use crate::phrase::{NOTHING_CHECKED, WRITTEN_FIRST, pages};
use crate::session::{Inspection, Session};

/// The call.
#[derive(Clone, Debug, Default)]
pub struct CallView {
    /// How many questions are still to be asked, and how many of them in writing.
    pub count: String,
    /// What to have ready.
    pub ready: Vec<ReadyLine>,
    /// The lines of the list.
    pub rows: Vec<CallRow>,
    /// The marked line in full, or the answer as far as it is.
    pub panel: Vec<PanelLine>,
}

/// Something to have ready for the call.
#[derive(Clone, PartialEq, Debug)]
pub struct ReadyLine {
    /// What it is.
    pub label: String,
    /// Its answer, or what was begun.
    pub cell: Cell,
    /// Whether it is marked.
    pub marked: bool,
}

/// A line of the list.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct CallRow {
    /// The heading before it, where it begins a part.
    pub section: Option<&'static str>,
    /// Its number, if it is a question.
    pub number: Option<usize>,
    /// The level that it tells of.
    pub level: Option<Level>,
    /// What it says.
    pub text: String,
    /// What was said to it, or why it is urgent.
    pub mark: Option<RowMark>,
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
    pub(in crate::session) fn call_view(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
    ) -> CallView {
        let phrase = self.phrase(inspection);
        let standing = self.standing();
        let list = ordered(facts, inspection, phrase, &standing);
        let open = list.iter().filter(|ask| ask.is_open()).count();
        let tells = tells(facts, &inspection.judgement, phrase).len();
        let count = if open == 0 && !inspection.judgement.verdict.covered {
            NOTHING_CHECKED.to_owned()
        } else {
            said::count(open, tells)
        };
        let marked = self.marked_index(inspection);
        let ready = READY.iter().enumerate().map(|(index, fact)| {
            let mut cell = phrase.cell(facts.case(), &ready(fact));
            let begun = self.call.lines.get(fact).map(|line| said::begun(line));
            cell.typed = begun.filter(|_| cell.counting().is_none());
            ReadyLine {
                label: phrase.label(fact),
                cell,
                marked: index == marked,
            }
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
                _ if ask.is_open() => said::TO_ASK,
                QuestionState::Awaiting(_) => said::WAITING,
                _ => said::ANSWERED,
            };
            let about = matter(phrase.flow, ask.finding);
            let mark = match ask.state {
                _ if self.call.drafts.iter().any(|draft| draft.about == about) => {
                    Some(RowMark::Begun)
                }
                QuestionState::Open => None,
                QuestionState::Declined(_) => Some(RowMark::Declined),
                QuestionState::Again(_) | QuestionState::Changed(_) => Some(RowMark::Again),
                QuestionState::Awaiting(_) => Some(RowMark::Waiting),
                QuestionState::Decided(_) => Some(RowMark::Answered),
                QuestionState::Standing(_) => Some(RowMark::Standing),
            };
            rows.push((
                section,
                CallRow {
                    number: Some(index + 1),
                    level: Some(ask.finding.level),
                    text: ask.asks.clone(),
                    mark,
                    ..CallRow::default()
                },
            ));
        }
        for tell in tells(facts, &inspection.judgement, phrase) {
            let mark = match (tell.is_unknown, tell.could_be >= Level::Call) {
                (true, _) => Some(RowMark::NotKnown),
                (false, true) => Some(RowMark::BeforeMade),
                (false, false) => None,
            };
            rows.push((
                PLEASE_TELL,
                CallRow {
                    // The whole question stands below: in a cut line two teeth could not be told apart.
                    text: phrase.told_of(facts, &tell.spot),
                    mark,
                    ..CallRow::default()
                },
            ));
        }
        for own in awaited(inspection.case()) {
            rows.push((
                said::TO_COME,
                CallRow {
                    text: phrase.awaited(facts, &own),
                    mark: match (own.due, self.today) {
                        (Some(due), Some(today)) if due < today => Some(RowMark::Late),
                        _ => None,
                    },
                    ..CallRow::default()
                },
            ));
        }
        for decided in earlier(facts.case(), list) {
            rows.push((
                said::NO_LONGER_ASKED,
                CallRow {
                    text: said::decided_at(
                        &phrase.decided_at(facts, decided.decision.about.at),
                        &phrase.decision(facts, decided),
                    ),
                    ..CallRow::default()
                },
            ));
        }
        for proposal in facts.case().proposals() {
            rows.push((
                said::TO_PROPOSE,
                CallRow {
                    text: said::changes(&phrase.changes(facts, &proposal.changes)),
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
                    lines.extend(expected.map(|text| PanelLine::Dim(said::expected(&text))));
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
            None => vec![PanelLine::Text(said::NOTHING_TO_ASK.to_owned())],
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
        lines.extend(self.two_decisions(inspection, facts, about));
        match ask.state {
            QuestionState::Standing(instruction) => {
                lines.push(PanelLine::Text(phrase.instruction(instruction)))
            }
            QuestionState::Changed(_) => lines.push(PanelLine::Text(said::CHANGED.to_owned())),
            QuestionState::Again(_) => lines.push(PanelLine::Text(said::FOUND_AGAIN.to_owned())),
            QuestionState::Declined(_) => lines.push(PanelLine::Text(said::DECLINED.to_owned())),
            _ => {}
        }
        let Some(speaker) = self.call.speaker else {
            // In a low window only the first lines are seen.
            let mut first = vec![PanelLine::Heading(said::WHO_SPEAKS.to_owned())];
            first.extend(
                ('1'..)
                    .zip(Decider::ALL)
                    .map(|(digit, by)| plain_pick(digit, phrase.decider(by))),
            );
            first.extend(lines);
            return first;
        };
        lines.push(PanelLine::Dim(self.keymap.say(&phrase.speaks(speaker))));
        // A long list of options hides what follows it.
        let always =
            OUTCOMES.map(|(digit, own)| said::digit_and_outcome(digit, phrase.outcome(own)));
        lines.push(PanelLine::Dim(pages::listed(
            &always.each_ref().map(String::as_str),
        )));
        lines.extend(
            self.same_line(inspection, phrase, about)
                .map(PanelLine::Text),
        );
        lines.extend(self.options_of(inspection, facts, about, None));
        if ask.finding.level == Level::Hold {
            lines.push(PanelLine::Dim(WRITTEN_FIRST.to_owned()));
        }
        lines
    }

    /// What two people noted of the dentist's answer, and which keys take one of them.
    fn two_decisions(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
        about: &Matter,
    ) -> Vec<PanelLine> {
        let both = inspection.case.disputed_decision(about);
        if both.is_empty() {
            return Vec::new();
        }
        let phrase = self.phrase(inspection);
        let noted = both.iter().map(|own| phrase.noted(facts, own));
        let mut lines: Vec<PanelLine> = noted.map(PanelLine::Text).collect();
        let keys = self.keymap.say(pages::call::TWO_DECISIONS);
        lines.push(PanelLine::Text(keys));
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
            let shown = said::options_shown(first, last, all);
            lines.push(PanelLine::Dim(self.keymap.say(&shown)));
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
            lines.push(PanelLine::Dim(said::CALCULATING.to_owned()));
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
            AnswerStage::Add => {
                lines.push(PanelLine::Text(said::ADD.to_owned()));
                lines.extend(self.options_of(inspection, facts, &draft.about, Some(draft)));
            }
            AnswerStage::Offered => {
                lines.push(PanelLine::Text(self.keymap.say(said::WHAT_WAS_SAID)));
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
            AnswerStage::Coming => {
                lines.push(PanelLine::Text(self.keymap.say(said::WHAT_HAS_TO_COME)));
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
            AnswerStage::Line(_) => {}
            AnswerStage::ReadBack => {
                let decision = draft.decision(inspection, self.call.speaker, self.today);
                lines.push(PanelLine::Dim(said::READ_BACK.to_owned()));
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
        said::read_back_keys(said::ReadBackKeys {
            option: self.takes_option(),
            day: draft.outcome != DentistAnswer::Refused,
            cost: matches!(draft.outcome, DentistAnswer::Agreed | DentistAnswer::AsItIs),
            order: self.takes_order(),
        })
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
            lines.push(PanelLine::Dim(self.keymap.say(said::OPENS)));
        }
        for (digit, text) in self.tell_digits(&choices) {
            lines.push(plain_pick(digit, &text));
        }
        lines.push(plain_pick('0', said::NOT_KNOWN));
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
                lines.push(PanelLine::Text(said::decided_at(
                    &phrase.decided_at(facts, about.at),
                    &phrase.decision(facts, decided),
                )));
            }
        }
        let anew = replaced(inspection.flow(), inspection.case(), part, own, true).len();
        if anew > 0 {
            lines.push(PanelLine::Dim(said::asked_anew(anew)));
        }
        lines.push(PanelLine::Dim(self.keymap.say(said::HAS_ARRIVED)));
        lines
    }
}
