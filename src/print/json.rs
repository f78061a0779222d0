//! The judgement as one JSON object. Its keys are stable within a format; teeth and places are ISO 3950.

use schemars::JsonSchema;
use serde::Serialize;

use super::Told;
use crate::call::asks;
use crate::case::coming::Awaited;
use crate::case::life::State;
use crate::derive::{Facts, Worked};
use crate::fact::{FactId, Kind, Place, Unit};
use crate::flow::RuleId;
use crate::judge::doubt::{MeasureAgain, NearLimit};
use crate::judge::{Finding, Judgement, OpenPoint};
use crate::phrase::Phrase;
use crate::state::expected;
use crate::tooth::Notation;

pub mod beside;
mod disputes;
mod figures;
pub mod follow_up;
pub mod history;
mod loads;
mod options;
pub mod outcomes;
pub mod rates;
pub mod shape;

use beside::{Days, FileShape, HandedObject};
use disputes::{DisputeObject, in_dispute};
use figures::{FactObject, FactValue, chance, doubtful, fact};
use loads::{DislodgementObject, GeometryObject, geometry, loads, stress};
use options::{CallObject, OptionObject, call_object, options};
use shape::{
    FormatKey, GapWord, LevelWord, MethodWord, Outlook, RestorationShape, SourceShape, StateWord,
    VerdictShape, restorations, waiting,
};

/// A case as it was judged: findings, open points, options, and the figures behind them.
#[derive(Serialize, JsonSchema)]
pub struct Judged<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The case's number.
    case: &'a str,
    /// The flow it is judged by.
    flow: FlowObject<'a>,
    /// The version of the program.
    engine: &'static str,
    /// The result, and what it may become.
    verdict: VerdictShape,
    #[serde(flatten)]
    outlook: Outlook,
    /// By when the bench has to be done, and what was promised.
    days: Days,
    /// Who has the case; null if it was never handed over.
    handed: Option<HandedObject<'a>>,
    /// Its photographs and files.
    files: Vec<FileShape>,
    /// Its restorations, each with its units and its own verdict.
    restorations: Vec<RestorationObject>,
    /// Findings, the gravest first; findings of the same cause are listed under the first of them.
    findings: Vec<FindingObject<'a>>,
    /// Rules that wait for readings, each with those readings.
    open_points: Vec<OpenObject<'a>>,
    /// What two people answered differently. Neither answer counts.
    in_dispute: Vec<DisputeObject<'a>>,
    /// Figures that were computed.
    derived: Vec<FactObject<'a>>,
    /// Figures that could not be computed, and why.
    not_computed: Vec<RefusedObject<'a>>,
    /// Readings whose error could turn the result.
    #[serde(rename = "deciding")]
    measure_again: Vec<MeasureAgainObject<'a>>,
    /// The chance of a different result with the errors of all readings together; null if nothing was measured.
    result_turns: Option<f64>,
    /// Figures within reading error of a limit.
    near_limits: Vec<NearObject<'a>>,
    /// Options, each with the result it leads to.
    options: Vec<OptionObject<'a>>,
    /// The questions for the dentist, and what was decided.
    call: Vec<CallObject<'a>>,
    /// Grip, motion and demand under each load.
    dislodgement: Vec<DislodgementObject<'a>>,
    /// The preps as shapes.
    geometry: Vec<GeometryObject>,
    /// The caution that belongs to every result.
    caution: &'static str,
}

/// A flow.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Flow")]
struct FlowObject<'a> {
    /// Its id.
    id: &'a str,
    /// Its version.
    version: u32,
    /// The digest of its files.
    digest: &'a str,
}

/// A restoration as it was judged.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "JudgedRestoration")]
struct RestorationObject {
    #[serde(flatten)]
    shape: RestorationShape,
    /// Its result, with what concerns the whole case.
    verdict: VerdictShape,
    #[serde(flatten)]
    outlook: Outlook,
}

/// A finding.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Finding")]
struct FindingObject<'a> {
    /// The rule that found it.
    rule: &'a str,
    /// How grave it is.
    level: LevelWord,
    /// Where.
    at: Place,
    /// The finding as a sentence.
    says: String,
    /// The facts it rests on.
    evidence: Vec<FactObject<'a>>,
    /// Where the rule comes from.
    source: Option<SourceShape<'a>>,
    /// What it asks the dentist.
    #[serde(skip_serializing_if = "Option::is_none")]
    asks: Option<String>,
    /// What it asks of the laboratory itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    bench: Option<String>,
    /// What is usual there, measured elsewhere; it does not affect the result.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    usual: Vec<&'a str>,
    /// Findings of the same cause.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    same_cause: Vec<FindingObject<'a>>,
}

/// A rule that waits for readings.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "OpenPoint")]
struct OpenObject<'a> {
    /// The rule; null if the type of work is not known, or two people answered differently.
    rule: Option<&'a str>,
    /// Where.
    at: Place,
    /// The readings that it waits for.
    needs: Vec<NeedObject<'a>>,
    /// The worst that it may become.
    could_be: LevelWord,
}

/// A reading that is missing.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Need")]
struct NeedObject<'a> {
    /// The fact.
    fact: &'a FactId,
    /// Where.
    at: Place,
    /// Why it is missing.
    why: GapWord,
}

/// A figure that could not be computed.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "NotComputed")]
struct RefusedObject<'a> {
    /// The fact.
    fact: &'a FactId,
    /// Where.
    at: Place,
    /// Why.
    because: &'a str,
}

/// A reading whose error could turn the result.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Deciding")]
struct MeasureAgainObject<'a> {
    /// The fact.
    fact: &'a FactId,
    /// Where.
    at: Place,
    /// What was read.
    value: f64,
    /// Its unit.
    unit: &'static str,
    /// One standard deviation of the reading.
    sd: f64,
    /// The value at which the result turns.
    flips_at: f64,
    /// The level it turns to; open points stay open.
    to: LevelWord,
    /// The chance that the truth lies on the other side.
    chance: f64,
}

/// A figure near a limit.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "NearLimit")]
struct NearObject<'a> {
    /// The rule.
    rule: &'a str,
    /// The place that the rule applies to.
    at: Place,
    /// The figure.
    fact: &'a FactId,
    /// The place of the figure, such as one of the walls that the rule reads.
    fact_at: Place,
    /// Its value.
    value: Option<FactValue>,
    /// One standard deviation; a yes or no has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    sd: Option<f64>,
    /// The limit as the flow has it; a yes or no has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    limit: Option<f64>,
    /// The chance that the truth lies on the other side.
    chance: f64,
    /// How the chance was found.
    method: MethodWord,
}

/// Writes the judgement of a case as one JSON object with a line feed at the end.
///
/// # Errors
/// Returns an error if JSON cannot represent a figure; no value of a case leads to that.
pub fn json(told: Told<'_>) -> Result<String, serde_json::Error> {
    let Told {
        facts,
        judgement,
        doubt,
        phrase,
        beside,
    } = told;
    let phrase = Phrase {
        notation: Notation::Iso3950,
        ..phrase
    };
    let flow = phrase.flow;
    let state = told.state();
    let expected = expected(phrase.flow, facts);
    let outlook = |id: u8| {
        let own = state.restoration(id);
        let own_verdict = |judged: &Judgement| {
            let verdicts = &judged.by_restoration;
            verdicts
                .iter()
                .find(|(own, _)| *own == id)
                .map(|(_, own)| *own)
        };
        let awaited: Vec<&Awaited> = own.iter().flat_map(|own| &own.awaited).collect();
        let waits = !awaited.is_empty();
        Outlook {
            state: StateWord(own.map_or(State::Inspecting, |own| own.state)),
            waiting_for: waiting(facts.units(), &awaited),
            expected: expected
                .as_ref()
                .filter(|_| waits)
                .and_then(own_verdict)
                .map(VerdictShape::from),
        }
    };
    let object = Judged {
        format: FormatKey,
        case: &facts.case().number,
        flow: FlowObject {
            id: &flow.id,
            version: flow.version,
            digest: &flow.digest,
        },
        engine: env!("CARGO_PKG_VERSION"),
        verdict: judgement.verdict.into(),
        outlook: Outlook {
            state: StateWord(state.state),
            waiting_for: waiting(facts.units(), &state.awaited()),
            expected: expected.as_ref().map(|judged| judged.verdict.into()),
        },
        days: state.days(facts.case(), beside.today).into(),
        handed: facts.case().handed().map(HandedObject::of),
        files: facts.case().files().iter().map(FileShape::of).collect(),
        restorations: restorations(facts.units())
            .into_iter()
            .zip(&judgement.by_restoration)
            .map(|(shape, (id, verdict))| RestorationObject {
                shape,
                verdict: (*verdict).into(),
                outlook: outlook(*id),
            })
            .collect(),
        findings: judgement
            .findings
            .iter()
            .map(|f| finding(facts, f, phrase))
            .collect(),
        in_dispute: in_dispute(facts, phrase),
        open_points: judgement
            .open_points
            .iter()
            .map(|point| open_point(point, phrase))
            .collect(),
        derived: facts
            .all_derived()
            .filter_map(|(spot, derived)| match &derived.result {
                Worked::Out(value) => Some(fact(facts, phrase, (spot, value), None)),
                Worked::Waits(_) | Worked::Refused(_) => None,
            })
            .collect(),
        not_computed: facts
            .all_derived()
            .filter_map(|(spot, derived)| match &derived.result {
                Worked::Refused(because) => Some(RefusedObject {
                    fact: &spot.fact,
                    at: spot.at,
                    because,
                }),
                Worked::Out(_) | Worked::Waits(_) => None,
            })
            .collect(),
        result_turns: doubt.and_then(|doubt| doubt.turns).map(chance),
        measure_again: doubt
            .iter()
            .flat_map(|doubt| &doubt.measure_again)
            .map(measure_again)
            .collect(),
        near_limits: doubt
            .iter()
            .flat_map(|doubt| &doubt.near)
            .map(|near| near_limit(facts, near, phrase))
            .collect(),
        options: options(facts, phrase, beside.ways.unwrap_or_default()),
        call: asks(facts, judgement, phrase, beside.instructions)
            .iter()
            .map(|ask| call_object(facts, phrase, ask))
            .collect(),
        dislodgement: facts
            .details()
            .iter()
            .flat_map(|detail| loads(detail, stress(facts, detail)))
            .collect(),
        geometry: facts.details().iter().map(geometry).collect(),
        caution: crate::phrase::CAUTION,
    };
    let mut text = serde_json::to_string_pretty(&object)?;
    text.push('\n');
    Ok(text)
}

fn open_point<'a>(point: &'a OpenPoint, phrase: Phrase<'a>) -> OpenObject<'a> {
    OpenObject {
        rule: point.rule.map(|rule| rule_id(phrase, rule)),
        at: point.at,
        needs: point
            .needs
            .iter()
            .map(|(spot, gap)| NeedObject {
                fact: &spot.fact,
                at: spot.at,
                why: GapWord(*gap),
            })
            .collect(),
        could_be: LevelWord(point.could_be),
    }
}

fn measure_again(measure_again: &MeasureAgain) -> MeasureAgainObject<'_> {
    let rounded = |number| doubtful(number, measure_again.unit);
    MeasureAgainObject {
        fact: &measure_again.spot.fact,
        at: measure_again.spot.at,
        value: rounded(measure_again.value),
        unit: measure_again.unit.symbol(),
        sd: rounded(measure_again.error),
        flips_at: rounded(measure_again.flips_at),
        to: LevelWord(measure_again.to),
        chance: chance(measure_again.chance),
    }
}

fn near_limit<'a>(facts: &Facts<'_>, near: &'a NearLimit, phrase: Phrase<'a>) -> NearObject<'a> {
    let unit = match phrase.flow.spec(&near.spot.fact).map(|spec| &spec.kind) {
        Some(Kind::Number { unit, .. }) => *unit,
        _ => Unit::Ratio,
    };
    let value = match near.value.number() {
        Some(number) => Some(FactValue::Number(doubtful(number, unit))),
        None => fact(facts, phrase, (&near.spot, &near.value), None).value,
    };
    NearObject {
        rule: rule_id(phrase, near.rule),
        at: near.at,
        fact: &near.spot.fact,
        fact_at: near.spot.at,
        value,
        sd: near.spread.map(|spread| doubtful(spread, unit)),
        limit: near.limit,
        chance: chance(near.chance),
        method: MethodWord(near.method),
    }
}

fn rule_id<'a>(phrase: Phrase<'a>, id: RuleId) -> &'a str {
    phrase.flow.rule(id).map_or("", |rule| rule.id.as_str())
}

fn finding<'a>(
    facts: &'a Facts<'_>,
    finding: &'a Finding,
    phrase: Phrase<'a>,
) -> FindingObject<'a> {
    let rule = phrase.flow.rule(finding.rule);
    FindingObject {
        rule: rule_id(phrase, finding.rule),
        level: LevelWord(finding.level),
        at: finding.at,
        says: phrase.says(facts, finding),
        evidence: finding
            .evidence
            .iter()
            .filter_map(|spot| {
                let value = facts.value(&spot.fact, spot.at)?;
                let layer = Some(facts.layer(spot));
                Some(fact(facts, phrase, (spot, value), layer))
            })
            .collect(),
        source: rule.and_then(|rule| SourceShape::of(phrase.flow, &rule.source)),
        asks: phrase.asks(facts, finding),
        bench: phrase.bench(facts, finding),
        usual: phrase
            .usual(facts, finding)
            .into_iter()
            .map(|norm| &*norm.says)
            .collect(),
        same_cause: finding
            .folded
            .iter()
            .map(|folded| self::finding(facts, folded, phrase))
            .collect(),
    }
}
