//! Writes bands and places of a surface into its table; it touches only what changed.

use super::array::{LEAVE_OUT, points, push_table, remove_table, set, table_mut};
use super::drawing::{DrawnZone, ZoneKind};
use super::left_out::put_left_out;
use super::said::{Said, put_said_of_band, put_said_of_place};
use crate::scene::PlaceKeys;
use toml_edit::{Table, TableLike, value};

/// Keys that bands and places have alike.
const NAME: &str = PlaceKeys::NAME.name;
const REGION: &str = PlaceKeys::REGION.name;

/// Puts zones as drawn into a surface whose zones were others before.
pub(super) fn put_zones(surface: &mut dyn TableLike, before: &[DrawnZone], drawn: &[DrawnZone]) {
    for kind in [ZoneKind::Band, ZoneKind::Place] {
        let known = |zone: &DrawnZone| {
            let same = |old: &&DrawnZone| old.kind == kind && old.was == zone.was;
            zone.was.and(before.iter().find(same))
        };
        let now: Vec<&DrawnZone> = drawn.iter().filter(|zone| zone.kind == kind).collect();
        for zone in &now {
            if let (Some(old), Some(at)) = (known(zone), zone.was) {
                change(surface, at, old, zone);
            }
        }
        let gone =
            |old: &&DrawnZone| old.kind == kind && !now.iter().any(|zone| zone.was == old.was);
        let gone: Vec<usize> = before
            .iter()
            .filter(gone)
            .filter_map(|old| old.was)
            .collect();
        for at in gone.into_iter().rev() {
            remove_table(surface, kind.key(), at);
        }
        for zone in now.iter().filter(|zone| known(zone).is_none()) {
            let mut table = Table::new();
            table.decor_mut().set_prefix("\n");
            table.insert(NAME, value(zone.name.as_str()));
            if !zone.outline.is_empty() {
                table.insert(REGION, value(points(&zone.outline)));
                put_left_out(&mut table, &[], &zone.leave_out);
            }
            say(&mut table, &Said::new(), zone);
            push_table(surface, kind.key(), table);
        }
    }
}

fn change(surface: &mut dyn TableLike, at: usize, old: &DrawnZone, zone: &DrawnZone) {
    let list = surface.get_mut(zone.kind.key());
    let Some(table) = list.and_then(|list| table_mut(list, at)) else {
        return;
    };
    if zone.name != old.name {
        set(table, NAME, zone.name.as_str().into());
    }
    if zone.outline.is_empty() && !old.outline.is_empty() {
        table.remove(REGION);
        table.remove(LEAVE_OUT);
    } else {
        if zone.outline != old.outline {
            set(table, REGION, points(&zone.outline).into());
        }
        let holes = old.leave_out.iter();
        let holes: Vec<_> = holes.map(|hole| hole.outline.as_slice()).collect();
        put_left_out(table, &holes, &zone.leave_out);
    }
    say(table, &old.said, zone);
}

fn say(table: &mut dyn TableLike, before: &Said, zone: &DrawnZone) {
    match zone.kind {
        ZoneKind::Band => put_said_of_band(table, before, &zone.said),
        ZoneKind::Place => put_said_of_place(table, before, &zone.said),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::{Drawing, DrawnHole, drawn_anew, drawn_into};
    use crate::scene::{MayName, parse_scene_to_draw};

    const SCENE: &str = r#"title = "Hill"
scale = "1:87"
paints = "paints.csv"
[photos.hill]
file = "hill.jpg"
[[surface]]
name = "Hop hill"
photo = "hill"
treatment = "scatter"
[[surface.band]]
name = "near"   # where one stands
[[surface.band]]
name = "far"
region = [[0.1, 0.1], [0.9, 0.1], [0.9, 0.3]]   # by hand
from = "2 km"
[[surface.place]]
name = "path"
region = [[0.1, 0.8], [0.9, 0.8], [0.9, 0.9]]
technique = "powder"

# the end
[[surface]]
name = "Wall"
photo = "hill"
"#;

    fn edited(change: impl FnOnce(&mut Vec<DrawnZone>)) -> String {
        drawn_anew(SCENE, |drawing| {
            change(drawing.surfaces[0].zones.as_mut().unwrap());
        })
    }

    #[test]
    fn a_moved_band_keeps_what_else_is_told_of_it() {
        assert_eq!(edited(|_| ()), SCENE);
        let text = edited(|zones| zones[1].outline[0] = [0.2, 0.05]);
        let (was, is) = (
            "[[0.1, 0.1], [0.9, 0.1], [0.9, 0.3]]",
            "[[0.2, 0.05], [0.9, 0.1], [0.9, 0.3]]",
        );
        assert_eq!(text, SCENE.replace(was, is));
        let text = edited(|zones| zones[2].name = "cart track".to_owned());
        assert_eq!(text, SCENE.replace("\"path\"", "\"cart track\""));
    }

    #[test]
    fn what_is_left_out_of_a_band_is_written_and_taken_back() {
        let hole = DrawnHole {
            was: None,
            outline: vec![[0.4, 0.15], [0.5, 0.15], [0.5, 0.2]],
        };
        let text = edited(|zones| zones[1].leave_out.push(hole));
        let line = "leave_out = [[[0.4, 0.15], [0.5, 0.15], [0.5, 0.2]]]\n";
        assert_eq!(text.replace(line, ""), SCENE);
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
        let mut drawing = Drawing::of_scene(&scene);
        let zones = drawing.surfaces[0].zones.as_mut().unwrap();
        assert_eq!(zones[1].leave_out.len(), 1);
        zones[1].leave_out.clear();
        let back = drawn_into("scene.toml", text.as_bytes(), MayName::ItsFolder, &drawing).unwrap();
        assert_eq!(back, SCENE);
    }

    #[test]
    fn what_has_no_outline_is_said_all_the_same() {
        let text = edited(|zones| {
            zones[0].name = "meadow".to_owned();
            zones[0].said.insert("from".to_owned(), "20 m".to_owned());
            zones.push(DrawnZone {
                kind: ZoneKind::Place,
                was: None,
                name: "dust".to_owned(),
                outline: Vec::new(),
                leave_out: Vec::new(),
                said: [("share".to_owned(), "0.05".to_owned())].into(),
            });
        });
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
        let hill = &scene.surfaces[0];
        assert_eq!(
            (hill.bands[0].name.as_str(), hill.bands[0].region.as_ref()),
            ("meadow", None)
        );
        assert_eq!(hill.bands[0].from.unwrap().to_string(), "20 m");
        assert_eq!(
            (hill.places[1].name.as_str(), hill.places[1].region.as_ref()),
            ("dust", None)
        );
        assert!(
            text.contains("name = \"meadow\"   # where one stands"),
            "{text}"
        );
    }

    #[test]
    fn zones_come_and_go_within_their_surface() {
        let text = edited(|zones| {
            zones.drain(1..);
            zones.push(DrawnZone {
                kind: ZoneKind::Place,
                was: None,
                name: "ditch".to_owned(),
                outline: vec![[0.0, 0.5], [1.0, 0.5], [1.0, 0.6]],
                leave_out: vec![DrawnHole {
                    was: None,
                    outline: vec![[0.5, 0.5], [0.6, 0.5], [0.6, 0.55]],
                }],
                said: [("share".to_owned(), "0.06".to_owned())].into(),
            });
        });
        let scene = parse_scene_to_draw("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
        let hill = &scene.surfaces[0];
        let names: Vec<&str> = hill.bands.iter().map(|band| band.name.as_str()).collect();
        assert_eq!(names, ["near"], "one without an outline stays too");
        assert_eq!(hill.places.len(), 1);
        assert_eq!(hill.places[0].name, "ditch");
        assert_eq!(hill.places[0].share, Some(0.06));
        let region = hill.places[0].region.as_ref().unwrap();
        assert_eq!(region.leave_out.len(), 1, "{text}");
        assert!(scene.surfaces[1].places.is_empty());
        assert!(
            text.contains("# where one stands") && text.contains("# the end"),
            "{text}"
        );
    }
}
