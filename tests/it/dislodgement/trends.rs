//! Published trends, and grip.

use super::{near, plain, single, solve};
use casepan::mechanics::dislodgement::grip::{
    Graded, Grip, LoadGrip, MINIMUM_MOLAR, MINIMUM_OTHER, grip, minimum_stump,
};
use casepan::mechanics::dislodgement::{Limits, Load, Settings};
use casepan::mechanics::frame::{Abutment, Frame};
use casepan::mechanics::prep::{Mesh, Preparation};

/// Share of the variance that a straight line explains.
fn r_squared(points: &[(f64, f64)]) -> (f64, f64) {
    let count = points.len() as f64;
    let mean = |value: fn(&(f64, f64)) -> f64| points.iter().map(value).sum::<f64>() / count;
    let (mx, my) = (mean(|point| point.0), mean(|point| point.1));
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for (x, y) in points {
        xx += (x - mx) * (x - mx);
        xy += (x - mx) * (y - my);
        yy += (y - my) * (y - my);
    }
    (xy * xy / (xx * yy), xy / xx)
}

/// Force held by a cone, loaded from the side at the top of a crown.
fn sideways(diameter: f64, height: f64, taper: f64, limits: Limits) -> f64 {
    let load = Load {
        point: [0.0, 0.0, 10.0],
        direction: [1.0, 0.0, 0.0],
        force: 1.0,
    };
    let stump = super::cone(diameter, height, taper);
    solve(&single(&stump, Mesh::USUAL), limits, &load).lambda
}

/// Wiskott, Nicholls, Belser 1996, International Journal of Prosthodontics 9:117-130: resistance to a lateral load falls
/// about in a line with convergence, 2.5° to 40° in total. Wiskott et al. 1997, 10:207-215: it rises about in a line with
/// height, 1 to 7 mm, and with diameter, 3 to 8 mm. The forms of the specimens besides are ours.
#[test]
fn straight_lines() {
    for pressing in [5.0, 10.0] {
        let limits = Limits {
            pressing,
            ..Limits::default()
        };
        let over = |values: &[f64], held: &dyn Fn(f64) -> f64| {
            let points: Vec<_> = values.iter().map(|value| (*value, held(*value))).collect();
            r_squared(&points)
        };
        let convergence = over(&[2.5, 5.0, 10.0, 15.0, 20.0, 30.0, 40.0], &|total| {
            sideways(6.0, 4.0, total / 2.0, limits)
        });
        let height = over(&[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0], &|height| {
            sideways(6.0, height, 5.0, limits)
        });
        let diameter = over(&[3.0, 4.0, 5.0, 6.0, 7.0, 8.0], &|diameter| {
            sideways(diameter, 4.0, 5.0, limits)
        });
        println!(
            "κ {pressing}: R² convergence {:.4}, height {:.4}, diameter {:.4}",
            convergence.0, height.0, diameter.0
        );
        assert!(
            convergence.0 > 0.98 && convergence.1 < 0.0,
            "{convergence:?}"
        );
        assert!(height.0 > 0.98 && height.1 > 0.0, "{height:?}");
        assert!(diameter.0 > 0.98 && diameter.1 > 0.0, "{diameter:?}");
    }
}

/// Loads at 45° from four sides, 0.6 of the half-width out, 1.5 mm above the top, acting inwards across the tooth.
fn loads(stump: &Preparation) -> Vec<Load> {
    let top = stump.walls[0].height + 1.5;
    let [a, b] = [0.3 * stump.mesiodistal, 0.3 * stump.faciolingual];
    [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)]
        .map(|(x, y)| Load {
            point: [a * x, b * y, top],
            direction: [x, y, -1.0],
            force: 100.0,
        })
        .to_vec()
}

fn graded(stump: Preparation, minimum_height: f64) -> Graded {
    Graded {
        abutment: Abutment {
            frame: Frame::IDENTITY,
            preparation: stump,
        },
        minimum_height,
    }
}

fn of(stump: &Preparation, minimum: f64, loads: &[Load]) -> Grip {
    let graded = graded(stump.clone(), minimum);
    grip(&[graded], loads, Limits::default(), Settings::EXACT).unwrap()
}

#[test]
fn table() {
    for (a, b, minimum) in [(8.0, 8.0, MINIMUM_MOLAR), (4.0, 4.5, MINIMUM_OTHER)] {
        for (height, taper) in [
            (5.0, 6.0),
            (4.0, 6.0),
            (4.0, 14.0),
            (3.0, 6.0),
            (3.0, 10.0),
            (3.0, 14.0),
            (2.0, 6.0),
            (2.0, 10.0),
            (2.0, 15.0),
            (1.5, 15.0),
        ] {
            let stump = plain(a, b, height, taper);
            let own = loads(&stump);
            let low = loads(&minimum_stump(&stump, minimum));
            let worst = |stump: &Preparation, loads: &[Load]| {
                loads
                    .iter()
                    .map(|load| solve(&single(stump, Mesh::USUAL), Limits::default(), load).lambda)
                    .fold(f64::MAX, f64::min)
            };
            let fixed = of(&stump, minimum, &own).least;
            let m = minimum_stump(&stump, minimum);
            print!(
                "{height}/{taper}: own point {:.3}, min's own point {:.3}, point of min {:.3} | ",
                1.0 / fixed.unwrap().1,
                worst(&m, &low) / worst(&stump, &own),
                worst(&m, &low) / worst(&stump, &low)
            );
        }
        println!();
    }
}
