//! What became of a delivered restoration, in words: of what kind it is, how it is known, why it is not taken.

use jiff::civil::Date;

use super::Phrase;
use super::words::{self, day_in_words};
use crate::case::Case;
use crate::case::before::{Both, Earlier};
use crate::case::outcome::{Foreseen, Kind, Known, Outcome, Refused};
use crate::fact::{Place, Value};
use crate::flow::Level;

/// Says of what kind an outcome is.
pub fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::CameOff => "came off",
        Kind::Broke => "broke",
        Kind::OpenMargin => "open margin",
        Kind::HighContact => "high contact",
        Kind::ContactOpen => "contact open",
        Kind::Shade => "shade",
        Kind::Decay => "decay at the margin",
        Kind::ToothLost => "tooth lost or root-treated",
        Kind::Other => "other",
        Kind::Quiet => "seen quiet",
        Kind::LostSight => "lost sight of",
    }
}

/// Says how an outcome is known.
pub fn known(known: Known) -> &'static str {
    match known {
        Known::Bench => "seen at the bench",
        Known::Dentist => "the dentist's word",
        Known::Recall => "asked at a recall",
    }
}

/// Says whether the bench could have seen it.
pub fn foreseen(seen: Foreseen) -> &'static str {
    match seen {
        Foreseen::Asked => "yes, and we asked",
        Foreseen::NoRule => "yes, no rule spoke",
        Foreseen::ReadingOff => "yes, but a reading was off",
        Foreseen::No => "no, nothing at the bench showed it",
    }
}

/// Asks whether the bench could have seen it.
pub const FORESEEN: &str = "Could the bench have seen it?";

/// Titles the page.
pub fn title(number: &str) -> String {
    format!("Outcome of {number}: what became of it")
}

/// Says that nothing can be written down yet.
pub const NOTHING_DELIVERED: &str = "Nothing of this case was delivered yet: only of what left the laboratory is it \
written down what became of it.";
/// Says that nothing was written down yet.
pub const NOTHING_KNOWN: &str = "nothing is known yet";
/// Asks what happened.
pub const WHAT: &str = "What happened?";
/// Asks where.
pub const WHERE: &str = "Where?";
/// Stands over what is about to be kept.
pub const READ_BACK: &str = "As it will be kept";
/// Says how it is kept, and what can still be changed. The keys are filled in.
pub const HOW_TO_KEEP: &str =
    "{keep-outcome} keeps it, {outcome-day} changes the day, {how-known} how it is known";
/// Says that the last question may stay open. The key is filled in.
pub const MAY_STAY_OPEN: &str = "a digit answers it, {back} leaves it open";
/// Stands over what was known when it was built.
pub const KNOWN_THEN: &str = "What was known then";
/// Said where the record of the build is missing.
pub const NO_RECORD: &str = "no record of how it was built";
/// Heads the result as built.
pub const AS_BUILT: &str = "as built";
/// Heads the result when the inspection was done.
pub const AS_FOUND: &str = "as found";
/// Leads to the next places of a long list.
pub const MORE_PLACES: &str = "more";
/// Asks for the day.
pub const DAY: &str = "Day on which it came off, broke or was seen";

/// Asks which case came back.
pub const WHICH_AGAIN: &str = "Which case came back?";
/// Said where the dentist's code is not known.
pub const NO_DENTIST: &str = "The dentist's code is not entered yet; with it, the cases that may have come back are listed here.";
/// Said if no case may have come back.
pub const NONE_MAY_BE: &str = "No delivered case of this dentist has one of these teeth.";
/// Said if nobody has said yet what went wrong.
pub const WENT_WRONG_FIRST: &str = "answer first what went wrong with the previous restoration";
/// Says how a case that came back is linked. The keys are filled in.
pub const KEEP_LINK: &str = "{keep-outcome} writes both, {outcome-day} changes the day, {how-known} how it is known, {back} picks another";

/// Says which restoration is made again.
pub fn made_again(units: &str) -> String {
    format!("{units} is a remake.")
}

/// Names a delivered case that may have come back.
pub fn may_be(number: &str, units: &str, delivered: Date) -> String {
    format!("{number}: {units}, delivered {}", day_in_words(delivered))
}

/// Says what is written down in the case that came back, on which day and how that is known, and that it goes on as this
/// one.
pub fn link(number: &str, outcome: &str, new: &str) -> String {
    format!("{number}: {outcome}; it goes on here as {new}.")
}

/// Says what went wrong, when, and how that is known.
pub fn as_kept(units: &str, what: Kind, on: Option<Date>, how: Known) -> String {
    let day = on.map_or_else(String::new, |day| format!(", {}", day_in_words(day)));
    format!("{units} {}{day} ({})", kind(what), known(how))
}

/// Says that a day lies before the delivery.
pub fn before_delivery(day: Date) -> String {
    format!(
        "it was delivered on {}; name that day or a later one",
        day_in_words(day)
    )
}

/// Says that a case that came back is linked.
pub fn linked(number: &str) -> String {
    format!("{number} came back and goes on here; its readings stand beside those of now")
}

/// Says that the case that came back still says so after its link was taken back.
pub fn still_says(number: &str) -> String {
    format!(
        "{number} still says that it came back and goes on here; `casepan outcome {number} --take-back` with its number takes that back"
    )
}

/// Says which case goes on here, and when that was delivered.
pub fn goes_on_from(
    units: &str,
    number: &str,
    delivered: Option<Date>,
    what: Option<&str>,
) -> String {
    let day = delivered.map_or_else(String::new, |day| {
        format!(", delivered {}", day_in_words(day))
    });
    let what = what.map_or_else(String::new, |what| format!("; {what}"));
    format!("{units}: made again, was {number}{day}{what}")
}

/// Says that the case that came back is not in this archive.
pub fn not_here(units: &str, number: &str) -> String {
    format!("{units}: made again, was {number}, which this archive does not have")
}

/// Heads the readings of the case that came back.
pub fn then_and_now(number: &str) -> String {
    format!("{number} and today")
}

/// The columns of readings then and now.
pub const THEN_COLUMNS: [&str; 3] = ["reading", "then", "today"];

/// Says that an outcome was kept.
pub fn kept(outcome: &str) -> String {
    format!("kept: {outcome}")
}

/// Says when a restoration was delivered.
pub fn delivered(units: &str, on: Date) -> String {
    format!("{}: {units} delivered", day_in_words(on))
}

/// Says what a rule said when it was built, and where.
pub fn rule_then(level: &str, at: &str, rule: &str) -> String {
    format!("{level}: {at} {}", rule.replace('-', " "))
}

/// Says what the worst was that any rule said when it was built.
pub fn worst_then(worst: Option<Level>, findings: usize) -> String {
    match (worst, findings) {
        (None, _) => words::NOTHING_FOUND.to_owned(),
        (Some(level), 1) => format!("{}, 1 finding", words::level(level)),
        (Some(level), n) => format!("{}, {n} findings", words::level(level)),
    }
}

/// Says of a case on the worklist that something came back.
pub fn came_back(what: Kind, state: &str) -> String {
    format!("{}, {state}", kind(what))
}

/// Says of the marked case what came back, where and when.
pub fn came_back_on(at: &str, what: Kind, day: &str) -> String {
    format!("{at}: {}, {day}", kind(what))
}

impl Phrase<'_> {
    /// Returns readings of what came back: what was read, then, and now; `–` where it is not read yet.
    pub fn then_and_now(self, earlier: &Earlier, new: &Case) -> Vec<[String; 3]> {
        let both = earlier.both(new);
        let say = |both: &Both| {
            let value = |value: &Value| self.value(self.flow.spec(&both.spot.fact), value, None);
            let name = match both.spot.at {
                Place::Wall(tooth, side) => {
                    format!("{} {}", self.tooth(tooth), self.side(tooth, side))
                }
                at => self.place(at),
            };
            [
                format!("{name} {}", self.label(&both.spot.fact)),
                value(&both.then),
                both.now.as_ref().map_or_else(|| "–".to_owned(), value),
            ]
        };
        both.iter().map(say).collect()
    }

    /// Returns the same in lines.
    pub fn readings_then(self, earlier: &Earlier, new: &Case) -> Vec<String> {
        let rows = self.then_and_now(earlier, new);
        let say = |[what, then, now]: [String; 3]| format!("{what}: {then} then, {now} today");
        rows.into_iter().map(say).collect()
    }

    /// Says where an outcome was: its unit or connector, else all units of the restoration.
    pub fn outcome_at(self, case: &Case, restoration: u8, at: Option<Place>) -> String {
        let whole = Place::Restoration(restoration);
        match at {
            Some(at) => self.place(at),
            None => (case.units.restoration(restoration))
                .map_or_else(|| self.place(whole), |own| self.units(own)),
        }
    }

    /// Says an outcome in a line, its day first.
    pub fn outcome_line(self, case: &Case, own: &Outcome) -> String {
        format!("{}: {}", day_in_words(own.on), self.outcome_said(case, own))
    }

    /// Says an outcome without its day.
    pub fn outcome_said(self, case: &Case, own: &Outcome) -> String {
        let at = self.outcome_at(case, own.restoration, own.at);
        let mut said = format!("{at} {} ({})", kind(own.what), known(own.known));
        if let Some(seen) = own.seen {
            said.push_str("; could the bench have seen it: ");
            said.push_str(foreseen(seen));
        }
        if let Some(next) = &own.goes_on {
            said.push_str("; goes on as case ");
            said.push_str(next);
        }
        said
    }

    /// Says why an outcome is not taken; `held` is whether the restoration is on hold.
    pub fn outcome_refused(self, case: &Case, why: &Refused, held: bool) -> String {
        match why {
            Refused::NoRestoration(id) => {
                format!(
                    "this case has no restoration {}",
                    self.place(Place::Restoration(*id))
                )
            }
            Refused::NotDelivered(id) => {
                let units = self.outcome_at(case, *id, None);
                if held {
                    format!("{units} is on hold and was never delivered, so nothing became of it")
                } else {
                    format!("{units} was not delivered, so nothing became of it yet")
                }
            }
            Refused::Future(day) => {
                format!(
                    "{} is still to come; name today or an earlier day",
                    day_in_words(*day)
                )
            }
            Refused::BeforeDelivery(day) => before_delivery(*day),
            Refused::Twice => "this is written down already, for the same place and day".to_owned(),
            Refused::NotThere(at) => {
                format!(
                    "{} is no unit and no connector of this restoration",
                    self.place(*at)
                )
            }
            Refused::Itself => "a case cannot go on as itself".to_owned(),
        }
    }
}
