//! From a scene to its plan in one call.

use super::dirt::DirtError;
use super::sighting::{SightError, sight};
use super::{Kit, PhotoBytes, Plan, Wishes};
use crate::photo::Limits;
use crate::problem::{Explain, Place};
use crate::scene::Scene;
use std::fmt;

/// All that a plan is made from.
#[derive(Clone)]
pub struct Inputs<'a> {
    /// The scene.
    pub scene: &'a Scene,
    /// The files of its photos.
    pub photos: &'a dyn PhotoBytes,
    /// What a photo may take.
    pub limits: Limits,
    /// What it is painted and strewn from.
    pub kit: Kit<'a>,
    /// How it is wanted.
    pub wishes: Wishes,
}

impl fmt::Debug for Inputs<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Inputs")
            .field("scene", &self.scene.title)
            .field("wishes", &self.wishes)
            .finish_non_exhaustive()
    }
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ScheduleError {
    /// A photo that cannot be used.
    #[error("{0}")]
    Photo(SightError),
    /// A wash over a base that there is not.
    #[error("{0}")]
    Dirt(DirtError),
}

impl Explain for ScheduleError {
    fn place(&self) -> Place {
        match self {
            Self::Photo(fault) => fault.place(),
            Self::Dirt(fault) => fault.place(),
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::Photo(fault) => fault.hint(),
            Self::Dirt(fault) => fault.hint(),
        }
    }
}

fn all_of<T>(faults: Vec<T>, kind: fn(T) -> ScheduleError) -> Vec<ScheduleError> {
    faults.into_iter().map(kind).collect()
}

/// All stages, from a scene to its plan.
///
/// # Errors
/// All photos that cannot be used; then all washes over a base that there is not.
pub fn schedule(inputs: Inputs<'_>) -> Result<Plan<'_>, Vec<ScheduleError>> {
    let Inputs {
        scene,
        photos,
        limits,
        kit,
        wishes,
    } = inputs;
    let sighted = sight(scene, photos, &limits).map_err(|e| all_of(e, ScheduleError::Photo))?;
    let toned = sighted
        .toned(scene, kit.paints)
        .map_err(|e| all_of(e, ScheduleError::Dirt))?;
    let mixed = toned.mixed(&kit, &wishes);
    let laid = mixed.laid(&kit, &wishes.search);
    Ok(laid.planned(kit, &wishes))
}
