//! What differs between two flows, by what it means: questions, rules with their limits and choices, options, tables.

use serde::Serialize;
use serde_json::Value as Json;

use super::model::Flow;
use super::written;
use crate::fact::{FactId, FactSpec};
use crate::logic::{Condition, Test};
use crate::phrase::faults::flow::difference as said;

/// What differs in one row.
#[derive(Clone, PartialEq, Debug)]
pub enum Change {
    /// It is new.
    Added,
    /// It is there no more.
    Gone,
    /// Something in it is another.
    Other(Vec<Moved>),
}

/// Something that is another than before.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Moved {
    /// What, by its name in the files, with the level or the part that it belongs to.
    pub what: String,
    /// What it was, as a file writes it.
    pub before: String,
    /// What it is now.
    pub now: String,
    /// Whether it only says the same in other words, or names another source.
    pub is_wording: bool,
}

/// A row that differs.
#[derive(Clone, PartialEq, Debug)]
pub struct Row {
    /// What it is a row of, by the word that its file begins with.
    pub table: &'static str,
    /// Its id.
    pub id: String,
    /// What differs.
    pub change: Change,
}

impl Row {
    /// Returns whether results, or what is asked, may be others for it.
    pub fn has_meaning(&self) -> bool {
        if BESIDE.contains(&self.table) {
            return false;
        }
        match &self.change {
            Change::Added | Change::Gone => true,
            Change::Other(moved) => moved.iter().any(|own| !own.is_wording),
        }
    }
}

/// What differs between two flows.
#[derive(Clone, PartialEq, Debug)]
pub struct Difference {
    /// The rows that differ, table by table.
    pub rows: Vec<Row>,
    /// The version before and now.
    pub versions: (u32, u32),
}

impl Difference {
    /// Returns whether results, or what is asked, may be others.
    pub fn has_meaning(&self) -> bool {
        self.rows.iter().any(Row::has_meaning)
    }

    /// Returns whether the version has to be raised and was not.
    pub fn must_be_raised(&self) -> bool {
        self.has_meaning() && self.versions.1 <= self.versions.0
    }
}

/// Tables that stand beside what is judged: whatever differs there, no result does.
const BESIDE: [&str; 4] = ["Sources", "Norms", "Shorts", "Prices"];

/// What only words hang on, or what only tells where something stands or comes from.
const WORDING: [&str; 19] = [
    "title",
    "asks",
    "look",
    "how",
    "why",
    "dentist",
    "says",
    "because",
    "tells",
    "bench",
    "asks_back",
    "name",
    "label",
    "sentence",
    "does",
    "cautions",
    "source",
    "limits",
    "foretells",
];

/// What says nothing of the meaning at all: where a row stands, and what tests it.
const APART: [&str; 3] = ["stands", "written", "examples"];

/// Compares two flows.
pub fn difference(before: &Flow, now: &Flow) -> Difference {
    let mut rows = Vec::new();
    let mut table = |name: &'static str, one: Vec<(String, Json)>, other: Vec<(String, Json)>| {
        compare(name, &one, &other, (before, now), &mut rows);
    };
    macro_rules! tables {
        ($($name:literal $list:ident $id:expr;)+) => { $(
            table(
                $name,
                before.$list.iter().map(|own| ($id(own), json(own))).collect(),
                now.$list.iter().map(|own| ($id(own), json(own))).collect(),
            );
        )+ };
    }
    tables! {
        "Flow" steps |own: &super::Step| own.id.clone();
        "Questions" questions |own: &super::Question| own.fact.to_string();
        "Rules" rules |own: &super::Rule| own.id.clone();
        "Materials" materials |own: &super::Material| own.id.to_string();
        "Cements" cements |own: &super::Cement| own.id.clone();
        "Seatings" seatings |own: &super::Seating| own.id.clone();
        "Options" options |own: &super::OptionRow| own.id.clone();
        "Loads" loads |own: &super::Load| own.id.clone();
        "Instruments" instruments |own: &super::Instrument| own.id.clone();
        "Facts" facts |own: &FactSpec| own.id.to_string();
        "Prices" prices |own: &super::Price| own.id.clone();
        "Sources" sources |own: &super::Citation| own.id.clone();
    }
    let whole = |name: &str, own: Json| vec![(name.to_owned(), own)];
    for (name, one, other) in [
        ("Flow", json(&before.anew), json(&now.anew)),
        ("Figures", json(&before.figures), json(&now.figures)),
        ("Norms", json(&before.norms), json(&now.norms)),
        ("Shorts", json(&before.shorts), json(&now.shorts)),
    ] {
        let id = if name == "Flow" {
            said::ANEW
        } else {
            said::ALL
        };
        table(name, whole(id, one), whole(id, other));
    }
    if before.title != now.title {
        rows.push(Row {
            table: "Flow",
            id: now.id.clone(),
            change: Change::Other(vec![Moved {
                what: "title".to_owned(),
                before: before.title.clone(),
                now: now.title.clone(),
                is_wording: true,
            }]),
        });
    }
    Difference {
        rows,
        versions: (before.version, now.version),
    }
}

fn json(own: &impl Serialize) -> Json {
    serde_json::to_value(own).unwrap_or(Json::Null)
}

fn compare(
    table: &'static str,
    before: &[(String, Json)],
    now: &[(String, Json)],
    flows: (&Flow, &Flow),
    rows: &mut Vec<Row>,
) {
    let find = |list: &[(String, Json)], id: &str| {
        list.iter()
            .find(|(own, _)| own == id)
            .map(|(_, own)| own.clone())
    };
    let mut add = |id: &str, change| {
        rows.push(Row {
            table,
            id: id.to_owned(),
            change,
        });
    };
    for (id, one) in before {
        let Some(other) = find(now, id) else {
            add(id, Change::Gone);
            continue;
        };
        let mut moved = Vec::new();
        walk("", (one, &other), flows, &mut moved);
        if !moved.is_empty() {
            add(id, Change::Other(moved));
        }
    }
    for (id, _) in now {
        if find(before, id).is_none() {
            add(id, Change::Added);
        }
    }
    // What is in both stands in another order.
    let order = |one: &[(String, Json)], other: &[(String, Json)]| -> Vec<String> {
        let both = one.iter().filter(|(id, _)| find(other, id).is_some());
        both.map(|(id, _)| id.clone()).collect()
    };
    let (one, other) = (order(before, now), order(now, before));
    let Some(nth) = one.iter().zip(&other).position(|(a, b)| a != b) else {
        return;
    };
    // Questions stand in the order of the steps, and are told there.
    if table != "Questions" {
        let moved = Moved {
            what: said::ORDER.to_owned(),
            before: one[nth].clone(),
            now: other[nth].clone(),
            is_wording: false,
        };
        add(said::ALL, Change::Other(vec![moved]));
    }
}

/// Collects what differs between two values; `what` is the path so far.
fn walk(what: &str, (one, other): (&Json, &Json), flows: (&Flow, &Flow), moved: &mut Vec<Moved>) {
    if one == other {
        return;
    }
    let below = |name: &str| match what {
        "" => name.to_owned(),
        what => format!("{what} {name}"),
    };
    let mut push = |before: String, now: String| {
        let first = what.split(' ').next().unwrap_or_default();
        // A question that is asked no more is more than another word.
        let is_there = !one.is_null() && !other.is_null();
        moved.push(Moved {
            what: what.to_owned(),
            before,
            now,
            is_wording: WORDING.contains(&first) && (is_there || first == "how"),
        });
    };
    if let (Some(before), Some(now)) = (condition(one), condition(other)) {
        match limits(&before, &now) {
            Some(limits) => {
                for ((fact, before), (_, now)) in limits {
                    let number = |test: &Test, flow| match test.limit() {
                        Some(limit) => written::limit(&fact, limit, flow),
                        None => written::test(&fact, test, flow),
                    };
                    push(
                        written::test(&fact, &before, flows.0),
                        number(&now, flows.1),
                    );
                }
            }
            None => push(
                written::condition(&before, flows.0),
                written::condition(&now, flows.1),
            ),
        }
        return;
    }
    match (one, other) {
        (Json::Object(before), Json::Object(now)) if before.keys().eq(now.keys()) => {
            for (key, own) in before {
                if !APART.contains(&key.as_str()) {
                    walk(&below(key), (own, &now[key]), flows, moved);
                }
            }
        }
        (Json::Array(before), Json::Array(now)) => {
            lists(what, (before, now), flows, moved);
        }
        _ => push(plain(one, flows.0), plain(other, flows.1)),
    }
}

/// Collects what differs between two lists: pairs that begin with the same word are compared, of others is told what is gone
/// and what is new.
fn lists(
    what: &str,
    (before, now): (&[Json], &[Json]),
    flows: (&Flow, &Flow),
    moved: &mut Vec<Moved>,
) {
    let named = |list: &[Json]| -> Option<Vec<(String, Json)>> {
        let pair = |own: &Json| match own.as_array().map(Vec::as_slice) {
            Some([Json::String(name), rest]) => Some((name.clone(), rest.clone())),
            _ => None,
        };
        list.iter().map(pair).collect()
    };
    let is_wording = what
        .split(' ')
        .next()
        .is_some_and(|first| WORDING.contains(&first));
    if let (Some(one), Some(other)) = (named(before), named(now)) {
        let find = |list: &[(String, Json)], name: &str| {
            list.iter()
                .find(|(own, _)| own == name)
                .map(|(_, own)| own.clone())
        };
        let names = one.iter().chain(&other).map(|(name, _)| name);
        let mut seen: Vec<&String> = Vec::new();
        for name in names {
            if seen.contains(&name) {
                continue;
            }
            seen.push(name);
            let (own, new) = (find(&one, name), find(&other, name));
            match (&own, &new) {
                (Some(own), Some(new)) => {
                    walk(&format!("{what} {name}"), (own, new), flows, moved);
                }
                _ => {
                    let say = |own: &Option<Json>, flow| {
                        own.as_ref()
                            .map_or_else(|| said::NOTHING.to_owned(), |own| plain(own, flow))
                    };
                    moved.push(Moved {
                        what: format!("{what} {name}"),
                        before: say(&own, flows.0),
                        now: say(&new, flows.1),
                        is_wording,
                    });
                }
            }
        }
        return;
    }
    let without = |list: &[Json], other: &[Json], flow: &Flow| -> String {
        let own = list.iter().filter(|own| !other.contains(own));
        let own: Vec<String> = own.map(|own| plain(own, flow)).collect();
        match own.as_slice() {
            [] => said::NOTHING.to_owned(),
            own => own.join(", "),
        }
    };
    let (gone, new) = (without(before, now, flows.0), without(now, before, flows.1));
    let (gone, new) = if gone == said::NOTHING && new == said::NOTHING {
        // The same in another order.
        let all = |list: &[Json], flow| {
            let all: Vec<String> = list.iter().map(|own| plain(own, flow)).collect();
            all.join(", ")
        };
        (all(before, flows.0), all(now, flows.1))
    } else {
        (gone, new)
    };
    moved.push(Moved {
        what: what.to_owned(),
        before: gone,
        now: new,
        is_wording,
    });
}

fn condition(own: &Json) -> Option<Condition> {
    own.is_object()
        .then(|| serde_json::from_value(own.clone()).ok())?
}

/// Returns a value on one line.
fn plain(own: &Json, flow: &Flow) -> String {
    if let Some(own) = condition(own) {
        return written::condition(&own, flow);
    }
    match own {
        Json::Null => said::NOTHING.to_owned(),
        Json::String(text) => text.clone(),
        Json::Array(all) if all.iter().any(|own| condition(own).is_some()) => {
            let all: Vec<String> = all.iter().map(|own| plain(own, flow)).collect();
            all.join(", ")
        }
        other => other.to_string(),
    }
}

/// A test of a fact.
type Tested = (FactId, Test);

/// Returns the tests of two conditions that differ in their limits alone, or `None` if more differs.
fn limits(one: &Condition, other: &Condition) -> Option<Vec<(Tested, Tested)>> {
    let parts = |one: &[Condition], other: &[Condition]| -> Option<Vec<(Tested, Tested)>> {
        if one.len() != other.len() {
            return None;
        }
        let mut all = Vec::new();
        for (one, other) in one.iter().zip(other) {
            all.extend(limits(one, other)?);
        }
        Some(all)
    };
    match (one, other) {
        (one, other) if one == other => Some(Vec::new()),
        (Condition::All(one), Condition::All(other))
        | (Condition::Any(one), Condition::Any(other)) => parts(one, other),
        (Condition::AtLeast(n, one), Condition::AtLeast(m, other)) if n == m => parts(one, other),
        (Condition::Not(one), Condition::Not(other)) => limits(one, other),
        (Condition::AnyAt(a, one), Condition::AnyAt(b, other))
        | (Condition::EveryAt(a, one), Condition::EveryAt(b, other))
            if a == b =>
        {
            limits(one, other)
        }
        (Condition::AtLeastAt(n, a, one), Condition::AtLeastAt(m, b, other))
            if (n, a) == (m, b) =>
        {
            limits(one, other)
        }
        (Condition::Test(fact, own), Condition::Test(same, new)) if fact == same => {
            let alike = std::mem::discriminant(own) == std::mem::discriminant(new);
            let limit = own.limit().is_some();
            let tested = |test: &Test| (fact.clone(), test.clone());
            (alike && limit).then(|| vec![(tested(own), tested(new))])
        }
        _ => None,
    }
}
