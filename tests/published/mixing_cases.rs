//! The worked cases of the mixing models: reflectances, opaque mixes, washes, scatter, scale colour.
//!
//! Computed by a separate program from Burns 2020, Kubelka and Munk 1931, Kubelka 1948, Saunderson 1942, Duncan 1940
//! and Koschmieder 1924; what they cannot show stands in `data/README.md`.

use crate::cases::{Case, cases_of, items, kinds, number, numbers, text, three};
use crate::misses::Misses;
use hillwash::colour::{LabD65, Spectrum, Srgb8, Xyz, delta_e00};
use hillwash::paint::{
    Done, PaintList, Prepared, SeenAs, Sight, Wash, opaque_mix, reconstruct, scattering_told,
    wash_over,
};
use hillwash::scale_colour::{
    ScaleColour, ScaleRule, SeenFrom, customary_white, moved, through_air, transmission,
    with_white_paint,
};
use hillwash::scatter::{KindShare, LaidBlend, mixed};
use hillwash::units::{Metres, ScaleRatio};
use serde_json::Value;

const CASES: &str = include_str!("data/mixing_cases.json");
/// Tolerances as the file states them, each by its kind: on reflectances; on L*, a*, b* of mixes and washes; on the
/// scattering thickness of a wash, as a fraction; on L*, a*, b* through air; on distance and transmission.
const ON_REFLECTANCE: f64 = 1e-6;
const ON_LAB: f64 = 1e-4;
const ON_THICKNESS: f64 = 1e-9;
const ON_LAB_THROUGH_AIR: f64 = 1e-6;
const ON_DISTANCE: f64 = 1e-9;
/// A code that lies so near to half a step may be rounded either way.
const ROUNDING_EDGE: f64 = 1e-3;
/// Kinds that a test below takes on.
const CHECKED: [&str; 7] = [
    "let_down",
    "reflectance_from_hex",
    "opaque_mix",
    "wash",
    "scatter",
    "scale_airlight",
    "scale_customary",
];

/// The whole file: constants, weights and cases.
pub(crate) fn mixing_cases() -> Value {
    serde_json::from_str(CASES).unwrap_or_else(|error| unreachable!("{error}"))
}

fn xyz_of(of: &Value, key: &str) -> Xyz {
    Xyz::from(code_of(of, key).to_linear())
}

fn code_of(of: &Value, key: &str) -> Srgb8 {
    Srgb8::try_from(text(of, key).to_owned()).unwrap_or_else(|error| unreachable!("{error}"))
}

/// The paints of a case, read as a paint list would be; their screen colours are known without error here, so they are told
/// as Lab.
fn paints_of(case: &Case) -> Vec<Prepared> {
    let paints = items(&case.inputs["paints"]);
    let mut list = "name,lab_l,lab_a,lab_b,spectrum,opacity,strength\n".to_owned();
    for (at, paint) in paints.iter().enumerate() {
        let cell = |key: &str| match &paint[key] {
            Value::String(text) => text.clone(),
            Value::Number(number) => number.to_string(),
            _ => String::new(),
        };
        let lab = match (&paint["lab"], &paint["hex"]) {
            (Value::Array(_), _) => three(paint, "lab").map(|v| v.to_string()).join(","),
            (_, Value::String(_)) => {
                let known: [f64; 3] = LabD65::from(code_of(paint, "hex")).into();
                known.map(|v| v.to_string()).join(",")
            }
            _ => ",,".to_owned(),
        };
        let spectrum = match paint["reflectance"] {
            Value::Array(_) => at.to_string(),
            _ => String::new(),
        };
        let row = [
            format!("paint {at}"),
            lab,
            spectrum,
            cell("opacity"),
            cell("strength"),
        ];
        list.push_str(&row.join(","));
        list.push('\n');
    }
    let spectrum = |name: &str| {
        let at: usize = name.parse().map_err(|_| format!("no paint {name}"))?;
        let values = numbers(&paints[at]["reflectance"]);
        let rows: Vec<String> = (0..)
            .map(|band| 380 + 10 * band)
            .zip(values)
            .map(|(nm, r)| format!("{nm},{r}"))
            .collect();
        Ok(rows.join("\n"))
    };
    let list = PaintList::parse(&case.id, list.as_bytes(), &spectrum)
        .unwrap_or_else(|faults| unreachable!("{}: {faults:?}", case.id));
    list.paints().iter().map(Prepared::from_paint).collect()
}

fn in_parts<'a>(paints: &'a [Prepared], case: &Case) -> Vec<(&'a Prepared, f64)> {
    paints.iter().zip(numbers(&case.inputs["parts"])).collect()
}

/// True when each channel is the published one, or one step off because it lies on the edge of rounding.
fn same_code_but_for_rounding(colour: LabD65, published: Srgb8) -> bool {
    let linear = Xyz::from(colour).to_linear_srgb();
    [linear.r, linear.g, linear.b]
        .into_iter()
        .zip(published.0)
        .all(|(linear, code)| {
            // IEC 61966-2-1:1999, the curve.
            let v = linear.clamp(0.0, 1.0);
            let encoded = if v <= 0.003_130_8 {
                12.92 * v
            } else {
                1.055 * v.powf(1.0 / 2.4) - 0.055
            };
            (255.0 * encoded - f64::from(code)).abs() <= 0.5 + ROUNDING_EDGE
        })
}

#[test]
fn let_downs_come_back_as_they_were_entered() {
    let mut misses = Misses::of("let-downs");
    for case in cases_of(CASES, "let_down") {
        let paint = Prepared::from_colour(xyz_of(&case.inputs["paint"], "hex"), None, 1.0);
        let white = Prepared::from_colour(xyz_of(&case.inputs["white"], "hex"), None, 1.0)
            .with_scattering(Spectrum::flat(1.0));
        let share = number(&case.inputs, "paint_share");
        let seen = LabD65::from(xyz_of(&case.inputs["paint"], "let_down_hex"));
        let sight = Sight {
            done: Done::LetDown { share },
            seen: SeenAs::Colour(seen),
            uncertainty: 1.0,
        };
        let told = scattering_told(&paint, &white, &[sight]);
        let paint = paint.with_scattering(told.scattering);
        let mixed = opaque_mix(&[(&paint, share), (&white, 1.0 - share)]).unwrap();
        let off = delta_e00(mixed.into(), seen).0;
        misses.within(
            number(&case.outputs, "comes_back_within_de2000"),
            &case.id,
            "off by",
            off,
            0.0,
        );
    }
    misses.none_among(5);
}

#[test]
fn no_kind_of_case_goes_by_unseen() {
    assert_eq!(kinds(CASES), CHECKED.map(str::to_owned).into());
}

#[test]
fn reflectances_of_screen_colours_are_the_smoothest() {
    let mut misses = Misses::of("reflectances");
    for case in cases_of(CASES, "reflectance_from_hex") {
        let found = reconstruct(xyz_of(&case.inputs, "hex"));
        let row = format!("{} {}", case.id, text(&case.inputs, "hex"));
        misses.within(
            ON_REFLECTANCE,
            &row,
            "moved towards grey",
            found.moved_toward_grey,
            number(&case.outputs, "desaturation_t"),
        );
        let published = numbers(&case.outputs["reflectance"]);
        for (band, (got, published)) in found.reflectance.values().iter().zip(published).enumerate()
        {
            misses.within(
                ON_REFLECTANCE,
                &row,
                &format!("band {band}"),
                *got,
                published,
            );
        }
    }
    misses.none_among(10 * 37);
}

#[test]
fn opaque_mixes_have_their_worked_colours() {
    let mut misses = Misses::of("opaque mixes");
    for case in cases_of(CASES, "opaque_mix") {
        let paints = paints_of(&case);
        let lab = LabD65::from(opaque_mix(&in_parts(&paints, &case)).unwrap());
        misses.three_within(
            ON_LAB,
            &case.id,
            ["L*", "a*", "b*"],
            lab.into(),
            three(&case.outputs, "lab"),
        );
        let published = code_of(&case.outputs, "hex");
        let what = format!("{} is {published} but for rounding", lab.to_srgb8());
        let same = same_code_but_for_rounding(lab, published);
        misses.equal(&case.id, &what, &same, &true);
    }
    misses.none_among(18 * 4);
}

#[test]
fn washes_have_their_worked_colours_on_flats_and_in_recesses() {
    let mut misses = Misses::of("washes");
    for case in cases_of(CASES, "wash") {
        let Case {
            id,
            inputs,
            outputs,
            ..
        } = &case;
        let paints = paints_of(&case);
        let wash = Wash {
            paint_share: number(inputs, "dilution"),
            passes: number(inputs, "passes"),
            film: number(inputs, "film"),
            pool: number(inputs, "pool"),
        };
        let base = xyz_of(&inputs["base"], "hex");
        let film = wash_over(base, &in_parts(&paints, &case), &wash).unwrap();
        misses.within_fraction(
            ON_THICKNESS,
            id,
            "thickness",
            film.tau_flat,
            number(outputs, "tau_flat"),
        );
        for (part, names, got) in [
            ("flat", ["flat L*", "flat a*", "flat b*"], film.flat),
            (
                "recess",
                ["recess L*", "recess a*", "recess b*"],
                film.recess,
            ),
        ] {
            misses.three_within(
                ON_LAB,
                id,
                names,
                LabD65::from(got).into(),
                three(&outputs[part], "lab"),
            );
        }
    }
    misses.none_among(12 * 7);
}

/// The file allows this on shares.
const ON_SHARES: f64 = 1e-9;

#[test]
fn scatter_side_by_side_has_its_worked_colours() {
    let mut misses = Misses::of("scatter");
    let mut compared = 0;
    for case in cases_of(CASES, "scatter") {
        let Case {
            id,
            inputs,
            outputs,
            ..
        } = &case;
        let parts: Vec<KindShare> = items(&inputs["items"])
            .iter()
            .zip(numbers(&inputs["parts"]))
            .zip(numbers(&inputs["cover_g_per_dm2"]))
            .map(|((item, parts), cover)| KindShare {
                colour: xyz_of(item, "hex"),
                area: parts / cover,
            })
            .collect();
        let laid = LaidBlend {
            ground: xyz_of(&inputs["ground"], "hex"),
            ground_share: (-number(inputs, "layers")).exp(),
            self_shadow: number(inputs, "recollision"),
        };
        let found = mixed(&parts, &laid);
        let published = numbers(&outputs["area_shares"]);
        compared += published.len() + 4;
        for (got, published) in found.shares.iter().zip(published) {
            misses.within(ON_SHARES, id, "share", *got, published);
        }
        let ground = number(outputs, "ground_share");
        misses.within(ON_SHARES, id, "ground", found.ground, ground);
        misses.three_within(
            ON_LAB,
            id,
            ["L*", "a*", "b*"],
            LabD65::from(found.xyz).into(),
            three(outputs, "lab"),
        );
    }
    misses.none_among(compared);
}

#[test]
fn colours_seen_over_the_layout_take_up_air() {
    let mut misses = Misses::of("scale colour by air");
    for case in cases_of(CASES, "scale_airlight") {
        let Case {
            id,
            inputs,
            outputs,
            ..
        } = &case;
        let settings = ScaleColour {
            rule: ScaleRule::Air,
            visibility: Metres::new(1000.0 * number(inputs, "visibility_km")).unwrap(),
            air: LabD65::from(code_of(inputs, "airlight_hex")),
        };
        let seen = SeenFrom {
            scale: ScaleRatio::one_to(number(inputs, "scale")).unwrap(),
            view: Metres::new(number(inputs, "view_m"))
                .unwrap()
                .on_the_model()
                .unwrap(),
            from: Some(Metres::new(number(inputs, "photo_m")).unwrap()),
        };
        let signed = seen.scale.full_size(seen.view).value() - number(inputs, "photo_m");
        let distance = Metres::new(signed.max(0.0)).unwrap();
        let through = transmission(distance, settings.visibility);
        let what = ["L*", "a*", "b*"];
        let published = three(outputs, "lab");
        for (key, got) in [
            ("extra_distance_m", distance.value()),
            ("transmission", through),
        ] {
            misses.within(ON_DISTANCE, id, key, got, number(outputs, key));
        }
        let colour = xyz_of(inputs, "hex");
        let paled = LabD65::from(through_air(colour, settings.air.into(), through));
        misses.three_within(ON_LAB_THROUGH_AIR, id, what, paled.into(), published);
        // Where the photo holds more air than the view, the case changes nothing, while the library on purpose takes
        // the surplus out: no comparison of the whole rule there.
        if signed >= 0.0 {
            let planned = moved(colour.into(), &settings, &seen);
            misses.three_within(
                ON_LAB_THROUGH_AIR,
                id,
                what,
                planned.colour.into(),
                published,
            );
            misses.within(
                ON_LAB_THROUGH_AIR,
                id,
                "ΔE00",
                planned.by.0,
                number(outputs, "de2000"),
            );
        }
    }
    misses.none_among(10 * 5 + 9 * 4);
}

#[test]
fn customary_white_is_mixed_as_paint() {
    let mut misses = Misses::of("scale colour by custom");
    for case in cases_of(CASES, "scale_customary") {
        let Case {
            id,
            inputs,
            outputs,
            ..
        } = &case;
        let scale = ScaleRatio::one_to(number(inputs, "scale")).unwrap();
        let share = customary_white(scale);
        misses.within(
            ON_DISTANCE,
            id,
            "share of white",
            share,
            number(outputs, "white_share"),
        );
        let mixed = LabD65::from(with_white_paint(xyz_of(inputs, "hex"), share));
        misses.three_within(
            ON_LAB,
            id,
            ["L*", "a*", "b*"],
            mixed.into(),
            three(outputs, "lab"),
        );
    }
    misses.none_among(4 * 4);
}
