//! Connectors and spans as beams.
//!
//! Straight slender beams of one cross-section after Euler and Bernoulli, bent in the occluso-gingival direction. A
//! connector is short and notched, so its real stress is higher than the figure here: use it to compare shapes, not to
//! predict the load of fracture.
//!
//! Sources: closed forms of any handbook of mechanics for the three supports (`FL/4`, `FL/8`, `FL`; `FL³/48EI`,
//! `FL³/192EI`, `FL³/3EI`) and for the sections.

use std::f64::consts::PI;
use std::fmt;

/// The cross-section of a connector. Heights are occluso-gingival, widths faciolingual, all in mm.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum CrossSection {
    /// An ellipse, the usual shape of a waxed or milled connector.
    Ellipse {
        /// Occluso-gingival axis, in mm.
        height: f64,
        /// Faciolingual axis, in mm.
        width: f64,
    },
    /// A box with its four edges rounded alike.
    RoundedBox {
        /// Occluso-gingival height, in mm.
        height: f64,
        /// Faciolingual width, in mm.
        width: f64,
        /// Radius of the edges, in mm, at most half the smaller side.
        radius: f64,
    },
    /// A box with sharp edges.
    SharpBox {
        /// Occluso-gingival height, in mm.
        height: f64,
        /// Faciolingual width, in mm.
        width: f64,
    },
}

/// How a span is held.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Support {
    /// Rests on both ends, loaded in the middle.
    Simple,
    /// Both ends held against turning, loaded in the middle.
    Fixed,
    /// One end held, loaded at the free one.
    Cantilever,
}

/// An input with which no beam can be reckoned.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum BeamError {
    /// The named quantity is not a positive finite number.
    NotPositive(&'static str),
    /// The edge radius is negative, not a number, or more than half the smaller side.
    Radius,
    /// The inputs are so large or so small that the result is no number.
    OutOfRange,
}

impl fmt::Display for BeamError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BeamError::NotPositive(what) => write!(f, "The {what} must be more than zero."),
            BeamError::Radius => write!(
                f,
                "The edge radius must be between zero and half the smaller side of the section."
            ),
            BeamError::OutOfRange => write!(f, "The numbers given are too large or too small."),
        }
    }
}

impl std::error::Error for BeamError {}

impl CrossSection {
    /// Returns the area in mm².
    ///
    /// # Errors
    ///
    /// Refuses sides that are not positive and finite, and a radius that does not fit.
    pub fn area(&self) -> Result<f64, BeamError> {
        self.check()?;
        result(match *self {
            CrossSection::Ellipse { height, width } => PI * width * height / 4.0,
            CrossSection::RoundedBox {
                height,
                width,
                radius,
            } => width * height - (4.0 - PI) * radius * radius,
            CrossSection::SharpBox { height, width } => width * height,
        })
    }

    /// Returns the second moment of area about the faciolingual axis through the centre, in mm⁴.
    ///
    /// # Errors
    ///
    /// As [`CrossSection::area`].
    pub fn second_moment(&self) -> Result<f64, BeamError> {
        self.check()?;
        result(match *self {
            CrossSection::Ellipse { height, width } => PI * width * height.powi(3) / 64.0,
            CrossSection::RoundedBox {
                height,
                width,
                radius,
            } => rounded_second_moment(height, width, radius),
            CrossSection::SharpBox { height, width } => box_second_moment(height, width),
        })
    }

    /// Returns the section modulus for bending in the occluso-gingival direction, in mm³.
    ///
    /// # Errors
    ///
    /// As [`CrossSection::area`].
    pub fn section_modulus(&self) -> Result<f64, BeamError> {
        let (height, _) = self.sides();
        result(self.second_moment()? / (height / 2.0))
    }

    /// Returns height² × width in mm³, the figure by which benches compare connectors.
    ///
    /// # Errors
    ///
    /// As [`CrossSection::area`].
    pub fn height_squared_width(&self) -> Result<f64, BeamError> {
        self.check()?;
        let (height, width) = self.sides();
        result(height * height * width)
    }

    fn sides(&self) -> (f64, f64) {
        match *self {
            CrossSection::Ellipse { height, width }
            | CrossSection::RoundedBox { height, width, .. }
            | CrossSection::SharpBox { height, width } => (height, width),
        }
    }

    fn check(&self) -> Result<(), BeamError> {
        let (height, width) = self.sides();
        positive("height of the section", height)?;
        positive("width of the section", width)?;
        if let CrossSection::RoundedBox { radius, .. } = *self
            && !(0.0..=height.min(width) / 2.0).contains(&radius)
        {
            return Err(BeamError::Radius);
        }
        Ok(())
    }
}

fn box_second_moment(height: f64, width: f64) -> f64 {
    width * height.powi(3) / 12.0
}

/// Cuts the rounded box into a middle of full height, two flanks between the edges, and four quarter circles.
fn rounded_second_moment(height: f64, width: f64, radius: f64) -> f64 {
    let middle = box_second_moment(height, width - 2.0 * radius);
    let flanks = box_second_moment(height - 2.0 * radius, 2.0 * radius);
    // A quarter circle about its own centroid, moved to the centre of the section (parallel axis theorem).
    let quarter_area = PI * radius * radius / 4.0;
    let centroid = 4.0 * radius / (3.0 * PI);
    let own = radius.powi(4) * (PI / 16.0 - 4.0 / (9.0 * PI));
    let arm = height / 2.0 - radius + centroid;
    middle + flanks + 4.0 * (own + quarter_area * arm * arm)
}

/// Returns the largest bending stress in a span, in MPa, for a load in N and a span in mm.
///
/// The bending moment is `FL/4` in the middle of a simple span, `FL/8` in the middle and at the ends of a fixed one, and
/// `FL` at the held end of a cantilever.
///
/// # Errors
///
/// Refuses a load, span or section that is not positive and finite, and a radius that does not fit.
pub fn bending_stress(
    support: Support,
    load: f64,
    span: f64,
    section: &CrossSection,
) -> Result<f64, BeamError> {
    let load = positive("load", load)?;
    let span = positive("span", span)?;
    let moment = match support {
        Support::Simple => load * span / 4.0,
        Support::Fixed => load * span / 8.0,
        Support::Cantilever => load * span,
    };
    result(moment / section.section_modulus()?)
}

/// Returns the deflection in mm of a span in mm under its load in N, without the part due to shear.
///
/// `modulus` is Young's modulus in GPa. The deflection is `FL³/48EI` in the middle of a simple span, `FL³/192EI` in the
/// middle of a fixed one, and `FL³/3EI` at the free end of a cantilever.
///
/// # Errors
///
/// Refuses a load, span, modulus or section that is not positive and finite, and a radius that does not fit.
pub fn deflection(
    support: Support,
    load: f64,
    span: f64,
    modulus: f64,
    section: &CrossSection,
) -> Result<f64, BeamError> {
    let load = positive("load", load)?;
    let span = positive("span", span)?;
    let modulus = positive("modulus of elasticity", modulus)? * 1000.0;
    let divisor = match support {
        Support::Simple => 48.0,
        Support::Fixed => 192.0,
        Support::Cantilever => 3.0,
    };
    result(load * span.powi(3) / (divisor * modulus * section.second_moment()?))
}

fn positive(what: &'static str, value: f64) -> Result<f64, BeamError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(BeamError::NotPositive(what))
    }
}

fn result(value: f64) -> Result<f64, BeamError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(BeamError::OutOfRange)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn same(one: f64, other: f64) {
        assert!((one - other).abs() <= 1e-12 * other.abs(), "{one} {other}");
    }

    fn rounded(height: f64, width: f64, radius: f64) -> CrossSection {
        CrossSection::RoundedBox {
            height,
            width,
            radius,
        }
    }

    /// Without radius the rounded box is the sharp one.
    #[test]
    fn no_radius_is_a_sharp_box() {
        let sharp = CrossSection::SharpBox {
            height: 4.0,
            width: 3.0,
        };
        let round = rounded(4.0, 3.0, 0.0);
        same(round.area().unwrap(), sharp.area().unwrap());
        same(sharp.section_modulus().unwrap(), 8.0);
        same(round.section_modulus().unwrap(), 8.0);
        same(round.height_squared_width().unwrap(), 48.0);
    }

    /// With the radius half its side a square becomes a circle, πd⁴/64.
    #[test]
    fn full_radius_is_a_circle() {
        let circle = CrossSection::Ellipse {
            height: 3.0,
            width: 3.0,
        };
        let round = rounded(3.0, 3.0, 1.5);
        same(circle.second_moment().unwrap(), PI * 81.0 / 64.0);
        same(round.second_moment().unwrap(), PI * 81.0 / 64.0);
        same(round.area().unwrap(), circle.area().unwrap());
        same(circle.section_modulus().unwrap(), PI * 27.0 / 32.0);
    }

    /// A stadium lying down is a circle and a box, which share the axis.
    #[test]
    fn stadium() {
        same(
            rounded(3.0, 5.0, 1.5).second_moment().unwrap(),
            PI * 81.0 / 64.0 + 2.0 * 27.0 / 12.0,
        );
    }

    #[test]
    fn numbers_out_of_range_are_no_result() {
        let thin = CrossSection::SharpBox {
            height: 1e-200,
            width: 1.0,
        };
        assert_eq!(
            bending_stress(Support::Simple, 1.0, 1.0, &thin),
            Err(BeamError::OutOfRange)
        );
    }
}
