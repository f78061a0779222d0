//! Which options are tried where, and how much of each is enough.

use rayon::prelude::*;

use super::change::{Change, Cut};
use super::once::told_once;
use super::order::Worst;
use super::{After, Amount, CaseOption, Choice, GripChange, JudgedCopy, compare, proposed, quick};
use crate::derive::Facts;
use crate::fact::{
    EFFECTIVE, FactId, ORDER_CEMENT, ORDER_MATERIAL, Place, PlaceKind, SHAPE, Side, Spot, Unit,
    Value, WALL_TAPER_USED,
};
use crate::flow::{Flow, Level, OptionId, OptionRow, Pair, Reach, RuleId, Verb};
use crate::judge::Judgement;
use crate::logic::{Condition, Truth};
use crate::phrase::faults::reasons;
use crate::tooth::Tooth;

/// Tries every option that may answer something that was found, wherever it may.
///
/// Facts and judgement are those of the case. Barred ones are returned as well, each with its reason.
pub fn case_options(flow: &Flow, facts: &Facts<'_>, judgement: &Judgement) -> Vec<CaseOption> {
    let judged = JudgedCopy {
        flow,
        facts,
        judgement,
    };
    let mut attempts: Vec<(&OptionRow, Attempt)> = Vec::new();
    for (id, option) in flow.options() {
        for at in judged.places(option) {
            let all = judged.expand(id, at).into_iter();
            attempts.extend(all.map(|attempt| (option, attempt)));
        }
    }
    let try_out = |(option, attempt): (&OptionRow, Attempt)| {
        let mut way = judged.attempt(&attempt);
        way.worst = judged.worst(option, attempt.at, way.after.as_ref());
        way
    };
    let ways = attempts.into_par_iter().map(try_out).collect();
    told_once(flow, facts.units(), ways)
}

/// Returns what comes of an option by another amount than the one that was found.
///
/// # Errors
/// Why it is barred by so much.
pub fn tried_by(
    flow: &Flow,
    facts: &Facts<'_>,
    judgement: &Judgement,
    way: &CaseOption,
    amount: Amount,
) -> Result<After, String> {
    let judged = JudgedCopy {
        flow,
        facts,
        judgement,
    };
    let option = way.of(flow).ok_or(reasons::NO_SUCH_OPTION)?;
    let attempt = Attempt::of(way);
    judged
        .tried(option, &attempt, Some(amount))
        .map(|(_, after)| after)
}

/// An option at a place, for certain walls or with a certain choice.
#[derive(Clone)]
pub(super) struct Attempt {
    pub(super) option: OptionId,
    pub(super) at: Place,
    pub(super) walls: Vec<Place>,
    pub(super) choice: Option<Choice>,
}

impl Attempt {
    /// The attempt that an option came of.
    pub(super) fn of(way: &CaseOption) -> Attempt {
        Attempt {
            option: way.option,
            at: way.at,
            walls: way.walls.clone(),
            choice: way.choice.clone(),
        }
    }
}

impl JudgedCopy<'_> {
    /// The places at which an option may answer something.
    fn places(&self, option: &OptionRow) -> Vec<Place> {
        let units = self.facts.units();
        let mut places = Vec::new();
        for finding in self.judgement.all_findings() {
            if !self.answers(option, finding.rule) {
                continue;
            }
            let near = match units.resolve(option.at, finding.at) {
                Some(at) => vec![at],
                None => units.within(finding.at, option.at),
            };
            for at in near {
                let may = || option.when.eval(self.facts, at).truth != Truth::False;
                if !places.contains(&at) && may() {
                    places.push(at);
                }
            }
        }
        places
    }

    pub(super) fn answers(&self, option: &OptionRow, rule: RuleId) -> bool {
        self.flow.rule(rule).is_some_and(|rule| {
            option
                .answers
                .iter()
                .any(|name| *name == rule.id || Some(name) == rule.topic.as_ref())
        })
    }

    /// Returns whether a finding belongs to what an option at a place answers.
    pub(super) fn concerns(
        &self,
        option: &OptionRow,
        at: Place,
        rule: RuleId,
        found: Place,
    ) -> bool {
        let units = self.facts.units();
        let contains = |outer: Place, inner: Place| match outer {
            Place::Case => true,
            Place::Restoration(id) => units.owner(inner).is_some_and(|owner| owner.id == id),
            Place::Unit(tooth) => {
                outer == inner || matches!(inner, Place::Wall(own, _) if own == tooth)
            }
            Place::Wall(..) | Place::Connector(..) => outer == inner,
        };
        self.answers(option, rule) && (contains(at, found) || contains(found, at))
    }

    fn expand(&self, id: OptionId, at: Place) -> Vec<Attempt> {
        let Some(option) = self.flow.option(id) else {
            return Vec::new();
        };
        let plain = |walls: Vec<Place>, choice| Attempt {
            option: id,
            at,
            walls,
            choice,
        };
        match &option.verb {
            Verb::Deepen { on, .. } | Verb::Straighten { on, .. } => self
                .walls(*on, at)
                .into_iter()
                .map(|walls| plain(walls, None))
                .collect(),
            Verb::Groove(pair) => {
                let sides = match pair {
                    Pair::Proximal => [Side::Mesial, Side::Distal],
                    Pair::FacialLingual => [Side::Facial, Side::Lingual],
                };
                let walls = self.facts.units().within(at, PlaceKind::Wall);
                let of_pair =
                    |wall: &Place| matches!(wall, Place::Wall(_, side) if sides.contains(side));
                vec![plain(walls.into_iter().filter(of_pair).collect(), None)]
            }
            Verb::Each(fact) => {
                let now = self.facts.value(fact, at).cloned();
                let kind = self.flow.spec(fact).map(|spec| spec.kind.clone());
                let choices = kind.map_or(Vec::new(), |kind| self.flow.choices(&kind));
                choices
                    .into_iter()
                    .map(|(id, _)| Value::Choice(id))
                    .filter(|value| Some(value) != now.as_ref())
                    .filter(|value| self.goes(fact, value, at))
                    .map(|value| plain(Vec::new(), Some(Choice::Value(fact.clone(), value))))
                    .collect()
            }
            Verb::AddAbutment => self
                .neighbours(at)
                .into_iter()
                .map(|tooth| plain(Vec::new(), Some(Choice::Tooth(tooth))))
                .collect(),
            Verb::BuildUp { .. }
            | Verb::Enlarge { .. }
            | Verb::Ease { .. }
            | Verb::SplitUp
            | Verb::Set(_)
            | Verb::Say
            | Verb::AsItIs => vec![plain(Vec::new(), None)],
        }
    }

    /// Returns whether a choice of a fact goes with what is ordered: a material with the cement, a cement with the material.
    /// Without a known material neither is put forward.
    fn goes(&self, fact: &FactId, value: &Value, at: Place) -> bool {
        let ordered = |fact: &FactId| {
            let (_, value) = self.facts.resolved(fact, at)?;
            value.choice()
        };
        match value.choice() {
            Some(cement) if *fact == ORDER_CEMENT => ordered(&ORDER_MATERIAL)
                .is_some_and(|material| self.flow.offers_cement(material, cement)),
            Some(material) if *fact == ORDER_MATERIAL => {
                ordered(&ORDER_MATERIAL).is_some_and(|now| {
                    self.flow
                        .offers_material(now, material, ordered(&ORDER_CEMENT))
                })
            }
            _ => true,
        }
    }

    /// Why an option is barred before anything is changed, if so.
    fn barred_before(&self, option: &OptionRow, attempt: &Attempt) -> Option<String> {
        let truth = |condition: &Condition, at| condition.eval(self.facts, at).truth;
        let missing = option
            .needs
            .iter()
            .find(|(need, _)| truth(need, attempt.at) != Truth::True);
        let at_a_wall = |(bar, _): &&(Condition, String)| {
            let mut walls = attempt.walls.iter();
            walls.any(|wall| truth(bar, *wall) == Truth::True)
        };
        missing
            .or_else(|| option.wall_bars.iter().find(at_a_wall))
            .map(|(_, why)| why.clone())
    }

    fn walls(&self, on: Reach, at: Place) -> Vec<Vec<Place>> {
        let units = self.facts.units();
        let of = |at| units.within(at, PlaceKind::Wall);
        match on {
            Reach::EachWall => of(at).into_iter().map(|wall| vec![wall]).collect(),
            Reach::WholeTooth => vec![of(at)],
            Reach::AllTeeth => units
                .owner(at)
                .map(|owner| of(Place::Restoration(owner.id)))
                .into_iter()
                .collect(),
            Reach::FailingWalls => {
                let failing: Vec<Place> = of(at)
                    .into_iter()
                    .filter(|wall| self.facts.value(&EFFECTIVE, *wall) == Some(&Value::No))
                    .collect();
                Some(failing)
                    .filter(|walls| !walls.is_empty())
                    .into_iter()
                    .collect()
            }
        }
    }

    /// What an attempt changes, by as much as its amount says.
    ///
    /// # Errors
    /// Why it cannot be done.
    pub(super) fn change(
        &self,
        attempt: &Attempt,
        amount: Option<Amount>,
    ) -> Result<Change, String> {
        let by = match amount {
            Some(Amount::By(by, _) | Amount::To(by, _)) => by,
            None => 0.0,
        };
        let Some(option) = self.flow.option(attempt.option) else {
            return Err(reasons::NO_SUCH_OPTION.to_owned());
        };
        if let Some(why) = self.barred_before(option, attempt) {
            return Err(why);
        }
        match &option.verb {
            Verb::Deepen { gum_goes_back, .. } => {
                self.cut_all(&attempt.walls, |_| Some(Cut::Deepen(by, *gum_goes_back)))
            }
            Verb::Straighten { .. } => self.cut_all(&attempt.walls, |wall| {
                let leans = self.number(&WALL_TAPER_USED, wall)?;
                (leans > by + 1e-9).then_some(Cut::Straighten(by))
            }),
            Verb::Groove(_) => self.cut_all(&attempt.walls, |_| Some(Cut::Groove)),
            Verb::BuildUp { .. } => match attempt.at {
                Place::Unit(tooth) => self.cut(tooth, &Side::ALL, Cut::BuildUp(by)),
                _ => Err(reasons::ONLY_PREPS_BUILT_UP.to_owned()),
            },
            Verb::Enlarge { .. } => self.enlarge(attempt.at, by),
            Verb::Ease { off_prep, .. } => self.ease(attempt.at, by, *off_prep),
            Verb::SplitUp => match attempt.at {
                Place::Restoration(id) => self.split(id),
                _ => Err(reasons::ONLY_RESTORATIONS_SPLIT.to_owned()),
            },
            Verb::AddAbutment => match (attempt.at, &attempt.choice) {
                (Place::Restoration(id), Some(Choice::Tooth(tooth))) => self.take_in(id, *tooth),
                _ => Err(reasons::NO_NEIGHBOUR.to_owned()),
            },
            Verb::Each(_) => match &attempt.choice {
                Some(Choice::Value(fact, value)) if !self.goes(fact, value, attempt.at) => {
                    Err(reasons::DO_NOT_MATCH.to_owned())
                }
                Some(Choice::Value(fact, value)) => Ok(self.choose(fact, value, attempt.at)),
                _ => Err(reasons::NO_OTHER_CHOICE.to_owned()),
            },
            Verb::Set(values) => {
                let mut change = Change::default();
                for (fact, value) in values {
                    change.add(self.set(fact, value, attempt.at));
                }
                Ok(change)
            }
            Verb::Say | Verb::AsItIs => Ok(Change::default()),
        }
    }

    /// Cuts walls prep by prep.
    fn cut_all(
        &self,
        walls: &[Place],
        cut: impl Fn(Place) -> Option<Cut>,
    ) -> Result<Change, String> {
        let mut change = Change::default();
        let mut done: Vec<Tooth> = Vec::new();
        for wall in walls {
            let Place::Wall(tooth, _) = *wall else {
                continue;
            };
            if done.contains(&tooth) {
                continue;
            }
            done.push(tooth);
            let mut sides = Vec::new();
            let mut how = None;
            for wall in walls {
                if let Place::Wall(own, side) = *wall
                    && own == tooth
                    && let Some(cut) = cut(*wall)
                {
                    sides.push(side);
                    how = Some(cut);
                }
            }
            if let Some(how) = how {
                change.add(self.cut(tooth, &sides, how)?);
            }
        }
        if change.values.is_empty() {
            return Err(reasons::NOTHING_TO_CUT.to_owned());
        }
        Ok(change)
    }

    /// The amounts that an option may have here, least first; one empty amount for what has none.
    pub(super) fn amounts(&self, option: &OptionRow, attempt: &Attempt) -> Vec<Option<Amount>> {
        let steps = |least: f64, step: f64, most: f64, unit: Unit| {
            (1..)
                .map(|count| f64::from(count) * step)
                .skip_while(|by| *by < least - 1e-9)
                .take_while(|by| *by <= most + 1e-9)
                .take(MOST_STEPS)
                .map(|by| Some(Amount::By(by, unit)))
                .collect()
        };
        match option.verb {
            Verb::Deepen { step, most, .. }
            | Verb::Enlarge { step, most }
            | Verb::Ease { step, most, .. } => steps(0.0, step, most, Unit::Mm),
            Verb::BuildUp { least, step, most } => steps(least, step, most, Unit::Mm),
            Verb::Straighten { step, least, .. } => {
                let most = attempt
                    .walls
                    .iter()
                    .filter_map(|wall| self.number(&WALL_TAPER_USED, *wall))
                    .fold(0.0, f64::max);
                let first = ((most - least) / step - 1e-9).ceil() - 1.0;
                let count = first.clamp(-1.0, MOST_STEPS as f64) as i32 + 1;
                (0..count)
                    .rev()
                    .map(|back| Some(Amount::To(least + f64::from(back) * step, Unit::Deg)))
                    .collect()
            }
            _ => vec![None],
        }
    }

    /// Tries an attempt with the least amount that is enough, or with the most that can be done.
    fn attempt(&self, attempt: &Attempt) -> CaseOption {
        let mut way = CaseOption {
            option: attempt.option,
            at: attempt.at,
            walls: attempt.walls.clone(),
            choice: attempt.choice.clone(),
            amount: None,
            changes: Vec::new(),
            units: None,
            cut: None,
            bar: None,
            forbidden: false,
            after: None,
            worst: Worst::Stays,
            also: Vec::new(),
            told_elsewhere: false,
        };
        let Some(option) = self.flow.option(attempt.option) else {
            return way;
        };
        if !option.verb.changes_figures() {
            let barred = |bar: &Condition| bar.eval(self.facts, attempt.at).truth == Truth::True;
            let bar = option.bars.iter().find(|(bar, _)| barred(bar));
            way.bar = bar
                .map(|(_, why)| why.clone())
                .or_else(|| self.barred_before(option, attempt));
            way.forbidden = way.bar.is_some();
            let goes = option
                .told
                .iter()
                .filter(|(fact, value)| self.goes(fact, value, attempt.at));
            way.changes = goes
                .flat_map(|(fact, value)| self.set(fact, value, attempt.at).values)
                .collect();
            return way;
        }
        let amounts = self.amounts(option, attempt);
        let tried = |index: usize| match amounts.get(index) {
            Some(amount) => self.tried(option, attempt, *amount),
            None => Err(reasons::NOTHING_TO_CHANGE.to_owned()),
        };
        let Some(mut best) = amounts.len().checked_sub(1) else {
            way.bar = Some(reasons::NOTHING_TO_CHANGE.to_owned());
            way.forbidden = true;
            return way;
        };
        // What is barred, or makes something as bad, does so from some amount on.
        let mut outcome = tried(best);
        let mut spoils = None;
        while best > 0 {
            match outcome {
                Ok((_, ref after)) if !after.makes_as_bad() => break,
                Ok(spoilt) => spoils = spoils.or(Some((best, spoilt))),
                Err(_) => {}
            }
            best -= 1;
            outcome = tried(best);
        }
        let outcome = match outcome {
            Ok((change, after)) if after.makes_as_bad() => {
                Ok(spoils.unwrap_or((best, (change, after))))
            }
            Ok(outcome) => Ok((best, outcome)),
            Err(bar) => spoils.ok_or(bar),
        };
        let (mut change, mut after) = match outcome {
            Ok((amount, outcome)) => {
                best = amount;
                outcome
            }
            Err(bar) => {
                way.bar = Some(bar);
                way.forbidden = true;
                return way;
            }
        };
        way.bar = self.pointless(option, attempt, &after);
        if way.bar.is_some() {
            // Together with another it may be worth it after all.
            way.amount = amounts.get(best).copied().flatten();
            way.changes = change.values;
            way.units = change.units;
            way.cut = change.cut;
            way.after = Some(after);
            return way;
        }
        // More is never worse: halve the range in which less is still as good.
        let goal = goal(&after);
        let (mut low, mut high) = (0, best);
        while low < high {
            let middle = (low + high) / 2;
            match tried(middle) {
                Ok((less, outcome)) if self::goal(&outcome) <= goal && !outcome.makes_as_bad() => {
                    (change, after) = (less, outcome);
                    high = middle;
                }
                _ => low = middle + 1,
            }
        }
        way.amount = amounts.get(high).copied().flatten();
        way.changes = change.values;
        way.units = change.units;
        way.cut = change.cut;
        way.after = Some(after);
        way
    }

    /// What comes of an attempt by an amount.
    ///
    /// # Errors
    /// Why it is barred.
    pub(super) fn tried(
        &self,
        option: &OptionRow,
        attempt: &Attempt,
        amount: Option<Amount>,
    ) -> Result<(Change, After), String> {
        let change = self.change(attempt, amount)?;
        let copy = proposed(self.facts.case(), &change.values, change.units.as_ref());
        let facts = quick(self.facts, &copy);
        if contradicts_itself(self.facts, &facts) {
            return Err(reasons::NO_SUCH_PREP.to_owned());
        }
        if facts.units().has(attempt.at) {
            for (bar, why) in &option.bars {
                if bar.eval(&facts, attempt.at).truth == Truth::True {
                    return Err(why.clone());
                }
            }
        }
        let after = compare(self, &facts, &attempt.walls, |rule, at| {
            self.concerns(option, attempt.at, rule, at)
        });
        Ok((change, after))
    }

    /// Why an attempt that could be made is not worth it.
    fn pointless(&self, option: &OptionRow, attempt: &Attempt, after: &After) -> Option<String> {
        if after.is_nothing() {
            return Some(reasons::NO_EFFECT.to_owned());
        }
        let before = self
            .judgement
            .all_findings()
            .filter(|finding| self.concerns(option, attempt.at, finding.rule, finding.at))
            .map(|finding| finding.level)
            .max()
            .unwrap_or(Level::Fine);
        let mut changes = after.grip.iter().filter_map(GripChange::both);
        let grip_falls = changes.any(|(before, after)| after < before - 5e-3);
        if after.verdict.level > self.judgement.verdict.level || after.makes_as_bad() {
            return Some(reasons::OTHERS_AS_BAD.to_owned());
        }
        // What is changed for another of its kind has to be worth it as a whole.
        if matches!(option.verb, Verb::Each(_)) && after.left >= before {
            return Some(reasons::STAYS_AS_BAD.to_owned());
        }
        let helps_nothing = after.left >= before && after.gone.is_empty();
        if grip_falls
            && (helps_nothing || option.verb.cuts() || matches!(option.verb, Verb::AddAbutment))
        {
            return Some(reasons::LESS_GRIP.to_owned());
        }
        if after.left >= before && after.gone.is_empty() {
            return Some(
                match option.verb {
                    Verb::Each(_) | Verb::Set(_) | Verb::Groove(_) => reasons::REMOVES_NOTHING,
                    _ => reasons::NOT_ENOUGH,
                }
                .to_owned(),
            );
        }
        None
    }
}

/// Returns whether a change makes a shape that cannot be: what is then not computed any more would look like a finding less.
fn contradicts_itself(before: &Facts<'_>, after: &Facts<'_>) -> bool {
    let refused = |facts: &Facts<'_>, at: Place| facts.is_refused(&Spot { fact: SHAPE, at });
    let preps = after.units().within(Place::Case, PlaceKind::Abutment);
    preps
        .into_iter()
        .any(|at| refused(after, at) && !refused(before, at))
}

/// More steps than this no bench can tell apart.
const MOST_STEPS: usize = 40;

/// What an amount is to reach: the level of what it answers, then the verdict, then how much is left.
fn goal(after: &After) -> (Level, Level, usize) {
    (
        after.left,
        after.verdict.level,
        usize::MAX - after.gone.len(),
    )
}
