//! Every number that a flow judges by, each with its source and its place in the files: `casepan flow sources`.

use std::io::Write;

use schemars::JsonSchema;
use serde::Serialize;

use super::{loaded, write_json};
use crate::cli::{Cli, DataFormat};
use crate::error::{Error, usable};
use crate::fact::{FactId, Kind};
use crate::flow::{Figures, Flow, Level, Material};
use crate::phrase::program::sources as says;
use crate::print::json::shape::FormatKey;

/// Every limit of a flow with its source.
#[derive(Serialize, JsonSchema)]
pub(super) struct Sources<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The flow's id.
    flow: &'a str,
    /// The limits.
    limits: Vec<LimitObject<'a>>,
}

/// A number that a flow judges by.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Limit")]
struct LimitObject<'a> {
    /// What it belongs to: a rule and its level, a material, a cement, a load, a question.
    of: String,
    /// The number, with what it applies to.
    says: String,
    /// The id of the source of the number.
    source: &'a str,
    /// How far the number can be relied on.
    status: &'static str,
    /// The source in words.
    text: &'a str,
    /// The file and line, if it belongs to a rule.
    stands: &'a str,
}

/// Lists them.
///
/// # Errors
/// Returns an error if the flow cannot be read or the list cannot be written.
pub(super) fn list(cli: &Cli, format: DataFormat, out: &mut dyn Write) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let mut limits = Vec::new();
    of_rules(&flow, &mut limits);
    of_tables(&flow, &mut limits);
    if format == DataFormat::Json {
        let sources = Sources {
            format: FormatKey,
            flow: &flow.id,
            limits,
        };
        return write_json(&sources, out);
    }
    for limit in &limits {
        writeln!(out, "{}: {}", limit.of, limit.says)?;
        let stands = match limit.stands {
            "" => String::new(),
            stands => format!(" ({stands})"),
        };
        writeln!(out, "    {}: {}{stands}", limit.status, limit.text)?;
    }
    out.flush()?;
    Ok(())
}

fn limit<'a>(
    flow: &'a Flow,
    of: String,
    says: String,
    source: &'a str,
    stands: &'a str,
) -> LimitObject<'a> {
    let known = flow.source(source);
    LimitObject {
        of,
        says,
        source,
        status: known.map_or(says::NO_SOURCE, |source| source.status.words()),
        text: known.map_or(says::NO_ORIGIN, |source| &source.text),
        stands,
    }
}

fn of_rules<'a>(flow: &'a Flow, limits: &mut Vec<LimitObject<'a>>) {
    for rule in &flow.rules {
        let raised = rule.raise.iter().map(|condition| (None, condition));
        let levels = rule.levels.iter().map(|(level, own)| (Some(*level), own));
        for (level, condition) in levels.chain(raised) {
            let mut listed: Vec<String> = Vec::new();
            condition.tests(&mut |fact, test| {
                let one = says::limit(fact, test, unit_of(flow, fact));
                if let Some(one) = one.filter(|one| !listed.contains(one)) {
                    listed.push(one);
                }
            });
            if listed.is_empty() {
                continue;
            }
            let own = |level: Level| rule.limits.iter().find(|(known, _)| *known == level);
            let own = level.map_or(rule.limits.first(), own);
            let source = own.map_or("", |(_, source)| source.as_str());
            limits.push(limit(
                flow,
                says::rule(&rule.id, level),
                listed.join("; "),
                source,
                &rule.stands,
            ));
        }
    }
}

fn unit_of(flow: &Flow, fact: &FactId) -> &'static str {
    match flow.spec(fact).map(|spec| &spec.kind) {
        Some(Kind::Number { unit, .. }) => unit.symbol(),
        _ => "",
    }
}

fn of_tables<'a>(flow: &'a Flow, limits: &mut Vec<LimitObject<'a>>) {
    let mut add = |of: String, number: String, source: &'a str| {
        limits.push(limit(flow, of, number, source, ""));
    };
    for material in &flow.materials {
        for (number, source) in of_material(material) {
            add(says::of_material(material), number, source);
        }
    }
    for cement in &flow.cements {
        add(
            says::of_cement(cement),
            says::cement(cement),
            &cement.source,
        );
    }
    for load in &flow.loads {
        add(says::of_load(load), says::force(load), &load.source);
        add(says::of_load(load), says::place(load), "ours");
    }
    for (of, number, source) in of_figures(&flow.figures) {
        add(of.to_owned(), number, source);
    }
    for norm in &flow.norms {
        add(says::of_norm(&norm.beside), norm.says.clone(), &norm.source);
    }
    for question in &flow.questions {
        let (fact, unit) = (&question.fact, unit_of(flow, &question.fact));
        for (instrument, error) in &question.with {
            let number = says::reading(instrument, *error, unit);
            add(says::of_reading(fact), number, READINGS);
        }
        for (_, error) in &question.also_off {
            let number = says::reading_also(*error, unit);
            add(says::of_reading(fact), number, READINGS);
        }
    }
}

fn of_figures(figures: &Figures) -> Vec<(&'static str, String, &str)> {
    let Figures {
        least_prep,
        roots,
        hard_bite,
        breaking,
        least_grip,
        impressions,
        scans,
        spacer,
    } = figures;
    let mut list: Vec<(&'static str, String, &str)> = vec![
        (
            says::LEAST_PREP,
            says::least_prep(least_prep),
            &least_prep.source,
        ),
        (
            says::LEAST_PREP,
            says::least_margin(least_prep),
            &least_prep.margin_source,
        ),
        (says::ROOTS, says::root_lengths(roots), &roots.source),
        (says::ROOTS, says::root_stiffness(roots), &roots.source),
        (
            says::HARD_BITE,
            says::hard_bite(hard_bite),
            &hard_bite.source,
        ),
        (
            says::HARD_BITE,
            says::hard_bite_shares(hard_bite),
            &hard_bite.shares_source,
        ),
        (says::ROOTS, says::third_molars(roots), &roots.area_source),
        (says::BREAKING, says::spread(breaking), &breaking.source),
        (
            says::BREAKING,
            says::fatigue(breaking),
            &breaking.left_source,
        ),
        (
            says::LEAST_GRIP,
            says::least_grip(least_grip.advised),
            &least_grip.source,
        ),
        (
            says::IMPRESSIONS,
            says::stone(impressions.stone_grows),
            &impressions.stone_source,
        ),
        (
            says::IMPRESSIONS,
            says::trays(impressions.stock_tray, impressions.custom_tray),
            &impressions.tray_source,
        ),
        (
            says::SCANS,
            says::scans([scans.three_units, scans.half_arch, scans.beyond]),
            &scans.source,
        ),
        (says::SPACER, spacer.says.clone(), &spacer.source),
    ];
    list.extend(impressions.shrinks.iter().map(|own| {
        let shrinks = says::shrinks(&own.material, own.by);
        (says::IMPRESSIONS, shrinks, own.source.as_str())
    }));
    list
}

/// The source of reading errors, in every flow that has it.
const READINGS: &str = "reading-errors";

fn of_material(material: &Material) -> Vec<(String, &str)> {
    let mut list = vec![(says::material(material), material.source.as_str())];
    if let Some(connectors) = &material.connectors {
        list.push((says::connectors(connectors), connectors.source.as_str()));
    }
    if let Some(breaks) = &material.breaks {
        let number = says::breaks(breaks.sharp, breaks.rounded);
        list.push((number, breaks.source.as_str()));
    }
    list
}
