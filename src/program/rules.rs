//! Rules held against what came back, on the command line.

use std::io::Write;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use jiff::tz::TimeZone;
use schemars::JsonSchema;
use serde::Serialize;

use super::rates::told;
use super::{archive_path, loaded, moment, write_document, write_json};
use crate::archive::{Archive, ArchiveError};
use crate::case::outcome::Kind;
use crate::cli::{Cli, DataFormat, RulesArgs};
use crate::desk::{Flows, Record, tried};
use crate::error::{Error, Trouble, usable};
use crate::fact::Place;
use crate::flow::Flow;
use crate::learn::Ripe;
use crate::learn::trial::{Put, Standing, Trial, Trials, trials};
use crate::phrase::learn as rates;
use crate::phrase::trial as says;
use crate::print::Format;
use crate::print::json::shape::{Day, FormatKey, OutcomeKindWord};
use crate::print::trial::{rule, rules};

/// Holds the rules of the flow against the record.
///
/// # Errors
/// Returns an error if the archive cannot be read or the question is not answered.
pub(super) fn carry_out(cli: &Cli, args: &RulesArgs, out: &mut dyn Write) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let flow = Arc::new(flow);
    check(&flow, args)?;
    let record = match Archive::open_to_read(&archive_path(cli)?) {
        Ok(archive) => {
            let flows = Flows::new(flow.clone());
            let stop = AtomicBool::new(false);
            let zone = TimeZone::system();
            tried(&archive, &flows, &flow, &zone, (&stop, &mut told()))?
        }
        Err(ArchiveError::Missing(_)) if cli.archive.is_none() => Record::default(),
        Err(error) => return Err(error.into()),
    };
    let put = Put {
        kinds: args.of.clone(),
        months: i32::from(args.within),
        today: moment().today,
    };
    let all = trials(&flow, &record.lots, &record.tried, &put);
    // Of all rules, also where only one of them is told.
    let luck = all.by_luck();
    let mut found = all.clone();
    if let Some(rule) = &args.rule {
        found.trials.retain(|own| own.rule == *rule);
        found.overruled.retain(|own| own.rule == *rule);
        found.never_told.retain(|(own, _)| own == rule);
    }
    if args.format == DataFormat::Json {
        return write_json(&RulesObject::of(&found, &record, &put, luck), out);
    }
    let leaf = match &args.rule {
        Some(name) => {
            let own = all.trials.iter().find(|own| own.rule == *name);
            own.map(|own| rule(own, &all, &flow, record.looked, &put))
        }
        None => Some(rules(&all, &flow, record.looked, &put)),
    };
    let document = leaf.map(|own| own.document()).unwrap_or_default();
    write_document(&document, Format::Text, out)
}

/// Refuses a rule that is none, or that foretells nothing, and kinds that are no return.
fn check(flow: &Flow, args: &RulesArgs) -> Result<(), Error> {
    if !args.of.iter().all(|kind| kind.is_failure()) {
        return Err(Error::new(Trouble::Usage, rates::NO_RETURN).hint(rates::NO_RETURN_HINT));
    }
    let Some(name) = &args.rule else {
        return Ok(());
    };
    let Some(rule) = flow.rules.iter().find(|rule| rule.id == *name) else {
        return Err(Error::new(Trouble::Usage, says::no_rule(name)).hint(says::NO_RULE_HINT));
    };
    if rule.foretells.is_empty() && args.of.is_empty() {
        let what = says::not_on_trial(name);
        return Err(Error::new(Trouble::Usage, what).hint(says::NOT_ON_TRIAL_HINT));
    }
    Ok(())
}

/// Rules, held against what came back.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Rules")]
pub(super) struct RulesObject<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The day on which the figures close.
    closing: Day,
    /// How many months a restoration is followed.
    months: i32,
    /// How many restorations were looked at.
    restorations: u64,
    /// How many of them were judged by another flow or version.
    of_other_flow: u64,
    /// How many cases could not be read.
    unread: usize,
    /// Of how many cases it is not known how they were found.
    not_found: usize,
    /// How many rules foretell nothing.
    not_on_trial: usize,
    /// How many rules would stand out by luck alone.
    by_luck: f64,
    /// The rules.
    rules: Vec<TrialObject<'a>>,
    /// Rules that never told anything.
    never_told: Vec<NeverObject<'a>>,
    /// What was told, made as ordered, and came back.
    overruled: Vec<OverruledObject<'a>>,
}

/// A rule on trial.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Trial")]
struct TrialObject<'a> {
    /// The rule's id.
    rule: &'a str,
    /// What counts as a return.
    foretells: Vec<OutcomeKindWord>,
    /// At how many restorations it could be decided.
    decidable: u64,
    /// At how many it could not.
    open: u64,
    /// At how many it told something.
    told: u64,
    /// For how many of these the dentist was asked.
    called: u64,
    /// How many were changed.
    changed: u64,
    /// How many were to be made as ordered.
    as_ordered: u64,
    /// How many were not made after all.
    withdrawn: u64,
    /// How many were delivered.
    built: u64,
    /// How many of these are of dentists who never said anything.
    unheard: u64,
    /// How many of these were not followed long enough.
    unripe: u64,
    /// What came back of what was made as ordered.
    of_as_ordered: ShareObject,
    /// What came back of what was changed.
    of_changed: ShareObject,
    /// What came back where nobody answered.
    of_unasked: ShareObject,
    /// What came back where the rule was silent.
    of_silent: ShareObject,
    /// As ordered against silent; null where too little is known.
    ratio: Option<RatioObject>,
    /// The same over all the time; null where too little is known.
    lasting: Option<LastingObject>,
    /// As ordered less changed; null where too little is known.
    difference: Option<DifferenceObject>,
    /// Calls for one return less; null where that is not known.
    calls: Option<CallsObject>,
    /// How many returns it takes to see three times as many; null where a ratio is told.
    needed: Option<u64>,
    /// Whether it was always followed, so that the record cannot judge it.
    always_followed: bool,
}

/// So many of so many.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Returned")]
pub(super) struct ShareObject {
    /// How many came back.
    came: u64,
    /// Of how many that were followed long enough.
    of: u64,
    /// The low end of the share at 95 %, or null.
    low: Option<f64>,
    /// The high end of the share at 95 %, or null.
    high: Option<f64>,
}

impl ShareObject {
    pub(super) fn of(ripe: &Ripe) -> ShareObject {
        ShareObject {
            came: ripe.came,
            of: ripe.of,
            low: ripe.interval.map(|own| own.low),
            high: ripe.interval.map(|own| own.high),
        }
    }
}

/// A ratio of two shares.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Ratio")]
struct RatioObject {
    /// The ratio; null where nothing came back of the second.
    value: Option<f64>,
    /// Its low end at 95 %.
    low: f64,
    /// Its high end at 95 %, or null.
    high: Option<f64>,
    /// How sure it is.
    sure: SureWord,
}

/// How long two groups last.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Lasting")]
struct LastingObject {
    /// How many of those made as ordered came back.
    came: u64,
    /// How many would if both lasted alike.
    expected: f64,
    /// How sure it is that they do not.
    sure: SureWord,
}

/// A difference of two shares.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Difference")]
struct DifferenceObject {
    /// The difference.
    value: f64,
    /// Its low end at 95 %.
    low: f64,
    /// Its high end at 95 %.
    high: f64,
    /// How sure it is.
    sure: SureWord,
}

/// Calls for one return less.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Calls")]
struct CallsObject {
    /// At the least.
    least: f64,
    /// The likeliest number.
    likely: f64,
    /// At the most; null beyond 100.
    most: Option<f64>,
}

/// How sure a difference is.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(inline)]
enum SureWord {
    /// At 99 %.
    StandsOut,
    /// At 95 %.
    Leans,
    /// No difference is shown.
    NotShown,
}

impl From<Standing> for SureWord {
    fn from(standing: Standing) -> SureWord {
        match standing {
            Standing::StandsOut => SureWord::StandsOut,
            Standing::Leans => SureWord::Leans,
            Standing::NotShown => SureWord::NotShown,
        }
    }
}

/// A rule that never told anything.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "NeverTold")]
struct NeverObject<'a> {
    /// The rule's id.
    rule: &'a str,
    /// At how many restorations it could be decided.
    decidable: u64,
}

/// What was told, made as ordered, and came back.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Overruled")]
struct OverruledObject<'a> {
    /// The case's number.
    case: &'a str,
    /// The restoration.
    restoration: Place,
    /// The rule that told it.
    rule: &'a str,
    /// How it came back.
    what: OutcomeKindWord,
    /// When.
    on: Day,
}

impl<'a> RulesObject<'a> {
    fn of(found: &'a Trials, record: &Record, put: &Put, by_luck: f64) -> RulesObject<'a> {
        RulesObject {
            format: FormatKey,
            closing: Day(found.closing),
            months: put.months,
            restorations: found.restorations,
            of_other_flow: found.of_other_flow,
            unread: record.looked.unread,
            not_found: record.looked.not_found,
            not_on_trial: found.not_on_trial,
            by_luck,
            rules: found.trials.iter().map(TrialObject::of).collect(),
            never_told: found
                .never_told
                .iter()
                .map(|(rule, decidable)| NeverObject {
                    rule,
                    decidable: *decidable,
                })
                .collect(),
            overruled: found
                .overruled
                .iter()
                .map(|own| OverruledObject {
                    case: &own.number,
                    restoration: Place::Restoration(own.restoration),
                    rule: &own.rule,
                    what: OutcomeKindWord(own.what),
                    on: Day(own.on),
                })
                .collect(),
        }
    }
}

impl<'a> TrialObject<'a> {
    fn of(own: &'a Trial) -> TrialObject<'a> {
        let kinds = own.kinds.iter();
        TrialObject {
            rule: &own.rule,
            foretells: kinds.map(|kind: &Kind| OutcomeKindWord(*kind)).collect(),
            decidable: own.decidable,
            open: own.open,
            told: own.fired,
            called: own.called,
            changed: own.changed,
            as_ordered: own.as_ordered,
            withdrawn: own.withdrawn,
            built: own.built,
            unheard: own.unheard,
            unripe: own.unripe,
            of_as_ordered: ShareObject::of(&own.of_as_ordered),
            of_changed: ShareObject::of(&own.of_changed),
            of_unasked: ShareObject::of(&own.of_unasked),
            of_silent: ShareObject::of(&own.of_silent),
            ratio: own.ratio.map(|own| RatioObject {
                value: own.value,
                low: own.low,
                high: own.high,
                sure: own.standing.into(),
            }),
            lasting: own.lasting.map(|own| LastingObject {
                came: own.came,
                expected: own.expected,
                sure: own.standing.into(),
            }),
            difference: own.difference.map(|(own, standing)| DifferenceObject {
                value: own.value,
                low: own.interval.low,
                high: own.interval.high,
                sure: standing.into(),
            }),
            calls: own.calls.map(|own| CallsObject {
                least: own.least,
                likely: own.likely,
                most: own.most,
            }),
            needed: own.needed,
            always_followed: own.is_always_followed(),
        }
    }
}
