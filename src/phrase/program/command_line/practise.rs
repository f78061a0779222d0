//! Help of practice.

/// Command `practise`.
pub const PRACTISE: &str = "Practise the checks on drawn cases and practice models, line by line";
/// In full.
pub const PRACTISE_IN_FULL: &str = "Practise the checks on drawn cases, line by line. Readings are drawn as surveys of real preps found them; \
what is right, and why, follows from the same rules as at the bench. What was missed comes back: tomorrow, then after longer and longer \
waits. Answers are kept under the code of --who, and nobody else sees them but a supervisor.";
/// Argument `MODEL`.
pub const MODEL: &str =
    "A practice model: hold the own last walk against its key [default: drills]";
/// Option `--key`.
pub const KEY: &str =
    "Make this case, walked by an expert, a pass of the model's key; supervisors only";
/// Option `--walk`.
pub const WALK: &str = "Begin to walk the model; nothing of the key is shown";
/// Option `--hand`.
pub const HAND: &str =
    "Say how far own readings of the same models differ from day to day, and from the key";
/// Option `--agree`.
pub const AGREE: &str = "Use these reading errors for the person's own cases; supervisors only";
/// Option `--count`.
pub const COUNT: &str = "How many drills; what comes back is asked first";
/// Option `--seed`.
pub const SEED: &str = "What new drills are drawn from; the same number gives the same drills [default: each person has a course of the own]";
/// Option `--sheet`.
pub const SHEET: &str =
    "Write the drills on a sheet, with the key on its last pages; nothing is kept";
/// Option `--record`.
pub const RECORD: &str =
    "Say what the record says, and ask nothing; with --supervisor, of everybody";
/// Option `--of`.
pub const OF: &str = "Code of the person whose record, walk or hand is told";
