//! Practice: drills, their answers and reasons, a session, a person's record.

pub mod model;

use super::{Phrase, number_words, pages, words};
use crate::case::Role;
use crate::derive::Facts;
use crate::fact::{Place, Spot, Unit};
use crate::flow::Level;
use crate::practice::record::Missed;
use crate::practice::{Asks, Choice, Drill, Kind};

/// Heads a session.
pub const TITLE: &str = "Practice";

/// How answers are given.
pub const HOW: &str =
    "Answer with the number. \"stop\" ends the session; what was answered is saved.";

/// The word that ends a session.
pub const STOP: &str = "stop";

/// Said under what a drill tells.
pub const REST_IS_SOUND: &str = "Everything else is sound.";

/// Asks which reading decides.
pub const WHICH_DECIDES: &str =
    "Which reading decides it? Answer with its number, or press Enter to go on.";

/// The answer to which reading decides was right.
pub const NAMED: &str = "Right, that reading decides it.";

/// Nothing was answered.
pub const NOTHING_ANSWERED: &str = "Nothing was answered.";

/// Everything was right.
pub const ALL_RIGHT: &str = "Nothing was missed.";

/// Heads what was missed.
pub const MISSED: &str = "Missed, the most harmful first:";

/// Nothing is in the record.
pub const EMPTY: &str = "No drill was answered yet.";

/// Said if nobody is named.
pub const NOBODY: &str = "practice is kept for a person, and nobody is named";

/// What to do then.
pub const NOBODY_HINT: &str = "add --who with your code, such as --who t2";

/// Said if somebody wants to see another one's record.
pub const ANOTHERS: &str = "this is the record of somebody else";

/// What to do then.
pub const ANOTHERS_HINT: &str = "everybody sees the own record; --supervisor shows all";

/// Said if somebody is named and nothing of theirs is asked for.
pub const OF_WHAT: &str = "--of needs what is to be told of the person";

/// What to do then.
pub const OF_WHAT_HINT: &str = "add --record, --hand or a model";

/// Said if no drill can be drawn.
pub const NO_DRILL: &str = "no drill can be drawn with this flow";

/// What to do then.
pub const NO_DRILL_HINT: &str =
    "drills need the questions and rules of the built-in flow; leave out --flow";

/// Heads the key of a sheet.
pub const KEY: &str = "Key";

/// Heads a sheet of drills.
pub fn sheet(count: usize) -> String {
    format!("{TITLE}: {}", drills(count))
}

/// Says how a sheet is used.
pub fn sheet_how(course: u64) -> String {
    format!(
        "One answer each. The key with its reasons begins on a page of its own. Drawn from the number {course}: the same number gives the same drills."
    )
}

/// Names what a drill is about.
pub fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Wall => "weak wall",
        Kind::Shape => "taper or height",
        Kind::Margin => "margin and material",
        Kind::Clearance => "clearance",
        Kind::Connector => "connector",
        Kind::Tray => "tray and bite",
        Kind::First => "which reading first",
        Kind::Sound => "sound case",
    }
}

/// Asks what a drill asks.
pub fn asks(asks: Asks) -> &'static str {
    match asks {
        Asks::Result => "What is the result?",
        Asks::WeakWall => "Which wall is the weak one?",
        Asks::AtFault => "What has to be better for a better result?",
        Asks::AgainFirst => "Which reading would you take again first?",
    }
}

/// Says what was missed, as the beginning of a line.
pub fn missed(missed: Missed) -> &'static str {
    match missed {
        Missed::Call => "call missed",
        Missed::Invented => "call invented",
        Missed::Level => "level off",
        Missed::Other => "another answer",
    }
}

/// Says how many drills there are today.
pub fn begins(due: usize, new: usize) -> String {
    match (due, new) {
        (0, new) => format!("{}, all new.", drills(new)),
        (due, 0) => format!("{}, all come back because they were missed.", drills(due)),
        (due, new) => format!(
            "{}: {due} come back because they were missed, {new} new.",
            drills(due + new)
        ),
    }
}

fn drills(count: usize) -> String {
    match count {
        1 => "1 drill".to_owned(),
        count => format!("{count} drills"),
    }
}

/// Heads a drill.
pub fn number(nth: usize, of: usize) -> String {
    format!("Drill {nth} of {of}")
}

/// A choice with its number.
pub fn choice(number: usize, words: &str) -> String {
    format!("{number} {words}")
}

/// Says that an answer was right.
pub fn right(answer: &str) -> String {
    format!("Right: {answer}.")
}

/// Says that an answer was wrong.
pub fn wrong(how: Missed, answer: &str, said: &str) -> String {
    let mut how = missed(how).to_owned();
    if let Some(first) = how.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    format!("{how}. It is {answer}; you said {said}.")
}

/// Says when a drill comes back.
pub fn comes_back(days: u32) -> String {
    match days {
        1 => "Comes back tomorrow.".to_owned(),
        days => format!("Comes back in {days} days."),
    }
}

/// Names the readings that decide.
pub fn decided_by(readings: &[String]) -> String {
    format!("Decided by: {}.", super::join(readings))
}

/// Says what to ask the dentist.
pub fn ask_the_dentist(asks: &str) -> String {
    format!("Ask the dentist: {asks}")
}

/// What is done with a finding at the bench.
pub fn at_the_bench(bench: &str) -> String {
    format!("At the bench: {bench}")
}

/// Refuses a line that is none of the answers.
pub fn not_an_answer(line: &str, most: usize) -> String {
    match line {
        "" => format!("an empty line is no answer; type a number from 1 to {most}"),
        line => format!("\"{line}\" is no answer; type a number from 1 to {most}"),
    }
}

/// Sums a session up.
pub fn ended(answered: usize, right: usize) -> String {
    format!("{} answered, {right} right.", drills(answered))
}

/// One line of what was missed.
pub fn missed_line(how: Missed, kind: &str, answer: &str, days: u32) -> String {
    let back = comes_back(days);
    format!("{}: {kind}, {answer}. {back}", missed(how))
}

/// Heads a person's record.
pub fn record_of(who: &str) -> String {
    format!("Practice of {who}")
}

/// Says how many drills were answered, and how many come back by when.
pub fn record_sum(answered: usize, due: usize) -> String {
    match due {
        0 => format!("{} answered; none is due.", drills(answered)),
        due => format!("{} answered; {due} due today.", drills(answered)),
    }
}

/// Says how many models were walked.
pub fn walks(count: usize, seconds: u32) -> String {
    let minutes = seconds.div_ceil(60);
    match count {
        1 => format!("1 model walked, {minutes} min"),
        count => format!("{count} models walked, {minutes} min each"),
    }
}

/// A share with its interval in percent, such as "6 of 8 (41–93 %)".
fn share(events: u64, of: u64, interval: Option<(f64, f64)>) -> String {
    match interval {
        None => format!("{events} of {of}"),
        Some((low, high)) => {
            let percent = |share: f64| number_words(100.0 * share, Unit::Ratio, Some(0));
            format!("{events} of {of} ({}–{} %)", percent(low), percent(high))
        }
    }
}

/// Says how often a kind of drill was right.
pub fn record_kind(
    kind: &str,
    right: u64,
    of: u64,
    interval: Option<(f64, f64)>,
    seconds: u32,
) -> String {
    format!(
        "{kind}: right {}; {seconds} s each",
        share(right, of, interval)
    )
}

/// Says how many calls were seen.
pub fn saw_calls(events: u64, of: u64, interval: Option<(f64, f64)>) -> String {
    format!("calls and holds seen: {}", share(events, of, interval))
}

/// Says how many calls were invented where there was none.
pub fn false_calls(events: u64, of: u64, interval: Option<(f64, f64)>) -> String {
    format!("calls invented: {}", share(events, of, interval))
}

/// Says how far the results agree with the judge's beyond chance.
pub fn kappa(value: f64, interval: Option<(f64, f64)>, of: u64) -> String {
    let say = |number: f64| number_words(number, Unit::Ratio, Some(2));
    let interval = interval.map_or_else(String::new, |(low, high)| {
        format!(" ({} to {})", say(low), say(high))
    });
    format!(
        "results agree beyond chance, kappa {}{interval}, of {of} results",
        say(value)
    )
}

/// Says that there are too few results for kappa.
pub fn no_kappa(of: u64, least: u64) -> String {
    format!("too few results to say how far they agree beyond chance: {of} of {least}")
}

/// Says what was missed how often.
pub fn times(how: Missed, count: u64) -> String {
    match count {
        1 => format!("{} once", missed(how)),
        2 => format!("{} twice", missed(how)),
        count => format!("{} {count} times", missed(how)),
    }
}

/// Says what to teach next.
pub fn teach_next(kind: &str, why: &str) -> String {
    format!("teach next: {kind}, {why}")
}

impl Phrase<'_> {
    /// Returns what a drill tells of its case: the order, then the readings.
    pub fn drill_tells(self, drill: &Drill) -> Vec<String> {
        let facts = Facts::without_search(self.flow, &drill.case);
        let mut lines: Vec<String> = drill
            .case
            .units
            .restorations()
            .iter()
            .map(|restoration| {
                let bridge = restoration.teeth(Role::Pontic).next().is_some();
                let what = if bridge { "Bridge" } else { "Crown" };
                format!("{what} {}", self.units(restoration))
            })
            .collect();
        lines.extend(drill.told.iter().map(|spot| self.drill_fact(&facts, spot)));
        lines
    }

    /// A fact of a drill with its value: a place before it where it is not the order's.
    fn drill_fact(self, facts: &Facts<'_>, spot: &Spot) -> String {
        let value = self
            .fact(facts, spot)
            .unwrap_or_else(|| words::NOT_SEEN.to_owned());
        format!("{}: {value}", self.drill_spot(spot))
    }

    /// Names a fact at its place.
    pub fn drill_spot(self, spot: &Spot) -> String {
        let label = self.label(&spot.fact);
        match spot.at {
            Place::Case | Place::Restoration(_) => label,
            at => format!("{} {label}", self.place(at)),
        }
    }

    /// Names a choice of a drill.
    pub fn drill_choice(self, drill: &Drill, choice: &Choice) -> String {
        match choice {
            Choice::Level(Level::Fine) => words::NOTHING_FOUND.to_owned(),
            Choice::Level(level) => self.level(*level).to_owned(),
            Choice::Spot(spot) => match (drill.asks, spot.at) {
                (Asks::WeakWall, Place::Wall(tooth, side)) => self.side(tooth, side).to_owned(),
                (Asks::AtFault, _) => self.label(&spot.fact),
                _ => self.drill_spot(spot),
            },
            Choice::Both => "both".to_owned(),
        }
    }

    /// Returns why the right answer is right, as it follows from flow and judge.
    pub fn drill_reason(self, drill: &Drill) -> Vec<String> {
        let facts = Facts::of(self.flow, &drill.case);
        let mut lines = Vec::new();
        match drill.asks {
            Asks::WeakWall | Asks::AtFault => {
                lines.extend(drill.choices.iter().filter_map(|choice| match choice {
                    Choice::Spot(spot) => Some(self.drill_fact(&facts, spot)),
                    _ => None,
                }));
            }
            Asks::AgainFirst => {
                lines.extend(drill.again.iter().take(2).map(|again| self.again(again)));
            }
            Asks::Result => {}
        }
        let Some(finding) = drill.judgement.findings.first() else {
            return lines;
        };
        let line = self.line(&facts, finding);
        lines.push(pages::findings::with_level(finding.level, &line));
        lines.push(self.because(&facts, finding));
        let asked = finding.level >= Level::Call;
        match self.asks(&facts, finding).filter(|_| asked) {
            Some(asks) => lines.push(ask_the_dentist(&asks)),
            None => lines.extend(self.bench(&facts, finding).map(|own| at_the_bench(&own))),
        }
        lines
    }
}
