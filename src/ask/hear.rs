//! Parses one input line for the page that is open.

use super::MARK;
use super::choose::{begun, small};
use super::words::{self, Own, Word, enter, find};
use crate::phrase::pages::ask::{self as said, FIND_WORD as FIND, YES};
use crate::session::call::Row;
use crate::session::command::works;
use crate::session::view::{ChoiceView, PageView, PanelLine, View};
use crate::session::{Act, Command, Context, Given, Session, TURN, Takes, days};

/// What a line means.
#[derive(PartialEq, Debug)]
pub(super) enum Heard {
    /// A command.
    Command(Command),
    /// Something that only lines need.
    Own(Own),
    /// Anything else that is done.
    Act(Act),
    /// Marks a line of a list, counted from 1.
    Line(usize),
    /// Marks and picks a line of a list, or goes to a line that was found.
    Pick(usize),
    /// Refused, with the reason.
    Refused(String),
    /// Not taken, because it could be several things, which are named.
    Which(String),
}

/// Parses one input line.
pub(super) fn hear(session: &Session, view: &View, line: &str) -> Heard {
    if insists(session, line) {
        return Heard::Command(Command::Insist);
    }
    if line.is_empty() && session.is_asked_back() {
        return Heard::Own(Own::Again);
    }
    if line.is_empty() && session.context() == Context::Filter {
        return Heard::Command(Command::KeepFilter);
    }
    if line.is_empty() {
        return match enter(session.context()) {
            Some(command) => Heard::Command(command),
            None => Heard::Own(Own::Again),
        };
    }
    let text = session.takes_words();
    if let Some(rest) = line.strip_prefix(MARK) {
        return match rest.trim() {
            "" if text => Heard::Act(Act::Put(String::new())),
            "" => Heard::Refused(said::COLON.to_owned()),
            own if own.starts_with(MARK) && text => typed(session, own),
            word => command(session, word),
        };
    }
    if text {
        return typed(session, line);
    }
    match session.context() {
        Context::Questions => answer(session, view, line),
        Context::Answer => picked(session, view, line),
        Context::Call => on_the_call(session, view, line),
        Context::Outcome => on_an_outcome(session, view, line),
        Context::FollowUp => in_follow_up(session, view, line),
        Context::Find => match (number(behind_line(session, line)), find(session, line)) {
            (Some(number), _) => Heard::Pick(number),
            (None, Ok(Word::Command(command))) => Heard::Command(command),
            (None, Ok(Word::Own(own))) => Heard::Own(own),
            (None, Err(_)) => {
                let words = line.split_once(' ').filter(|(word, _)| *word == FIND);
                look(words.map_or(line, |(_, rest)| rest))
            }
        },
        _ => match number(line) {
            Some(number) if is_list(view) => Heard::Line(number),
            _ => command(session, line),
        },
    }
}

/// A text, number or day for the open line or cell.
fn typed(session: &Session, text: &str) -> Heard {
    let cell = session.inspection.as_ref().and_then(|i| i.cursor());
    Heard::Act(match cell.filter(|_| session.over.line().is_none()) {
        Some(cell) => Act::Answer(cell.clone(), Given::Typed(text.to_owned())),
        None => Act::Enter(text.to_owned()),
    })
}

fn look(words: &str) -> Heard {
    Heard::Act(Act::Look(words.to_owned()))
}

/// Returns whether a line confirms the reading that is checked: "yes", the command, or the same reading again.
fn insists(session: &Session, line: &str) -> bool {
    let typed = session.inspection.as_ref().map_or("", |i| i.typed());
    let line = line.strip_prefix(MARK).unwrap_or(line).trim();
    session.is_asked_back()
        && (line == YES
            || line == typed && !typed.is_empty()
            || session
                .keymap
                .keys(Command::Insist)
                .iter()
                .any(|key| key == line)
            || words::words(Command::Insist.spec())
                .iter()
                .any(|word| is_same(word, line)))
}

/// Returns what stands behind the word that names a line, or all of it.
fn behind_line<'l>(session: &Session, line: &'l str) -> &'l str {
    let is_line = |word: &str| matches!(find(session, word.trim()), Ok(Word::Own(Own::Line)));
    match line.rsplit_once(' ') {
        Some((word, rest)) if is_line(word) => rest,
        _ => line,
    }
}

fn number(line: &str) -> Option<usize> {
    let digits = line.chars().all(|c| c.is_ascii_digit());
    line.parse().ok().filter(|_| digits)
}

/// A single digit.
fn digit(line: &str) -> Option<char> {
    let mut chars = line.chars();
    chars
        .next()
        .filter(|c| c.is_ascii_digit() && chars.next().is_none())
}

fn is_list(view: &View) -> bool {
    let marks = match &view.page {
        PageView::Leaf(page) => page.marked.is_some(),
        _ => true,
    };
    view.prompt.is_none()
        && marks
        && !matches!(
            view.page,
            PageView::Questions(_)
                | PageView::Summary(_)
                | PageView::History(_)
                | PageView::Outcome(_)
                | PageView::Rates(_)
                | PageView::FollowUp(_)
        )
}

fn command(session: &Session, text: &str) -> Heard {
    if let Some((FIND, wanted)) = text.split_once(' ')
        && works(session.context(), Command::Find)
    {
        return look(wanted);
    }
    // A number behind the word belongs to it.
    let (word, behind) = match text.rsplit_once(' ') {
        Some((word, last)) => match number(last) {
            Some(number) => (word.trim(), Some(number)),
            None => (text, None),
        },
        None => (text, None),
    };
    match (find(session, word), behind) {
        (Ok(Word::Own(Own::Line)), Some(number)) => Heard::Line(number),
        (Ok(Word::Own(Own::Line)), None) => Heard::Refused(said::LINE_NUMBER.to_owned()),
        (Ok(Word::Own(own)), None) => Heard::Own(own),
        (Ok(Word::Command(command)), None) => Heard::Command(command),
        (Ok(_), Some(_)) => Heard::Refused(said::no_number(word)),
        (Err(why), None) => Heard::Refused(why),
        (Err(_), Some(_)) => match find(session, text) {
            Err(why) => Heard::Refused(why),
            Ok(Word::Command(command)) => Heard::Command(command),
            Ok(Word::Own(own)) => Heard::Own(own),
        },
    }
}

/// A line at the open question.
fn answer(session: &Session, view: &View, line: &str) -> Heard {
    let PageView::Questions(page) = &view.page else {
        return command(session, line);
    };
    let takes = session.inspection.as_ref().and_then(|i| i.answered_by());
    let (Some(present), Some(takes)) = (&page.present, takes) else {
        return command(session, line);
    };
    match line {
        "-" => return Heard::Command(Command::NotSeen),
        "*" => return Heard::Command(Command::Same),
        _ => {}
    }
    if takes == Takes::Teeth
        && let Some(heard) = teeth(session, &present.choices, line)
    {
        return heard;
    }
    let has_bands = session.inspection.as_ref().is_some_and(|i| i.has_bands());
    if takes == Takes::Digit {
        let spoken = spoken(&present.choices, line);
        // A nought picks no band: it begins a number.
        let key = digit(line).filter(|key| *key != '0' || !has_bands);
        if let Some(key) = key.or(spoken) {
            return Heard::Act(Act::Type(key));
        }
        let cell = session.inspection.as_ref().and_then(|i| i.cursor());
        let beyond = present.beyond.iter().filter_map(|(place, words)| {
            let act = Act::Answer(cell?.clone(), Given::Choice(*place));
            Some((act, words.as_str()))
        });
        let mut beyond = beyond.collect::<Vec<(Act, &str)>>();
        if let Some((act, _)) = beyond.iter().find(|(_, words)| is_same(words, line)) {
            return Heard::Act(act.clone());
        }
        // Numbers are no words, and what turns a long list is no choice.
        let is_long = !present.beyond.is_empty();
        let here = (present.choices.iter()).filter(|own| !is_long || own.digit != TURN);
        let here = here.map(|own| (Act::Type(own.digit), own.words.as_str()));
        let choices: Vec<(Act, &str)> = here.chain(beyond.drain(..)).collect();
        match begun(session, &choices, line).filter(|_| !has_bands) {
            Some(Ok(act)) => return Heard::Act(act),
            Some(Err(which)) => return Heard::Which(which),
            None => {}
        }
    }
    let begins = |c: char| c.is_ascii_digit() || c == '.' || c == ',';
    let to_come = line.strip_prefix('+').filter(|_| takes == Takes::Day);
    if !line.starts_with(begins) && to_come.is_none() {
        return command(session, line);
    }
    let only = |fits: &dyn Fn(char) -> bool| line.chars().all(fits);
    match takes {
        // A number that begins with a nought picks no band by its first digit.
        Takes::Digit if only(&begins) && has_bands => {
            let number = line.starts_with('0');
            let whole = format!("0{line}");
            typed(session, if number { line } else { &whole })
        }
        Takes::Digit => Heard::Refused(said::no_choice(line)),
        Takes::Teeth if only(&|c| c.is_ascii_digit() || c == ' ') => {
            // A digit that is typed twice would take its tooth away again.
            let mut digits = String::new();
            for c in line.chars().filter(|c| !c.is_whitespace()) {
                if !digits.contains(c) {
                    digits.push(c);
                }
            }
            typed(session, &digits)
        }
        // On the screen a point right behind a digit is looked at twice.
        Takes::Number if only(&begins) && !line.starts_with(|c: char| c.is_ascii_digit()) => {
            typed(session, &format!("0{line}"))
        }
        Takes::Number if only(&begins) => typed(session, line),
        Takes::Day => match to_come {
            Some(days) if number(days).is_some() => typed(session, &format!("{days}+")),
            _ if only(&|c| days::has(c, line)) => typed(session, line),
            _ => Heard::Refused(said::does_not_fit(line, &present.takes)),
        },
        _ => Heard::Refused(said::does_not_fit(line, &present.takes)),
    }
}

/// The digit of the choice with these words.
fn spoken(choices: &[ChoiceView], line: &str) -> Option<char> {
    let same = |choice: &&ChoiceView| is_same(&choice.words, line);
    choices.iter().find(same).map(|choice| choice.digit)
}

/// Teeth by their names, such as `44 46`, or the digit or word for none of them.
fn teeth(session: &Session, choices: &[ChoiceView], line: &str) -> Option<Heard> {
    let none = choices.iter().find(|choice| choice.digit == '0');
    if let Some(none) = none.filter(|none| line == "0" || is_same(&none.words, line)) {
        return Some(Heard::Act(Act::Type(none.digit)));
    }
    if none.is_some()
        && line.contains('0')
        && line.chars().all(|c| c.is_ascii_digit() || c == ' ')
        && !line.split(' ').any(|word| spoken(choices, word).is_some())
    {
        return Some(Heard::Refused(said::NONE_ALONE.to_owned()));
    }
    let named = |word: &str| spoken(choices, word);
    let words = line.split([' ', ',']).filter(|word| !word.is_empty());
    let digits: Option<String> = words
        .map(|word| named(word).filter(|_| word.chars().count() > 1))
        .collect();
    digits
        .filter(|digits| !digits.is_empty())
        .map(|digits| typed(session, &digits))
}

fn is_same(words: &str, line: &str) -> bool {
    small(words) == small(line)
}

/// A line on the page of outcomes: a digit or the words of a choice.
fn on_an_outcome(session: &Session, view: &View, line: &str) -> Heard {
    match &view.page {
        PageView::Outcome(page) => asked_there(session, &page.choices, Command::LostSight, line),
        _ => command(session, line),
    }
}

/// A line on the page of follow-up: the number of a row, or what is asked of it by digit or words.
fn in_follow_up(session: &Session, view: &View, line: &str) -> Heard {
    match &view.page {
        PageView::FollowUp(page) if page.asks.is_empty() => {
            number(line).map_or_else(|| command(session, line), Heard::Pick)
        }
        PageView::FollowUp(page) => asked_there(session, &page.choices, Command::Unseen, line),
        _ => command(session, line),
    }
}

/// A line where choices are asked by digit or words; `dash` is what a `-` among them means.
fn asked_there(session: &Session, choices: &[ChoiceView], dash: Command, line: &str) -> Heard {
    let digit = digit(line).filter(|digit| choices.iter().any(|own| own.digit == *digit));
    match (digit.or_else(|| spoken(choices, line)), number(line)) {
        (Some('-'), _) => Heard::Command(dash),
        (Some(digit), _) => Heard::Act(Act::Type(digit)),
        (None, Some(_)) => Heard::Refused(said::no_choice(line)),
        (None, None) => command(session, line),
    }
}

/// The lines of the panel that can be picked, in their order.
fn picks(view: &View) -> Vec<&PanelLine> {
    let PageView::Call(page) = &view.page else {
        return Vec::new();
    };
    let is_pick = |line: &&PanelLine| matches!(line, PanelLine::Pick { .. });
    page.panel.iter().filter(is_pick).collect()
}

/// A line while a question of the call is answered: digits pick as on the screen, higher numbers mark and pick.
fn picked(session: &Session, view: &View, line: &str) -> Heard {
    if let Some(digit) = digit(line) {
        return Heard::Act(Act::Type(digit));
    }
    let picks = picks(view);
    let texts = picks.iter().filter_map(|pick| match pick {
        PanelLine::Pick { text, .. } => Some(text.as_str()),
        _ => None,
    });
    let texts: Vec<(usize, &str)> = (1..).zip(texts).collect();
    let whole = texts.iter().find(|(_, text)| is_same(text, line));
    let picked = match number(line).or(whole.map(|(number, _)| *number)) {
        Some(number) => Some(number),
        None => match begun(session, &texts, line) {
            Some(Err(which)) => return Heard::Which(which),
            Some(Ok(number)) => Some(number),
            None => None,
        },
    };
    match picked {
        Some(number) if number > picks.len() || number == 0 => {
            Heard::Refused(said::no_line(number))
        }
        Some(number) => Heard::Pick(number),
        None => command(session, line),
    }
}

/// A line on the page of the call. Digits are choices of the marked line and never lines, so that nobody answers one
/// line while going to another.
fn on_the_call(session: &Session, view: &View, line: &str) -> Heard {
    let asked = matches!(session.marked_row(), Some(Row::Ask(_)));
    let choices = asked
        || picks(view)
            .iter()
            .any(|line| matches!(line, PanelLine::Pick { digit: Some(_), .. }));
    match (number(line), digit(line)) {
        (Some(_), Some(digit)) if choices => Heard::Act(Act::Type(digit)),
        (Some(number), _) => Heard::Refused(said::line_or_choice(number)),
        (None, _) => command(session, line),
    }
}
