//! Tooth notation and tooth tables against the published schemes.

use casepan::tooth::{
    Arch, Notation, ROOT_AREA_SOURCE, SIZE_SOURCE, Tooth, ToothClass, ToothErrorKind, root_area,
    size,
};

fn every_tooth() -> impl Iterator<Item = Tooth> {
    (1..=4).flat_map(|quadrant| {
        (1..=8).map(move |position| Tooth::new(quadrant, position).expect("a permanent tooth"))
    })
}

#[track_caller]
fn iso(number: u8) -> Tooth {
    Tooth::from_iso(number).expect("an ISO 3950 number")
}

#[track_caller]
fn refuses(notation: Notation, text: &str, kind: ToothErrorKind) {
    let error = notation.read(text).expect_err(text);
    assert_eq!(error.kind, kind, "{text} in {}", notation.name());
    assert!(error.to_string().ends_with('.'), "{error}");
    assert!(error.hint().ends_with('.'), "{}", error.hint());
}

/// ISO 3950 against Universal: 46-30, 26-14 and 25-13 as published side by side; the others follow from the
/// definitions (1 upper right third molar, 16 upper left, 17 lower left, 32 lower right).
#[test]
fn universal_numbers() {
    for (number, universal) in [
        (18, 1),
        (11, 8),
        (21, 9),
        (28, 16),
        (38, 17),
        (31, 24),
        (41, 25),
        (46, 30),
        (48, 32),
        (26, 14),
        (25, 13),
        (36, 19),
    ] {
        assert_eq!(iso(number).universal(), universal, "{number}");
        assert_eq!(
            Notation::Universal.read(&universal.to_string()),
            Ok(iso(number))
        );
    }
}

/// The four formulas of the quadrants (9 - p, 8 + p, 25 - p, 24 + p), over all teeth.
#[test]
fn universal_by_quadrant() {
    for tooth in every_tooth() {
        let position = tooth.position();
        let expected = match tooth.quadrant() {
            1 => 9 - position,
            2 => 8 + position,
            3 => 25 - position,
            _ => 24 + position,
        };
        assert_eq!(tooth.universal(), expected, "{tooth}");
    }
}

/// The brackets show the quadrant as seen facing the patient: ┘ upper right, └ upper left, ┌ lower left, ┐ lower right.
#[test]
fn palmer_brackets_and_keyboard_form() {
    for (number, bracket, keyboard) in [
        (16, "6┘", "UR6"),
        (26, "└6", "ul6"),
        (36, "┌6", "Ll6"),
        (46, "6┐", "lR6"),
        (11, "1┘", "ur1"),
        (38, "┌8", "LL8"),
    ] {
        assert_eq!(Notation::Palmer.show(iso(number)), bracket);
        assert_eq!(Notation::Palmer.read(bracket), Ok(iso(number)));
        assert_eq!(Notation::Palmer.read(keyboard), Ok(iso(number)));
    }
    for text in [
        "6", "┘6", "6└", "UR9", "UR0", "UR66", "XR6", "UR", "└", "é6", "46",
    ] {
        refuses(Notation::Palmer, text, ToothErrorKind::NotATooth);
    }
}

#[test]
fn all_teeth_round_trip_in_all_notations() {
    assert_eq!(every_tooth().count(), 32);
    for notation in Notation::all() {
        let mut shown: Vec<String> = every_tooth().map(|tooth| notation.show(tooth)).collect();
        for (tooth, text) in every_tooth().zip(&shown) {
            assert_eq!(notation.read(text), Ok(tooth), "{text}");
            assert_eq!(notation.read(&format!(" {text}\t")), Ok(tooth), "{text}");
        }
        shown.sort();
        shown.dedup();
        assert_eq!(shown.len(), 32, "{}", notation.name());
    }
    for tooth in every_tooth() {
        assert_eq!(tooth.to_string().parse(), Ok(tooth));
        assert_eq!(Tooth::from_iso(tooth.iso()), Some(tooth));
        let json = serde_json::to_string(&tooth).expect("a string");
        assert_eq!(json, format!("\"{}\"", tooth.iso()));
        assert_eq!(
            serde_json::from_str::<Tooth>(&json).expect("a tooth"),
            tooth
        );
    }
}

/// Over every number from 0 to 255, only the 32 of ISO 3950 (quadrants 1 to 4, positions 1 to 8) are permanent teeth.
#[test]
fn numbers_that_are_no_permanent_tooth() {
    let taken = (0..=u8::MAX).filter(|number| Tooth::from_iso(*number).is_some());
    let expected = (11..=18).chain(21..=28).chain(31..=38).chain(41..=48);
    assert!(taken.eq(expected));
    for text in [
        "0", "10", "19", "20", "29", "49", "56", "90", "99", "046", "+46", "-46", "4.6", "4 6",
        "٤٦", "x",
    ] {
        refuses(Notation::Iso3950, text, ToothErrorKind::NotATooth);
    }
    for text in ["0", "33", "99", "08", "+8", "U", "AB", "UR6"] {
        refuses(Notation::Universal, text, ToothErrorKind::NotATooth);
    }
    for notation in Notation::all() {
        refuses(notation, "", ToothErrorKind::Empty);
        refuses(notation, " \t", ToothErrorKind::Empty);
    }
    assert!(serde_json::from_str::<Tooth>("\"55\"").is_err());
    assert!(serde_json::from_str::<Tooth>("46").is_err());
}

/// Milk teeth: ISO 3950 quadrants 5 to 8 with positions 1 to 5, Universal A to T, Palmer A to E.
#[test]
fn milk_teeth_are_refused_as_such() {
    for quadrant in 5..=8 {
        for position in 1..=5 {
            refuses(
                Notation::Iso3950,
                &format!("{quadrant}{position}"),
                ToothErrorKind::MilkTooth,
            );
        }
    }
    for letter in 'A'..='T' {
        refuses(
            Notation::Universal,
            &letter.to_string(),
            ToothErrorKind::MilkTooth,
        );
    }
    for text in ["t", "a"] {
        refuses(Notation::Universal, text, ToothErrorKind::MilkTooth);
    }
    for text in ["A┘", "└e", "┌C", "D┐", "URA", "lle"] {
        refuses(Notation::Palmer, text, ToothErrorKind::MilkTooth);
    }
    let error = "55".parse::<Tooth>().expect_err("a milk tooth");
    assert!(
        error
            .to_string()
            .contains("this program does not cover milk teeth"),
        "{error}"
    );
}

/// Bare 11-18, 21-28, 31 and 32 name different teeth in ISO 3950 and in Universal, and no other number does.
#[test]
fn ambiguous_numbers() {
    let mut found = Vec::new();
    for number in 0..=99_u8 {
        let text = number.to_string();
        let also = Notation::Iso3950.also_reads(&text);
        if let [(notation, tooth)] = also.as_slice() {
            assert_eq!(*notation, Notation::Universal);
            assert_eq!(tooth.universal(), number);
            assert_eq!(
                Notation::Universal.also_reads(&text),
                [(Notation::Iso3950, iso(number))]
            );
            found.push(number);
        } else {
            assert!(also.is_empty());
            assert!(Notation::Universal.also_reads(&text).is_empty(), "{text}");
        }
        assert!(Notation::Palmer.also_reads(&text).is_empty());
    }
    let expected: Vec<u8> = (11..=18).chain(21..=28).chain([31, 32]).collect();
    assert_eq!(found, expected);
    assert_eq!(
        Notation::Iso3950.also_reads("14"),
        [(Notation::Universal, iso(26))]
    );
    assert!(Notation::Palmer.also_reads("UR6").is_empty());
    let hint = Notation::Iso3950
        .read("30")
        .expect_err("no ISO number")
        .hint();
    assert!(hint.contains("Universal"), "{hint}");
    let hint = Notation::Iso3950.read("99").expect_err("no number").hint();
    assert!(!hint.contains("Universal"), "{hint}");
}

#[test]
fn order_along_the_arch() {
    let upper: Vec<u8> = (0..=15)
        .map(|along| {
            Tooth::from_along(Arch::Upper, along)
                .expect("in the arch")
                .iso()
        })
        .collect();
    // As an upper arch is charted facing the patient (ISO 3950).
    assert_eq!(
        upper,
        [
            18, 17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27, 28
        ]
    );
    let lower: Vec<u8> = (0..=15)
        .map(|along| {
            Tooth::from_along(Arch::Lower, along)
                .expect("in the arch")
                .iso()
        })
        .collect();
    assert_eq!(
        lower,
        [
            48, 47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37, 38
        ]
    );
    assert_eq!(Tooth::from_along(Arch::Upper, 16), None);
    for tooth in every_tooth() {
        assert_eq!(Tooth::from_along(tooth.arch(), tooth.along()), Some(tooth));
    }
}

#[test]
fn neighbours() {
    for (one, other, adjoins) in [
        (11, 21, true),
        (41, 31, true),
        (45, 46, true),
        (18, 17, true),
        (45, 47, false),
        (46, 46, false),
        (11, 41, false),
        (11, 31, false),
        (16, 47, false),
        (18, 28, false),
        (18, 48, false),
        (28, 38, false),
    ] {
        assert_eq!(iso(one).adjoins(iso(other)), adjoins, "{one} {other}");
        assert_eq!(iso(other).adjoins(iso(one)), adjoins, "{other} {one}");
    }
}

#[test]
fn classes() {
    for (number, class, posterior) in [
        (11, ToothClass::Incisor, false),
        (42, ToothClass::Incisor, false),
        (23, ToothClass::Canine, false),
        (34, ToothClass::Premolar, true),
        (15, ToothClass::Premolar, true),
        (46, ToothClass::Molar, true),
        (27, ToothClass::Molar, true),
        (18, ToothClass::Molar, true),
    ] {
        assert_eq!(iso(number).class(), class, "{number}");
        assert_eq!(iso(number).is_posterior(), posterior, "{number}");
    }
    assert_eq!(iso(21).arch(), Arch::Upper);
    assert_eq!(iso(31).arch(), Arch::Lower);
}

#[test]
fn notation_names_in_files() {
    let written = serde_json::to_string(&Notation::all()).expect("a list");
    assert_eq!(written, r#"["iso3950","universal","palmer"]"#);
    assert_eq!(Notation::default(), Notation::Iso3950);
    assert_eq!(
        Notation::all().map(Notation::name),
        ["ISO 3950", "Universal", "Palmer"]
    );
}

/// Worked ratios of root areas, abutments over replaced teeth (Ante 1926), on the table of Jepsen 1963, from memory.
#[test]
fn root_area_ratios() {
    let sum = |numbers: &[u8]| -> f64 {
        numbers
            .iter()
            .map(|number| root_area(iso(*number)).expect("in the table"))
            .sum()
    };
    for (abutments, pontics, ratio) in [
        (&[45, 47][..], &[46][..], 1.469),
        (&[13, 16], &[14, 15], 1.555),
        (&[13, 23], &[12, 11, 21, 22], 0.713),
        (&[13], &[12], 1.525),
    ] {
        assert!(
            (sum(abutments) / sum(pontics) - ratio).abs() < 5e-4,
            "{abutments:?}"
        );
    }
    for tooth in every_tooth() {
        assert_eq!(root_area(tooth).is_none(), tooth.position() == 8, "{tooth}");
    }
    assert_eq!(ROOT_AREA_SOURCE, "jepsen-1963");
}

/// What holds of every tooth in Wheeler's table: a crown is narrower at the cervix, molars are wider mesiodistally than
/// premolars, the lower central incisor is the narrowest tooth. Upper first molar 10 by 11, central incisor 8.5 by 10.5
/// long, as in published extracts.
#[test]
fn tooth_sizes() {
    let narrowest = iso(31);
    for tooth in every_tooth() {
        let row = size(tooth);
        assert!(row.mesiodistal_cervix < row.mesiodistal_crown, "{tooth}");
        assert!(row.faciolingual_cervix < row.faciolingual_crown, "{tooth}");
        assert!((5.0..=12.0).contains(&row.crown_length), "{tooth}");
        assert!(row.mesiodistal_crown >= size(narrowest).mesiodistal_crown);
        if tooth.class() == ToothClass::Molar {
            assert!(
                row.mesiodistal_crown > size(iso(44)).mesiodistal_crown,
                "{tooth}"
            );
        }
        let opposite = Tooth::from_along(tooth.arch(), 15 - tooth.along()).expect("mirrored");
        assert_eq!(size(opposite), row, "{tooth}");
    }
    let molar = size(iso(16));
    assert_eq!(
        (molar.mesiodistal_crown, molar.faciolingual_crown),
        (10.0, 11.0)
    );
    let incisor = size(iso(21));
    assert_eq!(
        (incisor.mesiodistal_crown, incisor.crown_length),
        (8.5, 10.5)
    );
    let read: Vec<u8> = every_tooth()
        .filter(|tooth| !size(*tooth).from_memory)
        .map(Tooth::iso)
        .collect();
    assert_eq!(read, [11, 12, 15, 16, 21, 22, 25, 26]);
    assert_eq!(SIZE_SOURCE, "ash-tooth-dimensions");
}
