//! Now and then side by side: options with what they lead to, and what was agreed.

use casepan::case::Case;
use casepan::derive::Facts;
use casepan::judge::judge;
use casepan::options::{CaseOption, case_options};
use casepan::phrase::sheets::compared as says;
use casepan::print::{Format, Sheet, print};

use super::{accepted, decide, demos, flat, text, troubled};
use crate::good::{choice, finish, flow, mm, pan, put};
use crate::made::told;

fn demo(name: &str) -> Case {
    let mut all = demos();
    all.find(|(own, _)| *own == name).expect("a demo case").1
}

/// Prints a sheet with the options worked out, and returns the cells of its tables of options, a row each.
fn rows(case: &Case, sheet: Sheet) -> (String, Vec<Vec<String>>, Vec<CaseOption>) {
    let facts = Facts::of(flow(), case);
    let judgement = judge(flow(), &facts);
    let ways = case_options(flow(), &facts, &judgement);
    let mut told = told(flow(), &facts, &judgement);
    told.beside.ways = Some(&ways);
    // In Markdown each row is a line.
    let said = print(told, &[sheet], Format::Markdown).expect("a print");
    let mut rows = Vec::new();
    let mut inside = false;
    for line in said.lines() {
        let begins = line.starts_with("| option | result now | with it |");
        inside = begins || (inside && line.starts_with('|'));
        if inside && !begins && !line.starts_with("|---") {
            let cells = line.trim_matches('|').split(" | ");
            rows.push(cells.map(|cell| cell.trim().to_owned()).collect());
        }
    }
    (said, rows, ways)
}

/// Each option of summary and call sheet carries what trying it came to, or says that there is nothing to compare.
#[test]
fn options_carry_their_results() {
    let (mut with, mut without, mut better) = (0, 0, 0);
    for (name, case) in demos() {
        let facts = Facts::of(flow(), &case);
        let judgement = judge(flow(), &facts);
        let phrase = told(flow(), &facts, &judgement).phrase;
        let now = phrase.in_a_word(judgement.verdict).to_uppercase();
        for sheet in [Sheet::Summary, Sheet::Call] {
            let (said, rows, ways) = rows(&case, sheet);
            assert_eq!(rows.is_empty(), name == "crown-26", "{name} {sheet:?}");
            for row in &rows {
                let mut own = ways.iter().filter(|way| {
                    !way.told_elsewhere && row[0].contains(&phrase.does(&facts, way))
                });
                let way = own.next().unwrap_or_else(|| panic!("{row:?}"));
                assert_eq!(row[1], now, "{row:?}");
                let Some(after) = &way.after else {
                    without += 1;
                    assert_eq!(row[2], says::NOT_COMPUTED, "{row:?}");
                    assert!(said.contains(says::WHY_NOT_COMPUTED), "{said}");
                    continue;
                };
                with += 1;
                assert_eq!(row[2], phrase.in_a_word(after.verdict).to_uppercase());
                if let [change] = after.grip.as_slice()
                    && let Some((before, then)) = change.both()
                {
                    better += usize::from(then > before + 0.01);
                    assert_eq!(row[3..], [format!("{before:.2}"), format!("{then:.2}")]);
                }
            }
            let open = judgement.verdict.is_open() && !rows.is_empty();
            assert_eq!(said.contains(says::MAY_CHANGE), open, "{name} {sheet:?}");
        }
    }
    assert!(
        with > 10 && without > 0 && better > 2,
        "{with} {without} {better}"
    );
}

/// Whether an option clears what the question is about is said on the call sheet, as trying it came out.
#[test]
fn the_call_sheet_says_which_option_clears_the_finding() {
    let case = demo("bridge-44-46");
    let (_, rows, ways) = rows(&case, Sheet::Call);
    let clears = |row: &&Vec<String>| row[0].contains("clears this finding");
    let (clear, stay): (Vec<_>, Vec<_>) = rows.iter().partition(clears);
    assert!(!clear.is_empty() && !stay.is_empty(), "{rows:?}");
    let facts = Facts::of(flow(), &case);
    let judgement = judge(flow(), &facts);
    let phrase = told(flow(), &facts, &judgement).phrase;
    for row in &clear {
        let way = ways
            .iter()
            .find(|way| row[0].contains(&phrase.does(&facts, way)))
            .expect("the option");
        let gone = &way.after.as_ref().expect("a result").gone;
        assert!(gone.iter().any(|(_, at)| at.to_string() == "46"), "{row:?}");
    }
}

/// In plain text the columns stand under each other, and the text of an option is broken beside them.
#[test]
fn options_stand_in_columns_of_plain_text() {
    let case = demo("bridge-44-46");
    let facts = Facts::of(flow(), &case);
    let judgement = judge(flow(), &facts);
    let ways = case_options(flow(), &facts, &judgement);
    let mut told = told(flow(), &facts, &judgement);
    told.beside.ways = Some(&ways);
    let said = print(told, &[Sheet::Call], Format::Text).expect("a print");
    let head = said
        .lines()
        .find(|line| line.starts_with("option "))
        .expect("a head");
    let column = head.rfind("with it").expect("a column");
    let rows = said
        .lines()
        .filter(|line| line.starts_with("I suggest: ") || line.starts_with("Also possible: "));
    let mut count = 0;
    for row in rows {
        count += 1;
        let cell = row.get(column..).unwrap_or_default();
        assert!(
            cell == "-" || cell.parse::<f64>().is_ok(),
            "{cell:?} in {row:?}"
        );
    }
    assert!(count > 2, "{said}");
    assert!(
        said.lines().all(|line| line.chars().count() <= 78),
        "{said}"
    );
}

/// What was agreed stands beside what was measured, on the ticket.
#[test]
fn an_agreed_value_stands_beside_the_measured_one() {
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    put(&mut case, "tooth.clearance", "26", mm(0.5));
    finish(&mut case, true);
    decide(&mut case, "order.material", "R1", choice("metal-ceramic"));
    let ticket = text(&case, Sheet::Ticket);
    let row = ticket
        .lines()
        .find(|line| line.starts_with("R1 material "))
        .unwrap_or_else(|| panic!("{ticket}"));
    let cells: Vec<&str> = row
        .split("  ")
        .map(str::trim)
        .filter(|cell| !cell.is_empty())
        .collect();
    assert_eq!(
        cells,
        [
            "R1 material",
            "zirconia 3Y, high strength",
            "metal-ceramic",
            "Tue 24 Nov 2026"
        ],
        "{ticket}"
    );
}

/// Each accepted finding has its answer once on the ticket, and a case that is cleared puts nothing to the dentist.
#[test]
fn what_was_accepted_is_said_once() {
    let case = accepted(troubled());
    let ticket = flat(&text(&case, Sheet::Ticket));
    let facts = Facts::of(flow(), &case);
    let judgement = judge(flow(), &facts);
    let asked = casepan::call::asks(
        &facts,
        &judgement,
        told(flow(), &facts, &judgement).phrase,
        &[],
    );
    let answers = ticket.matches("Answer: agreed with the dentist").count();
    assert_eq!(answers, asked.len(), "{ticket}");
    assert_eq!(
        ticket.matches("make it as it is").count(),
        answers,
        "{ticket}"
    );
    assert!(
        ticket.contains("Accepted: The opposing arch is missing in part; the models"),
        "{ticket}"
    );
    let (said, rows, _) = rows(&case, Sheet::Summary);
    assert!(!rows.is_empty(), "{said}");
    assert!(
        rows.iter().all(|row| !row[0].starts_with("Dentist")),
        "{rows:?}"
    );
    // While it is asked, the dentist's options stand there.
    let (said, rows, _) = self::rows(&troubled(), Sheet::Summary);
    assert!(
        rows.iter().any(|row| row[0].starts_with("Dentist")),
        "{said}"
    );
}
