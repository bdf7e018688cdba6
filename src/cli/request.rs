//! From what was typed to what it means: text arguments as the library's own values.

use super::Problems;
use super::args::{LightArgs, ListArgs, PhotoArgs, PlanArgs, SearchArgs};
use super::boxed;
use super::terminal::{Talk, plain, tell};
use super::watch::Watch;
use hillwash::brushed::BrushedError;
pub(crate) use hillwash::files::MOST_TEXT;
use hillwash::files::{FileError, ends_in, free_to_write};
use hillwash::materials::{MATERIALS, Material};
use hillwash::mix::{Rank, Search};
use hillwash::paint::{ListReading, Medium, PaintList, medium_meant};
use hillwash::photo::{Damage, KnownLight, KnownMaterial, Limits};
use hillwash::plan::{Pictures, Wishes};
use hillwash::problem::{Explain, Place, nearest_word};
use hillwash::region::{Outline, Region, RegionError};
use hillwash::units::number;
pub(crate) use hillwash::workshop::{Lists, paint_list, parsed_list, scatter_list};
use std::path::Path;

pub(crate) use hillwash::desk::STARTER_PAINTS;
/// What users see of it.
pub(crate) const STARTER_NAME: &str = "the starter list";

/// A fault of an argument.
#[derive(Debug, thiserror::Error)]
pub(crate) enum ArgumentError {
    /// A region that cannot be read.
    #[error(
        "found \"{found}\", expected four fractions \"left,top,right,bottom\" or points \"x,y x,y x,y\""
    )]
    NotARegion { found: String },
    /// A region that makes no sense.
    #[error("{0}")]
    BadRegion(RegionError),
    /// A point or corners that cannot be read.
    #[error("found \"{found}\", expected {expected}")]
    NotPoints {
        found: String,
        expected: &'static str,
    },
    /// A measure that cannot be read.
    #[error("{0}")]
    Measure(hillwash::units::UnitError),
    /// More than one photo where only one makes sense.
    #[error("found {found} photos, expected one")]
    OnePhoto { found: usize },
    /// Parts that cannot be read.
    #[error(
        "found \"{found}\", expected parts and paints such as \"3 raw umber, 1 titanium white\""
    )]
    NotParts { found: String },
    /// A paint that is not listed.
    #[error("found the paint \"{found}\", expected one of {list}")]
    UnknownPaint {
        found: String,
        list: String,
        nearest: Option<String>,
    },
    /// A material that was not measured.
    #[error("found the material \"{found}\", expected one of {known}")]
    UnknownMaterial {
        found: String,
        known: String,
        nearest: Option<String>,
    },
    /// A surface that the scene does not have.
    #[error("found the surface \"{found}\", expected one of {known}")]
    UnknownSurface {
        found: String,
        known: String,
        nearest: Option<String>,
    },
    /// A tone that the surface does not have.
    #[error("found tone {found}, expected a number from 1 to {most}")]
    NoSuchTone { found: usize, most: usize },
    /// A surface without a film that a patch could show.
    #[error("found the surface \"{found}\", expected one with a wash over its flats: {reason}")]
    NoFilm { found: String, reason: String },
    /// A printed swatch of something that is not printed.
    #[error(
        "found \"printed\" with --wash, expected the colour of what lies beside the patch, if you know it: bench cards print no swatch of a wash"
    )]
    NotPrinted,
    /// The log advised no addition, or some of its paints are no longer listed.
    #[error(
        "found no addition in the log for \"{found}\" whose paints are still on the list, expected an earlier patch with advice to add something; say what is in the pot with --mixed"
    )]
    NothingAdded { found: String },
    /// A medium that is none.
    #[error("found \"{found}\", expected one of {}", Medium::ALL.map(Medium::word).join(", "))]
    UnknownMedium { found: String },
    /// A grid that cannot be read.
    #[error("found \"{found}\", expected columns and rows such as 4x6, up to 40 each")]
    NotAGrid { found: String },
    /// A card and its names that make no list.
    #[error(transparent)]
    Card(BrushedError),
    /// One list given twice to be joined.
    #[error("found \"{found}\" twice, expected each builder's list once")]
    ListTwice { found: String },
    /// A tidy list that could not find its spectra.
    #[error(
        "found \"{found}\" for a list that names spectrum files, expected a name in the same folder{}: the files are looked for beside the list",
        folder.as_ref().map_or_else(String::new, |f| format!(", {f}"))
    )]
    AwayFromSpectra {
        found: String,
        folder: Option<String>,
    },
    /// A paint that is not mixed.
    #[error("found \"{found}\", which is left out of mixes: {reason}")]
    NotMixed { found: String, reason: String },
    /// A number out of range.
    #[error("found {found}, expected {expected}")]
    OutOfRange {
        found: String,
        expected: &'static str,
    },
    /// Paints that may not share a pot.
    #[error("found {one} and {other} in one pot, expected paints that may be stirred together")]
    DoNotMix { one: String, other: String },
    /// A moment that cannot be read.
    #[error("found \"{found}\", expected whole seconds since 1970-01-01 such as 1793836800")]
    NotAMoment { found: String },
    /// A received schedule without a list to solve it for.
    #[error("found a schedule to solve again and no list, expected your own paint list")]
    ListWanted,
    /// Something the mixing model refuses.
    #[error("{0}")]
    Mixture(hillwash::paint::MixtureError),
}

/// An argument's fault and the argument.
#[derive(Debug, thiserror::Error)]
#[error("{fault}")]
pub(crate) struct BadArgument {
    pub(crate) argument: &'static str,
    pub(crate) fault: ArgumentError,
}

impl Explain for BadArgument {
    fn place(&self) -> Place {
        Place::default().at_field(self.argument)
    }

    fn hint(&self) -> Option<String> {
        match &self.fault {
            ArgumentError::BadRegion(cause) => cause.hint(),
            ArgumentError::Measure(cause) => cause.hint(),
            ArgumentError::UnknownPaint { nearest, .. }
            | ArgumentError::UnknownMaterial { nearest, .. }
            | ArgumentError::UnknownSurface { nearest, .. } => {
                nearest.as_ref().map(|n| format!("did you mean \"{n}\"?"))
            }
            ArgumentError::DoNotMix { .. } => {
                Some("lay one over the other once it is dry instead".to_owned())
            }
            ArgumentError::Card(cause) => card_hint(cause),
            ArgumentError::UnknownMedium { found } => {
                nearest_word(found, Medium::ALL.map(Medium::word))
                    .map(|n| format!("did you mean \"{n}\"?"))
            }
            ArgumentError::ListWanted => Some("add --paints mine.csv".to_owned()),
            _ => None,
        }
    }
}

/// Wraps one fault of one argument.
/// How to mend a card by arguments, before anything is written.
fn card_hint(cause: &BrushedError) -> Option<String> {
    Some(match cause {
        BrushedError::AcrossCells { columns, rows, .. } if columns == rows => {
            "check the --corners: half a pitch beyond the middles of the outer cells".to_owned()
        }
        BrushedError::AcrossCells { columns, rows, .. } => format!(
            "columns come first: is it {rows}x{columns}? Check the --corners too; nothing was written"
        ),
        BrushedError::NamesAtOdds { better: Some(order), .. } => format!(
            "read {order}, they fit much better: turn the photo, let --corners begin at that corner, or put the names in that order; nothing was written"
        ),
        BrushedError::NamesAtOdds { .. } => {
            "are columns and rows swapped in --grid, do --corners begin at the first cell? Where the card is right, give those paints names without a colour word; nothing was written"
                .to_owned()
        }
        other => return other.hint(),
    })
}

pub(crate) fn bad(argument: &'static str, fault: ArgumentError) -> Problems {
    boxed([BadArgument { argument, fault }])
}

/// A closeness that the user may ask for.
pub(crate) fn closeness(argument: &'static str, asked: f64) -> Result<f64, Problems> {
    if (0.1..=50.0).contains(&asked) {
        return Ok(asked);
    }
    Err(bad(
        argument,
        ArgumentError::OutOfRange {
            found: asked.to_string(),
            expected: "a difference from 0.1 to 50 (CIEDE2000; 3 is close)",
        },
    ))
}

impl PlanArgs {
    /// How the plan is wanted.
    pub(crate) fn wishes(&self, watch: &Watch) -> Result<Wishes, Problems> {
        let trim = self.trim.map(|within| closeness("--trim", within));
        Ok(Wishes {
            search: watch.search(&self.search),
            most_pots: self.pots.map(usize::from),
            trim_within: trim.transpose()?,
            pictures: if self.no_photos {
                Pictures::LeftOut
            } else {
                Pictures::Shown
            },
        })
    }
}

impl SearchArgs {
    pub(crate) fn search(&self) -> Search {
        Search {
            most_paints: usize::from(self.most_paints),
            most_parts: u32::from(self.most_parts),
            rank: if self.exact {
                Rank::ClosestOnPaper
            } else {
                Rank::Soundest
            },
            ..Search::default()
        }
    }
}

/// Numbers divided by commas, blanks or brackets; `None` when one of them is no number.
fn numbers(text: &str) -> Option<Vec<f64>> {
    text.split(|c: char| c == ',' || c.is_whitespace() || matches!(c, '[' | ']' | ';'))
        .filter(|part| !part.is_empty())
        .map(|part| number(part).ok())
        .collect()
}

fn four_points(text: &str) -> Option<[[f64; 2]; 4]> {
    match numbers(text).as_deref() {
        Some(&[a, b, c, d, e, f, g, h]) => Some([[a, b], [c, d], [e, f], [g, h]]),
        _ => None,
    }
}

/// Four corners, as fractions, typed as "x,y x,y x,y x,y".
pub(crate) fn corner_points(argument: &'static str, text: &str) -> Result<[[f64; 2]; 4], Problems> {
    let inside = |corners: &[[f64; 2]; 4]| {
        let fraction = |v: &f64| (0.0..=1.0).contains(v);
        corners.iter().flatten().all(fraction)
    };
    four_points(text).filter(inside).ok_or_else(|| {
        bad(
            argument,
            ArgumentError::NotPoints {
                found: text.to_owned(),
                expected: "four corners \"x,y x,y x,y x,y\" as fractions from 0 to 1, in order round the card, from its first cell",
            },
        )
    })
}

/// What was typed about a photo's light.
pub(crate) fn known_light(args: &LightArgs) -> Result<KnownLight, Problems> {
    if let Some(text) = &args.chart {
        return four_points(text).map(KnownLight::Chart).ok_or_else(|| {
            bad(
                "--chart",
                ArgumentError::NotPoints {
                    found: text.clone(),
                    expected: "four corners \"x,y x,y x,y x,y\", at patches 1, 6, 24 and 19",
                },
            )
        });
    }
    if let Some(text) = &args.neutral {
        if let Some(r) = args.reflectance.filter(|r| !(0.01..=1.0).contains(r)) {
            return Err(bad(
                "--reflectance",
                ArgumentError::OutOfRange {
                    found: r.to_string(),
                    expected: "a reflectance from 0.01 to 1 (a grey card is 0.18)",
                },
            ));
        }
        let region = match numbers(text).as_deref() {
            Some(&[x, y]) => Region::about([x, y])
                .map_err(|cause| bad("--neutral", ArgumentError::BadRegion(cause)))?,
            Some(&[_, _, _, _]) => region_at("--neutral", text)?,
            _ => {
                return Err(bad(
                    "--neutral",
                    ArgumentError::NotPoints {
                        found: text.clone(),
                        expected: "a point \"x,y\" or a box \"left,top,right,bottom\"",
                    },
                ));
            }
        };
        return Ok(KnownLight::Neutral {
            region,
            reflectance: args.reflectance,
        });
    }
    Ok(if args.estimate_light {
        KnownLight::Estimate
    } else {
        KnownLight::Nothing
    })
}

/// What was typed about a photo's light, and the materials said to be in it: all of it together.
pub(crate) fn known_things(args: &LightArgs, materials: &[String]) -> Result<KnownLight, Problems> {
    let light = known_light(args)?;
    let materials: Vec<KnownMaterial> = materials
        .iter()
        .map(|text| known_material(text))
        .collect::<Result<_, _>>()?;
    Ok(light.with_materials(&materials))
}

fn known_material(text: &str) -> Result<KnownMaterial, Problems> {
    const ARGUMENT: &str = "--material";
    let Some((name, at)) = text.rsplit_once('=') else {
        return Err(bad(
            ARGUMENT,
            ArgumentError::NotPoints {
                found: text.to_owned(),
                expected: "a material and where it is, such as \"clay roof tile, red=0.7,0.2,0.9,0.3\"",
            },
        ));
    };
    let known = || MATERIALS.iter().map(|material| material.name);
    let Some(material) = Material::named(name) else {
        return Err(bad(
            ARGUMENT,
            ArgumentError::UnknownMaterial {
                found: name.trim().to_owned(),
                known: known().collect::<Vec<_>>().join("; "),
                nearest: nearest_word(name.trim(), known())
                    .or_else(|| Material::meant_by(name).first().map(|m| m.name))
                    .map(str::to_owned),
            },
        ));
    };
    Ok(KnownMaterial {
        region: region_at(ARGUMENT, at)?,
        material,
    })
}

impl PhotoArgs {
    pub(crate) fn limits(&self) -> Limits {
        Limits {
            damage: if self.accept_damaged {
                Damage::ReadableRows
            } else {
                Damage::Refuse
            },
            ..Limits::of_megapixels(self.megapixels)
        }
    }
}

/// The part of a photo typed at `--region`; without it the whole photo.
pub(crate) fn region(text: Option<&str>) -> Result<Region, Problems> {
    text.map_or_else(|| Ok(Region::whole()), |text| region_at("--region", text))
}

/// A region typed as a box or as points.
pub(crate) fn region_at(argument: &'static str, text: &str) -> Result<Region, Problems> {
    let points = match numbers(text).as_deref() {
        Some(&[left, top, right, bottom]) => {
            vec![[left, top], [right, top], [right, bottom], [left, bottom]]
        }
        Some(many) if many.len() >= 6 && many.len() % 2 == 0 => {
            many.chunks_exact(2).map(|p| [p[0], p[1]]).collect()
        }
        _ => {
            return Err(bad(
                argument,
                ArgumentError::NotARegion {
                    found: text.to_owned(),
                },
            ));
        }
    };
    let outline =
        Outline::new(points).map_err(|cause| bad(argument, ArgumentError::BadRegion(cause)))?;
    Ok(Region {
        outline,
        leave_out: Vec::new(),
    })
}

/// How to read lists, as the user asked; it prints how each column was understood, unless the user asked for quiet.
pub(crate) fn lists(args: &ListArgs, talk: Talk) -> Result<Lists, Problems> {
    let unknown = |found: &String| {
        bad(
            "--medium",
            ArgumentError::UnknownMedium {
                found: found.clone(),
            },
        )
    };
    let medium = args
        .medium
        .as_ref()
        .map(|text| medium_meant(text).ok_or_else(|| unknown(text)))
        .transpose()?;
    Ok(Lists {
        reading: ListReading {
            medium,
            skip_bad_rows: args.skip_bad_rows,
        },
        ..plain_lists(talk)
    })
}

/// Lists as they are.
pub(crate) fn plain_lists(talk: Talk) -> Lists {
    Lists {
        reading: ListReading::default(),
        tell: match talk {
            Talk::Quiet => |_, _| {},
            Talk::Usual => |file, note| tell(&plain(&format!("note: {file}: {note}"))),
        },
    }
}

/// A name that a new list can have.
pub(crate) fn new_list(out: &Path) -> Result<(), FileError> {
    ends_in(out, &["csv", "txt"], ".csv")?;
    free_to_write(out)
}

/// A listed paint by its name, or the nearest name.
pub(crate) fn listed(
    list: &PaintList,
    argument: &'static str,
    name: &str,
) -> Result<usize, Problems> {
    list.named(name).map(|(at, _)| at).ok_or_else(|| {
        bad(
            argument,
            ArgumentError::UnknownPaint {
                found: name.trim().to_owned(),
                list: format!("the {} names of {}", list.paints().len(), list.file),
                nearest: nearest_word(name.trim(), list.paints().iter().map(|p| p.name.as_str()))
                    .map(str::to_owned),
            },
        )
    })
}

/// "3 raw umber, 1 titanium white": numbers and names. A comma may belong to a name ("umber, 2nd") or to a number
/// ("1,5"): of the ways to divide the text, the first is taken whose names are all `known`.
pub(crate) fn parts(
    argument: &'static str,
    text: &str,
    known: impl Fn(&str) -> bool,
) -> Result<Vec<(f64, String)>, Problems> {
    let not_parts = || {
        bad(
            argument,
            ArgumentError::NotParts {
                found: text.to_owned(),
            },
        )
    };
    // "3 umber and 1 white"; names may hold an "and" as well.
    let spelt = (0..10).fold(text.to_owned(), |text, digit| {
        text.replace(&format!(" and {digit}"), &format!(" + {digit}"))
    });
    let pieces: Vec<&str> = spelt.split_inclusive([',', '+', ';']).collect();
    // Each divider is a divider or not; with many of them only the plain reading is tried.
    let readings = if pieces.len() <= 12 {
        1_u32 << pieces.len().saturating_sub(1)
    } else {
        1
    };
    let mut plain = None;
    for joined in 0..readings {
        let mut entries: Vec<String> = Vec::new();
        for (i, piece) in pieces.iter().enumerate() {
            match entries.last_mut() {
                Some(last) if i > 0 && joined & (1 << (i - 1)) != 0 => last.push_str(piece),
                _ => entries.push((*piece).to_owned()),
            }
        }
        let read: Option<Vec<(f64, String)>> =
            entries.iter().map(|entry| one_part(entry)).collect();
        let Some(read) = read.filter(|read| !read.is_empty()) else {
            continue;
        };
        if read.iter().all(|(_, name)| known(name)) {
            return Ok(read);
        }
        plain.get_or_insert(read);
    }
    plain.ok_or_else(not_parts)
}

/// "3 parts of raw umber," as a number and a name.
fn one_part(entry: &str) -> Option<(f64, String)> {
    let entry = entry.trim().trim_end_matches([',', '+', ';']);
    let (count, name) = entry.trim().split_once(char::is_whitespace)?;
    let count = number(count).ok().filter(|n| (0.0..=1e6).contains(n))?;
    let name = name
        .trim()
        .trim_start_matches("parts ")
        .trim_start_matches("part ");
    let name = name.trim_start_matches("of ").trim();
    (!name.is_empty()).then(|| (count, name.to_owned()))
}

/// The date to print: what was asked for, else the day of `SOURCE_DATE_EPOCH`, else today.
///
/// # Source
/// The variable: Reproducible Builds project, *`SOURCE_DATE_EPOCH` specification* 1.1.
pub(crate) fn date(asked: Option<jiff::civil::Date>) -> Result<String, Problems> {
    const VARIABLE: &str = "SOURCE_DATE_EPOCH";
    if let Some(date) = asked {
        return Ok(date.to_string());
    }
    let Some(text) = std::env::var_os(VARIABLE) else {
        return Ok(jiff::Zoned::now().date().to_string());
    };
    let text = text.to_string_lossy();
    text.parse()
        .ok()
        .and_then(|seconds| jiff::Timestamp::from_second(seconds).ok())
        .map(|moment| moment.to_zoned(jiff::tz::TimeZone::UTC).date().to_string())
        .ok_or_else(|| {
            bad(
                VARIABLE,
                ArgumentError::NotAMoment {
                    found: text.to_string(),
                },
            )
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_read_with_commas_inside_names() {
        let listed = ["umber", "umber, raw", "umber, 2nd", "titanium white"];
        let read =
            |text: &str| parts("--try", text, |name| listed.contains(&name)).unwrap_or_default();
        assert_eq!(
            read("3 umber, raw, 1 titanium white"),
            vec![
                (3.0, "umber, raw".to_owned()),
                (1.0, "titanium white".to_owned())
            ]
        );
        assert_eq!(
            read("3 parts of umber and 2 parts titanium white"),
            [
                (3.0, "umber".to_owned()),
                (2.0, "titanium white".to_owned())
            ]
        );
        assert_eq!(
            read("1,5 umber, 2nd + 2 parts of titanium white"),
            vec![
                (1.5, "umber, 2nd".to_owned()),
                (2.0, "titanium white".to_owned())
            ]
        );
        assert!(parts("--try", "umber", |_| true).is_err());
        assert!(parts("--try", "", |_| true).is_err());
    }

    #[test]
    fn a_box_and_an_outline_are_regions() {
        assert!(region(Some("0.1,0.2,0.5,0.8")).is_ok());
        assert!(region(Some("0.1,0.2 0.5,0.2 0.3,0.9")).is_ok());
        assert!(region(Some("0.1,0.2")).is_err());
        assert!(region(Some("0.5,0.2,0.1,0.2")).is_err());
    }
}
