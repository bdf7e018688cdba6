//! How near the mixing model comes to measured mixtures, beside plain averaging.
//!
//! `cargo bench --bench measured`. Reads the folder `measured` of the shared data (`tests/README.md`), skips when it is
//! absent; nothing of it is kept here. Sources: watercolours, Chen, Huang, Chang and Ouhyoung 2019, *Prediction model for semitransparent watercolor
//! pigment mixtures using deep learning with a dataset of transmittance and reflectance*; oils, Geldof et al. 2018,
//! *Reconstructing Van Gogh's palette to determine the optical characteristics of his paints*. Every mixture is foretold
//! through the public way: a paint list as text, a shelf, a pot tried by hand. Scored on 400-700 nm, CIEDE2000.
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark reads its data and prints its figures"
)]

mod coats;
mod craft;
mod films;
mod oils;
mod shared;

use hillwash::colour::{LabD65, LinearSrgb, Spectrum, Srgb8, Xyz, delta_e00, seen_in_daylight};
use hillwash::mix::{
    DriedPot, PaintId, Shelf, StrengthFrom, distance_of_paints, learnt_of_one_paint,
};
use hillwash::paint::{Opacity, PaintList};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

/// The data's own error, where the quoted uncertainty takes the list's: the components are measured.
const OWN_ERROR: f64 = 0.5;
/// κ of the quoted uncertainty: without and with a let-down for every paint of the mix.
const KAPPA: f64 = 0.45;
const KAPPA_OPAQUE: f64 = 0.30;
const KAPPA_LET_DOWN: f64 = 0.32;
/// The share of real errors that should lie within the quoted figure.
const WITHIN: std::ops::RangeInclusive<f64> = 60.0..=82.0;

type Row = BTreeMap<String, String>;
type Points = Vec<(f64, f64)>;

fn rows(path: &Path) -> Vec<Row> {
    let text = std::fs::read_to_string(path).unwrap();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().map(Result::unwrap).collect()
}

/// Measured points on 400-700 nm.
fn points(row: &Row) -> Points {
    let mut points: Points = row
        .iter()
        .filter_map(|(column, cell)| Some((column.parse().ok()?, cell.parse().ok()?)))
        .filter(|(nm, _): &(f64, f64)| (400.0..=700.0).contains(nm))
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    assert_eq!(points.len(), 31, "a reflectance a band from 400 to 700 nm");
    points
}

fn colour(points: &Points) -> LabD65 {
    seen_in_daylight(&Spectrum::from_points(points).unwrap()).into()
}

fn amount(row: &Row, column: &str) -> f64 {
    row[column].parse().unwrap()
}

/// Hundredths of a millilitre, to compare amounts exactly.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a few hundredths"
)]
fn hundredths(ml: f64) -> u32 {
    (100.0 * ml).round() as u32
}

/// A paint as measured.
#[derive(Clone)]
struct Component {
    name: String,
    word: &'static str,
    alone: Points,
    /// Parts of white to one part paint, and the mixture with it.
    let_down: Option<LetDown>,
    /// One coat over a black and over a white card.
    over_cards: Option<[LabD65; 2]>,
}

/// A mixture with white.
#[derive(Clone)]
struct LetDown {
    parts_white: f64,
    seen: Points,
}

/// A measured mixture of two paints.
struct Case {
    paints: [Component; 2],
    /// The white of the let-downs, when neither paint is it.
    white: Option<Component>,
    parts: [f64; 2],
    seen: LabD65,
    /// This mixture is itself the let-down of one of its paints.
    is_let_down: bool,
    /// What a list calls such paint.
    medium: &'static str,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Known {
    SpectrumAndWord,
    SpectrumAndLetDown,
    Hex,
    HexAndWord,
    HexAndLetDown,
    HexAndCards,
}

impl Known {
    fn word(self) -> bool {
        matches!(self, Self::SpectrumAndWord | Self::HexAndWord)
    }

    /// A let-down replaces what a word would tell.
    fn let_down(self) -> bool {
        matches!(self, Self::HexAndLetDown | Self::SpectrumAndLetDown)
    }
}

/// What the file of a let-down ends with.
const WITH_WHITE: &str = " with white";

/// The paints of a case as the text of a list, and the shelf made of it.
fn shelf(case: &Case, known: Known) -> Shelf {
    let mut text =
        "name,hex,spectrum,medium,opacity,let_down_hex,let_down_spectrum,let_down_parts_white,over_black_hex,over_white_hex\n"
            .to_owned();
    let by_spectrum = matches!(known, Known::SpectrumAndWord | Known::SpectrumAndLetDown);
    let white = case.white.as_ref().filter(|_| known.let_down());
    for paint in case.paints.iter().chain(white) {
        let (hex, file) = if by_spectrum {
            (String::new(), paint.name.as_str())
        } else {
            (colour(&paint.alone).to_srgb8().to_string(), "")
        };
        let word = if known.word() { paint.word } else { "" };
        let (seen, seen_file, parts) = match &paint.let_down {
            Some(let_down) if known.let_down() => {
                let parts = let_down.parts_white.to_string();
                if by_spectrum {
                    (String::new(), format!("{}{WITH_WHITE}", paint.name), parts)
                } else {
                    let seen = colour(&let_down.seen).to_srgb8().to_string();
                    (seen, String::new(), parts)
                }
            }
            _ => (String::new(), String::new(), String::new()),
        };
        let coats = match paint.over_cards {
            Some(coats) if known == Known::HexAndCards => coats.map(|c| c.to_srgb8().to_string()),
            _ => Default::default(),
        };
        writeln!(
            text,
            "{},{hex},{file},{},{word},{seen},{seen_file},{parts},{}",
            paint.name,
            case.medium,
            coats.join(",")
        )
        .unwrap();
    }
    let read = |name: &str| {
        let whose = name.strip_suffix(WITH_WHITE);
        let mut all = case.paints.iter().chain(&case.white);
        let paint = all.find(|paint| paint.name == whose.unwrap_or(name));
        let paint = paint.ok_or("no such paint")?;
        let measured = match (whose, &paint.let_down) {
            (Some(_), Some(let_down)) => &let_down.seen,
            _ => &paint.alone,
        };
        let mut table = String::new();
        for (nm, value) in measured {
            writeln!(table, "{nm},{value}").unwrap();
        }
        Ok(table)
    };
    Shelf::new(&PaintList::parse("components.csv", text.as_bytes(), &read).unwrap())
}

/// Error of a prediction, and the figure that would be quoted beside it.
struct Score {
    error: f64,
    quoted: f64,
}

fn by_model(case: &Case, known: Known) -> Score {
    let shelf = shelf(case, known);
    let parts: Vec<(PaintId, f64)> = shelf.paints().zip(case.parts).collect();
    let got = shelf.tried(&parts).unwrap().colour;
    let used = &shelf.stocks()[..2];
    let kappa = if used
        .iter()
        .all(|stock| stock.opacity == Some(Opacity::Opaque))
    {
        KAPPA_OPAQUE
    } else if used
        .iter()
        .all(|stock| stock.strength == StrengthFrom::LetDown)
    {
        KAPPA_LET_DOWN
    } else {
        KAPPA
    };
    Score {
        error: delta_e00(got, case.seen).0,
        quoted: OWN_ERROR.hypot(kappa * distance_of_paints(&shelf, &parts, got)),
    }
}

/// In which a mean of screen colours is taken.
#[derive(Clone, Copy)]
enum MeanIn {
    LinearLight,
    Lab,
}

/// The weighted mean of the paints' screen colours.
fn by_mean(case: &Case, mean_in: MeanIn) -> Score {
    let total = case.parts[0] + case.parts[1];
    let mean = |values: [[f64; 3]; 2]| -> [f64; 3] {
        std::array::from_fn(|i| {
            (case.parts[0] * values[0][i] + case.parts[1] * values[1][i]) / total
        })
    };
    let hex = [0, 1].map(|at: usize| colour(&case.paints[at].alone).to_srgb8());
    let got = match mean_in {
        MeanIn::Lab => LabD65::from(mean(hex.map(|code: Srgb8| LabD65::from(code).into()))),
        MeanIn::LinearLight => {
            let [r, g, b] = mean(hex.map(|code| {
                let light = code.to_linear();
                [light.r, light.g, light.b]
            }));
            Xyz::from(LinearSrgb { r, g, b }).into()
        }
    };
    Score {
        error: delta_e00(got, case.seen).0,
        quoted: f64::NAN,
    }
}

/// All, and each third by how thick a film is; each comes with its thickness.
fn by_thirds(what: &str, mut scores: Vec<(f64, Score)>, target: &str) {
    scores.sort_by(|a, b| a.0.total_cmp(&b.0));
    let scores: Vec<Score> = scores.into_iter().map(|(_, score)| score).collect();
    line(what, &scores, target);
    for (third, of_them) in ["thinnest", "middle", "thickest"]
        .iter()
        .zip(scores.chunks(scores.len().div_ceil(3)))
    {
        line(&format!("  the {third} third"), of_them, "");
    }
}

#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a few hundred cases"
)]
fn line(what: &str, scores: &[Score], target: &str) {
    let mut errors: Vec<f64> = scores.iter().map(|score| score.error).collect();
    errors.sort_by(f64::total_cmp);
    let at = |share: f64| {
        let place = share * (errors.len() - 1) as f64;
        let below = place.floor() as usize;
        let above = (below + 1).min(errors.len() - 1);
        errors[below] + (errors[above] - errors[below]) * place.fract()
    };
    let mean = errors.iter().sum::<f64>() / errors.len() as f64;
    let within = if scores[0].quoted.is_nan() {
        String::new()
    } else {
        let inside = scores.iter().filter(|s| s.error <= s.quoted).count();
        let share = 100.0 * inside as f64 / scores.len() as f64;
        let verdict = if WITHIN.contains(&share) { "" } else { " !" };
        format!("{share:.0} %{verdict}")
    };
    println!(
        "  {what:<44} {:>4}  {mean:>5.2} {:>6.2} {:>6.2}   {within:<7} {target}",
        errors.len(),
        at(0.5),
        at(0.95)
    );
}

fn table(name: &str, cases: &[Case], targets: [&str; 4]) {
    println!("{name}");
    println!(
        "  {:<44} {:>4}  {:>5} {:>6} {:>6}   {:<7} target",
        "known of the paints", "n", "mean", "median", "95th", "within"
    );
    let all = |known| -> Vec<Score> { cases.iter().map(|case| by_model(case, known)).collect() };
    line(
        "spectra and opacity words",
        &all(Known::SpectrumAndWord),
        targets[0],
    );
    line("hex", &all(Known::Hex), targets[1]);
    line("hex and opacity words", &all(Known::HexAndWord), targets[2]);
    let has_let_down = |case: &Case| {
        case.paints
            .iter()
            .all(|paint| paint.let_down.is_some() || is_white(&paint.name))
    };
    let fair: Vec<&Case> = cases
        .iter()
        .filter(|case| has_let_down(case) && !case.is_let_down)
        .collect();
    let some = |known| -> Vec<Score> { fair.iter().map(|case| by_model(case, known)).collect() };
    line(
        "hex, on those with a let-down that is not it",
        &some(Known::Hex),
        "",
    );
    line(
        "hex and a 1:1 let-down, on the same",
        &some(Known::HexAndLetDown),
        targets[3],
    );
    let with_white = |wanted: bool| -> Vec<Score> {
        fair.iter()
            .filter(|case| case.paints.iter().any(|p| is_white(&p.name)) == wanted)
            .map(|case| by_model(case, Known::HexAndLetDown))
            .collect()
    };
    for (what, wanted) in [
        ("  of these, white in the mix", true),
        ("  of these, no white in the mix", false),
    ] {
        let scores = with_white(wanted);
        if !scores.is_empty() {
            line(what, &scores, "");
        }
    }
    let mean = |within| -> Vec<Score> { cases.iter().map(|c| by_mean(c, within)).collect() };
    line(
        "rival: mean of linear light",
        &mean(MeanIn::LinearLight),
        "",
    );
    line("rival: mean of Lab", &mean(MeanIn::Lab), "");
}

fn is_white(name: &str) -> bool {
    matches!(name, "chinese white" | "ZincWhite")
}

/// The words of the watercolours, as the targets were set with.
fn watercolour_word(name: &str) -> &'static str {
    match name {
        "cadmium red" | "cadmium yellow" | "chinese white" => "opaque",
        "lemon yellow" | "cerulean blue" | "cobalt blue" | "ivory black" => "semi-opaque",
        _ => "transparent",
    }
}

/// Each component alone at the mixture's total, at most 0.12 ml; its let-down the 1:1 mixture with white of the total
/// nearest to that of the mixture.
fn watercolours(folder: &Path) -> Vec<Case> {
    const MOST: u32 = 12;
    let singles: BTreeMap<(String, u32), Points> =
        rows(&folder.join("watercolour_singles_10nm.csv"))
            .iter()
            .filter(|row| row["kind"] == "R")
            .map(|row| {
                let key = (row["name"].clone(), hundredths(amount(row, "quantity_ml")));
                (key, points(row))
            })
            .collect();
    let mixtures = rows(&folder.join("watercolour_mixtures_10nm.csv"));
    let mut let_downs: BTreeMap<(String, u32), Points> = BTreeMap::new();
    for row in mixtures.iter().filter(|row| row["ml1"] == row["ml2"]) {
        let total = hundredths(2.0 * amount(row, "ml1"));
        for (paint, white) in [("name1", "name2"), ("name2", "name1")] {
            if is_white(&row[white]) {
                let_downs.insert((row[paint].clone(), total), points(row));
            }
        }
    }
    let component = |name: &str, total: u32| Component {
        name: name.to_owned(),
        word: watercolour_word(name),
        alone: singles[&(name.to_owned(), total.min(MOST))].clone(),
        over_cards: None,
        let_down: let_downs
            .iter()
            .filter(|((paint, _), _)| paint == name)
            .min_by(|a, b| {
                let apart = |at: u32| (f64::from(at) / f64::from(total)).ln().abs();
                apart(a.0.1).total_cmp(&apart(b.0.1))
            })
            .map(|(_, seen)| LetDown {
                parts_white: 1.0,
                seen: seen.clone(),
            }),
    };
    mixtures
        .iter()
        .filter(|row| row["name1"] != row["name2"])
        .map(|row| {
            let parts = [amount(row, "ml1"), amount(row, "ml2")];
            let total = hundredths(parts[0] + parts[1]);
            let names = [&row["name1"], &row["name2"]];
            let white = names.iter().any(|name| is_white(name));
            Case {
                paints: names.map(|name| component(name, total)),
                white: (!white).then(|| component("chinese white", total)),
                parts,
                seen: colour(&points(row)),
                is_let_down: white && row["ml1"] == row["ml2"],
                medium: "watercolour",
            }
        })
        .collect()
}

/// What a list says of a paint.
#[derive(Clone, Copy, PartialEq)]
enum ListedBy {
    /// Its screen colour.
    Hex,
    /// And how opaque it is.
    HexAndWords,
}

/// Strengths learnt from patches of one paint pair in three, tried on the other pairs. Each paint is listed once for each
/// amount it was measured at, known by its screen colour, with or without its opacity word; all its amounts share one
/// strength.
#[expect(
    clippy::too_many_lines,
    reason = "one experiment, from its cases to what it prints"
)]
fn learning(cases: &[Case], listed_by: ListedBy) {
    let words = listed_by == ListedBy::HexAndWords;
    let key = |case: &Case, at: usize| {
        let total = hundredths(case.parts[0] + case.parts[1]);
        (case.paints[at].name.clone(), total)
    };
    let mut listed: BTreeMap<(String, u32), &Component> = BTreeMap::new();
    for case in cases {
        for at in [0, 1] {
            listed.insert(key(case, at), &case.paints[at]);
        }
    }
    let mut text = "name,hex,medium,opacity\n".to_owned();
    for ((name, total), paint) in &listed {
        let (hex, word) = (
            colour(&paint.alone).to_srgb8(),
            if words { paint.word } else { "" },
        );
        writeln!(text, "{name} {total},{hex},watercolour,{word}").unwrap();
    }
    let read = |_: &str| Err(String::new());
    let shelf = Shelf::new(&PaintList::parse("amounts.csv", text.as_bytes(), &read).unwrap());
    let keys: Vec<&(String, u32)> = listed.keys().collect();
    let place = |is_it: &dyn Fn(&(String, u32)) -> bool| {
        let at = keys.iter().position(|other| is_it(other)).unwrap();
        shelf.paints().nth(at).unwrap()
    };
    let paint_of = |at: PaintId| place(&|other| other.0 == keys[at.place()].0);
    let parts = |case: &Case| {
        vec![
            (place(&|other| *other == key(case, 0)), case.parts[0]),
            (place(&|other| *other == key(case, 1)), case.parts[1]),
        ]
    };
    let patch = |case: &Case| DriedPot {
        parts: parts(case),
        seen: case.seen,
        uncertainty: OWN_ERROR,
    };
    let mut pairs: Vec<[&str; 2]> = cases.iter().map(pair).collect();
    pairs.sort_unstable();
    pairs.dedup();
    let third: Vec<[&str; 2]> = pairs.iter().copied().step_by(3).collect();
    let (from, rest): (Vec<&Case>, Vec<&Case>) =
        cases.iter().partition(|case| third.contains(&pair(case)));
    let mean = |shelf: &Shelf, of: &[&Case]| {
        let sum: f64 = of
            .iter()
            .map(|case| delta_e00(shelf.tried(&parts(case)).unwrap().colour, case.seen).0)
            .sum();
        sum / f64::from(u32::try_from(of.len()).unwrap())
    };
    let patches: Vec<DriedPot> = from.iter().map(|case| patch(case)).collect();
    let wiser = shelf.with_learnt(&learnt_of_one_paint(&shelf, &patches, &paint_of));
    let all: Vec<&Case> = cases.iter().collect();
    let answers: Vec<DriedPot> = cases.iter().map(patch).collect();
    let bound = shelf.with_learnt(&learnt_of_one_paint(&shelf, &answers, &paint_of));
    let (before, after) = (mean(&shelf, &rest), mean(&wiser, &rest));
    println!(
        "  hex{}: {} mixtures of {} pairs teach; on the {} of the other pairs mean ΔE00 {before:.2} before, {after:.2} after ({:.0} % less; at least 10 % wanted){}",
        if words { " and words" } else { "" },
        from.len(),
        third.len(),
        rest.len(),
        100.0 * (1.0 - after / before),
        if after <= 0.9 * before { "" } else { " !" }
    );
    println!(
        "    bound, one strength a paint fitted on all the answers: {:.2} from {:.2} (4.9 on the study's 780)",
        mean(&bound, &all),
        mean(&shelf, &all)
    );
}

/// The names of a case's paints.
fn pair(case: &Case) -> [&str; 2] {
    [case.paints[0].name.as_str(), case.paints[1].name.as_str()]
}

fn main() {
    let Some(folder) = shared::folder("measured") else {
        return;
    };
    println!(
        "ΔE00 of predicted from measured mixtures; within: share inside √(0.5² + (κ m)²), 60-82 % wanted, ! where it is not"
    );
    let watercolours = watercolours(&folder);
    table(
        "watercolour, pairs of different paints",
        &watercolours,
        [
            "5.6 / 4.5 / 13.4",
            "6.2 / 5.3 / 14.8",
            "5.8 / 4.9 / 12.7",
            "mean at most 5.3",
        ],
    );
    println!("learning strengths from patches, watercolour");
    for listed_by in [ListedBy::Hex, ListedBy::HexAndWords] {
        learning(&watercolours, listed_by);
    }
    oils::oils(&folder);
    films::films(&folder);
    craft::craft(&folder);
    coats::coats(&folder);
}
