//! The yardstick of a restoration, and what is kept of it so that the next time only what changed is computed.

use rayon::prelude::*;

use super::detail::{ComesOff, Detail};
use super::loads::{Situation, Stands, least_height, on};
use super::prep::{least_prep, root};
use crate::derive::{Precision, Results};
use crate::fact::Side;
use crate::flow::Figures;
use crate::mechanics::dislodgement::grip::{MESH, Retainer, Shared};
use crate::mechanics::dislodgement::{LimitOutcome, Limits, Load, Settings};
use crate::mechanics::frame::{Abutment, Frame};
use crate::phrase::faults::reasons;
use crate::tooth::Tooth;

/// What a restoration was computed from, and what came of it.
#[derive(Clone, Debug)]
pub(in crate::derive) struct Kept {
    restoration: u8,
    precision: Precision,
    preps: Vec<(Tooth, Retainer)>,
    loads: Vec<KeptLoad>,
    yardstick: Result<Yardstick, String>,
    /// By retainer and load; empty where something could not be computed.
    borne: Vec<Vec<Borne>>,
    /// The grip of each retainer, or why there is none.
    pub(super) grips: Result<Vec<Grips>, String>,
}

/// What came of a restoration.
pub(super) struct Came {
    pub(super) yardstick: Result<Yardstick, String>,
    /// By retainer and load; empty where something could not be computed.
    pub(super) borne: Vec<Vec<Borne>>,
    pub(super) grips: Result<Vec<Grips>, String>,
}

/// What a retainer bears under one load of the restoration.
#[derive(Clone, Copy, Debug)]
pub(super) struct Borne {
    /// The force of the load that is held at least, in N per MPa, proven.
    pub(super) lambda: f64,
    /// The force that is held at most.
    pub(super) upper: f64,
    /// The gap between both, relative.
    pub(super) gap: f64,
    /// How this retainer would come off.
    pub(super) motion: Option<ComesOff>,
    /// The part of the bound that crushing carries.
    pub(super) pressing_share: f64,
}

#[derive(Clone, Debug)]
struct KeptLoad {
    id: String,
    unit: Tooth,
    toward: Option<Side>,
    judged: bool,
    load: Load,
    stands: Stands,
}

/// The grip of a retainer: `grip = prep * plan`.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Grips {
    /// Demand of the least single crown on this tooth over the demand here.
    pub(super) grip: f64,
    /// This restoration on least preps over this restoration as it is.
    pub(super) prep: f64,
    /// The least single crown over this restoration on least preps; 1 for a single crown.
    pub(super) plan: f64,
}

/// Two grips nearer than this, relative, are a tie: only rounding tells them apart.
const TIE: f64 = 1e-3;

/// Returns the retainer with the least grip, of a tie the first.
pub(super) fn weakest(grips: &[Grips]) -> Option<(usize, Grips)> {
    let mut least: Option<(usize, Grips)> = None;
    for (index, own) in grips.iter().enumerate() {
        if least.is_none_or(|(_, known)| own.grip < known.grip * (1.0 - TIE)) {
            least = Some((index, *own));
        }
    }
    least
}

/// What the yardstick rests on: nothing of the preps themselves.
#[derive(Clone, PartialEq, Debug)]
struct Key {
    limits: Limits,
    figures: Figures,
    retainers: Vec<(Tooth, Frame)>,
    /// The loads of the restoration on least preps, and whether each is judged.
    loads: Vec<(bool, Load)>,
    /// For each retainer and load, those of the least single crown.
    references: Vec<Vec<Vec<Load>>>,
}

impl Key {
    fn of(
        figures: &Figures,
        preps: &[(Tooth, Retainer)],
        cases: &[Situation<'_>],
        limits: Limits,
    ) -> Key {
        let single = |tooth: Tooth, case: &Situation<'_>| {
            let height = least_height(figures, case.against, tooth);
            let all = on(case.against, tooth, &Frame::IDENTITY, height);
            // The least prep is the same from both sides.
            let again = |toward: &Option<Side>| {
                let other = toward.map(Side::opposite);
                matches!(toward, Some(Side::Distal | Side::Lingual))
                    && all.iter().any(|(side, _)| *side == other)
            };
            all.iter()
                .filter(|(toward, _)| !again(toward))
                .map(|(_, load)| *load)
                .collect()
        };
        Key {
            limits,
            figures: figures.clone(),
            retainers: preps
                .iter()
                .map(|(tooth, own)| (*tooth, own.abutment.frame))
                .collect(),
            loads: cases
                .iter()
                .map(|case| (case.definition.judged, case.at_least))
                .collect(),
            references: preps
                .iter()
                .map(|(tooth, _)| cases.iter().map(|case| single(*tooth, case)).collect())
                .collect(),
        }
    }
}

/// The least single crown of each retainer's tooth, and this restoration on least preps against it.
#[derive(Clone, Debug)]
pub(super) struct Yardstick {
    key: Key,
    /// By retainer and load: the demand of the least single crown, in MPa.
    references: Vec<Vec<f64>>,
    /// By retainer: what is the plan's.
    plans: Vec<f64>,
}

impl Yardstick {
    /// Returns the demands of the least single crown of a tooth, where they were found under these loads: they do not depend on
    /// where the tooth stands.
    fn singles(&self, tooth: Tooth, key: &Key, loads: &[Vec<Load>]) -> Option<&[f64]> {
        let retainers = self.key.retainers.iter().zip(&self.key.references);
        let mut all = retainers.zip(&self.references);
        let (_, own) = all.find(|(((own, _), known), _)| *own == tooth && *known == loads)?;
        (self.key.limits == key.limits && self.key.figures == key.figures).then_some(own.as_slice())
    }

    /// Returns the demand of the least single crown of a retainer under a load of its kind, in MPa.
    pub(super) fn reference(&self, retainer: usize, load: usize) -> Option<f64> {
        self.references.get(retainer)?.get(load).copied()
    }

    /// Returns the grip of each retainer with its parts, from the least ratio that was found for each.
    pub(super) fn grips(&self, least: &[Option<f64>]) -> Result<Vec<Grips>, String> {
        least
            .iter()
            .zip(&self.plans)
            .map(|(grip, plan)| {
                let grip = grip.ok_or(reasons::NO_LOAD_JUDGED)?;
                Ok(Grips {
                    grip,
                    prep: grip / plan,
                    plan: *plan,
                })
            })
            .collect()
    }
}

/// Returns the demands of the least single crown of a tooth under each kind of load, in MPa.
fn singles(key: &Key, tooth: Tooth, loads: &[Vec<Load>]) -> Result<Vec<f64>, String> {
    let alone = [crown(&key.figures, tooth, Frame::IDENTITY)];
    let shared = Shared::new(&alone, MESH, key.limits).map_err(|error| error.to_string())?;
    let mut found: Vec<f64> = Vec::with_capacity(loads.len());
    for (index, own) in loads.iter().enumerate() {
        // Most loads of a restoration are compared with the same one.
        let same = loads.iter().take(index).position(|known| known == own);
        let known = same.and_then(|same| found.get(same).copied());
        found.push(match known {
            Some(known) => known,
            None => most(&shared, own)?,
        });
    }
    Ok(found)
}

/// The least prep of a tooth, on its root.
fn crown(figures: &Figures, tooth: Tooth, frame: Frame) -> Retainer {
    Retainer {
        abutment: Abutment {
            frame,
            preparation: least_prep(figures, tooth),
        },
        root: root(figures, tooth),
    }
}

/// Works the yardstick out, or takes what was kept of it where nothing changed that it rests on.
pub(super) fn yardstick(
    figures: &Figures,
    before: Option<&Kept>,
    preps: &[(Tooth, Retainer)],
    cases: &[Situation<'_>],
    limits: Limits,
) -> Result<Yardstick, String> {
    let key = Key::of(figures, preps, cases, limits);
    let known = before.and_then(|kept| kept.yardstick.as_ref().ok());
    if let Some(known) = known.filter(|known| known.key == key) {
        return Ok(known.clone());
    }
    let references: Vec<Result<Vec<f64>, String>> = preps
        .par_iter()
        .zip(&key.references)
        .map(|((tooth, _), loads)| {
            let handed_over = known.and_then(|known| known.singles(*tooth, &key, loads));
            handed_over.map_or_else(|| singles(&key, *tooth, loads), |own| Ok(own.to_vec()))
        })
        .collect();
    let references = references.into_iter().collect::<Result<Vec<_>, _>>()?;
    let mut plans = vec![1.0; preps.len()];
    let is_single = preps.len() == 1
        && cases
            .iter()
            .all(|case| preps.iter().any(|(tooth, _)| *tooth == case.unit));
    if !is_single {
        let retainers: Vec<Retainer> = key
            .retainers
            .iter()
            .map(|(tooth, frame)| crown(figures, *tooth, *frame))
            .collect();
        let shared = Shared::new(&retainers, MESH, limits).map_err(|error| error.to_string())?;
        let found: Vec<Result<f64, String>> = (0..preps.len())
            .into_par_iter()
            .map(|retainer| least_ratio(&shared, retainer, &key.loads, &references))
            .collect();
        plans = found.into_iter().collect::<Result<_, _>>()?;
    }
    Ok(Yardstick {
        key,
        references,
        plans,
    })
}

/// Returns the least ratio of a retainer over the loads that are judged.
fn least_ratio(
    shared: &Shared,
    retainer: usize,
    loads: &[(bool, Load)],
    references: &[Vec<f64>],
) -> Result<f64, String> {
    let reference = |index: usize| references.get(retainer)?.get(index).copied();
    let judged = loads.iter().enumerate().filter(|(_, (judged, _))| *judged);
    let weighed = judged.filter_map(|(index, (_, load))| Some((load, reference(index)?)));
    least_of(shared, retainer, weighed)
}

/// Returns the largest demand of a single crown under some loads, in MPa.
fn most(single: &Shared, loads: &[Load]) -> Result<f64, String> {
    let weighed = loads.iter().map(|load| (load, 1.0));
    Ok(least_of(single, 0, weighed)?.recip())
}

/// Returns the least of weight over demand, proven to the finer gap: the loads first that are likely the hardest, all others
/// only as far as it takes to prove that they are not.
pub(super) fn least_of<'a>(
    shared: &Shared,
    retainer: usize,
    loads: impl Iterator<Item = (&'a Load, f64)>,
) -> Result<f64, String> {
    let mut order: Vec<(&Load, f64)> = loads
        .map(|(load, weight)| (load, weight / load.force))
        .collect();
    order.sort_by_cached_key(|(load, one)| {
        let rough = shared.rough(retainer, load);
        rough.map_or(u64::MAX, |rough| (rough * one).to_bits())
    });
    let mut found = Vec::with_capacity(order.len());
    let mut most = f64::INFINITY;
    for (load, one) in order {
        match shared.demand(retainer, load, Settings::QUICK.until(most / one)) {
            LimitOutcome::Certified(own) => {
                most = most.min(own.upper * one);
                found.push((load, one, own.lambda * one));
            }
            LimitOutcome::NotComputed(reason) => return Err(reason.to_string()),
        }
    }
    let mut least = f64::INFINITY;
    for (load, one, low) in found.into_iter().filter(|own| own.2 <= most) {
        let own = match shared.demand(retainer, load, Settings::EXACT) {
            LimitOutcome::Certified(own) => one * own.lambda,
            LimitOutcome::NotComputed(_) => low,
        };
        least = least.min(own);
    }
    Ok(least)
}

impl KeptLoad {
    /// Returns whether it is the same load case on the same unit, wherever it acts now.
    fn is_of(&self, id: &str, unit: Tooth, toward: Option<Side>) -> bool {
        self.id == id && self.unit == unit && self.toward == toward
    }

    fn is_same(&self, case: &Situation<'_>) -> bool {
        self.is_of(&case.definition.id, case.unit, case.toward)
            && self.judged == case.definition.judged
            && self.load == case.load
    }
}

impl Kept {
    pub(super) fn new(
        restoration: u8,
        precision: Precision,
        preps: &[(Tooth, Retainer)],
        cases: &[Situation<'_>],
        came: Came,
    ) -> Kept {
        let load = |case: &Situation<'_>| KeptLoad {
            id: case.definition.id.clone(),
            unit: case.unit,
            toward: case.toward,
            judged: case.definition.judged,
            load: case.load,
            stands: case.stands,
        };
        Kept {
            restoration,
            precision,
            preps: preps.to_vec(),
            loads: cases.iter().map(load).collect(),
            yardstick: came.yardstick,
            borne: came.borne,
            grips: came.grips,
        }
    }

    /// Returns what was found for a retainer, where neither its prep changed nor its share of any load: the share depends on
    /// all axes and roots, and on no other prep.
    pub(super) fn borne(
        &self,
        retainer: usize,
        precision: Precision,
        preps: &[(Tooth, Retainer)],
        cases: &[Situation<'_>],
    ) -> Option<&[Borne]> {
        let stands = |(tooth, own): &(Tooth, Retainer)| (*tooth, own.abutment.frame, own.root);
        let same = self.serves(precision)
            && self.preps.get(retainer) == preps.get(retainer)
            && self.preps.iter().map(stands).eq(preps.iter().map(stands))
            && self.loads.len() == cases.len()
            && self
                .loads
                .iter()
                .zip(cases)
                .all(|(load, case)| load.is_same(case));
        let own = self.borne.get(retainer).filter(|_| same)?;
        Some(own.as_slice())
    }

    /// Returns whether the restoration is this one.
    pub(in crate::derive) fn is_of(&self, restoration: u8) -> bool {
        self.restoration == restoration
    }

    /// Returns a load as the case was received with it, and where it stood on the preps.
    pub(super) fn load(
        &self,
        id: &str,
        unit: Tooth,
        toward: Option<Side>,
    ) -> Option<(Load, Stands)> {
        let own = self
            .loads
            .iter()
            .find(|load| load.is_of(id, unit, toward))?;
        Some((own.load, own.stands))
    }

    fn serves(&self, precision: Precision) -> bool {
        self.precision >= precision
    }
}

/// Returns what was kept where nothing changed that it was computed from.
pub(super) fn again(
    figures: &Figures,
    before: &Results,
    restoration: u8,
    precision: Precision,
    preps: &[(Tooth, Retainer)],
    cases: &[Situation<'_>],
) -> Option<(Kept, Detail)> {
    let kept = before.kept_of(restoration)?;
    let known = kept.yardstick.as_ref().ok()?;
    let same = kept.serves(precision)
        && kept.preps == preps
        && kept.loads.len() == cases.len()
        && kept
            .loads
            .iter()
            .zip(cases)
            .all(|(load, case)| load.is_same(case))
        && known.key == Key::of(figures, preps, cases, known.key.limits);
    let detail = before
        .details
        .iter()
        .find(|detail| detail.restoration == restoration)
        .filter(|_| same)?;
    let mut detail = detail.clone();
    detail.grip_range = detail.grip_range.filter(|_| precision == Precision::Exact);
    Some((kept.clone(), detail))
}
