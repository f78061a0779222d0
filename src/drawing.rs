//! Pictures as shapes in millimetres, for screen and print alike.

mod bridge;
mod figure;

use crate::derive::Facts;
use crate::fact::{
    FactId, HEIGHT_USED, MARGIN_FL, MARGIN_MD, MARGIN_STEP, Place, RESISTING, RESISTS, Side,
    TOP_FL, TOP_MD, UNEVEN, Value, WALL_HEIGHT_USED, WALL_TAPER_USED,
};
use crate::tooth::Tooth;

pub use bridge::elevation;
pub use figure::{Anchor, Figure, Ink, Label, Stroke, Word, die};

/// What a line means.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Part {
    /// The outline.
    Outline,
    /// The finish line.
    Margin,
    /// The part of a wall that resists.
    Resists,
    /// A wall that does not resist.
    Fails,
    /// The wall of the present reading.
    Marked,
}

/// A straight line in mm, x to the right and y upwards.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Line {
    /// What it means.
    pub part: Part,
    /// Where it begins.
    pub from: (f64, f64),
    /// Where it ends.
    pub to: (f64, f64),
}

/// A picture: two views side by side.
#[derive(Clone, PartialEq, Debug)]
pub struct Drawing {
    /// The tooth.
    pub tooth: Tooth,
    /// The lines, those drawn last on top.
    pub lines: Vec<Line>,
    /// Words with the place of their left end.
    pub labels: Vec<((f64, f64), &'static str)>,
    /// Width and height in mm; the origin is at the lower left.
    pub size: (f64, f64),
}

/// The room between the two views, in mm.
const GAP: f64 = 4.0;

/// A stump from one side, the near wall on the left.
struct View {
    sides: [Side; 2],
    base: f64,
    lines: Vec<Line>,
    /// Where the near and the far wall begin at the finish line and end at the top.
    walls: [((f64, f64), (f64, f64)); 2],
}

impl View {
    fn height(&self) -> f64 {
        self.walls.iter().map(|(_, top)| top.1).fold(0.0, f64::max)
    }
}

/// The stump from facial and from mesial, to scale; none where it has no quick readings yet.
fn views(facts: &Facts<'_>, tooth: Tooth, marked: Option<Side>) -> Option<[View; 2]> {
    let view = |near, far, base, top| view(facts, tooth, marked, [near, far], base, top);
    Some([
        view(Side::Mesial, Side::Distal, &MARGIN_MD, &TOP_MD)?,
        view(Side::Facial, Side::Lingual, &MARGIN_FL, &TOP_FL)?,
    ])
}

fn view(
    facts: &Facts<'_>,
    tooth: Tooth,
    marked: Option<Side>,
    sides: [Side; 2],
    base: &FactId,
    top: &FactId,
) -> Option<View> {
    let unit = Place::Unit(tooth);
    let number = |fact: &FactId, at| facts.value(fact, at).and_then(Value::number);
    let height = number(&HEIGHT_USED, unit)?;
    let (base, top) = (number(base, unit)?, number(top, unit)?);
    let steps = facts.value(&UNEVEN, unit).and_then(Value::choice) == Some("margin-steps");
    let wall = |side: Side, foot: f64, sign: f64| {
        let place = Place::Wall(tooth, side);
        let height = number(&WALL_HEIGHT_USED, place).unwrap_or(height);
        let taper = number(&WALL_TAPER_USED, place).map(f64::to_radians);
        let lean = taper.map_or((base - top) / 2.0, |taper| height * taper.tan());
        let step = number(&MARGIN_STEP, place).filter(|_| steps).unwrap_or(0.0);
        ((foot, step), (foot + sign * lean, step + height))
    };
    let [near, far] = sides;
    let walls = [wall(near, 0.0, 1.0), wall(far, base, -1.0)];
    let [(near_foot, near_top), (far_foot, far_top)] = walls;
    let mut lines = vec![
        Line {
            part: Part::Outline,
            from: near_top,
            to: far_top,
        },
        Line {
            part: Part::Margin,
            from: near_foot,
            to: far_foot,
        },
    ];
    for (side, (foot, head)) in sides.into_iter().zip(walls) {
        let place = Place::Wall(tooth, side);
        let mut line = |part, from| {
            lines.push(Line {
                part,
                from,
                to: head,
            });
        };
        let fails = facts.value(&RESISTS, place) == Some(&Value::No);
        line(if fails { Part::Fails } else { Part::Outline }, foot);
        let share = number(&RESISTING, place).map(|percent| percent / 100.0);
        if let Some(share) = share.filter(|share| *share > 0.0) {
            let from = (
                head.0 + (foot.0 - head.0) * share,
                head.1 + (foot.1 - head.1) * share,
            );
            line(Part::Resists, from);
        }
        if marked == Some(side) {
            line(Part::Marked, foot);
        }
    }
    Some(View {
        sides,
        base,
        lines,
        walls,
    })
}

/// Draws the stump that a place belongs to, seen from facial and from mesial, to scale.
///
/// None where the place is no stump or its quick readings are not there yet.
pub fn stump(facts: &Facts<'_>, at: Place) -> Option<Drawing> {
    let (tooth, marked) = match at {
        Place::Unit(tooth) => (tooth, None),
        Place::Wall(tooth, side) => (tooth, Some(side)),
        Place::Case | Place::Restoration(_) | Place::Connector(..) => return None,
    };
    let mut drawing = Drawing {
        tooth,
        lines: Vec::new(),
        labels: Vec::new(),
        size: (0.0, 0.0),
    };
    let mut left = 0.0;
    for (view, label) in views(facts, tooth, marked)?
        .iter()
        .zip(["m      d", "f      l"])
    {
        drawing.lines.extend(view.lines.iter().map(|line| Line {
            from: (line.from.0 + left, line.from.1),
            to: (line.to.0 + left, line.to.1),
            ..*line
        }));
        drawing.size.1 = drawing.size.1.max(view.height());
        drawing.labels.push(((left, 0.0), label));
        left += view.base + GAP;
    }
    drawing.size.0 = left - GAP;
    Some(drawing)
}
