//! The page of what came back: figures of the whole record, told apart by what is chosen.

use std::sync::Arc;

use jiff::civil::Date;

use super::limits::Swept;
use super::trials::OnTrial;
use crate::case::outcome::Kind;
use crate::drawing::{coming, staying};
use crate::learn::follow_up::FollowUp;
use crate::learn::sweep::Moved;
use crate::learn::{Asked, Figures, Group, Unfit};
use crate::phrase::learn as said;
use crate::phrase::pages::worklist::progress;
use crate::print::Document;
use crate::print::rates::{by_kind_caption, chart_words, funnel_of, rates, title, unfit};
use crate::session::view::{Plate, SummaryLine};
use crate::session::{Command, Effect, Page, Session};

/// What restorations can be told apart by here, in turn.
const BY: [&[Group]; 11] = [
    &[],
    &[Group::Grip],
    &[Group::Grip, Group::Answer],
    &[Group::Height],
    &[Group::Taper],
    &[Group::Tray],
    &[Group::Material],
    &[Group::Answer],
    &[Group::Dentist],
    &[Group::Technician],
    &[Group::Flow],
];

/// What counts, in turn, each with the months that it is followed at first: what is seen at fit shows within the first.
const OF: [(&[Kind], i32); 6] = [
    (&[], 12),
    (&[Kind::CameOff], 12),
    (&[Kind::Broke], 12),
    (
        &[
            Kind::OpenMargin,
            Kind::HighContact,
            Kind::ContactOpen,
            Kind::Shade,
        ],
        1,
    ),
    (&[Kind::OpenMargin], 1),
    (&[Kind::Decay], 12),
];

/// How many months, in turn.
pub(super) const WITHIN: [i32; 5] = [1, 6, 12, 24, 60];

/// Returns the next or the last of so many, in turn; there is one at least.
pub(super) fn turn(now: usize, forward: bool, of: usize) -> usize {
    match forward {
        true => (now + 1) % of,
        false => (now + of - 1) % of,
    }
}

/// What came of a question, or how far it is.
#[derive(Clone, PartialEq, Debug)]
pub enum Rated {
    /// So many cases of so many are read.
    Reading(usize, usize),
    /// The figures, or why there are none.
    Done {
        /// What was asked.
        asked: Box<Asked>,
        /// What the record says.
        found: Box<Result<Figures, Unfit>>,
        /// How many cases could not be read.
        unread: usize,
    },
    /// Of which restorations dentists are to be asked again, and how many cases could not be read.
    FollowUp(Arc<FollowUp>, usize),
    /// The rules, held against the record.
    Trials(Arc<OnTrial>),
    /// So many cases of so many are read for a limit that is moved.
    Moving(Box<Moved>, usize, usize),
    /// A limit, moved over the record.
    Swept(Arc<Swept>),
    /// The archive could not be read; why, in a sentence.
    Failed(String),
}

/// What the page shows.
#[derive(Clone, PartialEq, Debug)]
pub struct State {
    by: usize,
    of: usize,
    months: i32,
    /// What came of what was asked last, or how far it is.
    rated: Option<Rated>,
}

impl Default for State {
    fn default() -> State {
        State {
            by: 0,
            of: 0,
            months: OF[0].1,
            rated: None,
        }
    }
}

impl State {
    fn asked(&self, today: Date) -> Asked {
        Asked {
            by: BY.get(self.by).copied().unwrap_or_default().to_vec(),
            kinds: OF
                .get(self.of)
                .map(|own| own.0)
                .unwrap_or_default()
                .to_vec(),
            months: self.months,
            from: None,
            to: None,
            today,
        }
    }
}

/// The page of what came back.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct RatesView {
    /// What is asked.
    pub title: String,
    /// What restorations are told apart by, and which it is of all.
    pub by: String,
    /// What the record says.
    pub lines: Vec<SummaryLine>,
    /// The charts.
    pub plates: Vec<Plate>,
    /// What the charts show, where they are drawn.
    pub captions: Vec<SummaryLine>,
}

impl Session {
    /// Carries out a command of the page; `None` if it is none.
    pub(in crate::session) fn rates_command(&mut self, command: Command) -> Option<Vec<Effect>> {
        match command {
            Command::Print if self.page == Page::Rates => {
                let printed = self
                    .rates_document()
                    .map(|own| Effect::PrintRates(Box::new(own)));
                return Some(printed.into_iter().collect());
            }
            Command::Rates => {
                self.page = Page::Rates;
                self.rates.rated = None;
            }
            Command::NextGroups | Command::PreviousGroups => {
                self.rates.by = turn(self.rates.by, command == Command::NextGroups, BY.len());
            }
            Command::Kinds => {
                self.rates.of = turn(self.rates.of, true, OF.len());
                self.rates.months = OF[self.rates.of].1;
            }
            Command::Within => {
                let now = WITHIN.iter().position(|own| *own == self.rates.months);
                self.rates.months = WITHIN[turn(now.unwrap_or(0), true, WITHIN.len())];
            }
            _ => return None,
        }
        self.scroll = 0;
        let today = self.today.unwrap_or_default();
        Some(vec![Effect::Rate(Box::new(self.rates.asked(today)))])
    }

    /// Returns what is shown as a document, or `None` where there are no figures.
    fn rates_document(&self) -> Option<Document> {
        match &self.rates.rated {
            Some(Rated::Done {
                asked,
                found,
                unread,
            }) => {
                let found = found.as_ref().as_ref().ok()?;
                Some(rates(found, asked, *unread, self.notation))
            }
            _ => None,
        }
    }

    /// Takes in what came of a question, unless another was asked since.
    pub fn rated(&mut self, rated: Rated) {
        match self.page {
            Page::FollowUp => return self.take_follow_up(rated),
            Page::Trials => return self.take_trials(rated),
            Page::Limits => return self.take_swept(rated),
            _ => {}
        }
        let today = self.today.unwrap_or_default();
        let own = match &rated {
            Rated::Done { asked, .. } => **asked == self.rates.asked(today),
            Rated::Reading(..) | Rated::Failed(_) => true,
            _ => false,
        };
        if own {
            self.rates.rated = Some(rated);
        }
    }

    pub(in crate::session) fn rates_view(&self) -> RatesView {
        let asked = self.rates.asked(self.today.unwrap_or_default());
        let by: Vec<String> = asked.by.iter().map(|own| own.words().to_owned()).collect();
        let by = said::told_apart(&by, (self.rates.by + 1, BY.len()));
        let plain = |text: String| SummaryLine {
            text,
            heading: false,
            level: None,
        };
        let mut view = RatesView {
            title: title(&asked),
            by,
            ..RatesView::default()
        };
        match &self.rates.rated {
            Some(Rated::Reading(done, of)) => view.lines.push(plain(progress(*done, *of))),
            Some(Rated::Failed(why)) => view.lines.push(plain(why.clone())),
            Some(Rated::Done {
                asked,
                found,
                unread,
            }) => match &**found {
                Err(why) => {
                    let (what, hint) = unfit(why);
                    // Options of the command line are none here.
                    let hint = match why {
                        Unfit::NotByTechnician => self.keymap.say(said::OTHER_KINDS),
                        _ => hint.to_owned(),
                    };
                    view.lines
                        .extend([plain(said::sentence(&what)), plain(said::sentence(&hint))]);
                }
                Ok(found) => {
                    let document = rates(found, asked, *unread, self.notation);
                    // The title stands over the page.
                    let lines = document.lines().skip(1);
                    view.lines = lines
                        .map(|(text, heading, level)| SummaryLine {
                            text,
                            heading,
                            level,
                        })
                        .collect();
                    view.plates = charts(found);
                    if found.funnel.is_some() {
                        view.captions.push(plain(said::FUNNEL_LINES.to_owned()));
                    }
                    if found
                        .curve
                        .as_ref()
                        .is_some_and(|own| staying(own).is_some())
                    {
                        view.captions.push(plain(said::CURVE_CAPTION.to_owned()));
                    }
                    let by_kind = found.by_kind.as_ref();
                    if let Some(own) = by_kind.filter(|own| coming(own).is_some()) {
                        view.captions.push(plain(by_kind_caption(own)));
                    }
                }
            },
            _ => view.lines.push(plain(said::READS.to_owned())),
        }
        view
    }
}

/// The charts: dentists in their funnel, and how long restorations stay.
fn charts(found: &Figures) -> Vec<Plate> {
    let funnel = funnel_of(found).map(|(figure, _)| (said::FUNNEL, figure));
    let curve = found.curve.as_ref().and_then(staying);
    let by_kind = found.by_kind.as_ref().and_then(coming);
    let all = funnel
        .into_iter()
        .chain(curve.map(|own| (said::CURVE, own)))
        .chain(by_kind.map(|own| (said::BY_KIND, own)));
    all.map(|(title, figure)| Plate {
        title: title.to_owned(),
        words: chart_words(&figure),
        figure,
    })
    .collect()
}
