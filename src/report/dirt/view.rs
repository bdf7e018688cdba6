//! Washes, rock schemes and places as the page prints them.

use crate::colour::LabD65;
use crate::photo::PictureOf;
use crate::plan::{GrimeStep, Pictures, SurfacePlan, WashPlan};
use crate::report::dirt::before_after::{BeforeAfter, before_after};
use crate::report::dirt::words::{
    amounts_words, base_words, blend_words, scrap_words, technique_words,
};
use crate::report::figures::Swatches;
use crate::report::words::{capitalised, closeness_text};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// All dirt of one surface.
#[derive(Debug)]
pub(in crate::report) struct DirtView {
    pub(in crate::report) wash: Option<WashView>,
    pub(in crate::report) rock_wash: Option<WashView>,
}

/// A wash.
#[derive(Debug)]
pub(in crate::report) struct WashView {
    pub(in crate::report) swatches: Swatches,
    pub(in crate::report) base: String,
    pub(in crate::report) rows: Vec<WashRow>,
    pub(in crate::report) flat: String,
    pub(in crate::report) recess: String,
    pub(in crate::report) ambiguity: String,
    pub(in crate::report) dial: Vec<DialView>,
    pub(in crate::report) picture: Option<PictureView>,
}

/// The colours at one setting of the grime dial.
#[derive(Debug)]
pub(in crate::report) struct DialView {
    pub(in crate::report) number: String,
    pub(in crate::report) label: String,
    pub(in crate::report) flat: Swatches,
    pub(in crate::report) flat_hex: String,
    pub(in crate::report) recess: Swatches,
    pub(in crate::report) recess_hex: String,
}

/// One of its films.
#[derive(Debug)]
pub(in crate::report) struct WashRow {
    pub(in crate::report) technique: String,
    pub(in crate::report) words: String,
    pub(in crate::report) amounts: Option<String>,
}

/// The picture before and after.
#[derive(Debug)]
pub(in crate::report) struct PictureView {
    pub(in crate::report) before: String,
    pub(in crate::report) after: String,
    pub(in crate::report) width: u32,
    pub(in crate::report) height: u32,
    /// A class for pictures too small to fill the column.
    pub(in crate::report) narrow: &'static str,
    pub(in crate::report) caption: &'static str,
}

/// Where the slider may stand, as per cent of the picture shown clean.
pub(in crate::report) const STOPS: [(usize, &str); 9] = [
    (0, "all washed"),
    (1, "an eighth clean"),
    (2, "a quarter clean"),
    (3, "three eighths clean"),
    (4, "half clean, half washed"),
    (5, "five eighths clean"),
    (6, "three quarters clean"),
    (7, "seven eighths clean"),
    (8, "all clean"),
];

/// Pictures of fewer pixels across are shown small.
const NARROW: u32 = 200;

impl DirtView {
    pub(in crate::report) fn new(surface: &SurfacePlan, pictures: Pictures) -> Self {
        let mut picture = before_after(surface, pictures);
        let mut view = |wash: &WashPlan| WashView::new(wash, picture.take().as_ref());
        let rock = surface.dirt.rock.as_ref();
        Self {
            wash: surface.dirt.wash.as_ref().map(&mut view),
            rock_wash: rock.and_then(|rock| rock.wash.as_ref()).map(&mut view),
        }
    }

    /// The nine places of the slider.
    pub(in crate::report) fn stops() -> &'static [(usize, &'static str)] {
        &STOPS
    }
}

impl WashView {
    fn new(wash: &WashPlan, picture: Option<&BeforeAfter>) -> Self {
        let sure =
            |which: fn(&crate::plan::WashBlend) -> f64| wash.washes.last().map_or(0.0, which);
        let label = format!(
            "base {}, flats {} for {} wanted, recesses {} for {} wanted",
            wash.base.to_srgb8(),
            wash.flat.to_srgb8(),
            wash.flat_wanted.to_srgb8(),
            wash.recess.to_srgb8(),
            wash.recess_wanted.to_srgb8()
        );
        let colours = [
            wash.base,
            wash.flat_wanted,
            wash.flat,
            wash.recess_wanted,
            wash.recess,
        ];
        Self {
            swatches: Swatches::row(capitalised(&label), 360, 60, &colours.map(|c| (c, 1.0))),
            base: format!("{}, {}", wash.base.to_srgb8(), base_words(&wash.base_from)),
            rows: wash
                .washes
                .iter()
                .map(|wash| WashRow {
                    technique: capitalised(technique_words(wash.technique)),
                    words: blend_words(&wash.blend),
                    amounts: amounts_words(wash),
                })
                .collect(),
            flat: film_words(wash.flat, wash.flat_off.0, sure(|w| w.uncertainty.0)),
            recess: film_words(
                wash.recess,
                wash.recess_off.0,
                sure(|w| w.recess_uncertainty.0),
            ),
            ambiguity: scrap_words(wash),
            dial: dial(wash),
            picture: picture.map(PictureView::new),
        }
    }
}

/// The settings of the dial that the plan shows, and the scene's own; none for a wash that has no dial.
fn dial(wash: &WashPlan) -> Vec<DialView> {
    let mut steps = wash.grime_steps.clone();
    if steps.is_empty() {
        return Vec::new();
    }
    let own = |step: &GrimeStep| (step.grime - wash.grime).abs() < 0.005;
    if !steps.iter().any(own) {
        steps.push(GrimeStep {
            grime: wash.grime,
            flat: wash.flat_wanted,
            recess: wash.recess_wanted,
        });
        steps.sort_by(|a, b| a.grime.total_cmp(&b.grime));
    }
    let swatch = |what: &str, dial: &str, colour: LabD65| {
        let label = format!("{what} at {dial}: {}", colour.to_srgb8());
        Swatches::row(label, 88, 42, &[(colour, 1.0)])
    };
    steps
        .iter()
        .map(|step| {
            let meaning = match step.grime {
                g if g <= 0.0 => "clean base",
                g if (g - 1.0).abs() < 0.005 => "as in the photo",
                _ => "",
            };
            let planned = if own(step) { "planned" } else { "" };
            let between = if meaning.is_empty() || planned.is_empty() {
                ""
            } else {
                ", "
            };
            let number = ((step.grime * 100.0).round() / 100.0).to_string();
            DialView {
                label: format!("{meaning}{between}{planned}"),
                flat: swatch("Flats", &number, step.flat),
                flat_hex: step.flat.to_srgb8().to_string(),
                recess: swatch("Recesses", &number, step.recess),
                recess_hex: step.recess.to_srgb8().to_string(),
                number,
            }
        })
        .collect()
}

/// "#504138, close on paper (ΔE00 1.2; at the bench expect about 6)".
fn film_words(colour: LabD65, off: f64, sure: f64) -> String {
    format!("{}, {}", colour.to_srgb8(), closeness_text(off, sure))
}

impl PictureView {
    fn new(picture: &BeforeAfter) -> Self {
        Self {
            before: STANDARD.encode(&picture.before.bytes),
            after: STANDARD.encode(&picture.after.bytes),
            width: picture.before.width,
            height: picture.before.height,
            narrow: if picture.before.width < NARROW {
                " narrow"
            } else {
                ""
            },
            caption: match picture.shown {
                PictureOf::CleanModel => {
                    "A prediction: your photo of the clean model, with the wash thick where the photo is darker than its surroundings, thin elsewhere."
                }
                PictureOf::StandIn => {
                    "A prediction on a stand-in: a plain body of the base colour with the relief of the photographed region, and the wash thick in its joints and hollows, thin elsewhere. A photo of your clean model (model_photo) would show more."
                }
            },
        }
    }
}
