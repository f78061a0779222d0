//! The good cases that something is changed in.

use casepan::case::Case;

use crate::good::{choice, pan, put};

/// The good cases that something is changed in.
#[derive(Clone, Copy)]
pub(crate) enum Base {
    /// A zirconia crown on 26.
    Crown,
    /// The same by scan.
    Scan,
    /// A bonded lithium disilicate crown on 25.
    Glass,
    /// A bonded leucite crown on 25.
    Leucite,
    /// A metal-ceramic crown on 26.
    Veneered,
    /// A zirconia crown on 13.
    Canine,
    /// A zirconia bridge 44 x45 46.
    Bridge,
    /// Other units, in zirconia and a resin-modified cement.
    Units(&'static str),
    /// Other units, in another material, bonded.
    Bonded(&'static str, &'static str),
}

impl Base {
    pub(crate) fn case(self) -> Case {
        match self {
            Base::Crown => pan("26", "zirconia-3y", "resin-modified"),
            Base::Scan => {
                let mut case = pan("26", "zirconia-3y", "resin-modified");
                put(&mut case, "records.kind", "case", choice("scan"));
                case
            }
            Base::Glass => pan("25", "lithium-disilicate", "adhesive-resin"),
            Base::Leucite => pan("25", "leucite", "adhesive-resin"),
            Base::Veneered => pan("26", "metal-ceramic", "zinc-phosphate"),
            Base::Canine => pan("13", "zirconia-3y", "resin-modified"),
            Base::Bridge => pan("44 x45 46", "zirconia-3y", "resin-modified"),
            Base::Units(units) => pan(units, "zirconia-3y", "resin-modified"),
            Base::Bonded(units, material) => pan(units, material, "adhesive-resin"),
        }
    }
}
