//! The walk as plain lines: the same walk as by keys, the same words as its views, nothing that has to be seen.

mod asked_back;
mod call;
mod choices;
mod commands;
mod ends;
mod pages;
mod process;
mod random;
mod slips;
mod steps_back;
mod waiting;

use std::path::Path;
use std::sync::LazyLock;

use casepan::archive::Archive;
use casepan::ask::{Ended, LinesOutside, plain, run};
use casepan::case::journal::{Body, Entry, fold};
use casepan::case::{Case, Layer, Reading};
use casepan::desk::{Desk, Setup};
use casepan::fact::Kind;
use casepan::flow::{Loaded, embedded};
use casepan::session::{Page, Takes};
use casepan::tooth::Notation;
use tempfile::TempDir;
use uuid::Uuid;

use super::made::case;
use super::session::{Technician, moment, values};

/// A desk on an archive of its own, and what it was told.
pub(crate) struct Bench {
    directory: TempDir,
    pub(crate) desk: Desk,
    pub(crate) number: String,
    tick: u64,
}

/// What came of some lines.
pub(crate) struct Told {
    pub(crate) ended: Ended,
    pub(crate) lines: Vec<String>,
}

impl Told {
    /// Returns what was said behind the opening.
    fn after_the_opening(&self) -> &[String] {
        let is_help = |line: &String| line.starts_with("\"help\" says what can be typed");
        let at = self.lines.iter().position(is_help).expect("an opening");
        &self.lines[at + 2..]
    }

    #[track_caller]
    fn has(&self, line: &str) {
        assert!(
            self.lines.iter().any(|own| own == line),
            "{line:?} is not in {:#?}",
            self.lines
        );
    }
}

fn archive(directory: &Path) -> Archive {
    Archive::open(&directory.join("a.casepan")).expect("an archive")
}

/// The flow that comes with the program; it is read once, since there are many benches.
fn loaded() -> Loaded {
    static LOADED: LazyLock<Loaded> = LazyLock::new(embedded);
    Loaded {
        sources: LOADED.sources.clone(),
        flow: LOADED.flow.clone(),
        problems: Vec::new(),
    }
}

impl Bench {
    /// A case in an archive, opened.
    pub(crate) fn on(case: &Case) -> Bench {
        let directory = tempfile::tempdir().expect("a directory");
        let mut desk = Desk::new(Setup {
            archive: archive(directory.path()),
            loaded: loaded(),
            notation: Notation::Iso3950,
            who: Some("mk".to_owned()),
            session_id: Uuid::from_u128(8),
            prints: directory.path().to_path_buf(),
        })
        .expect("a desk");
        let mut count = 0;
        let mut fresh = || {
            count += 1;
            Uuid::from_u128(count)
        };
        desk.bring_in(case, &moment(0), &mut fresh).expect("a case");
        desk.open(&case.number).expect("an open case");
        desk.session.single = true;
        desk.session.today = Some(moment(0).today);
        Bench {
            directory,
            desk,
            number: case.number.clone(),
            tick: 10,
        }
    }

    fn told(&mut self, input: &[u8], goes_on: bool) -> Told {
        let mut output = Vec::new();
        let tick = &mut self.tick;
        let mut next = || {
            *tick += 1;
            moment(*tick)
        };
        let ended = run(
            &mut self.desk,
            LinesOutside {
                input: &mut &*input,
                output: &mut output,
                moment: &mut next,
                goes_on,
            },
        )
        .expect("lines in and out");
        let text = String::from_utf8(output).expect("text");
        assert!(text.ends_with('\n') || text.is_empty());
        let lines: Vec<String> = text.lines().map(str::to_owned).collect();
        for line in &lines {
            speaks(line);
        }
        Told { ended, lines }
    }

    /// Says lines; whoever says them hears what is not taken.
    pub(crate) fn say(&mut self, lines: &str) -> Told {
        self.told(lines.as_bytes(), true)
    }

    /// Says lines all of which are taken.
    #[track_caller]
    pub(crate) fn all(&mut self, lines: &str) -> Told {
        let told = self.say(lines);
        assert_eq!(told.ended.first, None, "{:#?}", told.lines);
        told
    }

    pub(crate) fn journal(&self) -> Vec<Entry> {
        archive(self.directory.path())
            .journal(&self.number)
            .expect("a journal")
    }

    pub(crate) fn kept(&self) -> Case {
        fold(&self.journal()).expect("a case")
    }
}

/// A line that can be spoken and felt: nothing steers a terminal, nothing is drawn, nothing stands in columns.
#[track_caller]
fn speaks(line: &str) {
    let odd = |c: char| c.is_control() || ('\u{2500}'..='\u{28ff}').contains(&c);
    assert!(!line.contains(odd), "{line:?}");
    assert!(!line.contains("  ") && !line.contains("__"), "{line:?}");
    assert!(!line.is_empty() && line.trim() == line, "{line:?}");
    assert_eq!(plain(line), line);
}

/// Answers a whole case by keys; returns the lines that say the same.
fn walked(tech: &mut Technician) -> Vec<String> {
    let mut lines = Vec::new();
    while tech.session.page == Page::Questions {
        assert!(lines.len() < 400, "it never ends");
        let inspection = tech.session.inspection.as_ref().expect("a case");
        let takes = inspection.answered_by().expect("an open question");
        // Now and then something else than an answer.
        if lines.len() % 9 == 4 && takes != Takes::Text {
            tech.key("-");
            lines.push("-".to_owned());
            continue;
        }
        lines.push(match takes {
            Takes::Digit => {
                let page = tech.questions();
                let mut choices = page.present.expect("a question").choices;
                let words = choices.swap_remove(0).words;
                tech.key("1");
                if lines.len() % 2 == 0 && words.chars().count() > 1 {
                    words.to_uppercase()
                } else {
                    "1".to_owned()
                }
            }
            Takes::Teeth => {
                tech.keys("1 enter");
                "1".to_owned()
            }
            Takes::Day => {
                tech.keys("3 enter");
                "3".to_owned()
            }
            Takes::Text => {
                tech.keys("quit space - space 2 enter");
                "quit - 2".to_owned()
            }
            Takes::Number => number(tech),
        });
    }
    lines
}

/// A number that the open cell takes.
fn number(tech: &mut Technician) -> String {
    let inspection = tech.session.inspection.as_ref().expect("a case");
    let before = inspection.entries();
    let spot = inspection.cursor().expect("a cell").clone();
    let spec = inspection.flow().spec(&spot.fact).expect("a fact");
    assert!(matches!(spec.kind, Kind::Number { .. }));
    for number in ["4", "6,0", "5", "1", "2", "3", "8", "10", "20", "0"] {
        let keys: Vec<String> = number.chars().map(String::from).collect();
        tech.keys(&format!("{} enter", keys.join(" ")));
        let inspection = tech.session.inspection.as_ref().expect("a case");
        if inspection.entries() > before {
            return number.to_owned();
        }
        tech.keys(&"backspace ".repeat(number.len()));
    }
    panic!("{spot:?} takes no number");
}

#[test]
fn lines_keep_what_the_same_answers_by_keys_keep() {
    for units in ["26", "44 x45 46; 26"] {
        let start = case(units, &[]);
        let mut tech = Technician::on(&start);
        let lines = walked(&mut tech);
        assert!(lines.len() > 25, "{lines:?}");
        let mut bench = Bench::on(&start);
        let told = bench.all(&format!("{}\n", lines.join("\n")));
        assert_eq!(
            values(&bench.kept()),
            values(tech.case()),
            "{units}\n{}",
            told.lines.join("\n")
        );
        // One entry an answer, and the end page in the end, as by keys.
        assert_eq!(bench.desk.session.page, Page::Summary);
        // What was judged is kept behind the last of them.
        let answers = bench.journal();
        let answers = answers
            .iter()
            .filter(|entry| !matches!(entry.body, Body::Judged { .. }));
        assert_eq!(answers.count(), 1 + lines.len());
        assert_eq!(
            told.lines
                .iter()
                .filter(|line| line.starts_with("saved: "))
                .count(),
            lines.len()
        );
    }
}

/// A crown on a short prep, read but for its clearance, undercut and grooves.
pub(crate) fn short() -> Case {
    let mut case = super::session::crown();
    for (fact, number) in [
        ("tooth.height", 2.8),
        ("tooth.width_margin_md", 9.0),
        ("tooth.width_top_md", 7.4),
        ("tooth.width_margin_fl", 8.6),
    ] {
        let reading = Reading::plain(super::made::mm(number));
        case.put(super::made::spot(fact, "26"), Layer::Measured, reading);
    }
    case
}

impl Bench {
    /// Goes to a cell.
    pub(crate) fn at(&mut self, fact: &str, at: &str) -> &mut Bench {
        let inspection = self.desk.session.inspection.as_mut().expect("a case");
        inspection.put_cursor(Some(super::made::spot(fact, at)));
        self
    }
}

#[test]
fn a_line_says_what_it_changed_and_asks_the_next_question() {
    // A prep short of hold asks back in the step before, for grinding and facets; both are known here.
    let mut case = short();
    for fact in ["habit.grinding", "habit.facets"] {
        let known = Reading::plain(super::made::choice("none"));
        case.put(super::made::spot(fact, "case"), Layer::Measured, known);
    }
    let natural = Reading::plain(super::made::choice("natural"));
    case.put(
        super::made::spot("bite.opposed_by", "R1"),
        Layer::Measured,
        natural,
    );
    let mut bench = Bench::on(&case);
    let told = bench
        .at("tooth.width_top_fl", "26")
        .all("6,8\nundo\nredo\n\n-\nnone\n");
    let said = told.after_the_opening();
    told.has("saved: 26, clearance: not seen");
    told.has("saved: R1, without undercut: 26");
    told.has("cleared: 26, top width f-l");
    // What was kept comes first, then what it brought, then the result, then the question.
    let kept = |line: &String| line == "saved: 26, top width f-l: 6.8 mm";
    let at = said.iter().position(kept).expect("an answer");
    assert!(said[at + 1].starts_with("new: call, 26: "), "{said:#?}");
    let from = |begin: &str| {
        let found = said[at..].iter().position(|line| line.starts_with(begin));
        found.unwrap_or_else(|| panic!("{begin} is not in {said:#?}"))
    };
    assert!(from("new: ") < from("result: call"), "{said:#?}");
    assert!(from("result: call") < from("place: 26"), "{said:#?}");
    assert!(from("place: 26") < from("your answer?"), "{said:#?}");
    // Undone, it is gone; done again, it is new again, and it was told no other time.
    let count = |begin: &str| said.iter().filter(|line| line.starts_with(begin)).count();
    assert_eq!(count("gone: 26: call"), 1, "{said:#?}");
    assert_eq!(count("new: call, 26: "), 2, "{said:#?}");
    // A line that changes nothing tells no news.
    let told = bench.all("findings\nquestions\nup\ndown\n");
    for begin in ["new: ", "gone: ", "saved: ", "now: call"] {
        assert!(
            !told.lines.iter().any(|line| line.starts_with(begin)),
            "{:#?}",
            told.lines
        );
    }
}
