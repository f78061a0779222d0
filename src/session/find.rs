//! Finding by words: questions, findings, cases and commands in one list, the best first. With nothing typed it lists
//! all commands of the context, so that a numeric pad reaches every one: `/`, a digit, enter. The digit alone does
//! nothing, since it may begin the number of a tooth.

use std::collections::HashMap;

use strsim::damerau_levenshtein;

use super::command::{COMMANDS, Command, Context};
use super::{Effect, Moment, Page, Session};
use crate::derive::Turn;
use crate::fact::{FactId, Kind, Spot};
use crate::phrase::glossary::{TERMS, Term, other_words};
use crate::phrase::prompts::find;
use crate::phrase::{pages, words};

/// How many lines have a digit.
pub const NINE: usize = 9;

/// The longest line of words.
const MAX_WORDS: usize = 60;

/// What is being looked for, and what was found.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Search {
    /// The words as they are typed.
    pub words: String,
    /// Everything that can be found from here, commands first. It does not change while words are typed.
    all: Vec<Entry>,
    /// How many of `all` are commands.
    commands: usize,
    /// What was found, the best first.
    pub hits: Vec<Hit>,
    /// The marked one.
    pub marked: usize,
    /// Which nine of the commands were shown while nothing was typed.
    nine: usize,
}

/// Something that was found.
#[derive(Clone, PartialEq, Debug)]
pub struct Hit {
    /// Where it leads.
    pub to: Target,
    /// What it is, in one word; for a command, its key.
    pub kind: String,
    /// Its line.
    pub line: String,
}

/// Where a line leads.
#[derive(Clone, PartialEq, Debug)]
pub enum Target {
    /// Do this.
    Command(Command),
    /// Go to this question.
    Question(Spot),
    /// Say why this question does not come up.
    Idle(String),
    /// Show this finding.
    Finding(usize),
    /// Open this case.
    Case(String),
    /// Filter the list of cases by these words: not all of them are here.
    Filter(String),
    /// Say what this term means.
    Term(&'static Term),
}

/// A thing that can be found: where it leads, its line, and all the words that lead to it.
#[derive(Clone, PartialEq, Debug)]
struct Entry {
    hit: Hit,
    words: String,
}

impl Search {
    /// Returns the first of the lines that are shown.
    pub fn offset(&self) -> usize {
        self.marked - self.marked % NINE
    }
}

impl Session {
    pub(super) fn begin_search(&mut self) {
        let mut all = self.commands_here(self.context());
        let commands = all.len();
        if self.page == Page::Worklist {
            all.extend(self.cases_here());
        } else {
            all.extend(self.questions_here());
            all.extend(self.findings_here());
        }
        all.extend(terms());
        self.over.look_for(Search {
            all,
            commands,
            ..Search::default()
        });
        self.look_up();
    }

    /// Types words, as from a paste.
    pub(super) fn type_search(&mut self, text: &str) {
        if let Some(search) = self.over.find_mut() {
            let room = MAX_WORDS.saturating_sub(search.words.chars().count());
            search
                .words
                .extend(text.chars().filter(|c| !c.is_control()).take(room));
        }
        self.look_up();
    }

    /// Appends a character to the words; with nothing typed yet, plus and minus turn the pages.
    pub(super) fn find_char(&mut self, c: char) {
        let Some(search) = self.over.find_mut() else {
            return;
        };
        match (search.words.is_empty(), c) {
            (true, '+') => self.turn_hits(true),
            (true, '-') if search.marked < NINE => self.over.close_find(),
            (true, '-') => self.turn_hits(false),
            // One blank is enough between two words, and none before the first.
            (_, ' ') if search.words.is_empty() || search.words.ends_with(' ') => {}
            _ => self.type_search(&c.to_string()),
        }
    }

    pub(super) fn erase_search(&mut self) {
        let erased = self.over.find_mut().and_then(|search| search.words.pop());
        if erased.is_none() {
            self.over.close_find();
        }
        self.look_up();
    }

    /// Turns to the next or the last nine lines.
    pub(super) fn turn_hits(&mut self, forward: bool) {
        if let Some(search) = self.over.find_mut() {
            let offset = search.offset();
            search.marked = if forward && offset + NINE < search.hits.len() {
                offset + NINE
            } else if forward {
                search.marked
            } else {
                offset.saturating_sub(NINE)
            };
            if search.words.is_empty() {
                search.nine = search.offset();
            }
        }
    }

    /// Goes to the marked line, or runs its command.
    pub(super) fn go_there(&mut self, moment: &Moment) -> Vec<Effect> {
        let Some(search) = self.over.take_find() else {
            return Vec::new();
        };
        let Some(hit) = search.hits.get(search.marked).cloned() else {
            self.notice = Some(find::NO_MATCH.to_owned());
            self.over.look_for(search);
            return Vec::new();
        };
        match hit.to {
            Target::Command(command) => return self.command(command, moment),
            Target::Idle(why) => {
                self.notice = Some(why);
                self.over.look_for(search);
            }
            Target::Term(term) => {
                self.notice = Some(term.line());
                self.over.look_for(search);
            }
            Target::Filter(words) => {
                self.over.close_help();
                self.over.close_line();
                self.listing.filter = words;
                return vec![Effect::List];
            }
            Target::Case(number) => {
                self.over.close_help();
                return vec![Effect::Open { number }];
            }
            Target::Finding(index) => {
                self.leave_for(Page::Findings);
                self.findings.marked = index;
            }
            Target::Question(spot) => {
                self.leave_for(Page::Questions);
                if let Some(inspection) = &mut self.inspection {
                    inspection.go(Some(spot));
                }
            }
        }
        Vec::new()
    }

    /// Goes to another page from wherever words were typed. What was begun on the call is kept there.
    fn leave_for(&mut self, page: Page) {
        self.over.close_help();
        // A question that was being answered is opened anew, and looked at again, when somebody comes back to it.
        self.call.open = None;
        self.turn_to(page);
    }

    /// Looks the words up again.
    fn look_up(&mut self) {
        let Some(search) = self.over.find_mut() else {
            return;
        };
        let words = search.words.to_lowercase();
        let wanted: Vec<&str> = words.split_whitespace().collect();
        let among = if wanted.is_empty() {
            search.commands
        } else {
            search.all.len()
        };
        let mut found: Vec<(u32, &Entry)> = search
            .all
            .iter()
            .take(among)
            .filter_map(|entry| Some((score(&wanted, &entry.words)?, entry)))
            .collect();
        // Stable: of equals the order of the page stays.
        found.sort_by_key(|(score, _)| std::cmp::Reverse(*score));
        let picked = picked(&words)
            .and_then(|digit| search.all[..search.commands].get(search.nine + digit - 1));
        search.hits = picked
            .into_iter()
            .chain(found.into_iter().map(|(_, entry)| entry))
            .map(|entry| entry.hit.clone())
            .collect();
        search.marked = if wanted.is_empty() { search.nine } else { 0 };
        if self.page == Page::Worklist && !wanted.is_empty() {
            let words = search.words.trim().to_owned();
            search.hits.push(Hit {
                kind: self.keymap.key(Command::Filter).to_owned(),
                line: find::filter_by(&words),
                to: Target::Filter(words),
            });
        }
    }

    fn cases_here(&self) -> Vec<Entry> {
        let entry = |item: &crate::worklist::WorkItem| Entry {
            hit: Hit {
                to: Target::Case(item.number.clone()),
                kind: find::CASE.to_owned(),
                line: crate::text::clean(&item.number),
            },
            words: item.number.to_lowercase(),
        };
        self.worklist.iter().map(entry).collect()
    }

    fn commands_here(&self, context: Context) -> Vec<Entry> {
        COMMANDS
            .iter()
            .filter(|spec| spec.contexts.contains(&context) && spec.command != Command::Find)
            .map(|spec| Entry {
                hit: Hit {
                    to: Target::Command(spec.command),
                    kind: self.keymap.key(spec.command).to_owned(),
                    line: spec.does.to_owned(),
                },
                words: format!("{} {} {}", spec.id, spec.short, spec.does).to_lowercase(),
            })
            .collect()
    }

    fn questions_here(&self) -> Vec<Entry> {
        let Some(inspection) = &self.inspection else {
            return Vec::new();
        };
        let phrase = self.phrase(inspection);
        let facts = inspection.facts();
        // A question comes up at many places; its other words are looked up once.
        let mut others: HashMap<&FactId, String> = HashMap::new();
        for question in &inspection.flow.questions {
            let mut asked = format!("{} {}", phrase.label(&question.fact), question.asks);
            if let Some(Kind::Choice(choices)) =
                inspection.flow.spec(&question.fact).map(|spec| &spec.kind)
            {
                for (_, words) in choices.iter() {
                    asked.push_str(&format!("; {words}"));
                }
            }
            others.insert(&question.fact, other_words(&asked));
        }
        let entry = |cell: &super::agenda::Cell| {
            let question = inspection.flow.question(&cell.spot.fact)?;
            let step = inspection.flow.steps.get(cell.step)?;
            let label = phrase.label(&cell.spot.fact);
            let asked = find::question(phrase, cell.spot.at, &label);
            let open = cell.turn == Turn::Up || cell.answered;
            let said = match inspection.case.merged(&cell.spot) {
                Some((_, reading)) => phrase.reading(&cell.spot.fact, reading),
                None if open => words::NOT_ASKED.to_owned(),
                None => words::NOT_NEEDED.to_owned(),
            };
            let to = if open {
                Target::Question(cell.spot.clone())
            } else {
                let reasons = phrase.reasons(&facts, question, cell.spot.at);
                Target::Idle(pages::questions::idle(&asked, &reasons))
            };
            Some(Entry {
                words: format!(
                    "{asked} {} {} {} {said}{}",
                    step.title,
                    question.asks,
                    question.look,
                    others.get(&cell.spot.fact).map_or("", String::as_str)
                )
                .to_lowercase(),
                hit: Hit {
                    to,
                    kind: find::QUESTION.to_owned(),
                    line: find::question_line(&asked, &said, &step.title),
                },
            })
        };
        inspection.agenda.cells.iter().filter_map(entry).collect()
    }

    fn findings_here(&self) -> Vec<Entry> {
        let Some(inspection) = &self.inspection else {
            return Vec::new();
        };
        let phrase = self.phrase(inspection);
        let facts = inspection.facts();
        let entry = |(index, finding): (usize, &crate::judge::Finding)| {
            let line = phrase.line(&facts, finding);
            // What is folded under it is found with it: it stands there.
            let mut words = String::new();
            for own in std::iter::once(finding).chain(&finding.folded) {
                let line = phrase.line(&facts, own);
                words.push_str(&format!("{line} {} ", phrase.because(&facts, own)));
            }
            Entry {
                words: words.to_lowercase(),
                hit: Hit {
                    to: Target::Finding(index),
                    kind: phrase.level(finding.level).to_owned(),
                    line,
                },
            }
        };
        let findings = &inspection.judgement.findings;
        findings.iter().enumerate().map(entry).collect()
    }
}

/// Every term of the glossary, found by its name and by other words for it.
fn terms() -> impl Iterator<Item = Entry> {
    TERMS.iter().map(|term| Entry {
        hit: Hit {
            to: Target::Term(term),
            kind: find::TERM.to_owned(),
            line: term.line(),
        },
        words: format!("{} {}", term.name, term.also.join(" ")).to_lowercase(),
    })
}

/// Returns the digit of a line of commands, or `None` if more or something else is typed.
///
/// It only puts the line first, and Enter goes: done at once, `/` and `4` did something to somebody who was about to
/// type `46 height`.
fn picked(words: &str) -> Option<usize> {
    let digit: usize = words.parse().ok()?;
    (words.len() == 1 && digit > 0).then_some(digit)
}

/// Returns how well a text matches all words, or `None` if one is missing. Each may begin a word, be inside one, or have
/// one typing error.
fn score(wanted: &[&str], text: &str) -> Option<u32> {
    let words: Vec<&str> = text
        .split(|c: char| !(c.is_alphanumeric()))
        .filter(|word| !word.is_empty())
        .collect();
    wanted.iter().try_fold(0, |sum, wanted| {
        let best = words
            .iter()
            .enumerate()
            .map(|(index, word)| {
                let alike = likeness(wanted, word);
                // What a thing is called stands before what is told about it.
                let early = u32::from(alike > 0 && index < 4);
                alike * 2 + early
            })
            .max()?;
        (best > 1).then_some(sum + best)
    })
}

fn likeness(wanted: &str, word: &str) -> u32 {
    if wanted == word {
        4
    } else if word.starts_with(wanted) {
        3
    } else if wanted.chars().count() > 2 && word.contains(wanted) {
        2
    } else if wanted.chars().count() > 4 && damerau_levenshtein(wanted, word) == 1 {
        1
    } else {
        0
    }
}

#[cfg(test)]
mod tests {
    use super::score;

    fn found(words: &str, text: &str) -> Option<u32> {
        let wanted: Vec<&str> = words.split_whitespace().collect();
        score(&wanted, text)
    }

    #[test]
    fn every_word_must_be_there() {
        assert!(found("height 46", "46 height preps").is_some());
        assert!(found("height 47", "46 height preps").is_none());
        assert!(found("", "anything").is_some());
    }

    #[test]
    fn the_nearer_word_is_better() {
        let text = "46 height of the prep, told over again by its opponent";
        let exact = found("height", text).unwrap();
        let begun = found("heig", text).unwrap();
        let within = found("eight", text).unwrap();
        let slip = found("hieght", text).unwrap();
        assert!(exact > begun && begun > within && within > slip);
        assert!(found("it", text).is_none() || found("it", text) < Some(begun));
        assert!(found("hight tall", text).is_none());
    }
}
