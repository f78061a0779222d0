//! What a person does, by whichever key or line. A key becomes an act, lines bring acts of their own, and both are carried
//! out by the same functions: what a key is refused, an act is refused too.

use super::command::{self, Command, Context};
use super::{Effect, Inspection, Layer, Moment, Page, Prompt, Session, beside};
use crate::fact::{Spot, Value};
use crate::phrase::pages::ask as said;
use crate::phrase::prompts;

/// What a person does.
#[derive(Clone, PartialEq, Debug)]
pub enum Act {
    /// Does what a command asks for, where it works.
    Do(Command),
    /// Types a character; where digits pick something, a digit picks it.
    Type(char),
    /// Types a text in place of what stands in the open line or cell, and keeps nothing yet.
    Put(String),
    /// Types a text in place of what stands in the open line, and accepts the line.
    Enter(String),
    /// Answers a question of the case, and goes there first.
    Answer(Spot, Given),
    /// Marks a line of the list that is shown, by its place in the whole list, from 0; of the list of cases, the nearest
    /// to it that is here.
    Mark(usize),
    /// Marks such a line and picks it, or goes to it where something is looked for.
    Pick(usize),
    /// Turns to a page, where a command leads there.
    Go(Page),
    /// Looks for these words, in place of those before.
    Look(String),
}

/// How an answer is given.
#[derive(Clone, PartialEq, Debug)]
pub enum Given {
    /// As it is typed.
    Typed(String),
    /// As one of the choices, by its place among all of them, from 0.
    Choice(usize),
    /// As it is kept.
    Value(Value),
}

impl Session {
    /// Carries out an act; does nothing where nothing takes it.
    pub fn act(&mut self, act: Act, moment: &Moment) -> Vec<Effect> {
        self.begin(moment);
        if let Some(inspection) = &mut self.inspection {
            inspection.forget_picked();
        }
        let effects = self.carry_out(act, moment);
        self.end_act(effects, moment)
    }

    /// Handles a key by its name: a character, or a name such as `enter`.
    pub fn key(&mut self, key: &str, moment: &Moment) -> Vec<Effect> {
        self.begin(moment);
        let slip = self
            .was_no_band(key, moment)
            .or_else(|| self.tapped(key, moment))
            .or_else(|| self.picked(key, moment));
        let effects = match slip {
            Some(effects) => effects,
            None => self
                .meant(key)
                .map_or_else(Vec::new, |act| self.carry_out(act, moment)),
        };
        self.end_act(effects, moment)
    }

    fn begin(&mut self, moment: &Moment) {
        self.notice = None;
        self.then = None;
        self.today = Some(moment.today);
    }

    fn end_act(&mut self, mut effects: Vec<Effect>, moment: &Moment) -> Vec<Effect> {
        self.keep_record(&mut effects, moment);
        self.go_on_with_tour(&effects);
        effects
    }

    /// Returns what a key means now, or `None` if it means nothing.
    fn meant(&self, key: &str) -> Option<Act> {
        if self.insists(key) {
            return Some(Act::Do(Command::Insist));
        }
        if let Some(command) = self.takes_side(key) {
            return Some(Act::Do(command));
        }
        let mut chars = key.chars();
        let single = chars.next().filter(|_| chars.next().is_none());
        if let Some(c) = single.filter(|c| self.takes_char(*c)) {
            return Some(Act::Type(c));
        }
        let command = self.keymap.lookup(self.context(), key).map(Act::Do);
        command.or_else(|| (key == "space" && self.takes_char(' ')).then_some(Act::Type(' ')))
    }

    fn carry_out(&mut self, act: Act, moment: &Moment) -> Vec<Effect> {
        // Said over what this one does, it would be read as its refusal.
        if let Some(inspection) = &mut self.inspection {
            inspection.hand.refusal = None;
        }
        match act {
            Act::Do(command) if self.works(command) => self.command(command, moment),
            Act::Type(c) if self.takes_char(c) => self.type_char(c, moment),
            Act::Put(text) => self.put(&text, moment),
            Act::Enter(text) => self.enter(&text, moment),
            Act::Answer(spot, given) => self.answer(spot, given, moment),
            Act::Mark(place) => self.mark(place),
            Act::Pick(place) => self.pick_line(place, moment),
            Act::Go(page) => self.go(page, moment),
            Act::Look(words) => {
                self.look_for(&words);
                Vec::new()
            }
            Act::Do(_) | Act::Type(_) => Vec::new(),
        }
    }

    fn works(&self, command: Command) -> bool {
        command == Command::Insist && self.is_asked_back()
            || command::works(self.context(), command)
    }

    /// Returns whether a character is typed, or picks something, rather than being a command.
    fn takes_char(&self, c: char) -> bool {
        match self.over.top() {
            Some(Layer::Line(_) | Layer::Find(_)) => true,
            Some(Layer::Help) => false,
            None => self.page_takes(c),
        }
    }

    pub(super) fn type_char(&mut self, c: char, moment: &Moment) -> Vec<Effect> {
        match self.over.top() {
            Some(Layer::Find(_)) => self.find_char(c),
            Some(Layer::Line((Prompt::Filter, _))) => {
                return self.type_filter(c.encode_utf8(&mut [0; 4]));
            }
            Some(Layer::Line(_)) => self.over.type_char(c),
            Some(Layer::Help) => {}
            None => return self.page_types(c, moment),
        }
        Vec::new()
    }

    /// Returns what was typed into the open line or cell and is not kept yet.
    pub fn typed(&self) -> &str {
        match (self.over.line(), &self.inspection) {
            (Some((_, text)), _) => text,
            (None, Some(inspection)) if self.page == Page::Questions => inspection.typed(),
            _ => "",
        }
    }

    /// Types a text, up to the first character that is refused.
    pub(super) fn type_text(&mut self, text: &str, moment: &Moment) -> Vec<Effect> {
        if self.context() == Context::Filter {
            return self.type_filter(text);
        }
        let cell = self.cell_in_hand().cloned();
        let mut effects = Vec::new();
        for c in text.chars() {
            if !self.takes_char(c) {
                break;
            }
            effects.extend(self.type_char(c, moment));
            if cell.is_some() && (self.is_refused() || self.cell_in_hand() != cell.as_ref()) {
                break;
            }
        }
        effects
    }

    /// Returns the open cell, unless something else takes the keys.
    fn cell_in_hand(&self) -> Option<&Spot> {
        let open = self.inspection.as_ref();
        open.filter(|_| self.context() == Context::Questions)?
            .cursor()
    }

    fn is_refused(&self) -> bool {
        self.inspection
            .as_ref()
            .is_some_and(|open| open.hand.refusal.is_some())
    }

    fn put(&mut self, text: &str, moment: &Moment) -> Vec<Effect> {
        let cell = self.cell_in_hand().cloned();
        if cell.is_none() && !matches!(self.context(), Context::Prompt | Context::Filter) {
            return Vec::new();
        }
        let mut effects = self.empty();
        if let Some(open) = &mut self.inspection
            && cell.is_some()
            && !text.is_empty()
            && open.only_picks(text)
        {
            open.hand.refusal = Some(prompts::PRESS_A_DIGIT.to_owned());
            return effects;
        }
        effects.extend(self.type_text(text, moment));
        if self.typed() == text || self.cell_in_hand() != cell.as_ref() {
            return effects;
        }
        let taken = self.typed().chars().count();
        match &mut self.inspection {
            Some(open) if cell.is_some() => {
                open.hand
                    .refusal
                    .get_or_insert_with(|| said::too_long(taken));
            }
            _ => self.notice = Some(said::too_long(taken)),
        }
        effects
    }

    /// Takes away what stands in the open line or cell, and what was asked back of it.
    fn empty(&mut self) -> Vec<Effect> {
        let stands = !self.typed().is_empty();
        match (self.over.line_mut(), &mut self.inspection) {
            (Some((prompt, line)), _) => {
                line.clear();
                if *prompt == Prompt::Filter {
                    return self.empty_filter().unwrap_or_default();
                }
            }
            (None, Some(open)) if self.page == Page::Questions => {
                open.settle();
                if stands {
                    open.clear_input();
                }
            }
            _ => {}
        }
        Vec::new()
    }

    fn enter(&mut self, text: &str, moment: &Moment) -> Vec<Effect> {
        let mut effects = self.put(text, moment);
        if self.typed() != text {
            return effects;
        }
        effects.extend(match self.context() {
            Context::Filter => self.command(Command::KeepFilter, moment),
            Context::Prompt => self.command(Command::Accept, moment),
            _ => Vec::new(),
        });
        effects
    }

    fn answer(&mut self, spot: Spot, given: Given, moment: &Moment) -> Vec<Effect> {
        let mut effects = Vec::new();
        if self.cell_in_hand() != Some(&spot) {
            effects = self.go(Page::Questions, moment);
            let asked = |open: &Inspection| open.agenda.position(&spot).is_some();
            if self.context() != Context::Questions || !self.inspection.as_ref().is_some_and(asked)
            {
                self.notice = Some(prompts::NO_QUESTION.to_owned());
                return effects;
            }
            if let Some(open) = &mut self.inspection {
                open.go(Some(spot));
            }
        }
        if let Given::Typed(text) = &given {
            effects.extend(self.put(text, moment));
            if self.typed() == text {
                effects.extend(self.command(Command::Confirm, moment));
            }
            return effects;
        }
        if let Some(open) = &mut self.inspection {
            effects.extend(match given {
                Given::Choice(place) => open.pick(place, moment),
                Given::Value(value) => open.give(value, moment),
                Given::Typed(_) => Vec::new(),
            });
        }
        self.after_answer();
        effects
    }

    /// Returns the marked line of the list that takes the keys, from 0, and how many lines it has, or `None` if none does.
    pub fn marked_line(&self) -> Option<(usize, usize)> {
        match self.over.top() {
            Some(Layer::Find(search)) => Some((search.marked, search.hits.len())),
            Some(Layer::Line((Prompt::Filter, _))) | None => self.page_marked(),
            Some(Layer::Line(_) | Layer::Help) => None,
        }
    }

    /// Moves the mark of the list that takes the keys by a line, or scrolls where there is no list.
    pub(super) fn step(&mut self, down: bool) -> Vec<Effect> {
        match self.marked_line() {
            Some((here, of)) => self.mark(beside(here, down, of)),
            None => {
                self.scroll = beside(self.scroll, down, usize::MAX);
                Vec::new()
            }
        }
    }

    fn mark(&mut self, place: usize) -> Vec<Effect> {
        let Some((_, of)) = self.marked_line() else {
            return Vec::new();
        };
        let place = place.min(of.saturating_sub(1));
        match self.over.find_mut() {
            Some(search) => {
                search.marked = place;
                Vec::new()
            }
            None => self.page_mark(place),
        }
    }

    fn pick_line(&mut self, place: usize, moment: &Moment) -> Vec<Effect> {
        let mut effects = self.mark(place);
        effects.extend(match self.context() {
            Context::Find => self.command(Command::GoThere, moment),
            Context::Answer => self.command(Command::Tick, moment),
            Context::Worklist => self.command(Command::Pick, moment),
            Context::FollowUp => self.command(Command::Exception, moment),
            _ => Vec::new(),
        });
        effects
    }

    fn go(&mut self, page: Page, moment: &Moment) -> Vec<Effect> {
        // To leave a case that was opened by name is to leave the program.
        if page == self.page || (page == Page::Worklist && self.single) {
            return Vec::new();
        }
        let way = page.ways().iter().find(|way| self.works(**way));
        way.map_or_else(Vec::new, |way| self.command(*way, moment))
    }

    fn look_for(&mut self, words: &str) {
        self.over.close_find();
        if self.works(Command::Find) {
            self.begin_search();
            self.type_search(crate::text::clean(words).trim());
        }
    }
}
