//! Every number that a flow judges by, each with where it comes from and where it stands: `casepan flow sources`.

use std::io::Write;

use schemars::JsonSchema;
use serde::Serialize;

use super::{loaded, write_json};
use crate::cli::{Cli, DataFormat};
use crate::desk::usable;
use crate::error::Error;
use crate::fact::{FactId, Kind};
use crate::flow::{Figures, Flow, Level, Load, Material};
use crate::logic::Test;
use crate::print::json::shape::Format;

/// Every limit of a flow with its source.
#[derive(Serialize, JsonSchema)]
pub(super) struct Sources<'a> {
    /// The format of this object.
    format: Format,
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
    /// What is held against what.
    says: String,
    /// The id of the source of the number.
    source: &'a str,
    /// How far the number can be relied on.
    status: &'static str,
    /// The source in words.
    text: &'a str,
    /// The file and line, where it is a rule's.
    stands: &'a str,
}

/// Lists them.
///
/// # Errors
/// The flow cannot be read, or the list not written.
pub(super) fn list(cli: &Cli, format: DataFormat, out: &mut dyn Write) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let mut limits = Vec::new();
    of_rules(&flow, &mut limits);
    of_tables(&flow, &mut limits);
    if format == DataFormat::Json {
        let sources = Sources {
            format: Format,
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
        status: known.map_or("no source named", |source| source.status.words()),
        text: known.map_or("nobody said where it comes from", |source| &source.text),
        stands,
    }
}

fn of_rules<'a>(flow: &'a Flow, limits: &mut Vec<LimitObject<'a>>) {
    for rule in &flow.rules {
        let raised = rule.raise.iter().map(|condition| (None, condition));
        let levels = rule.levels.iter().map(|(level, own)| (Some(*level), own));
        for (level, condition) in levels.chain(raised) {
            let mut says: Vec<String> = Vec::new();
            condition.tests(&mut |fact, test| {
                let one = said(flow, fact, test);
                if let Some(one) = one.filter(|one| !says.contains(one)) {
                    says.push(one);
                }
            });
            if says.is_empty() {
                continue;
            }
            let own = |level: Level| rule.limits.iter().find(|(known, _)| *known == level);
            let own = level.map_or(rule.limits.first(), own);
            let source = own.map_or("", |(_, source)| source.as_str());
            let level = level.map_or("raised", Level::as_str);
            limits.push(limit(
                flow,
                format!("{}, {level}", rule.id),
                says.join("; "),
                source,
                &rule.stands,
            ));
        }
    }
}

/// A number that a fact is held against; nothing where only signs are told apart.
fn said(flow: &Flow, fact: &FactId, test: &Test) -> Option<String> {
    let number = test.limit().filter(|number| *number != 0.0)?;
    let unit = unit_of(flow, fact);
    let word = match test {
        Test::Below(_) => "below",
        Test::AtMost(_) => "at most",
        Test::Above(_) => "above",
        _ => "from",
    };
    Some(
        format!("{fact} {word} {number} {unit}")
            .trim_end()
            .to_owned(),
    )
}

fn unit_of(flow: &Flow, fact: &FactId) -> &'static str {
    match flow.spec(fact).map(|spec| &spec.kind) {
        Some(Kind::Number { unit, .. }) => unit.symbol(),
        _ => "",
    }
}

fn of_tables<'a>(flow: &'a Flow, limits: &mut Vec<LimitObject<'a>>) {
    let mut add = |of: String, says: String, source: &'a str| {
        limits.push(limit(flow, of, says, source, ""));
    };
    for material in &flow.materials {
        for (says, source) in of_material(material) {
            add(format!("material {}", material.id), says, source);
        }
    }
    for cement in &flow.cements {
        let says = format!("comes off at {} MPa", cement.stress);
        add(format!("cement {}", cement.id), says, &cement.source);
    }
    for load in &flow.loads {
        let [incisor, canine, premolar, molar] = load.force;
        let force = format!("{incisor}, {canine}, {premolar}, {molar} N by class");
        add(format!("load {}", load.id), force, &load.source);
        let Load {
            angle, out, above, ..
        } = load;
        let stands = format!("at {angle}°, {out} of the half width out, {above} mm above");
        add(format!("load {}", load.id), stands, "ours");
    }
    for (of, says, source) in of_figures(&flow.figures) {
        add(of.to_owned(), says, source);
    }
    for norm in &flow.norms {
        let of = format!("usual, beside {}", norm.beside.join(", "));
        add(of, norm.says.clone(), &norm.source);
    }
    for question in &flow.questions {
        let (of, unit) = (
            format!("reading {}", question.fact),
            unit_of(flow, &question.fact),
        );
        for (instrument, error) in &question.with {
            add(
                of.clone(),
                format!("{instrument} ± {error} {unit}"),
                READINGS,
            );
        }
        for (_, error) in &question.also_off {
            add(
                of.clone(),
                format!("on top of it, where it applies, ± {error} {unit}"),
                READINGS,
            );
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
    let listed = |row: &[f64]| {
        let row: Vec<String> = row.iter().map(ToString::to_string).collect();
        row.join(", ")
    };
    let mut list: Vec<(&'static str, String, &str)> = vec![
        (
            "least prep",
            format!(
                "{} mm high on molars, {} mm on others, {}° a wall",
                least_prep.molar, least_prep.other, least_prep.taper
            ),
            &least_prep.source,
        ),
        (
            "least prep",
            format!("margin {} mm wide", least_prep.margin),
            &least_prep.margin_source,
        ),
        (
            "roots",
            format!("{} mm long by position", listed(&roots.length)),
            &roots.source,
        ),
        (
            "roots",
            format!(
                "{} stiff by position, lower incisors {} of it",
                listed(&roots.stiffness),
                roots.lower_incisors
            ),
            &roots.source,
        ),
        (
            "hard bite",
            format!("{} N behind the canines", hard_bite.back),
            &hard_bite.source,
        ),
        (
            "hard bite",
            format!(
                "{} of it on incisors, {} on canines",
                hard_bite.incisors, hard_bite.canines
            ),
            &hard_bite.shares_source,
        ),
        (
            "roots",
            format!(
                "area of a third molar {} of the second's",
                roots.third_molar_area
            ),
            &roots.area_source,
        ),
        (
            "breaking force",
            format!("series apart by {} either way", breaking.spread),
            &breaking.source,
        ),
        (
            "breaking force",
            format!("{} left after years of chewing", breaking.left),
            &breaking.left_source,
        ),
        (
            "least grip",
            format!("{} recommended", least_grip.advised),
            &least_grip.source,
        ),
        (
            "impressions",
            format!("stone expands by {} %", impressions.stone_grows),
            &impressions.stone_source,
        ),
        (
            "impressions",
            format!(
                "a stock tray adds {} µm, a custom tray {} µm",
                impressions.stock_tray, impressions.custom_tray
            ),
            &impressions.tray_source,
        ),
        (
            "scans",
            format!(
                "off by {} µm over three units, {} µm over half an arch, {} µm over more",
                scans.three_units, scans.half_arch, scans.beyond
            ),
            &scans.source,
        ),
        ("die spacer", spacer.says.clone(), &spacer.source),
    ];
    list.extend(impressions.shrinks.iter().map(|own| {
        let says = format!("{} shrinks by {} %", own.material, own.by);
        ("impressions", says, own.source.as_str())
    }));
    list
}

/// The source of reading errors, in every flow that has it.
const READINGS: &str = "reading-errors";

fn of_material(material: &Material) -> Vec<(String, &str)> {
    let mut list = vec![(
        format!(
            "{} mm on top, {} mm on a wall, margin {} mm, at most {} units",
            material.occlusal, material.axial, material.margin_depth, material.most_units
        ),
        material.source.as_str(),
    )];
    if let Some(connectors) = &material.connectors {
        let least = |list: &[f64]| {
            let list: Vec<String> = list.iter().map(ToString::to_string).collect();
            list.join(", ")
        };
        list.push((
            format!(
                "connectors by pontics: {} mm² in front, {} mm² behind",
                least(&connectors.front),
                least(&connectors.back)
            ),
            connectors.source.as_str(),
        ));
    }
    if let Some(breaks) = &material.breaks {
        list.push((
            format!(
                "connectors broke at {} MPa sharp, {} MPa rounded",
                breaks.sharp, breaks.rounded
            ),
            breaks.source.as_str(),
        ));
    }
    list
}
