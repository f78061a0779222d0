//! Help of the commands for the life of a case.

/// Command `due`.
pub const DUE: &str = "Enter by when the bench has to be done, and the day promised to the dentist; without a day, show both";
/// Option `--due`.
pub const DUE_DAY: &str =
    "Day by which the bench has to be done, as year-month-day; none removes it";
/// Option `--promised`.
pub const PROMISED_DAY: &str = "Day promised to the dentist, as year-month-day; none removes it";
/// What takes a day back.
pub const NO_DAY: &str = "none";

/// Command `hand`.
pub const HAND: &str = "Hand a case over to somebody, with a note";
/// Who gets it.
pub const HAND_TO: &str = "Code of the person or the bench; never a name";
/// What is to be known or done.
pub const HAND_NOTE: &str = "What is to be known or done, in short; no names";

/// Command `history`.
pub const HISTORY: &str = "Show what was entered into a case, by whom and when, newest first";
/// Which fact.
pub const HISTORY_FACT: &str =
    "Name of a fact, as `casepan flow facts` lists it, or the word units [default: the whole case]";
/// Option `--at`.
pub const HISTORY_AT: &str = "Only at this place, such as 46 or 46/mesial [default: every place]";
/// The word for the units of the order.
pub const UNITS: &str = "units";

/// Command `attach`.
pub const ATTACH: &str =
    "Name photographs and files of a case; they stay where they are, and a change shows later";
/// Which files.
pub const ATTACH_FILE: &str = "Path of a file";

/// Command `detach`.
pub const DETACH: &str = "Take photographs and files off a case; nothing is deleted";
/// Which files.
pub const DETACH_FILE: &str = "Path of a file, or its name as `casepan files` lists it";

/// Command `files`.
pub const FILES: &str =
    "List photographs and files of a case, and whether each is still there and unchanged";

/// Command `outcome`.
pub const OUTCOME: &str =
    "Write down what became of a delivered restoration; without options, list what is known";
/// Option `--what`.
pub const OUTCOME_WHAT: &str = "What became of it";
/// Option `--at`.
pub const OUTCOME_AT: &str =
    "Unit or connector, such as 37 or 36-37; R1 is a whole restoration [default: the only one]";
/// Option `--known`.
pub const OUTCOME_KNOWN: &str =
    "How it is known [default: recall for quiet and lost-sight, else dentist]";
/// Option `--seen`.
pub const OUTCOME_SEEN: &str = "Whether the bench could have seen it";
/// Option `--goes-on`.
pub const OUTCOME_GOES_ON: &str = "Number of the case that goes on with it";
/// Option `--take-back`.
pub const OUTCOME_TAKE_BACK: &str = "Take back the outcome with this number in the list";

/// Command `follow-up`.
pub const FOLLOW_UP: &str = "List what a dentist is to be asked after, 6 and 12 months after its delivery, with boxes to tick";
/// Argument `DENTIST`.
pub const FOLLOW_UP_DENTIST: &str = "The laboratory's code for the dentist";
/// Option `--on`.
pub const FOLLOW_UP_ON: &str = "What is due on this day [default: today]";

/// Command `rates`.
pub const RATES: &str = "Say how many delivered restorations came back, and how sure that is";
/// Option `--of`.
pub const RATES_OF: &str = "Count only what came back so; several with commas";
/// Option `--by`.
pub const RATES_BY: &str =
    "Tell restorations apart by this; by several with commas, what occurs together is a group";
/// Option `--within`.
pub const RATES_WITHIN: &str = "How many months each restoration is followed";
/// Option `--from`.
pub const RATES_FROM: &str = "Only what was delivered on this day or later";
/// Option `--to`.
pub const RATES_TO: &str = "Only what was delivered on this day or before";
