//! Any text as the names of a plan: the page, the table and the palette are parsed back, and no name has become more than text.
#![no_main]

use hillwash::mix::{Search, Shelf};
use hillwash::paint::PaintList;
use hillwash::plan::{Kit, Wishes};
use hillwash::report::{View, palette_svg, plan_file, schedule_csv, schedule_html};
use hillwash::share::{read_plan, received};
use hillwash::work::Timings;
use libfuzzer_sys::fuzz_target;
use serde_json::Value;

const PLAN: &str = include_str!("../seeds/received/plan.json");
const BLOCK: &str = "<script type=\"application/json\" id=\"plan\">";

fuzz_target!(|text: &str| {
    let mut names = text.split('\0').cycle();
    let mut name = || names.next().unwrap_or_default().trim().to_owned();
    let mut theirs: Value = serde_json::from_str(PLAN).expect("a plan");
    theirs["scene"]["title"] = name().into();
    theirs["scene"]["lamps"] = name().into();
    let mut given = vec![name()];
    for surface in theirs["surfaces"].as_array_mut().expect("surfaces") {
        surface["name"] = given[0].clone().into();
    }
    given.push(name());
    let quoted = given[1].replace('"', "\"\"");
    let list = format!("name,hex\n\"a{quoted}\",#f2f1ec\n\"{quoted}\",#262524\n");
    let (Ok(theirs), Ok(paints)) = (
        read_plan("plan.json", theirs.to_string().as_bytes()),
        PaintList::parse("paints.csv", list.as_bytes(), &|_| Err(String::new())),
    ) else {
        return;
    };
    let Ok(rebuilt) = received(&theirs) else {
        return;
    };
    let shelf = Shelf::new(&paints);
    let wishes = Wishes::from(Search::default());
    let plan = rebuilt.planned(&Kit::new(&paints, &shelf), &wishes, &Timings::default());
    let data = plan_file(&plan, "2026-11-28");
    let page = schedule_html(&View::new(&plan, "2026-11-28"), &data).expect("a page");
    assert_eq!(
        page.matches("<script").count(),
        2,
        "a name has begun a script"
    );
    let (_, rest) = page.split_once(BLOCK).expect("the block");
    let (json, _) = rest.split_once("</script>").expect("its end");
    assert_eq!(
        serde_json::from_str::<Value>(json).expect("JSON"),
        serde_json::to_value(&data).expect("JSON")
    );
    let table = schedule_csv(&plan).expect("a table");
    let mut rows = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(table.as_slice());
    for row in rows.records() {
        let row = row.expect("rows of one length");
        for cell in row.iter().filter(|cell| {
            given
                .iter()
                .any(|name| !name.is_empty() && cell.ends_with(name.as_str()))
        }) {
            // "+1" is a number, and no formula.
            assert!(
                cell.parse::<f64>().is_ok()
                    || !cell.starts_with(['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠']),
                "{cell}"
            );
        }
    }
    let svg = palette_svg(&plan).expect("a palette");
    assert_eq!(
        svg.matches('<').count(),
        svg.matches('>').count(),
        "a name has opened a tag"
    );
});
