//! How much to mix, to strew and to buy. Rules of the trade are common practice, no source.

use crate::bench::{BRICK, Drawn, LEAF, WHOLE, stripes};
use hillwash::colour::Srgb8;
use hillwash::plan::{Purpose, StepKind, WashBlend, measurable};
use hillwash::scene::Technique;
use hillwash::units::{Grams, Millilitres};
use hillwash::wash::{LaidFilm, LaidFilms};

#[test]
fn pots_to_buy_are_never_too_few() {
    // 100 ml a square metre and coat, 30 % over: 1800 cm2 once take 23.4 ml, which one pot of 20 ml does not hold.
    let area = WHOLE.replace("100 cm2", "1800 cm2\"\ncoats = 1\n#\"");
    let drawn = Drawn {
        surfaces: &area,
        ..Drawn::new(stripes(&[(BRICK, 60)]))
    };
    drawn.plan(|plan| {
        let line = plan
            .shopping
            .iter()
            .find(|line| line.paint == "brick" && line.purpose == Purpose::Paint)
            .unwrap();
        let needed = line.needed.map(Millilitres::value);
        assert!(
            needed.is_some_and(|ml| (23.4 - 1e-9..23.6).contains(&ml)),
            "{line:?}"
        );
        assert_eq!(line.to_buy, Some(2));
        assert!(line.price.is_some_and(|price| (price - 4.80).abs() < 1e-9));
    });
}

const MEADOW: &str = "[[surface]]\nname = \"Meadow\"\nphoto = \"drawn\"\ntreatment = \"scatter\"\n\
    region = [[0, 0], [1, 0], [1, 1], [0, 1]]\narea = \"20 dm2\"\n";

fn meadow() -> Drawn<'static> {
    let colours = [(LEAF, 60), (Srgb8([0x7d, 0x7a, 0x45]), 60)];
    Drawn {
        surfaces: MEADOW,
        ..Drawn::new(stripes(&colours))
    }
}

#[test]
fn a_pass_of_glue_is_two_millilitres_a_square_decimetre() {
    meadow().plan(|plan| {
        let passes: Vec<Option<f64>> = plan.surfaces[0]
            .steps
            .iter()
            .filter_map(|step| match &step.kind {
                StepKind::Strew { glue, .. } => Some(glue.map(Millilitres::value)),
                _ => None,
            })
            .collect();
        assert!(!passes.is_empty());
        for glue in passes {
            assert!(glue.is_some_and(|ml| (ml - 40.0).abs() < 1e-9), "{glue:?}");
        }
    });
}

#[test]
fn scatter_to_have_ready_is_a_third_more_than_what_is_laid() {
    meadow().plan(|plan| {
        let strewn = plan.surfaces[0].zones[0].strewn.as_ref().unwrap();
        let blend = strewn.blend.as_ref().unwrap();
        assert!(!plan.scatter_shopping.is_empty());
        for line in &plan.scatter_shopping {
            let laid: f64 = strewn
                .layers
                .iter()
                .flat_map(|layer| &layer.kinds)
                .filter(|laid| blend.parts[laid.at].0 == line.kind)
                .map(|laid| laid.grams.unwrap().value())
                .sum();
            let needed = line.needed.map(Grams::value).unwrap();
            // told in half grams, never less
            assert!(
                needed >= 1.3 * laid - 1e-9 && needed < 1.3 * laid + 0.5,
                "{needed} of {laid}"
            );
            let short = (needed - line.on_hand.unwrap().value()).max(0.0);
            assert!(
                (line.to_buy.unwrap().value() - short).abs() < 0.5,
                "{line:?}"
            );
        }
        // By hand: what is laid over 20 dm2 covers them with its kinds' grams a square decimetre, one tenth of bare ground
        // and no more than three layers.
        let all: f64 = strewn
            .layers
            .iter()
            .flat_map(|layer| &layer.kinds)
            .map(|laid| laid.grams.unwrap().value())
            .sum();
        assert!((20.0 * 3.0..20.0 * 6.0 * 3.0).contains(&all), "{all} g");
    });
}

#[test]
fn a_volume_to_measure_out_is_a_tenth_of_a_millilitre_and_never_too_little() {
    for (needed, told) in [(2.0, 2.0), (2.3, 2.3), (2.01, 2.1), (2.39, 2.4)] {
        let is = measurable(Millilitres::new(needed).unwrap()).value();
        assert!((is - told).abs() < 1e-9, "{needed}: {is}, by hand {told}");
    }
}

#[test]
fn a_wash_is_mixed_for_its_area_and_its_passes_and_of_each_paint_as_much_as_its_parts() {
    let mut stirred = 0;
    for (flat, recess) in [
        ("#8a523e", "#4a3228"),
        ("#8c6b45", "#5e4526"),
        ("#7f6a4c", "#48432c"),
    ] {
        let surfaces = WHOLE.replace("100 cm2", "20 dm2")
            + &format!("[surface.wash]\nflat = \"{flat}\"\nrecess = \"{recess}\"\n");
        let drawn = Drawn {
            surfaces: &surfaces,
            ..Drawn::new(stripes(&[(BRICK, 60)]))
        };
        stirred += drawn.plan(|plan| {
            let washes = &plan.surfaces[0].dirt.wash.as_ref().unwrap().washes;
            washes.iter().map(checked_by_hand).sum::<usize>()
        });
    }
    assert!(stirred > 0, "one of them is stirred from unequal parts");
}

/// Holds what a wash over 20 dm2 takes against what it comes to by hand; 1 where its parts are unequal.
fn checked_by_hand(wash: &WashBlend) -> usize {
    let amounts = wash.amounts.as_ref().unwrap();
    // Common practice, no source: a pass takes half a brushed coat, 50 ml a square metre, and 30 % is kept over.
    // 20 dm2 are 0.2 square metres.
    let needed = 50.0 * 0.2 * f64::from(wash.recipe.passes) * 1.3;
    let batch = amounts.batch.value();
    // A pin wash goes into recesses alone.
    if wash.technique == Technique::PinWash {
        assert!(batch < needed, "{batch}");
    } else {
        assert!((needed - 1e-9..needed + 0.1).contains(&batch), "{batch}");
    }
    // 1 part of paint to so many of thinner; told in hundredths.
    let paint = batch / f64::from(1 + wash.recipe.thin);
    let thinner = amounts.thinner.value();
    assert!((thinner - (batch - paint)).abs() < 0.006, "{thinner}");
    let parts: Vec<u32> = wash.recipe.parts.iter().map(|(_, parts)| *parts).collect();
    assert_eq!(amounts.paints.len(), parts.len());
    for (own, part) in amounts.paints.iter().zip(&parts) {
        let by_hand = paint * f64::from(*part) / f64::from(parts.iter().sum::<u32>());
        assert!((own.value() - by_hand).abs() < 0.006, "{own:?} {by_hand}");
    }
    usize::from(parts.iter().any(|part| *part != parts[0]))
}

#[test]
fn the_dark_wash_of_a_rock_is_thinned_more_for_who_lays_washes_thick() {
    let rock = WHOLE.replace("area", "treatment = \"rock\"\ntones = 3\narea");
    let grey = |v: u8| Srgb8([v, v - 4, v - 12]);
    let strength = |film: f64| {
        let drawn = Drawn {
            surfaces: &rock,
            films: LaidFilms::all(LaidFilm::stated(film)),
            ..Drawn::new(stripes(&[
                (grey(0x9a), 60),
                (grey(0xc8), 25),
                (grey(0x48), 15),
            ]))
        };
        drawn.plan(|plan| {
            let rock = plan.surfaces[0].dirt.rock.as_ref().unwrap();
            rock.wash.as_ref().unwrap().washes[0].recipe.strength()
        })
    };
    // Four times the film carries four times the paint.
    let (thin, thick) = (strength(0.25), strength(1.0));
    assert!(thin > 2.0 * thick, "{thin} of paint to {thick}");
}
