//! How the parts of `plan.json` are written that only people and other programs read: a plan is not solved again from
//! them.

use serde::de::Deserializer;
use serde::ser::Error;
use serde::{Deserialize, Serialize, Serializer};
use serde_json::{Map, Value};

/// A part that only people and other programs read.
#[derive(Debug, Clone, PartialEq)]
pub enum ForReaders<T> {
    /// As this program makes it. Its keys are written in alphabetical order, and one that holds nothing is left out.
    Made(T),
    /// As it was received, whatever stands there, keys of later versions included: it travels on untouched.
    Received(Map<String, Value>),
}

impl<T> From<T> for ForReaders<T> {
    fn from(part: T) -> Self {
        Self::Made(part)
    }
}

impl<T: Serialize> Serialize for ForReaders<T> {
    fn serialize<S: Serializer>(&self, file: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Made(part) => {
                let value = serde_json::to_value(part).map_err(S::Error::custom)?;
                without_nulls(value).serialize(file)
            }
            Self::Received(keys) => keys.serialize(file),
        }
    }
}

impl<'de, T> Deserialize<'de> for ForReaders<T> {
    fn deserialize<D: Deserializer<'de>>(file: D) -> Result<Self, D::Error> {
        Map::deserialize(file).map(Self::Received)
    }
}

/// A value without the keys that hold nothing.
#[must_use]
pub fn without_nulls(value: Value) -> Value {
    match value {
        Value::Object(all) => {
            let kept = all.into_iter().filter(|(_, v)| !v.is_null());
            Value::Object(kept.map(|(key, v)| (key, without_nulls(v))).collect())
        }
        Value::Array(all) => Value::Array(all.into_iter().map(without_nulls).collect()),
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Serialize)]
    struct Told {
        words: Option<&'static str>,
        area: Option<f64>,
        kinds: Vec<Option<u8>>,
    }

    #[derive(Serialize)]
    struct Entry {
        name: &'static str,
        #[serde(flatten)]
        more: ForReaders<Told>,
    }

    #[test]
    fn a_part_is_written_in_the_order_of_its_keys_and_without_those_that_hold_nothing() {
        let more = Told {
            words: Some("moss"),
            area: None,
            kinds: vec![Some(2), None],
        };
        let entry = Entry {
            name: "sill",
            more: more.into(),
        };
        assert_eq!(
            serde_json::to_string(&entry).unwrap(),
            "{\"name\":\"sill\",\"kinds\":[2,null],\"words\":\"moss\"}"
        );
    }
}
