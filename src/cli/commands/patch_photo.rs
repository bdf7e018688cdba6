//! The photo of a patch: its light, where the patch is, how far its colour may be off.

use super::look::{InPhoto, decoded, lit};
use crate::cli::args::PatchArgs;
use crate::cli::colours::colour_or_paint;
use crate::cli::request::{ArgumentError, bad, known_light, region, region_at};
use crate::cli::{Problems, boxed};
use hillwash::colour::{DeltaE00, LabD65};
use hillwash::files::read_file;
use hillwash::paint::PaintList;
use hillwash::patch::{find_patch, fingerprint};
use hillwash::photo::{
    CorrectedBy, KnownLight, LightReport, Limits, Picture, Reading, Reference, ReferenceKnown,
};
use hillwash::problem::{Explain, Place};
use hillwash::region::Region;

/// A patch that cannot be judged.
#[derive(Debug, thiserror::Error)]
enum NoPatch {
    /// Nothing even in the photo.
    #[error("found nothing even enough to be a patch, expected a brushed-out patch on scrap")]
    NotFound,
    /// An empty region.
    #[error("found a region without a pixel, expected one that holds the patch")]
    Empty,
}

impl Explain for NoPatch {
    fn hint(&self) -> Option<String> {
        Some("show where it is with --region \"left,top,right,bottom\", as fractions".to_owned())
    }
}

/// What is typed for the swatch that the bench card prints.
const PRINTED: &str = "printed";
/// A reference that looks further than this from its colour is doubtful. Our choice: well beyond what lamps indoors do.
const FAR_OFF: f64 = 30.0;

/// What was typed of the light, checked before the long work begins.
pub(super) enum TypedLight {
    /// A grey card, a chart, an estimate, or nothing.
    Known(KnownLight),
    /// Something beside the patch.
    Beside(BesidePatch),
}

/// What lies beside the patch.
pub(super) struct BesidePatch {
    at: Region,
    /// Its colour; `None` for the printed swatch of the planned colour.
    colour: Option<LabD65>,
}

impl TypedLight {
    pub(super) fn typed(args: &PatchArgs, list: &PaintList) -> Result<Self, Problems> {
        let (Some(what), Some(at)) = (&args.beside, &args.beside_at) else {
            return known_light(&args.light).map(Self::Known);
        };
        let at = region_at("--beside-at", at)?;
        let colour = if what.trim().eq_ignore_ascii_case(PRINTED) {
            if args.wash {
                return Err(bad("--beside", ArgumentError::NotPrinted));
            }
            None
        } else {
            Some(colour_or_paint("--beside", what, list)?)
        };
        Ok(Self::Beside(BesidePatch { at, colour }))
    }

    /// The light as the photo takes it; `printed` is the colour that the bench card prints.
    fn known(self, printed: LabD65) -> KnownLight {
        match self {
            Self::Known(known) => known,
            Self::Beside(BesidePatch { at, colour }) => KnownLight::Reference(Reference {
                region: at,
                known: match colour {
                    Some(_) => ReferenceKnown::Stated,
                    None => ReferenceKnown::Printed,
                },
                // A page prints what its colour space holds.
                colour: colour.unwrap_or_else(|| LabD65::from(printed.to_srgb8())),
            }),
        }
    }
}

/// A photo as read, its light not yet corrected.
pub(super) struct Unlit {
    picture: Picture,
    warnings: Vec<String>,
    content: String,
}

impl Unlit {
    pub(super) fn read(args: &PatchArgs, limits: &Limits) -> Result<Self, Problems> {
        let (picture, warnings) = decoded(args.photo(), limits)?;
        let bytes = read_file(
            args.photo(),
            &Place::default(),
            "a photo",
            limits.file_bytes,
        )
        .map_err(|e| boxed([e]))?;
        Ok(Self {
            picture,
            warnings,
            content: fingerprint(&bytes),
        })
    }

    /// Corrects its light.
    pub(super) fn lit(
        self,
        args: &PatchArgs,
        light: TypedLight,
        printed: LabD65,
    ) -> Result<PatchPhoto, Problems> {
        let Self {
            mut picture,
            mut warnings,
            content,
        } = self;
        let known = light.known(printed);
        let light = lit(args.photo(), &mut picture, &known)?;
        if let CorrectedBy::Reference { off, .. } = light.by
            && off.0 > FAR_OFF
        {
            warnings.push(format!(
                "what the photo shows at --beside-at is far from the colour it should have (ΔE00 {:.0}): is that the swatch, and is it lit like the patch?",
                off.0
            ));
        }
        Ok(PatchPhoto {
            picture,
            known,
            content,
            light,
            warnings,
        })
    }
}

/// A photo of a patch, its light corrected.
pub(super) struct PatchPhoto {
    picture: Picture,
    known: KnownLight,
    /// By what the photo is known again.
    pub(super) content: String,
    pub(super) light: LightReport,
    pub(super) warnings: Vec<String>,
}

impl PatchPhoto {
    /// Where the patch is, and whether that is in doubt.
    pub(super) fn region(
        &self,
        args: &PatchArgs,
        planned: LabD65,
    ) -> Result<(Region, bool), Problems> {
        if args.region.is_some() {
            return Ok((region(args.region.as_deref())?, false));
        }
        let mut set_aside = Vec::new();
        if let KnownLight::Neutral { region, .. } = &self.known {
            set_aside.push(region.clone());
        }
        if let KnownLight::Chart(corners) = &self.known
            && let Ok(outline) = hillwash::region::Outline::new(corners.to_vec())
        {
            set_aside.push(Region {
                outline,
                leave_out: Vec::new(),
            });
        }
        let found = find_patch(&self.picture, planned, &set_aside).ok_or_else(|| {
            boxed([InPhoto {
                file: args.photo().display().to_string(),
                argument: None,
                cause: NoPatch::NotFound,
            }])
        })?;
        Ok((found.region, found.doubtful))
    }

    /// The colour of a patch in a photo.
    pub(super) fn reading(&self, args: &PatchArgs, region: &Region) -> Result<Reading, Problems> {
        self.picture.reading(region).ok_or_else(|| {
            boxed([InPhoto {
                file: args.photo().display().to_string(),
                argument: Some("--region"),
                cause: NoPatch::Empty,
            }])
        })
    }

    /// How far a colour read in it may be off.
    pub(super) fn uncertainty(&self, seen: LabD65) -> DeltaE00 {
        match (self.reference(), &self.light.by) {
            (Some(reference), CorrectedBy::Reference { .. }) => reference.uncertainty_of(seen),
            _ => self.light.uncertainty,
        }
    }

    /// What corrected the light, as one word for the log.
    pub(super) fn light_word(&self) -> &'static str {
        match &self.light.by {
            CorrectedBy::Nothing { .. } => "nothing",
            CorrectedBy::Estimate(_) => "estimate",
            CorrectedBy::Materials(_) => "known materials",
            CorrectedBy::WhiteBalance { .. } => "white balance",
            CorrectedBy::GreyCard { .. } => "grey card",
            CorrectedBy::Chart(_) => "chart",
            CorrectedBy::NoColour { .. } => "no colour",
            CorrectedBy::Reference { known, .. } => known.word(),
        }
    }

    /// What the patch was compared with, if not with a grey card or chart.
    pub(super) fn reference(&self) -> Option<&Reference> {
        match &self.known {
            KnownLight::Reference(reference) => Some(reference),
            _ => None,
        }
    }
}
