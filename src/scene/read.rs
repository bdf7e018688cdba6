//! From TOML text to a checked scene.

use super::checked::{
    Band, Lamps, Neutral, PhotoPart, PhotoSource, PlaceOnSurface, Scene, Surface, Treatment,
    WashBase, WashWish,
};
use super::error::SceneError;
use super::key::{Key, MeasureText, Text};
use super::keys::{
    BandKeys, BaseSurfaceKeys, LEAVE_OUT, ModelPhotoKeys, NeutralKeys, PartKeys, PhotoKeys,
    PlaceKeys, REGION, ScaleColourKeys, SceneKeys, SurfaceKeys, ToldPaintsKeys, WashKeys,
};
use super::known::{known_by_surfaces, read_known, read_like, read_material, without_materials};
use super::table::{MayName, SceneTable, Source};
use crate::lamps::ILLUMINANTS;
use crate::paint::{Medium, medium_meant};
use crate::problem::{Explain, Place, nearest_word, turning_sign};
use crate::region::Region;
use crate::scale_colour::ScaleColour;
use crate::tones::Count;
use crate::units::{Metres, Millimetres};
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
pub fn parse_scene(file: &str, bytes: &[u8], may_name: MayName) -> Result<Scene, Vec<SceneError>> {
    let (scene, faults) = read_scene(file, bytes, may_name);
    sorted_out(scene, faults)
}

/// As [`parse_scene`], but a scene whose surfaces are still to be drawn will do.
///
/// # Errors
/// All faults at once, sorted by place.
pub fn parse_scene_to_draw(
    file: &str,
    bytes: &[u8],
    may_name: MayName,
) -> Result<Scene, Vec<SceneError>> {
    let (scene, mut faults) = read_scene(file, bytes, may_name);
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
fn read_scene(file: &str, bytes: &[u8], may_name: MayName) -> (Option<Scene>, Vec<SceneError>) {
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
            may_name,
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

/// The distance it is seen from; the usual one if the scene gives none.
fn view(root: &SceneTable<'_, '_>) -> Option<Millimetres> {
    let view = root.measure(SceneKeys::VIEW);
    if view.is_some_and(|v| v.value() < 10.0) {
        root.fault(SceneError::OutOfRange {
            place: root.place_of(SceneKeys::VIEW.name),
            found: "a distance below 1 cm".to_owned(),
            expected: "the distance from the eye to the model, such as \"0.9 m\"",
        });
    }
    match view {
        None if !root.has(SceneKeys::VIEW.name) => Millimetres::new(USUAL_VIEW).ok(),
        view => view,
    }
}

/// Reports a wash over a surface that the scene does not have.
fn known_base(entry: &SceneTable<'_, '_>, surface: Option<&Surface>, names: &[String]) {
    let base = surface.and_then(|surface| surface.wash.as_ref()?.base.as_ref());
    if let Some(WashBase::Surface(other)) = base
        && !names.contains(&other.to_lowercase())
    {
        unknown_name(entry, SurfaceKeys::WASH.name, other, "surfaces", names);
    }
}

struct Reader {
    may_name: MayName,
    /// Photos of clean models; they follow the scene's own photos.
    model_photos: Vec<PhotoSource>,
}

impl Reader {
    fn scene(mut self, file: &str, root: &SceneTable<'_, '_>) -> Option<Scene> {
        let title = root.needed_text(SceneKeys::TITLE);
        root.need(SceneKeys::SCALE);
        let scale = root.measure(SceneKeys::SCALE);
        let view = view(root);
        let lamps = self.lamps(root);
        root.need(SceneKeys::PAINTS);
        let (paints, paints_medium) = self.paints(root);
        let scatter = root.path(SceneKeys::SCATTER, self.may_name);
        let scale_colour = scale_colour(root);
        let visibility_stated = root
            .table(SceneKeys::SCALE_COLOUR)
            .is_some_and(|table| table.has(ScaleColourKeys::VISIBILITY.name));
        let (keys, mut photos) = self.photos(root);
        let entries = root.tables(SceneKeys::SURFACE);
        if entries.is_empty() && !root.has(SceneKeys::SURFACE.name) {
            root.fault(SceneError::NoSurface {
                place: Place::file(file),
            });
        }
        let surfaces: Vec<Option<Surface>> = entries
            .iter()
            .map(|entry| self.surface(entry, &keys))
            .collect();
        let named = |surface: &Option<Surface>| surface.as_ref().map(|s| s.name.to_lowercase());
        each_once(
            "surface",
            SurfaceKeys::NAME,
            &entries,
            surfaces.iter().map(named),
        );
        let names: Vec<String> = surfaces.iter().filter_map(named).collect();
        for (surface, entry) in surfaces.iter().zip(&entries) {
            known_base(entry, surface.as_ref(), &names);
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
            view: view?,
            lamps,
            lamps_place: root.place_of(SceneKeys::LAMPS.name),
            paints: paints?,
            paints_place: root.place_of(SceneKeys::PAINTS.name),
            paints_medium,
            scatter,
            scatter_place: root.place_of(SceneKeys::SCATTER.name),
            scale_colour: scale_colour?,
            visibility_stated,
            photos,
            surfaces: surfaces.into_iter().collect::<Option<Vec<_>>>()?,
        })
    }

    /// The paint list: a file, or a table of the file and the medium of paints that state none.
    fn paints(&self, root: &SceneTable<'_, '_>) -> (Option<String>, Option<Medium>) {
        if !root.is_table(SceneKeys::PAINTS) {
            return (root.path(SceneKeys::PAINTS, self.may_name), None);
        }
        let Some(table) = root.table(SceneKeys::PAINTS) else {
            return (None, None);
        };
        table.need(ToldPaintsKeys::FILE);
        let file = table.path(ToldPaintsKeys::FILE, self.may_name);
        let medium = table.text(ToldPaintsKeys::MEDIUM).and_then(|text| {
            let medium = medium_meant(&text);
            if medium.is_none() {
                let words = Medium::ALL.map(|m| (m.word(), ()));
                table.one_of(ToldPaintsKeys::MEDIUM.name, text, &words);
            }
            medium
        });
        table.done();
        (file, medium)
    }

    fn lamps(&self, root: &SceneTable<'_, '_>) -> Option<Lamps> {
        let text = root.text(SceneKeys::LAMPS)?;
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
                place: root.place_of(SceneKeys::LAMPS.name),
                found: format!("\"{text}\""),
                expected: "a colour temperature from 1000 K to 25000 K",
            });
            return None;
        }
        if text.contains('.') {
            return root
                .path(SceneKeys::LAMPS, self.may_name)
                .map(Lamps::Spectrum);
        }
        root.fault(SceneError::UnknownLamp {
            place: root.place_of(SceneKeys::LAMPS.name),
            found: text,
        });
        None
    }

    /// The photos in the order of their names: all names, also of photos with faults, and those without.
    fn photos(&mut self, root: &SceneTable<'_, '_>) -> (Vec<String>, Vec<PhotoSource>) {
        let Some(photos) = root.table(SceneKeys::PHOTOS) else {
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
        table.need(PhotoKeys::FILE);
        let file = table.path(PhotoKeys::FILE, self.may_name);
        let from = table.measure(PhotoKeys::FROM);
        let credit = table.text(PhotoKeys::CREDIT);
        let neutral = table
            .table(PhotoKeys::NEUTRAL)
            .and_then(|neutral| read_neutral(&neutral));
        let chart = table.corners(PhotoKeys::CHART);
        let light = table.word(PhotoKeys::LIGHT);
        let known: Vec<_> = table
            .tables(PhotoKeys::KNOWN)
            .iter()
            .map(read_known)
            .collect();
        let wet = table.yes_no(PhotoKeys::WET);
        let sky = table.outline(PhotoKeys::SKY).map(|outline| Region {
            outline,
            leave_out: Vec::new(),
        });
        table.done();
        let known = known.into_iter().collect::<Option<Vec<_>>>()?;
        Some(PhotoSource {
            place: table.place_of(PhotoKeys::FILE.name),
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
        let name = table.needed_text(SurfaceKeys::NAME);
        let material = read_material(table, SurfaceKeys::MATERIAL);
        let like = table.has(SurfaceKeys::LIKE.name).then(|| read_like(table));
        let parts = match &like {
            Some(_) => without_photo(table),
            None => surface_parts(table, photos),
        };
        let treatment = table.word(SurfaceKeys::TREATMENT);
        let area = table.measure(SurfaceKeys::AREA);
        let coats = table.whole(SurfaceKeys::COATS);
        let variety = table.yes_no(SurfaceKeys::VARIETY);
        let tones = table.whole(SurfaceKeys::TONES);
        let shade = table.word(SurfaceKeys::SHADE);
        let alike = table.colour_groups(SurfaceKeys::ALIKE);
        let one_surface = table.yes_no(SurfaceKeys::ONE_SURFACE);
        let model_photo = table.table(SurfaceKeys::MODEL_PHOTO).and_then(|photo| {
            self.model_photo(&photo, name.as_deref().unwrap_or_default(), photos.len())
        });
        let wash = table
            .table(SurfaceKeys::WASH)
            .map(|wash| read_wash(&wash, treatment));
        if treatment == Some(Treatment::Wash) && wash.is_none() {
            table.missing(SurfaceKeys::WASH);
        }
        let places = read_places(table);
        let bands = read_bands(table);
        let order = table.word(SurfaceKeys::ORDER);
        let land = table.word(SurfaceKeys::LAND);
        let allow = table.words(SurfaceKeys::ALLOW);
        let crown = read_crown(table, SurfaceKeys::CROWN);
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
            places: places?,
            bands: bands?,
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
        table.need(ModelPhotoKeys::FILE);
        let file = table.path(ModelPhotoKeys::FILE, self.may_name);
        let region = table.region();
        let neutral = table
            .table(ModelPhotoKeys::NEUTRAL)
            .and_then(|neutral| read_neutral(&neutral));
        table.done();
        self.model_photos.push(PhotoSource {
            key: format!("clean model of {surface}"),
            file: file?,
            place: table.place_of(ModelPhotoKeys::FILE.name),
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
            place: table.place_of(REGION.name),
        })
    }
}

/// Puts down every name, in lower case, that an earlier entry has already.
fn each_once(
    what: &'static str,
    key: Key<Text>,
    entries: &[SceneTable<'_, '_>],
    names: impl Iterator<Item = Option<String>>,
) {
    let mut first: BTreeMap<String, Place> = BTreeMap::new();
    for (entry, name) in entries.iter().zip(names) {
        let Some(name) = name else { continue };
        let place = entry.place_of(key.name);
        if let Some(first) = first.get(&name) {
            entry.fault(SceneError::NameTwice {
                place,
                found: entry.text(key).unwrap_or(name),
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
        SurfaceKeys::PHOTO.name,
        SurfaceKeys::PHOTOS.name,
        SurfaceKeys::REGION.name,
        SurfaceKeys::LEAVE_OUT.name,
        SurfaceKeys::MATERIAL.name,
        SurfaceKeys::BAND.name,
        SurfaceKeys::ALIKE.name,
    ]
    .into_iter()
    .filter(|key| table.has(key))
    .collect();
    let Some(other) = others.first().copied() else {
        return Some(Vec::new());
    };
    table.fault(SceneError::Both {
        place: table.place_of(other),
        one: SurfaceKeys::LIKE.name,
        other,
    });
    None
}

/// `photo` with `region`, or `photos` with several.
fn surface_parts(table: &SceneTable<'_, '_>, photos: &[String]) -> Option<Vec<PhotoPart>> {
    let (one, several) = (SurfaceKeys::PHOTO.name, SurfaceKeys::PHOTOS.name);
    if table.has(one) && table.has(several) {
        table.fault(SceneError::Both {
            place: table.place_of(several),
            one,
            other: several,
        });
        return None;
    }
    if table.has(several) {
        let entries = table.tables(SurfaceKeys::PHOTOS);
        let parts: Option<Vec<PhotoPart>> = entries
            .iter()
            .map(|entry| {
                let part = photo_part(entry, PartKeys::PHOTO, photos);
                entry.done();
                part
            })
            .collect();
        if entries.is_empty() {
            table.missing(SurfaceKeys::PHOTO);
        }
        return parts.filter(|parts| !parts.is_empty());
    }
    photo_part(table, SurfaceKeys::PHOTO, photos).map(|part| vec![part])
}

fn photo_part(table: &SceneTable<'_, '_>, key: Key<Text>, photos: &[String]) -> Option<PhotoPart> {
    let named = table.needed_text(key);
    let region = table.region();
    let named = named?;
    let Some(photo) = photos.iter().position(|key| *key == named) else {
        unknown_name(table, key.name, &named, "photos", photos);
        return None;
    };
    Some(PhotoPart {
        photo,
        region: region?,
        place: table.place_of(REGION.name),
    })
}

fn read_neutral(table: &SceneTable<'_, '_>) -> Option<Neutral> {
    let reflectance = table.number(NeutralKeys::REFLECTANCE);
    let at = table.point(NeutralKeys::AT);
    let outline = table.outline(NeutralKeys::REGION);
    if !table.has(NeutralKeys::AT.name) && !table.has(NeutralKeys::REGION.name) {
        table.missing(NeutralKeys::AT);
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
    if !root.has(SceneKeys::SCALE_COLOUR.name) {
        return Some(usual);
    }
    let table = root.table(SceneKeys::SCALE_COLOUR)?;
    let rule = table.word(ScaleColourKeys::RULE);
    let visibility = table.measure(ScaleColourKeys::VISIBILITY);
    if visibility.is_some_and(|v| v.value() < 100.0) {
        table.fault(SceneError::OutOfRange {
            place: table.place_of(ScaleColourKeys::VISIBILITY.name),
            found: "a visibility below 100 m".to_owned(),
            expected: "100 m or more (10 km is usual, 20 km clear, 2 km hazy)",
        });
    }
    let air = table.colour(ScaleColourKeys::AIR);
    table.done();
    Some(ScaleColour {
        rule: rule.unwrap_or(usual.rule),
        visibility: visibility.unwrap_or(usual.visibility),
        air: air.unwrap_or(usual.air),
    })
}

fn read_wash(table: &SceneTable<'_, '_>, treatment: Option<Treatment>) -> Option<WashWish> {
    if treatment == Some(Treatment::Wash) {
        table.need(WashKeys::BASE);
    }
    let base = if table.is_text(WashKeys::BASE) {
        let text = table.text(WashKeys::BASE)?;
        if text.starts_with('#') || text.contains('(') {
            table
                .colour_from(WashKeys::BASE.name, &text)
                .map(WashBase::Colour)
        } else {
            Some(WashBase::Paint(text))
        }
    } else {
        table.table(WashKeys::BASE).and_then(|base| {
            let surface = base.needed_text(BaseSurfaceKeys::SURFACE);
            base.done();
            surface.map(WashBase::Surface)
        })
    };
    let flat = table.colour(WashKeys::FLAT);
    let recess = table.colour(WashKeys::RECESS);
    let grime = table.number(WashKeys::GRIME);
    let pool = table.number(WashKeys::POOL);
    let film = table.number(WashKeys::FILM);
    let recess_weight = table.number(WashKeys::RECESS_WEIGHT);
    let most_paints = table.whole(WashKeys::MOST_PAINTS);
    table.done();
    Some(WashWish {
        base_place: table.place_of(WashKeys::BASE.name),
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

/// The outline of a place or a band, which need not have one; without it there is nothing to leave anything out of.
fn zone_region(table: &SceneTable<'_, '_>) -> Option<Region> {
    if table.has(REGION.name) {
        return table.region();
    }
    if table.has(LEAVE_OUT.name) {
        // Asked for, so that it is not called unknown besides.
        table.outlines(LEAVE_OUT);
        table.missing(REGION);
    }
    None
}

/// The places of dirt of a surface, all read before one with a fault is missed.
fn read_places(table: &SceneTable<'_, '_>) -> Option<Vec<PlaceOnSurface>> {
    let places = table.tables(SurfaceKeys::PLACE);
    let read: Vec<_> = places.iter().map(read_place).collect();
    read.into_iter().collect()
}

fn read_place(table: &SceneTable<'_, '_>) -> Option<PlaceOnSurface> {
    let name = table.needed_text(PlaceKeys::NAME);
    let technique = table.word(PlaceKeys::TECHNIQUE);
    let region = zone_region(table);
    let colour = table.colour(PlaceKeys::COLOUR);
    let share = table.number(PlaceKeys::SHARE);
    table.done();
    Some(PlaceOnSurface {
        name: name?,
        technique,
        region,
        place: table.place_of(REGION.name),
        colour,
        share,
    })
}

/// Across the crowns of trees or bushes.
fn read_crown(table: &SceneTable<'_, '_>, key: Key<MeasureText<Metres>>) -> Option<Metres> {
    let crown = table.measure(key)?;
    if !(0.05..=60.0).contains(&crown.value()) {
        table.fault(SceneError::OutOfRange {
            place: table.place_of(key.name),
            found: crown.to_string(),
            expected: "the width of a crown, 5 cm to 60 m",
        });
        return None;
    }
    Some(crown)
}

fn read_band(table: &SceneTable<'_, '_>) -> Option<Band> {
    let name = table.needed_text(BandKeys::NAME);
    let region = zone_region(table);
    let from = table.measure(BandKeys::FROM);
    let model_depth = table.measure(BandKeys::MODEL_DEPTH);
    let scale = table.measure(BandKeys::SCALE);
    let area = table.measure(BandKeys::AREA);
    let land = table.word(BandKeys::LAND);
    let crown = read_crown(table, BandKeys::CROWN);
    table.done();
    Some(Band {
        land,
        crown,
        place: table.place_of(REGION.name),
        name: name?,
        region,
        from,
        model_depth,
        scale,
        area,
    })
}

/// The bands of a hillside, from front to back; nothing where one of them has a fault.
fn read_bands(table: &SceneTable<'_, '_>) -> Option<Vec<Band>> {
    let entries = table.tables(SurfaceKeys::BAND);
    let bands: Vec<_> = entries.iter().map(read_band).collect();
    let named = |band: &Option<Band>| band.as_ref().map(|band| band.name.to_lowercase());
    each_once("band", BandKeys::NAME, &entries, bands.iter().map(named));
    bands_in_order(table, &entries, &bands);
    if bands.len() > MOST_BANDS {
        table.fault(SceneError::OutOfRange {
            place: table.place_of(SurfaceKeys::BAND.name),
            found: format!("{} bands", bands.len()),
            expected: "2 to 5 bands from the front edge to the backscene",
        });
    }
    bands.into_iter().collect()
}

/// Bands are listed from front to back: none may be nearer than one before it, for the camera or on the model.
fn bands_in_order(
    table: &SceneTable<'_, '_>,
    entries: &[SceneTable<'_, '_>],
    bands: &[Option<Band>],
) {
    type Of = fn(&Band) -> Option<(f64, String)>;
    let measures: [(&'static str, Of); 2] = [
        (BandKeys::FROM.name, |band| {
            band.from.map(|m| (m.value(), m.to_string()))
        }),
        (BandKeys::MODEL_DEPTH.name, |band| {
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
    use crate::scene::ShadeWish;

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
        let scene = parse_scene("scene.toml", SMALL.as_bytes(), MayName::ItsFolder).unwrap();
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
        let faults = parse_scene("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap_err();
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
    fn what_is_left_out_of_no_outline_asks_for_the_outline() {
        let out = "leave_out = [[0.2, 0.2, 0.3, 0.3]]";
        for (kind, zone) in [
            ("coat", "[[surface.place]]\nname = \"soot\""),
            ("scatter", "[[surface.band]]\nname = \"far\""),
        ] {
            let text = format!("{SMALL}treatment = \"{kind}\"\n{zone}\n{out}\n");
            let faults =
                parse_scene("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap_err();
            let [SceneError::MissingKey { key, .. }] = &faults[..] else {
                panic!("{faults:?}");
            };
            assert_eq!(key, "region");
            let with = text.replace(out, &format!("region = [0.15, 0.15, 0.5, 0.5]\n{out}"));
            let read = parse_scene("scene.toml", with.as_bytes(), MayName::ItsFolder);
            let told = read
                .as_ref()
                .err()
                .map(|f| format!("{f:?}"))
                .unwrap_or_default();
            assert!(
                !told.contains("leave_out") && !told.contains("region"),
                "{told}"
            );
        }
    }

    #[test]
    fn broken_toml_names_its_line() {
        let faults = parse_scene(
            "scene.toml",
            b"title = \"a\"\nscale = \n",
            MayName::ItsFolder,
        )
        .unwrap_err();
        assert_eq!(faults[0].place().line, Some(2), "{faults:?}");
        assert!(parse_scene("scene.toml", b"\xff\xfe", MayName::ItsFolder).is_err());
        assert!(parse_scene("scene.toml", b"", MayName::ItsFolder).is_err());
    }

    #[test]
    fn all_that_is_known_of_the_light_is_taken_together() {
        use crate::photo::KnownLight;
        let with = |keys: &str| {
            let text = SMALL.replace(
                "file = \"wall.jpg\"",
                &format!("file = \"wall.jpg\"\n{keys}"),
            );
            parse_scene("scene.toml", text.as_bytes(), MayName::ItsFolder)
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
        let scene = parse_scene("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
        assert_eq!(scene.surfaces[0].shade, Some(ShadeWish::Ask));
        let text = format!("{SMALL}shade = \"perhaps\"\n");
        assert!(parse_scene("scene.toml", text.as_bytes(), MayName::ItsFolder).is_err());
    }

    #[test]
    fn tones_that_are_one_are_named_by_their_colours() {
        let with = |value: &str| {
            let text = format!("{SMALL}alike = {value}\n");
            parse_scene("scene.toml", text.as_bytes(), MayName::ItsFolder)
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
        let of = |text: &str| parse_scene("scene.toml", text.as_bytes(), MayName::ItsFolder);
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
            let faults =
                parse_scene("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap_err();
            assert_eq!(faults.len(), 1, "{faults:?}");
            assert!(
                faults[0].to_string().contains("must lie over something"),
                "{faults:?}"
            );
        }
        let based = format!("{alone}[surface.wash]\nbase = \"#a4523a\"\n");
        assert!(parse_scene("scene.toml", based.as_bytes(), MayName::ItsFolder).is_ok());
    }

    #[test]
    fn a_photo_of_the_clean_model_follows_the_photos_of_the_scene() {
        let text = SMALL.replace(
            "photo = \"wall\"",
            "photo = \"wall\"\nmodel_photo = { file = \"kit.jpg\" }",
        );
        let scene = parse_scene("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap();
        assert_eq!(scene.photos.len(), 2);
        let model = scene.surfaces[0].model_photo.as_ref().unwrap();
        assert_eq!(scene.photos[model.photo].file, "kit.jpg");
    }
}
