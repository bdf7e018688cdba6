//! How thick a builder's own washes lie: the usual thickness, narrowed by the patches that were read.

use crate::paint::{FILM_OF_A_WASH, FILM_READ_WITHIN, FILM_WITHIN, MixingFamily};

/// How thick washes of one kind of paint lie.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaidFilm {
    /// Wet film against a brushed coat.
    pub film: f64,
    /// How many times thicker or thinner the next one may lie, two in three.
    pub within: f64,
    /// Patches that showed it.
    pub patches: u32,
}

impl Default for LaidFilm {
    /// What is usual, as long as nothing was read.
    fn default() -> Self {
        Self {
            film: FILM_OF_A_WASH,
            within: FILM_WITHIN,
            patches: 0,
        }
    }
}

impl LaidFilm {
    /// A film that the builder states, as read from one patch.
    #[must_use]
    pub fn stated(film: f64) -> Self {
        Self {
            film,
            within: FILM_READ_WITHIN,
            patches: 0,
        }
    }
}

/// One film that was read from a dried patch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmReading {
    /// What the wash was of: such paints share their thinner.
    pub family: MixingFamily,
    /// Wet film against a brushed coat.
    pub film: f64,
    /// The thinnest that would look the same in the photo.
    pub thinnest: f64,
    /// The thickest.
    pub thickest: f64,
}

const FAMILIES: [MixingFamily; 7] = [
    MixingFamily::WaterBorne,
    MixingFamily::Enamel,
    MixingFamily::Oil,
    MixingFamily::Lacquer,
    MixingFamily::Ink,
    MixingFamily::Watercolour,
    MixingFamily::Unknown,
];

/// How thick washes lie, kind of paint by kind.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LaidFilms([LaidFilm; FAMILIES.len()]);

impl LaidFilms {
    /// One film for every kind.
    #[must_use]
    pub fn all(film: LaidFilm) -> Self {
        Self([film; FAMILIES.len()])
    }

    /// What patches show; for kinds of paint without one, the usual thickness.
    ///
    /// The logarithm of the film is normal: about the usual one, to a factor of [`FILM_WITHIN`] for the next wash of
    /// an unknown hand; [`FILM_READ_WITHIN`] of that is the hand's own difference from wash to wash. Each reading is
    /// off by that and by what its photo leaves open; they are weighed by their precisions (Gauss).
    #[must_use]
    pub fn told_by(readings: &[FilmReading]) -> Self {
        let (hand, all) = (FILM_READ_WITHIN.ln(), FILM_WITHIN.ln());
        Self(FAMILIES.map(|family| {
            let own: Vec<&FilmReading> = readings.iter().filter(|r| r.family == family).collect();
            if own.is_empty() {
                return LaidFilm::default();
            }
            let usual = 1.0 / (all * all - hand * hand);
            let (mut sum, mut weight) = (usual * FILM_OF_A_WASH.ln(), usual);
            for reading in &own {
                let photo = (reading.thickest / reading.thinnest).ln() / 2.0;
                let precision = 1.0 / (hand * hand + photo * photo);
                sum += precision * reading.film.ln();
                weight += precision;
            }
            LaidFilm {
                film: (sum / weight).exp(),
                within: (1.0 / weight + hand * hand).sqrt().exp(),
                patches: u32::try_from(own.len()).unwrap_or(u32::MAX),
            }
        }))
    }

    /// The film of one kind of paint.
    #[must_use]
    pub fn for_family(&self, family: MixingFamily) -> LaidFilm {
        let at = FAMILIES.iter().position(|known| *known == family);
        at.map_or_else(LaidFilm::default, |at| self.0[at])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(film: f64, apart: f64) -> FilmReading {
        FilmReading {
            family: MixingFamily::WaterBorne,
            film,
            thinnest: film / apart,
            thickest: film * apart,
        }
    }

    #[test]
    fn readings_narrow_the_film_of_their_own_kind_of_paint() {
        let films = |all: &[FilmReading]| LaidFilms::told_by(all);
        let none = films(&[]).for_family(MixingFamily::WaterBorne);
        assert_eq!(none, LaidFilm::default());
        let one = films(&[read(1.0, 1.2)]);
        assert_eq!(one.for_family(MixingFamily::Oil), LaidFilm::default());
        let one = one.for_family(MixingFamily::WaterBorne);
        assert!((0.8..1.0).contains(&one.film), "{one:?}");
        assert!(one.within < 1.5, "{one:?}");
        let three = films(&[read(1.0, 1.2); 3]).for_family(MixingFamily::WaterBorne);
        assert!(three.film > one.film && three.within < one.within);
        assert!(
            three.within > FILM_READ_WITHIN,
            "a hand is never quite the same"
        );
        // A photo that leaves all open hardly moves it.
        let vague = films(&[read(1.0, 8.0)]).for_family(MixingFamily::WaterBorne);
        assert!((0.5..0.55).contains(&vague.film), "{vague:?}");
        assert_eq!((one.patches, three.patches), (1, 3));
    }

    /// Drawn hands, of which each lays its washes a factor apart from the usual and from one wash to the next: the film told
    /// by this many patches lies within what is quoted of the next wash in two of three.
    #[test]
    fn the_next_film_lies_within_what_is_quoted_in_two_of_three() {
        let mut state = 7_u64;
        let mut even = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            #[expect(clippy::cast_precision_loss, reason = "53 bits fit")]
            let unit = (state >> 11) as f64 / (1_u64 << 53) as f64;
            unit
        };
        // Twelve even numbers less six are as good as normal.
        let mut normal = || (0..12).map(|_| even()).sum::<f64>() - 6.0;
        let (hand, all) = (FILM_READ_WITHIN.ln(), FILM_WITHIN.ln());
        for patches in 0..4 {
            let mut inside = 0;
            for _ in 0..1000 {
                let own = FILM_OF_A_WASH.ln() + (all * all - hand * hand).sqrt() * normal();
                let readings: Vec<FilmReading> = (0..patches)
                    .map(|_| {
                        let photo = 0.3;
                        let film = own + hand * normal() + photo * normal();
                        read(film.exp(), f64::exp(photo))
                    })
                    .collect();
                let told = LaidFilms::told_by(&readings).for_family(MixingFamily::WaterBorne);
                let next = own + hand * normal();
                if (next - told.film.ln()).abs() <= told.within.ln() {
                    inside += 1;
                }
            }
            assert!((640..=730).contains(&inside), "{patches} patches: {inside}");
        }
    }
}
