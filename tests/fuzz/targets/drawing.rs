//! Any scene and any drawing a page could send: put into the scene, or refused; what is written is a scene.
#![no_main]

use hillwash::desk::{Drawing, drawn_into};
use hillwash::scene::{MayName, parse_scene_to_draw};
use libfuzzer_sys::fuzz_target;

// A zero byte parts the scene from the drawing.
fuzz_target!(|bytes: &[u8]| {
    let Some(at) = bytes.iter().position(|byte| *byte == 0) else {
        return;
    };
    let (scene, drawing) = (&bytes[..at], &bytes[at + 1..]);
    let Ok(drawing) = serde_json::from_slice::<Drawing>(drawing) else {
        return;
    };
    if let Ok(written) = drawn_into("scene.toml", scene, MayName::ItsFolder, &drawing) {
        parse_scene_to_draw("scene.toml", written.as_bytes(), MayName::ItsFolder)
            .expect("what is written is a scene");
    }
});
