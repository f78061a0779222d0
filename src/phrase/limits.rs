//! Which limit a number may pass.

use super::{Phrase, chance_words, number_words};
use crate::fact::{Kind, Unit, Value};
use crate::judge::doubt::{Method, NearLimit};

impl Phrase<'_> {
    /// Says how near a figure lies to a limit that would change a finding, or how likely a yes or no is otherwise.
    pub fn near(self, near: &NearLimit) -> String {
        let place = self.place(near.spot.at);
        let label = self.label(&near.spot.fact);
        let chance = chance_words(near.chance);
        let drawn = match near.method {
            Method::Differences => String::new(),
            Method::Draws(draws) => format!(", by {draws} draws of the readings"),
        };
        let (Some(number), Some(limit)) = (near.value.number(), near.limit) else {
            let value = match near.value {
                Value::Yes => "yes",
                _ => "no",
            };
            return format!("{place} {label}: {value} (about {chance} that it is not so{drawn})");
        };
        let unit = match self.flow.spec(&near.spot.fact).map(|spec| &spec.kind) {
            Some(Kind::Number { unit, .. }) => *unit,
            _ => Unit::Ratio,
        };
        let decimals = Some(unit.decimals().max(1));
        let spread = near.spread.map_or_else(String::new, |spread| {
            format!(" ± {}", number_words(spread, unit, decimals))
        });
        let other = if number < limit { "above" } else { "below" };
        format!(
            "{place} {label}: {}{spread}, limit {} (about {chance} that it is really {other}{drawn})",
            number_words(number, Unit::Ratio, decimals),
            number_words(limit, unit, decimals),
        )
    }
}
