//! How well the tones of drawn scenes come back.

use crate::drawn::{Drawn, Kind, drawn};
use hillwash::colour::delta_e00;
use hillwash::region::Region;
use hillwash::tones::{Count, Likeness, Tone, tones_of};

/// A tone this near to a material, and no nearer to another, is that material's.
const FOUND: f64 = 4.0;

/// How a scene's pair of materials was told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Pair {
    None,
    Apart,
    Told(Likeness),
}

/// What came back of one scene.
struct Scored {
    seed: u64,
    kind: Kind,
    drawn: usize,
    found: usize,
    /// Worst over the materials.
    colour_off: f64,
    colours_off: Vec<f64>,
    share_off: f64,
    accent_off: Option<f64>,
    /// Whether the pair was told as one material, or as doubtful.
    pair: Pair,
}

fn nearest<'a>(tones: &'a [Tone], scene: &Drawn, material: usize) -> (usize, &'a Tone, f64) {
    let (colour, _) = scene.truth[material];
    tones
        .iter()
        .enumerate()
        .map(|(i, tone)| (i, tone, delta_e00(tone.colour, colour).0))
        .min_by(|a, b| a.2.total_cmp(&b.2))
        .unwrap()
}

fn scored(seed: u64, kind: Kind) -> Scored {
    let scene = drawn(seed, kind);
    let found = tones_of(&scene.picture, &Region::whole(), Count::Chosen)
        .unwrap()
        .tones;
    let mains: Vec<usize> = (0..scene.truth.len())
        .filter(|m| Some(*m) != scene.accent)
        .collect();
    let all: Vec<(f64, f64)> = mains
        .iter()
        .map(|m| {
            let (_, tone, off) = nearest(&found, &scene, *m);
            (off, (tone.share.value() - scene.truth[*m].1).abs())
        })
        .collect();
    let pair = scene.pair.map_or(Pair::None, |(lit, dark)| {
        let (one, _, off) = nearest(&found, &scene, lit);
        let (two, tone, off_two) = nearest(&found, &scene, dark);
        if off > FOUND || off_two > FOUND || one == two {
            return Pair::Apart;
        }
        tone.shade_of
            .filter(|s| s.lit == one)
            .or(found[one].shade_of.filter(|s| s.lit == two))
            .map_or(Pair::Apart, |s| Pair::Told(s.likeness))
    });
    Scored {
        seed,
        kind,
        drawn: scene.truth.len(),
        found: found.len(),
        colour_off: all.iter().map(|a| a.0).fold(0.0, f64::max),
        colours_off: all.iter().map(|a| a.0).collect(),
        share_off: all.iter().map(|a| a.1).fold(0.0, f64::max),
        accent_off: scene.accent.map(|accent| nearest(&found, &scene, accent).2),
        pair,
    }
}

fn percent(good: usize, of: usize) -> f64 {
    100.0 * good as f64 / of.max(1) as f64
}

/// What came back of a set of scenes, percentages.
struct Table {
    number: f64,
    colours: f64,
    median: f64,
    shares: f64,
    accents: f64,
    joined: f64,
    apart: f64,
    greys_not_joined: f64,
}

#[expect(
    clippy::too_many_lines,
    reason = "one table, from its scenes to its figures"
)]
fn table(name: &str, seeds: std::ops::Range<u64>) -> Table {
    let all: Vec<Scored> = seeds
        .flat_map(|seed| Kind::ALL.map(|kind| scored(seed, kind)))
        .collect();
    println!("{name}: {} scenes", all.len());
    for s in all.iter().filter(|s| {
        s.found != s.drawn
            || s.colour_off > 1.5
            || s.share_off > 0.02
            || s.accent_off.is_some_and(|off| off > 2.0)
    }) {
        println!(
            "  missed: seed {} {:?}: {} tones of {}, colours within {:.2}, shares within {:.1} points{}",
            s.seed,
            s.kind,
            s.found,
            s.drawn,
            s.colour_off,
            100.0 * s.share_off,
            s.accent_off
                .map_or_else(String::new, |off| format!(", accent within {off:.2}"))
        );
    }
    let of = |kind: Kind| all.iter().filter(move |s| s.kind == kind);
    let mut offs: Vec<f64> = all.iter().flat_map(|s| s.colours_off.clone()).collect();
    offs.sort_by(f64::total_cmp);
    let table = Table {
        number: percent(all.iter().filter(|s| s.found == s.drawn).count(), all.len()),
        colours: percent(offs.iter().filter(|off| **off <= 1.5).count(), offs.len()),
        median: offs[offs.len() / 2],
        shares: percent(
            all.iter().filter(|s| s.share_off <= 0.02).count(),
            all.len(),
        ),
        accents: percent(
            of(Kind::Accent)
                .filter(|s| s.accent_off.is_some_and(|off| off <= 2.0))
                .count(),
            of(Kind::Accent).count(),
        ),
        joined: percent(
            of(Kind::Shadow)
                .filter(|s| s.pair == Pair::Told(Likeness::OneMaterial))
                .count(),
            of(Kind::Shadow).count(),
        ),
        apart: percent(
            of(Kind::SimilarHue)
                .filter(|s| s.pair == Pair::Apart)
                .count(),
            of(Kind::SimilarHue).count(),
        ),
        greys_not_joined: percent(
            of(Kind::Greys)
                .filter(|s| s.pair != Pair::Told(Likeness::OneMaterial))
                .count(),
            of(Kind::Greys).count(),
        ),
    };
    println!("  number of tones right           {:5.1} %", table.number);
    for kind in Kind::ALL {
        println!(
            "    {kind:<27?}   {:5.1} % of {}",
            percent(
                of(kind).filter(|s| s.found == s.drawn).count(),
                of(kind).count()
            ),
            of(kind).count()
        );
    }
    println!(
        "  colours within dE00 1.5         {:5.1} %, median {:.2}",
        table.colours, table.median
    );
    println!(
        "  shares within 2 points          {:5.1} % of scenes",
        table.shares
    );
    println!("  1 % accent within dE00 2        {:5.1} %", table.accents);
    println!("  light and shade joined          {:5.1} %", table.joined);
    println!("  similar hues kept apart         {:5.1} %", table.apart);
    println!(
        "  greys not joined                {:5.1} %, put to the user {:.1} %",
        table.greys_not_joined,
        percent(
            of(Kind::Greys)
                .filter(|s| s.pair == Pair::Told(Likeness::Doubtful))
                .count(),
            of(Kind::Greys).count()
        )
    );
    table
}

/// Gates: what the tuning set allowed for, and never below what was asked. Chance moves a figure over 16 scenes of a kind
/// by several points.
#[test]
fn scenes_not_tuned_on_come_back() {
    let held_out = table("held-out set", 1000..1040);
    assert!(held_out.number >= 89.0, "number of tones");
    assert!(
        held_out.colours >= 95.0 && held_out.median <= 0.5,
        "colours"
    );
    assert!(held_out.shares >= 80.0, "shares");
    assert!(held_out.accents >= 88.0, "accents");
    assert!(held_out.joined >= 90.0, "light and shade");
    assert!(held_out.apart >= 90.0, "similar hues");
    assert!(held_out.greys_not_joined >= 100.0, "greys");
}
