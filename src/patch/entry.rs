//! A patch in the log.

use super::PatchReport;
use crate::colour::LabD65;
use crate::mix::{PaintId, Shelf};
use crate::plan::{Added, AsBuilt, MixedPaint, PATCH_LOG};

/// What is known of a patch's photo.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photographed {
    /// When it was taken or entered.
    pub date: String,
    /// Its file name.
    pub photo: String,
    /// What it was compared with, if that was a printed swatch or a known colour.
    pub beside: Option<String>,
    /// Identifies the same photo again.
    pub content: String,
    /// What corrected its light.
    pub light: String,
}

impl PatchReport {
    /// The entry of this patch in the log of its scene.
    #[must_use]
    pub fn entry(&self, shelf: &Shelf, of: Photographed) -> AsBuilt {
        let name = |at: PaintId| shelf[at].name.clone();
        AsBuilt {
            format: PATCH_LOG.to_owned(),
            date: of.date,
            surface: self.surface.clone(),
            tone: self.tone.clone(),
            paints: self
                .parts
                .iter()
                .map(|(at, parts)| MixedPaint {
                    name: name(*at),
                    parts: *parts,
                })
                .collect(),
            planned: rounded(self.planned),
            seen: rounded(self.seen.colour),
            de2000: (self.difference.0 * 100.0).round() / 100.0,
            uncertainty_de: (self.uncertainty.0 * 100.0).round() / 100.0,
            verdict: self.verdict.words().to_owned(),
            photo: of.photo,
            beside: of.beside,
            content: Some(of.content),
            light: Some(of.light),
            add: self.addition.as_ref().map(|addition| Added {
                per_parts: addition.per_parts,
                paints: (addition.paints.iter())
                    .map(|(at, parts)| MixedPaint {
                        name: name(*at),
                        parts: f64::from(*parts),
                    })
                    .collect(),
            }),
            doubtful: self.doubt.is_some(),
        }
    }
}

fn rounded(colour: LabD65) -> LabD65 {
    let to = |v: f64| (v * 100.0).round() / 100.0 + 0.0;
    LabD65::new(to(colour.l), to(colour.a), to(colour.b))
}
