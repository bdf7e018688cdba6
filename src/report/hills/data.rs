//! Bands and scatter as open data.

use crate::colour::LabD65;
use crate::mix::{Recipe, Shelf};
use crate::plan::{Plan, ScatterLine, SeenLow, Strewn, SurfacePlan, ZonePlan, dosed};
use crate::report::data::lab;
use crate::report::hills::patch_plan::edges;
use crate::report::hills::words::grain_word;
use crate::scatter::{Blend, CROWN_ROLES, Crowns};
use crate::share::{
    AfterPass, BacksceneEntry, CrownShadeEntry, CrownsEntry, EdgeEntry, HazeEntry, LayerEntry,
    LeftOutEntry, MissingEntry, MixedColour, ScatterEntry, ScatterLineEntry, SeenLowEntry,
    SeenShare, StrewnZone, WhereEntry,
};
use crate::share::{BandEntry, MixEntry, rounded};
use crate::tones::Third;
use crate::units::Grams;

/// The bands of a hillside, from the front edge to the backscene.
pub(in crate::report) fn bands(surface: &SurfacePlan) -> Vec<BandEntry> {
    surface
        .zones
        .iter()
        .filter_map(|zone| {
            let band = zone.wanted.band.as_ref()?;
            Some(BandEntry {
                name: band.name.clone(),
                land: band.land.map(|land| land.word().to_owned()),
                crown_m: band.crown.map(|m| rounded(m.value())),
                from_m: band.placed.from.map(|m| rounded(m.value())),
                stands_for_m: rounded(band.placed.distance.value()),
                model_depth_mm: band.model_depth.map(|d| rounded(d.value())),
                scale_n: rounded(band.placed.scale.n()),
                area_cm2: zone.wanted.area.map(|a| rounded(a.value())),
                share: rounded(zone.wanted.share),
                air: rounded(band.air),
                photo_air: band.photo_air.map(rounded),
                photographed: band.photographed.into(),
                planned: band.planned.into(),
                tones: zone.wanted.tones.clone().map(|t| t + 1).collect(),
            })
        })
        .collect()
}

/// The haze that a surface's bands show.
pub(in crate::report) fn haze(surface: &SurfacePlan) -> Option<HazeEntry> {
    surface.wanted.haze.map(|haze| HazeEntry {
        visibility_m: rounded(haze.visibility.value()),
        within_factor: rounded(haze.within),
        air: haze.air.into(),
        air_uncertainty_de: rounded(haze.air_within.0),
        between_m: [rounded(haze.near.value()), rounded(haze.far.value())],
    })
}

/// Where the tones of a zone lie, in the order of its tones; `None` without a map.
fn whereabouts(zone: &ZonePlan) -> Option<Vec<WhereEntry>> {
    let map = zone.wanted.map.as_ref()?;
    let third = |third: Option<Third>, words: [&'static str; 3]| {
        third.map(|third| words[third as usize].to_owned())
    };
    let tones = zone.wanted.tones.clone().enumerate();
    let all = tones.filter_map(|(at, tone)| {
        let place = map.whereabouts(at)?;
        Some(WhereEntry {
            tone: tone + 1,
            upright: third(place.upright, ["top", "middle", "foot"]),
            across: third(place.across, ["left", "middle", "right"]),
            in_patches: place.in_patches,
        })
    });
    Some(all.collect())
}

/// The join to a painted backscene; `None` without bands.
pub(in crate::report) fn backscene(surface: &SurfacePlan, shelf: &Shelf) -> Option<BacksceneEntry> {
    let mixed = |colour: LabD65, recipes: &[Recipe]| MixedColour {
        colour: colour.into(),
        recipes: recipes.iter().map(|r| MixEntry::new(r, shelf)).collect(),
    };
    surface.backscene.as_ref().map(|scene| BacksceneEntry {
        join: mixed(scene.join, &scene.join_recipes),
        sky_line: mixed(scene.sky_line, &scene.sky_line_recipes),
    })
}

/// The layers of one zone, in laying order.
fn layers(zone: &ZonePlan, strewn: &Strewn, plan: &Plan<'_>) -> Vec<LayerEntry> {
    let Some(blend) = &strewn.blend else {
        return Vec::new();
    };
    strewn
        .layers
        .iter()
        .zip(1..)
        .flat_map(|(layer, number)| layer.kinds.iter().map(move |kind| (layer, number, kind)))
        .map(|(layer, number, laid)| {
            let (kind, parts) = blend.parts[laid.at];
            LayerEntry {
                item: plan.kinds[kind].name.clone(),
                grain: layer.grain,
                pass: grain_word(layer.grain).to_owned(),
                pass_number: number,
                parts,
                area_share: rounded((1.0 - blend.ground_share) * blend.areas[laid.at]),
                grams: laid.grams.map(|g| dosed(g).value()),
                grams_per_dm2: rounded(laid.grams_per_dm2),
                teaspoons: laid.teaspoons.map(rounded),
                material: plan.kinds[kind].material,
                zone: name_of(zone),
            }
        })
        .collect()
}

/// The name of a zone, where there are several.
fn name_of(zone: &ZonePlan) -> Option<String> {
    zone.wanted.band.as_ref().map(|band| band.name.clone())
}

/// Its trees or bushes.
fn crowns_entry(crowns: &Crowns) -> CrownsEntry {
    CrownsEntry {
        across_m: rounded(crowns.across.value()),
        usual_size: crowns.usual,
        across_mm: rounded(crowns.across_mm),
        shades: std::iter::zip(CROWN_ROLES, crowns.shades)
            .map(|(role, shade)| CrownShadeEntry {
                colour: shade.colour.into(),
                role: role.to_owned(),
                count: shade.count,
            })
            .collect(),
    }
}

/// What it looks like from low down.
fn seen_low_entry(low: &SeenLow, blend: Option<&Blend>, plan: &Plan<'_>) -> SeenLowEntry {
    let parts = blend.map_or(&[][..], |b| &b.parts);
    SeenLowEntry {
        looks: low.colour.into(),
        ground_share: rounded(low.ground_share),
        shares: std::iter::zip(&low.shares, parts)
            .map(|(share, (kind, _))| SeenShare {
                item: plan.kinds[*kind].name.clone(),
                area_share: rounded(*share),
            })
            .collect(),
    }
}

/// Kinds that do not belong to the land of a zone.
fn left_out_entry(strewn: &Strewn, plan: &Plan<'_>) -> Option<LeftOutEntry> {
    let blend = strewn.blend.as_ref();
    strewn.freely.as_ref().map(|free| LeftOutEntry {
        kinds: (free.kinds.iter())
            .map(|at| plan.kinds[*at].name.clone())
            .collect(),
        de2000_with_them: rounded(free.difference.0),
        variety_gap_with_them: rounded(free.variety_gap.0),
        variety_gap: blend.map(|b| rounded(b.judged.variety_gap.0)),
    })
}

/// What is strewn on a zone.
fn zone_entry(zone: &ZonePlan, strewn: &Strewn, plan: &Plan<'_>) -> StrewnZone {
    let blend = strewn.blend.as_ref();
    StrewnZone {
        zone: name_of(zone),
        land: strewn.land.map(|land| land.word().to_owned()),
        land_guessed: strewn.land.map(|_| strewn.land_guessed),
        left_out: left_out_entry(strewn, plan),
        ground: strewn.ground.into(),
        ground_pot: strewn.pot.map(|pot| plan.pots[pot].number),
        ground_share: blend.map(|b| rounded(b.ground_share)),
        r#where: whereabouts(zone),
        crowns: strewn.crowns.as_ref().map(crowns_entry),
        wanted: strewn.wanted.into(),
        wanted_spread_de: rounded(strewn.wanted_spread.0),
        blend: blend.map(|b| b.judged.colour.into()),
        de2000: blend.map(|b| rounded(b.judged.difference.0)),
        spread_de: blend.map(|b| rounded(b.spread.0)),
        uncertainty_de: rounded(strewn.uncertainty.0),
        layers: layers(zone, strewn, plan),
        after_passes: (strewn.layers.iter())
            .map(|layer| AfterPass {
                pass: grain_word(layer.grain).to_owned(),
                looks: layer.after.into(),
                ground_share: rounded(layer.ground_after),
            })
            .collect(),
        from_30_degrees: (strewn.seen_low.as_ref()).map(|low| seen_low_entry(low, blend, plan)),
        glue_ml_a_pass: strewn.glue_a_pass.map(|ml| rounded(ml.value())),
        missing: strewn.missing.map(|m| MissingEntry {
            lab: lab(m.colour),
            hex: m.colour.to_srgb8().to_string(),
            grain: m.grain,
            share: rounded(m.share),
            nearest_de: rounded(m.nearest.0),
        }),
    }
}

/// What is strewn on a surface; `None` where nothing is.
pub(in crate::report) fn scatter(surface: &SurfacePlan, plan: &Plan<'_>) -> Option<ScatterEntry> {
    let strewn: Vec<(&ZonePlan, &Strewn)> = surface
        .zones
        .iter()
        .filter_map(|zone| Some((zone, zone.strewn.as_ref()?)))
        .collect();
    let (_, first) = strewn.first()?;
    Some(ScatterEntry {
        ground: first.ground.into(),
        layers: (strewn.iter())
            .flat_map(|(zone, strewn)| layers(zone, strewn, plan))
            .collect(),
        parts_by: "area seen".to_owned(),
        zones: (strewn.iter())
            .map(|(zone, strewn)| zone_entry(zone, strewn, plan))
            .collect(),
        edges: (edges(surface).iter())
            .map(|edge| EdgeEntry {
                near: edge.near.to_owned(),
                far: edge.far.to_owned(),
                over_cm: edge.over_cm,
            })
            .collect(),
    })
}

/// Scatter to have ready and to buy; `None` if that is nothing.
pub(in crate::report) fn shopping(
    lines: &[ScatterLine],
    plan: &Plan<'_>,
) -> Option<Vec<ScatterLineEntry>> {
    let grams = |g: Option<Grams>| g.map(|g| rounded(g.value()));
    let all: Vec<ScatterLineEntry> = lines
        .iter()
        .map(|line| ScatterLineEntry {
            scatter: plan.kinds[line.kind].name.clone(),
            needed_g: grams(line.needed),
            on_hand_g: grams(line.on_hand),
            to_buy_g: grams(line.to_buy),
            short_g: grams(line.to_buy),
        })
        .collect();
    (!all.is_empty()).then_some(all)
}
