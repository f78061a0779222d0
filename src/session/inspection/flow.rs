//! A case under inspection that moves to another version of its flow.

use std::sync::Arc;

use uuid::Uuid;

use super::{Inspection, work_out};
use crate::case::decision::Matter;
use crate::case::journal::{Before, Body, Entry, apply};
use crate::case::{Case, FlowRef, Layer};
use crate::derive::{Facts, Precision};
use crate::fact::{Place, Spot, Value};
use crate::flow::difference::{Change, difference};
use crate::flow::{Flow, Part};
use crate::judge::{Judgement, judge};
use crate::phrase::moving as said;
use crate::session::{Effect, Moment};

/// What a move to another flow changes.
#[derive(Clone)]
pub struct Moving {
    /// The flow.
    pub flow: Arc<Flow>,
    /// Answers that do not fit it.
    pub aside: Vec<(Spot, Layer, Value)>,
    /// Decisions that are asked again.
    pub anew: Vec<Matter>,
    /// The case as it would be.
    pub case: Case,
    /// What it would be judged to be.
    pub after: Judgement,
}

impl Moving {
    /// Returns the flow as a case names it.
    pub fn reference(&self) -> FlowRef {
        FlowRef {
            id: self.flow.id.clone(),
            version: self.flow.version,
            digest: self.flow.digest.clone(),
        }
    }

    fn body(&self) -> Body {
        Body::MoveFlow {
            flow: self.reference(),
            aside: self.aside.clone(),
            anew: self.anew.clone(),
        }
    }
}

impl Inspection {
    /// Works out what a move to another flow would change.
    ///
    /// What was agreed stays agreed, and is judged by the new rules; what was accepted or left open is asked again where its
    /// rule is another, or gone.
    ///
    /// # Errors
    /// A sentence: it is that flow already, or something is in dispute.
    pub fn moving_to(&self, flow: &Arc<Flow>) -> Result<Moving, String> {
        if flow.digest == self.case.flow.digest {
            return Err(said::SAME.to_owned());
        }
        if self.case.is_closed(Place::Case) {
            return Err(said::CLOSED.to_owned());
        }
        if self.case.is_disputed() {
            return Err(said::DISPUTED.to_owned());
        }
        let mut aside: Vec<(Spot, Layer, Value)> = Vec::new();
        for own in flow.unfitting(&self.case) {
            // A reading is one whatever it was read with.
            let value = self.case.reading(&own.spot, own.layer);
            if let Some(value) = value.filter(|_| own.part != Part::Instrument) {
                aside.push((own.spot, own.layer, value.value.clone()));
            }
        }
        let rows = difference(&self.flow, flow).rows;
        let is_other = |rule: &str| {
            let mut rows = rows.iter().filter(|row| row.table == "Rules");
            rows.any(|row| row.id == rule && row.change != Change::Added && row.has_meaning())
        };
        let decisions = self.case.decisions().map(|own| &own.decision);
        let anew = decisions
            .filter(|own| own.changes_nothing() && is_other(&own.about.rule))
            .map(|own| own.about.clone())
            .collect();
        let mut moving = Moving {
            flow: flow.clone(),
            aside,
            anew,
            case: self.case.clone(),
            after: self.judgement.clone(),
        };
        let entry = Entry {
            id: Uuid::nil(),
            seen: self.entries,
            session: self.session,
            when: jiff::Timestamp::UNIX_EPOCH,
            who: None,
            body: moving.body(),
        };
        // Only a second opening can fail.
        let _ = apply(&mut moving.case, &entry);
        moving.after = judge(flow, &Facts::with(flow, &moving.case, Precision::Quick));
        Ok(moving)
    }

    /// Moves the case. Whoever keeps the entry has kept the flow before.
    pub fn move_flow(&mut self, to: &Moving, moment: &Moment) -> Vec<Effect> {
        let mut before = Before {
            flow: Some(self.case.flow.clone()),
            ..Before::default()
        };
        for (spot, ..) in &to.aside {
            before.keep(&self.case, spot);
        }
        let again = to.anew.iter().filter_map(|about| self.case.decision(about));
        before.decisions = again.cloned().collect();
        let back = Body::PutBack {
            before: Box::new(before),
            undoes: Uuid::nil(),
        };
        self.settle();
        self.know_flow(to.flow.clone());
        let effects = self.change(to.body(), back, moment);
        self.clear_input();
        self.keep_cursor();
        effects
    }

    /// Takes in a flow that the case is moved to, or was.
    pub fn know_flow(&mut self, flow: Arc<Flow>) {
        for own in [self.flow.clone(), flow] {
            if self.flows.iter().all(|known| known.digest != own.digest) {
                self.flows.push(own);
            }
        }
    }

    /// Takes the flow that the case names, if it is another one than before; returns whether it did.
    pub(super) fn follow_flow(&mut self) -> bool {
        let wanted = &self.case.flow.digest;
        let mut known = self.flows.iter();
        let Some(flow) = known.find(|own| own.digest == *wanted && own.digest != self.flow.digest)
        else {
            return false;
        };
        self.flow = flow.clone();
        // Nothing that another flow gave is used again.
        let (_, _, agenda) = work_out(&self.flow, &self.case, None);
        self.hand.take_flow(&self.flow, &self.case, &agenda);
        true
    }
}
