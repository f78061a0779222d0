//! What lies over a page: a line that is typed, help, what is looked for. The top one takes the keys, and one step back
//! takes it away.

use super::{Command, Context, Effect, Moment, Prompt, Search, Session};

/// The most characters of a line.
const MOST: usize = 200;

/// Something that lies over a page.
#[derive(Clone, PartialEq, Debug)]
pub enum Layer {
    /// A line that is being typed, and its text.
    Line((Prompt, String)),
    /// Help.
    Help,
    /// What is being looked for.
    Find(Search),
}

/// What lies over a page, the top one last; one of each at the most.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Layers(Vec<Layer>);

impl Layers {
    /// Returns what takes the keys, or `None` if the page itself does.
    pub fn top(&self) -> Option<&Layer> {
        self.0.last()
    }

    /// Takes the top one away.
    pub(super) fn pop(&mut self) -> Option<Layer> {
        self.0.pop()
    }

    /// Takes everything away.
    pub(super) fn clear(&mut self) {
        self.0.clear();
    }

    /// Returns the line that is being typed.
    pub fn line(&self) -> Option<&(Prompt, String)> {
        self.0.iter().find_map(|own| match own {
            Layer::Line(line) => Some(line),
            _ => None,
        })
    }

    pub(super) fn line_mut(&mut self) -> Option<&mut (Prompt, String)> {
        self.0.iter_mut().find_map(|own| match own {
            Layer::Line(line) => Some(line),
            _ => None,
        })
    }

    /// Types a character into the line, but into one that only asks whether another is meant.
    pub(super) fn type_char(&mut self, c: char) {
        if let Some((prompt, line)) = self.line_mut()
            && !matches!(prompt, Prompt::Sure(..))
            && !c.is_control()
            && line.chars().count() < MOST
        {
            line.push(c);
        }
    }

    /// Asks for a line, in place of the one that was asked for.
    pub fn ask(&mut self, line: (Prompt, String)) {
        match self.line_mut() {
            Some(own) => *own = line,
            None => self.0.push(Layer::Line(line)),
        }
    }

    pub(super) fn take_line(&mut self) -> Option<(Prompt, String)> {
        let line = self.line().cloned();
        self.close_line();
        line
    }

    /// Asks for no line any more.
    pub fn close_line(&mut self) {
        self.0.retain(|own| !matches!(own, Layer::Line(_)));
    }

    /// Returns whether help is shown.
    pub fn helps(&self) -> bool {
        self.0.contains(&Layer::Help)
    }

    pub(super) fn open_help(&mut self) {
        if !self.helps() {
            self.0.push(Layer::Help);
        }
    }

    pub(super) fn close_help(&mut self) {
        self.0.retain(|own| *own != Layer::Help);
    }

    /// Returns what is being looked for.
    pub fn find(&self) -> Option<&Search> {
        self.0.iter().find_map(|own| match own {
            Layer::Find(search) => Some(search),
            _ => None,
        })
    }

    pub(super) fn find_mut(&mut self) -> Option<&mut Search> {
        self.0.iter_mut().find_map(|own| match own {
            Layer::Find(search) => Some(search),
            _ => None,
        })
    }

    pub(super) fn look_for(&mut self, search: Search) {
        self.close_find();
        self.0.push(Layer::Find(search));
    }

    pub(super) fn take_find(&mut self) -> Option<Search> {
        let search = self.find().cloned();
        self.close_find();
        search
    }

    /// Looks for nothing any more.
    pub fn close_find(&mut self) {
        self.0.retain(|own| !matches!(own, Layer::Find(_)));
    }
}

impl Session {
    /// Returns what keys mean now.
    pub fn context(&self) -> Context {
        match self.over.top() {
            Some(Layer::Find(_)) => Context::Find,
            Some(Layer::Help) => Context::Help,
            Some(Layer::Line((Prompt::Filter, _))) => Context::Filter,
            Some(Layer::Line(_)) => Context::Prompt,
            None => self.context_of_page(),
        }
    }

    /// Lets what lies over the page carry out a command of its own; `None` if it is none.
    pub(super) fn layer_command(
        &mut self,
        command: Command,
        moment: &Moment,
    ) -> Option<Vec<Effect>> {
        let context = self.context();
        Some(match (context, command) {
            (Context::Find, Command::GoThere) => self.go_there(moment),
            (Context::Find, Command::NextHits | Command::PreviousHits) => {
                self.turn_hits(command == Command::NextHits);
                Vec::new()
            }
            (Context::Find, Command::EraseLine) => {
                self.erase_search();
                Vec::new()
            }
            (Context::Find | Context::Help, Command::Up | Command::Down) => {
                self.step(command == Command::Down)
            }
            (Context::Filter, Command::EraseLine) => self.erase_filter(),
            (Context::Prompt, Command::EraseLine) => {
                if let Some((_, line)) = self.over.line_mut() {
                    line.pop();
                }
                Vec::new()
            }
            (Context::Prompt, Command::Accept) => self.accept(moment),
            _ => return None,
        })
    }
}
