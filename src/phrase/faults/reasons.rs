//! Why a figure is not computed, and why an option is barred: read at the bench beside the figure or the option.

use std::fmt::Display;

use super::values;
use crate::fact::Kind;
use crate::tooth::Tooth;

/// A computed figure is infinite or not a number.
pub const BEYOND_COMPUTING: &str = "these readings are outside what can be computed";

/// A computed figure lies outside the bounds of its fact.
pub fn implausible(kind: &Kind) -> String {
    format!(
        "the result would not be within {}: look for a slip in the readings",
        values::wanted(kind)
    )
}

/// The planned cement is no row of the flow.
pub const UNKNOWN_CEMENT: &str = "this flow does not have the cement";
/// The planned material is no row of the flow.
pub const UNKNOWN_MATERIAL: &str = "this flow does not have the material";

/// The prep is wider at the top than at the margin, from mesial to distal.
pub const TOP_WIDER_MD: &str =
    "the prep is wider at the top than at the margin, mesiodistally: measure again";
/// The prep is wider at the top than at the margin, from facial to lingual.
pub const TOP_WIDER_FL: &str =
    "the prep is wider at the top than at the margin, faciolingually: measure again";
/// The mean height is above or below all walls.
pub const HEIGHT_OFF_WALLS: &str =
    "the average height is outside the heights of all four walls: measure again";
/// The tapers of the walls do not fit the widths.
pub const TOP_OFF_WALLS: &str =
    "the tapers of the walls lead to a different width at the top: measure again";
/// The straight part of a concave wall is higher than the wall.
pub const STRAIGHT_OVER_WALL: &str =
    "the straight part of a wall is higher than the wall: measure again";
/// A step of the margin is higher than the prep.
pub const STEP_OVER_PREP: &str = "a step in the margin is higher than the prep: measure again";
/// The walls meet before they reach the top.
pub const WALLS_MEET: &str = "the walls meet below the top: measure again";

/// The day of the pour lies before the day of the impression.
pub const POURED_FIRST: &str =
    "the impression was poured before it was taken: correct one of the dates";
/// Two days are too far apart to be counted.
pub const DAYS_APART: &str = "the two dates cannot be compared";
/// The flow has no shrinkage of an impression material.
pub const NO_SHRINKAGE: &str = "no published shrinkage for this impression material";
/// The restoration has no retainer left.
pub const NO_RETAINER: &str = "there is no retainer";
/// No path of insertion fits all preps of a restoration.
pub const NO_PATH: &str = "the preps share no path of insertion";
/// None of the flow's loads decides on grip here.
pub const NO_LOAD_JUDGED: &str = "no load decides on grip here";

/// What mechanics says of one prep.
pub fn of_prep(tooth: Tooth, error: &dyn Display) -> String {
    format!("prep {tooth}: {error}")
}

/// A prep that would have to be written with a wall that leans outwards.
pub const UNDERCUT: &str = "this makes an undercut";

/// The readings of a prep fit no shape, so that no cut is tried.
pub const IMPOSSIBLE_SHAPE: &str = "the readings fit no possible shape: measure again first";
/// Readings of a prep are missing, so that no cut is tried.
pub const PREP_NOT_READ: &str = "readings of the prep are missing";
/// The cut leads to a shape that cannot be.
pub const NO_SUCH_PREP: &str = "no such prep can be cut from these readings";
/// A restoration none of whose connectors is drawn.
pub const NO_CONNECTOR_DRAWN: &str = "no connector is drawn yet";
/// A connector that is not drawn.
pub const CONNECTOR_NOT_DRAWN: &str = "the connector is not drawn yet";
/// A connector that fills the space from the gum to the edge.
pub const CONNECTOR_FILLS: &str = "the space for the connector is full";
/// The clearance is not read.
pub const CLEARANCE_NOT_READ: &str = "the clearance has not been measured";
/// A restoration with a pontic would be split.
pub const PONTIC_ALONE: &str = "a pontic cannot stand alone";
/// The restoration to be changed is not in the case any more.
pub const RESTORATION_GONE: &str = "the restoration is no longer in the case";
/// The option is of another flow.
pub const NO_SUCH_OPTION: &str = "this flow does not have the option";
/// A build-up of something that is not a prep.
pub const ONLY_PREPS_BUILT_UP: &str = "only a prep can be built up";
/// A split of something that is not a restoration.
pub const ONLY_RESTORATIONS_SPLIT: &str = "only a restoration can be split";
/// No tooth stands beside the restoration to take in.
pub const NO_NEIGHBOUR: &str = "there is no tooth next to it";
/// The material is not used with the cement.
pub const DO_NOT_MATCH: &str = "material and cement do not go together";
/// The fact has no other choice.
pub const NO_OTHER_CHOICE: &str = "there is no other choice";
/// No wall leans more than the option would leave it.
pub const NOTHING_TO_CUT: &str = "there is nothing to cut";
/// The option has no amount to try.
pub const NOTHING_TO_CHANGE: &str = "there is nothing to change here";

/// No finding and no grip changes.
pub const NO_EFFECT: &str = "it changes no finding";
/// Other findings become as grave.
pub const OTHERS_AS_BAD: &str = "it causes findings just as bad";
/// The finding stays as grave.
pub const STAYS_AS_BAD: &str = "it does not improve the finding";
/// The grip of the weakest retainer falls.
pub const LESS_GRIP: &str = "the weakest retainer has less grip afterwards";
/// Nothing of the finding goes.
pub const REMOVES_NOTHING: &str = "it removes nothing of the finding";
/// The finding stays even with the largest amount.
pub const NOT_ENOUGH: &str = "even the most that can be done is not enough on its own";
