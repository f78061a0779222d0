//! Words for options, decisions and standing instructions.

use super::{Phrase, number_words, pages};
use crate::case::Reading;
use crate::case::decision::Taken;
use crate::case::instruction::Instruction;
use crate::derive::Facts;
use crate::fact::{Place, Spot, Unit, Value};
use crate::flow::OptionRow;
use crate::options::{After, Amount, CaseOption, Choice, GripChange};

/// What happens where nobody answers.
pub const NO_ANSWER: &str =
    "Without an answer the case waits. Making what is on hold needs a written amendment first.";

/// Why what is on hold is not made on a spoken word.
pub const WRITTEN_FIRST: &str =
    "this is on hold: it is made as it is only once the amended order is here in writing";

/// What stands over what the laboratory can do.
pub const LABORATORY_CAN: &str = "The laboratory can do";

/// What stands over what the dentist may consider.
pub const DENTIST_MAY: &str = "For the dentist to consider";

/// What stands over several options at once.
pub const TOGETHER: &str = "Together";

/// What stands over options that are barred.
pub const BARRED: &str = "Barred or not enough";

/// What stands where options are not there yet.
pub const WORKED_OUT: &str = "being worked out";

/// What stands over the page while things are tried out.
pub const TRYING: &str = "TRYING, NOTHING IS KEPT";

/// Less tooth than this is none, in mm³: it would be shown as nil.
const LEAST_CUT: f64 = 0.05;

impl Phrase<'_> {
    /// Says what an option does.
    pub fn does(self, facts: &Facts<'_>, way: &CaseOption) -> String {
        let Some(option) = way.of(self.flow) else {
            return String::new();
        };
        // What is barred at any amount has none.
        let amount = way
            .amount
            .map_or_else(|| "a little".to_owned(), amount_words);
        let choice = match &way.choice {
            Some(Choice::Value(fact, value)) => self.value(self.flow.spec(fact), value, None),
            Some(Choice::Tooth(tooth)) => self.tooth(*tooth),
            None => String::new(),
        };
        let mut text = option
            .does
            .replace("{amount}", &amount)
            .replace("{choice}", &choice);
        if !way.also.is_empty() {
            let walls: Vec<String> = std::iter::once(&way.walls)
                .chain(&way.also)
                .map(|walls| self.fill("{walls}", facts, way.at, walls))
                .collect();
            let said = match walls.as_slice() {
                [first @ .., last] => format!("{} or {last}", first.join(", ")),
                [] => String::new(),
            };
            text = text.replace("{walls}", &said);
        }
        let text = self.fill(&text, facts, way.at, &way.walls);
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Says an option that was taken.
    pub fn taken(self, facts: &Facts<'_>, taken: &Taken) -> String {
        match CaseOption::of_taken(self.flow, taken) {
            Some(way) => self.does(facts, &way),
            None => format!("{} {}", self.place(taken.at), taken.option),
        }
    }

    /// Says what an option costs.
    pub fn price(self, option: &OptionRow) -> String {
        let price = self.flow.price(&option.price);
        price.map_or(&option.price, |price| &price.text).clone()
    }

    /// Says how long an option takes.
    pub fn days(self, days: u32) -> String {
        pages::options::days_taken(days)
    }

    /// Says grip before and after, where it moves; of several restorations the one that moves most.
    pub fn grip_change(self, after: &After) -> Option<String> {
        Some(from_to(grip_moved(after)?))
    }

    /// Says grip before and after with its parts, the prep and the plan, where there are two.
    pub fn grip_parts(self, after: &After) -> Vec<String> {
        let Some(moved) = most_moved(after) else {
            return Vec::new();
        };
        let both = |[before, after]: [Option<f64>; 2]| Some(from_to([before?, after?]));
        let mut lines: Vec<String> = both(moved.grip).into_iter().collect();
        if let (Some(prep), Some(plan)) = (both(moved.prep), both(moved.plan)) {
            lines.push(format!("the prep {prep}, the plan {plan}"));
        }
        lines
    }

    /// Says what becomes of the resisting part of each changed wall.
    pub fn wall_changes(self, after: &After) -> Vec<String> {
        walls_changed(after)
            .into_iter()
            .map(|(at, before, after)| pages::options::wall(&self.place(at), before, after))
            .collect()
    }

    /// Says changes of a case, one by one, with what stood there before.
    pub fn changes(self, facts: &Facts<'_>, changes: &[(Spot, Value)]) -> Vec<String> {
        changes
            .iter()
            .map(|(spot, value)| {
                let now = self.reading(&spot.fact, &Reading::plain(value.clone()));
                let before = self.fact(facts, spot);
                let name = match spot.at {
                    Place::Case => self.label(&spot.fact),
                    at => format!("{} {}", self.place(at), self.label(&spot.fact)),
                };
                match before.filter(|before| *before != now) {
                    Some(before) => format!("{name}: {before} > {now}"),
                    None => format!("{name}: {now}"),
                }
            })
            .collect()
    }

    /// Says how much tooth is cut; none where it is none that anybody would see.
    pub fn cut(self, cut: Option<f64>) -> Option<String> {
        Some(number_words(seen_cut(cut)?, Unit::Mm3, Some(1)))
    }

    /// Says a decided value and the later reading that counts in its place.
    pub fn suspended(self, spot: &Spot, decided: &Reading, now: Option<&Reading>) -> String {
        let name = format!("{} {}", self.place(spot.at), self.label(&spot.fact));
        let said = self.reading(&spot.fact, decided);
        match now {
            Some(now) => format!(
                "{name}: decided {said}, read later {}; the reading counts until it is decided again",
                self.reading(&spot.fact, now)
            ),
            None => format!("{name}: decided {said}"),
        }
    }

    /// Says a standing instruction.
    pub fn instruction(self, instruction: &Instruction) -> String {
        let until = instruction
            .until
            .map_or_else(String::new, |until| format!(" until {until}"));
        let words = match instruction.words.as_str() {
            "" => String::new(),
            words => format!(" (\"{words}\")"),
        };
        format!(
            "agreed on {}{until} for every case of {}{words}",
            instruction.from, instruction.dentist
        )
    }

    /// Says how much of an option is enough with any one reading off by its usual error.
    pub fn steady(self, way: &CaseOption, enough: Option<Amount>) -> String {
        match enough {
            Some(amount) if way.amount == Some(amount) => {
                "the same is enough with any one reading off by its usual error".to_owned()
            }
            Some(amount) => format!(
                "{} where any one reading is off by its usual error",
                amount_words(amount)
            ),
            None => {
                "with a reading off by its usual error even the most may not be enough".to_owned()
            }
        }
    }
}

fn amount_words(amount: Amount) -> String {
    let say = |number: f64, unit: Unit| {
        let tenths = number * 10.0;
        let decimals = match unit {
            Unit::Mm if (tenths - tenths.round()).abs() > 1e-6 => 2,
            unit => unit.decimals(),
        };
        number_words(number, unit, Some(decimals))
    };
    match amount {
        Amount::By(number, unit) => say(number, unit),
        Amount::To(number, unit) => format!("to {}", say(number, unit)),
    }
}

/// The restoration whose grip moves most.
fn most_moved(after: &After) -> Option<&GripChange> {
    let by = |change: &GripChange| {
        change
            .both()
            .map_or(0.0, |(before, after)| (before - after).abs())
    };
    after
        .grip
        .iter()
        .filter(|change| by(change) >= 5e-3)
        .max_by(|one, other| by(one).total_cmp(&by(other)))
}

/// Returns grip before and after, where it moves; of several restorations that of the one that moves most.
pub fn grip_moved(after: &After) -> Option<[f64; 2]> {
    let (before, after) = most_moved(after)?.both()?;
    Some([before, after])
}

/// Returns each changed wall with its effective part before and after, in per cent, the weakest first.
pub fn walls_changed(after: &After) -> Vec<(Place, f64, f64)> {
    let mut walls: Vec<_> = after.walls.clone();
    walls.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    walls
}

/// Returns how much tooth is cut, in mm³, or `None` if it is none that anybody would see.
pub fn seen_cut(cut: Option<f64>) -> Option<f64> {
    cut.filter(|cut| *cut >= LEAST_CUT)
}

pub(super) fn from_to(both: [f64; 2]) -> String {
    let [before, after] = both.map(|number| number_words(number, Unit::Ratio, Some(2)));
    format!("{before} to {after}")
}
