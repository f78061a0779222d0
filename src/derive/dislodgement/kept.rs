//! What is kept of a restoration, so that the next time only what changed is worked out, from where it stood.

use super::detail::Detail;
use super::loads::Case;
use super::rate;
use crate::derive::{Precision, Results};
use crate::fact::Side;
use crate::mechanics::dislodgement::grip::{Compared, Graded, GradedLoad, LoadGrip, MESH, Starts};
use crate::mechanics::dislodgement::{Limits, Load, Settings};
use crate::tooth::Tooth;

/// What a restoration was worked out from, and the states it was left in.
#[derive(Clone, Debug)]
pub(in crate::derive) struct Kept {
    restoration: u8,
    precision: Precision,
    stumps: Vec<(Tooth, Graded)>,
    loads: Vec<KeptLoad>,
    /// Each retainer by itself; empty where there is one only.
    pub(super) alone: Vec<Alone>,
}

#[derive(Clone, Debug)]
struct KeptLoad {
    id: String,
    unit: Tooth,
    toward: Option<Side>,
    judged: bool,
    load: Load,
    starts: Starts,
}

/// A retainer by itself, under the judged loads on its own unit.
#[derive(Clone, Debug)]
pub(super) struct Alone {
    tooth: Tooth,
    /// Its least grip, or why there is none.
    pub(super) grip: Result<f64, String>,
    starts: Vec<Starts>,
}

impl KeptLoad {
    /// Says whether it is the same load case on the same unit, wherever it acts now.
    fn is_of(&self, case: &Case<'_>) -> bool {
        self.id == case.definition.id && self.unit == case.unit && self.toward == case.toward
    }

    fn is_same(&self, case: &Case<'_>) -> bool {
        self.is_of(case) && self.judged == case.definition.judged && self.load == case.load
    }
}

impl Kept {
    pub(super) fn new(
        restoration: u8,
        precision: Precision,
        stumps: &[(Tooth, Graded)],
        cases: &[Case<'_>],
        starts: Vec<Starts>,
        alone: Vec<Alone>,
    ) -> Kept {
        let load = |(case, starts): (&Case<'_>, Starts)| KeptLoad {
            id: case.definition.id.clone(),
            unit: case.unit,
            toward: case.toward,
            judged: case.definition.judged,
            load: case.load,
            starts,
        };
        Kept {
            restoration,
            precision,
            stumps: stumps.to_vec(),
            loads: cases.iter().zip(starts).map(load).collect(),
            alone,
        }
    }

    /// Says whether the restoration is this one.
    pub(in crate::derive) fn is_of(&self, restoration: u8) -> bool {
        self.restoration == restoration
    }

    fn serves(&self, precision: Precision) -> bool {
        self.precision == precision || self.precision == Precision::Exact
    }

    fn has_stumps(&self, stumps: &[(Tooth, Graded)]) -> bool {
        self.stumps
            .iter()
            .map(|(tooth, _)| tooth)
            .eq(stumps.iter().map(|(tooth, _)| tooth))
    }
}

/// Returns what was kept where nothing changed that it was worked out from.
pub(super) fn again(
    before: &Results,
    restoration: u8,
    precision: Precision,
    stumps: &[(Tooth, Graded)],
    cases: &[Case<'_>],
) -> Option<(Kept, Detail)> {
    let kept = before.kept_of(restoration)?;
    let same = kept.serves(precision)
        && kept.stumps == stumps
        && kept.loads.len() == cases.len()
        && kept
            .loads
            .iter()
            .zip(cases)
            .all(|(load, case)| load.is_same(case));
    let detail = before
        .details
        .iter()
        .find(|detail| detail.restoration == restoration)
        .filter(|_| same)?;
    let mut detail = detail.clone();
    detail.grip_range = detail.grip_range.filter(|_| precision == Precision::Exact);
    Some((kept.clone(), detail))
}

/// Returns where to start each load: from what was kept of the same load on the same stumps, else anew.
pub(super) fn starts(
    before: Option<&Kept>,
    stumps: &[(Tooth, Graded)],
    cases: &[Case<'_>],
) -> Vec<Starts> {
    let before = before.filter(|kept| kept.has_stumps(stumps));
    let of = |case: &Case<'_>| {
        let load = before?.loads.iter().find(|load| load.is_of(case))?;
        Some(load.starts)
    };
    cases
        .iter()
        .map(|case| of(case).unwrap_or_default())
        .collect()
}

/// Works each retainer out by itself; one that did not change is taken from what was kept.
pub(super) fn alone(
    before: Option<&Kept>,
    stumps: &[(Tooth, Graded)],
    cases: &[Case<'_>],
) -> Vec<Alone> {
    if stumps.len() < 2 {
        return Vec::new();
    }
    let one = |(tooth, graded): &(Tooth, Graded)| {
        let own: Vec<&Case<'_>> = cases
            .iter()
            .filter(|case| case.unit == *tooth && case.definition.judged)
            .collect();
        let known = before.and_then(|kept| kept.alone.iter().find(|alone| alone.tooth == *tooth));
        if let (Some(kept), Some(known)) = (before, known) {
            let same = kept.stumps.iter().any(|(t, g)| t == tooth && g == graded)
                && own
                    .iter()
                    .all(|case| kept.loads.iter().any(|load| load.is_same(case)))
                && own.len() == known.starts.len();
            if same {
                return known.clone();
            }
        }
        let starts = known.map_or(&[][..], |known| &known.starts);
        let (grip, starts) =
            match Compared::new(std::slice::from_ref(graded), MESH, Limits::default()) {
                Ok(compared) => {
                    let loads: Vec<Load> = own.iter().map(|case| case.load).collect();
                    least(&compared, &loads, starts, Settings::EXACT)
                }
                Err(error) => (Err(error.to_string()), Vec::new()),
            };
        Alone {
            tooth: *tooth,
            grip,
            starts,
        }
    };
    stumps.iter().map(one).collect()
}

/// Returns the least grip under some loads, and where to start each after a small change.
pub(super) fn least(
    compared: &Compared,
    loads: &[Load],
    from: &[Starts],
    settings: Settings,
) -> (Result<f64, String>, Vec<Starts>) {
    let mut least: Result<f64, String> = Err("no load pulls at it".to_owned());
    let mut starts = Vec::with_capacity(loads.len());
    for (index, load) in loads.iter().enumerate() {
        let from = from.get(index).copied().unwrap_or_default();
        let (found, next) = rate(compared, &GradedLoad::same(*load), from, settings);
        starts.push(next);
        match found {
            LoadGrip::Rated { grip, .. } => {
                least = Ok(least.map_or(grip, |known| known.min(grip)));
            }
            LoadGrip::PressesHome => {}
            LoadGrip::NotComputed(reason) => return (Err(reason.to_string()), Vec::new()),
        }
    }
    (least, starts)
}
