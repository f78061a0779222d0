//! The terms of a page: what help explains of it.

use super::{FindingLine, Header, LineView, PageView};
use crate::phrase::glossary::terms_in;
use crate::phrase::{pages, words};

/// Returns each term that a page and its first line use, in a line with what it means.
pub(super) fn terms(header: Option<&Header>, page: &PageView) -> Vec<String> {
    let mut said = Said(String::new());
    if let Some(header) = header {
        said.add(&words::outcome(header.verdict.outcome()).to_uppercase());
        said.add(&header.state_words);
    }
    match page {
        PageView::Worklist(_) => said.add(pages::help::WORKLIST_TERMS),
        PageView::Questions(page) => {
            if let Some(present) = &page.present {
                said.add(&present.asks);
            }
            for line in &page.lines {
                match line {
                    LineView::Heading { title, .. } => said.add(title),
                    LineView::Row { label, .. }
                    | LineView::Ask { label, .. }
                    | LineView::Idle { label, .. } => said.add(label),
                }
            }
            said.findings(&page.findings);
        }
        PageView::Findings(page) => {
            said.findings(&page.findings);
            said.sections(&page.detail);
            page.figures.iter().for_each(|line| said.add(line));
        }
        PageView::Outcome(page) => page.choices.iter().for_each(|own| said.add(&own.words)),
        PageView::FollowUp(page) => page.choices.iter().for_each(|own| said.add(&own.words)),
        PageView::Rates(page) => page.lines.iter().for_each(|line| said.add(&line.text)),
        PageView::Leaf(page) => {
            let leaf = &page.leaf;
            let texts = leaf.after.iter().flat_map(|(_, texts)| texts);
            leaf.before
                .iter()
                .chain(texts)
                .for_each(|text| said.add(text));
        }
        PageView::History(page) => page.lines.iter().for_each(|line| said.add(line)),
        PageView::Summary(lines) => lines.iter().for_each(|line| said.add(&line.text)),
        PageView::Call(page) => {
            said.add(pages::help::CALL_TERMS);
            page.rows.iter().for_each(|row| said.add(&row.text));
        }
        PageView::Options(page) => {
            said.add(pages::help::OPTIONS_TERMS);
            page.rows.iter().for_each(|row| said.add(&row.does));
            said.sections(&page.detail);
        }
        PageView::Picture(page) => {
            page.legend.iter().for_each(|line| said.add(line));
            page.says.iter().for_each(|line| said.add(line));
        }
    }
    terms_in(&said.0).iter().map(|term| term.line()).collect()
}

/// Everything that a page says, line after line.
struct Said(String);

impl Said {
    fn add(&mut self, text: &str) {
        self.0.push_str(text);
        self.0.push('\n');
    }

    fn findings(&mut self, findings: &[FindingLine]) {
        for finding in findings {
            self.add(&words::level(finding.level).to_uppercase());
            self.add(&finding.told());
        }
    }

    fn sections(&mut self, sections: &[(String, Vec<String>)]) {
        for (heading, texts) in sections {
            self.add(heading);
            texts.iter().for_each(|text| self.add(text));
        }
    }
}
