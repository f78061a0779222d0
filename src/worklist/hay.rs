//! What a filter looks through, and what the words of a filter stand for.
//!
//! A tooth is one character of its own that nobody can type, so that 46 as a tooth and 46 in a case number stay apart
//! for the archive, which knows nothing of teeth.

use super::WorkItem;
use crate::derive::Facts;
use crate::flow::Level;
use crate::judge::Judgement;
use crate::phrase::outcome::kind;
use crate::phrase::pages::worklist as said;
use crate::phrase::{Phrase, faults, words as outcomes};
use crate::text::clean;
use crate::tooth::{Notation, Tooth};

/// The most characters that the words of the findings take up.
const MOST: usize = 400;

/// Teeth stand among the characters for private use, which [`clean`] takes out of every text.
const FIRST_TOOTH: u32 = 0xe000;

/// What a filter asks for.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Wanted {
    /// Words in small letters: of each group one has to be there.
    pub words: Vec<Vec<String>>,
    /// Only cases that need a call.
    pub calls: bool,
    /// Only cases of which something is late.
    pub late: bool,
    /// Only cases of which something is late or due within [`SOON`] days.
    pub due: bool,
    /// Only one's own cases.
    pub mine: bool,
}

/// How many days ahead a case is due soon.
pub const SOON: i32 = 3;

/// Reads a filter. A word that is a tooth in the notation in force stands for the tooth too; `x45` is tooth 45. Four words
/// look at no text: `calls`, `late`, `due` and, where a code of one's own is known, `mine`.
pub fn wanted(filter: &str, notation: Notation, has_code: bool) -> Wanted {
    let mut wanted = Wanted::default();
    for word in clean(filter).to_lowercase().split_whitespace() {
        match word {
            said::CALLS_WORD => wanted.calls = true,
            said::LATE_WORD => wanted.late = true,
            said::DUE_WORD => wanted.due = true,
            said::MINE_WORD if has_code => wanted.mine = true,
            word => {
                let bare = word.strip_prefix('x').unwrap_or(word);
                let tooth = notation.read(bare).ok().and_then(sign);
                let mut group = vec![word.to_owned()];
                group.extend(tooth.map(String::from));
                wanted.words.push(group);
            }
        }
    }
    wanted
}

fn sign(tooth: Tooth) -> Option<char> {
    char::from_u32(FIRST_TOOTH + u32::from(tooth.iso()))
}

/// Returns the sentences of what was found, the gravest first.
pub(super) fn sentences(
    facts: &Facts<'_>,
    judgement: &Judgement,
    phrase: Phrase<'_>,
) -> Vec<String> {
    let findings = judgement.all_findings();
    findings
        .filter(|finding| finding.level >= Level::Watch)
        .map(|finding| phrase.says(facts, finding))
        .collect()
}

/// Returns what a filter looks through: number, teeth, materials, dentist, state, what came back, result, who has it, and
/// the words of what was found.
pub fn hay(item: &WorkItem, found: &[String]) -> String {
    let mut parts = named(item);
    let mut words: Vec<String> = Vec::new();
    let mut length = 0;
    for says in found.iter().map(|says| says.to_lowercase()) {
        for word in says.split(|c: char| c.is_whitespace() || ",;:()".contains(c)) {
            // Figures would be taken for numbers of cases.
            let plain = !word.is_empty() && !word.contains(|c: char| c.is_numeric());
            if plain && length + word.len() < MOST && !words.iter().any(|own| own == word) {
                length += word.len() + 1;
                words.push(word.to_owned());
            }
        }
    }
    parts.extend(words);
    if item.units.is_none() {
        parts.push(faults::archive::CANNOT_BE_READ.to_lowercase());
    }
    parts.join(" ")
}

/// Number, teeth, materials, dentist, state, result and who has it.
fn named(item: &WorkItem) -> Vec<String> {
    let mut parts = vec![clean(&item.number).to_lowercase()];
    let teeth = item.units.iter().flat_map(super::teeth);
    parts.push(teeth.filter_map(sign).collect());
    let words = item.materials.iter().chain(&item.dentist).chain(&item.who);
    parts.extend(words.map(|word| clean(word).to_lowercase()));
    if let Some(state) = &item.state {
        parts.push(outcomes::state(state.state).to_lowercase());
        let awaited = state
            .awaited
            .iter()
            .map(|own| crate::phrase::states::awaited(own));
        parts.extend(awaited.map(str::to_lowercase));
    }
    let came_back = item.came_back.iter();
    parts.extend(came_back.map(|own| kind(own.what).to_owned()));
    let result = item
        .verdict
        .map(|verdict| outcomes::outcome(verdict.outcome()));
    parts.extend(result.map(str::to_lowercase));
    parts.retain(|part| !part.is_empty());
    parts
}
