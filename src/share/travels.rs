//! Which of a user's own words travel in a plan: a list of kinds, and everything that belongs to none of them.

use super::PlanFile;
use serde_json::Value;
use std::collections::BTreeSet;

/// Kinds of a user's own words that may stand in a plan, and where: the last keys of a path, lists without their numbers.
const KINDS: [(&str, &[&str]); 9] = [
    ("title", &["scene.title", "with.title"]),
    (
        "names of lists",
        &["scene.paints", "scene.scatter", "with.paints"],
    ),
    ("lamps", &["scene.lamps", "theirs", "ours"]),
    ("names of photos in the scene", &["photos.name"]),
    ("credits of photos", &["photos.credit"]),
    (
        "surfaces, bands and places",
        &[
            "surfaces",
            "surfaces.name",
            "bands.name",
            "places.name",
            "base.name",
            "layers.zone",
            "zones.zone",
            "edges.near",
            "edges.far",
            "only_theirs",
            "only_ours",
        ],
    ),
    (
        "paints",
        &[
            "paints",
            "paints.name",
            "shopping.paint",
            "kept_apart",
            "one_more.name",
        ],
    ),
    (
        "scatter",
        &[
            "layers.item",
            "shares.item",
            "left_out.kinds",
            "scatter_shopping.scatter",
        ],
    ),
    (
        "patches that were logged",
        &["as_built.tone", "as_built.verdict", "as_built.beside"],
    ),
];

/// Keys under which the program's own words stand. Its sentences quote words from the list above.
const OWN: [&str; 35] = [
    "format",
    "hex",
    "scale",
    "view",
    "rule",
    "date",
    "profile",
    "words",
    "corrected_by",
    "form",
    "colour_name",
    "treatment",
    "keep",
    "role",
    "from",
    "technique",
    "family",
    "thinner",
    "grain",
    "pass",
    "parts_by",
    "units",
    "purpose",
    "relation",
    "steps",
    "cautions",
    "notes",
    "what",
    "used_for",
    "stage",
    "wait",
    // Names of the tables of materials and of land, and where in the picture.
    "material",
    "rather",
    "land",
    "across",
];
/// Names that the program gives.
const OWN_NAMES: [&str; 5] = [
    "tones.name",
    "pots.name",
    "films.name",
    "steps.name",
    "order_of_work.name",
];

/// One kind of words, and the words of that kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Travelling {
    /// The kind.
    pub kind: &'static str,
    /// Each text once, sorted.
    pub texts: Vec<String>,
}

/// What of no kind is called; a test sees to it that there is none.
const ELSE: &str = "else";

/// Names of the user's lists: sentences of a plan may quote them where nothing else names them.
#[derive(Debug, Clone, Copy, Default)]
pub struct ListedNames<'a> {
    /// Of paints.
    pub paints: &'a [&'a str],
    /// Of scatter.
    pub scatter: &'a [&'a str],
}

/// All of a user's own words in a plan, by their kinds. Whatever is not known to be the program's own is listed.
///
/// # Errors
/// The serialiser's error; a plan of finite numbers can always be written.
pub fn what_travels(
    plan: &PlanFile,
    listed: &ListedNames<'_>,
) -> Result<Vec<Travelling>, serde_json::Error> {
    let mut found: Vec<BTreeSet<String>> = vec![BTreeSet::new(); KINDS.len() + 1];
    let plan = serde_json::to_value(plan)?;
    gather(&plan, &mut Vec::new(), &mut found);
    for (kind, names) in [("paints", listed.paints), ("scatter", listed.scatter)] {
        if let Some(at) = KINDS.iter().position(|(known, _)| *known == kind) {
            let quoted = names.iter().filter(|name| quotes(&plan, name));
            found[at].extend(quoted.map(|name| (*name).to_owned()));
        }
    }
    let kinds = KINDS.iter().map(|(kind, _)| *kind).chain([ELSE]);
    Ok(kinds
        .zip(found)
        .filter(|(_, texts)| !texts.is_empty())
        .map(|(kind, texts)| Travelling {
            kind,
            texts: texts.into_iter().collect(),
        })
        .collect())
}

/// Whether a name stands in any text.
fn quotes(value: &Value, name: &str) -> bool {
    match value {
        Value::String(text) => text.contains(name),
        Value::Array(all) => all.iter().any(|one| quotes(one, name)),
        Value::Object(all) => all.values().any(|one| quotes(one, name)),
        Value::Null | Value::Bool(_) | Value::Number(_) => false,
    }
}

fn gather<'v>(value: &'v Value, path: &mut Vec<&'v str>, found: &mut [BTreeSet<String>]) {
    match value {
        Value::String(text) => {
            if let Some(kind) = kind_of(path) {
                found[kind].insert(text.clone());
            }
        }
        Value::Array(all) => {
            for one in all {
                gather(one, path, found);
            }
        }
        Value::Object(all) => {
            for (key, one) in all {
                path.push(key);
                gather(one, path, found);
                path.pop();
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

/// The kind of what stands at a path; `None` for the program's own words.
fn kind_of(path: &[&str]) -> Option<usize> {
    let last = path.last().copied().unwrap_or_default();
    let two = path[path.len().saturating_sub(2)..].join(".");
    if let Some(kind) = KINDS
        .iter()
        .position(|(_, places)| places.contains(&two.as_str()) || places.contains(&last))
    {
        return Some(kind);
    }
    let own = OWN.contains(&last) || OWN_NAMES.contains(&two.as_str());
    (!own).then_some(KINDS.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_known_to_be_the_programs_own_is_listed() {
        let of = |path: &[&str]| kind_of(path).map(|at| KINDS.get(at).map_or(ELSE, |kind| kind.0));
        assert_eq!(of(&["scene", "title"]), Some("title"));
        assert_eq!(
            of(&["surfaces", "tones", "recipes", "paints", "name"]),
            Some("paints")
        );
        assert_eq!(of(&["surfaces", "tones", "name"]), None);
        assert_eq!(
            of(&["pots", "surfaces"]),
            Some("surfaces, bands and places")
        );
        assert_eq!(of(&["photos", "camera"]), Some(ELSE));
    }
}
