//! Keys and lists in TOML that keep their surroundings: entries of lists keep the comments behind them.
//!
//! To the reader of TOML, a comment behind `entry,` belongs to what follows. To people it belongs to the entry.

use crate::scene::PartKeys;
use toml_edit::{Array, ArrayOfTables, Item, RawString, Table, TableLike, Value, value};

/// The key of outlines that are left out of another.
pub(super) const LEAVE_OUT: &str = PartKeys::LEAVE_OUT.name;

/// An entry of a list of tables, which may be written either way.
pub(super) fn table_mut(list: &mut Item, at: usize) -> Option<&mut dyn TableLike> {
    match list {
        Item::ArrayOfTables(tables) => tables.get_mut(at).map(|table| table as &mut dyn TableLike),
        Item::Value(Value::Array(array)) => array
            .get_mut(at)?
            .as_inline_table_mut()
            .map(|table| table as &mut dyn TableLike),
        _ => None,
    }
}

/// Sets a key; one that is there keeps its blanks and its comment.
pub(super) fn set(table: &mut dyn TableLike, key: &str, mut new: Value) {
    match table.get_mut(key) {
        Some(Item::Value(old)) => {
            *new.decor_mut() = old.decor().clone();
            *old = new;
        }
        Some(item) => *item = value(new),
        None => {
            table.insert(key, value(new));
        }
    }
}

/// Decimals of a fraction: half a pixel of a photo 5000 pixels wide.
const DECIMALS: f64 = 1e4;

/// An outline.
pub(super) fn points(outline: &[[f64; 2]]) -> Array {
    outline.iter().map(|at| point(*at)).collect()
}

/// A point.
pub(super) fn point(at: [f64; 2]) -> Array {
    at.iter()
        .map(|v| (v * DECIMALS).round() / DECIMALS)
        .collect()
}

/// Adds a table behind those of a list under this key; the list is begun where there is none.
pub(super) fn push_table(holder: &mut dyn TableLike, key: &str, table: Table) {
    match holder.get_mut(key) {
        Some(Item::ArrayOfTables(tables)) => tables.push(table),
        Some(Item::Value(Value::Array(array))) => array.push(table.into_inline_table()),
        _ => {
            let mut tables = ArrayOfTables::new();
            tables.push(table);
            holder.insert(key, Item::ArrayOfTables(tables));
        }
    }
}

/// Takes an entry out of a list under this key, and the list when nothing is left in it.
pub(super) fn remove_table(holder: &mut dyn TableLike, key: &str, at: usize) {
    let left = match holder.get_mut(key) {
        Some(Item::ArrayOfTables(tables)) if at < tables.len() => {
            tables.remove(at);
            tables.len()
        }
        Some(Item::Value(Value::Array(array))) if at < array.len() => {
            array.remove(at);
            array.len()
        }
        _ => return,
    };
    if left == 0 {
        holder.remove(key);
    }
}

/// What stands around one entry.
#[derive(Clone, Default)]
struct ArrayEntry {
    /// Blanks and comments on lines of their own, above it.
    before: String,
    value: Option<Value>,
    /// Between it and its comma.
    suffix: String,
    /// Behind its comma, on the same line.
    after: String,
}

/// A list made of entries of an old one and of new values, each `(its place in the old list, its new value)`: an entry
/// with a place keeps its blanks and comments, one without a new value keeps its spelling too.
pub(super) fn rearranged(
    old: Option<&Array>,
    wanted: Vec<(Option<usize>, Option<Value>)>,
) -> Array {
    let (entries, end) = old.map(taken_apart).unwrap_or_default();
    let lines = entries.iter().any(|entry| entry.before.contains('\n'))
        || (entries.is_empty() && wanted.len() > 1);
    let indent = entries
        .iter()
        .find_map(|entry| entry.before.rsplit_once('\n'))
        .map_or("  ", |(_, blanks)| blanks);
    let usual = ArrayEntry {
        before: if lines {
            format!("\n{indent}")
        } else {
            String::new()
        },
        ..ArrayEntry::default()
    };
    let mut array = Array::new();
    let mut after = String::new();
    for (at, (was, new)) in wanted.into_iter().enumerate() {
        let entry = was.and_then(|was| entries.get(was)).unwrap_or(&usual);
        let Some(mut value) = new.or_else(|| entry.value.clone()) else {
            continue;
        };
        let mut prefix = std::mem::take(&mut after);
        if !prefix.is_empty() && !entry.before.contains('\n') {
            prefix.push('\n');
        }
        let blank = !lines && at > 0 && entry.before.is_empty() && prefix.is_empty();
        prefix.push_str(if blank { " " } else { &entry.before });
        value.decor_mut().set_prefix(prefix);
        value.decor_mut().set_suffix(entry.suffix.as_str());
        after.clone_from(&entry.after);
        array.push_formatted(value);
    }
    let end = if end.is_empty() && (lines || !after.is_empty()) {
        "\n"
    } else {
        &end
    };
    array.set_trailing_comma(lines || !after.is_empty());
    array.set_trailing(format!("{after}{end}"));
    array
}

/// The entries with what belongs to each, and what stands before the closing bracket.
fn taken_apart(array: &Array) -> (Vec<ArrayEntry>, String) {
    let mut entries: Vec<ArrayEntry> = Vec::new();
    for value in array {
        let (after, before) = divided(text_of(value.decor().prefix()));
        match entries.last_mut() {
            Some(last) => last.after = after,
            None if !after.is_empty() => {
                // A comment behind the opening bracket stays there.
                entries.push(ArrayEntry {
                    before: format!("{after}{before}"),
                    value: Some(value.clone()),
                    suffix: text_of(value.decor().suffix()),
                    after: String::new(),
                });
                continue;
            }
            None => {}
        }
        entries.push(ArrayEntry {
            before,
            value: Some(value.clone()),
            suffix: text_of(value.decor().suffix()),
            after: String::new(),
        });
    }
    let (after, end) = divided(text_of(Some(array.trailing())));
    if let Some(last) = entries.last_mut() {
        last.after = after;
    }
    (entries, end)
}

fn text_of(raw: Option<&RawString>) -> String {
    raw.and_then(RawString::as_str).unwrap_or("").to_owned()
}

/// A comment at the end of the line above, and the rest.
fn divided(text: String) -> (String, String) {
    match text.find('\n') {
        Some(end) if text[..end].trim_start().starts_with('#') => {
            let rest = text[end..].to_owned();
            (text[..end].to_owned(), rest)
        }
        _ => (String::new(), text),
    }
}
