//! Which paints of a long list are worth mixing.

use crate::colour::LabD65;

/// From a list longer than `most`, the places of that many paints, in list order: half of them the ones that come
/// `nearest` by themselves (the best first), the rest spread over all colours, each the farthest from those taken
/// before it. Every paint left out then has one of about its colour among those that stay. From a shorter list, all.
#[must_use]
pub fn worth_stirring(colours: &[LabD65], nearest: &[usize], most: usize) -> Vec<usize> {
    if colours.len() <= most {
        return (0..colours.len()).collect();
    }
    let mut taken: Vec<usize> = nearest.iter().copied().take(most / 2).collect();
    // Squares of the way to the nearest that was taken.
    let mut away = vec![f64::INFINITY; colours.len()];
    let come_nearer = |away: &mut [f64], taken: usize| {
        for (away, colour) in away.iter_mut().zip(colours) {
            *away = away.min(way_squared(*colour, colours[taken]));
        }
    };
    for at in &taken {
        come_nearer(&mut away, *at);
    }
    while taken.len() < most {
        let farthest = (0..colours.len()).max_by(|a, b| away[*a].total_cmp(&away[*b]));
        let Some(next) = farthest.filter(|at| away[*at] > 0.0) else {
            break;
        };
        taken.push(next);
        come_nearer(&mut away, next);
    }
    taken.sort_unstable();
    taken
}

fn way_squared(a: LabD65, b: LabD65) -> f64 {
    (a.l - b.l).powi(2) + (a.a - b.a).powi(2) + (a.b - b.b).powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_paint_is_left_out_without_one_of_about_its_colour() {
        let part = |i: u32, by: f64| (f64::from(i) * by).fract();
        let colours: Vec<LabD65> = (0..2_000)
            .map(|i| {
                LabD65::new(
                    100.0 * part(i, 0.618),
                    80.0 * part(i, 0.414) - 40.0,
                    80.0 * part(i, 0.732) - 40.0,
                )
            })
            .collect();
        let nearest: Vec<usize> = (0..2_000).collect();
        let kept = worth_stirring(&colours, &nearest, 300);
        assert_eq!(kept.len(), 300);
        assert!((0..150).all(|at| kept.contains(&at)));
        let alone = |colour: &LabD65| {
            let ways = kept.iter().map(|at| way_squared(*colour, colours[*at]));
            ways.fold(f64::INFINITY, f64::min).sqrt()
        };
        let farthest = colours.iter().map(alone).fold(0.0, f64::max);
        // So many balls of this radius, packed as well as can be, would fill the space of these colours.
        let filled = (3.0 * 100.0 * 80.0 * 80.0 / (4.0 * std::f64::consts::PI * 150.0)).cbrt();
        assert!(farthest < 1.6 * filled, "{farthest} of {filled}");
    }

    #[test]
    fn paints_of_one_colour_are_taken_once() {
        let colours = [LabD65::new(50.0, 0.0, 0.0); 20];
        assert_eq!(worth_stirring(&colours, &[3, 4], 4), [3, 4]);
    }
}
