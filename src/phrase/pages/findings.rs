//! The page of findings, and findings beside the questions.

use crate::derive::Facts;
use crate::fact::{Spot, Unit, Value};
use crate::flow::Level;
use crate::judge::Finding;
use crate::logic::Test;
use crate::phrase::{Phrase, number_words, shown_decimals, words};

/// Heads what was found, in the marked finding in full.
pub const WHAT: &str = "Finding";
/// Heads what the dentist answered to it.
pub const ANSWER: &str = "Answer";
/// Heads why it matters.
pub const WHY: &str = "Why";
/// Heads what is usual there.
pub const USUAL: &str = "Usual";
/// Heads the facts it is based on.
pub const EVIDENCE: &str = "Evidence";
/// Heads figures that lie near a limit.
pub const NEAR_LIMIT: &str = "Near a limit";
/// Heads the question to the dentist.
pub const ASK: &str = "Ask the dentist";
/// Heads what the laboratory does about it.
pub const BENCH: &str = "At the bench";
/// Heads where the rule comes from.
pub const SOURCE: &str = "Source";
/// Heads findings with the same cause.
pub const SAME_CAUSE: &str = "Same cause";

/// Names, before its open points, what no step of the inspection asks: it is asked on the call.
pub const ON_THE_CALL: &str = "On the call";

/// Heads the values that were found, in the table of what a finding rests on.
pub const FOUND: &str = "found";
/// Heads what they should be.
pub const NEEDS: &str = "needs";
/// Heads the readings that they were worked out from.
pub const FROM: &str = "from";
/// Says the readings that something was worked out from, below it.
pub fn from(readings: &str) -> String {
    format!("from {readings}")
}

/// Stands where a value was worked out from the same readings as the one above.
pub const THE_SAME: &str = "the same";

/// Says a line of that table when it is read aloud.
pub fn evidence_aloud(
    what: &str,
    found: &str,
    needs: Option<&(Bound, String)>,
    from: &str,
) -> String {
    let mut said = format!("{what}: {found}");
    if let Some((bound, limit)) = needs {
        let bound = match bound {
            Bound::AtLeast => "at least",
            Bound::MoreThan => "more than",
            Bound::AtMost => "at most",
            Bound::LessThan => "less than",
        };
        said.push_str(&format!(", needs {bound} {limit}"));
    }
    if !from.is_empty() {
        said.push_str(&format!(", from {from}"));
    }
    said
}

/// Says what a value should be in that table.
pub fn needs(bound: Bound, limit: &str) -> String {
    let sign = match bound {
        Bound::AtLeast => "≥",
        Bound::MoreThan => ">",
        Bound::AtMost => "≤",
        Bound::LessThan => "<",
    };
    format!("{sign} {limit}")
}

/// Says a reading with its value, among those that something was worked out from.
pub fn reading(label: &str, value: &str) -> String {
    format!("{label} {value}")
}

/// Heads the list of findings with how many there are.
pub fn count(findings: usize) -> String {
    format!("Findings ({findings})")
}

/// Heads the open points with how many there are.
pub fn still_to_find_out(points: usize) -> String {
    format!("{} ({points})", words::STILL_TO_FIND_OUT)
}

/// Says a line of a restoration's figures.
pub fn of_restoration(restoration: u8, line: &str) -> String {
    format!("R{restoration}: {line}")
}

/// Says an open point, and what it may come to.
pub fn open_point(point: &str, may_become: &str) -> String {
    format!("{point}: {may_become}")
}

/// Says of a step how many of its questions are left, and the worst that they may come to.
pub fn step_waiting(step: &str, questions: usize, worst: Level) -> String {
    let worst = words::level(worst);
    match questions {
        0 => format!("{step}: may become {worst}"),
        1 => format!("{step}: 1 question left, may become {worst}"),
        n => format!("{step}: {n} questions left, may become {worst}"),
    }
}

/// Says a finding that the newest change took away.
pub fn gone(place: &str, level: Level) -> String {
    format!("{place}: {}", words::level(level))
}

/// Says a line of a finding behind its level.
pub fn with_level(level: Level, line: &str) -> String {
    format!("{}: {line}", words::level(level))
}

/// Says a finding behind its place, where its level stands before it.
pub fn at(place: &str, says: &str) -> String {
    format!("{place}: {says}")
}

/// Says the place of a finding, with a mark behind it if the newest change brought it.
pub fn place_of(place: &str, is_new: bool) -> String {
    let mark = if is_new { " (new)" } else { "" };
    format!("{place}{mark}")
}

/// Titles the findings, with how many there are.
pub fn titled(findings: usize) -> String {
    super::counted(super::tabs::FINDINGS, findings)
}

/// Says a finding when it is read aloud: level, place, sentence.
pub fn aloud(level: Level, place: &str, told: &str) -> String {
    format!("{}, {place}: {told}", words::level(level))
}

/// Says which key shows all findings.
pub fn all_findings(key: &str, findings: usize) -> String {
    format!("{key}: all {findings} findings")
}

/// Says, behind the worst finding, which key shows the others.
pub fn all(key: &str, findings: usize) -> String {
    format!(" ({key}: all {findings})")
}

/// A limit that a finding passed.
#[derive(Clone, PartialEq, Debug)]
pub struct Passed {
    /// What the fact is called and its number, if the sentence of the finding lacks it.
    pub number: Option<(String, f64)>,
    /// On which side of the limit the number should lie.
    pub bound: Bound,
    /// The limit.
    pub limit: f64,
    /// The number itself, whether the sentence has it or not.
    pub value: f64,
    /// The unit of both.
    pub unit: Unit,
    /// The level that passing it brought.
    pub level: Level,
    /// How many decimals the limit is shown with.
    pub decimals: usize,
}

/// On which side of a limit a number should lie.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Bound {
    /// At the limit or above.
    AtLeast,
    /// Above the limit.
    MoreThan,
    /// At the limit or below.
    AtMost,
    /// Below the limit.
    LessThan,
}

/// Says a limit that was passed, such as "needs 3.0 mm", behind the number if the sentence lacks it.
pub fn limit(passed: &Passed) -> String {
    let least = number_words(passed.limit, passed.unit, Some(passed.decimals));
    let level = words::level(passed.level);
    let is_length = matches!(passed.unit, Unit::Mm | Unit::Micron);
    let is_needed = is_length || matches!(passed.unit, Unit::Mm2 | Unit::Mm3 | Unit::Percent);
    let limit = match passed.bound {
        Bound::AtLeast if is_needed => format!("needs {least}"),
        Bound::AtLeast => format!("at least {least}"),
        Bound::MoreThan => format!("more than {least}"),
        Bound::AtMost if is_length => format!("{level}: over {least}"),
        Bound::AtMost => format!("at most {least}"),
        Bound::LessThan if is_length => format!("{level}: from {least}"),
        Bound::LessThan => format!("less than {least}"),
    };
    // Where both read alike, only rounding hides the difference: the number is given with one more decimal, or as near.
    let said = |decimals| number_words(passed.value, passed.unit, Some(decimals));
    let alike = said(passed.decimals) == least;
    let more = passed.decimals + 1;
    let tells = said(more) != number_words(passed.limit, passed.unit, Some(more));
    let near = match passed.bound {
        Bound::AtLeast | Bound::MoreThan => "just below it",
        Bound::AtMost | Bound::LessThan => "just above it",
    };
    match &passed.number {
        None if alike && tells => format!("{limit}; exactly {}", said(more)),
        None if alike => format!("{limit}, {near}"),
        None => limit,
        Some((label, _)) if alike && tells => format!("{label} {}, {limit}", said(more)),
        Some((label, number)) => {
            let number = number_words(*number, passed.unit, None);
            let near = if alike {
                format!(", {near}")
            } else {
                String::new()
            };
            format!("{label} {number}, {limit}{near}")
        }
    }
}

/// Says a finding behind its level and place: the sentence, the limit, how many findings share its cause.
pub fn told(says: &str, passed: Option<&Passed>, folded: usize) -> String {
    let limit = passed.map_or_else(String::new, |passed| format!(" ({})", limit(passed)));
    let same = match folded {
        0 => String::new(),
        more => format!(" (+{more} same cause)"),
    };
    format!("{says}{limit}{same}")
}

/// Returns on which side of its limit a number has to lie for a test not to hold.
fn bound_of(test: &Test) -> Bound {
    match test {
        Test::Below(_) => Bound::AtLeast,
        Test::AtMost(_) => Bound::MoreThan,
        Test::Above(_) => Bound::AtMost,
        _ => Bound::LessThan,
    }
}

/// Returns how many decimals a limit is shown with.
fn decimals_of(limit: f64, unit: Unit) -> usize {
    shown_decimals(limit, unit).max(usize::from(limit.fract() != 0.0))
}

impl Phrase<'_> {
    /// Returns what a fact should have been for a finding not to come up, such as at least 40 %, or `None` if no number of it
    /// decided.
    pub fn needs(
        self,
        facts: &Facts<'_>,
        finding: &Finding,
        spot: &Spot,
    ) -> Option<(Bound, String)> {
        let rule = self.flow.rule(finding.rule)?;
        let test = rule.limit_passed_by(spot, facts, finding.at)?;
        let Value::Number(_, unit) = facts.value(&spot.fact, spot.at)? else {
            return None;
        };
        let limit = test.limit()?;
        let decimals = decimals_of(limit, *unit);
        Some((bound_of(test), number_words(limit, *unit, Some(decimals))))
    }

    /// Returns the limit that a finding passed, or `None` if it passed none that is said.
    pub fn passed(self, facts: &Facts<'_>, finding: &Finding) -> Option<Passed> {
        let rule = self.flow.rule(finding.rule)?;
        let (spot, test) = rule.limit_passed(facts, finding.at)?;
        // A share of what is needed is not how anybody says it: the sentence names both figures.
        if spot.fact.as_str().ends_with("_share") && self.is_ratio(&spot.fact) {
            return None;
        }
        let Value::Number(number, unit) = facts.value(&spot.fact, spot.at)? else {
            return None;
        };
        let limit = test.limit().filter(|limit| *limit != 0.0)?;
        let said = number_words(*number, *unit, None);
        let has_number = self.says(facts, finding).contains(&said);
        Some(Passed {
            number: (!has_number).then(|| (self.label(&spot.fact), *number)),
            bound: bound_of(test),
            limit,
            value: *number,
            unit: *unit,
            level: finding.level,
            decimals: decimals_of(limit, *unit),
        })
    }
}
