//! The scatter list: grass, foliage, earth and stone that is strewn rather than painted.

use super::cells::{Cells, Clean};
use super::grid::ListFindings;
use super::list_error::ListError;
use super::list_note::ListNote;
use super::material::ScatterMaterial;
use super::measure::Measure;
use super::rows::read_rows;
use super::words::{GRAINS, MATERIALS, SCATTER_COLUMNS, SWATCHES};
use crate::colour::LabD65;
use crate::problem::Explain;
use serde::Serialize;

/// How coarse a scatter is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Grain {
    /// Bushes and clumps.
    Coarse,
    /// Weeds and rough grass.
    Medium,
    /// Short grass, earth.
    Fine,
    /// Standing fibres.
    Fibre,
}

/// What a listed colour was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ColourFrom {
    /// A patch as laid: it holds the shadows of its grains.
    Laid,
    /// Loose grains or a chart: it does not.
    Loose,
}

/// One kind of scatter.
#[derive(Debug, Clone, PartialEq)]
pub struct ScatterItem {
    /// Unique in its list.
    pub name: String,
    /// Its colour.
    pub colour: LabD65,
    /// What that was taken from; as laid where the list does not say.
    pub swatch: Option<ColourFrom>,
    /// Its grain, when stated.
    pub grain: Option<Grain>,
    /// What it is, when stated.
    pub material: Option<ScatterMaterial>,
    /// Fibre length.
    pub length_mm: Option<f64>,
    /// On the shelf.
    pub on_hand_g: Option<f64>,
    /// Grams that cover a square decimetre once.
    pub cover_g_per_dm2: Option<f64>,
    /// Free text.
    pub note: Option<String>,
}

/// A list that can be worked from: at least one kind, all names different.
#[derive(Debug, Clone)]
pub struct ScatterList {
    /// Its file, as the user named it.
    pub file: String,
    items: Vec<ScatterItem>,
    notes: Vec<ListNote>,
    /// Headers of columns that are not ours.
    pub(super) unused: Vec<String>,
    /// Each kind's row in its plainest form, and its cells of other columns.
    pub(super) clean: Clean,
}

const SWATCH_WORDS: [(&str, ColourFrom); 2] =
    [("laid", ColourFrom::Laid), ("loose", ColourFrom::Loose)];
const GRAIN_WORDS: [(&str, Grain); 4] = [
    ("coarse", Grain::Coarse),
    ("medium", Grain::Medium),
    ("fine", Grain::Fine),
    ("fibre", Grain::Fibre),
];

/// What can be read of a row; nothing without a name or a colour.
fn item(cells: &mut Cells<'_>, seen: &mut Vec<(String, usize)>) -> Option<ScatterItem> {
    const AMOUNT: &str = "a number, 0 or more";
    let name = cells.name(seen);
    let no_files = |_: &str| Err("a kind of scatter has no spectrum".to_owned());
    let colour = cells.known_colour(&no_files, "one of hex, or lab_l with lab_a and lab_b");
    let colour = colour.map(|(lab, ..)| lab);
    let swatch = cells.word("swatch", SWATCHES, &SWATCH_WORDS);
    let grain = cells.word("grain", GRAINS, &GRAIN_WORDS);
    let material = cells.word("material", MATERIALS, &ScatterMaterial::ALL);
    let length_mm = cells.number("length_mm", Measure::Length, &(0.0..=1000.0), AMOUNT);
    let on_hand_g = cells.number("on_hand_g", Measure::Mass, &(0.0..=1e6), AMOUNT);
    let cover = cells.number("cover_g_per_dm2", Measure::Cover, &(0.0..=1e4), AMOUNT);
    let note = cells.text("note");
    Some(ScatterItem {
        name: name?,
        colour: colour?,
        swatch,
        grain,
        material,
        length_mm,
        on_hand_g,
        cover_g_per_dm2: cover.filter(|c| *c > 0.0),
        note,
    })
}

impl ScatterList {
    /// Checks a list; `file` is its name for messages.
    ///
    /// # Errors
    /// All faults at once, sorted by place.
    pub fn parse(file: &str, bytes: &[u8]) -> Result<Self, Vec<ListError>> {
        let mut found = ListFindings::default();
        let table = read_rows(file, bytes, "scatter", SCATTER_COLUMNS, &mut found);
        let ListFindings {
            mut notes,
            mut faults,
        } = found;
        let mut seen: Vec<(String, usize)> = Vec::new();
        let mut items = Vec::new();
        let mut clean = Vec::new();
        for row in &table.rows {
            let mut cells = Cells {
                row,
                decimals: table.decimals,
                light: &table.light,
                faults: &mut faults,
                notes: &mut notes,
                clean: Vec::new(),
            };
            items.extend(item(&mut cells, &mut seen));
            clean.push((cells.clean, row.others.clone()));
        }
        super::rows::without_echoes(&mut faults);
        if faults.is_empty() {
            Ok(Self {
                file: file.to_owned(),
                items,
                notes,
                unused: table.unused,
                clean,
            })
        } else {
            faults.sort_by_key(Explain::place);
            Err(faults)
        }
    }

    /// How things were taken that could be taken otherwise, and what was passed over.
    #[must_use]
    pub fn notes(&self) -> &[ListNote] {
        &self.notes
    }

    /// The kinds, in list order.
    #[must_use]
    pub fn items(&self) -> &[ScatterItem] {
        &self.items
    }
}
