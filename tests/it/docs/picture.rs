//! A frame of the screen as an SVG picture for the README.

use std::fmt::Write as _;

use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};

/// The size of a cell, in pixels.
const CELL: (usize, usize) = (9, 19);
/// What lies around the frame, in pixels.
const EDGE: usize = 12;

/// What the named colours of a terminal look like.
pub(super) struct Palette {
    ground: &'static str,
    text: &'static str,
}

/// A dark terminal.
pub(super) const DARK: Palette = Palette {
    ground: "#1c1e22",
    text: "#d6d8dc",
};

/// A light terminal.
pub(super) const LIGHT: Palette = Palette {
    ground: "#fbfaf7",
    text: "#24262b",
};

/// Draws a frame: text as text, one element for each run of cells that look alike; lines and dots as lines and dots, so that no
/// typeface takes them out of their cells.
pub(super) fn svg(buf: &Buffer, title: &str, palette: &Palette) -> String {
    let area = buf.area;
    let (columns, rows) = (usize::from(area.width), usize::from(area.height));
    let (width, height) = (columns * CELL.0 + 2 * EDGE, rows * CELL.1 + 2 * EDGE);
    let Palette { ground, text } = palette;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" role=\"img\">\n\
         <title>{}</title>\n\
         <rect width=\"100%\" height=\"100%\" rx=\"6\" fill=\"{ground}\"/>\n\
         <g font-family=\"ui-monospace, 'DejaVu Sans Mono', Menlo, Consolas, monospace\" font-size=\"15\" fill=\"{text}\">\n",
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
            run(&mut out, first, (begins.into(), row.into()), &text, palette);
        }
    }
    out.push_str("</g>\n</svg>\n");
    out
}

fn alike(a: &Cell, b: &Cell) -> bool {
    (a.fg, a.bg, a.modifier) == (b.fg, b.bg, b.modifier)
}

fn run(
    out: &mut String,
    look: &Cell,
    (column, row): (usize, usize),
    text: &str,
    palette: &Palette,
) {
    let cells = text.chars().count();
    let (left, top) = (EDGE + column * CELL.0, EDGE + row * CELL.1);
    let mut ink = hue(look.fg).unwrap_or(palette.text);
    let mut paint = hue(look.bg);
    if look.modifier.contains(Modifier::REVERSED) {
        (ink, paint) = (paint.unwrap_or(palette.ground), Some(ink));
    }
    if let Some(fill) = paint {
        let (width, height) = (cells * CELL.0, CELL.1);
        let _ = writeln!(
            out,
            "<rect x=\"{left}\" y=\"{top}\" width=\"{width}\" height=\"{height}\" fill=\"{fill}\"/>"
        );
    }
    let mut looks = String::new();
    if ink != palette.text {
        looks.push_str(&format!(" fill=\"{ink}\""));
    }
    for (modifier, attribute) in [
        (Modifier::BOLD, " font-weight=\"bold\""),
        (Modifier::DIM, " opacity=\"0.65\""),
    ] {
        if look.modifier.contains(modifier) {
            looks.push_str(attribute);
        }
    }
    let mut drawn = String::new();
    let (mut dots, mut blocks) = (String::new(), String::new());
    let mut words = String::new();
    for (cell, c) in text.chars().enumerate() {
        let at = (left + cell * CELL.0, top);
        match c {
            '\u{2800}'..='\u{28ff}' => dots.push_str(&braille(c, at)),
            '█' | '▒' => blocks.push_str(&block(c, at)),
            _ if strokes(c).is_some() => drawn.push_str(&lines(c, at)),
            _ => {
                words.push(c);
                continue;
            }
        }
        words.push(' ');
    }
    // Blanks between columns take no place in the file, and the length keeps columns in line whatever the typeface.
    for (begin, words) in parts(&words) {
        let _ = writeln!(
            out,
            "<text x=\"{}\" y=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\"{looks}>{}</text>",
            left + begin * CELL.0,
            top + 14,
            words.chars().count() * CELL.0,
            escaped(&words)
        );
    }
    let faint = match look.modifier.contains(Modifier::DIM) {
        true => " opacity=\"0.65\"",
        false => "",
    };
    for (path, width) in [(drawn, "1.2"), (dots, "2.2")] {
        if !path.is_empty() {
            let _ = writeln!(
                out,
                "<path d=\"{path}\" stroke=\"{ink}\" stroke-width=\"{width}\" stroke-linecap=\"round\"{faint}/>"
            );
        }
    }
    if !blocks.is_empty() {
        let _ = writeln!(out, "<path d=\"{blocks}\"{looks}/>");
    }
}

/// The dots of a braille sign, as a path of points.
fn braille(c: char, (left, top): (usize, usize)) -> String {
    let bits = u32::from(c) - 0x2800;
    // The dots of the first column, then of the second, from above.
    let order = [[0, 1, 2, 6], [3, 4, 5, 7]];
    let mut path = String::new();
    for (x, column) in order.iter().enumerate() {
        for (y, bit) in column.iter().enumerate() {
            if bits >> bit & 1 == 1 {
                let (x, y) = (left * 2 + 4 + x * 9, top * 4 + 10 + y * 19);
                let _ = write!(path, "M{} {}h0", x as f64 / 2.0, y as f64 / 4.0);
            }
        }
    }
    path
}

/// A filled cell, or one of which half is filled.
fn block(c: char, (left, top): (usize, usize)) -> String {
    let (width, height) = CELL;
    match c {
        '█' => format!("M{left} {}h{width}v{}h-{width}z", top + 2, height - 4),
        _ => (0..width / 3)
            .map(|nth| format!("M{} {}h1.5v{}h-1.5z", left + nth * 3, top + 2, height - 4))
            .collect(),
    }
}

/// To which sides a line sign goes, from its middle: left, right, up, down; `None` for what is no line.
fn strokes(c: char) -> Option<[bool; 4]> {
    Some(match c {
        '─' | '═' => [true, true, false, false],
        '│' => [false, false, true, true],
        '┌' => [false, true, false, true],
        '└' => [false, true, true, false],
        '├' => [false, true, true, true],
        '┤' => [true, false, true, true],
        '┬' => [true, true, false, true],
        '┼' => [true, true, true, true],
        _ => return None,
    })
}

fn lines(c: char, (left, top): (usize, usize)) -> String {
    let (x, y) = (
        left as f64 + CELL.0 as f64 / 2.0,
        top as f64 + CELL.1 as f64 / 2.0,
    );
    let (across, down) = (CELL.0 as f64 / 2.0, CELL.1 as f64 / 2.0);
    let ends = [(-across, 0.0), (across, 0.0), (0.0, -down), (0.0, down)];
    let mut path = String::new();
    // A double line is two.
    let offsets: &[f64] = if c == '═' { &[-1.5, 1.5] } else { &[0.0] };
    for (own, (dx, dy)) in strokes(c).unwrap_or_default().into_iter().zip(ends) {
        for offset in offsets.iter().filter(|_| own) {
            let _ = write!(path, "M{x} {}l{dx} {dy}", y + offset);
        }
    }
    path
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

/// The named colours of a terminal, as they are painted here.
fn hue(colour: Color) -> Option<&'static str> {
    match colour {
        Color::Black => Some("#16181c"),
        Color::White => Some("#ffffff"),
        Color::Red | Color::LightRed => Some("#c4302b"),
        Color::Green | Color::LightGreen => Some("#6aa84f"),
        Color::Yellow | Color::LightYellow => Some("#d9a520"),
        Color::Blue | Color::LightBlue => Some("#2f6fbd"),
        Color::Magenta | Color::LightMagenta => Some("#97409a"),
        Color::Cyan => Some("#3aa6ad"),
        Color::LightCyan => Some("#5fd7d7"),
        _ => None,
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

#[test]
fn looks_become_attributes_signs_stay_text_and_lines_are_drawn() {
    let mut buf = Buffer::empty(ratatui::layout::Rect::new(0, 0, 8, 1));
    let bold = ratatui::style::Style::new()
        .fg(Color::White)
        .bg(Color::Red)
        .add_modifier(Modifier::BOLD);
    let marked = ratatui::style::Style::new().add_modifier(Modifier::REVERSED);
    buf.set_string(0, 0, "a<", bold);
    buf.set_string(4, 0, "b", marked);
    buf.set_string(6, 0, "├⠁", ratatui::style::Style::new());
    let svg = svg(&buf, "a & b", &DARK);
    assert!(svg.contains("<title>a &amp; b</title>"), "{svg}");
    assert!(
        svg.contains("textLength=\"18\" lengthAdjust=\"spacingAndGlyphs\" fill=\"#ffffff\" font-weight=\"bold\">a&lt;</text>"),
        "{svg}"
    );
    assert!(svg.contains("<rect x=\"12\" y=\"12\" width=\"18\" height=\"19\" fill=\"#c4302b\"/>"));
    assert!(svg.contains("<rect x=\"48\" y=\"12\" width=\"9\""), "{svg}");
    assert_eq!(svg.matches("<text").count(), 2, "{svg}");
    // The line goes right, up and down from the middle of its cell; the dot is the first of its own.
    assert!(
        svg.contains("M70.5 21.5l4.5 0M70.5 21.5l0 -9.5M70.5 21.5l0 9.5"),
        "{svg}"
    );
    assert!(svg.contains("M77 14.5h0"), "{svg}");
    let own = |cell: usize, text: &str| (cell, text.to_owned());
    assert_eq!(parts(" a b  c "), [own(1, "a b"), own(6, "c")]);
}
