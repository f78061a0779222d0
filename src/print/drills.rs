//! Drills on paper: boxes to tick, and the key with its reasons and pictures on the last pages.

use super::{Beside, Block, Document, Told, picture, sheets};
use crate::derive::Facts;
use crate::fact::Place;
use crate::phrase::practice as says;
use crate::phrase::{CAUTION, Phrase};
use crate::practice::Drill;

/// Returns the sheet of some drills; `course` is what they were drawn from.
pub fn drills(drills: &[Drill], phrase: Phrase<'_>, course: u64) -> Document {
    let mut document = Document::default();
    document.title(says::sheet(drills.len()));
    document.text(says::sheet_how(course));
    for (nth, drill) in (1..).zip(drills) {
        document.heading(says::number(nth, drills.len()));
        for line in phrase.drill_tells(drill) {
            document.point("-", None, line, Vec::new());
        }
        document.text(says::REST_IS_SOUND);
        document.text(says::asks(drill.asks));
        for choice in &drill.choices {
            document.tick(phrase.drill_choice(drill, choice));
        }
    }
    document.blocks.push(Block::Page);
    document.title(says::KEY);
    for (nth, drill) in (1..).zip(drills) {
        document.heading(says::number(nth, drills.len()));
        let right = drill.choices.get(drill.right);
        let right = right.map(|own| phrase.drill_choice(drill, own));
        document.add_text(right.map(|own| says::right(&own)));
        if !drill.decides.is_empty() {
            let readings: Vec<String> = drill
                .decides
                .iter()
                .map(|spot| phrase.drill_spot(spot))
                .collect();
            document.text(says::decided_by(&readings));
        }
        for line in phrase.drill_reason(drill) {
            document.text(line);
        }
        shown(&mut document, phrase, drill);
    }
    document.heading(sheets::CAUTION);
    document.text(CAUTION);
    document
}

/// The prep, where its walls were read. It shows which walls hold, so that it stands with the key.
fn shown(document: &mut Document, phrase: Phrase<'_>, drill: &Drill) {
    let facts = Facts::of(phrase.flow, &drill.case);
    let told = Told {
        facts: &facts,
        judgement: &drill.judgement,
        doubt: None,
        phrase,
        beside: Beside::default(),
    };
    let tooth = drill.told.iter().find_map(|spot| match spot.at {
        Place::Wall(tooth, _) => Some(tooth),
        Place::Unit(tooth) if spot.fact.as_str() == "tooth.height" => Some(tooth),
        _ => None,
    });
    if let Some(tooth) = tooth {
        picture::preparation(document, told, tooth);
    }
}
