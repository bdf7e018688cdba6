//! What would make a list better: near-duplicates, doubtful colours, and what makes its mixes truer.

use super::called::{Called, called};
use super::list::{LetDown, LetDownColour, Opacity, Paint, PaintList};
use super::medium::Medium;
use super::reflectance::reconstruct;
use crate::colour::{DeltaE00, LabD65, Xyz, delta_e00, seen_in_daylight};
use std::fmt;

/// Something about a list that is not a fault, but worth mentioning.
#[derive(Debug, Clone, PartialEq)]
pub enum ListAdvice {
    /// Paints of one medium of which each hardly differs from another.
    NearlyAlike {
        /// Two or more, in list order.
        paints: Vec<String>,
        /// How far apart the two nearest are.
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
    /// Their screen colours do not show how strongly they tint.
    LetDownWanted {
        /// The paints.
        paints: Vec<String>,
    },
    /// A thinner that such a paint does not take.
    OtherThinner {
        /// The paint.
        paint: String,
        /// Its medium.
        medium: Medium,
        /// What is to thin it.
        thinner: String,
    },
    /// Its name has a colour word that hardly anybody would use for it.
    NotItsName {
        /// The paint.
        paint: String,
        /// The word: "white", "green".
        called: &'static str,
        /// Its colour.
        colour: LabD65,
    },
    /// A let-down that no mix with white can have.
    LetDownContradicts {
        /// The paint.
        paint: String,
        /// Why not.
        why: &'static str,
    },
    /// A coat is lighter over the black card than over the white one.
    CardsSwapped {
        /// The paint.
        paint: String,
    },
    /// Transparent and nearly black in the pot: its hue cannot be seen there.
    BlackInThePot {
        /// The paint.
        paint: String,
    },
    /// Every paint is sold thin.
    OnlyThin,
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

/// Closer than this two paints are one colour, whatever binds them. Our choice.
const ONE_COLOUR: f64 = 0.3;
/// Hues of less colourful paints are not compared. Our choice.
const HUES_FROM: f64 = 20.0;
/// A transparent paint below this lightness and chroma shows no hue in the pot. Our choice.
const HUELESS: f64 = 15.0;
const HUELESS_CHROMA: f64 = 10.0;
/// A let-down may seem darker than its paint by this much, and its hue may differ by this many degrees. Our choice.
const DARKER: f64 = 2.0;
const TURNED: f64 = 75.0;
/// How far, in a* and b*, it may lie on the other side of grey: a blue-grey let-down of a red. Our choice.
const OPPOSED: f64 = 4.0;

fn black_in_the_pot(paint: &Paint) -> bool {
    paint.opacity == Some(Opacity::Transparent)
        && paint.colour.l < HUELESS
        && paint.colour.chroma() < HUELESS_CHROMA
        && !paint.was_tried()
        && paint.measured.is_none()
}

/// A "white" that is none, or a "green" that is red. Names such as "white grey" say themselves what they are.
fn not_its_name(paint: &Paint) -> Option<ListAdvice> {
    match called(&paint.name, paint.colour) {
        Called::Contradicts(called) => Some(ListAdvice::NotItsName {
            paint: paint.name.clone(),
            called,
            colour: paint.colour,
        }),
        Called::Agrees | Called::Untold => None,
    }
}

/// A mix with white lies between the paint and white.
fn contradicted(paint: &Paint, let_down: &LetDown) -> Option<ListAdvice> {
    let (seen, own) = (colour_of(let_down), paint.colour);
    let turned = (seen.hue_degrees() - own.hue_degrees() + 540.0).rem_euclid(360.0) - 180.0;
    // How much of its hue is left, in the direction of the paint's own.
    let left = (seen.a * own.a + seen.b * own.b) / own.chroma().max(1.0);
    let why = if seen.l < own.l - DARKER {
        "it is darker than the paint itself"
    } else if delta_e00(seen, own).0 < ONE_COLOUR {
        "it is the paint's own colour"
    } else if own.chroma() > HUES_FROM
        && (left < -OPPOSED || (turned.abs() > TURNED && seen.chroma() > HUES_FROM))
    {
        "it is of another hue than the paint"
    } else {
        return None;
    };
    Some(ListAdvice::LetDownContradicts {
        paint: paint.name.clone(),
        why,
    })
}

/// Water in an enamel, white spirit in an acrylic. Oils are let be: some take water. Common practice, no source.
fn other_thinner(paint: &Paint) -> Option<ListAdvice> {
    const SPIRITS: [&str; 5] = [
        "white spirit",
        "turpentine",
        "terpentin",
        "turps",
        "mineral spirit",
    ];
    let (medium, thinner) = (paint.medium?, paint.thinner.as_deref()?);
    let other = match medium {
        Medium::Acrylic | Medium::Emulsion | Medium::Watercolour => {
            SPIRITS.iter().any(|spirit| thinner.contains(spirit))
        }
        Medium::Enamel | Medium::Lacquer => thinner == "water",
        _ => false,
    };
    other.then(|| ListAdvice::OtherThinner {
        paint: paint.name.clone(),
        medium,
        thinner: thinner.to_owned(),
    })
}

/// Paints that hardly differ, gathered: a set for each chain of paints of which each is nearly the next.
fn nearly_alike(mixed: &[&Paint]) -> Vec<ListAdvice> {
    let mut sets: Vec<(Vec<usize>, f64)> = Vec::new();
    for (i, one) in mixed.iter().enumerate() {
        for (j, other) in mixed.iter().enumerate().skip(i + 1) {
            let difference = delta_e00(one.colour, other.colour).0;
            let one_colour = difference < ONE_COLOUR;
            if one_colour || (difference < NEARLY_ALIKE && one.medium == other.medium) {
                let (touched, apart): (Vec<_>, Vec<_>) =
                    (sets.into_iter()).partition(|(set, _)| set.contains(&i) || set.contains(&j));
                sets = apart;
                let mut joined = (vec![i, j], difference);
                for (set, least) in touched {
                    joined.0.extend(set);
                    joined.1 = joined.1.min(least);
                }
                joined.0.sort_unstable();
                joined.0.dedup();
                sets.push(joined);
            }
        }
    }
    sets.sort_by(|a, b| a.0.cmp(&b.0));
    let told = sets
        .into_iter()
        .map(|(set, least)| ListAdvice::NearlyAlike {
            paints: set.iter().map(|at| mixed[*at].name.clone()).collect(),
            difference: DeltaE00(least),
        });
    told.collect()
}

/// Let-downs of one paint that cannot both be right: more white made it darker, or the same parts gave two colours.
fn at_odds(paint: &Paint) -> Option<ListAdvice> {
    let mut told: Vec<(f64, LabD65)> = paint
        .let_downs
        .iter()
        .map(|let_down| (let_down.parts_white, colour_of(let_down)))
        .collect();
    told.sort_by(|a, b| a.0.total_cmp(&b.0));
    let why = told.windows(2).find_map(|two| {
        let [(less, one), (more, other)] = two else {
            return None;
        };
        if other.l < one.l - DARKER && more > less {
            Some("more white made it darker")
        } else if (more - less).abs() < 1e-9 && delta_e00(*one, *other).0 > 2.0 * DARKER {
            Some("the same parts of white gave two colours")
        } else {
            None
        }
    })?;
    Some(ListAdvice::LetDownContradicts {
        paint: paint.name.clone(),
        why,
    })
}

fn colour_of(let_down: &LetDown) -> LabD65 {
    match &let_down.seen {
        LetDownColour::Colour(colour) => *colour,
        LetDownColour::Spectrum(spectrum) => LabD65::from(seen_in_daylight(spectrum)),
    }
}

/// A colour that no paint has when it has dried.
fn no_paints_colour(paint: &Paint) -> Option<ListAdvice> {
    let (name, lightness) = (paint.name.clone(), paint.colour.l);
    if paint.measured.is_none() && reconstruct(Xyz::from(paint.colour)).moved_toward_grey > 0.0 {
        Some(ListAdvice::Impossible { paint: name })
    } else if lightness < DARKEST {
        Some(ListAdvice::TooDark {
            paint: name,
            lightness,
        })
    } else if lightness > LIGHTEST {
        Some(ListAdvice::TooLight {
            paint: name,
            lightness,
        })
    } else {
        None
    }
}

/// Paints whose strength neither their colour in the pot nor anything else tells.
fn let_downs_wanted(mixed: &[&Paint]) -> Option<ListAdvice> {
    let is_wanted = |paint: &&&Paint| {
        let see_through = paint.opacity == Some(Opacity::Transparent);
        let dark = paint.colour.l < DARK_IN_THE_POT && paint.opacity != Some(Opacity::Opaque);
        !paint.strength_is_known() && (see_through || dark) && !black_in_the_pot(paint)
    };
    let wanted = mixed.iter().filter(is_wanted);
    let paints: Vec<String> = wanted.map(|paint| paint.name.clone()).collect();
    (!paints.is_empty()).then_some(ListAdvice::LetDownWanted { paints })
}

/// Goes through a list.
#[must_use]
pub fn advice(list: &PaintList) -> Vec<ListAdvice> {
    let paints = list.paints();
    let mixed: Vec<&Paint> = paints
        .iter()
        .filter(|paint| paint.mixing_family().is_ok())
        .collect();
    let mut all = nearly_alike(&mixed);
    all.extend(paints.iter().filter_map(no_paints_colour));
    if !mixed.is_empty() && mixed.iter().all(|paint| paint.thin) {
        all.push(ListAdvice::OnlyThin);
    }
    all.extend(paints.iter().filter_map(not_its_name));
    all.extend(mixed.iter().flat_map(|paint| {
        let of_each = paint.let_downs.iter();
        of_each.filter_map(|let_down| contradicted(paint, let_down))
    }));
    all.extend(mixed.iter().filter_map(|paint| at_odds(paint)));
    let swapped =
        |paint: &Paint| (paint.over_cards).is_some_and(|o| o.black.l > o.white.l + DARKER);
    all.extend(mixed.iter().filter(|paint| swapped(paint)).map(|paint| {
        let paint = paint.name.clone();
        ListAdvice::CardsSwapped { paint }
    }));
    all.extend(
        mixed
            .iter()
            .filter(|paint| black_in_the_pot(paint))
            .map(|paint| ListAdvice::BlackInThePot {
                paint: paint.name.clone(),
            }),
    );
    all.extend(paints.iter().filter_map(other_thinner));
    all.extend(let_downs_wanted(&mixed));
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
    #[expect(
        clippy::too_many_lines,
        reason = "the words of each advice, one after the other"
    )]
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NearlyAlike { paints, difference } => {
                const NAMED: usize = 5;
                let shown = paints.iter().take(NAMED).cloned().collect::<Vec<_>>();
                let more = paints.len() - shown.len();
                let names = if more > 0 {
                    format!("{} and {more} more", shown.join(", "))
                } else {
                    let (last, first) = shown.split_last().unwrap_or((&paints[0], &[]));
                    format!("{} and {last}", first.join(", "))
                };
                write!(
                    f,
                    "{names} are nearly alike (ΔE00 {:.1}{}): one of them will do, or a colour is mistyped",
                    difference.0,
                    if paints.len() > 2 { " and more" } else { "" }
                )
            }
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
            Self::OtherThinner {
                paint,
                medium,
                thinner,
            } => write!(
                f,
                "{paint}: {medium} thinned with {thinner}: is one of the two a slip? Go by what its label says"
            ),
            Self::LetDownWanted { paints } if paints.len() > 1 => write!(
                f,
                "{}: dark or transparent in the pot, so their strengths are guesses; mix 1 part of each with 3 parts white, let it dry, and enter let_down_hex and let_down_parts_white = 3",
                paints.join(", ")
            ),
            Self::LetDownWanted { paints } => write!(
                f,
                "{}: dark or transparent in the pot, so its strength is a guess; mix 1 part with 3 parts white, let it dry, and enter let_down_hex and let_down_parts_white = 3",
                paints.concat()
            ),
            Self::NotItsName {
                paint,
                called,
                colour,
            } => write!(
                f,
                "{paint} is called {called}, but its colour is {} (L* {:.0}): a mistyped colour, or read in poor light?",
                colour.to_srgb8(),
                colour.l
            ),
            Self::LetDownContradicts { paint, why } => write!(
                f,
                "{paint}: its let-down with white cannot be right: {why}; were two cells swapped?"
            ),
            Self::CardsSwapped { paint } => write!(
                f,
                "{paint}: its coat is lighter over the black card than over the white one; were the two swapped?"
            ),
            Self::OnlyThin => f.write_str(
                "every paint of the list is sold thin, as a wash or an ink: their mixes cover only in many coats",
            ),
            Self::BlackInThePot { paint } => write!(
                f,
                "{paint}: transparent and nearly black in the pot, which shows neither its hue nor its strength; mix 1 part with 3 parts white, let it dry, and enter let_down_hex and let_down_parts_white = 3"
            ),
            Self::NoOpacity { count, of } => write!(
                f,
                "{count} of {of} paints {} no opacity word; opaque, semi-opaque, semi-transparent or transparent makes their mixes truer",
                if *of == 1 { "has" } else { "have" }
            ),
            Self::NoMedium { paints } => write!(
                f,
                "no medium is given for {}: such paints are only mixed with each other; if one medium is right for all, give it with --medium, or in the scene with paints = {{ file = \"…\", medium = \"acrylic\" }}",
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
    fn what_cannot_be_right_is_named() {
        let text = "name,hex,medium,opacity,let_down_hex,let_down_parts_white\nTitanium white,#93503d,acrylic,opaque,,\nOff-white cream,#e5d0a0,acrylic,opaque,,\nBlue,#30408a,acrylic,opaque,#202a60,3\nRed,#a03030,acrylic,opaque,#a0d0a0,3\nGlaze,#101418,acrylic,transparent,,\nBrick,#b06050,acrylic,opaque,,\nOld brick,#b06050,oil,opaque,,\n";
        let list = PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap();
        let all: Vec<String> = advice(&list).iter().map(ToString::to_string).collect();
        for word in [
            "Titanium white is called white",
            "Blue: its let-down with white cannot be right: it is darker",
            "Red: its let-down with white cannot be right: it is of another hue",
            "Glaze: transparent and nearly black",
            "Brick and Old brick are nearly alike",
        ] {
            assert!(
                all.iter().any(|line| line.contains(word)),
                "{word}: {all:?}"
            );
        }
        assert!(
            !all.iter().any(|line| line.contains("Off-white")),
            "{all:?}"
        );
        assert!(
            !all.iter().any(|line| line.contains("strength is a guess")),
            "{all:?}"
        );
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
