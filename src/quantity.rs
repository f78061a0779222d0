//! Thin newtypes that carry a unit. The maths inside works on plain numbers; these stand at its edge.

use std::fmt;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $unit:literal, $decimals:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, PartialOrd, Debug, Default)]
        pub struct $name(pub f64);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                show(f, self.0, $decimals, $unit)
            }
        }
    };
}

quantity! {
    /// A length in millimetres, shown with two decimals.
    Mm, " mm", 2
}
quantity! {
    /// An angle in degrees, shown with one decimal.
    Deg, "°", 1
}
quantity! {
    /// A force in newtons, shown with one decimal.
    Newton, " N", 1
}
quantity! {
    /// A stress in megapascals (N/mm²), shown with one decimal.
    Mpa, " MPa", 1
}

/// Writes number and unit. A precision given in the format string goes before the quantity's own.
fn show(f: &mut fmt::Formatter<'_>, value: f64, decimals: usize, unit: &str) -> fmt::Result {
    let decimals = f.precision().unwrap_or(decimals);
    let number = format!("{value:.decimals$}");
    // A reading that rounds to nothing must not look like an undercut or a pull.
    let number = match number.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|byte| matches!(byte, b'0' | b'.')) => rest,
        _ => number.as_str(),
    };
    write!(f, "{number}{unit}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shown_with_unit() {
        assert_eq!(Mm(3.456).to_string(), "3.46 mm");
        assert_eq!(Deg(-8.44).to_string(), "-8.4°");
        assert_eq!(Newton(500.0).to_string(), "500.0 N");
        assert_eq!(Mpa(194.44).to_string(), "194.4 MPa");
        assert_eq!(format!("{:.4}", Mm(0.002_582)), "0.0026 mm");
        assert_eq!(Deg(-0.04).to_string(), "0.0°");
        assert_eq!(Deg(-0.05001).to_string(), "-0.1°");
    }

    #[test]
    fn compared_by_value() {
        assert!(Mm(3.0) < Mm(4.0));
        assert!(Mpa(f64::NAN).partial_cmp(&Mpa(1.0)).is_none());
    }
}
