//! How large a picture may be, and where its parts stand.

use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

use crate::drawing::{Anchor, Label};
use crate::session::view::Plate;

/// Free dots round what is drawn, for the line beside what is in hand.
const ROUND: f64 = 2.0;
/// The largest and the smallest scale, in dots a millimetre.
const LARGEST: f64 = 24.0;
const SMALLEST: f64 = 0.4;
/// By how much a scale that does not fit is taken smaller.
const SMALLER: f64 = 0.97;
/// Columns between two parts.
const APART: u16 = 3;

/// A picture that was given its place.
pub(super) struct Fitted {
    /// The place of each part.
    pub(super) places: Vec<PlateAt>,
}

/// The place of a part.
pub(super) struct PlateAt {
    /// Its characters, with its title.
    pub(super) whole: Rect,
    /// The characters of its strokes; labels may stand above and below.
    pub(super) inner: Rect,
    /// Dots a millimetre. A character counts as two dots wide and four high, so a dot is as wide as high, and the picture
    /// to scale in both directions, where a character is twice as high as wide. Fonts are about that.
    pub(super) scale: f64,
    /// What lies at the middle of the first dot at the top left, in mm.
    pub(super) corner: (f64, f64),
}

impl PlateAt {
    /// Returns a point in dots from the middle of the first dot, rightwards and downwards.
    pub(super) fn dot(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (
            (x - self.corner.0) * self.scale,
            (self.corner.1 - y) * self.scale,
        )
    }
}

/// Says in which row and column, as whole characters from the first of the strokes, a label of some width begins, with the
/// point it stands at in dots.
pub(super) fn label_cell(label: &Label, (x, y): (f64, f64), width: usize) -> (f64, f64) {
    let (x, y) = ((x + 0.5) / 2.0, (y + 0.5) / 4.0);
    let width = width as f64;
    let column = match label.anchor {
        Anchor::Start => x,
        Anchor::Middle => x - width / 2.0,
        Anchor::End => x - width,
    };
    // Its lower edge stands so many lines above the point; its middle half a line higher.
    (column.round(), (y - label.lines - 0.5).floor())
}

/// What a label says on the screen.
pub(super) fn label_text(label: &Label, words: &str) -> String {
    if label.marked {
        format!("[{words}]")
    } else {
        words.to_owned()
    }
}

/// The size of a part at some scale, in characters.
struct Size {
    columns: u16,
    /// Rows of title, of labels above, of strokes, of labels below.
    title: u16,
    above: u16,
    rows: u16,
    under: u16,
}

impl Size {
    fn height(&self) -> u16 {
        self.title + self.above + self.rows + self.under
    }
}

/// Lower left and upper right corner, in mm.
type Bounds = ((f64, f64), (f64, f64));

fn size(plate: &Plate, (low, high): Bounds, scale: f64) -> Size {
    let dots = |length: f64| length * scale + 1.0 + 2.0 * ROUND;
    let characters = |dots: f64, each: f64| (dots / each).ceil().clamp(1.0, 10_000.0) as u16;
    let columns = characters(dots(high.0 - low.0), 2.0);
    let rows = characters(dots(high.1 - low.1), 4.0);
    let (mut above, mut under) = (0.0f64, 0.0f64);
    let mut widest = plate.title.width();
    for (label, words) in plate.figure.labels.iter().zip(&plate.words) {
        let text = label_text(label, words);
        widest = widest.max(text.width());
        let (_, top) = corner((low, high), scale, rows);
        let y = (top - label.at.1) * scale;
        let (_, row) = label_cell(label, (0.0, y), text.width());
        above = above.max(-row);
        under = under.max(row + 1.0 - f64::from(rows));
    }
    Size {
        columns: columns.max(u16::try_from(widest).unwrap_or(u16::MAX)),
        title: u16::from(!plate.title.is_empty()),
        above: above.clamp(0.0, 20.0) as u16,
        rows,
        under: under.clamp(0.0, 20.0) as u16,
    }
}

/// What lies at the middle of the first dot: the lowest line falls on a whole dot.
fn corner((low, _): Bounds, scale: f64, rows: u16) -> (f64, f64) {
    let last = f64::from(rows) * 4.0 - 1.0 - ROUND;
    (low.0 - ROUND / scale, low.1 + last / scale)
}

/// Finds the largest scale at which all parts fit, side by side or one under the other.
pub(super) fn fit(plates: &[Plate], area: Rect) -> Option<Fitted> {
    if area.width == 0 || area.height == 0 || plates.is_empty() {
        return None;
    }
    let bounds: Vec<Bounds> = plates
        .iter()
        .map(|plate| plate.figure.bounds())
        .collect::<Option<_>>()?;
    let sound = |((a, b), (c, d)): &Bounds| [a, b, c, d].iter().all(|edge| edge.is_finite());
    if !bounds.iter().all(sound) {
        return None;
    }
    let mut scale = LARGEST;
    while scale >= SMALLEST {
        let sizes: Vec<Size> = plates
            .iter()
            .zip(&bounds)
            .map(|(plate, own)| size(plate, *own, scale))
            .collect();
        let gaps = plates.len() as u32 - 1;
        let sum =
            |each: &dyn Fn(&Size) -> u16| sizes.iter().map(|s| u32::from(each(s))).sum::<u32>();
        let most = |each: &dyn Fn(&Size) -> u16| sizes.iter().map(each).max().unwrap_or(0);
        let (wide, high) = (u32::from(area.width), u32::from(area.height));
        let across = sum(&|s| s.columns) + gaps * u32::from(APART);
        let down = sum(&|s| s.height()) + gaps;
        // Feet stand on one line, so the tallest part of each kind counts.
        let tall = most(&|s| s.title) + most(&|s| s.above + s.rows) + most(&|s| s.under);
        if across <= wide && u32::from(tall) <= high {
            return Some(side_by_side(area, &bounds, &sizes, across as u16, scale));
        }
        if u32::from(most(&|s| s.columns)) <= wide && down <= high {
            return Some(one_under_the_other(area, &bounds, &sizes, scale));
        }
        scale *= SMALLER;
    }
    None
}

fn side_by_side(area: Rect, bounds: &[Bounds], sizes: &[Size], across: u16, scale: f64) -> Fitted {
    let most = |each: &dyn Fn(&Size) -> u16| sizes.iter().map(each).max().unwrap_or(0);
    let tall = most(&|s| s.above + s.rows);
    let mut x = area.x + (area.width - across) / 2;
    let places = sizes
        .iter()
        .zip(bounds)
        .map(|(size, own)| {
            let lower = tall - size.above - size.rows;
            let whole = Rect {
                x,
                y: area.y,
                width: size.columns,
                height: size.height() + lower,
            };
            x += size.columns + APART;
            place(whole, size, lower, *own, scale)
        })
        .collect();
    Fitted { places }
}

fn one_under_the_other(area: Rect, bounds: &[Bounds], sizes: &[Size], scale: f64) -> Fitted {
    let widest = sizes.iter().map(|size| size.columns).max().unwrap_or(0);
    let x = area.x + (area.width - widest) / 2;
    let mut y = area.y;
    let places = sizes
        .iter()
        .zip(bounds)
        .map(|(size, own)| {
            let whole = Rect {
                x,
                y,
                width: widest,
                height: size.height(),
            };
            y += size.height() + 1;
            place(whole, size, 0, *own, scale)
        })
        .collect();
    Fitted { places }
}

/// Puts a part into its characters, its strokes so many rows further down.
fn place(whole: Rect, size: &Size, lower: u16, bounds: Bounds, scale: f64) -> PlateAt {
    let ((left, _), (right, _)) = bounds;
    let (x, y) = corner(bounds, scale, size.rows);
    // Labels may want more columns than the strokes: these stand in the middle then, on a whole dot.
    let dots = (right - left) * scale + 1.0 + 2.0 * ROUND;
    let spare = ((f64::from(whole.width) * 2.0 - dots) / 2.0)
        .floor()
        .max(0.0);
    let head = size.title + lower + size.above;
    PlateAt {
        whole,
        inner: Rect {
            y: whole.y + head,
            height: size.rows,
            ..whole
        },
        scale,
        corner: (x - spare / scale, y),
    }
}
