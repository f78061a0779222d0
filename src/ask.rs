//! The walk as plain lines in and out, for those who do not see the screen: screen readers, braille lines, scripts.
//!
//! A line becomes the keys and commands of the same walk, and what the walk shows is said: one fact a line, no drawing,
//! no columns, no colour. After a line only what it changed is said. Nothing is worded here that a view has words for.

mod hear;
mod lines;
mod say;
mod seen;
mod words;

use std::io::{BufRead, Write};

use crate::desk::{Desk, Next};
use crate::error::Error;
use crate::phrase::CAUTION;
use crate::walk::call::Row;
use crate::walk::{Command, Moment, NINE, Page, Target, Walk};
use hear::{Heard, hear};
use lines::Line;
use seen::Seen;
use words::Own;

pub use say::plain;
pub use words::{MARK, is_offered, words};

/// What is said where the lines end at a reading that was asked back.
pub const NOT_KEPT: &str = "a reading was asked back and is not kept";

/// What the walk needs from outside.
pub struct Outside<'a> {
    /// Where lines come from.
    pub input: &'a mut dyn BufRead,
    /// Where lines go.
    pub output: &'a mut dyn Write,
    /// Gives the time and a fresh id.
    pub moment: &'a mut dyn FnMut() -> Moment,
    /// Whether the walk goes on after a line that was not taken: somebody hears it and answers again. Where nobody
    /// does, the lines behind it would answer the wrong questions.
    pub goes_on: bool,
}

/// How it ended.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Ended {
    /// How many lines were not taken.
    pub refused: usize,
    /// The first of them, counted from 1, and why.
    pub first: Option<(usize, String)>,
    /// Whether an answer on the call was begun and not kept.
    pub begun: bool,
    /// Whether a reading was asked back and nothing was said to it, so that it is not kept.
    pub asked_back: bool,
}

/// Says where the walk is, hears a line, says what it changed, until the input ends or somebody leaves.
///
/// An answer is kept before the next line is said.
///
/// # Errors
/// Lines cannot be read or written.
pub fn run<'a>(desk: &'a mut Desk, outside: Outside<'a>) -> Result<Ended, Error> {
    desk.work_late();
    let mut sitting = Sitting { desk, outside };
    let mut ended = Ended::default();
    let mut seen = sitting.begin()?;
    let mut count = 0;
    while let Some(line) = lines::next(sitting.outside.input)? {
        count += 1;
        let turn = sitting.turn(&seen, line)?;
        if let Some(why) = turn.refused {
            ended.refused += 1;
            ended.first.get_or_insert((count, why));
            if !sitting.outside.goes_on {
                break;
            }
        }
        if turn.next == Next::Quit {
            break;
        }
        seen = turn.seen;
    }
    ended.begun = !sitting.desk.walk.call.drafts.is_empty();
    ended.asked_back = sitting.desk.walk.is_asked_back();
    sitting.end(&ended)?;
    Ok(ended)
}

struct Sitting<'a> {
    desk: &'a mut Desk,
    outside: Outside<'a>,
}

/// What came of a line.
struct Turn {
    next: Next,
    seen: Seen,
    refused: Option<String>,
}

impl Sitting<'_> {
    fn say(&mut self, lines: impl IntoIterator<Item = String>) -> Result<(), Error> {
        for line in lines {
            writeln!(self.outside.output, "{}", plain(&line))?;
        }
        Ok(())
    }

    /// Says the last line and waits no longer with any.
    fn ask(&mut self) -> Result<(), Error> {
        self.say([say::prompt(&self.desk.walk)])?;
        self.outside.output.flush()?;
        Ok(())
    }

    fn see(&mut self) -> Seen {
        self.work_out();
        Seen::of(&self.desk.walk)
    }

    /// Works out what takes longer, where the page in hand shows it.
    fn work_out(&mut self) {
        match self.desk.walk.page {
            Page::Findings | Page::End | Page::Picture => self.desk.weigh_now(),
            Page::Options => self.desk.try_now(),
            Page::Call if matches!(self.desk.walk.marked_row(), Some(Row::Ask(_))) => {
                self.desk.try_now();
            }
            Page::Call | Page::Questions | Page::Worklist => {}
        }
    }

    fn begin(&mut self) -> Result<Seen, Error> {
        let seen = self.see();
        self.say([CAUTION.to_owned()])?;
        let notice = self.desk.walk.notice.clone();
        self.say(notice)?;
        self.say(seen.parts.iter().flat_map(|part| part.lines.clone()))?;
        self.say([format!(
            "\"help\" says what can be typed, \"{}help\" where a text is typed",
            MARK
        )])?;
        self.ask()?;
        Ok(seen)
    }

    /// Hears a line and says what came of it.
    fn turn(&mut self, before: &Seen, line: Line) -> Result<Turn, Error> {
        let heard = match line {
            Line::Text(line) => hear(&self.desk.walk, &before.view, &line),
            Line::Odd(why) => Heard::Refused(why),
        };
        self.desk.walk.notice = None;
        let mut said: Vec<String> = Vec::new();
        let mut refused = None;
        let mut next = Next::Go;
        match self.found(heard) {
            Heard::Own(own) => said = self.own(own, before),
            Heard::Command(Command::Help) => said = say::help(&self.desk.walk),
            // It is said in full as soon as it is marked.
            Heard::Command(Command::Detail) => said = before.marked(),
            Heard::Refused(why) => refused = Some(why),
            heard => {
                let printing = heard == Heard::Command(Command::Print);
                (next, refused) = self.act(heard);
                let seen = self.see();
                let nothing = seen.state == before.state && !printing;
                // What could not be saved waits and is told each time; it is no refusal of this line.
                let notice = self.desk.walk.notice.clone();
                let unsaved = notice.clone().filter(|_| self.desk.has_unsaved());
                if refused.is_none() && (nothing || self.desk.has_failed()) {
                    refused = match &unsaved {
                        Some(_) => self.refusal().filter(|_| nothing),
                        None => notice.clone().or_else(|| self.refusal()),
                    };
                }
                match refused {
                    Some(_) => said.extend(unsaved),
                    None => {
                        said.extend(seen.changes(&self.desk.walk, before));
                        said.extend(notice);
                        said.extend(seen.new_lines(before));
                        if said.is_empty() {
                            said.push("nothing changes".to_owned());
                        }
                    }
                }
                if next == Next::Quit {
                    said.clear();
                }
                self.say(said)?;
                return self.done(next, seen, refused);
            }
        }
        self.say(said)?;
        let seen = self.see();
        self.done(next, seen, refused)
    }

    /// A command that was found goes the way of one that was typed, and only where lines can carry it out.
    fn found(&mut self, heard: Heard) -> Heard {
        let (Heard::Hit(number), Some(search)) = (&heard, &self.desk.walk.search) else {
            return heard;
        };
        let hit = number
            .checked_sub(1)
            .and_then(|index| search.hits.get(index));
        match hit.map(|hit| &hit.to) {
            Some(Target::Command(command)) if *number <= NINE => {
                let command = *command;
                if !is_offered(command) {
                    return Heard::Refused("that is only for a screen".to_owned());
                }
                self.desk.walk.search = None;
                Heard::Command(command)
            }
            _ => heard,
        }
    }

    fn done(&mut self, next: Next, seen: Seen, refused: Option<String>) -> Result<Turn, Error> {
        if let Some(why) = &refused {
            self.say([format!("not taken: {why}")])?;
            self.say(seen.asked())?;
        }
        if next != Next::Quit {
            self.ask()?;
        }
        Ok(Turn {
            next,
            seen,
            refused,
        })
    }

    /// Why the last key was refused at the open question.
    fn refusal(&self) -> Option<String> {
        let walk = &self.desk.walk;
        let inspection = walk.inspection.as_ref();
        inspection
            .filter(|_| walk.page == Page::Questions)
            .and_then(|i| i.refusal())
            .map(|why| walk.keymap.say(why))
    }

    /// What only lines need.
    fn own(&mut self, own: Own, seen: &Seen) -> Vec<String> {
        let all = || seen.parts.iter().flat_map(|part| part.lines.clone());
        match own {
            Own::Again if seen.view.prompt.is_some() => seen.asked(),
            Own::Again | Own::Line => {
                let body = seen.parts.iter().filter(|part| part.key != "header");
                body.flat_map(|part| part.lines.clone()).collect()
            }
            Own::Page if self.desk.walk.page == Page::Questions => {
                let page = self.desk.walk.step_in_hand();
                page.as_ref().map_or_else(Vec::new, say::whole_step)
            }
            Own::Page => all().collect(),
            Own::Where => {
                self.desk.weigh_now();
                let head = seen.view.header.as_ref().map(say::header);
                let mut lines = head.unwrap_or_default();
                if let Some(page) = self.desk.walk.step_in_hand() {
                    lines.extend(say::step(&page));
                    lines.extend(say::so_far(&page));
                }
                lines
            }
        }
    }

    /// Carries out what a line means. A line that is refused leaves nothing typed.
    fn act(&mut self, heard: Heard) -> (Next, Option<String>) {
        let answers = matches!(
            heard,
            Heard::Typed(_)
                | Heard::Key(_)
                | Heard::Keys(_)
                | Heard::Command(Command::Insist | Command::Leave | Command::Quit)
        );
        if self.desk.walk.is_asked_back() && !answers {
            // Whoever goes elsewhere does not keep what was asked back.
            self.empty();
        }
        match heard {
            Heard::Command(command) => (self.press(command), None),
            Heard::Key(key) => (self.key(key), None),
            Heard::Keys(keys) => {
                let next = keys.chars().map(|key| self.key(key)).last();
                (next.unwrap_or(Next::Go), None)
            }
            Heard::Typed(text) => self.typed(&text),
            Heard::Emptied => {
                self.empty();
                (Next::Go, None)
            }
            Heard::Line(number) => (Next::Go, self.mark(number)),
            Heard::Pick(number) => {
                let refused = self.mark(number);
                if refused.is_none() {
                    self.press(Command::Tick);
                }
                (Next::Go, refused)
            }
            Heard::Look(words) => {
                self.look_for(&words);
                (Next::Go, None)
            }
            Heard::Hit(number) => match self.mark(number) {
                None => (self.press(Command::GoThere), None),
                refused => (Next::Go, refused),
            },
            Heard::Own(_) | Heard::Refused(_) => (Next::Go, None),
        }
    }

    /// Looks for words, instead of those before.
    fn look_for(&mut self, words: &str) {
        // Opened anew, the line is empty.
        self.desk.walk.search = None;
        self.press(Command::Find);
        let moment = (self.outside.moment)();
        self.desk.paste(words, &moment);
    }

    fn press(&mut self, command: Command) -> Next {
        let moment = (self.outside.moment)();
        self.desk.command(command, &moment)
    }

    fn key(&mut self, key: char) -> Next {
        let moment = (self.outside.moment)();
        self.desk.key(&key.to_string(), &moment)
    }

    /// What stands in the open line or cell.
    fn standing(&self) -> &str {
        let walk = &self.desk.walk;
        match (&walk.prompt, &walk.inspection) {
            (Some((_, text)), _) => text,
            (None, Some(inspection)) if walk.page == Page::Questions => inspection.typed(),
            _ => "",
        }
    }

    fn empty(&mut self) {
        while !self.standing().is_empty() {
            match self.desk.walk.prompt {
                Some(_) => self.press(Command::EraseLine),
                None => self.press(Command::Back),
            };
        }
    }

    /// Types a text into the open line or cell and keeps it; what is not kept is taken out again.
    fn typed(&mut self, text: &str) -> (Next, Option<String>) {
        let (before, in_prompt) = (self.standing().to_owned(), self.desk.walk.prompt.is_some());
        self.empty();
        self.retype(text);
        let taken = self.standing().chars().count();
        if self.standing() != text {
            let refusal = self.refusal();
            self.empty();
            self.retype(&before);
            let why = refusal.unwrap_or_else(|| {
                format!("that is too long: {taken} characters fit, and none was taken")
            });
            return (Next::Go, Some(why));
        }
        let next = self.press(if in_prompt {
            Command::Accept
        } else {
            Command::Confirm
        });
        // It waits for the next line, and is no refusal.
        if self.desk.walk.is_asked_back() {
            return (next, None);
        }
        let stays = in_prompt == self.desk.walk.prompt.is_some() && self.standing() == text;
        let why = self.desk.walk.notice.clone().or_else(|| self.refusal());
        if stays && let Some(why) = why {
            self.empty();
            self.retype(&before);
            return (next, Some(why));
        }
        (next, None)
    }

    /// Types a text, up to the first character that is refused.
    fn retype(&mut self, text: &str) {
        for c in text.chars() {
            self.key(c);
            if self.refusal().is_some() {
                break;
            }
        }
    }

    /// Marks a line of the list in hand, going there step by step as on the screen.
    fn mark(&mut self, number: usize) -> Option<String> {
        let Some((here, lines)) = marked(&self.desk.walk) else {
            return Some("there is no list here".to_owned());
        };
        let Some(wanted) = number.checked_sub(1).filter(|wanted| *wanted < lines) else {
            return Some(format!("there is no line {number}; there are {lines}"));
        };
        let (command, steps) = if wanted < here {
            (Command::Up, here - wanted)
        } else {
            (Command::Down, wanted - here)
        };
        for _ in 0..steps {
            self.press(command);
        }
        None
    }

    fn end(&mut self, ended: &Ended) -> Result<(), Error> {
        if ended.begun {
            self.say(["an answer on the call was begun and is not kept".to_owned()])?;
        }
        if ended.asked_back {
            self.say([NOT_KEPT.to_owned()])?;
        }
        if !self.desk.has_unsaved() {
            self.say(["left; every answer is kept".to_owned()])?;
        }
        self.outside.output.flush()?;
        Ok(())
    }
}

/// Where the mark stands in the list in hand, and how many lines it has; none where there is no list.
fn marked(walk: &Walk) -> Option<(usize, usize)> {
    if let Some(search) = &walk.search {
        return Some((search.marked, search.hits.len().min(NINE)));
    }
    let inspection = walk.inspection.as_ref();
    match walk.page {
        Page::Worklist => Some((walk.marked, walk.worklist.len())),
        Page::Findings => Some((walk.finding, inspection?.judgement().findings.len())),
        Page::Call => match walk.draft() {
            Some(draft) => Some((draft.marked, walk.choices())),
            None => Some((walk.call.marked, walk.call_rows(inspection?).len())),
        },
        Page::Options => Some((walk.option, walk.option_rows())),
        Page::Questions | Page::End | Page::Picture => None,
    }
}
