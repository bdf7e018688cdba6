//! Words for washes, rock schemes and places: made once for page, data, table and terminal. Techniques of the trade
//! are common practice, no source.

use crate::mix::stirred;
use crate::paint::MixingFamily;
use crate::plan::{BaseFrom, DirtNote, DirtStep, PotId, ThinnedMix, WashBlend, WashPlan};
use crate::report::hand::listed;
use crate::report::words::{about, capitalised};
use crate::rock::RockRole;
use crate::scene::Technique;
use crate::wash::{LIGHT_IN_RECESSES, MOST_DARKER, ShadeTaken};

/// A technique in the trade's own words.
#[must_use]
pub fn technique_words(technique: Technique) -> &'static str {
    match technique {
        Technique::Wash => "overall wash",
        Technique::PinWash => "pin wash",
        Technique::Filter => "filter",
        Technique::DryBrush => "dry-brush",
        Technique::Stipple => "stipple",
        Technique::Streak => "streak",
        Technique::Powder => "powder",
    }
}

/// "2 raw umber + 1 ivory black".
#[must_use]
pub(in crate::report) fn parts_words(blend: &ThinnedMix) -> String {
    stirred(blend.parts.iter().map(|(name, parts)| (parts, name)))
}

/// "2 raw umber + 1 ivory black, 1 part of that to 8 water, 2 passes".
#[must_use]
pub fn blend_words(blend: &ThinnedMix) -> String {
    let parts = parts_words(blend);
    let Some(thinned) = &blend.thinned else {
        return parts;
    };
    let it = if blend.parts.len() > 1 { "that" } else { "it" };
    let thinner = &thinned.thinner;
    let passes = match thinned.passes {
        1 => "1 pass".to_owned(),
        passes => format!("{passes} passes"),
    };
    match thinned.stock {
        None => format!(
            "{parts}, 1 part of {it} to {} of {thinner}, {passes}",
            thinned.thin
        ),
        Some((stock, further)) => format!(
            "{parts}: a stock of 1 part of {it} to {stock} of {thinner}, then 1 part of the stock to {further} of {thinner}, {passes}"
        ),
    }
}

/// What goes into a wash besides paint and thinner.
fn flow_words(blend: &ThinnedMix) -> &'static str {
    match &blend.thinned {
        Some(thinned) if thinned.flow_aid => {
            " Put a drop of washing-up liquid, or a little flow aid, into the water first: without it the wash beads on plastic."
        }
        _ => "",
    }
}

/// How to take off any excess while it is wet.
fn lift_words(family: Option<MixingFamily>) -> &'static str {
    match family {
        Some(MixingFamily::Enamel | MixingFamily::Oil) => {
            "For an hour or more you can draw it off with a clean brush just damp with white spirit."
        }
        Some(MixingFamily::Lacquer) => {
            "It dries at once and you cannot lift it: begin thinner than you think."
        }
        _ => {
            "While it is wet, lift any excess with a damp brush or a twist of kitchen paper; once dry it stays."
        }
    }
}

fn drying_words(blend: &ThinnedMix) -> String {
    blend.family.map_or_else(String::new, |family| {
        format!(" Let it dry {} before the next step.", family.drying())
    })
}

/// One step of dirt.
#[must_use]
pub(in crate::report) fn dirt_step_text(
    step: &DirtStep,
    pot_words: &dyn Fn(PotId) -> String,
) -> String {
    match step {
        DirtStep::Harden { base, wash } => {
            let how_long = match base {
                Some(MixingFamily::WaterBorne | MixingFamily::Watercolour | MixingFamily::Ink) if wash.is_solvent_borne() => {
                    "a full day, better two"
                }
                Some(MixingFamily::WaterBorne | MixingFamily::Watercolour | MixingFamily::Ink) => "overnight",
                Some(MixingFamily::Lacquer) => "a day",
                Some(MixingFamily::Enamel | MixingFamily::Oil) => "several days",
                Some(MixingFamily::Unknown) | None => "until it is hard all through, a day at least",
            };
            format!("Let the layer below harden {how_long}. A matt surface takes a wash better than a shiny one.")
        }
        DirtStep::Wash { technique, blend } => wash_text(*technique, blend, None),
        DirtStep::Rock { role, pot, blend, share } => rock_text(*role, *pot, blend.as_ref(), *share, pot_words),
        DirtStep::Place { name, technique, blend, share } => {
            place_text(name, *technique, blend.as_ref(), *share)
        }
        DirtStep::SealBeforePowder => {
            "Seal with a thin matt varnish and let it dry: powder needs a matt, toothy ground to hold on to.".to_owned()
        }
        DirtStep::SealAfterPowder => {
            "Seal the powder with a mist of matt varnish or fixative from a good distance: a wet coat drowns it and darkens it.".to_owned()
        }
    }
}

/// How a thinned film is laid; `place` is where, when not over the whole surface.
fn wash_text(technique: Technique, blend: &ThinnedMix, place: Option<&str>) -> String {
    let words = blend_words(blend);
    let at = place.map_or_else(String::new, |place| format!("{}: ", capitalised(place)));
    let how = match technique {
        Technique::PinWash => format!(
            "pin wash with {words}: touch it into joints and recesses with a fine brush, let it run, wipe the flats clean."
        ),
        Technique::Filter => {
            format!("filter with {words}: an even damp film over everything, no puddles.")
        }
        Technique::Streak => format!(
            "streaks with {words}: set a line below the ledge, then draw it down with a brush damp with the thinner until it fades."
        ),
        _ => format!(
            "overall wash with {words}: flood it on, let it settle into the recesses, lay the part flat while it dries."
        ),
    };
    let how = if at.is_empty() {
        capitalised(&how)
    } else {
        how
    };
    let scrap = if place.is_none() {
        " Try it on scrap first."
    } else {
        ""
    };
    format!(
        "{at}{how}{scrap}{} {}{}",
        flow_words(blend),
        lift_words(blend.family),
        drying_words(blend)
    )
}

fn place_text(name: &str, technique: Technique, blend: Option<&ThinnedMix>, share: f64) -> String {
    let Some(blend) = blend else {
        return format!(
            "{} ({}, {} of the surface): nothing on the list will do; see the doubts.",
            capitalised(name),
            technique_words(technique),
            about(share)
        );
    };
    let on = format!("{} ({} of the surface)", name, about(share));
    let parts = parts_words(blend);
    match technique {
        Technique::Wash | Technique::PinWash | Technique::Filter | Technique::Streak => {
            wash_text(technique, blend, Some(&on))
        }
        Technique::Stipple => format!(
            "{}: stipple {parts}, unthinned, with the tip of an old stiff brush or a scrap of sponge, in broken patches.{}",
            capitalised(&on),
            drying_words(blend)
        ),
        Technique::DryBrush => format!(
            "{}: dry-brush {parts}: wipe the brush almost clean and drag it across the edges only.{}",
            capitalised(&on),
            drying_words(blend)
        ),
        Technique::Powder => format!(
            "{}: brush on dry powder, {parts}, with a soft brush, little by little; blow nothing off, tap it off.",
            capitalised(&on)
        ),
    }
}

fn rock_text(
    role: RockRole,
    pot: Option<PotId>,
    blend: Option<&ThinnedMix>,
    share: f64,
    pot_words: &dyn Fn(PotId) -> String,
) -> String {
    let with = match (pot, blend) {
        (Some(pot), _) => pot_words(pot),
        (None, Some(blend)) if role == RockRole::DarkWash => blend_words(blend),
        (None, Some(blend)) => parts_words(blend),
        (None, None) => "a mix that this list does not give".to_owned(),
    };
    let drying = blend.map_or_else(String::new, drying_words);
    match role {
        RockRole::Undercoat => format!(
            "Undercoat: {with} all over, worked into every crack; no plaster may show.{drying}"
        ),
        RockRole::MidTint => format!(
            "Mid tint: dab {with} over {} of the rock in irregular patches, following the strata, edges softened with a damp brush.{drying}",
            about(share)
        ),
        RockRole::DarkWash => format!(
            "Dark wash: {with}; let it run into the strata from above and dry by itself.{} {}{drying}",
            blend.map_or("", flow_words),
            lift_words(blend.and_then(|blend| blend.family)),
        ),
        RockRole::Light => format!(
            "Dry-brushed light, last of all: {with}, the brush wiped almost clean, dragged down across the edges; {} of the rock and no more.{drying}",
            about(share)
        ),
    }
}

/// Where a base is from.
pub(in crate::report) fn base_words(from: &BaseFrom) -> String {
    match from {
        BaseFrom::OwnBody => "the surface's own body".to_owned(),
        BaseFrom::Colour => "as the scene gives it".to_owned(),
        BaseFrom::Paint(name) => format!("the paint {name}"),
        BaseFrom::Surface(name) => format!("the body of {name}"),
    }
}

/// What to try first, and which way to go from there.
pub(in crate::report) fn scrap_words(wash: &WashPlan) -> String {
    let ways: Vec<String> = wash
        .washes
        .iter()
        .map(|film| {
            let (thinner, stronger) = film.recipe.neighbours();
            let weaker = thinner.map_or_else(
                || "leave it out".to_owned(),
                |thin| format!("thin it to 1 to {thin}"),
            );
            let more = match stronger {
                Some(thin) if film.recipe.passes > 1 => format!("mix 1 to {thin}"),
                _ => "lay a second pass once it is dry".to_owned(),
            };
            let what = if wash.washes.len() > 1 {
                format!("{}: ", capitalised(technique_words(film.technique)))
            } else {
                String::new()
            };
            format!("{what}Too strong: {weaker}. Too weak: {more}.")
        })
        .collect();
    format!(
        "Try it on scrap in the base colour first, and let it dry. {} The plan assumes that it lies {} times as thick in recesses as on flats. That is common practice; yours may differ.",
        ways.join(" "),
        wash.search.pool
    )
}

/// "12.5 ml of wash: 0.9 ml raw umber, 0.5 ml ivory black, 11.1 ml water".
pub(in crate::report) fn amounts_words(wash: &WashBlend) -> Option<String> {
    let amounts = wash.amounts.as_ref()?;
    let paints: Vec<String> = wash
        .blend
        .parts
        .iter()
        .zip(&amounts.paints)
        .map(|((name, _), ml)| format!("{:.2} ml {name}", ml.value()))
        .collect();
    let thinner = wash
        .blend
        .thinned
        .as_ref()
        .map_or("thinner", |thinned| thinned.thinner.as_str());
    Some(format!(
        "{:.1} ml: {}, {:.1} ml {thinner}",
        amounts.batch.value(),
        paints.join(", "),
        amounts.thinner.value()
    ))
}

/// What is doubtful about a wash or a place of a surface.
#[expect(
    clippy::too_many_lines,
    reason = "the words of each doubt, one after the other"
)]
pub(in crate::report) fn dirt_note_text(surface: &str, note: &DirtNote) -> String {
    match note {
        DirtNote::RecessUnknown => format!(
            "{surface}: neither photo nor scene gives the colour of its recesses, so the wash was planned for recesses 12 L* darker than the flats."
        ),
        DirtNote::Shade(taken) => shade_text(surface, *taken),
        DirtNote::FallsShort {
            flat,
            recess,
            how,
            base_too_dark,
        } => {
            let short = how
                .as_ref()
                .map_or_else(String::new, |how| format!(", {how} than asked"));
            let dark = if *base_too_dark {
                " No wash from this list can lighten so dark a base so far."
            } else {
                ""
            };
            format!(
                "{surface}: the best wash misses flats by {:.0} and recesses by {:.0} (CIEDE2000){short}.{dark}",
                flat.0, recess.0
            )
        }
        DirtNote::PaleOfTransparent { paints } => format!(
            "{surface}: a wash lighter than its base needs paint that scatters light; {} {} transparent and will hardly show.",
            listed(paints),
            if paints.len() == 1 { "is" } else { "are" }
        ),
        DirtNote::NoGrime => format!(
            "{surface}: the grime dial is at 0: the base stays as it is, and there is no wash."
        ),
        DirtNote::Grime { grime } => format!(
            "{surface}: you chose its grime: {:.0} % of what the photo shows.",
            100.0 * grime
        ),
        DirtNote::FilmRead { film, patches } => {
            let told = if *patches == 1 {
                "one dried patch shows".to_owned()
            } else {
                format!("{patches} dried patches show")
            };
            format!(
                "{surface}: its wash is planned {film:.2} times as thick as a brushed coat, as {told}."
            )
        }
        DirtNote::NothingToWash => {
            format!("{surface}: no paint on the list can be used as a wash.")
        }
        DirtNote::NoUsefulWash { place, near } => {
            let near = near.map_or_else(String::new, |near| {
                format!(" A paint near {} would.", near.to_srgb8())
            });
            format!(
                "{}: no useful wash: no paint on the list, thinned, brings its base nearer to the wanted colour.{near}",
                at_place(surface, place.as_deref())
            )
        }
        DirtNote::WashNotNeeded { place } => format!(
            "{}: it needs no wash: its base already has the wanted colour.",
            at_place(surface, place.as_deref())
        ),
        DirtNote::PlaceColour { place } => format!(
            "{surface}, {place}: neither a region nor a colour is given; a usual colour was planned."
        ),
        DirtNote::PlaceTechnique {
            place,
            technique,
            by,
        } => {
            let technique = technique_words(*technique);
            let why = by.as_ref().map_or_else(
                || "its name suggests none".to_owned(),
                |word| format!("because its name says \"{word}\""),
            );
            format!("{surface}, {place}: no technique is given; {technique} was taken, {why}.")
        }
        DirtNote::PlaceShare { place, share } => format!(
            "{surface}, {place}: its share is not given; {} of the surface was taken.",
            about(*share)
        ),
        DirtNote::NoPowder { place } => format!(
            "{surface}, {place}: powder is dry pigment and the list has none. A liquid paint is not a powder, however dry the brush."
        ),
        DirtNote::PlaceFar { place, off } => format!(
            "{surface}, {place}: the nearest mix from the list is {:.0} (CIEDE2000) away.",
            off.0
        ),
    }
}

/// "Kiln wall, rust below the ties".
fn at_place(surface: &str, place: Option<&str>) -> String {
    place.map_or_else(|| surface.to_owned(), |place| format!("{surface}, {place}"))
}

fn shade_text(surface: &str, taken: ShadeTaken) -> String {
    let light = 100.0 * LIGHT_IN_RECESSES;
    match taken {
        ShadeTaken::Nothing => format!(
            "{surface}: its recesses are no darker than its flats in the photo; no shadow was taken out of them."
        ),
        ShadeTaken::OneMaterial => format!(
            "{surface}: its recesses are the colour of its flats with less light on them: that is shadow. Your lamps will make it, so it was not planned as dirt."
        ),
        ShadeTaken::Doubtful => format!(
            "{surface}: its recesses may be dirty or just in shadow; in so grey or dark a colour one photo cannot tell. The plan assumes that they get {light:.0} % of the flats' light and counts the rest as dirt, at most {MOST_DARKER:.0} L* below the flats."
        ),
        ShadeTaken::Usual => format!(
            "{surface}: its recesses have another colour than shadow alone would give them, but shadow darkens them too. The plan assumes that they get {light:.0} % of the flats' light and counts the rest as dirt. One photo cannot tell how much is which."
        ),
        ShadeTaken::Capped => format!(
            "{surface}: its recesses are very dark in the photo, much of it shadow; the wash was planned for no more than {MOST_DARKER:.0} L* below the flats. One photo cannot tell dirt from shadow."
        ),
        ShadeTaken::All => format!(
            "{surface}: in the photo its recesses are no darker than shadow alone would make them."
        ),
    }
}

/// What would mend it.
pub(in crate::report) fn dirt_note_hint(note: &DirtNote) -> Option<&'static str> {
    match note {
        DirtNote::RecessUnknown | DirtNote::Shade(ShadeTaken::All | ShadeTaken::OneMaterial) => {
            Some("Add recess = \"#3f332c\" to [surface.wash], or take a region that shows joints.")
        }
        DirtNote::Shade(_) => Some("Add recess = \"#3f332c\" to [surface.wash] to state it."),
        DirtNote::FallsShort {
            base_too_dark: true,
            ..
        } => Some("Paint the base lighter, or dry-brush the light tone over it."),
        DirtNote::FallsShort { .. } => {
            Some("A base nearer to the flats, or a paint near the wanted recess, would help.")
        }
        DirtNote::PaleOfTransparent { .. } => Some("Use an opaque paint near the mortar's colour."),
        DirtNote::NothingToWash => Some("Add acrylics, enamels, oils or inks to the list."),
        DirtNote::NoUsefulWash { .. } => Some("Add such a paint, or leave the wash out."),
        DirtNote::WashNotNeeded { .. } => {
            Some("State flat and recess under [surface.wash] if you want it dirtier.")
        }
        DirtNote::PlaceColour { .. } => {
            Some("Add region = [...] or colour = \"#5c6140\" to the place.")
        }
        DirtNote::PlaceTechnique { .. } => {
            Some("Add technique = \"stipple\" to the place, or another.")
        }
        DirtNote::PlaceShare { .. } => Some("Add share = 0.05 to the place."),
        DirtNote::NoPowder { .. } => {
            Some("Add a paint of medium powder to the list, or use technique = \"stipple\".")
        }
        DirtNote::PlaceFar { .. } => Some("A paint of this colour would help."),
        DirtNote::NoGrime | DirtNote::Grime { .. } | DirtNote::FilmRead { .. } => None,
    }
}
