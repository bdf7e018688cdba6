//! What of a drawing would make the scene faulty: it stays on the page, unsaved, and everything else is written.

use super::drawing::{Drawing, DrawnSurface, ZoneKind};
use super::edit::{EditError, drawn_into};
use super::said::Said;
use super::whole::MODEL;
use crate::problem::Explain;
use crate::scene::{
    MayName, PhotoKeys, SceneError, SceneKeys, SurfaceKeys, WashKeys, parse_scene_to_draw,
};
use serde::Serialize;
use std::fmt;

/// Something that cannot be saved as it is drawn or typed, and why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct HeldBack {
    /// Of what it is.
    pub(super) of: HeldOf,
    /// Its name.
    pub(super) name: String,
    /// The band or place in it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) zone: Option<String>,
    /// The only key that is held back; without one, all of it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) field: Option<String>,
    /// Why.
    pub(super) words: String,
}

/// Of what something is held back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum HeldOf {
    /// A wall, a hill, or a thing that shows the light.
    Surface,
    /// A photo.
    Photo,
    /// The layout as a whole.
    Layout,
}

impl HeldBack {
    /// A whole surface.
    pub(super) fn surface(name: &str, words: impl Into<String>) -> Self {
        Self {
            of: HeldOf::Surface,
            name: name.to_owned(),
            zone: None,
            field: None,
            words: words.into(),
        }
    }

    fn field(self, key: &str) -> Self {
        Self {
            field: Some(key.to_owned()),
            ..self
        }
    }

    fn within(self, zone: &str) -> Self {
        Self {
            zone: Some(zone.to_owned()),
            ..self
        }
    }
}

impl fmt::Display for HeldBack {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.of {
            HeldOf::Layout => write!(f, "the layout")?,
            HeldOf::Surface | HeldOf::Photo => write!(f, "“{}”", self.name)?,
        }
        if let Some(zone) = &self.zone {
            write!(f, ", “{zone}”")?;
        }
        if let Some(field) = &self.field {
            write!(f, ", {}", field.replace('_', " "))?;
        }
        write!(f, ": {}", self.words)
    }
}

/// The text with what is sound of a drawing in it, and what is held back: that stays as it is in the file.
///
/// # Errors
/// [`EditError`] where nothing of the drawing is to blame.
pub(super) fn sound_into(
    file: &str,
    bytes: &[u8],
    may_name: MayName,
    mut drawing: Drawing,
) -> Result<(String, Vec<HeldBack>), EditError> {
    let scene = parse_scene_to_draw(file, bytes, may_name)
        .map_err(|faults| EditError::Faults { faults })?;
    let before = Drawing::of_scene(&scene);
    let mut held = Vec::new();
    // Each round takes back something that differs from the file, so there is an end.
    loop {
        let faults = match drawn_into(file, bytes, may_name, &drawing) {
            Err(EditError::Faults { faults }) => faults,
            other => return other.map(|text| (text, held)),
        };
        let mut faulty = faults.iter();
        match faulty.find_map(|fault| taken_back(&mut drawing, &before, fault)) {
            Some(one) => held.push(one),
            None => return Err(EditError::Faults { faults }),
        }
    }
}

/// Takes back what a fault comes from; `None` where nothing of the drawing is to blame.
fn taken_back(drawing: &mut Drawing, before: &Drawing, fault: &SceneError) -> Option<HeldBack> {
    let field = fault.place().field.unwrap_or_default();
    let words = fault.to_string();
    let surface = field
        .strip_prefix(SceneKeys::SURFACE.name)
        .and_then(|rest| rest.strip_prefix(' '));
    let photo = field
        .strip_prefix(SceneKeys::PHOTOS.name)
        .and_then(|rest| rest.strip_prefix('.'));
    let one = if let Some(rest) = surface {
        let (number, key) = rest.split_once('.').unwrap_or((rest, ""));
        let at = number.parse().ok();
        at.and_then(|number| written_as(drawing, before, number))
            .and_then(|at| surface_back(drawing, before, (at, key), words))
    } else if let Some(rest) = photo {
        photo_back(drawing, before, rest, words)
    } else {
        let key = field.rsplit('.').next().unwrap_or_default();
        let said = drawing.said.as_mut()?;
        put_back(said, before.said.as_ref(), key).then(|| {
            let layout = HeldBack::surface("", words);
            HeldBack {
                of: HeldOf::Layout,
                ..layout.field(key)
            }
        })
    };
    one.or_else(|| name_back(drawing, fault))
}

/// The drawn surface that is written as the given one, counted from 1: those of the file in their order, then new ones.
fn written_as(drawing: &Drawing, before: &Drawing, number: usize) -> Option<usize> {
    let drawn = || drawing.surfaces.iter();
    let old = before.surfaces.iter().filter_map(|old| old.was.as_ref());
    let old = old
        .filter(|was| !drawing.removed.contains(was))
        .map(|was| drawn().position(|surface| surface.was.as_ref() == Some(was)));
    let new = drawn().enumerate();
    let new = new.filter_map(|(at, surface)| surface.was.is_none().then_some(Some(at)));
    old.chain(new).nth(number.checked_sub(1)?).flatten()
}

/// Puts a key back to what it was; says whether that changes anything.
fn put_back(now: &mut Said, before: Option<&Said>, key: &str) -> bool {
    let was = before.and_then(|said| said.get(key)).map_or("", |s| s);
    if now.get(key).is_none_or(|now| now.trim() == was.trim()) {
        return false;
    }
    now.insert(key.to_owned(), was.to_owned());
    true
}

fn surface_back(
    drawing: &mut Drawing,
    before: &Drawing,
    (at, key): (usize, &str),
    words: String,
) -> Option<HeldBack> {
    let surface = drawing.surfaces.get_mut(at)?;
    let mut olds = before.surfaces.iter();
    let old = olds.find(|old| old.was.is_some() && old.was == surface.was);
    let held = HeldBack::surface(&surface.name, words);
    if let Some((zone, key)) = zone_back(surface, old, key) {
        let held = held.within(&zone);
        return Some(match key {
            Some(key) => held.field(key),
            None => held,
        });
    }
    if let Some(key) = key_back(surface, old, key) {
        return Some(held.field(key));
    }
    match old {
        Some(old) if old != surface => *surface = old.clone(),
        Some(_) => return None,
        None => {
            drawing.surfaces.remove(at);
        }
    }
    Some(held)
}

/// Puts one key of a surface back, where that is enough; gives it.
fn key_back<'k>(
    surface: &mut DrawnSurface,
    old: Option<&DrawnSurface>,
    key: &'k str,
) -> Option<&'k str> {
    let last = key.rsplit('.').next().unwrap_or_default();
    let name = old.map(|old| &old.name);
    if last == SurfaceKeys::NAME.name
        && let Some(name) = name.filter(|name| **name != surface.name)
    {
        surface.name.clone_from(name);
        return Some(last);
    }
    if last == SurfaceKeys::AREA.name && surface.area.take().is_some() {
        return Some(last);
    }
    let said_before = old.and_then(|old| old.said.as_ref());
    let said = surface.said.as_mut()?;
    if key.starts_with(MODEL[0]) {
        let changed = MODEL.map(|key| put_back(said, said_before, key));
        return changed.contains(&true).then_some(MODEL[0]);
    }
    // What a wash lies over is one of its keys, though the fault may stand at the wash.
    let base = (last == SurfaceKeys::WASH.name).then_some(WashKeys::BASE.name);
    [Some(last), base]
        .into_iter()
        .flatten()
        .find(|key| put_back(said, said_before, key))
}

/// Puts a band or a place of a surface back, or one key of it; gives its name, and the key.
fn zone_back<'k>(
    surface: &mut DrawnSurface,
    old: Option<&DrawnSurface>,
    key: &'k str,
) -> Option<(String, Option<&'k str>)> {
    let (zone, key) = key.split_once('.').unwrap_or((key, ""));
    let (kind, number) = zone.split_once(' ')?;
    let mut kinds = [ZoneKind::Band, ZoneKind::Place].into_iter();
    let kind = kinds.find(|known| known.key() == kind)?;
    let zones = surface.zones.as_mut()?;
    // As they are written: those of the file in their order, then new ones.
    let mut written: Vec<usize> = (0..zones.len())
        .filter(|at| zones[*at].kind == kind)
        .collect();
    written.sort_by_key(|at| (zones[*at].was.is_none(), zones[*at].was));
    let at = *written.get(number.parse::<usize>().ok()?.checked_sub(1)?)?;
    let drawn = &mut zones[at];
    let mut olds = old.iter().flat_map(|old| old.zones.iter().flatten());
    let old = olds.find(|old| old.kind == kind && old.was == drawn.was);
    let name = drawn.name.clone();
    if put_back(&mut drawn.said, old.map(|old| &old.said), key) {
        return Some((name, Some(key)));
    }
    match old {
        Some(old) if old != drawn => *drawn = old.clone(),
        Some(_) => return None,
        None => {
            zones.remove(at);
        }
    }
    Some((name, None))
}

fn photo_back(
    drawing: &mut Drawing,
    before: &Drawing,
    rest: &str,
    words: String,
) -> Option<HeldBack> {
    let within = |key: &str| {
        let rest = rest.strip_prefix(key)?;
        rest.strip_prefix('.').or(rest.is_empty().then_some(""))
    };
    let mut photos = drawing.photos.iter_mut();
    let (photo, key) = photos.find_map(|photo| within(&photo.key).map(|key| (photo, key)))?;
    let held = HeldBack {
        of: HeldOf::Photo,
        ..HeldBack::surface(&photo.key, words)
    };
    let old = before.photos.iter().find(|old| old.key == photo.key)?;
    if key == PhotoKeys::FROM.name && photo.from.take().is_some() {
        return Some(held.field(key));
    }
    let said = photo.said.as_mut();
    if said.is_some_and(|said| put_back(said, old.said.as_ref(), key)) {
        return Some(held.field(key));
    }
    (photo.light != old.light
        || photo
            .known
            .as_ref()
            .is_some_and(|k| Some(k) != old.known.as_ref()))
    .then(|| {
        *photo = old.clone();
        held
    })
}

/// Where a name is missing that the drawing took away: it stays.
fn name_back(drawing: &mut Drawing, fault: &SceneError) -> Option<HeldBack> {
    let SceneError::UnknownName { found, .. } = fault else {
        return None;
    };
    let same = |name: &String| name.eq_ignore_ascii_case(found);
    let needed = "something else in the file needs it";
    let removed = [
        (HeldOf::Surface, &mut drawing.removed),
        (HeldOf::Photo, &mut drawing.gone),
    ];
    for (of, names) in removed {
        if let Some(at) = names.iter().position(same) {
            let held = HeldBack::surface(&names.remove(at), needed);
            return Some(HeldBack { of, ..held });
        }
    }
    let mut renamed = drawing.surfaces.iter_mut();
    let renamed = renamed.find(|s| s.name != *found && s.was.as_ref().is_some_and(same))?;
    let held = HeldBack::surface(
        &renamed.name,
        format!("a wash lies over it by its old name, \"{found}\""),
    );
    renamed.name.clone_from(found);
    Some(held.field(SurfaceKeys::NAME.name))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::drawing::DrawnZone;

    const SCENE: &str = r#"title = "Yard"
scale = "1:87"
paints = "paints.csv"

[photos.wall]
file = "wall.jpg"

[photos.yard]
file = "yard.jpg"

[[surface]]
name = "Wall"
photo = "wall"
area = "310 cm2"   # measured

[[surface]]
name = "Roof"
photo = "wall"

[surface.wash]
base = { surface = "Wall" }

[[surface]]
name = "Hill"
photo = "yard"
treatment = "scatter"

[[surface.band]]
name = "near"
"#;

    fn saved(change: impl FnOnce(&mut Drawing)) -> (String, Vec<HeldBack>) {
        let may_name = MayName::ItsFolder;
        let scene = parse_scene_to_draw("scene.toml", SCENE.as_bytes(), may_name).unwrap();
        let mut drawing = Drawing::of_scene(&scene);
        change(&mut drawing);
        sound_into("scene.toml", SCENE.as_bytes(), may_name, drawing).unwrap()
    }

    fn say(said: &mut Option<Said>, key: &str, text: &str) {
        let said = said.as_mut().unwrap();
        said.insert(key.to_owned(), text.to_owned());
    }

    fn told(held: &[HeldBack]) -> Vec<String> {
        let words = held.iter().map(ToString::to_string);
        words
            .map(|words| words.split(": ").next().unwrap().to_owned())
            .collect()
    }

    #[test]
    fn one_bad_field_leaves_everything_else_to_be_saved() {
        let (text, held) = saved(|drawing| {
            drawing.surfaces[0].area = Some("rubbish".to_owned());
            say(&mut drawing.surfaces[0].said, "coats", "3");
            drawing.surfaces[2].name = "Far hill".to_owned();
        });
        assert_eq!(told(&held), ["“Wall”, area"]);
        assert!(held[0].words.contains("rubbish"), "{held:?}");
        assert!(text.contains("area = \"310 cm2\"   # measured"), "{text}");
        assert!(
            text.contains("coats = 3") && text.contains("Far hill"),
            "{text}"
        );
    }

    #[test]
    fn every_bad_field_is_named_by_what_it_is_of() {
        let (text, held) = saved(|drawing| {
            say(&mut drawing.said, "view", "near");
            drawing.photos[1].from = Some("12 parsecs".to_owned());
            say(&mut drawing.surfaces[1].said, "grime", "a lot");
            let zones = drawing.surfaces[2].zones.as_mut().unwrap();
            zones[0]
                .said
                .insert("from".to_owned(), "over there".to_owned());
            zones.push(DrawnZone {
                was: None,
                name: "near".to_owned(),
                ..zones[0].clone()
            });
        });
        let mut told = told(&held);
        told.sort();
        let expected = [
            "the layout, view",
            "“Hill”, “near”",
            "“Hill”, “near”, from",
            "“Roof”, grime",
            "“yard”, from",
        ];
        assert_eq!(told, expected);
        assert_eq!(text, SCENE);
    }

    #[test]
    fn a_new_surface_is_counted_behind_those_of_the_file_and_without_those_that_go() {
        let (text, held) = saved(|drawing| {
            let mut new = drawing.surfaces[0].clone();
            (new.was, new.name, new.area) = (None, "Gate".to_owned(), Some("two".to_owned()));
            drawing.surfaces.insert(0, new);
            let gone = drawing.surfaces.remove(3);
            drawing.removed.extend(gone.was);
        });
        assert_eq!(told(&held), ["“Gate”, area"]);
        assert!(
            text.contains("\"Gate\"") && !text.contains("\"Hill\""),
            "{text}"
        );
    }

    #[test]
    fn what_a_wash_lies_over_is_not_taken_away() {
        let (text, held) = saved(|drawing| {
            let gone = drawing.surfaces.remove(0);
            drawing.removed.extend(gone.was);
            drawing.surfaces[0].name = "Ridge".to_owned();
        });
        assert_eq!(told(&held)[0], "“Ridge”");
        assert_eq!((held.len(), text.as_str()), (2, SCENE));
        let (text, held) = saved(|drawing| drawing.surfaces[0].name = "Brick".to_owned());
        assert_eq!(told(&held), ["“Brick”, name"]);
        assert_eq!(text, SCENE);
    }

    #[test]
    fn a_photo_goes_with_what_lies_on_it_alone_and_the_last_surface_may_go() {
        let (text, held) = saved(|drawing| {
            drawing.photos.remove(1);
            drawing.gone.push("yard".to_owned());
            let gone = drawing.surfaces.remove(2);
            drawing.removed.extend(gone.was);
        });
        assert!(held.is_empty(), "{held:?}");
        assert!(
            !text.contains("yard.jpg") && text.contains("wall.jpg"),
            "{text}"
        );
        // One that is still needed stays.
        let (text, held) = saved(|drawing| drawing.gone.push("yard".to_owned()));
        assert_eq!(told(&held), ["“yard”"]);
        assert_eq!(text, SCENE);
        let (text, held) = saved(|drawing| {
            drawing
                .removed
                .extend(drawing.surfaces.drain(..).filter_map(|s| s.was));
        });
        assert!(held.is_empty() && !text.contains("[[surface]]"), "{text}");
    }
}
