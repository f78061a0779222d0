//! Preparations as surfaces, limit analysis, grip and the common path, against closed forms, a general conic solver and
//! published trends.

mod agreement;
mod exact;
mod experiments;
mod invariance;
mod mesh;
mod path;
pub(crate) mod random;
mod reference;
mod surface;
mod trends;
mod yardstick;

use casepan::mechanics::dislodgement::{
    Dislodgement, Holding, Limits, Load, Restoration, Settings,
};
use casepan::mechanics::frame::{Abutment, Frame};
use casepan::mechanics::prep::{Mesh, Preparation, Wall};

/// Returns a prep with four like walls. Widths and height in mm, taper of a wall in degrees.
fn plain(mesiodistal: f64, faciolingual: f64, height: f64, taper: f64) -> Preparation {
    Preparation::new(
        mesiodistal,
        faciolingual,
        [Wall::straight(height, taper); 4],
    )
}

/// Returns a cone of circular base.
fn cone(diameter: f64, height: f64, taper: f64) -> Preparation {
    Preparation {
        exponent: 2.0,
        ..plain(diameter, diameter, height, taper)
    }
}

fn single(preparation: &Preparation, mesh: Mesh) -> Restoration {
    let abutment = Abutment {
        frame: Frame::IDENTITY,
        preparation: preparation.clone(),
    };
    Restoration::new(&[abutment], mesh).unwrap()
}

#[track_caller]
fn solve(restoration: &Restoration, limits: Limits, load: &Load) -> Dislodgement {
    let holding = Holding::new(restoration, limits).unwrap();
    holding
        .dislodge(load, Settings::EXACT)
        .certified()
        .unwrap()
        .clone()
}

#[track_caller]
fn near(found: f64, expected: f64, relative: f64) {
    assert!(
        (found - expected).abs() <= relative * expected.abs(),
        "found {found}, expected {expected}"
    );
}
