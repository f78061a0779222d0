//! What a verb changes: readings that fit one another, and the tooth it costs.

use super::Judged;
use crate::case::{OrderedKind, Restoration, Role, Unit as Ordered, Units};
use crate::derive::{from_prep, minimum_height, preparation, to_prep};
use crate::fact::{
    BONE_LEVEL, CLEARANCE, CONNECTOR_HEIGHT, FORM_USED, FactId, GROOVES, GUM_USED, HEIGHT,
    MARGIN_DEPTH, MARGIN_FL, MARGIN_FORM, MARGIN_GUM, MARGIN_MD, MARGIN_STEP, ORDER_MATERIAL,
    Place, PlaceKind, ROOM_HEIGHT, SHAPE, Side, Spot, TOOTH_WIDTH, TOP_FL, TOP_MD, UNEVEN, Unit,
    Value, WALL_FORM, WALL_HEIGHT, WALL_STRAIGHT, WALL_TAPER,
};
use crate::flow::Material;
use crate::mechanics::dislodgement::grip::MINIMUM_TAPER;
use crate::mechanics::prep::{self, Preparation, cut_volume};
use crate::tooth::{Tooth, size};

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

/// What happens to one stump.
#[derive(Clone, Copy)]
pub(super) enum Cut {
    Deepen(f64, bool),
    Straighten(f64),
    Groove,
    BuildUp(f64),
}

/// A thousandth of a mm or degree is finer than anything that is read.
fn rounded(number: f64) -> f64 {
    (number * 1e3).round() / 1e3
}

impl Judged<'_> {
    pub(super) fn number(&self, fact: &FactId, at: Place) -> Option<f64> {
        self.facts.value(fact, at).and_then(Value::number)
    }

    pub(super) fn choice(&self, fact: &FactId, at: Place) -> Option<&str> {
        self.facts.value(fact, at).and_then(Value::choice)
    }

    pub(super) fn material(&self, at: Place) -> Option<&Material> {
        let (_, value) = self.facts.resolved(&ORDER_MATERIAL, at)?;
        self.flow.material(value.choice()?)
    }

    /// Changes a stump and writes down every reading that changes with it.
    ///
    /// # Errors
    /// Why there is no such stump, as a reason for the person at the bench.
    pub(super) fn cut(&self, tooth: Tooth, sides: &[Side], cut: Cut) -> Result<Change, String> {
        let shape = Spot {
            fact: SHAPE,
            at: Place::Unit(tooth),
        };
        if self.facts.is_refused(&shape) {
            return Err("the readings are those of no shape: measure again first".to_owned());
        }
        let before = preparation(self.facts, tooth).ok_or("readings of the stump are missing")?;
        let sides: Vec<prep::Side> = sides.iter().map(|side| to_prep(*side)).collect();
        let after = match cut {
            Cut::Deepen(by, _) => before.deepened(&sides, by),
            Cut::Straighten(to) => before.straightened(&sides, to),
            Cut::Groove => before.grooved(&sides),
            Cut::BuildUp(by) => before.built_up(by),
        };
        after
            .check()
            .map_err(|_| "no such stump can be cut from these readings".to_owned())?;
        let mut change = Change::default();
        self.write(&mut change, tooth, &before, &after)?;
        match cut {
            Cut::Deepen(by, false) => self.lower(&mut change, tooth, &sides, by),
            Cut::BuildUp(by) => {
                let unit = Place::Unit(tooth);
                if let Some(room) = self.number(&CLEARANCE, unit) {
                    let room = (room - by).max(0.0);
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

    fn write(
        &self,
        change: &mut Change,
        tooth: Tooth,
        before: &Preparation,
        after: &Preparation,
    ) -> Result<(), String> {
        let unit = Place::Unit(tooth);
        let mm = |number: f64| Value::Number(rounded(number), Unit::Mm);
        let shape = before.walls != after.walls;
        let lowest = after
            .walls
            .iter()
            .map(|w| w.margin)
            .fold(f64::MAX, f64::min);
        let stepped = after.walls.iter().any(|wall| wall.margin - lowest > 1e-9);
        for side in prep::Side::ALL {
            let at = Place::Wall(tooth, from_prep(side));
            let (old, wall) = (before.wall(side), after.wall(side));
            if shape {
                if wall.taper < 0.0 {
                    return Err("an undercut comes first".to_owned());
                }
                change.set(&WALL_HEIGHT, at, mm(wall.height));
                change.set(
                    &WALL_TAPER,
                    at,
                    Value::Number(rounded(wall.taper), Unit::Deg),
                );
                if stepped {
                    change.set(&MARGIN_STEP, at, mm(wall.margin - lowest));
                }
            }
            if let (Some(straight), true) = (wall.straight, old.straight != wall.straight) {
                change.set(&WALL_FORM, at, Value::Choice("dished-top".to_owned()));
                change.set(&WALL_STRAIGHT, at, mm(straight));
            }
            if old.depth != wall.depth {
                change.set(&MARGIN_DEPTH, at, mm(wall.depth.min(3.0)));
                if self.choice(&FORM_USED, at) == Some("feather") {
                    change.set(&MARGIN_FORM, at, Value::Choice("chamfer".to_owned()));
                }
            }
        }
        if shape {
            let mean = after.walls.iter().map(|wall| wall.height).sum::<f64>() / 4.0;
            change.set(&HEIGHT, unit, mm(mean));
            change.set(&MARGIN_MD, unit, mm(after.mesiodistal));
            change.set(&MARGIN_FL, unit, mm(after.faciolingual));
            let across = [
                (&TOP_MD, [prep::Side::Mesial, prep::Side::Distal]),
                (&TOP_FL, [prep::Side::Facial, prep::Side::Lingual]),
            ];
            for (fact, pair) in across {
                change.set(fact, unit, mm(after.top_width(pair).max(0.5)));
            }
            if stepped {
                change.set(&UNEVEN, unit, Value::Choice("margin-steps".to_owned()));
            }
        }
        if before.grooves != after.grooves {
            let has = |side| after.grooves.iter().any(|groove| groove.side == side);
            let proximal = has(prep::Side::Mesial) && has(prep::Side::Distal);
            let across = has(prep::Side::Facial) && has(prep::Side::Lingual);
            let choice = match (proximal, across) {
                (true, true) => "all",
                (true, false) => "proximal",
                (false, _) => "facial-lingual",
            };
            change.set(&GROOVES, unit, Value::Choice(choice.to_owned()));
        }
        Ok(())
    }

    /// A finish line that goes down goes under the gum and towards the bone.
    fn lower(&self, change: &mut Change, tooth: Tooth, sides: &[prep::Side], by: f64) {
        for side in sides {
            let at = Place::Wall(tooth, from_prep(*side));
            let now = match self.choice(&GUM_USED, at) {
                Some("at") if by <= 1.0 => "under-1",
                Some("at" | "under-1" | "deeper") => "deeper",
                // How far above it was is not known.
                _ => continue,
            };
            change.set(&MARGIN_GUM, at, Value::Choice(now.to_owned()));
        }
        let unit = Place::Unit(tooth);
        if let Some(bone) = self.number(&BONE_LEVEL, unit) {
            let left = (bone - by).max(0.0);
            change.set(&BONE_LEVEL, unit, Value::Number(rounded(left), Unit::Mm));
        }
    }

    /// Makes a connector higher, or all connectors of a restoration that are drawn, each as far as its space allows.
    pub(super) fn enlarge(&self, at: Place, by: f64) -> Result<Change, String> {
        if matches!(at, Place::Connector(..)) {
            return self.enlarge_one(at, by);
        }
        let mut change = Change::default();
        for at in self.facts.units().within(at, PlaceKind::Connector) {
            let free = match (
                self.number(&CONNECTOR_HEIGHT, at),
                self.number(&ROOM_HEIGHT, at),
            ) {
                (Some(height), Some(room)) => room - height,
                _ => by,
            };
            if let Ok(one) = self.enlarge_one(at, by.min(free.max(0.0))) {
                change.add(one);
            }
        }
        if change.values.is_empty() {
            return Err("no connector is drawn yet".to_owned());
        }
        Ok(change)
    }

    fn enlarge_one(&self, at: Place, by: f64) -> Result<Change, String> {
        let height = self
            .number(&CONNECTOR_HEIGHT, at)
            .ok_or("the connector is not drawn yet")?
            + by;
        if let Some(room) = self.number(&ROOM_HEIGHT, at)
            && height > room + 1e-9
        {
            return Err("there is no more space between gum and edge".to_owned());
        }
        let mut change = Change::default();
        change.set(
            &CONNECTOR_HEIGHT,
            at,
            Value::Number(rounded(height), Unit::Mm),
        );
        Ok(change)
    }

    /// Makes more room over a stump.
    pub(super) fn ease(&self, at: Place, by: f64) -> Result<Change, String> {
        let room = self.number(&CLEARANCE, at).ok_or("the room is not read")?;
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
                    return Err("a pontic cannot stand alone".to_owned());
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

    /// Takes the next tooth in, with a stump at the published least and nothing wrong with it.
    pub(super) fn take_in(&self, id: u8, tooth: Tooth) -> Result<Change, String> {
        let mut list = self.facts.units().restorations().to_vec();
        let restoration = list
            .iter_mut()
            .find(|restoration| restoration.id == id)
            .ok_or("the restoration is gone")?;
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
        let unit = Place::Unit(tooth);
        let height = minimum_height(tooth);
        let depth = self
            .material(Place::Restoration(id))
            .map_or(0.5, |material| material.margin_depth);
        let size = size(tooth);
        let lean = 2.0 * height * MINIMUM_TAPER.to_radians().tan();
        let mm = |number: f64| Value::Number(rounded(number), Unit::Mm);
        change.set(&HEIGHT, unit, mm(height));
        change.set(&TOOTH_WIDTH, unit, mm(depth));
        for (base, top, neck) in [
            (&MARGIN_MD, &TOP_MD, size.mesiodistal_cervix),
            (&MARGIN_FL, &TOP_FL, size.faciolingual_cervix),
        ] {
            let base_width = neck - 2.0 * depth;
            change.set(base, unit, mm(base_width));
            change.set(top, unit, mm((base_width - lean).max(0.5)));
        }
        Ok(change)
    }
}
