//! Light in a layer of paint: Kubelka–Munk theory, and the mirror that the paint's surface is.
//!
//! All values are fractions 0..1 a band. K absorption, S scattering, q = K/S.

/// Share of light that the surface mirrors before it enters.
pub(super) const K1: f64 = 0.03;
/// Share of light that the surface throws back inside.
pub(super) const K2: f64 = 0.60;
/// Lowest reflectance a paint is taken to have; must exceed [`K1`].
pub(super) const R_MIN: f64 = 0.035;
/// Highest reflectance a paint is taken to have.
pub(super) const R_MAX: f64 = 0.985;

/// What a surface does to light on its way in and out.
///
/// # Source
/// Saunderson 1942, *Calculation of the color of pigmented plastics*.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PaintSurface {
    /// Share of light that it mirrors before the light enters.
    pub k1: f64,
    /// Share of light that it throws back inside.
    pub k2: f64,
}

impl PaintSurface {
    /// The one that paints are taken to have: k1 = 0.03 and k2 = 0.60, chosen by measurement within the published .02–.04
    /// and .4–.65.
    pub const USUAL: Self = Self { k1: K1, k2: K2 };

    /// Reflectance as measured, mirrored light included → reflectance inside the paint.
    #[must_use]
    pub fn inward(self, r: f64) -> f64 {
        (r - self.k1) / (1.0 - self.k1 - self.k2 * (1.0 - r))
    }

    /// Reflectance inside the paint → as measured; the inverse of [`PaintSurface::inward`].
    #[must_use]
    pub fn outward(self, rho: f64) -> f64 {
        self.k1 + (1.0 - self.k1) * (1.0 - self.k2) * rho / (1.0 - self.k2 * rho)
    }
}

/// [`PaintSurface::inward`] of the usual surface, with `r` held in 0.035..=0.985 first.
#[must_use]
pub fn surface_inward(r: f64) -> f64 {
    PaintSurface::USUAL.inward(r.clamp(R_MIN, R_MAX))
}

/// [`PaintSurface::outward`] of the usual surface.
#[must_use]
pub fn surface_outward(rho: f64) -> f64 {
    PaintSurface::USUAL.outward(rho)
}

/// q = K/S of an endless layer with reflectance `r_inf` in (0, 1]: (1 − R)² / 2R. Infinite at 0.
///
/// # Source
/// Kubelka and Munk 1931, *Ein Beitrag zur Optik der Farbanstriche*.
#[must_use]
pub fn absorption_over_scattering(r_inf: f64) -> f64 {
    (1.0 - r_inf) * (1.0 - r_inf) / (2.0 * r_inf)
}

/// Reflectance of an endless layer with q = K/S.
///
/// Written as 1/(1 + q + √(q(q+2))): the form with a minus sign loses its digits at large q.
///
/// # Source
/// Kubelka and Munk 1931.
#[must_use]
pub fn infinite_reflectance(q: f64) -> f64 {
    1.0 / (1.0 + q + (q * (q + 2.0)).sqrt())
}

/// Reflectance as measured of an endless layer that absorbs K and scatters S: [`infinite_reflectance`] of K/S, then
/// [`surface_outward`], as one fraction with one division and one root. S must be above 0.
///
/// # Source
/// Kubelka and Munk 1931; Saunderson 1942.
#[must_use]
pub fn endless_layer(absorption: f64, scattering: f64) -> f64 {
    let root = (absorption * (absorption + 2.0 * scattering)).sqrt();
    K1 + (1.0 - K1) * (1.0 - K2) * scattering / ((1.0 - K2) * scattering + absorption + root)
}

/// How [`endless_layer`] changes with absorption and with scattering: its two partial derivatives. K and S above 0.
#[must_use]
pub fn endless_layer_slopes(absorption: f64, scattering: f64) -> (f64, f64) {
    let root = (absorption * (absorption + 2.0 * scattering)).sqrt();
    let below = (1.0 - K2) * scattering + absorption + root;
    let scale = (1.0 - K1) * (1.0 - K2) / (below * below * root);
    (
        -scale * scattering * (root + absorption + scattering),
        scale * (root * (below - (1.0 - K2) * scattering) - scattering * absorption),
    )
}

/// Reflectance of a film of scattering thickness `tau` = S·X and q = K/S over a base of reflectance `base`.
///
/// `tau` = 0 gives the base, a large `tau` the endless layer. All inside the paint: no surface.
///
/// # Source
/// Kubelka 1948, *New contributions to the optics of intensely light-scattering materials*, part I, hyperbolic form,
/// written with tanh so that nothing overflows.
#[must_use]
pub fn film_over(base: f64, q: f64, tau: f64) -> f64 {
    let a = 1.0 + q;
    let b = (q * (q + 2.0)).sqrt();
    let beta = if b < 1e-9 { tau } else { (b * tau).tanh() / b };
    ((1.0 - a * base) * beta + base) / (1.0 + (a - base) * beta)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_surface_goes_in_and_out_again() {
        for r in [0.035, 0.1, 0.5, 0.985] {
            assert!((surface_outward(surface_inward(r)) - r).abs() < 1e-14);
        }
    }

    #[test]
    fn an_endless_layer_is_the_same_by_either_way() {
        for (k, s) in [(0.0, 0.4), (0.02, 0.9), (1.0, 0.3), (40.0, 0.1)] {
            let by_steps = surface_outward(infinite_reflectance(k / s));
            assert!((endless_layer(k, s) - by_steps).abs() < 1e-14);
        }
    }

    #[test]
    fn a_film_runs_from_its_base_to_the_endless_layer() {
        assert!((film_over(0.4, 2.0, 0.0) - 0.4).abs() < 1e-15);
        assert!((film_over(0.4, 2.0, 1e6) - infinite_reflectance(2.0)).abs() < 1e-12);
        assert!(
            (film_over(0.0, 0.0, 3.0) - 0.75).abs() < 1e-12,
            "no absorption: tau/(1+tau)"
        );
    }
}
