//! Decisions and proposals in a case file.

use std::fmt::Write as _;

use jiff::Timestamp;
use jiff::civil::Date;
use serde::Deserialize;

use super::writing::units_text;
use super::{FactShape, Reader, RestorationShape};
use crate::case::decision::{Decided, Decider, Decision, Matter, Outcome, Proposal, Taken};
use crate::case::{Case, Units};
use crate::fact::{MAX_TEXT, Place, Spot, Value};
use crate::ronfile::{Raw, Spanned, parse_raw};
use crate::text::clean;

#[derive(Deserialize)]
#[serde(rename = "Decision", deny_unknown_fields)]
pub(super) struct DecisionShape<'s> {
    rule: String,
    at: Spanned<String>,
    outcome: Outcome,
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
    #[serde(borrow)]
    units: Option<Spanned<Vec<Raw<'s>>>>,
    who: Option<String>,
    when: Option<Timestamp>,
}

#[derive(Deserialize)]
#[serde(rename = "Taken", deny_unknown_fields)]
struct TakenShape {
    remedy: String,
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

impl<'s> Reader<'s> {
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
                remedy: clean(&way.remedy),
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
                units,
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

    fn parsed<T: Deserialize<'s>>(&mut self, raw: Raw<'s>) -> Option<T> {
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
                self.problem("case-units", span, error.to_string(), "these restorations");
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
                self.problem("case-place", span, error.to_string(), "not a place");
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
        self.problem("case-text", span, "the text is too long", "this value");
        self.help("at most 400 characters");
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
        units,
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
                "(remedy: {}, at: \"{}\"",
                ron::to_string(&way.remedy)?,
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
    if !changed.is_empty() {
        let _ = write!(out, ", changes: [{}]", changes(changed, free_text)?);
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
