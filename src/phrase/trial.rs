//! Rules held against what came back, in a laboratory's own words.

pub mod replay;

use std::fmt::Write as _;

use jiff::civil::Date;

use super::learn::{any_of, counted, of_months};
use super::words::day_in_words;
use super::{outcome, rounded};
use crate::case::outcome::Kind;

/// Says that a rule is not one of the flow.
pub fn no_rule(rule: &str) -> String {
    format!("the flow has no rule \"{rule}\"")
}
/// What to do then.
pub const NO_RULE_HINT: &str = "`casepan rules` lists those that can be held against the record";

/// Says that a rule foretells nothing.
pub fn not_on_trial(rule: &str) -> String {
    format!("rule \"{rule}\" foretells nothing, so there is nothing to hold it against")
}
/// What to do then.
pub const NOT_ON_TRIAL_HINT: &str = "give the rule a line such as `foretells: [CameOff]` in the flow's files, or name what came back with --of";

/// Says until when the record is looked at, and how much of it.
pub fn about(closing: Date, restorations: u64) -> String {
    format!(
        "{}, each as it was found, before anybody decided anything; what came back is counted up to {}.",
        counted(restorations),
        day_in_words(closing)
    )
}

/// Says how many were judged by other rules then.
pub fn of_other_flow(count: u64) -> String {
    format!(
        "{} were judged by another flow or another version of it; rules are matched by their names.",
        counted(count)
    )
}

/// Says how many cases are left out, and why: they cannot be read, or were brought in with restorations that had changed already.
pub fn left_out(unread: usize, not_found: usize) -> Option<String> {
    let unread = match unread {
        0 => None,
        1 => Some("1 case cannot be read".to_owned()),
        n => Some(format!("{n} cases cannot be read")),
    };
    let not_found = match not_found {
        0 => None,
        n => Some(format!("of {n} it is not known how they were found")),
    };
    let parts: Vec<String> = unread.into_iter().chain(not_found).collect();
    (!parts.is_empty()).then(|| format!("Left out: {}.", parts.join("; ")))
}

/// Names kinds of outcomes.
pub fn kinds(kinds: &[Kind]) -> String {
    any_of(kinds, "anything that came back")
}

/// Heads one rule.
pub fn foretells(rule: &str, of: &[Kind]) -> String {
    format!("{rule} warns of: {}", kinds(of))
}

/// Heads the list of rules.
pub fn heading(months: i32) -> String {
    format!(
        "Came back within {} with what the rule warns of, of those followed so long",
        of_months(months)
    )
}
/// Heads what the rule told of and was made as ordered.
pub const AS_ORDERED: &str = "told, as ordered";
/// Heads what the rule told of and was changed.
pub const CHANGED: &str = "told, changed";
/// Heads what the rule told of without an answer.
pub const UNASKED: &str = "told, no answer";
/// Heads what the rule was silent on.
pub const SILENT: &str = "silent";

/// Says what the rule told.
pub fn told(fired: u64, decidable: u64, open: u64) -> String {
    let open = match open {
        0 => String::new(),
        1 => "; 1 more could not be decided".to_owned(),
        n => format!("; {n} more could not be decided"),
    };
    format!("told something at {fired} of {}{open}", counted(decidable))
}

/// Says what dentists answered.
pub fn answered(called: u64, changed: u64, as_ordered: u64, withdrawn: u64) -> String {
    format!(
        "asked about {called}: {changed} changed, {as_ordered} to be made as ordered, {withdrawn} not made after all"
    )
}

/// Says what was built of it, and what of that nobody can count.
pub fn built(built: u64, unheard: u64, unripe: u64, months: i32) -> String {
    let mut text = format!("delivered by then: {built}");
    if unheard > 0 {
        let _ = write!(
            text,
            "; {unheard} left out, of dentists who never said what became of anything"
        );
    }
    if unripe > 0 {
        let _ = write!(
            text,
            "; {unripe} left out, not followed for {}",
            of_months(months)
        );
    }
    text
}

/// Says a share with its interval; nothing is known of a group without one.
pub fn share((came, of): (u64, u64), interval: Option<(f64, f64)>) -> String {
    match interval {
        None => "nothing is known".to_owned(),
        Some((low, high)) => {
            let share = percent(came as f64 / of.max(1) as f64);
            format!("{share} % ({} to {})", percent(low), percent(high))
        }
    }
}
/// Heads the names of groups.
pub const GROUP: &str = "the rule";
/// Heads what came back.
pub const CAME_BACK: &str = "came back";
/// Heads shares.
pub const SHARE: &str = "share";

/// Returns a share in percent, without a decimal.
pub fn percent(share: f64) -> String {
    format!("{:.0}", share * 100.0)
}

/// How many columns a bar has that stands beside little else.
pub const BAR: usize = 25;

/// Returns the share at which bars end, so that the widest interval fits.
pub fn top(high: impl IntoIterator<Item = f64>) -> f64 {
    let most = high.into_iter().fold(0.0, f64::max);
    let tops = [0.1, 0.2, 0.4, 0.6, 0.8];
    tops.into_iter().find(|top| most <= *top).unwrap_or(1.0)
}

/// Returns an interval as a bar of so many columns from 0 to `top`: a line from its low to its high end, with the share on it.
pub fn bar(width: usize, share: f64, interval: Option<(f64, f64)>, top: f64) -> String {
    let last = width.saturating_sub(1);
    let column = |at: f64| ((at / top).clamp(0.0, 1.0) * last as f64).round() as usize;
    let Some((low, high)) = interval else {
        return " ".repeat(width);
    };
    let (low, high, own) = (column(low), column(high), column(share));
    let sign = |at: usize| match at {
        at if at == own => '●',
        at if (low..=high).contains(&at) => '─',
        _ => ' ',
    };
    (0..width).map(sign).collect()
}

/// The scale over bars of so many columns, from 0 to `top`.
pub fn scale(width: usize, top: f64) -> String {
    let end = format!("{} %", percent(top));
    let gap = width.saturating_sub(end.chars().count() + 3);
    format!("0 %{:gap$}{end}", "")
}

/// How sure a difference is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sure {
    /// It stands out.
    StandsOut,
    /// It leans, and proves nothing.
    Leans,
    /// None is shown.
    NotShown,
}

impl Sure {
    /// Says how sure it is.
    pub fn words(self) -> &'static str {
        match self {
            Sure::StandsOut => "stands out",
            Sure::Leans => "leans that way, no proof",
            Sure::NotShown => "no difference shown",
        }
    }

    /// Says the same in a column.
    pub fn short(self) -> &'static str {
        match self {
            Sure::StandsOut => "stands out",
            Sure::Leans => "leans",
            Sure::NotShown => "not shown",
        }
    }
}

/// Says a ratio in a column; `None` where nothing came back of the second.
pub fn ratio(value: Option<f64>, low: f64) -> String {
    match value {
        Some(value) => as_ratio(value),
        None => format!("over {}", as_ratio(low)),
    }
}

/// Says between what a ratio lies, in a column.
pub fn ratio_between(low: f64, high: Option<f64>) -> String {
    match high {
        Some(high) => format!("{} to {}", as_ratio(low), as_ratio(high)),
        None => format!("{} or more", as_ratio(low)),
    }
}

fn as_ratio(own: f64) -> String {
    match own {
        own if own >= 10.0 => format!("{own:.0}"),
        own => format!("{own:.1}"),
    }
}

/// Says a ratio: a number of times as many.
pub fn times(value: Option<f64>, low: f64, high: Option<f64>, returns: u64, sure: Sure) -> String {
    let say = as_ratio;
    let range = match (value, high) {
        (Some(value), Some(high)) => {
            format!(
                "{} times as many ({} to {}",
                say(value),
                say(low),
                say(high)
            )
        }
        (Some(value), None) => format!("{} times as many ({} or more", say(value), say(low)),
        (None, _) => format!(
            "at least {} times as many (none came back of the second",
            say(low)
        ),
    };
    format!("{range}, {returns} returns in all): {}", sure.words())
}

/// Says what was made as ordered against what the rule was silent on.
pub fn against_silent(times: &str) -> String {
    format!("as ordered against silent: {times}")
}

/// Says how many came back over all the time, against how many would if both lasted alike.
pub fn lasting(came: u64, expected: f64, sure: Sure) -> String {
    format!(
        "over all the time that they were followed, {came} of those made as ordered came back; {expected:.1} would if they lasted like the silent ones: {}",
        sure.words()
    )
}

/// Says what was made as ordered against what was changed, in points of a hundred.
pub fn against_changed(value: f64, (low, high): (f64, f64), sure: Sure) -> String {
    // Not "-0".
    let points = |own: f64| format!("{:.0}", rounded(own * 100.0, 0));
    format!(
        "as ordered against changed: {} more in a hundred ({} to {}): {}",
        points(value),
        points(low),
        points(high),
        sure.words()
    )
}

/// Says how many calls it takes for one return less.
pub fn calls(least: f64, likely: f64, most: Option<f64>) -> String {
    let most = most.map_or_else(
        || "how many at the most the record cannot say".to_owned(),
        |most| format!("at the most {most:.0}"),
    );
    format!("calls that spare one return: at least {least:.0}, likeliest {likely:.0}, {most}")
}

/// Says that nothing is compared, and what it would take.
pub fn too_few(returns: u64, needed: Option<u64>) -> String {
    let needed = needed.map_or_else(String::new, |needed| {
        format!("; about {needed} returns are needed to see three times as many")
    });
    let returns = match returns {
        1 => "1 return so far".to_owned(),
        n => format!("{n} returns so far"),
    };
    format!("{returns}, too few to compare{needed}")
}

/// Says that a rule was always followed.
pub fn always_followed(followed: u64) -> String {
    format!(
        "Followed {followed} of {followed} times: what it told of was never made as it was, so the record cannot judge this rule."
    )
}

/// Says what a comparison is not.
pub const NOT_BY_LOT: &str = "Cases were not drawn by lot: who was changed differs from who was not. Rules that tell of the same restorations stand out together.";

/// Says how many rules could be compared, and what luck alone would do.
pub fn by_luck(compared: usize, rules: usize, luck: f64) -> String {
    match compared {
        0 => format!("None of {rules} rules could be compared."),
        n => format!(
            "Of {rules} rules {n} could be compared; by luck alone {luck:.1} of these would stand out."
        ),
    }
}

/// Says how many rules foretell nothing.
pub fn rules_not_on_trial(count: usize) -> String {
    match count {
        1 => "1 rule warns of no return and is not on trial.".to_owned(),
        n => format!("{n} rules warn of no return and are not on trial."),
    }
}

/// Heads the rules that foretell nothing and never told anything.
pub const NEVER_TOLD: &str =
    "Foretell nothing, and never told anything; in brackets, at how many they could be decided";
/// Names rules, each with how often it could be decided.
pub fn never_told(rules: &[(String, u64)]) -> String {
    let names: Vec<String> = rules
        .iter()
        .map(|(rule, count)| format!("{rule} ({count})"))
        .collect();
    names.join(", ")
}

/// Heads what was overruled and came back.
pub const OVERRULED: &str = "Told, made as ordered, and came back, also what is not counted above";
/// Says what was overruled and came back.
pub fn overruled(number: &str, restoration: u8, rule: &str, what: Kind, on: Date) -> String {
    format!(
        "{number} R{restoration}  {}  {}  ({rule})",
        day_in_words(on),
        outcome::kind(what)
    )
}

/// Heads the columns of the list of rules.
pub const COLUMNS: [&str; 9] = [
    "rule",
    "told",
    "asked",
    "as ordered",
    "changed",
    "silent",
    "times",
    "between",
    "",
];

/// Says a count of a group.
pub fn cell((came, of): (u64, u64)) -> String {
    match of {
        0 => "–".to_owned(),
        of => format!("{came} of {of}"),
    }
}
/// Says in the list that nothing can be compared.
pub const TOO_FEW: &str = "too few";
/// Says in the list that a rule was always followed.
pub const FOLLOWED: &str = "always followed";
/// Says in the list that a rule never told anything.
pub const NEVER: &str = "never told";
/// Says what the columns of the list are.
pub const COLUMNS_ARE: &str = "As ordered, changed, silent: came back, of those followed so long. Times: how many times as many came back of those made as ordered as of those that the rule was silent on.";

/// Titles the rules on trial.
pub const TITLE: &str = "Rules on trial";
/// Titles one rule on trial.
pub fn title(rule: &str) -> String {
    format!("Rule on trial: {rule}")
}
/// Says which of so many it is.
pub fn which(nth: usize, of: usize) -> String {
    format!("{nth} of {of}")
}
/// Says what to do on the page of one rule. The keys are filled in.
pub const MOVE_A_LIMIT: &str =
    "{limits} moves a limit of this rule and shows what came back on each side of it.";

/// Heads rules that lack examples.
pub fn unshown(count: usize) -> String {
    match count {
        1 => "1 rule lacks an example".to_owned(),
        n => format!("{n} rules lack examples"),
    }
}
