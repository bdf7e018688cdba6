//! The spectra of the Python package earthlib 1.1.0 (MIT licence), as `tests/run.sh` installs it.

use hillwash::colour::{BANDS, LabD65, LinearSrgb, Spectrum, seen_in_daylight};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Spectra by class, such as "built/tile".
pub(super) type Classes = BTreeMap<String, Vec<Surface>>;

/// One measured surface.
#[derive(Debug, Clone, Copy)]
pub(super) struct Surface {
    pub(super) light: LinearSrgb,
}

impl Surface {
    pub(super) fn lab(self) -> LabD65 {
        LabD65::from(self.light)
    }

    /// Natural logarithm of linear sRGB, where every channel is at least 0.002.
    pub(super) fn log(self) -> Option<[f64; 3]> {
        let all = [self.light.r, self.light.g, self.light.b];
        all.iter().all(|v| *v >= 0.002).then(|| all.map(f64::ln))
    }
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("target/test-packages/earthlib/data")
}

/// Bands of the package: 400 to 2450 nm without those that water hides, 10 nm apart in what is seen.
const SAMPLES: usize = 180;

/// All classes.
///
/// # Panics
/// When the package is not there: these tests never pass without it.
pub(super) fn classes() -> Classes {
    let read = |name: &str| {
        let path = folder().join(name);
        std::fs::read(&path).unwrap_or_else(|error| {
            panic!(
                "{}: {error}; install it by: python3 -m pip install --no-deps --target target/test-packages earthlib==1.1.0",
                path.display()
            )
        })
    };
    let table = String::from_utf8(read("spectra.csv")).unwrap();
    let bytes = read("spectra.sli");
    let mut classes = Classes::new();
    for (row, line) in table.lines().skip(1).enumerate() {
        let cells: Vec<&str> = line.splitn(5, ',').collect();
        let at = |band: usize| {
            let from = 4 * (row * SAMPLES + band);
            let four: [u8; 4] = bytes[from..from + 4].try_into().unwrap();
            f64::from(f32::from_le_bytes(four))
        };
        // 380 and 390 nm are not in the package: the first value stands for them.
        let bands: [f64; BANDS] = std::array::from_fn(|band| at(band.saturating_sub(2)));
        let light = seen_in_daylight(&Spectrum::new(bands)).to_linear_srgb();
        let class = format!("{}/{}", cells[2], cells[3]);
        classes.entry(class).or_default().push(Surface { light });
    }
    classes
}
