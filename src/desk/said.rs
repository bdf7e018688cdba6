//! What is said of a surface, a band or a place besides its outline: key by key, as text.
//!
//! The page shows these texts and sends them back; only those that differ from what the file says are written, so that
//! spelling, comments and keys the page does not know stay.

use super::array::{rearranged, set};
use crate::colour::LabD65;
use crate::scatter::{Land, LayOrder};
use crate::scene::{Band, PlaceOnSurface, ShadeWish, Surface, WashBase, WashWish};
use crate::tones::Count;
use std::collections::BTreeMap;
use toml_edit::{Array, InlineTable, Item, Table, TableLike, Value};

/// Keys with what is said by each; an empty text says nothing.
pub type Said = BTreeMap<String, String>;

/// How a key is written.
#[derive(Debug, Clone, Copy)]
pub(super) enum Written {
    Text,
    Number,
    Whole,
    /// true or false.
    YesNo,
    /// Texts with commas between them.
    List,
    /// True where anything is said.
    Yes,
    /// Groups of texts: blanks between texts, semicolons between groups.
    Groups,
}

/// Keys of the layout as a whole.
pub(super) const OF_SCENE: [(&str, Written); 4] = [
    ("title", Written::Text),
    ("scale", Written::Text),
    ("view", Written::Text),
    ("lamps", Written::Text),
];
/// Keys of its rule of scale colour.
pub(super) const OF_SCALE_COLOUR: [(&str, Written); 3] = [
    ("rule", Written::Text),
    ("visibility", Written::Text),
    ("air", Written::Text),
];
/// Keys of a photo, besides what is drawn of its light.
pub(super) const OF_PHOTO: [(&str, Written); 2] =
    [("credit", Written::Text), ("light", Written::Text)];
/// Keys of a surface itself.
const OF_SURFACE: [(&str, Written); 10] = [
    ("tones", Written::Whole),
    ("shade", Written::Text),
    ("one_surface", Written::Yes),
    ("alike", Written::Groups),
    ("coats", Written::Whole),
    ("variety", Written::YesNo),
    ("land", Written::Text),
    ("crown", Written::Text),
    ("order", Written::Text),
    ("allow", Written::List),
];
/// Keys of its wash.
const OF_WASH: [(&str, Written); 7] = [
    ("grime", Written::Number),
    ("flat", Written::Text),
    ("recess", Written::Text),
    ("pool", Written::Number),
    ("film", Written::Number),
    ("most_paints", Written::Whole),
    ("recess_weight", Written::Number),
];
/// Keys of a band.
const OF_BAND: [(&str, Written); 6] = [
    ("from", Written::Text),
    ("model_depth", Written::Text),
    ("area", Written::Text),
    ("land", Written::Text),
    ("crown", Written::Text),
    ("scale", Written::Text),
];
/// Keys of a place of dirt.
const OF_PLACE: [(&str, Written); 3] = [
    ("technique", Written::Text),
    ("colour", Written::Text),
    ("share", Written::Number),
];
/// Says that a surface is washed.
const WASH: &str = "wash";
/// What a wash lies over.
const BASE: &str = "base";
/// Before the name of another surface, whose planned colour a wash lies over.
const AS_SURFACE: &str = "as surface: ";

fn all<const N: usize>(pairs: [(&str, Option<String>); N]) -> Said {
    pairs
        .into_iter()
        .map(|(key, said)| (key.to_owned(), said.unwrap_or_default()))
        .collect()
}

/// Tones that are one, as text: "#96503c #b07854; #5a6e32 #3c4a22".
fn alike_words(groups: &[Vec<LabD65>]) -> String {
    let words = groups.iter().map(|group| {
        let codes: Vec<String> = group.iter().map(|c| c.to_srgb8().to_string()).collect();
        codes.join(" ")
    });
    words.collect::<Vec<_>>().join("; ")
}

/// The groups of such a text.
pub(super) fn groups_in(text: &str) -> impl Iterator<Item = impl Iterator<Item = &str>> {
    let groups = text.split(';').map(str::split_whitespace);
    groups.filter(|group| group.clone().next().is_some())
}

fn hex(colour: Option<LabD65>) -> Option<String> {
    colour.map(|colour| colour.to_srgb8().to_string())
}

fn number(number: Option<f64>) -> Option<String> {
    number.map(|number| number.to_string())
}

/// A number of a wash, where it is not the usual one.
fn unusual<T: PartialEq + ToString>(
    wash: Option<&WashWish>,
    of: impl Fn(&WashWish) -> T,
    usual: &T,
) -> Option<String> {
    wash.map(of)
        .filter(|found| found != usual)
        .map(|found| found.to_string())
}

fn land_word(land: Option<Land>) -> Option<String> {
    let (word, _) = Land::ALL
        .into_iter()
        .find(|(_, known)| Some(*known) == land)?;
    Some(word.to_owned())
}

/// What a scene says of a surface.
pub(super) fn said_of(surface: &Surface) -> Said {
    let tones = match surface.tones {
        Count::Exactly(n) => Some(n.to_string()),
        Count::Chosen => None,
    };
    let shade = surface.shade.map(|wish| match wish {
        ShadeWish::Join => "join".to_owned(),
        ShadeWish::Keep => "keep".to_owned(),
        ShadeWish::Ask => "ask".to_owned(),
    });
    let wash = surface.wash.as_ref();
    let base = wash
        .and_then(|wash| wash.base.as_ref())
        .map(|base| match base {
            WashBase::Colour(colour) => colour.to_srgb8().to_string(),
            WashBase::Paint(name) => name.clone(),
            WashBase::Surface(name) => format!("{AS_SURFACE}{name}"),
        });
    let order = LayOrder::ALL.into_iter();
    let order = order
        .filter(|(_, order)| surface.order != LayOrder::default() && *order == surface.order)
        .map(|(word, _)| word.to_owned())
        .next();
    let allow: Vec<&str> = surface.allow.iter().map(|kind| kind.word()).collect();
    all([
        ("tones", tones),
        ("shade", shade),
        ("one_surface", surface.one_surface.then(|| "yes".to_owned())),
        ("alike", Some(alike_words(&surface.alike))),
        ("coats", Some(surface.coats.to_string())),
        ("variety", surface.variety.map(|said| said.to_string())),
        (WASH, wash.map(|_| "yes".to_owned())),
        (BASE, base),
        ("grime", wash.map(|wash| wash.grime.to_string())),
        ("flat", hex(wash.and_then(|wash| wash.flat))),
        ("recess", hex(wash.and_then(|wash| wash.recess))),
        ("pool", number(wash.and_then(|wash| wash.pool))),
        ("film", number(wash.and_then(|wash| wash.film))),
        ("most_paints", unusual(wash, |wash| wash.most_paints, &2)),
        (
            "recess_weight",
            unusual(wash, |wash| wash.recess_weight, &1.0),
        ),
        ("land", land_word(surface.land)),
        ("crown", surface.crown.map(|crown| crown.to_string())),
        ("order", order),
        ("allow", Some(allow.join(", "))),
    ])
}

/// What a scene says of a band.
pub(super) fn said_of_band(band: &Band) -> Said {
    all([
        ("from", band.from.map(|from| from.to_string())),
        (
            "model_depth",
            band.model_depth.map(|depth| depth.to_string()),
        ),
        ("area", band.area.map(|area| area.to_string())),
        ("land", land_word(band.land)),
        ("crown", band.crown.map(|crown| crown.to_string())),
        ("scale", band.scale.map(|scale| scale.to_string())),
    ])
}

/// What a scene says of a place of dirt.
pub(super) fn said_of_place(place: &PlaceOnSurface) -> Said {
    all([
        ("technique", place.technique.map(|t| t.word().to_owned())),
        ("colour", place.colour.map(|c| c.to_srgb8().to_string())),
        ("share", place.share.map(|share| share.to_string())),
    ])
}

/// The value of a text; text that is no number stays text, so that the scene's own reader says what is wrong.
fn value_of(text: &str, written: Written) -> Value {
    match written {
        Written::Whole => text
            .parse::<i64>()
            .map_or_else(|_| text.into(), Value::from),
        Written::Number => text
            .parse::<f64>()
            .map_or_else(|_| text.into(), Value::from),
        Written::YesNo => text
            .parse::<bool>()
            .map_or_else(|_| text.into(), Value::from),
        Written::Text => text.into(),
        Written::Yes => true.into(),
        Written::List => {
            let texts = text.split(',').map(str::trim);
            texts.filter(|t| !t.is_empty()).collect::<Array>().into()
        }
        Written::Groups => {
            let groups = groups_in(text).map(Iterator::collect::<Array>);
            groups.collect::<Array>().into()
        }
    }
}

/// What is said now by a key, where it differs from what was said before.
pub(super) fn changed<'a>(before: &Said, now: &'a Said, key: &str) -> Option<&'a str> {
    let said = now.get(key)?.trim();
    let was = before.get(key).map_or("", |was| was.trim());
    (said != was).then_some(said)
}

/// New groups in which those that were there before keep their spelling and their comments; `before` is what was said.
fn groups_kept(old: Option<&Item>, before: &str, new: &Value) -> Value {
    let old = old.and_then(Item::as_array);
    let mut were: Vec<Option<Vec<&str>>> = groups_in(before)
        .map(|group| Some(group.collect()))
        .collect();
    let wanted = new.as_array().into_iter().flatten().map(|group| {
        let texts = group.as_array().into_iter().flatten();
        let texts: Vec<&str> = texts.filter_map(Value::as_str).collect();
        let was = were
            .iter()
            .position(|were| were.as_deref() == Some(&texts[..]));
        match was.filter(|was| old.is_some_and(|old| *was < old.len())) {
            Some(was) => {
                were[was] = None;
                (Some(was), None)
            }
            None => (None, Some(group.clone())),
        }
    });
    let wanted = wanted.collect();
    rearranged(old, wanted).into()
}

pub(super) fn put(table: &mut dyn TableLike, keys: &[(&str, Written)], before: &Said, now: &Said) {
    for (key, written) in keys {
        match changed(before, now, key) {
            Some("") => {
                table.remove(key);
            }
            Some(said) => {
                let mut new = value_of(said, *written);
                if let (Written::Groups, Some(list)) = (written, before.get(*key)) {
                    new = groups_kept(table.get(key), list, &new);
                }
                set(table, key, new);
            }
            None => {}
        }
    }
}

/// Writes what is said of a surface where it has changed.
pub(super) fn put_said(surface: &mut dyn TableLike, before: &Said, now: &Said) {
    put(surface, &OF_SURFACE, before, now);
    if changed(before, now, WASH) == Some("") {
        surface.remove(WASH);
        return;
    }
    // What was said of a wash that was taken away brings it not back.
    if now.get(WASH).is_none_or(String::is_empty) {
        return;
    }
    let keys = OF_WASH.iter().map(|(key, _)| *key);
    let touched = [WASH, BASE]
        .into_iter()
        .chain(keys)
        .any(|key| changed(before, now, key).is_some());
    if !touched {
        return;
    }
    if !surface.contains_key(WASH) {
        surface.insert(WASH, Item::Table(Table::new()));
    }
    let Some(wash) = surface.get_mut(WASH).and_then(Item::as_table_like_mut) else {
        return;
    };
    put(wash, &OF_WASH, before, now);
    match changed(before, now, BASE) {
        Some("") => {
            wash.remove(BASE);
        }
        Some(base) => match base.strip_prefix(AS_SURFACE) {
            Some(name) => {
                let mut other = InlineTable::new();
                other.insert("surface", name.into());
                set(wash, BASE, other.into());
            }
            None => set(wash, BASE, base.into()),
        },
        None => {}
    }
}

/// Writes what is said of a band where it has changed.
pub(super) fn put_said_of_band(band: &mut dyn TableLike, before: &Said, now: &Said) {
    put(band, &OF_BAND, before, now);
}

/// Writes what is said of a place where it has changed.
pub(super) fn put_said_of_place(place: &mut dyn TableLike, before: &Said, now: &Said) {
    put(place, &OF_PLACE, before, now);
}

#[cfg(test)]
mod tests {
    use crate::desk::{Drawing, drawn_into};
    use crate::scene::parse_scene_to_draw;

    const SCENE: &str = r##"title = "Yard"
scale = "1:87"
paints = "paints.csv"
[photos.wall]
file = "wall.jpg"
[[surface]]
name = "Wall"
photo = "wall"
tones = 4   # not more

[surface.wash]   # soot
flat = "#504138"
grime = 1.0      # as it was

[[surface]]
name = "Plain"
photo = "wall"
"##;

    fn said(surface: usize, changes: &[(&str, &str)]) -> String {
        let scene = parse_scene_to_draw("scene.toml", SCENE.as_bytes(), false).unwrap();
        let mut drawing = Drawing::of_scene(&scene);
        let said = drawing.surfaces[surface].said.as_mut().unwrap();
        for (key, text) in changes {
            said.insert((*key).to_owned(), (*text).to_owned());
        }
        drawn_into("scene.toml", SCENE.as_bytes(), false, &drawing).unwrap()
    }

    #[test]
    fn only_what_is_said_anew_is_written() {
        assert_eq!(said(0, &[]), SCENE);
        let text = said(0, &[("grime", "0.6"), ("tones", "5")]);
        let wanted = SCENE.replace("1.0 ", "0.6 ").replace("= 4 ", "= 5 ");
        assert_eq!(text, wanted);
        assert!(!said(0, &[("wash", "")]).contains("soot"));
    }

    #[test]
    fn tones_that_are_one_are_written_and_taken_back() {
        let text = said(1, &[("alike", "#96503c #b07854; #111111 #222222 #333333")]);
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), false).unwrap();
        let groups: Vec<usize> = scene.surfaces[1].alike.iter().map(Vec::len).collect();
        assert_eq!(groups, [2, 3], "{text}");
        let by_hand = SCENE.replace(
            "tones = 4 ",
            "alike = [\n  [\"#96503C\", \"10R 4/6\"],  # both are the old brick\n  [\"#111111\", \"#222222\"], # soot\n]\ntones = 4 ",
        );
        let scene = parse_scene_to_draw("scene.toml", by_hand.as_bytes(), false).unwrap();
        let mut drawing = Drawing::of_scene(&scene);
        let said = drawing.surfaces[0].said.as_mut().unwrap();
        let groups = said["alike"].clone();
        let soot = groups.split("; ").nth(1).unwrap();
        said.insert("alike".to_owned(), format!("{soot}; #445566 #556677"));
        let text = drawn_into("scene.toml", by_hand.as_bytes(), false, &drawing).unwrap();
        assert!(
            text.contains("[\"#111111\", \"#222222\"], # soot\n"),
            "{text}"
        );
        assert!(text.contains("[\"#445566\", \"#556677\"]"), "{text}");
        assert!(!text.contains("old brick"), "{text}");
        let said = drawing.surfaces[0].said.as_mut().unwrap();
        said.insert("alike".to_owned(), String::new());
        let text = drawn_into("scene.toml", by_hand.as_bytes(), false, &drawing).unwrap();
        assert_eq!(text, SCENE);
    }

    #[test]
    fn what_is_seldom_said_is_written_and_taken_back_too() {
        let text = said(
            0,
            &[
                ("recess", "#302820"),
                ("pool", "6"),
                ("most_paints", "1"),
                ("film", "0.8"),
                ("land", "heath"),
                ("crown", "6 m"),
                ("order", "fine-first"),
                ("allow", "leaf, needle"),
            ],
        );
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), false).unwrap();
        let surface = &scene.surfaces[0];
        let wash = surface.wash.as_ref().unwrap();
        assert_eq!(
            (wash.pool, wash.film, wash.most_paints),
            (Some(6.0), Some(0.8), 1)
        );
        assert_eq!(wash.recess.unwrap().to_srgb8().to_string(), "#302820");
        assert_eq!(surface.allow.len(), 2, "{text}");
        assert!(text.contains("allow = [\"leaf\", \"needle\"]"), "{text}");
        let mut drawing = Drawing::of_scene(&scene);
        let told = drawing.surfaces[0].said.clone().unwrap();
        for (key, words) in [("land", "heath"), ("crown", "6 m"), ("order", "fine-first")] {
            assert_eq!(told[key], words);
        }
        let now = drawing.surfaces[0].said.as_mut().unwrap();
        for key in [
            "recess",
            "pool",
            "most_paints",
            "film",
            "land",
            "crown",
            "order",
            "allow",
        ] {
            now.insert(key.to_owned(), String::new());
        }
        let text = drawn_into("scene.toml", text.as_bytes(), false, &drawing).unwrap();
        assert_eq!(text, SCENE);
    }

    #[test]
    fn a_wash_is_begun_over_a_base() {
        let text = said(
            1,
            &[
                ("wash", "yes"),
                ("base", "#a4523a"),
                ("grime", "0.5"),
                ("shade", "join"),
            ],
        );
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), false).unwrap();
        let wash = scene.surfaces[1].wash.as_ref().unwrap();
        assert!(
            (wash.grime - 0.5).abs() < 1e-9 && wash.base.is_some(),
            "{text}"
        );
        assert!(scene.surfaces[1].shade.is_some());
        let text = said(1, &[("wash", "yes"), ("base", "as surface: Wall")]);
        assert!(text.contains("base = { surface = \"Wall\" }"), "{text}");
        // What is left of a wash that was taken away.
        assert_eq!(said(1, &[("base", "#a4523a"), ("grime", "0.5")]), SCENE);
    }
}
