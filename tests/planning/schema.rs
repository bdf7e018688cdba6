//! The schema of `plan.json` knows every path that a plan is written with.

use crate::bench::{BRICK, Drawn, LEAF, WHOLE, stripes, times};
use hillwash::lamps::Lamp;
use hillwash::mix::{Search, Shelf};
use hillwash::paint::{PaintList, ScatterList};
use hillwash::photo::Limits;
use hillwash::plan::{Inputs, Kit, Wishes, schedule};
use hillwash::report::plan_file;
use hillwash::scene::{MayName, parse_scene};
use hillwash::share::{ForReaders, plan_schema};
use serde_json::Value;
use std::collections::BTreeSet;

/// The places of the schema that a value may be told by: references followed, alternatives apart.
fn told_by<'a>(schema: &'a Value, root: &'a Value) -> Vec<&'a Value> {
    let mut all = vec![schema];
    if let Some(name) = schema["$ref"].as_str() {
        let name = name.rsplit('/').next().unwrap_or_default();
        all.extend(told_by(&root["$defs"][name], root));
    }
    for key in ["anyOf", "oneOf", "allOf"] {
        for one in schema[key].as_array().into_iter().flatten() {
            all.extend(told_by(one, root));
        }
    }
    all
}

/// Puts down every path of a value that no schema tells.
fn untold(
    value: &Value,
    schemas: &[&Value],
    root: &Value,
    path: &str,
    found: &mut BTreeSet<String>,
) {
    let all: Vec<&Value> = schemas.iter().flat_map(|s| told_by(s, root)).collect();
    match value {
        Value::Object(object) => {
            for (key, inner) in object {
                let path = format!("{path}.{key}");
                let told: Vec<&Value> = all
                    .iter()
                    .filter_map(|schema| schema["properties"].as_object()?.get(key))
                    .collect();
                if told.is_empty() {
                    found.insert(path);
                } else {
                    untold(inner, &told, root, &path, found);
                }
            }
        }
        Value::Array(array) => {
            let items: Vec<&Value> = all
                .iter()
                .flat_map(|schema| {
                    let fixed = schema["prefixItems"].as_array().into_iter().flatten();
                    fixed.chain(schema.get("items"))
                })
                .collect();
            for inner in array {
                untold(inner, &items, root, &format!("{path}[]"), found);
            }
        }
        _ => {}
    }
}

fn holds(plan: &Value) {
    let schema = plan_schema();
    let mut found = BTreeSet::new();
    untold(plan, &[&schema], &schema, "plan", &mut found);
    assert!(found.is_empty(), "the schema does not tell of {found:#?}");
    let faults: Vec<String> = jsonschema::validator_for(&schema)
        .unwrap()
        .iter_errors(plan)
        .map(|fault| fault.to_string())
        .collect();
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn the_schema_tells_every_path_of_the_demos_plan() {
    const DEMO: &str = "sample-photos/brewery-yard";
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(DEMO);
    let read = |name: &str| std::fs::read(folder.join(name)).unwrap();
    let scene = parse_scene("scene.toml", &read("scene.toml"), MayName::ItsFolder).unwrap();
    let paints =
        PaintList::parse("paints.csv", &read("paints.csv"), &|_| Err(String::new())).unwrap();
    let scatter = ScatterList::parse("scatter.csv", &read("scatter.csv")).unwrap();
    let photos: Vec<Vec<u8>> = scene.photos.iter().map(|photo| read(&photo.file)).collect();
    let shelf = Shelf::new(&paints);
    let inputs = Inputs {
        scene: &scene,
        photos: &photos,
        limits: Limits::default(),
        kit: Kit {
            scatter: Some(&scatter),
            lamp: Lamp::named("LED-B3"),
            ..Kit::new(&paints, &shelf)
        },
        wishes: Wishes::default(),
    };
    let planned = schedule(inputs).unwrap();
    // Of all that the demo paints no two are called alike; its outcrop has several light tones.
    let jars: Vec<&String> = planned.pots.iter().flat_map(|pot| &pot.jar).collect();
    let unlike: BTreeSet<&String> = jars.iter().copied().collect();
    assert_eq!(unlike.len(), jars.len(), "{jars:?}");
    assert!(jars.iter().any(|jar| jar.ends_with(" 2")), "{jars:?}");
    let json = plan_file(&planned, "2026-03-01").to_json().unwrap();
    let value: Value = serde_json::from_str(&json).unwrap();
    for part in ["rock", "scatter", "wash", "backscene", "haze"] {
        let surfaces = value["surfaces"].as_array().unwrap();
        assert!(
            surfaces.iter().any(|surface| surface.get(part).is_some()),
            "the demo shows no {part}"
        );
    }
    holds(&value);
}

#[test]
fn the_schema_tells_of_the_fewest_paints_and_of_wet_photos() {
    let surfaces = format!(
        "{WHOLE}[surface.wash]\nbase = \"#a56048\"\nflat = \"#8a523e\"\nrecess = \"#4a3228\"\n\
         [[surface.place]]\nname = \"moss\"\n"
    );
    let drawn = Drawn {
        photo: "wet = true\nlight = \"estimate\"",
        surfaces: &surfaces,
        ..Drawn::new(stripes(&[
            (BRICK, 50),
            (LEAF, 30),
            (times(BRICK, [0.4; 3]), 20),
        ]))
    };
    let value: Value = drawn.plan(|planned| {
        let mut file = plan_file(planned, "2026-03-01");
        let few = planned.fewest_of(planned.shelf, 3.0, &Search::default(), &[]);
        let whole = hillwash::report::Trimmed {
            fewest: &few,
            shelf: planned.shelf,
            kept_apart: &[],
            from: None,
        };
        let ForReaders::Made(more) = &mut file.more else {
            unreachable!("the plan was not received")
        };
        more.fewest_paints = Some(whole.entry());
        serde_json::from_str(&file.to_json().unwrap()).unwrap()
    });
    holds(&value);
}
