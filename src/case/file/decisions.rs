//! Decisions and proposals in a case file.

use std::fmt::Write as _;

use jiff::Timestamp;
use jiff::civil::Date;
use serde::Deserialize;

use super::writing::units_text;
use super::{FactShape, Reader, RestorationShape};
use crate::case::coming::{Coming, EarlierRecord, Part};
use crate::case::decision::{
    Decided, Decider, Decision, DentistAnswer, Matter, Proposal, Seen, Taken,
};
use crate::case::{Case, Units};
use crate::fact::{MAX_TEXT, Place, Spot, Value};
use crate::phrase::faults as said;
use crate::phrase::faults::case as faults;
use crate::ronfile::{Raw, Spanned, parse_raw};
use crate::text::clean;

#[derive(Deserialize)]
#[serde(rename = "Decision", deny_unknown_fields)]
pub(super) struct DecisionShape<'s> {
    rule: String,
    at: Spanned<String>,
    outcome: DentistAnswer,
    words: Option<Spanned<String>>,
    #[serde(default)]
    taken: Vec<TakenShape>,
    by: Option<Decider>,
    from: Date,
    cost: Option<Spanned<String>>,
    #[serde(default)]
    amended: bool,
    #[serde(borrow, default)]
    changes: Vec<Raw<'s>>,
    #[serde(borrow, default)]
    expected: Vec<Raw<'s>>,
    #[serde(borrow)]
    units: Option<Spanned<Vec<Raw<'s>>>>,
    coming: Option<Coming>,
    #[serde(borrow)]
    seen: Option<SeenShape<'s>>,
    who: Option<String>,
    when: Option<Timestamp>,
}

#[derive(Deserialize)]
#[serde(rename = "Seen", deny_unknown_fields)]
struct SeenShape<'s> {
    units: String,
    #[serde(borrow, default)]
    readings: Vec<Raw<'s>>,
}

#[derive(Deserialize)]
#[serde(rename = "Taken", deny_unknown_fields)]
struct TakenShape {
    #[serde(alias = "remedy")]
    option: String,
    at: Spanned<String>,
    #[serde(default)]
    walls: Vec<Spanned<String>>,
    amount: Option<Value>,
    choice: Option<Value>,
}

#[derive(Deserialize)]
#[serde(rename = "Proposal", deny_unknown_fields)]
pub(super) struct ProposalShape<'s> {
    #[serde(borrow)]
    changes: Vec<Raw<'s>>,
}

#[derive(Deserialize)]
#[serde(rename = "Came", deny_unknown_fields)]
struct CameShape {
    rule: String,
    at: Spanned<String>,
    part: Part,
    on: Date,
}

#[derive(Deserialize)]
#[serde(rename = "Earlier", deny_unknown_fields)]
struct EarlierShape<'s> {
    restorations: Vec<u8>,
    #[serde(borrow)]
    readings: Vec<Raw<'s>>,
}

impl<'s> Reader<'s> {
    pub(super) fn arrived(&mut self, raw: Raw<'s>) -> Option<(Matter, Part, Date)> {
        let shape: CameShape = self.parsed(raw)?;
        let at = self.place(&shape.at)?;
        let rule = clean(&shape.rule);
        Some((Matter { rule, at }, shape.part, shape.on))
    }

    pub(super) fn earlier(&mut self, raw: Raw<'s>) -> Option<EarlierRecord> {
        let shape: EarlierShape<'s> = self.parsed(raw)?;
        let mut readings = Vec::new();
        for raw in &shape.readings {
            let fact: Option<FactShape> = self.parsed(*raw);
            let checked = fact.and_then(|fact| self.checked(fact, None));
            readings.extend(checked.map(|(spot, _, reading, _)| (spot, reading)));
        }
        Some(EarlierRecord {
            restorations: shape.restorations,
            readings,
        })
    }

    pub(super) fn decision(&mut self, raw: Raw<'s>) -> Option<Decided> {
        let shape: DecisionShape<'s> = self.parsed(raw)?;
        let at = self.place(&shape.at)?;
        let mut taken = Vec::new();
        for way in shape.taken {
            let mut walls = Vec::new();
            for wall in &way.walls {
                walls.push(self.place(wall)?);
            }
            taken.push(Taken {
                option: clean(&way.option),
                at: self.place(&way.at)?,
                walls,
                amount: way.amount,
                choice: way.choice.map(|choice| match choice {
                    Value::Choice(name) => Value::Choice(clean(&name)),
                    Value::Text(text) => Value::Text(clean(&text)),
                    other => other,
                }),
            });
        }
        let units = match &shape.units {
            Some(units) => Some(self.units(units)?),
            None => None,
        };
        Some(Decided {
            decision: Decision {
                about: Matter {
                    rule: clean(&shape.rule),
                    at,
                },
                outcome: shape.outcome,
                words: self.free_text(shape.words.as_ref())?,
                taken,
                by: shape.by,
                from: shape.from,
                cost: self.free_text(shape.cost.as_ref())?,
                amended: shape.amended,
                changes: self.changes(&shape.changes),
                expected: self.changes(&shape.expected),
                units,
                coming: shape.coming,
                seen: shape.seen.map(|own| Seen {
                    units: clean(&own.units),
                    readings: self.changes(&own.readings),
                }),
            },
            who: shape.who.map(|who| clean(&who)),
            when: shape.when,
        })
    }

    pub(super) fn proposal(&mut self, raw: Raw<'s>) -> Option<Proposal> {
        let shape: ProposalShape<'s> = self.parsed(raw)?;
        Some(Proposal {
            changes: self.changes(&shape.changes),
        })
    }

    pub(super) fn parsed<T: Deserialize<'s>>(&mut self, raw: Raw<'s>) -> Option<T> {
        match parse_raw(self.source, raw) {
            Ok(shape) => Some(shape),
            Err(problem) => {
                self.problems.push(problem);
                None
            }
        }
    }

    /// Places of decisions need not exist any more.
    fn changes(&mut self, raws: &[Raw<'s>]) -> Vec<(Spot, Value)> {
        let mut changes = Vec::new();
        for raw in raws {
            let shape: Option<FactShape> = self.parsed(*raw);
            let checked = shape.and_then(|shape| self.checked(shape, None));
            changes.extend(checked.map(|(spot, _, reading, _)| (spot, reading.value)));
        }
        changes
    }

    fn units(&mut self, raws: &Spanned<Vec<Raw<'s>>>) -> Option<Units> {
        let mut restorations = Vec::new();
        for raw in &raws.value {
            let shape: RestorationShape = self.parsed(*raw)?;
            restorations.push(self.restoration(shape)?);
        }
        match Units::new(restorations) {
            Ok(units) => Some(units),
            Err(error) => {
                let span = raws.span(self.source);
                self.problem("case-units", span, faults::units(&error));
                None
            }
        }
    }

    fn place(&mut self, at: &Spanned<String>) -> Option<Place> {
        match at.value.parse() {
            Ok(place) => Some(place),
            Err(error) => {
                let error: crate::fact::PlaceError = error;
                let span = at.span(self.source);
                self.problem("case-place", span, faults::place(error.text()));
                None
            }
        }
    }

    fn free_text(&mut self, text: Option<&Spanned<String>>) -> Option<String> {
        let Some(text) = text else {
            return Some(String::new());
        };
        let cleaned = clean(&text.value);
        if cleaned.chars().count() <= MAX_TEXT {
            return Some(cleaned);
        }
        let span = text.span(self.source);
        self.problem("case-text", span, said::long_text(MAX_TEXT));
        None
    }
}

/// Writes decisions and proposals, one a line. Free words are left out unless asked for.
pub(super) fn write(out: &mut String, case: &Case, free_text: bool) -> Result<(), ron::Error> {
    let mut decisions = case.decisions().peekable();
    if decisions.peek().is_some() {
        out.push_str("    decisions: [\n");
        for decided in decisions {
            decision_line(out, decided, free_text)?;
        }
        out.push_str("    ],\n");
    }
    if !case.proposals().is_empty() {
        out.push_str("    proposals: [\n");
        for proposal in case.proposals() {
            let _ = writeln!(
                out,
                "        (changes: [{}]),",
                changes(&proposal.changes, free_text)?
            );
        }
        out.push_str("    ],\n");
    }
    came(out, case, free_text)
}

/// Writes what arrived, the records that some restorations stay on, and what happened, one a line.
fn came(out: &mut String, case: &Case, free_text: bool) -> Result<(), ron::Error> {
    let mut lists: Vec<(&str, Vec<String>)> = Vec::new();
    let mut arrived = Vec::new();
    for (about, got) in &case.got {
        for (part, on) in got {
            arrived.push(format!(
                "(rule: {}, at: \"{}\", part: {part:?}, on: {})",
                ron::to_string(&about.rule)?,
                about.at,
                ron::to_string(on)?
            ));
        }
    }
    lists.push(("arrived", arrived));
    let mut earlier = Vec::new();
    for record in &case.earlier {
        let readings: Vec<(Spot, Value)> = record
            .readings
            .iter()
            .map(|(spot, reading)| (spot.clone(), reading.value.clone()))
            .collect();
        earlier.push(format!(
            "(restorations: {}, readings: [{}])",
            ron::to_string(&record.restorations)?,
            changes(&readings, free_text)?
        ));
    }
    lists.push(("earlier", earlier));
    let mut life = Vec::new();
    for event in &case.life {
        life.push(ron::to_string(event)?);
    }
    lists.push(("life", life));
    let mut outcomes = Vec::new();
    for outcome in &case.outcomes {
        outcomes.push(ron::to_string(outcome)?);
    }
    lists.push(("outcomes", outcomes));
    for (name, lines) in lists {
        if lines.is_empty() {
            continue;
        }
        let _ = writeln!(out, "    {name}: [");
        for line in lines {
            let _ = writeln!(out, "        {line},");
        }
        out.push_str("    ],\n");
    }
    Ok(())
}

fn decision_line(out: &mut String, decided: &Decided, free_text: bool) -> Result<(), ron::Error> {
    let Decision {
        about,
        outcome,
        words,
        taken,
        by,
        from,
        cost,
        amended,
        changes: changed,
        expected,
        units,
        coming,
        seen,
    } = &decided.decision;
    let _ = write!(
        out,
        "        (rule: {}, at: \"{}\", outcome: {}, from: {}",
        ron::to_string(&about.rule)?,
        about.at,
        ron::to_string(outcome)?,
        ron::to_string(from)?
    );
    if let Some(by) = by {
        let _ = write!(out, ", by: {}", ron::to_string(by)?);
    }
    for (name, text) in [("words", words), ("cost", cost)] {
        if free_text && !text.is_empty() {
            let _ = write!(out, ", {name}: {}", ron::to_string(text)?);
        }
    }
    if *amended {
        out.push_str(", amended: true");
    }
    if !taken.is_empty() {
        let mut ways = Vec::new();
        for way in taken {
            let mut text = format!(
                "(option: {}, at: \"{}\"",
                ron::to_string(&way.option)?,
                way.at
            );
            if !way.walls.is_empty() {
                let walls: Vec<_> = way.walls.iter().map(|at| format!("\"{at}\"")).collect();
                let _ = write!(text, ", walls: [{}]", walls.join(", "));
            }
            for (name, value) in [("amount", &way.amount), ("choice", &way.choice)] {
                if let Some(value) = value {
                    let _ = write!(text, ", {name}: {}", ron::to_string(value)?);
                }
            }
            ways.push(format!("{text})"));
        }
        let _ = write!(out, ", taken: [{}]", ways.join(", "));
    }
    if let Some(seen) = seen {
        let _ = write!(
            out,
            ", seen: (units: {}, readings: [{}])",
            ron::to_string(&seen.units)?,
            changes(&seen.readings, free_text)?
        );
    }
    if !changed.is_empty() {
        let _ = write!(out, ", changes: [{}]", changes(changed, free_text)?);
    }
    if !expected.is_empty() {
        let _ = write!(out, ", expected: [{}]", changes(expected, free_text)?);
    }
    if let Some(coming) = coming {
        let _ = write!(out, ", coming: {}", coming_text(coming)?);
    }
    if let Some(units) = units {
        let _ = write!(out, ", units: [{}]", units_text(units).join(", "));
    }
    if let Some(who) = &decided.who {
        let _ = write!(out, ", who: {}", ron::to_string(who)?);
    }
    if let Some(when) = &decided.when {
        let _ = write!(out, ", when: {}", ron::to_string(when)?);
    }
    out.push_str("),\n");
    Ok(())
}

fn coming_text(coming: &Coming) -> Result<String, ron::Error> {
    let parts: Vec<String> = coming
        .parts
        .iter()
        .map(|(part, blocks)| format!("({part:?}, {blocks:?})"))
        .collect();
    let mut text = format!("(parts: [{}]", parts.join(", "));
    if let Some(due) = &coming.due {
        let _ = write!(text, ", due: {}", ron::to_string(due)?);
    }
    text.push(')');
    Ok(text)
}

fn changes(list: &[(Spot, Value)], free_text: bool) -> Result<String, ron::Error> {
    let mut said = Vec::new();
    for (spot, value) in list {
        if free_text || !matches!(value, Value::Text(_)) {
            said.push(format!(
                "(fact: {}, at: \"{}\", is: {})",
                ron::to_string(spot.fact.as_str())?,
                spot.at,
                ron::to_string(value)?
            ));
        }
    }
    Ok(said.join(", "))
}
