//! The options as a table, and one of them in full.

use crate::derive::{Facts, Precision};
use crate::fact::Place;
use crate::flow::{OptionRow, RuleId, Whose};
use crate::judge::{Verdict, judge};
use crate::options::{
    After, CaseOption, Changes, Together, barred, for_the_dentist, proposed, ranked, taken,
};
use crate::phrase::pages::options as said;
use crate::phrase::{
    BARRED, DENTIST_MAY, LABORATORY_CAN, Phrase, TOGETHER, grip_moved, pages, seen_cut,
    walls_changed,
};
use crate::session::{Command, Effect, Inspection, Page, Session, Ways};

/// The options with the marked one in full.
#[derive(Clone, Debug, Default)]
pub struct OptionsView {
    /// The case as it is: result and grip.
    pub now: Option<OptionLine>,
    /// The lines of the table.
    pub rows: Vec<OptionLine>,
    /// The marked line.
    pub marked: usize,
    /// Said while something is still being worked out, or where there is nothing.
    pub waiting: Option<String>,
    /// The marked option in full: headings and texts.
    pub detail: Vec<(String, Vec<String>)>,
    /// Whether the marked option has the page to itself.
    pub full: bool,
}

/// A line of the table.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct OptionLine {
    /// The heading before it, where it begins a part.
    pub section: Option<&'static str>,
    /// The rank, for what the laboratory can do.
    pub rank: Option<usize>,
    /// What is done.
    pub does: String,
    /// The result afterwards, or `None` if it changes no figure.
    pub verdict: Option<Verdict>,
    /// Grip before and after, if it moves.
    pub grip: Option<[f64; 2]>,
    /// The weakest changed wall.
    pub wall: Option<WallChange>,
    /// Tooth that is cut, in mm³, if anybody would see it.
    pub cut: Option<f64>,
    /// How many days it takes.
    pub days: u32,
    /// What it costs.
    pub price: String,
    /// Why it is barred, or `None` if it is not.
    pub barred: Option<String>,
}

/// A wall before and after.
#[derive(Clone, PartialEq, Debug)]
pub struct WallChange {
    /// The wall.
    pub place: String,
    /// Its effective part before, in per cent.
    pub before: f64,
    /// Its effective part after, in per cent.
    pub after: f64,
}

impl OptionLine {
    /// Returns what stands in each column, in the order of [`COLUMNS`](said::COLUMNS); empty where there is nothing to say.
    pub fn columns(&self) -> [String; 6] {
        self.columns_by(said::grip_moves, said::wall_moves)
    }

    fn columns_by(
        &self,
        grip: fn([f64; 2]) -> String,
        wall: fn(&str, f64, f64) -> String,
    ) -> [String; 6] {
        let wall = |own: &WallChange| wall(&own.place, own.before, own.after);
        [
            self.verdict.map_or("", said::result).to_owned(),
            self.grip.map_or_else(String::new, grip),
            self.wall.as_ref().map_or_else(String::new, wall),
            self.cut.map_or_else(String::new, said::cut_figure),
            said::days_figure(self.days),
            self.price.clone(),
        ]
    }

    /// Returns what is said of the columns that say something, each under its name.
    pub fn cells(&self) -> impl Iterator<Item = (&'static str, String)> {
        let spoken = self.columns_by(said::from_to, said::wall);
        let all = said::COLUMNS.into_iter().zip(spoken);
        all.filter(|(_, cell)| !cell.is_empty())
    }
}

/// What is marked on the page, and how much of it is shown.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct State {
    /// The marked option.
    pub marked: usize,
    /// Whether it is shown in full.
    pub full: bool,
}

/// What a line of the table stands for.
enum Entry<'w> {
    Ranked(usize, &'w CaseOption),
    ForTheDentist(&'w CaseOption),
    Together(&'w Together),
    Barred(&'w CaseOption),
}

fn entries<'w>(inspection: &Inspection, ways: &'w Ways) -> Vec<Entry<'w>> {
    let flow = inspection.flow();
    let mut list: Vec<Entry<'w>> = ranked(flow, &ways.singles)
        .into_iter()
        .map(|(rank, way)| Entry::Ranked(rank, way))
        .collect();
    list.extend(
        for_the_dentist(flow, &ways.singles)
            .into_iter()
            .map(Entry::ForTheDentist),
    );
    list.extend(ways.together.iter().flatten().map(Entry::Together));
    list.extend(barred(&ways.singles).map(Entry::Barred));
    list
}

impl Session {
    /// Turns to the page; the first option is marked.
    pub(in crate::session) fn turn_to_options(&mut self) {
        self.turn_to(Page::Options);
        self.options = State::default();
    }

    /// Carries out a command of the page; `None` if it is none.
    pub(in crate::session) fn options_command(&mut self, command: Command) -> Option<Vec<Effect>> {
        if command != Command::Detail {
            return None;
        }
        self.show_in_full(!self.options.full);
        Some(Vec::new())
    }

    /// Goes back to the table from an option in full; `None` if the table is shown.
    pub(in crate::session) fn options_back(&mut self) -> Option<Vec<Effect>> {
        self.options.full.then(|| {
            self.show_in_full(false);
            Vec::new()
        })
    }

    fn show_in_full(&mut self, full: bool) {
        self.options.full = full;
        self.scroll = 0;
    }

    /// Returns the marked line of the table and how many it has, or `None` where an option is shown in full.
    pub(in crate::session) fn options_marked(&self) -> Option<(usize, usize)> {
        (!self.options.full).then(|| (self.options.marked, self.option_rows()))
    }

    pub(in crate::session) fn mark_option(&mut self, place: usize) {
        self.options.marked = place;
        self.scroll = 0;
    }

    /// Returns how many lines the table of options has.
    pub fn option_rows(&self) -> usize {
        let ways = |inspection: &Inspection| {
            inspection
                .ways
                .as_ref()
                .map_or(0, |ways| entries(inspection, ways).len())
        };
        self.inspection.as_ref().map_or(0, ways)
    }

    pub(in crate::session) fn options(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
    ) -> OptionsView {
        let phrase = self.phrase(inspection);
        let Some(ways) = &inspection.ways else {
            return OptionsView {
                waiting: Some(said::CALCULATING.to_owned()),
                ..OptionsView::default()
            };
        };
        let list = entries(inspection, ways);
        let told = Told {
            phrase,
            facts,
            ways,
        };
        let mut rows: Vec<OptionLine> = Vec::new();
        let mut section = "";
        for entry in &list {
            let mut row = told.row(entry);
            let own = match entry {
                Entry::Ranked(..) => LABORATORY_CAN,
                Entry::ForTheDentist(_) => DENTIST_MAY,
                Entry::Together(_) => TOGETHER,
                Entry::Barred(_) => BARRED,
            };
            row.section = (own != section).then_some(own);
            section = own;
            rows.push(row);
        }
        let waiting = match (&ways.together, list.is_empty()) {
            (None, _) => Some(said::CALCULATING_TOGETHER.to_owned()),
            (Some(_), true) => Some(said::NONE.to_owned()),
            (Some(_), false) => None,
        };
        let marked = self.options.marked.min(list.len().saturating_sub(1));
        OptionsView {
            now: (!rows.is_empty()).then(|| now(inspection, &rows)),
            detail: list
                .get(marked)
                .map_or_else(Vec::new, |entry| told.detail(entry)),
            rows,
            marked,
            waiting,
            full: self.options.full,
        }
    }
}

/// Returns the case as it is, to compare with: its result, and its grip where an option moves it.
fn now(inspection: &Inspection, rows: &[OptionLine]) -> OptionLine {
    let before = rows
        .iter()
        .find_map(|row| row.grip)
        .map(|[before, _]| before);
    OptionLine {
        does: said::NOW.to_owned(),
        verdict: Some(inspection.judgement().verdict),
        grip: before.map(|before| [before; 2]),
        ..OptionLine::default()
    }
}

/// What the table is made from.
struct Told<'a> {
    phrase: Phrase<'a>,
    facts: &'a Facts<'a>,
    ways: &'a Ways,
}

impl<'a> Told<'a> {
    fn row(&self, entry: &Entry<'_>) -> OptionLine {
        match entry {
            Entry::Ranked(rank, way) => OptionLine {
                rank: Some(*rank),
                ..self.single(way)
            },
            Entry::ForTheDentist(way) => self.single(way),
            Entry::Barred(way) => OptionLine {
                barred: Some(way.bar.clone().unwrap_or_default()),
                does: self.phrase.does(self.facts, way),
                ..OptionLine::default()
            },
            Entry::Together(together) => {
                let parts = self.parts(together);
                let options = self.options(&parts);
                let mut row = self.after(Some(&together.after));
                row.does = said::together(&self.names(&parts));
                row.cut = seen_cut(together.cut);
                row.days = options.iter().map(|r| r.days).max().unwrap_or(0);
                row.price = self.prices(&options);
                row
            }
        }
    }

    fn single(&self, way: &CaseOption) -> OptionLine {
        let mut row = self.after(way.after.as_ref());
        row.does = self.phrase.does(self.facts, way);
        row.cut = seen_cut(way.cut);
        if let Some(option) = way.of(self.phrase.flow) {
            row.days = option.days;
            row.price = self.phrase.price(option);
        }
        row
    }

    fn after(&self, after: Option<&After>) -> OptionLine {
        let Some(after) = after else {
            // Something to say or do: it changes no figure.
            return OptionLine::default();
        };
        let weakest = walls_changed(after).into_iter().next();
        OptionLine {
            verdict: Some(after.verdict),
            grip: grip_moved(after),
            wall: weakest.map(|(at, before, after)| WallChange {
                place: self.phrase.place(at),
                before,
                after,
            }),
            ..OptionLine::default()
        }
    }

    fn parts(&self, together: &Together) -> Vec<&'a CaseOption> {
        together
            .parts
            .iter()
            .filter_map(|part| self.ways.singles.get(*part))
            .collect()
    }

    fn names(&self, parts: &[&CaseOption]) -> Vec<String> {
        parts
            .iter()
            .map(|way| self.phrase.does(self.facts, way))
            .collect()
    }

    fn options(&self, parts: &[&CaseOption]) -> Vec<&'a OptionRow> {
        parts
            .iter()
            .filter_map(|way| way.of(self.phrase.flow))
            .collect()
    }

    fn prices(&self, options: &[&OptionRow]) -> String {
        let mut all: Vec<String> = Vec::new();
        for price in options.iter().map(|option| self.phrase.price(option)) {
            if !all.contains(&price) {
                all.push(price);
            }
        }
        said::prices(&all)
    }

    /// Says everything about one line.
    fn detail(&self, entry: &Entry<'_>) -> Vec<(String, Vec<String>)> {
        let (parts, after, cut_by, bar, greedy) = match entry {
            Entry::Ranked(_, way) | Entry::ForTheDentist(way) | Entry::Barred(way) => (
                vec![*way],
                way.after.as_ref(),
                way.cut,
                way.bar.as_ref(),
                false,
            ),
            Entry::Together(together) => (
                self.parts(together),
                Some(&together.after),
                together.cut,
                None,
                together.greedy,
            ),
        };
        let options: Vec<&OptionRow> = parts
            .iter()
            .filter_map(|way| way.of(self.phrase.flow))
            .collect();
        let mut detail = vec![(said::WHAT.to_owned(), self.names(&parts))];
        let mut add = |heading: &str, texts: Vec<String>| {
            if !texts.is_empty() {
                detail.push((heading.to_owned(), texts));
            }
        };
        add(said::BARRED, bar.into_iter().cloned().collect());
        if let Some(after) = after {
            add(said::RESULT, vec![self.phrase.verdict(after.verdict)]);
            add(said::GONE, self.gone(after));
            add(said::WORSE, self.worse(&parts, after));
            add(said::GRIP, self.phrase.grip_parts(after));
            add(said::WALLS, self.phrase.wall_changes(after));
        } else if bar.is_none() {
            add(said::RESULT, vec![said::NO_FIGURE.to_owned()]);
        }
        add(said::CUT, self.phrase.cut(cut_by).into_iter().collect());
        add(said::STEADY, self.steady(&parts));
        let whose = options.iter().any(|option| option.by == Whose::Dentist);
        let decides = if whose {
            said::DENTIST
        } else {
            said::LABORATORY
        };
        add(said::WHO_DECIDES, vec![decides.to_owned()]);
        let days = options.iter().map(|option| option.days).max().unwrap_or(0);
        let price = said::price_and_time(&self.prices(&options), days);
        add(said::PRICE_AND_TIME, vec![price]);
        let mut cautions: Vec<String> = options
            .iter()
            .flat_map(|option| option.cautions.clone())
            .collect();
        if greedy {
            cautions.push(said::THIRD_ADDED.to_owned());
        }
        add(said::CAUTIONS, cautions);
        let changes: Vec<String> = match parts.as_slice() {
            [way] => self.phrase.changes(self.facts, &way.changes),
            _ => Vec::new(),
        };
        add(said::CHANGES, changes);
        let mut sources: Vec<String> = Vec::new();
        for source in options
            .iter()
            .map(|option| self.phrase.source(&option.source))
        {
            if !sources.contains(&source) {
                sources.push(source);
            }
        }
        add(said::SOURCE, sources);
        detail
    }

    /// How much of a single option is enough with a reading off by its usual error.
    fn steady(&self, parts: &[&CaseOption]) -> Vec<String> {
        let [way] = parts else {
            return Vec::new();
        };
        self.ways
            .steady
            .iter()
            .find(|(index, _)| self.ways.singles.get(*index) == Some(*way))
            .map(|(_, enough)| self.phrase.steady(way, *enough))
            .into_iter()
            .collect()
    }

    fn gone(&self, after: &After) -> Vec<String> {
        let judgement = judge(self.phrase.flow, self.facts);
        judgement
            .all_findings()
            .filter(|finding| after.gone.contains(&(finding.rule, finding.at)))
            .map(|finding| self.phrase.line(self.facts, finding))
            .collect()
    }

    /// Returns what is new or worse, with the figures of the case after the option.
    fn worse(&self, parts: &[&CaseOption], after: &After) -> Vec<String> {
        if after.new.is_empty() {
            return Vec::new();
        }
        let flow = self.phrase.flow;
        let Some(Changes { values, units }) = taken(flow, self.facts, parts) else {
            return Vec::new();
        };
        let copy = proposed(self.facts.case(), &values, units.as_ref());
        let facts = Facts::with(flow, &copy, Precision::Quick);
        let judgement = judge(flow, &facts);
        let is_new = |rule: RuleId, at: Place| {
            after
                .new
                .iter()
                .any(|(own, place, _)| (*own, *place) == (rule, at))
        };
        judgement
            .all_findings()
            .filter(|finding| is_new(finding.rule, finding.at))
            .map(|finding| {
                pages::findings::with_level(finding.level, &self.phrase.line(&facts, finding))
            })
            .collect()
    }
}
