//! `materials`: the measured outdoor materials.

use crate::cli::Problems;
use crate::cli::args::MaterialsArgs;
use crate::cli::request::{lists, paint_list};
use crate::cli::terminal::{Talk, answer, lab_text, say, swatch};
use crate::cli::watch::Watch;
use hillwash::colour::LabD65;
use hillwash::materials::{MATERIALS, Material};
use hillwash::mix::{Search, Shelf};
use serde_json::{Value, json};
use std::fmt::Write;

pub(crate) fn run(args: &MaterialsArgs, talk: Talk) -> Result<(), Problems> {
    let list = args
        .paints
        .as_deref()
        .map(|path| paint_list(path, lists(&args.list, talk)?))
        .transpose()?;
    let shelf = list.as_ref().map(Shelf::new);
    let near = shelf.as_ref().map(|shelf| reached(shelf, talk));
    let listed: Vec<(&Material, NearestMix)> = MATERIALS
        .iter()
        .enumerate()
        .map(|(at, material)| {
            let nearest = match near.as_ref().map(|near| near[at]) {
                None => NearestMix::NotAsked,
                Some(None) => NearestMix::None,
                Some(Some(off)) => NearestMix::Off(off),
            };
            (material, nearest)
        })
        .collect();
    if args.json {
        let materials: Vec<Value> = listed.iter().map(|(m, near)| entry(m, *near)).collect();
        let all = json!({ "format": "hillwash.materials/1", "materials": materials });
        return say(&answer(all));
    }
    say(materials_text(&listed, talk).trim_end())
}

/// How near the soundest mix of a list comes to a material.
#[derive(Clone, Copy)]
enum NearestMix {
    /// No list was given.
    NotAsked,
    /// Nothing on the list mixes.
    None,
    /// It is off by so much, ΔE00.
    Off(f64),
}

/// How near the soundest mix comes to each mean colour.
fn reached(shelf: &Shelf, talk: Talk) -> Vec<Option<f64>> {
    let watch = Watch::begin(None, talk);
    let search = Search {
        meter: Some(watch.meter()),
        ..Search::default()
    };
    let wanted: Vec<LabD65> = MATERIALS.iter().map(|material| material.mean).collect();
    let found = shelf.recipes_for_all(&wanted, &search);
    let nearest = found.iter().map(|recipes| recipes.first());
    nearest
        .map(|recipe| recipe.map(|recipe| recipe.difference.0))
        .collect()
}

fn materials_text(listed: &[(&Material, NearestMix)], talk: Talk) -> String {
    let mut text = String::new();
    for (material, near) in listed {
        let typical: String = material
            .typical_light()
            .map(|light| swatch(LabD65::from(light).to_srgb8(), 2))
            .concat();
        let _ = write!(
            text,
            "{} {typical}  {}  ± {:.0} {:.0} {:.0}  n {:<4}  {}",
            swatch(material.mean.to_srgb8(), 4),
            lab_text(material.mean),
            material.deviation[0],
            material.deviation[1],
            material.deviation[2],
            material.count,
            material.name,
        );
        match near {
            NearestMix::NotAsked => {}
            NearestMix::None => text.push_str("; no mix"),
            NearestMix::Off(off) => {
                let _ = write!(text, "; your paints come within {off:.0}");
            }
        }
        text.push('\n');
    }
    if talk == Talk::Usual {
        text.push_str(
            "\nMean colour with its standard deviation, five typical samples dark to light, how many were measured.\nIn daylight (D65, 2°), from the spectra in earthlib 1.1.0 (MIT). --json says who measured what, and what it cannot show.\n",
        );
    }
    text
}

fn entry(material: &Material, near: NearestMix) -> Value {
    let two = |v: f64| (v * 100.0).round() / 100.0;
    let LabD65 { l, a, b, .. } = material.mean;
    let mut entry = json!({
        "name": material.name, "measured": material.count,
        "hex": material.mean.to_srgb8().to_string(), "lab": [two(l), two(a), two(b)],
        "deviation": material.deviation.map(two),
        "lightness_10_90": material.lightness.map(two),
        "typical_hex": material.typical_light().map(|light| LabD65::from(light).to_srgb8().to_string()),
        "source": material.source(), "cannot_show": material.cannot_show,
    });
    if let NearestMix::Off(off) = near {
        entry["nearest_mix_de"] = json!(two(off));
    }
    entry
}
