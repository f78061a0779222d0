//! What the shipped flow says of every material, place, span, cement, habit and margin form, as a print that a person can
//! read and dispute: `demo/prints/materials.txt`. `UPDATE_PRINTS=1 cargo test table` writes it anew.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::Path;

use casepan::case::Case;
use casepan::derive::Facts;
use casepan::fact::FactId;
use casepan::flow::Level;
use casepan::judge::judge;

use crate::good::{choice, finish, flow, pan, put, rule_of};

/// Places and spans: a name, and the units.
const PLACES: [(&str, &str); 12] = [
    ("incisor", "21"),
    ("premolar", "25"),
    ("molar", "26"),
    ("joined premolars", "24 25"),
    ("joined molars", "46 47"),
    ("front, 1 pontic", "12 x11 21"),
    ("premolars, 1 pontic", "13 x14 15"),
    ("molar abutment", "44 x45 46"),
    ("molar pontic", "45 x46 47"),
    ("2 pontics", "44 x45 x46 47"),
    ("lateral on canine", "x12 13"),
    ("premolar hung on two", "x44 45 46"),
];

/// What is found: rules with their levels.
type Found = BTreeSet<(&'static str, Level)>;

/// A way in which a cell differs from the usual one of its material.
#[derive(Clone, Copy, PartialEq)]
struct Cell {
    cement: &'static str,
    grinds: bool,
    form: &'static str,
}

/// The cement that is usual for a material; common practice, no source.
fn usual(material: &str) -> Cell {
    let cement = match material {
        "lithium-disilicate" | "leucite" | "resin-matrix" => "adhesive-resin",
        "pmma" => "provisional",
        _ => "resin-modified",
    };
    Cell {
        cement,
        grinds: false,
        form: "chamfer",
    }
}

fn found(base: &Case, cell: Cell) -> Found {
    let mut case = base.clone();
    put(&mut case, "order.cement", "R1", choice(cell.cement));
    put(&mut case, "order.fitting_surface", "R1", choice("not-said"));
    let habit = if cell.grinds { "certain" } else { "none" };
    put(&mut case, "habit.grinding", "case", choice(habit));
    put(&mut case, "habit.facets", "case", choice("light"));
    for tooth in case.units.clone().restorations()[0].teeth(casepan::case::Role::Abutment) {
        let tooth = tooth.to_string();
        put(&mut case, "tooth.margin_form", &tooth, choice(cell.form));
    }
    // The shape of the preps is the same in every cell, so no search is needed.
    let judgement = judge(flow(), &Facts::without_search(flow(), &case));
    let told = judgement.all_findings();
    told.map(|finding| (rule_of(finding), finding.level))
        .collect()
}

fn union(parts: &[&Found]) -> Found {
    let mut worst: BTreeMap<&'static str, Level> = BTreeMap::new();
    for (rule, level) in parts.iter().copied().flatten() {
        let known = worst.entry(rule).or_insert(*level);
        *known = (*known).max(*level);
    }
    worst.into_iter().collect()
}

fn levels(found: &Found, letters: &mut Vec<&'static str>) -> String {
    let worst = found.iter().map(|(_, level)| *level).max();
    let sign = match worst {
        None | Some(Level::Fine) => return ".".to_owned(),
        Some(Level::Watch) => 'w',
        Some(Level::Call) => 'C',
        Some(Level::Hold) => 'H',
    };
    let mut said = format!("{sign} ");
    for (rule, _) in found {
        let known = letters.iter().position(|known| known == rule);
        let index = known.unwrap_or_else(|| {
            letters.push(rule);
            letters.len() - 1
        });
        said.push(char::from(b'a' + u8::try_from(index).expect("few rules")));
    }
    said
}

/// The table of one material; and the cells that are more or less than their parts together.
fn block(material: &'static str, out: &mut String) -> Vec<String> {
    let plain = usual(material);
    let name = &flow().material(material).expect("a material").name;
    let forms: Vec<&'static str> = forms();
    let mut rows: Vec<(String, Cell)> = vec![(format!("{}, chamfer", cement(plain.cement)), plain)];
    for other in cements() {
        if other != plain.cement {
            rows.push((
                cement(other),
                Cell {
                    cement: other,
                    ..plain
                },
            ));
        }
    }
    rows.push((
        "grinding certain".to_owned(),
        Cell {
            grinds: true,
            ..plain
        },
    ));
    for form in forms.iter().filter(|form| **form != plain.form) {
        rows.push((form_words(form), Cell { form, ..plain }));
    }
    let bases: Vec<Case> = PLACES
        .iter()
        .map(|(_, units)| {
            let mut case = pan(units, material, plain.cement);
            finish(&mut case, false);
            case
        })
        .collect();
    let mut letters = Vec::new();
    writeln!(out, "\n{name}").unwrap();
    write!(out, "{:42}", "").unwrap();
    for number in 1..=PLACES.len() {
        write!(out, "{number:<7}").unwrap();
    }
    out.push('\n');
    for (label, cell) in &rows {
        let mut line = format!("  {label:40}");
        for base in &bases {
            write!(line, "{:<7}", levels(&found(base, *cell), &mut letters)).unwrap();
        }
        writeln!(out, "{}", line.trim_end()).unwrap();
    }
    for (index, rule) in letters.iter().enumerate() {
        let rule = flow()
            .rules
            .iter()
            .find(|known| known.id == *rule)
            .expect("a rule");
        let source = flow().source(&rule.source).expect("a source");
        let letter = char::from(b'a' + u8::try_from(index).expect("few rules"));
        writeln!(
            out,
            "  {letter} {}: {} ({})",
            rule.id, source.text, source.status
        )
        .unwrap();
    }
    // Every cell of the whole is its parts together, or it is listed.
    let mut together = Vec::new();
    for ((place, _), base) in PLACES.iter().zip(&bases) {
        let only = |cell: Cell| found(base, cell);
        for other in cements() {
            let by_cement = only(Cell {
                cement: other,
                ..plain
            });
            for grinds in [false, true] {
                let by_habit = only(Cell { grinds, ..plain });
                for form in &forms {
                    let by_form = only(Cell { form, ..plain });
                    let whole = Cell {
                        cement: other,
                        grinds,
                        form,
                    };
                    let came = only(whole);
                    let own = only(plain);
                    // What the usual cement alone brings goes with it.
                    let without: Found = own
                        .iter()
                        .copied()
                        .filter(|one| by_cement.contains(one))
                        .collect();
                    let parts = union(&[
                        &by_cement,
                        &by_habit.difference(&own).copied().collect(),
                        &by_form.difference(&own).copied().collect(),
                        &without,
                    ]);
                    if came != parts {
                        together.push(format!("{material}, {place}, {other}, grinds {grinds}, {form}: {came:?}, by its parts {parts:?}"));
                    }
                }
            }
        }
    }
    together
}

fn cements() -> Vec<&'static str> {
    flow()
        .cements
        .iter()
        .map(|cement| cement.id.as_str())
        .collect()
}

fn cement(id: &str) -> String {
    flow().cement(id).expect("a cement").name.clone()
}

fn forms() -> Vec<&'static str> {
    let fact = FactId::named("wall.margin_form_used");
    let kind = &flow().spec(&fact).expect("a fact").kind;
    let ids = flow().choices(kind).into_iter().map(|(id, _)| id);
    ids.map(|id| &*id.leak()).collect()
}

fn form_words(id: &str) -> String {
    let fact = FactId::named("wall.margin_form_used");
    flow()
        .spec(&fact)
        .expect("a fact")
        .choice_words(id)
        .to_owned()
}

#[test]
fn materials_by_place_cement_habit_and_margin_are_as_printed() {
    let mut text = String::from(
        "What the shipped flow finds by material, place, span, cement, habit and margin form, on good preps with good records.\n\
         . nothing  w watch  C call  H on hold; the letters name the rules below each table, with their sources.\n\
         Each line changes one thing against the first; several at once find what each finds, and nothing else.\n\n",
    );
    for (number, (place, units)) in (1..).zip(PLACES) {
        writeln!(text, "  {number:2} {place}: {units}").unwrap();
    }
    let mut together = Vec::new();
    for material in &flow().materials {
        together.extend(block(material.id.as_str(), &mut text));
    }
    assert!(
        together.is_empty(),
        "more than their parts:\n{}",
        together.join("\n")
    );
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/prints/materials.txt");
    if std::env::var_os("UPDATE_PRINTS").is_some_and(|value| value == "1") {
        std::fs::write(&path, &text).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        kept == text,
        "demo/prints/materials.txt has drifted: UPDATE_PRINTS=1 cargo test table, and look at what changes"
    );
}
