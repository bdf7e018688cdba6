//! Order of work, and what cannot be reached.

use crate::bench::{Drawn, WHOLE, stripes};
use hillwash::colour::Srgb8;
use hillwash::plan::{PlanNote, StepKind};
use hillwash::tones::Role;

#[test]
fn shade_is_laid_before_light() {
    // Common practice, no source: from dark to light, so that a light tone lies on top of what it stands out from.
    let colours = [
        (Srgb8([0x9a, 0x97, 0x8c]), 60),
        (Srgb8([0xd2, 0xcf, 0xc4]), 22),
        (Srgb8([0x55, 0x53, 0x4e]), 18),
    ];
    let kept = WHOLE.replace("area", "shade = \"keep\"\ntones = 3\narea");
    let drawn = Drawn {
        surfaces: &kept,
        ..Drawn::new(stripes(&colours))
    };
    let order = drawn.plan(|plan| {
        let steps = plan.surfaces[0].steps.iter();
        steps
            .filter_map(|step| match step.kind {
                StepKind::Body { .. } => Some(Role::Body),
                StepKind::Tone { role, .. } => Some(role),
                _ => None,
            })
            .collect::<Vec<_>>()
    });
    assert_eq!(order, [Role::Body, Role::Shade, Role::Light]);
}

#[test]
fn a_colour_that_the_list_cannot_mix_is_told() {
    let out = |colour: Srgb8| {
        Drawn::new(stripes(&[(colour, 60)])).plan(|plan| {
            let told = plan.notes.iter().filter_map(|note| match note {
                PlanNote::OutOfReach {
                    surface,
                    difference,
                    ..
                } => Some((surface.clone(), difference.0)),
                _ => None,
            });
            told.collect::<Vec<_>>()
        })
    };
    assert_eq!(out(crate::bench::BRICK), [], "brick is on the list");
    let ultramarine = out(Srgb8([0x20, 0x38, 0xa8]));
    assert_eq!(ultramarine.len(), 1, "{ultramarine:?}");
    assert_eq!(ultramarine[0].0, "Wall");
    assert!(ultramarine[0].1 > 10.0, "{ultramarine:?}");
}
