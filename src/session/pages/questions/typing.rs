//! What is typed into the open cell, and how it is read.

use jiff::civil::Date;

use crate::fact::{FactId, FactSpec, Kind, Misfit, Place, PlaceKind, Spot, Unit, Value};
use crate::flow::Days;
use crate::phrase::prompts;
use crate::session::Inspection;
use crate::session::{Effect, Moment, days};

/// The most choices that are offered at once, one a digit key.
const MOST: usize = 9;
/// The digit that turns to the other choices of a list that is longer.
pub const TURN: char = '9';
/// The key for help in a refusal; the page fills it in.
const HELP_KEY: &str = "{help}";
/// The key for another instrument in a refusal; the page fills it in.
const INSTRUMENT_KEY: &str = "{instrument}";

/// A choice of the open cell: its id, its words, and its place among all of them.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::session) struct Choice {
    pub(in crate::session) id: String,
    pub(in crate::session) words: String,
    pub(in crate::session) place: usize,
}

/// A digit that was just pressed where bands or exceptions are listed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Picked {
    /// The digit, or `None` if no number begins with it.
    digit: Option<char>,
    /// Whether it answered the question.
    is_kept: bool,
}

/// The choices of the open cell. A list of up to nine is offered whole; of a longer one eight at once, and `9` turns to
/// the next, from the last ones to the first.
#[derive(Clone, PartialEq, Debug, Default)]
pub(in crate::session) struct Choices {
    /// Those that a digit picks now.
    pub(in crate::session) here: Vec<Choice>,
    /// Those that come after turning.
    pub(in crate::session) beyond: Vec<Choice>,
    /// What `9` does, if the list is longer.
    pub(in crate::session) turn: Option<&'static str>,
    /// Whether these are the last ones of a longer list.
    is_last: bool,
}

/// How the open cell is answered.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Takes {
    /// One digit answers it.
    Digit,
    /// Digits mark teeth, enter keeps them.
    Teeth,
    /// A number, kept with enter.
    Number,
    /// A day, or how many days away, kept with enter.
    Day,
    /// Free text, kept with enter.
    Text,
}

impl Inspection {
    /// Returns how the open cell is answered, or `None` if no cell is open.
    pub fn answered_by(&self) -> Option<Takes> {
        let bands = !self.question()?.bands.is_empty();
        Some(match self.spec()?.kind {
            Kind::Number { .. } if !bands => Takes::Number,
            Kind::Day => Takes::Day,
            Kind::Text => Takes::Text,
            Kind::Teeth => Takes::Teeth,
            _ => Takes::Digit,
        })
    }

    /// Returns whether digits choose one of several numbers at the open cell.
    pub fn has_bands(&self) -> bool {
        self.question()
            .is_some_and(|question| !question.bands.is_empty())
    }

    /// Returns what was typed into the open cell and is not saved yet.
    pub fn typed(&self) -> &str {
        &self.hand.input
    }

    /// Returns why the last key was refused at the open cell, or `None` if it was not.
    pub fn refusal(&self) -> Option<&str> {
        self.hand.refusal.as_deref()
    }

    /// Returns whether the open cell takes free text, so that letters are not commands.
    pub(in crate::session) fn takes_text(&self) -> bool {
        self.spec().is_some_and(|spec| spec.kind == Kind::Text)
    }

    /// Returns whether the open cell accepts `c`.
    pub(in crate::session) fn takes(&self, c: char) -> bool {
        let Some(spec) = self.spec() else {
            return false;
        };
        match spec.kind {
            Kind::Text => !c.is_control(),
            Kind::Number { .. } => c.is_ascii_digit() || is_point(c),
            Kind::Day => days::has(c, &self.hand.input),
            _ => c.is_ascii_digit(),
        }
    }

    /// Undoes the band that a digit has just chosen, if this key is the decimal point of a number that began with that digit,
    /// and goes on with the number at the same cell. Enter right after such a digit does nothing: it belongs to a number.
    /// Returns `None` for any other key.
    pub(in crate::session) fn was_no_band(
        &mut self,
        key: &str,
        moment: &Moment,
    ) -> Option<Vec<Effect>> {
        let picked = self.hand.picked.take()?;
        if key == "enter" && picked.is_kept {
            return Some(Vec::new());
        }
        if !key.chars().all(is_point) {
            return None;
        }
        let digit = picked.digit?;
        let effects = if picked.is_kept {
            self.undo(moment)
        } else {
            Vec::new()
        };
        self.hand.refusal = None;
        self.hand.input = format!("{digit}.");
        Some(effects)
    }

    /// Returns whether `text` begins a number here rather than choosing a band.
    pub(in crate::session) fn begins_number(&self, text: &str) -> bool {
        !self.has_bands() || !self.hand.input.is_empty() || text.starts_with(begins_number)
    }

    /// Returns whether digits only pick something here, so that `text` cannot be typed.
    pub(in crate::session) fn only_picks(&self, text: &str) -> bool {
        let number = self.has_bands() && self.begins_number(text);
        self.answered_by() == Some(Takes::Digit) && !number
    }

    /// Appends `c` to the open cell; in a choice, a digit answers at once.
    pub(in crate::session) fn type_char(&mut self, c: char, moment: &Moment) -> Vec<Effect> {
        self.settle();
        let Some(spec) = self.spec().cloned() else {
            return Vec::new();
        };
        let bands = self
            .question()
            .map(|question| question.bands.clone())
            .unwrap_or_default();
        let digit = c
            .to_digit(10)
            .and_then(|digit| (digit as usize).checked_sub(1));
        match spec.kind {
            Kind::Choice(_) | Kind::Listed(_) => {
                let Choices { here, turn, .. } = self.choices();
                if turn.is_some() && c == TURN {
                    self.turn_choices(c);
                    return Vec::new();
                }
                match digit.and_then(|n| here.into_iter().nth(n)) {
                    Some(choice) => self.answer(Value::Choice(choice.id), moment),
                    None => self.refuse(prompts::no_choice(c, HELP_KEY)),
                }
            }
            Kind::YesNo => match digit.and_then(|n| self.choice_at(n)) {
                Some(value) => self.answer(value, moment),
                None => self.refuse(prompts::YES_OR_NO),
            },
            // A nought or a point begins a number; any other digit picks a band at once.
            Kind::Number { unit, .. }
                if !bands.is_empty() && self.hand.input.is_empty() && !begins_number(c) =>
            {
                match digit.and_then(|n| bands.get(n)) {
                    Some(band) => {
                        let before = self.done.len();
                        let effects = self.answer(Value::Number(*band, unit), moment);
                        self.hand.picked = (self.done.len() > before).then_some(Picked {
                            digit: Some(c),
                            is_kept: true,
                        });
                        effects
                    }
                    None => {
                        // 7 picks nothing, and 7.5 is a number all the same.
                        self.hand.picked = Some(Picked {
                            digit: Some(c),
                            is_kept: false,
                        });
                        self.refuse(prompts::no_choice(c, HELP_KEY))
                    }
                }
            }
            Kind::Teeth if c == '0' && self.lists_exceptions() => {
                if self.hand.input.is_empty() {
                    let before = self.done.len();
                    let effects = self.answer(Value::Teeth(self.teeth_to_choose()), moment);
                    // Whoever goes on with enter all the same does not skip the next question.
                    self.hand.picked = (self.done.len() > before).then_some(Picked {
                        digit: None,
                        is_kept: true,
                    });
                    effects
                } else {
                    self.refuse(prompts::UNMARK_FIRST)
                }
            }
            Kind::Teeth => {
                let teeth = self.teeth_to_choose();
                match digit.and_then(|n| teeth.get(n).map(|_| n)) {
                    Some(_) => {
                        match self.hand.input.find(c) {
                            Some(at) => {
                                self.hand.input.remove(at);
                            }
                            None => self.hand.input.push(c),
                        }
                        Vec::new()
                    }
                    None => self.refuse(prompts::no_choice(c, HELP_KEY)),
                }
            }
            Kind::Text => {
                if self.hand.input.chars().count() < crate::fact::MAX_TEXT {
                    self.hand.input.push(c);
                }
                Vec::new()
            }
            Kind::Number { .. } | Kind::Day => {
                // Whoever types on after a refusal means another number; to correct this one there is backspace.
                if self.hand.refused.take().as_ref() == Some(&self.hand.input) {
                    self.hand.input.clear();
                }
                if self.hand.input.chars().count() < 10 {
                    self.hand.input.push(c);
                }
                self.forget_sketch();
                Vec::new()
            }
        }
    }

    /// Returns whether the open question asks for exceptions: the teeth to be marked are those that differ.
    pub(in crate::session) fn lists_exceptions(&self) -> bool {
        let spot = self.hand.cursor.as_ref();
        spot.is_some_and(|spot| self.flow.covered(&spot.fact).next().is_some())
    }

    /// Returns the choices of the open cell; empty if it takes something else. The typed text counts how often the list was
    /// turned, so that clearing the cell turns back to the first.
    ///
    /// A digit answers at once, so that two digits cannot be waited for: of a list of more than nine, the ninth key
    /// turns to the rest.
    pub(in crate::session) fn choices(&self) -> Choices {
        let kind = self.spec().map(|spec| spec.kind.clone());
        let all = kind.map_or(Vec::new(), |kind| self.flow.choices(&kind));
        let long = all.len() > MOST;
        let size = if long { MOST - 1 } else { MOST };
        let pages = all.len().div_ceil(size).max(1);
        let page = self.hand.input.chars().count() % pages;
        let mut choices = Choices {
            turn: long.then_some(if page + 1 < pages {
                prompts::MORE
            } else {
                prompts::BACK_TO_FIRST
            }),
            is_last: page + 1 == pages,
            ..Choices::default()
        };
        for (place, (id, words)) in all.into_iter().enumerate() {
            let list = if place / size == page {
                &mut choices.here
            } else {
                &mut choices.beyond
            };
            list.push(Choice { id, words, place });
        }
        choices
    }

    /// Returns one of the choices of the open cell by its place among all of them.
    fn choice_at(&self, place: usize) -> Option<Value> {
        match &self.spec()?.kind {
            kind @ (Kind::Choice(_) | Kind::Listed(_)) => {
                let (id, _) = self.flow.choices(kind).into_iter().nth(place)?;
                Some(Value::Choice(id))
            }
            Kind::YesNo => [Value::Yes, Value::No].into_iter().nth(place),
            Kind::Number { unit, .. } => {
                let band = self.question()?.bands.get(place)?;
                Some(Value::Number(*band, *unit))
            }
            _ => None,
        }
    }

    /// Answers the open cell with one of its choices, by its place among all of them.
    pub(in crate::session) fn pick(&mut self, place: usize, moment: &Moment) -> Vec<Effect> {
        self.settle();
        match self.choice_at(place) {
            Some(value) => self.answer(value, moment),
            None => self.refuse(prompts::PRESS_A_DIGIT),
        }
    }

    /// Answers the open cell with a value, refused as it would be if it was typed.
    pub(in crate::session) fn give(&mut self, value: Value, moment: &Moment) -> Vec<Effect> {
        self.settle();
        let (Some(spot), Some(spec)) = (self.hand.cursor.clone(), self.spec().cloned()) else {
            return Vec::new();
        };
        let taken = match &value {
            Value::NotSeen => Ok(()),
            Value::Number(number, unit) => self.fits_instrument(*number, *unit),
            Value::Day(day) => {
                let read = self.read_day(&spot, &day.to_string(), moment.today);
                read.map(|_| ())
            }
            Value::Choice(id) => {
                let mut all = self.flow.choices(&spec.kind).into_iter();
                let is_one = all.any(|(own, _)| own == *id);
                is_one
                    .then_some(())
                    .ok_or_else(|| prompts::enter(&spec.wanted()))
            }
            _ => Ok(()),
        };
        match taken.and_then(|()| checked(&spec, value)) {
            Ok(value) => self.answer(value, moment),
            Err(why) => {
                self.hand.refused = Some(self.hand.input.clone());
                self.refuse(why)
            }
        }
    }

    /// Forgets the digit that was just pressed: what comes is no part of a number that began with it.
    pub(in crate::session) fn forget_picked(&mut self) {
        self.hand.picked = None;
    }

    /// Turns to the next choices, and from the last ones to the first.
    fn turn_choices(&mut self, c: char) {
        let last = self.choices().is_last;
        self.hand.input.push(c);
        if last {
            self.clear_input();
        }
    }

    /// Returns the teeth that a question for teeth offers, one a digit key.
    pub(in crate::session) fn teeth_to_choose(&self) -> Vec<crate::tooth::Tooth> {
        let Some(spot) = &self.hand.cursor else {
            return Vec::new();
        };
        let kind = self.flow.covered(&spot.fact).map(|one| one.at).next();
        let teeth = self
            .case
            .units
            .within(spot.at, kind.unwrap_or(PlaceKind::Abutment))
            .into_iter()
            .filter_map(|place| match place {
                Place::Unit(tooth) => Some(tooth),
                _ => None,
            });
        teeth.take(9).collect()
    }

    /// Saves what was typed and goes on; an empty cell is left as it is.
    pub(in crate::session) fn confirm(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        if self.answered_by() == Some(Takes::Digit) && !self.has_bands() {
            // Turned to other choices, none picked.
            self.clear_input();
        }
        if self.hand.input.is_empty() {
            self.go_on();
            return Vec::new();
        }
        let Some(spec) = self.spec().cloned() else {
            return Vec::new();
        };
        match self.read_input(&spec, moment.today) {
            Ok(value) => self.answer(value, moment),
            Err(why) => self.refuse(why),
        }
    }

    pub(in crate::session) fn read_input(
        &self,
        spec: &FactSpec,
        today: Date,
    ) -> Result<Value, String> {
        let text = self.hand.input.trim();
        let value = match spec.kind {
            Kind::Number { .. } => return self.read_number(spec),
            Kind::Day => match &self.hand.cursor {
                Some(spot) => Value::Day(self.read_day(spot, text, today)?),
                None => return Err(prompts::NO_QUESTION.to_owned()),
            },
            Kind::Text => Value::Text(crate::text::clean(text)),
            Kind::Teeth => {
                let teeth = self.teeth_to_choose();
                let marked = text
                    .chars()
                    .filter_map(|c| c.to_digit(10))
                    .filter_map(|n| teeth.get(n as usize - 1).copied());
                let marked: Vec<_> = marked.collect();
                Value::Teeth(if self.lists_exceptions() {
                    let usual = teeth.into_iter().filter(|tooth| !marked.contains(tooth));
                    usual.collect()
                } else {
                    marked
                })
            }
            _ => return Err(prompts::PRESS_A_DIGIT.to_owned()),
        };
        checked(spec, value)
    }

    /// Reads a day for a question and checks it against today and the other days of the case.
    ///
    /// # Errors
    /// A sentence, if the text is no day, or the day contradicts today or another day.
    pub(in crate::session) fn read_day(
        &self,
        spot: &Spot,
        text: &str,
        today: Date,
    ) -> Result<Date, String> {
        let question = self.flow.question(&spot.fact);
        let days = question.and_then(|q| q.days).unwrap_or(Days::Either);
        let day = days::read(text, today, days)?;
        let label = |fact: &FactId| {
            let spec = self.flow.spec(fact);
            spec.map_or_else(String::new, |spec| spec.label.to_string())
        };
        let clash =
            |fact: &FactId, wrong: &dyn Fn(Date) -> bool| match self.case.value(fact, spot.at) {
                Some(Value::Day(other)) if wrong(*other) => Some(prompts::days_clash(
                    (&label(&spot.fact), day),
                    (&label(fact), *other),
                )),
                _ => None,
            };
        let first = question.and_then(|q| q.not_before.as_ref());
        let first = first.and_then(|fact| clash(fact, &|other| day < other));
        let questions = self.flow.questions.iter();
        let later = questions
            .filter(|q| q.not_before.as_ref() == Some(&spot.fact))
            .find_map(|q| clash(&q.fact, &|other| day > other));
        first.or(later).map_or(Ok(day), Err)
    }

    /// Reads what was typed as a number.
    pub(in crate::session) fn read_number(&self, spec: &FactSpec) -> Result<Value, String> {
        let text = self.hand.input.trim();
        let Kind::Number { unit, .. } = spec.kind else {
            return Err(prompts::enter(&spec.wanted()));
        };
        let number: f64 = text
            .replace(',', ".")
            .parse()
            .map_err(|_| prompts::not_a_number(text))?;
        self.fits_instrument(number, unit)?;
        checked(spec, Value::Number(number, unit))
    }

    /// Refuses a reading that is finer than its instrument: the value or the instrument is wrong.
    pub(in crate::session) fn fits_instrument(
        &self,
        number: f64,
        unit: Unit,
    ) -> Result<(), String> {
        let Some(instrument) = self.instrument().and_then(|id| self.flow.instrument(&id)) else {
            return Ok(());
        };
        let steps = number / instrument.step;
        if instrument.step > 0.0 && (steps - steps.round()).abs() > 1e-6 {
            return Err(prompts::finer_than_instrument(
                &instrument.name,
                instrument.step,
                unit,
                INSTRUMENT_KEY,
            ));
        }
        Ok(())
    }
}

fn is_point(c: char) -> bool {
    matches!(c, '.' | ',')
}

/// Returns whether `c` begins a number where digits choose bands.
fn begins_number(c: char) -> bool {
    c == '0' || is_point(c)
}

/// Returns `value`, or a sentence on what to enter instead if its fact does not take it.
fn checked(spec: &FactSpec, value: Value) -> Result<Value, String> {
    match spec.check(&value) {
        Ok(()) => Ok(value),
        Err(Misfit::Bounds { wanted }) => Err(prompts::enter(&wanted)),
        Err(_) => Err(prompts::enter(&spec.wanted())),
    }
}
