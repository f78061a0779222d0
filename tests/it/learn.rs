//! Figures of the record: what counts, what is left out, and what nothing follows from. Counted by hand.

use casepan::case::outcome::Kind;
use casepan::learn::{Asked, Figures, Group, Lot, Made, Unfit, figures};
use casepan::phrase::learn as says;
use jiff::civil::{Date, date};

use crate::support::Home;

const TODAY: Date = date(2026, 11, 23);

fn asked(kinds: &[Kind], by: Option<Group>) -> Asked {
    Asked {
        by,
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
        groups: Default::default(),
        outcomes: outcomes.to_vec(),
    }
}

fn in_group(mut made: Made, group: Group, name: &str) -> Made {
    let nth = Group::ALL.iter().position(|own| *own == group).unwrap();
    made.groups[nth] = Some((0, name.to_owned()));
    made
}

fn lot(dentist: &str, opened: Date, made: Vec<Made>) -> Lot {
    Lot {
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
        .map(|row| (row.name.as_deref(), row.ripe.came, row.ripe.of))
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
    // Without an archive nothing is known, and that is no fault.
    let output = run(&["rates"]);
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
