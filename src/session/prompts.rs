//! Typed lines, and going back.

use super::call::State;
use super::{Command, Effect, Layer, Moment, Page, Prompt, Session, units_line};
use crate::case::file::{check_number, looks_like_name};
use crate::phrase::prompts;

impl Session {
    /// One step back: what lies over the page, then answer, trial, page. It never leaves the program.
    pub(super) fn back(&mut self) -> Vec<Effect> {
        match self.over.pop() {
            // What was looked for, or read, is gone; what lies beneath is as it was.
            Some(Layer::Find(_) | Layer::Help) => Vec::new(),
            Some(Layer::Line((prompt, line))) => self.leave_line(prompt, line),
            None => self.back_on_page(),
        }
    }

    /// Leaves a line as it is; what it was begun from comes back.
    fn leave_line(&mut self, prompt: Prompt, line: String) -> Vec<Effect> {
        match prompt {
            Prompt::Sure(from, line, _) => self.over.ask((*from, line)),
            Prompt::Answer(own) => self.answer_back(Some((own, line))),
            Prompt::Filter => return self.empty_filter().unwrap_or_default(),
            Prompt::Ready(fact) if !line.is_empty() => {
                self.call.lines.insert(fact, line);
            }
            _ => {}
        }
        self.return_to_list()
    }

    /// One step back on the page itself.
    fn back_on_page(&mut self) -> Vec<Effect> {
        if let Some(effects) = self.page_back() {
            return effects;
        }
        if self.page.is_over_questions() {
            self.turn_to_questions();
        } else {
            self.notice = Some(prompts::how_to_leave(self.keymap.key(Command::Leave)));
        }
        Vec::new()
    }

    /// Leaves the case, or the program; asks once if an answer was begun.
    pub(super) fn leave(&mut self) -> Vec<Effect> {
        if self.is_trying() {
            self.say_trying();
            return Vec::new();
        }
        if !self.call.drafts.is_empty() && !self.call.warned {
            self.call.warned = true;
            self.notice = Some(prompts::answer_not_saved(
                self.keymap.key(Command::Call),
                self.keymap.key(Command::Leave),
            ));
            return Vec::new();
        }
        if self.keeps_follow_up() {
            return Vec::new();
        }
        if self.page == Page::Worklist || self.single {
            return vec![Effect::Quit];
        }
        self.close_case()
    }

    /// Closes the case and shows the list that it was opened from.
    pub(super) fn close_case(&mut self) -> Vec<Effect> {
        let of_slice = self.inspection.is_some() && self.limits.opened;
        self.limits.opened = false;
        self.inspection = None;
        self.call = State::default();
        self.turn_to(match of_slice {
            true => Page::Limits,
            false => Page::Worklist,
        });
        vec![Effect::List]
    }

    /// Accepts the line that is typed.
    pub(super) fn accept(&mut self, moment: &Moment) -> Vec<Effect> {
        let Some((prompt, line)) = self.over.take_line() else {
            return Vec::new();
        };
        let text = crate::text::clean(&line);
        let text = text.trim();
        if let Some(says) = self.doubtful(&prompt, text) {
            let sure = Prompt::Sure(Box::new(prompt), line, says);
            self.over.ask((sure, String::new()));
            return Vec::new();
        }
        let kept = match &prompt {
            Prompt::Filter => Ok(Vec::new()),
            Prompt::Number => self.take_number(text),
            Prompt::Sure(from, line, _) => self.take_sure(from, line, moment),
            Prompt::Ready(fact) => self.take_ready(fact, text, moment),
            Prompt::Answer(line) => self.take_line(*line, text).map(|()| Vec::new()),
            Prompt::Tell(spot) => self.take_tell(spot, text, moment),
            Prompt::Arrived(part, restorations) => {
                self.take_arrived(*part, restorations, text, moment)
            }
            Prompt::Standing(about) => Ok(self.take_standing(about, text, moment)),
            Prompt::Day(fact) => self.take_day(fact, text, moment),
            Prompt::HandTo => self.take_hand_to(text),
            Prompt::HandNote(to) => self.take_hand_note(to, text, moment),
            Prompt::Became => self.take_became(text, moment),
            Prompt::OutcomeDay => self.take_outcome_day(text, moment),
            from => self.take_units(from, text, moment),
        };
        match kept {
            Ok(mut effects) => {
                effects.extend(self.return_to_list());
                effects
            }
            Err(why) => {
                self.notice = Some(why);
                self.over.ask((prompt, line));
                Vec::new()
            }
        }
    }

    /// Returns what is ambiguous about a valid line, so that it is confirmed once.
    fn doubtful(&self, prompt: &Prompt, text: &str) -> Option<String> {
        match prompt {
            Prompt::Number if self.fits_number(text).is_ok() && looks_like_name(text) => {
                Some(prompts::looks_like_name(text))
            }
            Prompt::Became => self.doubts_became(text),
            Prompt::NewUnits(_) | Prompt::Units => {
                units_line::read(text, self.notation).ok()?;
                let teeth = self.unsure_notation(text);
                let says = [units_line::read_back(text, self.notation), teeth];
                let says: Vec<String> = says.into_iter().flatten().collect();
                Some(says.join(". ")).filter(|says| !says.is_empty())
            }
            _ => None,
        }
    }

    /// Returns which other teeth bare numbers could be, or `None` if the notation in force was chosen.
    fn unsure_notation(&self, line: &str) -> Option<String> {
        let chosen = self.chosen_notation == Some(self.notation);
        units_line::ambiguity(line, self.notation).filter(|_| !chosen)
    }

    fn fits_number(&self, text: &str) -> Result<(), String> {
        check_number(text)?;
        if self.worklist.iter().any(|item| item.number == text) {
            return Err(prompts::number_taken(text));
        }
        Ok(())
    }

    fn take_number(&mut self, text: &str) -> Result<Vec<Effect>, String> {
        self.fits_number(text)?;
        self.over
            .ask((Prompt::NewUnits(text.to_owned()), String::new()));
        // Not every case is here.
        Ok(vec![Effect::LookUp {
            number: text.to_owned(),
        }])
    }

    /// Accepts a line that was confirmed.
    fn take_sure(
        &mut self,
        from: &Prompt,
        line: &str,
        moment: &Moment,
    ) -> Result<Vec<Effect>, String> {
        let line = crate::text::clean(line);
        let line = line.trim();
        if *from == Prompt::Number {
            return self.take_number(line);
        }
        if *from == Prompt::Became {
            return self.take_became(line, moment);
        }
        let chosen = self.unsure_notation(line).map(|_| self.notation);
        let mut effects = self.take_units(from, line, moment)?;
        if let Some(notation) = chosen {
            self.chosen_notation = Some(notation);
            effects.push(Effect::Choose(notation));
        }
        Ok(effects)
    }

    fn take_units(
        &mut self,
        from: &Prompt,
        line: &str,
        moment: &Moment,
    ) -> Result<Vec<Effect>, String> {
        let units = units_line::read(line, self.notation)?;
        Ok(match from {
            Prompt::NewUnits(number) => vec![Effect::Create {
                number: number.clone(),
                units,
            }],
            _ => self
                .inspection
                .as_mut()
                .map_or_else(Vec::new, |i| i.set_units(units, moment)),
        })
    }
}
