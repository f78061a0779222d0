//! What became of what was delivered, as lines: of one case, of all that is due of a dentist, of what rules told of.

use super::say::{About, Said, marked, sections};
use crate::phrase::follow_up as due;
use crate::phrase::outcome as outcomes;
use crate::phrase::pages::ask as said;
use crate::session::view::{ChoiceView, FollowUpView, LeafView, OutcomeView};

fn choices(all: &[ChoiceView]) -> impl Iterator<Item = String> + '_ {
    all.iter().map(|own| said::choice(own.digit, &own.words))
}

/// What is known of a delivered case, what is asked, and what was known when it was built.
pub(super) fn outcome(page: &OutcomeView) -> Vec<Said> {
    let title = std::iter::once(page.title.clone());
    let known = title.chain(page.known.iter().cloned()).collect();
    let mut parts = vec![Said::of(About::Outcome, known)];
    if !page.then.is_empty() {
        let mut lines = vec![said::heading(outcomes::KNOWN_THEN)];
        lines.extend(sections(&page.then));
        parts.push(Said::of(About::KnownThen, lines));
    }
    if !page.asks.is_empty() {
        let mut lines = vec![page.asks.to_owned()];
        lines.extend(page.says.iter().cloned());
        lines.extend(choices(&page.choices));
        parts.push(Said::asking(About::AskingOutcome(page.asks), lines));
    }
    parts
}

/// What is due of a dentist, every row with its number; what is asked of one; what is about to be written.
pub(super) fn follow_up(page: &FollowUpView) -> Vec<Said> {
    let mut lines = vec![page.title.clone(), page.of.clone()];
    lines.extend(page.head.iter().cloned());
    let rows = (1..).zip(&page.rows);
    lines.extend(rows.map(|(number, row)| said::numbered(number, &due::row(&row.cells))));
    let mut parts = vec![Said::of(About::FollowUp(page.title.clone()), lines)];
    let mut lines = Vec::new();
    if !page.asks.is_empty() {
        let own = page.rows.iter().find(|row| row.marked);
        lines.extend(own.map(|row| due::of_case(&row.cells[0], page.asks)));
        lines.extend(choices(&page.choices));
    }
    lines.extend(page.says.iter().cloned());
    if !lines.is_empty() {
        parts.push(Said::asking(About::AskingOutcome(page.asks), lines));
    }
    parts
}

/// Rules on trial, or a limit that is moved: every row with its number, then the marked one in full.
pub(super) fn leaf(page: &LeafView) -> Vec<Said> {
    let leaf = &page.leaf;
    let mut lines = vec![leaf.title.clone(), page.right.clone()];
    lines.extend(leaf.before.iter().cloned());
    if !leaf.rows.is_empty() {
        lines.push(leaf.over.clone());
    }
    for nth in 0..leaf.rows.len() {
        let row = leaf.aloud(nth).unwrap_or_default();
        lines.push(match page.marked {
            Some(_) => said::numbered(page.first + nth + 1, &row),
            None => row,
        });
    }
    for (heading, texts) in &leaf.after {
        lines.extend((!heading.is_empty()).then(|| said::heading(heading)));
        lines.extend(texts.iter().cloned());
    }
    let mut parts = vec![Said::of(About::Leaf(leaf.title.clone()), lines)];
    if let Some(own) = page.marked {
        let row = leaf.aloud(own).into_iter().collect();
        parts.push(marked(page.first + own + 1, row));
    }
    parts
}
