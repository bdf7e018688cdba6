//! Two plans compared with each other.

use super::kept::kept_pots;
use super::pairs::pairs;
use super::{
    Comparison, MixEntry, OtherPlan, PlanFile, Relation, SettingChange, ShoppingChange,
    SurfaceCompared, SurfaceEntry, ToneCompared, ToneEntry, rounded,
};
use crate::colour::{DeltaE00, delta_e00};
use crate::mix::Closeness;
use std::collections::BTreeMap;

/// A further mix is offered when it comes nearer to the other plan's mix by at least this much. Our choice: about the
/// least difference seen side by side.
const CLEARLY_NEARER: f64 = 1.0;
/// Changes of a volume below this are not reported, millilitres: one drop.
const WORTH_TELLING_ML: f64 = 0.05;

/// Holds `ours` against `theirs`: another builder's plan, or an earlier one.
#[must_use]
pub fn compare(theirs: &PlanFile, ours: &PlanFile, relation: Relation) -> Comparison {
    let names =
        |plan: &PlanFile| -> Vec<String> { plan.surfaces.iter().map(|s| s.name.clone()).collect() };
    let (their_names, our_names) = (names(theirs), names(ours));
    Comparison {
        relation,
        with: OtherPlan {
            title: theirs.scene.title.clone(),
            date: theirs.scene.date.clone(),
            paints: theirs.scene.paints.clone(),
        },
        settings: settings(theirs, ours),
        surfaces: ours
            .surfaces
            .iter()
            .filter_map(|surface| {
                let other = theirs.surfaces.iter().find(|s| s.name == surface.name)?;
                Some(surface_compared(other, surface))
            })
            .collect(),
        only_theirs: their_names
            .iter()
            .filter(|name| !our_names.contains(name))
            .cloned()
            .collect(),
        only_ours: our_names
            .into_iter()
            .filter(|name| !their_names.contains(name))
            .collect(),
        pots: kept_pots(theirs, ours),
        shopping: shopping(theirs, ours),
    }
}

fn settings(theirs: &PlanFile, ours: &PlanFile) -> Vec<SettingChange> {
    let of = |plan: &PlanFile| {
        let scene = &plan.scene;
        [
            ("title", scene.title.clone()),
            ("scale", scene.scale.clone()),
            ("seen from", scene.view.clone()),
            ("lamps", scene.lamps.clone()),
            ("rule of scale colour", scene.scale_colour.rule.clone()),
            (
                "visibility",
                format!("{} m", scene.scale_colour.visibility_m),
            ),
            ("colour of the air", scene.scale_colour.air.hex.clone()),
            ("paint list", scene.paints.clone()),
        ]
    };
    of(theirs)
        .into_iter()
        .zip(of(ours))
        .filter(|(theirs, ours)| theirs.1 != ours.1)
        .map(|((what, theirs), (_, ours))| SettingChange {
            what: what.to_owned(),
            theirs,
            ours,
        })
        .collect()
}

fn surface_compared(theirs: &SurfaceEntry, ours: &SurfaceEntry) -> SurfaceCompared {
    let tones: Vec<ToneCompared> = pairs(&theirs.tones, &ours.tones)
        .into_iter()
        .filter_map(|(t, o)| {
            tone_compared(
                t.and_then(|t| theirs.tones.get(t)),
                o.and_then(|o| ours.tones.get(o)),
            )
        })
        .collect();
    let both: Vec<(f64, f64, f64)> = tones
        .iter()
        .filter_map(|tone| Some((tone.share, tone.mixes_de?, tone.uncertainty_de?)))
        .collect();
    let weight: f64 = both.iter().map(|(share, _, _)| share).sum();
    let mean = |of: &dyn Fn(&(f64, f64, f64)) -> f64| {
        (weight > 0.0)
            .then(|| rounded(both.iter().map(|entry| entry.0 * of(entry)).sum::<f64>() / weight))
    };
    SurfaceCompared {
        name: ours.name.clone(),
        mixes_de: mean(&|(_, apart, _)| *apart),
        worst_de: both
            .iter()
            .map(|(_, apart, _)| *apart)
            .max_by(f64::total_cmp),
        uncertainty_de: mean(&|(_, _, off)| *off),
        washes_de: theirs.wash.as_ref().zip(ours.wash.as_ref()).map(|(t, o)| {
            [(&t.flat, &o.flat), (&t.recess, &o.recess)]
                .map(|(t, o)| rounded(delta_e00(t.colour(), o.colour()).0))
        }),
        tones,
    }
}

fn tone_compared(theirs: Option<&ToneEntry>, ours: Option<&ToneEntry>) -> Option<ToneCompared> {
    let one = ours.or(theirs)?;
    let planned_theirs = theirs.and_then(|tone| tone.planned.clone());
    let planned_ours = ours.and_then(|tone| tone.planned.clone());
    let mixes = |tone: Option<&ToneEntry>| -> Vec<MixEntry> {
        tone.and_then(|tone| tone.recipes.clone())
            .unwrap_or_default()
    };
    let (their_mixes, our_mixes) = (mixes(theirs), mixes(ours));
    let mix_theirs = their_mixes.into_iter().next();
    let mix_ours = our_mixes.first().cloned();
    let apart = |mix: &MixEntry, other: &MixEntry| delta_e00(mix.colour(), other.colour()).0;
    let both = mix_theirs.as_ref().zip(mix_ours.as_ref());
    let mixes_de = both.map(|(theirs, ours)| apart(theirs, ours));
    let nearer = mix_theirs
        .as_ref()
        .zip(mixes_de)
        .and_then(|(theirs, first)| {
            our_mixes
                .iter()
                .skip(1)
                .map(|mix| (apart(theirs, mix), mix))
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .filter(|(distance, _)| distance + CLEARLY_NEARER <= first)
        });
    Some(ToneCompared {
        name: one.name.clone(),
        share: one.share,
        planned_de: planned_theirs
            .as_ref()
            .zip(planned_ours.as_ref())
            .map(|(t, o)| rounded(delta_e00(t.colour(), o.colour()).0)),
        // The errors of two builders' pots have nothing to do with each other: they add as squares.
        uncertainty_de: both.map(|(t, o)| rounded(f64::hypot(t.uncertainty_de, o.uncertainty_de))),
        mixes_de: mixes_de.map(rounded),
        nearer_de: nearer.map(|(distance, _)| rounded(distance)),
        nearer: nearer.map(|(_, mix)| mix.clone()),
        planned_theirs,
        planned_ours,
        mix_theirs,
        mix_ours,
    })
}

fn shopping(theirs: &PlanFile, ours: &PlanFile) -> Vec<ShoppingChange> {
    let of = |plan: &PlanFile| -> BTreeMap<String, Option<f64>> {
        plan.shopping
            .iter()
            .map(|line| (line.paint.clone(), line.needed_ml))
            .collect()
    };
    let (theirs, ours) = (of(theirs), of(ours));
    theirs
        .keys()
        .chain(ours.keys().filter(|paint| !theirs.contains_key(*paint)))
        .map(|paint| ShoppingChange {
            paint: paint.clone(),
            theirs_ml: theirs.get(paint).copied().flatten(),
            ours_ml: ours.get(paint).copied().flatten(),
        })
        .filter(|change| {
            let in_both = theirs.contains_key(&change.paint) && ours.contains_key(&change.paint);
            let moved = change
                .theirs_ml
                .zip(change.ours_ml)
                .is_some_and(|(t, o)| (t - o).abs() >= WORTH_TELLING_ML);
            !in_both || moved
        })
        .collect()
}

/// How close the two plans' mixes for a surface should be to each other, in words; `None` when it has no two mixes.
#[must_use]
pub fn surface_words(surface: &SurfaceCompared) -> Option<String> {
    let (mean, worst, off) = (
        surface.mixes_de?,
        surface.worst_de?,
        surface.uncertainty_de?,
    );
    let words = Closeness::of_difference(DeltaE00(mean)).words();
    let washes = surface
        .washes_de
        .map_or_else(String::new, |[flat, recess]| {
            format!("; the two washes {flat:.1} on flats, {recess:.1} in recesses")
        });
    Some(format!(
        "{words}: the two mixes lie ΔE00 {mean:.1} apart by area, {worst:.1} at worst; real pots ± {off:.0}{washes}"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::LabD65;

    fn tone(l: f64, share: f64, mixes: &[(f64, f64)]) -> ToneEntry {
        let colour = |l: f64| crate::share::ColourEntry::from(LabD65 { l, a: 4.0, b: 8.0 });
        ToneEntry {
            lab: colour(l).lab,
            hex: String::new(),
            share,
            spread_de: 2.0,
            spread_90_de: 3.0,
            keep: String::new(),
            shade_of: None,
            left_to_lamps: false,
            thin: false,
            made_of: Vec::new(),
            name: "greyish brown".to_owned(),
            role: "body".to_owned(),
            target_uncertainty_de: 5.0,
            planned: Some(colour(l)),
            moved_de: None,
            pot: None,
            recipes: Some(
                mixes
                    .iter()
                    .map(|(l, uncertainty)| MixEntry {
                        paints: Vec::new(),
                        lab: colour(*l).lab,
                        hex: String::new(),
                        de2000: 1.0,
                        uncertainty_de: *uncertainty,
                        expected_de: None,
                    })
                    .collect(),
            ),
            more: crate::share::ToneMore::default().into(),
        }
    }

    #[test]
    fn tones_are_paired_by_colour_whatever_their_order() {
        let theirs = [tone(30.0, 0.6, &[]), tone(60.0, 0.4, &[])];
        let ours = [
            tone(61.0, 0.7, &[]),
            tone(31.0, 0.2, &[]),
            tone(95.0, 0.1, &[]),
        ];
        assert_eq!(
            pairs(&theirs, &ours),
            vec![(Some(1), Some(0)), (Some(0), Some(1)), (None, Some(2))]
        );
    }

    #[test]
    fn errors_of_two_pots_add_as_squares_and_a_nearer_mix_is_told() {
        let theirs = tone(50.0, 1.0, &[(50.0, 3.0)]);
        let ours = tone(50.0, 1.0, &[(55.0, 4.0), (51.0, 4.0)]);
        let compared = tone_compared(Some(&theirs), Some(&ours)).unwrap();
        assert!((compared.uncertainty_de.unwrap() - 5.0).abs() < 1e-9);
        assert!(compared.mixes_de.unwrap() > 3.0);
        assert!(compared.nearer_de.unwrap() < 1.5);
        assert_eq!(compared.planned_de, Some(0.0));
    }
}
