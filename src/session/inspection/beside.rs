//! What stands beside the readings as changes of the session: days, who has the case, its photographs and files.

use jiff::civil::Date;
use uuid::Uuid;

use super::{Inspection, put_back};
use crate::case::Layer;
use crate::case::journal::{Before, Body, CaseFile};
use crate::fact::{FactId, Place, Spot, Value};
use crate::session::{Effect, Moment};

impl Inspection {
    /// Keeps a day of the whole case, or takes it back. Nothing is written if it stands there already.
    pub fn set_day(&mut self, fact: &FactId, day: Option<Date>, moment: &Moment) -> Vec<Effect> {
        let spot = Spot {
            fact: fact.clone(),
            at: Place::Case,
        };
        if let Some(day) = day {
            return self.answer_at(spot, Value::Day(day), moment);
        }
        self.settle();
        let Some(old) = self.case.reading(&spot, Layer::Measured).cloned() else {
            return Vec::new();
        };
        let forward = Body::Clear {
            spot: spot.clone(),
            layer: Layer::Measured,
            undoes: None,
        };
        self.change(forward, put_back(&spot, Layer::Measured, Some(old)), moment)
    }

    /// Hands the case over to somebody.
    pub fn hand_over(&mut self, to: &str, note: &str, moment: &Moment) -> Vec<Effect> {
        let mut before = Before::default();
        before.keep_handed(&self.case);
        let forward = Body::HandedOver {
            to: to.to_owned(),
            note: note.to_owned(),
            on: Some(moment.today),
        };
        self.change(forward, as_before(before), moment)
    }

    /// Names a file of the case.
    pub fn attach(&mut self, file: CaseFile, moment: &Moment) -> Vec<Effect> {
        let before = self.files_before();
        self.change(Body::Attached { file }, before, moment)
    }

    /// Names a file of the case no longer.
    pub fn detach(&mut self, path: &str, moment: &Moment) -> Vec<Effect> {
        let before = self.files_before();
        let path = path.to_owned();
        self.change(Body::Detached { path }, before, moment)
    }

    fn files_before(&self) -> Body {
        let mut before = Before::default();
        before.keep_files(&self.case);
        as_before(before)
    }
}

/// The entry it takes back is named once it is known.
fn as_before(before: Before) -> Body {
    Body::PutBack {
        before: Box::new(before),
        undoes: Uuid::nil(),
    }
}
