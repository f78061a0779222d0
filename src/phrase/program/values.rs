//! Help of the values that options take. The types of these values stand in every room, so this file imports none.

/// Notation: ISO 3950.
pub const ISO_3950: &str = "ISO 3950, two digits";
/// Notation: Universal.
pub const UNIVERSAL: &str = "Universal, 1 to 32";
/// Notation: Palmer.
pub const PALMER: &str = "Palmer, 1 to 8 in each quadrant";

/// Theme: by the background of the terminal.
pub const THEME_AUTO: &str = "Light if COLORFGBG says so, otherwise dark";
/// Theme: dark.
pub const THEME_DARK: &str = "Painted for a dark background";
/// Theme: light.
pub const THEME_LIGHT: &str = "Painted for a light background";
/// Theme: without colours.
pub const THEME_PLAIN: &str = "No colour: bold, faint, reversed";
/// Theme: strongest contrast.
pub const THEME_CONTRAST: &str = "Strongest contrast, nothing faint";

/// Signs: ASCII.
pub const SIGNS_ASCII: &str = "ASCII only";
/// Signs: braille dots.
pub const SIGNS_BRAILLE: &str = "Pictures in braille dots, all special signs";

/// Sheet: the summary.
pub const SHEET_SUMMARY: &str = "Summary: what was found";
/// Sheet: the call sheet.
pub const SHEET_CALL: &str = "Call sheet: the checklist for the phone";
/// Sheet: the work ticket.
pub const SHEET_TICKET: &str = "Work ticket for the bench";
/// Sheet: the seating notes.
pub const SHEET_SEATING: &str = "Seating notes for the dentist";
/// Sheet: the letter.
pub const SHEET_LETTER: &str = "Letter to the dentist";

/// Format of prints: text.
pub const FORMAT_TEXT: &str = "Plain text, 78 columns";
/// Format of prints: Markdown.
pub const FORMAT_MARKDOWN: &str = "Markdown";
/// Format of prints: HTML.
pub const FORMAT_HTML: &str = "One HTML file with pictures, for screen or printer";
/// Format of prints and lists: JSON.
pub const FORMAT_JSON: &str = "One JSON object";
/// Format of lists: text.
pub const FORMAT_LINES: &str = "Lines of text";

/// Colour: if the terminal takes it.
pub const COLOUR_AUTO: &str = "In a terminal, unless NO_COLOR is set or TERM is dumb";
/// Colour: always.
pub const COLOUR_ALWAYS: &str = "Always, even if NO_COLOR is set";
/// Colour: never.
pub const COLOUR_NEVER: &str = "Never";

/// Object: `casepan judge`.
pub const OBJECT_JUDGE: &str = "A case file with its result";
/// Object: `casepan print`.
pub const OBJECT_PRINT: &str = "A case of the archive with its result";
/// Object: `casepan list`.
pub const OBJECT_LIST: &str = "Worklist";
/// Object: `casepan history`.
pub const OBJECT_HISTORY: &str = "What was entered into a case";
/// Object: `casepan follow-up`.
pub const OBJECT_FOLLOW_UP: &str = "What a dentist is to be asked after";
/// Object: `casepan rates`.
pub const OBJECT_RATES: &str = "How many delivered restorations came back";
/// Object: `casepan outcome`.
pub const OBJECT_OUTCOME: &str = "What became of the restorations of a case";
/// Object: `casepan rules`.
pub const OBJECT_RULES: &str = "Rules, held against what came back";
/// Object: `casepan files`.
pub const OBJECT_FILES: &str = "Photographs and files of a case";
/// Object: `casepan flow check`.
pub const OBJECT_FLOW_CHECK: &str = "Problems of a flow";
/// Object: `casepan flow diff`.
pub const OBJECT_FLOW_DIFF: &str = "What differs between two flows";
/// Object: `casepan flow test`.
pub const OBJECT_FLOW_TEST: &str = "Whole cases with what is expected of them";
/// Object: `casepan flow replay`.
pub const OBJECT_FLOW_REPLAY: &str = "The archive, judged by another flow";
/// Object: `casepan flow facts`.
pub const OBJECT_FLOW_FACTS: &str = "Facts that a flow may use";
/// Object: `casepan flow sources`.
pub const OBJECT_FLOW_SOURCES: &str = "Numbers of a flow with their sources";
/// Object: `casepan instruction list`.
pub const OBJECT_INSTRUCTION_LIST: &str = "Standing instructions";
/// Object: `casepan archive check`.
pub const OBJECT_ARCHIVE_CHECK: &str = "Damage in the archive";
/// Object: `casepan settings`.
pub const OBJECT_SETTINGS: &str = "Active settings";

/// Order of the worklist: what comes next.
pub const BY_TURN: &str = "What needs a call first, then what came back, then by due date";
/// Order of the worklist: last worked on.
pub const BY_LAST: &str = "Last worked on first";
/// Order of the worklist: number.
pub const BY_NUMBER: &str = "By case number";
/// Order of the worklist: dentist.
pub const BY_DENTIST: &str = "By the dentist's code";
/// Order of the worklist: who has it.
pub const BY_WHO: &str = "By who has it";
