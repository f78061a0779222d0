//! A frame of the screen as an SVG picture for the README.

use std::fmt::Write as _;

use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};

/// The size of a cell, in pixels.
const CELL: (usize, usize) = (9, 19);
/// What lies around the frame, in pixels.
const EDGE: usize = 12;
/// The ground, and the colour of text that has none of its own.
const GROUND: &str = "#1c1e22";
const TEXT: &str = "#d6d8dc";

/// Draws a frame, one element for each run of cells that look alike.
pub(super) fn svg(buf: &Buffer, title: &str) -> String {
    let area = buf.area;
    let (columns, rows) = (usize::from(area.width), usize::from(area.height));
    let (width, height) = (columns * CELL.0 + 2 * EDGE, rows * CELL.1 + 2 * EDGE);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" role=\"img\">\n\
         <title>{}</title>\n\
         <rect width=\"100%\" height=\"100%\" rx=\"6\" fill=\"{GROUND}\"/>\n\
         <g font-family=\"ui-monospace, 'DejaVu Sans Mono', Menlo, Consolas, monospace\" font-size=\"15\" fill=\"{TEXT}\">\n",
        escaped(title)
    );
    for row in 0..area.height {
        let mut column = 0;
        while column < area.width {
            let first = &buf[(column, row)];
            let mut text = String::new();
            let begins = column;
            while column < area.width && alike(first, &buf[(column, row)]) {
                text.push_str(buf[(column, row)].symbol());
                column += 1;
            }
            run(&mut out, first, (begins.into(), row.into()), &text);
        }
    }
    out.push_str("</g>\n</svg>\n");
    out
}

fn alike(a: &Cell, b: &Cell) -> bool {
    (a.fg, a.bg, a.modifier) == (b.fg, b.bg, b.modifier)
}

fn run(out: &mut String, look: &Cell, (column, row): (usize, usize), text: &str) {
    let reversed = look.modifier.contains(Modifier::REVERSED);
    let cells = text.chars().count();
    let (left, top) = (EDGE + column * CELL.0, EDGE + row * CELL.1);
    let fill = hue(look.fg);
    if reversed {
        let (width, fill) = (cells * CELL.0, fill.unwrap_or(TEXT));
        let _ = writeln!(
            out,
            "<rect x=\"{left}\" y=\"{top}\" width=\"{width}\" height=\"{}\" fill=\"{fill}\"/>",
            CELL.1
        );
    }
    let mut looks = String::new();
    match (reversed, fill) {
        (true, _) => looks.push_str(&format!(" fill=\"{GROUND}\"")),
        (false, Some(fill)) => looks.push_str(&format!(" fill=\"{fill}\"")),
        (false, None) => {}
    }
    for (modifier, attribute) in [
        (Modifier::BOLD, " font-weight=\"bold\""),
        (Modifier::DIM, " opacity=\"0.65\""),
        (Modifier::UNDERLINED, " text-decoration=\"underline\""),
    ] {
        if look.modifier.contains(modifier) {
            looks.push_str(attribute);
        }
    }
    // Blanks between columns take no place in the file, and the length keeps columns in line whatever the typeface.
    for (begin, words) in parts(text) {
        let _ = writeln!(
            out,
            "<text x=\"{}\" y=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\"{looks}>{}</text>",
            left + begin * CELL.0,
            top + 14,
            words.chars().count() * CELL.0,
            escaped(&words)
        );
    }
}

/// What stands between two and more blanks, each part with the cell where it begins.
fn parts(text: &str) -> Vec<(usize, String)> {
    let mut list: Vec<(usize, String)> = Vec::new();
    let mut blanks = 2;
    for (cell, c) in text.chars().enumerate() {
        match (c, list.last_mut()) {
            (' ', _) => {
                blanks += 1;
                continue;
            }
            (_, Some((_, last))) if blanks < 2 => {
                last.extend(std::iter::repeat_n(' ', blanks));
                last.push(c);
            }
            _ => list.push((cell, c.to_string())),
        }
        blanks = 0;
    }
    list
}

/// The named colours of a terminal, as they look on a dark ground.
fn hue(colour: Color) -> Option<&'static str> {
    match colour {
        Color::Red | Color::LightRed => Some("#f2777a"),
        Color::Green | Color::LightGreen => Some("#99cc99"),
        Color::Yellow | Color::LightYellow => Some("#ffcc66"),
        Color::Blue | Color::LightBlue => Some("#6699cc"),
        Color::Magenta | Color::LightMagenta => Some("#d9a2e0"),
        Color::Cyan | Color::LightCyan => Some("#66cccc"),
        _ => None,
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

#[test]
fn looks_become_attributes_and_signs_stay_text() {
    let mut buf = Buffer::empty(ratatui::layout::Rect::new(0, 0, 8, 1));
    let bold = ratatui::style::Style::new()
        .fg(Color::Red)
        .add_modifier(Modifier::BOLD);
    let marked = ratatui::style::Style::new().add_modifier(Modifier::REVERSED);
    buf.set_string(0, 0, "a<", bold);
    buf.set_string(4, 0, "b", marked);
    let svg = svg(&buf, "a & b");
    assert!(svg.contains("<title>a &amp; b</title>"), "{svg}");
    assert!(
        svg.contains("textLength=\"18\" lengthAdjust=\"spacingAndGlyphs\" fill=\"#f2777a\" font-weight=\"bold\">a&lt;</text>"),
        "{svg}"
    );
    assert!(svg.contains("<rect x=\"48\" y=\"12\" width=\"9\""), "{svg}");
    assert_eq!(svg.matches("<text").count(), 2, "{svg}");
    let own = |cell: usize, text: &str| (cell, text.to_owned());
    assert_eq!(parts(" a b  c "), [own(1, "a b"), own(6, "c")]);
}
