//! A plan as words and rounded numbers: what the page prints, made once and under test.

use super::as_built::AsBuiltView;
use super::compared::CompareView;
use super::dirt_view::DirtView;
use super::figures::{MapFigure, PhotoFigure, PlaneFigure, Swatches};
use super::hill_view::{HillsideView, ScatterShoppingView};
use super::tone_figures::{BarFigure, ToneFigure, confused_pairs, confusion_text, tag};
use super::trim::FewestView;
use super::words::{
    about, capitalised, closeness_text, file_name, note_hint, note_text, pot_name, step_text,
    surfaces_of,
};
use crate::colour::LabD65;
use crate::mix::{Recipe, Shelf, falls_short};
use crate::plan::{Caution, PartSeen, Plan, Pot, Purpose, SurfacePlan, TonePlan};
use crate::region::Region;
use crate::scale_colour::{AirNote, ScaleRule};
use crate::scene::Treatment;
use crate::share::Comparison;
use crate::units::DROP;

/// A line of the title block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Fact {
    /// What it tells.
    pub(super) label: &'static str,
    /// What it is.
    pub(super) value: String,
}

/// The whole page.
#[derive(Debug)]
pub struct View {
    pub(super) title: String,
    pub(super) facts: Vec<Fact>,
    pub(super) photos: Vec<PhotoView>,
    pub(super) pots: Vec<PotView>,
    pub(super) sheets: Vec<SheetView>,
    pub(super) shopping: Vec<ShoppingView>,
    pub(super) shopping_total: Option<String>,
    pub(super) fewest: Option<FewestView>,
    pub(super) scatter_shopping: Vec<ScatterShoppingView>,
    pub(super) notes: Vec<NoteView>,
    pub(super) cautions: Vec<&'static str>,
    pub(super) rule_words: String,
    pub(super) compared: Option<CompareView>,
    pub(super) lamp: Option<String>,
}

/// One photo of the strip.
#[derive(Debug)]
pub(super) struct PhotoView {
    pub(super) key: String,
    pub(super) caption: String,
    pub(super) credit: Option<String>,
    pub(super) figure: Option<PhotoFigure>,
}

/// One pot.
#[derive(Debug)]
pub(super) struct PotView {
    pub(super) number: usize,
    pub(super) name: String,
    pub(super) swatches: Option<Swatches>,
    pub(super) parts: Vec<PartView>,
    pub(super) volume: String,
    pub(super) surfaces: String,
    pub(super) closeness: String,
}

/// One paint of a pot.
#[derive(Debug)]
pub(super) struct PartView {
    pub(super) parts: u32,
    pub(super) name: String,
    pub(super) volume: String,
}

/// One surface.
#[derive(Debug)]
pub(super) struct SheetView {
    pub(super) number: usize,
    pub(super) name: String,
    pub(super) about: String,
    pub(super) crops: Vec<PhotoFigure>,
    pub(super) maps: Vec<MapFigure>,
    pub(super) bar: BarFigure,
    pub(super) confused: Option<String>,
    pub(super) plane: PlaneFigure,
    pub(super) tones: Vec<ToneView>,
    pub(super) moved: String,
    pub(super) keep: String,
    pub(super) rules: Vec<RuleView>,
    pub(super) steps: Vec<String>,
    pub(super) cautions: Vec<&'static str>,
    pub(super) hillside: HillsideView,
    pub(super) dirt: DirtView,
    pub(super) as_built: Vec<AsBuiltView>,
}

/// One tone.
#[derive(Debug)]
pub(super) struct ToneView {
    pub(super) number: usize,
    pub(super) role: String,
    pub(super) share: String,
    pub(super) name: String,
    pub(super) swatches: ToneFigure,
    pub(super) printed: Swatches,
    pub(super) photographed: String,
    pub(super) planned: String,
    pub(super) predicted: String,
    pub(super) moved: String,
    pub(super) pot: Option<String>,
    pub(super) pot_number: Option<usize>,
    pub(super) recipe: Option<RecipeView>,
    pub(super) others: Vec<RecipeView>,
    pub(super) target: String,
    /// Instead of a mix: it is not painted.
    pub(super) lamps: Option<String>,
    pub(super) loose: &'static str,
}

/// One mix.
#[derive(Debug)]
pub(super) struct RecipeView {
    pub(super) text: String,
    pub(super) hex: String,
    pub(super) closeness: String,
    pub(super) short: Option<String>,
}

/// What each rule does to one tone.
#[derive(Debug)]
pub(super) struct RuleView {
    pub(super) tone: usize,
    pub(super) swatches: Swatches,
    pub(super) by: Vec<RuleMove>,
}

/// One rule's move of one tone.
#[derive(Debug)]
pub(super) struct RuleMove {
    pub(super) hex: String,
    pub(super) by: String,
}

/// One paint to have ready.
#[derive(Debug)]
pub(super) struct ShoppingView {
    pub(super) paint: String,
    pub(super) needed: String,
    pub(super) on_hand: String,
    pub(super) to_buy: String,
    pub(super) price: String,
}

/// One doubt.
#[derive(Debug)]
pub(super) struct NoteView {
    pub(super) text: String,
    pub(super) hint: Option<&'static str>,
}

/// An en dash for what is not known; a figure otherwise.
fn or_dash(value: Option<String>) -> String {
    value.unwrap_or_else(|| "–".to_owned())
}

fn ml(volume: f64) -> String {
    if volume >= 1000.0 {
        format!("{:.2} litres", volume / 1000.0)
    } else if volume < 0.95 {
        let drops = (volume / DROP - 1e-6).ceil().max(1.0);
        let plural = if drops > 1.0 { "s" } else { "" };
        format!("{volume:.2} ml, {drops:.0} drop{plural}")
    } else {
        format!("{volume:.1} ml")
    }
}

fn lab_text(colour: LabD65) -> String {
    // Padded by figure spaces, so that numerals stand one above the other.
    let figure = |value: f64| {
        let text = format!("{:>3}", format!("{:.0}", value + 0.0).replace("-0", "0"));
        text.replace('-', "\u{2212}").replace(' ', "\u{2007}")
    };
    format!(
        "{}\u{a0} L*\u{a0}{}\u{a0} a*\u{a0}{}\u{a0} b*\u{a0}{}",
        colour.to_srgb8(),
        figure(colour.l),
        figure(colour.a),
        figure(colour.b)
    )
}

fn recipe_text(recipe: &Recipe, shelf: &Shelf) -> String {
    recipe
        .parts
        .iter()
        .map(|(at, parts)| format!("{parts} {}", shelf.stocks()[*at].name))
        .collect::<Vec<_>>()
        .join(" + ")
}

impl RecipeView {
    pub(super) fn new(recipe: &Recipe, shelf: &Shelf, asked: LabD65) -> Self {
        let family = if shelf.families().len() > 1 && recipe.family.is_solvent_borne() {
            format!(" ({})", recipe.family.words())
        } else {
            String::new()
        };
        Self {
            text: format!("{}{family}", recipe_text(recipe, shelf)),
            hex: recipe.colour.to_srgb8().to_string(),
            closeness: closeness_text(recipe.difference.0, recipe.uncertainty.0),
            short: falls_short(asked, recipe.colour).map(|words| format!("{words} than asked")),
        }
    }
}

impl View {
    /// Everything the page says; `date` as it should be printed.
    #[must_use]
    pub fn new(plan: &Plan<'_>, date: &str) -> Self {
        let scene = plan.scene;
        let known: f64 = plan.shopping.iter().filter_map(|line| line.price).sum();
        let unknown = plan
            .shopping
            .iter()
            .filter(|line| line.price.is_none())
            .count();
        Self {
            title: scene.title.clone(),
            facts: facts(plan, date),
            photos: photos(plan),
            pots: plan
                .pots
                .iter()
                .map(|pot| PotView::new(pot, plan))
                .collect(),
            sheets: plan
                .surfaces
                .iter()
                .enumerate()
                .map(|(i, surface)| SheetView::new(i + 1, surface, plan))
                .collect(),
            shopping: plan
                .shopping
                .iter()
                .map(|line| ShoppingView {
                    paint: match line.purpose {
                        Purpose::Paint => line.paint.clone(),
                        other if line.paint.contains(other.word()) => line.paint.clone(),
                        other => format!("{} ({})", line.paint, other.word()),
                    },
                    needed: or_dash(line.needed.map(|v| ml(v.value()))),
                    on_hand: or_dash(line.on_hand.map(|v| ml(v.value()))),
                    to_buy: match line.to_buy {
                        Some(0) => "none".to_owned(),
                        Some(1) => "1 pot".to_owned(),
                        Some(n) => format!("{n} pots"),
                        None => "check the shelf".to_owned(),
                    },
                    price: or_dash(line.price.filter(|p| *p > 0.0).map(|p| format!("{p:.2}"))),
                })
                .collect(),
            scatter_shopping: ScatterShoppingView::all(plan),
            fewest: FewestView::of(plan),
            shopping_total: (known > 0.0).then(|| match unknown {
                0 => format!("{known:.2}"),
                n => format!("at least {known:.2}; {n} to check"),
            }),
            notes: plan
                .notes
                .iter()
                .map(|note| NoteView {
                    text: note_text(note),
                    hint: note_hint(note),
                })
                .collect(),
            cautions: all_cautions(plan),
            rule_words: rule_text(plan),
            compared: None,
            lamp: plan.lamp.as_ref().map(|lamp| lamp.name.clone()),
        }
    }

    /// The same with a sheet that holds this plan against another one.
    #[must_use]
    pub fn held_against(mut self, comparison: &Comparison) -> Self {
        self.compared = Some(CompareView::new(comparison));
        self
    }
}

/// The title block.
fn facts(plan: &Plan<'_>, date: &str) -> Vec<Fact> {
    let scene = plan.scene;
    let mut facts = vec![
        Fact {
            label: "Scale",
            value: scene.scale.to_string(),
        },
        Fact {
            label: "Seen from",
            value: distance_text(scene.view.value() / 1000.0),
        },
        Fact {
            label: "Lamps",
            value: or_dash(scene.lamps.as_ref().map(ToString::to_string)),
        },
        Fact {
            label: "Scale colour",
            value: rule_text(plan),
        },
        Fact {
            label: "Paint list",
            value: format!(
                "{}, {} paints",
                file_name(&plan.paints.file),
                plan.paints.paints().len()
            ),
        },
    ];
    if let Some(scatter) = plan.scatter {
        facts.push(Fact {
            label: "Scatter list",
            value: format!(
                "{}, {} kinds",
                file_name(&scatter.file),
                scatter.items().len()
            ),
        });
    }
    facts.push(Fact {
        label: "Issued",
        value: date.to_owned(),
    });
    facts
}

/// The cautions of all surfaces, each once.
fn all_cautions(plan: &Plan<'_>) -> Vec<&'static str> {
    let mut cautions: Vec<Caution> = plan
        .surfaces
        .iter()
        .flat_map(|s| s.cautions.iter().copied())
        .collect();
    cautions.sort_unstable();
    cautions.dedup();
    cautions.into_iter().map(Caution::text).collect()
}

/// "0.9 m", "12 m", "2.5 km".
fn distance_text(metres: f64) -> String {
    let (value, unit) = if metres >= 1000.0 {
        (metres / 1000.0, "km")
    } else {
        (metres, "m")
    };
    let text = if value >= 10.0 {
        format!("{value:.0}")
    } else {
        format!("{value:.1}")
    };
    format!("{} {unit}", text.trim_end_matches(".0"))
}

fn rule_text(plan: &Plan<'_>) -> String {
    let settings = &plan.scene.scale_colour;
    match settings.rule {
        ScaleRule::Air => format!(
            "air, visibility {}, colour of the air {}",
            distance_text(settings.visibility.value()),
            settings.air.to_srgb8()
        ),
        ScaleRule::Customary => format!(
            "customary, {:.0} % white paint",
            100.0 * crate::scale_colour::customary_white(plan.scene.scale)
        ),
        ScaleRule::None => "none".to_owned(),
    }
}

/// The photo strip, in the order in which surfaces first use the photos.
fn photos(plan: &Plan<'_>) -> Vec<PhotoView> {
    let mut all: Vec<(usize, PhotoView)> = plan
        .photos
        .iter()
        .enumerate()
        .map(|(i, photo)| {
            let regions: Vec<(usize, &Region)> = plan
                .surfaces
                .iter()
                .enumerate()
                .flat_map(|(s, surface)| surface.parts.iter().map(move |part| (s + 1, part)))
                .filter(|(_, part)| part.photo == i)
                .map(|(number, part)| (number, &part.region))
                .collect();
            let names: Vec<String> = regions
                .iter()
                .map(|(number, _)| format!("{number} {}", plan.surfaces[number - 1].name))
                .collect();
            let from = photo.from.map_or_else(String::new, |m| {
                format!(", taken from {}", distance_text(m.value()))
            });
            let view = PhotoView {
                key: names.join(", "),
                caption: format!(
                    "{}, {} × {} pixels, {}{from}. Colours ± {:.0}.",
                    photo.key, photo.width, photo.height, photo.profile, photo.light.uncertainty.0
                ),
                credit: photo.credit.clone(),
                figure: photo.strip.as_ref().map(|strip| {
                    let label = format!(
                        "Photo {} with the regions of {}",
                        photo.key,
                        names.join(", ")
                    );
                    PhotoFigure::new(label, strip, [0.0, 0.0, 1.0, 1.0], &regions)
                }),
            };
            (
                regions.first().map_or(usize::MAX, |(number, _)| *number),
                view,
            )
        })
        .collect();
    all.sort_by_key(|(first, _)| *first);
    all.into_iter().map(|(_, view)| view).collect()
}

impl PotView {
    fn new(pot: &Pot, plan: &Plan<'_>) -> Self {
        let surfaces = surfaces_of(pot, plan);
        let recipe = pot.recipe.as_ref();
        let total = recipe.map_or(0, Recipe::total_parts);
        Self {
            number: pot.number,
            name: capitalised(pot.name),
            swatches: recipe.map(|recipe| {
                let label = format!(
                    "{}: planned {}, predicted {}",
                    pot_name(pot),
                    pot.colour.to_srgb8(),
                    recipe.colour.to_srgb8()
                );
                Swatches::row(label, 120, 44, &[(pot.colour, 1.0), (recipe.colour, 1.0)])
            }),
            parts: recipe.map_or_else(Vec::new, |recipe| {
                plan.shelf
                    .stirring_order(recipe)
                    .iter()
                    .map(|(at, parts)| PartView {
                        parts: *parts,
                        name: plan.shelf.stocks()[*at].name.clone(),
                        volume: or_dash(
                            pot.volume
                                .map(|v| ml(v.value() * f64::from(*parts) / f64::from(total))),
                        ),
                    })
                    .collect()
            }),
            volume: or_dash(pot.volume.map(|v| ml(v.value()))),
            surfaces: surfaces.join(", "),
            closeness: recipe.map_or_else(
                || "nothing on the list mixes".to_owned(),
                |r| closeness_text(r.difference.0, r.uncertainty.0),
            ),
        }
    }
}

impl SheetView {
    fn new(number: usize, surface: &SurfacePlan, plan: &Plan<'_>) -> Self {
        let pairs = confused_pairs(&surface.tones);
        let tones: Vec<ToneView> = surface
            .tones
            .iter()
            .enumerate()
            .map(|(i, tone)| {
                let mut view = ToneView::new(i + 1, tone, surface, plan, tag(&pairs, i));
                if surface.unpainted.contains(&i) {
                    view.role.push_str(unpainted_words(surface.treatment));
                }
                view
            })
            .collect();
        let shares = surface
            .tones
            .iter()
            .map(|t| format!("{} {:.0} %", t.tone.name, 100.0 * t.tone.share.value()))
            .collect::<Vec<_>>()
            .join(", ");
        let planned: Vec<LabD65> = surface.tones.iter().map(|t| t.moved.colour).collect();
        let paints: Vec<LabD65> = plan.shelf.stocks().iter().map(|s| s.prepared.lab).collect();
        Self {
            number,
            name: surface.name.clone(),
            about: about_surface(surface),
            crops: surface
                .parts
                .iter()
                .enumerate()
                .filter_map(|(p, part)| {
                    let crop = part.crop.as_ref()?;
                    let label = format!("{} in its photo, with its region drawn on", surface.name);
                    let mut figure =
                        PhotoFigure::new(label, crop, part.span, &regions_of(surface, part));
                    figure.id = format!("crop-{number}-{}", p + 1);
                    Some(figure)
                })
                .collect(),
            maps: surface
                .parts
                .iter()
                .filter_map(|part| {
                    MapFigure::new(&surface.name, part.map.as_ref()?, &surface.tones)
                })
                .collect(),
            bar: BarFigure::new(
                format!("Planned tones by their share of the area: {shares}"),
                &surface.tones,
                &pairs,
            ),
            confused: confusion_text(&pairs),
            plane: PlaneFigure::new(
                format!(
                    "Planned tones of {} by lightness and in the a* b* plane; dashed: the span of the listed paints",
                    surface.name
                ),
                &planned,
                &paints,
            ),
            tones,
            moved: moved_text(surface, plan),
            keep: keep_text(surface),
            rules: rules(surface),
            steps: surface
                .steps
                .iter()
                .map(|step| step_text(step, &plan.pots))
                .collect(),
            cautions: surface
                .cautions
                .iter()
                .filter(|c| !matches!(c, Caution::KeepApart | Caution::LabelFirst))
                .map(|c| c.text())
                .collect(),
            hillside: HillsideView::new(surface, plan),
            dirt: DirtView::new(surface),
            as_built: AsBuiltView::all(surface, plan),
        }
    }
}

/// Treatment, area, coats and distance on one line.
fn about_surface(surface: &SurfacePlan) -> String {
    let mut about = vec![
        match surface.treatment {
            Treatment::Coat => "painted",
            Treatment::Rock => "rock",
            Treatment::Scatter => "strewn with scatter",
            Treatment::Wash => "wash",
        }
        .to_owned(),
    ];
    if let Some(area) = surface.area {
        about.push(format!("{:.0} cm²", area.value()));
    }
    if surface.treatment == Treatment::Coat {
        about.push(if surface.coats == 1 {
            "1 coat".to_owned()
        } else {
            format!("{} coats", surface.coats)
        });
    }
    if let Some(from) = surface.from {
        about.push(format!("photographed from {}", distance_text(from.value())));
    }
    about.join(", ")
}

/// Why no pot is mixed for a tone.
fn unpainted_words(treatment: Treatment) -> &'static str {
    match treatment {
        Treatment::Rock => " (not in the scheme)",
        Treatment::Coat | Treatment::Wash | Treatment::Scatter => " (the wash leads there)",
    }
}

/// What each rule of scale colour does to each tone.
fn rules(surface: &SurfacePlan) -> Vec<RuleView> {
    surface
        .tones
        .iter()
        .enumerate()
        .map(|(i, tone)| RuleView {
            tone: i + 1,
            swatches: Swatches::row(
                format!(
                    "Tone {}: as photographed, by air, by custom, with none",
                    i + 1
                ),
                320,
                36,
                &std::iter::once((tone.tone.colour, 1.0))
                    .chain(tone.by_rule.iter().map(|m| (m.colour, 1.0)))
                    .collect::<Vec<_>>(),
            ),
            by: tone
                .by_rule
                .iter()
                .map(|m| RuleMove {
                    hex: m.colour.to_srgb8().to_string(),
                    by: format!("{:.1}", m.by.0),
                })
                .collect(),
        })
        .collect()
}

/// How far the rule moved the tones, in words.
fn moved_text(surface: &SurfacePlan, plan: &Plan<'_>) -> String {
    let moves: Vec<f64> = surface.tones.iter().map(|t| t.moved.by.0).collect();
    let (low, high) = moves
        .iter()
        .fold((f64::INFINITY, 0.0_f64), |(l, h), m| (l.min(*m), h.max(*m)));
    let rule = rule_text(plan);
    let direction = match surface.tones.first().map(|t| t.moved.note) {
        Some(AirNote::Removed | AirNote::RemovedToFloor) => {
            " The camera stood further off than the model is seen, so the photo's surplus of air was taken out."
        }
        Some(AirNote::LeftIn) => " The photo's own haze was left in.",
        _ => "",
    };
    if high < 0.05 {
        format!("Scale colour by {rule}: nothing moved.{direction}")
    } else if high - low < 0.05 {
        format!("Scale colour by {rule}: tones moved by ΔE00 {high:.1}.{direction}")
    } else {
        format!("Scale colour by {rule}: tones moved by ΔE00 {low:.1} to {high:.1}.{direction}")
    }
}

/// Whether the mixes want to be kept loose.
fn keep_text(surface: &SurfacePlan) -> String {
    let spread = surface.spread.0;
    if surface.treatment == Treatment::Scatter {
        return format!(
            "Within its tones the surface varies by ΔE00 {spread:.0}: strew unevenly, and do not stir the kinds of a pass into one even mix."
        );
    }
    let varied = surface.tones.iter().filter(|t| !t.tone.is_even()).count();
    let how = if varied == 0 {
        "even: keep the mixes well stirred and the coat smooth"
    } else if varied < surface.tones.len() {
        "even in some and varied in others: where it says loose, let brush marks and a half-mixed pot show a little"
    } else {
        "varied: keep the mixes loose, go over it with small patches lighter and darker"
    };
    format!("Within its tones the surface is {how} (mean ΔE00 {spread:.0}).")
}

/// The part a tone plays, and in which band where its surface has some.
fn role_text(tone: &TonePlan, surface: &SurfacePlan) -> String {
    let role = tone.tone.role.word();
    surface.zones[tone.zone].band.as_ref().map_or_else(
        || capitalised(role),
        |band| format!("{}, {role}", capitalised(&band.name)),
    )
}

/// The regions to draw on a crop: those of the bands where the surface has some, else the part's own.
fn regions_of<'a>(surface: &'a SurfacePlan, part: &'a PartSeen) -> Vec<(usize, &'a Region)> {
    let bands: Vec<(usize, &Region)> = surface
        .zones
        .iter()
        .enumerate()
        .filter_map(|(i, zone)| Some((i + 1, zone.band.as_ref()?.region.as_ref()?)))
        .collect();
    if bands.is_empty() {
        vec![(0, &part.region)]
    } else {
        bands
    }
}

/// What to say of a tone that is not painted.
fn left_to_lamps(tone: &TonePlan, surface: &SurfacePlan) -> Option<String> {
    let shade = tone.tone.shade_of.filter(|_| tone.left_to_lamps)?;
    let lit = surface.tones.get(shade.lit)?;
    Some(format!(
        "Not painted: this is tone {}, {}, in {:.0} % of the light. Leave the shadow to your lamps.",
        shade.lit + 1,
        lit.tone.name,
        100.0 * shade.line.light()
    ))
}

impl ToneView {
    fn new(
        number: usize,
        tone: &TonePlan,
        surface: &SurfacePlan,
        plan: &Plan<'_>,
        tag: Option<&'static str>,
    ) -> Self {
        let planned = tone.moved.colour;
        let mixes: &[Recipe] = if tone.left_to_lamps {
            &[]
        } else {
            &tone.recipes
        };
        let best = mixes.first();
        let predicted = best.map(|recipe| recipe.colour);
        let label = format!(
            "{}: photographed {}, planned {}{}",
            tone.tone.name,
            tone.tone.colour.to_srgb8(),
            planned.to_srgb8(),
            predicted.map_or_else(String::new, |c| format!(", predicted mix {}", c.to_srgb8())),
        );
        Self {
            number,
            role: role_text(tone, surface),
            share: about(tone.tone.share.value()),
            name: capitalised(tone.tone.name),
            swatches: ToneFigure::new(label, tone, tag),
            printed: Swatches::row(
                format!("{}, planned {}", tone.tone.name, planned.to_srgb8()),
                120,
                52,
                &[(planned, 1.0)],
            ),
            photographed: lab_text(tone.tone.colour),
            planned: lab_text(planned),
            predicted: predicted.map_or_else(String::new, lab_text),
            moved: format!("{:.1}", tone.moved.by.0),
            pot_number: tone.pot.map(|pot| plan.pots[pot].number),
            pot: tone.pot.map(|pot| {
                let pot = &plan.pots[pot];
                let batch = pot
                    .volume
                    .map_or_else(String::new, |v| format!(", batch {}", ml(v.value())));
                format!("{}{batch}", pot_name(pot))
            }),
            recipe: best.map(|recipe| RecipeView::new(recipe, plan.shelf, planned)),
            others: mixes
                .iter()
                .skip(1)
                .map(|recipe| RecipeView::new(recipe, plan.shelf, planned))
                .collect(),
            target: format!("± {:.0}", tone.target_uncertainty.0),
            lamps: left_to_lamps(tone, surface),
            loose: tone.tone.keep(),
        }
    }
}
