//! What a desk keeps of photos besides their pixels: their light on the page, and what they showed the last plan.

use super::drawing::{DrawnKnown, DrawnLight};
use super::refused::Refused;
use crate::photo::KnownLight;
use crate::plan::Sighted;
use crate::scene::PhotoSource;
use serde::Deserialize;

/// What the page says of a photo's light.
#[derive(Debug, Clone, Default, Deserialize)]
pub(super) struct SeenIn {
    light: DrawnLight,
    /// What its surfaces and other things in it are made of, as drawn; as in the file, unless the page says
    /// otherwise.
    #[serde(default)]
    known: Option<Vec<DrawnKnown>>,
}

impl SeenIn {
    /// A light, and what surfaces are made of as in the file.
    pub(super) fn in_light(light: DrawnLight) -> Self {
        Self { light, known: None }
    }

    /// What is known of the light of a photo.
    pub(super) fn light_of(&self, source: &PhotoSource) -> Result<KnownLight, Refused> {
        let known = self.light.known().map_err(|e| Refused::of_problem(&e))?;
        let Some(drawn) = &self.known else {
            return Ok(known.with_materials(&source.materials));
        };
        let all = source.heeds_surfaces() && !self.light.estimate;
        let counted = drawn.iter().filter(|drawn| all || drawn.alone);
        let counted: Vec<_> = counted.filter_map(DrawnKnown::known).collect();
        Ok(known.with_materials(&counted))
    }
}

/// What photos showed in the last reading, for a scene that still shows the same.
#[derive(Debug)]
pub(super) struct Surveyed {
    pub(super) whose: [u8; 32],
    pub(super) sighted: Sighted,
}
