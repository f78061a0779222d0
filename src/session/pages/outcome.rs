//! The page of what became of a delivered restoration: what is known, a few keys that write down more, and beside it what
//! was known when it was built.
//!
//! Digits pick, and only Enter writes, so that a key that is held writes nothing. What the bench could have seen is the
//! one question that a digit answers, and only right behind Enter.

mod again;

use jiff::civil::Date;

use crate::case::life::{Ruled, Said, Stage as Built};
use crate::case::outcome::{Foreseen, Kind, Known, Outcome, Refused};
use crate::case::{Case, Layer};
use crate::fact::{Place, PlaceKind, Value};
use crate::flow::{Days, Level};
use crate::phrase::outcome as said;
use crate::phrase::pages::findings::reading as named;
use crate::phrase::words;
use crate::session::view::ChoiceView;
use crate::session::{Command, Effect, Inspection, Moment, Page, Prompt, Session, days};

pub use again::MayBe;

/// The most places that have a digit of their own; where there are more, the ninth digit turns the list.
const NINE: usize = 9;

/// Where the page was opened, and what it asks for.
#[derive(Clone, PartialEq, Debug)]
pub struct State {
    /// What is asked now.
    pub stage: Stage,
    /// The page beneath.
    from: Page,
    /// The first place of a long list that has a digit now.
    first: usize,
    /// The cases that may have come back, or `None` until they were looked for.
    may_be: Option<Vec<MayBe>>,
}

impl Default for State {
    fn default() -> State {
        State {
            stage: Stage::Kind,
            from: Page::Summary,
            first: 0,
            may_be: None,
        }
    }
}

/// What the page asks for.
#[derive(Clone, PartialEq, Debug)]
pub enum Stage {
    /// Which case came back, of a restoration that is made again here.
    Again(u8),
    /// Whether that case is linked.
    Link(u8, MayBe, Draft),
    /// What happened.
    Kind,
    /// Where.
    Place(Kind),
    /// Whether this is kept.
    Keep(Draft),
    /// Whether the bench could have seen what was kept.
    Foreseen(Outcome),
}

/// What is about to be kept.
#[derive(Clone, PartialEq, Debug)]
pub struct Draft {
    what: Kind,
    restoration: u8,
    at: Option<Place>,
    /// The day, or `None` for today.
    on: Option<Date>,
    known: Known,
}

impl Draft {
    /// Returns what is kept, on its day or today.
    fn outcome(&self, today: Date) -> Outcome {
        Outcome {
            what: self.what,
            restoration: self.restoration,
            at: self.at,
            on: self.on.unwrap_or(today),
            known: self.known,
            seen: None,
            goes_on: None,
        }
    }
}

impl Session {
    /// Opens the page; on the worklist, opens the marked case for it.
    pub(in crate::session) fn turn_to_outcome(&mut self) -> Vec<Effect> {
        if self.page == Page::Worklist {
            return self.begin_line(Command::Outcome);
        }
        if self.is_trying() {
            self.say_trying();
            return Vec::new();
        }
        self.open_outcome(self.page);
        Vec::new()
    }

    pub(in crate::session) fn open_outcome(&mut self, from: Page) {
        let again = self.inspection.as_ref().and_then(again::first_open);
        self.outcome = State {
            stage: again.map_or(Stage::Kind, Stage::Again),
            from,
            ..State::default()
        };
        self.page = Page::Outcome;
        self.scroll = 0;
    }

    /// One step back: to what was asked before, then to the page beneath.
    pub(in crate::session) fn back_from_outcome(&mut self) -> Vec<Effect> {
        self.outcome.first = 0;
        self.outcome.stage = match &self.outcome.stage {
            Stage::Keep(draft) if self.outcome_places(draft.what).len() > 1 => {
                Stage::Place(draft.what)
            }
            Stage::Place(_) | Stage::Keep(_) | Stage::Foreseen(_) => Stage::Kind,
            Stage::Link(again, ..) => Stage::Again(*again),
            Stage::Kind | Stage::Again(_) => {
                let from = self.outcome.from;
                if from == Page::Worklist {
                    self.returns = true;
                    return self.return_to_list();
                }
                self.turn_to(from);
                return Vec::new();
            }
        };
        Vec::new()
    }

    /// Carries out a command of the page; `None` if it is none.
    pub(in crate::session) fn outcome_command(
        &mut self,
        command: Command,
        moment: &Moment,
    ) -> Option<Vec<Effect>> {
        let effects = match command {
            Command::Outcome => self.turn_to_outcome(),
            Command::LostSight => {
                self.pick_kind(Kind::LostSight);
                Vec::new()
            }
            Command::KeepOutcome if matches!(self.outcome.stage, Stage::Link(..)) => {
                self.keep_link(moment)
            }
            Command::KeepOutcome => self.keep_draft(moment),
            Command::OutcomeDay => {
                if matches!(self.outcome.stage, Stage::Keep(_) | Stage::Link(..)) {
                    self.over.ask((Prompt::OutcomeDay, String::new()));
                }
                Vec::new()
            }
            Command::HowKnown => {
                if let Stage::Keep(draft) | Stage::Link(_, _, draft) = &mut self.outcome.stage {
                    draft.known = draft.known.next();
                }
                Vec::new()
            }
            Command::Undo | Command::Redo if self.page == Page::Outcome => {
                // What is asked about may be taken back by it.
                self.outcome.stage = Stage::Kind;
                return None;
            }
            _ => return None,
        };
        Some(effects)
    }

    /// Handles a digit on the page.
    pub(in crate::session) fn outcome_digit(&mut self, c: char, moment: &Moment) -> Vec<Effect> {
        let Some(digit) = c.to_digit(10).and_then(|digit| usize::try_from(digit).ok()) else {
            return Vec::new();
        };
        let index = digit.checked_sub(1);
        match self.outcome.stage.clone() {
            Stage::Kind => {
                let kind = match index {
                    None => Some(Kind::Quiet),
                    Some(index) => Kind::ALL.get(index).copied(),
                };
                if let Some(kind) = kind {
                    self.pick_kind(kind);
                }
                Vec::new()
            }
            Stage::Place(kind) => {
                let places = self.outcome_places(kind);
                let more = places.len() > NINE;
                if more && digit == NINE {
                    let next = self.outcome.first + NINE - 1;
                    self.outcome.first = if next < places.len() { next } else { 0 };
                } else if let Some(place) =
                    index.and_then(|index| places.get(self.outcome.first + index))
                {
                    self.begin_draft(kind, *place);
                }
                Vec::new()
            }
            Stage::Again(again) => {
                self.pick_again(again, index);
                Vec::new()
            }
            Stage::Keep(_) | Stage::Link(..) => Vec::new(),
            Stage::Foreseen(outcome) => {
                let seen = index.and_then(|index| Foreseen::ALL.get(index).copied());
                seen.map_or_else(Vec::new, |seen| self.keep_foreseen(outcome, seen, moment))
            }
        }
    }

    fn pick_kind(&mut self, kind: Kind) {
        if self.outcome.stage != Stage::Kind {
            return;
        }
        self.outcome.first = 0;
        match self.outcome_places(kind).as_slice() {
            [] => self.notice = Some(said::NOTHING_DELIVERED.to_owned()),
            [only] => self.begin_draft(kind, *only),
            _ => self.outcome.stage = Stage::Place(kind),
        }
    }

    fn begin_draft(&mut self, what: Kind, (restoration, at): (u8, Option<Place>)) {
        self.outcome.stage = Stage::Keep(Draft {
            what,
            restoration,
            at,
            on: None,
            known: Known::usual(what),
        });
    }

    /// Returns where something of this kind can have happened: at the units and connectors of what was delivered, then to
    /// the whole of it. What was seen quiet, or is lost sight of, is so as a whole.
    fn outcome_places(&self, kind: Kind) -> Vec<(u8, Option<Place>)> {
        let Some(case) = self.inspection.as_ref().map(Inspection::case) else {
            return Vec::new();
        };
        let mut places = Vec::new();
        for id in case.delivered() {
            if let Some(own) = case.units.restoration(id).filter(|_| kind.is_failure()) {
                places.extend(own.parts().into_iter().map(|at| (id, Some(at))));
            }
            places.push((id, None));
        }
        places
    }

    fn drafted(&self, draft: &Draft, today: Date) -> Option<Outcome> {
        let case = self.inspection.as_ref().map(Inspection::case)?;
        let (what, on) = ((draft.what, draft.known), draft.on.unwrap_or(today));
        Some(case.outcome_of(what, draft.restoration, draft.at, on))
    }

    fn keep_draft(&mut self, moment: &Moment) -> Vec<Effect> {
        let Stage::Keep(draft) = &self.outcome.stage else {
            return Vec::new();
        };
        let Some(outcome) = self.drafted(draft, moment.today) else {
            return Vec::new();
        };
        if let Err(why) = self.takes_outcome(&outcome, moment.today) {
            self.notice = Some(why);
            return Vec::new();
        }
        self.outcome.stage = match outcome.what.is_failure() {
            true => Stage::Foreseen(outcome.clone()),
            false => Stage::Kind,
        };
        self.write_outcome(outcome, moment)
    }

    fn keep_foreseen(&mut self, outcome: Outcome, seen: Foreseen, moment: &Moment) -> Vec<Effect> {
        self.outcome.stage = Stage::Kind;
        let case = self.inspection.as_ref().map(Inspection::case);
        let mut all = case.into_iter().flat_map(Case::outcomes);
        // Somebody else may have taken it back meanwhile.
        let Some(now) = all.find(|own| own.is_same(&outcome)).cloned() else {
            return Vec::new();
        };
        let seen = Some(seen);
        self.write_outcome(Outcome { seen, ..now }, moment)
    }

    fn write_outcome(&mut self, outcome: Outcome, moment: &Moment) -> Vec<Effect> {
        let Some(inspection) = &mut self.inspection else {
            return Vec::new();
        };
        let effects = inspection.keep_outcome(outcome.clone(), moment);
        if let Some(inspection) = &self.inspection {
            let line = self
                .phrase(inspection)
                .outcome_line(&inspection.case, &outcome);
            self.notice = Some(said::kept(&line));
        }
        effects
    }

    /// Checks an outcome.
    ///
    /// # Errors
    /// Why it is not taken, as a sentence.
    pub fn takes_outcome(&self, outcome: &Outcome, today: Date) -> Result<(), String> {
        let Some(inspection) = &self.inspection else {
            return Ok(());
        };
        let case = &inspection.case;
        case.check_outcome(outcome, today).map_err(|why: Refused| {
            let held = self.is_held(outcome.restoration);
            self.phrase(inspection).outcome_refused(case, &why, held)
        })
    }

    /// Keeps the day of what is about to be written down, today if nothing was typed.
    ///
    /// # Errors
    /// A sentence, if the text is no day, or nothing can have happened on it.
    pub(in crate::session) fn take_outcome_day(
        &mut self,
        text: &str,
        moment: &Moment,
    ) -> Result<Vec<Effect>, String> {
        if self.page == Page::FollowUp {
            self.take_follow_up_day(text, moment.today)?;
            return Ok(Vec::new());
        }
        let on = match text {
            "" => None,
            text => Some(days::read(text, moment.today, Days::Past)?),
        };
        if let Stage::Link(_, from, draft) = &mut self.outcome.stage {
            if on.is_some_and(|on| on < from.delivered) {
                return Err(said::before_delivery(from.delivered));
            }
            draft.on = on;
            return Ok(Vec::new());
        }
        let Stage::Keep(draft) = self.outcome.stage.clone() else {
            return Ok(Vec::new());
        };
        let draft = Draft { on, ..draft };
        if let Some(outcome) = self.drafted(&draft, moment.today) {
            self.takes_outcome(&outcome, moment.today)?;
        }
        self.outcome.stage = Stage::Keep(draft);
        Ok(Vec::new())
    }
}

/// What became of the case, what is asked, and what was known then.
#[derive(Clone, PartialEq, Debug)]
pub struct OutcomeView {
    /// The title.
    pub title: String,
    /// What is known so far, each with its day.
    pub known: Vec<String>,
    /// What is asked.
    pub asks: &'static str,
    /// What can be picked.
    pub choices: Vec<ChoiceView>,
    /// What is about to be kept, and how.
    pub says: Vec<String>,
    /// What was known when it was built: headings and texts.
    pub then: Vec<(String, Vec<String>)>,
}

/// What can have happened, each behind its digit: what went wrong, then that it was seen quiet.
pub(super) fn kinds() -> Vec<ChoiceView> {
    let failures = Kind::ALL.into_iter().filter(|kind| kind.is_failure());
    let mut choices = numbered(failures.map(said::kind));
    choices.push(choice('0', said::kind(Kind::Quiet)));
    choices
}

pub(super) fn choice(digit: char, words: &str) -> ChoiceView {
    ChoiceView {
        digit,
        words: words.to_owned(),
        short: words.to_owned(),
        now: false,
    }
}

/// A digit from 1 on for each of these words.
pub(super) fn numbered<'w>(words: impl IntoIterator<Item = &'w str>) -> Vec<ChoiceView> {
    let all = ('1'..='9').zip(words);
    all.map(|(digit, words)| choice(digit, words)).collect()
}

impl Session {
    pub(in crate::session) fn outcome_view(&self, inspection: &Inspection) -> OutcomeView {
        let (case, phrase) = (&inspection.case, self.phrase(inspection));
        let mut known: Vec<(Date, String)> = Vec::new();
        for id in case.delivered() {
            let units = phrase.outcome_at(case, id, None);
            let on = case.delivered_on(id);
            known.extend(on.map(|on| (on, said::delivered(&units, on))));
        }
        let is_delivered = !known.is_empty();
        let own = case.outcomes().iter();
        known.extend(own.map(|own| (own.on, phrase.outcome_line(case, own))));
        known.sort_by_key(|(on, _)| *on);
        let mut known: Vec<String> = known.into_iter().map(|(_, line)| line).collect();
        known.extend(self.goes_on_from(inspection));
        if !is_delivered && inspection.earlier.is_empty() {
            known.push(said::NOTHING_DELIVERED.to_owned());
        }
        let (asks, choices, says) = self.outcome_asks(inspection, is_delivered);
        let at = match &self.outcome.stage {
            Stage::Keep(draft) => Some((draft.restoration, draft.at)),
            Stage::Foreseen(outcome) => Some((outcome.restoration, outcome.at)),
            Stage::Kind | Stage::Place(_) | Stage::Again(_) | Stage::Link(..) => {
                case.last_failure().map(|own| (own.restoration, own.at))
            }
        };
        let only = match case.delivered().as_slice() {
            [only] => Some((*only, None)),
            _ => None,
        };
        OutcomeView {
            title: said::title(&case.number),
            known,
            asks,
            choices,
            says,
            then: match at.or(only) {
                Some(at) => self.known_then(inspection, at),
                None => self.read_then(inspection),
            },
        }
    }

    fn outcome_asks(
        &self,
        inspection: &Inspection,
        is_delivered: bool,
    ) -> (&'static str, Vec<ChoiceView>, Vec<String>) {
        let (case, phrase) = (&inspection.case, self.phrase(inspection));
        match &self.outcome.stage {
            Stage::Again(again) => self.asks_again(inspection, *again),
            Stage::Link(_, from, draft) => self.asks_link(inspection, from, draft),
            Stage::Kind if !is_delivered => ("", Vec::new(), Vec::new()),
            Stage::Kind => {
                let mut choices = kinds();
                choices.push(choice('-', said::kind(Kind::LostSight)));
                (said::WHAT, choices, Vec::new())
            }
            Stage::Place(kind) => {
                let places = self.outcome_places(*kind);
                let more = places.len() > NINE;
                let shown = if more { NINE - 1 } else { NINE };
                let shown = places.iter().skip(self.outcome.first).take(shown);
                let words: Vec<String> = shown
                    .map(|(id, at)| phrase.outcome_at(case, *id, *at))
                    .collect();
                let mut choices = numbered(words.iter().map(String::as_str));
                if more {
                    choices.push(choice('9', said::MORE_PLACES));
                }
                (said::WHERE, choices, vec![said::kind(*kind).to_owned()])
            }
            Stage::Keep(draft) => {
                let outcome = self.today.and_then(|today| self.drafted(draft, today));
                let mut says: Vec<String> = (outcome.iter())
                    .map(|own| phrase.outcome_line(case, own))
                    .collect();
                says.push(self.keymap.say(said::HOW_TO_KEEP));
                (said::READ_BACK, Vec::new(), says)
            }
            Stage::Foreseen(outcome) => {
                let choices = numbered(Foreseen::ALL.map(said::foreseen));
                let line = phrase.outcome_line(case, outcome);
                let says = vec![line, self.keymap.say(said::MAY_STAY_OPEN)];
                (said::FORESEEN, choices, says)
            }
        }
    }

    /// What was found when a restoration was built, at one of its places or in all of it, and what was read there.
    fn known_then(
        &self,
        inspection: &Inspection,
        (id, at): (u8, Option<Place>),
    ) -> Vec<(String, Vec<String>)> {
        let (case, phrase) = (&inspection.case, self.phrase(inspection));
        // Where no record was made of what was built, what was found before stands in for it.
        let built = case.judged(Built::AsBuilt).map(|own| (said::AS_BUILT, own));
        let found = case.judged(Built::AsFound).map(|own| (said::AS_FOUND, own));
        let (name, record) = built
            .or(found)
            .map_or((said::AS_BUILT, None), |(name, own)| (name, Some(own)));
        let mut fired: Vec<(Level, &Ruled)> = record
            .iter()
            .flat_map(|record| &record.rules)
            .filter(|rule| case.units.owner(rule.at).is_none_or(|own| own.id == id))
            .filter_map(|rule| Some((level(&rule.said)?, rule)))
            .collect();
        fired.sort_by_key(|(level, _)| std::cmp::Reverse(*level));
        let worst = fired.first().map(|(level, _)| *level);
        let mut lines = vec![match record {
            Some(_) => said::worst_then(worst, fired.len()),
            None => said::NO_RECORD.to_owned(),
        }];
        lines.extend(fired.iter().map(|(level, rule)| {
            let at = phrase.place(rule.at);
            said::rule_then(words::level(*level), &at, &rule.rule)
        }));
        let mut then = vec![(name.to_owned(), lines)];
        let unit = at.or_else(|| case.units.restoration(id)?.only_unit());
        let Some(unit) = unit else {
            return then;
        };
        let read: Vec<String> = case
            .present()
            .filter(|(spot, layer, reading)| {
                *layer != Layer::Proposed
                    && matches!(reading.value, Value::Number(..))
                    && (spot.at == unit
                        || case.units.resolve(PlaceKind::Unit, spot.at) == Some(unit))
            })
            .map(|(spot, _, reading)| {
                let label = match spot.at {
                    Place::Wall(tooth, side) => {
                        named(phrase.side(tooth, side), &phrase.label(&spot.fact))
                    }
                    _ => phrase.label(&spot.fact),
                };
                named(&label, &phrase.reading(&spot.fact, reading))
            })
            .collect();
        if !read.is_empty() {
            then.push((phrase.place(unit), vec![read.join("; ")]));
        }
        then
    }
}

/// Returns the level at which a rule fired, or `None` if it did not.
fn level(said: &Said) -> Option<Level> {
    let Said::Fired(name) = said else {
        return None;
    };
    Level::ALL.into_iter().find(|own| own.as_str() == name)
}
