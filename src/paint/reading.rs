//! What colour a paint most likely has whose screen colour was read, since that reading has an error of its own.

use crate::colour::{LabD65, Srgb8, Xyz};

/// How far each channel of a screen colour may be off, of 255: one standard deviation. Our choice, for a swatch that was
/// photographed or scanned.
const CHANNEL_ERROR: u8 = 5;
/// Strong colours are rare among body colours: each further step of this much chroma makes them rarer by the factor e. Their
/// mean chroma is then twice this. Our choice: `WHY.md` beside this file.
const FALL: f64 = 10.0;
/// Steps towards the peak; the last ones no longer change anything that can be seen.
const STEPS: usize = 24;

/// The likeliest colour of a body colour that was read as `read`. It is a little greyer, the more so the larger the error of
/// a\* and b\* is, so most for dark paints. Lightness stays.
///
/// # Source
/// Bayes' rule. One factor is the normal density of the reading: the error of the three channels, carried to a\* and b\* by
/// their slopes. The other is how rare such chroma is. The peak of the product is found by reweighted least squares.
pub(super) fn likeliest(read: LabD65) -> Xyz {
    let [aa, ab, bb] = error_of(read.to_srgb8());
    let mut now = read;
    for _ in 0..STEPS {
        let prior = FALL * now.chroma().max(1e-6);
        let (aa, bb) = (aa + prior, bb + prior);
        let scale = prior / (aa * bb - ab * ab);
        now.a = scale * (bb * read.a - ab * read.b);
        now.b = scale * (aa * read.b - ab * read.a);
    }
    Xyz::from(now).clamped()
}

/// Variance of a\*, covariance of a\* with b\*, variance of b\*.
fn error_of(screen: Srgb8) -> [f64; 3] {
    let mut sums = [0.0; 3];
    for channel in 0..3 {
        let [mut low, mut high] = [screen.0; 2];
        low[channel] = low[channel].saturating_sub(CHANNEL_ERROR);
        high[channel] = high[channel].saturating_add(CHANNEL_ERROR);
        let step = f64::from(CHANNEL_ERROR) / f64::from(high[channel] - low[channel]);
        let (one, other) = (LabD65::from(Srgb8(low)), LabD65::from(Srgb8(high)));
        let (a, b) = ((other.a - one.a) * step, (other.b - one.b) * step);
        sums[0] += a * a;
        sums[1] += a * b;
        sums[2] += b * b;
    }
    sums
}

#[cfg(test)]
mod tests {
    use super::likeliest;
    use crate::colour::{LabD65, Srgb8, delta_e00};

    fn drawn(screen: [u8; 3]) -> (LabD65, LabD65) {
        let read = LabD65::from(Srgb8(screen));
        (read, likeliest(read).into())
    }

    #[test]
    fn a_colour_is_drawn_towards_grey_by_what_it_may_be_off_and_no_farther() {
        let screens = [
            [20, 16, 26],
            [90, 70, 52],
            [160, 24, 24],
            [255, 0, 255],
            [0, 0, 0],
            [255; 3],
        ];
        for (read, now) in screens.map(drawn) {
            assert!(now.chroma() <= read.chroma() + 0.01, "{read:?}, {now:?}");
            assert!(delta_e00(read, now).0 < 2.5, "{read:?}, {now:?}");
            assert!((read.l - now.l).abs() < 0.5, "{read:?}, {now:?}");
        }
        let moved = |screen| {
            let (read, now) = drawn(screen);
            delta_e00(read, now).0
        };
        assert!(moved([160, 24, 24]) < 0.5, "a vivid red keeps its own");
        assert!(
            moved([26, 20, 18]) > 2.0 * moved([160, 24, 24]),
            "a near-black's hue is mostly error"
        );
    }

    /// The same by counting: colours lie about grey as body colours do, each is read with an error; the mean of those that
    /// are read so. A peak and a mean are no two words for one thing, so they are near each other, not alike.
    #[test]
    fn it_lies_by_the_mean_of_the_colours_that_are_read_so() {
        for screen in [[30, 24, 40], [90, 70, 52], [60, 80, 50], [130, 100, 120]] {
            let (read, now) = drawn(screen);
            let (mut sums, mut total) = ([0.0; 2], 0.0);
            let steps = |from: i32, to: i32| (from..=to).step_by(2).map(f64::from);
            for l in steps(-16, 16).map(|by| read.l + by) {
                for a in steps(-50, 50) {
                    for b in steps(-50, 50) {
                        let seen = LabD65 { l, a, b }.to_srgb8();
                        let off: f64 = (0..3)
                            .map(|c| (f64::from(seen.0[c]) - f64::from(screen[c])) / 5.0)
                            .map(|off| off * off)
                            .sum();
                        let weight = (-0.5 * off - a.hypot(b) / 10.0).exp();
                        total += weight;
                        sums[0] += weight * a;
                        sums[1] += weight * b;
                    }
                }
            }
            let off = (now.a - sums[0] / total).hypot(now.b - sums[1] / total);
            assert!(
                off < 0.6,
                "{screen:?}: {now:?}, by counting {sums:?} of {total}"
            );
            assert!((now.a - read.a).hypot(now.b - read.b) > 0.2);
        }
    }

    /// By hand: the peak is where the slopes of the two factors cancel, C⁻¹ (x − read) + x / (10 |x|) = 0, so the colour moves
    /// by C x / (10 |x|), where C is what an error of 5 of 255 in each channel does to a\* and b\*.
    #[test]
    fn a_paint_read_off_a_screen_moves_where_its_own_error_leads_not_straight_to_grey() {
        let mut askew: f64 = 0.0;
        for screen in [
            [30, 24, 44],
            [60, 20, 30],
            [20, 50, 40],
            [70, 60, 20],
            [90, 70, 52],
        ] {
            let (read, now) = drawn(screen);
            let (mut aa, mut ab, mut bb) = (0.0, 0.0, 0.0);
            for channel in 0..3 {
                let [mut low, mut high] = [screen; 2];
                low[channel] -= 5;
                high[channel] += 5;
                let (low, high) = (LabD65::from(Srgb8(low)), LabD65::from(Srgb8(high)));
                let (a, b) = ((high.a - low.a) / 2.0, (high.b - low.b) / 2.0);
                (aa, ab, bb) = (aa + a * a, ab + a * b, bb + b * b);
            }
            let by = [
                (aa * now.a + ab * now.b) / (10.0 * now.chroma()),
                (ab * now.a + bb * now.b) / (10.0 * now.chroma()),
            ];
            let off = (read.a - now.a - by[0]).hypot(read.b - now.b - by[1]);
            assert!(
                off < 0.02,
                "{screen:?}: {read:?} to {now:?}, by hand {by:?}"
            );
            let along = (by[0] * read.b - by[1] * read.a) / read.chroma();
            askew = askew.max(along.abs());
        }
        assert!(askew > 0.5, "one of them must move sideways: {askew}");
    }
}
