//! Right stuff, not only right colour: what zones are and what they are made of. Common practice, no source.

use crate::blends::kinds_of;
use hillwash::paint::{ScatterList, ScatterMaterial};
use hillwash::scatter::Land;

const LIST: &str = "name,hex,grain,material\n\
    larch gold,#ad7a46,coarse,needle\n\
    \"needles, faded\",#8f6b4a,coarse,\n\
    straw,#b3a169,fibre,\n\
    \"turf, dry\",#7d7a45,medium,\n\
    pale stone,#b0a58f,fine,ballast\n\
    mystery,#7a7a60,fine,\n";

#[test]
fn a_meadow_is_made_of_no_needles_unless_they_are_let_in() {
    let kinds = kinds_of(LIST);
    assert_eq!(kinds[0].material, Some(ScatterMaterial::Needle));
    assert!(!kinds[0].material_guessed && kinds[1].material_guessed);
    assert_eq!(Land::Grass.kinds(&kinds, &[]), [2, 3, 5]);
    assert_eq!(
        Land::Grass.kinds(&kinds, &[ScatterMaterial::Needle]),
        [0, 1, 2, 3, 5]
    );
    assert_eq!(Land::Wood.kinds(&kinds, &[]), [0, 1, 2, 3, 5]);
    assert_eq!(Land::Scree.kinds(&kinds, &[]), [3, 4, 5]);
    assert_eq!(Land::Any.kinds(&kinds, &[]).len(), kinds.len());
}

#[test]
fn names_of_zones_tell_what_they_are() {
    for (name, land) in [
        ("dune grass", Some(Land::Grass)),
        ("wooded slope", Some(Land::Wood)),
        ("Scree below the crag", Some(Land::Scree)),
        ("far moor", Some(Land::Heath)),
        ("the path", Some(Land::Earth)),
        ("near", None),
        ("pathless", None),
    ] {
        assert_eq!(Land::guessed([name]), land, "{name}");
    }
}

#[test]
fn a_misspelt_material_is_a_fault_with_its_line() {
    let text = LIST.replace(",needle", ",neddle");
    let faults = ScatterList::parse("scatter.csv", text.as_bytes()).unwrap_err();
    assert_eq!(faults.len(), 1);
    assert_eq!(hillwash::problem::Explain::place(&faults[0]).line, Some(2));
    let hint = hillwash::problem::Explain::hint(&faults[0]).unwrap_or_default();
    assert!(format!("{} {hint}", faults[0]).contains("needle"));
}
