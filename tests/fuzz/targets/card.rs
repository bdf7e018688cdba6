//! Any small picture as a card of paints: read on a grid or refused, every colour finite, every cell within the picture.
#![no_main]

use hillwash::card::{CardLayout, read_card};
use hillwash::photo::{KnownLight, Limits, decode};
use libfuzzer_sys::fuzz_target;

const ACROSS: usize = 48;
const DOWN: usize = 36;

/// A bitmap of 24-bit pixels; the bytes are repeated until it is full.
fn bitmap(bytes: &[u8]) -> Vec<u8> {
    let pixels = ACROSS * DOWN * 3;
    let mut file = b"BM".to_vec();
    for field in [54 + pixels, 0, 54, 40, ACROSS, DOWN] {
        file.extend(u32::try_from(field).expect("small").to_le_bytes());
    }
    file.extend([1, 0, 24, 0]);
    file.extend([0; 24]);
    file.extend(bytes.iter().cycle().take(pixels));
    file
}

fuzz_target!(|bytes: &[u8]| {
    let Some((how, bytes)) = bytes
        .split_first_chunk::<9>()
        .filter(|(_, b)| !b.is_empty())
    else {
        return;
    };
    let Ok(read) = decode(&bitmap(bytes), &Limits::default()) else {
        return;
    };
    let mut picture = read.value;
    let light = picture
        .correct(&KnownLight::Nothing)
        .expect("nothing is taken out");
    let share = |at: usize| f64::from(how[at]) / 255.0;
    let layout = CardLayout {
        columns: 1 + usize::from(how[0] % 6),
        rows: 1 + usize::from(how[0] / 6 % 6),
        corners: (how[0] >= 128)
            .then(|| std::array::from_fn(|i| [share(2 * i + 1), share(2 * i + 2)])),
        light_read_in: None,
    };
    if let Ok(card) = read_card(&picture, &light, &layout) {
        assert_eq!(card.cells.len(), layout.columns * layout.rows);
        for cell in &card.cells {
            let colour = cell.reading.colour;
            assert!(colour.l.is_finite() && colour.a.is_finite() && colour.b.is_finite());
            assert!(cell.outline.iter().flatten().all(|p| p.is_finite()));
        }
    }
});
