//! The scatter of each zone: the blend, its ground, its passes, its glue.

use super::ids::PotId;
use super::mixed::{Kit, MixedPots, MixedSurface, TonePlan};
use super::notes::PlanNote;
use super::toned::SurfaceWanted;
use super::toned::TonedZone;
use super::{SurfacePlan, ZonePlan};
use crate::colour::{DeltaE00, LabD65};
use crate::mix::Search;
use crate::paint::{ScatterList, ScatterMaterial};
use crate::scatter::{
    Blend, CoverFrom, Crowns, Land, LayOrder, Layer, Missing, SIDE_BY_SIDE_ERROR, ScatterKind,
    WantedZone, crowns, laying_order, missing, seen_from,
};
use crate::scene::Treatment;
use crate::units::{Grams, Millilitres, ScaleRatio};

/// Glue for one pass, millilitres a square centimetre: 2 ml a square decimetre. Common practice, no source.
pub const GLUE_ML_PER_CM2: f64 = 0.02;
/// What a screen colour of a scatter list may be off. Our choice, as for paints.
const LIST_ERROR: f64 = 4.0;
/// What is strewn beyond need: some falls off, some is vacuumed off. Common practice, no source.
const RESERVE: f64 = 1.3;

/// What is strewn in one zone.
#[derive(Debug)]
pub struct Strewn {
    /// What the zone is; `None` if neither scene nor names say.
    pub land: Option<Land>,
    /// Whether that was guessed from its names.
    pub land_guessed: bool,
    /// Its trees or bushes, if it is a wood or its scene gives their crowns.
    pub crowns: Option<Crowns>,
    /// The blend of any kinds, where the right kinds cost something against it.
    pub freely: Option<Freely>,
    /// The painted ground: the pot's predicted colour.
    pub ground: LabD65,
    /// Its pot.
    pub pot: Option<PotId>,
    /// The mean wanted.
    pub wanted: LabD65,
    /// How varied the zone is in the photo.
    pub wanted_spread: DeltaE00,
    /// The blend; `None` without a scatter list.
    pub blend: Option<Blend>,
    /// Its passes in laying order.
    pub layers: Vec<Layer>,
    /// What it looks like from 30° above the horizon, where grains hide more of the ground; `None` without a blend.
    pub seen_low: Option<SeenLow>,
    /// The kind that the list lacks.
    pub missing: Option<Missing>,
    /// Two in three laid patches should fall within this much of the blend's colour.
    pub uncertainty: DeltaE00,
    /// Glue for one pass.
    pub glue_a_pass: Option<Millilitres>,
}

/// What the nearest blend of whatever has the colour would be, where kinds were left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Freely {
    /// The kinds of it that are not what the zone is made of, as places in the plan's kinds.
    pub kinds: Vec<usize>,
    /// Its difference from the mean wanted.
    pub difference: DeltaE00,
    /// Its gap in variety.
    pub variety_gap: DeltaE00,
}

/// A laid blend as seen from low down.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenLow {
    /// The mean colour.
    pub colour: LabD65,
    /// Share of each kind, in the order of the blend's parts.
    pub shares: Vec<f64>,
    /// Share of the ground.
    pub ground_share: f64,
}

/// So high above the horizon a layout is often looked at, degrees. Our choice.
pub const LOW: f64 = 30.0;

/// One kind to have ready.
#[derive(Debug, Clone, PartialEq)]
pub struct ScatterLine {
    /// The kind, as a place in the plan's kinds.
    pub kind: usize,
    /// What the blends take of it; `None` when an area is unknown.
    pub needed: Option<Grams>,
    /// What is on the shelf; `None` when the list does not say.
    pub on_hand: Option<Grams>,
    /// What to buy; `None` if it is unknown.
    pub to_buy: Option<Grams>,
    /// Where its cover is from.
    pub cover_from: CoverFrom,
}

/// The kinds of a list, made ready.
pub(super) fn kinds(list: Option<&ScatterList>) -> Vec<ScatterKind> {
    list.map_or_else(Vec::new, |list| {
        list.items()
            .iter()
            .enumerate()
            .map(|(i, item)| ScatterKind::new(i, item))
            .collect()
    })
}

/// What zones are strewn from, over which pots, and how their blends are searched for.
#[derive(Clone, Copy)]
pub(super) struct StrewnFrom<'a> {
    pub(super) kinds: &'a [ScatterKind],
    pub(super) pots: &'a MixedPots,
    pub(super) scale: ScaleRatio,
    pub(super) kit: &'a Kit<'a>,
    pub(super) search: &'a Search,
}

/// The zones of a surface, each with its blend where it is strewn.
pub(super) fn strewn(surface: &MixedSurface, from: StrewnFrom<'_>) -> Vec<ZonePlan> {
    let wanted = &surface.wanted;
    let is_strewn = wanted.treatment == Treatment::Scatter;
    let zones = surface.zones.iter();
    zones
        .map(|zone| ZonePlan {
            strewn: is_strewn.then(|| {
                let own = &surface.tones[zone.tones.clone()];
                let right = right_kinds(zone, wanted, from.kinds);
                let crowns = crowns_of(own, zone, wanted, from.scale, &right);
                Strewn {
                    crowns,
                    ..in_zone(own, zone, &right, from, wanted.wish.order)
                }
            }),
            wanted: zone.clone(),
        })
        .collect()
}

/// The trees of a wood, and of any zone whose scene says how wide its crowns are.
fn crowns_of(
    tones: &[TonePlan],
    zone: &TonedZone,
    wanted: &SurfaceWanted,
    scale: ScaleRatio,
    right: &Right<'_>,
) -> Option<Crowns> {
    let band = zone.band.as_ref();
    let crown = band.and_then(|band| band.crown).or(wanted.wish.crown);
    if crown.is_none() && right.land != Some(Land::Wood) {
        return None;
    }
    let tones: Vec<(LabD65, f64)> = tones
        .iter()
        .map(|tone| (tone.wanted.moved.colour, tone.wanted.tone.share.value()))
        .collect();
    let scale = band.map_or(scale, |band| band.placed.scale);
    crowns(&tones, zone.area?, scale, crown)
}

/// The kinds that a zone may be made of.
struct Right<'a> {
    all: &'a [ScatterKind],
    /// Places in `all`.
    own: Vec<usize>,
    land: Option<Land>,
    guessed: bool,
}

/// Its band decides what a zone is, or else its surface, or else their names; without any of these all kinds do, and
/// so they do where the list has none that fits.
fn right_kinds<'a>(zone: &TonedZone, wanted: &SurfaceWanted, all: &'a [ScatterKind]) -> Right<'a> {
    let told = zone
        .band
        .as_ref()
        .and_then(|band| band.land)
        .or(wanted.wish.land);
    let names = zone.band.iter().map(|band| band.name.as_str());
    let land = told.or_else(|| Land::guessed(names.chain([wanted.name.as_str()])));
    let own = land.map_or_else(
        || (0..all.len()).collect(),
        |land| land.kinds(all, &wanted.wish.allow),
    );
    Right {
        all,
        own: if own.is_empty() {
            (0..all.len()).collect()
        } else {
            own
        },
        land,
        guessed: told.is_none() && land.is_some(),
    }
}

impl Right<'_> {
    fn kinds(&self) -> Vec<ScatterKind> {
        self.own.iter().map(|at| self.all[*at].clone()).collect()
    }

    /// The best blend of the right kinds, and the best of any kinds if that is nearer.
    fn blend(
        &self,
        wanted: &WantedZone,
        kit: &Kit<'_>,
        search: &Search,
    ) -> (Option<Blend>, Option<Freely>) {
        let mut blend = kit.blend(self.all, &self.own, wanted, search);
        for (kind, _) in blend.iter_mut().flat_map(|blend| &mut blend.parts) {
            *kind = self.own[*kind];
        }
        if self.own.len() == self.all.len() {
            return (blend, None);
        }
        let all: Vec<usize> = (0..self.all.len()).collect();
        let freely = kit
            .blend(self.all, &all, wanted, search)
            .filter(|free| {
                let rank = |b: &Blend| b.judged.rank;
                blend
                    .as_ref()
                    .is_none_or(|own| rank(free) < rank(own) - 0.05)
            })
            .map(|free| Freely {
                kinds: free
                    .parts
                    .iter()
                    .map(|(kind, _)| *kind)
                    .filter(|kind| !self.own.contains(kind))
                    .collect(),
                difference: free.judged.difference,
                variety_gap: free.judged.variety_gap,
            });
        (blend, freely)
    }
}

fn in_zone(
    tones: &[TonePlan],
    zone: &TonedZone,
    right: &Right<'_>,
    from: StrewnFrom<'_>,
    order: LayOrder,
) -> Strewn {
    let kinds = right.all;
    let total: f64 = tones.iter().map(|t| t.wanted.tone.share.value()).sum();
    let pot = tones.iter().find_map(|t| t.pot);
    let ground = pot
        .and_then(|pot| from.pots[pot].recipe.as_ref())
        .map(|recipe| recipe.colour)
        .or_else(|| tones.first().map(|t| t.wanted.moved.colour))
        .unwrap_or(LabD65::new(0.0, 0.0, 0.0));
    let wanted = WantedZone {
        tones: tones
            .iter()
            .map(|t| (t.wanted.moved.colour, t.wanted.tone.share.value() / total))
            .collect(),
        ground,
    };
    let (blend, freely) = right.blend(&wanted, from.kit, from.search);
    let layers = blend.as_ref().map_or_else(Vec::new, |blend| {
        laying_order(blend, kinds, ground, order, zone.area)
    });
    let seen_low = blend.as_ref().map(|blend| {
        let (colour, shares, ground_share) = seen_from(blend, kinds, &layers, ground, LOW);
        SeenLow {
            colour,
            shares,
            ground_share,
        }
    });
    Strewn {
        land: right.land,
        land_guessed: right.guessed,
        freely,
        crowns: None,
        ground,
        pot,
        wanted: wanted.mean(),
        wanted_spread: wanted.spread(),
        layers,
        seen_low,
        missing: if kinds.is_empty() {
            None
        } else {
            missing(&right.kinds(), &wanted)
        },
        blend,
        uncertainty: DeltaE00(LIST_ERROR.hypot(SIDE_BY_SIDE_ERROR)),
        glue_a_pass: zone.area.and_then(|area| {
            Millilitres::new(area.value() * GLUE_ML_PER_CM2)
                .ok()
                .map(super::measurable)
        }),
    }
}

/// What the program took the kinds of scatter for, if the list does not say.
pub(super) fn guessed_materials(
    surfaces: &[SurfacePlan],
    kinds: &[ScatterKind],
) -> Option<PlanNote> {
    let used = |at: usize| {
        surfaces
            .iter()
            .flat_map(|surface| &surface.zones)
            .filter_map(|zone| zone.strewn.as_ref())
            .any(|strewn| {
                let blend = strewn.blend.iter().flat_map(|blend| &blend.parts);
                let free = strewn.freely.iter().flat_map(|free| &free.kinds);
                blend
                    .map(|(kind, _)| *kind)
                    .chain(free.copied())
                    .any(|kind| kind == at)
            })
    };
    let guessed: Vec<(String, Option<ScatterMaterial>)> = kinds
        .iter()
        .enumerate()
        .filter(|(at, kind)| kind.material_guessed && used(*at))
        .map(|(_, kind)| (kind.name.clone(), kind.material))
        .collect();
    (!guessed.is_empty()).then_some(PlanNote::MaterialsGuessed { kinds: guessed })
}

/// A mass for people to weigh out: rounded up to half a gram.
#[must_use]
pub fn weighable(mass: Grams) -> Grams {
    Grams::new((mass.value() * 2.0 - 1e-9).ceil() / 2.0).unwrap_or(mass)
}

/// A mass to strew: to the nearest tenth of a gram below 20 g, half a gram above.
#[must_use]
pub fn dosed(mass: Grams) -> Grams {
    let step = if mass.value() < 20.0 { 10.0 } else { 2.0 };
    Grams::new((mass.value() * step).round().max(1.0) / step).unwrap_or(mass)
}

/// Adds up the kinds of all blends, in list order, with 30 % over.
pub(super) fn shopping(surfaces: &[SurfacePlan], kinds: &[ScatterKind]) -> Vec<ScatterLine> {
    let mut lines = Vec::new();
    for (at, kind) in kinds.iter().enumerate() {
        let uses: Vec<Option<Grams>> = surfaces
            .iter()
            .flat_map(|surface| &surface.zones)
            .filter_map(|zone| zone.strewn.as_ref())
            .flat_map(|strewn| {
                let parts = strewn.blend.as_ref().map(|blend| &blend.parts);
                strewn
                    .layers
                    .iter()
                    .flat_map(|layer| &layer.kinds)
                    .filter_map(move |laid| (parts?[laid.at].0 == at).then_some(laid.grams))
            })
            .collect();
        if uses.is_empty() {
            continue;
        }
        let needed = uses
            .into_iter()
            .map(|grams| grams.map(Grams::value))
            .sum::<Option<f64>>()
            .and_then(|grams| Grams::new(RESERVE * grams).ok())
            .map(weighable);
        let to_buy = needed.zip(kind.on_hand).and_then(|(needed, on_hand)| {
            Grams::new((needed.value() - on_hand.value()).max(0.0))
                .ok()
                .map(weighable)
        });
        lines.push(ScatterLine {
            kind: at,
            needed,
            on_hand: kind.on_hand,
            to_buy,
            cover_from: kind.cover_from,
        });
    }
    lines
}
