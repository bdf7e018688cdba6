//! What a paint's name says of its colour, if it ends in a plain colour word, and whether the colour fits.

use super::folded::fold;
use super::words::words_of;
use crate::colour::LabD65;

/// A plain colour word, and what its colours have in common. The bounds are wide: the program doubts a word only if
/// hardly anybody would use it. Our choice; hue in degrees of CIELAB.
struct Word {
    english: &'static str,
    /// Its words in the languages of the vocabulary, folded; also as the end of a German, Dutch or Nordic compound.
    words: &'static [&'static str],
    fits: fn(LabD65) -> bool,
}

/// A colour whose hue is seen and does not lie from `from` to `to` degrees, by way of 0 where `from` is larger.
fn hue_within(colour: LabD65, from: f64, to: f64) -> bool {
    let hue = colour.hue_degrees().rem_euclid(360.0);
    let within = if from <= to {
        (from..=to).contains(&hue)
    } else {
        hue >= from || hue <= to
    };
    within || colour.chroma() < HUE_SEEN_FROM
}

/// Below this chroma a hue cannot be told from grey. Our choice.
const HUE_SEEN_FROM: f64 = 12.0;
/// Greys, whites and blacks are less colourful than this. Our choice.
const GREY_TO: f64 = 20.0;
const WHITE_FROM: f64 = 80.0;
const BLACK_TO: f64 = 35.0;

const WORDS: [Word; 9] = [
    Word {
        english: "white",
        words: &[
            "white", "weiss", "blanc", "blanco", "bianco", "wit", "hvid", "vit",
        ],
        fits: |c| c.l >= WHITE_FROM && c.chroma() <= GREY_TO,
    },
    Word {
        english: "black",
        words: &[
            "black", "schwarz", "noir", "negro", "nero", "zwart", "svart",
        ],
        fits: |c| c.l <= BLACK_TO && c.chroma() <= GREY_TO,
    },
    Word {
        english: "grey",
        words: &["grey", "gray", "grau", "gris", "grigio", "grijs", "gra"],
        fits: |c| c.chroma() <= GREY_TO,
    },
    Word {
        english: "red",
        words: &["red", "rot", "rouge", "rojo", "rosso", "rood", "rod"],
        fits: |c| hue_within(c, 320.0, 75.0) && c.l < 85.0,
    },
    Word {
        english: "brown",
        words: &["brown", "braun", "brun", "marron", "marrone", "bruin"],
        fits: |c| hue_within(c, 5.0, 105.0) && c.l < 80.0,
    },
    Word {
        english: "orange",
        words: &["orange", "naranja", "arancio", "oranje"],
        fits: |c| hue_within(c, 25.0, 90.0) && c.chroma() > HUE_SEEN_FROM && c.l > 20.0,
    },
    Word {
        english: "yellow",
        words: &[
            "yellow", "gelb", "jaune", "amarillo", "giallo", "geel", "gul",
        ],
        fits: |c| hue_within(c, 55.0, 125.0) && c.l > 35.0,
    },
    Word {
        english: "green",
        words: &["green", "grun", "gruen", "vert", "verde", "groen", "gron"],
        fits: |c| hue_within(c, 80.0, 215.0),
    },
    Word {
        english: "blue",
        words: &["blue", "blau", "bleu", "azul", "blu", "blauw", "bla"],
        fits: |c| hue_within(c, 170.0, 320.0),
    },
];

/// Words after a colour word that do not change which colour it is.
const AFTER: &str = "pale, light, dark, deep, bright, warm, cool, matt, matte, mat, satin, gloss, new, old, no, nr, matt, hell, dunkel, clair, fonce";

/// The colour word that a name ends in: "brick red" is a red, "red brick" says nothing, "white grey" is a grey. What stands
/// in brackets, numbers and words such as "pale" count for nothing; in "blanc de craie" the first word is the colour.
fn colour_word(name: &str) -> Option<&'static Word> {
    let outside = name.split(['(', '[']).next().unwrap_or(name);
    let folded = fold(outside);
    let before_of = [" de ", " di ", " du ", " d "]
        .iter()
        .find_map(|of| folded.split_once(of))
        .map_or(folded.as_str(), |(colour, _)| colour);
    let last = before_of.split(' ').rfind(|word| {
        !word.bytes().any(|b| b.is_ascii_digit()) && !words_of(AFTER).any(|w| w == *word)
    })?;
    let whole = |word: &&str| *word == last;
    let ends = |word: &&str| word.len() > 3 && last.len() > word.len() + 2 && last.ends_with(*word);
    WORDS
        .iter()
        .find(|word| word.words.iter().any(&whole))
        .or_else(|| WORDS.iter().find(|word| word.words.iter().any(&ends)))
}

/// How far a name and a colour agree.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Called {
    /// The name says nothing of a colour.
    Untold,
    /// The colour is what the name says.
    Agrees,
    /// Hardly anybody would call the colour this.
    Contradicts(&'static str),
}

/// Whether a paint's name, where it ends in a plain colour word, fits its colour.
#[must_use]
pub fn called(name: &str, colour: LabD65) -> Called {
    match colour_word(name) {
        None => Called::Untold,
        Some(word) if (word.fits)(colour) => Called::Agrees,
        Some(word) => Called::Contradicts(word.english),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Srgb8;

    fn said(name: &str, hex: u32) -> Called {
        let [_, r, g, b] = hex.to_be_bytes();
        called(name, Srgb8([r, g, b]).to_linear().into())
    }

    #[test]
    fn a_name_is_doubted_where_nobody_would_use_its_word() {
        assert_eq!(said("Brick red", 0x008c_4030), Called::Agrees);
        assert_eq!(said("Moosgruen", 0x0040_6a40), Called::Agrees);
        assert_eq!(said("Brick red", 0x0040_6a40), Called::Contradicts("red"));
        assert_eq!(
            said("Bottle green", 0x00b0_3020),
            Called::Contradicts("green")
        );
        assert_eq!(said("Red brick", 0x0040_6a40), Called::Untold);
        assert_eq!(said("Slate grey", 0x0059_646a), Called::Agrees);
        assert_eq!(
            said("Matt white", 0x0030_3030),
            Called::Contradicts("white")
        );
        assert_eq!(said("Fired", 0x0040_6a40), Called::Untold, "no red");
    }

    /// CSS Color Module Level 4: its named colours that end in one of the words, those of the web's own use left out
    /// ("ghostwhite" is white, "darkgrey" grey). None of them is doubted.
    #[test]
    fn web_colours_bear_their_names() {
        for (name, hex) in [
            ("indian red", 0x00cd_5c5c),
            ("dark red", 0x008b_0000),
            ("orange red", 0x00ff_4500),
            ("saddle brown", 0x008b_4513),
            ("rosy brown", 0x00bc_8f8f),
            ("sandy brown", 0x00f4_a460),
            ("dark orange", 0x00ff_8c00),
            ("light yellow", 0x00ff_ffe0),
            ("green yellow", 0x00ad_ff2f),
            ("dark olive green", 0x0055_6b2f),
            ("yellow green", 0x009a_cd32),
            ("sea green", 0x002e_8b57),
            ("dark slate blue", 0x0048_3d8b),
            ("cadet blue", 0x005f_9ea0),
            ("midnight blue", 0x0019_1970),
            ("slate grey", 0x0070_8090),
            ("antique white", 0x00fa_ebd7),
            ("floral white", 0x00ff_faf0),
        ] {
            assert_eq!(said(name, hex), Called::Agrees, "{name}");
        }
    }
}
