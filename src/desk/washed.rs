//! A wall before and after its wash, for its dial of grime: the planned colours of that surface alone.

use super::desk::Desk;
use super::drawing::Drawing;
use super::lane::QuestionLane;
use super::refused::Refused;
use crate::colour::LabD65;
use crate::plan::{Kit, PlanNote, SurfaceId, SurfacePlan};
use crate::problem::Place;
use crate::report::{blend_words, note_text, technique_words};
use crate::scene::{Scene, Surface, WashBase};
use serde::Deserialize;
use serde_json::{Value, json};

/// A question for the colours of a washed surface.
#[derive(Debug, Deserialize)]
pub struct AskWashed {
    drawing: Drawing,
    /// The surface's name, as drawn.
    surface: String,
}

/// A scene of one surface and of the one its wash lies over: nothing else has a say in the wash.
fn alone(mut scene: Scene, name: &str) -> Scene {
    let base = scene.surfaces.iter().find(|surface| surface.name == name);
    let base = base.and_then(|surface| match surface.wash.as_ref()?.base.as_ref()? {
        WashBase::Surface(other) => Some(other.to_lowercase()),
        WashBase::Colour(_) | WashBase::Paint(_) => None,
    });
    scene
        .surfaces
        .retain(|surface| surface.name == name || Some(surface.name.to_lowercase()) == base);
    for surface in &mut scene.surfaces {
        surface.places.clear();
        surface.model_photo = None;
        if surface.name != name {
            surface.wash = None;
        }
    }
    scene
}

/// What the reading of a scene depends on, whatever its dial of grime says.
fn seen_by(scene: &Scene) -> String {
    let without_dial = |surface: &Surface| {
        let mut surface = surface.clone();
        if let Some(wash) = &mut surface.wash {
            wash.grime = 1.0;
            wash.base = None;
            wash.base_place = Place::default();
        }
        surface
    };
    let surfaces: Vec<Surface> = scene.surfaces.iter().map(without_dial).collect();
    format!("{:?} {surfaces:?}", scene.photos)
}

impl Desk {
    /// The colours of a surface before and after its wash, as drawn.
    ///
    /// # Errors
    /// [`Refused`] with what the scene lacks.
    pub fn washed(
        &self,
        ask: AskWashed,
        lane: &QuestionLane,
        number: u64,
    ) -> Result<Value, Refused> {
        let _turn = lane.turn_of(number).ok_or(Refused::Stale)?;
        let (scene, _) = self.as_drawn(ask.drawing)?;
        let scene = alone(scene, &ask.surface);
        let paints = self.paints();
        let listed = paints.as_ref().as_ref().map_err(Refused::words)?;
        let sighted = self.seen_in(&self.surveyed_alone, &scene, &seen_by(&scene))?;
        if lane.is_stale(number) {
            return Err(Refused::Stale);
        }
        let plan = self.planned_of(sighted, &scene, Kit::new(&listed.list, listed.shelf()))?;
        let at = SurfaceId::all(plan.surfaces.len())
            .find(|at| plan.surfaces[*at].wanted.name == ask.surface)
            .ok_or_else(|| Refused::words("found no such surface in what is drawn"))?;
        Ok(washed_answer(&plan.surfaces[at]))
    }
}

fn hex(colour: LabD65) -> String {
    colour.to_srgb8().to_string()
}

fn washed_answer(surface: &SurfacePlan) -> Value {
    let why: Vec<String> = surface
        .dirt
        .notes
        .iter()
        .map(|note| {
            note_text(&PlanNote::Dirt {
                surface: surface.wanted.name.clone(),
                note: note.clone(),
            })
        })
        .collect();
    let Some(wash) = surface.dirt.washes().next() else {
        let body = surface.tones.first();
        return json!({ "base": body.map(|tone| hex(tone.wanted.moved.colour)), "why": why.first() });
    };
    let edges = surface.dirt.rock.as_ref();
    let edges = edges.and_then(|rock| rock.steps.last());
    let laid = wash.washes.iter();
    let laid = laid.map(|laid| {
        format!(
            "{}: {}",
            technique_words(laid.technique),
            blend_words(&laid.blend)
        )
    });
    json!({
        "base": hex(wash.base),
        "films": wash.ramp.iter().map(|film| hex(*film)).collect::<Vec<_>>(),
        "flat": hex(wash.flat),
        "recess": hex(wash.recess),
        "edges": edges.map(|step| hex(step.planned)),
        "off": [wash.flat_off.0, wash.recess_off.0],
        "laid": laid.collect::<Vec<_>>(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::{MayName, parse_scene};

    const SCENE: &str = r#"title = "Yard"
scale = "1:87"
paints = "paints.csv"
[photos.wall]
file = "wall.jpg"
[[surface]]
name = "Plain"
photo = "wall"
[[surface]]
name = "Wall"
photo = "wall"
[surface.wash]
base = { surface = "plain" }
grime = 0.6
[[surface.place]]
name = "sill"
share = 0.1
[[surface]]
name = "Roof"
photo = "wall"
"#;

    fn scene(text: &str) -> Scene {
        alone(
            parse_scene("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap(),
            "Wall",
        )
    }

    #[test]
    fn a_surface_stands_alone_with_the_one_its_wash_lies_over() {
        let scene = scene(SCENE);
        let names: Vec<&str> = scene.surfaces.iter().map(|s| s.name.as_str()).collect();
        assert_eq!(names, ["Plain", "Wall"]);
        assert!(scene.surfaces[1].places.is_empty() && scene.surfaces[1].wash.is_some());
    }

    #[test]
    fn turning_the_dial_has_no_photo_read_anew_and_another_outline_has() {
        let seen = |from: &str, to: &str| seen_by(&scene(&SCENE.replace(from, to)));
        assert_eq!(seen("0.6", "1.2"), seen("", ""));
        let region = "photo = \"wall\"\nregion = [0.1, 0.1, 0.5, 0.5]\n[surface.wash]";
        assert_ne!(
            seen("photo = \"wall\"\n[surface.wash]", region),
            seen("", "")
        );
    }
}
