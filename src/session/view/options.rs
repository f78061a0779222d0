//! The options as a table, and one of them in full.

use crate::derive::{Facts, Precision};
use crate::fact::{Place, Unit};
use crate::flow::{Level, OptionRow, RuleId, Whose};
use crate::judge::judge;
use crate::options::{
    After, CaseOption, Changes, Together, barred, for_the_dentist, proposed, ranked, taken,
};
use crate::phrase::{BARRED, DENTIST_MAY, LABORATORY_CAN, Phrase, TOGETHER, WORKED_OUT};
use crate::session::{Inspection, Session, Ways};

/// The options with the marked one in full.
#[derive(Clone, Debug, Default)]
pub struct OptionsView {
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
    pub rank: String,
    /// What is done.
    pub does: String,
    /// The result afterwards; none where it changes no figure.
    pub level: Option<Level>,
    /// The result in words.
    pub result: String,
    /// Grip before and after.
    pub grip: String,
    /// The weakest changed wall before and after.
    pub wall: String,
    /// Tooth that is cut, in mm³.
    pub cut: String,
    /// How long it takes.
    pub days: String,
    /// What it costs; for one that is barred, the reason.
    pub price: String,
    /// Whether it is barred.
    pub barred: bool,
}

/// The names of the columns behind what is done.
pub const OPTION_COLUMNS: [&str; 6] = ["result", "grip", "weakest wall", "mm³", "days", "price"];

impl OptionLine {
    /// Returns what stands in the columns, each under its name.
    pub fn cells(&self) -> impl Iterator<Item = (&'static str, &str)> {
        let cells = [
            &self.result,
            &self.grip,
            &self.wall,
            &self.cut,
            &self.days,
            &self.price,
        ];
        OPTION_COLUMNS.into_iter().zip(cells.map(String::as_str))
    }
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

    pub(super) fn options(&self, inspection: &Inspection, facts: &Facts<'_>) -> OptionsView {
        let phrase = self.phrase(inspection);
        let Some(ways) = &inspection.ways else {
            return OptionsView {
                waiting: Some(WORKED_OUT.to_owned()),
                ..OptionsView::default()
            };
        };
        let list = entries(inspection, ways);
        let said = Said {
            phrase,
            facts,
            ways,
        };
        let mut rows: Vec<OptionLine> = Vec::new();
        let mut section = "";
        for entry in &list {
            let mut row = said.row(entry);
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
            (None, _) => Some(format!("two at once: {WORKED_OUT}")),
            (Some(_), true) => Some("nothing that was found has a way out here".to_owned()),
            (Some(_), false) => None,
        };
        let marked = self.option.min(list.len().saturating_sub(1));
        OptionsView {
            detail: list
                .get(marked)
                .map_or_else(Vec::new, |entry| said.detail(entry)),
            rows,
            marked,
            waiting,
            full: self.option_full,
        }
    }
}

/// What the table is told from.
struct Said<'a> {
    phrase: Phrase<'a>,
    facts: &'a Facts<'a>,
    ways: &'a Ways,
}

impl<'a> Said<'a> {
    fn row(&self, entry: &Entry<'_>) -> OptionLine {
        match entry {
            Entry::Ranked(rank, way) => OptionLine {
                rank: rank.to_string(),
                ..self.single(way)
            },
            Entry::ForTheDentist(way) => self.single(way),
            Entry::Barred(way) => OptionLine {
                price: way.bar.clone().unwrap_or_default(),
                barred: true,
                does: self.phrase.does(self.facts, way),
                ..OptionLine::default()
            },
            Entry::Together(together) => {
                let parts = self.parts(together);
                let options = self.options(&parts);
                let mut row = self.after(Some(&together.after));
                row.does = self.names(&parts).join(" + ");
                row.cut = self.cut(together.cut);
                row.days = self.days(options.iter().map(|r| r.days).max().unwrap_or(0));
                row.price = self.prices(&options);
                row
            }
        }
    }

    /// Tooth that is cut, under a heading that names the unit.
    fn cut(&self, cut: Option<f64>) -> String {
        let unit = Unit::Mm3.symbol();
        self.phrase.cut(cut).map_or_else(String::new, |cut| {
            cut.trim_end_matches(unit).trim_end().to_owned()
        })
    }

    fn single(&self, way: &CaseOption) -> OptionLine {
        let mut row = self.after(way.after.as_ref());
        row.does = self.phrase.does(self.facts, way);
        row.cut = self.cut(way.cut);
        if let Some(option) = way.of(self.phrase.flow) {
            row.days = self.days(option.days);
            row.price = self.phrase.price(option);
        }
        row
    }

    fn after(&self, after: Option<&After>) -> OptionLine {
        let Some(after) = after else {
            // Something to say or do: it changes no figure.
            return OptionLine {
                result: "-".to_owned(),
                ..OptionLine::default()
            };
        };
        OptionLine {
            level: after.verdict.shown(),
            result: self.phrase.in_a_word(after.verdict).to_owned(),
            grip: self.phrase.grip_change(after).unwrap_or_default(),
            wall: self
                .phrase
                .wall_changes(after)
                .into_iter()
                .next()
                .unwrap_or_default(),
            ..OptionLine::default()
        }
    }

    fn days(&self, days: u32) -> String {
        match days {
            0 => String::new(),
            days => days.to_string(),
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
        let mut said: Vec<String> = Vec::new();
        for price in options.iter().map(|option| self.phrase.price(option)) {
            if !said.contains(&price) {
                said.push(price);
            }
        }
        said.join("; ")
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
        let mut detail = vec![("What".to_owned(), self.names(&parts))];
        let mut add = |heading: &str, texts: Vec<String>| {
            if !texts.is_empty() {
                detail.push((heading.to_owned(), texts));
            }
        };
        add("Barred", bar.into_iter().cloned().collect());
        if let Some(after) = after {
            add("Result", vec![self.phrase.verdict(after.verdict)]);
            add("Gone", self.gone(after));
            add("New or worse", self.worse(&parts, after));
            add("Grip", self.phrase.grip_parts(after));
            add(
                "Part of the wall that resists",
                self.phrase.wall_changes(after),
            );
        } else if bar.is_none() {
            add(
                "Result",
                vec!["it changes no figure; nothing is worked out for it".to_owned()],
            );
        }
        add("Tooth cut", self.phrase.cut(cut_by).into_iter().collect());
        add("With the reading error", self.steady(&parts));
        let whose = options.iter().any(|option| option.by == Whose::Dentist);
        let consent = if whose {
            "the dentist's to decide"
        } else {
            "the laboratory's own; see the cautions"
        };
        add("Whose", vec![consent.to_owned()]);
        let days = options.iter().map(|option| option.days).max().unwrap_or(0);
        add(
            "Price and time",
            vec![format!(
                "{}; {}",
                self.prices(&options),
                self.phrase.days(days)
            )],
        );
        let mut cautions: Vec<String> = options
            .iter()
            .flat_map(|option| option.cautions.clone())
            .collect();
        if greedy {
            cautions.push(
                "The third was only added to the best two; other threes were not tried.".to_owned(),
            );
        }
        add("Careful", cautions);
        let changes: Vec<String> = match parts.as_slice() {
            [way] => self.phrase.changes(self.facts, &way.changes),
            _ => Vec::new(),
        };
        add("Changes", changes);
        let mut sources: Vec<String> = Vec::new();
        for source in options
            .iter()
            .map(|option| self.phrase.source(&option.source))
        {
            if !sources.contains(&source) {
                sources.push(source);
            }
        }
        add("Source", sources);
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

    /// What is new is told with the figures it has then.
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
                format!(
                    "{}: {}",
                    self.phrase.level(finding.level),
                    self.phrase.line(&facts, finding)
                )
            })
            .collect()
    }
}
