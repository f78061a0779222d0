//! The letter: what it asks, with which boxes to tick, and which words it never has. The call list asks the same.

use casepan::call::{asks, remarks};
use casepan::case::Case;
use casepan::case::decision::{Decided, DentistAnswer};
use casepan::derive::Facts;
use casepan::fact::{FactId, Kind, Unit, Value};
use casepan::flow::Level;
use casepan::judge::judge;
use casepan::options::case_options;
use casepan::phrase::Phrase;
use casepan::print::{Format, Imprint, Laboratory, Sheet, Told, print};
use casepan::tooth::Notation;

use super::{demos, flat, text, troubled};
use crate::good::{finish, flow, pan, put};
use crate::made::{choice, mm, told};

/// What a dentist should not read: per cents, MPa, blame, words of the bench and where a figure is from. Common practice,
/// and the table of words that this project keeps to: *preparation* to the dentist.
const NOT_IN_LETTERS: [&str; 17] = [
    "%",
    "MPa",
    "your taper",
    "Your taper",
    "stump",
    "die spacer",
    "dished",
    "blow",
    "blown",
    " grip ",
    "bench",
    "from memory",
    "common practice",
    "published",
    "maker's instructions",
    "screening",
    "lets go",
];

fn cases() -> Vec<Case> {
    let mut cases = vec![troubled()];
    cases.extend(demos().map(|(_, case)| case));
    cases
}

#[test]
fn a_letter_has_no_figures_of_the_bench_and_no_blame() {
    for case in &cases() {
        let letter = text(case, Sheet::Letter);
        for word in NOT_IN_LETTERS {
            assert!(!letter.contains(word), "{word} in\n{letter}");
        }
        assert_eq!(
            flat(&letter)
                .matches("how to proceed is your decision")
                .count(),
            usize::from(letter.contains("[ ]")),
            "{letter}"
        );
    }
    // Any case can come: no rule of the flow has such words for the dentist, nor a placeholder that would bring them.
    for rule in &flow().rules {
        let said = rule.asks.iter().chain(&rule.tells).chain(&rule.choices);
        for text in said {
            for word in NOT_IN_LETTERS {
                assert!(!text.contains(word), "{word} in {text}");
            }
            for name in text.split('{').skip(1).filter_map(|s| s.split('}').next()) {
                let unit = flow().spec(&FactId::named(name)).map(|spec| &spec.kind);
                if let Some(Kind::Number { unit, .. }) = unit {
                    assert!(!matches!(unit, Unit::Percent | Unit::Mpa), "{text}");
                }
            }
        }
    }
}

/// Words of four letters and more, by their first four letters in lower case.
fn stems(text: &str) -> Vec<String> {
    text.split(|c: char| !c.is_alphabetic())
        .filter(|word| word.chars().count() >= 4)
        .map(|word| word.chars().take(4).collect::<String>().to_lowercase())
        .collect()
}

/// Words that a choice may have beside those of its question: who, where, and that the line below tells more.
const BESIDE: [&str; 10] = [
    "labo", "dent", "inst", "answ", "this", "side", "sent", "toge", "writ", "belo",
];

#[test]
fn every_question_tells_why_and_offers_its_own_words() {
    let mut questions = 0;
    for rule in flow().rules.iter().filter(|rule| rule.asks.is_some()) {
        questions += 1;
        let asks = rule.asks.as_deref().unwrap_or_default();
        let tells = rule.tells.as_deref().unwrap_or_default();
        assert!(tells.ends_with('.'), "{}: {tells}", rule.id);
        assert_eq!(tells.matches(". ").count(), 0, "one sentence: {tells}");
        assert!(rule.choices.len() >= 2, "{}", rule.id);
        let known = stems(asks);
        for choice in &rule.choices {
            for stem in stems(choice) {
                let own = known.contains(&stem) || BESIDE.contains(&stem.as_str());
                assert!(
                    own,
                    "{}: {stem:?} of {choice:?} is not in {asks:?}",
                    rule.id
                );
            }
        }
    }
    assert!(questions > 50, "{questions}");
}

#[test]
fn a_letter_asks_all_that_holds_the_work_up_and_leaves_remarks_for_later() {
    for case in &cases() {
        let facts = Facts::of(flow(), case);
        let judgement = judge(flow(), &facts);
        let phrase = Phrase {
            flow: flow(),
            notation: Notation::default(),
        };
        let letter = flat(&text(case, Sheet::Letter));
        let (first, later) = letter
            .split_once("When convenient")
            .unwrap_or((letter.as_str(), ""));
        let mut at = 0;
        for (number, ask) in asks(&facts, &judgement, phrase, &[]).iter().enumerate() {
            assert!(ask.finding.level >= Level::Call);
            let line = format!("{}. {}", number + 1, flat(&ask.asks));
            let found = first.get(at..).and_then(|tail| tail.find(&line));
            at += found.unwrap_or_else(|| panic!("{line:?} in turn in {first}"));
            assert!(!later.contains(&flat(&ask.asks)), "{later}");
            // Why it matters, then the boxes of the question, then room for anything else.
            let tells = phrase.tells(&facts, ask.words_of);
            let boxes = phrase.choices(&facts, ask.words_of);
            let mut rest = first.get(at..).expect("the rest");
            let offered: Vec<String> = boxes.iter().map(|own| format!("[ ] {own}")).collect();
            for wanted in std::iter::once(&tells).chain(&offered) {
                let (_, after) = rest
                    .split_once(wanted.as_str())
                    .unwrap_or_else(|| panic!("{wanted:?} next in {rest}"));
                rest = after;
            }
            assert!(rest.starts_with(" [ ] other: ____"), "{rest}");
        }
        for ask in remarks(&facts, &judgement, phrase, &[]) {
            assert_eq!(ask.finding.level, Level::Watch);
            assert!(later.contains(&flat(&ask.asks)), "{later}");
        }
        assert_eq!(
            letter.contains("Your signature"),
            letter.contains("Answer: ____")
        );
    }
    assert!(
        text(&troubled(), Sheet::Letter).contains("4. "),
        "more than a call takes"
    );
}

/// The letter and the phone ask the same things under the same numbers.
#[test]
fn the_phone_asks_what_the_letter_asks() {
    for case in &cases() {
        let numbered = |sheet| -> Vec<String> {
            let all = text(case, sheet);
            all.lines()
                .filter(|line| {
                    line.starts_with(|c: char| c.is_ascii_digit()) && line.contains(". ")
                })
                .map(str::to_owned)
                .collect()
        };
        // The address is not filled in, so that every line that begins with a digit is a question.
        assert_eq!(numbered(Sheet::Letter), numbered(Sheet::Call));
    }
}

/// A print with the options worked out, from a laboratory that has filled in its settings.
fn from_our_laboratory(case: &Case, sheet: Sheet, format: Format) -> String {
    let facts = Facts::of(flow(), case);
    let judgement = judge(flow(), &facts);
    let ways = case_options(flow(), &facts, &judgement);
    let laboratory = Laboratory {
        name: Some("Our laboratory".to_owned()),
        address: vec!["1 Example Street".to_owned()],
    };
    let mut told: Told<'_> = told(flow(), &facts, &judgement);
    told.beside.ways = Some(&ways);
    told.beside.imprint = Imprint {
        laboratory: Some(&laboratory),
        who: Some("AB"),
        printed: Some("2026-11-27T09:05:59".parse().expect("a time")),
        record: None,
    };
    print(told, &[sheet], format).expect("a print")
}

#[test]
fn a_letter_is_a_letter() {
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    put(&mut case, "records.opposing", "case", choice("missing"));
    put(
        &mut case,
        "order.dentist",
        "case",
        Value::Text("K17".to_owned()),
    );
    put(
        &mut case,
        "call.answer_by",
        "case",
        crate::made::day("2026-12-04"),
    );
    finish(&mut case, true);
    let letter = from_our_laboratory(&case, Sheet::Letter, Format::Text);
    let lines: Vec<&str> = letter.lines().collect();
    let head = [
        "Our laboratory",
        "1 Example Street",
        "Fri 27 Nov 2026",
        "To: dentist K17",
        "Case invented: 26",
    ];
    assert_eq!(lines.get(..5), Some(&head[..]), "{letter}");
    let mut rest = letter.as_str();
    for wanted in [
        "Dear Doctor,",
        "26 in zirconia 3Y",
        "We have not started",
        "1. The opposing arch is missing. Could you send an impression or a scan?",
        "[ ] an impression of it",
        "[ ] a scan",
        "[ ] other: ____",
        "Answer: ____",
        "We need your answer by: Fri 4 Dec 2026",
        "With kind regards",
        "Inspected by AB",
        "Your signature",
        "Dentist: ____",
        "Date: ____",
    ] {
        let (_, after) = rest
            .split_once(wanted)
            .unwrap_or_else(|| panic!("{wanted:?} next in {rest}"));
        rest = after;
    }
    assert!(!letter.contains("Caution"), "{letter}");
    // What is not known is a line to fill in, and nothing is made up.
    let bare = text(&pan("26", "zirconia-3y", "resin-modified"), Sheet::Letter);
    for line in [
        "Laboratory: ____",
        "Address: ____",
        "Date: ____",
        "To: ____",
    ] {
        assert!(bare.contains(line), "{line} in {bare}");
    }
}

#[test]
fn every_other_sheet_says_when_it_was_printed_and_who_inspected() {
    let case = troubled();
    for sheet in Sheet::ALL {
        for format in [Format::Text, Format::Markdown, Format::Html] {
            let said = from_our_laboratory(&case, sheet, format);
            let stamp = "Our laboratory. Printed Fri 27 Nov 2026, 09:05. Inspected by AB.";
            assert_eq!(said.contains(stamp), sheet != Sheet::Letter, "{sheet:?}");
        }
    }
    // Whoever gave the answers inspected, whoever prints.
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    let spot = crate::made::spot("tooth.height", "26");
    let mut reading = casepan::case::Reading::plain(crate::good::mm(4.0));
    reading.who = Some("CD".to_owned());
    case.put(spot, casepan::case::Layer::Measured, reading);
    let said = from_our_laboratory(&case, Sheet::Ticket, Format::Text);
    assert!(said.contains("Inspected by CD."), "{said}");
}

/// What two findings are settled by is asked once, with both named, and each with its own boxes.
#[test]
fn what_one_option_settles_is_one_question() {
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    put(&mut case, "records.kind", "case", choice("scan"));
    put(&mut case, "scan.gaps", "case", choice("contact"));
    put(&mut case, "scan.stitch_step", "case", Value::Yes);
    finish(&mut case, true);
    for sheet in [Sheet::Letter, Sheet::Call] {
        let said = flat(&from_our_laboratory(&case, sheet, Format::Text));
        let (_, first) = said
            .split_once("1. 2 questions that one answer would settle: rescan that area")
            .unwrap_or_else(|| panic!("a question of two in {said}"));
        let (first, rest) = first.split_once("Answer: ____").expect("its end");
        for wanted in [
            "a) The scan has a hole at a contact",
            "b) There is a stitching step in the scan",
            "(settles all of it)",
            "[ ] a) rescan that tooth",
            "[ ] b) rescan that side",
        ] {
            assert!(first.contains(wanted), "{wanted} in {first}");
        }
        assert!(!rest.contains("2. "), "{rest}");
    }
    // One option for both that leaves a question of its own settles nothing: in zirconia the connector has no space either.
    let (_, mut case) = demos()
        .find(|(name, _)| *name == "cantilever-12-13")
        .expect("the demo case");
    put(
        &mut case,
        "restoration.connector_space",
        "R1",
        choice("tight"),
    );
    for fact in ["connector.space_height", "connector.space_width"] {
        put(&mut case, fact, "12-13", mm(2.0));
    }
    let said = from_our_laboratory(&case, Sheet::Letter, Format::Text);
    assert!(!said.contains("questions that one answer"), "{said}");
}

/// The call list carries what the screen knows of a question.
#[test]
fn the_call_list_says_what_is_seen_suggested_and_possible() {
    let (_, case) = demos()
        .find(|(name, _)| *name == "bridge-44-46")
        .expect("the demo case");
    let said = from_our_laboratory(&case, Sheet::Call, Format::Markdown).replace('\\', "");
    let mut rest = said.as_str();
    for wanted in [
        "I see: 46: no resistance form on 4 of 4 sides",
        "I suggest: cut more parallel walls on 46",
        "7 days",
        "clears this finding",
        "Also possible: bond 44 x45 46 with an adhesive resin",
        "(no extra cost, no delay",
        "Also possible: cut mesial and distal grooves in 46",
        "not enough by itself",
        "By when: ____",
        "[ ] grooves or a box",
        "[ ] other: ____",
        "Answer: ____",
    ] {
        let (_, after) = rest
            .split_once(wanted)
            .unwrap_or_else(|| panic!("{wanted:?} next in {rest}"));
        rest = after;
    }
}

/// Where a figure is from stands on the summary, and nowhere else; that the makers take precedence stands on the ticket.
#[test]
fn sources_stand_on_the_summary_and_nowhere_else() {
    for case in &cases() {
        for sheet in Sheet::ALL {
            let said = flat(&from_our_laboratory(case, sheet, Format::Text));
            let summary = sheet == Sheet::Summary;
            assert_eq!(said.contains("Sources"), summary, "{said}");
            assert_eq!(said.contains("(common practice)"), summary, "{said}");
            for raw in ["from memory", "no source", "[source", "; source "] {
                assert!(!said.contains(raw) || summary, "{raw} in {said}");
            }
            assert!(!said.contains("from memory"), "{said}");
        }
        let ticket = flat(&text(&super::accepted(case.clone()), Sheet::Ticket));
        assert_eq!(
            ticket.matches("cement take precedence").count(),
            1,
            "{ticket}"
        );
    }
}

/// A table of sizes shows what was read, not what is missing.
#[test]
fn a_ticket_says_first_what_is_made_with_care() {
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    finish(&mut case, true);
    let heading = casepan::phrase::sheets::ticket::WITH_CARE;
    let sound = flat(&text(&case, Sheet::Ticket));
    assert!(sound.contains("CLEARED TO MAKE"), "{sound}");
    assert!(!sound.contains(heading), "{sound}");
    put(&mut case, "tooth.clearance", "26", crate::made::mm(0.5));
    finish(&mut case, true);
    let short = flat(&text(&case, Sheet::Ticket));
    assert!(short.contains("CLEARED TO MAKE"), "{short}");
    let (first, _) = short
        .split_once("Material, shade and spacer")
        .expect("sizes");
    let (_, care) = first.split_once(heading).expect("what needs care");
    assert!(care.contains("clearance 0.5 mm"), "{care}");
}

/// Whoever has looked at nothing yet has no word to say of the preparations.
#[test]
fn a_letter_says_nothing_of_preparations_that_nobody_has_looked_at() {
    let nothing = "We have no question about the preparations";
    let new = pan("36", "zirconia-3y", "resin-modified");
    let letter = flat(&text(&new, Sheet::Letter));
    assert!(!letter.contains(nothing), "{letter}");
    assert!(letter.contains("not inspected all of the case"), "{letter}");
    let mut looked_at = new;
    finish(&mut looked_at, true);
    let letter = flat(&text(&looked_at, Sheet::Letter));
    assert!(
        !letter.contains("not inspected all of the case"),
        "{letter}"
    );
}

/// What was looked for and not seen is no reason to say that nothing has to be decided.
#[test]
fn a_letter_of_what_was_not_seen_says_that_more_comes() {
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    for fact in [
        "tooth.margin_seen",
        "tooth.height",
        "tooth.width_margin_md",
        "tooth.width_top_md",
        "tooth.clearance",
    ] {
        put(&mut case, fact, "26", Value::NotSeen);
    }
    finish(&mut case, true);
    let letter = flat(&text(&case, Sheet::Letter));
    for says in [
        "nothing that you have to decide",
        "We have no question about",
    ] {
        assert!(!letter.contains(says), "{letter}");
    }
}

/// Whoever works from the ticket reads that the dentist was asked, and declined.
#[test]
fn a_declined_question_does_not_wait_on_the_ticket() {
    let mut case = troubled();
    let (about, asks) = {
        let facts = Facts::of(flow(), &case);
        let judgement = judge(flow(), &facts);
        let phrase = told(flow(), &facts, &judgement).phrase;
        let list = casepan::call::asks(&facts, &judgement, phrase, &[]);
        let held = list.iter().find(|ask| ask.finding.level >= Level::Call);
        let finding = held.expect("a question").finding;
        let asks = phrase.asks(&facts, finding).expect("its words");
        (casepan::call::matter(flow(), finding), asks)
    };
    let waits = format!("Waiting for the dentist's answer to: {asks}");
    let before = flat(&text(&case, Sheet::Ticket));
    assert!(before.contains(&flat(&waits)), "{before}");
    let at = about.at.to_string();
    let mut decision = crate::decision::decision(&about.rule, &at, DentistAnswer::Refused);
    decision.taken.clear();
    decision.amended = false;
    case.decide(Decided {
        decision,
        who: None,
        when: None,
    });
    let ticket = flat(&text(&case, Sheet::Ticket));
    assert!(!ticket.contains(&flat(&waits)), "{ticket}");
    assert!(
        ticket.contains("Asked: declined by the dentist on"),
        "{ticket}"
    );
    assert!(
        ticket.contains("It needs another option, or a written order"),
        "{ticket}"
    );
}
