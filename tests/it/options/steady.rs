//! How much of an option is enough with a reading off by its error.

use super::*;

/// Walls of 3.5 mm: 0.5 mm more reaches the published 4 mm (Goodacre 2001, J Prosthet Dent); with one of them read too
/// high it takes another step.
#[test]
fn the_reading_error_asks_for_more() {
    let mut case = pan("46", "zirconia-3y", "resin-modified");
    put(&mut case, "tooth.height", "46", mm(3.5));
    put(&mut case, "tooth.wall_by_wall", "46", Value::Yes);
    for wall in crate::good::walls("46") {
        put(&mut case, "wall.height", &wall, mm(3.5));
        put(&mut case, "wall.margin_to_gum", &wall, choice("above"));
    }
    finish(&mut case, true);
    let facts = quick(&case);
    let judgement = judge(flow(), &facts);
    let ways = case_options(flow(), &facts, &judgement);
    let way = the(&ways, "deeper-all-round");
    assert_eq!(way.amount, Some(Amount::By(0.5, Unit::Mm)));
    assert_eq!(after(way).left, Level::Fine);
    assert_eq!(
        steady(flow(), &facts, &judgement, way),
        Some(Amount::By(1.0, Unit::Mm))
    );
    // What has no amount has none to be steadied.
    let groove = ways
        .iter()
        .find(|way| way.amount.is_none())
        .expect("a groove");
    assert_eq!(steady(flow(), &facts, &judgement, groove), None);
}
