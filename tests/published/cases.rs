//! Worked cases in JSON: an id, a kind, inputs and outputs.
#![expect(
    clippy::panic,
    reason = "a case that cannot be read must stop the test and say where"
)]

use serde::Deserialize;
use serde_json::Value;
use std::collections::BTreeSet;

/// A file of cases.
#[derive(Debug, Deserialize)]
struct File {
    cases: Vec<Case>,
}

/// One worked case.
#[derive(Debug, Deserialize)]
pub(crate) struct Case {
    pub(crate) id: String,
    pub(crate) kind: String,
    pub(crate) inputs: Value,
    pub(crate) outputs: Value,
}

/// All cases of a file.
pub(crate) fn cases(text: &str) -> Vec<Case> {
    match serde_json::from_str::<File>(text) {
        Ok(file) => file.cases,
        Err(error) => panic!("{error}"),
    }
}

/// The cases of one kind, in order.
pub(crate) fn cases_of(text: &str, kind: &str) -> Vec<Case> {
    cases(text)
        .into_iter()
        .filter(|case| case.kind == kind)
        .collect()
}

/// The kinds of a file, so that no kind goes by unseen.
pub(crate) fn kinds(text: &str) -> BTreeSet<String> {
    cases(text).into_iter().map(|case| case.kind).collect()
}

/// The number under a key.
pub(crate) fn number(of: &Value, key: &str) -> f64 {
    match of[key].as_f64() {
        Some(number) => number,
        None => panic!("no number {key} in {of}"),
    }
}

/// The numbers in a list.
pub(crate) fn numbers(list: &Value) -> Vec<f64> {
    let found: Option<Vec<f64>> = list
        .as_array()
        .and_then(|list| list.iter().map(Value::as_f64).collect());
    match found {
        Some(numbers) => numbers,
        None => panic!("no list of numbers: {list}"),
    }
}

/// Three numbers in a list under a key.
pub(crate) fn three(of: &Value, key: &str) -> [f64; 3] {
    match numbers(&of[key])[..] {
        [a, b, c] => [a, b, c],
        _ => panic!("not three numbers in {key} of {of}"),
    }
}

/// The items of a list.
pub(crate) fn items(list: &Value) -> &[Value] {
    match list.as_array() {
        Some(items) => items,
        None => panic!("no list: {list}"),
    }
}

/// The text under a key.
pub(crate) fn text<'a>(of: &'a Value, key: &str) -> &'a str {
    match of[key].as_str() {
        Some(text) => text,
        None => panic!("no text {key} in {of}"),
    }
}
