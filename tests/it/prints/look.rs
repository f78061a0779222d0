//! How an HTML print looks on the screen and on paper: two palettes that can be read, paper in black on white, the size of
//! its text, and links to the sheets of a file.

use std::collections::BTreeMap;

use casepan::print::{Format, Sheet};

use super::html::style;
use super::{demos, printed, troubled};

/// A rule of a style sheet: the media that it holds for, empty for all, its selector, and what it says.
struct Rule<'c> {
    media: &'c str,
    selector: &'c str,
    says: &'c str,
}

/// Reads the rules of a style sheet, those within a block of media too.
fn rules<'c>(css: &'c str, media: &'c str) -> Vec<Rule<'c>> {
    let mut found = Vec::new();
    let mut rest = css;
    while let Some((selector, after)) = rest.split_once('{') {
        let mut depth = 1;
        let end = after
            .char_indices()
            .find(|(_, c)| {
                depth += match c {
                    '{' => 1,
                    '}' => -1,
                    _ => 0,
                };
                depth == 0
            })
            .expect("a closed block")
            .0;
        let (inside, tail) = after.split_at(end);
        let selector = selector.trim();
        match selector.strip_prefix("@media ") {
            Some(media) => found.extend(rules(inside, media)),
            None => found.push(Rule {
                media,
                selector,
                says: inside,
            }),
        }
        rest = &tail[1..];
    }
    found
}

fn css() -> String {
    let html = printed(&troubled(), &Sheet::ALL, Format::Html);
    style(&html).to_owned()
}

const DARK: &str = "screen and (prefers-color-scheme: dark)";

/// The colours of a palette by name; the screen takes from paper what it does not name itself.
fn palette(rules: &[Rule<'_>], media: &[&str]) -> BTreeMap<String, [f64; 3]> {
    let mut colours = BTreeMap::new();
    for rule in rules {
        if rule.selector != ":root" || !media.contains(&rule.media) {
            continue;
        }
        for (name, value) in rule.says.split(';').filter_map(|own| own.split_once(": #")) {
            let digits: Vec<f64> = value
                .trim()
                .chars()
                .map(|c| f64::from(c.to_digit(16).expect("a digit")))
                .collect();
            let colour = match digits.as_slice() {
                [r, g, b] => [r * 17.0, g * 17.0, b * 17.0],
                [a, b, c, d, e, f] => [a * 16.0 + b, c * 16.0 + d, e * 16.0 + f],
                other => panic!("{other:?}"),
            };
            colours.insert(name.trim().to_owned(), colour);
        }
    }
    colours
}

/// Contrast of two colours, from 1 to 21: WCAG 2.2, relative luminance and contrast ratio.
fn contrast(one: [f64; 3], other: [f64; 3]) -> f64 {
    let luminance = |colour: [f64; 3]| {
        let [r, g, b] = colour.map(|part| {
            let part = part / 255.0;
            if part <= 0.04045 {
                part / 12.92
            } else {
                ((part + 0.055) / 1.055).powf(2.4)
            }
        });
        0.2126 * r + 0.7152 * g + 0.0722 * b
    };
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

#[test]
fn contrast_is_what_the_guideline_says() {
    let white = [255.0; 3];
    assert!((contrast([0.0; 3], white) - 21.0).abs() < 1e-9);
    // The lightest grey that may be text on white.
    assert!(contrast([118.0; 3], white) > 4.5 && contrast([119.0; 3], white) < 4.5);
}

/// Text has a contrast of 4.5 at least, lines of 3, on paper and in both palettes of the screen.
#[test]
fn every_palette_can_be_read() {
    let css = css();
    let rules = rules(&css, "");
    for media in [&[""][..], &["", "screen"], &["", "screen", DARK]] {
        let colours = palette(&rules, media);
        let paper = colours["--paper"];
        for (name, least) in [("--ink", 4.5), ("--line", 3.0)] {
            let ratio = contrast(colours[name], paper);
            assert!(ratio >= least, "{media:?} {name}: {ratio:.1}");
        }
    }
    let dark = palette(&rules, &["", "screen", DARK]);
    assert!(dark["--ink"][0] > dark["--paper"][0], "light on dark");
}

/// Whatever the screen likes, paper is black on white, and only palettes name colours.
#[test]
fn paper_is_black_on_white() {
    let css = css();
    let rules = rules(&css, "");
    assert!(rules.len() > 40);
    let paper = palette(&rules, &["", "print"]);
    assert_eq!(paper["--ink"], [0.0; 3]);
    assert_eq!(paper["--paper"], [255.0; 3]);
    for rule in &rules {
        let palette = rule.selector == ":root";
        assert_eq!(rule.says.contains('#'), palette, "{}", rule.selector);
        assert!(
            ["", "print", "screen", DARK].contains(&rule.media),
            "{}",
            rule.media
        );
    }
    let names = |rule: &&Rule<'_>| rule.selector == ":root" && rule.media == DARK;
    assert_eq!(rules.iter().filter(names).count(), 1);
}

#[test]
fn text_on_paper_has_its_size_and_lines_end() {
    let css = css();
    let rules = rules(&css, "");
    let said = |media: &str, selector: &str| {
        let own = rules
            .iter()
            .find(|rule| rule.media == media && rule.selector == selector);
        own.unwrap_or_else(|| panic!("{selector}")).says
    };
    assert!(said("print", "body").contains("font-size: 10.5pt;"));
    assert!(said("", "p, li, .closing").contains("max-width: 68ch;"));
    assert!(said("print", "nav").contains("display: none;"));
}

/// A file of several sheets begins with a link to each, in their order; a sheet by itself has none.
#[test]
fn a_file_of_several_sheets_begins_with_links() {
    for (name, case) in demos() {
        let html = printed(&case, &Sheet::ALL, Format::Html);
        let (nav, rest) = html
            .split_once("<nav ")
            .and_then(|(_, after)| after.split_once("</nav>"))
            .unwrap_or_else(|| panic!("{name}"));
        let links: Vec<&str> = nav.split("<a href=\"#").skip(1).collect();
        assert_eq!(links.len(), Sheet::ALL.len());
        let mut rest = rest;
        for (link, sheet) in links.iter().zip(Sheet::ALL) {
            let (id, text) = link.split_once("\">").expect("a text");
            assert!(text.starts_with(sheet.title()), "{text}");
            let wanted = format!("<section id=\"{id}\" class=\"{}\">", sheet.name());
            let (_, after) = rest.split_once(&wanted).expect("the sheet in its turn");
            rest = after;
        }
        for sheet in Sheet::ALL {
            let alone = printed(&case, &[sheet], Format::Html);
            assert!(!alone.contains("<nav") && !alone.contains("<a "), "{name}");
        }
    }
}

/// The bridge is drawn on its summary, to scale as on the ticket, and a crown has no such picture.
#[test]
fn a_bridge_is_drawn_on_its_summary() {
    for (name, case) in demos() {
        let html = printed(&case, &[Sheet::Summary], Format::Html);
        let (head, _) = html.split_once("<h2>").expect("a heading");
        let drawn = head.contains("from the side</title>") && head.contains("class=\"outline\"");
        assert_eq!(drawn, name != "crown-26", "{name}");
        let text = printed(&case, &[Sheet::Summary], Format::Text);
        assert!(!text.contains("In the picture"), "{text}");
    }
}
