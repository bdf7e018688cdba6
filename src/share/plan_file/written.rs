//! How the parts of `plan.json` are written that only people and other programs read: a plan is not solved again from
//! them.
//!
//! Their keys stand in alphabetical order, and a key that holds nothing is left out. In a received plan they are passed
//! over, whatever stands there, as are keys of later versions.

use serde::de::Deserializer;
use serde::ser::Error;
use serde::{Serialize, Serializer};
use serde_json::Value;

/// Writes a part: keys in alphabetical order, so that two plans compare line by line with those of earlier versions.
pub(super) fn in_order<T: Serialize, S: Serializer>(part: &T, file: S) -> Result<S::Ok, S::Error> {
    let value = serde_json::to_value(part).map_err(S::Error::custom)?;
    without_nulls(value).serialize(file)
}

/// Passes over what a received plan holds of a part.
#[expect(
    clippy::unnecessary_wraps,
    reason = "the reader of a field may fail, though this one never does"
)]
pub(super) fn passed_over<'de, T: Default, D: Deserializer<'de>>(_: D) -> Result<T, D::Error> {
    Ok(T::default())
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
        #[serde(flatten, serialize_with = "in_order")]
        more: Told,
    }

    #[test]
    fn a_part_is_written_in_the_order_of_its_keys_and_without_those_that_hold_nothing() {
        let more = Told {
            words: Some("moss"),
            area: None,
            kinds: vec![Some(2), None],
        };
        let entry = Entry { name: "sill", more };
        assert_eq!(
            serde_json::to_string(&entry).unwrap(),
            "{\"name\":\"sill\",\"kinds\":[2,null],\"words\":\"moss\"}"
        );
    }
}
