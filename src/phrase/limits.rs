//! Limits: which one a finding passed, how near a figure lies to one, and which reading to take again.

use super::{Phrase, number_words, pages, words};
use crate::derive::Facts;
use crate::fact::{FactId, Kind, Unit, Value};
use crate::judge::Finding;
use crate::judge::doubt::{Doubt, MeasureAgain, Method, NearLimit};

impl Phrase<'_> {
    /// Returns the limit that a finding passed, such as "needs 3.0 mm", with label and value if its sentence lacks the
    /// value; `None` if it passed none, or 0.
    pub fn limit(self, facts: &Facts<'_>, finding: &Finding) -> Option<String> {
        self.passed(facts, finding)
            .as_ref()
            .map(pages::findings::limit)
    }

    pub(super) fn is_ratio(self, fact: &FactId) -> bool {
        let kind = self.flow.spec(fact).map(|spec| &spec.kind);
        matches!(
            kind,
            Some(Kind::Number {
                unit: Unit::Ratio,
                ..
            })
        )
    }

    /// Returns how likely a different result is with the errors of all readings together, and that no single reading
    /// decides it if none does; `None` if it hardly is.
    pub fn turns(self, doubt: &Doubt) -> Option<String> {
        let turns = doubt.turns.filter(|turns| *turns >= 0.02)?;
        let alone = if doubt.measure_again.is_empty() {
            " No single reading decides it."
        } else {
            ""
        };
        Some(format!(
            "The result could be another if the readings are off by their usual errors: about {}.{alone}",
            chance_words(turns)
        ))
    }

    /// Returns which reading to take again, and at which value the result turns.
    pub fn again(self, measure_again: &MeasureAgain) -> String {
        let MeasureAgain {
            spot,
            value,
            unit,
            error,
            flips_at,
            to,
            chance,
        } = measure_again;
        let decimals = Some(unit.decimals().max(1));
        format!(
            "{} {}: {} ± {}; {} if {} {} (about {})",
            self.place(spot.at),
            self.label(&spot.fact),
            number_words(*value, Unit::Ratio, decimals),
            number_words(*error, *unit, decimals),
            self.level(*to).to_uppercase(),
            if flips_at < value { "below" } else { "above" },
            number_words(*flips_at, *unit, decimals),
            chance_words(*chance)
        )
    }

    /// Returns how near a figure lies to a limit that would change a finding, or how likely a yes or no is wrong.
    pub fn near(self, near: &NearLimit) -> String {
        let place = self.place(near.spot.at);
        let label = self.label(&near.spot.fact);
        let chance = about_words(near.chance);
        let drawn = match near.method {
            Method::Differences => String::new(),
            Method::Draws(draws) => format!(", by {draws} random draws of the readings"),
        };
        let (Some(number), Some(limit)) = (near.value.number(), near.limit) else {
            let value = match near.value {
                Value::Yes => words::YES,
                _ => words::NO,
            };
            return format!("{place} {label}: {value} ({chance} that this is wrong{drawn})");
        };
        let unit = match self.flow.spec(&near.spot.fact).map(|spec| &spec.kind) {
            Some(Kind::Number { unit, .. }) => *unit,
            _ => Unit::Ratio,
        };
        let decimals = Some(unit.decimals().max(1));
        let spread = near.spread.map_or_else(String::new, |spread| {
            format!(" ± {}", number_words(spread, unit, decimals))
        });
        let other = match near.below {
            true if limit == 0.0 => "0",
            true => "below",
            false => "above",
        };
        format!(
            "{place} {label}: {}{spread}, limit {} ({chance} that it is {other}{drawn})",
            number_words(number, Unit::Ratio, decimals),
            number_words(limit, unit, decimals),
        )
    }
}

/// Returns a chance before "that", as one in a number, or as even odds from 0.4 on.
fn about_words(chance: f64) -> String {
    let words = chance_words(chance);
    if chance >= 0.4 {
        format!("about {words}")
    } else {
        format!("about a {words} chance")
    }
}

/// The chances that are said, one in so many. They are not known any closer: a chance of 0.2 is good to 0.05.
const ONE_IN: [u32; 6] = [3, 4, 5, 10, 20, 50];

/// Returns a chance as one in a number, the next larger chance that is said, or as even odds from 0.4 on.
fn chance_words(chance: f64) -> String {
    if chance >= 0.4 {
        return "even odds".to_owned();
    }
    let fits = |one_in: &&u32| f64::from(**one_in) * chance <= 1.0;
    let one_in = ONE_IN.iter().rev().find(fits).unwrap_or(&ONE_IN[0]);
    format!("1 in {one_in}")
}
