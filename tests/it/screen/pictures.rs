//! Pictures in characters, in both sets of signs.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use casepan::case::Case;
use casepan::derive::Facts;
use casepan::drawing::{Figure, Ink, Stroke};
use casepan::fact::{GRIP, Place, Value};
use casepan::flow::Level;
use casepan::screen::{Signs, Theme, draw};
use casepan::session::view::{GripView, PageView, PictureView, Plate, View};
use casepan::session::{Page, Session};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::row;
use crate::drawing::long;
use crate::good::{choice, deg, finish, flow, mm, pan, put};
use crate::session::Technician;

/// A molar that was read wall by wall: one wall fails, and its margin steps.
fn molar() -> Case {
    let mut case = pan("46", "zirconia-3y", "resin-modified");
    for (fact, at, value) in [
        ("tooth.height", "46", mm(3.6)),
        ("tooth.margin_width", "46", mm(0.5)),
        ("tooth.clearance", "46", mm(1.2)),
        ("tooth.width_margin_md", "46", mm(9.6)),
        ("tooth.width_top_md", "46", mm(8.2)),
        ("tooth.width_margin_fl", "46", mm(8.8)),
        ("tooth.width_top_fl", "46", mm(7.6)),
        ("tooth.uneven", "46", choice("margin-steps")),
        ("wall.margin_step", "46/mesial", mm(0.8)),
        ("wall.margin_step", "46/distal", mm(0.0)),
        ("wall.margin_step", "46/facial", mm(0.0)),
        ("wall.margin_step", "46/lingual", mm(0.0)),
        ("wall.height", "46/distal", mm(3.4)),
        ("wall.taper", "46/distal", deg(20.0)),
    ] {
        put(&mut case, fact, at, value);
    }
    case
}

const BOTH: [Signs; 2] = [Signs::Braille, Signs::Ascii];

fn look(signs: Signs) -> Theme {
    Theme::plain().with_signs(signs)
}

fn shown(view: &View, (width, height): (u16, u16), signs: Signs) -> Buffer {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    draw(&mut buf, area, view, look(signs));
    buf
}

fn text(buf: &Buffer) -> String {
    let mut text = String::new();
    for y in 0..buf.area.height {
        let _ = writeln!(text, "{}", row(buf, y).trim_end());
    }
    text
}

/// The page of pictures with one that was made up.
fn made_up(picture: PictureView) -> View {
    let mut tech = Technician::on(&molar());
    tech.at("tooth.height", "46").keys("p");
    let mut view = tech.session.view();
    view.page = PageView::Picture(Box::new(picture));
    view
}

fn figure(strokes: Vec<Stroke>) -> PictureView {
    PictureView {
        plates: vec![Plate {
            figure: Figure {
                strokes,
                ..Figure::default()
            },
            ..Plate::default()
        }],
        ..PictureView::default()
    }
}

fn stroke(ink: Ink, points: &[(f64, f64)], closed: bool) -> Stroke {
    Stroke {
        ink,
        points: points.to_vec(),
        closed,
        inner: Some((0.0, 0.0)),
    }
}

/// Every braille dot of a screen, in dots from the upper left.
fn dots(buf: &Buffer) -> BTreeSet<(u32, u32)> {
    let mut list = BTreeSet::new();
    for y in 0..buf.area.height {
        for x in 0..buf.area.width {
            let sign = buf[(x, y)].symbol().chars().next().unwrap_or(' ');
            let bits = u32::from(sign).wrapping_sub(0x2800);
            if bits > 0xff {
                continue;
            }
            // Unicode: dots 1 to 3 and 7 run down on the left, 4 to 6 and 8 on the right.
            let order = [
                (0, 0),
                (0, 1),
                (0, 2),
                (1, 0),
                (1, 1),
                (1, 2),
                (0, 3),
                (1, 3),
            ];
            for (bit, (dx, dy)) in order.into_iter().enumerate() {
                if bits & (1 << bit) != 0 {
                    list.insert((u32::from(x) * 2 + dx, u32::from(y) * 4 + dy));
                }
            }
        }
    }
    list
}

/// Left, right, highest and lowest dot.
fn extent(dots: &BTreeSet<(u32, u32)>) -> (u32, u32, u32, u32) {
    let xs = || dots.iter().map(|(x, _)| *x);
    let ys = || dots.iter().map(|(_, y)| *y);
    (
        xs().min().unwrap(),
        xs().max().unwrap(),
        ys().min().unwrap(),
        ys().max().unwrap(),
    )
}

#[test]
fn a_square_is_as_wide_as_high_at_every_size() {
    for (ratio, size) in [(1.0, 10.0), (3.0, 4.0), (0.25, 12.0)] {
        let (w, h) = (size * ratio, size);
        let ring = [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)];
        let view = made_up(figure(vec![stroke(Ink::Outline, &ring, true)]));
        for size in [(40, 12), (60, 30), (80, 24), (120, 40), (200, 60)] {
            let dots = dots(&shown(&view, size, Signs::Braille));
            let (left, right, top, low) = extent(&dots);
            let (wide, high) = (f64::from(right - left), f64::from(low - top));
            assert!(high >= 4.0, "{size:?}: {high}");
            assert!(
                (wide - high * ratio).abs() <= 1.0f64.max(ratio),
                "{size:?} {ratio}: {wide} by {high}"
            );
        }
    }
}

/// A known distance beside another: twice as far is twice as many dots, within one.
#[test]
fn distances_keep_their_proportion() {
    let lines = vec![
        stroke(Ink::Outline, &[(0.0, 0.0), (9.6, 0.0)], false),
        stroke(Ink::Outline, &[(0.0, 3.2), (4.8, 3.2)], false),
    ];
    let view = made_up(figure(lines));
    for size in [(40, 12), (80, 24), (120, 40)] {
        let dots = dots(&shown(&view, size, Signs::Braille));
        let (left, _, top, low) = extent(&dots);
        let end = |row| {
            dots.iter()
                .filter(|d| d.1 == row)
                .map(|d| d.0)
                .max()
                .unwrap()
        };
        let (long, short) = (f64::from(end(low) - left), f64::from(end(top) - left));
        assert!((long - 2.0 * short).abs() <= 1.5, "{size:?} {long} {short}");
        assert!((long / 3.0 - f64::from(low - top)).abs() <= 1.0);
    }
}

/// Each meaning has a pattern of its own, so that nothing hangs on colours. What is told apart is drawn by itself here.
#[test]
fn meanings_are_told_apart_without_colours() {
    let wall = [(-3.0, -4.0), (-2.6, 4.0)];
    for signs in BOTH {
        let mut seen = BTreeSet::new();
        for ink in [
            Ink::Outline,
            Ink::Resists,
            Ink::Fails,
            Ink::Usual,
            Ink::Margin,
            Ink::Marked,
        ] {
            let frame = stroke(Ink::Outline, &[(-6.0, -4.5), (6.0, -4.5)], false);
            let view = made_up(figure(vec![frame, stroke(ink, &wall, false)]));
            let buf = shown(&view, (80, 24), signs);
            assert!(seen.insert(text(&buf)), "{signs:?} {ink:?}");
        }
    }
}

#[test]
fn pictures_in_ascii_hold_only_ascii() {
    for case in [molar(), long()] {
        let mut tech = Technician::on(&case);
        tech.keys("p");
        for turn in 0..5 {
            let mut view = tech.session.view();
            let PageView::Picture(picture) = &mut view.page else {
                panic!("no picture");
            };
            // The words have signs of their own, such as ± and ².
            picture.says.clear();
            picture.title.clear();
            for plate in &mut picture.plates {
                plate.words.iter_mut().for_each(String::clear);
            }
            if let Some(grip) = &mut picture.grip {
                grip.says.clear();
            }
            for size in [(40, 12), (80, 24), (120, 40), (200, 60)] {
                let shown = text(&shown(&view, size, Signs::Ascii));
                assert!(shown.is_ascii(), "{turn} {size:?}\n{shown}");
            }
            tech.keys("right");
        }
    }
}

#[test]
fn a_line_that_lies_nowhere_is_not_drawn() {
    let square = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0)];
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300] {
        for points in [vec![(bad, 0.0), (1.0, 1.0)], vec![(0.0, bad); 3]] {
            let strokes = vec![
                stroke(Ink::Outline, &square, true),
                stroke(Ink::Fails, &points, true),
            ];
            let sound = made_up(figure(strokes[..1].to_vec()));
            let view = made_up(figure(strokes));
            for signs in BOTH {
                let buf = shown(&view, (80, 24), signs);
                // What has no end leaves no scale for the rest either.
                if bad.is_nan() {
                    assert_eq!(buf, shown(&sound, (80, 24), signs));
                } else {
                    assert!(dots(&buf).is_empty(), "{bad}");
                }
            }
        }
    }
    for strokes in [vec![], vec![stroke(Ink::Outline, &[], true)]] {
        shown(&made_up(figure(strokes)), (80, 24), Signs::Braille);
    }
    // One point is a place without a size.
    let view = made_up(figure(vec![stroke(Ink::Outline, &[(1.0, 1.0)], true)]));
    for signs in BOTH {
        shown(&view, (80, 24), signs);
    }
}

/// The rows of a bar by itself, 61 columns wide: 40 columns are 1, 60 are the end at 1.5.
fn bar(value: Option<f64>, spread: Option<f64>) -> [String; 2] {
    let picture = PictureView {
        grip: Some(GripView {
            advised: 1.0,
            value,
            spread,
            limits: vec![(0.65, Level::Call), (0.85, Level::Watch)],
            level: value.map(|_| Level::Watch),
            says: "grip".to_owned(),
            marks: vec!["marks".to_owned()],
        }),
        ..PictureView::default()
    };
    let buf = shown(&made_up(picture), (80, 40), Signs::Ascii);
    let at = (0..40).find(|y| row(&buf, *y).trim() == "grip").unwrap();
    [at + 1, at + 2].map(|y| row(&buf, y).trim_end().to_owned())
}

#[test]
fn the_bar_shows_value_limits_and_error_at_their_places() {
    let wide = 60.0;
    let column = |number: f64| (number / 1.5 * (wide - 1.0)).round() as usize;
    let [line, marks] = bar(Some(0.75), None);
    assert_eq!(line.len(), 60);
    assert_eq!(line.find('-'), Some(column(0.75) + 1));
    assert!(line[..=column(0.75)].bytes().all(|sign| sign == b'#'));
    for (sign, number) in [('!', 0.65), ('^', 0.85), ('1', 1.0)] {
        assert_eq!(marks.find(sign), Some(column(number)), "{sign}");
    }
    assert_eq!(marks.split_whitespace().count(), 3);
    let [line, _] = bar(Some(0.75), Some(0.15));
    assert_eq!(line.find('='), Some(column(0.60)));
    assert_eq!(line.find('|'), Some(column(0.75)));
    assert_eq!(line.rfind('='), Some(column(0.90)));
    assert_eq!(line.find('-'), Some(column(0.90) + 1));
}

#[test]
fn a_value_off_the_bar_is_drawn_at_its_end() {
    for (value, wanted) in [
        (7.0, format!("{}>", "#".repeat(59))),
        (f64::INFINITY, format!("{}>", "#".repeat(59))),
        (-1.0, format!("#{}", "-".repeat(59))),
        (0.0, format!("#{}", "-".repeat(59))),
        (1.5, "#".repeat(60)),
        (f64::NAN, "-".repeat(60)),
    ] {
        assert_eq!(bar(Some(value), None)[0], wanted, "{value}");
    }
    assert_eq!(bar(None, Some(0.1))[0], "-".repeat(60));
    // An error that is no number draws no span.
    let plain = bar(Some(0.75), None);
    assert_eq!(bar(Some(0.75), Some(f64::NAN)), plain);
    let [line, _] = bar(Some(0.1), Some(9.0));
    assert_eq!(line.matches('=').count(), 59);
}

/// The picture beside the questions, as ready shapes.
fn picture(tech: &Technician) -> PictureView {
    tech.questions().picture.expect("a picture")
}

fn grip_of(case: &Case) -> f64 {
    let facts = Facts::of(flow(), case);
    let grip = facts.value(&GRIP, Place::Restoration(1));
    grip.and_then(Value::number).expect("a grip")
}

#[test]
fn the_picture_follows_the_digits_and_goes_with_them() {
    let mut tech = Technician::on(&molar());
    tech.at("tooth.height", "46");
    let read = picture(&tech);
    assert_eq!(read.sketch, None);
    let judged = tech
        .session
        .inspection
        .as_ref()
        .unwrap()
        .judgement()
        .clone();
    tech.keys("5");
    let five = picture(&tech);
    assert_eq!(five.sketch.as_deref(), Some("sketch: height 5.0 mm"));
    assert_ne!(five.plates, read.plates);
    // It is what would come of that answer.
    let mut answered = molar();
    put(&mut answered, "tooth.height", "46", mm(5.0));
    let grip = five.grip.clone().and_then(|grip| grip.value).unwrap();
    assert!((grip / grip_of(&answered) - 1.0).abs() < 1e-3, "{grip}");
    assert!((grip - read.grip.clone().and_then(|g| g.value).unwrap()).abs() > 0.1);
    tech.keys(".5");
    assert_eq!(
        picture(&tech).sketch.as_deref(),
        Some("sketch: height 5.5 mm")
    );
    // What is finer than the instrument reads, or out of bounds, is no number to sketch.
    for more in ["5", "backspace backspace backspace backspace 99"] {
        tech.keys(more);
        assert_eq!(picture(&tech), read, "{more}");
    }
    tech.keys("backspace backspace 5");
    assert_eq!(picture(&tech), five);
    // It goes with the digits, however they go.
    tech.keys("esc");
    assert_eq!(picture(&tech), read);
    tech.keys("5 tab");
    tech.at("tooth.height", "46");
    assert_eq!(picture(&tech), read);
    tech.keys("5 backspace");
    assert_eq!(picture(&tech), read);
    assert!(tech.wrote().is_empty());
    assert_eq!(
        *tech.session.inspection.as_ref().unwrap().judgement(),
        judged
    );
    // And what was sketched is what comes of the answer.
    tech.keys("5 enter");
    tech.at("tooth.height", "46");
    let kept = picture(&tech);
    assert_eq!((kept.sketch, kept.plates), (None, five.plates));
    assert_eq!(tech.wrote().len(), 1);
}

#[test]
fn a_number_that_no_picture_shows_is_not_sketched() {
    let mut tech = Technician::on(&long());
    tech.at("connector.space_height", "44-45").keys("4");
    let inspection = tech.session.inspection.as_ref().unwrap();
    assert!(inspection.sketch().is_none());
    tech.keys("esc").at("pontic.span", "45").keys("9");
    let inspection = tech.session.inspection.as_ref().unwrap();
    let (facts, spot, value) = inspection.sketch().expect("a sketch");
    assert_eq!(*value, mm(9.0));
    assert_eq!(facts.value(&spot.fact, spot.at), Some(value));
    assert_eq!(inspection.case().value(&spot.fact, spot.at), Some(&mm(8.0)));
}

#[test]
fn the_picture_fits_what_is_in_hand() {
    let mut tech = Technician::on(&long());
    for (fact, at, title) in [
        ("tooth.height", "46", "prep 46"),
        ("wall.height", "44/mesial", "prep 44"),
        ("pontic.span", "45", "44 x45 46, from the side"),
        ("connector.space_width", "44-45", "44 x45 46, from the side"),
        ("unit.occlusion", "46", "lower arch from above"),
        ("order.material", "R1", "lower arch from above"),
        ("records.kind", "case", "lower arch from above"),
    ] {
        tech.at(fact, at);
        assert_eq!(picture(&tech).title, title, "{fact}");
    }
    let mut empty = Technician::on(&pan("46", "zirconia-3y", "resin-modified"));
    empty.at("tooth.height", "46");
    assert_eq!(picture(&empty).title, "what is measured");
}

#[test]
fn limits_are_those_of_the_rules() {
    let rule = flow().rules.iter().find(|rule| rule.id == "grip").unwrap();
    let mut wanted: Vec<f64> = Vec::new();
    // Both limits stand in the rule's examples, just over where it fires.
    for example in &rule.examples {
        for (fact, _, value) in &example.facts {
            if fact.to_string() == "tooth.prep_share" {
                wanted.extend(value.number());
            }
        }
    }
    let grip = |case: &Case| {
        let mut tech = Technician::on(case);
        // Where nothing is left to ask, it begins with the end page.
        tech.go(Page::Questions);
        tech.at("tooth.height", "46");
        picture(&tech).grip.expect("a bar")
    };
    let mut good = pan("46", "zirconia-3y", "resin-modified");
    finish(&mut good, false);
    let sound = grip(&good);
    assert!(wanted.contains(&sound.limits[0].0) && wanted.contains(&sound.limits[1].0));
    let levels: Vec<Level> = sound.limits.iter().map(|(_, level)| *level).collect();
    assert_eq!(levels, [Level::Call, Level::Watch]);
    // Beside a wall that fails, what holds little is asked at once: one limit is left.
    let failing = grip(&molar());
    assert_eq!(failing.limits, [(sound.limits[1].0, Level::Call)]);
}

#[test]
fn the_error_of_the_readings_is_drawn_once_it_was_weighed() {
    let case = molar();
    let mut tech = Technician::on(&case);
    tech.at("tooth.height", "46");
    assert_eq!(picture(&tech).grip.unwrap().spread, None);
    let inspection = tech.session.inspection.as_mut().unwrap();
    let doubt = {
        let facts = inspection.facts();
        casepan::judge::doubt::doubt(flow(), &case, &facts, inspection.judgement())
    };
    inspection.doubt = Some(doubt);
    let grip = picture(&tech).grip.unwrap();
    let spread = grip.spread.expect("an error");
    assert!(spread > 0.01 && spread < 0.5, "{spread}");
    assert!(
        grip.says.contains(&format!("± {spread:.2}")),
        "{}",
        grip.says
    );
    // It was weighed for what was read, not for what is typed.
    tech.keys("5");
    assert_eq!(picture(&tech).grip.unwrap().spread, None);
}

#[test]
fn every_picture_of_a_case_is_a_page_of_its_own() {
    let mut tech = Technician::on(&long());
    tech.at("wall.height", "46/mesial").keys("p");
    assert_eq!(tech.session.page, Page::Picture);
    let title = |tech: &Technician| match tech.session.view().page {
        PageView::Picture(picture) => picture.title,
        _ => panic!("another page"),
    };
    let all = [
        "prep 44",
        "prep 46",
        "44 x45 46, from the side",
        "lower arch from above",
    ];
    assert_eq!(title(&tech), all[1], "it begins with what is in hand");
    for wanted in [all[2], all[3], all[0], all[1]] {
        tech.keys("right");
        assert_eq!(title(&tech), wanted);
    }
    for wanted in [all[0], all[3]] {
        tech.keys("left");
        assert_eq!(title(&tech), wanted);
    }
    tech.keys("esc");
    assert_eq!(tech.session.page, Page::Questions);
    for from in ["f", "s", "o"] {
        tech.keys(from).keys("p");
        assert_eq!(tech.session.page, Page::Picture, "{from}");
        tech.keys("i");
        assert_eq!(tech.session.page, Page::Questions);
    }
    assert!(tech.wrote().is_empty());
}

#[test]
fn pictures_look_as_they_did() {
    let mut prep = Technician::on(&molar());
    prep.at("wall.taper", "46/distal").keys("p");
    let mut bridge = Technician::on(&long());
    bridge.at("connector.space_width", "44-45").keys("p");
    let mut arch = Technician::on(&long());
    arch.at("unit.occlusion", "46").keys("p");
    let mut beside = Technician::on(&molar());
    beside.at("wall.taper", "46/distal").keys("10");
    let mut measured = Technician::on(&pan("46", "zirconia-3y", "resin-modified"));
    measured.at("tooth.height", "46");
    for (name, tech, sizes) in [
        ("stump", &prep, [(60, 20), (120, 40)]),
        ("bridge", &bridge, [(60, 20), (120, 40)]),
        ("arch", &arch, [(60, 20), (120, 40)]),
        ("beside", &beside, [(110, 30), (120, 48)]),
        ("measured", &measured, [(110, 30), (120, 48)]),
    ] {
        let mut all = String::new();
        for size in sizes {
            for signs in BOTH {
                all += &text(&shown(&tech.session.view(), size, signs));
                all += "=====\n";
            }
        }
        insta::assert_snapshot!(format!("picture-{name}"), all);
    }
}

/// Every page of pictures at every size, and beside the questions.
#[test]
fn no_size_is_too_small_or_too_large() {
    let mut sessions: Vec<Session> = Vec::new();
    for case in [molar(), long()] {
        for turns in 0..4 {
            let mut tech = Technician::on(&case);
            tech.keys("p");
            (0..turns).for_each(|_| {
                tech.keys("right");
            });
            sessions.push(tech.session);
        }
    }
    let mut tech = Technician::on(&molar());
    tech.at("tooth.height", "46");
    sessions.push(tech.session);
    for session in &sessions {
        let view = session.view();
        for width in (1..=60).chain([72, 83, 84, 85, 110, 111, 140, 200]) {
            for height in (1..=16).chain([20, 24, 30, 40, 60]) {
                for signs in BOTH {
                    shown(&view, (width, height), signs);
                }
            }
        }
    }
}

/// The digits that make a prep drawable put its picture into the list, where `g` begins and through which it turns.
#[test]
fn a_prep_that_is_only_typed_has_its_page() {
    let mut case = pan("44 x45 46", "zirconia-3y", "resin-modified");
    for tooth in ["44", "46"] {
        put(&mut case, "tooth.height", tooth, mm(4.0));
        put(&mut case, "tooth.width_margin_md", tooth, mm(8.0));
    }
    put(&mut case, "tooth.width_top_md", "44", mm(6.8));
    let mut tech = Technician::on(&case);
    tech.at("tooth.width_top_md", "46").keys("6.5 p");
    let page = |tech: &Technician| match tech.session.view().page {
        PageView::Picture(page) => (page.title.clone(), page.of),
        _ => panic!("another page"),
    };
    let (title, of) = page(&tech);
    assert_eq!(title, "prep 46");
    let (index, count) = of.expect("a place in the list");
    let mut turned = vec![index];
    for _ in 1..count {
        tech.key("right");
        turned.push(page(&tech).1.expect("a place in the list").0);
    }
    turned.sort_unstable();
    assert_eq!(turned, (1..=count).collect::<Vec<_>>());
}
