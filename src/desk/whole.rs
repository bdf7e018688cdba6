//! The settings of the layout as a whole, of a photo, and of the photo of a clean model: key by key, as text.

use super::array::{LEAVE_OUT, point, points, set};
use super::said::{Said, changed, put, put_key};
use crate::region::{Outline, Region};
use crate::scale_colour::ScaleColour;
use crate::scene::{
    Lamps, LightWish, ModelPhotoKeys, NeutralKeys, PhotoKeys, PhotoSource, ScaleColourKeys, Scene,
    SceneKeys, Surface, SurfaceKeys,
};
use toml_edit::{Array, InlineTable, Item, Table, TableLike, Value};

/// The table of the rule of scale colour.
const SCALE_COLOUR: &str = SceneKeys::SCALE_COLOUR.name;
/// The file of a clean model's photo, the part of it that counts, something neutral in it, and what is left out.
pub(super) const MODEL: [&str; 4] = [
    SurfaceKeys::MODEL_PHOTO.name,
    "model_part",
    "model_grey",
    "model_out",
];

fn texts<const N: usize>(pairs: [(&str, Option<String>); N]) -> Said {
    let text = |(key, said): (&str, Option<String>)| (key.to_owned(), said.unwrap_or_default());
    pairs.into_iter().map(text).collect()
}

/// What a scene says of the layout as a whole.
pub(super) fn said_of_scene(scene: &Scene) -> Said {
    let usual = ScaleColour::default();
    let ScaleColour {
        rule,
        visibility,
        air,
    } = scene.scale_colour;
    let lamps = scene.lamps.as_ref().map(|lamps| match lamps {
        Lamps::Spectrum(file) => file.clone(),
        other => other.to_string(),
    });
    texts([
        (SceneKeys::TITLE.name, Some(scene.title.clone())),
        (SceneKeys::SCALE.name, Some(scene.scale.to_string())),
        (SceneKeys::VIEW.name, Some(scene.view.to_string())),
        (SceneKeys::LAMPS.name, lamps),
        (
            ScaleColourKeys::RULE.name,
            (rule != usual.rule).then(|| rule.word().to_owned()),
        ),
        (
            ScaleColourKeys::VISIBILITY.name,
            scene.visibility_stated.then(|| visibility.to_string()),
        ),
        (
            ScaleColourKeys::AIR.name,
            (air != usual.air).then(|| air.to_srgb8().to_string()),
        ),
    ])
}

/// Writes the settings of the layout as a whole that have changed.
pub(super) fn put_said_of_scene(scene: &mut Table, before: &Said, now: &Said) {
    put(scene, SceneKeys::TABLE.keys, before, now);
    let mut keys = ScaleColourKeys::TABLE.keys.iter();
    if !keys.any(|key| changed(before, now, key.name).is_some()) {
        return;
    }
    if !scene.contains_key(SCALE_COLOUR) {
        set(scene, SCALE_COLOUR, InlineTable::new().into());
    }
    let Some(rule) = scene
        .get_mut(SCALE_COLOUR)
        .and_then(Item::as_table_like_mut)
    else {
        return;
    };
    put(rule, ScaleColourKeys::TABLE.keys, before, now);
    if rule.is_empty() {
        scene.remove(SCALE_COLOUR);
    } else if let Some(rule) = scene[SCALE_COLOUR].as_inline_table_mut() {
        rule.fmt();
    }
}

/// What a scene says of a photo, besides its light as it is drawn and its distance.
pub(super) fn said_of_photo(photo: &PhotoSource) -> Said {
    let mut wishes = LightWish::ALL.into_iter();
    // The estimate is a button of its own.
    let light =
        wishes.find(|(_, wish)| *wish != LightWish::Estimate && photo.light.as_ref() == Some(wish));
    texts([
        (PhotoKeys::CREDIT.name, photo.credit.clone()),
        (
            PhotoKeys::LIGHT.name,
            light.map(|(word, _)| word.to_owned()),
        ),
    ])
}

/// Writes what is said of a photo where it has changed, but for a key that is `written` already.
pub(super) fn put_said_of_photo(
    photo: &mut dyn TableLike,
    before: &Said,
    now: &Said,
    written: Option<&'static str>,
) {
    let keys = PhotoKeys::TABLE.keys.iter();
    for key in keys.filter(|key| Some(key.name) != written) {
        put_key(photo, *key, before, now);
    }
}

fn percent(share: f64) -> String {
    let tenths = (1000.0 * share).round() / 10.0;
    tenths.to_string()
}

/// Numbers in per cent, parted by blanks or commas, as shares.
fn shares(text: &str) -> Option<Vec<f64>> {
    let parts = text.split(|c: char| c.is_whitespace() || c == ',' || c == '%');
    let parts = parts.filter(|part| !part.is_empty());
    parts
        .map(|part| part.parse::<f64>().ok().map(|v| v / 100.0))
        .collect()
}

/// An outline in per cent: left, top, right and bottom of a box, or corner after corner.
fn outline_words(points: &[[f64; 2]]) -> String {
    if let [[l, t], [r, t2], [r2, b], [l2, b2]] = points
        && (t, r, b, l) == (t2, r2, b2, l2)
    {
        return [*l, *t, *r, *b].map(percent).join(" ");
    }
    let corners = points.iter().map(|at| at.map(percent).join(" "));
    corners.collect::<Vec<_>>().join(", ")
}

/// The outline of such words, as it is written: a box by its four sides, or corners. Text that is not an outline
/// stays text; the scene's own reader then says what is wrong.
fn outline_in(words: &str) -> Value {
    let numbers = shares(words).unwrap_or_default();
    if numbers.len() == 4 {
        return numbers.into_iter().collect::<Array>().into();
    }
    let (corners, rest) = numbers.as_chunks::<2>();
    if corners.len() > 2 && rest.is_empty() {
        return points(corners).into();
    }
    words.into()
}

/// What is left out of a region: "41 70 48 80; 10 10, 20 10, 15 20".
fn left_out_words(region: &Region) -> String {
    let outlines = region.leave_out.iter();
    let words = outlines.map(|outline| outline_words(outline.points()));
    words.collect::<Vec<_>>().join("; ")
}

/// What a scene says of the photo of a surface's clean model.
pub(super) fn said_of_model(surface: &Surface, photos: &[PhotoSource]) -> Said {
    let part = surface.model_photo.as_ref();
    let photo = part.and_then(|part| photos.get(part.photo));
    let neutral = photo.and_then(|photo| photo.neutral.as_ref());
    let grey = neutral.map(|neutral| {
        let points = neutral.region.outline.points();
        let count = points.iter().map(|_| 1.0).sum::<f64>().max(1.0);
        let middle = |c: usize| points.iter().map(|at| at[c]).sum::<f64>() / count;
        format!("{} {}", percent(middle(0)), percent(middle(1)))
    });
    texts([
        (MODEL[0], photo.map(|photo| photo.file.clone())),
        (
            MODEL[1],
            part.filter(|part| part.region.outline != Outline::whole())
                .map(|part| outline_words(part.region.outline.points())),
        ),
        (MODEL[2], grey),
        (MODEL[3], part.map(|part| left_out_words(&part.region))),
    ])
}

/// Writes the settings of the photo of a clean model that have changed.
pub(super) fn put_said_of_model(surface: &mut dyn TableLike, before: &Said, now: &Said) {
    let said = MODEL.map(|key| changed(before, now, key));
    if said.iter().all(Option::is_none) {
        return;
    }
    let [file, part, grey, out] = said;
    if now.get(MODEL[0]).is_none_or(|file| file.trim().is_empty()) {
        surface.remove(MODEL[0]);
        return;
    }
    if !surface.contains_key(MODEL[0]) {
        set(surface, MODEL[0], InlineTable::new().into());
    }
    let Some(model) = surface.get_mut(MODEL[0]).and_then(Item::as_table_like_mut) else {
        return;
    };
    if let Some(file) = file {
        set(model, ModelPhotoKeys::FILE.name, file.into());
    }
    put_words(model, ModelPhotoKeys::REGION.name, part, outline_in);
    put_words(model, LEAVE_OUT, out, |words| {
        let outlines = words.split(';').map(str::trim).filter(|w| !w.is_empty());
        outlines.map(outline_in).collect::<Array>().into()
    });
    put_words(model, ModelPhotoKeys::NEUTRAL.name, grey, |words| {
        let at = shares(words).and_then(|at| <[f64; 2]>::try_from(at).ok());
        let neutral = at.map(|at| {
            let mut neutral = InlineTable::new();
            neutral.insert(NeutralKeys::AT.name, point(at).into());
            Value::from(neutral)
        });
        neutral.unwrap_or_else(|| words.into())
    });
}

/// Writes a key with its text, or removes it if there is no text any more.
fn put_words(
    table: &mut dyn TableLike,
    key: &str,
    said: Option<&str>,
    value: impl Fn(&str) -> Value,
) {
    match said {
        Some("") => {
            table.remove(key);
        }
        Some(words) => set(table, key, value(words)),
        None => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::{Drawing, drawn_anew};
    use crate::scene::{MayName, parse_scene_to_draw};

    const SCENE: &str = r#"title = "Yard"   # a good name
scale = "1:87"
paints = "paints.csv"
scale_colour = { rule = "air", visibility = "10 km" }   # a clear day
[photos.wall]
file = "wall.jpg"
credit = "me"   # all of them
light = "materials"
[[surface]]
name = "Wall"
photo = "wall"
material = "clay roof tile, red"
model_photo = { file = "kit.jpg", region = [0.1, 0.2, 0.9, 0.8] }
"#;

    fn edited(change: impl FnOnce(&mut Drawing)) -> String {
        drawn_anew(SCENE, change)
    }

    fn say(said: &mut Option<Said>, key: &str, text: &str) {
        said.as_mut()
            .unwrap()
            .insert(key.to_owned(), text.to_owned());
    }

    /// Where each key of a scene is on the page: the table, its keys, and for each its mark in the page's own files.
    /// None is only changed by hand.
    const PLACES: [(&str, &[(&str, &str)]); 13] = [
        (
            "",
            &[
                ("lamps", "'lamps'"),
                ("paints", "paint-keep"),
                ("photos", "id=\"files\""),
                ("scale", "'scale'"),
                ("scale_colour", "'rule'"),
                ("scatter", "list-scatter"),
                ("surface", "export function addSurface"),
                ("title", "'title'"),
                ("view", "'view'"),
            ],
        ),
        (
            "ToldPaintsShape",
            &[("file", "paint-file"), ("medium", "paint-medium")],
        ),
        (
            "ScaleColourShape",
            &[
                ("air", "'air'"),
                ("rule", "'rule'"),
                ("visibility", "'visibility'"),
            ],
        ),
        (
            "PhotoShape",
            &[
                ("chart", "a colour chart"),
                ("credit", "'credit'"),
                ("file", "id=\"files\""),
                ("from", "id: 'from'"),
                ("known", "not painted: it shows the light"),
                ("light", "'light'"),
                ("neutral", "a grey card"),
                ("sky", "The sky above far hills"),
                ("wet", "id: 'wet'"),
            ],
        ),
        (
            "KnownShape",
            &[
                ("leave_out", "leave_out"),
                ("material", "made of"),
                ("region", "outline"),
            ],
        ),
        (
            "BetweenShape",
            &[
                ("at", "id: 'between'"),
                ("from", "id=\"like-new\""),
                ("to", "on the way to"),
            ],
        ),
        (
            "NeutralShape",
            &[
                ("at", "something grey or white"),
                ("reflectance", "light the neutral reflects"),
                ("region", "light.neutral.region"),
            ],
        ),
        (
            "PartShape",
            &[
                ("leave_out", "leave_out"),
                ("photo", "Draw it here too"),
                ("region", "outline"),
            ],
        ),
        (
            "SurfaceShape",
            &[
                ("alike", "One with"),
                ("allow", "'allow'"),
                ("area", "id: 'area'"),
                ("band", "addZone"),
                ("coats", "'coats'"),
                ("crown", "'crown'"),
                ("land", "'land'"),
                ("leave_out", "leave_out"),
                ("like", "id=\"like-new\""),
                ("material", "id=\"like-made\""),
                ("model_photo", "'model_photo'"),
                ("name", "id: 'name'"),
                ("one_surface", "one_surface"),
                ("order", "'order'"),
                ("photo", "export function addSurface"),
                ("photos", "Draw it here too"),
                ("place", "addZone"),
                ("region", "export function addSurface"),
                ("shade", "Leave it to the lamps"),
                ("tones", "One more tone"),
                ("treatment", "id: 'treatment'"),
                ("variety", "'variety'"),
                ("wash", "Wash it"),
            ],
        ),
        (
            "ModelPhotoShape",
            &[
                ("file", "'model_photo'"),
                ("leave_out", "'model_out'"),
                ("neutral", "'model_grey'"),
                ("region", "'model_part'"),
            ],
        ),
        (
            "WashShape",
            &[
                ("base", "'base'"),
                ("film", "'film'"),
                ("flat", "'flat'"),
                ("grime", "id: 'grime'"),
                ("most_paints", "'most_paints'"),
                ("pool", "'pool'"),
                ("recess", "'recess'"),
                ("recess_weight", "'recess_weight'"),
            ],
        ),
        (
            "PlaceShape",
            &[
                ("colour", "'colour'"),
                (
                    "leave_out",
                    "With a band or a place at hand, it is left out of that one",
                ),
                ("name", "zone-name"),
                ("region", "addZone"),
                ("share", "'share'"),
                ("technique", "'technique'"),
            ],
        ),
        (
            "BandShape",
            &[
                ("area", "'area'"),
                ("crown", "'crown'"),
                ("from", "'from'"),
                ("land", "'land'"),
                (
                    "leave_out",
                    "With a band or a place at hand, it is left out of that one",
                ),
                ("model_depth", "'model_depth'"),
                ("name", "zone-name"),
                ("region", "addZone"),
                ("scale", "'scale'"),
            ],
        ),
    ];
    const PAGE: [&str; 9] = [
        include_str!("../../report-templates/desk/page.html"),
        include_str!("../../report-templates/desk/card.js"),
        include_str!("../../report-templates/desk/clean.js"),
        include_str!("../../report-templates/desk/leaves.js"),
        include_str!("../../report-templates/desk/main.js"),
        include_str!("../../report-templates/desk/marks.js"),
        include_str!("../../report-templates/desk/paints.js"),
        include_str!("../../report-templates/desk/tones.js"),
        include_str!("../../report-templates/desk/work.js"),
    ];

    fn keys_of(object: &serde_json::Value) -> Vec<&str> {
        let keys = object.as_object().unwrap().keys();
        keys.map(String::as_str).collect()
    }

    #[test]
    fn every_key_of_a_scene_has_its_place_on_the_page() {
        let schema = &crate::scene::scene_schema();
        let mut tables = keys_of(&schema["$defs"]);
        tables.retain(|name| schema["$defs"][name]["properties"].is_object());
        tables.push("");
        // What a wash lies over, in the field of its base.
        tables.retain(|name| *name != "BaseSurfaceShape");
        for table in &tables {
            let shape = if table.is_empty() {
                schema
            } else {
                &schema["$defs"][table]
            };
            let mut keys = keys_of(&shape["properties"]);
            keys.sort_unstable();
            let (_, places) = PLACES
                .iter()
                .find(|(name, _)| name == table)
                .unwrap_or_else(|| panic!("{table}"));
            let told: Vec<&str> = places.iter().map(|(key, _)| *key).collect();
            assert_eq!(told, keys, "keys of {table:?}");
            for (key, place) in *places {
                assert!(
                    PAGE.iter().any(|file| file.contains(place)),
                    "{table} {key}: {place:?} is nowhere on the page"
                );
            }
        }
        assert_eq!(tables.len(), PLACES.len());
    }

    #[test]
    fn the_layout_is_said_key_by_key() {
        assert_eq!(edited(|_| ()), SCENE);
        let text = edited(|drawing| {
            say(&mut drawing.said, "title", "Malthouse");
            say(&mut drawing.said, "view", "0.6 m");
            say(&mut drawing.said, "air", "#aabbcc");
        });
        assert!(
            text.starts_with("title = \"Malthouse\"   # a good name\n"),
            "{text}"
        );
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
        assert_eq!(scene.scale_colour.air.to_srgb8().to_string(), "#aabbcc");
        assert!(text.contains("visibility = \"10 km\""), "{text}");
        assert!(text.contains("view = \"0.6 m\""), "{text}");
        let none = edited(|drawing| {
            say(&mut drawing.said, "rule", "none");
            say(&mut drawing.said, "visibility", "");
        });
        assert!(
            none.contains("scale_colour = { rule = \"none\" }   # a clear day"),
            "{none}"
        );
    }

    #[test]
    fn a_photo_says_whose_it_is_and_what_its_light_goes_by() {
        let text = edited(|drawing| {
            say(&mut drawing.photos[0].said, "credit", "my uncle");
            say(&mut drawing.photos[0].said, "light", "as-it-is");
        });
        assert!(
            text.contains("credit = \"my uncle\"   # all of them"),
            "{text}"
        );
        assert!(text.contains("light = \"as-it-is\""), "{text}");
        let estimated = edited(|drawing| {
            say(&mut drawing.photos[0].said, "light", "");
            drawing.photos[0].light.estimate = true;
        });
        assert!(estimated.contains("light = \"estimate\""), "{estimated}");
    }

    #[test]
    fn a_clean_model_has_its_photo_its_part_and_its_grey() {
        let text = edited(|drawing| {
            say(&mut drawing.surfaces[0].said, "model_part", "5 5 50 60");
            say(&mut drawing.surfaces[0].said, "model_grey", "41, 77");
            let out = "10 10 20 20; 30 30, 40 30, 35 40.5";
            say(&mut drawing.surfaces[0].said, "model_out", out);
        });
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
        let part = scene.surfaces[0].model_photo.as_ref().unwrap();
        assert_eq!(outline_words(part.region.outline.points()), "5 5 50 60");
        let left_out =
            "leave_out = [[0.1, 0.1, 0.2, 0.2], [[0.3, 0.3], [0.4, 0.3], [0.35, 0.405]]]";
        assert!(text.contains(left_out), "{text}");
        let said = said_of_model(&scene.surfaces[0], &scene.photos);
        assert_eq!(said["model_out"], "10 10 20 20; 30 30, 40 30, 35 40.5");
        assert!(text.contains("neutral = { at = [0.41, 0.77] }"), "{text}");
        let other = edited(|drawing| say(&mut drawing.surfaces[0].said, "model_photo", ""));
        assert!(!other.contains("model_photo"), "{other}");
    }
}
