//! What a browser makes of an HTML print: a sheet a page on A4 and Letter, and nothing that runs over the edge.
//!
//! Needs Chromium (Debian package `chromium`) and the typeface that the pages are set in (`fonts-liberation`).

use std::path::Path;
use std::process::Command;

use casepan::case::Case;
use casepan::print::{Format, Sheet};

use super::{demos, printed, troubled};

/// Returns why the browser cannot be asked; none where it can.
fn missing() -> Option<&'static str> {
    let runs = |program: &str, argument: &str| {
        let output = Command::new(program).arg(argument).output().ok()?;
        Some(String::from_utf8_lossy(&output.stdout).into_owned())
    };
    if runs("chromium", "--version").is_none() {
        return Some("no chromium");
    }
    match runs("fc-match", "Liberation Sans") {
        Some(font) if font.contains("Liberation") => None,
        _ => Some("no Liberation Sans, without which lines break elsewhere"),
    }
}

fn chromium(directory: &Path, arguments: &[String], page: &Path) -> String {
    let output = Command::new("chromium")
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
        ])
        .arg(format!(
            "--user-data-dir={}",
            directory.join("profile").display()
        ))
        .args(arguments)
        .arg(page)
        .output()
        .expect("chromium runs");
    assert!(output.status.success(), "{output:?}");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Writes a copy of a print with something more in its head.
fn page(directory: &Path, html: &str, more: &str) -> std::path::PathBuf {
    let path = directory.join("page.html");
    assert!(html.contains("</head>"));
    std::fs::write(
        &path,
        html.replacen("</head>", &format!("{more}</head>"), 1),
    )
    .expect("a file");
    path
}

/// Counts the pages of a PDF by their objects (ISO 32000-1, 7.7.3.3: each has `/Type /Page`).
fn pages(pdf: &[u8]) -> usize {
    let text = String::from_utf8_lossy(pdf);
    text.match_indices("/Type /Page")
        .filter(|(at, word)| !text[at + word.len()..].starts_with('s'))
        .count()
}

#[test]
fn a_sheet_is_a_page_on_both_papers() {
    if let Some(why) = missing() {
        eprintln!("skipped: {why}");
        return;
    }
    let directory = tempfile::tempdir().expect("a directory");
    let pdf = directory.path().join("page.pdf");
    for (name, case) in demos() {
        let html = printed(&case, &Sheet::ALL, Format::Html);
        for paper in ["A4", "letter"] {
            let style = format!("<style>@page {{ size: {paper} }}</style>");
            let page = page(directory.path(), &html, &style);
            let arguments = [
                "--no-pdf-header-footer".to_owned(),
                format!("--print-to-pdf={}", pdf.display()),
            ];
            chromium(directory.path(), &arguments, &page);
            let pdf = std::fs::read(&pdf).expect("a PDF");
            assert_eq!(pages(&pdf), Sheet::ALL.len(), "{name} on {paper}");
        }
    }
}

/// A copy that measures itself: no element may reach beyond the width of the page, at the width of A4 less its margins.
#[test]
fn nothing_runs_over_the_edge() {
    if let Some(why) = missing() {
        eprintln!("skipped: {why}");
        return;
    }
    let directory = tempfile::tempdir().expect("a directory");
    let cases = demos().map(|(_, case)| case).chain([troubled(), long()]);
    for case in cases {
        let html = printed(&case, &Sheet::ALL, Format::Html);
        let (before, after) = html.split_once("<meta http-equiv=").expect("a policy");
        let (_, after) = after.split_once('>').expect("its end");
        let free = format!("{before}{after}");
        let measure = "<style>body { max-width: 182mm; padding: 0; margin: 0 }</style><script>addEventListener('load', () => { \
            const edge = document.body.getBoundingClientRect().right + 1; \
            const over = [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > edge); \
            document.title = 'over: ' + over.length + ' of ' + document.querySelectorAll('body *').length; })</script>";
        let page = page(directory.path(), &free, measure);
        let dom = chromium(
            directory.path(),
            &[
                "--window-size=1000,1400".to_owned(),
                "--dump-dom".to_owned(),
            ],
            &page,
        );
        let (_, title) = dom.split_once("<title>").expect("a title");
        let title = title.split('<').next().unwrap_or_default();
        assert!(
            title.starts_with("over: 0 of ") && !title.ends_with(" 0"),
            "{title}"
        );
    }
}

/// Ten units in one piece, the widest picture there is likely to be.
fn long() -> Case {
    let mut case = crate::good::pan(
        "15 14 13 x12 x11 x21 x22 23 24 25",
        "zirconia-3y",
        "self-adhesive",
    );
    crate::good::finish(&mut case, true);
    case
}
