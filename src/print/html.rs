//! HTML: one file, without scripts or anything from elsewhere. The template engine escapes the texts.
//!
//! The engine escapes whatever it is given, at compile time. In a page put together from strings every place needs an
//! escape, and one day one is missing.
//!
//! Pages are counted through all sheets, since no browser counts the pages of a part. A sheet that is printed by itself
//! has its own count.
//!
//! Paper is black on white. The screen has a light and a dark palette; only the palettes name colours.

use std::fmt::Write as _;

use askama::Template;

use super::{Block, Document, Picture, Sheet};
use crate::drawing::{Anchor, Ink};
use crate::flow::Level;
use crate::phrase::sheets;

/// The longest line of running text, in widths of the digit 0: some 90 characters of English.
const MEASURE: u32 = 68;
/// Height of the writing in pictures, in mm on paper.
const WRITING: f64 = 2.9;
/// Width of a letter as a share of the height of the writing, on the wide side.
const LETTER: f64 = 0.58;
/// Half the height of the ends of the scale bar, as a share of the height of the writing.
const TICK: f64 = 0.35;
/// Space round a picture, in mm on paper.
const ROUND: f64 = 1.5;

/// A sheet on its page, in parts; each part except the first begins with a heading.
struct Page<'d> {
    sheet: Option<Sheet>,
    parts: Vec<Part<'d>>,
}

#[derive(Default)]
struct Part<'d> {
    pieces: Vec<Piece<'d>>,
}

/// The most rows of a table that may stand beside another; a longer one has to break over pages.
const SHORT_TABLE: usize = 14;

impl Part<'_> {
    fn class(&self) -> &'static str {
        if self.is_closing() {
            return "closing";
        }
        let has = |wanted: fn(&Piece<'_>) -> bool| self.pieces.iter().any(wanted);
        match self.pieces.get(1) {
            Some(Piece::Table(..)) if has(|piece| matches!(piece, Piece::Pictures(_))) => "pair",
            Some(Piece::Table(_, rows))
                if rows.len() <= SHORT_TABLE && !has(|piece| matches!(piece, Piece::Text(_))) =>
            {
                "beside"
            }
            _ => "part",
        }
    }

    /// Returns whether it is the caution at the end of a sheet, which runs on in one line.
    fn is_closing(&self) -> bool {
        matches!(
            self.pieces.as_slice(),
            [Piece::Heading(sheets::CAUTION), Piece::Text(_)]
        )
    }
}

/// A piece of a part. Points that follow each other are one piece, and so are pictures.
enum Piece<'d> {
    Title(&'d str),
    Heading(&'d str),
    Text(&'d str),
    Points(Vec<Point<'d>>),
    /// Whether there is a box to tick, whether it belongs to the point before, and the label of the line.
    Blank(bool, bool, &'d str),
    Sources(Vec<&'d str>),
    Table(&'d [String], &'d [Vec<String>]),
    Pictures(Vec<Svg<'d>>),
}

/// The least points of a plain list that runs in two columns.
const LONG_LIST: usize = 4;

/// Returns the class of a list: long lists of short points run in two columns.
fn class_of_list(points: &[Point<'_>]) -> &'static str {
    let plain = |point: &Point<'_>| point.class.is_empty() && point.under.is_empty();
    if points.len() >= LONG_LIST && points.iter().all(plain) {
        "two"
    } else {
        ""
    }
}

struct Point<'d> {
    mark: &'d str,
    class: &'static str,
    text: &'d str,
    under: &'d [String],
}

impl Point<'_> {
    fn is_box(&self) -> bool {
        self.mark.trim_start() == "[ ]"
    }

    /// Returns the mark without the dash of plain text.
    fn bare(&self) -> &str {
        self.mark
            .strip_prefix('-')
            .unwrap_or(self.mark)
            .trim_start()
    }
}

/// A picture on paper. Coordinates are in mm on paper, y downwards.
struct Svg<'d> {
    id: usize,
    picture: &'d Picture,
    view_box: String,
    width: String,
    height: String,
    paths: Vec<(&'static str, String)>,
    texts: Vec<Writing<'d>>,
    bar: String,
    bar_end: String,
    bar_foot: String,
    bar_says: String,
}

struct Writing<'d> {
    x: String,
    y: String,
    anchor: &'static str,
    text: &'d str,
}

#[derive(Template)]
#[template(
    ext = "html",
    source = r##"<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>{{ title }}</title>
<style>
:root { --ink: #000; --paper: #fff; --line: #000; }
@media screen {
:root { color-scheme: light dark; --ink: #1b1d1f; --paper: #fff; --line: #767676; }
}
@media screen and (prefers-color-scheme: dark) {
:root { --ink: #e4e6e8; --paper: #15171a; --line: #8b9096; }
}
body { margin: 0 auto; padding: 6mm; max-width: 92ch; color: var(--ink); background: var(--paper); font: 12pt/1.5 "Liberation Sans", Arial, Helvetica, "DejaVu Sans", sans-serif; }
h1 { font-size: 16pt; line-height: 1.25; margin: 0 0 2mm; padding-bottom: 1mm; border-bottom: 2px solid; }
h2 { font-size: 13pt; margin: 2.2mm 0 .7mm; break-after: avoid; }
p { margin: 0 0 .5mm; }
p, li, .closing { max-width: {{ measure }}ch; }
ul { margin: 0 0 1mm; padding: 0; list-style: none; }
ul.two { columns: 34ch 2; column-gap: 6mm; }
ul.small li { margin: 0; }
li { margin: 0 0 .5mm; padding-left: 5mm; text-indent: -5mm; break-inside: avoid; }
li p { margin: 0 0 0 0; text-indent: 0; }
li.watch, li.call, li.hold { border-left: 1px solid; padding-left: 7mm; }
li.call { border-left-width: 3px; }
li.hold { border-left: 6px double; }
nav { margin-bottom: 5mm; }
nav ul { display: flex; flex-wrap: wrap; column-gap: 6mm; }
nav li { padding: 0; text-indent: 0; }
nav a { display: inline-block; color: inherit; }
nav a::first-letter { text-transform: uppercase; }
.mark { font-weight: bold; }
.box { display: inline-block; width: 2.6mm; height: 2.6mm; border: 1px solid; margin-right: 1.4mm; }
.line { display: inline-block; min-width: 70mm; height: 5mm; border-bottom: 1px solid; }
table { border-collapse: collapse; margin: 0 0 1.5mm; break-inside: avoid; }
th, td { border: 1px solid var(--line); padding: .4mm 1.6mm; text-align: left; vertical-align: top; }
thead th { border-bottom-width: 2px; }
tbody th { font-weight: normal; }
.beside { display: inline-block; vertical-align: top; max-width: 100%; margin-right: 5mm; }
.pair { display: flex; flex-wrap: wrap; column-gap: 5mm; align-items: flex-start; }
.pair > :not(table):not(.pictures) { flex-basis: 100%; }
.beside h2, .pair h2 { margin-top: 1.4mm; }
.closing { margin-top: 2mm; break-inside: avoid; }
.closing h2, .closing p { display: inline; font-size: inherit; }
.closing h2::after { content: ":"; }
.blank { break-inside: avoid; }
.under { margin-left: 6mm; }
section.letter p { margin-bottom: 1.2mm; }
section.letter h1 { margin-top: 3mm; font-size: 13pt; }
.pictures { display: flex; flex-wrap: wrap; gap: 1mm 4mm; margin: 1mm 0; break-inside: avoid; }
figure { margin: 0; display: flex; flex-direction: column; justify-content: flex-end; break-inside: avoid; }
figcaption { max-width: 80mm; }
figure:only-child figcaption { max-width: {{ measure }}ch; }
svg { display: block; max-width: 100%; height: auto; }
svg path { fill: none; stroke: var(--ink); stroke-width: .3; stroke-linejoin: round; stroke-linecap: butt; }
svg .outline { stroke-width: .5; }
svg .usual { stroke-width: .2; }
svg .margin { stroke-width: .6; stroke-dasharray: .6 .8; }
svg .resists { stroke-width: 1.6; }
svg .fails { stroke-width: .5; stroke-dasharray: 2 1.2; }
svg .motion { stroke-width: .4; }
svg .connector { stroke-width: .7; fill: var(--paper); }
svg .least { stroke-width: .5; stroke-dasharray: 1.4 .9; fill: var(--paper); }
svg text { font: {{ writing }}px "Liberation Sans", Arial, Helvetica, "DejaVu Sans", sans-serif; fill: var(--ink); }
section + section { margin-top: 10mm; padding-top: 4mm; border-top: 4px double; }
@page { margin: 11mm 14mm 14mm; {% if !number.is_empty() %}@bottom-left { content: "{{ sheets::CASE }} {{ number }}"; }{% endif %} @bottom-right { content: "{{ sheets::PAGE }} " counter(page) " {{ sheets::PAGE_OF }} " counter(pages); } }
@page { @bottom-left { font: 10pt "Liberation Sans", Arial, Helvetica, sans-serif; } @bottom-center { font: 10pt "Liberation Sans", Arial, Helvetica, sans-serif; } @bottom-right { font: 10pt "Liberation Sans", Arial, Helvetica, sans-serif; } }
{%- for sheet in printed %}
@page {{ sheet.name() }} { @bottom-center { content: "{{ sheet.title() }}"; } }
section.{{ sheet.name() }} { page: {{ sheet.name() }}; }
{%- endfor %}
@media print {
body { padding: 0; max-width: none; font-size: 10.5pt; line-height: 1.2; }
h1 { font-size: 14pt; }
h2, section.letter h1 { font-size: 11pt; }
nav { display: none; }
section + section { break-before: page; margin: 0; padding: 0; border: 0; }
}
</style>
</head>
<body>
{%- if pages.len() > 1 %}
<nav aria-label="{{ sheets::CONTENTS }}">
<p>{{ sheets::CONTENTS }}</p>
<ul>
{%- for page in pages %}
{%- if let Some(sheet) = page.sheet %}
<li><a href="#sheet-{{ loop.index }}">{{ sheet.title() }}</a></li>
{%- endif %}
{%- endfor %}
</ul>
</nav>
{%- endif %}
<main>
{%- for page in pages %}
<section id="sheet-{{ loop.index }}"{% if let Some(sheet) = page.sheet %} class="{{ sheet.name() }}"{% endif %}>
{%- for part in page.parts %}
<div class="{{ part.class() }}">
{%- for piece in part.pieces %}
{%- match piece %}
{%- when Piece::Title with (text) %}
<h1>{{ text }}</h1>
{%- when Piece::Heading with (text) %}
<h2>{{ text }}</h2>
{%- when Piece::Text with (text) %}
<p>{{ text }}</p>
{%- when Piece::Blank with (ticked, indented, text) %}
<p class="blank{% if *indented %} under{% endif %}">{% if *ticked %}<span class="box" role="img" aria-label="{{ sheets::TO_TICK }}"></span>{% endif %}{{ text }}: <span class="line"></span></p>
{%- when Piece::Points with (points) %}
<ul{% if !self::class_of_list(points).is_empty() %} class="{{ self::class_of_list(points) }}"{% endif %}>
{%- for point in points %}
<li{% if !point.class.is_empty() %} class="{{ point.class }}"{% endif %}>
{%- if point.is_box() %}<span class="box" role="img" aria-label="{{ sheets::TO_TICK }}"></span>{% else if !point.bare().is_empty() %}<span class="mark">{{ point.bare() }}</span> {% else %}– {% endif %}{{ point.text }}
{%- for line in point.under %}
<p>{{ line }}</p>
{%- endfor %}</li>
{%- endfor %}
</ul>
{%- when Piece::Sources with (sources) %}
<ul class="two small">
{%- for source in sources %}
<li>– {{ source }}</li>
{%- endfor %}
</ul>
{%- when Piece::Table with (head, rows) %}
<table>
<thead><tr>{% for cell in head.iter() %}<th scope="col">{{ cell }}</th>{% endfor %}</tr></thead>
<tbody>
{%- for row in rows.iter() %}
<tr>{% for cell in row.iter() %}{% if loop.first %}<th scope="row">{{ cell }}</th>{% else %}<td>{{ cell }}</td>{% endif %}{% endfor %}</tr>
{%- endfor %}
</tbody>
</table>
{%- when Piece::Pictures with (pictures) %}
<div class="pictures">
{%- for svg in pictures %}
<figure>
<svg role="img" aria-labelledby="title-{{ svg.id }} text-{{ svg.id }}" width="{{ svg.width }}mm" height="{{ svg.height }}mm" viewBox="{{ svg.view_box }}">
<title id="title-{{ svg.id }}">{{ svg.picture.title }}</title>
<desc id="text-{{ svg.id }}">{{ svg.picture.describes }}</desc>
{%- for (class, path) in svg.paths %}
<path class="{{ class }}" d="{{ path }}"/>
{%- endfor %}
{%- for writing in svg.texts %}
<text x="{{ writing.x }}" y="{{ writing.y }}" text-anchor="{{ writing.anchor }}">{{ writing.text }}</text>
{%- endfor %}
{%- if !svg.bar.is_empty() %}
<path class="motion" d="{{ svg.bar }}"/>
<text x="{{ svg.bar_end }}" y="{{ svg.bar_foot }}">{{ svg.bar_says }}</text>
{%- endif %}
</svg>
<figcaption>{{ svg.picture.caption }}{% if pictures.len() == 1 && !svg.picture.legend.is_empty() %}{% if !svg.picture.caption.is_empty() %}<br>{% endif %}{{ svg.picture.legend }}{% endif %}</figcaption>
</figure>
{%- endfor %}
</div>
{%- if pictures.len() > 1 && let Some(svg) = pictures.first() %}
<p class="legend">{{ svg.picture.legend }}</p>
{%- endif %}
{%- endmatch %}
{%- endfor %}
</div>
{%- endfor %}
</section>
{%- endfor %}
</main>
</body>
</html>
"##
)]
struct File<'d> {
    title: &'d str,
    writing: f64,
    measure: u32,
    number: String,
    printed: Vec<Sheet>,
    pages: Vec<Page<'d>>,
}

pub(super) fn html(document: &Document) -> Result<String, askama::Error> {
    let mut pages: Vec<Page<'_>> = Vec::new();
    for (id, block) in document.blocks.iter().enumerate() {
        let begins = match block {
            Block::Sheet(sheet) => Some(*sheet),
            _ => None,
        };
        if pages.is_empty() || begins.is_some() || *block == Block::Page {
            pages.push(Page {
                sheet: begins,
                parts: Vec::new(),
            });
        }
        let Some(page) = pages.last_mut() else {
            continue;
        };
        if page.parts.is_empty() || matches!(block, Block::Heading(_) | Block::Title(_)) {
            page.parts.push(Part::default());
        }
        if let Some(part) = page.parts.last_mut() {
            add(&mut part.pieces, id, block);
        }
    }
    let title = document.blocks.iter().find_map(|block| match block {
        Block::Title(title) => Some(title.as_str()),
        _ => None,
    });
    let printed: Vec<Sheet> = Sheet::ALL
        .into_iter()
        .filter(|sheet| pages.iter().any(|page| page.sheet == Some(*sheet)))
        .collect();
    File {
        title: title.unwrap_or_default(),
        writing: WRITING,
        measure: MEASURE,
        number: css_text(&document.number),
        printed,
        pages,
    }
    .render()
    .map(|mut text| {
        text.push('\n');
        text
    })
}

/// Escapes a text for a string in a style sheet: all characters but ASCII letters and digits by their numbers
/// (CSS Syntax Level 3, 4.3.7: a backslash, hexadecimal digits, a blank).
fn css_text(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        if c.is_ascii_alphanumeric() {
            out.push(c);
        } else {
            let _ = write!(out, "\\{:x} ", u32::from(c));
        }
    }
    out
}

fn add<'d>(pieces: &mut Vec<Piece<'d>>, id: usize, block: &'d Block) {
    match block {
        Block::Title(text) => pieces.push(Piece::Title(text)),
        Block::Heading(text) => pieces.push(Piece::Heading(text)),
        Block::Text(text) => pieces.push(Piece::Text(text)),
        Block::Sheet(_) | Block::Page => {}
        Block::Blank(text) => {
            let own = text.trim_start();
            let behind = own.strip_prefix("[ ] ");
            pieces.push(Piece::Blank(
                behind.is_some(),
                own.len() < text.len(),
                behind.unwrap_or(own),
            ));
        }
        Block::Source(text) => match pieces.last_mut() {
            Some(Piece::Sources(sources)) => sources.push(text),
            _ => pieces.push(Piece::Sources(vec![text])),
        },
        Block::Table { head, rows } => pieces.push(Piece::Table(head, rows)),
        Block::Point {
            mark,
            level,
            text,
            under,
        } => {
            let point = Point {
                mark,
                class: match level {
                    Some(level) => class_of_level(*level),
                    None if mark.starts_with(' ') => "under",
                    None => "",
                },
                text,
                under,
            };
            match pieces.last_mut() {
                Some(Piece::Points(points)) => points.push(point),
                _ => pieces.push(Piece::Points(vec![point])),
            }
        }
        Block::Picture(picture) => {
            let svg = Svg::of(id, picture);
            match pieces.last_mut() {
                Some(Piece::Pictures(pictures)) => pictures.push(svg),
                _ => pieces.push(Piece::Pictures(vec![svg])),
            }
        }
    }
}

fn class_of_level(level: Level) -> &'static str {
    match level {
        Level::Fine => "",
        Level::Watch => "watch",
        Level::Call => "call",
        Level::Hold => "hold",
    }
}

fn class_of_ink(ink: Ink) -> &'static str {
    match ink {
        Ink::Outline => "outline",
        Ink::Usual => "usual",
        Ink::Margin => "margin",
        Ink::Resists => "resists",
        Ink::Fails => "fails",
        Ink::Motion | Ink::Head => "motion",
        Ink::Connector => "connector",
        Ink::Least | Ink::Pontic => "least",
        Ink::Axis => "usual",
        Ink::Curve => "outline",
        Ink::Inner => "fails",
        Ink::Outer => "margin",
        // Only on the screen.
        Ink::Opposing | Ink::Distance | Ink::Marked => "usual",
    }
}

impl<'d> Svg<'d> {
    fn of(id: usize, picture: &'d Picture) -> Svg<'d> {
        let figure = &picture.figure;
        let (low, high) = figure.bounds().unwrap_or_default();
        let (most, widest) = picture.size;
        let width = high.0 - low.0;
        let scale = if width > 0.0 {
            most.min((widest - 2.0 * ROUND) / width)
        } else {
            most
        };
        let paper = |(x, y): (f64, f64)| ((x - low.0) * scale, (high.1 - y) * scale);
        let (right, bottom) = paper((high.0, low.1));
        let (mut least, mut largest) = ((0.0f64, 0.0f64), (right, bottom));
        let paths = figure
            .strokes
            .iter()
            .map(|stroke| {
                let mut path = String::new();
                for (index, point) in stroke.points.iter().enumerate() {
                    let (x, y) = paper(*point);
                    let command = if index == 0 { 'M' } else { 'L' };
                    let _ = write!(path, "{command}{x:.2} {y:.2}");
                }
                if stroke.closed {
                    path.push('Z');
                }
                (class_of_ink(stroke.ink), path)
            })
            .collect();
        let texts = figure
            .labels
            .iter()
            .zip(&picture.words)
            .map(|(label, text)| {
                let (x, y) = paper(label.at);
                let y = y - label.lines * WRITING;
                let long = text.chars().count() as f64 * WRITING * LETTER;
                let (left, anchor) = match label.anchor {
                    Anchor::Start => (x, "start"),
                    Anchor::Middle => (x - long / 2.0, "middle"),
                    Anchor::End => (x - long, "end"),
                };
                least = (least.0.min(left), least.1.min(y - WRITING));
                largest = (largest.0.max(left + long), largest.1.max(y + WRITING / 3.0));
                Writing {
                    x: format!("{x:.2}"),
                    y: format!("{y:.2}"),
                    anchor,
                    text,
                }
            })
            .collect();
        // The scale bar stands under everything else; a chart has none.
        let has_bar = figure.bar > 0.0;
        let length = figure.bar * scale;
        let foot = largest.1 + 1.4 * WRITING;
        let (end, up) = (least.0 + length, TICK * WRITING);
        let mut bar = format!(
            "M{0:.2} {1:.2}V{2:.2}M{0:.2} {3:.2}H{4:.2}M{4:.2} {1:.2}V{2:.2}",
            least.0,
            foot - 2.0 * up,
            foot,
            foot - up,
            end
        );
        let bar_says = format!("{:.0} mm", figure.bar);
        let bar_end = end + WRITING / 2.0;
        let long = bar_says.chars().count() as f64 * WRITING * LETTER;
        match has_bar {
            true => largest = (largest.0.max(bar_end + long), foot + WRITING / 3.0),
            false => bar.clear(),
        }
        let size = (
            largest.0 - least.0 + 2.0 * ROUND,
            largest.1 - least.1 + 2.0 * ROUND,
        );
        Svg {
            id,
            picture,
            view_box: format!(
                "{:.2} {:.2} {:.2} {:.2}",
                least.0 - ROUND,
                least.1 - ROUND,
                size.0,
                size.1
            ),
            width: format!("{:.2}", size.0),
            height: format!("{:.2}", size.1),
            paths,
            texts,
            bar,
            bar_end: format!("{bar_end:.2}"),
            bar_foot: format!("{foot:.2}"),
            bar_says,
        }
    }
}
