//! Invented restorations and loads from a seed.

use casepan::mechanics::dislodgement::{Load, Restoration};
use casepan::mechanics::frame::{Abutment, ArchCurve};
use casepan::mechanics::prep::{Groove, Mesh, PrepSide, Preparation, Uneven, Wall};

/// SplitMix64, a public-domain generator: the same numbers on every machine.
pub(crate) struct Random(pub(crate) u64);

impl Random {
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub(crate) fn within(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn below(&mut self, count: u64) -> u64 {
        self.next() % count
    }
}

pub(crate) struct Case {
    pub(crate) abutments: Vec<Abutment>,
    pub(crate) load: Load,
}

impl Case {
    pub(crate) fn restoration(&self) -> Restoration {
        Restoration::new(&self.abutments, Mesh::USUAL).unwrap()
    }
}

/// Returns a prep with uneven walls of 0 to 30°, some with an undercut, some hollow, some with grooves.
pub(crate) fn preparation(random: &mut Random) -> Preparation {
    loop {
        let steepest = random.within(2.0, 30.0);
        let shortest = random.within(1.0, 5.0);
        let walls = PrepSide::ALL.map(|_| {
            let mut wall = Wall::straight(
                shortest + random.within(0.0, 2.0),
                random.within(0.0, steepest),
            );
            if random.below(10) == 0 {
                wall.taper = -random.within(0.0, 5.0);
            }
            if random.below(12) == 0 {
                wall.straight = Some(random.within(0.2, 1.5));
            }
            wall
        });
        let mut found = Preparation::new(random.within(3.5, 9.0), random.within(4.0, 10.0), walls);
        if random.below(3) == 0 {
            found = found.uneven(Uneven::MarginSteps);
        }
        if random.below(4) == 0 {
            found.grooves = vec![
                Groove::usual(PrepSide::Mesial),
                Groove::cut_box(PrepSide::Distal),
            ];
        }
        if found.surface(Mesh::USUAL).is_ok() {
            return found;
        }
    }
}

/// Returns a restoration on some abutments along the arch with a load: pull, oblique, twist, pontic pull, press.
pub(crate) fn case(random: &mut Random, abutments: u64) -> Case {
    let mut along = random.within(5.0, 15.0);
    let abutments: Vec<Abutment> = (0..abutments)
        .map(|_| {
            let frame = ArchCurve::UPPER.frame(along).unwrap();
            along += random.within(7.0, 16.0);
            Abutment {
                frame: frame.tilted(random.within(-8.0, 8.0), random.within(-8.0, 8.0)),
                preparation: preparation(random),
            }
        })
        .collect();
    let load = load(random, &abutments);
    Case { abutments, load }
}

fn load(random: &mut Random, abutments: &[Abutment]) -> Load {
    let at = &abutments[random.below(abutments.len() as u64) as usize];
    let frame = at.frame;
    let out = |random: &mut Random| random.within(-3.0, 3.0);
    let point = frame.point([out(random), out(random), random.within(3.0, 8.0)]);
    let local = match random.below(5) {
        0 => [0.0, 0.0, 1.0],
        1 => [random.within(-1.0, 1.0), random.within(-1.0, 1.0), -0.8],
        2 => [random.within(-1.0, 1.0), random.within(-1.0, 1.0), 0.0],
        3 => [random.within(-0.3, 0.3), random.within(-0.3, 0.3), 1.0],
        _ => [random.within(-0.1, 0.1), random.within(-0.1, 0.1), -1.0],
    };
    // Every other load acts on a pontic, beyond the abutment.
    let point = if random.below(2) == 0 {
        let [x, y, z] = point;
        let [a, b, c] = frame.direction([random.within(4.0, 10.0), 0.0, 0.0]);
        [x + a, y + b, z + c]
    } else {
        point
    };
    Load {
        point,
        direction: frame.direction(local),
        force: 100.0,
    }
}
