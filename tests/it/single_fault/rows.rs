//! The good cases, and what is wrong with each.

use casepan::fact::Value;
use casepan::fact::Value::{No, Yes};
use casepan::flow::Level::{self, Call, Hold, Watch};
use casepan::tooth::Tooth;

pub(crate) use super::base::Base;
use crate::good::{choice, count, day, deg, mm};

/// A case with something wrong, and the one finding it has to give.
pub(crate) struct Row {
    pub(crate) rule: &'static str,
    pub(crate) level: Level,
    pub(crate) base: Base,
    pub(crate) wrong: Vec<(&'static str, &'static str, Value)>,
}

pub(super) fn row(
    rule: &'static str,
    level: Level,
    base: Base,
    wrong: impl IntoIterator<Item = (&'static str, &'static str, Value)>,
) -> Row {
    Row {
        rule,
        level,
        base,
        wrong: wrong.into_iter().collect(),
    }
}

#[rustfmt::skip]
fn order_rows() -> Vec<Row> {
    let c = choice;
    let remake = |what: &str| {
        vec![
            ("order.make", "R1", c("remake")),
            ("remake.what", "R1", c(what)),
        ]
    };
    let with = |mut one: Vec<_>, more: Vec<_>| {
        one.extend(more);
        one
    };
    let loose = Value::Teeth(vec![Tooth::from_iso(46).expect("a tooth")]);
    vec![
        row("order-and-models", Hold, Base::Crown, [("order.matches", "case", c("not-ordered"))]),
        row("order-and-models", Hold, Base::Bridge, [("order.matches", "case", c("no-preparation"))]),
        row("shade-missing", Call, Base::Crown, [("order.shade_given", "case", No)]),
        row("metal-sensitivity", Call, Base::Veneered, [("order.metal_sensitivity", "case", Yes)]),
        row(
            "metal-sensitivity", Call, Base::Bonded("26", "cobalt-chromium"),
            [("order.metal_sensitivity", "case", Yes)],
        ),
        row(
            "remake-without-cause", Hold, Base::Crown,
            with(remake("contact"), vec![("remake.times", "R1", count(2.0)), ("remake.cause_written", "R1", No)]),
        ),
        row(
            "remake-margin-cause", Watch, Base::Crown,
            with(remake("open-margin"), vec![("remake.cause_written", "R1", No)]),
        ),
        row(
            "remake-high-cause", Watch, Base::Crown,
            with(remake("high"), vec![("remake.cause_written", "R1", No)]),
        ),
        row(
            "remake-contact-cause", Watch, Base::Crown,
            with(remake("contact"), vec![("remake.cause_written", "R1", No)]),
        ),
        row(
            "remake-shade-cause", Watch, Base::Crown,
            with(remake("shade"), vec![("remake.cause_written", "R1", No)]),
        ),
        row(
            "remake-broke-cause", Watch, Base::Crown,
            with(remake("broke"), vec![("remake.cause_written", "R1", No)]),
        ),
        row(
            "remake-without-cause", Watch, Base::Crown,
            with(remake("contact"), vec![("remake.times", "R1", count(2.0))]),
        ),
        row("bond-without-etch-and-silane", Watch, Base::Bonded("26", "zirconia-3y"), [("order.fitting_surface", "R1", c("nothing"))]),
        row("leucite-on-molar", Call, Base::Bonded("26", "leucite"), []),
        row("provisional-cement", Watch, Base::Crown, [("order.cement", "R1", c("provisional"))]),
        // With 1.6 mm it is thick enough without a bond.
        row(
            "provisional-cement", Call, Base::Glass,
            [("order.cement", "R1", c("provisional")), ("tooth.clearance", "25", mm(1.6))],
        ),
        row("primer-does-not-fit", Call, Base::Glass, [("order.cement", "R1", c("primer-resin"))]),
        row("temporary-as-final", Watch, Base::Bonded("26", "pmma"), []),
        row(
            "remake-cement-left", Watch, Base::Crown,
            with(remake("came-off"), vec![("remake.cement_left", "R1", c("tooth"))]),
        ),
        row(
            "remake-as-before", Call, Base::Crown,
            with(remake("came-off"), vec![("remake.old_cement", "R1", c("resin-modified"))]),
        ),
        row("one-retainer-loose", Call, Base::Bridge, with(remake("came-off"), vec![("remake.loose", "R1", loose)])),
        // 3.4 × 3.1 with rounded corners is 10.0 mm², 1.1 of the 9 wanted.
        row(
            "remake-broke-at-connector", Call, Base::Bridge,
            with(remake("broke"), vec![("remake.broke_at", "R1", c("connector")),
             ("remake.broke_here", "45-46", Yes),
             ("connector.height", "45-46", mm(3.4)),
             ("connector.width", "45-46", mm(3.1))]),
        ),
        row(
            "remake-broke-at-connector", Watch, Base::Bridge,
            with(remake("broke"), vec![("remake.broke_at", "R1", c("connector")), ("remake.broke_here", "44-45", Yes)]),
        ),
        row(
            "remake-broke-somewhere", Watch, Base::Bridge,
            with(remake("broke"), vec![("remake.broke_at", "R1", c("connector"))]),
        ),
        row("bond-without-etch-and-silane", Call, Base::Glass, [("order.fitting_surface", "R1", c("etched"))]),
        row("bond-without-etch-and-silane", Call, Base::Leucite, [("order.fitting_surface", "R1", c("nothing"))]),
        row(
            "treatment-barred", Call, Base::Bonded("26", "zirconia-3y"),
            [("order.fitting_surface", "R1", c("etched-silane"))],
        ),
        row("leucite-not-bonded", Call, Base::Leucite, [("order.cement", "R1", c("zinc-phosphate"))]),
        row(
            "leucite-not-bonded", Call, Base::Bonded("25", "resin-matrix"),
            [("order.cement", "R1", c("resin-modified"))],
        ),
        row(
            "treatment-barred", Call, Base::Bonded("26", "zirconia-porcelain"),
            [("order.fitting_surface", "R1", c("etched-silane"))],
        ),
    ]
}

#[rustfmt::skip]
fn records_rows() -> Vec<Row> {
    let c = choice;
    let dual = |more: Option<(&'static str, Value)>| {
        let mut wrong = vec![("impression.tray", "case", c("dual-arch"))];
        wrong.extend(more.map(|(fact, value)| (fact, "case", value)));
        wrong
    };
    vec![
        row("not-disinfected", Hold, Base::Crown, [("records.disinfected", "case", No)]),
        row("our-pour", Hold, Base::Crown, [("records.pour_sound", "case", No)]),
        row("dual-arch", Call, Base::Bridge, dual(None)),
        row("dual-arch", Call, Base::Canine, dual(None)),
        row("dual-arch", Hold, Base::Bridge, dual(Some(("impression.stops", No)))),
        row("dual-arch", Hold, Base::Bridge, dual(Some(("impression.tray_on_tissue", Yes)))),
        row("dual-arch-bite", Call, Base::Crown, dual(Some(("impression.stops", No)))),
        row("dual-arch-bite", Watch, Base::Crown, dual(Some(("impression.canine_in", No)))),
        // Poured the same day.
        row(
            "alginate", Call, Base::Crown,
            [("impression.material", "case", c("alginate")), ("impression.poured", "case", day("2026-11-16"))],
        ),
        row(
            "alginate", Hold, Base::Crown,
            [
                ("impression.material", "case", c("alginate")),
                ("impression.poured", "case", day("2026-11-16")),
                ("impression.waited", "case", c("longer")),
            ],
        ),
        row(
            "impression-hours", Call, Base::Crown,
            [
                ("impression.material", "case", c("polysulfide")),
                ("impression.poured", "case", day("2026-11-16")),
                ("impression.waited", "case", c("longer")),
            ],
        ),
        row(
            "impression-hours", Watch, Base::Crown,
            [
                ("impression.material", "case", c("condensation")),
                ("impression.poured", "case", day("2026-11-16")),
                ("impression.waited", "case", c("hour")),
            ],
        ),
        row("tray-shows-through", Watch, Base::Crown, [("impression.tray_on_tissue", "case", Yes)]),
        row(
            "model-not-sound", Call, Base::Crown,
            [("records.kind", "case", c("model")), ("records.model_sound", "case", No)],
        ),
        row("impression-age", Hold, Base::Crown, [("impression.taken", "case", day("2026-10-30"))]),
        row("impression-age", Watch, Base::Crown, [("impression.taken", "case", day("2026-11-05"))]),
        // Poured the same day, yet 0.4 % is left over 3.5 + 11 + 5.25 mm: 79 µm, and 23 of the tray.
        row(
            "distance", Watch, Base::Units("45 46 47"),
            [("impression.material", "case", c("condensation")), ("impression.poured", "case", day("2026-11-16"))],
        ),
        row("opposing", Hold, Base::Crown, [("records.opposing", "case", c("missing"))]),
        row("opposing", Call, Base::Crown, [("records.opposing", "case", c("part"))]),
        row("opposing-changes", Call, Base::Crown, [("records.opposing", "case", c("over-erupted"))]),
        row("scan-size", Hold, Base::Scan, [("scan.size", "case", c("inch"))]),
        row("scan-gaps", Hold, Base::Scan, [("scan.gaps", "case", c("margin"))]),
        row("scan-gaps", Call, Base::Scan, [("scan.gaps", "case", c("contact"))]),
        row("scan-step", Call, Base::Scan, [("scan.stitch_step", "case", Yes)]),
        row("scan-margin-line", Call, Base::Scan, [("scan.margin_line", "case", c("off-edge"))]),
        row(
            "front-without-reference", Call, Base::Units("12 11 21 22"),
            [("records.temporary_model", "case", No), ("records.incisal_edge", "case", No)],
        ),
    ]
}

#[rustfmt::skip]
fn bite_rows() -> Vec<Row> {
    let c = choice;
    vec![
        row("bite-two-ways", Call, Base::Crown, [("bite.models_close", "case", c("two-ways"))]),
        row("bite-scans-differ", Call, Base::Scan, [("scan.bites_agree", "case", No)]),
        row("bite-stops", Call, Base::Bridge, [("bite.stable_stops", "case", count(2.0))]),
        row(
            "last-tooth-without-bite", Call, Base::Units("37"),
            [("impression.tray", "case", c("quadrant")), ("restoration.last_tooth", "R1", Yes)],
        ),
        row("vertical-changed", Call, Base::Units("12 11 21 22"), [("bite.vertical", "case", c("changed"))]),
        row("vertical-changed", Watch, Base::Units("12 11 21 22"), [("bite.articulation", "case", c("hand"))]),
        row(
            "record-between-firm-models", Watch, Base::Crown,
            [("bite.record", "case", c("full")), ("tooth.clearance", "26", mm(0.7))],
        ),
        row("unit-bite", Watch, Base::Crown, [("unit.occlusion", "26", c("crossed"))]),
        row("unit-bite", Watch, Base::Bridge, [("unit.occlusion", "45", c("edge"))]),
        row("guidance-unclear", Call, Base::Canine, [("bite.guidance", "case", c("unclear"))]),
        row("guidance-on-pontic", Watch, Base::Units("12 x13 14"), [("bite.guidance", "case", c("canine"))]),
        row("guidance-on-pontic", Call, Base::Units("x13 14 15"), [("bite.guidance", "case", c("canine"))]),
        row(
            "grinding", Call, Base::Bonded("12 x11 21", "lithium-disilicate"),
            [("habit.facets", "case", c("heavy"))],
        ),
        row("grinding", Call, Base::Leucite, [("habit.grinding", "case", c("certain"))]),
        row(
            "grinding", Call, Base::Bonded("36", "lithium-disilicate"),
            [("habit.grinding", "case", c("certain")), ("habit.facets", "case", c("heavy"))],
        ),
        row("grinding", Watch, Base::Bonded("36", "lithium-disilicate"), [("habit.grinding", "case", c("certain"))]),
        row("grinding", Watch, Base::Bonded("36", "zirconia-5y"), [("habit.facets", "case", c("heavy"))]),
        row("grinding-on-veneer", Watch, Base::Veneered, [("habit.grinding", "case", c("certain"))]),
        row(
            "grinding-on-veneer", Watch, Base::Bonded("26", "zirconia-porcelain"),
            [("habit.facets", "case", c("heavy"))],
        ),
    ]
}

#[rustfmt::skip]
fn prep_rows() -> Vec<Row> {
    let c = choice;
    let by_wall = ("tooth.wall_by_wall", "26", Yes);
    vec![
        row("finish-line-lost", Hold, Base::Crown, [("tooth.margin_seen", "26", c("over-2"))]),
        row("finish-line-lost", Call, Base::Crown, [("tooth.margin_seen", "26", c("1-2"))]),
        row("finish-line-lost", Watch, Base::Crown, [("tooth.margin_seen", "26", c("under-1"))]),
        row("die-damaged", Hold, Base::Crown, [by_wall.clone(), ("tooth.margin_defect", "26", c("chipped"))]),
        row("die-bubble", Call, Base::Crown, [by_wall.clone(), ("tooth.margin_defect", "26", c("bubble"))]),
        row("impression-pulled", Call, Base::Crown, [by_wall.clone(), ("tooth.margin_defect", "26", c("pulled"))]),
        row("margin-lip", Call, Base::Crown, [by_wall.clone(), ("tooth.margin_defect", "26", c("lipped"))]),
        row("margin-lip", Call, Base::Crown, [by_wall.clone(), ("wall.margin_form", "26/facial", c("lipped"))]),
        row("margin-lip", Call, Base::Crown, [("tooth.margin_form", "26", c("lipped"))]),
        // A feather edge: the wall itself ends at the neck.
        row(
            "margin-form", Call, Base::Glass,
            [("tooth.margin_form", "25", c("feather")),
             ("tooth.width_margin_md", "25", mm(5.0)), ("tooth.width_top_md", "25", mm(4.0)),
             ("tooth.width_margin_fl", "25", mm(8.0)), ("tooth.width_top_fl", "25", mm(7.0))],
        ),
        row(
            "margin-form", Call, Base::Glass,
            [("tooth.margin_form", "25", c("differs")), ("wall.margin_form", "25/facial", c("feather"))],
        ),
        row("stump-short", Watch, Base::Crown, [("tooth.height", "26", mm(3.8))]),
        row("stump-short", Watch, Base::Units("34"), [("tooth.height", "34", mm(2.8))]),
        row("stump-short", Call, Base::Units("34"), [("tooth.height", "34", mm(1.9))]),
        row(
            "short-walls", Watch, Base::Crown,
            [by_wall.clone(),
             ("wall.height", "26/mesial", mm(1.9)),
             ("wall.height", "26/distal", mm(1.9)),
             ("wall.height", "26/facial", mm(6.5)),
             ("wall.height", "26/lingual", mm(6.5))],
        ),
        // 4.1 on 10.5 is 0.39; half of asin(0.39) is 11.5°, and the walls lean 6°.
        row(
            "low-for-its-width", Watch, Base::Crown,
            [("tooth.height", "26", mm(4.1)), ("tooth.width_margin_fl", "26", mm(10.5))],
        ),
        // 4.2 on 9 takes ½·asin(0.467) = 13.9° a wall; atan(1.1 / 4.2) = 14.7°.
        row(
            "tips-off", Watch, Base::Crown,
            [("tooth.height", "26", mm(4.2)),
             ("tooth.width_margin_fl", "26", mm(9.0)),
             ("tooth.width_top_fl", "26", mm(6.8))],
        ),
        // atan(2 / 4.2) = 25.5° a wall.
        row(
            "tips-off", Call, Base::Crown,
            [("tooth.height", "26", mm(4.2)),
             ("tooth.width_margin_fl", "26", mm(9.0)),
             ("tooth.width_top_fl", "26", mm(5.0))],
        ),
        // 4 mm on 7 mm: half a wall resists up to ½·asin(4/7) = 17.4°, and atan(1.15 / 4) = 16°; but the grip is under 0.85.
        row(
            "grip", Watch, Base::Crown,
            [("tooth.height", "26", mm(4.0)),
             ("tooth.width_margin_md", "26", mm(7.0)), ("tooth.width_top_md", "26", mm(4.7)),
             ("tooth.width_margin_fl", "26", mm(7.0)), ("tooth.width_top_fl", "26", mm(4.7))],
        ),
        // The same taper on 8 mm tips faciolingually as well.
        row(
            "grip", Call, Base::Crown,
            [("tooth.height", "26", mm(4.0)),
             ("tooth.width_margin_md", "26", mm(6.0)), ("tooth.width_top_md", "26", mm(3.7)),
             ("tooth.width_margin_fl", "26", mm(8.0)), ("tooth.width_top_fl", "26", mm(5.7))],
        ),
        // 46 is as low as is advised, and with the bite so high on 44 no finding by itself; 44 is very tall.
        row(
            "retainers-unequal", Watch, Base::Bridge,
            [("tooth.height", "44", mm(8.0)), ("tooth.height", "46", mm(4.0)),
             ("tooth.width_margin_md", "46", mm(8.5)), ("tooth.width_top_md", "46", mm(7.2)),
             ("tooth.width_margin_fl", "46", mm(8.5)), ("tooth.width_top_fl", "46", mm(7.2))],
        ),
        row(
            "undercut-on-path", Watch, Base::Bridge,
            [("tooth.undercut", "44", c("to-0.1")), ("tooth.tilt", "44", deg(13.0)), ("tooth.tilt", "46", deg(0.0))],
        ),
        row(
            "undercut-on-path", Call, Base::Bridge,
            [("tooth.undercut", "44", c("to-0.1")), ("tooth.tilt", "44", deg(18.0)), ("tooth.tilt", "46", deg(0.0))],
        ),
        row(
            "undercut-on-path", Hold, Base::Bridge,
            [("tooth.undercut", "44", c("to-0.1")), ("tooth.tilt", "44", deg(22.0)), ("tooth.tilt", "46", deg(0.0))],
        ),
        row("clearance", Hold, Base::Crown, [("tooth.clearance", "26", mm(0.1))]),
        row("clearance", Call, Base::Crown, [("tooth.clearance", "26", mm(0.4))]),
        row("clearance", Watch, Base::Crown, [("tooth.clearance", "26", mm(0.6))]),
        row("thin-and-not-bonded", Watch, Base::Glass, [("order.cement", "R1", c("resin-modified"))]),
        // 6 mm high on 9 by 10 mm: 34° and 38° both ways.
        row("cone", Watch, Base::Crown, cone(17.0)),
        row("cone", Call, Base::Crown, cone(19.0)),
        row("undercut", Hold, Base::Crown, [("tooth.undercut", "26", c("at-margin"))]),
        row("undercut", Call, Base::Bridge, [("tooth.undercut", "46", c("to-0.3"))]),
        row("undercut", Watch, Base::Bridge, [("tooth.undercut", "44", c("to-0.1"))]),
        row("post-loose", Hold, Base::Crown, [("tooth.core", "26", c("post-loose"))]),
        row("margin-on-core", Call, Base::Crown, [("tooth.core", "26", c("margin-on-core"))]),
        row(
            "sound-tooth", Call, Base::Crown,
            [("tooth.core", "26", c("post")), ("tooth.sound_above_margin", "26", mm(1.4))],
        ),
        row(
            "sound-tooth", Watch, Base::Crown,
            [("tooth.core", "26", c("post")), ("tooth.sound_above_margin", "26", mm(1.6))],
        ),
        row(
            "near-the-bone", Watch, Base::Crown,
            [by_wall.clone(),
             ("wall.margin_to_gum", "26/mesial", c("deeper")),
             ("tooth.bone_to_margin", "26", mm(2.5))],
        ),
        row(
            "near-the-bone", Call, Base::Crown,
            [by_wall.clone(),
             ("wall.margin_to_gum", "26/mesial", c("deeper")),
             ("tooth.bone_to_margin", "26", mm(1.5))],
        ),
        row("neighbour-in-path", Call, Base::Crown, [("tooth.neighbour_in_path", "26", Yes)]),
        row("carries-denture", Call, Base::Crown, [("tooth.carries_denture", "26", Yes)]),
        row(
            "post-shows", Watch, Base::Glass,
            [("tooth.core", "25", c("post")), ("tooth.post", "25", c("metal"))],
        ),
        row("sharp-edges", Watch, Base::Crown, [("tooth.sharp_edges", "26", Yes)]),
        row("contact-not-usual", Watch, Base::Crown, [("tooth.contact", "26", c("gap"))]),
        row("dark-stump", Call, Base::Glass, [("tooth.prep_colour", "25", c("dark"))]),
        row("dark-stump", Call, Base::Bonded("25", "resin-matrix"), [("tooth.prep_colour", "25", c("dark"))]),
        // The other walls make up for it: 4.4 mm on the mean.
        row(
            "wall-short", Watch, Base::Crown,
            [by_wall.clone(), ("wall.height", "26/mesial", mm(1.9)), ("wall.height", "26/facial", mm(6.5))],
        ),
        // In front too, if it is not the palatal wall.
        row(
            "wall-short", Watch, Base::Units("11"),
            [("tooth.wall_by_wall", "11", Yes),
             ("wall.height", "11/facial", mm(1.9)),
             ("wall.taper", "11/facial", deg(2.0))],
        ),
        row(
            "wall-dished", Watch, Base::Crown,
            [by_wall.clone(),
             ("wall.form", "26/distal", c("dished-top")),
             ("wall.straight_height", "26/distal", mm(1.4)),
             ("wall.taper", "26/distal", deg(3.0))],
        ),
        row(
            "wall-dished", Call, Base::Crown,
            [by_wall.clone(),
             ("wall.form", "26/distal", c("dished-top")),
             ("wall.straight_height", "26/distal", mm(0.5))],
        ),
        row("margin-shallow", Watch, Base::Crown, [by_wall.clone(), ("wall.margin_width", "26/facial", mm(0.3))]),
        row("margin-shallow", Watch, Base::Crown, [("tooth.margin_width", "26", mm(0.3))]),
        row("margin-shallow", Call, Base::Glass, [("tooth.margin_width", "25", mm(0.3))]),
        row(
            "margin-under-gum", Watch, Base::Crown,
            [by_wall.clone(), ("wall.margin_to_gum", "26/distal", c("deeper"))],
        ),
        row("margin-under-gum", Watch, Base::Crown, [("tooth.margin_to_gum", "26", c("deeper"))]),
        row(
            "margin-under-gum", Watch, Base::Glass,
            [("tooth.wall_by_wall", "25", Yes), ("wall.margin_to_gum", "25/distal", c("under-1"))],
        ),
        row(
            "margin-under-gum", Call, Base::Crown,
            [("order.cement", "R1", c("adhesive-resin")), ("tooth.margin_to_gum", "26", c("deeper"))],
        ),
        row(
            "margin-under-gum", Call, Base::Crown,
            [by_wall, ("order.cement", "R1", c("self-adhesive")), ("wall.margin_to_gum", "26/distal", c("deeper"))],
        ),
    ]
}

#[rustfmt::skip]
fn bridge_rows() -> Vec<Row> {
    let c = choice;
    vec![
        row("span", Hold, Base::Bonded("45 x46 47", "lithium-disilicate"), []),
        row("span", Hold, Base::Bonded("13 14 x15 16", "zirconia-4y"), []),
        row("span", Hold, Base::Bonded("x12 13", "lithium-disilicate"), []),
        row("span", Call, Base::Bonded("44 x45 46", "lithium-disilicate"), []),
        row("span", Call, Base::Bonded("44 x45 46", "zirconia-5y"), []),
        row("joined-crowns", Call, Base::Bonded("45 46 47 48", "zirconia-4y"), []),
        row("joined-crowns", Call, Base::Bonded("35 36", "lithium-disilicate"), []),
        row("support", Watch, Base::Units("12 x11 x21 22"), []),
        row("units-apart", Call, Base::Units("13 x12 21"), []),
        row("free-end-on-one-retainer", Call, Base::Units("x45 46"), []),
        // A canine of 4 mm that carries two premolars: as a single crown it would do.
        row("plan", Watch, Base::Units("13 x14 x15 16"), [("tooth.height", "13", mm(4.0))]),
        row("plan", Call, Base::Units("13 x14 x15 16"), [("tooth.height", "13", mm(3.0))]),
        row("free-end-long", Call, Base::Units("45 46 x47"), []),
        row("pier", Watch, Base::Units("13 x14 15 x16 17"), []),
        // (7 + 7 + 11) over 11, cubed: 11.7. Roots 862 over 818 mm².
        row("span-bends", Watch, Base::Units("33 32 x31 x41 x42 43"), []),
        row(
            "span-bends", Call, Base::Units("32 33 x34 x35 x36 37"),
            [("pontic.span", "34", mm(7.8)), ("pontic.span", "35", mm(7.8)), ("pontic.span", "36", mm(11.6))],
        ),
        row("loose-abutment", Call, Base::Units("x44 45 46"), [("tooth.mobility", "46", c("III"))]),
        row("loose-abutment", Watch, Base::Units("x44 45 46"), [("tooth.mobility", "46", c("I"))]),
        row(
            "root-filled-cantilever", Watch, Base::Units("x44 45 46"),
            [("tooth.core", "45", c("filled")), ("tooth.root_filled", "45", Yes)],
        ),
        row("pontic-form", Call, Base::Units("12 x11 21"), [("pontic.form", "11", c("full-lap"))]),
        row(
            "pontic-form", Watch, Base::Units("12 x11 21"),
            [("pontic.ridge", "11", c("sunken")), ("pontic.form", "11", c("not-said"))],
        ),
        row("ridge", Call, Base::Bridge, [("pontic.ridge", "45", c("healing"))]),
        // As round sections 8.8 mm² for 9; then 9.03 mm², yet 2.3²·5.0 = 26.45 mm³ for 27.
        row(
            "connector-room", Call, Base::Bridge,
            [("connector.space_height", "44-45", mm(2.9)), ("connector.space_width", "44-45", mm(2.9))],
        ),
        row(
            "connector-room-low", Call, Base::Bridge,
            [("connector.space_height", "44-45", mm(2.3)), ("connector.space_width", "44-45", mm(5.0))],
        ),
        row(
            "connector-room-low", Watch, Base::Units("12 x11 21"),
            [("connector.space_height", "11-21", mm(2.3)), ("connector.space_width", "11-21", mm(4.5)),
             ("connector.height", "11-21", mm(3.2))],
        ),
        // Little room, and drawn as it allows: what is drawn stands under the room. 8.25 mm² of 9.
        row(
            "connector-room", Call, Base::Bridge,
            [("connector.space_height", "44-45", mm(3.0)), ("connector.space_width", "44-45", mm(2.9)),
             ("connector.height", "44-45", mm(3.0)), ("connector.width", "44-45", mm(2.9))],
        ),
        row(
            "connector-area", Hold, Base::Bridge,
            [("connector.height", "44-45", mm(3.0)), ("connector.width", "44-45", mm(2.0))],
        ),
        row(
            "connector-area", Call, Base::Bridge,
            [("connector.height", "44-45", mm(2.9)), ("connector.width", "44-45", mm(2.6))],
        ),
        row(
            "connector-area", Watch, Base::Bridge,
            [("connector.height", "44-45", mm(3.0)), ("connector.width", "44-45", mm(2.9))],
        ),
        row(
            "connector-height", Watch, Base::Bridge,
            [("connector.height", "44-45", mm(2.4)), ("connector.width", "44-45", mm(4.4))],
        ),
        row(
            "connector-height", Watch, Base::Units("12 x11 21"),
            [("connector.height", "11-21", mm(2.4)), ("connector.width", "11-21", mm(4.4))],
        ),
        // An ellipse: π·5.4·2.6²/32 = 3.58 mm³ against the 3.81 of a round one of 9 mm² would do; 2.2 by 6.4 has 3.04, a quarter less.
        row(
            "connector-flat", Watch, Base::Bridge,
            [("connector.section", "44-45", c("round")),
             ("connector.height", "44-45", mm(2.2)), ("connector.width", "44-45", mm(6.4)),
             ("connector.space_width", "44-45", mm(7.0))],
        ),
        row("connector-sharp", Watch, Base::Bridge, [("connector.section", "44-45", c("sharp-box"))]),
        // For what only such work has.
        row("clearance", Hold, Base::Bonded("11", "metal-ceramic"), [("tooth.clearance", "11", mm(0.5))]),
        row("margin-form", Call, Base::Veneered, [("tooth.margin_form", "26", c("feather"))]),
    ]
}

/// A tall prep whose walls lean in by so many degrees each.
fn cone(wall: f64) -> Vec<(&'static str, &'static str, Value)> {
    let top = |base: f64| mm(((base - 12.0 * wall.to_radians().tan()) * 100.0).round() / 100.0);
    vec![
        ("tooth.height", "26", mm(6.0)),
        ("tooth.width_margin_md", "26", mm(9.0)),
        ("tooth.width_top_md", "26", top(9.0)),
        ("tooth.width_margin_fl", "26", mm(10.0)),
        ("tooth.width_top_fl", "26", top(10.0)),
    ]
}

pub(crate) fn rows() -> Vec<Row> {
    [
        order_rows(),
        records_rows(),
        bite_rows(),
        prep_rows(),
        bridge_rows(),
        super::readings::reading_rows(),
    ]
    .into_iter()
    .flatten()
    .collect()
}
