//! What a verb changes: readings that fit one another, and the tooth it costs.

use super::JudgedCopy;
use crate::case::{CaseUnit as Ordered, OrderedKind, Restoration, Role, Units};
use crate::derive::{least_prep, preparation};
use crate::fact::{
    BONE_LEVEL, CLEARANCE, CONNECTOR_HEIGHT, CONNECTOR_WIDTH, Chosen, FITTING_SURFACE, FORM_USED,
    FactId, GUM_USED, GumLine, MARGIN_GUM, MarginForm, ORDER_CEMENT, ORDER_MATERIAL, Place,
    PlaceKind, SHAPE, SOUND_TOOTH, SPACE_HEIGHT, SPACE_WIDTH, Side, Spot, Unit, Value,
};
use crate::flow::Material;
use crate::mechanics::prep::{self, cut_volume};
use crate::phrase::faults::reasons;
use crate::prep::{from_prep, rounded, to_prep, write, write_plain};
use crate::tooth::Tooth;

/// What a change comes to.
#[derive(Default)]
pub(super) struct Change {
    pub(super) values: Vec<(Spot, Value)>,
    pub(super) units: Option<Units>,
    pub(super) cut: Option<f64>,
}

impl Change {
    fn set(&mut self, fact: &FactId, at: Place, value: Value) {
        let fact = fact.clone();
        self.values.push((Spot { fact, at }, value));
    }

    pub(super) fn add(&mut self, other: Change) {
        self.values.extend(other.values);
        self.units = other.units.or(self.units.take());
        if let Some(cut) = other.cut {
            self.cut = Some(self.cut.unwrap_or(0.0) + cut);
        }
    }
}

/// What happens to one prep.
#[derive(Clone, Copy)]
pub(super) enum Cut {
    Deepen(f64, bool),
    Straighten(f64),
    Groove,
    BuildUp(f64),
    Lower(f64),
}

impl JudgedCopy<'_> {
    pub(super) fn number(&self, fact: &FactId, at: Place) -> Option<f64> {
        self.facts.value(fact, at).and_then(Value::number)
    }

    pub(super) fn choice<C: Chosen>(&self, fact: &FactId, at: Place) -> Option<C> {
        self.facts.value(fact, at).and_then(Value::chosen)
    }

    pub(super) fn material(&self, at: Place) -> Option<&Material> {
        let (_, value) = self.facts.resolved(&ORDER_MATERIAL, at)?;
        self.flow.material(value.choice()?)
    }

    /// Changes a prep and writes down every reading that changes with it.
    ///
    /// # Errors
    /// Why there is no such prep, as a reason for the person at the bench.
    pub(super) fn cut(&self, tooth: Tooth, sides: &[Side], cut: Cut) -> Result<Change, String> {
        let shape = Spot {
            fact: SHAPE,
            at: Place::Unit(tooth),
        };
        if self.facts.is_refused(&shape) {
            return Err(reasons::IMPOSSIBLE_SHAPE.to_owned());
        }
        let before = preparation(self.facts, tooth).ok_or(reasons::PREP_NOT_READ)?;
        let sides: Vec<prep::PrepSide> = sides.iter().map(|side| to_prep(*side)).collect();
        let after = match cut {
            Cut::Deepen(by, _) => before.deepened(&sides, by),
            Cut::Straighten(to) => before.straightened(&sides, to),
            Cut::Groove => before.grooved(&sides),
            Cut::BuildUp(by) => before.built_up(by),
            Cut::Lower(by) => before.built_up(-by),
        };
        after
            .check()
            .map_err(|_| reasons::NO_SUCH_PREP.to_owned())?;
        let mut change = Change::default();
        let is_feather = |at| self.choice(&FORM_USED, at) == Some(MarginForm::Feather);
        change.values =
            write(is_feather, tooth, &before, &after).map_err(|error| error.to_string())?;
        if let Cut::Deepen(by, _) = cut
            && let Some(sound) = self.number(&SOUND_TOOTH, Place::Unit(tooth))
            && sides.len() == Side::ALL.len()
        {
            // All round it goes down over sound tooth.
            let sound = Value::Number(rounded(sound + by), Unit::Mm);
            change.set(&SOUND_TOOTH, Place::Unit(tooth), sound);
        }
        match cut {
            Cut::Deepen(by, false) => self.lower(&mut change, tooth, &sides, by),
            Cut::BuildUp(by) | Cut::Lower(by) => {
                let unit = Place::Unit(tooth);
                if let Some(room) = self.number(&CLEARANCE, unit) {
                    let room = match cut {
                        Cut::Lower(_) => room + by,
                        _ => (room - by).max(0.0),
                    };
                    change.set(&CLEARANCE, unit, Value::Number(rounded(room), Unit::Mm));
                }
            }
            Cut::Deepen(_, true) | Cut::Straighten(_) | Cut::Groove => {}
        }
        // What is built up is no tooth that is cut.
        change.cut = match cut {
            Cut::BuildUp(_) => Some(0.0),
            _ => cut_volume(&before, &after).ok().map(|cut| cut.max(0.0)),
        };
        Ok(change)
    }

    /// A margin that goes down goes under the gum and towards the bone.
    fn lower(&self, change: &mut Change, tooth: Tooth, sides: &[prep::PrepSide], by: f64) {
        for side in sides {
            let at = Place::Wall(tooth, from_prep(*side));
            let now = match self.choice(&GUM_USED, at) {
                Some(GumLine::At) if by <= 1.0 => GumLine::UnderOne,
                Some(GumLine::At | GumLine::UnderOne | GumLine::Deeper) => GumLine::Deeper,
                // How far above it was is not known.
                Some(GumLine::Above) | None => continue,
            };
            change.set(&MARGIN_GUM, at, now.into());
        }
        let unit = Place::Unit(tooth);
        if let Some(bone) = self.number(&BONE_LEVEL, unit) {
            let left = (bone - by).max(0.0);
            change.set(&BONE_LEVEL, unit, Value::Number(rounded(left), Unit::Mm));
        }
    }

    /// Makes a connector larger, or all connectors of a restoration that are drawn, each as far as its space allows.
    pub(super) fn enlarge(&self, at: Place, by: f64) -> Result<Change, String> {
        if matches!(at, Place::Connector(..)) {
            return self.enlarge_one(at, by);
        }
        let mut change = Change::default();
        for at in self.facts.units().within(at, PlaceKind::Connector) {
            let higher = self.free(&CONNECTOR_HEIGHT, &SPACE_HEIGHT, at);
            let wider = self.free(&CONNECTOR_WIDTH, &SPACE_WIDTH, at);
            if let Ok(one) = self.enlarge_one(at, by.min(higher + wider)) {
                change.add(one);
            }
        }
        if change.values.is_empty() {
            return Err(reasons::NO_CONNECTOR_DRAWN.to_owned());
        }
        Ok(change)
    }

    /// Makes a connector higher as far as the space allows, and wider by what is left: height counts twice in bending.
    fn enlarge_one(&self, at: Place, by: f64) -> Result<Change, String> {
        let size = |fact: &FactId| {
            self.number(fact, at)
                .ok_or_else(|| reasons::CONNECTOR_NOT_DRAWN.to_owned())
        };
        let height = size(&CONNECTOR_HEIGHT)?;
        let higher = by.min(self.free(&CONNECTOR_HEIGHT, &SPACE_HEIGHT, at));
        let wider = by - higher;
        if wider > self.free(&CONNECTOR_WIDTH, &SPACE_WIDTH, at) + 1e-9 {
            return Err(reasons::CONNECTOR_FILLS.to_owned());
        }
        let mut change = Change::default();
        let mut set = |fact: &FactId, number: f64| {
            change.set(fact, at, Value::Number(rounded(number), Unit::Mm));
        };
        if higher > 1e-9 {
            set(&CONNECTOR_HEIGHT, height + higher);
        }
        if wider > 1e-9 {
            set(&CONNECTOR_WIDTH, size(&CONNECTOR_WIDTH)? + wider);
        }
        Ok(change)
    }

    /// Returns by how much a connector may grow in one direction, in mm: without end where its space was not measured, not
    /// at all where it is not drawn.
    fn free(&self, drawn: &FactId, space: &FactId, at: Place) -> f64 {
        match (self.number(drawn, at), self.number(space, at)) {
            (Some(drawn), Some(space)) => (space - drawn).max(0.0),
            (Some(_), None) => f64::INFINITY,
            (None, _) => 0.0,
        }
    }

    /// Sets a fact where it stands above a place, or at every place of its kind within.
    pub(super) fn set(&self, fact: &FactId, value: &Value, at: Place) -> Change {
        let units = self.facts.units();
        let places = match self.facts.flow().spec(fact).map(|spec| spec.at) {
            Some(kind) => match units.resolve(kind, at) {
                Some(at) => vec![at],
                None => units.within(at, kind),
            },
            None => Vec::new(),
        };
        let values = places
            .into_iter()
            .filter(|at| self.facts.value(fact, *at) != Some(value))
            .map(|at| {
                let fact = fact.clone();
                (Spot { fact, at }, value.clone())
            })
            .collect();
        Change {
            values,
            ..Change::default()
        }
    }

    /// Takes another material or cement. What was ordered for the inside was ordered for the one before: the seating notes name
    /// the steps then.
    pub(super) fn choose(&self, fact: &FactId, value: &Value, at: Place) -> Change {
        let mut change = self.set(fact, value, at);
        let inside = self
            .facts
            .value(&FITTING_SURFACE, at)
            .and_then(Value::choice);
        if [ORDER_MATERIAL, ORDER_CEMENT].contains(fact) && inside.is_some() {
            let not_said = Value::Choice("not-said".to_owned());
            change.add(self.set(&FITTING_SURFACE, &not_said, at));
        }
        change
    }

    /// Makes more room over a prep, off the tooth against it or off the prep itself.
    pub(super) fn ease(&self, at: Place, by: f64, off_prep: bool) -> Result<Change, String> {
        let room = self
            .number(&CLEARANCE, at)
            .ok_or(reasons::CLEARANCE_NOT_READ)?;
        if let Place::Unit(tooth) = at
            && off_prep
            && preparation(self.facts, tooth).is_some()
        {
            return self.cut(tooth, &[], Cut::Lower(by));
        }
        let mut change = Change::default();
        change.set(&CLEARANCE, at, Value::Number(rounded(room + by), Unit::Mm));
        Ok(change)
    }

    /// Makes joined crowns one by one.
    pub(super) fn split(&self, id: u8) -> Result<Change, String> {
        let all = self.facts.units().restorations();
        let mut list = Vec::new();
        let mut moved = Vec::new();
        let mut next = all.iter().map(|r| r.id).max().unwrap_or(0);
        for restoration in all {
            if restoration.id != id {
                list.push(restoration.clone());
                continue;
            }
            for (index, unit) in restoration.units.iter().enumerate() {
                if unit.role == Role::Pontic {
                    return Err(reasons::PONTIC_ALONE.to_owned());
                }
                let own = if index == 0 {
                    id
                } else {
                    next = next.saturating_add(1);
                    moved.push(next);
                    next
                };
                list.push(Restoration {
                    id: own,
                    ordered: OrderedKind::Crown,
                    units: vec![*unit],
                });
            }
        }
        let mut change = Change {
            units: Some(Units::new(list).map_err(|error| error.to_string())?),
            ..Change::default()
        };
        // What was asked of the whole holds for each.
        for (spot, _, reading) in self.facts.case().present() {
            if spot.at == Place::Restoration(id) {
                for own in &moved {
                    let at = Place::Restoration(*own);
                    change.set(&spot.fact, at, reading.value.clone());
                }
            }
        }
        Ok(change)
    }

    /// Takes the next tooth in, with a prep at the published least and nothing wrong with it.
    pub(super) fn take_in(&self, id: u8, tooth: Tooth) -> Result<Change, String> {
        let mut list = self.facts.units().restorations().to_vec();
        let restoration = list
            .iter_mut()
            .find(|restoration| restoration.id == id)
            .ok_or(reasons::RESTORATION_GONE)?;
        let new = Ordered {
            tooth,
            role: Role::Abutment,
        };
        restoration.units.push(new);
        if restoration.ordered == OrderedKind::Crown {
            restoration.ordered = OrderedKind::Splinted;
        }
        let mut change = Change {
            units: Some(Units::new(list).map_err(|error| error.to_string())?),
            ..Change::default()
        };
        let mut least = least_prep(&self.flow.figures, tooth);
        // What the margin takes more of the neck is no part of the foot.
        if let Some(material) = self.material(Place::Restoration(id)) {
            let wider = material.margin_depth - self.flow.figures.least_prep.margin;
            least.mesiodistal -= 2.0 * wider;
            least.faciolingual -= 2.0 * wider;
            for wall in &mut least.walls {
                wall.depth = material.margin_depth;
            }
        }
        change.values.extend(write_plain(tooth, &least));
        Ok(change)
    }
}
