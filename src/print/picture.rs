//! Pictures with their words.

use super::{Document, Told};
use crate::case::{Restoration, Role};
use crate::drawing::{Figure, Ink, Word, die, elevation};
use crate::fact::{EFFECTIVE_SHARE, Place, PlaceKind, Side, Unit};
use crate::phrase::{Phrase, number_words};
use crate::tooth::Tooth;

/// A picture: shapes, and what is said about them.
#[derive(Clone, PartialEq, Debug)]
pub struct Picture {
    /// What it shows, in a few words.
    pub title: String,
    /// What there is to be seen, for whoever cannot see it.
    pub describes: String,
    /// What stands under it; it means something without the picture too.
    pub caption: String,
    /// What its lines mean.
    pub legend: String,
    /// The shapes, in mm.
    pub figure: Figure,
    /// The words of the figure's labels, in their order.
    pub words: Vec<String>,
    /// How many times its true size it is printed at the most, and how wide at the most, in mm.
    pub size: (f64, f64),
}

/// What lines mean, in the order in which it is told.
const LEGEND: [(Ink, &str); 8] = [
    (Ink::Outline, "solid: prep as read"),
    (Ink::Usual, "thin: crowns of usual size"),
    (Ink::Resists, "thick: the part of a wall that resists"),
    (Ink::Fails, "dashed: a wall that does not hold"),
    (Ink::Margin, "dotted: finish line"),
    (Ink::Connector, "box: connector as drawn"),
    (
        Ink::Least,
        "dashed box: connector as a round of the least area",
    ),
    (Ink::Motion, "arrow: how it would come off"),
];

/// Says what the lines of some figures mean.
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
    format!(
        "In the picture: {}. To scale where it was read.",
        parts.join("; ")
    )
}

/// Times true size and width in mm at the most: two preps side by side, a bridge across the page.
const DIE_SIZE: (f64, f64) = (3.0, 82.0);
const BRIDGE_SIZE: (f64, f64) = (2.7, 168.0);

impl Document {
    fn picture(&mut self, picture: Picture) {
        self.blocks.push(super::Block::Picture(Box::new(picture)));
    }
}

/// Adds a picture of each prep that was read.
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
        let resists = resists(told, tooth);
        let motion = comes_off(told, &|first| first == tooth);
        document.picture(Picture {
            title: format!("Stump {name} from two sides"),
            describes: format!(
                "The stump as its die stands, from {} and from mesial, to scale. {resists}.{motion}",
                told.phrase.side(tooth, Side::Facial)
            ),
            caption: resists,
            legend: legend.clone(),
            words: words(told, &figure),
            figure,
            size: DIE_SIZE,
        });
    }
}

/// Adds a picture of a preparation for the dentist, without figures of the bench; none where it was not measured.
pub(super) fn preparation(document: &mut Document, told: Told<'_>, tooth: Tooth) {
    let Some(figure) = die(told.facts, tooth) else {
        return;
    };
    let has = |ink| figure.strokes.iter().any(|stroke| stroke.ink == ink);
    let name = told.phrase.tooth(tooth);
    let facial = told.phrase.side(tooth, Side::Facial);
    let shows = format!("Preparation {name} from {facial} and from mesial");
    let mut caption = format!("{shows}, as measured on the die.");
    if has(Ink::Fails) {
        caption.push_str(" Dashed: a wall that does not stop the crown from tipping off.");
    }
    document.picture(Picture {
        title: shows,
        describes: caption.clone(),
        caption,
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

fn bridge(told: Told<'_>, restoration: &Restoration, figure: Figure) -> Picture {
    let units: Vec<String> = restoration
        .units
        .iter()
        .map(|unit| {
            let tooth = told.phrase.tooth(unit.tooth);
            match unit.role {
                Role::Abutment => format!("{tooth} on a stump"),
                Role::Pontic => format!("{tooth} a pontic"),
            }
        })
        .collect();
    let motion = comes_off(told, &|first| {
        restoration.units.iter().any(|unit| unit.tooth == first)
    });
    Picture {
        title: format!(
            "Restoration {} from the side",
            told.phrase.units(restoration)
        ),
        describes: format!(
            "Seen from cheek or lip as in the mouth: {}.{motion}",
            units.join(", ")
        ),
        caption: format!("R{}: {}.", restoration.id, units.join(", ")),
        legend: legend(std::iter::once(&figure)),
        words: words(told, &figure),
        figure,
        size: BRIDGE_SIZE,
    }
}

/// Says how much of each wall resists.
fn resists(told: Told<'_>, tooth: Tooth) -> String {
    let walls: Vec<String> = Side::ALL
        .into_iter()
        .filter_map(|side| {
            let share = told.said(EFFECTIVE_SHARE, Place::Wall(tooth, side))?;
            Some(format!("{} {share}", told.phrase.side(tooth, side)))
        })
        .collect();
    let name = told.phrase.tooth(tooth);
    if walls.is_empty() {
        format!("{name}: what resists is not known yet")
    } else {
        format!("{name}, part that resists: {}", walls.join(", "))
    }
}

/// Says how the restorations whose first retainer is meant let go.
fn comes_off(told: Told<'_>, meant: &dyn Fn(Tooth) -> bool) -> String {
    told.facts
        .details()
        .iter()
        .filter_map(|detail| detail.worst()?.motion())
        .filter(|motion| meant(motion.first))
        .map(|motion| format!(" It {}.", told.phrase.comes_off(motion)))
        .collect()
}

fn words(told: Told<'_>, figure: &Figure) -> Vec<String> {
    label_words(told.phrase, figure)
}

/// Says the labels of a figure, in their order.
pub(crate) fn label_words(phrase: Phrase<'_>, figure: &Figure) -> Vec<String> {
    let mm = |number| number_words(number, Unit::Mm, None);
    let word = |word| match word {
        Word::Tooth(tooth) => phrase.tooth(tooth),
        Word::Pontic(tooth) => format!("x{}", phrase.tooth(tooth)),
        Word::Side(tooth, side) => phrase.side(tooth, side).to_owned(),
        Word::Section(height, width) => format!("{height:.1} × {}", mm(width)),
        Word::Distance(length) => mm(length),
        Word::Least(area) => format!("≥ {}", number_words(area, Unit::Mm2, None)),
    };
    figure.labels.iter().map(|label| word(label.word)).collect()
}
