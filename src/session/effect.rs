//! What comes into a session with a key, and what is to be done outside of it.

use jiff::Timestamp;
use jiff::civil::Date;
use uuid::Uuid;

use crate::case::Units;
use crate::case::instruction::Instruction;
use crate::case::journal::Entry;
use crate::case::outcome::Outcome;
use crate::learn::Asked;
use crate::learn::sweep::Moved;
use crate::learn::trial::Put;
use crate::print::Document;
use crate::tooth::Notation;

/// When an action happens, and a fresh id for the entry that it may write.
#[derive(Clone, Copy, Debug)]
pub struct Moment {
    /// Now.
    pub now: Timestamp,
    /// Today at the bench.
    pub today: Date,
    /// An id that was never used before.
    pub id: Uuid,
}

/// What is to be done outside.
#[derive(Clone, PartialEq, Debug)]
pub enum Effect {
    /// Keep these entries before anything is shown.
    Append {
        /// The case.
        number: String,
        /// The entries.
        entries: Vec<Entry>,
    },
    /// Open a case.
    Open {
        /// The case.
        number: String,
    },
    /// Make a new case and open it.
    Create {
        /// Its number.
        number: String,
        /// Its restorations.
        units: Units,
    },
    /// Look whether a case with this number exists already; if so, ask for another number.
    LookUp {
        /// The number.
        number: String,
    },
    /// Fill the worklist again: the part of it around the marked case.
    List,
    /// Remember for this archive that numbers of teeth are meant in a notation.
    Choose(Notation),
    /// Write down in a case that came back what became of it.
    CameBack {
        /// The case that came back.
        number: String,
        /// What became of it, and the case that goes on with it.
        outcome: Outcome,
    },
    /// Keep a standing instruction.
    Agree(Instruction),
    /// Print summary and call sheet of the present case into files.
    Print,
    /// Print the same sheets of each of these cases.
    PrintCases(Vec<String>),
    /// Work out what came back.
    Rate(Box<Asked>),
    /// Print what came back.
    PrintRates(Box<Document>),
    /// Hold the rules of the flow of new cases against the record.
    Try(Box<Put>),
    /// Move a limit of a rule over the record.
    Sweep(Box<Moved>),
    /// Stop reading cases for what nobody waits for any more.
    StopReading,
    /// Print rules on trial, or a limit that is moved.
    PrintTrials(Box<Document>),
    /// Look what dentists are to be asked after on a day.
    FollowUp(Date),
    /// Write down what a dentist said, each in its own case.
    Followed(Vec<super::Followed>),
    /// Show what the flow of new cases changes in the present case.
    LookAtFlow,
    /// Move the present case to the flow that is looked at.
    MoveFlow,
    /// Print what a dentist is to be asked after.
    PrintFollowUp(Box<Document>),
    /// Open the text of a rule in an editor.
    EditRule(String),
    /// Put the program into the background.
    Suspend,
    /// Leave.
    Quit,
}
