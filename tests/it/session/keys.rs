//! Keys at one cell: what they write, and what they are refused for.

use super::walls;

/// (cell, keys, what is written, cell afterwards).
type Keys = (
    (&'static str, &'static str),
    &'static str,
    &'static [&'static str],
    &'static str,
);

const KEYS: &[Keys] = &[
    // A digit that picks a choice answers at once; a number is kept with enter.
    (
        ("order.matches", "case"),
        "1 5",
        &[
            "order.matches@case = yes",
            "order.cement@R1 = resin-modified",
        ],
        "order.shade_given@case",
    ),
    (
        ("order.shade_given", "case"),
        "2",
        &["order.shade_given@case = no"],
        "records.disinfected@case",
    ),
    (
        ("tooth.height", "26"),
        "4.4 enter 7 enter 6.5 enter",
        &[
            "tooth.height@26 = 4.4 Mm, caliper",
            "tooth.width_margin_md@26 = 7 Mm, caliper",
            "tooth.width_top_md@26 = 6.5 Mm, caliper",
        ],
        "tooth.width_margin_fl@26",
    ),
    // Of a list of more than nine, nine turns to the rest and back; it answers nothing.
    (("order.material", "R1"), "9", &[], "order.material@R1"),
    (
        ("order.material", "R1"),
        "9 4",
        &["order.material@R1 = leucite"],
        "order.cement@R1",
    ),
    (
        ("order.material", "R1"),
        "9 9 2",
        &["order.material@R1 = lithium-disilicate"],
        "order.cement@R1",
    ),
    // Backspace turns back, and so does leaving the cell.
    (
        ("order.material", "R1"),
        "9 backspace 2",
        &["order.material@R1 = lithium-disilicate"],
        "order.cement@R1",
    ),
    (
        ("order.material", "R1"),
        "9 tab shift-tab 2",
        &["order.material@R1 = lithium-disilicate"],
        "order.cement@R1",
    ),
    // Enter picks none.
    (("order.material", "R1"), "9 enter", &[], "order.cement@R1"),
    // Comma and point are the same.
    (
        ("tooth.height", "26"),
        "4,4 enter",
        &["tooth.height@26 = 4.4 Mm, caliper"],
        "tooth.width_margin_md@26",
    ),
    // A slip is taken back before it is kept.
    (
        ("tooth.height", "26"),
        "49 backspace .2 enter",
        &["tooth.height@26 = 4.2 Mm, caliper"],
        "tooth.width_margin_md@26",
    ),
    // Nothing typed, nothing kept.
    (
        ("tooth.height", "26"),
        "enter",
        &[],
        "tooth.width_margin_md@26",
    ),
    (
        ("tooth.height", "26"),
        "4 tab",
        &[],
        "tooth.width_margin_md@26",
    ),
    (
        ("tooth.height", "26"),
        "-",
        &["tooth.height@26 = not seen"],
        "tooth.width_margin_md@26",
    ),
    // Another instrument, which reads finer.
    (
        ("tooth.height", "26"),
        "m m 4.45 enter",
        &["tooth.height@26 = 4.45 Mm, scan"],
        "tooth.width_margin_md@26",
    ),
    // Bands are picked by digit, once the form of that wall is known.
    (
        ("wall.margin_form", "26/facial"),
        "1 1",
        &[
            "wall.margin_form@26/facial = chamfer",
            "wall.margin_form@26/lingual = chamfer",
        ],
        "wall.margin_width@26/facial",
    ),
    (
        ("wall.margin_width", "26/lingual"),
        "3",
        &["wall.margin_width@26/lingual = 0.8 Mm, loupe"],
        "wall.margin_to_gum@26/mesial",
    ),
    // Days ago, or a day.
    (
        ("impression.taken", "case"),
        "3 enter 2026-11-21 enter",
        &[
            "impression.taken@case = 2026-11-20",
            "impression.poured@case = 2026-11-21",
        ],
        "records.pour_sound@case",
    ),
    // The wall before, round the prep: mesial, distal, facial, lingual.
    (
        ("wall.height", "26/mesial"),
        "3 enter * * *",
        &[
            "wall.height@26/mesial = 3 Mm, caliper",
            "wall.height@26/distal = 3 Mm, caliper",
            "wall.height@26/facial = 3 Mm, caliper",
            "wall.height@26/lingual = 3 Mm, caliper",
        ],
        "wall.form@26/mesial",
    ),
    // The same answer, found right in another session, is an entry.
    (
        ("order.scope", "R1"),
        "1",
        &["order.scope@R1 = teeth"],
        "order.matches@case",
    ),
    (
        ("order.scope", "R1"),
        "delete delete",
        &["clear order.scope@R1"],
        "order.scope@R1",
    ),
];

#[test]
fn keys_and_what_they_write() {
    for ((fact, at), keys, wrote, cursor) in KEYS {
        let mut tech = walls();
        tech.at(fact, at).keys(keys);
        assert_eq!(tech.wrote(), *wrote, "{fact} {keys}");
        assert_eq!(tech.cursor(), *cursor, "{fact} {keys}");
        assert_eq!(tech.refusal(), "", "{fact} {keys}");
    }
}

/// (cell, keys, what is said); nothing is written and the cell stays open.
const REFUSED: &[((&str, &str), &str, &str)] = &[
    (("tooth.height", "26"), "13 enter", "enter 0.5 to 12 mm"),
    (("tooth.height", "26"), "0.4 enter", "enter 0.5 to 12 mm"),
    (
        ("tooth.height", "26"),
        "4.45 enter",
        "caliper reads in 0.1 mm steps; round the value, or press m for another instrument",
    ),
    (
        ("tooth.height", "26"),
        "m 4.4 enter",
        "probe with 0.5 mm marks reads in 0.5 mm steps; round the value, or press m for another instrument",
    ),
    (
        ("tooth.height", "26"),
        "4.4.4 enter",
        "4.4.4 is not a number",
    ),
    (("tooth.height", "26"), ". enter", ". is not a number"),
    (
        ("tooth.undercut", "26"),
        "6",
        "\"6\" does nothing here; ? lists the keys",
    ),
    (
        ("tooth.undercut", "26"),
        "0",
        "\"0\" does nothing here; ? lists the keys",
    ),
    // Eight on the first of two pages, four on the second.
    (
        ("order.material", "R1"),
        "9 5",
        "\"5\" does nothing here; ? lists the keys",
    ),
    (("tooth.carries_denture", "26"), "3", "1 is yes, 2 is no"),
    (
        ("wall.margin_width", "26/mesial"),
        "5",
        "\"5\" does nothing here; ? lists the keys",
    ),
    // A nought begins a number.
    (
        ("wall.margin_width", "26/mesial"),
        "03.5 enter",
        "enter 0 to 3 mm",
    ),
    (
        ("wall.margin_width", "26/mesial"),
        "0.65 enter",
        "loupe reads in 0.1 mm steps; round the value, or press m for another instrument",
    ),
    (
        ("bite.stable_stops", "case"),
        "2.5 enter",
        "enter a whole number, 0 to 20",
    ),
    (
        ("bite.stable_stops", "case"),
        "21 enter",
        "enter a whole number, 0 to 20",
    ),
    (
        ("impression.taken", "case"),
        "4000 enter",
        "that is more than ten years ago",
    ),
    (
        ("impression.taken", "case"),
        "2026-02-30 enter",
        "enter days ago, day-month or year-month-day",
    ),
    (
        ("wall.height", "26/mesial"),
        "*",
        "no previous value in this row",
    ),
    (
        ("order.scope", "R1"),
        "u",
        "nothing to undo in this session",
    ),
    (("order.scope", "R1"), "y", "nothing to redo"),
    (("order.scope", "R1"), "w", "go to a prep first"),
    (
        ("order.scope", "R1"),
        "m",
        "no other instrument for this reading",
    ),
];

#[test]
fn what_does_not_fit_is_refused_in_place() {
    for ((fact, at), keys, why) in REFUSED {
        let mut tech = walls();
        tech.at(fact, at).keys(keys);
        assert_eq!(tech.refusal(), *why, "{fact} {keys}");
        assert!(tech.wrote().is_empty(), "{fact} {keys}");
        assert_eq!(tech.cursor(), format!("{fact}@{at}"), "{fact} {keys}");
        // The next key clears it.
        tech.keys("tab");
        assert_ne!(tech.refusal(), *why, "{fact} {keys}");
    }
}
