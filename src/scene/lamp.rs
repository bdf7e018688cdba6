//! The lamp that a scene names.

use super::{Lamps, Scene};
use crate::lamps::Lamp;
use crate::problem::{Explain, Place};

/// A lamp's spectrum that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{detail}")]
pub struct BadLamp {
    place: Place,
    detail: String,
}

impl Explain for BadLamp {
    fn place(&self) -> Place {
        self.place.clone()
    }

    fn hint(&self) -> Option<String> {
        Some(
            "write one row a wavelength: nanometres, relative power; every 5 nm is best".to_owned(),
        )
    }
}

/// Why there is no lamp.
#[derive(Debug)]
pub enum NoLamp<E> {
    /// Its spectrum cannot be read.
    Unread(E),
    /// Its spectrum cannot be used: everything that is wrong with it.
    Bad(Vec<BadLamp>),
}

impl Lamps {
    /// The lamp, where its name or its colour temperature is enough; `None` for daylight and for a spectrum.
    #[must_use]
    pub fn known_by_name(&self) -> Option<Lamp> {
        match self {
            Self::Daylight | Self::Spectrum(_) => None,
            Self::Illuminant(name) => Lamp::named(name),
            Self::Kelvin(kelvin) => Some(Lamp::of_temperature(*kelvin)),
        }
    }
}

impl Scene {
    /// The lamp over the layout; `None` for daylight, and where the scene is silent. `read` gives the bytes of a
    /// spectrum file.
    ///
    /// # Errors
    /// [`NoLamp`].
    pub fn lamp<E>(
        &self,
        read: impl FnOnce(&str) -> Result<Vec<u8>, E>,
    ) -> Result<Option<Lamp>, NoLamp<E>> {
        let Some(Lamps::Spectrum(file)) = &self.lamps else {
            return Ok(self.lamps.as_ref().and_then(Lamps::known_by_name));
        };
        let bytes = read(file).map_err(NoLamp::Unread)?;
        let name = Lamps::Spectrum(file.clone()).to_string();
        let lamp = Lamp::from_spectrum(&name, &String::from_utf8_lossy(&bytes));
        lamp.map(Some).map_err(|faults| {
            let faults = faults.into_iter().map(|fault| match fault.line {
                Some(line) => BadLamp {
                    place: Place::file(file).at_line(line),
                    detail: fault.detail,
                },
                None => BadLamp {
                    place: self.lamps_place.clone(),
                    detail: format!("{file}: {}", fault.detail),
                },
            });
            NoLamp::Bad(faults.collect())
        })
    }
}
