//! How much to mix, to strew and to buy. Rules of the trade are common practice, no source.

use crate::bench::{BRICK, Drawn, LEAF, WHOLE, stripes};
use hillwash::colour::Srgb8;
use hillwash::plan::{Purpose, StepKind};
use hillwash::units::{Grams, Millilitres};

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
