//! Shares, spreads, names and parts of the tones that points were sorted into.

use super::roles::give;
use crate::colour::{DeltaE00, LabD65, delta_e00, plain_name};
use crate::tones::choose::joined::Grouping;
use crate::tones::count::histogram::Bin;
use crate::tones::group::rounds::WeightedColour;
use crate::tones::space::{lab_of, least_weight};
use crate::tones::tone::{Role, Sorted, Tone, Tones};
use crate::units::Share;

/// Points this light are passed over when differences are measured: together they are a thousandth.
const NEGLIGIBLE: f64 = 1e-3;

/// Shares, spreads, names and roles of sorted points.
pub(in crate::tones) fn described(
    points: &[WeightedColour],
    centres: &[[f64; 3]],
    nearest: Vec<usize>,
    (accent, alike): (&[bool], &[Vec<LabD65>]),
) -> Sorted {
    let (grouping, not_found) = Grouping::new(centres, accent, nearest).with_alike(points, alike);
    let Grouping {
        centres,
        accent,
        of_point: nearest,
        mut joined,
        mut named_by,
    } = grouping;
    let colours: Vec<LabD65> = centres.iter().map(|at| lab_of(*at)).collect();
    let mut shares = vec![0.0; centres.len()];
    for (point, tone) in points.iter().zip(&nearest) {
        shares[*tone] += point.weight();
    }
    let total: f64 = shares.iter().sum();
    let spreads = spreads(points, &nearest, &colours);
    let mut order: Vec<usize> = (0..centres.len()).filter(|i| shares[*i] > 0.0).collect();
    order.sort_by(|a, b| {
        shares[*b]
            .total_cmp(&shares[*a])
            .then(colours[*b].l.total_cmp(&colours[*a].l))
            .then(a.cmp(b))
    });
    let mut tones: Vec<Tone> = order
        .iter()
        .map(|i| Tone {
            colour: colours[*i],
            share: Share::new((shares[*i] / total).min(1.0))
                .unwrap_or_else(|_| unreachable!("a part over its whole")),
            spread: spreads[*i].0,
            spread_90: spreads[*i].1,
            name: plain_name(colours[*i]),
            role: if accent[*i] {
                Role::Accent
            } else {
                Role::Variation
            },
            shade_of: None,
            thin: false,
            joined: std::mem::take(&mut joined[*i]),
            named_by: std::mem::take(&mut named_by[*i]),
        })
        .collect();
    give(&mut tones);
    body_first(&mut tones, &mut order);
    let mut place = vec![0; centres.len()];
    for (now, before) in order.iter().enumerate() {
        place[*before] = now;
    }
    let mean_spread = tones.iter().map(|t| t.share.value() * t.spread.0).sum();
    Sorted {
        tones: Tones {
            tones,
            mean_spread: DeltaE00(mean_spread),
            not_found,
        },
        of_bin: nearest.into_iter().map(|tone| place[tone]).collect(),
        steps: Vec::new(),
        from_near: false,
    }
}

/// Says for each tone but the body whether most of its unmixed places lie in thin things.
pub(in crate::tones) fn thin_told(mut sorted: Sorted, bins: &[Bin]) -> Sorted {
    let mut seen = vec![(0.0, 0.0); sorted.tones.tones.len()];
    for (bin, tone) in bins.iter().zip(&sorted.of_bin) {
        seen[*tone].0 += bin.thin;
        seen[*tone].1 += bin.unmixed;
    }
    for (tone, (thin, unmixed)) in sorted.tones.tones.iter_mut().zip(seen) {
        tone.thin = tone.role != Role::Body && 2.0 * thin > unmixed;
    }
    sorted
}

/// Moves the body to the front: a body mostly in shadow has a lit tone of less share than its shade.
fn body_first(tones: &mut [Tone], order: &mut [usize]) {
    let Some(body) = tones.iter().position(|tone| tone.role == Role::Body) else {
        return;
    };
    tones[..=body].rotate_right(1);
    order[..=body].rotate_right(1);
    for shade in tones.iter_mut().filter_map(|tone| tone.shade_of.as_mut()) {
        shade.lit = match shade.lit {
            lit if lit == body => 0,
            lit if lit < body => lit + 1,
            lit => lit,
        };
    }
}

/// For each tone the mean difference of its points, and that within which nine in ten of them lie.
fn spreads(
    points: &[WeightedColour],
    nearest: &[usize],
    colours: &[LabD65],
) -> Vec<(DeltaE00, DeltaE00)> {
    let mut off: Vec<Vec<(f64, f64)>> = vec![Vec::new(); colours.len()];
    let least = least_weight(points.iter().map(WeightedColour::weight), NEGLIGIBLE);
    for (point, tone) in points
        .iter()
        .zip(nearest)
        .filter(|(p, _)| p.weight() >= least)
    {
        let difference = delta_e00(lab_of(point.at()), colours[*tone]).0;
        off[*tone].push((difference, point.weight()));
    }
    off.into_iter()
        .map(|mut off| {
            off.sort_by(|a, b| a.0.total_cmp(&b.0));
            let weight: f64 = off.iter().map(|(_, w)| w).sum();
            if weight <= 0.0 {
                return (DeltaE00(0.0), DeltaE00(0.0));
            }
            let mean = off.iter().map(|(d, w)| d * w).sum::<f64>() / weight;
            let mut so_far = 0.0;
            let within = off.iter().find(|(_, w)| {
                so_far += w;
                so_far >= 0.9 * weight
            });
            (DeltaE00(mean), DeltaE00(within.map_or(0.0, |(d, _)| *d)))
        })
        .collect()
}
