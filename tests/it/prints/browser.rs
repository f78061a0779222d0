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

/// Returns the text of each page of a PDF, or `None` without pdftotext (Debian package `poppler-utils`).
fn pages(pdf: &Path) -> Option<Vec<String>> {
    let output = Command::new("pdftotext")
        .arg("-layout")
        .arg(pdf)
        .arg("-")
        .output()
        .ok()?;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    // Each page ends with a form feed.
    Some(text.split_terminator('\u{c}').map(str::to_owned).collect())
}

/// On both papers: each sheet begins a page, each page names case and sheet and says which of how many it is, and the sheets
/// of a sound crown are one page each.
#[test]
fn each_page_says_what_it_belongs_to_on_both_papers() {
    if let Some(why) = missing() {
        eprintln!("skipped: {why}");
        return;
    }
    let directory = tempfile::tempdir().expect("a directory");
    let pdf = directory.path().join("page.pdf");
    let hostile = {
        let mut case = troubled();
        case.number = "A/7 \\ \"b\" <i> é; }".to_owned();
        case
    };
    let cases = demos().chain([("hostile", hostile)]);
    for (name, case) in cases {
        let html = printed(&case, &Sheet::ALL, Format::Html);
        for (paper, size) in [("A4", "595 x 842"), ("letter", "612 x 792")] {
            let style = format!("<style>@page {{ size: {paper} }}</style>");
            let page = page(directory.path(), &html, &style);
            let arguments = [
                "--no-pdf-header-footer".to_owned(),
                format!("--print-to-pdf={}", pdf.display()),
            ];
            chromium(directory.path(), &arguments, &page);
            let Some(pages) = pages(&pdf) else {
                eprintln!("skipped: no pdftotext");
                return;
            };
            let info = Command::new("pdfinfo").arg(&pdf).output().expect("pdfinfo");
            let info = String::from_utf8_lossy(&info.stdout).into_owned();
            let sized = info.lines().find(|line| line.starts_with("Page size"));
            let rounded: Vec<String> = sized
                .unwrap_or_default()
                .split_whitespace()
                .filter_map(|word| word.parse::<f64>().ok())
                .map(|points| format!("{points:.0}"))
                .collect();
            assert_eq!(rounded.join(" x "), size, "{info}");
            let mut sheets: Vec<&str> = Vec::new();
            for (index, text) in pages.iter().enumerate() {
                let foot = text.trim_end().lines().last().unwrap_or_default();
                let foot = foot.split_whitespace().collect::<Vec<_>>().join(" ");
                let number = case.number.split_whitespace().collect::<Vec<_>>().join(" ");
                let sheet = Sheet::ALL
                    .into_iter()
                    .map(Sheet::title)
                    .find(|title| foot.contains(title))
                    .unwrap_or_else(|| panic!("no sheet in {foot:?}"));
                let wanted = format!(
                    "Case {number} {sheet} page {} of {}",
                    index + 1,
                    pages.len()
                );
                assert_eq!(foot, wanted, "{name} on {paper}");
                if sheets.last() != Some(&sheet) {
                    sheets.push(sheet);
                }
            }
            let all: Vec<&str> = Sheet::ALL.into_iter().map(Sheet::title).collect();
            assert_eq!(sheets, all, "{name} on {paper}");
            let most = if name == "crown-26" { 1 } else { 2 };
            assert!(pages.len() <= most * all.len(), "{name}: {}", pages.len());
        }
    }
}

/// A copy that measures itself as it is printed: no text under 10.5 points but the labels of pictures, which are to scale.
#[test]
fn no_text_is_smaller_than_it_should_be() {
    if let Some(why) = missing() {
        eprintln!("skipped: {why}");
        return;
    }
    let directory = tempfile::tempdir().expect("a directory");
    for case in [troubled(), long()] {
        let html = printed(&case, &Sheet::ALL, Format::Html);
        // What holds on paper only holds on the screen of the copy too.
        let html = free(&html).replacen("@media print", "@media all", 1);
        let measure = "<script>addEventListener('load', () => { \
            const own = e => [...e.childNodes].some(n => n.nodeType == 3 && n.textContent.trim()); \
            const all = [...document.querySelectorAll('main *')].filter(e => !e.closest('svg') && own(e)); \
            const points = all.map(e => parseFloat(getComputedStyle(e).fontSize) * 72 / 96); \
            document.title = 'least: ' + Math.min(...points).toFixed(2) + ' of ' + all.length; })</script>";
        let title = titled(directory.path(), &html, measure);
        let (least, count) = title
            .strip_prefix("least: ")
            .and_then(|rest| rest.split_once(" of "))
            .unwrap_or_else(|| panic!("{title}"));
        assert!(least.parse::<f64>().expect("a number") >= 10.5, "{title}");
        assert!(count.parse::<usize>().expect("a number") > 100, "{title}");
    }
}

/// A copy that counts the characters of each line of running text as it is printed: 90 or so at the most.
#[test]
fn lines_of_text_are_not_too_long() {
    if let Some(why) = missing() {
        eprintln!("skipped: {why}");
        return;
    }
    let directory = tempfile::tempdir().expect("a directory");
    let html = printed(&troubled(), &Sheet::ALL, Format::Html);
    let html = free(&html).replacen("@media print", "@media all", 1);
    let measure = "<style>body { max-width: 182mm; padding: 0 }</style><script>addEventListener('load', () => { \
        const range = document.createRange(), lines = new Map(); \
        for (const e of document.querySelectorAll('main p, main li')) { \
            const walker = document.createTreeWalker(e, NodeFilter.SHOW_TEXT); \
            while (walker.nextNode()) { const node = walker.currentNode; \
                if (node.parentElement.closest('p, li') != e) continue; \
                for (let i = 0; i < node.length; i++) { range.setStart(node, i); range.setEnd(node, i + 1); \
                    const box = range.getBoundingClientRect(); if (!box.width) continue; \
                    const line = Math.round(box.bottom) + ' ' + Math.round(e.getBoundingClientRect().left); \
                    lines.set(line, (lines.get(line) || 0) + 1); } } } \
        document.title = 'most: ' + Math.max(...lines.values()) + ' of ' + lines.size; })</script>";
    let title = titled(directory.path(), &html, measure);
    let (most, count) = title
        .strip_prefix("most: ")
        .and_then(|rest| rest.split_once(" of "))
        .unwrap_or_else(|| panic!("{title}"));
    let most: usize = most.parse().expect("a number");
    assert!((70..=95).contains(&most), "{title}");
    assert!(count.parse::<usize>().expect("a number") > 100, "{title}");
}

/// A print without the policy that keeps scripts from running.
fn free(html: &str) -> String {
    let (before, after) = html.split_once("<meta http-equiv=").expect("a policy");
    let (_, after) = after.split_once('>').expect("its end");
    format!("{before}{after}")
}

/// Returns the title that a page has given itself.
fn titled(directory: &Path, html: &str, more: &str) -> String {
    let page = page(directory, html, more);
    let dom = chromium(
        directory,
        &[
            "--window-size=1000,1400".to_owned(),
            "--dump-dom".to_owned(),
        ],
        &page,
    );
    let (_, title) = dom.split_once("<title>").expect("a title");
    title.split('<').next().unwrap_or_default().to_owned()
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
        let measure = "<style>body { max-width: 182mm; padding: 0; margin: 0 }</style><script>addEventListener('load', () => { \
            const edge = document.body.getBoundingClientRect().right + 1; \
            const over = [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > edge); \
            document.title = 'over: ' + over.length + ' of ' + document.querySelectorAll('body *').length; })</script>";
        let title = titled(directory.path(), &free(&html), measure);
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
