//! A wash: a thin film of much-thinned paint over a base.

use super::exponential::less_by;
use super::kubelka_munk::{FilmOptics, PaintSurface};
use super::make::MIRROR_SHARE;
use super::prepared::{Mixture, MixtureError, Prepared, R_MAX, blended, opaque_mix};
use super::reflectance::reconstruct;
use crate::colour::{BANDS, DeltaE00, LabD65, Spectrum, Xyz, delta_e00, seen_in_daylight};
use serde::{Deserialize, Serialize};

/// Scattering thickness of a brushed coat of a paint of scattering 1.
///
/// Our choice, by measurement on 13 watercolours in 11 amounts each.
pub const BRUSHED_COAT: f64 = 10.0;
/// Wet film of a wash against that of a brushed coat. Common practice, no source.
pub const FILM_OF_A_WASH: f64 = 0.5;
/// How much thicker a wash lies in recesses than on flats. Common practice, no source: 2 light texture, 4 brick joints
/// and planks, 8 deep grooves.
pub const DEFAULT_POOL: f64 = 4.0;
/// A film lies up to this many times thicker or thinner than planned, in two cases of three, until a patch of one is
/// read. Our choice.
pub const FILM_WITHIN: f64 = 2.0;
/// The same factor once a patch has been read. Our choice.
pub const FILM_READ_WITHIN: f64 = 1.25;
/// How much thicker it lies in recesses is known to this factor besides. Our choice.
const POOL_WITHIN: f64 = 1.5;

/// How many times thicker or thinner a film may lie in recesses that on flats may by `on_flats`: both doubts together, as
/// they are independent.
#[must_use]
pub fn within_in_recesses(on_flats: f64) -> f64 {
    on_flats.ln().hypot(POOL_WITHIN.ln()).exp()
}

/// How a wash is laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wash {
    /// Volume share of paint in the wash, 0..1: 1 part paint to 9 thinner is 0.1.
    pub paint_share: f64,
    /// Passes, each of the same film.
    pub passes: f64,
    /// Wet film against a brushed coat; see [`FILM_OF_A_WASH`].
    pub film: f64,
    /// Thickness in recesses against flats; see [`DEFAULT_POOL`].
    pub pool: f64,
}

impl Wash {
    /// `thin` parts thinner to 1 part paint, with the default film and pool.
    #[must_use]
    pub fn thinned(thin: f64, passes: f64) -> Self {
        Self {
            paint_share: 1.0 / (1.0 + thin),
            passes,
            film: FILM_OF_A_WASH,
            pool: DEFAULT_POOL,
        }
    }

    /// Scattering thickness on the flats of a paint of scattering 1.
    #[must_use]
    pub fn thickness(&self) -> f64 {
        BRUSHED_COAT * self.paint_share * self.passes * self.film
    }
}

/// What a wash looks like once dry.
#[derive(Debug, Clone, Copy)]
pub struct Film {
    /// Scattering thickness on the flats, mean over the bands.
    pub tau_flat: f64,
    /// Colour of the flats.
    pub flat: Xyz,
    /// Colour in the recesses.
    pub recess: Xyz,
}

/// A base made ready to lie under films.
#[derive(Debug, Clone)]
pub struct Ground {
    reflectance: Spectrum,
}

impl Ground {
    /// From a base's colour.
    #[must_use]
    pub fn new(base: Xyz) -> Self {
        Self {
            reflectance: reconstruct(base).reflectance,
        }
    }
}

/// Paints mixed in parts by volume, ready to be laid as films.
#[derive(Debug)]
pub struct WashPot {
    blend: Mixture,
    own: Xyz,
}

impl WashPot {
    /// From prepared paints and their parts.
    ///
    /// # Errors
    /// [`MixtureError`] when all parts are zero, or one is negative or no number.
    pub fn new(parts: &[(&Prepared, f64)]) -> Result<Self, MixtureError> {
        Ok(Self {
            blend: blended(parts)?,
            own: opaque_mix(parts)?,
        })
    }

    /// The pot laid thick enough to cover what is beneath.
    #[must_use]
    pub fn own_colour(&self) -> Xyz {
        self.own
    }

    /// How far a film may be off because nobody lays one to measure: `factor` is how many times thicker or thinner it may
    /// lie, two in three.
    #[must_use]
    pub fn doubt(&self, ground: &Ground, thickness: f64, factor: f64) -> FilmDoubt {
        let films = self.laid_on(ground);
        let at = |thickness: f64| LabD65::from(films.at(thickness));
        let (bare, laid) = (at(0.0), at(thickness));
        let moved = |by: f64| delta_e00(at(thickness * by), laid).0;
        let (from_base, from_own) = (delta_e00(bare, laid).0, delta_e00(laid, self.own.into()).0);
        FilmDoubt {
            hiding: from_base / (from_base + from_own).max(1e-9),
            by_thickness: DeltaE00(f64::midpoint(moved(factor), moved(1.0 / factor))),
        }
    }

    /// The colour of a ground under a film; `thickness` as [`Wash::thickness`] gives it, times the pool in recesses.
    ///
    /// In every band it runs without a step from the ground's reflectance to that of the endless layer.
    #[must_use]
    pub fn over(&self, ground: &Ground, thickness: f64) -> Xyz {
        self.laid_on(ground).at(thickness)
    }

    /// Made ready for films of any thickness over this ground.
    #[must_use]
    pub fn laid_on(&self, ground: &Ground) -> Films {
        let mut films = Films {
            mirror: self.blend.mirror,
            bands: [[0.0; BANDS]; 5],
        };
        let [a, b, rate, bare, inside] = &mut films.bands;
        for band in 0..BANDS {
            let q = self.blend.k_over_s.values()[band];
            let base = ground.reflectance.values()[band].min(R_MAX);
            a[band] = 1.0 + q;
            b[band] = (q * (q + 2.0)).sqrt().max(LEAST_B);
            rate[band] = -2.0 * b[band] * self.blend.scattering.values()[band];
            bare[band] = films.mirror.min(MIRROR_SHARE * base);
            inside[band] = PaintSurface::mirroring(bare[band]).inward(base);
        }
        films
    }
}

/// Keeps a film that absorbs nothing a number: its tanh bτ / b is then τ.
const LEAST_B: f64 = 1e-9;

/// A pot over one ground: what all its films share.
#[derive(Debug, Clone)]
pub struct Films {
    mirror: f64,
    /// A band: a and b of [`FilmOptics`], −2 b S, what the bare ground mirrors, and its reflectance within.
    bands: [[f64; BANDS]; 5],
}

impl Films {
    /// As [`WashPot::over`]: `film_seen_over` of all bands side by side. tanh bτ / b is N / D with N = 1 − exp(−2bτ) and
    /// D = (2 − N) b, and so much of each fraction is brought under one line that two divisions a band are left.
    #[must_use]
    pub fn at(&self, thickness: f64) -> Xyz {
        let [a, b, rate, bare, inside] = &self.bands;
        let mut seen = [0.0; BANDS];
        for band in 0..BANDS {
            let (a, b, base) = (a[band], b[band], inside[band]);
            let less = less_by(rate[band] * thickness);
            let (above, below) = (-less, (2.0 + less) * b);
            let through = below + a * above;
            let twice = 4.0 * (1.0 + less) * b * b / (through * through);
            let up = (1.0 - a * base) * above + base * below;
            let down = through - base * above;
            let mirrored = self.mirror + (bare[band] - self.mirror) * twice;
            seen[band] = mirrored + (1.0 - mirrored) * PaintSurface::out_of(up, down);
        }
        seen_in_daylight(&Spectrum::new(seen))
    }
}

/// How far a film may be off.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FilmDoubt {
    /// How far the way from the base to the pot's own colour the film has gone, 0 to 1.
    pub hiding: f64,
    /// Mean difference to a film thicker and to one thinner by the given factor.
    pub by_thickness: DeltaE00,
}

impl FilmDoubt {
    /// Two in three real films should fall within this much: the pot's own error as far as it hides the base, and that of
    /// the thickness.
    ///
    /// Our choice, checked: on films computed from artists' acrylics 75 to 78 % lie within it, thin and thick alike; on
    /// measured watercolours, whose pots are known, 60 to 81 %.
    #[must_use]
    pub fn with_pot(&self, pot: DeltaE00) -> DeltaE00 {
        DeltaE00((pot.0 * self.hiding).hypot(self.by_thickness.0))
    }
}

/// Reflectance as measured of a film of scattering thickness `tau` and q = K/S over a base that reflects `base`.
///
/// The surface mirrors `mirror` where the film hides its base. If the base shows and is darker than that, it mirrors
/// at most four fifths of the light from the base (as for a paint's own darkest band), and in between by the light
/// that passes the film twice: so nothing laid is the base itself, also over near-black. Our choice.
pub(super) fn film_seen_over(base: f64, q: f64, tau: f64, mirror: f64) -> f64 {
    let base = base.min(R_MAX);
    let bare = mirror.min(MIRROR_SHARE * base);
    let film = FilmOptics::of_film(q, tau);
    let inside = film.over(PaintSurface::mirroring(bare).inward(base));
    let mirrored = mirror + (bare - mirror) * film.passing_twice();
    PaintSurface::mirroring(mirrored).outward(inside)
}

/// The colour of a base under a wash of paints mixed in parts by volume, on flats and in recesses.
///
/// # Errors
/// [`MixtureError`] when all parts are zero, or one is negative or no number.
///
/// # Source
/// Kubelka 1948 for the film, Saunderson 1942 for its surface.
pub fn wash_over(base: Xyz, parts: &[(&Prepared, f64)], wash: &Wash) -> Result<Film, MixtureError> {
    let pot = WashPot::new(parts)?;
    let ground = Ground::new(base);
    let thickness = wash.thickness();
    #[expect(clippy::cast_precision_loss, reason = "36 bands")]
    let mean_scattering = pot.blend.scattering.values().iter().sum::<f64>() / BANDS as f64;
    Ok(Film {
        tau_flat: thickness * mean_scattering,
        flat: pot.over(&ground, thickness),
        recess: pot.over(&ground, thickness * wash.pool),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Srgb8;

    fn colour(hex: [u8; 3]) -> Xyz {
        Srgb8(hex).to_linear().into()
    }

    /// Below anything the eye can distinguish.
    const THE_SAME: f64 = 0.05;

    #[test]
    fn a_film_of_nothing_is_the_base_even_a_near_black_one() {
        let paint = Prepared::from_colour(colour([0xcb, 0xbf, 0x9f]), None, 1.0);
        for base in [
            [0x11, 0x11, 0x11],
            [0x2a, 0x15, 0x10],
            [0x9c, 0x5a, 0x44],
            [0xe8, 0xe2, 0xd0],
        ] {
            let wash = Wash {
                paint_share: 0.0,
                ..Wash::thinned(8.0, 1.0)
            };
            let film = wash_over(colour(base), &[(&paint, 1.0)], &wash).unwrap();
            let off = delta_e00(film.flat.into(), colour(base).into()).0;
            assert!(off < THE_SAME, "{}: {off}", Srgb8(base));
        }
    }

    /// The plain formulas, band by band.
    #[test]
    fn films_side_by_side_are_those_of_the_plain_formulas() {
        let pure = Some(crate::paint::Opacity::Transparent);
        let paints = [
            Prepared::from_colour(colour([0xcb, 0xbf, 0x9f]), None, 1.0),
            Prepared::from_colour(colour([0x1c, 0x14, 0x30]), pure, 2.0),
            Prepared::from_colour(colour([0xf8, 0xf8, 0xf4]), None, 0.4),
        ];
        for base in [[0x11, 0x11, 0x11], [0x9c, 0x5a, 0x44], [0xff, 0xff, 0xff]] {
            let ground = Ground::new(colour(base));
            for parts in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [3.0, 1.0, 2.0]] {
                let parts: Vec<(&Prepared, f64)> = paints.iter().zip(parts).collect();
                let pot = WashPot::new(&parts).unwrap();
                let films = pot.laid_on(&ground);
                for thickness in [0.0, 1e-6, 0.01, 0.3, 1.0, 7.0, 500.0] {
                    let plain = seen_in_daylight(&Spectrum::new(std::array::from_fn(|band| {
                        film_seen_over(
                            ground.reflectance.values()[band],
                            pot.blend.k_over_s.values()[band],
                            thickness * pot.blend.scattering.values()[band],
                            pot.blend.mirror,
                        )
                    })));
                    let own = films.at(thickness).as_array();
                    for (own, plain) in own.into_iter().zip(plain.as_array()) {
                        assert!((own - plain).abs() <= 1e-14, "{thickness}: {own} {plain}");
                    }
                }
            }
        }
    }

    #[test]
    fn a_wash_never_ends_lighter_than_both_base_and_its_own_colour() {
        let greys = [0x08_u8, 0x14, 0x20, 0x2c, 0x38, 0x50, 0x90, 0xe0];
        for base in greys {
            for wash in greys {
                let paint = Prepared::from_colour(colour([wash, wash, wash / 2]), None, 1.0);
                for thin in [1.0, 8.0, 64.0] {
                    let base = colour([base; 3]);
                    let film =
                        wash_over(base, &[(&paint, 1.0)], &Wash::thinned(thin, 2.0)).unwrap();
                    let most = base.y.max(paint.xyz.y) + 1e-12;
                    assert!(
                        film.flat.y <= most && film.recess.y <= most,
                        "{base:?} {wash} {thin}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_black_wash_leaves_a_near_black_base_as_it_is() {
        let black = Prepared::from_colour(colour([0x0c, 0x0c, 0x0c]), None, 1.0);
        let base = colour([0x1c, 0x1b, 0x1a]);
        let film = wash_over(base, &[(&black, 1.0)], &Wash::thinned(2.0, 3.0)).unwrap();
        for seen in [film.flat, film.recess] {
            assert!(
                LabD65::from(seen).l <= LabD65::from(base).l + 1e-9,
                "{seen:?}"
            );
        }
    }
}
