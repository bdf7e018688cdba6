//! What can hurt is told where it belongs.

use crate::bench::{BRICK, Drawn, WHOLE, stripes};
use hillwash::plan::Caution;

/// The body mixes from acrylics alone; only the oil can make so dark a wash.
const ONLY_THE_WASH: &str = "name,hex,medium,opacity,thinner\nwhite,#f2f1ec,acrylic,opaque,water\n\
    brick,#a56048,acrylic,opaque,water\npale brick,#b57a64,acrylic,opaque,water\n\
    red earth,#8e4f3c,acrylic,opaque,water\nwarm earth,#9a5a44,acrylic,opaque,water\nlampblack,#2a2826,oil,semi-transparent,white spirit\n";

fn cautions(more: &str) -> Vec<Caution> {
    let surfaces = format!("{WHOLE}{more}");
    let drawn = Drawn {
        surfaces: &surfaces,
        paints: ONLY_THE_WASH,
        ..Drawn::new(stripes(&[(BRICK, 60)]))
    };
    drawn.plan(|plan| {
        let families: Vec<bool> = plan.surfaces[0]
            .tones
            .iter()
            .flat_map(|tone| &tone.recipes)
            .map(|recipe| recipe.family.is_solvent_borne())
            .collect();
        assert!(
            families.iter().all(|solvent| !solvent),
            "an acrylic body: {families:?}"
        );
        plan.surfaces[0].cautions.clone()
    })
}

#[test]
fn a_wash_of_oil_over_water_borne_paint_brings_the_solvent_cautions() {
    let wash = "[surface.wash]\nbase = \"#a56048\"\nflat = \"#8a523e\"\nrecess = \"#4a3228\"\n";
    let washed = cautions(wash);
    for caution in [
        Caution::Solvents,
        Caution::SolventOnFoam,
        Caution::LabelFirst,
    ] {
        assert!(
            washed.contains(&caution),
            "{caution:?} is missing: {washed:?}"
        );
    }
}
