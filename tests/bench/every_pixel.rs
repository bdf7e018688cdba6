//! Grouping by bins against grouping by every pixel.
//!
//! Shared by `tests/scenes/photos.rs` and `tests/bench/grouping.rs`. Every pixel is grouped by plain k-means, written anew
//! here, so that a fault of the program is not a fault of this.

use hillwash::colour::{OklabPoint, Srgb8};
use hillwash::photo::{Picture, Samples};
use hillwash::region::Region;
use hillwash::tones::{Clustering, WeightedColour, bins_of, group};

/// For each start numbers that look random, from 0 to as much as is asked for.
pub(crate) type Draws = dyn Fn(u64) -> Box<dyn FnMut(f64) -> f64>;

/// Weighted and per-pixel grouping agree within so much of the sum of squares.
pub(crate) const SAME_INERTIA: f64 = 1.005;

fn squared(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3).map(|i| (a[i] - b[i]).powi(2)).sum()
}

fn nearest(at: [f64; 3], centres: &[[f64; 3]]) -> (usize, f64) {
    let all = centres.iter().map(|c| squared(at, *c)).enumerate();
    all.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap()
}

/// Plain k-means over every pixel, written here: starts drawn far apart, the best of some.
fn every_pixel(pixels: &[[f64; 3]], count: usize, starts: u64, draws: &Draws) -> f64 {
    (0..starts)
        .map(|start| {
            let mut draw = draws(start);
            let mut centres = vec![pixels[0]];
            while centres.len() < count {
                // k-means++ on one pixel in 50.
                let far: Vec<f64> = pixels
                    .iter()
                    .step_by(50)
                    .map(|p| nearest(*p, &centres).1)
                    .collect();
                let mut at = draw(far.iter().sum());
                let chosen = far
                    .iter()
                    .position(|f| {
                        at -= f;
                        at <= 0.0
                    })
                    .unwrap_or(0);
                centres.push(pixels[50 * chosen]);
            }
            let mut before = f64::INFINITY;
            loop {
                let mut sums = vec![([0.0; 3], 0.0); count];
                let mut inertia = 0.0;
                for pixel in pixels {
                    let (at, off) = nearest(*pixel, &centres);
                    inertia += off;
                    for (sum, v) in sums[at].0.iter_mut().zip(pixel) {
                        *sum += v;
                    }
                    sums[at].1 += 1.0;
                }
                for (centre, (sum, n)) in centres.iter_mut().zip(sums) {
                    if n > 0.0 {
                        *centre = sum.map(|v| v / n);
                    }
                }
                if inertia > before * 0.9999 {
                    return inertia;
                }
                before = inertia;
            }
        })
        .fold(f64::INFINITY, f64::min)
}

/// Groups a photo by its bins, with the starts the program takes and with many more, and by every pixel. Gives the sums of
/// squares of the first two over the last.
fn over_every_pixel(picture: &Picture, count: usize, draws: &Draws) -> [f64; 2] {
    let Samples::Rgb8(codes) = &picture.samples else {
        unreachable!("the photos have 8 bits");
    };
    // Blown-out and crushed pixels are left out of the bins: compare on the pixels that count.
    let kept: Vec<[u8; 3]> = codes
        .as_chunks::<3>()
        .0
        .iter()
        .copied()
        .filter(|p| p.iter().all(|v| *v < 250) && p.iter().any(|v| *v > 8))
        .collect();
    let pixels: Vec<[f64; 3]> = kept
        .iter()
        .map(|p| OklabPoint::from(Srgb8(*p).to_linear()).grouping())
        .collect();
    let row = Picture::from_srgb8(kept.len(), 1, kept.concat()).unwrap();
    let points: Vec<WeightedColour> = bins_of(&row, &Region::whole())
        .bins
        .iter()
        .map(|bin| WeightedColour::new(OklabPoint::from(bin.light).grouping(), bin.pixels))
        .collect();
    let usual = Clustering::into_groups(count);
    let of_every_pixel = every_pixel(&pixels, count, 3, draws);
    [usual.restarts, MANY_STARTS].map(|restarts| {
        let ours = group(&points, &Clustering { restarts, ..usual }).centres;
        let inertia: f64 = pixels.iter().map(|p| nearest(*p, &ours).1).sum();
        inertia / of_every_pixel
    })
}

/// So many starts that what is left is the difference of the methods, not the luck of a start.
const MANY_STARTS: u64 = 100;

/// Compares 4 and 8 tones, and gives how far the program with its own starts stays behind.
pub(crate) fn compare(name: &str, picture: &Picture, draws: &Draws) -> Vec<f64> {
    let each = [4, 8].map(|count| {
        let [usual, many] = over_every_pixel(picture, count, draws);
        println!(
            "{name}, {count} tones: sum of squares over that of every pixel {usual:.4}, of {MANY_STARTS} starts {many:.4}"
        );
        assert!(many <= SAME_INERTIA, "{name}, {count}: {many}");
        usual
    });
    each.to_vec()
}
