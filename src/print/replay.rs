//! A limit moved over the record: its slices, and the cases of one.

use super::leaf::Leaf;
use crate::fact::{Kind, Unit};
use crate::flow::Flow;
use crate::learn::replay::{Looked, Several};
use crate::learn::sweep::{Fate, Lies, Limit, Moved, Sweep, TellsNothing};
use crate::phrase::trial::{bar, left_out, replay as says, scale, top};
use crate::phrase::{number_words, rounded};

/// Which columns of the slices go first: told, the bars, unknown, all that there are.
const GOES: &[usize] = &[2, 5, 6, 1];
/// Which of the cases: when it was delivered.
const GOES_OF_CASES: &[usize] = &[1, 3];

/// Returns what was not looked at, as far as there is any.
pub fn about(looked: Looked) -> Vec<String> {
    let mut lines = Vec::new();
    if !looked.is_whole() {
        lines.push(says::broken_off(looked.done, looked.of));
    }
    lines.extend(left_out(looked.unread, looked.not_found));
    lines
}

/// Returns what became of some restorations, as it is said.
pub fn in_words(own: &Several) -> says::Several {
    says::Several {
        count: own.count,
        came: (own.as_found.came, own.as_found.of),
        interval: own.as_found.interval.map(|own| (own.low, own.high)),
        unknown: own.unknown,
    }
}

/// Returns why slices tell nothing, and what to do on the command line.
pub fn nothing(why: TellsNothing) -> (String, &'static str) {
    match why {
        TellsNothing::Open(open, of) => (says::too_open(open, of), says::TOO_OPEN_HINT),
        TellsNothing::Few(returns) => (says::too_few_returns(returns), says::TOO_FEW_RETURNS_HINT),
    }
}

/// Returns the unit of a limit.
pub fn unit(flow: &Flow, limit: &Limit) -> Unit {
    match flow.spec(&limit.fact).map(|spec| &spec.kind) {
        Some(Kind::Number { unit, .. }) => *unit,
        _ => Unit::Ratio,
    }
}

/// Returns what is swept, as a title.
pub fn title(flow: &Flow, moved: &Moved) -> String {
    let limit = &moved.steps.limit;
    let label = flow.spec(&limit.fact).map_or("", |spec| &spec.label);
    says::swept(&limit.rule, limit.level.as_str(), label, &moved.over.kinds)
}

/// Returns the step by which a limit is moved, in words.
pub fn step(flow: &Flow, moved: &Moved) -> String {
    let by = match moved.steps.at[..] {
        // Tenths are not exact in binary.
        [one, other, ..] => rounded((one - other).abs(), 6),
        _ => 0.0,
    };
    let unit = unit(flow, &moved.steps.limit);
    number_words(by, unit, Some(decimals(by).max(unit.decimals())))
}

/// Returns how many decimals a number has, so that no two look alike.
fn decimals(own: f64) -> usize {
    (0..6).find(|n| rounded(own, *n) == own).unwrap_or(6)
}

/// Says a number of the limit as finely as its steps are.
fn said(moved: &Moved, own: f64, unit: Unit) -> String {
    let all = moved.steps.at.iter().chain([&moved.steps.limit.now]);
    let most = all.map(|at| decimals(*at)).max().unwrap_or(0);
    number_words(own, unit, Some(most))
}

/// Returns the name of a slice.
pub fn name(moved: &Moved, found: &Sweep, row: usize) -> String {
    let say = |own: f64| said(moved, own, Unit::Ratio);
    found.rows.get(row).map_or_else(String::new, |row| {
        says::slice(row.from.map(say).as_deref(), row.to.map(say).as_deref())
    })
}

/// Returns the slices, an interval of each, and what it would mean to put the limit somewhere else.
pub fn slices(flow: &Flow, moved: &Moved, found: &Sweep, looked: Looked) -> Leaf {
    let unit = unit(flow, &moved.steps.limit);
    let mut before = about(looked);
    let months = moved.over.months;
    before.push(says::in_slices(
        found.decidable,
        found.open,
        found.closing,
        months,
    ));
    let interval = |own: &Several| own.as_found.interval.filter(|_| own.as_found.of > 0);
    let highs = found.rows.iter();
    let most = top(highs.filter_map(|row| Some(interval(&row.own)?.high)));
    let rows = found.rows.iter().enumerate().map(|(nth, row)| {
        let several = in_words(&row.own);
        let (came, of) = several.came;
        let share = came as f64 / of.max(1) as f64;
        let now = if found.now == Some(nth) {
            says::NOW
        } else {
            ""
        };
        vec![
            name(moved, found, nth),
            format!("{:>5}", several.count),
            format!("{:>4}", says::told(row.told)),
            format!("{of:>5}"),
            format!("{came:>4}"),
            bar(says::BAR, share, several.interval.filter(|_| of > 0), most),
            format!("{:>7}", several.unknown),
            now.to_owned(),
        ]
    });
    let mut leaf = Leaf {
        title: title(flow, moved),
        before,
        over: String::new(),
        head: says::columns(unit.symbol(), scale(says::BAR, most)),
        rows: rows.collect(),
        goes: GOES,
        bar: Some(5),
        after: Vec::new(),
    };
    let mut texts = put_elsewhere(moved, found, unit);
    texts.push(says::none_is_best(found.returns(), found.rows.len()));
    leaf.after.push((String::new(), texts));
    let columns = says::SLICES_ARE.map(str::to_owned).to_vec();
    leaf.after.push((String::new(), columns));
    leaf
}

/// Says what it would mean to put the limit at either end.
fn put_elsewhere(moved: &Moved, found: &Sweep, unit: Unit) -> Vec<String> {
    let Some(now) = found.now else {
        return Vec::new();
    };
    let steps = &moved.steps;
    let last = found.rows.len().saturating_sub(1);
    let beyond = found.rows.get(now + 1..last).unwrap_or_default();
    let before = found.rows.get(1..=now).unwrap_or_default();
    let ends = [
        (beyond, steps.at.last(), true),
        (before, steps.at.first(), false),
    ];
    let some = ends.into_iter().filter(|(rows, ..)| !rows.is_empty());
    some.filter_map(|(rows, to, more)| {
        let several = in_words(&found.together(rows));
        let (here, to) = (said(moved, steps.limit.now, unit), said(moved, *to?, unit));
        Some(says::put_to(&here, &to, more, &several, moved.over.months))
    })
    .collect()
}

/// Returns the cases of a slice, those from `first` on, as many as are given.
pub fn cases(flow: &Flow, moved: &Moved, found: &Sweep, (row, all): (usize, &[&Lies])) -> Leaf {
    let limit = &moved.steps.limit;
    let unit = unit(flow, limit).symbol();
    let slice = says::with_unit(&name(moved, found, row), unit);
    let rows = all.iter().map(|own| {
        vec![
            says::case(&own.number, own.restoration),
            says::day(own.delivered),
            says::back(own.back),
            fate(own.fate).to_owned(),
        ]
    });
    Leaf {
        title: says::cases(&limit.rule, limit.level.as_str(), &slice),
        before: all
            .is_empty()
            .then(|| says::EMPTY.to_owned())
            .into_iter()
            .collect(),
        head: says::CASES.map(str::to_owned).to_vec(),
        rows: rows.collect(),
        goes: GOES_OF_CASES,
        ..Leaf::default()
    }
}

fn fate(own: Fate) -> &'static str {
    match own {
        Fate::CameBack => says::CAME_BACK,
        Fate::Stayed => says::STAYED,
        Fate::NotYet => says::NOT_YET,
        Fate::Unheard => says::UNHEARD,
        Fate::Later => says::LATER,
        Fate::Unknown => says::UNKNOWN,
    }
}
