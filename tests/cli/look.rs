//! `look`: the tones of photos, without a scene.

use crate::contract::{self, list, number, text};
use crate::pictures::{
    BRICK, MOSS, SLATE, exif_body, half_transparent_png, jpeg, orientation_exif, png, stripes,
    with_chunk, with_segments,
};
use crate::workbench::Workbench;
use image::RgbImage;

/// A flat colour stored without loss comes back as itself: what is left is the rounding of means and of the answer.
const FLAT: f64 = 0.1;
/// The same through a JPEG of quality 95, whose rounding moves a flat channel by a few units.
const FLAT_JPEG: f64 = 2.0;
/// Shares of whole pixels, rounded in the answer.
const SHARE: f64 = 1e-4;

/// What may be left of a cast once a known neutral is neutral: the rounding of stored channels.
const CAST_LEFT: f64 = 0.5;
/// L* of a reflectance of 0.18: 116 × 0.18^(1/3) − 16 (ISO/CIE 11664-4).
const CARD_LIGHTNESS: f64 = 49.496;

/// Brick on three quarters, slate on one quarter, in whole blocks of a JPEG.
fn two_colours() -> RgbImage {
    stripes(32, &[(BRICK, 96), (SLATE, 32)])
}

#[test]
fn the_answer_keeps_its_contract() {
    let bench = Workbench::new();
    bench.write("wall.png", png(&two_colours()));
    let ran = bench.run(["look", "wall.png", "--json"]);
    ran.done();
    contract::begins_with_format(&ran.stdout(), "hillwash.look/1");
    let answer = ran.json();
    let [photo] = &list(&answer, "photos")[..] else {
        panic!("one photo was given{ran}");
    };
    assert_eq!(text(photo, "file"), "wall.png");
    assert_eq!(
        (number(photo, "width"), number(photo, "height")),
        (128.0, 32.0)
    );
    assert!(!text(photo, "profile").is_empty());
    assert!(photo["light"].is_object(), "{photo:#}");
    contract::tones(list(photo, "tones"));
}

#[test]
fn two_flat_colours_are_two_tones_with_their_shares() {
    let bench = Workbench::new();
    bench.write("wall.png", png(&two_colours()));
    bench.write("wall.jpg", jpeg(&two_colours()));
    for (photo, near) in [("wall.png", FLAT), ("wall.jpg", FLAT_JPEG)] {
        let ran = bench.run(["look", photo, "--json"]);
        let answer = ran.done().json();
        let [brick, slate] = &list(&answer["photos"][0], "tones")[..] else {
            panic!("two colours were drawn{ran}");
        };
        assert!(contract::difference(brick, BRICK) < near, "{ran}");
        assert!(contract::difference(slate, SLATE) < near, "{ran}");
        assert!((number(brick, "share") - 0.75).abs() < SHARE, "{ran}");
        assert!((number(slate, "share") - 0.25).abs() < SHARE, "{ran}");
    }
}

#[test]
fn a_picture_of_few_strong_colours_keeps_them() {
    let bench = Workbench::new();
    let (red, blue, yellow) = ([200, 30, 30], [30, 60, 120], [230, 220, 120]);
    for drawn in [&[red, blue][..], &[blue, yellow], &[red, blue, yellow]] {
        let equal: Vec<_> = drawn.iter().map(|colour| (*colour, 32)).collect();
        bench.write("colours.png", png(&stripes(32, &equal)));
        let ran = bench.run(["look", "colours.png", "--json"]);
        let answer = ran.done().json();
        let tones = list(&answer["photos"][0], "tones");
        assert_eq!(tones.len(), drawn.len(), "{ran}");
        for colour in drawn {
            let nearest = tones
                .iter()
                .map(|tone| contract::difference(tone, *colour))
                .fold(f64::INFINITY, f64::min);
            assert!(nearest < FLAT, "{colour:?} is {nearest} away{ran}");
        }
    }
}

#[test]
fn a_box_shows_only_what_lies_in_it() {
    let bench = Workbench::new();
    bench.write("wall.png", png(&two_colours()));
    let ran = bench.run(["look", "wall.png", "--json", "--region", "0.75,0,1,1"]);
    let answer = ran.done().json();
    let [slate] = &list(&answer["photos"][0], "tones")[..] else {
        panic!("the box holds one colour{ran}");
    };
    assert!(contract::difference(slate, SLATE) < FLAT, "{ran}");
    assert!((number(slate, "share") - 1.0).abs() < SHARE, "{ran}");
}

#[test]
fn an_outline_shows_only_what_lies_in_it() {
    let bench = Workbench::new();
    bench.write("wall.png", png(&two_colours()));
    let outline = "0.5,0 1,0 1,1 0.5,1 0.5,0.5";
    let ran = bench.run(["look", "wall.png", "--json", "--region", outline]);
    let answer = ran.done().json();
    let [first, second] = &list(&answer["photos"][0], "tones")[..] else {
        panic!("the outline holds two colours{ran}");
    };
    for tone in [first, second] {
        assert!((number(tone, "share") - 0.5).abs() < SHARE, "{ran}");
    }
}

#[test]
fn a_photo_that_cannot_be_read_does_not_stop_the_others() {
    let bench = Workbench::new();
    bench.write("brick.png", png(&stripes(16, &[(BRICK, 16)])));
    bench.write("broken.jpg", "a shopping list");
    bench.write("moss.png", png(&stripes(16, &[(MOSS, 16)])));
    let arguments = ["look", "brick.png", "broken.jpg", "gone.jpg", "moss.png"];
    let ran = bench.run(arguments.into_iter().chain(["--json"]));
    ran.refused()
        .tells("broken.jpg")
        .tells("gone.jpg")
        .tells("2 problems");
    let answer = ran.json();
    let files: Vec<&str> = list(&answer, "photos")
        .iter()
        .map(|p| text(p, "file"))
        .collect();
    assert_eq!(files, ["brick.png", "moss.png"], "{ran}");
    bench
        .run(arguments)
        .refused()
        .says("brick.png")
        .says("moss.png")
        .tells("broken.jpg");
}

#[test]
fn many_photos_are_answered_in_the_given_order_as_each_alone() {
    let bench = Workbench::new();
    let names: Vec<String> = (0..13_u8)
        .map(|n| {
            let name = format!("{}.png", (b'a' + (5 * n) % 13) as char);
            let width = 8 + 16 * u32::from(n % 3);
            bench.write(
                &name,
                png(&stripes(32, &[([40 + 15 * n, 90, 60], width), (SLATE, 32)])),
            );
            name
        })
        .collect();
    let alone: String = names
        .iter()
        .map(|name| bench.run(["look", name]).done().stdout())
        .collect();
    let mut all = vec!["look"];
    all.extend(names.iter().map(String::as_str));
    assert_eq!(bench.run(all).done().stdout(), alone);
}

/// The upright picture of these tests: brick above, slate below. Stored lying on its side, as a camera turned a
/// quarter stores it, brick is on the left.
fn assert_stands_upright(bench: &Workbench, photo: &str) {
    for (part, drawn) in [("0,0,1,0.4", BRICK), ("0,0.6,1,1", SLATE)] {
        let ran = bench.run(["look", photo, "--json", "--region", part]);
        let answer = ran.done().json();
        let seen = &answer["photos"][0];
        let size = (number(seen, "width"), number(seen, "height"));
        assert_eq!(size, (32.0, 64.0), "{ran}");
        let tones = list(seen, "tones");
        assert_eq!(tones.len(), 1, "one colour lies there{ran}");
        assert!(contract::difference(&tones[0], drawn) < FLAT_JPEG, "{ran}");
    }
}

fn lying() -> RgbImage {
    stripes(32, &[(BRICK, 32), (SLATE, 32)])
}

#[test]
fn a_jpeg_taken_with_the_camera_turned_stands_upright() {
    let bench = Workbench::new();
    let exif = exif_body(&orientation_exif(6));
    bench.write(
        "turned.jpg",
        with_segments(&jpeg(&lying()), &[(0xe1, exif)]),
    );
    assert_stands_upright(&bench, "turned.jpg");
}

#[test]
fn a_png_taken_with_the_camera_turned_stands_upright() {
    let bench = Workbench::new();
    bench.write(
        "turned.png",
        with_chunk(&png(&lying()), *b"eXIf", &orientation_exif(6)),
    );
    assert_stands_upright(&bench, "turned.png");
}

#[test]
fn an_upright_photo_stays_as_it_is() {
    let bench = Workbench::new();
    let exif = exif_body(&orientation_exif(1));
    bench.write(
        "upright.jpg",
        with_segments(&jpeg(&lying()), &[(0xe1, exif)]),
    );
    let answer = bench.run(["look", "upright.jpg", "--json"]).done().json();
    let seen = &answer["photos"][0];
    assert_eq!(
        (number(seen, "width"), number(seen, "height")),
        (64.0, 32.0)
    );
}

#[test]
fn as_many_tones_as_asked_are_shown() {
    let bench = Workbench::new();
    let five = [
        (BRICK, 8),
        (SLATE, 8),
        (MOSS, 8),
        ([200, 190, 170], 8),
        ([20, 20, 20], 8),
    ];
    bench.write("wall.png", png(&stripes(8, &five)));
    for count in 1..=5 {
        let asked = count.to_string();
        let ran = bench.run(["look", "wall.png", "--json", "--tones", &asked]);
        let answer = ran.done().json();
        assert_eq!(list(&answer["photos"][0], "tones").len(), count, "{ran}");
    }
}

#[test]
fn transparent_pixels_do_not_count_and_that_is_said() {
    let bench = Workbench::new();
    bench.write(
        "cut-out.png",
        half_transparent_png(32, 16, MOSS, [255, 0, 255]),
    );
    let ran = bench.run(["look", "cut-out.png", "--json"]);
    let answer = ran.done().json();
    let [moss] = &list(&answer["photos"][0], "tones")[..] else {
        panic!("one colour can be seen{ran}");
    };
    assert!(contract::difference(moss, MOSS) < FLAT, "{ran}");
    bench
        .run(["look", "cut-out.png"])
        .done()
        .says("transparent");
}

#[test]
fn a_photo_without_a_visible_pixel_is_refused() {
    let bench = Workbench::new();
    bench.write(
        "cut-out.png",
        half_transparent_png(32, 16, MOSS, [255, 0, 255]),
    );
    bench
        .run(["look", "cut-out.png", "--region", "0.6,0,1,1"])
        .refused()
        .tells("cut-out.png, --region: found no pixel")
        .tells("hint: make the region larger");
}

#[test]
fn an_argument_that_cannot_be_read_is_refused() {
    let bench = Workbench::new();
    bench.write("wall.png", png(&two_colours()));
    for (option, value, told) in [
        ("--region", "0.1,0.2", "expected four fractions"),
        (
            "--region",
            "left,top,right,bottom",
            "expected four fractions",
        ),
        ("--region", "10,10,90,30", "these look like percent"),
        ("--region", "0.5,0,0.5,1", "no area"),
        ("--region", "0,0 1,1 1,0 0,1", "crossing"),
        ("--neutral", "0.5", "expected a point"),
        ("--neutral", "50,20", "these look like percent"),
        ("--chart", "0.1,0.1", "expected four corners"),
    ] {
        let ran = bench.run(["look", "wall.png", option, value]);
        ran.refused().tells(&format!("{option}: found")).tells(told);
        assert!(ran.stdout().is_empty(), "{ran}");
    }
}

/// A grey card in the left half beside other colours, all in the warm light of an evening.
fn in_the_evening() -> RgbImage {
    let card = [0x94, 0x80, 0x68];
    let others = [BRICK, SLATE, MOSS, [0x30, 0x40, 0x70]].map(|colour| (colour, 32));
    stripes(128, &[&[(card, 128)], &others[..]].concat())
}

#[test]
fn a_known_neutral_takes_the_cast_out_of_the_light() {
    let bench = Workbench::new();
    bench.write("evening.png", png(&in_the_evening()));
    let card = ["look", "evening.png", "--json", "--region", "0,0,0.5,1"];
    let seen = |more: &[&str]| {
        let ran = bench.run(card.iter().chain(more));
        contract::lab(&ran.done().json()["photos"][0]["tones"][0])
    };
    let before = seen(&[]);
    assert!(before.chroma() > 10.0, "the light is warm: {before:?}");
    let balanced = seen(&["--neutral", "0.25,0.5"]);
    assert!(balanced.chroma() < CAST_LEFT, "{balanced:?}");
    let exposed = seen(&["--neutral", "0.1,0.2,0.4,0.8", "--reflectance", "0.18"]);
    assert!(exposed.chroma() < CAST_LEFT, "{exposed:?}");
    assert!((exposed.l - CARD_LIGHTNESS).abs() < 0.1, "{exposed:?}");
}

#[test]
fn a_photo_that_is_cut_short_is_read_as_far_as_it_goes_when_asked() {
    let bench = Workbench::new();
    let whole = jpeg(&stripes(128, &[(BRICK, 96), (SLATE, 32)]));
    bench.write("cut.jpg", &whole[..whole.len() * 3 / 4]);
    bench
        .run(["look", "cut.jpg"])
        .refused()
        .tells("cut.jpg: found a file that is cut short");
    let ran = bench.run(["look", "cut.jpg", "--json", "--accept-damaged"]);
    let answer = ran.done().json();
    let photo = &answer["photos"][0];
    assert!(number(photo, "height") < 128.0, "{ran}");
    assert!(!list(photo, "warnings").is_empty(), "it is said{ran}");
    let brick = &list(photo, "tones")[0];
    assert!(contract::difference(brick, BRICK) < FLAT_JPEG, "{ran}");
}

#[test]
fn a_picture_of_before_and_after_is_written_and_writes_over_nothing() {
    let bench = Workbench::new();
    bench.write("evening.png", png(&in_the_evening()));
    let arguments = [
        "look",
        "evening.png",
        "--neutral",
        "0.25,0.5",
        "--before-after",
    ];
    bench.run(arguments.iter().chain(&["both.png"])).done();
    assert_eq!(bench.names(), ["both.png", "evening.png"]);
    assert!(image::load_from_memory(&bench.bytes("both.png")).is_ok());
    let before = bench.contents();
    for taken in ["both.png", "evening.png"] {
        let ran = bench.run(arguments.iter().chain(&[taken]));
        ran.refused().tells(taken);
        assert!(bench.contents() == before, "{ran}");
    }
}

#[test]
fn quiet_leaves_the_tones_and_drops_the_advice() {
    let bench = Workbench::new();
    bench.write("wall.png", png(&two_colours()));
    let usual = bench.run(["look", "wall.png"]);
    usual
        .done()
        .says("#93503d")
        .says("nothing corrects its light");
    let quiet = bench.run(["look", "wall.png", "--quiet"]);
    quiet.done().says("#93503d");
    assert!(
        !quiet.stdout().contains("nothing corrects its light"),
        "{quiet}"
    );
    assert!(quiet.stderr().is_empty(), "{quiet}");
}

#[test]
fn colour_codes_are_written_only_where_they_are_wanted() {
    let bench = Workbench::new();
    bench.write("wall.png", png(&two_colours()));
    let plain = bench.run(["look", "wall.png"]);
    assert!(!plain.done().stdout().contains('\u{1b}'), "{plain}");
    let never = bench.run(["look", "wall.png", "--color", "never"]);
    assert!(!never.done().stdout().contains('\u{1b}'), "{never}");
    let always = bench.run(["look", "wall.png", "--color", "always"]);
    // The ground of a swatch, in 24-bit colour: brick is #93503d.
    assert!(
        always.done().stdout().contains("\u{1b}[48;2;147;80;61m"),
        "{always}"
    );
}

#[test]
fn looking_writes_no_file() {
    let bench = Workbench::new();
    bench.write("wall.png", png(&two_colours()));
    bench.run(["look", "wall.png"]).done();
    assert_eq!(bench.names(), ["wall.png"]);
}
