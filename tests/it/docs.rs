//! What of the documents is made from the program, so that it cannot drift. `UPDATE_DOCS=1 cargo test docs` writes it.

mod picture;

use casepan::flow::embedded;
use casepan::screen::{Theme, draw};
use casepan::session::command::COMMANDS;
use casepan::session::{Inspection, Session};
use casepan::tooth::Notation;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use uuid::Uuid;

use crate::tidy::MAY_IMPORT;

fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

/// Compares a document with what it should be, or writes it where `UPDATE_DOCS` is set.
#[track_caller]
fn is_up_to_date(name: &str, wanted: impl FnOnce(&str) -> String) {
    let path = file(name);
    let text = std::fs::read_to_string(&path).unwrap_or_default();
    let wanted = wanted(&text);
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, &wanted).unwrap();
        return;
    }
    assert!(
        text == wanted,
        "{name} has drifted: run `UPDATE_DOCS=1 cargo test docs` and look at what changes"
    );
}

fn replaced(text: &str, name: &str, block: &str) -> String {
    let (begin, end) = (format!("<!-- {name} -->\n"), format!("<!-- /{name} -->"));
    let (before, rest) = text
        .split_once(&begin)
        .unwrap_or_else(|| panic!("there is no {begin}"));
    let (_, after) = rest
        .split_once(&end)
        .unwrap_or_else(|| panic!("there is no {end}"));
    format!("{before}{begin}{block}{end}{after}")
}

#[test]
fn the_readme_is_up_to_date() {
    is_up_to_date("README.md", |text| replaced(text, "keys", &keys()));
}

#[test]
fn the_pictures_of_the_screen_are_up_to_date() {
    let title = "casepan: the demo case at 100 by 30";
    for (name, theme, palette) in [
        ("demo/screen.svg", Theme::dark(), picture::DARK),
        ("demo/screen-light.svg", Theme::light(), picture::LIGHT),
    ] {
        is_up_to_date(name, |_| {
            picture::svg(&screen(100, 30, theme), title, &palette)
        });
    }
}

#[test]
fn the_example_in_plain_lines_is_up_to_date() {
    is_up_to_date("src/phrase/program/manual/ask.md", |text| {
        replaced(text, "ask", &lines())
    });
}

#[test]
fn the_code_map_is_up_to_date() {
    is_up_to_date("DEVELOPERS.md", |text| replaced(text, "rooms", &rooms()));
}

/// A document that grows is read by nobody: what is reference goes into the manual.
#[test]
fn the_documents_are_short() {
    for (name, most) in [("README.md", 9_000), ("DEVELOPERS.md", 16_000)] {
        let size = std::fs::metadata(file(name)).unwrap().len();
        assert!(size <= most, "{name} has {size} bytes of {most}");
    }
}

/// The demo at a size.
fn screen(width: u16, height: u16, theme: Theme) -> Buffer {
    let flow = Arc::new(embedded().flow.unwrap());
    let case = casepan::demo::case("bridge-44-46").unwrap();
    let mut session = Session::new(Notation::Iso3950);
    session.show(Inspection::new(flow, case, 1, Uuid::nil(), None));
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    draw(&mut buf, area, &session.view(), theme);
    buf
}

/// The prep of an invented crown in plain lines: what is typed, then what is said.
fn lines() -> String {
    let mut case = crate::ask::short();
    case.number = "24-0381".to_owned();
    let typed = ["6.8", "undo", "6,8", "-"];
    let mut bench = crate::ask::Bench::on(&case);
    let told = bench
        .at("tooth.width_top_fl", "26")
        .all(&format!("{}\n", typed.join("\n")));
    let quoted: Vec<String> = typed
        .iter()
        .map(|line| match line.contains(' ') || line.starts_with('-') {
            true => format!("'{line}'"),
            false => (*line).to_owned(),
        })
        .collect();
    format!(
        "```text\n$ printf '%s\\n' {} | casepan ask 24-0381\n{}\n```\n",
        quoted.join(" "),
        told.lines.join("\n")
    )
}

/// The ten keys that are needed first.
fn keys() -> String {
    let mut out = String::from("| key | what it does |\n|---|---|\n");
    for id in [
        "confirm", "not-seen", "same", "undo", "findings", "options", "call", "summary", "find",
        "help",
    ] {
        let spec = COMMANDS.iter().find(|spec| spec.id == id).unwrap();
        out.push_str(&format!("| `{}` | {} |\n", spec.keys[0], spec.does));
    }
    out
}

/// Each room with the first sentence of its own comment and the rooms that it may use.
fn rooms() -> String {
    let mut out = String::from("| room | what it is | may use |\n|---|---|---|\n");
    for (room, may) in MAY_IMPORT {
        let path = file("src").join(room.replace("::", "/"));
        let own = path.with_extension("rs");
        let own = if own.exists() {
            own
        } else {
            path.join("lib.rs")
        };
        let text = std::fs::read_to_string(&own).unwrap();
        let comment: Vec<&str> = text
            .lines()
            .map_while(|line| line.strip_prefix("//!"))
            .map(str::trim)
            .take_while(|line| !line.is_empty())
            .collect();
        let comment = comment.join(" ");
        let sentence = comment.split(". ").next().unwrap_or(&comment);
        assert!(!sentence.is_empty(), "{room} does not say what it is");
        // What every room may use is said above the table.
        let may: Vec<&str> = may
            .split(' ')
            .filter(|own| !own.starts_with("phrase::"))
            .collect();
        let may = match may.join(" ").as_str() {
            "" => "–".to_owned(),
            "*" => "anything".to_owned(),
            may => may.to_owned(),
        };
        out.push_str(&format!(
            "| `{room}` | {} | {may} |\n",
            sentence.trim_end_matches('.').replace(['[', ']'], "")
        ));
    }
    out
}

/// In backquotes stand tests, folders of tests and files of tests, and in `src/` files with unit tests.
#[test]
fn the_tests_named_for_developers_exist() {
    let text = std::fs::read_to_string(file("DEVELOPERS.md")).unwrap();
    let (_, rest) = text.split_once("## Invariants").unwrap();
    let (invariants, _) = rest.split_once("## To add").unwrap();
    let mut named = 0;
    for name in invariants.split('`').skip(1).step_by(2) {
        named += 1;
        if name.starts_with("src/") {
            let text = std::fs::read_to_string(file(name)).unwrap_or_default();
            assert!(text.contains("#[test]"), "{name} holds no unit tests");
            continue;
        }
        let path = file("tests/it").join(name.replace("::", "/"));
        let own = path.with_extension("rs").exists();
        let within = path.parent().unwrap().with_extension("rs");
        let last = name.rsplit("::").next().unwrap();
        let test =
            std::fs::read_to_string(within).is_ok_and(|text| text.contains(&format!("fn {last}(")));
        assert!(
            own || test,
            "DEVELOPERS.md names {name}, which is not there"
        );
    }
    assert!(named > 60, "{named}");
}
