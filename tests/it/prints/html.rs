//! HTML prints: well-formed, readable by a screen reader and without colour, and hostile text stays text.

use std::collections::BTreeSet;

use casepan::case::Case;
use casepan::fact::Value;
use casepan::print::{Format, Sheet};

use super::{decide, demos, printed, troubled};
use crate::good::{finish, mm, pan, put};

/// A tag: its name, its attributes, and whether it closes.
#[derive(Clone, PartialEq, Debug)]
struct Tag {
    name: String,
    attributes: Vec<(String, String)>,
    closes: bool,
}

impl Tag {
    fn attribute(&self, name: &str) -> Option<&str> {
        let found = self.attributes.iter().find(|(own, _)| own == name);
        found.map(|(_, value)| value.as_str())
    }
}

/// Elements without content (HTML Living Standard, 13.1.2, void elements), those that are used here.
const VOID: [&str; 2] = ["meta", "br"];

/// Reads tags and the text between them; the style sheet counts as text. Panics on what is not well-formed: a stray
/// bracket or ampersand, an attribute without quotes, an element that is not closed in turn.
fn parsed(html: &str) -> (Vec<Tag>, String) {
    let mut tags = Vec::new();
    let mut text = String::new();
    let mut open: Vec<String> = Vec::new();
    let mut rest = html.strip_prefix("<!DOCTYPE html>").expect("a doctype");
    while let Some((before, after)) = rest.split_once('<') {
        let css = open.last().is_some_and(|name| name == "style");
        assert!(
            css || !before.contains('>'),
            "a stray bracket in {before:?}"
        );
        text.push_str(&plain(before));
        let (inside, tail) = after.split_once('>').expect("a closed tag");
        rest = tail;
        if let Some(name) = inside.strip_prefix('/') {
            assert_eq!(open.pop().as_deref(), Some(name), "closes in turn");
            tags.push(Tag {
                name: name.to_owned(),
                attributes: Vec::new(),
                closes: true,
            });
            continue;
        }
        let empty = inside.ends_with('/');
        let inside = inside.trim_end_matches('/');
        let (name, list) = inside.split_once(' ').unwrap_or((inside, ""));
        let sound = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit();
        assert!(!name.is_empty() && name.chars().all(sound), "{inside:?}");
        if !empty && !VOID.contains(&name) {
            open.push(name.to_owned());
        }
        tags.push(Tag {
            name: name.to_owned(),
            attributes: attributes(list),
            closes: false,
        });
    }
    assert!(open.is_empty(), "not closed: {open:?}");
    assert_eq!(rest.trim(), "");
    (tags, text)
}

fn attributes(mut list: &str) -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = Vec::new();
    while !list.trim().is_empty() {
        let (name, after) = list.split_once("=\"").expect("a value in quotes");
        let (value, tail) = after.split_once('"').expect("a closed value");
        let name = name.trim().to_owned();
        assert!(
            found.iter().all(|(known, _)| *known != name),
            "{name} twice"
        );
        found.push((name, plain(value)));
        list = tail;
    }
    found
}

/// Text without its escapes. Every ampersand has to begin one.
fn plain(text: &str) -> String {
    let mut out = String::new();
    let mut parts = text.split('&');
    out.push_str(parts.next().unwrap_or_default());
    for part in parts {
        let (name, tail) = part.split_once(';').expect("an ampersand begins an escape");
        let c = match name {
            "lt" | "#60" => '<',
            "gt" | "#62" => '>',
            "amp" | "#38" => '&',
            "quot" | "#34" => '"',
            "#39" | "#x27" => '\'',
            other => panic!("unknown escape {other:?}"),
        };
        out.push(c);
        out.push_str(tail);
    }
    out
}

/// Returns the style sheet of a print.
pub(super) fn style(html: &str) -> &str {
    let (_, css) = html.split_once("<style>").expect("a style sheet");
    css.split_once("</style>").expect("its end").0
}

fn html(case: &Case) -> String {
    printed(case, &Sheet::ALL, Format::Html)
}

fn cases() -> Vec<Case> {
    let mut list: Vec<Case> = demos().map(|(_, case)| case).collect();
    list.push(troubled());
    let mut long = pan("13 x12 x11 21 x22 23", "zirconia-3y", "self-adhesive");
    finish(&mut long, true);
    list.push(long);
    list
}

#[test]
fn prints_are_well_formed() {
    for case in cases() {
        let (tags, _) = parsed(&html(&case));
        assert!(tags.len() > 100);
        let ids: Vec<&str> = tags.iter().filter_map(|tag| tag.attribute("id")).collect();
        let unique: BTreeSet<&str> = ids.iter().copied().collect();
        assert_eq!(ids.len(), unique.len(), "{ids:?}");
    }
}

#[test]
fn the_check_finds_what_is_not_well_formed() {
    for bad in [
        "<!DOCTYPE html><p>a<b>c</p></b>",
        "<!DOCTYPE html><p>a & b</p>",
        "<!DOCTYPE html><p>a > b</p>",
        "<!DOCTYPE html><p>a",
        "<!DOCTYPE html><p class=a>b</p>",
    ] {
        let read = std::panic::catch_unwind(|| parsed(bad));
        assert!(read.is_err(), "{bad}");
    }
}

/// Headings in order, language, table headers with their scope, pictures with title and text: as the techniques of the
/// W3C for WCAG 2 have it (G141, H57, H63; ARIA in HTML for pictures), from memory.
#[test]
fn a_screen_reader_finds_its_way() {
    for case in cases() {
        let source = html(&case);
        let (tags, _) = parsed(&source);
        let opened = || tags.iter().filter(|tag| !tag.closes);
        let first = opened().next().expect("a tag");
        assert_eq!(
            (first.name.as_str(), first.attribute("lang")),
            ("html", Some("en"))
        );
        let mut last = 0;
        let mut titles = 0;
        for tag in opened() {
            let Some(level) = tag
                .name
                .strip_prefix('h')
                .and_then(|n| n.parse::<u8>().ok())
            else {
                continue;
            };
            assert!(level <= last + 1, "h{level} after h{last}");
            titles += usize::from(level == 1);
            last = level;
        }
        assert_eq!(titles, Sheet::ALL.len());
        for tag in opened().filter(|tag| tag.name == "th") {
            assert!(
                matches!(tag.attribute("scope"), Some("col" | "row")),
                "{tag:?}"
            );
        }
        let mut pictures = 0;
        for (index, svg) in tags
            .iter()
            .enumerate()
            .filter(|(_, t)| t.name == "svg" && !t.closes)
        {
            pictures += 1;
            assert_eq!(svg.attribute("role"), Some("img"));
            let named: Vec<&str> = svg
                .attribute("aria-labelledby")
                .unwrap_or_default()
                .split(' ')
                .collect();
            let inner: Vec<&Tag> = tags
                .iter()
                .skip(index + 1)
                .filter(|t| !t.closes)
                .take(2)
                .collect();
            for ((tag, name), id) in inner.iter().zip(["title", "desc"]).zip(&named) {
                assert_eq!((tag.name.as_str(), tag.attribute("id")), (name, Some(*id)));
                let (_, after) = source
                    .split_once(&format!("id=\"{id}\">"))
                    .expect("the element");
                assert!(
                    after.split('<').next().is_some_and(|text| text.len() > 10),
                    "{id}"
                );
            }
            assert_eq!((named.len(), inner.len()), (2, 2));
        }
        let abutments = case.units.restorations().iter().flat_map(|r| &r.units);
        assert!(pictures >= abutments.count().min(1), "{pictures}");
    }
}

/// No script and nothing from elsewhere.
#[test]
fn a_print_stands_for_itself() {
    for case in cases() {
        let source = html(&case);
        for word in [
            "<script",
            "<link",
            "<img",
            "<iframe",
            "://",
            "url(",
            "@import",
            "src=",
            "javascript:",
        ] {
            assert!(!source.contains(word), "{word}");
        }
        let (tags, _) = parsed(&source);
        let handler = |name: &str| name.starts_with("on");
        assert!(tags.iter().all(|tag| {
            tag.attributes
                .iter()
                .all(|(name, _)| !handler(name) && name != "style")
        }));
        // Links lead to a sheet of the same file.
        for link in tags.iter().filter_map(|tag| tag.attribute("href")) {
            let own = link.strip_prefix('#').expect("a place in the file");
            let mut ids = tags.iter().filter_map(|tag| tag.attribute("id"));
            assert!(ids.any(|id| id == own), "{link}");
        }
        let css = style(&source);
        for page in ["@page", "break-before: page", "@media print"] {
            assert!(css.contains(page), "{page}");
        }
    }
}

#[test]
fn levels_are_said_in_words() {
    let (_, text) = parsed(&html(&troubled()));
    assert!(text.contains("CALL:"), "{text}");
    let mut low = pan("26", "zirconia-3y", "resin-modified");
    put(&mut low, "tooth.height", "26", mm(3.8));
    finish(&mut low, true);
    let (_, text) = parsed(&html(&low));
    assert!(text.contains("WATCH:"), "{text}");
}

/// Whatever a case is called and whatever is written into it: the tags are those of a harmless one.
#[test]
fn hostile_text_stays_text() {
    let made = |word: &str| {
        let mut case = pan("44 x45 46", "zirconia-3y", "self-adhesive");
        finish(&mut case, true);
        case.number = word.to_owned();
        put(
            &mut case,
            "order.fee_lines",
            "case",
            Value::Text("plain".to_owned()),
        );
        decide(
            &mut case,
            "order.fee_lines",
            "case",
            Value::Text(word.to_owned()),
        );
        html(&case)
    };
    let (harmless, _) = parsed(&made("24-0381"));
    for word in [
        "<script>alert(1)</script>",
        "\"><img src=x onerror=alert(1)>",
        "'; </style><script>alert(1)</script>",
        "</title></svg></section>",
        "& &amp; &lt;b&gt; &#60;b&#62;",
        "<!-- -->",
        "{{ title }} {% endfor %}",
    ] {
        let source = made(word);
        let (tags, text) = parsed(&source);
        assert_eq!(tags, harmless, "{word}");
        // In the title, in five headings, and where what was decided stands on two sheets.
        assert!(text.matches(word).count() >= 6, "{word} in {text}");
        assert!(
            !source.contains(word) || !word.contains(['<', '&']),
            "{word}"
        );
    }
}

/// Returns what stands between a beginning and an end cut out, as often as it stands there.
fn without(html: &str, begin: &str, end: &str) -> String {
    let mut parts = html.split(begin);
    let mut out = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        out.push_str(part.split_once(end).expect("its end").1);
    }
    out
}

/// What plain text says, HTML says too, in the same order.
#[test]
fn html_says_what_text_says() {
    let words = |text: &str| -> Vec<String> {
        let text: String = text
            .chars()
            .map(|c| if c.is_alphanumeric() { c } else { ' ' })
            .collect();
        text.split_whitespace().map(str::to_lowercase).collect()
    };
    for (name, case) in demos() {
        for sheet in [Sheet::Call, Sheet::Letter, Sheet::Seating] {
            let print = printed(&case, &[sheet], Format::Html);
            let mut body = print;
            for (begin, end) in [("<head>", "</head>"), ("<figure>", "</figure>")] {
                body = without(&body, begin, end);
            }
            let (_, said) = parsed(&body);
            let plain = printed(&case, &[sheet], Format::Text);
            assert_eq!(words(&said), words(&plain), "{name} {sheet:?}");
        }
    }
}
