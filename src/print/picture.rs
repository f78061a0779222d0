//! Pictures with their words.

use super::{Document, Told};
use crate::case::Restoration;
use crate::drawing::{Figure, Ink, Word, die, elevation};
use crate::fact::{EFFECTIVE_SHARE, Place, PlaceKind, Side, Unit};
use crate::phrase::sheets::picture as says;
use crate::phrase::{Phrase, learn, number_words};
use crate::tooth::Tooth;

/// A picture: shapes with their texts.
#[derive(Clone, PartialEq, Debug)]
pub struct Picture {
    /// What it shows, in a few words.
    pub title: String,
    /// What can be seen, for those who cannot see it.
    pub describes: String,
    /// The text under it; empty if it has none.
    pub caption: String,
    /// Whether the text under it tells something by itself and is printed without the picture too.
    pub tells: bool,
    /// The key to its lines; empty if it has none.
    pub legend: String,
    /// The shapes, in mm.
    pub figure: Figure,
    /// The texts of the figure's labels, in their order.
    pub words: Vec<String>,
    /// The largest scale to print it at, 1 for true size, and the largest width, in mm.
    pub size: (f64, f64),
}

/// The key to the lines, in the order in which it is printed.
const LEGEND: [(Ink, &str); 8] = [
    (Ink::Outline, says::OUTLINE),
    (Ink::Usual, says::USUAL),
    (Ink::Resists, says::EFFECTIVE),
    (Ink::Fails, says::FAILS),
    (Ink::Margin, says::MARGIN),
    (Ink::Connector, says::CONNECTOR),
    (Ink::Least, says::LEAST),
    (Ink::Motion, says::MOTION),
];

/// Returns the key to the lines of these figures.
fn legend<'f>(figures: impl Iterator<Item = &'f Figure> + Clone) -> String {
    let has = |ink| {
        figures
            .clone()
            .flat_map(|figure| &figure.strokes)
            .any(|stroke| stroke.ink == ink)
    };
    let parts: Vec<&str> = LEGEND
        .iter()
        .filter(|(ink, _)| has(*ink))
        .map(|(_, says)| *says)
        .collect();
    says::legend(&parts)
}

/// Largest scale and largest width in mm: two preps side by side, a bridge across the page.
const DIE_SIZE: (f64, f64) = (3.0, 82.0);
const BRIDGE_SIZE: (f64, f64) = (2.7, 168.0);

impl Document {
    fn picture(&mut self, picture: Picture) {
        self.blocks.push(super::Block::Picture(Box::new(picture)));
    }
}

/// Adds a picture of each prep that was measured.
pub(super) fn dies(document: &mut Document, told: Told<'_>) {
    let abutments = told.facts.places(PlaceKind::Abutment);
    let figures: Vec<(Tooth, Figure)> = abutments
        .into_iter()
        .filter_map(|at| match at {
            Place::Unit(tooth) => Some((tooth, die(told.facts, tooth)?)),
            _ => None,
        })
        .collect();
    let legend = legend(figures.iter().map(|(_, figure)| figure));
    for (tooth, figure) in figures {
        let name = told.phrase.tooth(tooth);
        let effective = effective(told, tooth);
        let motions = comes_off(told, &|first| first == tooth);
        document.picture(Picture {
            title: says::die(&name),
            describes: says::die_described(
                told.phrase.side(tooth, Side::Facial),
                &effective,
                &motions,
            ),
            caption: effective,
            tells: true,
            legend: legend.clone(),
            words: words(told, &figure),
            figure,
            size: DIE_SIZE,
        });
    }
}

/// Adds a picture of a preparation for the dentist, without figures of the bench; nothing if it was not measured.
pub(super) fn preparation(document: &mut Document, told: Told<'_>, tooth: Tooth) {
    let Some(figure) = die(told.facts, tooth) else {
        return;
    };
    let has = |ink| figure.strokes.iter().any(|stroke| stroke.ink == ink);
    let name = told.phrase.tooth(tooth);
    let facial = told.phrase.side(tooth, Side::Facial);
    let shows = says::preparation(&name, facial);
    let caption = says::preparation_caption(&shows, has(Ink::Fails));
    document.picture(Picture {
        title: shows,
        describes: caption.clone(),
        caption,
        tells: false,
        legend: String::new(),
        words: words(told, &figure),
        figure,
        size: DIE_SIZE,
    });
}

/// Adds a picture of each restoration of several units.
pub(super) fn bridges(document: &mut Document, told: Told<'_>) {
    for restoration in told.facts.covered() {
        if let Some(figure) = elevation(told.facts, restoration) {
            document.picture(bridge(told, restoration, figure));
        }
    }
}

/// Adds the same pictures without a caption, where the lines above say what the units are.
pub(super) fn units(document: &mut Document, told: Told<'_>) {
    for restoration in told.facts.covered() {
        if let Some(figure) = elevation(told.facts, restoration) {
            document.picture(Picture {
                caption: String::new(),
                ..bridge(told, restoration, figure)
            });
        }
    }
}

fn bridge(told: Told<'_>, restoration: &Restoration, figure: Figure) -> Picture {
    let units: Vec<String> = restoration
        .units
        .iter()
        .map(|unit| says::unit(&told.phrase.tooth(unit.tooth), unit.role))
        .collect();
    let motions = comes_off(told, &|first| {
        restoration.units.iter().any(|unit| unit.tooth == first)
    });
    Picture {
        title: says::bridge(&told.phrase.units(restoration)),
        describes: says::bridge_described(&units, &motions),
        caption: says::bridge_caption(restoration.id, &units),
        tells: false,
        legend: legend(std::iter::once(&figure)),
        words: words(told, &figure),
        figure,
        size: BRIDGE_SIZE,
    }
}

/// Returns the effective share of each wall.
fn effective(told: Told<'_>, tooth: Tooth) -> String {
    let walls: Vec<String> = Side::ALL
        .into_iter()
        .filter_map(|side| {
            let share = told.said(EFFECTIVE_SHARE, Place::Wall(tooth, side))?;
            Some(format!("{} {share}", told.phrase.side(tooth, side)))
        })
        .collect();
    says::effective(&told.phrase.tooth(tooth), &walls)
}

/// Returns how each restoration comes off whose weakest retainer `meant` accepts, as the rest of a sentence.
fn comes_off(told: Told<'_>, meant: &dyn Fn(Tooth) -> bool) -> Vec<String> {
    told.facts
        .details()
        .iter()
        .filter_map(|detail| {
            let motion = detail.worst()?.motion()?;
            let retainers = detail.preps.len();
            meant(motion.first).then(|| told.phrase.comes_off(motion, retainers))
        })
        .collect()
}

fn words(told: Told<'_>, figure: &Figure) -> Vec<String> {
    label_words(told.phrase, figure)
}

/// Returns the texts of the labels of a figure, in their order.
pub(crate) fn label_words(phrase: Phrase<'_>, figure: &Figure) -> Vec<String> {
    let mm = |number| number_words(number, Unit::Mm, None);
    let word = |word| match word {
        Word::Tooth(tooth) => phrase.tooth(tooth),
        Word::Pontic(tooth) => format!("x{}", phrase.tooth(tooth)),
        Word::Side(tooth, side) => phrase.side(tooth, side).to_owned(),
        Word::Section(height, width) => format!("{height:.1} × {}", mm(width)),
        Word::Distance(length) => mm(length),
        Word::Share(share) => learn::percent(share),
        Word::Months(months) => months.to_string(),
        Word::Count(count) => count.to_string(),
        Word::Letter(letter) => letter.to_string(),
        Word::Least(area) => format!("≥ {}", number_words(area, Unit::Mm2, None)),
    };
    figure.labels.iter().map(|label| word(label.word)).collect()
}
