//! Pots: planned tones that lie close to each other, across surfaces, are mixed once.

use super::SurfacePlan;
use super::quantities::{ML_PER_CM2_AND_COAT, RESERVE};
use crate::colour::{DeltaE00, LabD65, delta_e00, plain_name};
use crate::mix::{Recipe, Search, Shelf};
use crate::scene::Treatment;
use crate::tones::Role;
use crate::units::{DROP, Millilitres, SquareCentimetres};

/// Tones within so much (CIEDE2000) of a pot's colour share it. Our choice: below what a mix can hold.
pub const POT_WITHIN: f64 = 2.0;
/// A tone leaves a pot that serves it less well than [`POT_WITHIN`] only for a mix nearer by so much. Our choice: half of
/// what the eye tells apart side by side.
const WORTH_A_POT: f64 = 0.5;

/// One mix to make, or one bottle to use as it is.
#[derive(Debug, Clone)]
pub struct Pot {
    /// Number on the jar, from 1: mixes in the order in which work needs them, then bottles.
    pub number: usize,
    /// ISCC–NBS name of its colour.
    pub name: &'static str,
    /// The colour asked.
    pub colour: LabD65,
    /// What is painted with it; the first gave it its colour.
    pub members: Vec<Member>,
    /// What to mix; `None` when nothing on the list mixes.
    pub recipe: Option<Recipe>,
    /// How much; `None` when an area is unknown.
    pub volume: Option<Millilitres>,
}

/// Something painted with a pot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Member {
    /// The surface, as a place in the plan.
    pub surface: usize,
    /// Its tone; `None` for the clean base under its wash.
    pub tone: Option<usize>,
    /// Its own planned colour.
    pub planned: LabD65,
    /// Area times share: how much it counts.
    weight: f64,
}

impl Pot {
    /// True for one paint as it comes from its bottle: nothing is mixed.
    #[must_use]
    pub fn is_straight(&self) -> bool {
        self.recipe
            .as_ref()
            .is_some_and(|recipe| recipe.parts.len() == 1)
    }

    fn of(member: Member, recipe: Option<Recipe>) -> Self {
        Self {
            number: 0,
            name: plain_name(member.planned),
            colour: member.planned,
            members: vec![member],
            recipe,
            volume: None,
        }
    }

    /// How far the pot's mix lies from what a member asks.
    fn off(&self, member: &Member) -> Option<f64> {
        let recipe = self.recipe.as_ref()?;
        Some(delta_e00(member.planned, recipe.colour).0)
    }
}

/// What having fewer pots costs.
#[derive(Debug, Clone, PartialEq)]
pub struct FewerPots {
    /// Mixes at most, as asked.
    pub asked: usize,
    /// Mixes before.
    pub before: usize,
    /// Mixes now.
    pub now: usize,
    /// The surface whose tone moved farthest from its own best mix, its name, and its difference before and now.
    pub worst: Option<(String, &'static str, DeltaE00, DeltaE00)>,
}

/// True when a tone is brushed on. Of a strewn surface only the ground below is; what a wash stands for is not, nor a
/// shadow that the lamps will cast.
fn is_painted(surface: &SurfacePlan, tone: usize) -> bool {
    !surface.unpainted.contains(&tone)
        && !surface.tones[tone].left_to_lamps
        && match surface.treatment {
            Treatment::Coat | Treatment::Rock | Treatment::Wash => true,
            Treatment::Scatter => surface.tones[tone].tone.role == Role::Body,
        }
}

/// Everything that is brushed on, the largest area first. `bases` holds the colour of each body that is painted clean.
fn wanted(surfaces: &[SurfacePlan], bases: &[Option<LabD65>]) -> Vec<Member> {
    let mut wanted = Vec::new();
    for (s, surface) in surfaces.iter().enumerate() {
        let area = surface.area.map_or(1.0, SquareCentimetres::value);
        let painted = surface.tones.iter().enumerate();
        wanted.extend(
            painted
                .filter(|(t, _)| is_painted(surface, *t))
                .map(|(t, tone)| Member {
                    surface: s,
                    tone: Some(t),
                    planned: tone.moved.colour,
                    weight: area * tone.tone.share.value(),
                }),
        );
        wanted.extend(bases.get(s).copied().flatten().map(|base| Member {
            surface: s,
            tone: None,
            planned: base,
            weight: area,
        }));
    }
    wanted.sort_by(|a, b| {
        b.weight
            .total_cmp(&a.weight)
            .then((a.surface, a.tone).cmp(&(b.surface, b.tone)))
    });
    wanted
}

/// Sorts what is brushed on into pots, the largest area first.
fn gather(surfaces: &[SurfacePlan], bases: &[Option<LabD65>]) -> Vec<Pot> {
    let mut pots: Vec<Pot> = Vec::new();
    for member in wanted(surfaces, bases) {
        let nearest = pots
            .iter_mut()
            .map(|pot| (delta_e00(pot.colour, member.planned).0, pot))
            .filter(|(distance, _)| *distance <= POT_WITHIN)
            .min_by(|a, b| a.0.total_cmp(&b.0));
        match nearest {
            Some((_, pot)) => pot.members.push(member),
            None => pots.push(Pot::of(member, None)),
        }
    }
    pots
}

/// Takes out of each pot what its mix does not serve within [`POT_WITHIN`] while a mix of its own would come nearer.
fn part(pots: &mut Vec<Pot>, shelf: &Shelf, search: &Search) {
    let mut doubtful: Vec<(usize, Member, f64)> = Vec::new();
    for (at, pot) in pots.iter().enumerate() {
        let others = pot.members.iter().skip(1);
        doubtful.extend(others.filter_map(|member| {
            let off = pot.off(member)?;
            (off > POT_WITHIN).then_some((at, *member, off))
        }));
    }
    let targets: Vec<LabD65> = doubtful.iter().map(|(_, m, _)| m.planned).collect();
    let own = shelf.recipes_for_all(&targets, search);
    for ((at, member, off), own) in doubtful.into_iter().zip(own) {
        let Some(best) = own.into_iter().next() else {
            continue;
        };
        if best.difference.0 + WORTH_A_POT <= off {
            pots[at].members.retain(|m| *m != member);
            pots.push(Pot::of(member, Some(best)));
        }
    }
}

/// Joins pots that came out as the same mix for nearly the same colour: the list cannot tell them apart.
fn join_alike(pots: Vec<Pot>) -> Vec<Pot> {
    let mut kept: Vec<Pot> = Vec::new();
    for pot in pots {
        let same = |other: &Pot| {
            let both = other.recipe.as_ref().zip(pot.recipe.as_ref());
            both.is_some_and(|(one, two)| one.parts == two.parts)
                && pot
                    .members
                    .iter()
                    .all(|m| delta_e00(other.colour, m.planned).0 <= POT_WITHIN)
        };
        match kept.iter().position(same) {
            Some(at) => kept[at].members.extend(pot.members),
            None => kept.push(pot),
        }
    }
    kept
}

/// Pots of a plan with their mixes; what each tone is to be painted with is told to its surface.
pub(super) fn mixed(
    surfaces: &mut [SurfacePlan],
    bases: &[Option<LabD65>],
    shelf: &Shelf,
    search: &Search,
) -> Vec<Pot> {
    let mut pots = gather(surfaces, bases);
    let targets: Vec<LabD65> = pots.iter().map(|pot| pot.colour).collect();
    for (pot, recipes) in pots.iter_mut().zip(shelf.recipes_for_all(&targets, search)) {
        pot.recipe = recipes.into_iter().next();
    }
    part(&mut pots, shelf, search);
    join_alike(pots)
}

/// Gives up mixes until at most `most` are left: the one whose work another pot or bottle does at the least cost in
/// difference, weighed by area, goes first.
pub(super) fn fewer(pots: &mut Vec<Pot>, most: usize, surfaces: &[SurfacePlan]) -> FewerPots {
    let mixes = |pots: &[Pot]| {
        let mixed = |pot: &&Pot| pot.recipe.is_some() && !pot.is_straight();
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
                let Some(cost) = pot.members.iter().map(cost).sum::<Option<f64>>() else {
                    continue;
                };
                if cheapest.is_none_or(|(least, ..)| cost < least) {
                    cheapest = Some((cost, from, to));
                }
            }
        }
        let Some((_, from, to)) = cheapest else { break };
        for member in pots[from].members.clone() {
            let pair = pots[from].off(&member).zip(pots[to].off(&member));
            if let Some((then, now)) = pair
                && worst.as_ref().is_none_or(|(_, _, far)| now > *far)
            {
                worst = Some((member, then, now));
            }
            pots[to].members.push(member);
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
            (surface.name.clone(), tone, DeltaE00(then), DeltaE00(now))
        }),
    }
}

/// Tells every surface its pots, finds the mixes that are offered for each tone, and says how much of each pot it takes.
pub(super) fn hand_out(
    pots: &mut [Pot],
    surfaces: &mut [SurfacePlan],
    shelf: &Shelf,
    search: &Search,
) {
    for (at, pot) in pots.iter().enumerate() {
        for member in &pot.members {
            let surface = &mut surfaces[member.surface];
            match member.tone {
                Some(tone) => surface.tones[tone].pot = Some(at),
                None => surface.clean_pot = Some(at),
            }
        }
    }
    let targets: Vec<LabD65> = surfaces
        .iter()
        .flat_map(|surface| &surface.tones)
        .map(|tone| tone.moved.colour)
        .collect();
    let answers = shelf.recipes_for_all(&targets, search);
    let tones = surfaces.iter_mut().flat_map(|surface| &mut surface.tones);
    for (tone, mut own) in tones.zip(answers) {
        // The mix of its pot comes first, with the difference from this tone's own planned colour.
        if let Some(recipe) = tone.pot.and_then(|pot| pots[pot].recipe.as_ref()) {
            own.retain(|other| other.parts != recipe.parts);
            own.insert(
                0,
                Recipe {
                    difference: delta_e00(tone.moved.colour, recipe.colour),
                    ..recipe.clone()
                },
            );
            own.truncate(search.answers.max(1));
        }
        tone.recipes = own;
    }
    for (at, pot) in pots.iter_mut().enumerate() {
        pot.number = at + 1;
        pot.volume = pot_volume(pot, surfaces);
    }
}

/// Puts mixes in the order in which work first needs them, `first_used`, and bottles after them; numbers them anew.
pub(super) fn put_in_order(
    pots: &mut Vec<Pot>,
    surfaces: &mut [SurfacePlan],
    first_used: &[usize],
) {
    let turn = |at: usize| first_used.iter().position(|used| *used == at);
    let mut order: Vec<usize> = (0..pots.len()).collect();
    order.sort_by_key(|at| {
        (
            pots[*at].is_straight(),
            turn(*at).unwrap_or(usize::MAX),
            *at,
        )
    });
    let mut now = vec![0; order.len()];
    for (place, at) in order.iter().enumerate() {
        now[*at] = place;
    }
    let mut old: Vec<Option<Pot>> = pots.drain(..).map(Some).collect();
    pots.extend(order.iter().filter_map(|at| old[*at].take()));
    for (place, pot) in pots.iter_mut().enumerate() {
        pot.number = place + 1;
    }
    for surface in surfaces {
        surface.clean_pot = surface.clean_pot.map(|pot| now[pot]);
        for tone in &mut surface.tones {
            tone.pot = tone.pot.map(|pot| now[pot]);
        }
        for strewn in surface.zones.iter_mut().filter_map(|z| z.strewn.as_mut()) {
            strewn.pot = strewn.pot.map(|pot| now[pot]);
        }
    }
}

/// What a pot must hold: never below one drop a part; `None` when an area is unknown.
fn pot_volume(pot: &Pot, surfaces: &[SurfacePlan]) -> Option<Millilitres> {
    let mut needed = 0.0;
    for member in &pot.members {
        let surface = &surfaces[member.surface];
        // The ground below scatter is painted all over, once; a body lies under its own variations.
        let (zone, share, coats) = match member.tone {
            None => (&surface.zones[0], 1.0, f64::from(surface.coats)),
            Some(t) => {
                let tone = &surface.tones[t];
                let zone = &surface.zones[tone.zone];
                match surface.treatment {
                    Treatment::Scatter => (zone, 1.0, 1.0),
                    _ if t == zone.tones.start => (zone, 1.0, f64::from(surface.coats)),
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
