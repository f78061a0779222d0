//! Double presses: the same digit again at once, or a digit that is held down. The keys for "not seen" and "as before"
//! answer at once too, and count as digits here.
//!
//! A digit answers a choice, and the next question is shown at once. A finger that bounces would answer that one too,
//! unread. So the same digit is dropped if it comes sooner than anybody can read. All other digits count, and so do
//! digits with the same time: no finger is so fast, they were typed ahead and came together.
//!
//! Keys carry the time at which they were read from the terminal. Measured when a page is drawn, a slow page would turn
//! two answers into one tap. Keys that came in one piece have one time.
//!
//! A key that is held begins to repeat after a quarter to two thirds of a second, when it might be a second answer.
//! Only the next repeat shows that it was none, and by then that answer is kept; so it is undone.

use jiff::{SignedDuration, Timestamp};

use super::command::{Command, Context};
use super::{Effect, FollowUpState, Moment, OutcomeState, Page, Session, Takes};
use crate::fact::Spot;
use crate::phrase::prompts;

/// Sooner than this after a digit, the same one was no second answer.
pub(super) const BOUNCE: SignedDuration = SignedDuration::from_millis(150);

/// A key that is held begins to repeat within this time at the latest.
const DELAY: SignedDuration = SignedDuration::from_millis(1100);

/// What is known of the last taps.
#[derive(Clone, Debug, Default)]
pub struct Taps {
    /// Whether keys are pressed by hand: on the screen, not by lines or scripts.
    pub by_hand: bool,
    last: Option<Tap>,
    picked: Option<Picked>,
}

/// A digit that picked something on the page of outcomes.
#[derive(Clone, Debug)]
struct Picked {
    digit: char,
    /// When it came last, taken or dropped.
    at: Timestamp,
    /// How often it was dropped since it was taken.
    dropped: usize,
    /// Whether it may be the same digit as before, held down.
    follows: bool,
    /// The pages before it.
    before: (OutcomeState, FollowUpState),
}

/// A digit that answered a choice at once.
#[derive(Clone, Debug)]
struct Tap {
    digit: char,
    /// When it came last, taken or dropped.
    at: Timestamp,
    /// How often it was dropped since it was taken.
    dropped: usize,
    /// Whether it came so soon after the same digit that it may be that one, held down and beginning to repeat.
    follows: bool,
    /// The cursor before it, and how many answers there were.
    before: (Option<Spot>, u64),
}

impl Session {
    /// Handles a digit at a choice; returns `None` if the key is to be handled as any other.
    pub(super) fn tapped(&mut self, key: &str, moment: &Moment) -> Option<Vec<Effect>> {
        let last = self.taps.last.take();
        if !self.taps.by_hand || self.page != Page::Questions {
            return None;
        }
        let mut chars = key.chars();
        let digit = chars.next().filter(|_| chars.next().is_none())?;
        let inspection = self.inspection.as_ref()?;
        // Two keys answer like a digit: not seen, and as before.
        let answers = !inspection.takes_text()
            && matches!(
                self.keymap.named(Context::Questions, key),
                Some(Command::NotSeen | Command::Same)
            );
        if !digit.is_ascii_digit() && !answers {
            return None;
        }
        // None of all preps answers a whole list: here even a digit typed ahead may not answer the next one unread.
        let none = digit == '0' && inspection.lists_exceptions();
        let picks = none || answers || inspection.answered_by() == Some(Takes::Digit);
        if !picks || !inspection.typed().is_empty() {
            return None;
        }
        if self.over.helps() || self.over.line().is_some() || self.over.find().is_some() {
            return None;
        }
        let before = (inspection.cursor().cloned(), inspection.entries());
        let last = last.filter(|tap| tap.digit == digit);
        let since = last.as_ref().map(|tap| moment.now.duration_since(tap.at));
        let soon = |most: SignedDuration| {
            since.is_some_and(|since| (since.is_positive() || none) && since < most)
        };
        if let Some(tap) = last.clone().filter(|_| soon(BOUNCE)) {
            return Some(self.drop_tap(tap, moment));
        }
        let effects = {
            let effects = match self.keymap.named(Context::Questions, key) {
                Some(command) if answers => self.command(command, moment),
                _ => self.type_char(digit, moment),
            };
            let moved = self
                .inspection
                .as_ref()
                .is_some_and(|i| i.cursor() != before.0.as_ref());
            if moved {
                self.taps.last = Some(Tap {
                    digit,
                    at: moment.now,
                    dropped: 0,
                    follows: soon(DELAY),
                    before,
                });
            }
            effects
        };
        Some(effects)
    }

    /// Handles a digit on the pages of outcomes and of follow-up, where each may pick something; returns `None` if it is to be handled as any
    /// other. What a held digit picked when it began to repeat is asked again. It wrote nothing: only Enter does, and the
    /// one digit that writes comes behind Enter.
    pub(super) fn picked(&mut self, key: &str, moment: &Moment) -> Option<Vec<Effect>> {
        let last = self.taps.picked.take();
        let context = self.context();
        if !self.taps.by_hand || !matches!(context, Context::Outcome | Context::FollowUp) {
            return None;
        }
        let mut chars = key.chars();
        let digit = chars.next().filter(|_| chars.next().is_none())?;
        let lost = self.keymap.named(context, key) == Some(Command::LostSight);
        if !digit.is_ascii_digit() && !lost {
            return None;
        }
        let last = last.filter(|tap| tap.digit == digit);
        let since = last.as_ref().map(|tap| moment.now.duration_since(tap.at));
        let soon =
            |most: SignedDuration| since.is_some_and(|since| since.is_positive() && since < most);
        if let Some(mut tap) = last.filter(|_| soon(BOUNCE)) {
            tap.at = moment.now;
            tap.dropped += 1;
            if tap.follows && tap.dropped == 2 {
                (self.outcome, self.follow_up) = tap.before.clone();
                tap.follows = false;
            }
            let said = match tap.dropped {
                1 => prompts::SECOND_PRESS,
                _ => prompts::KEY_HELD,
            };
            self.notice = Some(said.to_owned());
            self.taps.picked = Some(tap);
            return Some(Vec::new());
        }
        let before = (self.outcome.clone(), self.follow_up.clone());
        let effects = match digit.is_ascii_digit() {
            true if context == Context::FollowUp => {
                self.follow_up_digit(digit);
                Vec::new()
            }
            true => self.outcome_digit(digit, moment),
            false => self.command(Command::LostSight, moment),
        };
        if (&self.outcome, &self.follow_up) != (&before.0, &before.1) {
            self.taps.picked = Some(Picked {
                digit,
                at: moment.now,
                dropped: 0,
                follows: soon(DELAY),
                before,
            });
        }
        Some(effects)
    }

    /// Drops a tap. The second one in a row shows that the key is held: what it answered when it began to repeat was
    /// not meant either.
    fn drop_tap(&mut self, mut tap: Tap, moment: &Moment) -> Vec<Effect> {
        tap.at = moment.now;
        tap.dropped += 1;
        let held = tap.follows && tap.dropped == 2;
        let mut effects = Vec::new();
        if held && let Some(inspection) = &mut self.inspection {
            if inspection.entries() > tap.before.1 {
                effects = inspection.undo(moment);
            }
            inspection.put_cursor(tap.before.0.clone());
            tap.follows = false;
        }
        let said = if tap.dropped < 2 {
            prompts::SECOND_PRESS
        } else {
            prompts::KEY_HELD
        };
        self.notice = Some(said.to_owned());
        self.taps.last = Some(tap);
        effects
    }
}
