//! From a drawing back into the text of a scene: it touches only what changed; comments, order and spelling of the
//! rest stay.

use super::array::{LEAVE_OUT, point, points, push_table, remove_table, set, table_mut};
use super::drawing::{
    Drawing, DrawnKnown, DrawnLight, DrawnLike, DrawnNeutral, DrawnPart, DrawnPhoto, DrawnSurface,
    DrawnZone, Point,
};
use super::known::put_known;
use super::left_out::{outlines_of, put_left_out};
use super::said::{Said, put_said};
use super::whole::{
    put_said_of_model, put_said_of_photo, put_said_of_scene, said_of_photo, said_of_scene,
};
use super::zones::put_zones;
use crate::problem::Explain;
use crate::scene::{
    BetweenKeys, MayName, NeutralKeys, PartKeys, PhotoKeys, Scene, SceneError, SceneKeys, Surface,
    SurfaceKeys, Treatment, parse_scene_to_draw,
};
use std::collections::{BTreeMap, VecDeque};
use toml_edit::{Array, DocumentMut, InlineTable, Item, Table, TableLike, Value, value};

/// The parts of a surface, and the keys that stand in a part as in a surface with only one.
const PHOTOS: &str = SurfaceKeys::PHOTOS.name;
const PHOTO: &str = PartKeys::PHOTO.name;
const REGION: &str = PartKeys::REGION.name;

/// Why a drawing cannot be put into a scene's text.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum EditError {
    /// The text is no TOML.
    #[error("found text that is not TOML ({detail})")]
    NotToml {
        /// The reader's words.
        detail: String,
    },
    /// A surface or photo that the file no longer has.
    #[error("found no {what} named \"{name}\" in the file, expected the one that was changed")]
    Gone {
        /// "surface", "photo".
        what: &'static str,
        /// Its name.
        name: String,
    },
    /// The scene that would be written is faulty.
    #[error("{}", .faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
    Faults {
        /// What is wrong with it.
        faults: Vec<SceneError>,
    },
}

impl Explain for EditError {
    fn hint(&self) -> Option<String> {
        match self {
            Self::NotToml { .. } => Some("mend the file in an editor first".to_owned()),
            Self::Gone { .. } => Some("load the file again, then repeat the change".to_owned()),
            Self::Faults { faults } => faults.iter().find_map(Explain::hint),
        }
    }
}

/// The text with a drawing put into it; it checks the result as a scene before returning it.
///
/// Surfaces are known by the names they had when the page read them, so that others may have come or gone meanwhile.
///
/// # Errors
/// [`EditError`]; it then returns nothing.
pub fn drawn_into(
    file: &str,
    bytes: &[u8],
    may_name: MayName,
    drawing: &Drawing,
) -> Result<String, EditError> {
    let scene = parse_scene_to_draw(file, bytes, may_name)
        .map_err(|faults| EditError::Faults { faults })?;
    let written = changed_text(bytes, |document| put_drawing(document, &scene, drawing))?;
    parse_scene_to_draw(file, written.as_bytes(), may_name)
        .map_err(|faults| EditError::Faults { faults })?;
    Ok(written)
}

/// Puts a drawing into a document.
fn put_drawing(
    document: &mut DocumentMut,
    scene: &Scene,
    drawing: &Drawing,
) -> Result<(), EditError> {
    if let Some(said) = &drawing.said {
        put_said_of_scene(document.as_table_mut(), &said_of_scene(scene), said);
    }
    for photo in &drawing.photos {
        set_photo(document, scene, photo)?;
    }
    for surface in &drawing.surfaces {
        match &surface.was {
            Some(was) => {
                let before = named(scene, was)?;
                let entry = document
                    .get_mut(SceneKeys::SURFACE.name)
                    .and_then(|list| table_mut(list, before))
                    .ok_or_else(|| gone("surface", was))?;
                update(entry, scene, &scene.surfaces[before], surface);
            }
            None => add(document, surface),
        }
    }
    let mut removed = drawing
        .removed
        .iter()
        .map(|was| named(scene, was))
        .collect::<Result<Vec<_>, _>>()?;
    removed.sort_unstable();
    removed.dedup();
    for at in removed.into_iter().rev() {
        remove_table(document.as_table_mut(), SceneKeys::SURFACE.name, at);
    }
    let photos = document.get_mut(SceneKeys::PHOTOS.name);
    if let Some(photos) = photos.and_then(Item::as_table_like_mut) {
        for key in &drawing.gone {
            photos.remove(key);
        }
    }
    Ok(())
}

/// The text with one more photo, and the name it got.
///
/// # Errors
/// [`EditError`]; it then returns nothing.
pub(super) fn photo_added(
    name: &str,
    bytes: &[u8],
    may_name: MayName,
    file: &str,
) -> Result<(String, String), EditError> {
    let scene = parse_scene_to_draw(name, bytes, may_name)
        .map_err(|faults| EditError::Faults { faults })?;
    // One more name than there are photos: one of them is free.
    let key = (1..=scene.photos.len() + 1)
        .map(|n| format!("photo-{n}"))
        .find(|key| scene.photos.iter().all(|photo| photo.key != *key))
        .unwrap_or_default();
    let text = changed_text(bytes, |document| {
        let photos = document
            .entry(SceneKeys::PHOTOS.name)
            .or_insert_with(|| {
                let mut photos = Table::new();
                photos.set_implicit(true);
                Item::Table(photos)
            })
            .as_table_like_mut()
            .ok_or_else(|| gone("table", SceneKeys::PHOTOS.name))?;
        let mut photo = Table::new();
        photo.insert(PhotoKeys::FILE.name, value(file));
        photo.decor_mut().set_prefix("\n");
        photos.insert(&key, Item::Table(photo));
        Ok(())
    })?;
    parse_scene_to_draw(name, text.as_bytes(), may_name)
        .map_err(|faults| EditError::Faults { faults })?;
    Ok((key, text))
}

/// The text with its list of scatter named.
///
/// # Errors
/// [`EditError`]; it then returns nothing.
pub(super) fn scatter_named(bytes: &[u8], file: &str) -> Result<String, EditError> {
    changed_text(bytes, |document| {
        document.insert(SceneKeys::SCATTER.name, value(file));
        Ok(())
    })
}

/// A text with something changed in it, its line endings and its first mark kept.
fn changed_text(
    bytes: &[u8],
    change: impl FnOnce(&mut DocumentMut) -> Result<(), EditError>,
) -> Result<String, EditError> {
    let mark: &[u8] = b"\xef\xbb\xbf";
    let (start, plain) = match bytes.strip_prefix(mark) {
        Some(rest) => ("\u{feff}", rest),
        None => ("", bytes),
    };
    let text = String::from_utf8_lossy(plain);
    let mut document: DocumentMut =
        text.parse()
            .map_err(|error: toml_edit::TomlError| EditError::NotToml {
                detail: error.message().to_owned(),
            })?;
    change(&mut document)?;
    let written = with_endings_of(&text, &document.to_string());
    Ok(format!("{start}{written}"))
}

/// A text with the line endings of the one it was made from: lines that are still there keep theirs, new ones get what
/// most have.
fn with_endings_of(before: &str, written: &str) -> String {
    let windows = before.matches("\r\n").count();
    let most = if 2 * windows > before.matches('\n').count() {
        "\r\n"
    } else {
        "\n"
    };
    let mut kept: BTreeMap<&str, VecDeque<&str>> = BTreeMap::new();
    for line in before.split_inclusive('\n') {
        let bare = line.trim_end_matches(['\r', '\n']);
        kept.entry(bare).or_default().push_back(&line[bare.len()..]);
    }
    let mut text = String::with_capacity(written.len());
    for line in written.split_inclusive('\n') {
        let bare = line.trim_end_matches(['\r', '\n']);
        text.push_str(bare);
        if line.ends_with('\n') {
            let own = kept.get_mut(bare).and_then(VecDeque::pop_front);
            text.push_str(own.filter(|ending| ending.ends_with('\n')).unwrap_or(most));
        }
    }
    text
}

fn gone(what: &'static str, name: &str) -> EditError {
    EditError::Gone {
        what,
        name: name.to_owned(),
    }
}

/// The place of a surface by its name in the file.
fn named(scene: &Scene, name: &str) -> Result<usize, EditError> {
    scene
        .surfaces
        .iter()
        .position(|surface| surface.name == name)
        .ok_or_else(|| gone("surface", name))
}

fn update(entry: &mut dyn TableLike, scene: &Scene, before: &Surface, drawn: &DrawnSurface) {
    if drawn.name != before.name {
        set(entry, SurfaceKeys::NAME.name, drawn.name.as_str().into());
    }
    if drawn.treatment != before.treatment.word() {
        set(
            entry,
            SurfaceKeys::TREATMENT.name,
            drawn.treatment.as_str().into(),
        );
    }
    set_typed(entry, SurfaceKeys::AREA.name, drawn.area.as_deref());
    put_material(entry, before, drawn);
    if let Some(said) = &drawn.said {
        let before = DrawnSurface::said_of(before, scene);
        put_said(entry, &before, said);
        put_said_of_model(entry, &before, said);
    }
    let keys: Vec<&str> = before
        .parts
        .iter()
        .map(|part| scene.photos[part.photo].key.as_str())
        .collect();
    let same_photos = drawn.parts.len() == before.parts.len()
        && drawn
            .parts
            .iter()
            .zip(&keys)
            .all(|(p, key)| p.photo == *key);
    if same_photos {
        for (at, part) in drawn.parts.iter().enumerate() {
            let region = &before.parts[at].region;
            let holes = outlines_of(region);
            if let Some(table) = part_mut(entry, at) {
                update_part(table, part, region.outline.points(), &holes);
            }
        }
    } else {
        for key in [PHOTO, PHOTOS, REGION, LEAVE_OUT] {
            entry.remove(key);
        }
        write_parts(entry, &drawn.parts);
    }
    if let Some(zones) = &drawn.zones {
        put_zones(entry, &DrawnZone::all_of(before), zones);
    }
}

/// Writes a surface's material, or what it is like, if that has changed.
fn put_material(entry: &mut dyn TableLike, before: &Surface, drawn: &DrawnSurface) {
    let was = before.material.map_or("", |material| material.name);
    match drawn.material.as_deref() {
        Some("") => {
            entry.remove(SurfaceKeys::MATERIAL.name);
        }
        Some(material) if material != was => {
            set(entry, SurfaceKeys::MATERIAL.name, material.into());
        }
        _ => {}
    }
    if let Some(like) = &drawn.like {
        let same = before.like.as_ref().map(DrawnLike::of_state).as_ref() == Some(like);
        if !same {
            set(entry, SurfaceKeys::LIKE.name, like_of(like));
        }
    }
}

fn like_of(like: &DrawnLike) -> Value {
    let Some(to) = &like.to else {
        return like.from.as_str().into();
    };
    let mut state = InlineTable::new();
    state.insert(BetweenKeys::FROM.name, like.from.as_str().into());
    state.insert(BetweenKeys::TO.name, to.as_str().into());
    if let Some(at) = like.at {
        state.insert(BetweenKeys::AT.name, at.into());
    }
    state.into()
}

/// Where a part of a surface is written: in the surface itself, or in its list of photos.
fn part_mut(entry: &mut dyn TableLike, at: usize) -> Option<&mut dyn TableLike> {
    if !entry.contains_key(PHOTOS) {
        return Some(entry);
    }
    table_mut(entry.get_mut(PHOTOS)?, at)
}

fn update_part(table: &mut dyn TableLike, part: &DrawnPart, outline: &[Point], holes: &[&[Point]]) {
    if part.outline != outline {
        set(table, REGION, points(&part.outline).into());
    }
    put_left_out(table, holes, &part.leave_out);
}

/// Writes the photos of a surface that has none yet; one that is like a material stays without.
fn write_parts(table: &mut dyn TableLike, parts: &[DrawnPart]) {
    if parts.is_empty() {
        return;
    }
    if let [part] = parts {
        table.insert(PHOTO, value(part.photo.as_str()));
        table.insert(REGION, value(points(&part.outline)));
        put_left_out(table, &[], &part.leave_out);
        return;
    }
    let mut photos = Array::new();
    for part in parts {
        let mut one = InlineTable::new();
        one.insert(PHOTO, part.photo.as_str().into());
        one.insert(REGION, points(&part.outline).into());
        put_left_out(&mut one, &[], &part.leave_out);
        let mut one = Value::from(one);
        one.decor_mut().set_prefix("\n  ");
        photos.push_formatted(one);
    }
    photos.set_trailing("\n");
    photos.set_trailing_comma(true);
    table.insert(PHOTOS, value(photos));
}

/// Adds a surface behind the last one.
fn add(document: &mut DocumentMut, drawn: &DrawnSurface) {
    let mut table = Table::new();
    table.decor_mut().set_prefix("\n\n");
    fill(&mut table, drawn);
    push_table(document.as_table_mut(), SceneKeys::SURFACE.name, table);
}

fn fill(table: &mut Table, drawn: &DrawnSurface) {
    table.insert(SurfaceKeys::NAME.name, value(drawn.name.as_str()));
    if let Some(like) = &drawn.like {
        table.insert(SurfaceKeys::LIKE.name, value(like_of(like)));
    }
    write_parts(table, &drawn.parts);
    if let Some(material) = drawn.material.as_deref().filter(|m| !m.is_empty()) {
        table.insert(SurfaceKeys::MATERIAL.name, value(material));
    }
    if drawn.treatment != Treatment::Coat.word() {
        table.insert(SurfaceKeys::TREATMENT.name, value(drawn.treatment.as_str()));
    }
    if let Some(area) = drawn
        .area
        .as_deref()
        .map(str::trim)
        .filter(|a| !a.is_empty())
    {
        table.insert(SurfaceKeys::AREA.name, value(area));
    }
    if let Some(said) = &drawn.said {
        put_said(table, &Said::new(), said);
        put_said_of_model(table, &Said::new(), said);
    }
    put_zones(table, &[], drawn.zones.as_deref().unwrap_or_default());
}

fn set_photo(
    document: &mut DocumentMut,
    scene: &Scene,
    drawn: &DrawnPhoto,
) -> Result<(), EditError> {
    let (key, light) = (drawn.key.as_str(), &drawn.light);
    let mut photos = scene.photos.iter();
    let was = photos
        .find(|photo| photo.key == key)
        .ok_or_else(|| gone("photo", key))?;
    let before = DrawnLight::of_photo(was);
    let said_before = said_of_photo(was);
    let said = drawn.said.as_ref().unwrap_or(&said_before);
    let known_before = DrawnKnown::all_of(was);
    let known = drawn.known.as_ref().filter(|known| **known != known_before);
    if before == *light && drawn.from.is_none() && *said == said_before && known.is_none() {
        return Ok(());
    }
    let photo = document
        .get_mut(SceneKeys::PHOTOS.name)
        .and_then(Item::as_table_like_mut)
        .and_then(|photos| photos.get_mut(key))
        .and_then(Item::as_table_like_mut)
        .ok_or_else(|| gone("photo", key))?;
    set_typed(photo, PhotoKeys::FROM.name, drawn.from.as_deref());
    put_light(photo, &before, light);
    let written = light.estimate.then_some(PhotoKeys::LIGHT.name);
    put_said_of_photo(photo, &said_before, said, written);
    if let Some(known) = known {
        put_known(photo, &known_before, known);
    }
    Ok(())
}

/// Writes what a photo's light is corrected by, where that has changed.
fn put_light(photo: &mut dyn TableLike, before: &DrawnLight, light: &DrawnLight) {
    if before.neutral != light.neutral {
        let neutral = light.neutral.as_ref().map(neutral_value);
        set_or_remove(photo, PhotoKeys::NEUTRAL.name, neutral);
    }
    if before.chart != light.chart {
        let corners = light.chart.as_ref();
        let corners = corners.map(|corners| points(corners).into());
        set_or_remove(photo, PhotoKeys::CHART.name, corners);
    }
    if before.wet != light.wet {
        set_or_remove(photo, PhotoKeys::WET.name, light.wet.then(|| true.into()));
    }
    if before.sky != light.sky {
        let outline = light.sky.as_ref();
        let outline = outline.map(|outline| points(outline).into());
        set_or_remove(photo, PhotoKeys::SKY.name, outline);
    }
    if before.estimate != light.estimate {
        let word = light.estimate.then(|| "estimate".into());
        set_or_remove(photo, PhotoKeys::LIGHT.name, word);
    }
}

fn set_or_remove(table: &mut dyn TableLike, key: &str, new: Option<Value>) {
    match new {
        Some(new) => set(table, key, new),
        None => {
            table.remove(key);
        }
    }
}

/// Sets what was typed, if anything was; where the field was emptied, the key goes.
fn set_typed(table: &mut dyn TableLike, key: &str, typed: Option<&str>) {
    if let Some(typed) = typed.map(str::trim) {
        set_or_remove(table, key, (!typed.is_empty()).then(|| typed.into()));
    }
}

fn neutral_value(neutral: &DrawnNeutral) -> Value {
    let mut table = InlineTable::new();
    match (neutral.at, &neutral.region) {
        (Some(at), _) => table.insert(NeutralKeys::AT.name, point(at).into()),
        (None, Some(outline)) => table.insert(NeutralKeys::REGION.name, points(outline).into()),
        (None, None) => None,
    };
    if let Some(reflectance) = neutral.reflectance {
        table.insert(NeutralKeys::REFLECTANCE.name, reflectance.into());
    }
    table.into()
}

/// The text of a scene with its drawing changed, as the page changes it.
#[cfg(test)]
pub(super) fn drawn_anew(text: &str, change: impl FnOnce(&mut Drawing)) -> String {
    let file = "scene.toml";
    let scene = parse_scene_to_draw(file, text.as_bytes(), MayName::ItsFolder).unwrap();
    let mut drawing = Drawing::of_scene(&scene);
    change(&mut drawing);
    drawn_into(file, text.as_bytes(), MayName::ItsFolder, &drawing).unwrap()
}

#[cfg(test)]
mod tests {
    use super::*;

    const SCENE: &str = r##"# my yard
title = "Yard"          # a good name
scale = "1:87"
paints = "paints.csv"

[photos.wall]
file = "wall.jpg"   # taken in May
neutral = { at = [0.5, 0.5] }   # the card

# 1. the wall
[[surface]]
area      = "310 cm2"
name      = "Wall"       # of the brewhouse
photo     = "wall"
region    = [[0.100, 0.1], [0.9, 0.1], [0.9, 0.9]]   # by hand
leave_out = [
  [[0.60, 0.2], [0.7, 0.2], [0.7, 0.3]],   # a window
  [[0.8, 0.2], [0.85, 0.2], [0.85, 0.3]],   # a door
]

[surface.wash]   # soot
flat = "#504138"

# 2. the roof
[[surface]]
name  = "Roof"
photo = "wall"
"##;

    fn edited(change: impl FnOnce(&mut Drawing)) -> String {
        drawn_anew(SCENE, change)
    }

    #[test]
    fn an_unchanged_drawing_leaves_every_byte() {
        assert_eq!(edited(|_| ()), SCENE);
    }

    #[test]
    fn a_moved_corner_changes_its_line_alone() {
        let text = edited(|drawing| drawing.surfaces[0].parts[0].outline[1] = [0.912_345, 0.05]);
        let line = "region    = [[0.1, 0.1], [0.9123, 0.05], [0.9, 0.9]]   # by hand";
        let expected = SCENE.replace(
            "region    = [[0.100, 0.1], [0.9, 0.1], [0.9, 0.9]]   # by hand",
            line,
        );
        assert_eq!(text, expected);
    }

    #[test]
    fn a_leave_out_goes_with_its_own_comment() {
        let text = edited(|drawing| {
            drawing.surfaces[0].parts[0].leave_out.remove(0);
        });
        let gone = "  [[0.60, 0.2], [0.7, 0.2], [0.7, 0.3]],   # a window\n";
        assert_eq!(text, SCENE.replace(gone, ""));
        let text = edited(|drawing| {
            drawing.surfaces[0].parts[0].leave_out.remove(1);
        });
        let gone = "  [[0.8, 0.2], [0.85, 0.2], [0.85, 0.3]],   # a door\n";
        assert_eq!(text, SCENE.replace(gone, ""));
    }

    #[test]
    fn a_new_leave_out_comes_behind_the_others() {
        use crate::desk::drawing::DrawnHole;
        let text = edited(|drawing| {
            drawing.surfaces[0].parts[0].leave_out.push(DrawnHole {
                was: None,
                outline: vec![[0.2, 0.11], [0.3, 0.11], [0.3, 0.12]],
            });
        });
        let door = "  [[0.8, 0.2], [0.85, 0.2], [0.85, 0.3]],   # a door\n";
        let both = format!("{door}  [[0.2, 0.11], [0.3, 0.11], [0.3, 0.12]],\n");
        assert_eq!(text, SCENE.replace(door, &both));
    }

    #[test]
    fn surfaces_come_and_go_with_what_belongs_to_them() {
        let text = edited(|drawing| {
            let mut new = drawing.surfaces[1].clone();
            new.was = None;
            new.name = "Yard \"cobbles\"".to_owned();
            new.treatment = "rock".to_owned();
            new.parts[0].outline = vec![[0.0, 0.5], [1.0, 0.5], [1.0, 1.0]];
            drawing.surfaces.push(new);
            drawing
                .removed
                .push(drawing.surfaces.remove(0).was.unwrap());
        });
        assert!(
            !text.contains("soot") && !text.contains("brewhouse"),
            "{text}"
        );
        assert!(
            text.contains("# 2. the roof") && text.contains("# the card"),
            "{text}"
        );
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
        assert_eq!(scene.surfaces[1].name, "Yard \"cobbles\"");
        assert_eq!(scene.surfaces[1].treatment, Treatment::Rock);
    }

    #[test]
    fn light_is_set_and_taken_away() {
        let text = edited(|drawing| {
            drawing.photos[0].light.neutral = Some(DrawnNeutral {
                at: Some([0.25, 0.75]),
                region: None,
                reflectance: Some(0.18),
            });
        });
        let card = "neutral = { at = [0.25, 0.75], reflectance = 0.18 }   # the card";
        assert!(text.contains(card), "{text}");
        let text = edited(|drawing| drawing.photos[0].light.neutral = None);
        assert!(!text.contains("neutral"), "{text}");
        let corners = [[0.1, 0.1], [0.4, 0.1], [0.4, 0.3], [0.1, 0.3]];
        let text = edited(|drawing| drawing.photos[0].light.chart = Some(corners));
        assert!(text.contains("chart = [[0.1, 0.1], [0.4, 0.1], [0.4, 0.3], [0.1, 0.3]]"));
        let text = edited(|drawing| drawing.photos[0].light.estimate = true);
        assert!(text.contains("light = \"estimate\""), "{text}");
    }

    #[test]
    fn a_second_photo_makes_a_list() {
        let text = edited(|drawing| {
            let part = drawing.surfaces[0].parts[0].clone();
            drawing.surfaces[0].parts.push(part);
        });
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
        assert_eq!(scene.surfaces[0].parts.len(), 2);
        assert_eq!(scene.surfaces[0].parts[1].region.leave_out.len(), 2);
    }

    #[test]
    fn carriage_returns_and_the_byte_order_mark_stay() {
        let dos = format!("\u{feff}{}", SCENE.replace('\n', "\r\n"));
        let scene = parse_scene_to_draw("scene.toml", dos.as_bytes(), MayName::ItsFolder).unwrap();
        let mut drawing = Drawing::of_scene(&scene);
        drawing.surfaces[1].name = "Ridge".to_owned();
        let text = drawn_into("scene.toml", dos.as_bytes(), MayName::ItsFolder, &drawing).unwrap();
        assert_eq!(text, dos.replace("\"Roof\"", "\"Ridge\""));
    }

    #[test]
    fn what_would_be_faulty_is_not_given() {
        let scene =
            parse_scene_to_draw("scene.toml", SCENE.as_bytes(), MayName::ItsFolder).unwrap();
        let mut drawing = Drawing::of_scene(&scene);
        drawing.surfaces[1].name = "wall".to_owned();
        let refused = drawn_into("scene.toml", SCENE.as_bytes(), MayName::ItsFolder, &drawing);
        assert!(
            matches!(refused, Err(EditError::Faults { .. })),
            "{refused:?}"
        );
        drawing.surfaces[1].name = "Roof".to_owned();
        drawing.removed.push("Chimney".to_owned());
        let refused = drawn_into("scene.toml", SCENE.as_bytes(), MayName::ItsFolder, &drawing);
        assert!(
            matches!(refused, Err(EditError::Gone { .. })),
            "{refused:?}"
        );
    }

    #[test]
    fn line_endings_stay_as_they_were_line_by_line() {
        let before = "# one\r\na = 1\nb = 2\nc = 3";
        let after = "# one\na = 1\nnew = 9\nb = 2\nc = 3";
        assert_eq!(
            with_endings_of(before, after),
            "# one\r\na = 1\nnew = 9\nb = 2\nc = 3"
        );
        let windows = before.replace("\r\n", "\n").replace('\n', "\r\n");
        assert_eq!(
            with_endings_of(&windows, after),
            after.replace('\n', "\r\n")
        );
    }
}
