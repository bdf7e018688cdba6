//! Measured outdoor materials: what clay tiles, worn asphalt, bark or dry grass look like in daylight.
//!
//! In: a name. Out: a [`Material`] with its mean colour and spread, the normal distribution of the logarithm of its
//! light, and five typical reflectances. It knows nothing of photos, scenes and paints.
//!
//! # Source
//! The spectra of the Python package earthlib 1.1.0 (MIT licence): 7,261 reflectances, 400 to 2450 nm at 10 nm, of
//! which 24 classes are counted here. By its own documentation it gathers: *Urban reflectance spectra from Santa
//! Barbara, CA* (Herold and others 2004); the ICRAF–ISRIC world soil spectral library; spectra of the Joint Fire
//! Science Program; some of the USGS; spectra of a `HyspIRI` simulation campaign; and canopies modelled with PROSAIL.
//! We computed means, spreads and medoids (by CIELAB) from it: 36 bands, D65, 2° observer, continued below 400 nm by
//! the first value; logarithms of linear sRGB, spectra with a channel below 0.002 left out.
//! `tests/materials` computes the table again from the package and compares.

mod states;

pub use states::State;

use crate::colour::{BANDS, LabD65, LinearSrgb, Spectrum, delta_e00};
use crate::linear::{Matrix3, Normal3, outer, scaled, sum};
use serde::de::{Deserialize, Deserializer, Error};
use serde::ser::{Serialize, Serializer};
use std::sync::LazyLock;

const MEASURED: &str = include_str!("measured.csv");
const TYPICAL: &str = include_str!("typical.csv");

/// How many typical reflectances a material has, dark to light.
pub const TYPICAL_COUNT: usize = 5;

/// A measured material.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// Its name, in the words of the trade and of the data.
    pub name: &'static str,
    /// The class in the collection.
    pub class: &'static str,
    /// Spectra in it.
    pub count: usize,
    /// Mean colour.
    pub mean: LabD65,
    /// Standard deviation of L*, a*, b*.
    pub deviation: [f64; 3],
    /// Tenth and ninetieth percentile of L*.
    pub lightness: [f64; 2],
    /// Natural logarithm of linear red, green and blue.
    pub log_light: Normal3,
    /// Five typical reflectances, dark to light.
    pub typical: [Spectrum; TYPICAL_COUNT],
    /// "these are red clay tiles".
    pub said: &'static str,
    /// What it cannot show.
    pub cannot_show: &'static str,
    words: Vec<&'static str>,
    things: Vec<&'static str>,
    campaigns: &'static str,
}

/// Kept by its name.
impl Serialize for Material {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.name.serialize(to)
    }
}

impl<'de> Deserialize<'de> for &'static Material {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let name = String::deserialize(from)?;
        Material::named(&name).ok_or_else(|| Error::custom("found no such material"))
    }
}

/// All of them, in the order of the table: what is built, bare ground, what grew.
pub static MATERIALS: LazyLock<Vec<Material>> = LazyLock::new(|| {
    let read = |line: &'static str| material_of(line);
    MEASURED.lines().skip(1).filter_map(read).collect()
});

fn material_of(line: &'static str) -> Option<Material> {
    let cells: Vec<&'static str> = line.splitn(25, ';').collect();
    let words = |at: usize| {
        Some(
            cells
                .get(at)?
                .split(' ')
                .filter(|w| !w.is_empty())
                .collect(),
        )
    };
    let at = |i: usize| cells.get(i)?.parse::<f64>().ok();
    let three = |i: usize| Some([at(i)?, at(i + 1)?, at(i + 2)?]);
    let mean = three(3)?;
    let [c_rr, c_rg, c_rb] = three(14)?;
    let [c_gg, c_gb, c_bb] = three(17)?;
    let name = *cells.first()?;
    Some(Material {
        name,
        class: cells[1],
        count: cells[2].parse().ok()?,
        mean: LabD65::new(mean[0], mean[1], mean[2]),
        deviation: three(6)?,
        lightness: [at(9)?, at(10)?],
        log_light: Normal3 {
            mean: three(11)?,
            covariance: [[c_rr, c_rg, c_rb], [c_rg, c_gg, c_gb], [c_rb, c_gb, c_bb]],
        },
        typical: typical_of(name)?,
        campaigns: cells.get(20)?,
        said: cells.get(21)?,
        words: words(22)?,
        things: words(23)?,
        cannot_show: cells.get(24)?,
    })
}

fn typical_of(name: &str) -> Option<[Spectrum; TYPICAL_COUNT]> {
    let spectra: Vec<Spectrum> = TYPICAL
        .lines()
        .filter_map(|line| line.strip_prefix(name)?.strip_prefix(';'))
        .filter_map(|line| {
            let bands: Vec<f64> = line
                .split(';')
                .skip(1)
                .filter_map(|v| v.parse().ok())
                .collect();
            Some(Spectrum::new(<[f64; BANDS]>::try_from(bands).ok()?))
        })
        .collect();
    spectra.try_into().ok()
}

/// What one place's tiles may differ from all tiles: the same for the three channels, natural logarithm. Our choice:
/// a seventh of a stop more and less is what makers, age and dust do.
const ELSEWHERE: f64 = 0.10;
/// … and each channel by itself.
const ELSEWHERE_A_CHANNEL: f64 = 0.025;

/// Covariance of what the surfaces of one photo may have apart from the collection's, which come mostly from one town.
#[must_use]
pub fn spread_elsewhere() -> Matrix3 {
    let mut wider = scaled(&outer(&[1.0; 3]), ELSEWHERE * ELSEWHERE);
    for (i, row) in wider.iter_mut().enumerate() {
        row[i] += ELSEWHERE_A_CHANNEL * ELSEWHERE_A_CHANNEL;
    }
    wider
}

/// From one of these words on, a name says where something is, not what it is.
const WHERE: [&str; 12] = [
    "behind", "beside", "near", "under", "over", "above", "below", "along", "at", "by", "in", "on",
];

/// Any material at all: mean and covariance of the logarithm of light over the classes, each counting alike.
static ANY: LazyLock<Normal3> = LazyLock::new(|| pooled(MATERIALS.iter().map(|m| m.log_light)));

/// One normal distribution with the mean and covariance of several that count alike.
fn pooled(of: impl Iterator<Item = Normal3> + Clone) -> Normal3 {
    #[expect(clippy::cast_precision_loss, reason = "some two dozen")]
    let each = 1.0 / of.clone().count().max(1) as f64;
    let mut mean = [0.0; 3];
    for one in of.clone() {
        for (total, v) in mean.iter_mut().zip(one.mean) {
            *total += each * v;
        }
    }
    let mut covariance = [[0.0; 3]; 3];
    for one in of {
        let apart: [f64; 3] = std::array::from_fn(|i| one.mean[i] - mean[i]);
        covariance = sum(
            &covariance,
            &scaled(&sum(&one.covariance, &outer(&apart)), each),
        );
    }
    Normal3 { mean, covariance }
}

impl Material {
    /// The material of that name; capitals do not matter.
    #[must_use]
    pub fn named(name: &str) -> Option<&'static Self> {
        let name = name.trim();
        MATERIALS
            .iter()
            .find(|material| material.name.eq_ignore_ascii_case(name))
    }

    /// The materials that a surface's name may mean: those that most of its words mean ("clay tile roof"), otherwise
    /// those that the thing it names may be made of ("Brewhouse roof", but not "Roof lamp"). What it only lies by
    /// does not count ("Trees behind the brick shed").
    #[must_use]
    pub fn meant_by(name: &str) -> Vec<&'static Self> {
        let lower = name.to_lowercase();
        let all = lower.split(|c: char| c != ',' && !c.is_alphanumeric());
        let written: Vec<&str> = all
            .flat_map(|word| word.split_inclusive(','))
            .filter(|word| !word.is_empty())
            .take_while(|word| !WHERE.contains(word))
            .collect();
        let ends = |word: &&str| *word == "of" || word.ends_with(',');
        let end = written.iter().position(ends).map_or(written.len(), |at| {
            at + usize::from(written[at].ends_with(','))
        });
        let bare = |word: &&str| -> String { word.trim_end_matches(',').to_owned() };
        let head = written[..end]
            .iter()
            .map(bare)
            .rfind(|word| !word.is_empty());
        let written: Vec<String> = written.iter().map(bare).collect();
        let count = |material: &Self| {
            let named = |word: &&&str| written.iter().any(|v| v == **word);
            material.words.iter().filter(named).count()
        };
        let most = MATERIALS.iter().map(count).max().unwrap_or(0);
        let thing = |material: &&Self| material.things.iter().any(|t| head.as_deref() == Some(t));
        if most == 0 {
            return MATERIALS.iter().filter(thing).collect();
        }
        MATERIALS.iter().filter(|m| count(m) == most).collect()
    }

    /// The logarithm of its light as another place may have it. Ground measured at one site only varies elsewhere as
    /// the soils of the world do.
    #[must_use]
    pub fn elsewhere(&self) -> Normal3 {
        let own = self.log_light.widened(&spread_elsewhere());
        match MATERIALS.iter().find(|soil| soil.class == "bare/soil") {
            Some(soil) if self.is_of_one_site() => own.widened(&soil.log_light.covariance),
            _ => own,
        }
    }

    /// True of classes that were measured at one site, and vary far too little.
    #[must_use]
    pub fn is_of_one_site(&self) -> bool {
        self.name.ends_with("(one site)")
    }

    /// The logarithm of the light of a material that nobody knows.
    #[must_use]
    pub fn any() -> Normal3 {
        *ANY
    }

    /// The plain words for the material in a surface's name.
    #[must_use]
    pub fn words(&self) -> &[&'static str] {
        &self.words
    }

    /// The plain words for things that are often made of it.
    #[must_use]
    pub fn things(&self) -> &[&'static str] {
        &self.things
    }

    /// "measured, n = 18"; "modelled, n = 2000".
    #[must_use]
    pub fn counted(&self) -> String {
        let how = if self.campaigns == "P" {
            "modelled"
        } else {
            "measured"
        };
        format!("{how}, n = {}", self.count)
    }

    /// Who measured it.
    #[must_use]
    pub fn source(&self) -> String {
        let campaigns = self.campaigns.chars().filter_map(|letter| {
            Some(match letter {
                'U' => "Urban reflectance spectra from Santa Barbara, CA (Herold and others 2004)",
                'S' => "ICRAF–ISRIC world soil spectral library",
                'J' => "Joint Fire Science Program",
                'G' => "USGS",
                'H' => "HyspIRI simulation spectra",
                'P' => "modelled with PROSAIL",
                _ => return None,
            })
        });
        format!(
            "{}; as gathered in earthlib 1.1.0 (MIT)",
            campaigns.collect::<Vec<_>>().join("; ")
        )
    }

    /// Linear light of its typical reflectances in daylight, dark to light.
    #[must_use]
    pub fn typical_light(&self) -> [LinearSrgb; TYPICAL_COUNT] {
        self.typical
            .map(|spectrum| crate::colour::seen_in_daylight(&spectrum).to_linear_srgb())
    }

    /// How a colour lies to what was measured of this material.
    #[must_use]
    pub fn holds(&self, colour: LabD65) -> AgainstRange {
        let apart = [
            colour.l - self.mean.l,
            colour.a - self.mean.a,
            colour.b - self.mean.b,
        ];
        let outside: [f64; 3] = std::array::from_fn(|i| {
            let reach = WITHIN * self.deviation[i].max(LEAST_DEVIATION);
            apart[i].signum() * (apart[i].abs() - reach).max(0.0)
        });
        let edge = LabD65::new(
            colour.l - outside[0],
            colour.a - outside[1],
            colour.b - outside[2],
        );
        AgainstRange {
            off: delta_e00(colour, edge).0,
            lighter: outside[0],
            chroma: colour.chroma() - edge.chroma(),
        }
    }
}

/// Of normal values 95 % lie within this many standard deviations.
const WITHIN: f64 = 2.0;
/// We assume that a class from one site varies by at least this much, CIELAB. Our choice.
const LEAST_DEVIATION: f64 = 1.0;

/// How a colour lies to the measured range of a material: two standard deviations of L*, a* and b*.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AgainstRange {
    /// How far outside, CIEDE2000; 0 within.
    pub off: f64,
    /// By how much L* lies above the range, below it when negative.
    pub lighter: f64,
    /// By how much it is more colourful than the nearest of the range.
    pub chroma: f64,
}

impl AgainstRange {
    /// In words, such as "within the range of 18 measured: clay roof tile, red".
    #[must_use]
    pub fn words(&self, material: &Material) -> String {
        let of = format!("{} measured: {}", material.count, material.name);
        if self.off < 0.5 {
            return format!("within the range of {of}");
        }
        let mut how = Vec::new();
        if self.lighter.abs() >= 0.5 {
            how.push(if self.lighter > 0.0 {
                "lighter"
            } else {
                "darker"
            });
        }
        if self.chroma.abs() >= 0.5 {
            how.push(if self.chroma > 0.0 {
                "more colourful"
            } else {
                "greyer"
            });
        }
        if how.is_empty() {
            how.push("of another hue");
        }
        format!(
            "{:.0} (CIEDE2000) outside the range of {of}: {}",
            self.off.max(1.0),
            how.join(" and ")
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_table_is_read() {
        assert_eq!(MATERIALS.len(), MEASURED.lines().count() - 1);
        assert_eq!(MATERIALS.len(), 24);
        let tiles = Material::named("Clay roof tile, red").unwrap();
        assert_eq!(tiles.count, 18);
        assert!((tiles.mean.l - 38.27).abs() < 1e-9);
        assert!(tiles.holds(tiles.mean).off < 1e-9);
        let dirt = Material::named("dirt (one site)").unwrap();
        assert!(dirt.elsewhere().covariance[1][1] > 0.2 && !tiles.is_of_one_site());
        assert!(tiles.source().contains("Herold"));
    }

    /// The middle one of the typical reflectances has nearly the mean colour: both come from the same spectra.
    #[test]
    fn typical_reflectances_have_the_colour_of_their_class() {
        for material in MATERIALS.iter() {
            let middle = LabD65::from(crate::colour::seen_in_daylight(&material.typical[2]));
            let reach = 2.0 * material.deviation.iter().map(|d| d * d).sum::<f64>().sqrt() + 1.0;
            let off = delta_e00(middle, material.mean).0;
            assert!(off < reach, "{}: {off:.1} of {reach:.1}", material.name);
        }
    }

    #[test]
    fn a_name_in_plain_words_is_understood() {
        let roof: Vec<&str> = Material::meant_by("Brewhouse roof")
            .iter()
            .map(|m| m.name)
            .collect();
        assert!(roof.contains(&"clay roof tile, red") && !roof.contains(&"bark"));
        let names =
            |name: &str| -> Vec<&str> { Material::meant_by(name).iter().map(|m| m.name).collect() };
        for nothing in [
            "Proof of love",
            "Yard wall",
            "Street lamp",
            "Wall behind the trees",
            "",
        ] {
            assert!(names(nothing).is_empty(), "{nothing}: {:?}", names(nothing));
        }
        assert_eq!(names("Brick gable"), ["other masonry (probably brick)"]);
        assert_eq!(names("Clay tile roof"), ["clay roof tile, red"]);
        assert_eq!(names("Wall of brick"), ["other masonry (probably brick)"]);
        assert!(names("Roof, north").contains(&"gravel roof"));
        assert_eq!(
            names("Trees by the brick shed"),
            ["green canopy (modelled)"]
        );
        assert!(names("yard").contains(&"asphalt car park"));
    }

    #[test]
    fn a_colour_is_held_against_its_material_in_words() {
        let tiles = Material::named("clay roof tile, red").unwrap();
        let dark = LabD65::new(19.0, 12.0, 12.0);
        let words = tiles.holds(dark).words(tiles);
        assert!(
            words.contains("outside the range of 18 measured") && words.contains("darker"),
            "{words}"
        );
        assert!(tiles.holds(tiles.mean).words(tiles).starts_with("within"));
    }
}
