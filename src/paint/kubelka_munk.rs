//! Light in a layer of paint: Kubelka–Munk theory, and the mirror that the paint's surface is.
//!
//! All values are fractions 0..1 a band. K absorption, S scattering, q = K/S.

/// Share of light that a paint's surface throws back inside: k2. Published .4 to .65 (Saunderson 1942: 0.6 for a flat
/// surface under diffuse light).
const THROWN_BACK: f64 = 0.60;

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
    /// A paint's surface that mirrors this much of the light: k1, with k2 = 0.60.
    #[must_use]
    pub const fn mirroring(k1: f64) -> Self {
        Self {
            k1,
            k2: THROWN_BACK,
        }
    }

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

    /// The share of the light from inside the paint that comes out of any surface, for a reflectance written as a
    /// fraction: the part of [`PaintSurface::outward`] that does not depend on mirrored light.
    #[inline]
    pub(super) fn out_of(up: f64, down: f64) -> f64 {
        (1.0 - THROWN_BACK) * up / (down - THROWN_BACK * up)
    }
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

/// Reflectance of an endless layer that absorbs K and scatters S, seen through a surface that mirrors nothing (k1 = 0):
/// [`infinite_reflectance`] of K/S, then [`PaintSurface::outward`], as one fraction with one division and one root. S must
/// be above 0. What a surface mirrors is the same in all bands and is added to the colour.
///
/// # Source
/// Kubelka and Munk 1931; Saunderson 1942.
#[must_use]
pub fn endless_layer(absorption: f64, scattering: f64) -> f64 {
    let root = (absorption * (absorption + 2.0 * scattering)).sqrt();
    (1.0 - THROWN_BACK) * scattering / ((1.0 - THROWN_BACK) * scattering + absorption + root)
}

/// How [`endless_layer`] changes with absorption and with scattering: its two partial derivatives. K and S above 0.
#[must_use]
pub fn endless_layer_slopes(absorption: f64, scattering: f64) -> (f64, f64) {
    let root = (absorption * (absorption + 2.0 * scattering)).sqrt();
    let below = (1.0 - THROWN_BACK) * scattering + absorption + root;
    let scale = (1.0 - THROWN_BACK) / (below * below * root);
    (
        -scale * scattering * (root + absorption + scattering),
        scale * (root * (below - (1.0 - THROWN_BACK) * scattering) - scattering * absorption),
    )
}

/// [`endless_layer`] of many bands at once, in single precision, and how each moves: a small addition dK and dS changes a
/// band by g·(K·dS − S·dK), of which the second figure is g.
#[must_use]
pub fn endless_layers<const N: usize>(
    absorption: &[f32; N],
    scattering: &[f32; N],
) -> ([f32; N], [f32; N]) {
    #[expect(clippy::cast_possible_truncation, reason = "a constant near one half")]
    const COMES_OUT: f32 = (1.0 - THROWN_BACK) as f32;
    let (mut seen, mut moves) = ([0.0; N], [0.0; N]);
    for i in 0..N {
        let (k, s) = (absorption[i].max(f32::MIN_POSITIVE), scattering[i]);
        let root = (k * (k + 2.0 * s)).sqrt();
        let below = COMES_OUT * s + k + root;
        let part = COMES_OUT / below;
        seen[i] = part * s;
        moves[i] = part * (root + k + s) / (below * root);
    }
    (seen, moves)
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
    FilmOptics::of_film(q, tau).over(base)
}

/// What a film of paint does to light, whatever lies beneath it. One exponential serves all of it, for washes are searched
/// among millions of films.
#[derive(Debug, Clone, Copy)]
pub(super) struct FilmOptics {
    a: f64,
    /// tanh bτ / b, with b² = a² − 1.
    beta: f64,
    /// 1 / cosh bτ.
    dimmed: f64,
}

impl FilmOptics {
    /// Of scattering thickness `tau` = S·X and q = K/S.
    pub(super) fn of_film(q: f64, tau: f64) -> Self {
        let b = (q * (q + 2.0)).sqrt();
        // exp(−2bτ) − 1, and from it the hyperbolic functions of bτ.
        let less = (-2.0 * b * tau).exp_m1();
        let beta = if b < 1e-9 {
            tau
        } else {
            -less / ((2.0 + less) * b)
        };
        Self {
            a: 1.0 + q,
            beta,
            dimmed: 2.0 * (1.0 + less).sqrt() / (2.0 + less),
        }
    }

    /// Reflectance over a base.
    pub(super) fn over(self, base: f64) -> f64 {
        let Self { a, beta, .. } = self;
        ((1.0 - a * base) * beta + base) / (1.0 + (a - base) * beta)
    }

    /// Share of light that goes down through the film and up again: T², T = b / (a sinh bτ + b cosh bτ).
    pub(super) fn passing_twice(self) -> f64 {
        let passing = self.dimmed / (1.0 + self.a * self.beta);
        passing * passing
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_surface_goes_in_and_out_again() {
        for k1 in [0.0, 0.025, 0.04] {
            let surface = PaintSurface::mirroring(k1);
            for r in [0.05, 0.1, 0.5, 0.985] {
                assert!((surface.outward(surface.inward(r)) - r).abs() < 1e-14);
            }
        }
    }

    #[test]
    fn an_endless_layer_is_the_same_by_either_way() {
        for (k, s) in [(0.0, 0.4), (0.02, 0.9), (1.0, 0.3), (40.0, 0.1)] {
            let by_steps = PaintSurface::mirroring(0.0).outward(infinite_reflectance(k / s));
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

    #[test]
    fn one_exponential_gives_what_the_hyperbolic_functions_give() {
        for q in [0.0, 1e-12, 1e-4, 0.03, 1.0, 40.0] {
            for tau in [0.0, 1e-7, 0.01, 0.8, 12.0, 4e3] {
                let film = FilmOptics::of_film(q, tau);
                let (a, b): (f64, f64) = (1.0 + q, (q * (q + 2.0)).sqrt());
                let x = b * tau;
                let beta = if b < 1e-9 { tau } else { x.tanh() / b };
                assert!((film.beta - beta).abs() <= 1e-12 * beta, "{q} {tau}");
                let passing = 1.0 / ((1.0 + a * beta) * x.cosh());
                let twice = film.passing_twice();
                assert!((twice - passing * passing).abs() < 1e-14, "{q} {tau}");
            }
        }
    }
}
