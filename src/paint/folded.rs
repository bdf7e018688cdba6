//! Words in one form: lower case, without accents, one space between them.

/// Lower case, without accents, one space between words, only letters and digits.
pub(super) fn fold(text: &str) -> String {
    let mut folded = String::with_capacity(text.len());
    for c in text.chars().flat_map(char::to_lowercase) {
        let plain: &str = match c {
            'à'..='å' | 'ā' | 'ă' | 'ą' => "a",
            'æ' => "ae",
            'ç' | 'ć' | 'č' => "c",
            'ď' | 'đ' | 'ð' => "d",
            'è'..='ë' | 'ē' | 'ė' | 'ę' | 'ě' => "e",
            'ğ' => "g",
            'ì'..='ï' | 'ī' | 'ı' => "i",
            'ł' => "l",
            'ñ' | 'ń' | 'ň' => "n",
            'ò'..='ö' | 'ø' | 'ō' | 'ő' => "o",
            'œ' => "oe",
            'ř' => "r",
            'ś' | 'ş' | 'š' => "s",
            'ß' => "ss",
            'ť' => "t",
            'ù'..='ü' | 'ū' | 'ů' | 'ű' => "u",
            'ý' | 'ÿ' => "y",
            'ź' | 'ż' | 'ž' => "z",
            '✓' | '✔' => "yes",
            '✗' | '✘' => "no",
            // Accents written as characters of their own, and apostrophes within a word.
            '\u{300}'..='\u{36f}' => continue,
            other if other.is_alphanumeric() => {
                folded.push(other);
                continue;
            }
            _ => " ",
        };
        if plain != " " || !(folded.is_empty() || folded.ends_with(' ')) {
            folded.push_str(plain);
        }
    }
    folded.truncate(folded.trim_end().len());
    folded
}

/// True when the words of `phrase` stand in `folded`, one after the other.
pub(super) fn holds_phrase(folded: &str, phrase: &str) -> bool {
    format!(" {folded} ").contains(&format!(" {phrase} "))
}
