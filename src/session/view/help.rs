//! Help: what to look at, how, why, after which source, and the keys of the page.

use super::terms::terms;
use super::{Header, HelpView, PageView, Plate};
use crate::flow::Rule;
use crate::flow::written::{self, truths};
use crate::judge::Finding;
use crate::phrase::glossary;
use crate::phrase::pages::help as said;
use crate::phrase::prompts::editing;
use crate::session::command::{COMMANDS, Context};
use crate::session::{Page, Session};

impl Session {
    /// Returns what helps with the open question: what to look at, how, why, with what, and where it comes from; on the
    /// findings, by which rule the marked one came up, where it stands, and what each part of it comes to here.
    pub fn help_on_question(&self) -> Vec<(String, Vec<String>)> {
        let mut sections = self.help_on_finding();
        let question = self
            .inspection
            .as_ref()
            .filter(|_| self.page == Page::Questions);
        if let Some((inspection, question)) = question.and_then(|i| Some((i, i.question()?))) {
            let phrase = self.phrase(inspection);
            // In a small window the page may cut the question; here it is whole.
            sections.push((said::QUESTION.to_owned(), vec![question.asks.clone()]));
            sections.push((said::LOOK.to_owned(), vec![question.look.clone()]));
            if let Some(how) = &question.how {
                sections.push((said::HOW.to_owned(), vec![how.clone()]));
            }
            sections.push((said::WHY.to_owned(), vec![question.why.clone()]));
            let instruments: Vec<String> = question
                .with
                .iter()
                .filter_map(|(id, error)| {
                    let instrument = inspection.flow.instrument(id)?;
                    Some(said::instrument(&instrument.name, instrument.step, *error))
                })
                .collect();
            if !instruments.is_empty() {
                sections.push((said::INSTRUMENTS.to_owned(), instruments));
            }
            sections.push((
                said::SOURCE.to_owned(),
                vec![phrase.source(&question.source)],
            ));
        }
        sections
    }

    /// Returns the marked finding with its rule, on their page.
    pub(in crate::session) fn rule_in_help(&self) -> Option<(&Finding, &Rule)> {
        let open = self.inspection.as_ref();
        let inspection = open.filter(|_| self.page == Page::Findings)?;
        let own = inspection.judgement.findings.get(self.findings.marked)?;
        Some((own, inspection.flow.rule(own.rule)?))
    }

    fn help_on_finding(&self) -> Vec<(String, Vec<String>)> {
        let Some(((finding, rule), inspection)) = self.rule_in_help().zip(self.inspection.as_ref())
        else {
            return Vec::new();
        };
        let (flow, facts) = (&*inspection.flow, inspection.facts());
        // Blanks at the beginning of a line are not kept.
        let indented = |line: String| {
            let depth = (line.len() - line.trim_start().len()) / 2;
            format!("{}{}", "- ".repeat(depth), line.trim_start())
        };
        let truths = truths(rule, &facts, finding.at, (flow, said::PART_UNKNOWN));
        let mut where_it_stands = vec![said::stands(&rule.stands, &flow.id, flow.version)];
        where_it_stands.push(match self.supervisor {
            true => self.keymap.say(editing::OPENS),
            false => said::TO_CHANGE.to_owned(),
        });
        vec![
            (said::rule(&rule.id), written::rule(rule, flow)),
            (
                said::WHY_HERE.to_owned(),
                truths.into_iter().map(indented).collect(),
            ),
            (said::WHERE_IT_STANDS.to_owned(), where_it_stands),
        ]
    }

    pub(super) fn help_view(&self, header: Option<&Header>, page: &PageView) -> HelpView {
        let mut sections = self.help_on_question();
        let context = self.context_of_page();
        let mut lines = Vec::new();
        if context == Context::Questions {
            lines.push(said::key(said::DIGITS, said::DIGITS_DO));
        }
        lines.extend(
            COMMANDS
                .iter()
                .filter(|spec| spec.contexts.contains(&context))
                .map(|spec| {
                    let keys = self.keymap.keys(spec.command).join(" ");
                    said::key(&keys, spec.does)
                }),
        );
        sections.push((said::keys(context.title()), lines));
        let here = match context {
            Context::Questions => said::PAD_QUESTIONS,
            Context::Call | Context::Answer => said::PAD_CALL,
            Context::Summary => said::PAD_SUMMARY,
            _ => said::PAD_ELSEWHERE,
        };
        let pad = self.keymap.say(&said::pad(here));
        sections.push((said::PAD.to_owned(), vec![pad]));
        let terms = terms(header, page);
        if !terms.is_empty() {
            sections.push((glossary::HEADING.to_owned(), terms));
        }
        let fact = self
            .inspection
            .as_ref()
            .filter(|_| self.page == Page::Questions)
            .and_then(|inspection| Some(&inspection.cursor()?.fact));
        let picture = fact.and_then(crate::drawing::help).map(|figure| Plate {
            figure,
            ..Plate::default()
        });
        HelpView { picture, sections }
    }
}
