//! Spectra on the one grid the program works on.

/// Number of bands.
pub const BANDS: usize = 36;
/// Centre of the first band, nanometres.
pub const FIRST_NM: f64 = 380.0;
/// Distance of the bands, nanometres.
pub const STEP_NM: f64 = 10.0;

/// One value a band, 380, 390 … 730 nm. A reflectance lies in 0..=1; K/S and the like may be larger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spectrum([f64; BANDS]);

impl Spectrum {
    /// From one value a band.
    #[must_use]
    pub const fn new(values: [f64; BANDS]) -> Self {
        Self(values)
    }

    /// The same value in every band.
    #[must_use]
    pub const fn flat(value: f64) -> Self {
        Self([value; BANDS])
    }

    /// The values, 380 nm first.
    #[must_use]
    pub const fn values(&self) -> &[f64; BANDS] {
        &self.0
    }

    /// Each value changed by itself.
    #[must_use]
    pub fn map(&self, change: impl FnMut(f64) -> f64) -> Self {
        Self(self.0.map(change))
    }

    /// Linear interpolation of measured points (nanometres, value) onto the grid; beyond the ends the end values stand.
    ///
    /// Points must be sorted by wavelength; gives `None` when there are none.
    #[must_use]
    pub fn from_points(points: &[(f64, f64)]) -> Option<Self> {
        let (&first, &last) = (points.first()?, points.last()?);
        let mut values = [0.0; BANDS];
        let mut wavelength = FIRST_NM;
        for value in &mut values {
            let after = points.partition_point(|(nm, _)| *nm < wavelength);
            *value = match (
                after.checked_sub(1).and_then(|i| points.get(i)),
                points.get(after),
            ) {
                (Some(&(a, va)), Some(&(b, vb))) => va + (vb - va) * (wavelength - a) / (b - a),
                (None, _) => first.1,
                (_, None) => last.1,
            };
            wavelength += STEP_NM;
        }
        Some(Self(values))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measured_points_are_continued_with_their_ends() {
        let spectrum = Spectrum::from_points(&[(400.0, 0.1), (500.0, 0.2), (700.0, 0.6)]).unwrap();
        let v = spectrum.values();
        assert!((v[0] - 0.1).abs() < 1e-12, "380 nm");
        assert!((v[7] - 0.15).abs() < 1e-12, "450 nm");
        assert!((v[35] - 0.6).abs() < 1e-12, "730 nm");
    }
}
