//! The paint list: text in, a checked [`PaintList`] or all of its faults out.

use super::cells::{Cells, Clean, CleanRow};
use super::folded::fold;
use super::grid::ListFindings;
use super::list_error::ListError;
use super::list_note::ListNote;
use super::measure::Measure;
use super::medium::{Medium, MixingFamily};
use super::rows::{ListTable, TableRow, read_rows};
use super::words::{
    EFFECTS, FINISHES, MEDIA, PAINT_COLUMNS, YES_NO, degree, effect_among, heads_colours,
    is_by_solvent, is_sprayed, is_thin, meaning,
};
use crate::colour::{
    LabD65, Spectrum, SpectrumFault, delta_e00, lab_under_d50, parse_colour, seen_in_daylight,
    spectrum_points,
};
use crate::problem::{Explain, Place};
use std::fmt;

/// How far a paint hides what lies beneath it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Opacity {
    /// Hides in one coat.
    Opaque,
    /// Nearly hides.
    SemiOpaque,
    /// Lets a good deal through.
    SemiTransparent,
    /// A glaze.
    Transparent,
}

/// How a dried paint mirrors.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Finish {
    /// No sheen.
    Matt,
    /// Some.
    Satin,
    /// Mirrors.
    Gloss,
}

/// A pigment that Kubelka–Munk mixing cannot describe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PaintEffect {
    /// Metal flakes.
    Metallic,
    /// Interference flakes.
    Pearl,
    /// Gives back light of another colour.
    Fluorescent,
}

/// How a paint's colour is known; decides how far it is trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ColourSource {
    /// A screen colour: from a chart, a screen or a photograph.
    Hex,
    /// Measured CIELAB.
    Lab,
    /// A measured spectrum.
    Spectrum,
}

/// A mix with known parts of white, whose colour shows the tinting strength.
#[derive(Debug, Clone, PartialEq)]
pub struct LetDown {
    /// Parts of white to one part of the paint.
    pub parts_white: f64,
    /// What the dried mix looks like.
    pub seen: LetDownColour,
}

/// The colour of a let-down.
#[derive(Debug, Clone, PartialEq)]
pub enum LetDownColour {
    /// Photographed.
    Colour(LabD65),
    /// Measured.
    Spectrum(Box<Spectrum>),
}

/// One brushed coat over a black card and over a white one: what shows through shows how well the paint covers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OverCards {
    /// The coat over black.
    pub black: LabD65,
    /// The coat over white.
    pub white: LabD65,
}

/// One paint of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Paint {
    /// Unique in its list.
    pub name: String,
    /// Its dried colour.
    pub colour: LabD65,
    /// How that is known.
    pub source: ColourSource,
    /// The measured reflectance, when there is one.
    pub measured: Option<Spectrum>,
    /// Binder, when stated.
    pub medium: Option<Medium>,
    /// Hiding, when stated.
    pub opacity: Option<Opacity>,
    /// Sheen, when stated.
    pub finish: Option<Finish>,
    /// Tinting strength, 1 = as a typical paint.
    pub strength: Option<f64>,
    /// Let-downs with white, up to three.
    pub let_downs: Vec<LetDown>,
    /// Its coat over a black and over a white card.
    pub over_cards: Option<OverCards>,
    /// What thins it.
    pub thinner: Option<String>,
    /// Flakes or fluorescence.
    pub effect: Option<PaintEffect>,
    /// False for spray cans and the like.
    pub mixable: bool,
    /// Grams a millilitre.
    pub density_g_per_ml: Option<f64>,
    /// On the shelf; `None` is unknown.
    pub on_hand_ml: Option<f64>,
    /// Size of a pot as sold.
    pub pot_ml: Option<f64>,
    /// Price of a pot, in whatever the list counts in.
    pub price: Option<f64>,
    /// Free text.
    pub note: Option<String>,
    /// Sold thin, as a wash, an ink or a glaze: it lays no opaque coat.
    pub thin: bool,
}

/// Why a paint takes no part in mixing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotMixed {
    /// Flakes or fluorescence.
    Effect(PaintEffect),
    /// The list says so.
    Unmixable,
    /// A varnish or a primer.
    Medium(Medium),
}

impl Paint {
    /// The paints it may be stirred with, or why it may not be mixed at all.
    ///
    /// # Errors
    /// [`NotMixed`], the reason to show.
    pub fn mixing_family(&self) -> Result<MixingFamily, NotMixed> {
        if let Some(effect) = self.effect {
            return Err(NotMixed::Effect(effect));
        }
        if !self.mixable {
            return Err(NotMixed::Unmixable);
        }
        match self.medium {
            Some(medium @ (Medium::Primer | Medium::Varnish | Medium::Powder)) => {
                Err(NotMixed::Medium(medium))
            }
            Some(Medium::Acrylic | Medium::Emulsion) => Ok(MixingFamily::WaterBorne),
            Some(Medium::Ink) if self.thinner.as_deref() == Some("water") => {
                Ok(MixingFamily::WaterBorne)
            }
            Some(Medium::Ink) => Ok(MixingFamily::Ink),
            Some(Medium::Enamel) => Ok(MixingFamily::Enamel),
            Some(Medium::Oil) => Ok(MixingFamily::Oil),
            Some(Medium::Lacquer) => Ok(MixingFamily::Lacquer),
            Some(Medium::Watercolour) => Ok(MixingFamily::Watercolour),
            None => Ok(MixingFamily::Unknown),
        }
    }

    /// True when its strength is known from a let-down, from coats over cards or from the list.
    #[must_use]
    pub fn strength_is_known(&self) -> bool {
        self.was_tried() || self.strength.is_some()
    }

    /// True if the list has a colour of it that shows its strength: let-downs or coats over cards.
    #[must_use]
    pub fn was_tried(&self) -> bool {
        !self.let_downs.is_empty() || self.over_cards.is_some()
    }
}

impl fmt::Display for NotMixed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Effect(PaintEffect::Metallic) => {
                f.write_str("metallic: its flakes do not mix like pigment")
            }
            Self::Effect(PaintEffect::Pearl) => {
                f.write_str("pearl: its flakes do not mix like pigment")
            }
            Self::Effect(PaintEffect::Fluorescent) => {
                f.write_str("fluorescent: it sends back light of another colour")
            }
            Self::Unmixable => f.write_str("the list says it is not mixable"),
            Self::Medium(medium) => write!(f, "a {medium} is not mixed into paint"),
        }
    }
}

/// A list that can be worked from: at least one paint, all names different.
#[derive(Debug, Clone)]
pub struct PaintList {
    /// Its file, as the user named it.
    pub file: String,
    paints: Vec<Paint>,
    notes: Vec<ListNote>,
    /// Headers of columns that are not ours.
    pub(super) unused: Vec<String>,
    /// Each paint's row in its plainest form, and its cells of other columns.
    pub(super) clean: Clean,
}

/// How to read a list.
#[derive(Debug, Clone, Copy, Default)]
pub struct ListReading {
    /// The medium of paints that state none.
    pub medium: Option<Medium>,
    /// Leave out rows that have faults, and say which.
    pub skip_bad_rows: bool,
}

const OPACITY_WORDS: [(&str, Opacity); 4] = [
    ("opaque", Opacity::Opaque),
    ("semi-opaque", Opacity::SemiOpaque),
    ("semi-transparent", Opacity::SemiTransparent),
    ("transparent", Opacity::Transparent),
];
const FINISH_WORDS: [(&str, Finish); 3] = [
    ("matt", Finish::Matt),
    ("satin", Finish::Satin),
    ("gloss", Finish::Gloss),
];
const EFFECT_WORDS: [(&str, Option<PaintEffect>); 4] = [
    ("metallic", Some(PaintEffect::Metallic)),
    ("pearl", Some(PaintEffect::Pearl)),
    ("fluorescent", Some(PaintEffect::Fluorescent)),
    ("none", None),
];

/// Reads the text of a file named in a list; gives the reason when it cannot.
pub type ReadNamedFile<'a> = dyn Fn(&str) -> Result<String, String> + 'a;

/// The amount on hand of a row that says it without a unit: the cell where it is so little that it may count pots, and
/// nothing where it cannot.
fn may_count_pots(row: &TableRow, paint: &Paint) -> Option<String> {
    let (cell, ml) = (row.cell("on_hand_ml")?, paint.on_hand_ml?);
    let is_bare = !row.header("on_hand_ml").to_lowercase().contains("ml")
        && row.unit("on_hand_ml").is_none()
        && cell
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    let few = match paint.pot_ml {
        Some(pot) => ml <= LITTLE * pot,
        None => ml <= FEW_POTS,
    };
    (is_bare && ml > 0.0).then(|| if few { cell.to_owned() } else { String::new() })
}

/// Colours in columns that are not used, where they are other ones than the paint's.
fn colours_that_differ<'c>(
    paint: &Paint,
    unused: impl Iterator<Item = (&'c String, &'c String)>,
) -> Vec<ListNote> {
    let used = paint.colour.to_srgb8();
    unused
        .filter(|(column, _)| heads_colours(column))
        .filter_map(|(column, cell)| Some((column, parse_colour(cell).ok()?)))
        .filter(|(_, other)| delta_e00(*other, LabD65::from(used)).0 > ANOTHER_COLOUR)
        .map(|(column, other)| ListNote::ColoursDiffer {
            paint: paint.name.clone(),
            used: used.to_string(),
            column: column.clone(),
            other: other.to_srgb8().to_string(),
        })
        .collect()
}

impl PaintList {
    /// Checks a list; `file` is its name for messages, `read` opens the spectrum files it names.
    ///
    /// # Errors
    /// All faults at once, sorted by place.
    pub fn parse(
        file: &str,
        bytes: &[u8],
        read: &ReadNamedFile<'_>,
    ) -> Result<Self, Vec<ListError>> {
        Self::read(file, bytes, read, &ListReading::default())
    }

    /// As [`Self::parse`], with wishes on how to read it.
    ///
    /// # Errors
    /// All faults at once, sorted by place.
    pub fn read(
        file: &str,
        bytes: &[u8],
        read: &ReadNamedFile<'_>,
        how: &ListReading,
    ) -> Result<Self, Vec<ListError>> {
        let mut found = ListFindings::default();
        let table = read_rows(file, bytes, "paints", PAINT_COLUMNS, &mut found);
        let ListFindings { notes, mut faults } = found;
        let mut list = Self {
            file: file.to_owned(),
            paints: Vec::new(),
            notes,
            unused: table.unused.clone(),
            clean: Vec::new(),
        };
        list.take_rows(&table, read, &mut faults, how.medium);
        super::rows::without_echoes(&mut faults);
        faults.sort_by_key(Explain::place);
        if how.skip_bad_rows && !list.paints.is_empty() {
            faults = list.without_bad_rows(faults);
        }
        if faults.is_empty() {
            Ok(list)
        } else {
            Err(faults)
        }
    }

    /// Takes what can be read of each row.
    fn take_rows(
        &mut self,
        table: &ListTable,
        read: &ReadNamedFile<'_>,
        faults: &mut Vec<ListError>,
        medium: Option<Medium>,
    ) {
        let mut seen: Vec<(String, usize)> = Vec::new();
        let mut currency = None;
        let mut without_medium = 0;
        let mut little: Vec<String> = Vec::new();
        for row in &table.rows {
            let before = faults.len();
            let mut cells = Cells {
                row,
                decimals: table.decimals,
                light: &table.light,
                faults: &mut *faults,
                notes: &mut self.notes,
                clean: CleanRow::new(),
            };
            let name = cells.name(&mut seen);
            let paint = cells.paint(name, read, &mut currency);
            let mut clean = cells.clean;
            // A row with a fault is no paint, whatever else of it can be read.
            let Some(mut paint) = paint.filter(|_| faults.len() == before) else {
                continue;
            };
            little.extend(may_count_pots(row, &paint));
            let said_again = table.unused.iter().zip(&row.others);
            self.notes.extend(colours_that_differ(&paint, said_again));
            if let (None, Some(medium)) = (paint.medium, medium) {
                paint.medium = Some(medium);
                clean.push(("medium", medium.word().to_owned()));
                without_medium += 1;
            }
            self.paints.push(paint);
            self.clean.push((clean, row.others.clone()));
        }
        if let Some(cell) = little
            .first()
            .filter(|_| little.iter().all(|cell| !cell.is_empty()))
        {
            self.notes.push(ListNote::PotsMeant {
                cell: cell.clone(),
                paints: little.len(),
            });
        }
        if let Some(medium) = medium.filter(|_| without_medium > 0) {
            self.notes.push(ListNote::MediumTaken {
                medium: medium.word(),
                paints: without_medium,
            });
        }
    }

    /// Turns the faults of rows into a note on which rows were left out; gives those that are not of a row.
    fn without_bad_rows(&mut self, faults: Vec<ListError>) -> Vec<ListError> {
        let (of_rows, others): (Vec<_>, Vec<_>) =
            faults.into_iter().partition(ListError::is_of_a_row);
        let mut rows: Vec<(usize, String)> = of_rows
            .iter()
            .map(|fault| (fault.place().line.unwrap_or(0), fault.to_string()))
            .collect();
        rows.dedup_by_key(|(line, _)| *line);
        if !rows.is_empty() {
            self.notes.push(ListNote::RowsSkipped { rows });
        }
        others
    }

    /// How things were taken that could be taken otherwise, and what was passed over.
    #[must_use]
    pub fn notes(&self) -> &[ListNote] {
        &self.notes
    }

    /// The same list, with only the paints that are on hand.
    #[must_use]
    pub fn on_hand(mut self) -> Self {
        self.paints
            .retain(|paint| paint.on_hand_ml.is_some_and(|ml| ml > 0.0));
        self
    }

    /// This list and, after it, those paints of another whose names it does not have.
    #[must_use]
    pub fn joined_with(&self, other: &Self) -> Self {
        let mut all = self.clone();
        all.paints.extend(
            other
                .paints
                .iter()
                .filter(|paint| self.named(&paint.name).is_none())
                .cloned(),
        );
        all
    }

    /// True when it names files, which are looked for beside it.
    #[must_use]
    pub fn names_files(&self) -> bool {
        self.clean
            .iter()
            .any(|(row, _)| row.iter().any(|(column, _)| column.ends_with("spectrum")))
    }

    /// The paints, in list order.
    #[must_use]
    pub fn paints(&self) -> &[Paint] {
        &self.paints
    }

    /// The paint of this name, whatever its case.
    #[must_use]
    pub fn named(&self, name: &str) -> Option<(usize, &Paint)> {
        let wanted = name.trim().to_lowercase();
        self.paints
            .iter()
            .enumerate()
            .find(|(_, paint)| paint.name.to_lowercase() == wanted)
    }
}

impl Cells<'_> {
    fn spectrum(&mut self, column: &'static str, read: &ReadNamedFile<'_>) -> Option<Spectrum> {
        let name = self.row.cell(column)?;
        let place = self.place(column);
        let text = match read(name) {
            Ok(text) => text,
            Err(detail) => {
                self.faults.push(ListError::BadSpectrum { place, detail });
                return None;
            }
        };
        let faults = match parse_spectrum(&text) {
            Ok(spectrum) => {
                self.clean.push((column, name.to_owned()));
                return Some(spectrum);
            }
            Err(faults) => faults,
        };
        // A row is told where it stands; the file as a whole where the list names it.
        self.faults
            .extend(faults.into_iter().map(|fault| match fault.line {
                Some(line) => ListError::BadSpectrumRow {
                    place: Place::file(name).at_line(line),
                    detail: fault.detail,
                },
                None => ListError::BadSpectrum {
                    place: place.clone(),
                    detail: fault.detail,
                },
            }));
        None
    }

    fn paint(
        &mut self,
        name: Option<String>,
        read: &ReadNamedFile<'_>,
        currency: &mut Option<&'static str>,
    ) -> Option<Paint> {
        let thin = ["name", "medium"]
            .iter()
            .any(|c| self.row.cell(c).is_some_and(is_thin));
        let known = self.known_colour(read, "one of hex, lab_l with lab_a and lab_b, or spectrum");
        let spectrum = (self.spectrum("let_down_spectrum", read))
            .map(|s| LetDownColour::Spectrum(Box::new(s)));
        let first = self.let_down(LET_DOWN_COLUMNS[0], spectrum);
        let mut let_downs: Vec<LetDown> = first.into_iter().collect();
        for columns in &LET_DOWN_COLUMNS[1..] {
            let_downs.extend(self.let_down(*columns, None));
        }
        let over_cards = self.over_cards();
        let medium = self.medium();
        let opacity = self.opacity(&OPACITY_WORDS);
        let (finish, effect) = self.finish_and_effect();
        let mixable = self.mixable();
        let strength = self.strength();
        let density = self.number(
            "density_g_per_ml",
            Measure::Density,
            &(0.3..=10.0),
            "a density from 0.3 to 10 g/ml",
        );
        let pot_ml = self.number(
            "pot_ml",
            Measure::Volume,
            &(0.1..=1e6),
            "millilitres, from 0.1 to 1,000,000",
        );
        let on_hand_ml = self.on_hand(pot_ml);
        let price = self.price(currency);
        let thinner = self.text("thinner");
        let note = self.text("note");
        self.text("measured_by");
        let (colour, source, measured) = known?;
        Some(Paint {
            name: name?,
            colour,
            source,
            measured,
            medium,
            opacity,
            finish,
            strength,
            let_downs,
            over_cards,
            thinner: thinner.map(|t| t.to_lowercase()),
            effect,
            mixable: mixable.unwrap_or(true),
            density_g_per_ml: density,
            on_hand_ml,
            pot_ml,
            price,
            note,
            thin,
        })
    }

    fn strength(&mut self) -> Option<f64> {
        self.number(
            "strength",
            Measure::Ratio,
            &(0.001..=20.0),
            "a strength above 0 and up to 20 (1 is a typical paint; percent with its sign, 80 %)",
        )
    }

    /// How a paint shines, and whether it sparkles.
    fn finish_and_effect(&mut self) -> (Option<Finish>, Option<PaintEffect>) {
        // "metallic" stands in many a column of finishes.
        let sparkle = self.row.cell("finish").and_then(|text| {
            let effect = meaning(text, EFFECTS).word().filter(|word| *word != "none");
            effect.filter(|_| degree(text, FINISHES).word().is_none())
        });
        let finish = match sparkle {
            Some(_) => None,
            None => self.degree("finish", FINISHES, &FINISH_WORDS),
        };
        let effect = if let Some(word) = sparkle {
            self.clean.push(("effect", word.to_owned()));
            let known = EFFECT_WORDS.iter().find(|(own, _)| *own == word);
            known.and_then(|(_, effect)| *effect)
        } else if self.row.cell("effect").is_some() {
            self.word("effect", EFFECTS, &EFFECT_WORDS).flatten()
        } else {
            self.effect_in_medium()
        };
        (finish, effect)
    }

    /// Whether it can be mixed, where that is said or a spray.
    fn mixable(&mut self) -> Option<bool> {
        match self.word("mixable", YES_NO, &[("yes", true), ("no", false)]) {
            None if self.row.cell("medium").is_some_and(is_sprayed) => {
                self.clean.push(("mixable", "no".to_owned()));
                Some(false)
            }
            read => read,
        }
    }

    /// An effect that stands among the words of the medium: "metallic acrylic".
    fn effect_in_medium(&mut self) -> Option<PaintEffect> {
        let word = effect_among(self.row.cell("medium")?)?;
        self.clean.push(("effect", word.to_owned()));
        let (_, effect) = EFFECT_WORDS.iter().find(|(own, _)| *own == word)?;
        *effect
    }

    /// The binder. A "wash" is one of its binder and thin; alone it does not say what the binder is.
    fn medium(&mut self) -> Option<Medium> {
        let text = self.row.cell("medium")?;
        if matches!(fold(text).as_str(), "wash" | "glaze" | "filter") {
            self.clean.push(("medium", text.to_owned()));
            return None;
        }
        let (thin, by_solvent) = (is_thin(text), is_by_solvent(text));
        let found = text.to_owned();
        let medium = self.word("medium", MEDIA, &Medium::ALL.map(|m| (m.word(), m)));
        if by_solvent && medium == Some(Medium::Acrylic) {
            self.faults.push(ListError::SeveralWords {
                place: self.place("medium"),
                found,
                several: "acrylic (thinned with water) or lacquer (with a solvent)".to_owned(),
            });
            return None;
        }
        // Written again, it is to be as thin as it was.
        if let Some((_, word)) = self.clean.iter_mut().find(|(c, _)| *c == "medium")
            && thin
            && !is_thin(word)
        {
            word.push_str(" wash");
        }
        medium
    }

    /// What is on the shelf: millilitres, or a share of the pot.
    fn on_hand(&mut self, pot_ml: Option<f64>) -> Option<f64> {
        let found = self.value("on_hand_ml", Measure::Stock)?;
        let ml = match (found.of_the_pot, pot_ml) {
            (false, _) => found.value,
            (true, Some(pot)) => found.value * pot,
            (true, None) => {
                self.faults.push(ListError::ShareOfWhat {
                    place: self.place("on_hand_ml"),
                    found: self.row.cell("on_hand_ml").unwrap_or_default().to_owned(),
                });
                return None;
            }
        };
        self.in_range(
            "on_hand_ml",
            ml,
            &(0.0..=1e6),
            "millilitres, from 0 to 1,000,000",
        )
    }

    /// What a pot costs; all prices of a list are in one currency.
    fn price(&mut self, currency: &mut Option<&'static str>) -> Option<f64> {
        let found = self.value("price", Measure::Price)?;
        let stated = self
            .row
            .cell("currency")
            .and_then(super::values::currency)
            .or_else(|| Some((self.row.unit("price")?.currency?, 1.0)))
            .map(|(currency, _)| currency);
        if let (Some(stated), Some(here)) = (stated, found.currency)
            && stated != here
        {
            self.faults.push(ListError::SeveralCurrencies {
                place: self.place("price"),
                found: here,
                expected: stated,
            });
            return None;
        }
        match (*currency, found.currency.or(stated)) {
            (Some(above), Some(here)) if above != here => {
                self.faults.push(ListError::SeveralCurrencies {
                    place: self.place("price"),
                    found: here,
                    expected: above,
                });
                return None;
            }
            (None, here) => *currency = here,
            _ => {}
        }
        self.in_range(
            "price",
            found.value,
            &(0.0..=1e6),
            "a price from 0 to 1,000,000",
        )
    }

    /// The paint's colour, how it is known, and its measured reflectance if any.
    pub(super) fn known_colour(
        &mut self,
        read: &ReadNamedFile<'_>,
        expected: &'static str,
    ) -> Option<(LabD65, ColourSource, Option<Spectrum>)> {
        let channels = self.three_channels();
        let given = [
            self.row.cell("hex").is_some() || self.row.cell("red").is_some(),
            ["lab_l", "lab_a", "lab_b"]
                .iter()
                .any(|c| self.row.cell(c).is_some()),
            self.row.cell("spectrum").is_some(),
        ];
        // Hex beside a measurement is a convenience for reading: the measurement counts.
        let two_measured = given[1] && given[2];
        if !given.contains(&true) || two_measured {
            self.faults.push(ListError::ColourCount {
                place: self.place("hex"),
                name: self.row.cell("name").unwrap_or_default().to_owned(),
                found: if two_measured {
                    "two measured colours"
                } else {
                    "no colour"
                },
                expected,
            });
        }
        let hex = self.colour("hex");
        if let (Some(hex), Some(channels)) = (hex, channels) {
            let off = delta_e00(hex, channels).0;
            if off > ONE_COLOUR {
                self.faults.push(ListError::ColoursDisagree {
                    place: self.place("hex"),
                    hex: hex.to_srgb8().to_string(),
                    channels: channels.to_srgb8().to_string(),
                });
            }
            // Written once.
            if let Some(at) = self.clean.iter().position(|(column, _)| *column == "hex") {
                self.clean.remove(at);
            }
        }
        let hex = hex.or(channels).map(|lab| (lab, ColourSource::Hex, None));
        let lab = if given[1] { self.lab() } else { None };
        let spectrum = self.spectrum("spectrum", read).map(|s| {
            (
                LabD65::from(seen_in_daylight(&s)),
                ColourSource::Spectrum,
                Some(s),
            )
        });
        let measured = spectrum.or(lab.map(|lab| (lab, ColourSource::Lab, None)));
        if let (Some((hex, ..)), Some((measured, ..))) = (&hex, &measured)
            && delta_e00(*hex, LabD65::from(measured.to_srgb8())).0 > ANOTHER_COLOUR
        {
            self.notes.push(ListNote::FarFromMeasured {
                paint: self.row.cell("name").unwrap_or_default().to_owned(),
                hex: hex.to_srgb8().to_string(),
                measured: measured.to_srgb8().to_string(),
            });
        }
        measured.or(hex)
    }

    /// L*, a* and b* as the list has them.
    fn lab_numbers(&mut self) -> Option<(f64, f64, f64)> {
        for column in LAB_COLUMNS {
            if self.row.cell(column).is_none() {
                self.missing_third(column);
            }
        }
        let [l, a, b] = LAB_COLUMNS;
        let l = self.number(
            l,
            Measure::Plain,
            &(0.0..=100.0),
            "a lightness L* from 0 to 100",
        );
        let a = self.number(a, Measure::Plain, &(-160.0..=160.0), "a* from -160 to 160");
        let b = self.number(b, Measure::Plain, &(-160.0..=160.0), "b* from -160 to 160");
        Some((l?, a?, b?))
    }

    fn lab(&mut self) -> Option<LabD65> {
        let (l, a, b) = self.lab_numbers()?;
        let headed = |mark: &str| {
            LAB_COLUMNS
                .iter()
                .any(|column| self.row.header(column).to_lowercase().contains(mark))
        };
        let illuminant = self.row.cell("illuminant").map(str::to_lowercase);
        let above =
            (self.light.contains("d50") || self.light.contains("d65")).then_some(self.light);
        let stated = illuminant.as_deref().or(above).unwrap_or_default();
        let under_d50 = headed("d50") || stated.contains("d50");
        let ten = |words: &str| fold(words).split(' ').any(|word| word == "10");
        if (headed("10°") || ten(stated) || ten(self.light))
            && !self.notes.contains(&ListNote::TenDegrees)
        {
            self.notes.push(ListNote::TenDegrees);
        }
        if !stated.is_empty() && !stated.contains("d50") && !stated.contains("d65") {
            self.faults.push(ListError::OutOfRange {
                place: self.place("illuminant"),
                found: format!("\"{stated}\""),
                expected: "D65 or D50: under other light L*, a* and b* are another colour",
            });
            return None;
        }
        if !under_d50 {
            return Some(LabD65::new(l, a, b));
        }
        if !self.notes.contains(&ListNote::UnderD50) {
            self.notes.push(ListNote::UnderD50);
        }
        let lab = lab_under_d50(l, a, b);
        for (column, cell) in &mut self.clean {
            if let Some(at) = LAB_COLUMNS.iter().position(|c| c == column) {
                *cell = super::cells::plain_number([lab.l, lab.a, lab.b][at]);
            }
        }
        Some(lab)
    }

    /// The let-down of a pair of columns; `spectrum` is its colour as measured.
    fn let_down(
        &mut self,
        (hex, parts_white): (&'static str, &'static str),
        spectrum: Option<LetDownColour>,
    ) -> Option<LetDown> {
        let parts = self.number(
            parts_white,
            Measure::Parts,
            &(0.4..=20.0),
            "parts of white, 0.4 to 20 (3 is best)",
        );
        let colour = self.colour(hex).map(LetDownColour::Colour);
        let measured_in = "let_down_spectrum";
        let has_spectrum = hex == LET_DOWN_COLUMNS[0].0 && self.row.cell(measured_in).is_some();
        let has_colour = self.row.cell(hex).is_some() || has_spectrum;
        let has_parts = self.row.cell(parts_white).is_some();
        if has_colour != has_parts {
            let found = if has_parts {
                parts_white
            } else {
                "a let-down's colour"
            };
            self.faults.push(ListError::HalfLetDown {
                place: self.place(parts_white),
                found,
            });
        }
        Some(LetDown {
            parts_white: parts?,
            seen: spectrum.or(colour)?,
        })
    }

    /// Both or neither: one alone cannot separate cover from colour.
    fn over_cards(&mut self) -> Option<OverCards> {
        let [black, white] = OVER_CARDS_COLUMNS;
        let there = OVER_CARDS_COLUMNS.map(|column| self.row.cell(column).is_some());
        if there[0] != there[1] {
            let (found, missing) = if there[0] {
                (black, white)
            } else {
                (white, black)
            };
            self.faults.push(ListError::OneCard {
                place: self.place(found),
                missing,
            });
        }
        Some(OverCards {
            black: self.colour(black)?,
            white: self.colour(white)?,
        })
    }
}

/// Columns of one coat over a black and over a white card.
pub(super) const OVER_CARDS_COLUMNS: [&str; 2] = ["over_black_hex", "over_white_hex"];

/// Where all that is on hand is at most this share of a pot, pots may be meant by the numbers. Our choice.
const LITTLE: f64 = 0.2;

/// If there is no pot size, and all amounts on hand are at most this number, they may count pots. Our choice.
const FEW_POTS: f64 = 5.0;

/// A hex and three numbers this far apart, CIEDE2000, are one colour: rounding. Our choice.
const ONE_COLOUR: f64 = 1.5;

/// A hex this far from the measurement beside it, CIEDE2000, is of another paint, or one of the two is a slip: printed and
/// screen colours are some 5 off. Our choice.
const ANOTHER_COLOUR: f64 = 10.0;

/// Columns of L*, a* and b*.
const LAB_COLUMNS: [&str; 3] = ["lab_l", "lab_a", "lab_b"];
/// Most let-downs of one paint.
pub(super) const MOST_LET_DOWNS: usize = 3;
/// Columns of let-downs: the colour, and the parts of white to one of paint.
pub(super) const LET_DOWN_COLUMNS: [(&str, &str); MOST_LET_DOWNS] = [
    ("let_down_hex", "let_down_parts_white"),
    ("let_down_2_hex", "let_down_2_parts_white"),
    ("let_down_3_hex", "let_down_3_parts_white"),
];

/// A measured reflectance: rows of wavelength and value, or a CGATS / ISO 28178 text of one sample.
///
/// # Errors
/// All that is wrong with it.
pub fn parse_spectrum(text: &str) -> Result<Spectrum, Vec<SpectrumFault>> {
    let points = spectrum_points(text)?;
    let whole = |detail: &str| vec![SpectrumFault::whole(detail)];
    if points.iter().any(|(_, value)| *value > 1.5) {
        return Err(whole(
            "values above 1.5: write reflectance as a fraction, not in percent",
        ));
    }
    Spectrum::from_points(&points)
        .map(|s| s.map(|r| r.clamp(0.0, 1.0)))
        .ok_or_else(|| whole("no rows"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(text: &str) -> Result<PaintList, Vec<ListError>> {
        PaintList::parse("paints.csv", text.as_bytes(), &|_| {
            Err("no such file".to_owned())
        })
    }

    #[test]
    fn a_spreadsheet_export_just_works() {
        let list = parse("\u{feff}name;hex;medium;on_hand_ml\r\n\r\n\"umber, raw\";#6b5a41;Acrylic;12,5\r\nwhite;#f2f1ec;;\r\n")
            .unwrap();
        assert_eq!(list.paints().len(), 2);
        assert_eq!(list.paints()[0].name, "umber, raw");
        assert_eq!(list.paints()[0].on_hand_ml, Some(12.5));
        assert_eq!(
            list.paints()[1].on_hand_ml,
            None,
            "an empty cell is unknown, not 0"
        );
    }

    #[test]
    fn every_fault_is_told_at_once_by_place() {
        let faults = parse("name,hex,medium,pot_ml\na,#12345g,acrylic,20\nA,#123456,acryllic,many\n,#123456,,\nd,,,\n")
            .unwrap_err();
        let places: Vec<String> = faults.iter().map(|f| f.place().to_string()).collect();
        assert_eq!(
            places,
            [
                "paints.csv:2, hex",
                "paints.csv:3, medium",
                "paints.csv:3, name",
                "paints.csv:3, pot_ml",
                "paints.csv:4, name",
                "paints.csv:5, hex",
            ]
        );
        assert_eq!(
            faults[1].hint().as_deref(),
            Some("did you mean \"acrylic\"?")
        );
    }

    #[test]
    fn an_empty_list_is_a_fault_and_an_old_code_is_read() {
        assert!(matches!(
            parse("name,hex\n").unwrap_err()[..],
            [ListError::Empty { .. }]
        ));
        let old = PaintList::parse("p.csv", b"name,hex\nochre \xe9,#aabbcc\n", &|_| {
            Err(String::new())
        })
        .unwrap();
        assert_eq!(old.paints()[0].name, "ochre é");
        assert!(matches!(old.notes(), [ListNote::Encoding { line: 2 }]));
    }

    #[test]
    fn spectra_are_read_from_tables_and_from_exchange_texts() {
        let table = "wavelength_nm,reflectance\n400,0.1\n500,0.2\n600,0.4\n700,0.5\n";
        let exchange = "CGATS.17\nNUMBER_OF_FIELDS 5\nBEGIN_DATA_FORMAT\nSAMPLE_ID SPECTRAL_PCT400 SPECTRAL_PCT500\nSPECTRAL_PCT600 SPECTRAL_PCT700\nEND_DATA_FORMAT\nNUMBER_OF_SETS 1\nBEGIN_DATA\nA1 10 20 40 50\nEND_DATA\n";
        let one = parse_spectrum(table).unwrap();
        let other = parse_spectrum(exchange).unwrap();
        for (a, b) in one.values().iter().zip(other.values()) {
            assert!((a - b).abs() < 1e-12);
        }
        for bad in [
            "",
            "400,10\n500,20\n600,30\n700,40\n",
            "BEGIN_DATA_FORMAT\nEND_DATA_FORMAT\n",
            "500,0.1\n510,0.1\n520,0.1\n530,0.1\n",
        ] {
            assert!(parse_spectrum(bad).is_err(), "{bad:?}");
        }
    }

    #[test]
    fn names_are_short_and_hold_nothing_that_cannot_be_seen() {
        let long = |n: usize| format!("name,hex\n{},#888888\n", "x".repeat(n));
        assert!(parse(&long(1000)).is_ok());
        for n in [1001, 5000] {
            let faults = parse(&long(n)).unwrap_err();
            assert!(faults[0].to_string().contains("characters"), "{faults:?}");
        }
        let list = parse("name,hex\n\"pot\nWritten: here\u{1b}[31m\u{200b}\",#888888\n").unwrap();
        assert_eq!(list.paints()[0].name, "pot Written: here[31m");
    }

    #[test]
    fn what_does_not_mix_says_why() {
        let list = parse("name,hex,medium,effect,mixable\na,#888888,acrylic,metallic,\nb,#888888,varnish,,\nc,#888888,,,no\nd,#888888,,,\n")
            .unwrap();
        let families: Vec<_> = list.paints().iter().map(Paint::mixing_family).collect();
        assert_eq!(families[0], Err(NotMixed::Effect(PaintEffect::Metallic)));
        assert_eq!(families[1], Err(NotMixed::Medium(Medium::Varnish)));
        assert_eq!(families[2], Err(NotMixed::Unmixable));
        assert_eq!(families[3], Ok(MixingFamily::Unknown));
    }
}
