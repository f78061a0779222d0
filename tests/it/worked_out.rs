//! What is worked out about spans, distances, cements and connectors, against closed forms.

use casepan::case::Case;
use casepan::derive::{Facts, Found, Worked};
use casepan::fact::{FactId, Place, Spot, Value};
use casepan::flow::embedded;
use casepan::judge::judge;
use casepan::print::{Sheet, document, json};

use crate::good::{choice, finish, flow, mm, pan, put};

fn worked(case: &Case, fact: &str, at: &str) -> Option<Value> {
    let facts = Facts::of(flow(), case);
    let at: Place = at.parse().expect("a place");
    facts.value(&FactId::named(fact), at).cloned()
}

#[track_caller]
fn number(case: &Case, fact: &str, at: &str) -> f64 {
    worked(case, fact, at)
        .and_then(|value| value.number())
        .unwrap_or_else(|| panic!("{fact} at {at} is not known"))
}

#[track_caller]
fn near(found: f64, wanted: f64) {
    assert!(
        (found - wanted).abs() < 1e-9 * wanted.abs(),
        "{found} is not {wanted}"
    );
}

/// A pier has an edentulous space on both sides and abutments beyond; textbooks, from memory.
#[test]
fn piers() {
    for (units, piers) in [
        ("13 x14 15 x16 17", vec!["15"]),
        ("13 x12 11 21 x22 23", vec![]),
        ("44 x45 46", vec![]),
        // A pontic on its other side hangs free: nothing holds beyond it.
        ("44 x45 46 x47", vec![]),
        ("33 x34 35 x36 37 x38", vec!["35"]),
    ] {
        let case = pan(units, "zirconia-3y", "resin-modified");
        let found: Vec<_> = units
            .split(' ')
            .filter(|unit| !unit.starts_with('x'))
            .filter(|unit| worked(&case, "tooth.is_pier", unit) == Some(Value::Yes))
            .collect();
        assert_eq!(found, piers, "{units}");
    }
}

#[test]
fn free_pontics_hang_beyond_the_last_abutment() {
    let case = pan("44 x45 46 x47", "zirconia-3y", "resin-modified");
    assert_eq!(worked(&case, "pontic.is_cantilever", "45"), Some(Value::No));
    assert_eq!(
        worked(&case, "pontic.is_cantilever", "47"),
        Some(Value::Yes)
    );
    let case = pan("x12 13", "zirconia-3y", "resin-modified");
    assert_eq!(
        worked(&case, "pontic.is_cantilever", "12"),
        Some(Value::Yes)
    );
    // Across the midline.
    let case = pan("x11 21 22", "zirconia-3y", "resin-modified");
    assert_eq!(
        worked(&case, "pontic.is_cantilever", "11"),
        Some(Value::Yes)
    );
}

/// The palatal walls of upper incisors and canines, and no others.
#[test]
fn only_palatal_walls_in_front_may_be_low() {
    for (wall, low) in [
        ("11/lingual", true),
        ("23/lingual", true),
        ("11/facial", false),
        ("11/mesial", false),
        ("14/lingual", false),
        ("31/lingual", false),
    ] {
        let (tooth, _) = wall.split_once('/').expect("a wall");
        let case = pan(tooth, "zirconia-3y", "resin-modified");
        assert_eq!(
            worked(&case, "wall.may_be_low", wall),
            Some(low.into()),
            "{wall}"
        );
    }
}

/// Deflection goes with the third power of the span: 1, 2, 3 equal pontics 1 : 8 : 27 (standard mechanics; as a law of
/// bridges Smyd 1952, from memory).
#[test]
fn one_two_three_pontics_bend_one_eight_twentyseven() {
    for (units, wanted) in [
        ("44 x45 46", 1.0),
        ("43 x44 x45 46", 8.0),
        ("43 x44 x45 x46 47", 27.0),
        // The longest run counts.
        ("13 x14 15 x16 x17 18", 8.0),
    ] {
        let mut case = pan(units, "zirconia-3y", "resin-modified");
        for pontic in units.split(' ').filter_map(|unit| unit.strip_prefix('x')) {
            put(&mut case, "pontic.span", pontic, mm(7.3));
        }
        near(number(&case, "restoration.deflection_ratio", "R1"), wanted);
    }
    // A free end is judged by itself; splinted crowns have no span.
    for units in ["45 46 x47", "35 36"] {
        let case = pan(units, "zirconia-3y", "resin-modified");
        assert_eq!(worked(&case, "restoration.deflection_ratio", "R1"), None);
    }
}

/// It waits for the readings of its pontics and says so.
#[test]
fn the_span_waits_for_its_readings() {
    let case = pan("43 x44 x45 46", "zirconia-3y", "resin-modified");
    let facts = Facts::of(flow(), &case);
    let spot = Spot {
        fact: FactId::named("restoration.deflection_ratio"),
        at: Place::Restoration(1),
    };
    let derived = facts.derived(&spot).expect("a result");
    match &derived.result {
        Worked::Waits(missing) => assert_eq!(missing.len(), 2),
        other => panic!("{other:?}"),
    }
}

/// 0.2 % over 40 mm are 80 µm by arithmetic. Here, with 44 x45 46 and a pontic of 8 mm, the preps stand 7/2 + 8 + 11/2 =
/// 17 mm apart (usual widths, Ash).
#[test]
fn distances() {
    let error = |material: &str, tray: &str| {
        let mut case = pan("44 x45 46", "zirconia-3y", "resin-modified");
        put(&mut case, "records.kind", "case", choice("impression"));
        put(&mut case, "impression.material", "case", choice(material));
        put(&mut case, "impression.stiffness", "case", choice(tray));
        put(&mut case, "pontic.span", "45", mm(8.0));
        worked(&case, "restoration.distance_error", "R1").and_then(|value| value.number())
    };
    // Shrinkage less 0.10 % of the stone, and the tray: 23 µm stock, 12 custom (Burns 2003, J Prosthet Dent 89:250-5).
    for (material, percent) in [
        ("vinyl-polysiloxane", 0.125),
        ("polyether", 0.25),
        // Nassar 2017, J Adv Prosthodont 9:182-7: 0.200 to 0.325 %.
        ("vinyl-polyether", 0.26),
        ("polysulfide", 0.45),
        ("condensation", 0.5),
    ] {
        let left = 17_000.0 * (percent - 0.10) / 100.0;
        near(error(material, "metal").expect("known"), left + 23.0);
        near(error(material, "custom").expect("known"), left + 12.0);
    }
    assert_eq!(error("alginate", "metal"), None);
    // Su, Sun 2015, J Prosthodont Res 59:236-42: 16.33, 41.56 and 88.44 µm.
    for (units, wanted) in [
        ("44 x45 46", 16.33),
        ("34 x35 x36 37", 41.56),
        ("14 13 12 11 21 22 23 24", 88.44),
    ] {
        let mut case = pan(units, "zirconia-3y", "resin-modified");
        put(&mut case, "records.kind", "case", choice("scan"));
        near(number(&case, "restoration.distance_error", "R1"), wanted);
    }
    let crown = pan("46", "zirconia-3y", "resin-modified");
    assert_eq!(worked(&crown, "restoration.distance_error", "R1"), None);
}

/// What the table of cements says is what the rules see.
#[test]
fn cements_by_their_table() {
    for (cement, bonds, dry, primer) in [
        ("zinc-phosphate", Value::No, Value::No, Value::No),
        ("resin-modified", Value::No, Value::No, Value::No),
        ("self-adhesive", Value::Yes, Value::Yes, Value::No),
        ("adhesive-resin", Value::Yes, Value::Yes, Value::Yes),
        ("primer-resin", Value::Yes, Value::Yes, Value::Yes),
    ] {
        let case = pan("46", "zirconia-3y", cement);
        for (fact, wanted) in [
            ("order.cement_bonds", bonds),
            ("order.cement_dry_field", dry),
            ("order.cement_primer", primer),
        ] {
            assert_eq!(worked(&case, fact, "R1"), Some(wanted), "{cement}: {fact}");
        }
    }
    // No rule names a cement of its own any more.
    for rule in &embedded().flow.expect("the shipped flow").rules {
        for (_, condition) in &rule.levels {
            let said = format!("{condition:?}");
            for test in ["Is", "OneOf"] {
                let named = format!("\"order.cement\", {test}");
                assert!(!said.contains(&named), "{}", rule.id);
            }
        }
    }
}

/// Which treatments go with which material and cement.
#[test]
fn the_inside_by_the_table_of_seating() {
    use Value::{No, Yes};
    for (material, cement, inside, lacks, barred) in [
        (
            "lithium-disilicate",
            "adhesive-resin",
            "etched-silane",
            No,
            No,
        ),
        ("lithium-disilicate", "adhesive-resin", "etched", Yes, No),
        (
            "lithium-disilicate",
            "self-adhesive",
            "abraded-primer",
            Yes,
            No,
        ),
        ("lithium-disilicate", "adhesive-resin", "not-said", No, No),
        ("leucite", "adhesive-resin", "nothing", Yes, No),
        ("zirconia-5y", "adhesive-resin", "abraded-primer", No, No),
        ("zirconia-5y", "adhesive-resin", "nothing", Yes, No),
        ("zirconia-3y", "self-adhesive", "etched", Yes, Yes),
        ("resin-matrix", "adhesive-resin", "etched", Yes, No),
        ("resin-matrix", "adhesive-resin", "etched-silane", No, No),
        // Cemented, the question does not come up, whatever somebody wrote before.
        ("lithium-disilicate", "resin-modified", "etched", No, No),
        ("metal-ceramic", "adhesive-resin", "etched", Yes, Yes),
        ("metal-ceramic", "zinc-phosphate", "etched", No, Yes),
    ] {
        let mut case = pan("25", material, cement);
        crate::good::put(
            &mut case,
            "order.fitting_surface",
            "R1",
            Value::Choice(inside.to_owned()),
        );
        let told = format!("{material}, {cement}, {inside}");
        assert_eq!(
            worked(&case, "order.fitting_surface_lacks", "R1"),
            Some(lacks),
            "{told}"
        );
        assert_eq!(
            worked(&case, "order.fitting_surface_barred", "R1"),
            Some(barred),
            "{told}"
        );
    }
}

/// Zirconia with a cement that nobody named: no open point waits for the cement, which cannot change the answer.
#[test]
fn an_unknown_cement_opens_nothing_about_the_inside_of_zirconia() {
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    crate::good::put(&mut case, "order.cement", "R1", Value::NotSeen);
    crate::good::finish(&mut case, true);
    let open = crate::good::open(&crate::good::judged(&case));
    assert!(
        !open
            .iter()
            .any(|point| point.contains("treatment-barred") || point.contains("bond-without")),
        "{open:?}"
    );
}

/// Times and order against published protocols: hydrofluoric acid of 5 % for 15 to 60 s holds alike and 5 s less (Moreno
/// 2019, Head Face Med 15). From memory: silane 60 s, a 10-MDP primer 20 to 60 s, alumina of 50 µm for 10 to 15 s, leucite
/// etched for 60 s. Primer after abrasion and never before the try-in.
#[test]
fn seating_follows_the_protocols() {
    use casepan::flow::Treatment::{Abrade, Clean, Etch, Primer, Silane, TryIn};
    let flow = embedded().flow.expect("the shipped flow");
    let lasts = |material: &str, cement: &str, treatment| {
        let material = &flow.material(material).expect("a material").id;
        let seating = flow.seating(material, cement).expect("a way to the seat");
        let step = seating
            .steps
            .iter()
            .find(|step| step.treatment == treatment);
        step.and_then(|step| step.lasts)
    };
    let (least, most) = lasts("lithium-disilicate", "adhesive-resin", Etch).expect("a time");
    assert!(least >= 15.0 && most <= 60.0);
    assert_eq!(
        lasts("lithium-disilicate", "adhesive-resin", Silane),
        Some((60.0, 60.0))
    );
    assert_eq!(lasts("leucite", "adhesive-resin", Etch), Some((60.0, 60.0)));
    assert_eq!(
        lasts("zirconia-3y", "adhesive-resin", Primer),
        Some((20.0, 60.0))
    );
    assert_eq!(
        lasts("zirconia-3y", "self-adhesive", Abrade),
        Some((10.0, 15.0))
    );
    assert_eq!(
        lasts("zirconia-3y", "resin-modified", Clean),
        Some((20.0, 20.0))
    );
    for seating in &flow.seatings {
        let place = |wanted| {
            seating
                .steps
                .iter()
                .position(|step| step.treatment == wanted)
        };
        for coat in [Silane, Primer].into_iter().filter_map(place) {
            for before in [TryIn, Abrade, Etch].into_iter().filter_map(place) {
                assert!(before < coat, "{}", seating.id);
            }
        }
        // Zirconia is not etched; glass is, and silanised.
        let glass = seating.id.contains("bonded")
            && !seating.id.starts_with("zirconia")
            // Etched or air-abraded, as its maker says.
            && !seating.id.starts_with("resin-matrix")
            && !seating.id.starts_with("metal");
        assert_eq!(seating.must == [Etch, Silane], glass, "{}", seating.id);
        assert_eq!(place(Etch).is_some(), glass, "{}", seating.id);
    }
}

/// Every material has a way to the seat with every cement, but for what is not taken without bonding.
#[test]
fn every_pair_has_a_way_to_the_seat() {
    let flow = embedded().flow.expect("the shipped flow");
    for material in &flow.materials {
        for cement in &flow.cements {
            let only_bonded = material.id == "leucite" || material.id == "resin-matrix";
            let wanted = !only_bonded || !cement.water_based;
            let found = flow.seating(&material.id, &cement.id).is_some();
            assert_eq!(found, wanted, "{} with {}", material.id, cement.id);
        }
    }
}

/// The force at which connectors broke in published series of three-unit zirconia frames over 7 mm, and what is said of the
/// same: within half as much again. Hafezeqoran 2020 (J Dent Res Dent Clin Dent Prospects), 9 mm² sharp 1054 ± 134 N
/// (the figure that the stress was set by) and 12 mm² rounded 1600 N; J Prosthet Dent 2022, 9 mm² of round, trapezoid and
/// square section 1065, 1010 and 870 N.
#[test]
fn connectors_break_as_in_published_series() {
    for (height, width, section, published) in [
        (3.0, 3.0, "sharp-box", 1054.0),
        (4.0, 3.0, "rounded-box", 1600.0),
        (3.385, 3.385, "round", 1065.0),
        (3.0, 3.0, "sharp-box", 870.0),
        (3.0, 3.0, "rounded-box", 1010.0),
    ] {
        let mut case = pan("44 x45 46", "zirconia-3y", "resin-modified");
        for connector in ["44-45", "45-46"] {
            put(&mut case, "connector.height", connector, mm(height));
            put(&mut case, "connector.width", connector, mm(width));
            put(&mut case, "connector.section", connector, choice(section));
        }
        put(&mut case, "pontic.span", "45", mm(7.0));
        let found = number(&case, "connector.breaks_at", "45-46");
        let [from, to] =
            ["from", "to"].map(|end| number(&case, &format!("connector.breaks_{end}"), "45-46"));
        assert!(
            (from..=to).contains(&published),
            "{section}: {found}, {published}"
        );
        // 774.7 N: Nishigawa 2001, J Oral Rehabil 28:485-91; half of the force is left to years of chewing.
        near(number(&case, "connector.hard_bite", "44-45"), 774.7);
        let share = number(&case, "connector.breaks_share", "45-46");
        assert!((share - 0.5 * found / 774.7).abs() < 1e-9);
    }
    // In front incisors bear 40 to 48 % (Ferrario 2004, J Oral Rehabil 31:18-22); a canine more.
    let mut front = pan("12 x11 21", "zirconia-3y", "resin-modified");
    finish(&mut front, true);
    let share = number(&front, "connector.hard_bite", "11-21") / 774.7;
    assert!((0.40..=0.48).contains(&share));
    let mut canine = pan("13 x12 11", "zirconia-3y", "resin-modified");
    finish(&mut canine, true);
    let beside = number(&canine, "connector.hard_bite", "12-13");
    assert!(beside > number(&front, "connector.hard_bite", "11-21") && beside < 774.7);
}

/// 3 × 3 mm sharp over 7 mm bears 4Zσ/L = 4 · 4.5 · 410 / 7 N; 4 × 4 sharp over 10.5 mm 4 · 10.667 · 410 / 10.5.
#[test]
fn breaking_forces_by_hand() {
    for (side, length, wanted) in [(3.0, 7.0, 1054.3), (4.0, 10.5, 1666.0)] {
        let mut case = pan("44 x45 46", "zirconia-3y", "resin-modified");
        for connector in ["44-45", "45-46"] {
            put(&mut case, "connector.height", connector, mm(side));
            put(&mut case, "connector.width", connector, mm(side));
            put(
                &mut case,
                "connector.section",
                connector,
                choice("sharp-box"),
            );
        }
        put(&mut case, "pontic.span", "45", mm(length));
        let found = number(&case, "connector.breaks_at", "45-46");
        assert!((found - wanted).abs() < 0.2, "{found}");
    }
}

/// Detail only: nothing is worked out for metal, for a free end and between neighbouring preps, and no rule looks at it.
#[test]
fn breaking_is_a_detail() {
    for (units, material, connector) in [
        ("44 x45 46", "metal-ceramic", "44-45"),
        ("13 x12 11", "lithium-disilicate", "12-13"),
        ("35 36", "zirconia-3y", "35-36"),
        ("45 46 x47", "zirconia-3y", "46-47"),
    ] {
        let mut case = pan(units, material, "resin-modified");
        finish(&mut case, true);
        assert_eq!(
            worked(&case, "connector.breaks_at", connector),
            None,
            "{units}"
        );
    }
    for rule in &flow().rules {
        for condition in rule.levels.iter().map(|(_, c)| c).chain(&rule.raise) {
            condition.facts(rule.at, &mut |fact, _| {
                assert!(
                    !fact.as_str().starts_with("connector.breaks"),
                    "{}",
                    rule.id
                );
            });
        }
    }
}

/// The smallest connector is the one that is named after a break.
#[test]
fn the_smallest_connector_counts() {
    let mut case = pan("44 x45 46", "zirconia-3y", "resin-modified");
    for (connector, height) in [("44-45", 4.0), ("45-46", 3.0)] {
        put(&mut case, "connector.height", connector, mm(height));
        put(&mut case, "connector.width", connector, mm(3.0));
        put(
            &mut case,
            "connector.section",
            connector,
            choice("sharp-box"),
        );
    }
    // 3 × 3 over the 9 mm² that 3Y zirconia wants behind the canine.
    near(number(&case, "restoration.connector_share", "R1"), 1.0);
}

/// The reserve is arithmetic: zinc phosphate's published mean of 2.3 MPa (Johnson 2009, J Am Dent Assoc 140:1125-36) over
/// the demand. Two pontics bend eight times as far as one (standard mechanics). Both are told and no rule looks at them.
#[test]
fn reserve_and_bending_are_told() {
    let mut case = pan("43 x44 x45 46", "zirconia-3y", "zinc-phosphate");
    finish(&mut case, true);
    for pontic in ["44", "45"] {
        put(&mut case, "pontic.span", pontic, mm(7.0));
    }
    let facts = Facts::of(flow(), &case);
    let detail = &facts.details()[0];
    let worst = detail.worst().expect("a worst load");
    let Found::Figure { demand, .. } = worst.found else {
        panic!("no figure");
    };
    let judgement = judge(flow(), &facts);
    let told = crate::made::told(flow(), &facts, &judgement);
    let lines: Vec<String> = document(told, &[Sheet::Summary])
        .lines()
        .map(|(line, ..)| line)
        .collect();
    for wanted in [
        format!("at 2.3 MPa, {:.1} times that", 2.3 / demand),
        "bends 8.0 times as far as a single pontic".to_owned(),
        "this figure does not affect the result".to_owned(),
    ] {
        assert!(lines.iter().any(|line| line.contains(&wanted)), "{wanted}");
    }
    let json: serde_json::Value = serde_json::from_str(&json(told).expect("JSON")).expect("JSON");
    for load in json["dislodgement"].as_array().expect("loads") {
        let (reserve, demand) = (load["reserve"].as_f64(), load["value"].as_f64());
        // Rounded as the prints say it.
        let off = reserve.expect("a reserve") - 2.3 / demand.expect("a demand");
        assert!(off.abs() <= 0.05 + 1e-9, "{off}");
    }
}
