//! Keys while an answer is given: a digit chooses and shows the sentence, Enter saves it.

use jiff::Timestamp;
use jiff::civil::Date;

use super::Row;
use super::answer::{
    AnswerLine, AnswerStage, Draft, FREE_PARTS, OPTIONS_AT_ONCE, OUTCOMES, Pick, behind, level_of,
};
use crate::call::{Ask, asks, matter};
use crate::case::coming::Part;
use crate::case::decision::{Decider, Decision, DentistAnswer, Matter};
use crate::fact::Spot;
use crate::flow::{Days, Flow, Level};
use crate::options::{CaseOption, taken};
use crate::phrase::prompts::{self, call as said};
use crate::session::command::Command;
use crate::session::taps::BOUNCE;
use crate::session::{Effect, Inspection, Moment, Prompt, Session, days};

/// What a question offers, in its own words.
pub(super) struct Offered {
    pub(super) words: String,
    /// Whether the work then goes on without changes.
    pub(super) settles: bool,
    /// The words of the flow.
    own: String,
}

impl Session {
    /// Returns the options for a question, those for the dentist to consider first.
    pub fn ways_behind(&self, inspection: &Inspection, about: &Matter) -> Vec<CaseOption> {
        let facts = inspection.facts();
        let (laboratory, dentist) = behind(inspection, &facts, about);
        dentist.into_iter().chain(laboratory).collect()
    }

    /// Returns what can be chosen for a question, with its digits: six options, then the outcomes.
    pub fn picks(&self, inspection: &Inspection, about: &Matter) -> Vec<(char, Pick)> {
        let ways = self.ways_behind(inspection, about);
        let first = self.first_shown(ways.len());
        let options = ('1'..='6')
            .zip(ways.into_iter().skip(first))
            .map(|(digit, way)| (digit, Pick::Way(Box::new(way))));
        let outcomes = OUTCOMES.map(|(digit, outcome)| (digit, Pick::Outcome(outcome)));
        options.chain(outcomes).collect()
    }

    /// Returns the index of the first option shown, of `all` options.
    pub fn first_shown(&self, all: usize) -> usize {
        let pages = all.div_ceil(OPTIONS_AT_ONCE).max(1);
        (self.call.turned % pages) * OPTIONS_AT_ONCE
    }

    /// Turns to the next six options.
    pub(super) fn more_options(&mut self) {
        let about = match (&self.call.open, self.marked_row()) {
            (Some(open), _) => Some(open.clone()),
            (None, Some(Row::Ask(about))) => Some(about),
            _ => None,
        };
        let all = match (&self.inspection, about) {
            (Some(inspection), Some(about)) => self.ways_behind(inspection, &about).len(),
            _ => 0,
        };
        if all <= OPTIONS_AT_ONCE {
            self.notice = Some(said::NO_MORE_OPTIONS.to_owned());
        } else {
            self.call.turned += 1;
            self.scroll = 0;
        }
    }

    /// Returns the answer that is open.
    pub fn draft(&self) -> Option<&Draft> {
        let open = self.call.open.as_ref()?;
        self.call.drafts.iter().find(|draft| draft.about == *open)
    }

    pub(super) fn draft_mut(&mut self) -> Option<&mut Draft> {
        let open = self.call.open.as_ref()?;
        self.call
            .drafts
            .iter_mut()
            .find(|draft| draft.about == *open)
    }

    /// Returns the level of the finding that a question comes from.
    pub fn level_of(&self, about: &Matter) -> Option<Level> {
        level_of(self.inspection.as_ref()?, about)
    }

    /// Opens an answer that was begun and is not saved yet; returns whether there is one.
    pub(super) fn open_begun(&mut self, about: &Matter) -> bool {
        let Some(entries) = self.inspection.as_ref().map(Inspection::entries) else {
            return false;
        };
        let Some(draft) = self.call.drafts.iter().find(|own| own.about == *about) else {
            return false;
        };
        if draft.entries != entries {
            // What was picked was worked out on another state of the case.
            self.call.drafts.retain(|own| own.about != *about);
            self.notice = Some(said::CASE_CHANGED.to_owned());
            return false;
        }
        self.call.open = Some(about.clone());
        self.show_stage();
        true
    }

    /// Handles a digit at a marked question: who is speaking, then the answer.
    pub(super) fn pick_for(&mut self, about: Matter, c: char, moment: &Moment) {
        if self.is_bounce(c, moment.now) {
            self.notice = Some(prompts::SECOND_PRESS.to_owned());
            return;
        }
        if self.call.speaker.is_none() {
            let index = c.to_digit(10).and_then(|n| (n as usize).checked_sub(1));
            match index.and_then(|index| Decider::ALL.get(index)) {
                Some(by) => {
                    self.call.speaker = Some(*by);
                    self.call.tapped = Some((c, moment.now));
                }
                None => self.notice = Some(said::SPEAKER_FIRST.to_owned()),
            }
            return;
        }
        let Some(inspection) = &self.inspection else {
            return;
        };
        let pick = self
            .picks(inspection, &about)
            .into_iter()
            .find(|(digit, _)| *digit == c)
            .map(|(_, pick)| pick);
        let entries = inspection.entries();
        let never = inspection
            .flow()
            .rules
            .iter()
            .any(|rule| rule.id == about.rule && rule.never);
        let Some(pick) = pick else {
            self.notice = Some(prompts::no_choice(c, self.keymap.key(Command::Help)));
            return;
        };
        if never && pick == Pick::Outcome(DentistAnswer::AsItIs) {
            self.notice = Some(said::NEVER_AS_ORDERED.to_owned());
            return;
        }
        let mut draft = match &pick {
            Pick::Outcome(outcome) => Draft::new(about.clone(), *outcome, entries),
            Pick::Way(way) => {
                let mut draft = Draft::new(about.clone(), DentistAnswer::Agreed, entries);
                draft.ways.push((**way).clone());
                if needs_words(inspection.flow(), way) {
                    draft.needs_words = true;
                    draft.stage = AnswerStage::Line(AnswerLine::Words);
                }
                draft
            }
        };
        // An order that is here stays here, whoever spoke of it: for what it orders, and for nothing else.
        let ways = |draft: &Draft| -> Vec<String> {
            let own = draft.ways.iter().map(|way| way.to_taken(inspection.flow()));
            own.map(|taken| taken.option).collect()
        };
        let same = |own: &Decision| {
            let taken: Vec<String> = own.taken.iter().map(|t| t.option.clone()).collect();
            own.outcome == draft.outcome
                && taken == ways(&draft)
                && pick != Pick::Outcome(DentistAnswer::Agreed)
        };
        let case = inspection.case();
        draft.order = case.decision(&about).is_some_and(|own| {
            let came = case.got(&about);
            same(&own.decision)
                && (own.decision.amended || came.iter().any(|(part, _)| *part == Part::Order))
        });
        if pick == Pick::Outcome(DentistAnswer::Agreed) {
            draft.stage = match self.offered(inspection, &about).as_slice() {
                [] => AnswerStage::Line(AnswerLine::Words),
                _ => AnswerStage::Offered,
            };
        }
        self.call.drafts.retain(|own| own.about != about);
        self.call.drafts.push(draft);
        self.call.open = Some(about);
        self.scroll = 0;
        self.call.warned = false;
        self.call.tapped = Some((c, moment.now));
        self.show_stage();
    }

    /// Returns whether a digit came too soon after the same digit to be a second answer.
    pub(super) fn is_bounce(&self, c: char, now: Timestamp) -> bool {
        self.taps.by_hand
            && self.call.tapped.is_some_and(|(last, at)| {
                let since = now.duration_since(at);
                last == c && since.is_positive() && since < BOUNCE
            })
    }

    /// Opens the line of a stage that is typed.
    fn show_stage(&mut self) {
        if let Some(draft) = self.draft()
            && let AnswerStage::Line(line) = draft.stage
        {
            self.over
                .ask((Prompt::Answer(line), draft.line(line).to_owned()));
        }
    }

    fn go_to(&mut self, stage: AnswerStage) {
        self.scroll = 0;
        if let Some(draft) = self.draft_mut() {
            draft.stage = stage;
            draft.marked = 0;
        }
        self.show_stage();
    }

    /// Returns how many lines the list of the present stage has.
    pub fn choices(&self) -> usize {
        match (self.draft(), &self.inspection) {
            (Some(draft), Some(inspection)) => match draft.stage {
                AnswerStage::Add => {
                    let all = self.ways_behind(inspection, &draft.about).len();
                    all.saturating_sub(self.first_shown(all))
                        .min(OPTIONS_AT_ONCE)
                }
                AnswerStage::Coming => FREE_PARTS.len(),
                AnswerStage::Offered => self.offered(inspection, &draft.about).len(),
                AnswerStage::Line(_) | AnswerStage::ReadBack => 0,
            },
            _ => 0,
        }
    }

    /// Handles a digit while an answer is open: it chooses in a list; at the read-back it does nothing.
    pub(super) fn answer_digit(&mut self, c: char) {
        let index = c.to_digit(10).and_then(|n| (n as usize).checked_sub(1));
        match index.filter(|index| *index < self.choices()) {
            Some(index) => self.pick(index),
            None if self
                .draft()
                .is_some_and(|draft| draft.stage == AnswerStage::ReadBack) =>
            {
                let key = |command| self.keymap.key(command);
                self.notice = Some(said::read_back(key(Command::Choose), key(Command::Back)));
            }
            None => {
                self.notice = Some(prompts::no_choice(c, self.keymap.key(Command::Help)));
            }
        }
    }

    /// Selects or deselects the marked line.
    pub(super) fn tick(&mut self) {
        if let Some(marked) = self.draft().map(|draft| draft.marked)
            && marked < self.choices()
        {
            self.pick(marked);
        }
    }

    /// Returns the choices of the question on a matter.
    pub(super) fn offered(&self, inspection: &Inspection, about: &Matter) -> Vec<Offered> {
        let facts = inspection.facts();
        let phrase = self.phrase(inspection);
        let list = asks(&facts, &inspection.judgement, phrase, &[]);
        let own = |ask: &&Ask<'_>| matter(&inspection.flow, ask.finding) == *about;
        let Some(ask) = list.iter().find(own) else {
            return Vec::new();
        };
        let Some(rule) = inspection.flow.rule(ask.words_of.rule) else {
            return Vec::new();
        };
        let choices = phrase.choices(&facts, ask.words_of).into_iter();
        choices
            .zip(&rule.choices)
            .enumerate()
            .map(|(place, (words, own))| Offered {
                words,
                settles: rule.settles.contains(&place),
                own: own.clone(),
            })
            .collect()
    }

    fn pick(&mut self, index: usize) {
        if self
            .draft()
            .is_some_and(|own| own.stage == AnswerStage::Offered)
        {
            self.pick_offered(index);
            return;
        }
        let way = match (self.draft(), &self.inspection) {
            (Some(draft), Some(inspection)) => {
                let ways = self.ways_behind(inspection, &draft.about);
                let first = self.first_shown(ways.len());
                ways.into_iter().nth(first + index)
            }
            _ => None,
        };
        let Some(draft) = self.draft_mut() else {
            return;
        };
        draft.marked = index;
        match (draft.stage, way) {
            (AnswerStage::Add, Some(way)) => draft.toggle(&way),
            (AnswerStage::Coming, _) => {
                if let Some(part) = FREE_PARTS.get(index) {
                    let had = draft.parts.contains(part);
                    draft.parts.retain(|own| own != part);
                    if !had {
                        draft.parts.push(*part);
                    }
                }
            }
            _ => {}
        }
    }

    /// Takes a choice of the question as the answer. If it settles the question, the work goes on without changes; if it means
    /// an option, that option is taken, or chosen if there are several; for anything else the next question is what has to
    /// come in.
    fn pick_offered(&mut self, index: usize) {
        let (Some(draft), Some(inspection)) = (self.draft(), &self.inspection) else {
            return;
        };
        let mut offered = self.offered(inspection, &draft.about).into_iter();
        let Some(offered) = offered.nth(index) else {
            return;
        };
        let ways = self.ways_behind(inspection, &draft.about);
        let meant: Vec<usize> = ways
            .iter()
            .enumerate()
            .filter(|(_, way)| way.is_meant(inspection.flow(), &offered.own))
            .map(|(place, _)| place)
            .collect();
        let Some(draft) = self.draft_mut() else {
            return;
        };
        draft.needs_words = offered.own.ends_with(said::WRITTEN_BELOW);
        // What it says is typed first.
        let next = match draft.needs_words {
            true => AnswerStage::Line(AnswerLine::Words),
            false => AnswerStage::ReadBack,
        };
        match *meant.as_slice() {
            _ if offered.settles => {
                if !draft.needs_words {
                    draft.words = offered.words;
                }
                draft.outcome = DentistAnswer::AsItIs;
                self.go_to(next);
            }
            [] => {
                draft.words = offered.words;
                self.go_to(AnswerStage::Coming);
            }
            [one] => {
                if let Some(way) = ways.get(one) {
                    draft.toggle(way);
                }
                self.go_to(next);
            }
            [first, ..] => {
                self.call.turned = first / OPTIONS_AT_ONCE;
                self.go_to(AnswerStage::Add);
                if let Some(draft) = self.draft_mut() {
                    draft.marked = first % OPTIONS_AT_ONCE;
                }
                self.notice = Some(said::choose_which(self.keymap.key(Command::Choose)));
            }
        }
    }

    /// Returns whether an option can be added to what is read back.
    pub(super) fn takes_option(&self) -> bool {
        self.draft().is_some_and(|draft| {
            draft.stage == AnswerStage::ReadBack
                && draft.outcome == DentistAnswer::Agreed
                && !draft.ways.is_empty()
        })
    }

    /// Adds an option to what is read back.
    pub(super) fn add_option(&mut self) {
        if self.takes_option() {
            self.go_to(AnswerStage::Add);
        } else {
            self.notice = Some(said::ONLY_TO_AN_OPTION.to_owned());
        }
    }

    /// Opens a line of what is read back.
    pub(super) fn edit_line(&mut self, line: AnswerLine) {
        match self.draft().map(|draft| draft.stage) {
            Some(AnswerStage::ReadBack) => self.go_to(AnswerStage::Line(line)),
            Some(_) => self.notice = Some(said::ANSWER_THIS_FIRST.to_owned()),
            None => {}
        }
    }

    /// Returns whether a written order belongs to what is read back.
    pub(super) fn takes_order(&self) -> bool {
        let about = self.draft().map(|draft| draft.about.clone());
        let level = about
            .and_then(|about| self.level_of(&about))
            .unwrap_or(Level::Call);
        match (self.draft(), &self.inspection) {
            (Some(draft), Some(inspection)) => {
                let coming = draft.coming(level, Some(inspection), None, None);
                draft.takes_order(level) || coming.parts.iter().any(|(p, _)| *p == Part::Order)
            }
            _ => false,
        }
    }

    /// Switches the written order between here and still to come.
    pub(super) fn order_is_here(&mut self) {
        let comes = self.takes_order();
        match self.draft_mut() {
            Some(draft) if draft.stage != AnswerStage::ReadBack => {
                self.notice = Some(said::ANSWER_THIS_FIRST.to_owned());
            }
            Some(draft) if comes => draft.order = !draft.order,
            _ => self.notice = Some(said::NO_ORDER_NEEDED.to_owned()),
        }
    }

    /// Asks again who is speaking.
    pub(super) fn next_speaker(&mut self) {
        if self.call.open.is_some() {
            self.notice = Some(said::FINISH_THE_ANSWER.to_owned());
        } else {
            self.call.speaker = None;
            self.call.tapped = None;
        }
    }

    /// Handles Enter while answering: goes on; at the read-back it saves the answer.
    pub(super) fn choose(&mut self, moment: &Moment) -> Vec<Effect> {
        let Some(draft) = self.draft() else {
            return Vec::new();
        };
        match draft.stage {
            AnswerStage::ReadBack => return self.keep_answer(moment),
            AnswerStage::Add if draft.ways.is_empty() => {
                self.notice = Some(said::CHOOSE_AN_OPTION.to_owned());
            }
            AnswerStage::Offered => self.go_to(AnswerStage::Line(AnswerLine::Words)),
            // What nothing comes in for changes nothing: that is to make it as it is, and said so.
            AnswerStage::Coming if draft.parts.is_empty() => {
                self.notice = Some(said::choose_what_comes(self.keymap.key(Command::Back)));
            }
            AnswerStage::Add | AnswerStage::Coming | AnswerStage::Line(_) => {
                self.go_to(AnswerStage::ReadBack)
            }
        }
        Vec::new()
    }

    fn keep_answer(&mut self, moment: &Moment) -> Vec<Effect> {
        let by = self.call.speaker;
        let (Some(draft), Some(inspection)) = (self.draft().cloned(), &mut self.inspection) else {
            return Vec::new();
        };
        if draft.entries != inspection.entries() {
            // What was read back was said of another state of the case.
            self.call.drafts.retain(|own| own.about != draft.about);
            self.call.open = None;
            self.notice = Some(said::CASE_CHANGED.to_owned());
            return Vec::new();
        }
        if draft.needs_words && draft.words.trim().is_empty() {
            let key = self.keymap.key(Command::ChangeWords);
            self.notice = Some(said::type_what_it_says(key));
            return Vec::new();
        }
        let mut decision = draft.decision(inspection, by, Some(moment.today));
        if draft.outcome == DentistAnswer::Agreed && draft.ways.is_empty() && draft.words.is_empty()
        {
            self.notice = Some(said::TYPE_WHAT_WAS_AGREED.to_owned());
            return Vec::new();
        }
        let due = decision.coming.as_ref().and_then(|coming| coming.due);
        if due.is_some_and(|due| due < moment.today) {
            self.notice = Some(said::DUE_IS_PAST.to_owned());
            return Vec::new();
        }
        if !draft.ways.is_empty() {
            let ways: Vec<&CaseOption> = draft.ways.iter().collect();
            let changes = taken(&inspection.flow, &inspection.facts(), &ways);
            let Some(changes) = changes else {
                self.notice = Some(said::NOT_TOGETHER.to_owned());
                return Vec::new();
            };
            // A message settles nothing, so nothing of it counts before the dentist's own answer.
            let told = |spot: &Spot| {
                by != Some(Decider::Message)
                    && inspection.flow.is_told(&spot.fact)
                    && draft.ways.iter().any(|way| {
                        let told = way.of(&inspection.flow).is_some_and(|r| r.is_told());
                        told && way.changes.iter().any(|(own, _)| own == spot)
                    })
            };
            (decision.changes, decision.expected) =
                changes.values.into_iter().partition(|(spot, _)| told(spot));
            decision.units = changes.units;
        }
        let mut effects = inspection.keep_as_found(moment);
        effects.extend(inspection.decide(decision, moment));
        self.call.drafts.retain(|own| own.about != draft.about);
        self.call.last = Some(draft);
        self.call.open = None;
        self.call.turned = 0;
        self.mark_next_question();
        effects
    }

    /// Saves a line of the answer and goes back to the read-back.
    ///
    /// # Errors
    /// A sentence on what is wrong with the text.
    pub(in crate::session) fn take_line(
        &mut self,
        line: AnswerLine,
        text: &str,
    ) -> Result<(), String> {
        let day = match (line, text.parse::<Date>(), self.today) {
            (AnswerLine::Day, Err(_), Some(today)) if !text.is_empty() => {
                Some(days::read(text, today, Days::Future)?.to_string())
            }
            _ => None,
        };
        // A day is kept as it was read, so that it is the same day tomorrow.
        let text = day.as_deref().unwrap_or(text);
        let free = self
            .draft()
            .is_some_and(|draft| draft.outcome == DentistAnswer::Agreed && draft.ways.is_empty());
        if line == AnswerLine::Words && free && text.is_empty() {
            return Err(said::TYPE_WHAT_WAS_AGREED.to_owned());
        }
        if let Some(draft) = self.draft_mut() {
            draft.set_line(line, text);
        }
        // What was agreed in words names nothing that has to come in: that is asked.
        self.go_to(if line == AnswerLine::Words && free {
            AnswerStage::Coming
        } else {
            AnswerStage::ReadBack
        });
        Ok(())
    }

    /// Goes one stage back; a line that was being typed stays with the answer.
    pub(in crate::session) fn answer_back(&mut self, typed: Option<(AnswerLine, String)>) {
        if let Some((line, text)) = typed
            && let Some(draft) = self.draft_mut()
        {
            draft.set_line(line, &crate::text::clean(&text));
        }
        let free = self
            .draft()
            .is_some_and(|draft| draft.outcome == DentistAnswer::Agreed && draft.ways.is_empty());
        let next = match self.draft().map(|draft| draft.stage) {
            Some(AnswerStage::Line(AnswerLine::Words)) if free => None,
            Some(AnswerStage::Coming) => Some(AnswerStage::Line(AnswerLine::Words)),
            Some(AnswerStage::ReadBack) if free => Some(AnswerStage::Coming),
            Some(AnswerStage::ReadBack | AnswerStage::Offered) | None => None,
            Some(AnswerStage::Add | AnswerStage::Line(_)) => Some(AnswerStage::ReadBack),
        };
        match next {
            Some(stage) => self.go_to(stage),
            // Back from what is read back drops it: picking it again is one key.
            None => {
                if let Some(open) = self.call.open.take() {
                    let keep = free;
                    self.call
                        .drafts
                        .retain(|draft| draft.about != open || keep && !draft.words.is_empty());
                }
            }
        }
    }
}

/// Returns whether an option says nothing without words of its own, such as the shade that is told.
fn needs_words(flow: &Flow, way: &CaseOption) -> bool {
    let option = way.of(flow).filter(|_| way.choice.is_none());
    option.is_some_and(|own| {
        let mut all = own.said.iter();
        all.any(|(words, _)| words.ends_with(said::WRITTEN_BELOW))
    })
}
