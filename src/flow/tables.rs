//! The tables of a flow: sources, facts of its own, instruments, load cases, materials, cements.

use serde::{Deserialize, Serialize};

use super::check::{Checker, LONGEST_LINE, LONGEST_NAME};
use super::materials::{Breaks, Cement, Connectors, Material, MaterialId};
use super::model::{Citation, Load};
use super::shape::{
    CementShape, ConnectorsShape, FactKindShape, FactShape, InstrumentShape, LoadShape,
    MaterialShape, SourceShape,
};
use crate::fact::{CATALOGUE, FactSpec, Kind, Origin, PlaceKind, Side, Unit, Value};
use crate::logic::Condition;
use crate::phrase::faults::Fault;
use crate::phrase::faults::flow::{Sort, tables as faults};
use crate::ronfile::Spanned;

/// An instrument.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Instrument {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The finest step it can be read to.
    pub step: f64,
    /// The unit it reads.
    pub unit: Unit,
    /// Whether it reads a scan, so that it is the usual one where a scan came in.
    pub of_scan: bool,
    /// The id of its source.
    pub source: String,
}

/// The bounds of the minimum connector of a material, in mm². Ours.
const AREA: [f64; 2] = [2.0, 60.0];
/// The bounds of a force of a load, in N: jaws close with some hundreds. Ours.
const FORCE: [f64; 2] = [1.0, 5000.0];
/// The largest angle of a load to the tooth's axis, in degrees.
const STEEPEST: f64 = 180.0;

impl Checker<'_> {
    pub(super) fn citation(&mut self, shape: SourceShape) {
        self.own_id(Sort::Source, &shape.id);
        let text = self.fits_line(&shape.text, 2 * LONGEST_LINE);
        self.flow.sources.push(Citation {
            id: shape.id.value,
            text,
            status: shape.status,
        });
    }

    pub(super) fn own_fact(&mut self, shape: FactShape) {
        self.own_id(Sort::Fact, &shape.id);
        let problem = if shape.id.value.starts_with("x.") {
            None
        } else {
            Some((shape.id.span(self.source()), faults::own_fact_name()))
        };
        let (kind, kind_problem) = match &shape.kind.value {
            FactKindShape::YesNo => (Kind::YesNo, None),
            FactKindShape::Day => (Kind::Day, None),
            FactKindShape::Text => (Kind::Text, None),
            FactKindShape::Choice(choices) if (2..=9).contains(&choices.len()) => {
                let choices = choices
                    .iter()
                    .map(|(id, words)| (id.clone().into(), words.clone().into()));
                (Kind::Choice(choices.collect()), None)
            }
            FactKindShape::Choice(_) => (Kind::YesNo, Some(faults::own_fact_choices())),
            FactKindShape::Number(Value::Number(least, unit), Value::Number(most, other))
                if unit == other
                    && least.is_finite()
                    && most.is_finite()
                    && 0.0 <= *least
                    && least < most =>
            {
                (
                    Kind::Number {
                        unit: *unit,
                        least: *least,
                        most: *most,
                    },
                    None,
                )
            }
            FactKindShape::Number(..) => (Kind::YesNo, Some(faults::own_fact_bounds())),
        };
        let kind_problem = kind_problem.map(|fault| (shape.kind.span(self.source()), fault));
        for (span, fault) in problem.into_iter().chain(kind_problem) {
            self.error("flow-fact-kind", span, fault);
        }
        let label = self.fits_line(&shape.label, LONGEST_NAME);
        let sentence = self.fits_line(&shape.sentence, LONGEST_LINE);
        self.flow.facts.push(FactSpec {
            id: shape.id.value.into(),
            at: shape.at,
            origin: Origin::Asked,
            kind,
            label: label.into(),
            sentence: sentence.into(),
        });
    }

    pub(super) fn instrument(&mut self, shape: InstrumentShape) {
        self.own_id(Sort::Instrument, &shape.id);
        let name = self.fits_line(&shape.name, LONGEST_NAME);
        let source = self.refers_source(&shape.source);
        let unit = match shape.step.value {
            Value::Number(_, unit) => unit,
            _ => Unit::Mm,
        };
        let step = self.number(&shape.step, unit);
        // Older flows do not say which of them read a scan.
        let usual = ["scan", "scan-section"].contains(&shape.id.value.as_str());
        self.flow.instruments.push(Instrument {
            of_scan: shape.of_scan.unwrap_or(usual),
            id: shape.id.value,
            name,
            step,
            unit,
            source,
        });
    }

    pub(super) fn load(&mut self, shape: LoadShape) {
        self.own_id(Sort::Load, &shape.id);
        let name = self.fits_line(&shape.name, LONGEST_NAME);
        let source = self.refers_source(&shape.source);
        if !matches!(
            shape.at.value,
            PlaceKind::Unit | PlaceKind::Abutment | PlaceKind::Pontic
        ) {
            let span = shape.at.span(self.source());
            self.error("flow-place-kind", span, faults::load_place());
        }
        let when = match &shape.when {
            None => Some(Condition::All(Vec::new())),
            Some(when) => self.condition(when, shape.at.value),
        };
        let sides: Vec<String> = Side::ALL
            .iter()
            .map(|side| side.as_str().to_owned())
            .collect();
        let mut toward = Vec::new();
        for side in &shape.toward {
            let name = self.refers(Sort::Side, side, sides.clone());
            toward.extend(Side::ALL.into_iter().find(|known| known.as_str() == name));
        }
        let before: Vec<String> = self.flow.loads.iter().map(|own| own.id.clone()).collect();
        let against = shape
            .against
            .as_ref()
            .map(|own| self.refers(Sort::EarlierLoad, own, before));
        let force = &shape.force;
        let force = [&force.incisor, &force.canine, &force.premolar, &force.molar]
            .map(|f| self.number(f, Unit::Newton));
        let [least, most] = FORCE;
        if force.iter().any(|force| !(least..=most).contains(force)) {
            let span = shape.id.span(self.source());
            self.error("flow-not-finite", span, faults::load_force(least, most));
        }
        let load = Load {
            name,
            at: shape.at.value,
            when: when.unwrap_or(Condition::Any(Vec::new())),
            out: self.number(&shape.out, Unit::Ratio),
            above: self.number(&shape.above, Unit::Mm),
            angle: self.number(&shape.angle, Unit::Deg),
            toward,
            force,
            judged: shape.judged,
            against,
            source,
            id: shape.id.value,
        };
        for (value, most) in [(&shape.out, 2.0), (&shape.above, 10.0)] {
            if !(0.0..=most).contains(&value.value.number().unwrap_or_default()) {
                let span = value.span(self.source());
                self.error("flow-bounds", span, faults::load_off_tooth(most));
            }
        }
        if shape.toward.is_empty() {
            let span = shape.at.span(self.source());
            self.error("flow-bounds", span, faults::load_without_side());
        }
        if load.angle > STEEPEST {
            let span = shape.angle.span(self.source());
            self.error("flow-bounds", span, faults::load_angle(STEEPEST));
        }
        self.flow.loads.push(load);
    }

    pub(super) fn material(&mut self, shape: MaterialShape) {
        self.own_id(Sort::Material, &shape.id);
        let forms = CATALOGUE
            .iter()
            .find(|spec| spec.id == "wall.margin_form")
            .map(|spec| &spec.kind);
        let forms: Vec<String> = match forms {
            Some(Kind::Choice(choices)) => choices.iter().map(|(id, _)| id.to_string()).collect(),
            _ => Vec::new(),
        };
        if shape.margins.is_empty() || shape.most_units.value == 0 {
            let span = shape.id.span(self.source());
            self.error("flow-bounds", span, faults::material_empty());
        }
        let by_units = [
            &shape.connector_front,
            &shape.connector_back,
            &shape.connector_long,
        ]
        .iter()
        .any(|least| least.is_some());
        let area = |own: &mut Self, value: Option<Spanned<Value>>| {
            value.map(|value| own.within(&value, Unit::Mm2, AREA))
        };
        let material = Material {
            name: self.fits_line(&shape.name, LONGEST_NAME),
            strength: shape
                .strength
                .map(|strength| self.within(&strength, Unit::Mpa, [50.0, 2000.0])),
            occlusal: self.within(&shape.occlusal, Unit::Mm, [0.2, 4.0]),
            axial: self.within(&shape.axial, Unit::Mm, [0.1, 3.0]),
            margin_depth: self.within(&shape.margin_depth, Unit::Mm, [0.1, 2.5]),
            margins: shape
                .margins
                .iter()
                .map(|form| self.refers(Sort::MarginForm, form, forms.clone()))
                .collect(),
            connectors: shape
                .connectors
                .as_ref()
                .map(|connectors| self.connectors(connectors, by_units)),
            connector_front: area(self, shape.connector_front),
            connector_back: area(self, shape.connector_back),
            connector_long: area(self, shape.connector_long),
            most_units: shape.most_units.value,
            takes_molar: shape.takes_molar,
            cantilever: shape.cantilever,
            breaks: shape.breaks.map(|breaks| Breaks {
                sharp: self.number(&breaks.sharp, Unit::Mpa),
                rounded: self.number(&breaks.rounded, Unit::Mpa),
                source: self.refers_source(&breaks.source),
            }),
            temporary: shape.temporary,
            source: self.refers_source(&shape.source),
            id: MaterialId::new(shape.id.value),
        };
        self.flow.materials.push(material);
    }

    /// Least connectors by span. More pontics never need less, and a material gives its least in one way only.
    fn connectors(&mut self, shape: &Spanned<ConnectorsShape>, by_units: bool) -> Connectors {
        let connectors = &shape.value;
        let mut least = |list: &[Spanned<Value>]| -> Vec<f64> {
            list.iter()
                .map(|value| self.within(value, Unit::Mm2, AREA))
                .collect()
        };
        let (front, back) = (least(&connectors.front), least(&connectors.back));
        let rises = |list: &[f64]| !list.is_empty() && list.is_sorted();
        let problem: Option<Fault> = if by_units {
            Some(faults::connectors_twice())
        } else if !rises(&front) || !rises(&back) {
            Some(faults::connectors_fall())
        } else {
            None
        };
        if let Some(fault) = problem {
            let span = shape.span(self.source());
            self.error("flow-connectors", span, fault);
        }
        Connectors {
            front,
            back,
            cantilever: connectors
                .cantilever
                .as_ref()
                .map(|least| self.number(least, Unit::Mm2)),
            joint_front: self.number(&connectors.joint_front, Unit::Mm2),
            joint_back: self.number(&connectors.joint_back, Unit::Mm2),
            source: self.refers_source(&connectors.source),
        }
    }

    pub(super) fn cement(&mut self, shape: CementShape) {
        self.own_id(Sort::Cement, &shape.id);
        let cement = Cement {
            name: self.fits_line(&shape.name, LONGEST_NAME),
            stress: self.within(&shape.stress, Unit::Mpa, [0.1, 100.0]),
            water_based: shape.water_based,
            dry_field: shape.dry_field,
            primer: shape.primer,
            temporary: shape.temporary,
            over: shape.over,
            source: self.refers_source(&shape.source),
            id: shape.id.value,
        };
        self.flow.cements.push(cement);
    }

    /// Reads a number of a material or cement that has to lie within what such things are at all: beyond it a decimal point or a
    /// unit slipped, and everything would be found fine, or nothing. The bounds are ours, wide apart.
    fn within(&mut self, value: &Spanned<Value>, unit: Unit, [least, most]: [f64; 2]) -> f64 {
        let number = self.number(value, unit);
        let read = value
            .value
            .number()
            .is_some_and(|own| own.is_finite() && own >= 0.0);
        if read && !(least..=most).contains(&number) {
            let span = value.span(self.source());
            self.error("flow-bounds", span, faults::unlike_any(unit, least, most));
        }
        number
    }

    pub(super) fn number(&mut self, value: &Spanned<Value>, unit: Unit) -> f64 {
        match value.value {
            Value::Number(number, given)
                if given == unit && number.is_finite() && number >= 0.0 =>
            {
                number
            }
            Value::Number(number, given) if given == unit => {
                let span = value.span(self.source());
                self.error("flow-not-finite", span, faults::not_measured(number));
                0.0
            }
            _ => {
                let span = value.span(self.source());
                self.error("flow-type", span, faults::wrong_unit(unit));
                0.0
            }
        }
    }
}
