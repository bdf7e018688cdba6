//! Zones of a surface: the bands of a hillside, or the surface as a whole.

use super::picked::{TenthWanted, UnitsWanted};
use super::sighted::SightedSurface;
use super::toned::{BandPlan, TonedTone, TonedZone};
use crate::colour::{DeltaE00, LabD65, Xyz};
use crate::depth::{Haze, Lies, PhotoAir, PlacedBand, SeenBand, moved_in_depth, placed, read_air};
use crate::scale_colour::{AirNote, Moved, ScaleColour, ScaleRule, SeenFrom, moved, thickness};
use crate::scene::{Band, Scene, Surface};
use crate::tones::{NotFound, Tone, Tones};
use crate::units::{Metres, Share, SquareCentimetres};
use crate::wet::{Dried, dried};

/// The zones and tones of one surface.
pub(super) struct Zoned {
    pub(super) zones: Vec<TonedZone>,
    pub(super) tones: Vec<TonedTone>,
    pub(super) haze: Option<Haze>,
    pub(super) variety: Option<UnitsWanted>,
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

/// Joined tones that are not all there, wherever the surface's tones are looked for.
pub(super) fn not_found(seen: &SightedSurface) -> Vec<NotFound> {
    let bands = seen.bands.iter();
    let mut found_in: Vec<&Tones> = bands
        .map(|own| own.as_ref().unwrap_or(&seen.tones))
        .collect();
    if found_in.is_empty() {
        found_in.push(&seen.tones);
    }
    let mut not_found = found_in[0].not_found.clone();
    not_found.retain(|of| {
        let lacks = |tones: &&Tones| tones.not_found.iter().any(|own| own.named == of.named);
        found_in.iter().all(lacks)
    });
    not_found
}

/// What counts for every tone of a surface.
struct ToneSetting {
    target_uncertainty: DeltaE00,
    wet: bool,
    /// True where the visibility of the photo's day is stated or was read from bands.
    haze_known: bool,
}

impl ToneSetting {
    fn tone(
        &self,
        tone: Tone,
        zone: usize,
        by: impl Fn(LabD65, &ScaleColour) -> Moved,
        settings: &ScaleColour,
    ) -> TonedTone {
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
        TonedTone {
            target_uncertainty: DeltaE00(self.target_uncertainty.0.hypot(doubt)),
            dried: dry,
            moved,
            by_rule: ScaleRule::ALL.map(|(_, rule)| {
                let settings = ScaleColour { rule, ..*settings };
                by(colour, &settings).0
            }),
            tone,
            zone,
            left_to_lamps: false,
        }
    }
}

/// The tones of a surface moved by the scene's rule: zone by zone where it has bands.
pub(super) fn zoned(
    scene: &Scene,
    surface: &Surface,
    seen: &SightedSurface,
    target_uncertainty: DeltaE00,
) -> Zoned {
    let part = surface.parts.first();
    let photo = part.map(|part| &scene.photos[part.photo]);
    let mut light = ToneSetting {
        target_uncertainty,
        wet: photo.is_some_and(|photo| photo.wet),
        haze_known: scene.visibility_stated,
    };
    let eye = SeenFrom {
        scale: scene.scale,
        view: scene.view,
        from: photo.and_then(|photo| photo.from),
    };
    if surface.bands.is_empty() {
        let tones: Vec<TonedTone> = seen
            .tones
            .tones
            .iter()
            .map(|tone| {
                light.tone(
                    tone.clone(),
                    0,
                    |c, s| moved(c, s, &eye),
                    &scene.scale_colour,
                )
            })
            .collect();
        let zone = TonedZone {
            band: None,
            area: surface.area,
            share: 1.0,
            tones: 0..tones.len(),
            map: match &seen.parts[..] {
                [only] => only.map.clone(),
                _ => None,
            },
        };
        return Zoned {
            variety: units_wanted(seen, &light, &eye, &scene.scale_colour),
            zones: vec![zone],
            tones,
            haze: None,
        };
    }
    in_bands(scene, surface, seen, &mut light, eye.from)
}

/// What to pick out of the units of a body, moved as the body is.
fn units_wanted(
    seen: &SightedSurface,
    light: &ToneSetting,
    eye: &SeenFrom,
    settings: &ScaleColour,
) -> Option<UnitsWanted> {
    let (variety, body) = (seen.variety.as_ref()?, seen.tones.tones.first()?);
    let wanted = |colour: &LabD65| {
        let tone = Tone {
            colour: *colour,
            ..body.clone()
        };
        let toned = light.tone(tone, 0, |c, s| moved(c, s, eye), settings);
        TenthWanted {
            photographed: *colour,
            planned: toned.moved.colour,
        }
    };
    Some(UnitsWanted {
        spread: variety.spread,
        tenths: variety.tenths.iter().map(wanted).collect(),
    })
}

fn in_bands(
    scene: &Scene,
    surface: &Surface,
    seen: &SightedSurface,
    light: &mut ToneSetting,
    from: Option<Metres>,
) -> Zoned {
    let lies: Vec<Lies> = surface.bands.iter().map(|band| lies(band, from)).collect();
    let places = placed(&lies, scene.scale, scene.view);
    let of_bands: Vec<Tones> = seen
        .bands
        .iter()
        .map(|own| own.as_ref().unwrap_or(&seen.tones).clone())
        .collect();
    let settings = &scene.scale_colour;
    let seen_bands: Vec<SeenBand> = of_bands
        .iter()
        .zip(&lies)
        .filter_map(|(tones, lies)| seen_band(tones, lies))
        .collect();
    let stated = scene.visibility_stated.then_some(settings.visibility);
    let sky = seen.parts.first().and_then(|part| part.sky);
    let photo = read_air(&seen_bands, settings.air, sky, stated);
    light.haze_known |= photo.haze.is_some();
    let (areas, shares) = areas(surface);
    let mut zones = Vec::new();
    let mut tones: Vec<TonedTone> = Vec::new();
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
        let place = BandInDepth {
            band: &surface.bands[z],
            placed: places[z],
            photo: &photo,
        };
        zones.push(TonedZone {
            band: Some(place.planned(&tones[first..], settings)),
            area: areas[z],
            share: shares[z],
            tones: first..tones.len(),
            map: seen.band_maps.get(z).cloned().flatten(),
        });
    }
    Zoned {
        variety: None,
        zones,
        tones,
        haze: photo.haze,
    }
}

/// Where a band stands: what it says, or for one without a part of the photo of its own the distance of that.
fn lies(band: &Band, from: Option<Metres>) -> Lies {
    let of_photo = if band.region.is_none() { from } else { None };
    Lies {
        model_depth: band.model_depth,
        scale: band.scale,
        from: band.from.or(of_photo),
    }
}

/// What the photo shows of a band whose distance is known.
fn seen_band(tones: &Tones, lies: &Lies) -> Option<SeenBand> {
    Some(SeenBand {
        from: lies.from?,
        tones: tones.tones.iter().map(|tone| tone.colour).collect(),
    })
}

/// A band, where it stands on the layout, and the air of its photo.
struct BandInDepth<'a> {
    band: &'a Band,
    placed: PlacedBand,
    photo: &'a PhotoAir,
}

impl BandInDepth<'_> {
    /// What is planned of it, with such tones.
    fn planned(&self, tones: &[TonedTone], settings: &ScaleColour) -> BandPlan {
        let share = |tone: &TonedTone| tone.tone.share.value();
        let air = match settings.rule {
            ScaleRule::Air => {
                1.0 - (-thickness(self.placed.distance.value(), settings.visibility)).exp()
            }
            ScaleRule::Customary | ScaleRule::None => 0.0,
        };
        BandPlan {
            name: self.band.name.clone(),
            region: self.band.region.clone(),
            land: self.band.land,
            crown: self.band.crown,
            note: (tones.first()).map_or(AirNote::Added, |tone| tone.moved.note),
            model_depth: self.band.model_depth,
            placed: self.placed,
            air,
            photo_air: self.placed.from.and_then(|from| self.photo.share_at(from)),
            photographed: mean_of(tones.iter().map(|t| (t.tone.colour, share(t)))),
            planned: mean_of(tones.iter().map(|t| (t.moved.colour, share(t)))),
        }
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
