//! The base of a prep: a superellipse of half-widths 1, with its exact tangent.

/// A point of the curve `|x|^n + |y|^n = 1` at one angle, and how it moves per radian.
#[derive(Clone, Copy, Debug)]
pub(super) struct CurvePoint {
    pub(super) point: [f64; 2],
    pub(super) change: [f64; 2],
}

/// Returns the curve at a polar angle given by its sine and cosine; the exponent is 2 or more.
///
/// With `F = |cos|^n + |sin|^n` the radius is `r = F^(-1/n)`; its derivative follows by the chain rule. Stretched to a
/// long base the angle still spreads nodes evenly, and it stays regular where the curve is flat.
pub(super) fn unit_curve(n: f64, (sin, cos): (f64, f64)) -> CurvePoint {
    let (x, y) = (cos.abs().powf(n - 2.0), sin.abs().powf(n - 2.0));
    let f = x * cos * cos + y * sin * sin;
    let r = f.powf(-1.0 / n);
    let dr = -r * sin * cos * (y - x) / f;
    CurvePoint {
        point: [r * cos, r * sin],
        change: [dr * cos - r * sin, dr * sin + r * cos],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// The points lie on the curve, the tangent is square to its gradient `(x|x|^(n-2), y|y|^(n-2))`, and it turns counter-clockwise.
    #[test]
    fn points_and_tangents_are_those_of_the_implicit_form() {
        for exponent in [2.0, 2.5, 4.0, 9.0] {
            for step in 0..40 {
                let found = unit_curve(exponent, (f64::from(step) * TAU / 40.0).sin_cos());
                let [x, y] = found.point;
                let on = x.abs().powf(exponent) + y.abs().powf(exponent);
                assert!((on - 1.0).abs() < 1e-12, "{exponent}");
                let gradient = [x, y].map(|own| own * own.abs().powf(exponent - 2.0));
                let [dx, dy] = found.change;
                assert!(
                    (gradient[0] * dx + gradient[1] * dy).abs() < 1e-12,
                    "{exponent}"
                );
                assert!(x * dy - y * dx > 0.0, "{exponent}");
            }
        }
    }

    /// The change per radian against the difference of two points.
    #[test]
    fn the_change_is_the_derivative() {
        for step in 0..40 {
            let at = |angle: f64| unit_curve(2.5, angle.sin_cos());
            let angle = 0.1 + f64::from(step) * TAU / 40.0;
            let [before, after] = [angle - 1e-5, angle + 1e-5].map(|angle| at(angle).point);
            for axis in 0..2 {
                let slope = (after[axis] - before[axis]) / 2e-5;
                assert!((slope - at(angle).change[axis]).abs() < 1e-6);
            }
        }
    }
}
