//! Ordinary work through the whole of the program: readings in, derivations, rules, findings out. Good work draws nothing;
//! what is cut on the average is not told for its taper.

use crate::good::{
    choice, finish, finish_one_by_one, flow, good, heads, judged, mm, open, pan, put, rule_of,
};
use crate::session::Technician;
use casepan::case::{Case, Layer};
use casepan::derive::Facts;
use casepan::fact::{FactId, Place, Spot, Value};
use casepan::flow::Level;
use casepan::tooth::{Tooth, size};
use proptest::prelude::*;

/// The materials for single crowns, each with a cement that goes with it in practice; common practice, no source.
const CROWNS: [(&str, &str); 4] = [
    ("zirconia-3y", "resin-modified"),
    ("lithium-disilicate", "adhesive-resin"),
    ("metal-ceramic", "zinc-phosphate"),
    ("cast-metal", "glass-ionomer"),
];

/// Materials that are ordered less often, each with a cement that goes with it.
const MORE_CROWNS: [(&str, &str); 4] = [
    ("zirconia-porcelain", "resin-modified"),
    ("zirconia-multilayer", "resin-modified"),
    ("cobalt-chromium", "glass-ionomer"),
    ("resin-matrix", "adhesive-resin"),
];

#[track_caller]
fn draws_nothing(case: &mut Case, design: bool) {
    let told: Vec<_> = case.units.restorations()[0]
        .units
        .iter()
        .map(|unit| unit.tooth.to_string())
        .collect();
    finish(case, design);
    let judgement = judged(case);
    assert_eq!(heads(&judgement), [], "{}", told.join(" "));
    assert_eq!(open(&judgement), Vec::<String>::new(), "{}", told.join(" "));
    if design || case.units.restorations()[0].units.len() == 1 {
        assert!(judgement.verdict.is_fine());
        assert!(judgement.open_points.is_empty());
    }
}

#[test]
fn good_crowns_draw_nothing() {
    for tooth in [
        "11", "12", "13", "14", "15", "16", "17", "31", "32", "33", "34", "35", "36", "37",
    ] {
        for (material, cement) in CROWNS {
            draws_nothing(&mut pan(tooth, material, cement), false);
        }
    }
}

#[test]
fn good_crowns_of_other_materials_draw_nothing() {
    for tooth in ["11", "25", "46"] {
        for (material, cement) in MORE_CROWNS {
            draws_nothing(&mut pan(tooth, material, cement), false);
        }
    }
}

#[test]
fn good_crowns_by_scan_draw_nothing() {
    for tooth in ["21", "44", "46"] {
        let mut case = pan(tooth, "zirconia-3y", "self-adhesive");
        put(&mut case, "records.kind", "case", choice("scan"));
        draws_nothing(&mut case, false);
    }
}

#[test]
fn good_bridges_draw_nothing() {
    for (units, material, cement) in [
        ("44 x45 46", "zirconia-3y", "resin-modified"),
        ("45 x46 47", "zirconia-4y", "resin-modified"),
        ("14 x15 16", "metal-ceramic", "zinc-phosphate"),
        ("12 x11 21", "zirconia-3y", "self-adhesive"),
        ("12 x11 21", "lithium-disilicate", "adhesive-resin"),
        ("35 36", "zirconia-3y", "resin-modified"),
        ("11 21", "lithium-disilicate", "adhesive-resin"),
        ("15 x16 17", "cast-metal", "glass-ionomer"),
        ("44 x45 46", "zirconia-porcelain", "resin-modified"),
        ("45 x46 47", "cobalt-chromium", "glass-ionomer"),
        // A wing-like cantilever in front: canine carries the lateral.
        ("x12 13", "zirconia-3y", "adhesive-resin"),
    ] {
        draws_nothing(&mut pan(units, material, cement), false);
        draws_nothing(&mut pan(units, material, cement), true);
    }
}

#[test]
fn a_good_bridge_by_scan_draws_nothing() {
    for units in ["44 x45 46", "12 x11 21", "35 36"] {
        let mut case = pan(units, "zirconia-3y", "resin-modified");
        put(&mut case, "records.kind", "case", choice("scan"));
        draws_nothing(&mut case, true);
    }
}

/// What a case is told of its connectors, folded findings included, and what its questions are.
fn connectors_of(case: &Case) -> (Vec<(&'static str, Level)>, Vec<String>) {
    let facts = Facts::with(flow(), case, casepan::derive::Precision::Quick);
    let judgement = casepan::judge::judge(flow(), &facts);
    let phrase = casepan::phrase::Phrase {
        flow: flow(),
        notation: casepan::tooth::Notation::Iso3950,
    };
    let told = judgement
        .all_findings()
        .map(|finding| (rule_of(finding), finding.level))
        .filter(|(rule, _)| rule.starts_with("connector"))
        .collect();
    let asks = casepan::call::asks(&facts, &judgement, phrase, &[]);
    (told, asks.into_iter().map(|ask| ask.asks).collect())
}

/// Height and width of every connector, of the room or as drawn.
fn put_connectors(case: &mut Case, of: &str, height: f64, width: f64) {
    let places = case
        .units
        .within(Place::Case, casepan::fact::PlaceKind::Connector);
    for at in places {
        let at = at.to_string();
        put(case, &format!("connector.{of}height"), &at, mm(height));
        put(case, &format!("connector.{of}width"), &at, mm(width));
    }
}

/// Long bridges with connectors as good hands draw them: 10 mm² in front, 21 behind a long span. Whatever else their plan
/// draws, nothing of it is about connectors, none is on hold, and nobody is asked about one.
#[test]
fn good_connectors_of_long_bridges_draw_nothing() {
    for (units, materials) in [
        (
            "13 x12 x11 x21 x22 23",
            &[
                "zirconia-3y",
                "metal-ceramic",
                "zirconia-porcelain",
                "cast-metal",
                "cobalt-chromium",
            ][..],
        ),
        ("13 12 x11 x21 22 23", &["zirconia-3y", "metal-ceramic"]),
        (
            "12 x11 x21 22",
            &["zirconia-3y", "metal-ceramic", "zirconia-porcelain", "pmma"],
        ),
        (
            "34 x35 x36 37",
            &[
                "zirconia-3y",
                "metal-ceramic",
                "zirconia-porcelain",
                "cobalt-chromium",
            ],
        ),
        ("33 x34 x35 x36 37", &["zirconia-3y", "metal-ceramic"]),
        ("13 x14 15 x16 17", &["zirconia-3y", "cast-metal"]),
    ] {
        for material in materials {
            let mut case = pan(units, material, "resin-modified");
            // 3.5 × 3.0 with rounded corners is 10.0 mm².
            if units.starts_with("13 ") && units.ends_with("23") && *material != "pmma" {
                put_connectors(&mut case, "room_", 4.5, 4.0);
                put_connectors(&mut case, "", 3.5, 3.0);
            }
            finish(&mut case, true);
            let (told, asks) = connectors_of(&case);
            assert_eq!(told, [], "{units} in {material}");
            assert!(
                !asks.iter().any(|asks| asks.contains("connector")),
                "{asks:?}"
            );
            assert!(
                judged(&case).verdict.level < Level::Hold,
                "{units} in {material}"
            );
        }
    }
}

/// Five connectors without room are one question that names them; five drawn too small where there is room are ours.
#[test]
fn a_bridge_asks_one_question_about_its_connectors() {
    let units = "13 x12 x11 x21 x22 23";
    // With rounded corners 6.7 mm² for 7.
    let mut case = pan(units, "zirconia-3y", "resin-modified");
    put_connectors(&mut case, "room_", 2.4, 2.9);
    finish(&mut case, true);
    let (told, asks) = connectors_of(&case);
    assert_eq!(
        told,
        [
            ("connector-room", Level::Call),
            ("connector-room-low", Level::Watch)
        ]
    );
    let wanted = "not enough connector space at 12-13, 11-12, 11-21, 21-22 and 22-23";
    assert_eq!(asks.len(), 1, "{asks:?}");
    assert!(asks[0].contains(wanted), "{asks:?}");
    // 3.0 × 2.2 with rounded corners is 6.3 mm², 0.9 of 7, and 19.8 mm³: both under one head a connector.
    let mut case = pan(units, "zirconia-3y", "resin-modified");
    put_connectors(&mut case, "", 3.0, 2.2);
    finish(&mut case, true);
    let (told, asks) = connectors_of(&case);
    assert_eq!(told.len(), 10, "{told:?}");
    assert!(
        told.iter().all(|(_, level)| *level == Level::Watch),
        "{told:?}"
    );
    assert_eq!(asks, Vec::<String>::new());
    // 2.5 × 1.9 is 4.5 mm²: the drawing waits, and nobody is asked.
    put_connectors(&mut case, "", 2.5, 1.9);
    let (told, asks) = connectors_of(&case);
    assert!(told.contains(&("connector-area", Level::Hold)), "{told:?}");
    assert_eq!(asks, Vec::<String>::new());
}

/// Bridges that good hands make and whose plan alone is worth a line: one watch, no more.
#[test]
fn some_good_bridges_draw_one_watch() {
    for (units, rule) in [
        // Root areas 2·179 over 2·204, from memory (Jepsen 1963): 0.88.
        ("12 x11 x21 22", "support"),
        // (180 + 426) over (207 + 431): 0.95.
        ("34 x35 x36 37", "support"),
        ("13 x14 15 x16 17", "pier"),
    ] {
        let mut case = pan(units, "zirconia-3y", "resin-modified");
        finish(&mut case, true);
        let judgement = judged(&case);
        let found: Vec<_> = heads(&judgement)
            .into_iter()
            .map(|(rule, _, level)| (rule, level))
            .collect();
        assert_eq!(found, [(rule, Level::Watch)], "{units}");
        assert_eq!(open(&judgement), Vec::<String>::new(), "{units}");
    }
}

/// A prep of a tooth as it is cut on the average: base from the usual widths at the neck less 1 mm of margin on
/// both sides.
fn average(tooth: &str, height: f64, total_taper: f64, material: &str, cement: &str) -> Case {
    let mut case = pan(tooth, material, cement);
    let neck = size(Tooth::from_iso(tooth.parse().expect("a number")).expect("a tooth"));
    put(&mut case, "tooth.height", tooth, mm(height));
    put(&mut case, "tooth.margin_width", tooth, mm(1.0));
    for (base, top, width) in [
        (
            "tooth.width_margin_md",
            "tooth.width_top_md",
            neck.mesiodistal_cervix,
        ),
        (
            "tooth.width_margin_fl",
            "tooth.width_top_fl",
            neck.faciolingual_cervix,
        ),
    ] {
        let width = width - 2.0;
        let narrower = 2.0 * height * (total_taper / 2.0).to_radians().tan();
        put(&mut case, base, tooth, mm(width));
        put(&mut case, top, tooth, mm((width - narrower).max(0.5)));
    }
    case
}

/// What average practice draws. Tapers: Güth 2013, Clin Oral Investig 17:1389-95, 26.7° on upper first molars; Br Dent J
/// 2018, 125 dies of students, 31.6° on molars, 20.7° on premolars, 19.4° on canines, 17.0° on incisors. Heights: Tiu 2015,
/// J Prosthet Dent 114:67-74, 5.25 mm on upper canines and 1.87 mm on lower molars, the tallest and the shortest mean;
/// the means between were not found, so there stands the published least of 4 and 3 mm (Goodacre 2001).
#[test]
fn average_practice_is_not_told_for_its_taper() {
    use Level::Watch;
    for (tooth, height, taper, wanted) in [
        ("16", 4.0, 26.7, vec![]),
        ("26", 4.0, 26.7, vec![]),
        // The students' mean: a degree past the limit of ½·asin(4/8) = 15° a wall, with a grip of 0.85.
        ("16", 4.0, 31.6, vec![("tips-off", Watch)]),
        // Within the half-wall limit.
        ("46", 4.0, 31.6, vec![]),
        ("47", 4.0, 26.7, vec![]),
        ("14", 3.0, 20.7, vec![]),
        ("35", 3.0, 20.7, vec![]),
        ("13", 5.25, 19.4, vec![]),
        ("33", 3.0, 19.4, vec![]),
        ("11", 3.0, 17.0, vec![]),
        ("31", 3.0, 17.0, vec![]),
    ] {
        let mut case = average(tooth, height, taper, "zirconia-3y", "resin-modified");
        finish(&mut case, false);
        let judgement = judged(&case);
        let found: Vec<_> = heads(&judgement)
            .into_iter()
            .map(|(rule, _, level)| (rule, level))
            .collect();
        assert_eq!(found, wanted, "{tooth}, {height} mm, {taper}°");
        assert_eq!(open(&judgement), Vec::<String>::new(), "{tooth}");
    }
}

/// The shortest published mean, lower molars of 1.87 mm, with the mean taper of students' molars: told, and as one line.
#[test]
fn a_low_molar_is_one_line() {
    let mut case = average("46", 1.87, 31.6, "zirconia-3y", "resin-modified");
    finish(&mut case, false);
    let judgement = judged(&case);
    assert_eq!(
        heads(&judgement),
        [("tips-off", "46".to_owned(), Level::Call)]
    );
    let folded: Vec<_> = judgement.findings[0].folded.iter().map(rule_of).collect();
    for rule in ["stump-short", "low-for-its-width", "taper-without-hold"] {
        assert!(folded.contains(&rule), "{rule}: {folded:?}");
    }
}

/// Answers a case on the inspection with the keys that a person presses, material and cement included, and returns for each
/// step how many answers and how many keys it took.
fn pressed(units: &str, material: &str, cement: &str) -> (Case, Vec<(String, usize, usize)>) {
    let mut case = pan(units, material, cement);
    for fact in ["order.material", "order.cement"] {
        let fact = FactId::named(fact);
        let at = Place::Restoration(1);
        case.clear(&Spot { fact, at }, Layer::Measured);
    }
    let mut tech = Technician::on(&case);
    let mut steps: Vec<(String, usize, usize)> = Vec::new();
    let mut asked = 0;
    while let Some(spot) = tech
        .session
        .inspection
        .as_ref()
        .and_then(|i| i.cursor().cloned())
    {
        asked += 1;
        assert!(asked < 300, "the questions never end: {spot:?}");
        let value = match spot.fact.as_str() {
            "order.material" => choice(material),
            "order.cement" => choice(cement),
            _ => good(tech.case(), &spot),
        };
        let keys = keys_for(&tech, &spot, &value);
        for key in &keys {
            tech.key(key);
        }
        assert_eq!(
            tech.case().value(&spot.fact, spot.at),
            Some(&value),
            "{spot:?} by {keys:?}"
        );
        let own = |step: &&casepan::flow::Step| step.facts().any(|fact| *fact == spot.fact);
        let step = flow().steps.iter().find(own).expect("a step").id.clone();
        match steps.iter_mut().find(|(known, ..)| *known == step) {
            Some((_, answers, pressed)) => {
                *answers += 1;
                *pressed += keys.len();
            }
            None => steps.push((step, 1, keys.len())),
        }
    }
    (tech.case().clone(), steps)
}

/// The keys that answer the open question: a digit where it picks, else what is typed and Enter. A nought before the point is
/// left out.
fn keys_for(tech: &Technician, spot: &Spot, value: &Value) -> Vec<String> {
    let spec = flow().spec(&spot.fact).expect("a known fact");
    let bands = &flow().question(&spot.fact).expect("a question").bands;
    let digit = |n: Option<usize>| vec![(n.expect("a choice") + 1).to_string()];
    let typed = |text: String| {
        let letters = text.chars().map(|c| c.to_string());
        letters.chain(["enter".to_owned()]).collect()
    };
    match value {
        Value::Choice(id) => digit(
            flow()
                .choices(&spec.kind)
                .iter()
                .position(|(own, _)| own == id),
        ),
        Value::Yes => digit(Some(0)),
        Value::No => digit(Some(1)),
        Value::Number(number, _) if !bands.is_empty() => {
            digit(bands.iter().position(|band| band == number))
        }
        Value::Number(number, _) => typed(number.to_string().trim_start_matches('0').to_owned()),
        Value::Day(day) => {
            let today = crate::session::moment(0).today;
            typed(
                today
                    .since(*day)
                    .expect("days")
                    .get_days()
                    .abs()
                    .to_string(),
            )
        }
        // Nothing is an exception.
        Value::Teeth(teeth) => {
            assert!(!teeth.is_empty(), "{spot:?} in {}", tech.case().number);
            vec!["0".to_owned()]
        }
        other => panic!("no keys for {other:?}"),
    }
}

fn total(steps: &[(String, usize, usize)]) -> usize {
    steps.iter().map(|(.., keys)| keys).sum()
}

/// A sound crown takes at most 45 keys, counted as they are pressed on the inspection.
#[test]
fn a_sound_crown_takes_few_keys() {
    let (case, steps) = pressed("26", "zirconia-3y", "resin-modified");
    assert!(judged(&case).verdict.is_fine());
    assert!(total(&steps) <= 45, "{} keys: {steps:?}", total(&steps));
}

/// A sound bridge of three units takes at most 100, the design included.
#[test]
fn a_sound_bridge_takes_its_keys() {
    let (case, steps) = pressed("44 x45 46", "zirconia-3y", "resin-modified");
    assert!(judged(&case).verdict.is_fine());
    assert!(total(&steps) <= 100, "{} keys: {steps:?}", total(&steps));
}

/// An impression asks nothing about scans, a scan nothing about impressions, a full tray nothing about dual-arch ones.
#[test]
fn records_ask_for_their_own_kind_only() {
    let asked = |name: &str, value: &str| -> Vec<String> {
        let mut case = pan("26", "zirconia-3y", "resin-modified");
        put(&mut case, name, "case", choice(value));
        let answered = finish_one_by_one(&mut case, true);
        answered
            .iter()
            .map(|answer| answer.fact.to_string())
            .collect()
    };
    let plain = asked("records.kind", "impression");
    assert!(!plain.iter().any(|fact| fact.starts_with("scan.")));
    let scan = asked("records.kind", "scan");
    assert!(!scan.iter().any(|fact| fact.starts_with("impression.")));
    let own = scan.iter().filter(|fact| fact.starts_with("scan."));
    assert_eq!(own.count(), 5);
    let dual = asked("impression.tray", "dual-arch");
    let more: Vec<_> = dual
        .iter()
        .filter(|fact| !plain.contains(fact) && *fact != "records.kind")
        .collect();
    assert_eq!(
        more,
        [
            "impression.stiffness",
            "impression.stops",
            "impression.tray_on_tissue",
            "impression.canine_in",
            "restoration.neighbours",
            "restoration.last_tooth"
        ]
    );
}

/// What a sound zirconia crown is not asked comes back as soon as it bears on something.
#[test]
fn the_quick_pass_leaves_out_what_bears_on_nothing() {
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    finish_one_by_one(&mut case, true);
    let facts = Facts::of(crate::good::flow(), &case);
    let idle =
        |name: &str, at: Place| facts.turn(&FactId::named(name), at) == casepan::derive::Turn::Idle;
    let tooth: Place = "26".parse().expect("a place");
    for name in [
        "tooth.grooves",
        "tooth.margin_defect",
        "tooth.sound_above_margin",
    ] {
        assert!(idle(name, tooth), "{name}");
    }
    for name in ["habit.grinding", "habit.facets"] {
        assert!(idle(name, Place::Case), "{name}");
    }
    // A glass-ceramic crown, and a prep that may tip, are asked for habits.
    for mut case in [
        pan("26", "lithium-disilicate", "adhesive-resin"),
        average("46", 2.0, 31.6, "zirconia-3y", "resin-modified"),
    ] {
        let answered = finish_one_by_one(&mut case, true);
        for name in ["habit.grinding", "habit.facets"] {
            assert!(answered.iter().any(|a| a.fact.as_str() == name), "{name}");
        }
    }
}

/// Other ways in which good work comes: none of them is told. Common practice, no source.
#[test]
fn ordinary_variations_draw_nothing() {
    let variations: [&[(&str, &str, Value)]; 8] = [
        // The accepted use of a dual-arch tray.
        &[("impression.tray", "case", choice("dual-arch"))],
        &[("impression.tray", "case", choice("quadrant"))],
        &[("bite.record", "case", choice("full"))],
        // The last tooth, with a bite over the prepared one.
        &[
            ("bite.record", "case", choice("prepared")),
            ("restoration.last_tooth", "R1", Value::Yes),
        ],
        // The front margin a little under the gum, cemented with an everyday cement.
        &[
            ("tooth.wall_by_wall", "46", Value::Yes),
            ("wall.margin_to_gum", "46/facial", choice("under-1")),
        ],
        // A remake for its shade, with the reason known.
        &[
            ("order.make", "R1", choice("remake")),
            ("remake.what", "R1", choice("shade")),
        ],
        // On the published least of height.
        &[("tooth.height", "46", mm(4.0))],
        // A post that holds, with tooth above the margin.
        &[("tooth.core", "46", choice("post"))],
    ];
    for variation in variations {
        let mut case = pan("46", "zirconia-3y", "resin-modified");
        for (fact, at, value) in variation {
            put(&mut case, fact, at, value.clone());
        }
        draws_nothing(&mut case, true);
    }
}

/// Whoever goes round a good prep wall by wall finds no more than the quick pass did.
#[test]
fn good_crowns_wall_by_wall_draw_nothing() {
    for tooth in ["11", "13", "15", "16", "31", "33", "34", "37"] {
        for (material, cement) in CROWNS {
            let mut case = pan(tooth, material, cement);
            put(&mut case, "tooth.wall_by_wall", tooth, Value::Yes);
            if ["11", "13"].contains(&tooth) {
                let palatal = format!("{tooth}/lingual");
                put(&mut case, "wall.height", &palatal, mm(1.8));
            }
            draws_nothing(&mut case, false);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]
    /// Whatever is cut within the published advice draws nothing: total taper of 10 to 20°, at least 4 mm high on molars
    /// and 3 on others, at least 0.4 of the width (Goodacre 2001, J Prosthet Dent 85:363-76). By the half-wall rule a
    /// prep of 0.4 takes asin(0.4) = 23.6°.
    #[test]
    fn published_advice_draws_nothing(
        molar in any::<bool>(),
        more in 0.0..3.0_f64,
        ratio in 0.4..0.9_f64,
        narrow in 0.6..1.0_f64,
        tapers in (10.0..20.0_f64, 10.0..20.0_f64),
    ) {
        let (tooth, least) = if molar { ("46", 4.0) } else { ("35", 3.0) };
        let height = least + more;
        let base = height / ratio;
        prop_assume!(base <= 12.0);
        let mut case = pan(tooth, "zirconia-3y", "resin-modified");
        put(&mut case, "tooth.height", tooth, mm(height));
        for (margin, top, width, taper) in [
            ("tooth.width_margin_fl", "tooth.width_top_fl", base, tapers.0),
            ("tooth.width_margin_md", "tooth.width_top_md", base * narrow, tapers.1),
        ] {
            let narrower = 2.0 * height * (taper / 2.0).to_radians().tan();
            prop_assume!(width >= 1.0 && width - narrower >= 0.5);
            // A prep of this tooth: of one a twentieth smaller than usual, half a millimetre of margin on both sides, up to
            // one whose neck is a tenth wider than the usual crown. Cut to the very least on a smaller tooth it is told, since the bite is that of any.
            let usual = size(Tooth::from_iso(tooth.parse().expect("a number")).expect("a tooth"));
            let (neck, crown) = if margin.ends_with("md") {
                (usual.mesiodistal_cervix, usual.mesiodistal_crown)
            } else {
                (usual.faciolingual_cervix, usual.faciolingual_crown)
            };
            prop_assume!((0.95 * neck - 1.0..=1.1 * crown - 1.0).contains(&width));
            put(&mut case, margin, tooth, mm(width));
            put(&mut case, top, tooth, mm(width - narrower));
        }
        finish(&mut case, true);
        let judgement = judged(&case);
        prop_assert!(judgement.verdict.is_fine(), "{:?}", heads(&judgement));
    }
}
