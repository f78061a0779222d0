//! The page of the call, key by key.

use std::sync::LazyLock;

use casepan::case::coming::{Blocks, Part};
use casepan::case::decision::{Decider, DentistAnswer};
use casepan::case::journal::{Body, fold};
use casepan::derive::{Facts, Precision};
use casepan::fact::{Place, Unit, Value};
use casepan::flow::{Level, OptionId, Whose};
use casepan::judge::{Finding, judge};
use casepan::options::{Amount, CaseOption, Worst, case_options, for_the_dentist};
use casepan::session::call::{AnswerStage, Pick, Row};
use casepan::session::command::{COMMANDS, Context};
use casepan::session::view::{PageView, PanelLine};
use casepan::session::{Act, Effect, Page, Ways};
use proptest::prelude::*;

use super::demo;
use crate::good::flow;
use crate::made::spot;
use crate::session::{Technician, moment, values};

/// The bridge of the demo with its options, worked out once.
fn bridge() -> Technician {
    static WAYS: LazyLock<Vec<CaseOption>> = LazyLock::new(|| {
        let case = demo("bridge-44-46");
        let facts = Facts::with(flow(), &case, Precision::Quick);
        case_options(flow(), &facts, &judge(flow(), &facts))
    });
    let mut tech = Technician::on(&demo("bridge-44-46"));
    tech.session.inspection.as_mut().unwrap().ways = Some(Ways {
        singles: WAYS.clone(),
        together: Some(Vec::new()),
        steady: Vec::new(),
    });
    tech
}

#[test]
fn nothing_is_preselected_and_the_dentists_list_keeps_the_flows_order() {
    let mut tech = bridge();
    tech.keys("c 1");
    let inspection = tech.session.inspection.as_ref().unwrap();
    let mut looked = 0;
    for row in tech.session.call_rows(inspection) {
        let Row::Ask(matter) = row else { continue };
        let ways = tech.session.ways_behind(inspection, &matter);
        let rule = |own: &Finding| flow().rule(own.rule).unwrap();
        let mut all = inspection.judgement().findings.iter();
        let finding = all
            .find(|own| rule(own).id == matter.rule && own.at == matter.at)
            .unwrap();
        let all = std::iter::once(finding).chain(&finding.folded);
        let named: Vec<&String> = all.flat_map(|own| &rule(own).choices).collect();
        let place = |way: &CaseOption| {
            let spoken = named.iter().position(|own| way.is_meant(flow(), own));
            let by = way.of(flow()).unwrap().by;
            (by, spoken.unwrap_or(named.len()), way.worst, way.option)
        };
        let places: Vec<(Whose, usize, Worst, OptionId)> = ways.iter().map(place).collect();
        // What was read out, in the order of its words; then by what it does to the worst, each in the flow's order.
        let dentist: Vec<_> = places
            .iter()
            .filter(|(by, ..)| *by == Whose::Dentist)
            .collect();
        assert!(dentist.is_sorted(), "{dentist:?}");
        // On the phone the dentist's stand before the laboratory's own.
        let theirs = |(by, ..): &(Whose, usize, Worst, OptionId)| *by != Whose::Dentist;
        assert!(places.is_sorted_by_key(theirs), "{places:?}");
        looked += dentist.len();
        // Digits: six options at the most, then what else can be said.
        let picks = tech.session.picks(inspection, &matter);
        let digits: String = picks.iter().map(|(digit, _)| *digit).collect();
        let options: String = ('1'..='6').take(ways.len()).collect();
        assert_eq!(digits, format!("{options}7890"));
    }
    assert!(looked > 3, "{looked}");
    // The whole list keeps the order as well, however good a result is.
    let ways = &inspection.ways.as_ref().unwrap().singles;
    let order: Vec<_> = for_the_dentist(flow(), ways)
        .iter()
        .map(|w| (w.worst, w.option))
        .collect();
    assert!(order.is_sorted());
    let PageView::Call(view) = tech.session.view().page else {
        panic!("another page is shown");
    };
    let ticked = view
        .panel
        .iter()
        .filter(|line| matches!(line, PanelLine::Pick { ticked: true, .. }));
    assert_eq!(ticked.count(), 0);
    // Enter alone says nothing.
    assert!(tech.key("enter").is_empty());
    assert!(tech.session.draft().is_none());
    assert!(tech.session.notice.is_some());
}

/// The whole answer in three keys, since nobody was asked yet who speaks; the next in two.
#[test]
fn three_keys_keep_an_answer_and_two_the_next() {
    let mut tech = Technician::on(&demo("remake-35-37"));
    tech.go(Page::Questions);
    tech.key("c");
    let open = |tech: &Technician| {
        let inspection = tech.session.inspection.as_ref().unwrap();
        let rows = tech.session.call_rows(inspection);
        rows.iter().filter(|row| matches!(row, Row::Ask(_))).count()
    };
    assert!(open(&tech) > 1, "{}", open(&tech));
    tech.keys("1 9 enter");
    assert_eq!(tech.case().decisions().count(), 1);
    tech.keys("9 enter");
    assert_eq!(tech.case().decisions().count(), 2);
    for decided in tech.case().decisions() {
        assert_eq!(decided.decision.by, Some(Decider::Dentist));
        assert_eq!(decided.decision.outcome, DentistAnswer::NoDecision);
    }
    // Somebody else takes the phone.
    tech.keys("r 4");
    assert_eq!(tech.session.call.speaker, Some(Decider::Message));
}

/// A digit that comes twice within a wink picks once, and neither that nor a held Enter keeps what nobody read.
#[test]
fn held_and_doubled_keys_do_nothing() {
    let mut tech = bridge();
    tech.session.taps.by_hand = true;
    tech.key("c");
    let mut now = moment(40);
    tech.session.key("1", &now);
    now.now += jiff::SignedDuration::from_millis(60);
    tech.session.key("1", &now);
    assert_eq!(tech.session.call.speaker, Some(Decider::Dentist));
    assert!(tech.session.draft().is_none());
    now.now += jiff::SignedDuration::from_secs(2);
    tech.session.key("1", &now);
    assert!(tech.session.draft().is_some());
    let before = tech.session.draft().cloned();
    for _ in 0..5 {
        now.now += jiff::SignedDuration::from_millis(30);
        tech.session.key("1", &now);
    }
    assert_eq!(tech.session.draft().cloned(), before);
}

#[test]
fn an_answer_is_picked_read_back_and_kept_as_one_entry() {
    let mut tech = bridge();
    let before = tech.journal.len();
    tech.keys("c 1 1 t soon enter c half space each enter");
    let open = tech.session.call.open.clone().unwrap();
    assert_eq!(tech.session.draft().unwrap().stage, AnswerStage::ReadBack);
    assert_eq!(tech.journal.len(), before);
    let PageView::Call(view) = tech.session.view().page else {
        panic!("another page is shown");
    };
    let said: Vec<&String> = view
        .panel
        .iter()
        .filter_map(|line| match line {
            PanelLine::Text(text) => Some(text),
            _ => None,
        })
        .collect();
    assert!(
        said.iter().any(|text| text.contains(": \"soon\"")
            && text.contains("cost: half each")
            && text.ends_with("is that right?")),
        "{said:?}"
    );
    let way = tech.session.draft().unwrap().ways[0].clone();
    tech.key("enter");
    let Some(Body::Decide { decision }) = tech.journal.last().map(|entry| &entry.body) else {
        panic!("another entry");
    };
    assert_eq!(decision.about, open);
    assert_eq!(
        (decision.outcome, decision.by),
        (DentistAnswer::Agreed, Some(Decider::Dentist))
    );
    assert_eq!(
        (decision.words.as_str(), decision.cost.as_str()),
        ("soon", "half each")
    );
    assert_eq!(decision.taken, [way.to_taken(flow())]);
    let mut changes = way.changes.clone();
    changes.sort_by(|a, b| a.0.cmp(&b.0));
    let all: Vec<_> = decision.all_changes().cloned().collect();
    assert_eq!(all, changes);
    // Undo takes it back; what is worked out is for another state now.
    let first = values(tech.case());
    tech.keys("u");
    assert_eq!(tech.case().decisions().count(), 0);
    tech.keys("y");
    assert_eq!(values(tech.case()), first);
}

/// On hold, a spoken word is kept and starts nothing: it waits for the order in writing.
#[test]
fn what_is_on_hold_is_not_made_on_a_spoken_word() {
    let mut tech = Technician::on(&demo("cantilever-12-13"));
    tech.go(Page::Questions);
    tech.keys("c 1 7");
    let about = tech.session.call.open.clone().unwrap();
    assert_eq!(tech.session.level_of(&about), Some(Level::Hold));
    tech.keys("enter");
    let wait = tech.case().wait(&about).expect("something is awaited");
    assert_eq!(wait.missing, [(Part::Order, Blocks::Design)]);
    // With the order at hand nothing is awaited.
    tech.keys("u");
    tech.keys("c 7 w enter");
    assert!(tech.case().wait(&about).is_none());
    let decided = tech.case().decision(&about).expect("a decision");
    assert!(decided.decision.amended);
}

/// How a pontic meets its ridge is the dentist's to say: picked from what the question offers it is settled, nothing has to
/// come in, and the ticket says it.
#[test]
fn a_choice_of_the_question_can_settle_it() {
    use crate::good::{choice, finish, pan, put};
    let bridge = {
        let mut case = pan("44 x45 46", "zirconia-3y", "resin-modified");
        put(&mut case, "pontic.ridge", "45", choice("healing"));
        finish(&mut case, true);
        case
    };
    let mut tech = Technician::on(&bridge);
    tech.keys("c 1 0 1");
    let draft = tech.session.draft().expect("an answer");
    assert_eq!(
        (draft.stage, draft.outcome),
        (AnswerStage::ReadBack, DentistAnswer::AsItIs)
    );
    tech.keys("enter");
    let inspection = tech.session.inspection.as_ref().unwrap();
    let judgement = inspection.judgement();
    let ridge = judgement
        .findings
        .iter()
        .find(|f| flow().rule(f.rule).unwrap().id == "ridge");
    // The finding stands; it is not asked again.
    assert!(ridge.is_some());
    let facts = inspection.facts();
    let phrase = super::phrase();
    let asks = casepan::call::asks(&facts, judgement, phrase, &[]);
    assert!(
        asks.iter().all(|ask| !ask.is_open() && !ask.is_awaited()),
        "{asks:?}"
    );
    let said = casepan::call::said(&facts, ridge.unwrap(), phrase, &[]).unwrap();
    assert!(said.contains("light contact"), "{said}");

    // A choice that means an option takes it: with what it changes and what has to come in.
    let mut case = pan("36", "leucite", "adhesive-resin");
    put(
        &mut case,
        "order.fitting_surface",
        "R1",
        choice("etched-silane"),
    );
    finish(&mut case, true);
    let mut tech = Technician::on(&case);
    let facts = Facts::with(flow(), &case, Precision::Quick);
    let singles = case_options(flow(), &facts, &judge(flow(), &facts));
    tech.session.inspection.as_mut().unwrap().ways = Some(Ways {
        singles,
        together: Some(Vec::new()),
        steady: Vec::new(),
    });
    tech.keys("c 1 0 2");
    let draft = tech.session.draft().expect("an answer");
    assert_eq!(
        (draft.stage, draft.outcome),
        (AnswerStage::ReadBack, DentistAnswer::Agreed)
    );
    tech.keys("enter");
    let material = spot("order.material", "R1");
    assert_eq!(
        tech.case().value(&material.fact, material.at),
        Some(&choice("zirconia-3y"))
    );
    // What the inside was to be treated with went with the old material.
    let inside = spot("order.fitting_surface", "R1");
    assert_eq!(
        tech.case().value(&inside.fact, inside.at),
        Some(&choice("not-said"))
    );

    // A try-in is an option with a line of its own: agreed, and not accepted as it is.
    let mut case = pan("44 x45 46", "zirconia-3y", "resin-modified");
    put(&mut case, "impression.tray", "case", choice("dual-arch"));
    finish(&mut case, true);
    let ways = {
        let facts = Facts::with(flow(), &case, Precision::Quick);
        case_options(flow(), &facts, &judge(flow(), &facts))
    };
    let mut tech = Technician::on(&case);
    tech.session.inspection.as_mut().unwrap().ways = Some(Ways {
        singles: ways,
        together: Some(Vec::new()),
        steady: Vec::new(),
    });
    tech.keys("c 1 0 2");
    let draft = tech.session.draft().expect("an answer");
    assert_eq!(
        (draft.stage, draft.outcome),
        (AnswerStage::ReadBack, DentistAnswer::Agreed)
    );
    tech.keys("enter");
    let decided = tech.case().decisions().next().expect("a decision");
    assert_eq!(decided.decision.taken[0].option, "try-in-piece");

    // Waiting until it has healed brings something: that is asked next.
    let mut tech = Technician::on(&bridge);
    tech.keys("c 1 0 3");
    assert_eq!(tech.session.draft().unwrap().stage, AnswerStage::Coming);
}

/// Who accepts one wall has not accepted the next one: read worse there, it is asked again.
#[test]
fn what_was_accepted_at_one_wall_is_not_accepted_at_another() {
    use crate::good::{choice, finish, pan, put};
    use casepan::call::QuestionState;
    let mut case = pan("26", "zirconia-3y", "adhesive-resin");
    put(&mut case, "tooth.wall_by_wall", "26", Value::Yes);
    put(
        &mut case,
        "wall.margin_to_gum",
        "26/mesial",
        choice("deeper"),
    );
    finish(&mut case, true);
    let mut tech = Technician::on(&case);
    tech.keys("c 1 7 enter");
    let asked = |tech: &Technician| {
        let facts = Facts::with(flow(), tech.case(), Precision::Quick);
        let judgement = judge(flow(), &facts);
        let phrase = super::phrase();
        let asks = casepan::call::asks(&facts, &judgement, phrase, &[]);
        asks.iter()
            .map(|ask| {
                (
                    ask.is_open(),
                    matches!(ask.state, QuestionState::Changed(_)),
                )
            })
            .collect::<Vec<_>>()
    };
    assert_eq!(asked(&tech), [(false, false)]);
    tech.keys("esc");
    tech.at("wall.margin_to_gum", "26/distal").keys("4");
    assert_eq!(asked(&tech), [(true, true)]);
}

#[test]
fn nothing_typed_is_lost_and_hostile_text_is_cleaned() {
    let mut tech = bridge();
    tech.keys("c 3 0 enter");
    tech.session.paste("ok\u{1b}[31m \u{202e}now", &moment(1));
    tech.keys("esc");
    // Back on the page, the answer is begun.
    assert!(tech.session.call.open.is_none());
    assert_eq!(tech.session.call.drafts.len(), 1);
    // Leaving asks once.
    assert!(tech.key("q").is_empty());
    assert!(tech.session.notice.is_some());
    tech.keys("f c enter");
    assert_eq!(tech.session.over.line().unwrap().1, "ok[31m now");
    // What has to come in is asked: a word alone settles nothing.
    tech.keys("enter");
    assert_eq!(tech.session.draft().unwrap().stage, AnswerStage::Coming);
    tech.keys("enter");
    assert_eq!(tech.session.draft().unwrap().stage, AnswerStage::Coming);
    tech.keys("2 enter enter");
    let decided = tech.case().decisions().next().expect("a decision");
    assert_eq!(decided.decision.words, "ok[31m now");
    assert_eq!(decided.decision.by, Some(Decider::Assistant));
    // A line for what to have ready stays, too.
    tech.keys("up up up up up up up up up up enter 1 2 esc enter");
    assert_eq!(tech.session.over.line().unwrap().1, "12");
    tech.keys("enter");
    assert_eq!(
        tech.case()
            .value(&spot("order.seating_day", "case").fact, Place::Case),
        Some(&Value::Day(jiff::civil::date(2026, 12, 5)))
    );
}

#[test]
fn a_standing_instruction_comes_from_a_decision_with_a_code() {
    let mut tech = bridge();
    tech.keys("c k");
    assert!(tech.session.over.line().is_none());
    tech.keys("1 7 enter");
    let row = tech
        .session
        .call_rows(tech.session.inspection.as_ref().unwrap());
    let said = row
        .iter()
        .position(|row| matches!(row, Row::Ask(m) if tech.case().decision(m).is_some()))
        .expect("a decided question");
    tech.act(Act::Mark(said));
    tech.key("k");
    assert!(tech.session.notice.as_deref().unwrap().contains("code"));
    tech.act(Act::Mark(5));
    tech.keys("enter Dr space Who enter");
    assert!(tech.session.notice.is_some(), "a name is no code");
    tech.keys("esc enter");
    for _ in 0..10 {
        tech.key("backspace");
    }
    tech.keys("K17 enter");
    tech.act(Act::Mark(said));
    tech.key("k");
    tech.keys("as space always");
    let effects = tech.key("enter");
    let [Effect::Agree(kept)] = effects.as_slice() else {
        panic!("{effects:?}");
    };
    assert_eq!(
        (kept.dentist.as_str(), kept.words.as_str()),
        ("K17", "as always")
    );
}

#[test]
fn typing_an_answer_moves_nothing_else() {
    use casepan::screen::{Theme, draw};
    use ratatui::buffer::Buffer;
    use ratatui::layout::Rect;
    for (width, height) in [(40, 12), (80, 24), (120, 40)] {
        let mut tech = bridge();
        tech.keys("c 1 0 enter");
        let area = Rect::new(0, 0, width, height);
        let screen = |tech: &Technician| {
            let mut buf = Buffer::empty(area);
            draw(&mut buf, area, &tech.session.view(), Theme::plain());
            buf
        };
        let mut before = screen(&tech);
        for key in ["a", "space", "1", "x", "backspace"] {
            tech.key(key);
            let after = screen(&tech);
            let rows: std::collections::BTreeSet<u16> = (0..height)
                .filter(|y| (0..width).any(|x| before[(x, *y)] != after[(x, *y)]))
                .collect();
            assert!(rows.len() <= 1, "{width}x{height} {key}: {rows:?}");
            before = after;
        }
    }
}

fn page_key() -> impl Strategy<Value = String> {
    let on_page =
        |context: &Context| matches!(context, Context::Call | Context::Answer | Context::Prompt);
    let commands: Vec<String> = COMMANDS
        .iter()
        .filter(|spec| spec.contexts.iter().any(on_page))
        .flat_map(|spec| spec.keys)
        .filter(|key| **key != "q")
        .map(|key| (*key).to_owned())
        .collect();
    let typed: Vec<String> = "123456789a-é ".chars().map(String::from).collect();
    prop_oneof![
        3 => prop::sample::select(commands),
        3 => prop::sample::select(typed),
        4 => Just("enter".to_owned()),
        1 => Just("d".to_owned()),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn any_keys_on_the_page_write_a_journal_that_tells_all(
        keys in prop::collection::vec(page_key(), 0..60),
    ) {
        let mut tech = bridge();
        let first = values(tech.case());
        tech.key("c");
        for key in &keys {
            if tech.session.inspection.is_none() {
                return Ok(());
            }
            tech.key(key);
            tech.session.view();
        }
        if tech.session.inspection.is_none() {
            return Ok(());
        }
        prop_assert_eq!(&fold(&tech.journal).unwrap(), tech.case());
        tech.home().key("f");
        for _ in 0..keys.len() {
            tech.key("u");
        }
        if !keys.iter().any(|key| key == "u") {
            prop_assert_eq!(values(tech.case()), first);
            prop_assert_eq!(tech.case().decisions().count(), 0);
        }
        prop_assert_eq!(&fold(&tech.journal).unwrap(), tech.case());
    }
}

/// An amount is told with what it takes when a reading is off; nothing is said while that is being worked out.
#[test]
fn an_amount_is_told_with_the_reading_error() {
    let mut tech = bridge();
    let straighter = {
        let ways = tech
            .session
            .inspection
            .as_ref()
            .unwrap()
            .ways
            .as_ref()
            .unwrap();
        let is = |way: &CaseOption| way.of(flow()).unwrap().id.starts_with("straighter");
        ways.singles.iter().position(is).unwrap()
    };
    let said = |tech: &Technician| -> Option<Vec<String>> {
        let PageView::Options(view) = tech.session.view().page else {
            panic!("another page is shown");
        };
        let heading = "With the reading error";
        let found = view.detail.iter().find(|(own, _)| own == heading);
        found.map(|(_, texts)| texts.clone())
    };
    let straight = |tech: &Technician| {
        let PageView::Options(view) = tech.session.view().page else {
            panic!("another page is shown");
        };
        view.detail[0].1[0].contains("more parallel walls")
    };
    tech.key("o");
    for _ in 0..40 {
        if straight(&tech) {
            break;
        }
        tech.key("down");
    }
    assert!(straight(&tech));
    assert_eq!(said(&tech), None);
    for (enough, words) in [
        (
            Some(Amount::To(4.0, Unit::Deg)),
            "to 4° if any one reading may be off by its usual error",
        ),
        (
            None,
            "if a reading is off by its usual error, even the maximum may not be enough",
        ),
    ] {
        let inspection = tech.session.inspection.as_mut().unwrap();
        inspection.ways.as_mut().unwrap().steady = vec![(straighter, enough)];
        assert_eq!(said(&tech), Some(vec![words.to_owned()]));
    }
}

/// What cuts tooth is not kept without its cautions in sight.
#[test]
fn what_is_read_back_says_what_to_be_careful_about() {
    let mut tech = bridge();
    tech.keys("c 1");
    let shown = |tech: &Technician| -> Vec<String> {
        let PageView::Call(view) = tech.session.view().page else {
            panic!("another page is shown");
        };
        let texts = view.panel.iter().filter_map(|line| match line {
            PanelLine::Text(text) => Some(text.clone()),
            _ => None,
        });
        texts.collect()
    };
    let Some(Row::Ask(about)) = tech.session.marked_row() else {
        panic!("no question is marked");
    };
    let inspection = tech.session.inspection.as_ref().unwrap();
    let picks = tech.session.picks(inspection, &about);
    let cautions: Vec<(char, Vec<String>)> = picks
        .iter()
        .filter_map(|(digit, pick)| match pick {
            Pick::Way(way) => Some((*digit, way.of(flow()).unwrap().cautions.clone())),
            Pick::Outcome(_) => None,
        })
        .collect();
    assert!(cautions.iter().filter(|(_, own)| !own.is_empty()).count() > 3);
    for (digit, own) in &cautions {
        tech.key(&digit.to_string());
        let said = shown(&tech);
        assert!(
            own.iter().all(|text| said.contains(text)),
            "{digit} {said:?}"
        );
        tech.key("esc");
    }
}
