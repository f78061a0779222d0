//! Connectors and spans against closed forms, statics and sections cut into strips.

use std::f64::consts::PI;

use casepan::mechanics::beam::{BeamError, CrossSection, Support, bending_stress, deflection};

use crate::mechanics::near;

fn sharp(width: f64, height: f64) -> CrossSection {
    CrossSection::SharpBox { height, width }
}

fn ellipse(width: f64, height: f64) -> CrossSection {
    CrossSection::Ellipse { height, width }
}

fn stress(support: Support, section: CrossSection) -> f64 {
    bending_stress(support, 500.0, 7.0, &section).expect("sound")
}

/// 500 N on a span of 7 mm, by 3FL/2wh², 3FL/4wh², 6FL/wh² and, for the ellipse, Z = πwh²/32.
#[test]
fn connector_stresses() {
    near(stress(Support::Simple, sharp(3.0, 3.0)), 194.44, 0.005);
    near(stress(Support::Fixed, sharp(3.0, 3.0)), 97.22, 0.005);
    near(stress(Support::Cantilever, sharp(3.0, 3.0)), 777.78, 0.005);
    near(stress(Support::Simple, ellipse(3.0, 3.0)), 330.10, 0.005);
    near(
        stress(Support::Cantilever, ellipse(3.0, 3.0)),
        1320.40,
        0.005,
    );
    // The same 12 mm²: height wins 4 to 3.
    near(stress(Support::Simple, sharp(3.0, 4.0)), 109.38, 0.005);
    near(stress(Support::Simple, sharp(4.0, 3.0)), 145.83, 0.005);
}

#[test]
fn connector_sections() {
    near(ellipse(3.0, 3.0).area().expect("sound"), 7.069, 5e-4);
    near(sharp(3.0, 4.0).area().expect("sound"), 12.0, 1e-12);
    // An ellipse has 0.589 of the modulus of its box.
    let ratio = ellipse(3.0, 4.0).section_modulus().expect("sound")
        / sharp(3.0, 4.0).section_modulus().expect("sound");
    near(ratio, 0.589, 5e-4);
    // Common practice for three-unit zirconia asks 27 mm³; no publication found.
    near(
        sharp(3.0, 3.0).height_squared_width().expect("sound"),
        27.0,
        1e-12,
    );
    near(
        ellipse(3.0, 4.0).height_squared_width().expect("sound"),
        48.0,
        1e-12,
    );
}

fn bent(support: Support, span: f64, modulus: f64, section: CrossSection) -> f64 {
    deflection(support, 500.0, span, modulus, &section).expect("sound")
}

/// δ = FL³/4Ewh³: 2.582 µm at 205 GPa (zirconia) and 5.572 µm at 95 GPa (gold alloy) for 500 N, 7 mm, 3 by 3 mm.
#[test]
fn span_deflections() {
    let section = sharp(3.0, 3.0);
    let simple = bent(Support::Simple, 7.0, 205.0, section);
    near(simple * 1000.0, 2.582, 5e-4);
    near(
        bent(Support::Simple, 7.0, 95.0, section) * 1000.0,
        5.572,
        5e-4,
    );
    // FL³/16Ewh³ fixed and 4FL³/Ewh³ for the cantilever.
    near(
        bent(Support::Fixed, 7.0, 205.0, section) / simple,
        0.25,
        1e-12,
    );
    near(
        bent(Support::Cantilever, 7.0, 205.0, section) / simple,
        16.0,
        1e-12,
    );
}

/// Deflection grows with the cube of the span and falls with the cube of the height: one, two and three pontics bend as
/// 1 : 8 : 27, half the height bends 8 times as much (Smyd 1952, from memory; closed form).
#[test]
fn the_span_law() {
    let one = bent(Support::Simple, 7.0, 205.0, sharp(3.0, 3.0));
    near(
        bent(Support::Simple, 14.0, 205.0, sharp(3.0, 3.0)) / one,
        8.0,
        1e-12,
    );
    near(
        bent(Support::Simple, 21.0, 205.0, sharp(3.0, 3.0)) / one,
        27.0,
        1e-12,
    );
    near(
        bent(Support::Simple, 7.0, 205.0, sharp(3.0, 1.5)) / one,
        8.0,
        1e-12,
    );
}

/// Deflections from the bending moments by unit load, `∫ M m / EI dx`, with the moments written down from statics.
#[test]
fn deflections_from_bending_moments() {
    let (load, span, modulus) = (500.0, 9.0, 205.0);
    let section = ellipse(2.5, 3.5);
    let stiffness = modulus * 1000.0 * PI * 2.5 * 3.5_f64.powi(3) / 64.0;
    let steps = 20_000_u32;
    let integrate = |moment: &dyn Fn(f64) -> f64, unit: &dyn Fn(f64) -> f64| -> f64 {
        let dx = span / f64::from(steps);
        (0..steps)
            .map(|step| (f64::from(step) + 0.5) * dx)
            .map(|x| moment(x) * unit(x) / stiffness * dx)
            .sum()
    };
    let simple = |x: f64| f64::min(x, span - x) / 2.0;
    let fixed = |x: f64| f64::min(x, span - x) / 2.0 - span / 8.0;
    let cantilever = |x: f64| span - x;
    for (support, moment) in [
        (Support::Simple, &simple as &dyn Fn(f64) -> f64),
        (Support::Fixed, &fixed),
        (Support::Cantilever, &cantilever),
    ] {
        let expected = integrate(&|x| load * moment(x), moment);
        near(bent(support, span, modulus, section) / expected, 1.0, 1e-6);
        let largest = [0.0, span / 2.0, span]
            .into_iter()
            .map(|x| (load * moment(x)).abs())
            .fold(0.0, f64::max);
        let found = bending_stress(support, load, span, &section).expect("sound");
        let modulus_of_section = PI * 2.5 * 3.5 * 3.5 / 32.0;
        near(found / (largest / modulus_of_section), 1.0, 1e-12);
    }
}

/// A rounded box cut into thin strips, for tall, wide and square sections and radii up to half the smaller side.
#[test]
fn rounded_boxes_by_strips() {
    let strips = 200_000_u32;
    for (height, width) in [(3.0, 3.0), (4.0, 3.0), (3.0, 5.0), (2.5, 2.0)] {
        for share in [0.1, 0.4, 0.8, 1.0] {
            let radius = share * f64::min(height, width) / 2.0;
            let dy = height / f64::from(strips);
            let (mut area, mut second) = (0.0, 0.0);
            for strip in 0..strips {
                let y = (f64::from(strip) + 0.5) * dy - height / 2.0;
                let over = (y.abs() - (height / 2.0 - radius)).max(0.0);
                let chord =
                    width - 2.0 * (radius - (radius * radius - over * over).max(0.0).sqrt());
                area += chord * dy;
                second += chord * y * y * dy;
            }
            let section = CrossSection::RoundedBox {
                height,
                width,
                radius,
            };
            near(section.area().expect("sound") / area, 1.0, 1e-6);
            near(section.second_moment().expect("sound") / second, 1.0, 1e-6);
            let modulus = section.section_modulus().expect("sound");
            near(modulus / (second / (height / 2.0)), 1.0, 1e-6);
            // Rounding takes from the box, and never as much as an ellipse does.
            assert!(modulus < sharp(width, height).section_modulus().expect("sound"));
            assert!(
                modulus * (1.0 + 1e-12) >= ellipse(width, height).section_modulus().expect("sound")
            );
        }
    }
}

#[test]
fn unsound_beams_are_refused() {
    let section = sharp(3.0, 3.0);
    for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let by_load = bending_stress(Support::Simple, wrong, 7.0, &section);
        assert_eq!(by_load, Err(BeamError::NotPositive("load")));
        let by_span = deflection(Support::Fixed, 500.0, wrong, 205.0, &section);
        assert_eq!(by_span, Err(BeamError::NotPositive("span")));
        let by_modulus = deflection(Support::Fixed, 500.0, 7.0, wrong, &section);
        assert_eq!(
            by_modulus,
            Err(BeamError::NotPositive("modulus of elasticity"))
        );
        for flat in [sharp(3.0, wrong), ellipse(3.0, wrong)] {
            let error = BeamError::NotPositive("height of the section");
            assert_eq!(flat.area(), Err(error));
            assert_eq!(flat.second_moment(), Err(error));
            assert_eq!(flat.section_modulus(), Err(error));
            assert_eq!(flat.height_squared_width(), Err(error));
        }
        let thin = bending_stress(Support::Simple, 1.0, 7.0, &ellipse(wrong, 3.0));
        assert_eq!(thin, Err(BeamError::NotPositive("width of the section")));
    }
    for radius in [-0.1, 1.51, f64::NAN] {
        let round = CrossSection::RoundedBox {
            height: 4.0,
            width: 3.0,
            radius,
        };
        assert_eq!(round.area(), Err(BeamError::Radius));
        assert_eq!(round.section_modulus(), Err(BeamError::Radius));
    }
}
