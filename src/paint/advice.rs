//! What a list could tell better: near-duplicates, doubtful colours, and what would make its mixes truer.

use super::list::{Opacity, Paint, PaintList};
use super::reflectance::reconstruct;
use crate::colour::{DeltaE00, Xyz, delta_e00};
use std::fmt;

/// One thing about a list that is no fault, but worth a word.
#[derive(Debug, Clone, PartialEq)]
pub enum ListAdvice {
    /// Two paints of one medium that hardly differ.
    NearlyAlike {
        /// The one.
        one: String,
        /// The other.
        other: String,
        /// How far apart they are.
        difference: DeltaE00,
    },
    /// No surface can have the colour.
    Impossible {
        /// The paint.
        paint: String,
    },
    /// Darker than dried paint gets.
    TooDark {
        /// The paint.
        paint: String,
        /// Its lightness.
        lightness: f64,
    },
    /// Lighter than dried paint gets.
    TooLight {
        /// The paint.
        paint: String,
        /// Its lightness.
        lightness: f64,
    },
    /// Its screen colour does not tell how strongly it tints.
    LetDownWanted {
        /// The paint.
        paint: String,
    },
    /// Paints without an opacity word.
    NoOpacity {
        /// How many.
        count: usize,
        /// Of how many.
        of: usize,
    },
    /// Paints without a medium: they are only mixed among themselves.
    NoMedium {
        /// The paints.
        paints: Vec<String>,
    },
}

/// Closer than this two paints of one medium are nearly alike. Our choice.
const NEARLY_ALIKE: f64 = 1.5;
/// Dried matt paint is hardly darker or lighter than this. Our choice.
const DARKEST: f64 = 8.0;
const LIGHTEST: f64 = 97.5;
/// Below this lightness a paint that is not opaque may tint far stronger than it looks. See the let-down.
const DARK_IN_THE_POT: f64 = 30.0;

/// Goes through a list.
#[must_use]
pub fn advice(list: &PaintList) -> Vec<ListAdvice> {
    let paints = list.paints();
    let mixed: Vec<&Paint> = paints
        .iter()
        .filter(|paint| paint.mixing_family().is_ok())
        .collect();
    let mut all = Vec::new();
    for (i, one) in mixed.iter().enumerate() {
        for other in &mixed[i + 1..] {
            let difference = delta_e00(one.colour, other.colour);
            if difference.0 < NEARLY_ALIKE && one.medium == other.medium {
                all.push(ListAdvice::NearlyAlike {
                    one: one.name.clone(),
                    other: other.name.clone(),
                    difference,
                });
            }
        }
    }
    for paint in paints {
        let (name, lightness) = (paint.name.clone(), paint.colour.l);
        if paint.measured.is_none() && reconstruct(Xyz::from(paint.colour)).moved_toward_grey > 0.0
        {
            all.push(ListAdvice::Impossible { paint: name });
        } else if lightness < DARKEST {
            all.push(ListAdvice::TooDark {
                paint: name,
                lightness,
            });
        } else if lightness > LIGHTEST {
            all.push(ListAdvice::TooLight {
                paint: name,
                lightness,
            });
        }
    }
    all.extend(
        mixed
            .iter()
            .filter(|paint| {
                let see_through = paint.opacity == Some(Opacity::Transparent);
                let dark =
                    paint.colour.l < DARK_IN_THE_POT && paint.opacity != Some(Opacity::Opaque);
                !paint.strength_is_known() && (see_through || dark)
            })
            .map(|paint| ListAdvice::LetDownWanted {
                paint: paint.name.clone(),
            }),
    );
    let without = mixed.iter().filter(|paint| paint.opacity.is_none()).count();
    if without > 0 {
        all.push(ListAdvice::NoOpacity {
            count: without,
            of: mixed.len(),
        });
    }
    let unknown: Vec<String> = paints
        .iter()
        .filter(|paint| paint.medium.is_none())
        .map(|paint| paint.name.clone())
        .collect();
    if !unknown.is_empty() {
        all.push(ListAdvice::NoMedium { paints: unknown });
    }
    all
}

impl fmt::Display for ListAdvice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NearlyAlike {
                one,
                other,
                difference,
            } => write!(
                f,
                "{one} and {other} are nearly alike (ΔE00 {:.1}): one of them will do, or a colour is mistyped",
                difference.0
            ),
            Self::Impossible { paint } => write!(
                f,
                "{paint}: no surface can have the listed colour; read it off again"
            ),
            Self::TooDark { paint, lightness } => write!(
                f,
                "{paint}: L* {lightness:.0} is darker than dried paint gets; was it read off a wet or shaded swatch?"
            ),
            Self::TooLight { paint, lightness } => write!(
                f,
                "{paint}: L* {lightness:.0} is lighter than dried paint gets; was the swatch overexposed?"
            ),
            Self::LetDownWanted { paint } => write!(
                f,
                "{paint}: dark or transparent in the pot, so its strength is a guess; mix 1 part with 3 parts white, dry it, and enter let_down_hex and let_down_parts_white = 3"
            ),
            Self::NoOpacity { count, of } => write!(
                f,
                "{count} of {of} paints have no opacity word; opaque, semi-opaque, semi-transparent or transparent makes their mixes truer"
            ),
            Self::NoMedium { paints } => write!(
                f,
                "no medium is given for {}: such paints are only mixed among themselves",
                paints.join(", ")
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(rows: &str) -> Vec<String> {
        let text = format!("name,hex,medium,opacity\n{rows}");
        let list = PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap();
        advice(&list).iter().map(ToString::to_string).collect()
    }

    #[test]
    fn a_good_list_is_left_in_peace() {
        assert!(told("white,#f2f1ec,acrylic,opaque\nbrick,#93503d,acrylic,opaque\n").is_empty());
    }

    #[test]
    fn doubtful_paints_are_named() {
        let all = told(
            "a,#93503d,acrylic,opaque\nb,#93513d,acrylic,opaque\nink,#201a40,ink,transparent\nnight,#030303,acrylic,opaque\nodd,#808080,,\n",
        );
        for word in [
            "a and b are nearly alike",
            "ink: dark or transparent",
            "night: L* 1",
            "1 of 5 paints",
            "for odd",
        ] {
            assert!(
                all.iter().any(|line| line.contains(word)),
                "{word}: {all:?}"
            );
        }
    }
}
