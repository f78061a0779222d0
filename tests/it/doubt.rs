//! How far readings can be trusted with the verdict, against an independent computation.

use casepan::case::{
    Case, CaseUnit, FlowRef, Layer, OrderedKind, Reading, Restoration, Role, Units,
};
use casepan::derive::Facts;
use casepan::fact::{
    FAILING, FactId, HEIGHT, HEIGHT_TO_BASE, Kind, MARGIN_FL, MARGIN_MD, PAIR_FAILS, Place, Spot,
    TAPER_FL, TAPER_MOST, TOP_FL, TOP_MD, Unit, Value,
};
use casepan::flow::{Flow, Level, embedded};
use casepan::judge::doubt::{Method, doubt, normal_tail};
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
    let first = doubt.measure_again.first().expect("the height decides");
    assert_eq!(first.spot.fact, HEIGHT);
    assert!((first.flips_at - 4.0).abs() < 0.005, "{}", first.flips_at);
    assert!((first.chance - 0.3085).abs() < 0.01, "{}", first.chance);
    assert_eq!(first.to, Level::Watch);
    // No other reading can turn it, so with all off at once the chance is the same; 100 draws in mirrored pairs.
    let turns = doubt.turns.expect("readings");
    assert!((turns - 0.3085).abs() < 0.12, "{turns}");
    assert!(
        doubt
            .near
            .iter()
            .any(|near| near.limit == Some(4.0) && (near.chance - 0.3085).abs() < 0.001)
    );
}

#[test]
fn a_height_far_from_every_limit_decides_nothing() {
    let flow = embedded().flow.unwrap();
    let case = molar(&flow, 5.5);
    let facts = Facts::of(&flow, &case);
    let judgement = judge(&flow, &facts);
    let doubt = doubt(&flow, &case, &facts, &judgement);
    assert_eq!(doubt.measure_again, Vec::new());
    assert_eq!(doubt.turns, Some(0.0));
}

/// Nothing is said to lie below what it can be at the least: no count below 0, no share below nothing.
#[test]
fn no_figure_may_lie_where_none_can() {
    let flow = embedded().flow.unwrap();
    let mut counts = 0;
    for height in [2.8, 3.2, 3.6, 4.0, 4.4] {
        let case = molar(&flow, height);
        let facts = Facts::of(&flow, &case);
        let judgement = judge(&flow, &facts);
        for near in doubt(&flow, &case, &facts, &judgement).near {
            let spec = flow.spec(&near.spot.fact).expect("a fact");
            let (Kind::Number { least, .. }, Some(limit)) = (&spec.kind, near.limit) else {
                continue;
            };
            counts += usize::from(limit == *least);
            let number = near.value.number().expect("a number");
            // What stands above its least may come down to it.
            let may_be_less = limit > *least || number > limit;
            assert!(!near.below || may_be_less, "{height} mm: {near:?}");
            assert!(
                number == limit || near.below == (number > limit),
                "{height} mm: {near:?}"
            );
        }
    }
    assert!(counts > 0, "no figure stood at a limit that is its least");
}

/// A clearance that is just the material's least stands on its limit: short of it is only what is less, so that the other
/// side is the one above none short, and it is told.
#[test]
fn a_figure_on_its_limit_turns_on_its_own_side() {
    let flow = embedded().flow.unwrap();
    let mut case = molar(&flow, 4.4);
    let zirconia = Value::Choice("zirconia-3y".to_owned());
    let gauge = Reading {
        with: Some("gauge".to_owned()),
        ..Reading::plain(Value::Number(0.7, Unit::Mm))
    };
    for (fact, at, reading) in [
        ("order.material", "R1", Reading::plain(zirconia)),
        ("tooth.clearance", "26", gauge),
    ] {
        let spot = Spot {
            fact: FactId::named(fact),
            at: at.parse().unwrap(),
        };
        case.put(spot, Layer::Measured, reading);
    }
    let facts = Facts::of(&flow, &case);
    let judgement = judge(&flow, &facts);
    let doubt = doubt(&flow, &case, &facts, &judgement);
    let short = |near: &&casepan::judge::doubt::NearLimit| {
        near.spot.fact.as_str() == "tooth.clearance_short" && near.limit == Some(0.0)
    };
    let near = doubt.near.iter().find(short).expect("it may be short");
    assert!(!near.below, "{near:?}");
    assert!((near.chance - 0.5).abs() < 0.01, "{near:?}");
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

fn measure(case: &mut Case, fact: FactId, at: Place, number: f64) {
    let reading = Reading {
        with: Some("caliper".to_owned()),
        ..Reading::plain(Value::Number(number, Unit::Mm))
    };
    case.put(Spot { fact, at }, Layer::Measured, reading);
}

/// A bound of a chance by that many draws, at four standard deviations of a binomial.
fn within(chance: f64, draws: f64) -> f64 {
    4.0 * (chance * (1.0 - chance) / draws).sqrt()
}

/// Whether walls resist is yes or no and how many fail is a count, so a slope says nothing of them. On the same plane
/// geometry, worked out here anew (Parker 1993, J Prosthodont: ½·asin(H/B)), over 200,000 draws of the readings by
/// another generator.
#[test]
fn the_chance_of_a_yes_or_no_matches_many_draws() {
    let flow = embedded().flow.unwrap();
    let at = Place::Unit(Tooth::from_iso(26).unwrap());
    let (mut counts, mut pairs) = (0, 0);
    // From within the rule to beyond it: at a height of 3.4 mm on 9 mm the walls may lean in by 11.1°.
    for top in [7.9, 7.8, 7.7, 7.6, 7.5, 7.4, 7.3] {
        let mut case = molar(&flow, 3.4);
        // From mesial to distal it is narrow and steep and never fails.
        for (fact, width) in [
            (MARGIN_MD, 6.0),
            (TOP_MD, 5.6),
            (MARGIN_FL, 9.0),
            (TOP_FL, top),
        ] {
            measure(&mut case, fact, at, width);
        }
        let facts = Facts::of(&flow, &case);
        let judgement = judge(&flow, &facts);
        let doubt = doubt(&flow, &case, &facts, &judgement);
        let mut draw = Draws(0x0dd_ba11);
        let (draws, mut fails) = (200_000, 0);
        for _ in 0..draws {
            let height = 3.4 + 0.2 * draw.normal();
            let (base, top) = (9.0 + 0.1 * draw.normal(), top + 0.1 * draw.normal());
            let taper = ((base - top) / (2.0 * height)).atan();
            fails += i32::from(taper > (height / base).min(1.0).asin() / 2.0);
        }
        let fails = f64::from(fails) / f64::from(draws);
        let failing = facts.value(&PAIR_FAILS, at) == Some(&Value::Yes);
        let other = if failing { 1.0 - fails } else { fails };
        for near in &doubt.near {
            match &near.spot.fact {
                fact if *fact == FAILING => counts += 1,
                fact if *fact == PAIR_FAILS => {
                    pairs += 1;
                    assert_eq!((near.limit, near.spread), (None, None));
                }
                _ => continue,
            }
            assert!(matches!(near.method, Method::Draws(_)));
            assert!(
                (near.chance - other).abs() < within(other, 1000.0),
                "{top}: {} against {other}",
                near.chance
            );
        }
    }
    assert!(counts >= 4 && pairs >= 1, "{counts}, {pairs}");
}

/// The larger of two like tapers bends where they are equal: the spread of the larger of two independent normal numbers
/// is σ·√(1 − 1/π) (any handbook of order statistics), where half of each slope would give σ/√2.
#[test]
fn the_spread_of_a_figure_that_bends_is_drawn() {
    let flow = embedded().flow.unwrap();
    let at = Place::Unit(Tooth::from_iso(26).unwrap());
    let mut case = molar(&flow, 4.4);
    for (fact, width) in [
        (MARGIN_MD, 8.0),
        (MARGIN_FL, 8.0),
        (TOP_MD, 6.8),
        (TOP_FL, 6.8),
    ] {
        measure(&mut case, fact, at, width);
    }
    let facts = Facts::of(&flow, &case);
    let judgement = judge(&flow, &facts);
    let doubt = doubt(&flow, &case, &facts, &judgement);
    let spot = |fact: FactId| Spot { fact, at };
    // Both tapers, 2·atan(x) with x = (base - top) / 2H, hang on one height and each on two widths of its own; the widths are
    // read to 0.1 mm and the height to 0.2 mm.
    let most = spot(TAPER_MOST);
    assert!(doubt.drawn.contains(&most), "{:?}", doubt.drawn);
    let height = case.value(&HEIGHT, at).and_then(Value::number).unwrap();
    let x = 1.2 / (2.0 * height);
    let of_widths = 0.1 * 2_f64.sqrt() / height / (1.0 + x * x);
    let of_height = 0.2 * 2.0 * x / height / (1.0 + x * x);
    let larger = 1.0 - std::f64::consts::FRAC_1_PI;
    let wanted = (of_height.powi(2) + of_widths.powi(2) * larger)
        .sqrt()
        .to_degrees();
    assert!(
        (doubt.spread[&most] / wanted - 1.0).abs() < 0.08,
        "{} against {wanted}",
        doubt.spread[&most]
    );
    // What is straight enough is not drawn.
    assert!(!doubt.drawn.contains(&spot(TAPER_FL)));
}

/// The chance of a figure by differences is the normal distribution's beyond its limit; distribution function by statrs.
#[test]
fn chances_by_differences_are_those_of_the_normal_distribution() {
    use statrs::distribution::{ContinuousCDF as _, Normal};
    let standard = Normal::new(0.0, 1.0).unwrap();
    let flow = embedded().flow.unwrap();
    let mut told = 0;
    for height in [3.7, 3.9, 4.1, 4.3] {
        let case = molar(&flow, height);
        let facts = Facts::of(&flow, &case);
        let judgement = judge(&flow, &facts);
        for near in doubt(&flow, &case, &facts, &judgement).near {
            let (Method::Differences, Some(limit), Some(spread), Value::Number(value, _)) =
                (near.method, near.limit, near.spread, near.value)
            else {
                continue;
            };
            told += 1;
            let wanted = 1.0 - standard.cdf((value - limit).abs() / spread);
            assert!(
                (near.chance - wanted).abs() < 2e-7,
                "{height}: {:?}",
                near.spot
            );
        }
    }
    assert!(told >= 4, "{told}");
}

/// Nothing in it depends on when or how often it is asked.
#[test]
fn the_draws_are_always_the_same() {
    let flow = embedded().flow.unwrap();
    let case = molar(&flow, 3.6);
    let facts = Facts::of(&flow, &case);
    let judgement = judge(&flow, &facts);
    let once = doubt(&flow, &case, &facts, &judgement);
    assert!(!once.drawn.is_empty());
    assert_eq!(doubt(&flow, &case, &facts, &judgement), once);
}

/// The whole is no rarer than one of its parts: if one reading alone turns the result once in three, all of them together do so
/// at least as often.
#[test]
fn the_chance_of_the_whole_is_no_less_than_that_of_any_reading() {
    let flow = embedded().flow.unwrap();
    let mut seen = 0;
    for tenths in 20..50 {
        let case = molar(&flow, f64::from(tenths) / 10.0);
        let facts = Facts::of(&flow, &case);
        let found = doubt(&flow, &case, &facts, &judge(&flow, &facts));
        for own in &found.measure_again {
            seen += 1;
            let whole = found.turns.expect("readings");
            assert!(whole >= own.chance, "{tenths}: {whole} < {}", own.chance);
        }
    }
    assert!(seen > 5, "{seen} readings");
}
