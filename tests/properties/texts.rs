//! Whatever is typed or saved from a spreadsheet is read or refused, and what is read lies in range.

use crate::cases;
use hillwash::colour::parse_colour;
use hillwash::paint::{PaintList, ScatterList};
use hillwash::problem::{Explain, Place};
use hillwash::units::{Metres, Millimetres, ScaleRatio, SquareCentimetres, number};
use proptest::prelude::*;
use std::collections::BTreeSet;

/// Any text, text that is nearly a colour, and colours.
fn colour_text() -> impl Strategy<Value = String> {
    prop_oneof![
        1 => any::<String>(),
        1 => "[#0-9a-fA-F]{0,10}",
        1 => "#?[0-9a-fé€]{0,9}",
        1 => "(rgb|rgba|lab|lch|oklab|oklch|hsl|hwb|color)\\([-+0-9.eE%, /a-z]{0,30}\\)?",
        1 => concat!(
            "(lab|oklch|color)\\((display-p3 )?[-+]?[0-9]{1,40}(e[0-9]{1,4})? [0-9.]{1,5} ",
            "(none|[0-9]{1,3}deg)( / [0-9.%]{1,4})?\\)",
        ),
        2 => "#([0-9a-f]{3}|[0-9A-F]{6}|[0-9a-f]{6}ff)",
        2 => "(lab|oklab|lch|oklch)\\([0-9]{1,2}% [0-9]{1,2} -?[0-9]{1,3}\\)",
        1 => "rgb\\([0-9]{1,3}, ?[0-9]{1,3}, ?[0-9]{1,3}\\)",
        1 => "color\\((srgb|display-p3|xyz) [01]?\\.[0-9]{1,3} [01]?\\.[0-9] 0?\\.[0-9]\\)",
    ]
}

/// Any text, and text that is nearly a measure.
fn measure_text() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        "[-+0-9.,eE]{0,12} ?[a-zµ²'\"^0-9 ]{0,8}",
        "[0-9]{1,4}([.,][0-9]{1,3})? ?(m|cm|mm|km|ft|in|yd|mi|sq ft|cm2|dm²|m\\^2|'|\")",
    ]
}

/// Any text, and text that is nearly a scale.
fn scale_text() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        "[ZNTHSOI01]{1,3} ?([0-9.,]{0,5}[:/][0-9.,e-]{0,8})?",
        "(N |0 |H0 )?1 ?[:/] ?[1-9][0-9]{0,3}([.,]5)?",
        "[-+]?[0-9.,]{0,8} ?[:/] ?[-+]?[0-9.,]{0,8}",
    ]
}

/// What a cell of a column may hold when all is well.
fn right_cell(column: &str) -> BoxedStrategy<String> {
    match column {
        "name" | "note" => "[A-Z][a-z]{2,9} [a-z0-9]{1,4}".boxed(),
        "hex" | "let_down_hex" => "#[0-9a-f]{6}".boxed(),
        "lab_l" => "[0-9]{1,2}".boxed(),
        "lab_a" | "lab_b" => "-?[0-9]{1,2}(\\.[0-9])?".boxed(),
        "medium" => prop::sample::select(vec!["acrylic", "Enamel", "watercolor", ""])
            .prop_map(str::to_owned)
            .boxed(),
        "opacity" => prop::sample::select(vec!["opaque", "semi opaque", "transparent", ""])
            .prop_map(str::to_owned)
            .boxed(),
        "effect" => Just("none".to_owned()).boxed(),
        "mixable" => prop::sample::select(vec!["yes", "no"])
            .prop_map(str::to_owned)
            .boxed(),
        "grain" => prop::sample::select(vec!["coarse", "Fine", "fibre", ""])
            .prop_map(str::to_owned)
            .boxed(),
        _ => "[1-9](\\.[0-9])?".boxed(),
    }
}

/// Any bytes, bytes that are nearly a table with these columns, and tables in which a few cells are wrong or none.
fn table(columns: &'static [&'static str]) -> impl Strategy<Value = Vec<u8>> {
    let wrong_cell = || {
        prop_oneof![
            "[A-Za-z ]{1,8}",
            "-?[0-9]{1,3}([.,][0-9]{1,2})?",
            Just("\"quoted, cell\"".to_owned()),
            Just("\"open".to_owned()),
            "\\PC{0,6}",
            Just(String::new()),
        ]
    };
    let dividers = || prop::sample::select(vec![",", ";", "\t"]);
    let ends = || prop::sample::select(vec!["\n", "\r\n", "\r"]);
    let near = (
        prop::collection::vec(prop::sample::select(columns), 1..=6),
        prop::collection::vec(prop::collection::vec(wrong_cell(), 0..8), 0..8),
    );
    let right = (prop::sample::subsequence(&columns[2..], 0..=5), 1..6_usize)
        .prop_flat_map(move |(more, rows)| {
            let header: Vec<&str> = columns[..2].iter().copied().chain(more).collect();
            let row: Vec<_> = header.iter().map(|column| right_cell(column)).collect();
            (
                Just(header),
                prop::collection::vec(row, rows),
                prop::option::weighted(0.3, (any::<prop::sample::Index>(), wrong_cell())),
            )
        })
        .prop_map(|(header, mut rows, wrong)| {
            if let Some((at, cell)) = wrong {
                let at = at.index(header.len() * rows.len());
                rows[at / header.len()][at % header.len()] = cell;
            }
            (header, rows)
        });
    let drawn = (
        prop_oneof![2 => near, 3 => right],
        dividers(),
        ends(),
        any::<bool>(),
    )
        .prop_map(|((header, rows), divider, end, mark)| {
            let mut text = if mark { "\u{feff}" } else { "" }.to_owned();
            text.push_str(&header.join(divider));
            for row in rows {
                text.push_str(end);
                text.push_str(&row.join(divider));
            }
            text.into_bytes()
        });
    prop_oneof![
        1 => prop::collection::vec(any::<u8>(), 0..200),
        5 => drawn,
    ]
}

/// Name and colour first.
const PAINT_COLUMNS: &[&str] = &[
    "name",
    "hex",
    "medium",
    "opacity",
    "strength",
    "effect",
    "mixable",
    "price",
    "pot_ml",
    "note",
    "lab_l",
    "lab_a",
    "lab_b",
    "spectrum",
    "let_down_hex",
    "let_down_parts_white",
    "nmae",
];
/// Name and colour first.
const SCATTER_COLUMNS: &[&str] = &[
    "name",
    "hex",
    "grain",
    "length_mm",
    "on_hand_g",
    "cover_g_per_dm2",
    "note",
];

proptest! {
    #![proptest_config(cases(4000))]

    #[test]
    fn any_text_is_a_colour_in_range_or_is_refused(text in colour_text()) {
        match parse_colour(&text) {
            Ok(lab) => {
                prop_assert!((-0.01..=100.01).contains(&lab.l), "{text:?} gave {lab:?}");
                prop_assert!(lab.a.is_finite() && lab.b.is_finite(), "{text:?} gave {lab:?}");
            }
            Err(refused) => prop_assert!(!refused.to_string().is_empty() && refused.hint() != Some(String::new())),
        }
    }

    #[test]
    fn any_text_is_a_length_in_range_or_is_refused(text in measure_text()) {
        if let Ok(length) = text.parse::<Metres>() {
            prop_assert!((0.0..=1e6).contains(&length.value()), "{text:?} gave {length}");
        }
        if let Ok(length) = text.parse::<Millimetres>() {
            prop_assert!((0.0..=1e6).contains(&length.value()), "{text:?} gave {length}");
        }
        if let Ok(number) = number(&text) {
            prop_assert!(number.is_finite(), "{text:?} gave {number}");
        }
    }

    #[test]
    fn any_text_is_an_area_in_range_or_is_refused(text in measure_text()) {
        if let Ok(area) = text.parse::<SquareCentimetres>() {
            prop_assert!((0.01..=1e7).contains(&area.value()), "{text:?} gave {area}");
        }
    }

    #[test]
    fn any_text_is_a_scale_in_range_or_is_refused(text in scale_text()) {
        match text.parse::<ScaleRatio>() {
            Ok(scale) => prop_assert!((1.0..=2000.0).contains(&scale.n()), "{text:?} gave {scale}"),
            Err(refused) => prop_assert!(!refused.to_string().is_empty() && refused.hint() != Some(String::new())),
        }
    }

    #[test]
    fn a_length_that_is_shown_is_read_again(value in 0.0..1e6_f64) {
        // Shown to three decimals.
        let length = Metres::new(value).unwrap();
        let again: Metres = length.to_string().parse().unwrap();
        prop_assert!((again.value() - value).abs() <= 0.000_500_1, "{length} gave {again}");
    }
}

proptest! {
    #![proptest_config(cases(1500))]

    #[test]
    fn any_bytes_are_a_paint_list_or_a_list_of_faults(
        bytes in table(PAINT_COLUMNS),
        spectrum in prop_oneof![any::<String>(), "([0-9]{3}[,; \t]0?[.,][0-9]{1,4}\n){0,12}"],
    ) {
        let read = |name: &str| {
            if name.starts_with('9') { Err("no such file".to_owned()) } else { Ok(spectrum.clone()) }
        };
        match PaintList::parse("paints.csv", &bytes, &read) {
            Ok(list) => {
                prop_assert!(!list.paints().is_empty());
                let names: BTreeSet<String> = list.paints().iter().map(|p| p.name.to_lowercase()).collect();
                prop_assert_eq!(names.len(), list.paints().len());
                for paint in list.paints() {
                    prop_assert!(paint.colour.l.is_finite() && paint.colour.chroma().is_finite(), "{paint:?}");
                    prop_assert!(list.named(&paint.name).is_some(), "{paint:?}");
                }
            }
            Err(faults) => {
                prop_assert!(!faults.is_empty());
                // In the list, or in a row of a spectrum that it names.
                let placed = |place: Place| place.file.as_deref() == Some("paints.csv") || (place.file.is_some() && place.line.is_some());
                prop_assert!(faults.iter().all(|fault| placed(fault.place())));
                prop_assert!(faults.windows(2).all(|pair| pair[0].place() <= pair[1].place()));
            }
        }
    }

    #[test]
    fn any_bytes_are_a_scatter_list_or_a_list_of_faults(bytes in table(SCATTER_COLUMNS)) {
        match ScatterList::parse("scatter.csv", &bytes) {
            Ok(list) => {
                prop_assert!(!list.items().is_empty());
                prop_assert!(list.items().iter().all(|item| !item.name.is_empty() && item.colour.l.is_finite()));
            }
            Err(faults) => {
                prop_assert!(!faults.is_empty());
                prop_assert!(faults.iter().all(|fault| fault.place().file.as_deref() == Some("scatter.csv")));
            }
        }
    }
}
