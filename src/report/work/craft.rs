//! How to do things, explained once. All of it is common practice, no source; labels come first.

use crate::plan::{Caution, Plan};
use crate::report::work::lines::Craft;

/// One craft note.
#[derive(Debug)]
pub(in crate::report) struct CraftView {
    pub(in crate::report) key: &'static str,
    pub(in crate::report) title: &'static str,
    pub(in crate::report) text: &'static str,
}

fn note(craft: Craft) -> (&'static str, &'static str) {
    match craft {
        Craft::Ground => (
            "Cleaning and priming",
            "Wash the parts in lukewarm water with a drop of washing-up liquid, rinse them and let them dry; dull any shine with fine abrasive. Plaster gets no soap and no sanding: it dries right through and is dusted. Prime thinly and evenly: a darker or lighter primer shifts thin coats.",
        ),
        Craft::Mixing => (
            "Mixing and trying",
            "Parts are by volume; a drop is about 0.05 ml. Begin with the paint that has most parts, add the darker and stronger ones a drop at a time, and stop early. Brush a few drops on primed scrap and let them dry: paint shifts as it dries. Judge the patch beside the photo, in the light of the layout.",
        ),
        Craft::Brushing => (
            "Brushing",
            "Two thin coats hide better than one thick one. Lay further tones in irregular patches where the tone map shows them, and soften their edges. Where a tone is called loose, let brush marks and a half-mixed pot show a little.",
        ),
        Craft::Thin => (
            "Washes, filters, streaks",
            "Wash: flood it on, let it settle into the recesses, lay the part flat while it dries. Filter: an even damp film, no puddles. Pin wash: touch it into joints with a fine brush, let it run, wipe the flats clean. Streak: set a line below the ledge and draw it down with a brush damp with the thinner until it fades. Put a drop of washing-up liquid or a little flow aid into water, or the wash beads on plastic. A matt surface takes a wash better than a shiny one. Lift any excess with a damp brush or kitchen paper: water-borne washes while they are wet, enamel and oil for an hour or more with a brush just damp with white spirit. You cannot lift lacquer. Try it on scrap first.",
        ),
        Craft::Dry => (
            "Stippling and dry-brushing",
            "Stipple: unthinned, with the tip of an old stiff brush or a scrap of sponge, in broken patches. Dry-brush: wipe the brush almost clean and drag it across the edges only.",
        ),
        Craft::Powder => (
            "Powder",
            "Powder holds on a matt ground. Brush it on dry with a soft brush, little by little; tap off any excess, never blow. Fix it with a mist of matt varnish from a good distance: a wet coat drowns and darkens it.",
        ),
        Craft::Scatter => (
            "Glue and scatter",
            "Use glue that dries clear. Do the far zone before the near one. Press coarse kinds into patches, then sieve fine ones on; static grass comes last, in fresh glue before it skins over. Strew unevenly. When the glue is dry, vacuum through a cloth and keep what comes off for patching.",
        ),
        Craft::Seal => (
            "Sealing",
            "Seal when everything has been dry for a day. Varnish darkens and deepens colours a little: try it on the test patch first.",
        ),
    }
}

/// The notes, in the order of work.
pub(in crate::report) fn craft_notes() -> Vec<CraftView> {
    [
        Craft::Ground,
        Craft::Mixing,
        Craft::Brushing,
        Craft::Thin,
        Craft::Dry,
        Craft::Powder,
        Craft::Scatter,
        Craft::Seal,
    ]
    .into_iter()
    .map(|craft| {
        let (title, text) = note(craft);
        CraftView {
            key: craft.key(),
            title,
            text,
        }
    })
    .collect()
}

/// The cautions of all surfaces, each once.
pub(in crate::report) fn all_cautions(plan: &Plan<'_>) -> Vec<&'static str> {
    let mut cautions: Vec<Caution> = plan
        .surfaces
        .iter()
        .flat_map(|s| s.cautions.iter().copied())
        .collect();
    cautions.sort_unstable();
    cautions.dedup();
    cautions.into_iter().map(Caution::words).collect()
}
