//! Bad input: each is told with its place, what was found, what was expected and how to mend it; the exit code is 2,
//! and no file is touched.

use crate::pictures::{BRICK, jpeg, png, promising_png, stripes};
use crate::workbench::{Run, Workbench};

/// Runs, and checks that it is refused with all of these words and that nothing in the folder changed.
fn refused(bench: &Workbench, arguments: &[&str], told: &[&str]) -> Run {
    let before = bench.contents();
    let ran = bench.run(arguments);
    ran.refused();
    for words in told {
        ran.tells(words);
    }
    assert!(
        ran.stdout().is_empty(),
        "an answer in spite of the fault{ran}"
    );
    assert!(
        bench.contents() == before,
        "something in the folder changed{ran}"
    );
    ran
}

/// The small scene with one passage changed, refused.
fn scene_with(from: &str, to: &str, told: &[&str]) -> Run {
    let bench = Workbench::with_scene();
    bench.change("scene.toml", from, to);
    refused(&bench, &["plan", "scene.toml"], told)
}

/// The small scene with another paint list, refused.
fn paints_as(list: impl AsRef<[u8]>, told: &[&str]) -> Run {
    let bench = Workbench::with_scene();
    bench.write("paints.csv", list);
    refused(&bench, &["plan", "scene.toml"], told)
}

/// The small scene with another file for its photo, refused.
fn photo_as(photo: impl AsRef<[u8]>, told: &[&str]) -> Run {
    let bench = Workbench::with_scene();
    bench.write("kiln.png", photo);
    let mut all = vec!["scene.toml:7, photos.kiln.file: "];
    all.extend(told);
    refused(&bench, &["plan", "scene.toml"], &all)
}

fn count_of_errors(ran: &Run) -> usize {
    ran.stderr().matches("error: ").count()
}

const REGION: &str = "[[0, 0], [1, 0], [1, 1], [0, 1]]";

#[test]
fn a_scene_that_is_not_there_is_refused() {
    refused(
        &Workbench::new(),
        &["plan", "scene.toml"],
        &[
            "found no file at \"scene.toml\"",
            "expected a scene file",
            "hint: check the spelling",
        ],
    );
}

#[test]
fn a_folder_without_a_scene_is_told_which_file_is_missing() {
    let bench = Workbench::with_scene();
    bench.make_folder("yard");
    refused(
        &bench,
        &["plan", "yard"],
        &["expected scene.toml", "hillwash new"],
    );
}

#[test]
fn a_scene_that_is_not_toml_is_told_with_its_line() {
    scene_with(
        "scale  = \"1:87\"",
        "scale  = 1:87",
        &["scene.toml:2: found text that is not TOML", "expected"],
    );
}

#[test]
fn a_photo_given_as_a_scene_is_refused() {
    let bench = Workbench::with_scene();
    refused(
        &bench,
        &["plan", "kiln.png"],
        &[
            "kiln.png: found bytes that are not UTF-8 text",
            "expected a TOML file",
            "hint: ",
        ],
    );
}

#[test]
fn an_unknown_key_gets_the_nearest_one() {
    scene_with(
        "view   =",
        "veiw   =",
        &[
            "scene.toml:3, veiw: found the key \"veiw\"",
            "expected one of lamps, paints, photos, scale",
            "hint: did you mean \"view\"?",
        ],
    );
}

#[test]
fn an_unknown_key_of_a_surface_gets_the_nearest_one() {
    scene_with(
        "area   =",
        "aera   =",
        &[
            "scene.toml:14, surface 1.aera: found the key \"aera\"",
            "expected one of alike, allow, area, band",
            "hint: did you mean \"area\"?",
        ],
    );
}

#[test]
fn a_missing_key_is_named_with_an_example() {
    for (key, line) in [
        ("title", "title  = \"Hop yard\"\n"),
        ("paints", "paints = \"paints.csv\"\n"),
    ] {
        scene_with(
            line,
            "",
            &[
                &format!("scene.toml, {key}: found no {key}"),
                &format!("expected one such as {key} = "),
            ],
        );
    }
}

#[test]
fn a_scale_that_is_none_is_told_what_would_do() {
    scene_with(
        "\"1:87\"",
        "\"eighty\"",
        &[
            "scene.toml:2, scale: found \"eighty\"",
            "expected a scale such as \"1:87\", or a letter",
        ],
    );
    scene_with(
        "\"1:87\"",
        "\"1:0\"",
        &["scene.toml:2, scale: found \"1:0\"", "from 1:1 to 1:2000"],
    );
    scene_with(
        "\"1:87\"",
        "87",
        &[
            "scene.toml:2, scale: found the number 87",
            "such as \"1:87\"",
        ],
    );
}

#[test]
fn a_scale_letter_with_several_ratios_is_asked_for_one_of_them() {
    scene_with(
        "\"1:87\"",
        "\"N\"",
        &[
            "scene.toml:2, scale: found \"N\", which stands for several ratios",
            "1:160, 1:148",
            "hint: name the ratio too, as in \"N 1:160\"",
        ],
    );
    let bench = Workbench::with_scene();
    bench.change("scene.toml", "\"1:87\"", "\"N 1:148\"");
    bench.run(["plan", "scene.toml"]).done().says("1:148");
}

#[test]
fn a_measure_without_its_unit_is_refused() {
    scene_with(
        "\"310 cm2\"",
        "\"310\"",
        &[
            "scene.toml:14, surface 1.area: found \"310\"",
            "expected a number and one of the units cm2",
            "hint: ",
        ],
    );
    scene_with(
        "\"0.9 m\"",
        "\"0.9\"",
        &["scene.toml:3, view: found \"0.9\"", "units m, cm", "hint: "],
    );
}

#[test]
fn a_colour_that_is_none_is_told_what_would_do() {
    scene_with(
        "view   =",
        "scale_colour = { air = \"#c8d6g4\" }\nview   =",
        &[
            "scene.toml:3, scale_colour.air: found \"#c8d6g4\"",
            "expected # and 3, 4, 6 or 8 hex digits",
            "hint: \"g\" is not a hex digit",
        ],
    );
    scene_with(
        "view   =",
        "scale_colour = { air = \"hazy\" }\nview   =",
        &[
            "scene.toml:3, scale_colour.air: found \"hazy\"",
            "expected a colour such as #7a5b48",
        ],
    );
}

#[test]
fn a_region_outside_the_photo_is_refused() {
    scene_with(
        REGION,
        "[[0, 0], [1.2, 0], [1, 1], [0, 1]]",
        &[
            "scene.toml:13, surface 1.region: found the point [1.2, 0] outside the photo",
            "expected fractions from 0 to 1",
            "hint: 0, 0 is the upper left corner",
        ],
    );
}

#[test]
fn a_region_in_pixels_is_recognised() {
    scene_with(
        REGION,
        "[[10, 10], [60, 10], [60, 30], [10, 30]]",
        &[
            "surface 1.region: found the point [10, 10]",
            "hint: these look like percent",
        ],
    );
}

#[test]
fn a_region_without_area_is_refused() {
    scene_with(
        REGION,
        "[[0.1, 0.1], [0.5, 0.5], [0.9, 0.9]]",
        &[
            "scene.toml:13, surface 1.region: found a region with no area",
            "expected one that holds part of the photo",
            "hint: move the points apart",
        ],
    );
}

#[test]
fn a_region_that_crosses_itself_is_told_which_sides_cross() {
    scene_with(
        REGION,
        "[[0, 0], [1, 1], [1, 0], [0, 1]]",
        &[
            "scene.toml:13, surface 1.region: found sides 1 and 3 crossing",
            "expected an outline that does not cross itself",
            "hint: list the points in order round the outline",
        ],
    );
}

#[test]
fn a_region_of_two_points_is_refused() {
    scene_with(
        REGION,
        "[[0, 0], [1, 1]]",
        &[
            "surface 1.region: found 2 points",
            "expected at least 3",
            "hint: a rectangle is",
        ],
    );
}

#[test]
fn a_region_smaller_than_a_pixel_is_refused() {
    scene_with(
        REGION,
        "[[0.501, 0.501], [0.503, 0.501], [0.503, 0.503], [0.501, 0.503]]",
        &[
            "scene.toml:13, surface 1.region: found no pixel inside the region",
            "expected at least one",
            "hint: make the region larger",
        ],
    );
}

#[test]
fn a_photo_the_scene_does_not_have_gets_the_nearest_name() {
    scene_with(
        "photo  = \"kiln\"",
        "photo  = \"klin\"",
        &[
            "scene.toml:12, surface 1.photo: found \"klin\"",
            "expected the name of one of this scene's photos: kiln",
            "hint: did you mean \"kiln\"?",
        ],
    );
}

#[test]
fn a_photo_that_is_not_there_is_told_with_its_line() {
    scene_with(
        "kiln.png",
        "klin.png",
        &[
            "scene.toml:7, photos.kiln.file: found no file at ",
            "klin.png\"",
            "expected a photo",
            "hint: check the spelling",
        ],
    );
}

#[test]
fn a_photo_that_is_no_picture_is_refused() {
    photo_as(
        "a shopping list",
        &[
            "kiln.png",
            "found no picture in it",
            "expected JPEG, PNG",
            "hint: give a photograph",
        ],
    );
}

#[test]
fn a_photo_without_a_byte_is_refused() {
    photo_as(
        "",
        &[
            "kiln.png",
            "found an empty file",
            "expected a photo",
            "hint: copy it again",
        ],
    );
}

#[test]
fn a_photo_of_a_kind_that_is_not_read_is_told_the_way_round() {
    for (bytes, found, hint) in [
        (
            &b"\xff\x0a\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00"[..],
            "found a JPEG XL picture",
            "hint: open it in an image viewer",
        ),
        (
            b"\0\0\0\x0cjP  \r\n\x87\n\0\0\0\x14ftypjp2 ",
            "found a JPEG 2000 picture",
            "hint: open it in an image viewer",
        ),
        (
            b"\0\0\0\x18ftypisom\0\0\x02\0isommp42",
            "found a film",
            "hint: stop it where the surface is sharp",
        ),
        (
            b"\n<!DOCTYPE html><html><head><title>A wall</title></head></html>",
            "found a web page",
            "hint: open it in a browser and save the picture",
        ),
        (
            b"\x1a\x45\xdf\xa3\x01\0\0\0\0\0\0\x1f",
            "found a film",
            "hint: stop it where the surface is sharp",
        ),
        (
            b"8BPS\0\x01\0\0\0\0\0\0",
            "found an image editor's picture in layers",
            "hint: export it from the image editor",
        ),
        (
            b"PK\x03\x04\x14\0\0\0\x08\0",
            "found a zip archive",
            "hint: take the photos out of it",
        ),
    ] {
        photo_as(bytes, &[found, "expected JPEG, PNG", hint]);
    }
}

#[test]
fn a_photo_that_is_cut_short_is_refused() {
    let picture = stripes(64, &[(BRICK, 64), ([30, 40, 50], 64)]);
    for whole in [jpeg(&picture), png(&picture)] {
        photo_as(
            &whole[..whole.len() * 2 / 3],
            &[
                "kiln.png",
                "found a file that is cut short",
                "expected a whole picture",
                "hint: copy it again",
            ],
        );
    }
}

#[test]
fn a_photo_that_promises_too_many_pixels_is_refused_by_its_header() {
    photo_as(
        promising_png(60_000, 60_000),
        &[
            "found a picture of 60000 x 60000 pixels",
            "expected at most 20000 a side",
            "hint: save a smaller copy",
        ],
    );
}

#[test]
fn a_photo_that_promises_more_pixels_than_it_holds_is_refused() {
    photo_as(
        promising_png(9_000, 9_000),
        &["kiln.png", "found ", "expected ", "hint: "],
    );
}

#[test]
fn a_paint_list_that_is_not_there_is_told_with_its_line() {
    scene_with(
        "paints.csv",
        "paint.csv",
        &[
            "scene.toml:4, paints: found no file at ",
            "paint.csv\"",
            "expected a paint list",
            "hint: check the spelling",
        ],
    );
}

#[test]
fn an_empty_paint_list_is_refused() {
    for list in ["", "name,hex\n", "\n\n", "\u{feff}"] {
        paints_as(
            list,
            &[
                "paints.csv: found no paints",
                "expected a header row and at least one row below it",
            ],
        );
    }
}

#[test]
fn two_paints_of_one_name_are_refused() {
    paints_as(
        "name,hex\nochre,#bc9145\nwhite,#f2f1ec\nOchre,#bc9146\n",
        &[
            "paints.csv:4, name: found \"Ochre\" again",
            "expected each name once (first on line 2)",
            "hint: rename one",
        ],
    );
}

#[test]
fn a_number_that_cannot_be_read_is_told_with_its_line_and_column() {
    paints_as(
        "name,hex,pot_ml\nochre,#bc9145,20 kg\n",
        &[
            "paints.csv:2, pot_ml: found \"20 kg\"",
            "expected a number and one of the units ml",
            "hint: write the number alone",
        ],
    );
    for number in ["NaN", "inf", "1e999", "-3"] {
        paints_as(
            format!("name,hex,pot_ml\nochre,#bc9145,{number}\n"),
            &[
                &format!("paints.csv:2, pot_ml: found \"{number}\"").replace("\"-3\"", "-3"),
                "expected ",
            ],
        );
    }
}

#[test]
fn a_paint_without_a_colour_is_refused() {
    paints_as(
        "name,hex\nochre,\n",
        &[
            "paints.csv:2, hex: found no colour for \"ochre\"",
            "expected one of hex",
            "hint: ",
        ],
    );
}

#[test]
fn a_paint_list_that_is_no_text_is_told_with_its_line() {
    paints_as(
        b"name,hex\nwhite,#f2f1ec\nochre\0,#bc9145\n",
        &[
            "paints.csv:3: found bytes that are not text",
            "expected a table",
            "hint: save the table again",
        ],
    );
}

#[test]
fn a_list_without_a_column_of_colours_is_told_what_it_has() {
    paints_as(
        "name,hx,opacity\nochre,#bc914g,opaque\n",
        &[
            "paints.csv:1: found no column for the colours",
            "it has \"name\", \"hx\", \"opacity\"",
            "hint: did you mean \"hex\" by \"hx\"?",
        ],
    );
}

#[test]
fn an_unknown_medium_gets_the_nearest_one() {
    paints_as(
        "name,hex,medium\nochre,#bc9145,acrilic\n",
        &[
            "paints.csv:2, medium: found \"acrilic\"",
            "expected one of acrylic, enamel",
            "hint: did you mean \"acrylic\"?",
        ],
    );
}

#[test]
fn a_path_that_leaves_the_folder_of_the_scene_is_refused_unless_allowed() {
    let bench = Workbench::with_scene_in_yard();
    bench.write("x.png", png(&stripes(8, &[(BRICK, 8)])));
    bench.change("yard/scene.toml", "kiln.png", "../x.png");
    refused(
        &bench,
        &["plan", "yard/scene.toml"],
        &[
            "yard/scene.toml:7, photos.kiln.file: found the path \"../x.png\"",
            "expected one inside the scene's folder",
            "hint: copy the file beside the scene",
            "--allow-outside",
        ],
    );
    bench
        .run(["plan", "yard/scene.toml", "--allow-outside"])
        .done();
    assert!(bench.path("yard/schedule/schedule.html").is_file());
}

#[test]
fn a_path_outside_the_folder_is_one_fault_and_not_two() {
    let bench = Workbench::with_scene();
    bench.change("scene.toml", "kiln.png", "../kiln.png");
    let ran = refused(
        &bench,
        &["plan", "scene.toml"],
        &["scene.toml:7, photos.kiln.file"],
    );
    assert_eq!(
        count_of_errors(&ran),
        1,
        "the photo is named, though its path is bad{ran}"
    );
}

#[test]
fn full_paths_and_lists_outside_the_folder_are_refused() {
    for (from, to, field) in [
        (
            "kiln.png",
            "/photos/kiln.png",
            "scene.toml:7, photos.kiln.file",
        ),
        (
            "kiln.png",
            "C:/photos/kiln.png",
            "scene.toml:7, photos.kiln.file",
        ),
        ("paints.csv", "../paints.csv", "scene.toml:4, paints"),
        (
            "paints.csv",
            "lists/../../paints.csv",
            "scene.toml:4, paints",
        ),
    ] {
        scene_with(
            from,
            to,
            &[&format!("{field}: found the path \"{to}\""), "hint: "],
        );
    }
}

#[test]
fn a_measured_spectrum_outside_the_folder_is_refused_unless_allowed() {
    let bench = Workbench::with_scene_in_yard();
    let spectrum = "380,0.2\n480,0.2\n580,0.4\n680,0.5\n780,0.5\n";
    bench.write("ochre.csv", spectrum);
    bench.write(
        "yard/paints.csv",
        "name,spectrum,hex\nochre,../ochre.csv,\nwhite,,#f2f1ec\n",
    );
    refused(
        &bench,
        &["plan", "yard/scene.toml"],
        &["paints.csv:2, spectrum", "../ochre.csv"],
    );
    bench
        .run(["plan", "yard/scene.toml", "--allow-outside"])
        .done();
}

#[cfg(unix)]
#[test]
fn a_link_that_leaves_the_folder_of_the_scene_is_refused_unless_allowed() {
    let bench = Workbench::with_scene_in_yard();
    bench.write("x.png", png(&stripes(8, &[(BRICK, 8)])));
    bench.remove("yard/kiln.png");
    std::os::unix::fs::symlink("../x.png", bench.path("yard/kiln.png")).unwrap();
    refused(
        &bench,
        &["plan", "yard/scene.toml"],
        &[
            "yard/scene.toml:7, photos.kiln.file: found \"yard/kiln.png\"",
            "leads out of the scene's folder",
            "expected a file inside it",
            "hint: copy the file beside the scene",
        ],
    );
    bench
        .run(["plan", "yard/scene.toml", "--allow-outside"])
        .done();
}

#[test]
fn several_faults_of_a_scene_are_told_at_once() {
    let bench = Workbench::with_scene();
    bench.change("scene.toml", "\"1:87\"", "\"N\"");
    bench.change("scene.toml", "view ", "veiw ");
    bench.change("scene.toml", "\"8 m\"", "\"8\"");
    bench.change("scene.toml", "[1, 1]", "[1, 9]");
    bench.change(
        "scene.toml",
        "area   = \"310 cm2\"",
        "area   = \"310 cm2\"\ncoats = 0",
    );
    let ran = refused(
        &bench,
        &["plan", "scene.toml"],
        &[
            "scene.toml:2, scale: ",
            "scene.toml:3, veiw: ",
            "scene.toml:8, photos.kiln.from: ",
            "scene.toml:13, surface 1.region: ",
            "scene.toml:15, surface 1.coats: ",
            "5 problems in all",
        ],
    );
    assert_eq!(count_of_errors(&ran), 5, "{ran}");
}

#[test]
fn several_faults_of_a_list_are_told_at_once() {
    let ran = paints_as(
        "name,hex,medium,pot_ml\nochre,#bc914g,acrylic,20\nochre,#bc9145,tempera,many\n,#f2f1ec,,\n",
        &[
            "paints.csv:2, hex: ",
            "paints.csv:3, medium: ",
            "paints.csv:3, name: ",
            "paints.csv:3, pot_ml: ",
            "paints.csv:4, name: ",
            "5 problems in all",
        ],
    );
    assert_eq!(count_of_errors(&ran), 5, "{ran}");
}

#[test]
fn faults_of_different_files_are_told_at_once() {
    let bench = Workbench::with_scene();
    bench.change("scene.toml", "kiln.png", "klin.png");
    bench.change(
        "scene.toml",
        "paints =",
        "scatter = \"scatter.csv\"\npaints =",
    );
    bench.write("paints.csv", "name,hex\nochre,#bc914g\n");
    bench.write("scatter.csv", "name,hex,grain\nmeadow crumb,#58813a,tiny\n");
    refused(
        &bench,
        &["plan", "scene.toml"],
        &[
            "scene.toml:8, photos.kiln.file: ",
            "paints.csv:2, hex: ",
            "scatter.csv:2, grain: ",
            "3 problems in all",
        ],
    );
}

#[test]
fn two_surfaces_of_one_name_are_refused() {
    let bench = Workbench::with_scene();
    let scene = bench.text("scene.toml");
    bench.write(
        "scene.toml",
        format!("{scene}\n[[surface]]\nname = \"kiln Wall\"\nphoto = \"kiln\"\n"),
    );
    refused(
        &bench,
        &["plan", "scene.toml"],
        &[
            "scene.toml:17, surface 2.name: found the name \"kiln Wall\" again, first on line 11",
            "expected each surface once",
            "hint: ",
        ],
    );
}

#[test]
fn two_bands_of_one_name_are_refused_with_both_lines() {
    let bench = Workbench::with_scene();
    let scene = bench.text("scene.toml");
    let bands = "[[surface.band]]\nname = \"far slope\"\nfrom = \"100 m\"\n\n[[surface.band]]\nfrom = \"2 km\"\nname = \"Far slope\"\n";
    bench.write("scene.toml", format!("{scene}{bands}"));
    refused(
        &bench,
        &["plan", "scene.toml"],
        &[
            "scene.toml:21, surface 1.band 2.name: found the name \"Far slope\" again, first on line 16",
            "expected each band once",
            "hint: give each band its own name",
        ],
    );
}

#[test]
fn a_scene_without_a_surface_is_refused() {
    let bench = Workbench::with_scene();
    let scene = bench.text("scene.toml");
    let (before, _) = scene.split_once("[[surface]]").unwrap();
    bench.write("scene.toml", before);
    refused(
        &bench,
        &["plan", "scene.toml"],
        &[
            "scene.toml: found no [[surface]]",
            "expected at least one",
            "hint: add [[surface]]",
        ],
    );
}

#[test]
fn a_file_where_the_folder_for_the_schedule_should_be_is_left_alone() {
    let bench = Workbench::with_scene();
    bench.write("club", "not a folder");
    refused(
        &bench,
        &["plan", "scene.toml", "--out", "club"],
        &["\"club\""],
    );
}

#[test]
fn an_unknown_option_or_command_is_refused() {
    let bench = Workbench::with_scene();
    refused(
        &bench,
        &["plan", "scene.toml", "--scale", "1:87"],
        &["--scale", "--help"],
    );
    refused(&bench, &["plot", "scene.toml"], &["plot", "--help"]);
    refused(
        &bench,
        &["mix", "#777777", "--most-paints", "9"],
        &["--most-paints", "9", "expected from 1 to 4"],
    );
}

#[test]
fn escape_codes_of_a_file_do_not_reach_the_terminal() {
    let bench = Workbench::with_scene();
    bench.change("scene.toml", "\"1:87\"", "\"\\u001b[2J\\u0007eighty\"");
    // With colour the output passes on what it is given; without, it drops every escape code anyhow.
    let ran = refused(
        &bench,
        &["plan", "scene.toml", "--color", "always"],
        &["scene.toml:2, scale: found", "eighty"],
    );
    assert!(!ran.stderr().contains(['\u{1b}', '\u{7}']), "{ran}");
}
