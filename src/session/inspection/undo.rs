//! Undo and redo, within the session and of its own changes alone.

use uuid::Uuid;

use super::{Change, Inspection};
use crate::case::dispute::{keys, touched_by};
use crate::case::journal::Body;
use crate::phrase::benches as said;
use crate::phrase::prompts;
use crate::session::{Effect, Moment};

impl Inspection {
    pub(in crate::session) fn undo(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        let Some(change) = self.done.pop() else {
            return self.refuse(prompts::NOTHING_TO_UNDO);
        };
        if let Some(why) = self.changed_since(&change, &change.back) {
            self.done.push(change);
            return self.refuse(why);
        }
        let knew = self.entries;
        let (_, effects) = self.append(undoing(change.back.clone(), change.entry), moment);
        self.hand.cursor.clone_from(&change.cursor);
        self.hand.course.begin_anew();
        self.undone.push(Change { knew, ..change });
        self.clear_input();
        self.keep_cursor();
        effects
    }

    pub(in crate::session) fn redo(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        let Some(change) = self.undone.pop() else {
            return self.refuse(prompts::NOTHING_TO_REDO);
        };
        if let Some(why) = self.changed_since(&change, &change.forward) {
            self.undone.push(change);
            return self.refuse(why);
        }
        let knew = self.entries;
        let (entry, effects) = self.append(change.forward.clone(), moment);
        self.hand.cursor.clone_from(&change.cursor);
        self.hand.course.begin_anew();
        self.done.push(Change {
            entry,
            knew,
            ..change
        });
        self.clear_input();
        self.keep_cursor();
        effects
    }

    /// Returns why a change can be neither undone nor redone: somebody else has written to the same since.
    fn changed_since(&self, change: &Change, body: &Body) -> Option<String> {
        let since = usize::try_from(change.knew).unwrap_or(usize::MAX);
        let others = self.journal.iter().skip(since);
        let others = others.filter(|entry| entry.session != self.session);
        let other = touched_by(others, body)?;
        let what = self.in_common(&keys(body), other);
        let what = what.as_deref().unwrap_or(said::IT);
        Some(said::not_undone(other.who.as_deref(), what))
    }
}

fn undoing(body: Body, entry: Uuid) -> Body {
    let undoes = Some(entry);
    match body {
        Body::Answer {
            spot,
            value,
            with,
            layer,
            ..
        } => Body::Answer {
            spot,
            value,
            with,
            layer,
            undoes,
        },
        Body::Clear { spot, layer, .. } => Body::Clear {
            spot,
            layer,
            undoes,
        },
        Body::Units { units, .. } => Body::Units { units, undoes },
        Body::PutBack { before, .. } => Body::PutBack {
            before,
            undoes: entry,
        },
        other => other,
    }
}
