//! Every key of a scene, once: its name, what it holds, its description, and the table it belongs to.
//!
//! The reader asks for keys by these constants; the schema is made from the tables, and the page writes its keys by them.
//! If nothing reads a key that is here, a test fails.

use super::checked::{LightWish, ShadeWish, Technique, Treatment};
use super::key::{
    ByName, Colour, ColourGroups, Corners, Each, Either, Inner, Key, LeaveOut, MeasureText, Number,
    Offered, OutlineOrBox, PhotoPoint, TableOfKeys, Text, TextOrTable, Whole, WordOf, YesNo,
    colour, colour_groups, corners, leave_out, measure, number, point, region, table, tables,
    tables_by_name, text, text_or_table, whole, word, words, yes_no,
};
use crate::paint::ScatterMaterial;
use crate::scale_colour::ScaleRule;
use crate::scatter::{Land, LayOrder};
use crate::units::{Metres, Millimetres, ScaleRatio, SquareCentimetres};

/// What is expected wherever a measured material is named.
pub(super) const A_MATERIAL: &str =
    "a measured material such as \"clay roof tile, red\" (`hillwash materials` lists them)";
/// Part of a photo, in every table that has one.
pub(super) const REGION: Key<OutlineOrBox> = region("region");
/// What to leave out of it.
pub(super) const LEAVE_OUT: Key<LeaveOut> = leave_out("leave_out");
/// The photo that a surface or a part of it is seen in.
const PHOTO: Key<Text> = text("photo", "photo = \"kiln\"");
/// What is strewn on a surface or a band.
const LAND: Key<WordOf<Land>> = word("land", &Land::ALL, "LandShape");
/// The width of the crowns of a surface or a band.
const CROWN: Key<MeasureText<Metres>> = measure("crown", "a length such as \"6 m\"");
/// A colour or a paint below a wash, or the surface below it.
const BASE: &str = "a colour, a listed paint or { surface = \"…\" }";

/// Tables of keys; their doc comments are what the schema says.
macro_rules! tables_of_keys {
    ($($(#[doc = $about:literal])* $table:ident, $shape:literal, $home:literal {
        $($(#[doc = $doc:literal])+ $key:ident: $kind:ty = $made:expr;)+
    })+) => {
        $(
            $(#[doc = $about])*
            #[derive(Debug)]
            pub(crate) enum $table {}

            impl $table {
                $($(#[doc = $doc])+ pub(crate) const $key: Key<$kind> = $made;)+
                /// All of them.
                pub(crate) const TABLE: TableOfKeys = TableOfKeys {
                    shape: $shape,
                    home: $home,
                    about: &[$($about),*],
                    keys: &[$(Self::$key.listed(&[$($doc),+])),+],
                };
            }
        )+

        /// All tables of a scene.
        const TABLES: &[TableOfKeys] = &[$($table::TABLE),+];
    };
}

tables_of_keys! {
    /// A scene: what to colour, which photos show it, and with which paints.
    SceneKeys, "", "at the top, above the first line in [ ]" {
        /// The heading of the schedule.
        TITLE: Text = text("title", "title = \"Hop-valley brewery\"").needed();
        /// The scale: a ratio such as "1:87", or a letter of the published standards.
        SCALE: MeasureText<ScaleRatio> = measure("scale", "a scale such as \"1:87\"")
            .offering(Offered::Scales).such_as("scale = \"1:87\"").needed();
        /// Distance from eye to model, such as "0.9 m" (the default).
        VIEW: MeasureText<Millimetres> = measure("view", "a length such as \"0.9 m\"");
        /// The lamps over the layout: a CIE illuminant such as "LED-B3", "4000 K", "daylight", or a spectrum file.
        LAMPS: Text = text("lamps", "a CIE illuminant such as \"LED-B3\", a colour temperature such as \"4000 K\", \"daylight\", or a spectrum file")
            .offering(Offered::Lamps);
        /// Your paint list: a table beside the scene (CSV, .xlsx, .ods).
        PAINTS: Either = text_or_table("paints", "a file such as \"paints.csv\"", &TextOrTable {
            shape: "PaintsShape",
            about: "The paint list: its file, or its file and its medium.",
            about_text: "",
            about_table: "",
            table: &ToldPaintsKeys::TABLE,
        }).such_as("paints = \"paints.csv\"").needed();
        /// Your scatter list, a CSV file beside the scene.
        SCATTER: Text = text("scatter", "a file such as \"scatter.csv\"");
        /// What scale and distance do to colours.
        SCALE_COLOUR: Inner = table("scale_colour", "a table such as { rule = \"air\", visibility = \"10 km\" }", &ScaleColourKeys::TABLE);
        /// Photographs by a name of your choice: [photos.kiln].
        PHOTOS: ByName = tables_by_name("photos", "tables, each written [photos.name]", &PhotoKeys::TABLE);
        /// The surfaces to colour, at least one; each is a table of its own.
        SURFACE: Each = tables("surface", "tables, each written [[surface]]", &SurfaceKeys::TABLE).needed();
    }

    ToldPaintsKeys, "ToldPaintsShape", "" {
        /// The file, relative to the scene.
        FILE: Text = text("file", "a file such as \"paints.csv\"").such_as("file = \"paints.csv\"").needed();
        /// The medium of paints that give none: acrylic, enamel, oil …
        MEDIUM: Text = text("medium", "a medium such as \"acrylic\"");
    }

    /// The rule of scale colour.
    ScaleColourKeys, "ScaleColourShape", "" {
        /// air: by distance and visibility; customary: white paint by the scale; none.
        RULE: WordOf<ScaleRule> = word("rule", &ScaleRule::ALL, "RuleShape");
        /// Visibility, such as "10 km" (the default), "20 km" clear, "2 km" hazy.
        VISIBILITY: MeasureText<Metres> = measure("visibility", "a distance such as \"10 km\"");
        /// Colour of the air, such as "#c8d6e4" (the default).
        AIR: Colour = colour("air");
    }

    /// A photograph.
    PhotoKeys, "PhotoShape", "below [photos.…]" {
        /// The file, relative to the scene.
        FILE: Text = text("file", "a file such as \"wall.jpg\"").such_as("file = \"wall.jpg\"").needed();
        /// Distance from camera to subject, such as "8 m".
        FROM: MeasureText<Metres> = measure("from", "a distance such as \"8 m\"");
        /// Whose photo it is; the schedule prints this.
        CREDIT: Text = text("credit", "whose photo it is, such as \"Photo: A. Friend, CC BY 4.0\"");
        /// Something known to be neutral in it.
        NEUTRAL: Inner = table("neutral", "a table such as { at = [0.41, 0.77], reflectance = 0.18 }", &NeutralKeys::TABLE);
        /// Outer corners of a 24-patch colour chart, at patches 1, 6, 24, 19.
        CHART: Corners = corners("chart", "four corners inside the photo, at patches 1, 6, 24 and 19");
        /// "estimate" corrects the light by an estimate if nothing better is known; "materials" by the materials in the photo;
        /// "as-it-is" leaves the photo alone. Without this key, everything known is used.
        LIGHT: WordOf<LightWish> = word("light", &LightWish::ALL, "LightShape");
        /// Measured materials in the photo: [[photos.kiln.known]].
        KNOWN: Each = tables("known", "tables, each written [[photos.NAME.known]]", &KnownKeys::TABLE);
        /// Whether it was taken in rain.
        WET: YesNo = yes_no("wet");
        /// Its sky just above the horizon: an outline or a box. It shows the colour of the air in front of a hillside's bands.
        SKY: OutlineOrBox = region("sky");
    }

    /// A part of a photo that shows a measured material.
    KnownKeys, "KnownShape", "" {
        /// What it is, such as "clay roof tile, red"; `hillwash materials` lists them.
        MATERIAL: Text = text("material", A_MATERIAL).such_as("material = \"clay roof tile, red\"").needed();
        /// Outline of it, or a box.
        REGION: OutlineOrBox = REGION.such_as("region = [[0.1, 0.1], [0.9, 0.1], [0.9, 0.9]]").needed();
        /// Outlines or boxes that are left out of it.
        LEAVE_OUT: LeaveOut = LEAVE_OUT;
    }

    /// A state between two materials.
    BetweenKeys, "BetweenShape", "" {
        /// One end.
        FROM: Text = text("from", A_MATERIAL).such_as("from = \"asphalt, dark\", to = \"asphalt road, worn\"").needed();
        /// The other end.
        TO: Text = text("to", A_MATERIAL).such_as("from = \"asphalt, dark\", to = \"asphalt road, worn\"").needed();
        /// How far from one to the other; the default is half-way.
        AT: Number = number("at", 0.0, 1.0, "a number from 0 (as `from`) to 1 (as `to`); 0.5 is half-way");
    }

    /// A grey card, or something known to be neutral: at a point, or over a region.
    NeutralKeys, "NeutralShape", "" {
        /// Where it is.
        AT: PhotoPoint = point("at", "a point such as [0.41, 0.77]").such_as("at = [0.41, 0.77]");
        /// Or the outline of it.
        REGION: OutlineOrBox = REGION;
        /// Its reflectance (a grey card has 0.18); without it only the cast is corrected.
        REFLECTANCE: Number = number("reflectance", 0.01, 1.0, "a reflectance from 0.01 to 1 (a grey card is 0.18)");
    }

    /// Part of a photo.
    PartKeys, "PartShape", "" {
        /// Name of the photo.
        PHOTO: Text = PHOTO.needed();
        /// Outline of the part that counts.
        REGION: OutlineOrBox = REGION;
        /// Outlines or boxes that are left out of it.
        LEAVE_OUT: LeaveOut = LEAVE_OUT;
    }

    /// A surface to colour.
    SurfaceKeys, "SurfaceShape", "below [[surface]]" {
        /// Its name; each surface has its own.
        NAME: Text = text("name", "name = \"Kiln wall\"").needed();
        /// Name of the photo that shows it.
        PHOTO: Text = PHOTO;
        /// Or parts of several photos.
        PHOTOS: Each = tables("photos", "tables such as [{ photo = \"kiln\", region = [...] }]", &PartKeys::TABLE);
        /// Outline of the part that counts; without it the whole photo.
        REGION: OutlineOrBox = REGION;
        /// Outlines or boxes that are left out of it.
        LEAVE_OUT: LeaveOut = LEAVE_OUT;
        /// The measured material it is made of, which shows its photo's light.
        MATERIAL: Text = text("material", A_MATERIAL);
        /// Instead of a photo: the measured material whose tones it has, or a state between two.
        LIKE: Either = text_or_table("like", "a measured material, or two states { from = \"asphalt, dark\", to = \"asphalt road, worn\", at = 0.5 }", &TextOrTable {
            shape: "LikeShape",
            about: "A measured material, or a state between two.",
            about_text: "One material.",
            about_table: "Between two.",
            table: &BetweenKeys::TABLE,
        });
        /// coat: opaque paint (the default); rock; scatter; wash: a wash alone over a given base.
        TREATMENT: WordOf<Treatment> = word("treatment", &Treatment::ALL, "TreatmentShape");
        /// Area on the model, such as "310 cm2"; without it there are no quantities.
        AREA: MeasureText<SquareCentimetres> = measure("area", "an area such as \"310 cm2\"");
        /// How many tones; without it the program chooses.
        TONES: Whole = whole("tones", 1, 24, "a whole number of tones from 1 to 24");
        /// Light and shade of one material: join them, keep them apart, or ask.
        SHADE: WordOf<ShadeWish> = word("shade", &ShadeWish::ALL, "ShadeShape");
        /// True if it is one surface although its tones look like two side by side; then the program does not ask.
        ONE_SURFACE: YesNo = yes_no("one_surface");
        /// Tones that are one: groups of two colours or more, each naming the tone of the photo nearest to it.
        ALIKE: ColourGroups = colour_groups("alike");
        /// Coats of paint; the default is 2.
        COATS: Whole = whole("coats", 1, 10, "a whole number of coats from 1 to 10");
        /// Whether to pick out some of its bricks, stones, slates or boards in mixes of their own: true or false; without it, if they clearly differ.
        VARIETY: YesNo = yes_no("variety");
        /// The clean model, for the picture before and after.
        MODEL_PHOTO: Inner = table("model_photo", "a table such as { file = \"my-kit.jpg\" }", &ModelPhotoKeys::TABLE);
        /// The wash over it.
        WASH: Inner = table("wash", "a table written [surface.wash]", &WashKeys::TABLE)
            .such_as("[surface.wash] with base = \"#a4523a\": a wash alone must lie over something");
        /// Where dirt gathers: [[surface.place]].
        PLACE: Each = tables("place", "tables, each written [[surface.place]]", &PlaceKeys::TABLE);
        /// A hillside in depth: [[surface.band]].
        BAND: Each = tables("band", "tables, each written [[surface.band]]", &BandKeys::TABLE);
        /// What kind of land it is, if it is strewn; without it, guessed from its name; any: whatever has the colour.
        LAND: WordOf<Land> = LAND;
        /// Width of the crowns of its trees or bushes, full size, such as "6 m".
        CROWN: MeasureText<Metres> = CROWN;
        /// Laying order of scatter.
        ORDER: WordOf<LayOrder> = word("order", &LayOrder::ALL, "OrderShape");
        /// Materials of scatter to allow as well as those of its land.
        ALLOW: WordOf<ScatterMaterial> = words("allow", &ScatterMaterial::ALL, "MaterialShape");
    }

    /// A photo of the clean model.
    ModelPhotoKeys, "ModelPhotoShape", "" {
        /// The file, relative to the scene.
        FILE: Text = text("file", "a file such as \"my-kit.jpg\"").such_as("file = \"my-kit.jpg\"").needed();
        /// Outline of the part that counts.
        REGION: OutlineOrBox = REGION;
        /// Outlines or boxes that are left out of it.
        LEAVE_OUT: LeaveOut = LEAVE_OUT;
        /// Something known to be neutral in it.
        NEUTRAL: Inner = table("neutral", "a table such as { at = [0.41, 0.77] }", &NeutralKeys::TABLE);
    }

    /// What a wash lies over, by the name of another surface.
    BaseSurfaceKeys, "BaseSurfaceShape", "" {
        /// Name of the surface.
        SURFACE: Text = text("surface", "surface = \"Kiln wall\"").needed();
    }

    /// A wash.
    WashKeys, "WashShape", "below [surface.wash]" {
        /// What it lies over: a colour, a listed paint, or { surface = "name" }.
        BASE: Either = text_or_table("base", BASE, &TextOrTable {
            shape: "BaseShape",
            about: "",
            about_text: "A colour, or the name of a listed paint.",
            about_table: "Another surface's planned colour.",
            table: &BaseSurfaceKeys::TABLE,
        }).such_as("base = \"#a4523a\", a listed paint's name or { surface = \"Kiln wall\" }: a wash alone must lie over something");
        /// How much of the photographed grime, 1 = all of it.
        GRIME: Number = number("grime", 0.0, 1.5, "a number from 0 to 1.5 (1 is as photographed)");
        /// Colour wanted on the flats.
        FLAT: Colour = colour("flat");
        /// Colour wanted in the recesses.
        RECESS: Colour = colour("recess");
        /// How many times thicker it lies in recesses than on flats; 4 is usual.
        POOL: Number = number("pool", 1.0, 32.0, "a number from 1 to 32 (4 is usual)");
        /// Thickness of the wet film compared with a brushed coat, as read from a patch; 0.5 is usual.
        FILM: Number = number("film", 0.02, 8.0, "a number from 0.02 to 8, compared with a brushed coat (0.5 is usual; a patch shows it)");
        /// Most paints in the wash; the default is 2.
        MOST_PAINTS: Whole = whole("most_paints", 1, 3, "a whole number of paints from 1 to 3");
        /// How much recesses count if flats count 1.
        RECESS_WEIGHT: Number = number("recess_weight", 0.0, 10.0, "a number from 0 to 10 (1 counts recesses like flats)");
    }

    /// A place where dirt gathers.
    PlaceKeys, "PlaceShape", "below [[surface.place]]" {
        /// Its name.
        NAME: Text = text("name", "name = \"sill\"").needed();
        /// How to lay the dirt.
        TECHNIQUE: WordOf<Technique> = word("technique", &Technique::ALL, "TechniqueShape");
        /// Where the photo shows it.
        REGION: OutlineOrBox = REGION;
        /// Outlines or boxes that are left out of it.
        LEAVE_OUT: LeaveOut = LEAVE_OUT;
        /// Or its colour.
        COLOUR: Colour = colour("colour");
        /// Its share of the surface.
        SHARE: Number = number("share", 0.0, 1.0, "a share of the surface from 0 to 1");
    }

    /// A band of a hillside.
    BandKeys, "BandShape", "below [[surface.band]]" {
        /// Its name.
        NAME: Text = text("name", "name = \"far slope\"").needed();
        /// Where the photo shows it.
        REGION: OutlineOrBox = REGION;
        /// Outlines or boxes that are left out of it.
        LEAVE_OUT: LeaveOut = LEAVE_OUT;
        /// Distance from the camera, such as "2 km".
        FROM: MeasureText<Metres> = measure("from", "a distance such as \"2 km\"");
        /// How far behind the front edge it lies on the model.
        MODEL_DEPTH: MeasureText<Millimetres> = measure("model_depth", "a length such as \"1.2 m\"");
        /// Its area on the model.
        AREA: MeasureText<SquareCentimetres> = measure("area", "an area such as \"20 dm2\"");
        /// What kind of land it is; the default is that of its surface.
        LAND: WordOf<Land> = LAND;
        /// Width of the crowns of its trees or bushes, full size; the default is that of its surface.
        CROWN: MeasureText<Metres> = CROWN;
        /// Its own scale, for forced perspective.
        SCALE: MeasureText<ScaleRatio> = measure("scale", "a scale such as \"1:160\"").offering(Offered::Scales);
    }
}

/// Where in a scene a key stands, in words; nothing for a key that no table has.
pub(super) fn home_of(key: &str) -> Option<String> {
    let homes: Vec<&str> = TABLES
        .iter()
        .filter(|table| {
            !table.home.is_empty() && table.keys.iter().any(|listed| listed.name == key)
        })
        .map(|table| table.home)
        .collect();
    (!homes.is_empty()).then(|| homes.join(", or "))
}

#[cfg(test)]
mod tests {
    use super::super::key::HeldByKey;
    use super::*;
    use crate::scene::{MayName, SceneError, parse_scene};
    use crate::tones::MOST_TONES;

    /// What is written to get one key of a table into a scene; the key holds a date, which no key takes.
    fn with_each_key(
        table: &TableOfKeys,
        around: &dyn Fn(&str) -> String,
        all: &mut Vec<(String, String)>,
    ) {
        for key in table.keys {
            // What is left out is read where there is something to leave it out of.
            let before = match key.holds {
                HeldByKey::LeaveOut => "region = [0.1, 0.1, 0.9, 0.9], ",
                _ => "",
            };
            let at = |inner: &str| around(&format!("{before}{} = {inner}", key.name));
            all.push((format!("{} {}", table.shape, key.name), at("2026-01-01")));
            match key.holds {
                HeldByKey::Table(inner) => {
                    with_each_key(inner, &|line| at(&format!("{{ {line} }}")), all);
                }
                HeldByKey::Tables(inner) => {
                    with_each_key(inner, &|line| at(&format!("[{{ {line} }}]")), all);
                }
                HeldByKey::TablesByName(inner) => {
                    with_each_key(
                        inner,
                        &|line| at(&format!("{{ kiln = {{ {line} }} }}")),
                        all,
                    );
                }
                HeldByKey::TextOrTable(either) => {
                    with_each_key(either.table, &|line| at(&format!("{{ {line} }}")), all);
                }
                _ => {}
            }
        }
    }

    #[test]
    fn every_key_that_is_told_is_read() {
        let mut all = Vec::new();
        with_each_key(&SceneKeys::TABLE, &str::to_owned, &mut all);
        assert!(all.len() > TABLES.iter().map(|table| table.keys.len()).sum());
        for (key, text) in all {
            let faults =
                parse_scene("scene.toml", text.as_bytes(), MayName::ItsFolder).unwrap_err();
            let unknown = |fault: &SceneError| matches!(fault, SceneError::UnknownKey { .. });
            assert!(!faults.iter().any(unknown), "{key}: {text}: {faults:?}");
            let refused = faults
                .iter()
                .filter(|fault| fault.to_string().contains("found a date"));
            assert_eq!(refused.count(), 1, "{key}: {text}: {faults:?}");
        }
    }

    #[test]
    fn as_many_tones_may_be_asked_for_as_can_be_told_apart() {
        assert_eq!(SurfaceKeys::TONES.kind.most as usize, MOST_TONES);
    }

    #[test]
    fn a_key_is_sent_to_the_tables_that_have_it() {
        assert_eq!(home_of("coats").unwrap(), "below [[surface]]");
        assert_eq!(
            home_of("lamps").unwrap(),
            "at the top, above the first line in [ ]"
        );
        assert_eq!(
            home_of("scale").unwrap(),
            "at the top, above the first line in [ ], or below [[surface.band]]"
        );
        assert_eq!(home_of("zzz"), None);
    }
}
