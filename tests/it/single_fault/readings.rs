//! Readings that contradict each other, or hardly can be.

use casepan::fact::Value;
use casepan::fact::Value::Yes;
use casepan::flow::Level::{Call, Watch};

use super::base::Base;
use super::rows::{Row, row};
use crate::good::{choice, deg, mm};

/// Readings that cannot be, or hardly. On 26 the usual crown is 10 by 11 mm and 7.5 mm long, 8 by 10 mm at its neck; the
/// good prep is 4.5 mm high.
#[rustfmt::skip]
pub(super) fn reading_rows() -> Vec<Row> {
    let c = choice;
    let round = |more: Vec<(&'static str, &'static str, Value)>| {
        let mut wrong = vec![("tooth.wall_by_wall", "26", Yes)];
        wrong.extend(more);
        wrong
    };
    let heights = |heights: [f64; 4]| {
        let walls = ["26/mesial", "26/distal", "26/facial", "26/lingual"].into_iter();
        walls.zip(heights).map(|(at, height)| ("wall.height", at, mm(height))).collect()
    };
    vec![
        row("top-over-margin-md", Call, Base::Crown, [("tooth.width_top_md", "26", mm(9.4))]),
        row("top-over-margin-fl", Call, Base::Crown, [("tooth.width_top_fl", "26", mm(12.0))]),
        // 4.5·tan 45° on either side is 9 mm.
        row("walls-meet", Call, Base::Crown, round(vec![
            ("wall.taper", "26/mesial", deg(45.0)),
            ("wall.taper", "26/distal", deg(45.0)),
        ])),
        row("mean-off-the-walls", Call, Base::Crown, round(heights([6.5, 6.5, 6.5, 6.5]))),
        // Their mean is 6.6.
        row("mean-off-the-walls", Watch, Base::Crown, round(heights([5.0, 7.0, 7.0, 7.5]))),
        // Walls of 0° leave 8 mm of 8 at the top.
        row("top-off-the-walls", Call, Base::Crown, round(vec![
            ("tooth.width_margin_md", "26", mm(8.0)),
            ("tooth.width_top_md", "26", mm(6.6)),
            ("wall.form", "26/mesial", c("straight")),
            ("wall.form", "26/distal", c("straight")),
            ("wall.taper", "26/mesial", deg(0.0)),
            ("wall.taper", "26/distal", deg(0.0)),
        ])),
        // 9.5 and a margin of 0.8 on both sides, over 10.
        row("neck-hardly", Watch, Base::Crown, [
            ("tooth.width_margin_md", "26", mm(9.5)),
            ("tooth.width_top_md", "26", mm(8.3)),
            ("tooth.margin_width", "26", mm(0.8)),
        ]),
        row("margin-on-no-wall", Call, Base::Crown, round(vec![
            ("tooth.margin_to_gum", "26", c("deeper")),
            ("wall.margin_to_gum", "26/mesial", c("at")),
            ("wall.margin_to_gum", "26/distal", c("at")),
            ("wall.margin_to_gum", "26/facial", c("at")),
            ("wall.margin_to_gum", "26/lingual", c("at")),
        ])),
        row("straight-over-wall", Call, Base::Crown, round(vec![
            ("wall.form", "26/facial", c("dished-top")),
            ("wall.straight_height", "26/facial", mm(8.0)),
        ])),
        row("step-over-stump", Call, Base::Crown, round(vec![
            ("tooth.height", "26", mm(4.0)),
            ("tooth.uneven", "26", c("margin-steps")),
            ("wall.margin_step", "26/facial", mm(5.0)),
        ])),
        // 2·atan(0.1/9) is 1.3°.
        row(
            "nearly-parallel", Watch, Base::Crown,
            [("tooth.width_margin_md", "26", mm(7.0)), ("tooth.width_top_md", "26", mm(6.9))],
        ),
        // (3.2 + 2)/8 and (4.5 + 2)/10 are 0.65.
        // Tall, or so narrow a prep would hold too little as well.
        row(
            "width-unusual-md", Watch, Base::Crown,
            [("tooth.width_margin_md", "26", mm(3.2)), ("tooth.height", "26", mm(8.0))],
        ),
        row(
            "width-unusual-fl", Watch, Base::Crown,
            [("tooth.width_margin_fl", "26", mm(4.5)), ("tooth.height", "26", mm(8.0))],
        ),
        row("height-unusual", Watch, Base::Crown, [("tooth.height", "26", mm(9.5))]),
        row("margin-hardly", Watch, Base::Crown, [("tooth.margin_width", "26", mm(2.5))]),
        row("clearance-hardly", Watch, Base::Crown, [("tooth.clearance", "26", mm(5.8))]),
        row("sound-tooth-over-stump", Watch, Base::Crown, [("tooth.sound_above_margin", "26", mm(7.0))]),
        row("span-unusual", Watch, Base::Bridge, [("pontic.span", "45", mm(3.0))]),
        row("room-higher-than-teeth", Watch, Base::Bridge, [("connector.space_height", "44-45", mm(11.0))]),
        row("room-wider-than-teeth", Watch, Base::Bridge, [("connector.space_width", "44-45", mm(10.5))]),
        row(
            "drawn-over-room", Watch, Base::Bridge,
            [("connector.space_height", "44-45", mm(5.0)), ("connector.space_width", "44-45", mm(4.5)),
             ("connector.height", "44-45", mm(5.8))],
        ),
        row(
            "drawn-over-room", Call, Base::Bridge,
            [("connector.space_height", "44-45", mm(5.0)), ("connector.space_width", "44-45", mm(4.5)),
             ("connector.height", "44-45", mm(6.1))],
        ),
    ]
}
