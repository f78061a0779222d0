//! Case files with one problem each.

use casepan::case::file::MAX_NUMBER;
use casepan::fact::MAX_TEXT;

use super::file;

/// A whole case file with another header line or other restorations.
fn header(first: &str, restorations: &str) -> String {
    format!("Case(\n    {first},\n    restorations: {restorations},\n    facts: [],\n)\n")
}

/// A whole case file with a decision.
fn decided(line: &str) -> String {
    format!(
        "Case(\n    {FIRST},\n    restorations: {CROWN},\n    facts: [],\n    decisions: [\n        {line},\n    ],\n)\n"
    )
}

const FIRST: &str = "format: 1, number: \"24-7\", flow: \"fixed\", version: 1";
const CROWN: &str = "[Crown(\"R1\", [Abutment(\"26\")])]";

/// (file with a mark before the place, code, a part of what is said).
pub(super) fn faults() -> Vec<(String, &'static str, &'static str)> {
    let fact = |line: &str| file(&format!("        {line},"));
    let with = |restorations: &str| header(FIRST, restorations);
    let long = "x".repeat(MAX_TEXT + 1);
    vec![
        (
            header(
                "format: ◆2, number: \"24-7\", flow: \"fixed\", version: 1",
                CROWN,
            ),
            "case-format",
            "format 1",
        ),
        (
            header(
                "format: 1, number: ◆\"\", flow: \"fixed\", version: 1",
                CROWN,
            ),
            "case-number",
            "needs a number",
        ),
        (
            header(
                "format: 1, number: ◆\"24\\u{1b}[31m\", flow: \"fixed\", version: 1",
                CROWN,
            ),
            "case-number",
            "cannot contain",
        ),
        (
            header(
                &format!(
                    "format: 1, number: ◆\"{}\", flow: \"f\", version: 1",
                    "9".repeat(MAX_NUMBER + 1)
                ),
                CROWN,
            ),
            "case-number",
            "41 characters",
        ),
        (with("◆[]"), "case-units", "at least one unit"),
        (
            with("◆[Crown(\"R1\", [Abutment(\"26\"), Abutment(\"27\")])]"),
            "case-units",
            "not one abutment",
        ),
        (
            with("◆[Bridge(\"R1\", [Abutment(\"26\"), Abutment(\"27\")])]"),
            "case-units",
            "no pontic",
        ),
        (
            with("◆[Bridge(\"R1\", [Pontic(\"26\")])]"),
            "case-units",
            "no abutment",
        ),
        (
            with("◆[Splinted(\"R1\", [Abutment(\"26\"), Abutment(\"36\")])]"),
            "case-units",
            "one arch",
        ),
        (
            with("◆[Crown(\"R1\", [Abutment(\"26\")]), Crown(\"R2\", [Abutment(\"26\")])]"),
            "case-units",
            "listed twice",
        ),
        (
            with("◆[Crown(\"R1\", [Abutment(\"26\")]), Crown(\"R1\", [Abutment(\"27\")])]"),
            "case-units",
            "two restorations",
        ),
        (
            with("[Crown(◆\"one\", [Abutment(\"26\")])]"),
            "case-restoration",
            "R1, R2",
        ),
        (
            with("[Crown(◆\"R0\", [Abutment(\"26\")])]"),
            "case-restoration",
            "R0",
        ),
        (
            with("[Crown(\"R1\", [Abutment(◆\"29\")])]"),
            "case-tooth",
            "29",
        ),
        // A milk tooth.
        (
            with("[Crown(\"R1\", [Abutment(◆\"55\")])]"),
            "case-tooth",
            "55",
        ),
        (
            fact("(fact: ◆\"tooth.heigth\", at: \"46\", is: Mm(3.0))"),
            "case-fact",
            "\"tooth.height\"",
        ),
        (
            fact("(fact: ◆\"colour of the sky\", at: \"case\", is: Yes)"),
            "case-fact",
            "flow facts",
        ),
        (
            fact("(fact: ◆\"tooth.base\", at: \"46\", is: Mm(3.0))"),
            "case-derived-fact",
            "is computed",
        ),
        (
            fact("(fact: \"tooth.height\", at: ◆\"46/above\", is: Mm(3.0))"),
            "case-place",
            "46/above",
        ),
        (
            fact("(fact: \"tooth.height\", at: ◆\"case\", is: Mm(3.0))"),
            "case-place-kind",
            "an abutment such as",
        ),
        // A unit, but no abutment.
        (
            fact("(fact: \"tooth.height\", at: ◆\"45\", is: Mm(3.0))"),
            "case-place-kind",
            "an abutment such as",
        ),
        (
            fact("(fact: \"tooth.height\", at: ◆\"47\", is: Mm(3.0))"),
            "case-no-such-place",
            "set_aside",
        ),
        (
            fact("(fact: \"connector.height\", at: ◆\"44-46\", is: Mm(3.0))"),
            "case-no-such-place",
            "44-46",
        ),
        (
            file(
                "(fact: \"tooth.height\", at: \"46\", is: Mm(3.0)),\n(fact: ◆\"tooth.height\", at: \"46\", is: Mm(3.5)),",
            ),
            "case-fact-twice",
            "first is on line 6",
        ),
        (
            fact("(fact: \"tooth.height\", at: \"46\", is: ◆Deg(3.0))"),
            "case-type",
            "0.5 to 12 mm",
        ),
        (
            fact("(fact: \"order.shade_given\", at: \"case\", is: ◆Choice(\"yes\"))"),
            "case-type",
            "yes or no",
        ),
        (
            fact("(fact: \"tooth.height\", at: \"46\", is: ◆Mm(0.4))"),
            "case-bounds",
            "0.5 to 12 mm",
        ),
        (
            fact("(fact: \"tooth.height\", at: \"46\", is: ◆Mm(-3.0))"),
            "case-bounds",
            "0.5 to 12 mm",
        ),
        (
            fact("(fact: \"remake.times\", at: \"R1\", is: ◆Count(10))"),
            "case-bounds",
            "1 to 9",
        ),
        (
            fact("(fact: \"tooth.core\", at: \"46\", is: ◆Choice(\"gold\"))"),
            "case-choice",
            "\"post-loose\"",
        ),
        (
            fact(&format!(
                "(fact: \"order.fee_lines\", at: \"case\", is: ◆Text(\"{long}\"))"
            )),
            "case-text",
            "400",
        ),
        (
            decided("(rule: \"a\", at: ◆\"88\", outcome: AsItIs, from: \"2026-11-23\")"),
            "case-place",
            "88",
        ),
        (
            decided(&format!(
                "(rule: \"a\", at: \"46\", outcome: AsItIs, from: \"2026-11-23\", words: ◆\"{long}\")"
            )),
            "case-text",
            "too long",
        ),
        (
            decided(
                "(rule: \"a\", at: \"46\", outcome: Agreed, from: \"2026-11-23\", changes: [(fact: \"tooth.height\", at: \"46\", is: ◆Mm(30.0))])",
            ),
            "case-bounds",
            "never has this value",
        ),
        (
            decided("(rule: \"a\", at: \"46\", outcome: Agreed, from: \"2026-11-23\", units: ◆[])"),
            "case-units",
            "at least one unit",
        ),
        (
            file("").replacen(
                "    facts:",
                "    life: [◆(what: Delivered, restorations: [7], on: \"2026-11-23\")],\n    facts:",
                1,
            ),
            "case-life",
            "R7",
        ),
        (
            file("").replacen(
                "    facts:",
                "    handed: ◆(to: \"Anna B\"),\n    facts:",
                1,
            ),
            "case-handed",
            "never a name",
        ),
        (
            file("").replacen(
                "    facts:",
                "    files: [◆(path: \"a.jpg\", sha256: \"12\", bytes: 3)],\n    facts:",
                1,
            ),
            "case-file",
            "a.jpg",
        ),
    ]
}
