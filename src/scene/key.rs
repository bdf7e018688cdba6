//! A key of a scene: its name and what it holds, once for reading, writing and describing scenes.

use std::marker::PhantomData;

/// A key that is read as a `K`.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Key<K> {
    pub(crate) name: &'static str,
    /// What is expected where something else was found.
    pub(super) expected: &'static str,
    /// How to write it, for users who left it out.
    pub(super) example: &'static str,
    pub(super) kind: K,
    holds: HeldByKey,
    presence: Presence,
}

/// What is expected where points are.
pub(super) const POINTS: &str = "points such as [[0.1, 0.2], [0.5, 0.2], [0.5, 0.8]]";

/// Whether a table can do without a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Presence {
    Needed,
    Optional,
}

/// A text.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Text;
/// A text that is a length, an area or a scale.
#[derive(Debug, Clone, Copy)]
pub(crate) struct MeasureText<T>(PhantomData<fn() -> T>);
/// A text that is a colour.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Colour;
/// Groups of colours.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ColourGroups;
/// A number in a range.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Number {
    pub(super) least: f64,
    pub(super) most: f64,
}
/// A whole number in a range.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Whole {
    pub(super) least: u32,
    pub(super) most: u32,
}
/// true or false.
#[derive(Debug, Clone, Copy)]
pub(crate) struct YesNo;
/// One of a few words, or several of them.
#[derive(Debug, Clone, Copy)]
pub(crate) struct WordOf<T: 'static>(pub(super) &'static [(&'static str, T)]);
/// A point of a photo.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PhotoPoint;
/// Four points of a photo.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Corners;
/// An outline or a box.
#[derive(Debug, Clone, Copy)]
pub(crate) struct OutlineOrBox;
/// Outlines or boxes that are left out.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LeaveOut;
/// A table.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Inner;
/// A list of tables.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Each;
/// A table of tables by names of the user's choice.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ByName;
/// A text or a table.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Either;

/// Kinds that may be read as a text.
pub(super) trait MayBeText {}
impl MayBeText for Text {}
impl MayBeText for Either {}

/// Kinds that may be read as a table.
pub(super) trait MayBeTable {}
impl MayBeTable for Inner {}
impl MayBeTable for ByName {}
impl MayBeTable for Either {}

/// What a key holds, for code that does not read it.
#[derive(Debug, Clone, Copy)]
pub(crate) enum HeldByKey {
    Text,
    /// A text for which editors offer words.
    Offered(Offered),
    Number(Number),
    Whole(Whole),
    YesNo,
    Word(Words),
    /// A list of such words.
    WordList(Words),
    ColourGroups,
    Point,
    Corners,
    Region,
    LeaveOut,
    Table(&'static TableOfKeys),
    Tables(&'static TableOfKeys),
    TablesByName(&'static TableOfKeys),
    TextOrTable(&'static TextOrTable),
}

/// Texts: editors offer a few, others are allowed.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Offered {
    Scales,
    Lamps,
}

/// The words of a key and what the schema calls them.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Words {
    pub(super) shape: &'static str,
    pub(super) all: &'static dyn AllWords,
}

/// Words with a meaning.
pub(super) trait AllWords: std::fmt::Debug {
    /// The words alone.
    fn words(&self) -> Vec<&'static str>;
}

impl<T: std::fmt::Debug, const N: usize> AllWords for [(&'static str, T); N] {
    fn words(&self) -> Vec<&'static str> {
        self.iter().map(|(word, _)| *word).collect()
    }
}

/// A key that holds a text, or a table with more.
#[derive(Debug)]
pub(crate) struct TextOrTable {
    pub(super) shape: &'static str,
    pub(super) about: &'static str,
    pub(super) about_text: &'static str,
    pub(super) about_table: &'static str,
    pub(super) table: &'static TableOfKeys,
}

/// A key as its table lists it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ListedKey {
    pub(crate) name: &'static str,
    pub(crate) holds: HeldByKey,
    pub(super) presence: Presence,
    /// What it says, line by line.
    pub(super) about: &'static [&'static str],
}

/// All keys of one kind of table.
#[derive(Debug)]
pub(crate) struct TableOfKeys {
    /// What the schema calls it.
    pub(super) shape: &'static str,
    /// Where in a scene it stands; empty for tables in braces, whose keys are read nowhere else.
    pub(super) home: &'static str,
    pub(super) about: &'static [&'static str],
    /// In the order in which new ones are written.
    pub(crate) keys: &'static [ListedKey],
}

impl<K: Copy> Key<K> {
    const fn new(name: &'static str, expected: &'static str, kind: K, holds: HeldByKey) -> Self {
        Self {
            name,
            expected,
            example: expected,
            kind,
            holds,
            presence: Presence::Optional,
        }
    }

    /// With an example, if that is not what is expected.
    pub(super) const fn such_as(mut self, example: &'static str) -> Self {
        self.example = example;
        self
    }

    /// As a key that its table always needs.
    pub(super) const fn needed(mut self) -> Self {
        self.presence = Presence::Needed;
        self
    }

    /// With words that editors offer.
    pub(super) const fn offering(mut self, offered: Offered) -> Self {
        self.holds = HeldByKey::Offered(offered);
        self
    }

    pub(super) const fn listed(self, about: &'static [&'static str]) -> ListedKey {
        ListedKey {
            name: self.name,
            holds: self.holds,
            presence: self.presence,
            about,
        }
    }
}

pub(super) const fn text(name: &'static str, expected: &'static str) -> Key<Text> {
    Key::new(name, expected, Text, HeldByKey::Text)
}

pub(super) const fn measure<T: Copy>(
    name: &'static str,
    expected: &'static str,
) -> Key<MeasureText<T>> {
    Key::new(name, expected, MeasureText(PhantomData), HeldByKey::Text)
}

pub(super) const fn colour(name: &'static str) -> Key<Colour> {
    let expected = "a colour such as \"#7a5b48\"";
    Key::new(name, expected, Colour, HeldByKey::Text)
}

pub(super) const fn colour_groups(name: &'static str) -> Key<ColourGroups> {
    let expected = "groups of two colours or more, such as [[\"#7a5b48\", \"#6d5140\"]]";
    Key::new(name, expected, ColourGroups, HeldByKey::ColourGroups)
}

pub(super) const fn number(
    name: &'static str,
    least: f64,
    most: f64,
    expected: &'static str,
) -> Key<Number> {
    let range = Number { least, most };
    Key::new(name, expected, range, HeldByKey::Number(range))
}

pub(super) const fn whole(
    name: &'static str,
    least: u32,
    most: u32,
    expected: &'static str,
) -> Key<Whole> {
    let range = Whole { least, most };
    Key::new(name, expected, range, HeldByKey::Whole(range))
}

pub(super) const fn yes_no(name: &'static str) -> Key<YesNo> {
    Key::new(name, "true or false", YesNo, HeldByKey::YesNo)
}

pub(super) const fn word<T: Copy + std::fmt::Debug, const N: usize>(
    name: &'static str,
    all: &'static [(&'static str, T); N],
    shape: &'static str,
) -> Key<WordOf<T>> {
    let words = Words { shape, all };
    Key::new(
        name,
        "one of a few words",
        WordOf(all),
        HeldByKey::Word(words),
    )
}

pub(super) const fn words<T: Copy + std::fmt::Debug, const N: usize>(
    name: &'static str,
    all: &'static [(&'static str, T); N],
    shape: &'static str,
) -> Key<WordOf<T>> {
    let expected = "a list of words such as [\"needle\"]";
    let words = Words { shape, all };
    Key::new(name, expected, WordOf(all), HeldByKey::WordList(words))
}

pub(super) const fn point(name: &'static str, expected: &'static str) -> Key<PhotoPoint> {
    Key::new(name, expected, PhotoPoint, HeldByKey::Point)
}

pub(super) const fn corners(name: &'static str, expected: &'static str) -> Key<Corners> {
    Key::new(name, expected, Corners, HeldByKey::Corners)
}

pub(super) const fn region(name: &'static str) -> Key<OutlineOrBox> {
    Key::new(name, POINTS, OutlineOrBox, HeldByKey::Region)
}

pub(super) const fn leave_out(name: &'static str) -> Key<LeaveOut> {
    let expected = "a box such as [0.2, 0.3, 0.25, 0.4], or a list of regions such as [ [[0.2, 0.3], [0.25, 0.3], [0.25, 0.4]] ]";
    Key::new(name, expected, LeaveOut, HeldByKey::LeaveOut)
}

pub(super) const fn table(
    name: &'static str,
    expected: &'static str,
    of: &'static TableOfKeys,
) -> Key<Inner> {
    Key::new(name, expected, Inner, HeldByKey::Table(of))
}

pub(super) const fn tables(
    name: &'static str,
    expected: &'static str,
    of: &'static TableOfKeys,
) -> Key<Each> {
    Key::new(name, expected, Each, HeldByKey::Tables(of))
}

pub(super) const fn tables_by_name(
    name: &'static str,
    expected: &'static str,
    of: &'static TableOfKeys,
) -> Key<ByName> {
    Key::new(name, expected, ByName, HeldByKey::TablesByName(of))
}

pub(super) const fn text_or_table(
    name: &'static str,
    expected: &'static str,
    of: &'static TextOrTable,
) -> Key<Either> {
    Key::new(name, expected, Either, HeldByKey::TextOrTable(of))
}
