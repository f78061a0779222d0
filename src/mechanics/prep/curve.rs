//! The base of a stump: a superellipse, with its exact tangent and curvature.

/// A closed curve `|x/a|^n + |y/b|^n = 1`, all in mm.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Curve {
    a: f64,
    b: f64,
    exponent: f64,
}

/// The curve at one angle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CurvePoint {
    /// The point, in mm.
    pub(crate) point: [f64; 2],
    /// The unit tangent, counter-clockwise.
    pub(crate) tangent: [f64; 2],
    /// The outward unit normal.
    pub(crate) normal: [f64; 2],
    /// Length of curve per radian of angle, in mm.
    pub(crate) speed: f64,
    /// Curvature in 1/mm, never negative.
    pub(crate) curvature: f64,
}

impl Curve {
    /// `width_x` and `width_y` are the full widths in mm; the exponent is 2 or more.
    pub(crate) fn new(width_x: f64, width_y: f64, exponent: f64) -> Curve {
        Curve {
            a: width_x / 2.0,
            b: width_y / 2.0,
            exponent,
        }
    }

    /// Returns the curve at an angle given by its sine and cosine.
    ///
    /// The angle is the polar one after both half-widths are stretched to 1, which spreads nodes evenly on long bases
    /// too and stays regular where the curve is flat. There `F = |cos|^n + |sin|^n` and the radius is `r = F^(-1/n)`;
    /// first and second derivative follow by the chain rule, and the curvature is `(x' y'' - y' x'') / (x'² +
    /// y'²)^(3/2)` (any handbook).
    pub(crate) fn at(&self, (sin, cos): (f64, f64)) -> CurvePoint {
        let n = self.exponent;
        // |cos|^(n-2) and the same for the sine carry all other powers.
        let (x, y) = (cos.abs().powf(n - 2.0), sin.abs().powf(n - 2.0));
        let f = x * cos * cos + y * sin * sin;
        let df = n * sin * cos * (y - x);
        let ddf = n * ((n - 1.0) * (x * sin * sin + y * cos * cos) - x * cos * cos - y * sin * sin);
        let r = f.powf(-1.0 / n);
        let slope = df / (n * f);
        let dr = -r * slope;
        let ddr = r * ((1.0 + n) * slope * slope - ddf / (n * f));
        let first = [self.a * (dr * cos - r * sin), self.b * (dr * sin + r * cos)];
        let second = [
            self.a * (ddr * cos - 2.0 * dr * sin - r * cos),
            self.b * (ddr * sin + 2.0 * dr * cos - r * sin),
        ];
        let speed = first[0].hypot(first[1]);
        let tangent = first.map(|value| value / speed);
        let turn = first[0] * second[1] - first[1] * second[0];
        CurvePoint {
            point: [self.a * r * cos, self.b * r * sin],
            tangent,
            normal: [tangent[1], -tangent[0]],
            speed,
            curvature: (turn / speed.powi(3)).max(0.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// An ellipse: `x = a cos t`, curvature `ab / (a² sin² t + b² cos² t)^(3/2)`, normal along `(x/a², y/b²)`.
    #[test]
    fn exponent_two_is_an_ellipse() {
        let curve = Curve::new(8.0, 5.0, 2.0);
        for step in 0..40 {
            let angle = f64::from(step) * PI / 20.0;
            let found = curve.at(angle.sin_cos());
            let [x, y] = found.point;
            let (sin, cos) = (y / 2.5, x / 4.0);
            assert!((sin * sin + cos * cos - 1.0).abs() < 1e-12);
            let expected = 10.0 / (16.0 * sin * sin + 6.25 * cos * cos).powf(1.5);
            assert!((found.curvature - expected).abs() < 1e-12);
            let normal = [x / 16.0, y / 6.25];
            let across = normal[0] * found.tangent[0] + normal[1] * found.tangent[1];
            assert!(across.abs() < 1e-12);
            assert!(normal[0] * found.normal[0] + normal[1] * found.normal[1] > 0.0);
        }
    }

    /// At the diagonal of a square superellipse the curvature is `(n-1) 2^(1/n - 1/2) / a`, from the second derivative of
    /// the implicit form.
    #[test]
    fn curvature_at_the_corner() {
        for exponent in [2.0, 2.5, 4.0, 9.0_f64] {
            let found = Curve::new(6.0, 6.0, exponent).at((PI / 4.0).sin_cos());
            let expected = (exponent - 1.0) * 2_f64.powf(1.0 / exponent - 0.5) / 3.0;
            assert!((found.curvature - expected).abs() < 1e-12, "{exponent}");
        }
    }

    /// The curvature over the whole curve turns the tangent once round: its integral is 2π.
    #[test]
    fn one_turn_round() {
        for (a, b, exponent) in [(8.0, 8.0, 2.0), (8.0, 5.0, 2.5), (4.0, 9.0, 3.0)] {
            let curve = Curve::new(a, b, exponent);
            let steps = 2000;
            let turn: f64 = (0..steps)
                .map(|step| {
                    let at = curve.at((f64::from(step) * 2.0 * PI / f64::from(steps)).sin_cos());
                    at.curvature * at.speed * 2.0 * PI / f64::from(steps)
                })
                .sum();
            assert!((turn - 2.0 * PI).abs() < 1e-3, "{turn}");
        }
    }
}
