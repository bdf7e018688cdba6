//! Oils: measured pairs, and tints with white.

use super::{
    Case, Component, Known, LetDown, MeanIn, Points, Row, amount, by_mean, by_model, colour, line,
    points, rows, table,
};
use hillwash::colour::{LabD65, delta_e00};
use hillwash::paint::{PaintSurface, infinite_reflectance};

/// The surface of measured oils, mirrored light included: within the published .02 to .04 and .4 to .65.
const SURFACE: PaintSurface = PaintSurface {
    k1: 0.025,
    k2: 0.60,
};
use std::collections::BTreeMap;
use std::path::Path;

const WHITE: &str = "ZincWhite";
/// The word a builder would give a paint, by how far its coat over a black and over a white card differ, CIEDE2000: that
/// is how an opacity card is read. Limits are our choice.
pub(super) fn word(shows_through: f64) -> &'static str {
    match shows_through {
        d if d < 1.0 => "opaque",
        d if d < 3.0 => "semi-opaque",
        d if d < 6.0 => "semi-transparent",
        _ => "transparent",
    }
}

/// The reflectance of an endless layer from a film over two backings: with x = b coth(bSX), the film over either is
/// R (a − g + x) = 1 − g (a − x), two equations linear in a and x; then R∞ = a − √(a² − 1).
///
/// # Source
/// Kubelka 1948, *New contributions to the optics of intensely light-scattering materials*, part I.
fn endless(films: [f64; 2], backings: [f64; 2]) -> f64 {
    let [r, g] = [films, backings].map(|pair| pair.map(|r| SURFACE.inward(r.max(0.03))));
    // Cramer's rule on a (R + g) + x (R − g) = 1 + R g.
    let [sum, less, right] = [
        [r[0] + g[0], r[1] + g[1]],
        [r[0] - g[0], r[1] - g[1]],
        [1.0 + r[0] * g[0], 1.0 + r[1] * g[1]],
    ];
    let a = (right[0] * less[1] - right[1] * less[0]) / (sum[0] * less[1] - sum[1] * less[0]);
    let q = a - 1.0;
    let alike = (films[0] - films[1]).abs() < 0.002;
    if alike || !q.is_finite() || q < 0.0 {
        f64::midpoint(films[0], films[1])
    } else {
        SURFACE.outward(infinite_reflectance(q))
    }
}

/// A mixture, as measured.
struct Mixture {
    paints: [String; 2],
    percent: [f64; 2],
    seen: Points,
    /// CIEDE2000 between it over the black and over the white card.
    shows_through: f64,
}

impl Mixture {
    fn is_tint(&self) -> bool {
        self.paints[1] == WHITE
    }

    /// A list takes 0.4 to 20 parts of white.
    fn is_let_down(&self) -> bool {
        self.is_tint() && (0.4..=20.0).contains(&(self.percent[1] / self.percent[0]))
    }

    fn let_down(&self) -> LetDown {
        LetDown {
            parts_white: self.percent[1] / self.percent[0],
            seen: self.seen.clone(),
        }
    }

    /// How far it is from half paint, half white, as a logarithm.
    fn off_half(&self) -> f64 {
        (self.percent[1] / self.percent[0]).ln().abs()
    }
}

/// What a paint alone is known by.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Layer {
    /// The mean of it over black and over white, as one would photograph it.
    AsPaintedOut,
    /// An endless layer, worked out from both.
    Endless,
}

struct Oils {
    /// Paints alone, and what shows through their coat.
    alone: BTreeMap<String, (Points, f64)>,
    /// The same over a black and over a white card.
    over_cards: BTreeMap<String, [LabD65; 2]>,
    /// Mixtures whose two paints were both measured alone.
    mixtures: Vec<Mixture>,
}

impl Oils {
    fn read(folder: &Path, layer: Layer) -> Self {
        let rows = rows(&folder.join("oil_mixtures_reflectance_10nm.csv"));
        let by_surface = |sample: &str, surface: &str| {
            let row = rows
                .iter()
                .find(|row| row["sample"] == sample && row["surface"] == surface);
            points(row.unwrap())
        };
        let films = |row: &Row| {
            ["paint_over_black", "paint_over_white"].map(|over| by_surface(&row["sample"], over))
        };
        let samples = || {
            rows.iter()
                .filter(|row| row["surface"] == "paint_over_black")
        };
        let alone: BTreeMap<String, (Points, f64)> = samples()
            .filter(|row| row["paint2"].is_empty())
            .map(|row| {
                let films = films(row);
                let cards = ["bare_black", "bare_white"].map(|of| by_surface(&row["sample"], of));
                let points = (0..films[0].len())
                    .map(|i| {
                        let pair = |of: &[Points; 2]| [of[0][i].1, of[1][i].1];
                        let [black, white] = pair(&films);
                        let reflectance = match layer {
                            Layer::AsPaintedOut => f64::midpoint(black, white),
                            Layer::Endless => endless([black, white], pair(&cards)),
                        };
                        (films[0][i].0, reflectance)
                    })
                    .collect();
                let shows_through = delta_e00(colour(&films[0]), colour(&films[1])).0;
                (row["paint1"].clone(), (points, shows_through))
            })
            .collect();
        let over_cards = samples()
            .filter(|row| row["paint2"].is_empty())
            .map(|row| (row["paint1"].clone(), films(row).map(|film| colour(&film))))
            .collect();
        let mixtures = samples()
            .filter(|row| alone.contains_key(&row["paint1"]) && alone.contains_key(&row["paint2"]))
            .map(|row| {
                let [black, white] = films(row);
                let mean = black.iter().zip(&white);
                Mixture {
                    paints: ["paint1", "paint2"].map(|column| row[column].clone()),
                    percent: ["percent1", "percent2"].map(|column| amount(row, column)),
                    seen: mean.map(|(a, b)| (a.0, f64::midpoint(a.1, b.1))).collect(),
                    shows_through: delta_e00(colour(&black), colour(&white)).0,
                }
            })
            .collect();
        Self {
            alone,
            over_cards,
            mixtures,
        }
    }

    /// A paint alone, with the tint nearest to half and half among those that `may` serve.
    fn component(&self, name: &str, may: impl Fn(&Mixture) -> bool) -> Option<Component> {
        let let_down = self
            .mixtures
            .iter()
            .filter(|tint| tint.is_let_down() && tint.paints[0] == name && may(tint))
            .min_by(|a, b| a.off_half().total_cmp(&b.off_half()))
            .map(Mixture::let_down);
        let (alone, shows_through) = self.alone.get(name)?;
        Some(Component {
            name: name.to_owned(),
            word: word(*shows_through),
            alone: alone.clone(),
            let_down,
            over_cards: self.over_cards.get(name).copied(),
        })
    }

    fn case(&self, mixture: &Mixture, may: impl Fn(&Mixture) -> bool + Copy) -> Option<Case> {
        let [one, other] = &mixture.paints;
        let has_white = mixture.is_tint() || one == WHITE;
        Some(Case {
            paints: [self.component(one, may)?, self.component(other, may)?],
            white: (!has_white).then(|| self.component(WHITE, may)).flatten(),
            parts: mixture.percent,
            seen: colour(&mixture.seen),
            is_let_down: mixture.is_tint() && mixture.off_half() < HALF,
            medium: "oil",
        })
    }
}

/// Tints of 45 to 55 per cent count as half and half.
const HALF: f64 = 0.21;

/// The tables.
pub(super) fn oils(folder: &Path) {
    let oils = Oils::read(folder, Layer::AsPaintedOut);
    let half = |tint: &Mixture| tint.off_half() < HALF && tint.shows_through < 1.0;
    let pairs = |most: f64| -> Vec<Case> {
        let hide = oils.mixtures.iter().filter(|m| m.shows_through < most);
        hide.filter_map(|mixture| oils.case(mixture, half))
            .collect()
    };
    table(
        "oil, pairs that differ by less than 5 over black and over white (bone black was not measured alone)",
        &pairs(5.0),
        [
            "8.7 / 6.1 / 25.1",
            "9.0 / 6.6 / 25.4",
            "8.5 / 6.2 / 25.4",
            "",
        ],
    );
    table(
        "oil, those of them that differ by less than 1",
        &pairs(1.0),
        [""; 4],
    );
    let oils = Oils::read(folder, Layer::Endless);
    let tints: Vec<Case> = oils
        .mixtures
        .iter()
        .filter(|mixture| mixture.is_tint())
        .filter_map(|mixture| {
            let another = |tint: &Mixture| tint.seen != mixture.seen && tint.is_let_down();
            oils.case(mixture, another)
        })
        .collect();
    println!(
        "oil, tints with zinc white; each paint known alone and, where told, by one other tint"
    );
    let all = |known| -> Vec<_> { tints.iter().map(|case| by_model(case, known)).collect() };
    line(
        "spectra of both",
        &all(Known::SpectrumAndLetDown),
        "median 2.3, 90 % within 7.5",
    );
    line("hex of both", &all(Known::HexAndLetDown), "");
    line("spectra alone", &all(Known::SpectrumAndWord), "");
    line("hex alone", &all(Known::HexAndWord), "");
    line(
        "hex, and coats over black and white",
        &all(Known::HexAndCards),
        "",
    );
    let both = all(Known::SpectrumAndLetDown);
    let near = both.iter().filter(|score| score.error <= 7.5).count();
    println!(
        "    spectra of both: within 7.5 in {near} of {}",
        both.len()
    );
    let mean: Vec<_> = tints
        .iter()
        .map(|case| by_mean(case, MeanIn::LinearLight))
        .collect();
    line("rival: mean of linear light", &mean, "");
}
