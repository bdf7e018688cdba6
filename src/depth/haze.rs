//! What the bands of a photo show of the air in front of them.

use crate::colour::{DeltaE00, LabD65, LinearSrgb, Xyz, delta_e00};
use crate::scale_colour::thickness;
use crate::units::Metres;

/// A band as the camera saw it.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenBand {
    /// Camera to it.
    pub from: Metres,
    /// Its tones.
    pub tones: Vec<LabD65>,
}

/// The haze that a photo shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Haze {
    /// The visibility of its day.
    pub visibility: Metres,
    /// Two in three such readings are right within this factor, at least 1.
    pub within: f64,
    /// The colour of the air.
    pub air: LabD65,
    /// Two in three such colours are right within this much.
    pub air_within: DeltaE00,
    /// The nearest of the distances it was read from.
    pub near: Metres,
    /// The farthest.
    pub far: Metres,
}

/// One way the air of a photo may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Guess {
    /// Optical thickness a metre.
    pub(super) extinction: f64,
    /// The colour of the air.
    pub(super) air: [f64; 3],
    /// How likely it is; those of one photo sum to 1.
    pub(super) weight: f64,
}

/// What is known of the air of a photo: nothing, or how likely it is of which kind.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PhotoAir {
    pub(super) guesses: Vec<Guess>,
    /// What its bands show, if they show anything.
    pub haze: Option<Haze>,
}

impl PhotoAir {
    /// The share of what the camera saw at a distance that was air; `None` where nothing is known.
    #[must_use]
    pub fn share_at(&self, from: Metres) -> Option<f64> {
        (!self.guesses.is_empty()).then(|| {
            let clear: f64 = self
                .guesses
                .iter()
                .map(|g| g.weight * (-g.extinction * from.value()).exp())
                .sum();
            1.0 - clear
        })
    }
}

/// Visibilities that are weighed against each other, metres, and into how many steps they are parted.
const VISIBILITIES: [f64; 2] = [300.0, 300_000.0];
const STEPS: usize = 36;
/// How bright the air may be against the scene's air; its hue is the scene's.
const BRIGHTNESS: [f64; 4] = [0.6, 0.8, 1.0, 1.2];
/// The air on the way is as bright as the sky at the horizon except for a factor: this many steps of half a standard deviation, as
/// logarithm, to each side. Our choice.
const SKY_STEPS: i32 = 4;
const SKY_OFF: f64 = 0.15;
/// A sky that differs less than this from the scene's air, in any channel when both are as bright in green (natural
/// logarithm), has its hue: for such days drawn scenes come out no better by their own sky. Our choice.
const SAME_HUE: f64 = 0.25;
/// A sky with a channel above this is blown out and shows nothing.
const BLOWN_OUT: f64 = 0.97;
/// Red and blue of the air against its green, natural logarithm, lie about what they are taken for by this much: by day white
/// mist and blue haze lie so far about their middle, and a sky is read no better. Our choice.
const HUE_OFF: f64 = 0.09;
/// A visibility that a scene states may be off by this much (natural logarithm): half as much again. Our choice.
const STATED_OFF: f64 = 0.4;
/// The darkest channel of a band without air: its middle over bands, as logarithm, is one of these; single bands lie
/// about it by [`DARK_APART`]. The range spans lit soil to deep shade in woods.
const DARK: [f64; 6] = [0.004, 0.008, 0.015, 0.03, 0.06, 0.12];
const DARK_APART: f64 = 0.8;
/// How well a dark channel is read: in full, and of its own value.
const READ: f64 = 0.006;
const READ_SHARE: f64 = 0.05;
/// Haze that makes up less than this of the farthest band is none. Our choice.
const WORTH_TELLING: f64 = 0.05;
/// A reading that is off by more than this (natural logarithm) is of no use. Our choice.
const TOO_VAGUE: f64 = 1.0;

/// Red, green and blue in linear light.
pub(super) fn channels(colour: LabD65) -> [f64; 3] {
    let LinearSrgb { r, g, b } = Xyz::from(colour).to_linear_srgb();
    [r, g, b]
}

fn lab_of([r, g, b]: [f64; 3]) -> LabD65 {
    LinearSrgb { r, g, b }.into()
}

/// The dark channel of a band: the least that any tone has of any primary, measured in the air's own.
///
/// # Source
/// He, Sun and Tang 2011, *Single image haze removal using dark channel prior*: without haze some channel of some part
/// of every patch is nearly black, so what is left of it is air.
fn dark_channel(tones: &[LabD65], air: [f64; 3]) -> f64 {
    tones
        .iter()
        .flat_map(|tone| {
            let own = channels(*tone);
            (0..3).map(move |k| own[k].max(0.0) / air[k])
        })
        .fold(f64::INFINITY, f64::min)
}

/// What is likely of the air of a photo: each visibility by how well it explains the dark channels of all bands
/// together, and by what the scene states. Where the scene states none, bands at two distances at least are needed,
/// and haze that they show; otherwise nothing is known. The air has the colour of the photo's sky at the horizon, if
/// that is known; else it has the hue of the scene's air and may be darker or lighter.
///
/// # Source
/// Koschmieder 1924: light of a band falls with exp(−extinction × distance), light of the air takes its place; the sky at the
/// horizon is air without end.
#[must_use]
pub fn read_air(
    bands: &[SeenBand],
    air: LabD65,
    sky: Option<LabD65>,
    stated: Option<Metres>,
) -> PhotoAir {
    let bands: Vec<&SeenBand> = bands.iter().filter(|b| !b.tones.is_empty()).collect();
    let by_distance = |a: &f64, b: &f64| a.total_cmp(b);
    let distances = || bands.iter().map(|b| b.from.value());
    let (Some(near), Some(far)) = (
        distances().min_by(by_distance),
        distances().max_by(by_distance),
    ) else {
        return PhotoAir::default();
    };
    if stated.is_none() && far <= near {
        return PhotoAir::default();
    }
    let sky = sky.filter(|sky| says_more(channels(*sky), channels(air)));
    let hue = channels(sky.unwrap_or(air)).map(|v| v.max(0.02));
    // Each with the logarithm of how likely it is.
    let levels: Vec<(f64, f64)> = if sky.is_some() {
        (-SKY_STEPS..=SKY_STEPS)
            .map(|step| f64::from(step) / 2.0)
            .map(|off| ((SKY_OFF * off).exp(), -0.5 * off * off))
            .collect()
    } else {
        BRIGHTNESS.map(|level| (level, 0.0)).to_vec()
    };
    let brightest = hue.iter().copied().fold(0.0, f64::max);
    let unit = hue.map(|v| v / brightest);
    let dark: Vec<(f64, f64)> = bands
        .iter()
        .map(|b| (b.from.value(), dark_channel(&b.tones, unit)))
        .collect();
    let known = stated.map_or_else(
        || spread_over(VISIBILITIES),
        |v| {
            let half = (2.0 * STATED_OFF).exp();
            spread_over([v.value() / half, v.value() * half])
        },
    );
    let mut guesses: Vec<Guess> = Vec::with_capacity(known.len() * levels.len());
    for visibility in known {
        let Ok(at) = Metres::new(visibility) else {
            continue;
        };
        let extinction = thickness(1.0, at);
        let prior = stated.map_or(0.0, |v| {
            -0.5 * ((visibility / v.value().max(1e-9)).ln() / STATED_OFF).powi(2)
        });
        for (level, likely) in &levels {
            let brightness = (level * brightest).min(1.0);
            guesses.push(Guess {
                extinction,
                air: unit.map(|v| v * brightness),
                weight: prior + likely + explained(&dark, extinction, brightness),
            });
        }
    }
    settle(&mut guesses);
    let haze = agreed_haze(&guesses, near, far);
    if haze.is_none() && stated.is_none() {
        return PhotoAir::default();
    }
    PhotoAir { guesses, haze }
}

/// True if a photo's own sky shows another hue of the air than the scene's, and can be trusted.
fn says_more(sky: [f64; 3], air: [f64; 3]) -> bool {
    let usable = sky.iter().all(|v| (0.02..BLOWN_OUT).contains(v));
    let hue = |of: [f64; 3], k: usize| (of[k] / of[1].max(1e-6)).max(1e-6).ln();
    usable
        && [0, 2]
            .iter()
            .any(|k| (hue(sky, *k) - hue(air, *k)).abs() > SAME_HUE)
}

/// Visibilities in even steps of their logarithm.
fn spread_over([least, most]: [f64; 2]) -> Vec<f64> {
    let (low, high) = (least.max(1e-6).ln(), most.max(1e-6).ln());
    #[expect(clippy::cast_precision_loss, reason = "a few steps")]
    (0..STEPS)
        .map(|i| (low + (high - low) * i as f64 / (STEPS - 1) as f64).exp())
        .collect()
}

/// How well a kind of air explains the dark channels, as logarithm of a likelihood: the dark of the bands without air is
/// summed over.
fn explained(dark: &[(f64, f64)], extinction: f64, brightness: f64) -> f64 {
    let middles: f64 = DARK
        .iter()
        .map(|middle| {
            dark.iter()
                .map(|(from, seen)| {
                    let t = (-extinction * from).exp();
                    let read = READ + READ_SHARE * seen;
                    let mut likely = 1e-12;
                    for step in -4_i32..=4 {
                        let q = f64::from(step) / 2.0;
                        let own = middle * (DARK_APART * q).exp();
                        let off = (seen - t * own - (1.0 - t) * brightness) / read;
                        likely += (-0.5 * (q * q + off * off)).exp() / read;
                    }
                    likely
                })
                .product::<f64>()
        })
        .sum();
    middles.max(f64::MIN_POSITIVE).ln()
}

/// Turns logarithms of likelihoods into weights that sum to 1; what hardly counts is left out.
fn settle(guesses: &mut Vec<Guess>) {
    let best = guesses.iter().map(|g| g.weight).fold(f64::MIN, f64::max);
    for guess in guesses.iter_mut() {
        guess.weight = (guess.weight - best).exp();
    }
    guesses.retain(|g| g.weight > 1e-4);
    let total: f64 = guesses.iter().map(|g| g.weight).sum();
    for guess in guesses.iter_mut() {
        guess.weight /= total;
    }
}

/// What the guesses say together, where that is worth telling.
fn agreed_haze(guesses: &[Guess], near: f64, far: f64) -> Option<Haze> {
    if far <= near {
        return None;
    }
    let mean = |of: &dyn Fn(&Guess) -> f64| guesses.iter().map(|g| g.weight * of(g)).sum::<f64>();
    let middle = mean(&|g| g.extinction.ln());
    let off = mean(&|g| (g.extinction.ln() - middle).powi(2)).sqrt();
    let air = 1.0 - mean(&|g| (-g.extinction * far).exp());
    let middle_air: [f64; 3] = std::array::from_fn(|k| mean(&|g| g.air[k]));
    let from_middle = |air: [f64; 3]| delta_e00(lab_of(middle_air), lab_of(air)).0.powi(2);
    let mut air_off = mean(&|g| from_middle(g.air));
    for channel in [0, 2] {
        for sign in [-1.0, 1.0] {
            let mut other = middle_air;
            other[channel] *= f64::exp(sign * HUE_OFF);
            air_off += 0.5 * from_middle(other);
        }
    }
    let visibility = thickness(1.0, Metres::new(1.0).ok()?) / middle.exp();
    (air >= WORTH_TELLING && off <= TOO_VAGUE).then_some(Haze {
        visibility: Metres::new(visibility).ok()?,
        within: off.exp(),
        air: lab_of(middle_air),
        air_within: DeltaE00(air_off.sqrt()),
        near: Metres::new(near).ok()?,
        far: Metres::new(far).ok()?,
    })
}
