//! The schema of a scene file, for editors: made from the same tables of keys as the reader.

use super::key::{HeldByKey, ListedKey, Offered, Presence, TableOfKeys, TextOrTable, Words};
use super::keys::SceneKeys;
use crate::lamps::ILLUMINANTS;
use crate::units::SCALE_LETTERS;
use serde_json::{Map, Value, json};

/// The schema of a scene file: JSON Schema, draft 2020-12.
#[must_use]
pub fn scene_schema() -> Value {
    let mut shapes = Shapes(Map::new());
    let mut schema = shapes.table(&SceneKeys::TABLE);
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema".into();
    schema["title"] = "Scene of a scale layout".into();
    schema["$defs"] = shapes.0.into();
    schema
}

/// Shapes that keys point to, by their names.
struct Shapes(Map<String, Value>);

impl Shapes {
    fn table(&mut self, table: &TableOfKeys) -> Value {
        let properties: Map<String, Value> = table
            .keys
            .iter()
            .map(|key| (key.name.to_owned(), self.key(key)))
            .collect();
        let needed: Vec<&str> = table
            .keys
            .iter()
            .filter(|key| key.presence == Presence::Needed)
            .map(|key| key.name)
            .collect();
        let mut schema = json!({
            "type": "object",
            "additionalProperties": false,
            "properties": properties,
        });
        if !needed.is_empty() {
            schema["required"] = needed.into();
        }
        described(schema, &lines(table.about))
    }

    fn key(&mut self, key: &ListedKey) -> Value {
        let mut schema = self.held(key.holds);
        match key.presence {
            Presence::Needed if matches!(key.holds, HeldByKey::Tables(_)) => {
                schema["minItems"] = 1.into();
            }
            Presence::Needed => {}
            Presence::Optional => schema = or_nothing(schema),
        }
        described(schema, &lines(key.about))
    }

    fn held(&mut self, holds: HeldByKey) -> Value {
        match holds {
            HeldByKey::Text => text(),
            HeldByKey::Offered(offered) => self.offered(offered),
            HeldByKey::Number(range) => json!({
                "type": "number", "format": "double", "minimum": range.least, "maximum": range.most,
            }),
            HeldByKey::Whole(range) => json!({
                "type": "integer", "format": "uint32", "minimum": range.least, "maximum": range.most,
            }),
            HeldByKey::YesNo => json!({ "type": "boolean" }),
            HeldByKey::Word(words) => self.words(words),
            HeldByKey::WordList(words) => list_of(&self.words(words)),
            HeldByKey::ColourGroups => list_of(&list_of(&text())),
            HeldByKey::Point => fixed(&number(), 2),
            HeldByKey::Corners => fixed(&fixed(&number(), 2), 4),
            HeldByKey::Region => self.region(),
            HeldByKey::LeaveOut => {
                let all = list_of(&self.region());
                let shape = json!({ "anyOf": [fixed(&number(), 4), all] });
                let about = "What is left out: a box, or a list of boxes and outlines.";
                self.named("LeaveOutShape", described(shape, about))
            }
            HeldByKey::Table(table) => self.inner(table),
            HeldByKey::Tables(table) => list_of(&self.inner(table)),
            HeldByKey::TablesByName(table) => {
                json!({ "type": "object", "additionalProperties": self.inner(table) })
            }
            HeldByKey::TextOrTable(either) => self.either(either),
        }
    }

    /// Keeps a shape under a name, and points to it.
    fn named(&mut self, name: &str, shape: Value) -> Value {
        self.0.insert(name.to_owned(), shape);
        json!({ "$ref": format!("#/$defs/{name}") })
    }

    fn inner(&mut self, table: &TableOfKeys) -> Value {
        let shape = self.table(table);
        self.named(table.shape, shape)
    }

    fn words(&mut self, words: Words) -> Value {
        let shape = json!({ "type": "string", "enum": words.all.words() });
        self.named(words.shape, shape)
    }

    fn region(&mut self) -> Value {
        let points = list_of(&fixed(&number(), 2));
        let shape = json!({ "anyOf": [points, fixed(&number(), 4)] });
        let about = "A region: the points of an outline, or the box left, top, right, bottom.";
        self.named("OutlineShape", described(shape, about))
    }

    fn either(&mut self, either: &TextOrTable) -> Value {
        let text = described(text(), either.about_text);
        let table = described(self.inner(either.table), either.about_table);
        let shape = json!({ "anyOf": [text, table] });
        self.named(either.shape, described(shape, either.about))
    }

    /// Any text, and the words that an editor offers for it.
    fn offered(&mut self, offered: Offered) -> Value {
        let (name, words) = match offered {
            Offered::Scales => ("ScaleShape", scales()),
            Offered::Lamps => ("LampsShape", lamps()),
        };
        self.named(name, json!({ "anyOf": [{ "enum": words }, text()] }))
    }
}

/// The letters of the standards, with the ratio where a letter has several.
fn scales() -> Vec<String> {
    let words = SCALE_LETTERS.iter().flat_map(|(letter, ratios)| {
        ratios.iter().map(move |ratio| match ratios.len() {
            1 => (*letter).to_owned(),
            _ => format!("{letter} 1:{ratio}"),
        })
    });
    words.collect()
}

/// The CIE illuminants, and what else a lamp may be called.
fn lamps() -> Vec<String> {
    let words = ["daylight", "4000 K"].into_iter().chain(ILLUMINANTS);
    words.map(str::to_owned).collect()
}

fn text() -> Value {
    json!({ "type": "string" })
}

fn number() -> Value {
    json!({ "type": "number", "format": "double" })
}

fn list_of(items: &Value) -> Value {
    json!({ "type": "array", "items": items })
}

fn fixed(items: &Value, count: u32) -> Value {
    json!({ "type": "array", "items": items, "minItems": count, "maxItems": count })
}

/// The schema of a key that may be missing.
fn or_nothing(mut schema: Value) -> Value {
    match schema.get("type").cloned() {
        Some(kind) => {
            schema["type"] = json!([kind, "null"]);
            schema
        }
        None => json!({ "anyOf": [schema, { "type": "null" }] }),
    }
}

fn described(mut schema: Value, about: &str) -> Value {
    if !about.is_empty() {
        schema["description"] = about.into();
    }
    schema
}

/// The lines of a doc comment as one text.
fn lines(about: &[&str]) -> String {
    let lines: Vec<&str> = about.iter().map(|line| line.trim()).collect();
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_scale_that_an_editor_offers_is_read() {
        let schema = scene_schema();
        let offered = |shape: &str| schema["$defs"][shape]["anyOf"][0]["enum"].clone();
        let scales: Vec<String> = serde_json::from_value(offered("ScaleShape")).unwrap();
        assert!(scales.len() > SCALE_LETTERS.len());
        for scale in scales {
            assert!(scale.parse::<crate::units::ScaleRatio>().is_ok(), "{scale}");
        }
        assert_eq!(offered("LampsShape")[0], "daylight");
    }
}
