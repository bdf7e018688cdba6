//! What a name says, word by word: an edge is not in "hedge", nor iron in "environment".

/// The words of a name, in small letters.
pub(super) fn words_of(name: &str) -> Vec<String> {
    name.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

/// Whether a word, or several in a row, is among those said, in the singular or the plural.
pub(super) fn says(said: &[String], wanted: &str) -> bool {
    let wanted: Vec<&str> = wanted.split(' ').collect();
    said.windows(wanted.len()).any(|said| {
        said.iter().zip(&wanted).all(|(said, wanted)| {
            said.strip_prefix(wanted)
                .is_some_and(|ending| matches!(ending, "" | "s" | "es"))
        })
    })
}
