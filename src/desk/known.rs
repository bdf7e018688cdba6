//! Writes things of a known material that show a photo's light and are not planned into the photo's table; it touches
//! only what changed.

use super::array::{points, push_table, remove_table, set, table_mut};
use super::drawing::DrawnKnown;
use super::left_out::put_left_out;
use crate::scene::{KnownKeys, PhotoKeys};
use toml_edit::{Table, TableLike, value};

const KNOWN: &str = PhotoKeys::KNOWN.name;

/// Puts things as drawn into a photo whose things were others before.
pub(super) fn put_known(photo: &mut dyn TableLike, before: &[DrawnKnown], drawn: &[DrawnKnown]) {
    for thing in drawn {
        let Some(at) = thing.was.filter(|at| *at < before.len()) else {
            continue;
        };
        if let Some(table) = photo.get_mut(KNOWN).and_then(|list| table_mut(list, at)) {
            change(table, &before[at], thing);
        }
    }
    for at in (0..before.len()).rev() {
        if !drawn.iter().any(|thing| thing.was == Some(at)) {
            remove_table(photo, KNOWN, at);
        }
    }
    for thing in drawn {
        if thing.was.is_some_and(|at| at < before.len()) {
            continue;
        }
        let mut table = Table::new();
        table.decor_mut().set_prefix("\n");
        table.insert(KnownKeys::MATERIAL.name, value(thing.material.as_str()));
        table.insert(KnownKeys::REGION.name, value(points(&thing.part.outline)));
        put_left_out(&mut table, &[], &thing.part.leave_out);
        push_table(photo, KNOWN, table);
    }
}

fn change(table: &mut dyn TableLike, old: &DrawnKnown, thing: &DrawnKnown) {
    if thing.material != old.material {
        set(
            table,
            KnownKeys::MATERIAL.name,
            thing.material.as_str().into(),
        );
    }
    if thing.part.outline != old.part.outline {
        set(
            table,
            KnownKeys::REGION.name,
            points(&thing.part.outline).into(),
        );
    }
    let holes = old.part.leave_out.iter();
    let holes: Vec<_> = holes.map(|hole| hole.outline.as_slice()).collect();
    put_left_out(table, &holes, &thing.part.leave_out);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::drawn_anew;
    use crate::scene::{MayName, parse_scene_to_draw};

    const SCENE: &str = r#"title = "Yard"
scale = "1:87"
paints = "paints.csv"
[photos.wall]
file = "wall.jpg"

# what the light is told by
[[photos.wall.known]]
material = "clay roof tile, red"   # the shed
region = [[0.1, 0.1], [0.2, 0.1], [0.2, 0.2]]
leave_out = [[[0.15, 0.11], [0.16, 0.11], [0.16, 0.12]]]   # a skylight

[[photos.wall.known]]
material = "asphalt, dark"
region = [[0.1, 0.8], [0.9, 0.8], [0.9, 0.9]]

[[surface]]
name = "Wall"
photo = "wall"
"#;

    fn edited(scene: &str, change: impl FnOnce(&mut Vec<DrawnKnown>)) -> String {
        drawn_anew(scene, |drawing| {
            change(drawing.photos[0].known.as_mut().unwrap());
        })
    }

    #[test]
    fn what_tells_the_light_is_changed_and_what_is_written_beside_it_stays() {
        assert_eq!(edited(SCENE, |_| ()), SCENE);
        let text = edited(SCENE, |known| {
            known[0].part.outline[0] = [0.05, 0.05];
            known[1].material = "asphalt road, worn".to_owned();
        });
        let wanted = SCENE
            .replace("[[0.1, 0.1], [0.2", "[[0.05, 0.05], [0.2")
            .replace("asphalt, dark", "asphalt road, worn");
        assert_eq!(text, wanted);
        let text = edited(SCENE, |known| known[0].part.leave_out.clear());
        assert!(!text.contains("leave_out"), "{text}");
    }

    #[test]
    fn what_tells_the_light_comes_and_goes() {
        let text = edited(SCENE, |known| {
            known.remove(0);
            let mut other = known[0].clone();
            other.was = None;
            other.part.outline[1] = [0.8, 0.7];
            known.push(other);
        });
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
        let known = &scene.photos[0].known;
        assert_eq!(known.len(), 2, "{text}");
        assert!(known.iter().all(|k| k.material.name == "asphalt, dark"));
        let none = edited(SCENE, Vec::clear);
        assert!(!none.contains("known"), "{none}");
        // A photo that is written in one line, without any.
        let start = SCENE.find("# what").unwrap();
        let end = SCENE.find("[[surface]]").unwrap();
        let plain = format!("{}{}", &SCENE[..start], &SCENE[end..]);
        let plain = plain.replace(
            "[photos.wall]\nfile = \"wall.jpg\"",
            "photos.wall = { file = \"wall.jpg\" }",
        );
        let thing = {
            let scene =
                parse_scene_to_draw("scene.toml", SCENE.as_bytes(), MayName::ItsFolder).unwrap();
            DrawnKnown::all_of(&scene.photos[0])[0].clone()
        };
        let text = edited(&plain, |known| {
            known.push(DrawnKnown { was: None, ..thing });
        });
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
        let [known] = &scene.photos[0].known[..] else {
            panic!("{text}");
        };
        assert_eq!(known.region.leave_out.len(), 1, "{text}");
    }
}
