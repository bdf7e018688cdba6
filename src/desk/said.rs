//! The settings of a surface, a band or a place besides its outline: key by key, as text.
//!
//! The page shows these texts and sends them back. Only texts that differ from the file are written, so spelling,
//! comments and keys that the page does not know stay.

use super::array::{rearranged, set};
use crate::colour::LabD65;
use crate::scatter::{Land, LayOrder};
use crate::scene::{
    Band, BandKeys, BaseSurfaceKeys, HeldByKey, ListedKey, PlaceKeys, PlaceOnSurface, ShadeWish,
    Surface, SurfaceKeys, WashBase, WashKeys, WashWish,
};
use crate::tones::Count;
use std::collections::BTreeMap;
use toml_edit::{Array, InlineTable, Item, Table, TableLike, Value};

/// Keys with their texts; an empty text means no key.
pub type Said = BTreeMap<String, String>;

/// Says that a surface is washed.
const WASH: &str = SurfaceKeys::WASH.name;
/// What a wash lies over.
const BASE: &str = WashKeys::BASE.name;
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

/// The word of what was chosen from a few.
fn word_of<T: PartialEq>(
    all: impl IntoIterator<Item = (&'static str, T)>,
    said: &T,
) -> Option<String> {
    let mut all = all.into_iter();
    all.find(|(_, known)| known == said)
        .map(|(word, _)| word.to_owned())
}

fn land_word(land: Option<Land>) -> Option<String> {
    word_of(Land::ALL, &land?)
}

/// What a wash lies over, as text.
fn base_words(base: &WashBase) -> String {
    match base {
        WashBase::Colour(colour) => colour.to_srgb8().to_string(),
        WashBase::Paint(name) => name.clone(),
        WashBase::Surface(name) => format!("{AS_SURFACE}{name}"),
    }
}

/// What a scene says of a surface.
pub(super) fn said_of(surface: &Surface) -> Said {
    let tones = match surface.tones {
        Count::Exactly(n) => Some(n.to_string()),
        Count::Chosen => None,
    };
    let shade = surface
        .shade
        .and_then(|wish| word_of(ShadeWish::ALL, &wish));
    let wash = surface.wash.as_ref();
    let base = wash.and_then(|wash| wash.base.as_ref()).map(base_words);
    let order = (surface.order != LayOrder::default())
        .then(|| word_of(LayOrder::ALL, &surface.order))
        .flatten();
    let allow: Vec<&str> = surface.allow.iter().map(|kind| kind.word()).collect();
    all([
        (SurfaceKeys::TONES.name, tones),
        (SurfaceKeys::SHADE.name, shade),
        (
            SurfaceKeys::ONE_SURFACE.name,
            surface.one_surface.then(|| "yes".to_owned()),
        ),
        (SurfaceKeys::ALIKE.name, Some(alike_words(&surface.alike))),
        (SurfaceKeys::COATS.name, Some(surface.coats.to_string())),
        (
            SurfaceKeys::VARIETY.name,
            surface.variety.map(|said| said.to_string()),
        ),
        (WASH, wash.map(|_| "yes".to_owned())),
        (BASE, base),
        (
            WashKeys::GRIME.name,
            wash.map(|wash| wash.grime.to_string()),
        ),
        (WashKeys::FLAT.name, hex(wash.and_then(|wash| wash.flat))),
        (
            WashKeys::RECESS.name,
            hex(wash.and_then(|wash| wash.recess)),
        ),
        (WashKeys::POOL.name, number(wash.and_then(|wash| wash.pool))),
        (WashKeys::FILM.name, number(wash.and_then(|wash| wash.film))),
        (
            WashKeys::MOST_PAINTS.name,
            unusual(wash, |wash| wash.most_paints, &2),
        ),
        (
            WashKeys::RECESS_WEIGHT.name,
            unusual(wash, |wash| wash.recess_weight, &1.0),
        ),
        (SurfaceKeys::LAND.name, land_word(surface.land)),
        (
            SurfaceKeys::CROWN.name,
            surface.crown.map(|crown| crown.to_string()),
        ),
        (SurfaceKeys::ORDER.name, order),
        (SurfaceKeys::ALLOW.name, Some(allow.join(", "))),
    ])
}

/// What a scene says of a band.
pub(super) fn said_of_band(band: &Band) -> Said {
    all([
        (BandKeys::FROM.name, band.from.map(|from| from.to_string())),
        (
            BandKeys::MODEL_DEPTH.name,
            band.model_depth.map(|depth| depth.to_string()),
        ),
        (BandKeys::AREA.name, band.area.map(|area| area.to_string())),
        (BandKeys::LAND.name, land_word(band.land)),
        (
            BandKeys::CROWN.name,
            band.crown.map(|crown| crown.to_string()),
        ),
        (
            BandKeys::SCALE.name,
            band.scale.map(|scale| scale.to_string()),
        ),
    ])
}

/// What a scene says of a place of dirt.
pub(super) fn said_of_place(place: &PlaceOnSurface) -> Said {
    all([
        (
            PlaceKeys::TECHNIQUE.name,
            place.technique.map(|t| t.word().to_owned()),
        ),
        (
            PlaceKeys::COLOUR.name,
            place.colour.map(|c| c.to_srgb8().to_string()),
        ),
        (
            PlaceKeys::SHARE.name,
            place.share.map(|share| share.to_string()),
        ),
    ])
}

/// The value of a text, as a key holds it; nothing for keys that are drawn, or written elsewhere.
///
/// Text that is not a number stays text; the scene's own reader then says what is wrong.
fn value_of(text: &str, holds: HeldByKey) -> Option<Value> {
    let value = match holds {
        HeldByKey::Text | HeldByKey::Offered(_) | HeldByKey::Word(_) => text.into(),
        HeldByKey::Whole(_) => text
            .parse::<i64>()
            .map_or_else(|_| text.into(), Value::from),
        HeldByKey::Number(_) => text
            .parse::<f64>()
            .map_or_else(|_| text.into(), Value::from),
        HeldByKey::YesNo if text == "yes" => true.into(),
        HeldByKey::YesNo => text
            .parse::<bool>()
            .map_or_else(|_| text.into(), Value::from),
        // Texts with commas between them.
        HeldByKey::WordList(_) => {
            let texts = text.split(',').map(str::trim);
            texts.filter(|t| !t.is_empty()).collect::<Array>().into()
        }
        // Blanks between the colours of a group, semicolons between groups.
        HeldByKey::ColourGroups => {
            let groups = groups_in(text).map(Iterator::collect::<Array>);
            groups.collect::<Array>().into()
        }
        HeldByKey::Point
        | HeldByKey::Corners
        | HeldByKey::Region
        | HeldByKey::LeaveOut
        | HeldByKey::Table(_)
        | HeldByKey::Tables(_)
        | HeldByKey::TablesByName(_)
        | HeldByKey::TextOrTable(_) => return None,
    };
    Some(value)
}

/// The new text of a key, if it differs from the old one.
pub(super) fn changed<'a>(before: &Said, now: &'a Said, key: &str) -> Option<&'a str> {
    let said = now.get(key)?.trim();
    let was = before.get(key).map_or("", |was| was.trim());
    (said != was).then_some(said)
}

/// New groups in which those that were there before keep their spelling and their comments; `before` is the old text.
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

/// Writes keys of a table that have changed.
pub(super) fn put(table: &mut dyn TableLike, keys: &[ListedKey], before: &Said, now: &Said) {
    for key in keys {
        put_key(table, *key, before, now);
    }
}

/// Writes one key, if it has changed.
pub(super) fn put_key(table: &mut dyn TableLike, key: ListedKey, before: &Said, now: &Said) {
    let Some(said) = changed(before, now, key.name) else {
        return;
    };
    let Some(mut new) = value_of(said, key.holds) else {
        return;
    };
    if said.is_empty() {
        table.remove(key.name);
        return;
    }
    if let (HeldByKey::ColourGroups, Some(list)) = (key.holds, before.get(key.name)) {
        new = groups_kept(table.get(key.name), list, &new);
    }
    set(table, key.name, new);
}

/// Writes the settings of a surface that have changed.
pub(super) fn put_said(surface: &mut dyn TableLike, before: &Said, now: &Said) {
    put(surface, SurfaceKeys::TABLE.keys, before, now);
    if changed(before, now, WASH) == Some("") {
        surface.remove(WASH);
        return;
    }
    // What was said of a wash that was taken away brings it not back.
    if now.get(WASH).is_none_or(String::is_empty) {
        return;
    }
    let keys = WashKeys::TABLE.keys.iter().map(|key| key.name);
    let touched = std::iter::once(WASH)
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
    put(wash, WashKeys::TABLE.keys, before, now);
    match changed(before, now, BASE) {
        Some("") => {
            wash.remove(BASE);
        }
        Some(base) => match base.strip_prefix(AS_SURFACE) {
            Some(name) => {
                let mut other = InlineTable::new();
                other.insert(BaseSurfaceKeys::SURFACE.name, name.into());
                set(wash, BASE, other.into());
            }
            None => set(wash, BASE, base.into()),
        },
        None => {}
    }
}

/// Writes the settings of a band that have changed.
pub(super) fn put_said_of_band(band: &mut dyn TableLike, before: &Said, now: &Said) {
    put(band, BandKeys::TABLE.keys, before, now);
}

/// Writes the settings of a place that have changed.
pub(super) fn put_said_of_place(place: &mut dyn TableLike, before: &Said, now: &Said) {
    put(place, PlaceKeys::TABLE.keys, before, now);
}

#[cfg(test)]
mod tests {
    use crate::desk::{Drawing, drawn_anew};
    use crate::scene::{MayName, parse_scene_to_draw};

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

    /// A scene in which something else is said of a surface.
    fn said_in(scene: &str, surface: usize, changes: &[(&str, &str)]) -> String {
        drawn_anew(scene, |drawing| {
            let said = drawing.surfaces[surface].said.as_mut().unwrap();
            for (key, text) in changes {
                said.insert((*key).to_owned(), (*text).to_owned());
            }
        })
    }

    fn said(surface: usize, changes: &[(&str, &str)]) -> String {
        said_in(SCENE, surface, changes)
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
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
        let groups: Vec<usize> = scene.surfaces[1].alike.iter().map(Vec::len).collect();
        assert_eq!(groups, [2, 3], "{text}");
        let by_hand = SCENE.replace(
            "tones = 4 ",
            "alike = [\n  [\"#96503C\", \"10R 4/6\"],  # both are the old brick\n  [\"#111111\", \"#222222\"], # soot\n]\ntones = 4 ",
        );
        let scene =
            parse_scene_to_draw("scene.toml", by_hand.as_bytes(), MayName::ItsFolder).unwrap();
        let drawing = Drawing::of_scene(&scene);
        let groups = drawing.surfaces[0].said.as_ref().unwrap()["alike"].clone();
        let soot = groups.split("; ").nth(1).unwrap();
        let text = said_in(
            &by_hand,
            0,
            &[("alike", &format!("{soot}; #445566 #556677"))],
        );
        assert!(
            text.contains("[\"#111111\", \"#222222\"], # soot\n"),
            "{text}"
        );
        assert!(text.contains("[\"#445566\", \"#556677\"]"), "{text}");
        assert!(!text.contains("old brick"), "{text}");
        assert_eq!(said_in(&by_hand, 0, &[("alike", "")]), SCENE);
    }

    #[test]
    fn what_is_seldom_said_is_written_and_taken_back_too() {
        let seldom = [
            ("recess", "#302820"),
            ("pool", "6"),
            ("most_paints", "1"),
            ("film", "0.8"),
            ("land", "heath"),
            ("crown", "6 m"),
            ("order", "fine-first"),
            ("allow", "leaf, needle"),
        ];
        let text = said(0, &seldom);
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
        let surface = &scene.surfaces[0];
        let wash = surface.wash.as_ref().unwrap();
        assert_eq!(
            (wash.pool, wash.film, wash.most_paints),
            (Some(6.0), Some(0.8), 1)
        );
        assert_eq!(wash.recess.unwrap().to_srgb8().to_string(), "#302820");
        assert_eq!(surface.allow.len(), 2, "{text}");
        assert!(text.contains("allow = [\"leaf\", \"needle\"]"), "{text}");
        let drawing = Drawing::of_scene(&scene);
        let told = drawing.surfaces[0].said.as_ref().unwrap();
        for (key, words) in [("land", "heath"), ("crown", "6 m"), ("order", "fine-first")] {
            assert_eq!(told[key], words);
        }
        let back = seldom.map(|(key, _)| (key, ""));
        assert_eq!(said_in(&text, 0, &back), SCENE);
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
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
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
