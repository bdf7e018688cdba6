//! Zones of a surface: the bands of a hillside, or the surface as a whole.

use super::survey::{Settled, SurfaceSeen};
use super::{Strewn, TonePlan};
use crate::colour::{DeltaE00, LabD65, Xyz, delta_e00};
use crate::depth::{Haze, Lies, Placed, SeenBand, moved_in_depth, placed, read_air};
use crate::mix::Recipe;
use crate::region::Region;
use crate::scale_colour::{AirNote, Moved, ScaleColour, ScaleRule, Seen, moved, thickness};
use crate::scatter::{Blend, Land};
use crate::scene::{Scene, Surface};
use crate::tones::{Tone, ToneMap, Tones};
use crate::units::{Metres, Millimetres, Share, SquareCentimetres};
use crate::wet::{Dried, dried};

/// One zone.
#[derive(Debug)]
pub struct ZonePlan {
    /// The band it is; `None` where the surface has no bands.
    pub band: Option<BandPlan>,
    /// Its area on the model.
    pub area: Option<SquareCentimetres>,
    /// Its share of the surface.
    pub share: f64,
    /// Its tones, as the first and the one after the last of the surface's.
    pub tones: std::ops::Range<usize>,
    /// Where its tones are in its part of the photo; `None` without a photo, or where several show it.
    pub map: Option<ToneMap>,
    /// What is strewn there.
    pub strewn: Option<Strewn>,
}

impl ZonePlan {
    /// What is strewn there and its blend, where one was found.
    #[must_use]
    pub fn blended(&self) -> Option<(&Strewn, &Blend)> {
        let strewn = self.strewn.as_ref()?;
        Some((strewn, strewn.blend.as_ref()?))
    }
}

/// A band of a hillside.
#[derive(Debug, Clone)]
pub struct BandPlan {
    /// Its name.
    pub name: String,
    /// Where it is seen, when not where its surface is.
    pub region: Option<Region>,
    /// What it is, where its scene says.
    pub land: Option<Land>,
    /// Across the crowns of its trees or bushes, where its scene says.
    pub crown: Option<Metres>,
    /// What was done about the photo's air.
    pub note: AirNote,
    /// How far behind the front edge it lies on the model.
    pub model_depth: Option<Millimetres>,
    /// Where it stands for the eye.
    pub placed: Placed,
    /// Share of what the eye sees of it that is air, under the scene's rule.
    pub air: f64,
    /// Share of what the camera saw of it that was air; `None` where nothing is known of that.
    pub photo_air: Option<f64>,
    /// The mean of its tones as photographed.
    pub photographed: LabD65,
    /// The mean of its planned tones.
    pub planned: LabD65,
}

/// Where the farthest band meets a painted backscene.
#[derive(Debug)]
pub struct Backscene {
    /// The colour to bring up to the join: the farthest band's own planned mean.
    pub join: LabD65,
    /// Mixes for it.
    pub join_recipes: Vec<Recipe>,
    /// The colour of the sky-line, into which everything far fades: that of the air.
    pub sky_line: LabD65,
    /// Mixes for it.
    pub sky_line_recipes: Vec<Recipe>,
}

/// The zones and tones of one surface.
pub(super) struct Zoned {
    pub(super) zones: Vec<ZonePlan>,
    pub(super) tones: Vec<TonePlan>,
    pub(super) haze: Option<Haze>,
}

/// The mean of colours in linear light, by share.
pub(super) fn mean_of(colours: impl Iterator<Item = (LabD65, f64)> + Clone) -> LabD65 {
    let total: f64 = colours.clone().map(|(_, share)| share).sum();
    colours
        .fold(Xyz::default(), |sum, (colour, share)| {
            sum.blend(1.0, colour.into(), share / total)
        })
        .into()
}

/// What counts for every tone of a surface.
struct Light {
    target_uncertainty: DeltaE00,
    wet: bool,
    /// True where the visibility of the photo's day is stated or was read from bands.
    haze_known: bool,
}

impl Light {
    fn tone(
        &self,
        tone: Tone,
        zone: usize,
        by: impl Fn(LabD65, &ScaleColour) -> Moved,
        settings: &ScaleColour,
    ) -> TonePlan {
        let dry: Option<Dried> = self.wet.then(|| dried(tone.colour));
        let colour = dry.map_or(tone.colour, |dry| dry.colour);
        let doubt = dry.map_or(0.0, |dry| dry.uncertainty.0);
        let by = |colour: LabD65, settings: &ScaleColour| {
            let moved = by(colour, settings);
            if self.haze_known {
                (moved, DeltaE00(0.0))
            } else {
                moved.with_haze_left(colour)
            }
        };
        let (moved, haze) = by(colour, settings);
        let doubt = doubt.hypot(haze.0);
        TonePlan {
            target_uncertainty: DeltaE00(self.target_uncertainty.0.hypot(doubt)),
            dried: dry,
            moved,
            by_rule: ScaleRule::ALL.map(|(_, rule)| {
                let settings = ScaleColour { rule, ..*settings };
                by(colour, &settings).0
            }),
            tone,
            zone,
            pot: None,
            left_to_lamps: false,
            recipes: Vec::new(),
            under_lamp: None,
        }
    }
}

/// The tones of a surface moved by the scene's rule: zone by zone where it has bands.
pub(super) fn zoned(
    scene: &Scene,
    surface: &Surface,
    mut seen: SurfaceSeen,
    target_uncertainty: DeltaE00,
) -> Zoned {
    if let Some(settled) = seen.settled.take() {
        return as_settled(scene, surface, seen.tones, settled);
    }
    let part = surface.parts.first();
    let photo = part.map(|part| &scene.photos[part.photo]);
    let mut light = Light {
        target_uncertainty,
        wet: photo.is_some_and(|photo| photo.wet),
        haze_known: scene.visibility_stated,
    };
    let eye = Seen {
        scale: scene.scale,
        view: scene.view,
        from: photo.and_then(|photo| photo.from),
    };
    if surface.bands.is_empty() {
        let tones: Vec<TonePlan> = seen
            .tones
            .tones
            .into_iter()
            .map(|tone| light.tone(tone, 0, |c, s| moved(c, s, &eye), &scene.scale_colour))
            .collect();
        let zone = ZonePlan {
            band: None,
            area: surface.area,
            share: 1.0,
            tones: 0..tones.len(),
            map: match &seen.parts[..] {
                [only] => only.map.clone(),
                _ => None,
            },
            strewn: None,
        };
        return Zoned {
            zones: vec![zone],
            tones,
            haze: None,
        };
    }
    in_bands(scene, surface, seen, &mut light, eye.from)
}

/// The zones and tones of a received surface: its planned colours and bands are as they were received.
fn as_settled(scene: &Scene, surface: &Surface, tones: Tones, settled: Settled) -> Zoned {
    let light = Light {
        target_uncertainty: settled.target_uncertainty,
        wet: false,
        haze_known: true,
    };
    let eye = Seen {
        scale: scene.scale,
        view: scene.view,
        from: settled.from,
    };
    let count = tones.tones.len();
    let tones = tones
        .tones
        .into_iter()
        .zip(settled.planned)
        .enumerate()
        .map(|(t, (tone, planned))| {
            let zone = settled.zones.iter().position(|z| z.tones.contains(&t));
            let by = |colour, settings: &ScaleColour| moved(colour, settings, &eye);
            let mut tone = light.tone(tone, zone.unwrap_or(0), by, &scene.scale_colour);
            tone.left_to_lamps = settled.left_to_lamps.get(t) == Some(&true);
            tone.moved = Moved {
                colour: planned,
                by: delta_e00(tone.tone.colour, planned),
                ..tone.moved
            };
            tone
        })
        .collect();
    let mut zones: Vec<ZonePlan> = settled
        .zones
        .into_iter()
        .map(|zone| ZonePlan {
            band: Some(zone.band),
            area: zone.area,
            share: zone.share,
            tones: zone.tones,
            map: None,
            strewn: None,
        })
        .collect();
    if zones.is_empty() {
        zones.push(ZonePlan {
            band: None,
            area: surface.area,
            share: 1.0,
            tones: 0..count,
            map: None,
            strewn: None,
        });
    }
    Zoned {
        zones,
        tones,
        haze: None,
    }
}

fn in_bands(
    scene: &Scene,
    surface: &Surface,
    seen: SurfaceSeen,
    light: &mut Light,
    from: Option<Metres>,
) -> Zoned {
    let lies: Vec<Lies> = surface
        .bands
        .iter()
        .map(|band| Lies {
            model_depth: band.model_depth,
            scale: band.scale,
            from: band
                .from
                .or(if band.region.is_none() { from } else { None }),
        })
        .collect();
    let places = placed(&lies, scene.scale, scene.view);
    let maps = seen.band_maps;
    let of_bands: Vec<Tones> = seen
        .bands
        .into_iter()
        .map(|own| own.unwrap_or_else(|| seen.tones.clone()))
        .collect();
    let settings = &scene.scale_colour;
    let seen_bands: Vec<SeenBand> = of_bands
        .iter()
        .zip(&lies)
        .filter_map(|(tones, lies)| {
            Some(SeenBand {
                from: lies.from?,
                tones: tones.tones.iter().map(|tone| tone.colour).collect(),
            })
        })
        .collect();
    let stated = scene.visibility_stated.then_some(settings.visibility);
    let photo = read_air(&seen_bands, settings.air, stated);
    light.haze_known |= photo.haze.is_some();
    let (areas, shares) = areas(surface);
    let mut zones = Vec::new();
    let mut tones: Vec<TonePlan> = Vec::new();
    for (z, own) in of_bands.into_iter().enumerate() {
        let first = tones.len();
        let by = |colour: LabD65, settings: &ScaleColour| {
            moved_in_depth(colour, settings, &places[z], &photo).moved
        };
        for mut tone in own.tones {
            if let Ok(share) = Share::new(tone.share.value() * shares[z]) {
                tone.share = share;
            }
            let mut tone = light.tone(tone, z, by, settings);
            let colour = tone.dried.map_or(tone.tone.colour, |dry| dry.colour);
            let doubt = moved_in_depth(colour, settings, &places[z], &photo).doubt;
            tone.target_uncertainty = DeltaE00(tone.target_uncertainty.0.hypot(doubt.0));
            tones.push(tone);
        }
        let own = &tones[first..];
        let share = |tone: &TonePlan| tone.tone.share.value();
        let air = match settings.rule {
            ScaleRule::Air => {
                1.0 - (-thickness(places[z].distance.value(), settings.visibility)).exp()
            }
            ScaleRule::Customary | ScaleRule::None => 0.0,
        };
        zones.push(ZonePlan {
            band: Some(BandPlan {
                name: surface.bands[z].name.clone(),
                region: surface.bands[z].region.clone(),
                land: surface.bands[z].land,
                crown: surface.bands[z].crown,
                note: own.first().map_or(AirNote::Added, |tone| tone.moved.note),
                model_depth: surface.bands[z].model_depth,
                placed: places[z],
                air,
                photo_air: places[z].from.and_then(|from| photo.share_at(from)),
                photographed: mean_of(own.iter().map(|t| (t.tone.colour, share(t)))),
                planned: mean_of(own.iter().map(|t| (t.moved.colour, share(t)))),
            }),
            area: areas[z],
            share: shares[z],
            tones: first..tones.len(),
            map: maps.get(z).cloned().flatten(),
            strewn: None,
        });
    }
    Zoned {
        zones,
        tones,
        haze: photo.haze,
    }
}

/// Areas of the bands (what is not written is shared out from the surface's own) and their shares.
fn areas(surface: &Surface) -> (Vec<Option<SquareCentimetres>>, Vec<f64>) {
    let count = surface.bands.len();
    let known: f64 = surface
        .bands
        .iter()
        .filter_map(|b| b.area)
        .map(SquareCentimetres::value)
        .sum();
    let open = surface.bands.iter().filter(|b| b.area.is_none()).count();
    let rest = surface.area.and_then(|area| {
        #[expect(clippy::cast_precision_loss, reason = "at most five bands")]
        let each = (area.value() - known) / open.max(1) as f64;
        SquareCentimetres::new(each).ok()
    });
    let areas: Vec<Option<SquareCentimetres>> = surface
        .bands
        .iter()
        .map(|band| band.area.or(rest))
        .collect();
    let all: Option<f64> = areas.iter().map(|a| a.map(SquareCentimetres::value)).sum();
    #[expect(clippy::cast_precision_loss, reason = "at most five bands")]
    let alike = 1.0 / count as f64;
    let shares = areas
        .iter()
        .map(|area| match (area, all) {
            (Some(area), Some(all)) => area.value() / all,
            _ => alike,
        })
        .collect();
    (areas, shares)
}
