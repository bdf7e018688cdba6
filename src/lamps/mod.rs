//! Lamps: how a colour looks in the light over a layout.
//!
//! In: a lamp by its CIE name, by a colour temperature or by its spectrum, and reflectances. Out: the colour each has
//! under the lamp for an eye adapted to it (CAT16, full adaptation), how far that is from daylight, and the special
//! metamerism index of a pair. It knows nothing of paints and scenes.

mod adaptation;
mod metamerism;
mod weights;

pub use adaptation::{LitXyz, adapted_to_daylight, cat16};
pub use metamerism::{MismatchCorrection, PairOfColours, special_metamerism_index};

use crate::colour::{
    BANDS, DeltaE00, LabD65, Spectrum, SpectrumFault, delta_e00, hue_way, seen_in_daylight,
    spectrum_points,
};
use std::fmt;

/// Names of the CIE illuminants whose band weights are carried.
///
/// # Source
/// CIE 015:2018.
pub const ILLUMINANTS: [&str; 18] = [
    "D50", "D55", "D65", "D75", "A", "E", "FL2", "FL7", "FL11", "LED-B1", "LED-B2", "LED-B3",
    "LED-B4", "LED-B5", "LED-BH1", "LED-RGB1", "LED-V1", "LED-V2",
];

/// What an unknown lamp may be, for a hint: the LEDs with their temperatures, a bulb, a tube, a temperature without its K.
///
/// # Source
/// Correlated colour temperatures: CIE 015:2018, table 12, from memory.
#[must_use]
pub fn lamp_meant(found: &str) -> Option<String> {
    let lower = found.to_lowercase();
    let near = || crate::problem::nearest_word(found, ILLUMINANTS.into_iter().chain(["daylight"]));
    if let Some(word) = near().filter(|_| lower.len() > 4) {
        return Some(format!("did you mean \"{word}\"?"));
    }
    let has = |words: &[&str]| words.iter().any(|word| lower.contains(word));
    let digits: String = lower.chars().filter(char::is_ascii_digit).collect();
    let kelvin = digits
        .parse::<u32>()
        .ok()
        .filter(|k| (1000..=25_000).contains(k));
    Some(if let Some(kelvin) = kelvin {
        format!("did you mean \"{kelvin} K\"?")
    } else if has(&["led", "diode"]) {
        "name one: LED-B1 (2733 K, warm white), LED-B2 (2998 K), LED-B3 (4103 K, neutral), LED-B4 (5109 K), LED-B5 (6598 K, cool), \
         LED-BH1, LED-RGB1, LED-V1 or LED-V2; or the temperature on its packet, such as \"4000 K\""
            .to_owned()
    } else if has(&["halogen", "tungsten", "incandescent", "bulb", "filament"]) {
        "did you mean \"A\", a bulb with a filament?".to_owned()
    } else if has(&["fluorescent", "tube", "neon", "strip"]) {
        "name one: FL2 (cool white), FL7 (daylight) or FL11 (three bands)".to_owned()
    } else if has(&["sun", "window", "outside", "natural"]) {
        "did you mean \"daylight\"?".to_owned()
    } else {
        let word = near()?;
        format!("did you mean \"{word}\"?")
    })
}

/// Kelvin: "4000 K", "4000 kelvin".
///
/// # Errors
/// `None` for what is no temperature; the number is not checked.
#[must_use]
pub fn kelvin(text: &str) -> Option<f64> {
    let lower = text.trim().to_lowercase();
    let number = lower
        .strip_suffix("kelvin")
        .or_else(|| lower.strip_suffix('k'))?;
    crate::units::number(number).ok()
}

/// How a lamp is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KnownBy {
    /// It is a CIE illuminant.
    Name,
    /// By its colour temperature alone: we assume the spectrum of a glowing body or of daylight.
    Temperature,
    /// By its measured spectrum.
    Spectrum,
}

/// A lamp, as the weights of the 36 bands in X, Y and Z.
#[derive(Clone, PartialEq)]
pub struct Lamp {
    /// What it is called.
    pub name: String,
    /// How it is known.
    pub known_by: KnownBy,
    weights: [[f64; 3]; BANDS],
}

impl fmt::Debug for Lamp {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Lamp({}, white {:?})", self.name, self.white())
    }
}

/// What a reflectance looks like under a lamp and in daylight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shift {
    /// In daylight.
    pub daylight: LabD65,
    /// Under the lamp, seen by an eye that has adapted to it.
    pub lamp: LabD65,
    /// How far apart these are.
    pub by: DeltaE00,
}

impl Lamp {
    /// A CIE illuminant, whatever the case of its name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let name = ILLUMINANTS.iter().find(|n| n.eq_ignore_ascii_case(name))?;
        Some(Self {
            name: (*name).to_owned(),
            known_by: KnownBy::Name,
            weights: weights::of_illuminant(name)?,
        })
    }

    /// A lamp whose correlated colour temperature alone is known, 1000 K to 25 000 K: a glowing body below
    /// 4000 K, a phase of daylight from there on. A light-emitting diode of the same temperature differs from both.
    ///
    /// # Source
    /// CIE 015:2018: Planck's law with c2 = 1.4388e-2 m K, and the components of daylight.
    #[must_use]
    pub fn of_temperature(kelvin: f64) -> Self {
        Self {
            name: format!("{kelvin:.0} K"),
            known_by: KnownBy::Temperature,
            weights: weights::of_power(|nm| {
                if kelvin < 4000.0 {
                    weights::planck(nm, kelvin)
                } else {
                    weights::daylight(nm, kelvin)
                }
            }),
        }
    }

    /// A lamp by its spectral power: the text of a file with rows of wavelength and power, or a CGATS / ISO 28178 text.
    /// Measured every 5 nm or finer it is taken as it is; between points it is interpolated.
    ///
    /// # Errors
    /// All that is wrong with the text.
    pub fn from_spectrum(name: &str, text: &str) -> Result<Self, Vec<SpectrumFault>> {
        let points = spectrum_points(text)?;
        let lamp = Self {
            name: name.to_owned(),
            known_by: KnownBy::Spectrum,
            weights: weights::of_power(|nm| weights::interpolated(&points, nm)),
        };
        if lamp.weights.iter().flatten().all(|w| w.is_finite()) && lamp.white().0[1] > 0.0 {
            Ok(lamp)
        } else {
            Err(vec![SpectrumFault::whole("no power where the eye sees")])
        }
    }

    /// A lamp from the weights that [`Lamp::weights`] gave; `None` unless all are finite and Y of its white is 1.
    #[must_use]
    pub fn from_weights(name: &str, weights: &[[f64; 3]]) -> Option<Self> {
        let lamp = Self {
            name: name.to_owned(),
            known_by: KnownBy::Spectrum,
            weights: weights.try_into().ok()?,
        };
        let whole = weights.iter().flatten().all(|weight| weight.is_finite());
        (whole && (lamp.white().0[1] - 1.0).abs() < 0.01).then_some(lamp)
    }

    /// The weights of the 36 bands, 380 to 730 nm every 10 nm, in X, Y and Z: the light of the lamp times the observer.
    #[must_use]
    pub fn weights(&self) -> &[[f64; 3]; BANDS] {
        &self.weights
    }

    /// Its white, Y = 1.
    #[must_use]
    pub fn white(&self) -> LitXyz {
        self.sees(&Spectrum::flat(1.0))
    }

    /// The tristimulus values of a reflectance under it.
    #[must_use]
    pub fn sees(&self, reflectance: &Spectrum) -> LitXyz {
        let mut sum = [0.0; 3];
        for (value, weight) in reflectance.values().iter().zip(self.weights) {
            for (total, w) in sum.iter_mut().zip(weight) {
                *total += value * w;
            }
        }
        LitXyz(sum)
    }

    /// The colour of a reflectance under it for an eye adapted to it: the colour that looks the same in daylight.
    #[must_use]
    pub fn colour_of(&self, reflectance: &Spectrum) -> LabD65 {
        adapted_to_daylight(self.sees(reflectance), self.white()).into()
    }

    /// What a reflectance looks like in daylight and under it.
    #[must_use]
    pub fn shift(&self, reflectance: &Spectrum) -> Shift {
        let daylight = LabD65::from(seen_in_daylight(reflectance));
        let lamp = self.colour_of(reflectance);
        Shift {
            daylight,
            lamp,
            by: delta_e00(daylight, lamp),
        }
    }

    /// The special metamerism index of two reflectances that are to match in daylight: how far they drift apart under
    /// this lamp, what parted them in daylight already taken out.
    #[must_use]
    pub fn drift(&self, standard: &Spectrum, sample: &Spectrum) -> DeltaE00 {
        let white = self.white();
        let under = |r: &Spectrum| self.sees(r).to_own_white(white);
        special_metamerism_index(
            PairOfColours {
                standard: seen_in_daylight(standard),
                sample: seen_in_daylight(sample),
            },
            PairOfColours {
                standard: under(standard),
                sample: under(sample),
            },
            MismatchCorrection::Multiplicative,
        )
    }
}

/// Which way a colour goes under a lamp, in words; `None` when it hardly moves.
#[must_use]
pub fn direction(shift: &Shift) -> Option<String> {
    if shift.by.0 < 1.0 {
        return None;
    }
    let (from, to) = (shift.daylight, shift.lamp);
    let mut words = Vec::new();
    if (to.l - from.l).abs() > 1.5 {
        words.push(if to.l > from.l { "lighter" } else { "darker" });
    }
    let (da, db) = (to.a - from.a, to.b - from.b);
    if da.hypot(db) > 1.0 {
        words.push(hue_way(da, db));
    }
    (!words.is_empty()).then(|| words.join(" and "))
}
