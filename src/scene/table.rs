//! Reads a TOML table key by key: records every fault with its line, and reads on.

use super::error::SceneError;
use super::key::{
    Colour, ColourGroups, Corners, Each, Either, Key, LeaveOut, MayBeTable, MayBeText, MeasureText,
    Number, OutlineOrBox, POINTS, PhotoPoint, Text, Whole, WordOf, YesNo,
};
use super::keys::{LEAVE_OUT, REGION};
use crate::colour::{LabD65, parse_colour};
use crate::problem::{Place, nearest_word};
use crate::region::{Outline, Region, RegionError};
use crate::units::{UnitError, number};
use std::cell::RefCell;
use std::ops::Range;
use std::str::FromStr;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Most characters of a text. Our choice, as in received plans.
const LONGEST_TEXT: usize = 4000;

/// Most entries of one kind: surfaces, photos, places, leave-outs. Our choice, far beyond a layout's need: it bounds
/// what a scene from elsewhere can cost.
const MOST_ENTRIES: usize = 500;

/// Most faults that are gathered of one file.
const MOST_FAULTS: usize = 200;

/// The fault of more entries than are read.
fn too_many(place: Place, entries: usize) -> SceneError {
    SceneError::OutOfRange {
        place,
        found: format!("{entries} entries"),
        expected: "at most 500; split the layout into several scenes",
    }
}

/// Which files a scene may name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum MayName {
    /// Those in its folder.
    #[default]
    ItsFolder,
    /// Those outside its folder too.
    AnyFolder,
}

/// What all tables of one file share.
pub(super) struct Source<'a> {
    file: &'a str,
    line_starts: Vec<usize>,
    faults: RefCell<Vec<SceneError>>,
}

impl<'a> Source<'a> {
    pub(super) fn new(file: &'a str, text: &str) -> Self {
        let line_starts = std::iter::once(0)
            .chain(
                text.bytes()
                    .enumerate()
                    .filter(|(_, b)| *b == b'\n')
                    .map(|(at, _)| at + 1),
            )
            .collect();
        Self {
            file,
            line_starts,
            faults: RefCell::new(Vec::new()),
        }
    }

    pub(super) fn place(&self, span: &Range<usize>) -> Place {
        let line = self
            .line_starts
            .partition_point(|start| *start <= span.start);
        Place::file(self.file).at_line(line.max(1))
    }

    pub(super) fn fault(&self, fault: SceneError) {
        if !self.is_full() {
            self.faults.borrow_mut().push(fault);
        }
    }

    /// Whether as many faults are gathered as anybody will read.
    fn is_full(&self) -> bool {
        self.faults.borrow().len() >= MOST_FAULTS
    }

    pub(super) fn into_faults(self) -> Vec<SceneError> {
        self.faults.into_inner()
    }
}

/// One table of the file.
pub(super) struct SceneTable<'s, 't> {
    source: &'s Source<'s>,
    entries: &'t DeTable<'t>,
    path: String,
    place: Place,
    asked: RefCell<Vec<&'static str>>,
}

impl<'s, 't> SceneTable<'s, 't> {
    pub(super) fn new(
        source: &'s Source<'s>,
        table: &'t DeTable<'t>,
        path: String,
        place: Place,
    ) -> Self {
        Self {
            source,
            entries: table,
            path,
            place,
            asked: RefCell::new(Vec::new()),
        }
    }

    /// "surface 2, wash.base".
    fn field(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.path)
        }
    }

    pub(super) fn place_of(&self, key: &str) -> Place {
        self.entries
            .iter()
            .find(|(k, _)| k.get_ref() == key)
            .map_or_else(|| self.place.clone(), |(k, _)| self.source.place(&k.span()))
            .at_field(self.field(key))
    }

    fn value(&self, key: &'static str) -> Option<&'t Spanned<DeValue<'t>>> {
        self.asked.borrow_mut().push(key);
        self.entries
            .iter()
            .find(|(k, _)| k.get_ref() == key)
            .map(|(_, v)| v)
    }

    pub(super) fn has(&self, key: &'static str) -> bool {
        self.value(key).is_some()
    }

    /// True when the key holds a table.
    pub(super) fn is_table(&self, key: Key<Either>) -> bool {
        self.value(key.name)
            .is_some_and(|value| matches!(value.get_ref(), DeValue::Table(_)))
    }

    /// True when the key holds a text.
    pub(super) fn is_text(&self, key: Key<Either>) -> bool {
        self.value(key.name).is_some_and(|v| v.get_ref().is_str())
    }

    pub(super) fn fault(&self, fault: SceneError) {
        self.source.fault(fault);
    }

    fn wrong_kind(&self, key: &str, found: &DeValue<'_>, expected: &'static str) {
        self.fault(SceneError::WrongKind {
            place: self.place_of(key),
            found: kind_in_words(found),
            expected,
        });
    }

    pub(super) fn missing<K: Copy>(&self, key: Key<K>) {
        self.fault(SceneError::MissingKey {
            place: self.place.clone().at_field(self.field(key.name)),
            key: key.name.to_owned(),
            example: key.example,
        });
    }

    /// Faults a key that is not there.
    pub(super) fn need<K: Copy>(&self, key: Key<K>) {
        if !self.has(key.name) {
            self.missing(key);
        }
    }

    pub(super) fn text<K: MayBeText + Copy>(&self, key: Key<K>) -> Option<String> {
        self.text_of(key.name, key.expected)
    }

    /// The text of a key that holds one in any case.
    pub(super) fn text_of(&self, key: &'static str, expected: &'static str) -> Option<String> {
        let value = self.value(key)?.get_ref();
        match value {
            // An escape such as \u001b would reach terminals by way of the table and the page.
            DeValue::String(text)
                if text.len() > LONGEST_TEXT && text.chars().count() > LONGEST_TEXT =>
            {
                self.fault(SceneError::WrongKind {
                    place: self.place_of(key),
                    found: format!("a text of more than {LONGEST_TEXT} characters"),
                    expected: "a text of 4000 characters at most",
                });
                None
            }
            DeValue::String(text) if !text.trim().is_empty() => {
                let shown = |c: &char| !c.is_control() || matches!(c, '\n' | '\t');
                Some(text.trim().chars().filter(shown).collect())
            }
            DeValue::String(_) => {
                self.fault(SceneError::WrongKind {
                    place: self.place_of(key),
                    found: "an empty text".to_owned(),
                    expected,
                });
                None
            }
            other => {
                self.wrong_kind(key, other, expected);
                None
            }
        }
    }

    pub(super) fn needed_text(&self, key: Key<Text>) -> Option<String> {
        self.need(key);
        self.text(key)
    }

    pub(super) fn measure<T: FromStr<Err = UnitError> + Copy>(
        &self,
        key: Key<MeasureText<T>>,
    ) -> Option<T> {
        self.text_of(key.name, key.expected)?
            .parse()
            .map_err(|cause| {
                self.fault(SceneError::BadMeasure {
                    place: self.place_of(key.name),
                    cause,
                });
            })
            .ok()
    }

    pub(super) fn colour(&self, key: Key<Colour>) -> Option<LabD65> {
        let text = self.text_of(key.name, key.expected)?;
        self.colour_from(key.name, &text)
    }

    pub(super) fn colour_from(&self, key: &str, text: &str) -> Option<LabD65> {
        parse_colour(text)
            .map_err(|cause| {
                self.fault(SceneError::BadColour {
                    place: self.place_of(key),
                    cause,
                });
            })
            .ok()
    }

    /// Groups of two colours or more.
    pub(super) fn colour_groups(&self, key: Key<ColourGroups>) -> Vec<Vec<LabD65>> {
        let Some(value) = self.value(key.name).map(Spanned::get_ref) else {
            return Vec::new();
        };
        let groups: Option<Vec<Vec<&str>>> = value.as_array().and_then(|groups| {
            groups
                .iter()
                .map(|group| texts_of(group.get_ref()))
                .collect()
        });
        let Some(groups) = groups.filter(|groups| groups.iter().all(|group| group.len() > 1))
        else {
            self.wrong_kind(key.name, value, key.expected);
            return Vec::new();
        };
        let colours: usize = groups.iter().map(Vec::len).sum();
        if colours > MOST_ENTRIES {
            self.fault(too_many(self.place_of(key.name), colours));
            return Vec::new();
        }
        groups
            .into_iter()
            .filter_map(|group| {
                let colours = group
                    .into_iter()
                    .map(|text| self.colour_from(key.name, text));
                colours.collect::<Option<Vec<_>>>()
            })
            .collect()
    }

    pub(super) fn number(&self, key: Key<Number>) -> Option<f64> {
        self.in_range(key, key.kind)
    }

    fn in_range<K: Copy>(&self, key: Key<K>, range: Number) -> Option<f64> {
        let value = self.value(key.name)?.get_ref();
        let Some(found) = numeric(value) else {
            self.wrong_kind(key.name, value, key.expected);
            return None;
        };
        if (range.least..=range.most).contains(&found) {
            Some(found)
        } else {
            self.out_of_range(key, found);
            None
        }
    }

    fn out_of_range<K: Copy>(&self, key: Key<K>, found: f64) {
        self.fault(SceneError::OutOfRange {
            place: self.place_of(key.name),
            found: found.to_string(),
            expected: key.expected,
        });
    }

    pub(super) fn whole(&self, key: Key<Whole>) -> Option<u32> {
        let range = Number {
            least: f64::from(key.kind.least),
            most: f64::from(key.kind.most),
        };
        let found = self.in_range(key, range)?;
        if found.fract() == 0.0 {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "in range and whole"
            )]
            let whole = found as u32;
            Some(whole)
        } else {
            self.out_of_range(key, found);
            None
        }
    }

    pub(super) fn yes_no(&self, key: Key<YesNo>) -> Option<bool> {
        let value = self.value(key.name)?.get_ref();
        if value.as_bool().is_none() {
            self.wrong_kind(key.name, value, key.expected);
        }
        value.as_bool()
    }

    pub(super) fn word<T: Copy>(&self, key: Key<WordOf<T>>) -> Option<T> {
        let found = self.text_of(key.name, key.expected)?;
        self.one_of(key.name, found, key.kind.0)
    }

    /// What a word means; an unknown word is a fault.
    pub(super) fn one_of<T: Copy>(
        &self,
        key: &'static str,
        found: String,
        words: &[(&'static str, T)],
    ) -> Option<T> {
        let hit = words.iter().find(|(word, _)| *word == found.to_lowercase());
        if hit.is_none() {
            let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            self.fault(SceneError::UnknownWord {
                place: self.place_of(key),
                nearest: nearest_word(&found, known.iter().copied()).map(str::to_owned),
                known: known.join(", "),
                found,
            });
        }
        hit.map(|(_, value)| *value)
    }

    /// Some of a few words, as a list or one alone.
    pub(super) fn words<T: Copy>(&self, key: Key<WordOf<T>>) -> Vec<T> {
        let Some(value) = self.value(key.name).map(Spanned::get_ref) else {
            return Vec::new();
        };
        let found: Option<Vec<String>> = match value {
            DeValue::String(text) => Some(vec![text.trim().to_lowercase()]),
            DeValue::Array(items) => items
                .iter()
                .map(|item| match item.get_ref() {
                    DeValue::String(text) => Some(text.trim().to_lowercase()),
                    _ => None,
                })
                .collect(),
            _ => None,
        };
        let Some(found) = found else {
            self.wrong_kind(key.name, value, key.expected);
            return Vec::new();
        };
        found
            .into_iter()
            .filter_map(|found| self.one_of(key.name, found, key.kind.0))
            .collect()
    }

    /// A path relative to the scene; outside its folder only when allowed.
    pub(super) fn path<K: MayBeText + Copy>(
        &self,
        key: Key<K>,
        may_name: MayName,
    ) -> Option<String> {
        // A path as Windows writes it is one here too.
        let found = self.text_of(key.name, key.expected)?.replace('\\', "/");
        if let Some(odd) = found.chars().find(|c| c.is_control()) {
            self.fault(SceneError::WrongKind {
                place: self.place_of(key.name),
                found: format!("a path with the character {} in it", odd.escape_unicode()),
                expected: "a file's name, with / between folders: \\ has a meaning of its own in a text",
            });
            return None;
        }
        let leaves = found.split(['/', '\\']).any(|part| part == "..")
            || found.starts_with(['/', '\\'])
            || found.get(1..2) == Some(":");
        if leaves && may_name == MayName::ItsFolder {
            self.fault(SceneError::OutsideFolder {
                place: self.place_of(key.name),
                found,
            });
            return None;
        }
        Some(found)
    }

    pub(super) fn table<K: MayBeTable + Copy>(&self, key: Key<K>) -> Option<SceneTable<'s, 't>> {
        let spanned = self.value(key.name)?;
        match spanned.get_ref() {
            DeValue::Table(table) => Some(SceneTable::new(
                self.source,
                table,
                self.field(key.name),
                self.place_of(key.name),
            )),
            other => {
                self.wrong_kind(key.name, other, key.expected);
                None
            }
        }
    }

    /// Each entry of an array of tables.
    pub(super) fn tables(&self, key: Key<Each>) -> Vec<SceneTable<'s, 't>> {
        let Some(spanned) = self.value(key.name) else {
            return Vec::new();
        };
        let DeValue::Array(array) = spanned.get_ref() else {
            self.wrong_kind(key.name, spanned.get_ref(), key.expected);
            return Vec::new();
        };
        self.limit(key.name, array.len());
        let mut all = Vec::new();
        for (i, entry) in array.iter().take(MOST_ENTRIES).enumerate() {
            let path = format!("{} {}", self.field(key.name), i + 1);
            let place = self.source.place(&entry.span());
            match entry.get_ref() {
                DeValue::Table(table) => all.push(SceneTable::new(self.source, table, path, place)),
                other => self.fault(SceneError::WrongKind {
                    place: place.at_field(path),
                    found: kind_in_words(other),
                    expected: key.expected,
                }),
            }
        }
        all
    }

    /// Each named table below this one, such as the photos.
    pub(super) fn named_tables(&self, expected: &'static str) -> Vec<(String, SceneTable<'s, 't>)> {
        if self.entries.len() > MOST_ENTRIES {
            let place = self.place.clone().at_field(self.path.clone());
            self.fault(too_many(place, self.entries.len()));
        }
        let mut all = Vec::new();
        for (key, value) in self.entries.iter().take(MOST_ENTRIES) {
            let place = self.source.place(&key.span());
            let name = key.get_ref().to_string();
            match value.get_ref() {
                DeValue::Table(table) => {
                    let path = self.field(&name);
                    all.push((name, SceneTable::new(self.source, table, path, place)));
                }
                other => self.fault(SceneError::WrongKind {
                    place: place.at_field(self.field(&name)),
                    found: kind_in_words(other),
                    expected,
                }),
            }
        }
        all
    }

    /// A list of points.
    fn points(&self, key: &'static str) -> Option<Vec<[f64; 2]>> {
        let value = self.value(key)?.get_ref();
        let found = points_of(value);
        if found.is_none() {
            self.wrong_kind(key, value, POINTS);
        }
        found
    }

    /// Four points inside the photo.
    pub(super) fn corners(&self, key: Key<Corners>) -> Option<[[f64; 2]; 4]> {
        let points = self.points(key.name)?;
        let inside = points.iter().flatten().all(|v| (0.0..=1.0).contains(v));
        let corners = <[[f64; 2]; 4]>::try_from(points).map_err(|points| points.len());
        if let (Ok(corners), true) = (corners, inside) {
            return Some(corners);
        }
        self.fault(SceneError::WrongKind {
            place: self.place_of(key.name),
            found: format!(
                "{} points",
                corners.map_or_else(|count| count, |four| four.len())
            ),
            expected: key.expected,
        });
        None
    }

    /// A point inside the photo.
    pub(super) fn point(&self, key: Key<PhotoPoint>) -> Option<[f64; 2]> {
        let value = self.value(key.name)?.get_ref();
        let pair: Option<Vec<f64>> = value
            .as_array()
            .and_then(|all| all.iter().map(|n| numeric(n.get_ref())).collect());
        let found = pair.and_then(|pair| <[f64; 2]>::try_from(pair).ok());
        match found {
            None => self.wrong_kind(key.name, value, key.expected),
            Some([x, y]) => {
                if !(0.0..=1.0).contains(&x) || !(0.0..=1.0).contains(&y) {
                    let cause = RegionError::OutsidePhoto { x, y };
                    let place = self.place_of(key.name);
                    self.fault(SceneError::BadRegion { place, cause });
                }
            }
        }
        found
    }

    /// A region: points, or the box `[left, top, right, bottom]` as on the command line.
    pub(super) fn outline(&self, key: Key<OutlineOrBox>) -> Option<Outline> {
        let points = match box_of(self.value(key.name)?.get_ref()) {
            Some(corners) => corners,
            None => self.points(key.name)?,
        };
        self.checked(key.name, Outline::new(points))
    }

    /// `region` and `leave_out`; without a region the whole photo counts.
    pub(super) fn region(&self) -> Option<Region> {
        let written = self.has(REGION.name);
        let outline = self.outline(REGION);
        let leave_out = self.outlines(LEAVE_OUT);
        Some(Region {
            outline: if written { outline? } else { Outline::whole() },
            leave_out,
        })
    }

    /// A list of outlines.
    pub(super) fn outlines(&self, key: Key<LeaveOut>) -> Vec<Outline> {
        let Some(spanned) = self.value(key.name) else {
            return Vec::new();
        };
        let entries = spanned.get_ref().as_array();
        // One box, boxes, or outlines.
        let lists: Option<Vec<_>> = box_of(spanned.get_ref()).map(|one| vec![one]).or_else(|| {
            entries.and_then(|all| {
                let one = |e: &Spanned<DeValue<'_>>| {
                    box_of(e.get_ref()).or_else(|| points_of(e.get_ref()))
                };
                all.iter().map(one).collect()
            })
        });
        let Some(lists) = lists else {
            self.wrong_kind(key.name, spanned.get_ref(), key.expected);
            return Vec::new();
        };
        self.limit(key.name, lists.len());
        lists
            .into_iter()
            .take(MOST_ENTRIES)
            .filter_map(|points| self.checked(key.name, Outline::new(points)))
            .collect()
    }

    /// Faults a key that holds more entries than are read.
    fn limit(&self, key: &'static str, entries: usize) {
        if entries > MOST_ENTRIES {
            self.fault(too_many(self.place_of(key), entries));
        }
    }

    fn checked(&self, key: &str, outline: Result<Outline, RegionError>) -> Option<Outline> {
        outline
            .map_err(|cause| {
                self.fault(SceneError::BadRegion {
                    place: self.place_of(key),
                    cause,
                });
            })
            .ok()
    }

    /// Records every key that was never read. To be called once all others are.
    pub(super) fn done(&self) {
        let mut known = self.asked.borrow().clone();
        known.sort_unstable();
        known.dedup();
        for (key, _) in self.entries {
            if self.source.is_full() {
                break;
            }
            let found = key.get_ref();
            if !known.iter().any(|k| k == found) {
                self.fault(SceneError::UnknownKey {
                    place: self.source.place(&key.span()).at_field(self.field(found)),
                    found: found.to_string(),
                    nearest: nearest_word(found, known.iter().copied()).map(str::to_owned),
                    known: known.join(", "),
                });
            }
        }
    }
}

/// What a key holds, in plain words.
fn kind_in_words(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => format!("the text \"{text}\""),
        DeValue::Integer(whole) => format!("the number {}", whole.as_str()),
        DeValue::Float(number) => format!("the number {}", number.as_str()),
        DeValue::Boolean(yes) => yes.to_string(),
        DeValue::Datetime(_) => "a date".to_owned(),
        DeValue::Array(_) => "a list in [ ]".to_owned(),
        DeValue::Table(_) => "a table in { }".to_owned(),
    }
}

/// The texts of a list; `None` when it is none, or holds anything else.
fn texts_of<'v>(value: &'v DeValue<'_>) -> Option<Vec<&'v str>> {
    let items = value.as_array()?.iter();
    items.map(|item| item.get_ref().as_str()).collect()
}

/// The corners of a box: left, top, right, bottom.
fn box_of(value: &DeValue<'_>) -> Option<Vec<[f64; 2]>> {
    let edges: Option<Vec<f64>> = (value.as_array()?.iter())
        .map(|n| numeric(n.get_ref()))
        .collect();
    match edges.as_deref() {
        Some(&[left, top, right, bottom]) => Some(vec![
            [left, top],
            [right, top],
            [right, bottom],
            [left, bottom],
        ]),
        _ => None,
    }
}

fn numeric(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(integer) if integer.radix() == 10 => number(integer.as_str()).ok(),
        DeValue::Float(float) => number(float.as_str()).ok(),
        _ => None,
    }
}

fn points_of(value: &DeValue<'_>) -> Option<Vec<[f64; 2]>> {
    value
        .as_array()?
        .iter()
        .map(|point| {
            let pair = point.get_ref().as_array()?;
            let mut numbers = pair.iter().map(|n| numeric(n.get_ref()));
            match (numbers.next(), numbers.next(), numbers.next()) {
                (Some(Some(x)), Some(Some(y)), None) => Some([x, y]),
                _ => None,
            }
        })
        .collect()
}
