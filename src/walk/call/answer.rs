//! One answer, step by step: what was picked, the words, who decided, the cost, the day, the amended order, and the
//! sentence that is read back.

use jiff::civil::Date;

use crate::call::matter;
use crate::case::decision::{Decider, Decision, Matter, Outcome};
use crate::derive::Facts;
use crate::flow::{Days, Level};
use crate::phrase::WRITTEN_FIRST;
use crate::remedy::{WayOut, answering, for_the_dentist, ranked, taken};
use crate::walk::{Effect, Inspection, Moment, Prompt, Walk, days};

/// A line that is typed for an answer.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum AnswerLine {
    /// What was said, in free words.
    Words,
    /// What was agreed on the cost.
    Cost,
    /// The day it holds from.
    Day,
}

/// How far an answer is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Stage {
    /// What is said to it is picked.
    Pick,
    /// A line is typed.
    Line(AnswerLine),
    /// Who decided is picked.
    Role,
    /// Whether the amended order is here in writing.
    Amended,
    /// It is read back.
    Confirm,
}

/// What can be picked.
#[derive(Clone, PartialEq, Debug)]
pub enum Pick {
    /// An outcome that needs no way out.
    Outcome(Outcome),
    /// A way out.
    Way(Box<WayOut>),
}

/// An answer that was begun.
#[derive(Clone, PartialEq, Debug)]
pub struct Draft {
    /// What it is about.
    pub about: Matter,
    /// How far it is.
    pub stage: Stage,
    /// The marked line of the list.
    pub marked: usize,
    /// The outcome that was picked.
    pub outcome: Option<Outcome>,
    /// The ways out that were picked.
    pub ways: Vec<WayOut>,
    /// The answer in free words.
    pub words: String,
    /// Who decided.
    pub by: Option<Decider>,
    /// The cost.
    pub cost: String,
    /// The day as it was typed; empty for today.
    pub day: String,
    /// Whether the amended order is here in writing.
    pub amended: Option<bool>,
    /// How many journal entries the case had when ways out were picked.
    pub entries: u64,
}

impl Draft {
    fn new(about: Matter, entries: u64) -> Draft {
        Draft {
            about,
            stage: Stage::Pick,
            marked: 0,
            outcome: None,
            ways: Vec::new(),
            words: String::new(),
            by: None,
            cost: String::new(),
            day: String::new(),
            amended: None,
            entries,
        }
    }

    /// Says whether a line of the list is picked.
    pub fn has(&self, pick: &Pick) -> bool {
        match pick {
            Pick::Outcome(outcome) => {
                self.outcome == Some(*outcome)
                    && (*outcome != Outcome::Agreed || self.ways.is_empty())
            }
            Pick::Way(way) => self.ways.iter().any(|own| own.is_same(way)),
        }
    }

    /// Picks a line, or picks it no longer. Outcomes exclude one another and every way out.
    fn toggle(&mut self, pick: &Pick) {
        let had = self.has(pick);
        match pick {
            Pick::Outcome(outcome) => {
                self.ways.clear();
                self.outcome = (!had).then_some(*outcome);
            }
            Pick::Way(way) => {
                self.ways.retain(|own| !own.is_same(way));
                if !had {
                    self.ways.push((**way).clone());
                }
                self.outcome = (!self.ways.is_empty()).then_some(Outcome::Agreed);
            }
        }
    }

    /// The stages of this answer, in order.
    fn stages(&self, level: Level) -> Vec<Stage> {
        let mut stages = vec![Stage::Pick, Stage::Line(AnswerLine::Words)];
        if self.outcome != Some(Outcome::NoDecision) {
            stages.extend([
                Stage::Role,
                Stage::Line(AnswerLine::Cost),
                Stage::Line(AnswerLine::Day),
            ]);
        }
        if level == Level::Hold && matches!(self.outcome, Some(Outcome::AsItIs | Outcome::Agreed)) {
            stages.push(Stage::Amended);
        }
        stages.push(Stage::Confirm);
        stages
    }

    /// Returns the text of a line.
    pub fn line(&self, line: AnswerLine) -> &str {
        match line {
            AnswerLine::Words => &self.words,
            AnswerLine::Cost => &self.cost,
            AnswerLine::Day => &self.day,
        }
    }

    fn set_line(&mut self, line: AnswerLine, text: &str) {
        let own = match line {
            AnswerLine::Words => &mut self.words,
            AnswerLine::Cost => &mut self.cost,
            AnswerLine::Day => &mut self.day,
        };
        text.clone_into(own);
    }

    /// Returns the decision that it comes to, without what it changes.
    pub fn decision(&self, inspection: &Inspection, today: Option<Date>) -> Decision {
        let nobody = self.outcome == Some(Outcome::NoDecision);
        Decision {
            about: self.about.clone(),
            outcome: self.outcome.unwrap_or(Outcome::NoDecision),
            words: self.words.clone(),
            taken: self
                .ways
                .iter()
                .map(|way| way.to_taken(inspection.flow()))
                .collect(),
            by: self.by.filter(|_| !nobody),
            from: self.day.parse().ok().or(today).unwrap_or_default(),
            cost: self.cost.clone(),
            amended: self.amended == Some(true),
            changes: Vec::new(),
            units: None,
        }
    }
}

/// What can be said whatever the way out, in the order of their digits.
const OUTCOMES: [Outcome; 4] = [
    Outcome::AsItIs,
    Outcome::Refused,
    Outcome::NoDecision,
    Outcome::Agreed,
];

impl Walk {
    /// Returns what can be picked for a question: outcomes, then what the laboratory can do, best first, then what is
    /// for the dentist to consider in the flow's own order.
    pub fn picks(&self, inspection: &Inspection, about: &Matter) -> Vec<Pick> {
        let facts = inspection.facts();
        let mut picks: Vec<Pick> = OUTCOMES.into_iter().map(Pick::Outcome).collect();
        let (laboratory, dentist) = behind(inspection, &facts, about);
        picks.extend(
            laboratory
                .into_iter()
                .chain(dentist)
                .map(|way| Pick::Way(Box::new(way))),
        );
        picks
    }

    /// Returns the answer that is open.
    pub fn draft(&self) -> Option<&Draft> {
        let open = self.call.open.as_ref()?;
        self.call.drafts.iter().find(|draft| draft.about == *open)
    }

    fn draft_mut(&mut self) -> Option<&mut Draft> {
        let open = self.call.open.as_ref()?;
        self.call
            .drafts
            .iter_mut()
            .find(|draft| draft.about == *open)
    }

    /// Returns the level of the finding that a question comes from.
    pub fn level_of(&self, about: &Matter) -> Option<Level> {
        let inspection = self.inspection.as_ref()?;
        inspection
            .judgement
            .findings
            .iter()
            .find(|finding| matter(&inspection.flow, finding) == *about)
            .map(|finding| finding.level)
    }

    pub(super) fn open_draft(&mut self, about: Matter) {
        let Some(entries) = self.inspection.as_ref().map(Inspection::entries) else {
            return;
        };
        match self
            .call
            .drafts
            .iter_mut()
            .find(|draft| draft.about == about)
        {
            // Ways out that were worked out on another state of the case are picked again.
            Some(draft) if draft.entries != entries => {
                if !draft.ways.is_empty() {
                    draft.ways.clear();
                    draft.outcome = None;
                    self.notice =
                        Some("the case has changed since: pick the ways out again".to_owned());
                }
                draft.entries = entries;
                draft.stage = Stage::Pick;
            }
            Some(_) => {}
            None => self.call.drafts.push(Draft::new(about.clone(), entries)),
        }
        self.call.open = Some(about);
        self.call.warned = false;
        self.show_stage();
    }

    /// A stage that is typed has its line opened.
    fn show_stage(&mut self) {
        if let Some(draft) = self.draft()
            && let Stage::Line(line) = draft.stage
        {
            self.prompt = Some((Prompt::Answer(line), draft.line(line).to_owned()));
        }
    }

    fn step(&mut self, forward: bool) {
        let Some(level) = self
            .call
            .open
            .clone()
            .map(|about| self.level_of(&about).unwrap_or(Level::Call))
        else {
            return;
        };
        let Some(draft) = self.draft_mut() else {
            return;
        };
        let stages = draft.stages(level);
        let now = stages
            .iter()
            .position(|stage| *stage == draft.stage)
            .unwrap_or(0);
        let next = if forward {
            Some((now + 1).min(stages.len().saturating_sub(1)))
        } else {
            now.checked_sub(1)
        };
        match next.and_then(|next| stages.get(next)) {
            Some(stage) => {
                draft.stage = *stage;
                draft.marked = 0;
                self.show_stage();
            }
            // Back from the first stage closes the question; what was begun stays.
            None => self.call.open = None,
        }
    }

    /// Returns how many lines the list of the present stage has.
    pub fn choices(&self) -> usize {
        match (self.draft(), &self.inspection) {
            (Some(draft), Some(inspection)) => match draft.stage {
                Stage::Pick => self.picks(inspection, &draft.about).len(),
                Stage::Role => Decider::ALL.len(),
                Stage::Amended => 2,
                Stage::Line(_) | Stage::Confirm => 0,
            },
            _ => 0,
        }
    }

    pub(in crate::walk) fn mark_answer(&mut self, down: bool) {
        let last = self.choices().saturating_sub(1);
        if let Some(draft) = self.draft_mut() {
            draft.marked = if down {
                (draft.marked + 1).min(last)
            } else {
                draft.marked.saturating_sub(1)
            };
        }
    }

    pub(super) fn answer_digit(&mut self, c: char) -> Vec<Effect> {
        let index = c.to_digit(10).and_then(|n| (n as usize).checked_sub(1));
        match index.filter(|index| *index < self.choices()) {
            Some(index) => self.pick(index, true),
            None => self.notice = Some("there is no line with this digit".to_owned()),
        }
        Vec::new()
    }

    /// Picks the marked line.
    pub(in crate::walk) fn tick(&mut self) {
        if let Some(marked) = self.draft().map(|draft| draft.marked)
            && marked < self.choices()
        {
            self.pick(marked, false);
        }
    }

    /// Picks a line of the list. An outcome, a role or an answer picked by its digit goes on at once.
    fn pick(&mut self, index: usize, by_digit: bool) {
        let pick = match (self.draft(), &self.inspection) {
            (Some(draft), Some(inspection)) => {
                self.picks(inspection, &draft.about).into_iter().nth(index)
            }
            _ => None,
        };
        let Some(draft) = self.draft_mut() else {
            return;
        };
        draft.marked = index;
        let mut goes_on = by_digit;
        match draft.stage {
            Stage::Pick => {
                let Some(pick) = pick else { return };
                if !(by_digit && matches!(pick, Pick::Outcome(_)) && draft.has(&pick)) {
                    draft.toggle(&pick);
                }
                goes_on = by_digit && matches!(pick, Pick::Outcome(_));
            }
            Stage::Role => draft.by = Decider::ALL.get(index).copied(),
            Stage::Amended => draft.amended = Some(index == 0),
            Stage::Line(_) | Stage::Confirm => {}
        }
        if goes_on {
            self.go_on();
        }
    }

    /// Goes on from a stage that is picked, if something was picked there.
    fn go_on(&mut self) {
        let level = self
            .call
            .open
            .clone()
            .and_then(|about| self.level_of(&about))
            .unwrap_or(Level::Call);
        let Some(draft) = self.draft() else { return };
        let wants = match draft.stage {
            Stage::Pick if draft.outcome.is_none() => Some("pick what is said to it first"),
            Stage::Role if draft.by.is_none() => Some("pick who decided first"),
            Stage::Amended if draft.amended.is_none() => Some("1 is yes, 2 is no"),
            Stage::Amended
                if level == Level::Hold
                    && draft.amended == Some(false)
                    && draft.outcome == Some(Outcome::AsItIs) =>
            {
                Some(WRITTEN_FIRST)
            }
            _ => None,
        };
        match wants {
            Some(why) => self.notice = Some(why.to_owned()),
            None => self.step(true),
        }
    }

    /// Enter while answering: goes on; at the end it keeps the answer.
    pub(in crate::walk) fn choose(&mut self, moment: &Moment) -> Vec<Effect> {
        match self.draft().map(|draft| draft.stage) {
            Some(Stage::Confirm) => self.keep_answer(moment),
            Some(_) => {
                self.go_on();
                Vec::new()
            }
            None => Vec::new(),
        }
    }

    fn keep_answer(&mut self, moment: &Moment) -> Vec<Effect> {
        let (Some(draft), Some(inspection)) = (self.draft().cloned(), &mut self.inspection) else {
            return Vec::new();
        };
        if draft.entries != inspection.entries() {
            // What was read back was said of another state of the case.
            self.open_draft(draft.about);
            return Vec::new();
        }
        let mut decision = draft.decision(inspection, Some(moment.today));
        if !draft.ways.is_empty() {
            let ways: Vec<&WayOut> = draft.ways.iter().collect();
            let changes = taken(&inspection.flow, &inspection.facts(), &ways);
            let Some(changes) = changes else {
                self.notice = Some(
                    "these ways out do not go together: take one, and say the other in words"
                        .to_owned(),
                );
                return Vec::new();
            };
            decision.changes = changes.values;
            decision.units = changes.units;
        }
        let effects = inspection.decide(decision, moment);
        self.call.drafts.retain(|own| own.about != draft.about);
        self.call.open = None;
        effects
    }

    /// Keeps a line of the answer and goes on.
    ///
    /// # Errors
    /// What is wrong with it.
    pub(in crate::walk) fn take_line(
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
        let said = self.draft().is_some_and(|draft| {
            draft.outcome != Some(Outcome::Agreed) || !draft.ways.is_empty() || !text.is_empty()
        });
        if line == AnswerLine::Words && !said {
            return Err("say in words what was agreed".to_owned());
        }
        if let Some(draft) = self.draft_mut() {
            draft.set_line(line, text);
        }
        self.step(true);
        Ok(())
    }

    /// One stage back; a line that was being typed stays with the answer.
    pub(in crate::walk) fn answer_back(&mut self, typed: Option<(AnswerLine, String)>) {
        if let Some((line, text)) = typed
            && let Some(draft) = self.draft_mut()
        {
            draft.set_line(line, &crate::text::clean(&text));
        }
        self.step(false);
    }
}

/// The ways out behind a question, not barred: what the laboratory can do by rank, what is the dentist's by the flow.
pub(in crate::walk) fn behind(
    inspection: &Inspection,
    facts: &Facts<'_>,
    about: &Matter,
) -> (Vec<WayOut>, Vec<WayOut>) {
    let Some(ways) = &inspection.ways else {
        return (Vec::new(), Vec::new());
    };
    let flow = inspection.flow();
    let finding = inspection
        .judgement
        .findings
        .iter()
        .find(|finding| matter(flow, finding) == *about);
    let Some(finding) = finding else {
        return (Vec::new(), Vec::new());
    };
    let own: Vec<WayOut> = answering(flow, facts, &inspection.judgement, finding, &ways.singles)
        .into_iter()
        .cloned()
        .collect();
    // What is told in one line elsewhere is answered place by place.
    let each = |way: &WayOut| {
        let alone = WayOut {
            also: Vec::new(),
            ..way.clone()
        };
        let others = own.iter().filter(|other| {
            (other.remedy, other.at) == (way.remedy, way.at) && way.also.contains(&other.walls)
        });
        let others: Vec<WayOut> = others.cloned().collect();
        std::iter::once(alone).chain(others)
    };
    let laboratory = ranked(flow, &own)
        .into_iter()
        .flat_map(|(_, way)| each(way));
    let dentist = for_the_dentist(flow, &own).into_iter().flat_map(each);
    (laboratory.collect(), dentist.collect())
}
