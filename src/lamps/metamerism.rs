//! How far a pair that matches in daylight drifts apart under a lamp.

use crate::colour::{DeltaE00, LabD65, Xyz, delta_e00};

/// Two colours under one light, each scaled to the white of that light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairOfColours {
    /// The one to be matched.
    pub standard: Xyz,
    /// The one that is to match it.
    pub sample: Xyz,
}

/// How a mismatch that is there already under the reference light is taken out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MismatchCorrection {
    /// The difference in L*, a*, b* is subtracted.
    Additive,
    /// X, Y, Z of the sample are multiplied by what makes it match.
    Multiplicative,
}

/// The special metamerism index for a change of light, as CIEDE2000.
///
/// # Source
/// CIE 015:2018, special metamerism index: change in illuminant, with either correction; the difference formula there is
/// free to choose.
#[must_use]
pub fn special_metamerism_index(
    reference: PairOfColours,
    test: PairOfColours,
    correction: MismatchCorrection,
) -> DeltaE00 {
    let sample = match correction {
        MismatchCorrection::Additive => {
            let [standard, sample] = [reference.standard, reference.sample].map(LabD65::from);
            let under = LabD65::from(test.sample);
            LabD65::new(
                under.l - (sample.l - standard.l),
                under.a - (sample.a - standard.a),
                under.b - (sample.b - standard.b),
            )
        }
        MismatchCorrection::Multiplicative => {
            let (sample, wanted) = (reference.sample.as_array(), reference.standard.as_array());
            let under = test.sample.as_array();
            LabD65::from(Xyz::from_array(std::array::from_fn(|i| {
                if sample[i] > 0.0 {
                    under[i] * wanted[i] / sample[i]
                } else {
                    under[i]
                }
            })))
        }
    };
    delta_e00(test.standard.into(), sample)
}
