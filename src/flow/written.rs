//! Conditions and values as the files of a flow write them, on one line.

use super::model::{Flow, Rule};
use crate::fact::{FactId, Kind, Place, PlaceKind, Unit, Value};
use crate::logic::{Condition, Test, Truth, World};
use crate::phrase::faults::flow as said;

/// Returns a condition as a file writes it.
pub fn condition(condition: &Condition, flow: &Flow) -> String {
    let all = |parts: &[Condition]| {
        let parts: Vec<String> = parts
            .iter()
            .map(|part| self::condition(part, flow))
            .collect();
        parts.join(", ")
    };
    match condition {
        Condition::All(parts) => format!("All([{}])", all(parts)),
        Condition::Any(parts) => format!("Any([{}])", all(parts)),
        Condition::AtLeast(least, parts) => format!("AtLeast({least}, [{}])", all(parts)),
        Condition::Not(part) => format!("Not({})", self::condition(part, flow)),
        Condition::AnyAt(kind, part) => format!("AnyAt({kind:?}, {})", self::condition(part, flow)),
        Condition::EveryAt(kind, part) => {
            format!("EveryAt({kind:?}, {})", self::condition(part, flow))
        }
        Condition::AtLeastAt(least, kind, part) => {
            format!(
                "AtLeastAt({least}, {kind:?}, {})",
                self::condition(part, flow)
            )
        }
        Condition::Test(fact, test) => self::test(fact, test, flow),
    }
}

/// Returns a test of a fact as a file writes it.
pub fn test(fact: &FactId, test: &Test, flow: &Flow) -> String {
    let name = fact.as_str();
    let limit =
        |word: &str, number: f64| format!("{word}(\"{name}\", {})", limit(fact, number, flow));
    match test {
        Test::Is(is) => format!("Is(\"{name}\", {})", value(is)),
        Test::OneOf(values) => {
            let values: Vec<String> = values.iter().map(value).collect();
            format!("OneOf(\"{name}\", [{}])", values.join(", "))
        }
        Test::Below(number) => limit("Below", *number),
        Test::AtMost(number) => limit("AtMost", *number),
        Test::Above(number) => limit("Above", *number),
        Test::Reaches(number) => limit("Reaches", *number),
        Test::Answered => format!("Answered(\"{name}\")"),
        Test::NotSeen => format!("NotSeen(\"{name}\")"),
    }
}

/// Returns a limit on a fact as a file writes it, in the fact's unit.
pub fn limit(fact: &FactId, number: f64, flow: &Flow) -> String {
    let unit = match flow.spec(fact).map(|spec| &spec.kind) {
        Some(Kind::Number { unit, .. }) => *unit,
        _ => Unit::Ratio,
    };
    format!("{}({number})", unit.variant())
}

/// Returns a value as a file writes it.
pub fn value(value: &Value) -> String {
    match value {
        Value::Choice(name) => format!("Choice(\"{name}\")"),
        Value::Yes => "Yes".to_owned(),
        Value::No => "No".to_owned(),
        Value::Number(number, unit) => format!("{}({number})", unit.variant()),
        Value::Teeth(teeth) => {
            let teeth: Vec<String> = teeth.iter().map(|tooth| format!("\"{tooth}\"")).collect();
            format!("Teeth([{}])", teeth.join(", "))
        }
        Value::Day(day) => format!("Day(\"{day}\")"),
        Value::Text(text) => format!("Text({text:?})"),
        Value::NotSeen => "NotSeen".to_owned(),
    }
}

/// Returns what a rule says, when, and by which source, as a file writes it; without its question and its examples.
pub fn rule(rule: &Rule, flow: &Flow) -> Vec<String> {
    let mut lines = vec![format!("id: {:?}, at: {:?}", rule.id, rule.at)];
    for (level, condition) in &rule.levels {
        lines.push(format!("{level:?}: {}", self::condition(condition, flow)));
    }
    let raise = rule.raise.iter();
    lines.extend(raise.map(|condition| format!("raise: {}", self::condition(condition, flow))));
    lines.push(format!("says: {:?}", rule.says));
    lines.push(format!("source: {:?}", rule.source));
    let limits = rule.limits.iter();
    lines.extend(limits.map(|(level, source)| format!("limit of {level:?}: {source:?}")));
    lines
}

/// Returns each part of a rule's conditions at a place with what it comes to, a line each; parts stand further in than what
/// they are parts of. `unknown` is said of a part that cannot be told.
pub fn truths(
    rule: &Rule,
    world: &dyn World,
    at: Place,
    (flow, unknown): (&Flow, &str),
) -> Vec<String> {
    let mut lines = Vec::new();
    for (level, condition) in &rule.levels {
        lines.push(said::part_of_level(&format!("{level:?}")));
        walk(condition, (world, at, flow, unknown), 1, &mut lines);
    }
    for condition in &rule.raise {
        lines.push(said::part_of_level(said::PART_RAISE));
        walk(condition, (world, at, flow, unknown), 1, &mut lines);
    }
    lines
}

fn walk(
    condition: &Condition,
    (world, at, flow, unknown): (&dyn World, Place, &Flow, &str),
    depth: usize,
    lines: &mut Vec<String>,
) {
    let truth = |at: Place, label: &str, lines: &mut Vec<String>| {
        let found = condition.eval(world, at);
        let comes_to = match found.truth {
            Truth::True => said::PART_TRUE,
            Truth::False => said::PART_FALSE,
            Truth::Unknown if !found.can_be_true && !found.can_be_false => said::PART_IDLE,
            Truth::Unknown => unknown,
        };
        lines.push(said::part(depth, label, comes_to));
    };
    let places = |kind: PlaceKind, part: &Condition, label: String, lines: &mut Vec<String>| {
        truth(at, &label, lines);
        for place in world.within(at, kind) {
            lines.push(said::part_at(depth + 1, place));
            walk(part, (world, place, flow, unknown), depth + 2, lines);
        }
    };
    match condition {
        Condition::All(parts) => {
            truth(at, "All", lines);
            parts
                .iter()
                .for_each(|part| walk(part, (world, at, flow, unknown), depth + 1, lines));
        }
        Condition::Any(parts) => {
            truth(at, "Any", lines);
            parts
                .iter()
                .for_each(|part| walk(part, (world, at, flow, unknown), depth + 1, lines));
        }
        Condition::AtLeast(least, parts) => {
            truth(at, &format!("AtLeast({least})"), lines);
            parts
                .iter()
                .for_each(|part| walk(part, (world, at, flow, unknown), depth + 1, lines));
        }
        Condition::Not(part) => {
            truth(at, "Not", lines);
            walk(part, (world, at, flow, unknown), depth + 1, lines);
        }
        Condition::AnyAt(kind, part) => places(*kind, part, format!("AnyAt({kind:?})"), lines),
        Condition::EveryAt(kind, part) => places(*kind, part, format!("EveryAt({kind:?})"), lines),
        Condition::AtLeastAt(least, kind, part) => {
            places(*kind, part, format!("AtLeastAt({least}, {kind:?})"), lines);
        }
        Condition::Test(fact, own) => truth(at, &test(fact, own, flow), lines),
    }
}
