//! Bands of a hillside: shares by area, means by share, shade and light within one band, haze from near to far.

use crate::bench::{BRICK, Drawn, LEAF, stripes, times};
use hillwash::colour::{LabD65, LinearSrgb, Srgb8, delta_e00};
use hillwash::photo::PhotoWarning;
use hillwash::plan::{PlanNote, TonesNote};
use hillwash::report::{View, plan_file, schedule_html};
use image::RgbImage;

const PALE: Srgb8 = Srgb8([0xd8, 0xd2, 0xb8]);
/// Two bands side by side in the picture.
const HILL: &str = "[[surface]]\nname = \"Hill\"\nphoto = \"drawn\"\ntreatment = \"scatter\"\n\
    region = [[0, 0], [1, 0], [1, 1], [0, 1]]\narea = \"16 dm2\"\n\
    [[surface.band]]\nname = \"near\"\nregion = [[0, 0], [0.5, 0], [0.5, 1], [0, 1]]\nfrom = \"100 m\"\narea = \"12 dm2\"\n\
    [[surface.band]]\nname = \"far\"\nregion = [[0.5, 0], [1, 0], [1, 1], [0.5, 1]]\nfrom = \"4 km\"\n";

fn hill(picture: RgbImage) -> Drawn<'static> {
    Drawn {
        surfaces: HILL,
        ..Drawn::new(picture)
    }
}

#[test]
fn a_band_counts_by_its_area() {
    hill(stripes(&[(LEAF, 100), (PALE, 100)])).plan(|plan| {
        let surface = &plan.surfaces[0];
        let shares: Vec<f64> = surface.zones.iter().map(|zone| zone.wanted.share).collect();
        assert_eq!(shares.len(), 2);
        assert!(
            (shares[0] - 0.75).abs() < 1e-9 && (shares[1] - 0.25).abs() < 1e-9,
            "{shares:?}: 12 and 4 of 16 dm2"
        );
        let far = surface.zones[1].wanted.area.unwrap();
        assert!(
            (far.value() - 400.0).abs() < 1e-9,
            "what is left of the area"
        );
        for zone in &surface.zones {
            let own = &surface.tones[zone.wanted.tones.clone()];
            let sum: f64 = own.iter().map(|tone| tone.wanted.tone.share.value()).sum();
            assert!(
                (sum - zone.wanted.share).abs() < 1e-6,
                "{sum} {}",
                zone.wanted.share
            );
        }
    });
}

#[test]
fn the_mean_of_a_band_is_that_of_its_pixels_in_linear_light() {
    let near = [(LEAF, 85), (PALE, 15)];
    let picture = stripes(&[near[0], near[1], (BRICK, 100)]);
    let sum = |of: fn(LinearSrgb) -> f64| {
        near.iter()
            .map(|(colour, width)| of(colour.to_linear()) * f64::from(*width) / 100.0)
            .sum::<f64>()
    };
    let mean = LabD65::from(LinearSrgb {
        r: sum(|c| c.r),
        g: sum(|c| c.g),
        b: sum(|c| c.b),
    });
    hill(picture).plan(|plan| {
        let band = plan.surfaces[0].zones[0].wanted.band.as_ref().unwrap();
        for colour in [band.photographed, band.planned] {
            let off = delta_e00(colour, mean).0;
            assert!(off < 0.5, "{off}: {colour:?}, the pixels {mean:?}");
        }
    });
}

#[test]
fn a_shade_is_told_with_the_lit_tone_of_its_own_band() {
    let shaded = |colour| times(colour, [0.45; 3]);
    let near = [(LEAF, 70), (shaded(LEAF), 30)];
    let far = [(BRICK, 70), (shaded(BRICK), 30)];
    let mut drawn = hill(stripes(&[near[0], near[1], far[0], far[1]]));
    let asked = HILL.replace("treatment", "shade = \"ask\"\ntreatment");
    drawn.surfaces = &asked;
    drawn.plan(|plan| {
        let surface = &plan.surfaces[0];
        let mut pairs = 0;
        for zone in &surface.zones {
            for tone in &surface.tones[zone.wanted.tones.clone()] {
                let Some(shade) = &tone.wanted.tone.shade_of else {
                    continue;
                };
                pairs += 1;
                assert!(
                    zone.wanted.tones.contains(&shade.lit),
                    "{} of {zone:?}",
                    shade.lit
                );
                let lit = surface.tones[shade.lit].wanted.tone.colour;
                assert!(lit.l > tone.wanted.tone.colour.l);
            }
        }
        assert_eq!(pairs, 2, "one in each band");
        let told = plan.notes.iter().filter_map(|note| match note {
            PlanNote::Tones(TonesNote::ShadeAsked { lit, shade, .. }) => Some((lit, shade)),
            _ => None,
        });
        let told: Vec<_> = told.collect();
        assert_eq!(told.len(), 2);
        for (lit, shade) in told {
            let apart = (lit.colour.hue_degrees() - shade.colour.hue_degrees()).abs();
            assert!(apart < 25.0, "one hue, in light and in shade: {apart}");
        }
    });
}

#[test]
fn the_haze_of_a_photo_is_read_from_near_to_far() {
    // Koschmieder 1924: light L at the distance D is L t + A (1 - t), t = exp(-3.912 D / V); here V is 10 km, A the air
    // of the scene.
    const VISIBILITY: f64 = 10_000.0;
    let air = Srgb8([0xc8, 0xd6, 0xe4]).to_linear();
    let behind = |colour: Srgb8, metres: f64| {
        let (light, t) = (colour.to_linear(), (-3.912 * metres / VISIBILITY).exp());
        let seen = |own: f64, air: f64| own * t + air * (1.0 - t);
        LinearSrgb {
            r: seen(light.r, air.r),
            g: seen(light.g, air.g),
            b: seen(light.b, air.b),
        }
        .encode()
    };
    let wood = Srgb8([0x1c, 0x24, 0x16]);
    let picture = stripes(&[
        (behind(LEAF, 100.0), 50),
        (behind(wood, 100.0), 50),
        (behind(wood, 4000.0), 100),
    ]);
    hill(picture).plan(|plan| {
        let haze = plan.surfaces[0]
            .wanted
            .haze
            .expect("the far wood is hazier");
        let (near, far) = (haze.near.value(), haze.far.value());
        assert!(
            (near - 100.0).abs() < 1e-6 && (far - 4000.0).abs() < 1e-6,
            "{near} {far}"
        );
        // Two bands tell it roughly: how bright the air is, and how dark the woods, is read from the same two.
        let off = (haze.visibility.value() / VISIBILITY).ln().abs();
        assert!(off <= haze.within.ln(), "{haze:?}");
        assert!(off <= 0.15, "{haze:?}");
        let page = schedule_html(
            &View::new(plan, "2026-03-01"),
            &plan_file(plan, "2026-03-01"),
        )
        .unwrap();
        let (_, told) = page.split_once("pales between ").unwrap();
        let (from, to) = told.split_once(" and ").unwrap();
        assert!(from.starts_with("100") && to.starts_with('4'), "{from}");
    });
}

/// An evening: the air is orange, and so is the sky at the horizon (Koschmieder 1924). The scene's own air is blue.
#[test]
fn the_sky_at_the_horizon_tells_the_colour_of_the_air() {
    let air = LinearSrgb {
        r: 0.72,
        g: 0.52,
        b: 0.34,
    };
    let wood = Srgb8([0x1c, 0x24, 0x16]);
    let behind = |metres: f64| {
        let (light, t) = (wood.to_linear(), (-3.912 * metres / 10_000.0_f64).exp());
        let seen = |own: f64, air: f64| own * t + air * (1.0 - t);
        LinearSrgb {
            r: seen(light.r, air.r),
            g: seen(light.g, air.g),
            b: seen(light.b, air.b),
        }
        .encode()
    };
    // The bands stand below, left and right; the sky above them.
    let picture = |sky: Srgb8| {
        RgbImage::from_fn(200, 100, |x, y| {
            let seen = match (x, y) {
                (_, 0..20) => sky,
                (0..100, _) if (x / 5 + y / 5) % 2 == 0 => LEAF,
                (0..100, _) => behind(100.0),
                _ => behind(1500.0),
            };
            image::Rgb(seen.0)
        })
    };
    let surfaces = HILL
        .replace("[[0, 0], [0.5, 0]", "[[0, 0.2], [0.5, 0.2]")
        .replace("[[0.5, 0], [1, 0]", "[[0.5, 0.2], [1, 0.2]")
        .replace("4 km", "1.5 km");
    assert_eq!(surfaces.matches("0.2]").count(), 4);
    let off = |sky: Srgb8, photo: &str| {
        let drawn = Drawn {
            photo,
            surfaces: &surfaces,
            ..Drawn::new(picture(sky))
        };
        drawn.plan(|plan| {
            let tones = &plan.surfaces[0].tones;
            let far = &tones[plan.surfaces[0].zones[1].wanted.tones.start].wanted;
            let warned = plan.photos[0]
                .warnings
                .contains(&PhotoWarning::SkyTellsNothing);
            // By the rule `air`, whichever the scene's is.
            (delta_e00(far.by_rule[0].colour, wood.into()).0, warned)
        })
    };
    let named = "sky = [0, 0, 1, 0.18]";
    let ((without, _), (with, warned)) = (off(air.encode(), ""), off(air.encode(), named));
    assert!(with < without - 3.0 && !warned, "{without} to {with}");
    let (blown, warned) = off(Srgb8([255; 3]), named);
    assert!(
        (blown - without).abs() < 1e-9 && warned,
        "{blown} {without}"
    );
}
