//! From TOML text to a checked scene.

use super::checked::{
    Band, Lamps, LightWish, Neutral, PhotoPart, PhotoSource, PlaceOnSurface, Scene, ShadeWish,
    Surface, Technique, Treatment, WashBase, WashWish,
};
use super::error::SceneError;
use super::known::{known_by_surfaces, read_known, read_like, read_material, without_materials};
use super::table::{SceneTable, Source};
use crate::lamps::ILLUMINANTS;
use crate::paint::{Medium, ScatterMaterial, medium_meant};
use crate::problem::{Explain, Place, nearest_word, turning_sign};
use crate::region::{Outline, Region};
use crate::scale_colour::{ScaleColour, ScaleRule};
use crate::scatter::{Land, LayOrder};
use crate::tones::{Count, MOST_TONES};
use crate::units::{Metres, Millimetres, ScaleRatio};
use std::collections::BTreeMap;
use toml::de::DeTable;

/// Most bands of one hillside.
const MOST_BANDS: usize = 5;
/// Eye to model when a scene does not say.
const USUAL_VIEW: f64 = 900.0;

/// Reads and checks a scene; `file` is its name for messages.
///
/// # Errors
/// All faults at once, sorted by place.
pub fn parse_scene(
    file: &str,
    bytes: &[u8],
    allow_outside: bool,
) -> Result<Scene, Vec<SceneError>> {
    let (scene, faults) = read_scene(file, bytes, allow_outside);
    sorted_out(scene, faults)
}

/// As [`parse_scene`], but a scene whose surfaces are still to be drawn will do.
///
/// # Errors
/// All faults at once, sorted by place.
pub fn parse_scene_to_draw(
    file: &str,
    bytes: &[u8],
    allow_outside: bool,
) -> Result<Scene, Vec<SceneError>> {
    let (scene, mut faults) = read_scene(file, bytes, allow_outside);
    faults.retain(|fault| !matches!(fault, SceneError::NoSurface { .. }));
    sorted_out(scene, faults)
}

fn sorted_out(scene: Option<Scene>, mut faults: Vec<SceneError>) -> Result<Scene, Vec<SceneError>> {
    faults.sort_by_key(Explain::place);
    faults.dedup();
    match scene {
        Some(scene) if faults.is_empty() => Ok(scene),
        _ => Err(faults),
    }
}

/// What can be read, and every fault that was met.
fn read_scene(file: &str, bytes: &[u8], allow_outside: bool) -> (Option<Scene>, Vec<SceneError>) {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let Ok(text) = std::str::from_utf8(bytes) else {
        let fault = SceneError::NotUtf8 {
            place: Place::file(file),
        };
        return (None, vec![fault]);
    };
    let source = Source::new(file, text);
    if let Some((line, found)) = turning_sign(text) {
        source.fault(SceneError::OutOfRange {
            place: Place::file(file).at_line(line),
            found,
            expected: "text without it: write the line again by hand",
        });
    }
    let (root, errors) = DeTable::parse_recoverable(text);
    // What follows a first slip is mostly its echo.
    if let Some(error) = errors.first() {
        source.fault(SceneError::NotToml {
            place: source.place(&error.span().unwrap_or(0..0)),
            detail: error.message().replace('\n', ", "),
            line: line_at(text, error.span().map_or(0, |span| span.start)),
        });
    }
    let mut scene = None;
    if errors.is_empty() {
        let table = SceneTable::new(&source, root.get_ref(), String::new(), Place::file(file));
        scene = Reader {
            allow_outside,
            model_photos: Vec::new(),
        }
        .scene(file, &table);
    }
    (scene, source.into_faults())
}

/// The line of a text that holds a byte.
fn line_at(text: &str, at: usize) -> String {
    let mut end = 0;
    text.split_inclusive('\n')
        .find(|line| {
            end += line.len();
            at < end
        })
        .unwrap_or_default()
        .to_owned()
}

struct Reader {
    allow_outside: bool,
    /// Photos of clean models; they follow the scene's own photos.
    model_photos: Vec<PhotoSource>,
}

impl Reader {
    fn scene(mut self, file: &str, root: &SceneTable<'_, '_>) -> Option<Scene> {
        let title = root.needed_text("title", "title = \"Hop-valley brewery\"");
        if !root.has("scale") {
            root.missing("scale", "scale = \"1:87\"");
        }
        let scale: Option<ScaleRatio> = root.measure("scale", "a scale such as \"1:87\"");
        let view: Option<Millimetres> = root.measure("view", "a length such as \"0.9 m\"");
        if view.is_some_and(|v| v.value() < 10.0) {
            root.fault(SceneError::OutOfRange {
                place: root.place_of("view"),
                found: "a distance below 1 cm".to_owned(),
                expected: "the distance from the eye to the model, such as \"0.9 m\"",
            });
        }
        let lamps = self.lamps(root);
        if !root.has("paints") {
            root.missing("paints", "paints = \"paints.csv\"");
        }
        let (paints, paints_medium) = self.paints(root);
        let scatter = root.path(
            "scatter",
            "a file such as \"scatter.csv\"",
            self.allow_outside,
        );
        let scale_colour = scale_colour(root);
        let visibility_stated = root
            .table("scale_colour", "a table")
            .is_some_and(|table| table.has("visibility"));
        let (keys, mut photos) = self.photos(root);
        let entries = root.tables("surface", "tables, each written [[surface]]");
        if entries.is_empty() && !root.has("surface") {
            root.fault(SceneError::NoSurface {
                place: Place::file(file),
            });
        }
        let surfaces: Vec<Option<Surface>> = entries
            .iter()
            .map(|entry| self.surface(entry, &keys))
            .collect();
        let named = |surface: &Option<Surface>| surface.as_ref().map(|s| s.name.to_lowercase());
        each_once("surface", &entries, surfaces.iter().map(named));
        let names: Vec<String> = surfaces.iter().filter_map(named).collect();
        for (surface, entry) in surfaces.iter().zip(&entries) {
            if let Some(WashBase::Surface(other)) = surface
                .as_ref()
                .and_then(|s| s.wash.as_ref()?.base.as_ref())
                && !names.contains(&other.to_lowercase())
            {
                unknown_name(entry, "wash", other, "surfaces", &names);
            }
        }
        if surfaces.iter().all(Option::is_some) && photos.len() == keys.len() {
            let read: Vec<Surface> = surfaces.iter().flatten().cloned().collect();
            known_by_surfaces(&mut photos, &read);
            without_materials(&photos).for_each(|fault| root.fault(fault));
        }
        photos.append(&mut self.model_photos);
        root.done();
        Some(Scene {
            file: file.to_owned(),
            title: title?,
            scale: scale?,
            view: match view {
                Some(view) => view,
                None if root.has("view") => return None,
                None => Millimetres::new(USUAL_VIEW).ok()?,
            },
            lamps,
            lamps_place: root.place_of("lamps"),
            paints: paints?,
            paints_place: root.place_of("paints"),
            paints_medium,
            scatter,
            scatter_place: root.place_of("scatter"),
            scale_colour: scale_colour?,
            visibility_stated,
            photos,
            surfaces: surfaces.into_iter().collect::<Option<Vec<_>>>()?,
        })
    }

    /// The paint list: a file, or a table of the file and the medium of paints that state none.
    fn paints(&self, root: &SceneTable<'_, '_>) -> (Option<String>, Option<Medium>) {
        const FILE: &str = "a file such as \"paints.csv\"";
        if !root.is_table("paints") {
            return (root.path("paints", FILE, self.allow_outside), None);
        }
        let Some(table) = root.table("paints", FILE) else {
            return (None, None);
        };
        if !table.has("file") {
            table.missing("file", "file = \"paints.csv\"");
        }
        let file = table.path("file", FILE, self.allow_outside);
        let medium = table
            .text("medium", "a medium such as \"acrylic\"")
            .and_then(|text| {
                let medium = medium_meant(&text);
                if medium.is_none() {
                    table.word::<()>("medium", &Medium::ALL.map(|m| (m.word(), ())));
                }
                medium
            });
        table.done();
        (file, medium)
    }

    fn lamps(&self, root: &SceneTable<'_, '_>) -> Option<Lamps> {
        const EXPECTED: &str = "a CIE illuminant such as \"LED-B3\", a colour temperature such as \"4000 K\", \"daylight\", or a spectrum file";
        let text = root.text("lamps", EXPECTED)?;
        if text.eq_ignore_ascii_case("daylight") {
            return Some(Lamps::Daylight);
        }
        let known = || ILLUMINANTS.into_iter();
        if let Some(name) = known().find(|name| name.eq_ignore_ascii_case(&text)) {
            return Some(Lamps::Illuminant(name.to_owned()));
        }
        if let Some(kelvin) = crate::lamps::kelvin(&text) {
            if (1000.0..=25_000.0).contains(&kelvin) {
                return Some(Lamps::Kelvin(kelvin));
            }
            root.fault(SceneError::OutOfRange {
                place: root.place_of("lamps"),
                found: format!("\"{text}\""),
                expected: "a colour temperature from 1000 K to 25000 K",
            });
            return None;
        }
        if text.contains('.') {
            return root
                .path("lamps", EXPECTED, self.allow_outside)
                .map(Lamps::Spectrum);
        }
        root.fault(SceneError::UnknownLamp {
            place: root.place_of("lamps"),
            found: text,
        });
        None
    }

    /// The photos in the order of their names: all names, also of photos with faults, and those without.
    fn photos(&mut self, root: &SceneTable<'_, '_>) -> (Vec<String>, Vec<PhotoSource>) {
        let Some(photos) = root.table("photos", "tables, each written [photos.name]") else {
            return (Vec::new(), Vec::new());
        };
        let mut tables = photos.named_tables("a table written [photos.name]");
        tables.sort_by(|a, b| a.0.cmp(&b.0));
        let keys = tables.iter().map(|(key, _)| key.clone()).collect();
        let good = tables
            .into_iter()
            .filter_map(|(key, table)| self.photo(key, &table))
            .collect();
        (keys, good)
    }

    fn photo(&mut self, key: String, table: &SceneTable<'_, '_>) -> Option<PhotoSource> {
        if !table.has("file") {
            table.missing("file", "file = \"wall.jpg\"");
        }
        let file = table.path("file", "a file such as \"wall.jpg\"", self.allow_outside);
        let from: Option<Metres> = table.measure("from", "a distance such as \"8 m\"");
        let credit = table.text(
            "credit",
            "whose photo it is, such as \"Photo: A. Friend, CC BY 4.0\"",
        );
        let neutral = table
            .table(
                "neutral",
                "a table such as { at = [0.41, 0.77], reflectance = 0.18 }",
            )
            .and_then(|neutral| read_neutral(&neutral));
        let chart = table.points("chart").and_then(|points| {
            let corners = <[[f64; 2]; 4]>::try_from(points.clone()).ok();
            let inside = points.iter().flatten().all(|v| (0.0..=1.0).contains(v));
            if corners.is_none() || !inside {
                table.fault(SceneError::WrongKind {
                    place: table.place_of("chart"),
                    found: format!("{} points", points.len()),
                    expected: "four corners inside the photo, at patches 1, 6, 24 and 19",
                });
            }
            corners.filter(|_| inside)
        });
        let light = table.word("light", &LightWish::ALL);
        let known: Vec<_> = table
            .tables("known", "tables, each written [[photos.NAME.known]]")
            .iter()
            .map(read_known)
            .collect();
        let wet = table.yes_no("wet");
        let sky = table.outline("sky").map(|outline| Region {
            outline,
            leave_out: Vec::new(),
        });
        table.done();
        let known = known.into_iter().collect::<Option<Vec<_>>>()?;
        Some(PhotoSource {
            place: table.place_of("file"),
            key,
            file: file?,
            from,
            credit,
            neutral,
            chart,
            light,
            materials: known.clone(),
            known,
            wet: wet.unwrap_or(false),
            sky,
        })
    }

    fn surface(&mut self, table: &SceneTable<'_, '_>, photos: &[String]) -> Option<Surface> {
        let name = table.needed_text("name", "name = \"Kiln wall\"");
        let material = read_material(table, "material");
        let like = if table.has("like") {
            Some(read_like(table))
        } else {
            None
        };
        let parts = match &like {
            Some(_) => without_photo(table),
            None => surface_parts(table, photos),
        };
        let treatment = table.word("treatment", &Treatment::ALL);
        let area = table.measure("area", "an area such as \"310 cm2\"");
        let coats = table.whole("coats", 1..=10, "a whole number of coats from 1 to 10");
        let variety = table.yes_no("variety");
        let most = u32::try_from(MOST_TONES).unwrap_or(u32::MAX);
        let tones = table.whole("tones", 1..=most, "a whole number of tones from 1 to 24");
        let shade = table.word(
            "shade",
            &[
                ("join", ShadeWish::Join),
                ("keep", ShadeWish::Keep),
                ("ask", ShadeWish::Ask),
            ],
        );
        let alike = table.colour_groups("alike");
        let one_surface = table.yes_no("one_surface");
        let model_photo = table
            .table("model_photo", "a table such as { file = \"my-kit.jpg\" }")
            .and_then(|photo| {
                self.model_photo(&photo, name.as_deref().unwrap_or_default(), photos.len())
            });
        let wash = table
            .table("wash", "a table written [surface.wash]")
            .map(|wash| read_wash(&wash, treatment));
        if treatment == Some(Treatment::Wash) && wash.is_none() {
            table.missing(
                "wash",
                "[surface.wash] with base = \"#a4523a\": a wash alone must lie over something",
            );
        }
        let places: Vec<_> = table
            .tables("place", "tables, each written [[surface.place]]")
            .iter()
            .map(read_place)
            .collect();
        let entries = table.tables("band", "tables, each written [[surface.band]]");
        let bands: Vec<_> = entries.iter().map(read_band).collect();
        let named = |band: &Option<Band>| band.as_ref().map(|band| band.name.to_lowercase());
        each_once("band", &entries, bands.iter().map(named));
        bands_in_order(table, &entries, &bands);
        if bands.len() > MOST_BANDS {
            table.fault(SceneError::OutOfRange {
                place: table.place_of("band"),
                found: format!("{} bands", bands.len()),
                expected: "2 to 5 bands from the front edge to the backscene",
            });
        }
        let order = table.word("order", &LayOrder::ALL);
        let land = table.word("land", &Land::ALL);
        let allow = table.words("allow", &ScatterMaterial::ALL);
        let crown = read_crown(table);
        table.done();
        Some(Surface {
            name: name?,
            parts: parts?,
            material,
            like: match like {
                Some(like) => Some(like?),
                None => None,
            },
            treatment: treatment.unwrap_or(Treatment::Coat),
            area,
            coats: coats.unwrap_or(2),
            variety,
            tones: tones.map_or(Count::Chosen, |n| Count::Exactly(n as usize)),
            shade,
            one_surface: one_surface.unwrap_or(false),
            alike,
            model_photo,
            wash: match wash {
                Some(wash) => Some(wash?),
                None => None,
            },
            places: places.into_iter().collect::<Option<Vec<_>>>()?,
            bands: bands.into_iter().collect::<Option<Vec<_>>>()?,
            order: order.unwrap_or_default(),
            land,
            allow,
            crown,
        })
    }

    /// A photo of the clean model: kept behind the `known` photos of the scene.
    fn model_photo(
        &mut self,
        table: &SceneTable<'_, '_>,
        surface: &str,
        known: usize,
    ) -> Option<PhotoPart> {
        if !table.has("file") {
            table.missing("file", "file = \"my-kit.jpg\"");
        }
        let file = table.path("file", "a file such as \"my-kit.jpg\"", self.allow_outside);
        let region = read_region(table);
        let neutral = table
            .table("neutral", "a table such as { at = [0.41, 0.77] }")
            .and_then(|neutral| read_neutral(&neutral));
        table.done();
        self.model_photos.push(PhotoSource {
            key: format!("clean model of {surface}"),
            file: file?,
            place: table.place_of("file"),
            from: None,
            credit: None,
            neutral,
            chart: None,
            light: None,
            known: Vec::new(),
            materials: Vec::new(),
            wet: false,
            sky: None,
        });
        Some(PhotoPart {
            photo: known + self.model_photos.len() - 1,
            region: region?,
            place: table.place_of("region"),
        })
    }
}

/// Puts down every name, in lower case, that an earlier entry has already.
fn each_once(
    what: &'static str,
    entries: &[SceneTable<'_, '_>],
    names: impl Iterator<Item = Option<String>>,
) {
    let mut first: BTreeMap<String, Place> = BTreeMap::new();
    for (entry, name) in entries.iter().zip(names) {
        let Some(name) = name else { continue };
        let place = entry.place_of("name");
        if let Some(first) = first.get(&name) {
            entry.fault(SceneError::NameTwice {
                place,
                found: entry.text("name", "a name").unwrap_or(name),
                what,
                first: first.line,
            });
        } else {
            first.insert(name, place);
        }
    }
}

fn unknown_name(
    table: &SceneTable<'_, '_>,
    key: &str,
    found: &str,
    what: &'static str,
    known: &[String],
) {
    // "photos/wall.jpg" where [photos.wall] is meant.
    let file = found.rsplit(['/', '\\']).next().unwrap_or(found);
    let stem = file.split('.').next().unwrap_or(file).to_lowercase();
    let by_file = known.iter().find(|name| name.to_lowercase() == stem);
    table.fault(SceneError::UnknownName {
        place: table.place_of(key),
        found: found.to_owned(),
        what,
        known: if known.is_empty() {
            "(none)".to_owned()
        } else {
            known.join(", ")
        },
        nearest: nearest_word(found, known.iter().map(String::as_str))
            .map(str::to_owned)
            .or_else(|| by_file.cloned()),
    });
}

/// A surface that is like a measured material has no photo, region or material of its own.
fn without_photo(table: &SceneTable<'_, '_>) -> Option<Vec<PhotoPart>> {
    // All are asked for, so that none of them is called unknown besides.
    let others: Vec<&'static str> = [
        "photo",
        "photos",
        "region",
        "leave_out",
        "material",
        "band",
        "alike",
    ]
    .into_iter()
    .filter(|key| table.has(key))
    .collect();
    let Some(other) = others.first().copied() else {
        return Some(Vec::new());
    };
    table.fault(SceneError::Both {
        place: table.place_of(other),
        one: "like",
        other,
    });
    None
}

/// `photo` with `region`, or `photos` with several.
fn surface_parts(table: &SceneTable<'_, '_>, photos: &[String]) -> Option<Vec<PhotoPart>> {
    if table.has("photo") && table.has("photos") {
        table.fault(SceneError::Both {
            place: table.place_of("photos"),
            one: "photo",
            other: "photos",
        });
        return None;
    }
    if table.has("photos") {
        let entries = table.tables(
            "photos",
            "tables such as [{ photo = \"kiln\", region = [...] }]",
        );
        let parts: Option<Vec<PhotoPart>> = entries
            .iter()
            .map(|entry| {
                let part = photo_part(entry, photos);
                entry.done();
                part
            })
            .collect();
        if entries.is_empty() {
            table.missing("photo", "photo = \"kiln\"");
        }
        return parts.filter(|parts| !parts.is_empty());
    }
    photo_part(table, photos).map(|part| vec![part])
}

fn photo_part(table: &SceneTable<'_, '_>, photos: &[String]) -> Option<PhotoPart> {
    let named = table.needed_text("photo", "photo = \"kiln\"");
    let region = read_region(table);
    let named = named?;
    let Some(photo) = photos.iter().position(|key| *key == named) else {
        unknown_name(table, "photo", &named, "photos", photos);
        return None;
    };
    Some(PhotoPart {
        photo,
        region: region?,
        place: table.place_of("region"),
    })
}

/// `region` and `leave_out`; without a region the whole photo counts.
pub(super) fn read_region(table: &SceneTable<'_, '_>) -> Option<Region> {
    let written = table.has("region");
    let outline = table.outline("region");
    let leave_out = table.outlines("leave_out");
    Some(Region {
        outline: if written { outline? } else { Outline::whole() },
        leave_out,
    })
}

fn read_neutral(table: &SceneTable<'_, '_>) -> Option<Neutral> {
    let reflectance = table.number(
        "reflectance",
        0.01..=1.0,
        "a reflectance from 0.01 to 1 (a grey card is 0.18)",
    );
    let at = table.numbers("at", "a point such as [0.41, 0.77]");
    let outline = table.outline("region");
    if !table.has("at") && !table.has("region") {
        table.missing("at", "at = [0.41, 0.77]");
    }
    table.done();
    let region = match (outline, at) {
        (Some(outline), _) => Region {
            outline,
            leave_out: Vec::new(),
        },
        (None, Some(point)) => Region::about(point).ok()?,
        (None, None) => return None,
    };
    Some(Neutral {
        region,
        reflectance,
    })
}

fn scale_colour(root: &SceneTable<'_, '_>) -> Option<ScaleColour> {
    let usual = ScaleColour::default();
    if !root.has("scale_colour") {
        return Some(usual);
    }
    let table = root.table(
        "scale_colour",
        "a table such as { rule = \"air\", visibility = \"10 km\" }",
    )?;
    let rule = table.word("rule", &ScaleRule::ALL);
    let visibility: Option<Metres> = table.measure("visibility", "a distance such as \"10 km\"");
    if visibility.is_some_and(|v| v.value() < 100.0) {
        table.fault(SceneError::OutOfRange {
            place: table.place_of("visibility"),
            found: "a visibility below 100 m".to_owned(),
            expected: "100 m or more (10 km is usual, 20 km clear, 2 km hazy)",
        });
    }
    let air = table.colour("air");
    table.done();
    Some(ScaleColour {
        rule: rule.unwrap_or(usual.rule),
        visibility: visibility.unwrap_or(usual.visibility),
        air: air.unwrap_or(usual.air),
    })
}

fn read_wash(table: &SceneTable<'_, '_>, treatment: Option<Treatment>) -> Option<WashWish> {
    if treatment == Some(Treatment::Wash) && !table.has("base") {
        table.missing(
            "base",
            "base = \"#a4523a\", a listed paint's name or { surface = \"Kiln wall\" }: a wash alone must lie over something",
        );
    }
    let base = if table.is_text("base") {
        let text = table.text("base", "a colour, a listed paint or { surface = \"…\" }")?;
        if text.starts_with('#') || text.contains('(') {
            table.colour_from("base", &text).map(WashBase::Colour)
        } else {
            Some(WashBase::Paint(text))
        }
    } else {
        table
            .table("base", "a colour, a listed paint or { surface = \"…\" }")
            .and_then(|base| {
                let surface = base.needed_text("surface", "surface = \"Kiln wall\"");
                base.done();
                surface.map(WashBase::Surface)
            })
    };
    let flat = table.colour("flat");
    let recess = table.colour("recess");
    let grime = table.number(
        "grime",
        0.0..=1.5,
        "a number from 0 to 1.5 (1 is as photographed)",
    );
    let pool = table.number("pool", 1.0..=32.0, "a number from 1 to 32 (4 is usual)");
    let film = table.number(
        "film",
        0.02..=8.0,
        "a number from 0.02 to 8, against a brushed coat (0.5 is usual; a patch tells it)",
    );
    let recess_weight = table.number(
        "recess_weight",
        0.0..=10.0,
        "a number from 0 to 10 (1 counts recesses like flats)",
    );
    let most_paints = table.whole("most_paints", 1..=3, "a whole number of paints from 1 to 3");
    table.done();
    Some(WashWish {
        base_place: table.place_of("base"),
        base,
        flat,
        recess,
        grime: grime.unwrap_or(1.0),
        pool,
        film,
        recess_weight: recess_weight.unwrap_or(1.0),
        most_paints: most_paints.map_or(2, |n| n as usize),
    })
}

fn read_place(table: &SceneTable<'_, '_>) -> Option<PlaceOnSurface> {
    let name = table.needed_text("name", "name = \"sill\"");
    let technique = table.word("technique", &Technique::ALL);
    let region = if table.has("region") {
        read_region(table)
    } else {
        None
    };
    let colour = table.colour("colour");
    let share = table.number("share", 0.0..=1.0, "a share of the surface from 0 to 1");
    table.done();
    Some(PlaceOnSurface {
        name: name?,
        technique,
        region,
        place: table.place_of("region"),
        colour,
        share,
    })
}

/// Across the crowns of trees or bushes.
fn read_crown(table: &SceneTable<'_, '_>) -> Option<Metres> {
    let crown: Metres = table.measure("crown", "a length such as \"6 m\"")?;
    if !(0.05..=60.0).contains(&crown.value()) {
        table.fault(SceneError::OutOfRange {
            place: table.place_of("crown"),
            found: crown.to_string(),
            expected: "the width of a crown, 5 cm to 60 m",
        });
        return None;
    }
    Some(crown)
}

fn read_band(table: &SceneTable<'_, '_>) -> Option<Band> {
    let name = table.needed_text("name", "name = \"far slope\"");
    let region = if table.has("region") {
        Some(read_region(table)?)
    } else {
        None
    };
    let from = table.measure("from", "a distance such as \"2 km\"");
    let model_depth = table.measure("model_depth", "a length such as \"1.2 m\"");
    let scale = table.measure("scale", "a scale such as \"1:160\"");
    let area = table.measure("area", "an area such as \"20 dm2\"");
    let land = table.word("land", &Land::ALL);
    let crown = read_crown(table);
    table.done();
    Some(Band {
        land,
        crown,
        place: table.place_of("region"),
        name: name?,
        region,
        from,
        model_depth,
        scale,
        area,
    })
}

/// Bands are listed from front to back: none may be nearer than one before it, for the camera or on the model.
fn bands_in_order(
    table: &SceneTable<'_, '_>,
    entries: &[SceneTable<'_, '_>],
    bands: &[Option<Band>],
) {
    type Of = fn(&Band) -> Option<(f64, String)>;
    let measures: [(&'static str, Of); 2] = [
        ("from", |band| band.from.map(|m| (m.value(), m.to_string()))),
        ("model_depth", |band| {
            band.model_depth.map(|d| (d.value(), d.to_string()))
        }),
    ];
    for (key, of) in measures {
        let mut deepest: Option<(usize, f64, String)> = None;
        for (i, band) in bands.iter().enumerate() {
            let Some((value, text)) = band.as_ref().and_then(of) else {
                continue;
            };
            match &deepest {
                Some((at, before, told)) if value < *before => {
                    table.fault(SceneError::BandsCross {
                        place: entries[i].place_of(key),
                        key,
                        found: text,
                        nearer: bands[*at]
                            .as_ref()
                            .map_or_else(String::new, |b| b.name.clone()),
                        before: told.clone(),
                        first: entries[*at].place_of(key).line,
                    });
                }
                _ => deepest = Some((i, value, text)),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SMALL: &str = r#"
title = "Yard"
scale = "1:87"
paints = "paints.csv"
[photos.wall]
file = "wall.jpg"
[[surface]]
name = "Wall"
photo = "wall"
region = [[0.1, 0.1], [0.9, 0.1], [0.9, 0.9]]
"#;

    #[test]
    fn a_small_scene_is_read_with_its_defaults() {
        let scene = parse_scene("scene.toml", SMALL.as_bytes(), false).unwrap();
        assert_eq!(scene.surfaces[0].coats, 2);
        assert_eq!(scene.surfaces[0].treatment, Treatment::Coat);
        assert!((scene.view.value() - 900.0).abs() < 1e-9);
        assert_eq!(scene.scale_colour, ScaleColour::default());
        assert_eq!(scene.surfaces[0].shade, None);
        assert_eq!(scene.surfaces[0].variety, None);
    }

    #[test]
    fn every_fault_is_told_at_once_with_its_line() {
        let text = SMALL
            .replace("scale = \"1:87\"", "scale = \"N\"\nveiw = \"0.9 m\"")
            .replace("file = \"wall.jpg\"", "file = \"../wall.jpg\"")
            .replace(
                "photo = \"wall\"",
                "photo = \"wal\"\ncoats = 0\narea = \"310\"",
            )
            .replace("[0.9, 0.9]]", "[0.9, 1.9]]");
        let faults = parse_scene("scene.toml", text.as_bytes(), false).unwrap_err();
        let told: Vec<String> = faults
            .iter()
            .map(|f| format!("{}: {f}", f.place()))
            .collect();
        let starts = [
            "scene.toml:3, scale: found \"N\", which stands for several ratios",
            "scene.toml:4, veiw: found the key \"veiw\"",
            "scene.toml:7, photos.wall.file: found the path \"../wall.jpg\"",
            "scene.toml:10, surface 1.photo: found \"wal\"",
            "scene.toml:11, surface 1.coats: found 0",
            "scene.toml:12, surface 1.area: found \"310\"",
            "scene.toml:13, surface 1.region: found the point [0.9, 1.9] outside the photo",
        ];
        for start in starts {
            assert!(
                told.iter().any(|t| t.starts_with(start)),
                "{start}\n{told:#?}"
            );
        }
        assert_eq!(
            faults
                .iter()
                .filter_map(Explain::hint)
                .filter(|h| h.contains("did you mean \"view\""))
                .count(),
            1
        );
    }

    #[test]
    fn broken_toml_names_its_line() {
        let faults = parse_scene("scene.toml", b"title = \"a\"\nscale = \n", false).unwrap_err();
        assert_eq!(faults[0].place().line, Some(2), "{faults:?}");
        assert!(parse_scene("scene.toml", b"\xff\xfe", false).is_err());
        assert!(parse_scene("scene.toml", b"", false).is_err());
    }

    #[test]
    fn all_that_is_known_of_the_light_is_taken_together() {
        use crate::photo::KnownLight;
        let with = |keys: &str| {
            let text = SMALL.replace(
                "file = \"wall.jpg\"",
                &format!("file = \"wall.jpg\"\n{keys}"),
            );
            parse_scene("scene.toml", text.as_bytes(), false)
                .map(|scene| scene.photos[0].known_light())
        };
        let chart = "chart = [[0.1, 0.1], [0.4, 0.1], [0.4, 0.3], [0.1, 0.3]]";
        let neutral = "neutral = { at = [0.5, 0.5], reflectance = 0.18 }";
        assert_eq!(with("").unwrap(), KnownLight::Nothing);
        assert_eq!(with("light = \"estimate\"").unwrap(), KnownLight::Estimate);
        assert!(matches!(
            with(&format!("light = \"estimate\"\n{neutral}")).unwrap(),
            KnownLight::Neutral { .. }
        ));
        assert!(matches!(
            with(&format!("{neutral}\n{chart}")).unwrap(),
            KnownLight::Things(things) if things.chart.is_some() && things.neutral.is_some()
        ));
        let tiles = "[[photos.wall.known]]\nmaterial = \"clay roof tile, red\"\nregion = [[0, 0], [1, 0], [1, 1]]";
        assert!(matches!(
            with(&format!("{neutral}\n{tiles}")).unwrap(),
            KnownLight::Things(things) if things.materials.len() == 1 && things.neutral.is_some()
        ));
        assert!(with(&tiles.replace("red", "rde")).is_err());
        let none = with("light = \"materials\"").unwrap_err();
        assert!(none[0].to_string().contains("known"), "{none:?}");
        assert!(with("chart = [[0.1, 0.1], [0.4, 0.1], [0.4, 0.3]]").is_err());
        assert!(with("neutral = { reflectance = 0.18 }").is_err());
    }

    #[test]
    fn what_to_do_about_shade_is_read() {
        let text = format!("{SMALL}shade = \"ask\"\n");
        let scene = parse_scene("scene.toml", text.as_bytes(), false).unwrap();
        assert_eq!(scene.surfaces[0].shade, Some(ShadeWish::Ask));
        let text = format!("{SMALL}shade = \"perhaps\"\n");
        assert!(parse_scene("scene.toml", text.as_bytes(), false).is_err());
    }

    #[test]
    fn tones_that_are_one_are_named_by_their_colours() {
        let with = |value: &str| {
            let text = format!("{SMALL}alike = {value}\n");
            parse_scene("scene.toml", text.as_bytes(), false)
        };
        let scene = with("[[\"#96503c\", \"#b07854\"], [\"#111111\", \"#222222\", \"5R 3/4\"]]");
        let groups = scene.unwrap().surfaces.remove(0).alike;
        assert_eq!((groups.len(), groups[1].len()), (2, 3));
        assert_eq!(groups[0][1].to_srgb8().to_string(), "#b07854");
        for (value, wanted) in [
            ("\"#96503c\"", "groups of two colours or more"),
            (
                "[\"#96503c\", \"#b07854\"]",
                "groups of two colours or more",
            ),
            ("[[\"#96503c\"]]", "groups of two colours or more"),
            ("[[\"#96503c\", 7]]", "groups of two colours or more"),
            ("[[\"#96503c\", \"brickish\"]]", "brickish"),
        ] {
            let faults = with(value).unwrap_err();
            assert_eq!(faults.len(), 1, "{faults:?}");
            assert!(faults[0].to_string().contains(wanted), "{faults:?}");
        }
    }

    #[test]
    fn a_surface_says_its_material_or_is_like_one() {
        let of = |text: &str| parse_scene("scene.toml", text.as_bytes(), false);
        let tiles = "photo = \"wall\"\nmaterial = \"clay roof tile, red\"";
        let said = of(&SMALL.replace("photo = \"wall\"", tiles)).unwrap();
        assert_eq!(said.photos[0].materials.len(), 1);
        let left = SMALL.replace("photo = \"wall\"", tiles).replace(
            "file = \"wall.jpg\"",
            "file = \"wall.jpg\"\nlight = \"as-it-is\"",
        );
        assert!(of(&left).unwrap().photos[0].materials.is_empty());
        let (head, _) = SMALL.split_once("photo = \"wall\"").unwrap();
        let like = |value: &str| of(&format!("{head}like = {value}\n"));
        assert!(like("\"bark\"").unwrap().surfaces[0].parts.is_empty());
        let between = "{ from = \"asphalt, dark\", to = \"asphalt road, worn\", at = 0.25 }";
        let state = like(between).unwrap().surfaces[0].like.unwrap();
        assert!((state.at - 0.25).abs() < 1e-12);
        assert!(like("\"barque\"").is_err());
        assert!(like("{ from = \"bark\" }").is_err());
        assert!(
            of(&SMALL.replace("photo = \"wall\"", "photo = \"wall\"\nlike = \"bark\"")).is_err()
        );
    }

    #[test]
    fn a_wash_over_nothing_is_refused_with_what_to_write() {
        let alone = SMALL.replace("photo = \"wall\"", "photo = \"wall\"\ntreatment = \"wash\"");
        for text in [
            alone.clone(),
            format!("{alone}[surface.wash]\nflat = \"#504138\"\n"),
        ] {
            let faults = parse_scene("scene.toml", text.as_bytes(), false).unwrap_err();
            assert_eq!(faults.len(), 1, "{faults:?}");
            assert!(
                faults[0].to_string().contains("must lie over something"),
                "{faults:?}"
            );
        }
        let based = format!("{alone}[surface.wash]\nbase = \"#a4523a\"\n");
        assert!(parse_scene("scene.toml", based.as_bytes(), false).is_ok());
    }

    #[test]
    fn a_photo_of_the_clean_model_follows_the_photos_of_the_scene() {
        let text = SMALL.replace(
            "photo = \"wall\"",
            "photo = \"wall\"\nmodel_photo = { file = \"kit.jpg\" }",
        );
        let scene = parse_scene("scene.toml", text.as_bytes(), false).unwrap();
        assert_eq!(scene.photos.len(), 2);
        let model = scene.surfaces[0].model_photo.as_ref().unwrap();
        assert_eq!(scene.photos[model.photo].file, "kit.jpg");
    }
}
