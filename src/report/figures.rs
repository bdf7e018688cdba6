//! Pictures and plots as inline SVG. Each carries a text alternative; colours are fill attributes, never styles.

use crate::colour::LabD65;
use crate::linear::convex_hull;
use crate::mix::Reach;
use crate::photo::{SmallJpeg, Thumbnail};
use crate::plan::TonePlan;
use crate::region::{Outline, Region};
use crate::report::page::tight::with_tight_drawings;
use crate::tones::ToneMap;
use askama::Template;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

/// One colour of a row of touching swatches.
#[derive(Debug, Clone)]
pub(super) struct RowSwatch {
    pub(super) x: String,
    pub(super) width: String,
    pub(super) hex: String,
}

/// Touching swatches on neutral mid-grey.
#[derive(Debug, Template)]
#[template(path = "figures/swatches.svg", config = "report-templates/askama.toml")]
pub(super) struct Swatches {
    pub(super) label: String,
    pub(super) width: u32,
    pub(super) height: u32,
    pub(super) margin: u32,
    pub(super) inner_width: u32,
    pub(super) inner_height: u32,
    pub(super) colours: Vec<RowSwatch>,
}

pub(super) fn px(value: f64) -> String {
    let text = format!("{value:.1}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

impl Swatches {
    /// Colours side by side, each as wide as its weight.
    pub(super) fn row(label: String, width: u32, height: u32, colours: &[(LabD65, f64)]) -> Self {
        let margin = 8.min(height / 5);
        let inner = f64::from(width - 2 * margin);
        let total: f64 = colours.iter().map(|(_, weight)| weight).sum();
        let mut x = f64::from(margin);
        let placed = colours
            .iter()
            .map(|(colour, weight)| {
                let span = inner * weight / total;
                let swatch = RowSwatch {
                    x: px(x),
                    width: px(span),
                    hex: colour.to_srgb8().to_string(),
                };
                x += span;
                swatch
            })
            .collect();
        Self {
            label,
            width,
            height,
            margin,
            inner_width: width - 2 * margin,
            inner_height: height - 2 * margin,
            colours: placed,
        }
    }
}

/// One outline to draw on a photo.
#[derive(Debug, Clone)]
pub(super) struct DrawnOutline {
    pub(super) points: String,
    pub(super) left_out: Vec<String>,
    pub(super) number: usize,
    pub(super) x: String,
    pub(super) y: String,
}

/// A photo with the regions of surfaces drawn on.
#[derive(Debug, Template)]
#[template(path = "figures/photo.svg", config = "report-templates/askama.toml")]
pub(super) struct PhotoFigure {
    /// What a bench card refers to it by; empty where none does.
    pub(super) id: String,
    pub(super) label: String,
    pub(super) width: u32,
    pub(super) height: u32,
    /// How large it is shown where there is room, pixels.
    pub(super) shown: [u32; 2],
    pub(super) line: String,
    pub(super) text: String,
    pub(super) badge: String,
    pub(super) base64: String,
    pub(super) regions: Vec<DrawnOutline>,
    /// Where tones lie, where they are numbered.
    pub(super) numbers: Vec<NumberPlace>,
}

impl PhotoFigure {
    /// `span` is what the picture shows of the photo: left, top, right, bottom as fractions.
    pub(super) fn new(
        label: String,
        picture: &SmallJpeg,
        span: [f64; 4],
        regions: &[(usize, &Region)],
    ) -> Self {
        let (width, height) = (f64::from(picture.width), f64::from(picture.height));
        let scale = [width / (span[2] - span[0]), height / (span[3] - span[1])];
        let place = |[x, y]: [f64; 2]| [(x - span[0]) * scale[0], (y - span[1]) * scale[1]];
        let points = |outline: &Outline| {
            outline
                .points()
                .iter()
                .map(|p| {
                    let [x, y] = place(*p);
                    format!("{},{}", px(x), px(y))
                })
                .collect::<Vec<_>>()
                .join(" ")
        };
        let shown = fit(picture.width, picture.height, ALONE);
        let unit = width / f64::from(shown[0]);
        let regions = regions
            .iter()
            .map(|(number, region)| {
                let inset = 15.0 * unit;
                let corner = place(topmost(&region.outline));
                DrawnOutline {
                    points: points(&region.outline),
                    left_out: region.leave_out.iter().map(points).collect(),
                    number: *number,
                    x: px((corner[0] + inset).clamp(inset, width - inset)),
                    y: px((corner[1] + inset).clamp(inset, height - inset)),
                }
            })
            .collect();
        Self {
            id: String::new(),
            label,
            width: picture.width,
            height: picture.height,
            shown,
            line: px(1.8 * unit),
            text: px(14.0 * unit),
            badge: px(11.0 * unit),
            base64: STANDARD.encode(&picture.bytes),
            regions,
            numbers: Vec::new(),
        }
    }

    /// Puts numbers where the tones are, as on the map beside it.
    pub(super) fn place_numbers(&mut self, numbers: &[ToneNumber]) {
        if numbers.is_empty() {
            return;
        }
        let unit = paired_unit(self.width, self.height);
        self.line = px(1.6 * unit);
        (self.text, self.badge) = (px(13.0 * unit), px(10.0 * unit));
        self.numbers = placed(numbers, self.width, self.height);
    }
}

/// Room for a picture that stands alone on a sheet, and for one of a pair, pixels.
const ALONE: [u32; 2] = [600, 330];
const PAIRED: [u32; 2] = [298, 330];

/// The largest size within `room` that keeps the picture's shape; no pixel becomes larger than four by four.
fn fit(width: u32, height: u32, room: [u32; 2]) -> [u32; 2] {
    let (width, height) = (width.max(1), height.max(1));
    let room = [room[0].min(4 * width), room[1].min(4 * height)];
    if u64::from(width) * u64::from(room[1]) > u64::from(height) * u64::from(room[0]) {
        [room[0], (height * room[0] / width).max(1)]
    } else {
        [(width * room[1] / height).max(1), room[1]]
    }
}

/// How much of a picture one pixel of the screen shows, where photo and map stand side by side.
fn paired_unit(width: u32, height: u32) -> f64 {
    f64::from(width) / f64::from(fit(width, height, PAIRED)[0])
}

/// A tone's number and where it lies densest, as fractions of the picture.
#[derive(Debug, Clone, Copy)]
pub(super) struct ToneNumber {
    number: usize,
    at: [f64; 2],
}

/// Numbers of the tones of a map; two that fall together are moved apart.
pub(super) fn tone_numbers(map: &ToneMap, tones: usize) -> Vec<ToneNumber> {
    let mut numbers: Vec<ToneNumber> = Vec::new();
    for tone in 0..tones {
        let Some(mut at) = map.place_of(tone) else {
            continue;
        };
        // At most as many moves as there are numbers to get clear of.
        for _ in 0..tones {
            let near = |other: &&ToneNumber| {
                (other.at[0] - at[0]).hypot(other.at[1] - at[1]) < NUMBERS_APART
            };
            let Some(other) = numbers.iter().find(near) else {
                break;
            };
            at[0] = if other.at[0] > 0.7 {
                other.at[0] - NUMBERS_APART
            } else {
                other.at[0] + NUMBERS_APART
            };
        }
        numbers.push(ToneNumber {
            number: tone + 1,
            at,
        });
    }
    numbers
}

/// Least distance of two numbers, as a fraction of the picture.
const NUMBERS_APART: f64 = 0.1;

fn placed(numbers: &[ToneNumber], width: u32, height: u32) -> Vec<NumberPlace> {
    let unit = paired_unit(width, height);
    let (width, height) = (f64::from(width), f64::from(height));
    let inset = 12.0 * unit;
    let within = |value: f64, span: f64| px((value * span).clamp(inset, (span - inset).max(inset)));
    numbers
        .iter()
        .map(|number| NumberPlace {
            number: number.number,
            x: within(number.at[0], width),
            y: within(number.at[1], height),
        })
        .collect()
}

/// Where a tone's number stands.
#[derive(Debug, Clone)]
pub(super) struct NumberPlace {
    pub(super) number: usize,
    pub(super) x: String,
    pub(super) y: String,
}

/// Where each tone of a surface is.
#[derive(Debug, Template)]
#[template(path = "figures/map.svg", config = "report-templates/askama.toml")]
pub(super) struct MapFigure {
    /// What a bench card refers to it by.
    pub(super) id: String,
    pub(super) label: String,
    pub(super) width: u32,
    pub(super) height: u32,
    /// As large as the crop beside it.
    pub(super) shown: [u32; 2],
    pub(super) text: String,
    pub(super) badge: String,
    pub(super) base64: String,
    pub(super) numbers: Vec<NumberPlace>,
}

impl MapFigure {
    /// Each tone in its colour as photographed, drawn as large as the crop beside it; `None` when it cannot be drawn.
    pub(super) fn new(
        surface: &str,
        map: &ToneMap,
        tones: &[TonePlan],
        crop: &Thumbnail,
        numbers: &[ToneNumber],
    ) -> Option<Self> {
        let (width, height) = (crop.width(), crop.height());
        let colours: Vec<LabD65> = tones.iter().map(|t| t.wanted.tone.colour).collect();
        let base64 = map.picture(&colours)?;
        let unit = paired_unit(width, height);
        Some(Self {
            id: String::new(),
            label: format!("Where each tone of {surface} is, by its number"),
            width,
            height,
            shown: fit(width, height, ALONE),
            text: px(13.0 * unit),
            badge: px(10.0 * unit),
            base64,
            numbers: placed(numbers, width, height),
        })
    }
}

/// The highest point of an outline, the leftmost of those.
fn topmost(outline: &Outline) -> [f64; 2] {
    outline
        .points()
        .iter()
        .copied()
        .min_by(|a, b| a[1].total_cmp(&b[1]).then(a[0].total_cmp(&b[0])))
        .unwrap_or([0.0, 0.0])
}

/// A marked colour in a plot.
#[derive(Debug, Clone)]
pub(super) struct PlotMark {
    pub(super) x: String,
    pub(super) y: String,
    pub(super) text_y: String,
    pub(super) ladder_y: String,
    pub(super) ladder_text_y: String,
    pub(super) hex: String,
    pub(super) number: usize,
}

/// Tones on a ladder of lightness and in the plane of a* and b*, with the reach of the list's paints.
#[derive(Debug, Template)]
#[template(path = "figures/plane.svg", config = "report-templates/askama.toml")]
pub(super) struct PlaneFigure {
    pub(super) label: String,
    pub(super) hull: String,
    pub(super) marks: Vec<PlotMark>,
    pub(super) rings: Vec<(String, u32)>,
    pub(super) centre_x: String,
    pub(super) centre_y: String,
    pub(super) span: String,
}

/// Middle and half side of the plane, as drawn.
const PLANE_CENTRE: [f64; 2] = [204.0, 132.0];
const PLANE_HALF: f64 = 104.0;
const LADDER_TOP: f64 = 16.0;
const LADDER_HEIGHT: f64 = 232.0;
/// Least distance between the lines of two numbers.
const LINE: f64 = 13.0;

/// Places for lines of text that keep a line's height apart, as near to `wanted` as may be, inside the plot.
fn kept_apart(wanted: &[f64]) -> Vec<f64> {
    let (top, bottom) = (LADDER_TOP, LADDER_TOP + LADDER_HEIGHT);
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]).then(a.cmp(b)));
    let mut placed = wanted.to_vec();
    let mut least = top;
    for at in &order {
        placed[*at] = wanted[*at].max(least);
        least = placed[*at] + LINE;
    }
    let mut most = bottom;
    for at in order.iter().rev() {
        placed[*at] = placed[*at].min(most);
        most = placed[*at] - LINE;
    }
    placed
}

impl PlaneFigure {
    /// `tones` numbered from 1 in order; `paints` spans the list's reach. The plane is drawn as large as the tones need:
    /// the reach is cut off at its edge.
    pub(super) fn new(label: String, tones: &[LabD65], paints: &[LabD65]) -> Self {
        let reach = tones
            .iter()
            .map(|c| c.a.abs().max(c.b.abs()) * 1.15)
            .fold(10.0_f64, f64::max)
            .min(130.0);
        let [cx, cy] = PLANE_CENTRE;
        let at = |c: &LabD65| [cx + c.a / reach * PLANE_HALF, cy - c.b / reach * PLANE_HALF];
        let hull = convex_hull(paints.iter().map(at).collect())
            .iter()
            .map(|[x, y]| format!("{},{}", px(*x), px(*y)))
            .collect::<Vec<_>>()
            .join(" ");
        let ladder: Vec<f64> = tones
            .iter()
            .map(|tone| LADDER_TOP + (1.0 - tone.l.clamp(0.0, 100.0) / 100.0) * LADDER_HEIGHT)
            .collect();
        let places: Vec<[f64; 2]> = tones.iter().map(at).collect();
        let ladder_text = kept_apart(&ladder);
        let text = kept_apart(&places.iter().map(|[_, y]| *y).collect::<Vec<_>>());
        let marks = tones
            .iter()
            .enumerate()
            .map(|(i, tone)| PlotMark {
                x: px(places[i][0]),
                y: px(places[i][1]),
                text_y: px(text[i]),
                ladder_y: px(ladder[i]),
                ladder_text_y: px(ladder_text[i] + 4.0),
                hex: tone.to_srgb8().to_string(),
                number: i + 1,
            })
            .collect();
        let rings = [5_u32, 10, 20, 40, 60, 80, 100, 120]
            .into_iter()
            .filter(|chroma| (0.2..=1.1).contains(&(f64::from(*chroma) / reach)))
            .map(|chroma| (px(f64::from(chroma) / reach * PLANE_HALF), chroma))
            .collect();
        Self {
            label,
            hull,
            marks,
            rings,
            centre_x: px(cx),
            centre_y: px(cy),
            span: format!("a* across, b* up, to {reach:.0}"),
        }
    }
}

/// A colour marked in a plot of reach.
#[derive(Debug, Clone)]
pub(super) struct ReachMark {
    pub(super) x: String,
    pub(super) y: String,
    pub(super) hex: String,
    pub(super) outside: bool,
}

/// The reach at one lightness.
#[derive(Debug, Clone)]
pub(super) struct ReachPlot {
    pub(super) x: u32,
    pub(super) y: u32,
    pub(super) half: u32,
    pub(super) side: u32,
    pub(super) lightness: String,
    pub(super) hull: String,
    pub(super) marks: Vec<ReachMark>,
}

/// What a list can mix, slice by slice of lightness.
#[derive(Debug, Template)]
#[template(path = "figures/reach.svg", config = "report-templates/askama.toml")]
struct ReachFigure {
    label: String,
    width: u32,
    height: u32,
    foot: u32,
    span: String,
    plots: Vec<ReachPlot>,
}

/// One colour and a list's reach, as a line of its page.
#[derive(Debug, Clone)]
struct ReachLine {
    hex: String,
    lab: String,
    held: &'static str,
}

/// The page of a list's reach.
#[derive(Debug, Template)]
#[template(path = "page/reach.html", config = "report-templates/askama.toml")]
struct ReachPage<'a> {
    list: &'a str,
    figure: String,
    slices: Vec<[String; 4]>,
    colours: Vec<ReachLine>,
    style: &'a str,
    style_hash: String,
}

/// The reach of a list as one self-contained page: the picture of [`reach_svg`] and the same in figures.
///
/// # Errors
/// [`super::ReportError`] when a template fails.
pub fn reach_html(
    list: &str,
    reach: &Reach,
    colours: &[LabD65],
) -> Result<String, super::ReportError> {
    let span = |hull: &[[f64; 2]], axis: usize| {
        if hull.is_empty() {
            return "nothing".to_owned();
        }
        let values = || hull.iter().map(|p| p[axis]);
        format!(
            "{:.0} to {:.0}",
            values().fold(f64::INFINITY, f64::min),
            values().fold(f64::NEG_INFINITY, f64::max)
        )
        .replace('-', "\u{2212}")
    };
    let page = ReachPage {
        list,
        figure: reach_svg(reach, colours)?,
        slices: reach
            .slices
            .iter()
            .map(|slice| {
                [
                    format!("{:.0}", slice.lightness),
                    span(&slice.hull, 0),
                    span(&slice.hull, 1),
                    format!("{:.0}", slice.area),
                ]
            })
            .collect(),
        colours: colours
            .iter()
            .map(|colour| ReachLine {
                hex: colour.to_srgb8().to_string(),
                lab: format!("L* {:.0}, a* {:.0}, b* {:.0}", colour.l, colour.a, colour.b)
                    .replace("-0", "0")
                    .replace('-', "\u{2212}"),
                held: if reach.holds(*colour) {
                    "within reach"
                } else {
                    "outside"
                },
            })
            .collect(),
        style: super::STYLE,
        style_hash: STANDARD.encode(Sha256::digest(super::STYLE.as_bytes())),
    };
    Ok(with_tight_drawings(&page.render()?))
}

/// Side of one plot, pixels, and the gap between plots.
const REACH_SIDE: u32 = 200;
const REACH_GAP: u32 = 16;
const REACH_TOP: u32 = 44;

/// Draws the reach of a list as an SVG file, with colours marked: those outside are named.
///
/// # Errors
/// [`super::ReportError`] when the template fails.
pub fn reach_svg(reach: &Reach, colours: &[LabD65]) -> Result<String, super::ReportError> {
    let corners = reach.slices.iter().flat_map(|slice| &slice.hull).flatten();
    let marked = colours.iter().flat_map(|c| [&c.a, &c.b]);
    let span = corners
        .chain(marked)
        .fold(20.0_f64, |m, v| m.max(v.abs()))
        .ceil();
    let half = f64::from(REACH_SIDE) / 2.0;
    let place = |[a, b]: [f64; 2]| [px(half + a / span * half), px(half - b / span * half)];
    let plots = (0..)
        .zip(&reach.slices)
        .map(|(i, slice): (u32, _)| ReachPlot {
            x: REACH_GAP + (i % 3) * (REACH_SIDE + REACH_GAP),
            y: REACH_TOP + (i / 3) * (REACH_SIDE + REACH_GAP),
            half: REACH_SIDE / 2,
            side: REACH_SIDE,
            lightness: px(slice.lightness),
            hull: slice
                .hull
                .iter()
                .map(|p| place(*p).join(","))
                .collect::<Vec<_>>()
                .join(" "),
            marks: colours
                .iter()
                .filter(|c| {
                    reach
                        .slice_of(**c)
                        .is_some_and(|own| (own.lightness - slice.lightness).abs() < 1e-9)
                })
                .map(|colour| {
                    let [x, y] = place([colour.a, colour.b]);
                    ReachMark {
                        x,
                        y,
                        hex: colour.to_srgb8().to_string(),
                        outside: !reach.holds(*colour),
                    }
                })
                .collect(),
        })
        .collect();
    let figure = ReachFigure {
        label: format!(
            "What {} paints ({}) can mix",
            reach.paints,
            reach.family.words()
        ),
        width: 3 * (REACH_SIDE + REACH_GAP) + REACH_GAP,
        height: REACH_TOP + 3 * (REACH_SIDE + REACH_GAP) + 24,
        foot: REACH_TOP + 3 * (REACH_SIDE + REACH_GAP) + 10,
        span: px(span),
        plots,
    };
    Ok(with_tight_drawings(&figure.render()?))
}
