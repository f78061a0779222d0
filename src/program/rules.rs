//! Rules held against what came back, on the command line.

use std::borrow::Cow;
use std::io::Write;
use std::sync::Arc;

use jiff::tz::TimeZone;
use schemars::JsonSchema;
use serde::Serialize;
use textwrap::wrap;

use super::rates::told;
use super::{archive_path, loaded, moment, write_json};
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
use crate::phrase::lines::to_width;
use crate::phrase::program::outcome as command;
use crate::phrase::trial::{self as says, Sure};
use crate::print::json::shape::{Day, FormatKey, OutcomeKindWord};

/// How wide a list of names is.
const WIDTH: usize = 78;

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
            tried(&archive, &flows, &flow, &TimeZone::system(), &mut told())?
        }
        Err(ArchiveError::Missing(_)) if cli.archive.is_none() => Record::default(),
        Err(error) => return Err(error.into()),
    };
    let put = Put {
        kinds: args.of.clone(),
        months: i32::from(args.within),
        today: moment().today,
    };
    let mut found = trials(&flow, &record.lots, &record.tried, &put);
    // Of all rules, also where only one of them is told.
    let luck = (found.compared(), found.by_luck());
    if let Some(rule) = &args.rule {
        found.trials.retain(|own| own.rule == *rule);
        found.overruled.retain(|own| own.rule == *rule);
        found.never_told.retain(|(own, _)| own == rule);
    }
    if args.format == DataFormat::Json {
        return write_json(&RulesObject::of(&found, &record, &put, luck.1), out);
    }
    let mut lines = about(&found, &record);
    lines.push(String::new());
    match &args.rule {
        Some(_) => {
            let own = found.trials.iter();
            own.for_each(|own| lines.extend(in_full(own, &put)));
        }
        None => lines.extend(listed(&found, &put)),
    }
    lines.push(says::by_luck(luck.0, flow.rules.len(), luck.1));
    lines.push(says::NOT_BY_LOT.to_owned());
    lines.extend(beside(&found, args.rule.is_none()));
    lines.extend(overruled(&found));
    for line in lines {
        writeln!(out, "{line}")?;
    }
    out.flush()?;
    Ok(())
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

fn sure(standing: Standing) -> Sure {
    match standing {
        Standing::StandsOut => Sure::StandsOut,
        Standing::Leans => Sure::Leans,
        Standing::NotShown => Sure::NotShown,
    }
}

fn about(found: &Trials, record: &Record) -> Vec<String> {
    let mut lines = vec![says::about(found.closing, found.restorations)];
    if record.unread > 0 {
        lines.push(command::unread(record.unread));
    }
    if record.not_found > 0 {
        lines.push(says::not_found(record.not_found));
    }
    if found.of_other_flow > 0 {
        lines.push(says::of_other_flow(found.of_other_flow));
    }
    lines
}

fn share(ripe: &Ripe) -> f64 {
    ripe.came as f64 / ripe.of.max(1) as f64
}

fn ends(ripe: &Ripe) -> Option<(f64, f64)> {
    ripe.interval.map(|own| (own.low, own.high))
}

fn in_full(own: &Trial, put: &Put) -> Vec<String> {
    let mut lines = vec![
        says::foretells(&own.rule, &own.kinds),
        says::told(own.fired, own.decidable, own.open),
        says::answered(own.called, own.changed, own.as_ordered, own.withdrawn),
        says::built(own.built, own.unheard, own.unripe, put.months),
        String::new(),
    ];
    let groups = [
        (says::AS_ORDERED, &own.of_as_ordered),
        (says::CHANGED, &own.of_changed),
        (says::UNASKED, &own.of_unasked),
        (says::SILENT, &own.of_silent),
    ];
    let highs = groups.iter().filter(|(_, ripe)| ripe.of > 0);
    let top = says::top(highs.filter_map(|(_, ripe)| Some(ends(ripe)?.1)));
    lines.push(says::heading(put.months));
    lines.push(says::scale("", top));
    for (name, ripe) in groups {
        let bar = says::bar(share(ripe), ends(ripe), top);
        lines.push(says::group(name, (ripe.came, ripe.of), &bar, ends(ripe)));
    }
    lines.push(String::new());
    lines.extend(compared(own));
    lines
}

fn compared(own: &Trial) -> Vec<String> {
    let mut lines = Vec::new();
    match &own.ratio {
        Some(ratio) => {
            let sure = sure(ratio.standing);
            let times = says::times(ratio.value, ratio.low, ratio.high, own.returns(), sure);
            lines.push(says::against_silent(&times));
        }
        None if own.is_always_followed() => lines.push(says::always_followed(own.followed_it())),
        None => lines.push(says::too_few(own.returns(), own.needed)),
    }
    if let Some(lasting) = &own.lasting {
        let sure = sure(lasting.standing);
        lines.push(says::lasting(lasting.came, lasting.expected, sure));
    }
    if let Some((less, standing)) = &own.difference {
        let ends = (less.interval.low, less.interval.high);
        lines.push(says::against_changed(less.value, ends, sure(*standing)));
    }
    if let Some(calls) = &own.calls {
        lines.push(says::calls(calls.least, calls.likely, calls.most));
    }
    lines
}

fn listed(found: &Trials, put: &Put) -> Vec<String> {
    let told: Vec<&Trial> = found.trials.iter().filter(|own| own.fired > 0).collect();
    let names = told.iter().map(|own| own.rule.chars().count());
    let width = names.max().unwrap_or(0).max(says::RULE.len());
    let mut lines = Vec::new();
    if !told.is_empty() {
        lines.push(says::heading(put.months));
        lines.push(says::row(says::RULE, width, says::COLUMNS));
    }
    for own in told {
        let cell = |ripe: &Ripe| says::cell((ripe.came, ripe.of));
        let outcome = match &own.ratio {
            Some(ratio) => {
                let sure = sure(ratio.standing);
                says::times(ratio.value, ratio.low, ratio.high, own.returns(), sure)
            }
            None if own.is_always_followed() => says::FOLLOWED.to_owned(),
            None => says::TOO_FEW.to_owned(),
        };
        let cells = [
            &own.fired.to_string()[..],
            &cell(&own.of_as_ordered),
            &cell(&own.of_changed),
            &cell(&own.of_silent),
            &outcome,
        ];
        lines.push(says::row(&own.rule, width, cells));
    }
    if lines.last().is_some() {
        lines.push(String::new());
    }
    lines
}

/// Returns which rules the record says nothing of.
fn beside(found: &Trials, all: bool) -> Vec<String> {
    let mut lines = Vec::new();
    if found.not_on_trial > 0 && all {
        lines.push(says::rules_not_on_trial(found.not_on_trial));
    }
    if !found.never_told.is_empty() {
        lines.push(String::new());
        lines.push(says::NEVER_TOLD.to_owned());
        let indent = to_width(WIDTH).initial_indent("  ").subsequent_indent("  ");
        let text = says::never_told(&found.never_told);
        lines.extend(wrap(&text, indent).into_iter().map(Cow::into_owned));
    }
    lines
}

fn overruled(found: &Trials) -> Vec<String> {
    if found.overruled.is_empty() {
        return Vec::new();
    }
    let own = found.overruled.iter().map(|own| {
        let line = says::overruled(&own.number, own.restoration, &own.rule, own.what, own.on);
        format!("  {line}")
    });
    let head = [String::new(), says::OVERRULED.to_owned()];
    head.into_iter().chain(own).collect()
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
            unread: record.unread,
            not_found: record.not_found,
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
