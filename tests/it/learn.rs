//! Figures of the record: what counts, what is left out, and what nothing follows from. Counted by hand.

use casepan::case::outcome::Kind;
use casepan::learn::{Against, Asked, Figures, Group, Lot, Made, Unfit, figures};
use casepan::phrase::learn as says;
use casepan::statistics::Confidence;
use jiff::ToSpan as _;
use jiff::civil::{Date, date};

use crate::support::Home;

const TODAY: Date = date(2026, 11, 23);

fn asked(kinds: &[Kind], by: Option<Group>) -> Asked {
    Asked {
        by: by.into_iter().collect(),
        kinds: kinds.to_vec(),
        months: 12,
        from: None,
        to: None,
        today: TODAY,
    }
}

fn made(delivered: Date, outcomes: &[(Kind, Date)]) -> Made {
    Made {
        delivered,
        outcomes: outcomes.to_vec(),
        ..Made::default()
    }
}

fn in_group(mut made: Made, group: Group, name: &str) -> Made {
    let nth = Group::ALL.iter().position(|own| *own == group).unwrap();
    made.groups[nth] = Some((0, name.to_owned()));
    made
}

fn lot(dentist: &str, opened: Date, made: Vec<Made>) -> Lot {
    Lot {
        number: format!("{dentist} {opened}"),
        withdrawn: 0,
        opened,
        dentist: Some(dentist.to_owned()),
        remake: false,
        made,
        not_made: 0,
    }
}

/// A dentist who ordered something new last on this day.
fn orders(dentist: &str, last: Date) -> Lot {
    lot(dentist, last, Vec::new())
}

fn ripe(figures: &Figures) -> (u64, u64) {
    (figures.all.came, figures.all.of)
}

const OFF: [Kind; 1] = [Kind::CameOff];

/// Of 305 restorations nine end, six of them come off and some lose their tooth or are lost sight of: the record of J. M.
/// Satagopan et al. 2004, British Journal of Cancer 91:1229-1235, table 2, month by month.
#[test]
fn what_came_back_first_is_as_published() {
    let delivered = date(2018, 1, 1);
    let on = |months: i64| delivered.saturating_add((months * 30).days());
    let mut all: Vec<Made> = [
        (7, Kind::LostSight),
        (10, Kind::CameOff),
        (14, Kind::LostSight),
        (16, Kind::CameOff),
        (18, Kind::ToothLost),
        (23, Kind::CameOff),
        (24, Kind::LostSight),
        (26, Kind::ToothLost),
        (27, Kind::CameOff),
    ]
    .into_iter()
    .map(|(months, kind)| made(delivered, &[(kind, on(months))]))
    .collect();
    all.resize_with(305, || made(delivered, &[]));
    // A later return counts for nothing here: the first has ended it.
    all[1].outcomes.push((Kind::Broke, on(20)));
    let lots = [orders("K17", date(2026, 9, 30)), lot("K17", delivered, all)];
    for kinds in [&OFF[..], &[]] {
        let found = figures(&lots, &asked(kinds, None)).unwrap();
        let by_kind = found.by_kind.unwrap();
        assert_eq!(by_kind.kinds(), [Kind::CameOff, Kind::ToothLost]);
        let share = |kind, months: f64| {
            by_kind
                .at(kind, months * 30.0, Confidence::P95)
                .unwrap()
                .value
                * 100.0
        };
        for (months, came_off, free) in [
            (10.0, 0.3, 99.7),
            (16.0, 0.6, 99.3),
            (23.0, 0.9, 98.7),
            (27.0, 1.2, 98.0),
        ] {
            let own = share(Kind::CameOff, months);
            // The table adds up steps of .3 that were rounded.
            assert!((own - came_off).abs() < 0.13, "{months}: {own}");
            let left = 100.0 - own - share(Kind::ToothLost, months);
            assert!((left - free).abs() < 0.06, "{months}: {left}");
        }
        assert_eq!(
            (by_kind.at_risk(0.0), by_kind.at_risk(27.0 * 30.0)),
            (305, 297)
        );
        // Its chart has a letter for each, and its words stand under it.
        let chart = casepan::drawing::coming(&by_kind).unwrap();
        let words = casepan::print::rates::chart_words(&chart);
        for letter in ["a", "b"] {
            assert!(words.iter().any(|word| word == letter), "{words:?}");
        }
    }
}

/// An early return of what was delivered lately would count, and what stays quiet would not yet: both are left out.
#[test]
fn who_counts_hangs_on_the_day_of_delivery_alone() {
    let day = date(2025, 3, 10);
    let late = date(2026, 6, 10);
    let lots = [
        orders("K17", date(2026, 9, 30)),
        lot(
            "K17",
            day,
            vec![made(day, &[(Kind::CameOff, date(2025, 8, 1))])],
        ),
        lot("K17", day, vec![made(day, &[])]),
        // After its year: not within it.
        lot(
            "K17",
            day,
            vec![made(day, &[(Kind::CameOff, date(2026, 3, 11))])],
        ),
        lot(
            "K17",
            late,
            vec![made(late, &[(Kind::CameOff, date(2026, 7, 1))])],
        ),
        lot("K17", late, vec![made(late, &[])]),
    ];
    let found = figures(&lots, &asked(&OFF, None)).unwrap();
    assert_eq!(ripe(&found), (1, 3));
    assert_eq!((found.delivered, found.unripe), (5, 2));
    assert_eq!(found.closing, date(2026, 10, 1));
    // On the last day of the year it counts.
    let last = [
        orders("K17", date(2026, 9, 30)),
        lot(
            "K17",
            day,
            vec![made(day, &[(Kind::CameOff, date(2026, 3, 10))])],
        ),
    ];
    assert_eq!(ripe(&figures(&last, &asked(&OFF, None)).unwrap()), (1, 1));
    // What came back for another reason did not come off, but came back.
    let shade = [
        orders("K17", date(2026, 9, 30)),
        lot(
            "K17",
            day,
            vec![made(day, &[(Kind::Shade, date(2025, 4, 1))])],
        ),
    ];
    assert_eq!(ripe(&figures(&shade, &asked(&OFF, None)).unwrap()), (0, 1));
    assert_eq!(ripe(&figures(&shade, &asked(&[], None)).unwrap()), (1, 1));
}

/// Silence is not quiet: who never said anything is left out, and a dentist is followed to the last new order only.
#[test]
fn whoever_never_hears_back_knows_nothing() {
    let day = date(2025, 1, 10);
    let quiet = [(Kind::Quiet, date(2025, 7, 10))];
    let mut again = orders("K19", date(2026, 9, 1));
    again.remake = true;
    let lots = [
        orders("K17", date(2026, 9, 1)),
        lot("K17", day, vec![made(day, &quiet)]),
        lot("K17", day, vec![made(day, &[])]),
        // Never a word.
        orders("K18", date(2026, 9, 1)),
        lot("K18", day, vec![made(day, &[]), made(day, &[])]),
        // The last new order came half a year after it; what is made again is no new order.
        lot("K19", day, vec![made(day, &[])]),
        orders("K19", date(2025, 7, 1)),
        again,
    ];
    let found = figures(&lots, &asked(&OFF, None)).unwrap();
    assert_eq!(ripe(&found), (0, 2));
    assert_eq!((found.delivered, found.unheard, found.unripe), (5, 2, 1));
    // Lost sight of before its year was over.
    let lost = [
        orders("K17", date(2026, 9, 1)),
        lot(
            "K17",
            day,
            vec![made(day, &[(Kind::LostSight, date(2025, 10, 1))])],
        ),
        lot("K17", day, vec![made(day, &quiet)]),
    ];
    let found = figures(&lost, &asked(&OFF, None)).unwrap();
    assert_eq!((ripe(&found), found.unripe), ((0, 1), 1));
}

/// Wilson 1927 by way of Newcombe 1998: 3 of 7 lie between .158 and .750, 11 of 180 between 3.4 and 10.6 %.
#[test]
fn few_have_no_percentage_and_many_have_an_interval() {
    let day = date(2025, 1, 10);
    let many = |back: usize, of: usize| -> Vec<Lot> {
        let came = |nth: usize| match nth < back {
            true => vec![(Kind::CameOff, date(2025, 5, 1))],
            false => vec![(Kind::Quiet, date(2025, 7, 1))],
        };
        let mut lots: Vec<Lot> = (0..of)
            .map(|nth| lot("K17", day, vec![made(day, &came(nth))]))
            .collect();
        lots.push(orders("K17", date(2026, 9, 1)));
        lots
    };
    let said = |back, of| {
        let found = figures(&many(back, of), &asked(&OFF, None)).unwrap();
        let own = found.all.interval.map(|own| (own.low, own.high));
        says::share((found.all.came, found.all.of), own, found.all.is_few())
    };
    assert_eq!(said(3, 7), "3 of 7: nothing follows (16 to 75 %)");
    assert_eq!(said(11, 180), "11 of 180, 6 % (3 to 11)");
    assert_eq!(said(0, 400), "0 of 400, 0 % (0 to 1)");
    let none = figures(&[], &asked(&OFF, None)).unwrap();
    let own = none.all.interval.map(|own| (own.low, own.high));
    let said = says::share((0, 0), own, none.all.is_few());
    assert_eq!(said, "0 of 0, nothing is known");
}

/// Groups stand in the order of their names or bands, never by what came back; what is not known is a group of its own.
#[test]
fn groups_stand_in_the_order_of_their_names() {
    let day = date(2025, 1, 10);
    let back = [(Kind::CameOff, date(2025, 5, 1))];
    let of = |name: &str, outcomes: &[(Kind, Date)]| {
        let made = in_group(made(day, outcomes), Group::Material, name);
        lot("K17", day, vec![made])
    };
    let mut lots = vec![
        orders("K17", date(2026, 9, 1)),
        of("b", &[]),
        of("a", &back),
    ];
    lots.push(of("b", &back));
    lots.push(lot("K17", day, vec![made(day, &[])]));
    let found = figures(&lots, &asked(&OFF, Some(Group::Material))).unwrap();
    let rows: Vec<_> = found
        .rows
        .iter()
        .map(|row| (row.names[0].as_deref(), row.ripe.came, row.ripe.of))
        .collect();
    assert_eq!(rows, [(Some("a"), 1, 1), (Some("b"), 1, 2), (None, 0, 1)]);
    assert!(found.nothing_follows);
    assert!(found.rows.iter().all(|row| !row.stands_out));
}

/// Six dentists with 60 restorations each. By the binomial distribution 18 of 60 at the pooled share of 7.2 % comes by chance
/// in less than one group of a million, and 6 of 60 in about one of four.
#[test]
fn one_dentist_stands_out_and_chance_does_not() {
    let day = date(2025, 1, 10);
    let lots = |returns: [usize; 6]| -> Vec<Lot> {
        let mut lots = Vec::new();
        for (nth, back) in returns.into_iter().enumerate() {
            let code = format!("K{nth}");
            lots.push(orders(&code, date(2026, 9, 1)));
            for own in 0..60 {
                let kind = if own < back {
                    Kind::OpenMargin
                } else {
                    Kind::Quiet
                };
                let made = made(day, &[(kind, date(2025, 2, 1))]);
                lots.push(lot(&code, day, vec![in_group(made, Group::Dentist, &code)]));
            }
        }
        lots
    };
    let out = |returns| -> Vec<bool> {
        let margin = asked(&[Kind::OpenMargin], Some(Group::Dentist));
        let found = figures(&lots(returns), &margin).unwrap();
        found.rows.iter().map(|row| row.stands_out).collect()
    };
    let one = [false, false, true, false, false, false];
    assert_eq!(out([2, 1, 18, 2, 1, 2]), one);
    assert_eq!(out([2, 3, 6, 2, 1, 4]), [false; 6]);
    // Fewer than five returns in all tell nobody apart.
    assert_eq!(out([0, 0, 4, 0, 0, 0]), [false; 6]);
}

#[test]
fn people_are_not_ranked() {
    let day = date(2025, 1, 10);
    let by = |group, kinds: &[Kind], people: usize| {
        let mut lots = vec![orders("K17", date(2026, 9, 1))];
        for nth in 0..people {
            let made = made(day, &[(Kind::Quiet, date(2025, 7, 1))]);
            let made = in_group(made, group, &format!("b{nth}"));
            lots.push(lot("K17", day, vec![made]));
        }
        figures(&lots, &asked(kinds, Some(group))).map(|own| own.rows.len())
    };
    assert_eq!(by(Group::Technician, &OFF, 6), Err(Unfit::NotByTechnician));
    assert_eq!(by(Group::Technician, &[], 6), Err(Unfit::NotByTechnician));
    assert_eq!(by(Group::Technician, &[Kind::OpenMargin], 6), Ok(6));
    let few = by(Group::Technician, &[Kind::OpenMargin], 4);
    assert_eq!(few, Err(Unfit::FewPeople(4)));
    assert_eq!(by(Group::Material, &OFF, 2), Ok(2));
    let quiet = by(Group::Material, &[Kind::Quiet], 2);
    assert_eq!(quiet, Err(Unfit::NoReturn));
    let backwards = Asked {
        from: Some(date(2026, 1, 1)),
        to: Some(date(2025, 12, 31)),
        ..asked(&OFF, None)
    };
    assert_eq!(figures(&[], &backwards), Err(Unfit::NoTime));
}

#[test]
fn the_command_says_what_it_knows_and_what_it_leaves_out() {
    let home = Home::new();
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    // An archive that is named and not there may be a slip; where none is named, nothing is known yet.
    let output = run(&["rates"]);
    assert_eq!(output.code, Some(66), "{output:?}");
    let output = home.run(&["rates"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    assert!(
        output.stdout.contains("0 of 0, nothing is known"),
        "{output:?}"
    );
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/demo/crown-26.ron");
    let output = run(&["archive", "import", demo]);
    assert_eq!(output.code, Some(0), "{output:?}");
    let output = run(&["became", "D-0926", "delivered", "--on", "2025-01-10"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    let output = run(&["outcome", "D-0926", "--what", "quiet", "--on", "2025-07-10"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    let output = run(&["rates", "--of", "came-off", "--by", "grip"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    for says in ["1 restoration delivered", "came off within a year: "] {
        assert!(output.stdout.contains(says), "{says}: {output:?}");
    }
    let output = run(&["rates", "--by", "technician"]);
    assert_eq!(output.code, Some(64), "{output:?}");
    assert!(
        output.stderr.contains("short preps go to the best hands"),
        "{output:?}"
    );
}

/// A dentist's restorations in two groups, so many of each with an event: all delivered on one day, and followed for long.
fn two_groups(dentist: &str, one: (usize, usize), other: (usize, usize)) -> Vec<Lot> {
    let day = date(2025, 1, 10);
    let mut lots = vec![orders(dentist, date(2026, 9, 1))];
    for (name, (back, of)) in [("a", one), ("b", other)] {
        for nth in 0..of {
            let what = if nth < back {
                Kind::CameOff
            } else {
                Kind::Quiet
            };
            let made = made(day, &[(what, date(2025, 5, 1))]);
            let made = in_group(made, Group::Tray, name);
            let made = in_group(made, Group::Dentist, dentist);
            lots.push(lot(dentist, day, vec![made]));
        }
    }
    lots
}

fn near(own: f64, wanted: f64) {
    assert!((own - wanted).abs() < 1e-6 * wanted, "{own} {wanted}");
}

/// 9 of 31 against 12 of 312 by Katz 1978, and 4 of 40 against 4 of 160 by Koopman 1984, as the reference library has them.
#[test]
fn a_group_is_compared_with_all_others() {
    let times = |one, other| {
        let found = figures(
            &two_groups("K17", one, other),
            &asked(&OFF, Some(Group::Tray)),
        );
        match found.unwrap().rows[0].against.clone() {
            Against::Times(times) => times,
            other => panic!("{other:?}"),
        }
    };
    let many = times((9, 31), (12, 312));
    near(many.ratio.unwrap(), 7.548387096774194);
    near(many.low, 3.4550889082773604);
    near(many.high.unwrap(), 16.49108004898067);
    assert!(many.stands_out);
    let few = times((4, 40), (4, 160));
    near(few.ratio.unwrap(), 4.0);
    near(few.low, 1.1235580171294064);
    near(few.high.unwrap(), 13.919343972787715);
    let none = times((6, 60), (0, 60));
    assert_eq!((none.ratio, none.high), (None, None));
    let few = |one, other| {
        let found = figures(
            &two_groups("K17", one, other),
            &asked(&OFF, Some(Group::Tray)),
        );
        found.unwrap().rows[0].against.clone()
    };
    assert_eq!(few((2, 40), (2, 40)), Against::TooFew);
    assert_eq!(few((5, 9), (5, 90)), Against::TooFew);
}

/// What is seen at fit is compared within each dentist: three strata and their ratio as the reference library has it; and it
/// is not compared at all where it could be the habit of one.
#[test]
fn what_is_seen_at_fit_is_compared_within_each_dentist() {
    let at_fit = |strata: &[[usize; 4]]| {
        let mut lots = Vec::new();
        for (nth, [a, n1, b, n0]) in strata.iter().enumerate() {
            lots.extend(two_groups(&format!("K{nth}"), (*a, *n1), (*b, *n0)));
        }
        for made in lots.iter_mut().flat_map(|lot| &mut lot.made) {
            for (kind, _) in &mut made.outcomes {
                if *kind == Kind::CameOff {
                    *kind = Kind::OpenMargin;
                }
            }
        }
        let found = figures(&lots, &asked(&[Kind::OpenMargin], Some(Group::Tray)));
        found.unwrap().rows[0].against.clone()
    };
    let Against::Times(times) = at_fit(&[[4, 12, 3, 40], [3, 9, 4, 60], [2, 10, 5, 112]]) else {
        panic!("not compared");
    };
    let (ratio, own) = times.within_dentists.unwrap();
    near(ratio, 4.631913025862652);
    near(own.low, 2.0643503995032146);
    near(own.high, 10.392915022720542);
    assert!(times.stands_out);
    let two = at_fit(&[[4, 12, 3, 40], [3, 9, 4, 60]]);
    assert_eq!(two, Against::FewDentists);
}

/// Schoenfeld 1983: 52 returns show three times as many in a quarter of the work, at 99 % and a power of 80 %.
#[test]
fn it_is_said_how_many_returns_it_takes() {
    let found = figures(&two_groups("K17", (2, 40), (3, 40)), &asked(&OFF, None)).unwrap();
    assert_eq!(found.needed, 52);
    assert_eq!(
        says::needed(found.all.came, found.needed),
        "5 came back so far. To see what makes it 3 times as often in a quarter of the work, it takes about 52."
    );
}

/// Limits of the funnel at 5 % among 20 and 50, interpolated after Spiegelhalter 2005, as the reference library has them.
#[test]
fn dentists_stand_in_their_funnel() {
    let day = date(2025, 1, 10);
    let mut lots = Vec::new();
    for (nth, (back, of)) in [(1, 20), (1, 20), (1, 20), (1, 20), (1, 20)]
        .into_iter()
        .enumerate()
    {
        let code = format!("K{nth}");
        lots.push(orders(&code, date(2026, 9, 1)));
        for own in 0..of {
            let what = if own < back {
                Kind::OpenMargin
            } else {
                Kind::Quiet
            };
            let made = made(day, &[(what, date(2025, 2, 1))]);
            lots.push(lot(&code, day, vec![in_group(made, Group::Dentist, &code)]));
        }
    }
    let found = figures(&lots, &asked(&[Kind::OpenMargin], Some(Group::Dentist))).unwrap();
    let funnel = found.funnel.unwrap();
    near(funnel.target, 0.05);
    assert_eq!(funnel.points.len(), 5);
    let at = |of: u64| *funnel.limits.iter().find(|own| own.of == of).unwrap();
    near(at(20).inner.high, 0.14236476501690404);
    near(at(20).outer.high, 0.2350598786524333);
    near(at(10).inner.high, 0.18191668914724415);
    near(at(10).outer.high, 0.3029537415471779);
    // By what they are told apart otherwise, there is none.
    let other = figures(&lots, &asked(&[Kind::OpenMargin], Some(Group::Tray))).unwrap();
    assert_eq!(other.funnel, None);
}

/// What came back although no rule spoke is listed, whatever its dentist said otherwise; where a rule spoke, or nothing was
/// kept of the inspection, it is not.
#[test]
fn what_came_back_although_nothing_was_found_is_a_list() {
    let day = date(2025, 1, 10);
    let back = |nothing: Option<bool>, on: Date| {
        let mut own = made(day, &[(Kind::CameOff, on)]);
        own.nothing_found = nothing;
        own
    };
    let mut lots = vec![orders("K17", date(2026, 9, 1))];
    let mut first = lot("K17", day, vec![back(Some(true), date(2025, 3, 1))]);
    first.number = "first".to_owned();
    let mut second = lot("K17", day, vec![back(Some(true), date(2026, 8, 1))]);
    second.number = "second".to_owned();
    lots.extend([first, second]);
    lots.push(lot(
        "K17",
        day,
        vec![back(Some(false), day), back(None, day)],
    ));
    let found = figures(&lots, &asked(&OFF, None)).unwrap();
    let listed: Vec<&str> = found
        .unfound
        .iter()
        .map(|own| own.number.as_str())
        .collect();
    assert_eq!(listed, ["second", "first"]);
    let shade = figures(&lots, &asked(&[Kind::Shade], None)).unwrap();
    assert!(shade.unfound.is_empty());
}

/// By two things each that occurs together is a group, and what is not known of one is not compared.
#[test]
fn two_things_together_are_a_group() {
    let day = date(2025, 1, 10);
    let of = |tray: &str, answer: Option<&str>| {
        let own = in_group(made(day, &[]), Group::Tray, tray);
        let own = match answer {
            Some(answer) => in_group(own, Group::Answer, answer),
            None => own,
        };
        lot("K17", day, vec![own])
    };
    let mut quiet = lot("K17", day, vec![made(day, &[(Kind::Quiet, day)])]);
    quiet.made[0].groups = of("b", Some("x")).made[0].groups.clone();
    let lots = [
        orders("K17", date(2026, 9, 1)),
        quiet,
        of("a", Some("x")),
        of("b", Some("y")),
        of("a", None),
    ];
    let asked = Asked {
        by: vec![Group::Tray, Group::Answer],
        ..asked(&OFF, None)
    };
    let found = figures(&lots, &asked).unwrap();
    let names: Vec<Vec<Option<&str>>> = found
        .rows
        .iter()
        .map(|row| row.names.iter().map(Option::as_deref).collect())
        .collect();
    let wanted = [
        vec![Some("a"), Some("x")],
        vec![Some("a"), None],
        vec![Some("b"), Some("x")],
        vec![Some("b"), Some("y")],
    ];
    assert_eq!(names, wanted);
    assert_eq!(found.rows[1].against, Against::NotCompared);
}

/// The first lines of every page say what is not known.
#[test]
fn what_is_not_known_is_said_first() {
    let own = says::NotKnown {
        unheard: 21,
        withdrawn: 2,
        open: 3,
        since: 4,
        lost: 1,
        unripe: 40,
        unripe_came: 2,
        unread: 1,
    };
    assert_eq!(
        says::not_known(own, 12, 100),
        "Not known: 21 of dentists who never said what became of anything, and silence is not quiet; \
         40 not followed for a year yet, 2 of them back already; 1 lost sight of; 2 withdrawn; 3 not delivered yet; 4 delivered since; \
         1 case that cannot be read."
    );
    let none = says::not_known(says::NotKnown::default(), 12, 1);
    assert!(none.starts_with("Of all of them"), "{none}");
}
