//! How a paint scatters, worked out from colours that it gave: let-downs with white, coats over a black and a white
//! card.
//!
//! In: a paint known by its own colour, and [`Sight`]s of it. Out: scattering in each band, so that mixes *and* films
//! of that one paint give the colours that were seen. K follows, for K/S is the paint's own.

use super::film::film_seen_over;
use super::kubelka_munk::{PaintSurface, infinite_reflectance};
use super::prepared::Prepared;
use super::reflectance::reconstruct;
use crate::colour::{
    BANDS, DeltaE00, LabD65, LabSlope, Spectrum, Xyz, d65_weights, delta_e00, seen_in_daylight,
};
use crate::linear::solve;

/// What was done with the paint.
#[derive(Debug, Clone)]
pub enum Done {
    /// Mixed with white; the paint's share by volume, 0 to 1. The white counts as of scattering 1.
    LetDown {
        /// The paint's share.
        share: f64,
    },
    /// Laid over a base of this colour, so thick (see [`super::Wash::thickness`]).
    LaidOver {
        /// The base's colour.
        base: Xyz,
        /// Scattering thickness of a paint of scattering 1.
        thickness: f64,
    },
}

/// The colour that it gave.
#[derive(Debug, Clone)]
pub enum SeenAs {
    /// As photographed or read from a chart.
    Colour(LabD65),
    /// As measured.
    Reflectance(Box<Spectrum>),
}

/// One thing seen of a paint.
#[derive(Debug, Clone)]
pub struct Sight {
    /// What was done.
    pub done: Done,
    /// What was seen.
    pub seen: SeenAs,
    /// How far that may be off, CIEDE2000: several sights count by it.
    pub uncertainty: f64,
}

/// What these colours show of a paint.
#[derive(Debug, Clone)]
pub struct ScatteringTold {
    /// Relative scattering a band, white's being 1.
    pub scattering: Spectrum,
    /// Its mean over the bands, by ratio.
    pub strength: f64,
    /// How far each sight is from what the paint now gives, in the order they were handed in.
    pub residuals: Vec<DeltaE00>,
}

impl ScatteringTold {
    /// The worst of the residuals.
    #[must_use]
    pub fn worst(&self) -> DeltaE00 {
        DeltaE00(self.residuals.iter().map(|r| r.0).fold(0.0, f64::max))
    }
}

/// Beyond this no paint has both colours: below, rounding to a screen colour can make it. Our choice.
pub const DISAGREES: f64 = 1.0;
/// A smoother paint that comes this near is taken before a rougher one. Our choice.
const NEAR_ENOUGH: f64 = 0.95;
/// How much ln S may change from band to band, the smoothest tried first. Chosen on watercolours with one let-down: the
/// first predicts other mixes best (`WHY.md`); the others are for let-downs that it cannot give.
const ROUGHNESS: [f64; 11] = [
    0.02, 0.03, 0.045, 0.07, 0.1, 0.15, 0.22, 0.33, 0.5, 0.75, 1.5,
];
/// How far, in ln, strength usually is from what the colour alone lets one take. Our choice: it hardly counts
/// compared with such a colour.
const SPREAD: f64 = 1.0;
/// Bounds of ln S.
const WEAKEST: f64 = -9.0;
const STRONGEST: f64 = 2.2;
/// What a colour counts as off by least, so that it is met nearly exactly; and a reflectance.
const MET_WITHIN: f64 = 0.6;
const REFLECTANCE_MET_WITHIN: f64 = 0.002;
const ROUNDS: usize = 60;
/// Step of the slopes, in ln S.
const STEP: f64 = 1e-4;

/// Finds the smoothest ln S with which the paint gives what was seen: least squares by Gauss and Newton, damped.
///
/// # Source
/// Duncan 1940 for mixes, Kubelka 1948 for films, Saunderson 1942 for the surface. Smoothness in the logarithm: our choice,
/// as Burns 2020 has it for reflectances.
#[must_use]
pub fn scattering_told(paint: &Prepared, white: &Prepared, sights: &[Sight]) -> ScatteringTold {
    let mut best: Option<ScatteringTold> = None;
    for roughness in ROUGHNESS {
        let told = LetDownFit {
            paint,
            white,
            sights,
            roughness,
        }
        .scattering_told();
        let near = told.worst().0;
        if best.as_ref().is_none_or(|best| near < best.worst().0) {
            best = Some(told);
        }
        if near <= NEAR_ENOUGH {
            break;
        }
    }
    best.unwrap_or_else(|| ScatteringTold {
        scattering: paint.scattering,
        strength: paint.scattering.values()[BANDS / 2],
        residuals: Vec::new(),
    })
}

/// Which of a paint's two colours is likelier to be wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Doubtful {
    /// What was seen of it: a paint of this colour gives nothing nearer than this.
    Sight(DeltaE00),
    /// Its own colour: moved by this, it would fit.
    OwnColour(DeltaE00),
}

/// For a paint that cannot give what was seen: the smaller of the two changes that would make it fit.
#[must_use]
pub fn which_is_doubtful(
    told: &ScatteringTold,
    own: Xyz,
    made: &dyn Fn(Xyz) -> Prepared,
    white: &Prepared,
    sights: &[Sight],
) -> Doubtful {
    let off = told.worst();
    let lab = LabD65::from(own);
    for away in [1.0, 2.0, 4.0, 8.0, 16.0] {
        if away >= off.0 {
            break;
        }
        for direction in 0..27 {
            let step = |power: i32| f64::from(direction / 3_i32.pow(u32::from(power == 1)) % 3 - 1);
            let [l, a, b] = [f64::from(direction / 9 - 1), step(1), step(0)];
            let length = (l * l + a * a + b * b).sqrt();
            if length <= 0.0 {
                continue;
            }
            let by = away / length;
            let moved = LabD65::new(
                (lab.l + by * l).clamp(0.5, 99.0),
                lab.a + by * a,
                lab.b + by * b,
            );
            let paint = made(Xyz::from(moved).clamped());
            let told = LetDownFit {
                paint: &paint,
                white,
                sights,
                roughness: ROUGHNESS[8],
            }
            .scattering_told();
            if told.worst().0 <= DISAGREES {
                return Doubtful::OwnColour(delta_e00(lab, moved));
            }
        }
    }
    Doubtful::Sight(off)
}

type Bands = [f64; BANDS];

/// One search, at one roughness.
struct LetDownFit<'a> {
    paint: &'a Prepared,
    white: &'a Prepared,
    sights: &'a [Sight],
    roughness: f64,
}

impl LetDownFit<'_> {
    fn scattering_told(&self) -> ScatteringTold {
        let mut logs: Bands = self.paint.scattering.values().map(|s| s.max(1e-4).ln());
        let mut now = self.cost(&logs);
        let mut damping = 1e-3;
        for _ in 0..ROUNDS {
            let Some(next) = self.improved(&logs, damping) else {
                break;
            };
            let there = self.cost(&next);
            if there < now {
                let gained = now - there;
                (logs, now) = (next, there);
                damping *= 0.3;
                if gained < 1e-7 * now {
                    break;
                }
            } else {
                damping *= 10.0;
                if damping > 1e8 {
                    break;
                }
            }
        }
        #[expect(clippy::cast_precision_loss, reason = "36 bands")]
        let mean = logs.iter().sum::<f64>() / BANDS as f64;
        ScatteringTold {
            scattering: Spectrum::new(logs.map(f64::exp)),
            strength: mean.exp(),
            residuals: self
                .sights
                .iter()
                .map(|sight| {
                    let seen = match &sight.seen {
                        SeenAs::Colour(lab) => *lab,
                        SeenAs::Reflectance(seen) => seen_in_daylight(seen).into(),
                    };
                    delta_e00(
                        self.colour(sight, &self.reflectance(sight, &logs)).into(),
                        seen,
                    )
                })
                .collect(),
        }
    }

    /// Reflectance as measured of what was done with the paint, at these ln S.
    fn reflectance(&self, sight: &Sight, logs: &Bands) -> Bands {
        let q = self.paint.k_over_s.values();
        match &sight.done {
            Done::LetDown { share } => {
                let mirror = share * self.paint.mirror + (1.0 - share) * self.white.mirror;
                let white = self.white.k_over_s.values();
                std::array::from_fn(|band| {
                    let s = share * logs[band].exp();
                    let mixed = (s * q[band] + (1.0 - share) * white[band]) / (s + 1.0 - share);
                    PaintSurface::mirroring(mirror).outward(infinite_reflectance(mixed))
                })
            }
            Done::LaidOver { base, thickness } => {
                let base = reconstruct(*base).reflectance;
                std::array::from_fn(|band| {
                    let tau = thickness * logs[band].exp();
                    film_seen_over(base.values()[band], q[band], tau, self.paint.mirror)
                })
            }
        }
    }

    fn colour(&self, sight: &Sight, reflectance: &Bands) -> Xyz {
        let model = seen_in_daylight(&Spectrum::new(*reflectance));
        match &sight.done {
            Done::LetDown { share } => model
                .blend(1.0, self.paint.residual, *share)
                .blend(1.0, self.white.residual, 1.0 - share)
                .clamped(),
            Done::LaidOver { .. } => model,
        }
    }

    /// What is off, weighed: the sights, how rough ln S is, and how far its mean is from what the colour suggests.
    fn cost(&self, logs: &Bands) -> f64 {
        let mut cost = 0.0;
        for sight in self.sights {
            let reflectance = self.reflectance(sight, logs);
            cost += match &sight.seen {
                SeenAs::Colour(seen) => {
                    let got = LabD65::from(self.colour(sight, &reflectance));
                    let off = [got.l - seen.l, got.a - seen.a, got.b - seen.b];
                    off.iter().map(|v| v * v).sum::<f64>() * self.weight(sight)
                }
                SeenAs::Reflectance(seen) => {
                    let off = reflectance.iter().zip(seen.values()).map(|(r, s)| r - s);
                    off.map(|v| (v / REFLECTANCE_MET_WITHIN).powi(2)).sum()
                }
            };
        }
        let rough: f64 = logs.windows(2).map(|w| (w[1] - w[0]).powi(2)).sum();
        cost + rough / self.roughness.powi(2) + (self.mean_off(logs) / SPREAD).powi(2)
    }

    /// By its uncertainty where there are several sights; one alone is met as it is.
    fn weight(&self, sight: &Sight) -> f64 {
        let least = self
            .sights
            .iter()
            .map(|s| s.uncertainty)
            .fold(f64::INFINITY, f64::min);
        let relative = (sight.uncertainty / least.max(1e-6)).max(1.0);
        (MET_WITHIN * relative).powi(-2)
    }

    fn mean_off(&self, logs: &Bands) -> f64 {
        let expected = self.paint.scattering.values();
        let off = logs
            .iter()
            .zip(expected)
            .map(|(log, s)| log - s.max(1e-4).ln());
        #[expect(clippy::cast_precision_loss, reason = "36 bands")]
        let mean = off.sum::<f64>() / BANDS as f64;
        mean
    }

    /// One damped step; `None` when the equations have no solution.
    fn improved(&self, logs: &Bands, damping: f64) -> Option<Bands> {
        let mut normal = [[0.0; BANDS]; BANDS];
        let mut right = [[0.0]; BANDS];
        for sight in self.sights {
            self.add_sight(sight, logs, &mut normal, &mut right);
        }
        let stiff = self.roughness.powi(-2);
        for band in 1..BANDS {
            let step = logs[band] - logs[band - 1];
            normal[band][band] += stiff;
            normal[band - 1][band - 1] += stiff;
            normal[band][band - 1] -= stiff;
            normal[band - 1][band] -= stiff;
            right[band][0] -= stiff * step;
            right[band - 1][0] += stiff * step;
        }
        #[expect(clippy::cast_precision_loss, reason = "36 bands")]
        let (each, off) = (1.0 / BANDS as f64 / SPREAD, self.mean_off(logs) / SPREAD);
        for (row, value) in normal.iter_mut().zip(&mut right) {
            value[0] -= each * off;
            for entry in row {
                *entry += each * each;
            }
        }
        for (band, row) in normal.iter_mut().enumerate() {
            row[band] *= 1.0 + damping;
        }
        let steps = solve(&mut normal, right)?;
        Some(std::array::from_fn(|band| {
            (logs[band] + steps[band][0].clamp(-1.0, 1.0)).clamp(WEAKEST, STRONGEST)
        }))
    }

    fn add_sight(
        &self,
        sight: &Sight,
        logs: &Bands,
        normal: &mut [Bands; BANDS],
        right: &mut [[f64; 1]; BANDS],
    ) {
        let here = self.reflectance(sight, logs);
        let there = self.reflectance(sight, &logs.map(|log| log + STEP));
        let slope: Bands = std::array::from_fn(|band| (there[band] - here[band]) / STEP);
        match &sight.seen {
            SeenAs::Colour(seen) => {
                let xyz = self.colour(sight, &here);
                let (to_lab, got) = (LabSlope::at(xyz), LabD65::from(xyz));
                let off = [got.l - seen.l, got.a - seen.a, got.b - seen.b];
                let weight = self.weight(sight);
                let by_band: [[f64; 3]; BANDS] = std::array::from_fn(|band| {
                    to_lab.change_with(d65_weights()[band].map(|w| w * slope[band]))
                });
                for (row, mine) in by_band.iter().enumerate() {
                    for (column, other) in by_band.iter().enumerate() {
                        normal[row][column] += weight * crate::linear::dot(mine, other);
                    }
                    right[row][0] -= weight * crate::linear::dot(mine, &off);
                }
            }
            SeenAs::Reflectance(seen) => {
                let weight = REFLECTANCE_MET_WITHIN.powi(-2);
                for band in 0..BANDS {
                    normal[band][band] += weight * slope[band] * slope[band];
                    right[band][0] -= weight * slope[band] * (here[band] - seen.values()[band]);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Srgb8;
    use crate::paint::{Ground, Opacity, WashPot, opaque_mix};

    fn colour(hex: [u8; 3]) -> Xyz {
        Srgb8(hex).to_linear().into()
    }

    fn white() -> Prepared {
        let white = Prepared::from_colour(colour([0xf4, 0xf4, 0xf0]), Some(Opacity::Opaque), 1.0);
        white.with_scattering(Spectrum::flat(1.0))
    }

    fn let_down(share: f64, seen: [u8; 3]) -> Sight {
        Sight {
            done: Done::LetDown { share },
            seen: SeenAs::Colour(colour(seen).into()),
            uncertainty: 3.0,
        }
    }

    /// A let-down that stands in a builder's list: umber 1 to 3, far greyer than a guess from the colour alone.
    #[test]
    fn what_was_entered_comes_back() {
        let umber = Prepared::from_colour(colour([0x5a, 0x46, 0x34]), None, 1.0);
        let seen = [0xb5, 0xa6, 0x95];
        let told = scattering_told(&umber, &white(), &[let_down(0.25, seen)]);
        let umber = umber.with_scattering(told.scattering);
        let mixed = opaque_mix(&[(&umber, 1.0), (&white(), 3.0)]).unwrap();
        let off = delta_e00(mixed.into(), colour(seen).into()).0;
        assert!(off <= NEAR_ENOUGH && told.worst().0 <= NEAR_ENOUGH, "{off}");
        // The same paint, thin over white, is a beige and no mustard.
        let film = WashPot::new(&[(&umber, 1.0)]).unwrap();
        let film = LabD65::from(film.over(&Ground::new(colour([0xf2, 0xf1, 0xec])), 0.4));
        assert!(film.chroma() < 25.0, "{film:?}");
    }

    #[test]
    fn a_let_down_darker_than_the_paint_itself_is_told_as_doubtful() {
        let pale = colour([0xc8, 0xc0, 0xa8]);
        let made = |own: Xyz| Prepared::from_colour(own, None, 1.0);
        let sights = [let_down(0.25, [0x70, 0x60, 0x50])];
        let told = scattering_told(&made(pale), &white(), &sights);
        assert!(told.worst().0 > 10.0, "{:?}", told.worst());
        let doubt = which_is_doubtful(&told, pale, &made, &white(), &sights);
        let (Doubtful::Sight(off) | Doubtful::OwnColour(off)) = doubt;
        assert!(off.0 > DISAGREES && off.0 <= told.worst().0, "{doubt:?}");
    }

    #[test]
    fn a_coat_over_black_and_over_white_tells_how_far_a_paint_hides() {
        let ochre = Prepared::from_colour(colour([0xb0, 0x86, 0x48]), None, 1.0);
        let bases = [colour([0x26, 0x26, 0x26]), colour([0xf4, 0xf4, 0xf0])];
        for true_scattering in [0.05, 0.2, 0.6] {
            let truly = ochre
                .clone()
                .with_scattering(Spectrum::flat(true_scattering));
            let pot = WashPot::new(&[(&truly, 1.0)]).unwrap();
            let sights = bases.map(|base| Sight {
                done: Done::LaidOver {
                    base,
                    thickness: 10.0,
                },
                seen: SeenAs::Colour(pot.over(&Ground::new(base), 10.0).into()),
                uncertainty: 3.0,
            });
            let told = scattering_told(&ochre, &white(), &sights);
            assert!(
                (told.strength / true_scattering).ln().abs() < 0.1,
                "{} for {true_scattering}",
                told.strength
            );
        }
    }

    #[test]
    fn several_let_downs_of_one_paint_are_met_together() {
        let green = Prepared::from_colour(colour([0x34, 0x4a, 0x38]), None, 1.0);
        let truly = green
            .clone()
            .with_scattering(Spectrum::new(std::array::from_fn(|band| {
                0.1 + 0.004 * f64::from(u8::try_from(band).unwrap())
            })));
        let seen = |share: f64| Sight {
            done: Done::LetDown { share },
            seen: SeenAs::Colour(
                opaque_mix(&[(&truly, share), (&white(), 1.0 - share)])
                    .unwrap()
                    .into(),
            ),
            uncertainty: 3.0,
        };
        let told = scattering_told(&green, &white(), &[seen(0.5), seen(0.25), seen(0.1)]);
        assert!(told.worst().0 < NEAR_ENOUGH, "{:?}", told.residuals);
    }
}
