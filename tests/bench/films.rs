//! How near the film model comes to measured watercolour films over white paper, beside plain alpha blending.
//!
//! Each paint is known by the screen colour of its thickest film and an opacity word; the thinner films are foretold. The
//! rivals blend paper and thickest film by the share of the amount, in screen values and in linear light.

use super::{Points, amount, by_thirds, colour, line, points, rows, watercolour_word};
use hillwash::colour::{DeltaE00, LabD65, LinearSrgb, Xyz, delta_e00};
use hillwash::paint::{
    FILM_WITHIN, Ground, PaintList, Prepared, Wash, WashPot, opaque_mix, wash_over,
};
use hillwash::wash::film_seen;
use std::collections::BTreeMap;
use std::path::Path;

/// The thickest films, millilitres: taken for a brushed coat.
const THICKEST: f64 = 0.12;
/// The thin patch that tells a paint's film, where one is used.
const PATCH: f64 = 0.03;

/// How far a pot's own colour may be off that was measured.
const POT_KNOWN: DeltaE00 = DeltaE00(1.0);

/// A paint's films by their amounts, thinnest first.
type Films = BTreeMap<String, Vec<(f64, LabD65)>>;

fn prepared(name: &str, thickest: LabD65) -> Prepared {
    let list = format!(
        "name,hex,medium,opacity\npaint,{},watercolour,{}\n",
        thickest.to_srgb8(),
        watercolour_word(name)
    );
    let list = PaintList::parse("film.csv", list.as_bytes(), &|_| Err(String::new())).unwrap();
    Prepared::from_paint(&list.paints()[0])
}

fn laid(share: f64, film: f64) -> Wash {
    Wash {
        paint_share: share,
        passes: 1.0,
        film,
        pool: 1.0,
    }
}

/// Alpha blending of two colours in linear light.
fn alpha_in_light(paper: LabD65, paint: LabD65, share: f64) -> LabD65 {
    let [a, b] = [paper, paint].map(|colour| {
        let light = colour.to_srgb8().to_linear();
        [light.r, light.g, light.b]
    });
    let [r, g, b] = std::array::from_fn(|i| a[i] + share * (b[i] - a[i]));
    Xyz::from(LinearSrgb { r, g, b }).into()
}

/// Plain alpha blending of two screen colours.
fn alpha(paper: LabD65, paint: LabD65, share: f64) -> LabD65 {
    let [one, other] = [paper, paint].map(LabD65::to_srgb8);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between two values of 0 to 255"
    )]
    let mixed = std::array::from_fn(|i| {
        let (a, b) = (f64::from(one.0[i]), f64::from(other.0[i]));
        (a + share * (b - a)).round() as u8
    });
    hillwash::colour::Srgb8(mixed).into()
}

#[expect(
    clippy::too_many_lines,
    reason = "one experiment, from its cases to what it prints"
)]
pub(super) fn films(folder: &Path) {
    let rows = rows(&folder.join("watercolour_singles_10nm.csv"));
    let reflectances = rows.iter().filter(|row| row["kind"] == "R");
    let mut paper: Option<LabD65> = None;
    let mut films: Films = BTreeMap::new();
    for row in reflectances {
        let seen: Points = points(row);
        let ml = amount(row, "quantity_ml");
        if ml <= 0.0 {
            paper = Some(colour(&seen));
        } else {
            films
                .entry(row["name"].clone())
                .or_default()
                .push((ml, colour(&seen)));
        }
    }
    let paper = paper.unwrap();
    let (mut ours, mut sharpened, mut screen, mut light) = (vec![], vec![], vec![], vec![]);
    let mut dark: [Vec<f64>; 2] = [vec![], vec![]];
    let mut quoted = vec![];
    let ground = Ground::new(paper.into());
    for (name, films) in &mut films {
        films.sort_by(|a, b| a.0.total_cmp(&b.0));
        let thickest = films[films.len() - 1].1;
        let paint = prepared(name, thickest);
        let parts = [(&paint, 1.0)];
        let over = |share: f64, film: f64| -> LabD65 {
            let film = wash_over(paper.into(), &parts, &laid(share, film)).unwrap();
            film.flat.into()
        };
        let patch = films.iter().find(|(ml, _)| (ml - PATCH).abs() < 1e-6);
        let told = patch.map_or(1.0, |(ml, seen)| {
            let asked = laid(ml / THICKEST, 1.0);
            film_seen(paper.into(), &parts, &asked, *seen, DeltaE00(1.0))
                .unwrap()
                .film
        });
        let own = LabD65::from(opaque_mix(&parts).unwrap());
        let pot = WashPot::new(&parts).unwrap();
        let doubt = |share: f64| pot.doubt(&ground, laid(share, 1.0).thickness(), FILM_WITHIN);
        for (ml, seen) in films.iter() {
            let share = ml / THICKEST;
            let error = |got: LabD65| delta_e00(got, *seen).0;
            ours.push(error(over(share, 1.0)));
            // The thickest film is the pot itself, so the pot's own colour is known.
            quoted.push((
                *ml,
                super::Score {
                    error: error(over(share, 1.0)),
                    quoted: doubt(share).with_pot(POT_KNOWN).0,
                },
            ));
            if patch.is_none_or(|(at, _)| (at - ml).abs() > 1e-6) {
                sharpened.push(error(over(share, told)));
            }
            screen.push(error(alpha(paper, thickest, share)));
            light.push(error(alpha_in_light(paper, thickest, share)));
            // Films darker than the model's floor: as they are, and as if the pot's own colour were reached.
            if seen.l < 21.9 {
                dark[0].push(error(over(share, 1.0)));
                dark[1].push(error(own));
            }
        }
    }
    println!("watercolour films over white paper");
    let scores = |errors: &[f64]| -> Vec<super::Score> {
        errors
            .iter()
            .map(|error| super::Score {
                error: *error,
                quoted: f64::NAN,
            })
            .collect()
    };
    line(
        "hex of the thickest film, opacity word",
        &scores(&ours),
        "4.0 / 2.9 / 11.1",
    );
    by_thirds("the same, with the ± quoted", quoted, "");
    line(
        "the same with the film from one patch",
        &scores(&sharpened),
        "3.1 / 2.4 / 9.2",
    );
    line(
        "rival: alpha blending of screen values",
        &scores(&screen),
        "",
    );
    line("rival: alpha blending in linear light", &scores(&light), "");
    if !dark[0].is_empty() {
        line("films below L* 22: the model", &scores(&dark[0]), "");
        line(
            "films below L* 22: the pot's own colour",
            &scores(&dark[1]),
            "",
        );
    }
}
