//! What a question asks to be measured: a prep or a connector of no case, with the distance as a line between two ticks.

use super::figure::{Figure, Ink};
use crate::fact::{
    CLEARANCE, CONNECTOR_HEIGHT, CONNECTOR_WIDTH, FactId, HEIGHT, MARGIN_DEPTH, MARGIN_FL,
    MARGIN_GUM, MARGIN_MD, MARGIN_STEP, SPACE_HEIGHT, SPACE_WIDTH, SPAN, TILT, TOOTH_GUM,
    TOOTH_WIDTH, TOP_FL, TOP_MD, WALL_HEIGHT, WALL_STRAIGHT, WALL_TAPER,
};

/// A point in mm.
type Point = (f64, f64);

/// The prep: base, top, height and how far its root is drawn, in mm. For the eye.
const BASE: f64 = 9.0;
const TOP: f64 = 6.6;
const TALL: f64 = 5.0;
const ROOT: f64 = 1.6;
/// How far beside the prep a distance is drawn.
const BESIDE: f64 = 1.4;
/// The points of a round.
const STEPS: u32 = 24;

/// Draws what is measured for a fact, or returns `None` if a picture would show nothing.
pub fn help(fact: &FactId) -> Option<Figure> {
    let mut figure = Figure::default();
    let lean = (BASE - TOP) / 2.0;
    if [HEIGHT, WALL_HEIGHT].contains(fact) {
        prep(&mut figure, 0.0);
        beside(&mut figure, 0.0, TALL);
    } else if [MARGIN_MD, MARGIN_FL].contains(fact) {
        prep(&mut figure, 0.0);
        figure.distance((0.0, -ROOT - 0.8), (BASE, -ROOT - 0.8));
    } else if [TOP_MD, TOP_FL].contains(fact) {
        prep(&mut figure, 0.0);
        figure.distance((lean, TALL + 1.2), (BASE - lean, TALL + 1.2));
    } else if *fact == CLEARANCE {
        prep(&mut figure, 0.0);
        let room = 1.8;
        cusps(&mut figure, TALL + room);
        figure.distance((BASE / 4.0, TALL), (BASE / 4.0, TALL + room));
    } else if *fact == WALL_TAPER {
        prep(&mut figure, 0.0);
        taper(&mut figure);
    } else if *fact == WALL_STRAIGHT {
        concave(&mut figure);
        beside(&mut figure, 0.0, 2.2);
    } else if *fact == MARGIN_STEP {
        prep(&mut figure, 1.6);
        beside(&mut figure, 0.0, 1.6);
        figure.stroke(Ink::Usual, vec![(0.0, 0.0), (BASE + BESIDE, 0.0)]);
    } else if [MARGIN_GUM, TOOTH_GUM].contains(fact) {
        prep(&mut figure, 0.0);
        let gum = 1.4;
        figure.stroke(Ink::Opposing, vec![(-3.0, gum), (-0.4, gum), (0.0, 0.4)]);
        let far = vec![(BASE + 3.0, gum), (BASE + 0.4, gum), (BASE, 0.4)];
        figure.stroke(Ink::Opposing, far);
        beside(&mut figure, 0.0, gum);
    } else if [MARGIN_DEPTH, TOOTH_WIDTH].contains(fact) {
        ledge(&mut figure);
    } else if [CONNECTOR_HEIGHT, SPACE_HEIGHT].contains(fact) {
        crowns(&mut figure);
        figure.distance((0.0, 2.4), (0.0, 6.0));
    } else if [CONNECTOR_WIDTH, SPACE_WIDTH].contains(fact) {
        from_above(&mut figure);
        figure.distance((0.0, -1.7), (0.0, 1.7));
    } else if *fact == SPAN {
        span(&mut figure);
    } else if *fact == TILT {
        tilt(&mut figure);
    } else {
        return None;
    }
    Some(figure)
}

/// Draws a prep whose right wall ends higher up than the left one.
fn prep(figure: &mut Figure, step: f64) {
    let lean = (BASE - TOP) / 2.0;
    let narrower = 0.6;
    figure.stroke(Ink::Usual, vec![(0.0, 0.0), (narrower, -ROOT)]);
    figure.stroke(Ink::Usual, vec![(BASE, step), (BASE - narrower, -ROOT)]);
    let right = BASE - lean * step / TALL;
    figure.stroke(
        Ink::Outline,
        vec![(0.0, 0.0), (lean, TALL), (BASE - lean, TALL), (right, step)],
    );
    let mut line = vec![(0.0, 0.0), (BASE, 0.0)];
    if step > 0.0 {
        line = vec![(0.0, 0.0), (BASE * 0.6, 0.0), (right, step)];
    }
    figure.stroke(Ink::Margin, line);
}

/// A distance upwards beside the right wall.
fn beside(figure: &mut Figure, from: f64, to: f64) {
    let x = BASE + BESIDE;
    figure.distance((x, from), (x, to));
}

fn cusps(figure: &mut Figure, lowest: f64) {
    let points = (0..=STEPS).map(|step| {
        let at = f64::from(step) / f64::from(STEPS);
        let across = 2.0 * (2.0 * at).fract() - 1.0;
        // The end of the last cusp, where the fraction begins again.
        let across = if step == STEPS { 1.0 } else { across };
        (at * BASE, lowest + across * across)
    });
    figure.stroke(Ink::Opposing, points.collect());
}

/// The angle between the path and the right wall.
fn taper(figure: &mut Figure) {
    let lean = (BASE - TOP) / 2.0;
    figure.stroke(Ink::Usual, vec![(BASE, 0.0), (BASE, TALL + 1.6)]);
    let slope = (lean / TALL).atan();
    let reach = TALL + 0.8;
    let along: Vec<Point> = (0..=STEPS)
        .map(|step| {
            let angle = slope * f64::from(step) / f64::from(STEPS);
            (BASE - reach * angle.sin(), reach * angle.cos())
        })
        .collect();
    let wall = vec![(BASE - lean, TALL), (BASE - 1.2 * lean, 1.2 * TALL)];
    figure.stroke(Ink::Usual, wall);
    figure.stroke(Ink::Distance, along);
}

/// A prep whose right wall is straight below and concave above.
fn concave(figure: &mut Figure) {
    let (straight, top) = (2.2, BASE - 2.6);
    let mut points = vec![(0.0, 0.0), (1.2, TALL), (top, TALL)];
    points.extend((1..=STEPS).map(|step| {
        let at = f64::from(step) / f64::from(STEPS);
        let y = TALL + (straight - TALL) * at;
        let end = BASE - 0.5;
        (top + (end - top) * at * at, y)
    }));
    points.push((BASE, 0.0));
    figure.stroke(Ink::Outline, points);
    figure.stroke(Ink::Margin, vec![(0.0, 0.0), (BASE, 0.0)]);
    figure.stroke(Ink::Usual, vec![(0.0, 0.0), (0.6, -ROOT)]);
    figure.stroke(Ink::Usual, vec![(BASE, 0.0), (BASE - 0.6, -ROOT)]);
}

/// The lower end of a wall, enlarged to show the margin width.
fn ledge(figure: &mut Figure) {
    figure.stroke(
        Ink::Outline,
        vec![(0.0, 5.0), (0.6, 1.2), (1.0, 0.5), (1.8, 0.2), (3.6, 0.0)],
    );
    figure.stroke(Ink::Usual, vec![(3.6, 0.0), (3.2, -3.0)]);
    figure.stroke(Ink::Usual, vec![(0.6, 1.2), (0.6, -1.6)]);
    figure.distance((0.6, -1.0), (3.6, -1.0));
}

/// Two crowns from the side with the connector between them.
fn crowns(figure: &mut Figure) {
    for sign in [-1.0, 1.0] {
        let crown = [
            (6.0, 0.0),
            (1.5, 0.0),
            (0.7, 2.4),
            (0.7, 6.0),
            (1.4, 7.6),
            (6.0, 7.6),
        ];
        let crown = crown.map(|(x, y)| (sign * x, y));
        figure.stroke(Ink::Usual, crown.to_vec());
    }
    let ring = vec![(-0.7, 2.4), (0.7, 2.4), (0.7, 6.0), (-0.7, 6.0)];
    figure.ring(Ink::Connector, ring);
}

/// Two crowns from above with the connector between them.
fn from_above(figure: &mut Figure) {
    for sign in [-1.0, 1.0] {
        let half = (0..=STEPS).map(|step| {
            let angle = std::f64::consts::PI * (f64::from(step) / f64::from(STEPS) - 0.5);
            (sign * (5.2 - 4.2 * angle.cos()), 3.6 * angle.sin())
        });
        figure.stroke(Ink::Usual, half.collect());
    }
    let ring = vec![(-1.4, -1.7), (1.4, -1.7), (1.4, 1.7), (-1.4, 1.7)];
    figure.ring(Ink::Connector, ring);
}

/// The room between the teeth beside a gap.
fn span(figure: &mut Figure) {
    for (x, sign) in [(0.0, -1.0), (8.0, 1.0)] {
        let crown = [(4.0, 0.0), (1.0, 0.0), (0.0, 4.0), (0.6, 6.0), (4.0, 6.0)];
        let crown = crown.map(|(beside, y)| (x + sign * beside, y));
        figure.stroke(Ink::Outline, crown.to_vec());
    }
    figure.distance((0.0, 4.0), (8.0, 4.0));
}

/// A prep tilted against the path, with its own axis and the path.
fn tilt(figure: &mut Figure) {
    let (sin, cos) = 18f64.to_radians().sin_cos();
    let turn = |(x, y): Point| {
        (
            (x - BASE / 2.0) * cos + y * sin,
            y * cos - (x - BASE / 2.0) * sin,
        )
    };
    let lean = (BASE - TOP) / 2.0;
    let wall = [(0.0, 0.0), (lean, TALL), (BASE - lean, TALL), (BASE, 0.0)];
    figure.stroke(Ink::Outline, wall.map(turn).to_vec());
    figure.stroke(Ink::Margin, [(0.0, 0.0), (BASE, 0.0)].map(turn).to_vec());
    let axis = [(BASE / 2.0, 0.0), (BASE / 2.0, TALL + 3.0)];
    figure.stroke(Ink::Usual, axis.map(turn).to_vec());
    figure.stroke(Ink::Usual, vec![(0.0, 0.0), (0.0, TALL + 3.0)]);
    let reach = TALL + 2.2;
    let along = (0..=STEPS).map(|step| {
        let angle = 18f64.to_radians() * f64::from(step) / f64::from(STEPS);
        (reach * angle.sin(), reach * angle.cos())
    });
    figure.stroke(Ink::Distance, along.collect());
}
