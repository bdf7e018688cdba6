//! A scene over one drawn picture, planned through the library: no files, no program run.

use hillwash::colour::{LinearSrgb, Srgb8};
use hillwash::mix::Shelf;
use hillwash::paint::{PaintList, ScatterList};
use hillwash::photo::Limits;
use hillwash::plan::{Inputs, Kit, Plan, Wishes, schedule};
use hillwash::scene::{MayName, parse_scene};
use hillwash::wash::LaidFilms;
use image::{ImageFormat, Rgb, RgbImage};
use std::io::Cursor;

pub(crate) const BRICK: Srgb8 = Srgb8([0xa5, 0x60, 0x48]);
pub(crate) const LEAF: Srgb8 = Srgb8([0x4f, 0x6a, 0x35]);

/// Invented paints that mix, of one medium; none is a varnish or a primer.
pub(crate) const PAINTS: &str = "name,hex,medium,opacity,on_hand_ml,pot_ml,price\n\
    white,#f2f1ec,acrylic,opaque,20,20,2\nblack,#262524,acrylic,opaque,20,20,2\n\
    brick,#a56048,acrylic,opaque,0,20,2.40\number,#5b4b39,acrylic,opaque,20,20,2\n\
    ochre,#bc9145,acrylic,opaque,20,20,2\ngreen,#4f6a35,acrylic,opaque,20,20,2\n";

/// Invented scatter.
pub(crate) const SCATTER: &str = "name,hex,grain,on_hand_g,cover_g_per_dm2\n\
    bramble leaf,#4f6a35,coarse,5,4\ndead leaf,#8f6b4a,coarse,1,5\nmeadow crumb,#7d7a45,medium,20,3\n\
    quarry dust,#b0a58f,fine,40,6\n";

/// All that is planned.
pub(crate) struct Drawn<'a> {
    /// More keys of the scene itself.
    pub(crate) scene: &'a str,
    /// More keys of its photo.
    pub(crate) photo: &'a str,
    /// Its surfaces.
    pub(crate) surfaces: &'a str,
    pub(crate) picture: RgbImage,
    pub(crate) paints: &'a str,
    /// How thick the washes of whoever paints it lie.
    pub(crate) films: LaidFilms,
}

impl Drawn<'_> {
    pub(crate) fn new(picture: RgbImage) -> Self {
        Self {
            scene: "",
            photo: "",
            surfaces: WHOLE,
            picture,
            paints: PAINTS,
            films: LaidFilms::default(),
        }
    }

    /// Plans it, with colours as photographed, and hands the plan over.
    pub(crate) fn plan<T>(&self, look: impl FnOnce(&Plan<'_>) -> T) -> T {
        let text = format!(
            "title = \"Drawn\"\nscale = \"1:87\"\npaints = \"paints.csv\"\nscatter = \"scatter.csv\"\n\
             scale_colour = {{ rule = \"none\" }}\n{}\n[photos.drawn]\nfile = \"drawn.png\"\nfrom = \"5 m\"\n{}\n{}",
            self.scene, self.photo, self.surfaces
        );
        let scene = parse_scene("scene.toml", text.as_bytes(), MayName::ItsFolder)
            .unwrap_or_else(|faults| unreachable!("{faults:#?}\n{text}"));
        let paints = paint_list(self.paints);
        let scatter = ScatterList::parse("scatter.csv", SCATTER.as_bytes()).unwrap();
        let shelf = Shelf::new(&paints);
        let inputs = Inputs {
            scene: &scene,
            photos: &[png(&self.picture)],
            limits: Limits::default(),
            kit: Kit {
                scatter: Some(&scatter),
                films: self.films,
                ..Kit::new(&paints, &shelf)
            },
            wishes: Wishes::default(),
        };
        look(&schedule(inputs).unwrap())
    }
}

/// One painted surface over the whole picture.
pub(crate) const WHOLE: &str = "[[surface]]\nname = \"Wall\"\nphoto = \"drawn\"\n\
    region = [[0, 0], [1, 0], [1, 1], [0, 1]]\narea = \"100 cm2\"\n";

pub(crate) fn paint_list(text: &str) -> PaintList {
    PaintList::parse("paints.csv", text.as_bytes(), &|_| Err(String::new())).unwrap()
}

/// Upright stripes from left to right, each a colour and its width in pixels, 60 pixels high.
pub(crate) fn stripes(stripes: &[(Srgb8, u32)]) -> RgbImage {
    let columns: Vec<Srgb8> = stripes
        .iter()
        .flat_map(|(colour, width)| (0..*width).map(|_| *colour))
        .collect();
    let width = u32::try_from(columns.len()).unwrap();
    RgbImage::from_fn(
        width,
        60,
        |x, _| Rgb(columns[usize::try_from(x).unwrap()].0),
    )
}

/// A colour with each channel of its light multiplied.
pub(crate) fn times(colour: Srgb8, factors: [f64; 3]) -> Srgb8 {
    let light = colour.to_linear();
    LinearSrgb {
        r: light.r * factors[0],
        g: light.g * factors[1],
        b: light.b * factors[2],
    }
    .encode()
}

fn png(picture: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    picture
        .write_to(&mut Cursor::new(&mut bytes), ImageFormat::Png)
        .unwrap();
    bytes
}
