//! Help of the commands that hold rules and flows against the record.

/// Command `rules`.
pub const RULES: &str =
    "Say of each rule what came back of the work it told of, and of the work it was silent on";
/// Which rule.
pub const RULES_RULE: &str = "Id of a rule, told in full [default: all that foretell something]";
/// Option `--of`.
pub const RULES_OF: &str =
    "Count only what came back so; several with commas [default: what each rule foretells]";

/// Command `flow replay`.
pub const REPLAY: &str = "Judge every case of the archive, as it was found, by another flow, and say what would have been told otherwise";
/// Which flow.
pub const REPLAY_FLOW: &str = "Directory of the other flow [default: the active flow]";
/// Option `--sweep`.
pub const SWEEP: &str = "Move one limit from a number to another by steps: a rule, if needed with level, fact or number after colons";
/// The values of `--sweep`.
pub const SWEEP_VALUES: [&str; 4] = ["LIMIT", "FROM", "TO", "STEP"];
/// Option `--of` of `flow replay`.
pub const REPLAY_OF: &str = "Count only what came back so; several with commas [default: any return, in a sweep what the rule foretells]";

/// Command `flow diff`.
pub const DIFF: &str =
    "Say what differs between two flows, and whether the version has to be raised";
/// The first flow.
pub const DIFF_BEFORE: &str =
    "Directory of the flow as it was; alone, it is compared with the built-in flow before it";
/// The second flow.
pub const DIFF_NOW: &str = "Directory of the flow as it is now";

/// Command `flow test`.
pub const TEST: &str =
    "Judge whole case files by the flow and compare the results with what is expected";
/// The cases.
pub const TEST_DIRECTORY: &str =
    "Directory with case files such as 1.ron, each with a file such as 1.expected beside it";
/// Command `flow move`.
pub const MOVE: &str =
    "Say what changes if a case is checked by the active flow, and move it there with --yes";
/// Option `--yes`.
pub const MOVE_YES: &str = "Move it; the history of the case keeps what no longer fits";
