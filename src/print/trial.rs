//! Rules held against the record: of all on a page, of one in full.

use super::leaf::Leaf;
use crate::flow::{Flow, unshown};
use crate::learn::Ripe;
use crate::learn::replay::Looked;
use crate::learn::trial::{Put, Standing, Trial, Trials};
use crate::phrase::trial::{self as says, Sure};

/// Which columns of the list go first: changed, between, silent, asked, told, times, as ordered.
const GOES: &[usize] = &[4, 7, 5, 2, 1, 6, 3];

/// Returns the rules on trial, in the order of [`in_order`].
pub fn rules(found: &Trials, flow: &Flow, looked: Looked, put: &Put) -> Leaf {
    let mut leaf = Leaf {
        title: says::TITLE.to_owned(),
        before: about(found, looked),
        over: says::heading(put.months),
        head: says::COLUMNS.map(str::to_owned).to_vec(),
        rows: in_order(found).into_iter().map(row).collect(),
        goes: GOES,
        bar: None,
        after: Vec::new(),
    };
    let mut texts = vec![says::COLUMNS_ARE.to_owned()];
    texts.extend(beside(found, flow));
    if found.not_on_trial > 0 {
        texts.push(says::rules_not_on_trial(found.not_on_trial));
    }
    leaf.after.push((String::new(), texts));
    let listed = |rule: &str| found.trials.iter().any(|own| own.rule == rule);
    let never = found.never_told.iter();
    let never: Vec<_> = never.filter(|(rule, _)| !listed(rule)).cloned().collect();
    if !never.is_empty() {
        let names = says::never_told(&never);
        leaf.after.push((says::NEVER_TOLD.to_owned(), vec![names]));
    }
    leaf.after.extend(overruled(found, None));
    let unshown = unshown(flow);
    if !unshown.is_empty() {
        let lines = unshown.iter().map(ToString::to_string).collect();
        leaf.after.push((says::unshown(unshown.len()), lines));
    }
    leaf
}

/// Returns the rules as they are listed: those that told something, then the others, each in the order of the flow.
pub fn in_order(found: &Trials) -> Vec<&Trial> {
    let (told, never): (Vec<&Trial>, Vec<&Trial>) =
        found.trials.iter().partition(|own| own.fired > 0);
    told.into_iter().chain(never).collect()
}

fn row(own: &Trial) -> Vec<String> {
    let cell = |ripe: &Ripe| says::cell((ripe.came, ripe.of));
    let (times, between, sure) = match &own.ratio {
        _ if own.fired == 0 => (String::new(), String::new(), says::NEVER.to_owned()),
        Some(ratio) => (
            says::ratio(ratio.value, ratio.low),
            says::ratio_between(ratio.low, ratio.high),
            sure(ratio.standing).short().to_owned(),
        ),
        None if own.is_always_followed() => {
            (String::new(), String::new(), says::FOLLOWED.to_owned())
        }
        None => (String::new(), String::new(), says::TOO_FEW.to_owned()),
    };
    vec![
        own.rule.clone(),
        format!("{:>4}", own.fired),
        format!("{:>5}", own.called),
        cell(&own.of_as_ordered),
        cell(&own.of_changed),
        cell(&own.of_silent),
        times,
        between,
        sure,
    ]
}

/// Returns one rule in full: what it told, what was answered, and what came back of each group.
pub fn rule(own: &Trial, found: &Trials, flow: &Flow, looked: Looked, put: &Put) -> Leaf {
    let mut before = vec![says::foretells(&own.rule, &own.kinds)];
    before.extend(about(found, looked));
    before.extend([
        says::told(own.fired, own.decidable, own.open),
        says::answered(own.called, own.changed, own.as_ordered, own.withdrawn),
        says::built(own.built, own.unheard, own.unripe, put.months),
    ]);
    let groups = [
        (says::AS_ORDERED, &own.of_as_ordered),
        (says::CHANGED, &own.of_changed),
        (says::UNASKED, &own.of_unasked),
        (says::SILENT, &own.of_silent),
    ];
    let highs = groups.iter().filter(|(_, ripe)| ripe.of > 0);
    let top = says::top(highs.filter_map(|(_, ripe)| Some(ends(ripe)?.1)));
    let rows = groups.map(|(name, ripe)| {
        vec![
            name.to_owned(),
            format!("{} of {}", ripe.came, ripe.of),
            says::bar(says::BAR, share(ripe), ends(ripe), top),
            says::share((ripe.came, ripe.of), ends(ripe)),
        ]
    });
    let head = [
        says::GROUP.to_owned(),
        says::CAME_BACK.to_owned(),
        says::scale(says::BAR, top),
        says::SHARE.to_owned(),
    ];
    let mut texts = compared(own);
    texts.extend(beside(found, flow));
    let mut after = vec![(String::new(), texts)];
    after.extend(overruled(found, Some(&own.rule)));
    Leaf {
        title: says::title(&own.rule),
        before,
        over: says::heading(put.months),
        head: head.to_vec(),
        rows: rows.to_vec(),
        goes: &[2, 3],
        bar: Some(2),
        after,
    }
}

fn sure(standing: Standing) -> Sure {
    match standing {
        Standing::StandsOut => Sure::StandsOut,
        Standing::Leans => Sure::Leans,
        Standing::NotShown => Sure::NotShown,
    }
}

fn about(found: &Trials, looked: Looked) -> Vec<String> {
    let mut lines = vec![says::about(found.closing, found.restorations)];
    lines.extend(says::left_out(looked.unread, looked.not_found));
    if found.of_other_flow > 0 {
        lines.push(says::of_other_flow(found.of_other_flow));
    }
    lines
}

/// Says what a comparison is not, and what luck alone would do, of all rules, also where only one is told.
fn beside(found: &Trials, flow: &Flow) -> [String; 2] {
    [
        says::NOT_BY_LOT.to_owned(),
        says::by_luck(found.compared(), flow.rules.len(), found.by_luck()),
    ]
}

fn share(ripe: &Ripe) -> f64 {
    ripe.came as f64 / ripe.of.max(1) as f64
}

fn ends(ripe: &Ripe) -> Option<(f64, f64)> {
    ripe.interval.map(|own| (own.low, own.high))
}

fn compared(own: &Trial) -> Vec<String> {
    let mut lines = Vec::new();
    match &own.ratio {
        Some(ratio) => {
            let sure = sure(ratio.standing);
            let times = says::times(ratio.value, ratio.low, ratio.high, own.returns(), sure);
            lines.push(says::against_silent(&times));
        }
        None if own.is_always_followed() => lines.push(says::always_followed(own.followed_it())),
        None => lines.push(says::too_few(own.returns(), own.needed)),
    }
    if let Some(lasting) = &own.lasting {
        let sure = sure(lasting.standing);
        lines.push(says::lasting(lasting.came, lasting.expected, sure));
    }
    if let Some((less, standing)) = &own.difference {
        let ends = (less.interval.low, less.interval.high);
        lines.push(says::against_changed(less.value, ends, sure(*standing)));
    }
    if let Some(calls) = &own.calls {
        lines.push(says::calls(calls.least, calls.likely, calls.most));
    }
    lines
}

/// Lists what was overruled and came back, of one rule or of all.
fn overruled(found: &Trials, rule: Option<&str>) -> Option<(String, Vec<String>)> {
    let own = found.overruled.iter();
    let own = own.filter(|own| rule.is_none_or(|rule| own.rule == rule));
    let lines: Vec<String> = own
        .map(|own| says::overruled(&own.number, own.restoration, &own.rule, own.what, own.on))
        .collect();
    (!lines.is_empty()).then(|| (says::OVERRULED.to_owned(), lines))
}
