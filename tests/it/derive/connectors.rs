//! Connectors and spans: sections by the handbook, the least by what a connector belongs to, the class of the material.

use casepan::case::Case;
use casepan::derive::{Facts, Worked};
use casepan::fact::Value;

use super::{case, choice, flow, mm, near, number, worked};

fn connector(material: &str, height: f64, width: f64, section: &str) -> Case {
    case(
        "44 x45 46",
        &[
            ("order.material", "R1", choice(material)),
            ("connector.height", "44-45", mm(height)),
            ("connector.width", "44-45", mm(width)),
            ("connector.section", "44-45", choice(section)),
            ("connector.space_height", "44-45", mm(height)),
            ("connector.space_width", "44-45", mm(width)),
        ],
    )
}

fn bending(height: f64, width: f64, section: &str) -> f64 {
    let case = connector("zirconia-3y", height, width, section);
    number(
        &Facts::of(&flow(), &case),
        "connector.bending_share",
        "44-45",
    )
}

/// Sections of handbooks of mechanics: ellipse `πwh/4` and `πwh²/32`, box `wh` and `wh²/6`.
#[test]
fn connectors_by_the_handbook() {
    let flow = flow();
    let case = connector("zirconia-3y", 3.0, 3.0, "round");
    let facts = Facts::of(&flow, &case);
    let near = |got: f64, wanted: f64| assert!((got - wanted).abs() < 5e-4, "{got}, {wanted}");
    near(number(&facts, "connector.area", "44-45"), 7.0686);
    near(number(&facts, "connector.height2_width", "44-45"), 27.0);
    // 9 mm² for one pontic behind the canine.
    near(
        number(&facts, "connector.area_share", "44-45"),
        7.0686 / 9.0,
    );
    // What fits the space at the most is a box with rounded corners: wh − (4 − π)r², r a quarter of the side.
    near(
        number(&facts, "connector.space_share", "44-45"),
        (9.0 - (4.0 - std::f64::consts::PI) * 0.75 * 0.75) / 9.0,
    );
    let case = connector("zirconia-3y", 3.0, 4.0, "sharp-box");
    let facts = Facts::of(&flow, &case);
    near(number(&facts, "connector.area", "44-45"), 12.0);
    near(number(&facts, "connector.height2_width", "44-45"), 36.0);
    // The same 12 mm² upright and flat: 109.38 and 145.83 MPa under 500 N over 7 mm, height wins 4 to 3.
    near(
        bending(3.0, 4.0, "sharp-box") / bending(4.0, 3.0, "sharp-box"),
        145.83 / 109.38,
    );
    // Round against box of the same height and width: 330.10 and 194.44 MPa, the share 0.589.
    near(
        bending(3.0, 3.0, "sharp-box") / bending(3.0, 3.0, "round"),
        194.44 / 330.10,
    );
    // A round connector of just the least area is the measure: d² = 4 · 9 / π.
    let least = (36.0 / std::f64::consts::PI).sqrt();
    near(bending(least, least, "round"), 1.0);
    // Rounding a box costs area and strength, but less than making it round.
    let box_ = |section| bending(3.0, 3.0, section);
    assert!(box_("sharp-box") < box_("rounded-box") && box_("rounded-box") < box_("round"));
}

#[test]
fn the_least_connector_follows_the_span_it_belongs_to() {
    let flow = flow();
    let of = |material: &str, units: &str, at: &str| {
        let facts = [
            ("order.material", "R1", choice(material)),
            ("connector.height", at, mm(6.0)),
            ("connector.width", at, mm(6.0)),
            ("connector.section", at, choice("sharp-box")),
        ];
        let case = case(units, &facts);
        let facts = Facts::of(&flow, &case);
        let least = number(&facts, "connector.least_area", at);
        near(number(&facts, "connector.area_share", at), 36.0 / least);
        least
    };
    let zirconia = |units: &str, at: &str| of("zirconia-3y", units, at);
    // In front 7, a free end 12, a joint as one pontic (common practice, no source); behind 9, 12.6 and 18.8 mm² for one,
    // two, three pontics (Studart 2007, from memory).
    near(zirconia("11 x12 13", "11-12"), 7.0);
    near(zirconia("44 x45 46", "45-46"), 9.0);
    near(zirconia("13 x14 15", "13-14"), 9.0);
    near(zirconia("34 x35 x36 37", "35-36"), 12.6);
    near(zirconia("33 x34 x35 x36 37", "36-37"), 18.8);
    near(zirconia("x12 13", "12-13"), 12.0);
    // A pier parts two spans; the length of the piece is nothing to them.
    near(zirconia("13 x14 15 x16 17", "15-16"), 9.0);
    // A connector of two adjacent abutments, be it in a piece with a long span or a free end.
    near(zirconia("35 36", "35-36"), 9.0);
    near(zirconia("32 33 x34 x35 x36 37", "32-33"), 7.0);
    near(zirconia("45 46 x47", "45-46"), 9.0);
    near(zirconia("45 46 x47", "46-47"), 12.0);
    // A span over the corner is one behind the canines at both its ends.
    near(zirconia("12 x13 x14 15", "12-13"), 12.6);
    // Six units in front.
    for (material, least) in [
        ("zirconia-3y", 7.0),
        ("zirconia-porcelain", 7.0),
        ("metal-ceramic", 6.0),
        ("cast-metal", 6.0),
        ("cobalt-chromium", 6.0),
    ] {
        near(of(material, "13 x12 x11 x21 x22 23", "11-21"), least);
    }
    near(of("metal-ceramic", "34 x35 x36 37", "35-36"), 9.0);
}

/// Flows that give the least connector by the units of the piece are judged as they were written.
#[test]
fn an_older_flow_has_its_least_connector_by_units() {
    let mut flow = (*flow()).clone();
    let material = flow.materials.iter_mut().find(|m| m.id == "zirconia-3y");
    let material = material.expect("3Y");
    material.connectors = None;
    material.connector_front = Some(7.0);
    material.connector_back = Some(9.0);
    material.connector_long = Some(12.0);
    for (units, at, least) in [
        ("11 x12 13", "11-12", 7.0),
        ("44 x45 46", "45-46", 9.0),
        ("33 x34 x35 x36 37", "36-37", 12.0),
        ("x12 13", "12-13", 12.0),
    ] {
        let case = case(units, &[("order.material", "R1", choice("zirconia-3y"))]);
        near(
            number(&Facts::of(&flow, &case), "connector.least_area", at),
            least,
        );
    }
}

/// Class 3 of ISO 6872, from memory: three units that involve no molar. A single crown is no span, and on joined crowns the
/// class is silent.
#[test]
fn what_takes_a_piece_beyond_its_class_is_told_apart() {
    let flow = flow();
    for (units, material, wanted, allowed) in [
        ("26", "lithium-disilicate", "nothing", Value::Yes),
        ("26", "leucite", "nothing", Value::Yes),
        ("13 x14 15", "lithium-disilicate", "nothing", Value::Yes),
        (
            "44 x45 46",
            "lithium-disilicate",
            "molar-abutment",
            Value::No,
        ),
        ("45 x46 47", "lithium-disilicate", "molar-pontic", Value::No),
        ("44 x45 46", "zirconia-5y", "molar-abutment", Value::No),
        ("44 x45 46", "zirconia-4y", "nothing", Value::Yes),
        ("34 x35 x36 37", "zirconia-4y", "units", Value::No),
        ("x12 13", "lithium-disilicate", "cantilever", Value::No),
        ("35 36", "lithium-disilicate", "joined-molar", Value::Yes),
        ("45 46 47 48", "zirconia-4y", "joined-units", Value::No),
        ("11 21", "lithium-disilicate", "nothing", Value::Yes),
        (
            "13 x12 x11 x21 x22 23",
            "zirconia-3y",
            "nothing",
            Value::Yes,
        ),
    ] {
        let case = case(units, &[("order.material", "R1", choice(material))]);
        let facts = Facts::of(&flow, &case);
        let of = |fact: &str| {
            worked(&facts, fact, "R1")
                .expect("an outcome")
                .result
                .clone()
        };
        let told = Worked::Out(choice(wanted));
        assert_eq!(of("restoration.span_beyond"), told, "{units} in {material}");
        assert_eq!(
            of("restoration.span_allowed"),
            Worked::Out(allowed),
            "{units} in {material}"
        );
    }
}

/// That such a material is ordered is one finding; its connectors have no least size to be told against.
#[test]
fn a_material_that_is_no_bridge_has_no_least_connector() {
    let case = connector("leucite", 4.0, 4.0, "round");
    let flow = flow();
    let facts = Facts::of(&flow, &case);
    for fact in ["connector.area_share", "connector.space_share"] {
        assert_eq!(worked(&facts, fact, "44-45"), None, "{fact}");
    }
    assert!(worked(&facts, "connector.area", "44-45").is_some());
}
