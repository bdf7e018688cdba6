//! Pots: planned tones that lie close to each other, across surfaces, are mixed once.

use super::answers::Answers;
use super::dirt;
use super::ids::{PotId, SurfaceId, ToneId};
use super::jars;
use super::mixed::{FewerPots, Member, MixedPot, MixedPots, is_straight};
use super::quantities::{ML_PER_CM2_AND_COAT, RESERVE};
use super::toned::{TonedSurface, TonedTone};
use crate::colour::{DeltaE00, LabD65, delta_e00, plain_name};
use crate::mix::Recipe;
use crate::paint::PaintList;
use crate::scene::Treatment;
use crate::tones::Role;
use crate::units::{DROP, Millilitres, SquareCentimetres};
use std::ops::{Deref, Index};

/// Tones within this much (CIEDE2000) of a pot's colour share it. Our choice: below what a mix can hold.
pub const POT_WITHIN: f64 = 2.0;
/// A tone leaves a pot that serves it less well than [`POT_WITHIN`] only for a mix nearer by this much. Our choice:
/// half of the least difference that the eye sees side by side.
const WORTH_A_POT: f64 = 0.5;

/// One mix to make, or one bottle to use as it is.
#[derive(Debug, Clone)]
pub struct Pot {
    /// Itself, as tones and steps name it.
    pub id: PotId,
    /// Number on the jar, from 1: mixes in the order in which work needs them, then bottles.
    pub number: usize,
    /// ISCC–NBS name of its colour.
    pub colour_name: &'static str,
    /// What is written on its jar: each of what is painted with it, the surface and the part, in their order.
    pub jar: Vec<String>,
    /// The wanted colour.
    pub colour: LabD65,
    /// What is painted with it; the first gave it its colour.
    pub members: Vec<Member>,
    /// What to mix; `None` when nothing on the list mixes.
    pub recipe: Option<Recipe>,
    /// How much; `None` when an area is unknown.
    pub volume: Option<Millilitres>,
}

impl Pot {
    /// True for one paint as it comes from its bottle: nothing is mixed.
    #[must_use]
    pub fn is_straight(&self) -> bool {
        is_straight(self.recipe.as_ref())
    }

    /// What it is called: "Yard wall, body", "Yard wall, body and 2 more". No two pots of a plan are called alike.
    #[must_use]
    pub fn label(&self) -> String {
        match &self.jar[..] {
            [] => String::new(),
            [one] => one.clone(),
            [first, others @ ..] => format!("{first} and {} more", others.len()),
        }
    }
}

/// The pots of a plan, in the order of their numbers; each is also found by its [`PotId`].
#[derive(Debug, Clone)]
pub struct Pots {
    in_turn: Vec<Pot>,
    /// For each id, its place above.
    turn_of: Vec<usize>,
}

impl Pots {
    /// Numbers what was mixed: mixes in the order in which work first needs them, `first_used`, and bottles after them.
    pub(super) fn numbered(mixed: MixedPots, first_used: &[PotId]) -> Self {
        let count = mixed.0.len();
        let turn = |at: PotId| first_used.iter().position(|used| *used == at);
        let mut order: Vec<(PotId, MixedPot)> = PotId::all(count).zip(mixed.0).collect();
        order.sort_by_key(|(id, pot)| (pot.is_straight(), turn(*id).unwrap_or(usize::MAX), *id));
        let mut turn_of = vec![0; count];
        let in_turn = order.into_iter().enumerate();
        let in_turn = in_turn.map(|(place, (id, pot))| {
            turn_of[id.0] = place;
            let MixedPot {
                colour_name,
                jar,
                colour,
                members,
                recipe,
                volume,
            } = pot;
            Pot {
                id,
                number: place + 1,
                colour_name,
                jar,
                colour,
                members,
                recipe,
                volume,
            }
        });
        Self {
            in_turn: in_turn.collect(),
            turn_of,
        }
    }
}

impl Deref for Pots {
    type Target = [Pot];
    fn deref(&self) -> &[Pot] {
        &self.in_turn
    }
}

impl<'a> IntoIterator for &'a Pots {
    type Item = &'a Pot;
    type IntoIter = std::slice::Iter<'a, Pot>;
    fn into_iter(self) -> Self::IntoIter {
        self.in_turn.iter()
    }
}

impl Index<PotId> for Pots {
    type Output = Pot;
    fn index(&self, at: PotId) -> &Pot {
        &self.in_turn[self.turn_of[at.0]]
    }
}

/// A pot while it is still looked for.
pub(super) struct PotInMaking {
    /// The first gave it its colour.
    first: Member,
    others: Vec<Member>,
    recipe: Option<Recipe>,
}

impl PotInMaking {
    fn members(&self) -> impl Iterator<Item = &Member> {
        std::iter::once(&self.first).chain(&self.others)
    }

    fn is_straight(&self) -> bool {
        is_straight(self.recipe.as_ref())
    }

    /// How far the pot's mix lies from what a member asks.
    fn off(&self, member: &Member) -> Option<f64> {
        let recipe = self.recipe.as_ref()?;
        Some(delta_e00(member.planned, recipe.colour).0)
    }
}

/// What is brushed on a layout.
pub(super) struct Brushed {
    /// All of it, the largest area first.
    all: Vec<Member>,
    /// For each surface, the tones that no pot is mixed for.
    pub(super) unpainted: Vec<Vec<ToneId>>,
}

impl Brushed {
    /// On a strewn surface only the ground below is brushed. Tones that a wash replaces are not brushed, nor are shadows
    /// that the lamps will cast, nor the tones of a body that is painted clean for its wash.
    pub(super) fn on(surfaces: &[TonedSurface], paints: &PaintList) -> Self {
        let mut all = Vec::new();
        let mut unpainted = Vec::new();
        for (id, surface) in SurfaceId::all(surfaces.len()).zip(surfaces) {
            let wanted = &surface.wanted;
            let area = wanted.area.map_or(1.0, SquareCentimetres::value);
            let base = dirt::clean_base(surface, surfaces, paints);
            let left_out = match base {
                Some(_) => ToneId::all(surface.tones.len()).collect(),
                None => dirt::unpainted(surface),
            };
            let is_painted = |(at, tone): &(ToneId, &TonedTone)| {
                !left_out.contains(at)
                    && !tone.left_to_lamps
                    && match wanted.treatment {
                        Treatment::Coat | Treatment::Rock | Treatment::Wash => true,
                        Treatment::Scatter => tone.tone.role == Role::Body,
                    }
            };
            let tones = ToneId::all(surface.tones.len()).zip(&surface.tones);
            all.extend(tones.filter(is_painted).map(|(at, tone)| Member {
                surface: id,
                tone: Some(at),
                planned: tone.moved.colour,
                weight: area * tone.tone.share.value(),
            }));
            all.extend(base.map(|base| Member {
                surface: id,
                tone: None,
                planned: base,
                weight: area,
            }));
            unpainted.push(left_out);
        }
        all.sort_by(|a, b| {
            b.weight
                .total_cmp(&a.weight)
                .then((a.surface, a.tone).cmp(&(b.surface, b.tone)))
        });
        Self { all, unpainted }
    }

    /// Sorted into pots, the largest area first.
    pub(super) fn in_pots(&self) -> Vec<PotInMaking> {
        let mut pots: Vec<PotInMaking> = Vec::new();
        for member in &self.all {
            let nearest = pots
                .iter_mut()
                .map(|pot| (delta_e00(pot.first.planned, member.planned).0, pot))
                .filter(|(distance, _)| *distance <= POT_WITHIN)
                .min_by(|a, b| a.0.total_cmp(&b.0));
            match nearest {
                Some((_, pot)) => pot.others.push(*member),
                None => pots.push(PotInMaking {
                    first: *member,
                    others: Vec::new(),
                    recipe: None,
                }),
            }
        }
        pots
    }
}

/// Takes out of each pot what its mix does not serve within [`POT_WITHIN`] while a mix of its own would come nearer.
fn part(pots: &mut Vec<PotInMaking>, answers: &mut Answers<'_>) {
    let mut doubtful: Vec<(usize, Member, f64)> = Vec::new();
    for (at, pot) in pots.iter().enumerate() {
        doubtful.extend(pot.others.iter().filter_map(|member| {
            let off = pot.off(member)?;
            (off > POT_WITHIN).then_some((at, *member, off))
        }));
    }
    let targets: Vec<LabD65> = doubtful.iter().map(|(_, m, _)| m.planned).collect();
    let own = answers.for_all(&targets);
    for ((at, member, off), own) in doubtful.into_iter().zip(own) {
        let Some(best) = own.into_iter().next() else {
            continue;
        };
        if best.difference.0 + WORTH_A_POT <= off {
            pots[at].others.retain(|m| *m != member);
            pots.push(PotInMaking {
                first: member,
                others: Vec::new(),
                recipe: Some(best),
            });
        }
    }
}

/// Joins pots that came out as the same mix for nearly the same colour: the list cannot distinguish them.
fn join_alike(pots: Vec<PotInMaking>) -> Vec<PotInMaking> {
    let mut kept: Vec<PotInMaking> = Vec::new();
    for pot in pots {
        let same = |other: &PotInMaking| {
            let both = other.recipe.as_ref().zip(pot.recipe.as_ref());
            both.is_some_and(|(one, two)| one.parts == two.parts)
                && pot
                    .members()
                    .all(|m| delta_e00(other.first.planned, m.planned).0 <= POT_WITHIN)
        };
        match kept.iter().position(same) {
            Some(at) => kept[at].others.extend(pot.members().copied()),
            None => kept.push(pot),
        }
    }
    kept
}

/// The colours to find mixes for first.
pub(super) fn firsts(pots: &[PotInMaking]) -> Vec<LabD65> {
    pots.iter().map(|pot| pot.first.planned).collect()
}

/// The pots with their mixes: those that one mix does not serve are parted, those that come out alike joined.
pub(super) fn gathered(mut pots: Vec<PotInMaking>, answers: &mut Answers<'_>) -> Vec<PotInMaking> {
    let targets = firsts(&pots);
    for (pot, recipes) in pots.iter_mut().zip(answers.for_all(&targets)) {
        pot.recipe = recipes.into_iter().next();
    }
    part(&mut pots, answers);
    join_alike(pots)
}

/// Gives up mixes until at most `most` are left: the one whose work another pot or bottle does at the least cost in
/// difference, weighed by area, goes first.
pub(super) fn fewer(
    pots: &mut Vec<PotInMaking>,
    most: usize,
    surfaces: &[TonedSurface],
) -> FewerPots {
    let mixes = |pots: &[PotInMaking]| {
        let mixed = |pot: &&PotInMaking| pot.recipe.is_some() && !pot.is_straight();
        pots.iter().filter(mixed).count()
    };
    let before = mixes(pots);
    let mut worst: Option<(Member, f64, f64)> = None;
    while mixes(pots) > most {
        let mut cheapest: Option<(f64, usize, usize)> = None;
        for (from, pot) in pots.iter().enumerate() {
            if pot.recipe.is_none() || pot.is_straight() {
                continue;
            }
            for (to, other) in pots.iter().enumerate().filter(|(to, _)| *to != from) {
                let cost = |m: &Member| Some(m.weight * (other.off(m)? - pot.off(m)?));
                let Some(cost) = pot.members().map(cost).sum::<Option<f64>>() else {
                    continue;
                };
                if cheapest.is_none_or(|(least, ..)| cost < least) {
                    cheapest = Some((cost, from, to));
                }
            }
        }
        let Some((_, from, to)) = cheapest else { break };
        let given_up = pots[from].members().copied().collect::<Vec<_>>();
        for member in given_up {
            let pair = pots[from].off(&member).zip(pots[to].off(&member));
            if let Some((then, now)) = pair
                && worst.as_ref().is_none_or(|(_, _, far)| now > *far)
            {
                worst = Some((member, then, now));
            }
            pots[to].others.push(member);
        }
        pots.remove(from);
    }
    FewerPots {
        asked: most,
        before,
        now: mixes(pots),
        worst: worst.map(|(member, then, now)| {
            let surface = &surfaces[member.surface];
            let tone = member
                .tone
                .map_or("clean base", |t| surface.tones[t].tone.name);
            (
                surface.wanted.name.clone(),
                tone,
                DeltaE00(then),
                DeltaE00(now),
            )
        }),
    }
}

/// Pots with how much of each it takes.
pub(super) fn measured(found: Vec<PotInMaking>, surfaces: &[TonedSurface]) -> Vec<MixedPot> {
    let parts: Vec<Vec<Option<String>>> = surfaces
        .iter()
        .map(|surface| {
            let tones: Vec<&TonedTone> = surface.tones.iter().collect();
            jars::parts(surface.zones.iter(), &tones)
        })
        .collect();
    let jar_of = |member: &Member| {
        let part = match member.tone {
            Some(t) => parts[member.surface.place()][t.place()].as_deref(),
            None => Some("base"),
        };
        jars::name(&surfaces[member.surface].wanted.name, part)
    };
    let found = found.into_iter();
    found
        .map(|pot| MixedPot {
            colour_name: plain_name(pot.first.planned),
            jar: pot.members().map(jar_of).collect(),
            colour: pot.first.planned,
            volume: pot_volume(&pot, surfaces),
            members: pot.members().copied().collect(),
            recipe: pot.recipe,
        })
        .collect()
}

/// What a pot must hold: never below one drop a part; `None` when an area is unknown.
fn pot_volume(pot: &PotInMaking, surfaces: &[TonedSurface]) -> Option<Millilitres> {
    let mut needed = 0.0;
    for member in pot.members() {
        let surface = &surfaces[member.surface];
        // The ground below scatter is painted all over, once; a body lies under its own variations.
        let (zone, share, coats) = match member.tone {
            None => (&surface.zones[0], 1.0, f64::from(surface.wanted.coats)),
            Some(t) => {
                let tone = &surface.tones[t];
                let zone = &surface.zones[tone.zone];
                match surface.wanted.treatment {
                    Treatment::Scatter => (zone, 1.0, 1.0),
                    _ if t.place() == zone.tones.start => {
                        (zone, 1.0, f64::from(surface.wanted.coats))
                    }
                    _ => (zone, tone.tone.share.value() / zone.share, 1.0),
                }
            }
        };
        needed += zone.area?.value() * share * coats * ML_PER_CM2_AND_COAT * RESERVE;
    }
    let volume = Millilitres::new(needed.max(DROP)).ok()?;
    let recipe = pot.recipe.as_ref();
    let volume = recipe.map_or(volume, |recipe| recipe.at_least_a_drop(volume));
    Some(super::measurable(volume))
}
