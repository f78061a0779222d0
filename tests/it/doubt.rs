//! How far readings can be trusted with the verdict, against an independent computation.

use casepan::case::{
    Case, FlowRef, Layer, OrderedKind, Reading, Restoration, Role, Unit as CaseUnit, Units,
};
use casepan::derive::Facts;
use casepan::fact::{
    FactId, HEIGHT, HEIGHT_TO_BASE, MARGIN_FL, MARGIN_MD, Place, Spot, TAPER_FL, TOP_FL, TOP_MD,
    Unit, Value,
};
use casepan::flow::{Flow, Level, embedded};
use casepan::judge::doubt::{doubt, normal_tail};
use casepan::judge::judge;
use casepan::tooth::Tooth;

fn molar(flow: &Flow, height: f64) -> Case {
    let tooth = Tooth::from_iso(26).unwrap();
    let units = Units::new(vec![Restoration {
        id: 1,
        ordered: OrderedKind::Crown,
        units: vec![CaseUnit {
            tooth,
            role: Role::Abutment,
        }],
    }])
    .unwrap();
    let flow = FlowRef {
        id: flow.id.clone(),
        version: flow.version,
        digest: flow.digest.clone(),
    };
    let mut case = Case::new("D-1", flow, units);
    let readings: [(FactId, f64); 5] = [
        (HEIGHT, height),
        (MARGIN_MD, 8.0),
        (TOP_MD, 6.8),
        (MARGIN_FL, 9.0),
        (TOP_FL, 7.8),
    ];
    for (fact, number) in readings {
        let reading = Reading {
            with: Some("caliper".to_owned()),
            ..Reading::plain(Value::Number(number, Unit::Mm))
        };
        case.put(
            Spot {
                fact,
                at: Place::Unit(tooth),
            },
            Layer::Measured,
            reading,
        );
    }
    case
}

/// A height of 4.1 mm stands half a standard deviation (0.2 mm by caliper) over the published 4 mm for molars
/// (Goodacre 2001): the chance that it is under is that of the normal distribution beyond 0.5, 0.3085.
#[test]
fn a_height_just_over_its_limit_decides() {
    let flow = embedded().flow.unwrap();
    let case = molar(&flow, 4.1);
    let facts = Facts::of(&flow, &case);
    let judgement = judge(&flow, &facts);
    assert_eq!(judgement.verdict.level, Level::Fine);
    let doubt = doubt(&flow, &case, &facts, &judgement);
    let first = doubt.deciding.first().expect("the height decides");
    assert_eq!(first.spot.fact, HEIGHT);
    assert!((first.flips_at - 4.0).abs() < 0.005, "{}", first.flips_at);
    assert!((first.chance - 0.3085).abs() < 0.01, "{}", first.chance);
    assert_eq!(first.to, Level::Watch);
    assert!(
        doubt
            .near
            .iter()
            .any(|near| near.limit == 4.0 && (near.chance - 0.3085).abs() < 0.001)
    );
}

#[test]
fn a_height_far_from_every_limit_decides_nothing() {
    let flow = embedded().flow.unwrap();
    let case = molar(&flow, 5.5);
    let facts = Facts::of(&flow, &case);
    let judgement = judge(&flow, &facts);
    assert_eq!(doubt(&flow, &case, &facts, &judgement).deciding, Vec::new());
}

/// The spread by central differences against 40,000 random draws of all five readings at once.
#[test]
fn the_spread_of_derived_figures_matches_random_draws() {
    let flow = embedded().flow.unwrap();
    let case = molar(&flow, 4.4);
    let facts = Facts::of(&flow, &case);
    let judgement = judge(&flow, &facts);
    let doubt = doubt(&flow, &case, &facts, &judgement);
    let at = Place::Unit(Tooth::from_iso(26).unwrap());
    let mut draw = Draws(0x9e37_79b9_7f4a_7c15);
    let (mut tapers, mut ratios) = (Vec::new(), Vec::new());
    for _ in 0..40_000 {
        let height = 4.4 + 0.2 * draw.normal();
        let (base, top) = (9.0 + 0.1 * draw.normal(), 7.8 + 0.1 * draw.normal());
        // 2·atan((base − top)/2H), and height over the larger width.
        tapers.push(2.0 * ((base - top) / (2.0 * height)).atan().to_degrees());
        ratios.push(height / base.max(8.0 + 0.1 * draw.normal()));
    }
    for (fact, values) in [(TAPER_FL, tapers), (HEIGHT_TO_BASE, ratios)] {
        let spread = doubt.spread[&Spot {
            fact: fact.clone(),
            at,
        }];
        let drawn = deviation(&values);
        assert!(
            (spread / drawn - 1.0).abs() < 0.03,
            "{fact}: {spread} against {drawn}"
        );
    }
}

#[test]
fn chances_match_random_draws() {
    let mut draw = Draws(7);
    let draws: Vec<f64> = (0..200_000).map(|_| draw.normal()).collect();
    for z in [0.25, 1.0, 1.7] {
        let share = draws.iter().filter(|x| **x > z).count() as f64 / draws.len() as f64;
        assert!((normal_tail(z) - share).abs() < 0.004, "{z}");
    }
}

fn deviation(values: &[f64]) -> f64 {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    (values
        .iter()
        .map(|value| (value - mean).powi(2))
        .sum::<f64>()
        / values.len() as f64)
        .sqrt()
}

/// Normal draws by Box and Muller over a xorshift generator: nothing that the code under test uses.
struct Draws(u64);

impl Draws {
    fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let (u, v) = (self.uniform().max(1e-12), self.uniform());
        (-2.0 * u.ln()).sqrt() * (2.0 * std::f64::consts::PI * v).cos()
    }
}
