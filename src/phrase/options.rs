//! Options, what comes of them, and standing instructions.

use super::words::day_in_words;
use super::{Phrase, join, number_words, pages};
use crate::case::Reading;
use crate::case::decision::Taken;
use crate::case::instruction::Instruction;
use crate::derive::Facts;
use crate::fact::{CONNECTOR_HEIGHT, CONNECTOR_WIDTH, Place, Spot, Unit, Value};
use crate::flow::{OptionRow, Verb};
use crate::options::{After, Amount, CaseOption, Choice, GripChange};

/// Said under the questions of a call: what happens if nobody answers.
pub const NO_ANSWER: &str =
    "No answer in time: we hold the case. Held work starts only on an amended written order.";

/// Said if somebody wants to make work on hold as it is on a spoken word.
pub const WRITTEN_FIRST: &str = "this is on hold: it starts only on an amended written order";

/// The heading of the laboratory's own options.
pub const LABORATORY_CAN: &str = "In the laboratory";

/// The heading of options for the dentist.
pub const DENTIST_MAY: &str = "For the dentist to consider";

/// The heading of several options at once.
pub const TOGETHER: &str = "Combined";

/// The heading of options that are barred or do not answer the finding.
pub const BARRED: &str = "Ruled out, or not enough";

/// The heading of a page while options are tried on a copy of the case.
pub const TRYING: &str = "WHAT IF (not saved)";

/// Volume of cut tooth below which it is not shown, in mm³: it would read 0.0.
const LEAST_CUT: f64 = 0.05;

impl Phrase<'_> {
    /// Returns the sizes of the connectors that an option makes larger, or `None` if it makes none larger.
    fn sizes(self, facts: &Facts<'_>, way: &CaseOption) -> Option<String> {
        let size = |at: Place| {
            let [height, width] = [&CONNECTOR_HEIGHT, &CONNECTOR_WIDTH].map(|fact| {
                let mut changes = way.changes.iter();
                changes
                    .find(|(spot, _)| spot.fact == *fact && spot.at == at)
                    .map(|(_, value)| value)
                    .or_else(|| facts.value(fact, at))
                    .and_then(Value::number)
            });
            let [height, width] =
                [height?, width?].map(|side| amount_words(Amount::By(side, Unit::Mm)));
            Some(format!("{height} × {width}"))
        };
        let mut places: Vec<Place> = way
            .changes
            .iter()
            .map(|(spot, _)| spot.at)
            .filter(|at| matches!(at, Place::Connector(..)))
            .collect();
        places.dedup();
        match places.as_slice() {
            [] => None,
            [only] if *only == way.at => size(*only),
            list => Some(join(
                &list
                    .iter()
                    .filter_map(|at| Some(format!("{} {}", self.place(*at), size(*at)?)))
                    .collect::<Vec<_>>(),
            )),
        }
    }

    /// Returns what an option does, as an instruction that begins with its verb.
    pub fn does(self, facts: &Facts<'_>, way: &CaseOption) -> String {
        let Some(option) = way.of(self.flow) else {
            return String::new();
        };
        // An option that is barred at any amount has none.
        let amount = way
            .amount
            .map_or_else(|| "a little".to_owned(), amount_words);
        let choice = match &way.choice {
            Some(Choice::Value(fact, value)) => self.value(self.flow.spec(fact), value, None),
            Some(Choice::Tooth(tooth)) => self.tooth(*tooth),
            None => String::new(),
        };
        let text = option
            .does
            .replace("{amount}", &amount)
            .replace("{choice}", &choice);
        let mut text = match self.sizes(facts, way) {
            Some(sizes) => text.replace("{sizes}", &sizes),
            None => text.replace(": {sizes}", "").replace("{sizes}", ""),
        };
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

    /// Returns what an agreed option does, or its id if the flow no longer has it.
    pub fn taken(self, facts: &Facts<'_>, taken: &Taken) -> String {
        match CaseOption::of_taken(self.flow, taken) {
            Some(way) => self.does(facts, &way),
            None => format!("{} {}", self.place(taken.at), taken.option),
        }
    }

    /// Returns what an option costs.
    pub fn price(self, option: &OptionRow) -> String {
        let price = self.flow.price(&option.price);
        price.map_or(&option.price, |price| &price.text).clone()
    }

    /// Returns how long an option takes.
    pub fn days(self, days: u32) -> String {
        pages::options::days_taken(days)
    }

    /// Returns grip before and after, then its shares of prep and plan if it has both.
    pub fn grip_parts(self, after: &After) -> Vec<String> {
        let Some(moved) = most_moved(after) else {
            return Vec::new();
        };
        let both = |[before, after]: [Option<f64>; 2]| Some(from_to([before?, after?]));
        let mut lines: Vec<String> = both(moved.grip).into_iter().collect();
        if let (Some(prep), Some(plan)) = (both(moved.prep), both(moved.plan)) {
            lines.push(format!("prep {prep}, plan {plan}"));
        }
        lines
    }

    /// Returns the effective share of each changed wall, before and after.
    pub fn wall_changes(self, after: &After) -> Vec<String> {
        walls_changed(after)
            .into_iter()
            .map(|(at, before, after)| pages::options::wall(&self.place(at), before, after))
            .collect()
    }

    /// Returns changes of a case, one by one, with the value before.
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
                    Some(before) => format!("{name}: from {before} to {now}"),
                    None => format!("{name}: {now}"),
                }
            })
            .collect()
    }

    /// Returns how much tooth is cut, or `None` if it would read 0.0.
    pub fn cut(self, cut: Option<f64>) -> Option<String> {
        Some(number_words(seen_cut(cut)?, Unit::Mm3, Some(1)))
    }

    /// Returns an agreed value and the later reading that counts in its place.
    pub fn suspended(self, spot: &Spot, decided: &Reading, now: Option<&Reading>) -> String {
        let name = format!("{} {}", self.place(spot.at), self.label(&spot.fact));
        let said = self.reading(&spot.fact, decided);
        match now {
            Some(now) => format!(
                "{name}: agreed {said}, later measured {}; the measurement counts until it is agreed again",
                self.reading(&spot.fact, now)
            ),
            None => format!("{name}: agreed {said}"),
        }
    }

    /// Returns a standing instruction: whose, since when, until when, in which words.
    pub fn instruction(self, instruction: &Instruction) -> String {
        let until = instruction.until.map_or_else(String::new, |until| {
            format!(" until {}", day_in_words(until))
        });
        let words = match instruction.words.as_str() {
            "" => String::new(),
            words => format!(" (\"{words}\")"),
        };
        format!(
            "standing instruction of {} from {}{until}{words}",
            instruction.dentist,
            day_in_words(instruction.from)
        )
    }

    /// Returns whether an option makes connectors larger: its amount is what height and width gain together.
    fn enlarges(self, way: &CaseOption) -> bool {
        way.of(self.flow)
            .is_some_and(|option| matches!(option.verb, Verb::Enlarge { .. }))
    }

    /// Returns how much of an option is enough if any one reading is off by its usual error.
    pub fn steady(self, way: &CaseOption, enough: Option<Amount>) -> String {
        match enough {
            Some(amount) if way.amount == Some(amount) => {
                "enough even if any one reading is off by its usual error".to_owned()
            }
            Some(amount) if self.enlarges(way) => format!(
                "{} larger in all if any one reading may be off by its usual error",
                amount_words(amount)
            ),
            Some(amount) => format!(
                "{} if any one reading may be off by its usual error",
                amount_words(amount)
            ),
            None => "if a reading is off by its usual error, even the maximum may not be enough"
                .to_owned(),
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

/// Returns the restoration whose grip changes most, or `None` if none changes by 0.005.
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
