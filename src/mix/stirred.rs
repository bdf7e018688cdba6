//! The paints of a mix, in words.

use std::fmt::Display;

/// Amounts and names, the same on page, terminal and in data: "3 raw umber + 1 titanium white".
#[must_use]
pub fn stirred<A: Display, N: Display>(parts: impl IntoIterator<Item = (A, N)>) -> String {
    let parts: Vec<String> = parts
        .into_iter()
        .map(|(amount, name)| format!("{amount} {name}"))
        .collect();
    parts.join(" + ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mix_is_told_by_parts_and_names() {
        assert_eq!(
            stirred([(3, "raw umber"), (1, "titanium white")]),
            "3 raw umber + 1 titanium white"
        );
        assert_eq!(stirred([(1, "buff")]), "1 buff");
    }
}
