//! The inspection as plain lines in and out, for screen readers, braille lines, scripts.
//!
//! A line becomes the keys and commands of the same walk, and what the inspection shows is said: one fact a line, no drawing,
//! no columns, no colour. After a line only what it changed is said. Nothing is worded here that a view has words for.

mod became;
mod choose;
mod hear;
mod lines;
mod say;
mod seen;
mod words;

use std::io::{BufRead, Write};

use crate::desk::{Desk, Next};
use crate::error::Error;
use crate::phrase::CAUTION_SHORT;
use crate::phrase::pages::ask as said;
use crate::session::call::Row;
use crate::session::{Act, Command, Given, Moment, NINE, Page, Target};
use hear::{Heard, hear};
use say::{About, Said};
use seen::Seen;
use words::{Own, goes_to_the_question_before};

pub use crate::phrase::pages::ask::NOT_KEPT;
pub use lines::{Line, next as next_line};
pub use say::plain;
pub use words::{MARK, is_offered, words};

/// What the inspection needs from outside.
pub struct LinesOutside<'a> {
    /// Where lines come from.
    pub input: &'a mut dyn BufRead,
    /// Where lines go.
    pub output: &'a mut dyn Write,
    /// Gives the time and a fresh id.
    pub moment: &'a mut dyn FnMut() -> Moment,
    /// Whether the inspection goes on after a refused line, because somebody hears it and answers again. In a script, the
    /// lines after it would answer the wrong questions.
    pub goes_on: bool,
}

/// How it ended.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Ended {
    /// How many lines were refused.
    pub refused: usize,
    /// The first of them, counted from 1, and why.
    pub first: Option<(usize, String)>,
    /// Whether an answer on the call was begun and not saved.
    pub begun: bool,
    /// Whether a reading was to be checked and was not confirmed, so that it is not saved.
    pub asked_back: bool,
    /// The line that could not be saved and after which nothing more was read, counted from 1.
    pub unsaved: Option<usize>,
}

/// Runs the inspection line by line: says where it is, reads a line, says what it changed, until the input ends or
/// somebody leaves.
///
/// An answer is saved before the next line is said.
///
/// # Errors
/// Returns an error if lines cannot be read or written.
pub fn run<'a>(desk: &'a mut Desk, outside: LinesOutside<'a>) -> Result<Ended, Error> {
    desk.work_late();
    let mut session = Conversation { desk, outside };
    let mut ended = Ended::default();
    let mut seen = session.begin()?;
    let mut count = 0;
    while let Some(line) = lines::next(session.outside.input)? {
        count += 1;
        let turn = session.turn(&seen, line)?;
        if let Some(why) = turn.refused {
            ended.refused += 1;
            ended.first.get_or_insert((count, why));
            if !session.outside.goes_on {
                break;
            }
        }
        if turn.next == Next::Quit {
            break;
        }
        // In a script nobody would hear it, and each line after it would wait as long.
        if session.is_behind() && !session.outside.goes_on {
            ended.unsaved = Some(count);
            break;
        }
        seen = turn.seen;
    }
    ended.begun = !session.desk.session.call.drafts.is_empty();
    ended.asked_back = session.desk.session.is_asked_back();
    session.end(&ended)?;
    Ok(ended)
}

struct Conversation<'a> {
    desk: &'a mut Desk,
    outside: LinesOutside<'a>,
}

/// What came of a line.
struct Turn {
    next: Next,
    seen: Seen,
    refused: Option<String>,
}

impl Conversation<'_> {
    fn say(&mut self, lines: impl IntoIterator<Item = String>) -> Result<(), Error> {
        for line in lines {
            writeln!(self.outside.output, "{}", plain(&line))?;
        }
        Ok(())
    }

    /// Writes the last line and flushes the output.
    fn ask(&mut self) -> Result<(), Error> {
        self.say([say::prompt(&self.desk.session)])?;
        self.outside.output.flush()?;
        Ok(())
    }

    fn see(&mut self) -> Seen {
        self.work_out();
        Seen::of(&self.desk.session)
    }

    /// Computes what takes longer, if the page shows it.
    fn work_out(&mut self) {
        match self.desk.session.page {
            Page::Findings | Page::Summary | Page::Picture => self.desk.weigh_now(),
            Page::Options => self.desk.try_now(),
            Page::Call if matches!(self.desk.session.marked_row(), Some(Row::Ask(_))) => {
                self.desk.try_now();
            }
            _ => {}
        }
    }

    fn begin(&mut self) -> Result<Seen, Error> {
        self.desk.session.whole_pages = true;
        let seen = self.see();
        self.say([CAUTION_SHORT.to_owned(), said::CAUTION_MORE.to_owned()])?;
        let notice = self.desk.session.notice.clone();
        self.say(notice)?;
        let lines = seen.parts.iter().flat_map(|part| part.lines.clone());
        // The list of cases ends with the caution, which was just said.
        self.say(lines.filter(|line| line != CAUTION_SHORT))?;
        self.say([said::how_to_help(MARK)])?;
        self.ask()?;
        Ok(seen)
    }

    /// Returns whether something is not in the archive.
    fn is_behind(&self) -> bool {
        self.desk.has_unsaved() || self.desk.has_lost_archive()
    }

    /// Says what others wrote meanwhile. Returns what is seen now, or `None` if they wrote nothing.
    fn hear_others(&mut self) -> Result<Option<Seen>, Error> {
        let moment = (self.outside.moment)();
        // An archive that cannot be read is told with the next answer that it does not take.
        let Ok(Some(news)) = self.desk.hear_others(&moment) else {
            return Ok(None);
        };
        self.say([news])?;
        Ok(Some(self.see()))
    }

    /// Hears a line and says what came of it.
    fn turn(&mut self, before: &Seen, line: Line) -> Result<Turn, Error> {
        let others = self.hear_others()?;
        // The line was meant for the question that was asked.
        let moved = others
            .as_ref()
            .is_some_and(|now| now.state.cursor != before.state.cursor);
        let before = others.as_ref().unwrap_or(before);
        let line = match moved {
            true => Line::Odd(said::ASKED_ANEW.to_owned()),
            false => line,
        };
        let heard = match line {
            Line::Text(line) => hear(&self.desk.session, &before.view, &line),
            Line::Odd(why) => Heard::Refused(why),
        };
        self.desk.session.notice = None;
        let mut told: Vec<String> = Vec::new();
        let mut refused = None;
        let mut next = Next::Go;
        let was_asked_back = before.state.asked;
        let mut in_short = false;
        match self.found(heard) {
            Heard::Own(own) => told = self.own(own, before),
            Heard::Command(Command::Help) => told = say::help(&self.desk.session),
            // It is said in full as soon as it is marked.
            Heard::Command(Command::Detail) => told = before.marked(),
            Heard::Refused(why) => refused = Some(why),
            // What it could be is named; the question was heard a moment ago.
            Heard::Which(why) => (refused, in_short) = (Some(why), true),
            heard => {
                let printing = heard == Heard::Command(Command::Print);
                let goes_back = heard == Heard::Command(Command::Back);
                let closes = goes_back && self.desk.session.over.find().is_some();
                let undoes = matches!(heard, Heard::Command(Command::Undo | Command::Redo));
                (next, refused) = self.act(heard);
                let seen = self.see();
                let nothing = seen.state == before.state && !printing;
                // What could not be saved waits and is told each time; it is no refusal of this line.
                let notice = self.desk.session.notice.clone();
                let unsaved = notice.clone().filter(|_| self.desk.has_unsaved());
                if refused.is_none() && (nothing || self.desk.has_failed()) {
                    refused = match &unsaved {
                        Some(_) => self.refusal().filter(|_| nothing),
                        None => notice.clone().or_else(|| self.refusal()),
                    };
                }
                let dropped = was_asked_back && !self.desk.session.is_asked_back();
                if undoes && refused.is_none() && seen.state.entries == before.state.entries {
                    // Only the reading that was checked is gone.
                    refused = self.refusal();
                }
                in_short = (undoes || goes_back) && !dropped;
                match refused {
                    Some(_) => told.extend(unsaved),
                    None if goes_back && dropped => {
                        told.push(said::DROPPED.to_owned());
                        told.extend(seen.asked());
                    }
                    None => {
                        told.extend(closes.then(|| said::ONLY_FIND.to_owned()));
                        told.extend(seen.changes(&self.desk.session, before));
                        told.extend(notice);
                        told.extend(seen.new_lines(before));
                        if told.is_empty() {
                            told.push(said::NO_CHANGE.to_owned());
                        }
                    }
                }
                if next == Next::Quit {
                    told.clear();
                }
                self.say(told)?;
                return self.done(next, seen, (refused, in_short));
            }
        }
        self.say(told)?;
        let seen = self.see();
        self.done(next, seen, (refused, in_short))
    }

    /// Turns a command that was found into one that was typed, and refuses one that needs a screen.
    fn found(&mut self, heard: Heard) -> Heard {
        let (Heard::Pick(number), Some(search)) = (&heard, self.desk.session.over.find()) else {
            return heard;
        };
        let hit = number
            .checked_sub(1)
            .and_then(|index| search.hits.get(index));
        match hit.map(|hit| &hit.to) {
            Some(Target::Command(command)) if self.is_said(*number) => {
                let command = *command;
                if !is_offered(command) {
                    return Heard::Refused(said::ONLY_SCREEN.to_owned());
                }
                self.desk.session.over.close_find();
                Heard::Command(command)
            }
            _ => heard,
        }
    }

    /// Says why a line was refused, if it was; then the question again, but for what is said in short.
    fn done(
        &mut self,
        next: Next,
        seen: Seen,
        (refused, in_short): (Option<String>, bool),
    ) -> Result<Turn, Error> {
        if let Some(why) = &refused {
            self.say([said::refused(why)])?;
            if !in_short {
                self.say(seen.asked())?;
            }
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
        let session = &self.desk.session;
        let inspection = session.inspection.as_ref();
        inspection
            .filter(|_| session.page == Page::Questions)
            .and_then(|i| i.refusal())
            .map(|why| session.keymap.say(why))
    }

    /// Returns the lines of a command that only lines have.
    fn own(&mut self, own: Own, seen: &Seen) -> Vec<String> {
        let all = || seen.parts.iter().flat_map(|part| part.lines.clone());
        match own {
            Own::Again if seen.view.prompt.is_some() => seen.asked(),
            Own::Again | Own::Line => {
                let body = seen.parts.iter().filter(|part| part.about != About::Header);
                let said = |part: &Said| match &part.aside {
                    Some(aside) => vec![aside.clone()],
                    None => part.lines.clone(),
                };
                body.flat_map(said).collect()
            }
            Own::Page if self.desk.session.page == Page::Questions => {
                let page = self.desk.session.step_in_hand();
                page.as_ref().map_or_else(Vec::new, say::whole_step)
            }
            Own::Page => all().collect(),
            Own::Where => {
                self.desk.weigh_now();
                let head = seen.view.header.as_ref().map(say::header);
                let mut lines = head.unwrap_or_default();
                if let Some(page) = self.desk.session.step_in_hand() {
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
            Heard::Act(Act::Type(_) | Act::Enter(_) | Act::Answer(..))
                | Heard::Command(Command::Insist | Command::Leave | Command::Quit)
        );
        let was_asked_back = self.desk.session.is_asked_back();
        if was_asked_back && !answers {
            // Whoever goes elsewhere does not keep what was asked back.
            self.carry_out(Act::Put(String::new()));
        }
        match heard {
            // The reading that was checked is gone, and its question is there again.
            Heard::Command(Command::Back) if was_asked_back => (Next::Go, None),
            Heard::Command(Command::Back) if goes_to_the_question_before(&self.desk.session) => {
                (Next::Go, self.go_to_the_question_before())
            }
            Heard::Command(command) => (self.carry_out(Act::Do(command)), None),
            Heard::Act(act) => self.entered(act),
            Heard::Line(number) => (Next::Go, self.mark(number).err()),
            Heard::Pick(number) => match self.mark(number) {
                Ok(place) => (self.carry_out(Act::Pick(place)), None),
                Err(refused) => (Next::Go, Some(refused)),
            },
            Heard::Own(_) | Heard::Refused(_) | Heard::Which(_) => (Next::Go, None),
        }
    }

    /// Goes one question back, or returns why there is none.
    fn go_to_the_question_before(&mut self) -> Option<String> {
        let before = self.desk.session.cursor().cloned();
        self.carry_out(Act::Do(Command::PreviousCell));
        let stays = self.desk.session.cursor() == before.as_ref();
        stays.then(|| said::FIRST_QUESTION.to_owned())
    }

    fn carry_out(&mut self, act: Act) -> Next {
        let moment = (self.outside.moment)();
        self.desk.act(act, &moment)
    }

    /// Carries out an act; a text that is refused is taken out again.
    fn entered(&mut self, act: Act) -> (Next, Option<String>) {
        let before = self.desk.session.typed().to_owned();
        let text = match &act {
            Act::Enter(text) | Act::Answer(_, Given::Typed(text)) => Some(text.clone()),
            _ => None,
        };
        let next = self.carry_out(act);
        let session = &self.desk.session;
        // What is asked back waits for the next line, and is no refusal.
        let Some(text) = text.filter(|_| !session.is_asked_back()) else {
            return (next, None);
        };
        let stays = !session.typed().is_empty() && text.starts_with(session.typed());
        let notice = session.notice.clone().filter(|_| stays);
        let refused = notice.or_else(|| self.refusal());
        if refused.is_some() {
            self.carry_out(Act::Put(before));
        }
        (next, refused)
    }

    /// Marks a line of the list that is shown and returns its place, or why there is no such line.
    fn mark(&mut self, number: usize) -> Result<usize, String> {
        let Some((mut here, lines)) = self.desk.session.marked_line() else {
            return Err(said::NO_LIST.to_owned());
        };
        if self.desk.session.over.find().is_some() && !self.is_said(number) {
            return Err(said::no_line(number));
        }
        let Some(wanted) = number.checked_sub(1).filter(|wanted| *wanted < lines) else {
            return Err(said::no_such_line(number, lines));
        };
        // Of the list of cases only a part is here, and the mark brings the next part.
        while here != wanted {
            self.carry_out(Act::Mark(wanted));
            match self.desk.session.marked_line() {
                Some((now, _)) if now != here => here = now,
                _ => break,
            }
        }
        Ok(wanted)
    }

    /// Whether a line of what was found is one of those that were said: a higher number may be a tooth.
    fn is_said(&self, number: usize) -> bool {
        let search = self.desk.session.over.find();
        search.is_some_and(|search| {
            let first = search.offset() + 1;
            (first..first + NINE).contains(&number) && number <= search.hits.len()
        })
    }

    fn end(&mut self, ended: &Ended) -> Result<(), Error> {
        self.hear_others()?;
        if self.desk.session.over.find().is_some() {
            self.say([said::FIND_CLOSED.to_owned()])?;
        }
        if ended.begun {
            self.say([said::BEGUN.to_owned()])?;
        }
        if ended.asked_back {
            self.say([said::NOT_KEPT.to_owned()])?;
        }
        if !self.is_behind() {
            self.say([said::LEFT.to_owned()])?;
        }
        self.outside.output.flush()?;
        Ok(())
    }
}
