//! The figures that mechanics rests on, as a flow says them, and what is usual beside a finding.

use casepan::flow::{Status, embedded, load};
use casepan::ronfile::Source;
use casepan::tooth::Tooth;

use crate::good::{finish, flow, judged, mm, pan, put};

fn shipped_with(name: &str, text: &str) -> Vec<Source> {
    let mut sources = embedded().sources;
    sources.retain(|source| source.name() != name);
    if !text.is_empty() {
        sources.push(Source::new(name, text));
    }
    sources
}

/// Least heights and the steepest taper of Goodacre, Campagni, Aquilino 2001, J Prosthet Dent 85:363 (4 mm on molars, 3 mm on
/// others, 10 to 20° in total), and the bite of Nishigawa 2001, J Oral Rehabil (79.0 kgf).
#[test]
fn the_shipped_figures_are_those_of_their_sources() {
    let figures = &flow().figures;
    let least = &figures.least_prep;
    assert_eq!(
        (least.molar, least.other, 2.0 * least.taper),
        (4.0, 3.0, 20.0)
    );
    assert!((figures.hard_bite.back - 79.0 * 9.806_65).abs() < 0.1);
    // Ferrario 2004, J Oral Rehabil: incisors bear 40 to 48 % of the strongest bite on a single tooth.
    assert!((0.40..=0.48).contains(&figures.hard_bite.incisors));
    let status = |id: &str| flow().source(id).map(|source| source.status);
    assert_eq!(status(&least.source), Some(Status::Published));
    assert_eq!(status(&least.margin_source), Some(Status::Ours));
    assert_eq!(status(&figures.roots.source), Some(Status::Memory));
    // Molars stand apart on more root than any other tooth; lower incisors on the least.
    let stiff = |number: u8| figures.roots.of(Tooth::from_iso(number).unwrap());
    assert!(stiff(36).apart && !stiff(35).apart);
    assert!(stiff(41).stiffness < stiff(11).stiffness && stiff(11).stiffness < stiff(16).stiffness);
}

/// Shrinkage in 24 h and expansion in per cent of the length; what was measured of trays and scans, in µm.
#[test]
fn the_shipped_figures_of_impressions_and_scans() {
    let figures = &flow().figures;
    let shrinks = |material: &str| figures.impressions.shrinkage(material);
    assert_eq!(shrinks("vinyl-polysiloxane"), Some(0.001_25));
    // Nassar 2017, J Adv Prosthodont: 0.200 to 0.325 %.
    let vinyl_polyether = shrinks("vinyl-polyether").expect("a figure");
    assert!((0.002..=0.003_25).contains(&vinyl_polyether));
    assert_eq!(shrinks("alginate"), None);
    // Burns 2003, J Prosthet Dent.
    let impressions = &figures.impressions;
    assert_eq!(
        (impressions.stock_tray, impressions.custom_tray),
        (23.0, 12.0)
    );
    let scans = &figures.scans;
    assert!(scans.three_units < scans.half_arch && scans.half_arch < scans.beyond);
    assert_eq!(figures.least_grip.advised, 1.0);
}

/// A flow from before there was such a file is judged by what the program carries.
#[test]
fn a_flow_without_the_file_takes_what_the_program_carries() {
    let loaded = load(shipped_with("figures.ron", ""));
    let own = loaded.flow.expect("no error");
    assert_eq!(own.figures, flow().figures);
}

#[test]
fn a_flow_may_say_another_least_prep_and_grip_follows() {
    let text = "Figures([LeastPrep(molar: Mm(5), other: Mm(3), taper: Deg(10), source: \"ours\", margin: Mm(0.5), \
                margin_source: \"ours\")])";
    let other = load(shipped_with("figures.ron", text))
        .flow
        .expect("no error");
    assert_eq!(other.figures.roots, flow().figures.roots);
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    finish(&mut case, false);
    let grip = |flow| {
        let facts = casepan::derive::Facts::of(flow, &case);
        let at = casepan::fact::Place::Restoration(1);
        facts
            .value(&casepan::fact::GRIP, at)
            .and_then(casepan::fact::Value::number)
    };
    // A higher least prep holds more, so that the same crown is less against it.
    assert!(grip(&other).unwrap() < 0.95 * grip(flow()).unwrap());
}

#[test]
fn a_figure_that_means_nothing_is_told_where_it_stands() {
    for (wrong, code) in [
        (
            "HardBite(back: Newton(1e300), source: \"ours\", incisors: Ratio(0.4), canines: Ratio(0.6), shares_source: \"ours\")",
            "flow-bounds",
        ),
        (
            "HardBite(back: Mm(700), source: \"ours\", incisors: Ratio(0.4), canines: Ratio(0.6), shares_source: \"ours\")",
            "flow-type",
        ),
        (
            "HardBite(back: Newton(700), source: \"nobody\", incisors: Ratio(0.4), canines: Ratio(0.6), shares_source: \"ours\")",
            "flow-reference",
        ),
        (
            "LeastPrep(molar: Mm(0), other: Mm(3), taper: Deg(10), source: \"ours\", margin: Mm(0.5), margin_source: \"ours\")",
            "flow-bounds",
        ),
        (
            "Breaking(spread: Ratio(0.2), source: \"ours\", left: Ratio(0.5), left_source: \"ours\")",
            "flow-bounds",
        ),
        (
            "LeastGrip(advised: Ratio(0), source: \"ours\")",
            "flow-bounds",
        ),
        (
            "Impressions(shrinks: [(material: \"wax\", by: Percent(1), source: \"ours\")], stone_grows: Percent(0.1), stone_source: \"ours\", stock_tray: Micron(23), custom_tray: Micron(12), source: \"ours\")",
            "flow-reference",
        ),
        (
            "Scans(three_units: Micron(16), half_arch: Mm(0.04), beyond: Micron(88), source: \"ours\")",
            "flow-type",
        ),
        ("Spacer(says: \"so\", source: \"nobody\")", "flow-reference"),
    ] {
        let loaded = load(shipped_with("figures.ron", &format!("Figures([{wrong}])")));
        assert!(loaded.flow.is_none(), "{wrong}");
        let codes: Vec<&str> = loaded.problems.iter().map(|problem| problem.code).collect();
        assert!(codes.contains(&code), "{codes:?} for {wrong}");
    }
}

#[test]
fn a_figure_given_twice_is_told_and_so_is_a_load_that_acts_nowhere() {
    let twice =
        "Breaking(spread: Ratio(1.5), source: \"ours\", left: Ratio(0.5), left_source: \"ours\")";
    let loaded = load(shipped_with(
        "figures.ron",
        &format!("Figures([{twice}, {twice}])"),
    ));
    assert!(loaded.flow.is_none());
    assert_eq!(loaded.problems[0].code, "flow-id-twice");
    let loads = embedded()
        .sources
        .into_iter()
        .find(|source| source.name() == "loads.ron")
        .expect("the loads");
    for (from, to) in [
        ("above: Mm(1.5)", "above: Mm(500)"),
        ("out: Ratio(0.6)", "out: Ratio(100)"),
        ("toward: [\"facial\", \"lingual\"]", "toward: []"),
    ] {
        let text = loads.text().replacen(from, to, 1);
        assert_ne!(text, loads.text(), "{from}");
        let loaded = load(shipped_with("loads.ron", &text));
        let codes: Vec<&str> = loaded.problems.iter().map(|own| own.code).collect();
        assert_eq!(codes, ["flow-bounds"], "{to}");
    }
}

/// Parker 1991, J Prosthet Dent: resistance form in 46 % of molars, 81 % of premolars, 92 % of canines, 96 % of incisors.
#[test]
fn what_is_usual_stands_beside_a_prep_that_tips() {
    for (tooth, share) in [("26", "46"), ("24", "81"), ("13", "92"), ("11", "96")] {
        let mut case = pan(tooth, "zirconia-3y", "resin-modified");
        put(&mut case, "tooth.height", tooth, mm(3.2));
        // 24° a wall.
        let narrower = 2.0 * 3.2 * 24.0_f64.to_radians().tan();
        for (base, top) in [
            ("tooth.width_margin_md", "tooth.width_top_md"),
            ("tooth.width_margin_fl", "tooth.width_top_fl"),
        ] {
            put(&mut case, base, tooth, mm(5.0));
            put(&mut case, top, tooth, mm(5.0 - narrower));
        }
        finish(&mut case, false);
        let facts = casepan::derive::Facts::of(flow(), &case);
        let judgement = judged(&case);
        let phrase = casepan::phrase::Phrase {
            flow: flow(),
            notation: casepan::tooth::Notation::Iso3950,
        };
        let tips = judgement
            .all_findings()
            .find(|finding| crate::good::rule_of(finding) == "tips-off")
            .expect("it tips");
        let usual = phrase.usual(&facts, tips);
        assert_eq!(usual.len(), 1, "{tooth}");
        assert!(
            usual[0].says.contains(&format!("{share} %")),
            "{}",
            usual[0].says
        );
    }
}

#[test]
fn a_norm_names_rules_there_are_and_a_place_they_can_see() {
    for (wrong, code) in [
        (
            "Norm(beside: [\"no-such-rule\"], at: Case, says: \"Usual.\", source: \"ours\")",
            "flow-reference",
        ),
        (
            "Norm(beside: [\"tips-off\"], at: Connector, says: \"Usual.\", source: \"ours\")",
            "flow-fact-place",
        ),
        (
            "Norm(beside: [\"dual-arch\"], at: Case, when: Is(\"tooth.class\", Choice(\"molar\")), says: \"Usual.\", source: \"ours\")",
            "flow-fact-place",
        ),
    ] {
        let loaded = load(shipped_with("norms.ron", &format!("Norms([{wrong}])")));
        let codes: Vec<&str> = loaded.problems.iter().map(|problem| problem.code).collect();
        assert!(
            loaded.flow.is_none() && codes.contains(&code),
            "{codes:?} for {wrong}"
        );
    }
}

/// Where a flow's step has lost a question, nobody can answer it: what hangs on it is not cleared.
#[test]
fn what_no_step_asks_clears_nothing() {
    use casepan::case::life::State;
    use casepan::derive::{Facts, Precision};
    let files = embedded().sources;
    let steps = files
        .iter()
        .find(|file| file.name() == "flow.ron")
        .expect("steps");
    let text = steps.text().replace("\"tooth.margin_seen\",", "");
    assert_ne!(text, steps.text());
    let lost = load(shipped_with("flow.ron", &text)).flow.expect("a flow");
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    finish(&mut case, true);
    let of = |flow: &casepan::flow::Flow, case: &casepan::case::Case| {
        let facts = Facts::with(flow, case, Precision::Quick);
        let judgement = casepan::judge::judge(flow, &facts);
        let phrase = casepan::phrase::Phrase {
            flow,
            notation: casepan::tooth::Notation::Iso3950,
        };
        casepan::state::CaseState::of(&facts, &judgement, phrase, &[]).state
    };
    assert_eq!(of(flow(), &case), State::ToMake);
    let spot = crate::made::spot("tooth.margin_seen", "26");
    case.clear(&spot, casepan::case::Layer::Measured)
        .expect("an answer");
    assert_eq!(of(&lost, &case), State::Inspecting);
}
