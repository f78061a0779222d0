//! Known models: a walk beside what experts read, and the own hand.

use jiff::civil::Date;

use crate::fact::{Place, Unit, Value};
use crate::flow::{Level, RuleId};
use crate::phrase::{Phrase, join, number_words, words};
use crate::practice::hand::{DAYS, Hand, SPOTS};
use crate::practice::model::{Compared, Comparison, Harm};

/// Said if the key is to be changed or looked at without being supervisor.
pub const SUPERVISOR_ONLY: &str = "the key of a practice model is the supervisor's";

/// What to do then.
pub const SUPERVISOR_ONLY_HINT: &str =
    "add --supervisor; whoever practises walks the model with --walk";

/// Nothing differs.
pub const AS_THE_KEY: &str = "Every reading is as the key has it.";

/// The walk is not finished.
pub const NOT_FINISHED: &str = "The walk is not finished: what is still to do counts as not read, and the record leaves the walk out.";

/// Heads what differs.
pub const WORST_FIRST: &str = "What differs, the most harmful first:";

/// Says that a case is one of the key now.
pub fn key_kept(case: &str, model: &str, passes: usize) -> String {
    let passes = match passes {
        1 => "1 pass".to_owned(),
        passes => format!("{passes} passes"),
    };
    format!(
        "{case} is a pass of the key of model {model}, which has {passes}. It is in no worklist and no figure any more."
    )
}

/// Says that a case is one already.
pub fn is_practice(case: &str) -> String {
    format!("case {case} is walked for practice already")
}

/// What to do then.
pub const IS_PRACTICE_HINT: &str = "each pass is a case of its own";

/// Says that a model has no key.
pub fn no_model(model: &str) -> String {
    format!("there is no practice model {model}")
}

/// What to do then.
pub const NO_MODEL_HINT: &str =
    "a supervisor makes one of a case: casepan --supervisor practise MODEL --key CASE";

/// Says how to walk.
pub fn begun(case: &str) -> String {
    format!(
        "Case {case} is there to be walked: casepan open {case}, or casepan ask {case}. Nothing of the key is shown."
    )
}

/// How to go on.
pub fn then_compare(model: &str) -> String {
    format!("Afterwards: casepan practise {model}")
}

/// Says that somebody has not walked a model.
pub fn not_walked(who: &str, model: &str) -> String {
    format!("{who} has not walked model {model}")
}

/// What to do then.
pub fn not_walked_hint(model: &str) -> String {
    format!("casepan practise {model} --walk begins")
}

/// Heads a comparison.
pub fn compared(model: &str, case: &str, passes: usize) -> String {
    match passes {
        1 => format!("Practice: model {model}, walk {case}, key of 1 pass"),
        passes => format!("Practice: model {model}, walk {case}, key of {passes} passes"),
    }
}

/// Says that the key and the walk are of other units.
pub fn other_units(case: &str) -> String {
    format!("case {case} has other units than the model")
}

/// Said where the key is of one pass.
pub const ONE_PASS: &str =
    "A key of one pass tells nothing about what is measured: let a second expert walk the model.";

/// Says how many readings were not worth a line.
pub fn no_line(unread: usize, within: usize, same: usize) -> String {
    let unread = match unread {
        0 => String::new(),
        unread => format!("{unread} not read, from which nothing comes; "),
    };
    format!(
        "{unread}{within} more within what two careful people differ by; {same} as the key has them."
    )
}

/// Heads somebody's hand.
pub fn hand_of(who: &str) -> String {
    format!("The own hand of {who}")
}

/// No model was walked.
pub const NO_WALKS: &str = "No model was walked yet.";

/// Says that a personal reading error is used from now on.
pub fn consented(who: &str, count: usize) -> String {
    match count {
        1 => format!("1 reading error of {who} is the own one from now on."),
        count => format!("{count} reading errors of {who} are the own ones from now on."),
    }
}

/// Says that there is none to be used.
pub fn nothing_to_consent(who: &str) -> String {
    format!("there is no reading error of {who} yet that could be used")
}

/// What to do then.
pub fn more_walks() -> String {
    format!("the same model is walked on {DAYS} days, with {SPOTS} places for each kind of reading")
}

/// Says since when a personal reading error is used.
pub fn used_since(on: Date) -> String {
    format!("used since {}", words::day_in_words(on))
}

fn level(level: Level) -> &'static str {
    words::level(level)
}

impl Phrase<'_> {
    /// Returns what a walk came to beside the key.
    pub fn results(self, own: &Comparison) -> String {
        match own.own == own.key {
            true => format!("Result: {}, as the key has it.", level(own.own)),
            false => format!("Result: yours {}, key {}.", level(own.own), level(own.key)),
        }
    }

    /// Returns one reading beside the key, with what the difference did.
    pub fn beside_the_key(self, own: &Compared) -> String {
        let spec = self.flow.spec(&own.spot.fact);
        let value = |value: &Value| self.value(spec, value, decimals(value));
        let yours = own
            .own
            .as_ref()
            .map_or_else(|| words::NOT_ASKED.to_owned(), value);
        let mut line = format!(
            "{}: you {yours}, key {}",
            self.drill_spot(&own.spot),
            value(&own.key)
        );
        let unit = match &own.key {
            Value::Number(_, unit) => *unit,
            _ => Unit::Ratio,
        };
        let say = |number: f64| number_words(number, unit, Some(1));
        if let Some((least, most)) = own.experts.filter(|_| own.passes > 1) {
            line.push_str(&format!(" (experts {} to {})", say(least), say(most)));
        }
        if let Some((differ, spread)) = own.differ.zip(own.spread) {
            let sign = if differ > 0.0 { "+" } else { "" };
            line.push_str(&format!(
                "; differs {sign}{}, two careful people by ± {}",
                say(differ),
                say(spread)
            ));
        }
        format!("{line}. {}", self.did(own))
    }

    /// What a difference did.
    fn did(self, own: &Compared) -> String {
        let named = |rules: &[(RuleId, Place)]| {
            let names: Vec<String> = rules
                .iter()
                .filter_map(|(rule, at)| {
                    let rule = self.flow.rule(*rule)?;
                    let says = rule.topic.as_deref().unwrap_or(&rule.id);
                    Some(format!("{} {says}", self.place(*at)))
                })
                .collect();
            join(&names)
        };
        match own.harm {
            Harm::Missed => format!("Call missed: {}.", named(&own.missed)),
            Harm::Invented => format!("Call invented: {}.", named(&own.invented)),
            Harm::Level => format!("With the key the result is {}.", level(own.level)),
            Harm::Outside if own.own.is_none() => "It was not read.".to_owned(),
            Harm::Outside if own.spread.is_none() => "Another answer; it did nothing.".to_owned(),
            Harm::Outside => {
                "It did nothing, but it is more than two careful people differ by.".to_owned()
            }
            Harm::Unsure => "The experts differ too much here to tell.".to_owned(),
            Harm::Within => "It did nothing.".to_owned(),
        }
    }

    /// Returns what the readings of a kind say of somebody's hand.
    pub fn hand(self, own: &Hand) -> String {
        let name = self.label(&own.fact);
        let with = self
            .flow
            .instrument(&own.with)
            .map_or(own.with.as_str(), |own| own.name.as_str());
        let unit = Unit::Ratio;
        let say = |number: f64| number_words(number, unit, Some(2));
        let Some(within) = &own.within else {
            return format!(
                "{name}, {with}: {} of {SPOTS} places read on {DAYS} days; nothing can be said yet",
                own.spots
            );
        };
        let between = |low: f64, high: f64| format!("{} to {}", say(low), say(high));
        let interval = within.interval.map_or_else(String::new, |own| {
            format!(" ({})", between(own.low, own.high))
        });
        let mut line = format!(
            "{name}, {with}: one reading is off by {}{interval}, usual {}; two of the same differ by up to {}",
            say(within.sd),
            say(own.usual),
            say(within.repeatability)
        );
        if let Some(key) = &own.agreement {
            line.push_str(&format!(
                "; off the key on average by {} ({}), mostly {}",
                say(key.bias),
                between(key.bias_interval.low, key.bias_interval.high),
                between(key.limits.low, key.limits.high)
            ));
        }
        if let Some(drawn) = own.own {
            line.push_str(&format!("; own reading error {}", say(drawn)));
        }
        line
    }
}

/// A mean has one decimal more than its step.
fn decimals(value: &Value) -> Option<usize> {
    match value {
        Value::Number(_, unit) => Some(unit.decimals().max(1)),
        _ => None,
    }
}
