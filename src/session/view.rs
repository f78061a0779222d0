//! Views: what is shown of a session, as data. The screen and the plain lines say it through `phrase` and compute nothing.

mod badge;
mod find;
mod header;
mod help;
mod prompts;
mod terms;

use super::command::{Command, Context, works};
use super::{Inspection, NotSaved, Page, Prompt, Session};
use crate::case::coming::awaited;
use crate::flow::Level;
use crate::phrase::pages::tabs;
use crate::phrase::{Phrase, pages};

pub use super::pages::call::{CallRow, CallView, PanelLine, ReadyLine};
pub use super::pages::follow_up::{FollowUpRow, FollowUpView};
pub use super::pages::history::HistoryView;
pub use super::pages::options::{OptionLine, OptionsView, WallChange};
pub use super::pages::outcome::OutcomeView;
pub use super::pages::pictures::{GripView, PictureView, Plate};
pub use super::pages::questions::{
    LastView, LineView, PresentView, QuestionsView, StepState, StepView,
};
pub use super::pages::rates::RatesView;
pub use super::pages::trials::LeafView;
pub use super::pages::worklist::{AboutCase, WorklistRow, WorklistView};
pub use crate::phrase::pages::call::RowMark;
pub use crate::phrase::pages::cells::{Cell as CellView, CellState, UnitShown, ValueOrigin};
pub use crate::phrase::pages::findings::{Bound, Passed};
pub use crate::print::Leaf;
pub use badge::Badge;
pub use find::{FindRow, FindView};
pub use header::{Header, UnitView};

/// The whole screen.
#[derive(Clone)]
pub struct View {
    /// What keys mean now.
    pub context: Context,
    /// The first line; none on the worklist.
    pub header: Option<Header>,
    /// The page.
    pub page: PageView,
    /// Help over the page.
    pub help: Option<HelpView>,
    /// A line that is being typed: what for, an example, the text.
    pub prompt: Option<(String, String, String)>,
    /// A sentence until the next key.
    pub notice: Option<String>,
    /// That something is not in the archive, until it is.
    pub not_saved: Option<String>,
    /// What to try next, in the demo.
    pub tip: Option<String>,
    /// How far the page or help is scrolled.
    pub scroll: usize,
    /// The pages of the case, for the last line; none where there is no case.
    pub tabs: Vec<TabView>,
    /// Keys and what they do, behind them.
    pub keys: Vec<(String, &'static str)>,
    /// What is being looked for, over the page.
    pub find: Option<FindView>,
}

/// A page.
#[derive(Clone)]
pub enum PageView {
    /// The list of cases.
    Worklist(Box<WorklistView>),
    /// The questions of a step.
    Questions(Box<QuestionsView>),
    /// The findings.
    Findings(FindingsView),
    /// Summary and call sheet, as lines.
    Summary(Vec<SummaryLine>),
    /// The call.
    Call(Box<CallView>),
    /// The options.
    Options(Box<OptionsView>),
    /// A picture of the case.
    Picture(Box<PictureView>),
    /// What was entered before.
    History(HistoryView),
    /// What became of a delivered restoration.
    Outcome(Box<OutcomeView>),
    /// What came back, over the whole record.
    Rates(Box<RatesView>),
    /// Rules on trial, or a limit that is moved.
    Leaf(Box<LeafView>),
    /// What is due of one dentist.
    FollowUp(Box<FollowUpView>),
}

/// A page that can be gone to.
#[derive(Clone, PartialEq, Debug)]
pub struct TabView {
    /// The key that goes there.
    pub key: String,
    /// Its name.
    pub name: &'static str,
    /// How many things there are on it, or 0 where nothing is counted.
    pub count: usize,
    /// Whether it is the page that is shown.
    pub here: bool,
}

/// A choice of the open cell.
#[derive(Clone, PartialEq, Debug)]
pub struct ChoiceView {
    /// The digit that picks it.
    pub digit: char,
    /// What it is.
    pub words: String,
    /// The same without what explains it, for a window that is too small.
    pub short: String,
    /// Whether it is the present answer.
    pub now: bool,
}

/// A finding that the newest change took away.
#[derive(Clone, PartialEq, Debug)]
pub struct GoneLine {
    /// The place.
    pub place: String,
    /// The level that it had.
    pub level: Level,
}

impl GoneLine {
    /// Says place and level.
    pub fn said(&self) -> String {
        pages::findings::gone(&self.place, self.level)
    }
}

/// A finding in a line.
#[derive(Clone, PartialEq, Debug)]
pub struct FindingLine {
    /// The level.
    pub level: Level,
    /// The place.
    pub place: String,
    /// The sentence.
    pub says: String,
    /// The limit that was passed, with the number where the sentence lacks it.
    pub passed: Option<Passed>,
    /// Whether the newest change brought it or changed its level.
    pub new: bool,
    /// How many findings with the same cause are folded under it.
    pub folded: usize,
}

impl FindingLine {
    /// Says the finding behind its level and place: the sentence, the limit, how many share its cause.
    pub fn told(&self) -> String {
        pages::findings::told(&self.says, self.passed.as_ref(), self.folded)
    }
}

/// The findings with the marked one in full.
#[derive(Clone)]
pub struct FindingsView {
    /// All findings.
    pub findings: Vec<FindingLine>,
    /// What is said where there are none.
    pub none: &'static str,
    /// The marked one.
    pub marked: usize,
    /// What is said of the marked one: headings and texts.
    pub detail: Vec<(String, Vec<String>)>,
    /// What it rests on.
    pub evidence: Vec<EvidenceLine>,
    /// What is said of it behind that.
    pub rest: Vec<(String, Vec<String>)>,
    /// Grip, motion and demand under each load, as detail.
    pub figures: Vec<String>,
    /// Open points whose readings were looked for and not told, or could not be worked out.
    pub open_points: Vec<String>,
    /// What waits for questions still to come, a line a step.
    pub to_come: Vec<String>,
}

/// A fact that a finding rests on.
#[derive(Clone, PartialEq, Debug)]
pub struct EvidenceLine {
    /// What it is called.
    pub what: String,
    /// Its value.
    pub found: String,
    /// What it should be, or `None` if no limit of it decided.
    pub needs: Option<(Bound, String)>,
    /// The readings that it was worked out from; empty if it was read itself.
    pub from: String,
}

/// A line of the summary.
#[derive(Clone, PartialEq, Debug)]
pub struct SummaryLine {
    /// The text.
    pub text: String,
    /// Whether it is a heading.
    pub heading: bool,
    /// The level it tells of.
    pub level: Option<Level>,
}

/// Help: headings and lines.
#[derive(Clone)]
pub struct HelpView {
    /// What is measured, as a picture, where there is one.
    pub picture: Option<Plate>,
    /// Headings with their lines.
    pub sections: Vec<(String, Vec<String>)>,
}

/// The pages of a case in the order of the last line, each with the command that goes there.
const TABS: [(Command, Page, &str); 6] = [
    (Command::Questions, Page::Questions, tabs::INSPECT),
    (Command::Findings, Page::Findings, tabs::FINDINGS),
    (Command::Options, Page::Options, tabs::OPTIONS),
    (Command::Call, Page::Call, tabs::CALL),
    (Command::Picture, Page::Picture, tabs::PICTURES),
    (Command::Summary, Page::Summary, tabs::SUMMARY),
];

/// Commands that answer a question in place of a value.
pub(super) const ANSWERS: [Command; 2] = [Command::NotSeen, Command::Same];

impl Session {
    /// Returns what is shown of the session.
    pub fn view(&self) -> View {
        let context = self.context();
        let keys = self.keys_in_order(context);
        let facts = self.inspection.as_ref().map(Inspection::facts);
        let open = self.inspection.as_ref().zip(facts.as_ref());
        let page = self.page_view(open);
        let header = open
            .filter(|_| self.page != Page::Worklist)
            .map(|(inspection, facts)| self.header(inspection, facts));
        let help = self
            .over
            .helps()
            .then(|| self.help_view(header.as_ref(), &page));
        View {
            context,
            header,
            page,
            help,
            // The line of the filter stands on the page itself.
            prompt: self
                .over
                .line()
                .filter(|(prompt, _)| *prompt != Prompt::Filter)
                .map(|(prompt, text)| self.prompt_view(prompt, text)),
            notice: self.notice.clone(),
            not_saved: self.not_saved.as_ref().map(|own| match own {
                NotSaved::Waiting(answers) => pages::screen::not_saved(*answers),
                NotSaved::Aside(_) => pages::screen::NO_ARCHIVE.to_owned(),
            }),
            tip: self.tip(),
            scroll: self.scroll,
            tabs: self.tabs(context),
            keys,
            find: self.over.find().map(FindView::of),
        }
    }

    /// Returns the keys of the last line with what they do. A narrow screen cuts what is named last: help comes first, then
    /// what is to be done now, then undo, finding and the way back. What has its place elsewhere is left out.
    fn keys_in_order(&self, context: Context) -> Vec<(String, &'static str)> {
        let arrives = works(context, Command::Arrived) && self.awaits();
        let has_bar = !self.tabs(context).is_empty();
        let elsewhere = |command: Command| match command {
            Command::Arrived => !arrives,
            // These stand beside the question that they answer.
            own if ANSWERS.contains(&own) => context == Context::Questions,
            Command::Questions | Command::ToQuestions => has_bar,
            own => has_bar && TABS.iter().any(|(tab, ..)| *tab == own),
        };
        let weight = |command: Command| match command {
            Command::Help => 0,
            Command::Print if context == Context::Summary => 1,
            Command::Arrived => 1,
            Command::Undo | Command::Find if has_bar => 2,
            // Of a list there is nothing to go back from but its filter.
            Command::Back if context == Context::Worklist && self.listing.filter.is_empty() => 5,
            Command::Back if context != Context::Questions => 3,
            _ => 4,
        };
        let mut shown: Vec<_> = self.keymap.shown(context).collect();
        shown.retain(|(command, ..)| !elsewhere(*command));
        shown.sort_by_key(|(command, ..)| weight(*command));
        let keys = shown.into_iter();
        keys.map(|(_, key, short)| (key.to_owned(), short))
            .collect()
    }

    /// Returns the pages of a case, or nothing where there is no case or no page can be gone to.
    fn tabs(&self, context: Context) -> Vec<TabView> {
        let on_page = context == self.context_of_page() || context == Context::AskedBack;
        let case = self.inspection.as_ref().filter(|_| on_page);
        let Some(inspection) =
            case.filter(|_| self.page != Page::Worklist && context != Context::Answer)
        else {
            return Vec::new();
        };
        let tab = |(command, page, name): &(Command, Page, &'static str)| TabView {
            key: self
                .keymap
                .keys(*command)
                .last()
                .cloned()
                .unwrap_or_default(),
            name,
            count: match page {
                Page::Findings => inspection.judgement.findings.len(),
                _ => 0,
            },
            here: *page == self.page,
        };
        TABS.iter().map(tab).collect()
    }

    /// Whether something that was agreed has still to come in.
    fn awaits(&self) -> bool {
        let case = self.inspection.as_ref().map(Inspection::case);
        case.is_some_and(|case| !awaited(case).is_empty())
    }

    pub(super) fn phrase<'a>(&self, inspection: &'a Inspection) -> Phrase<'a> {
        Phrase {
            flow: &inspection.flow,
            notation: self.notation,
        }
    }
}
