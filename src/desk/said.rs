//! What is said of a surface, a band or a place besides its outline: key by key, as text.
//!
//! The page shows these texts and sends them back; only those that differ from what the file says are written, so that
//! spelling, comments and keys the page does not know stay.

use super::array::set;
use crate::scene::{Band, PlaceOnSurface, ShadeWish, Surface, WashBase};
use crate::tones::Count;
use std::collections::BTreeMap;
use toml_edit::{InlineTable, Item, Table, TableLike, Value};

/// Keys with what is said by each; an empty text says nothing.
pub type Said = BTreeMap<String, String>;

/// How a key is written.
#[derive(Debug, Clone, Copy)]
enum Written {
    Text,
    Number,
    Whole,
}

/// Keys of a surface itself.
const OF_SURFACE: [(&str, Written); 3] = [
    ("tones", Written::Whole),
    ("shade", Written::Text),
    ("coats", Written::Whole),
];
/// Keys of its wash.
const OF_WASH: [(&str, Written); 1] = [("grime", Written::Number)];
/// Keys of a band.
const OF_BAND: [(&str, Written); 3] = [
    ("from", Written::Text),
    ("model_depth", Written::Text),
    ("area", Written::Text),
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
    all([
        ("tones", tones),
        ("shade", shade),
        ("coats", Some(surface.coats.to_string())),
        (WASH, wash.map(|_| "yes".to_owned())),
        (BASE, base),
        ("grime", wash.map(|wash| wash.grime.to_string())),
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
        Written::Text => text.into(),
    }
}

/// What is said now by a key, where it differs from what was said before.
fn changed<'a>(before: &Said, now: &'a Said, key: &str) -> Option<&'a str> {
    let said = now.get(key)?.trim();
    let was = before.get(key).map_or("", |was| was.trim());
    (said != was).then_some(said)
}

fn put(table: &mut dyn TableLike, keys: &[(&str, Written)], before: &Said, now: &Said) {
    for (key, written) in keys {
        match changed(before, now, key) {
            Some("") => {
                table.remove(key);
            }
            Some(said) => set(table, key, value_of(said, *written)),
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
    let touched = [WASH, BASE, "grime"]
        .iter()
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
        let mut drawing = Drawing::of(&scene);
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
    fn a_wash_is_begun_over_a_base() {
        let text = said(
            1,
            &[("base", "#a4523a"), ("grime", "0.5"), ("shade", "join")],
        );
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), false).unwrap();
        let wash = scene.surfaces[1].wash.as_ref().unwrap();
        assert!(
            (wash.grime - 0.5).abs() < 1e-9 && wash.base.is_some(),
            "{text}"
        );
        assert!(scene.surfaces[1].shade.is_some());
        let text = said(1, &[("base", "as surface: Wall")]);
        assert!(text.contains("base = { surface = \"Wall\" }"), "{text}");
    }
}
