//! Pictures as shapes in millimetres, for screen and print alike.

use crate::derive::Facts;
use crate::fact::{
    HEIGHT_USED, MARGIN_FL, MARGIN_MD, Place, RESISTING, RESISTS, Side, TOP_FL, TOP_MD, Value,
    WALL_HEIGHT_USED, WALL_TAPER_USED,
};
use crate::tooth::Tooth;

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

/// Draws the stump that a place belongs to, seen from facial and from mesial, to scale.
///
/// None where the place is no stump or its quick readings are not there yet.
pub fn stump(facts: &Facts<'_>, at: Place) -> Option<Drawing> {
    let (tooth, marked) = match at {
        Place::Unit(tooth) => (tooth, None),
        Place::Wall(tooth, side) => (tooth, Some(side)),
        Place::Case | Place::Restoration(_) | Place::Connector(..) => return None,
    };
    let unit = Place::Unit(tooth);
    let number = |fact, at| facts.value(&fact, at).and_then(Value::number);
    let height = number(HEIGHT_USED, unit)?;
    let mut drawing = Drawing {
        tooth,
        lines: Vec::new(),
        labels: Vec::new(),
        size: (0.0, height),
    };
    let views = [
        (
            Side::Mesial,
            Side::Distal,
            number(MARGIN_MD, unit)?,
            number(TOP_MD, unit)?,
            "m      d",
        ),
        (
            Side::Facial,
            Side::Lingual,
            number(MARGIN_FL, unit)?,
            number(TOP_FL, unit)?,
            "f      l",
        ),
    ];
    let mut left = 0.0;
    for (near, far, base, top, label) in views {
        let wall = |side: Side, foot: f64, sign: f64| {
            let place = Place::Wall(tooth, side);
            let height = number(WALL_HEIGHT_USED, place).unwrap_or(height);
            let taper = number(WALL_TAPER_USED, place).map(f64::to_radians);
            let lean = taper.map_or((base - top) / 2.0, |taper| height * taper.tan());
            ((foot, 0.0), (foot + sign * lean, height))
        };
        let sides = [
            (near, wall(near, left, 1.0)),
            (far, wall(far, left + base, -1.0)),
        ];
        let [(_, (_, near_top)), (_, (_, far_top))] = sides;
        drawing.lines.push(Line {
            part: Part::Outline,
            from: near_top,
            to: far_top,
        });
        drawing.lines.push(Line {
            part: Part::Margin,
            from: (left, 0.0),
            to: (left + base, 0.0),
        });
        for (side, (foot, head)) in sides {
            let place = Place::Wall(tooth, side);
            let share = number(RESISTING, place).map(|percent| percent / 100.0);
            let fails = facts.value(&RESISTS, place) == Some(&Value::No);
            let part = if fails { Part::Fails } else { Part::Outline };
            drawing.lines.push(Line {
                part,
                from: foot,
                to: head,
            });
            if let Some(share) = share.filter(|share| *share > 0.0) {
                let from = (
                    head.0 + (foot.0 - head.0) * share,
                    head.1 + (foot.1 - head.1) * share,
                );
                drawing.lines.push(Line {
                    part: Part::Resists,
                    from,
                    to: head,
                });
            }
            if marked == Some(side) {
                drawing.lines.push(Line {
                    part: Part::Marked,
                    from: foot,
                    to: head,
                });
            }
            drawing.size.1 = drawing.size.1.max(head.1);
        }
        drawing.labels.push(((left, 0.0), label));
        left += base + GAP;
    }
    drawing.size.0 = left - GAP;
    Some(drawing)
}
