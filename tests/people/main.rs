//! Lists, scenes and command lines as people write them: each is read, or refused with an answer that mends it.
//!
//! The corpus is `lists.toml`; everything in it is invented. A list that is read is also tidied, and the tidy list must
//! mean the same. Refusals are judged by their words: what must stand in the fault, its place or its hint.
#![expect(
    clippy::panic,
    clippy::expect_used,
    clippy::disallowed_methods,
    reason = "a case that cannot be tried stops the test and says which; files of the corpus are read here"
)]

use hillwash::colour::{Srgb8, delta_e00};
use hillwash::paint::{Finish, ListError, ListNote, Opacity, Paint, PaintList};
use hillwash::problem::Explain;
use hillwash::scene::{MayName, parse_scene};
use toml::Table;

const CORPUS: &str = include_str!("lists.toml");
/// At least so many cases: the corpus grows, and is not thinned.
const FEWEST: usize = 180;

const SCENE: &str = "title = \"Yard\"\nscale = \"1:87\"\nview = \"0.9 m\"\npaints = \"paints.csv\"\n\n[photos.wall]\nfile = \"wall.jpg\"\nfrom = \"8 m\"\n\n[[surface]]\nname = \"Wall\"\nphoto = \"wall\"\nregion = [[0.1, 0.2], [0.5, 0.2], [0.5, 0.8]]\narea = \"310 cm2\"\n";

fn corpus() -> Table {
    CORPUS.parse().expect("the corpus is TOML")
}

fn cases<'a>(corpus: &'a Table, kind: &str) -> Vec<&'a Table> {
    corpus[kind]
        .as_array()
        .expect("cases")
        .iter()
        .filter_map(toml::Value::as_table)
        .collect()
}

/// A case whose key is mistyped would judge nothing.
fn only(case: &Table, keys: &[&str], misses: &mut Vec<String>) {
    for key in case.keys().filter(|key| !keys.contains(&key.as_str())) {
        misses.push(format!("{}: no case has \"{key}\"", text(case, "what")));
    }
}

fn text<'a>(case: &'a Table, key: &str) -> &'a str {
    case.get(key)
        .and_then(toml::Value::as_str)
        .unwrap_or_default()
}

fn words<'a>(case: &'a Table, key: &str) -> Vec<&'a str> {
    case.get(key)
        .and_then(toml::Value::as_array)
        .map(|all| all.iter().filter_map(toml::Value::as_str).collect())
        .unwrap_or_default()
}

fn says(case: &Table, key: &str) -> bool {
    case.get(key)
        .and_then(toml::Value::as_bool)
        .unwrap_or(false)
}

fn bytes(case: &Table) -> Vec<u8> {
    let file = text(case, "file");
    if !file.is_empty() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/people/");
        return std::fs::read(format!("{folder}{file}")).expect("a file beside the corpus");
    }
    let written = text(case, "text");
    if says(case, "latin") {
        return written
            .chars()
            .map(|c| u8::try_from(u32::from(c)).expect("a letter of the old code"))
            .collect();
    }
    if says(case, "wide") {
        let units = std::iter::once(0xfeff).chain(written.encode_utf16());
        return units.flat_map(u16::to_le_bytes).collect();
    }
    written.as_bytes().to_vec()
}

fn read(bytes: &[u8]) -> Result<PaintList, Vec<ListError>> {
    PaintList::parse("paints.csv", bytes, &|_| Err("no such file".to_owned()))
}

/// Every fault with its place and hint.
fn told<E: Explain>(faults: &[E]) -> String {
    let all: Vec<String> = faults
        .iter()
        .map(|fault| {
            format!(
                "{}: {fault} ({})\n",
                fault.place(),
                fault.hint().unwrap_or_default()
            )
        })
        .collect();
    all.concat()
}

fn holds(misses: &mut Vec<String>, what: &str, told: &str, wanted: &[&str]) {
    for word in wanted {
        if !told.contains(word) {
            misses.push(format!("{what}: no \"{word}\" in: {told}"));
        }
    }
}

/// What a paint is, by the corpus' words.
fn facts(paint: &Paint) -> Vec<(&'static str, String)> {
    let number = |value: Option<f64>| value.map_or_else(String::new, |v| format!("{v:.3}"));
    let opacity = match paint.opacity {
        Some(Opacity::Opaque) => "opaque",
        Some(Opacity::SemiOpaque) => "semi-opaque",
        Some(Opacity::SemiTransparent) => "semi-transparent",
        Some(Opacity::Transparent) => "transparent",
        None => "",
    };
    let finish = match paint.finish {
        Some(Finish::Matt) => "matt",
        Some(Finish::Satin) => "satin",
        Some(Finish::Gloss) => "gloss",
        None => "",
    };
    vec![
        ("name", paint.name.clone()),
        ("hex", Srgb8::to_string(&paint.colour.to_srgb8())),
        (
            "medium",
            paint.medium.map_or_else(String::new, |m| m.to_string()),
        ),
        ("opacity", opacity.to_owned()),
        ("finish", finish.to_owned()),
        ("strength", number(paint.strength)),
        ("on_hand_ml", number(paint.on_hand_ml)),
        ("pot_ml", number(paint.pot_ml)),
        ("price", number(paint.price)),
    ]
}

/// Writes the list again and reads that: the same meaning.
fn tidies(list: &PaintList) -> Result<(), String> {
    let clean = list.tidied().map_err(|e| e.to_string())?;
    let again = read(&clean).map_err(|faults| told(&faults))?;
    if !again.notes().iter().all(|n| {
        matches!(
            n,
            ListNote::Unused { .. }
                | ListNote::NotBorneOut { .. }
                | ListNote::FarFromMeasured { .. }
                | ListNote::ColoursDiffer { .. }
        )
    }) {
        return Err(format!("the tidy list is not plain: {:?}", again.notes()));
    }
    if again.paints().len() != list.paints().len() {
        return Err("not as many paints".to_owned());
    }
    for (one, other) in list.paints().iter().zip(again.paints()) {
        let alike = facts(one)
            .into_iter()
            .filter(|(key, _)| *key != "hex")
            .eq(facts(other).into_iter().filter(|(key, _)| *key != "hex"));
        if !alike
            || delta_e00(one.colour, other.colour).0 > 0.05
            || one.mixable != other.mixable
            || one.effect != other.effect
            || one.let_downs != other.let_downs
            || one.over_cards != other.over_cards
            || one.thin != other.thin
        {
            return Err(format!("{one:?} became {other:?}"));
        }
    }
    Ok(())
}

fn check_list(case: &Table, misses: &mut Vec<String>) {
    let what = text(case, "what");
    let refused = words(case, "refused");
    let list = match (read(&bytes(case)), refused.is_empty()) {
        (Ok(list), true) => list,
        (Err(faults), false) => return holds(misses, what, &told(&faults), &refused),
        (Ok(_), false) => return misses.push(format!("{what}: was read")),
        (Err(faults), true) => return misses.push(format!("{what}: {}", told(&faults))),
    };
    let paints = case.get("paints").and_then(toml::Value::as_integer);
    if paints.and_then(|n| usize::try_from(n).ok()) != Some(list.paints().len()) {
        misses.push(format!("{what}: {} paints", list.paints().len()));
    }
    let found = facts(&list.paints()[0]);
    for (key, wanted) in case
        .get("first")
        .and_then(toml::Value::as_table)
        .into_iter()
        .flatten()
    {
        let wanted = match wanted {
            toml::Value::Float(value) => format!("{value:.3}"),
            other => other.as_str().unwrap_or_default().to_owned(),
        };
        let Some((_, found)) = found.iter().find(|(name, _)| name == key) else {
            panic!("{what}: the corpus asks for {key}")
        };
        if *found != wanted {
            misses.push(format!("{what}: {key} is \"{found}\", wanted \"{wanted}\""));
        }
    }
    let notes: Vec<String> = list.notes().iter().map(ToString::to_string).collect();
    holds(misses, what, &notes.join("\n"), &words(case, "notes"));
    if let Err(fault) = tidies(&list) {
        misses.push(format!("{what}: tidied: {fault}"));
    }
}

#[test]
fn lists_are_read_or_refused_with_an_answer_that_mends_them() {
    const KEYS: [&str; 9] = [
        "what", "text", "file", "latin", "wide", "paints", "first", "notes", "refused",
    ];
    let corpus = corpus();
    let mut misses = Vec::new();
    let lists = cases(&corpus, "list");
    for case in &lists {
        only(case, &KEYS, &mut misses);
        check_list(case, &mut misses);
    }
    assert!(misses.is_empty(), "{}", misses.join("\n"));
    assert!(lists.len() + cases(&corpus, "scene").len() >= FEWEST);
}

#[test]
fn scenes_are_read_or_refused_with_an_answer_that_mends_them() {
    let corpus = corpus();
    let mut misses = Vec::new();
    for case in cases(&corpus, "scene") {
        only(case, &["what", "change", "refused"], &mut misses);
        let what = text(case, "what");
        let change = words(case, "change");
        let refused = words(case, "refused");
        assert!(SCENE.contains(change[0]), "{what}: nothing to change");
        let scene = SCENE.replace(change[0], change[1]);
        match parse_scene("scene.toml", scene.as_bytes(), MayName::ItsFolder) {
            Ok(_) if refused.is_empty() => {}
            Ok(_) => misses.push(format!("{what}: was read")),
            Err(faults) if refused.is_empty() => misses.push(format!("{what}: {}", told(&faults))),
            Err(faults) => holds(&mut misses, what, &told(&faults), &refused),
        }
    }
    assert!(misses.is_empty(), "{}", misses.join("\n"));
}

#[test]
fn rows_with_faults_are_left_out_only_on_request() {
    use hillwash::paint::ListReading;
    let bytes = b"name,hex\nBrick,#93503d\nOchre,#bc914g\n";
    assert!(read(bytes).is_err());
    let how = ListReading {
        skip_bad_rows: true,
        ..ListReading::default()
    };
    let list =
        PaintList::read("paints.csv", bytes, &|_| Err(String::new()), &how).expect("one good row");
    assert_eq!(list.paints().len(), 1);
    assert!(
        list.notes()
            .iter()
            .any(|n| n.to_string().contains("line 3")),
        "{:?}",
        list.notes()
    );
    let none = PaintList::read(
        "paints.csv",
        b"name,hex\nOchre,#bc914g\n",
        &|_| Err(String::new()),
        &how,
    );
    assert!(none.is_err(), "nothing would be left");
}
