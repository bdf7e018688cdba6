//! Heaps that the colours of a surface form: where density has a peak of its own.

use super::cells::{Cell, cells_of, cube_of};
use super::rounds::WeightedColour;
use crate::colour::LabD65;
use crate::tones::space::{lab_of, least_weight};

/// Side of a cell in the grouping space.
const SIDE: f64 = 0.015;
/// A heap stands apart when its peak is this many times the highest pass to a higher heap. Our choice, by drawn scenes: with
/// less, heaps come and go with a little noise.
const PEAK_OVER_SADDLE: f64 = 2.0;
/// The lightest cells, together this part of all, change no spread. Our choice.
const NEGLIGIBLE: f64 = 0.01;
/// A heap below this share is no heap but scatter. Our choice.
const SMALLEST_HEAP: f64 = 0.002;

/// Cells of the grouping space, how densely colours lie there, and the heaps they form.
#[derive(Debug)]
pub(in crate::tones) struct Heaps {
    side: f64,
    grid: Option<LatticeBox>,
    /// For each place of the grid the cell there.
    cell_at: Vec<Option<u32>>,
    /// For each place of the grid the density, smoothed.
    density: Vec<f64>,
    /// Places where there is any, the densest first.
    densest: Vec<usize>,
    /// The cells, in the order of their places.
    pub(in crate::tones) cells: Vec<Cell>,
    /// For each cell its mean colour.
    pub(in crate::tones) lab: Vec<LabD65>,
    /// Cells lighter than this are passed over when spreads are measured.
    pub(in crate::tones) least: f64,
    /// The heaps that stand apart.
    pub(in crate::tones) apart: Flooded,
}

/// Cells sorted into heaps.
#[derive(Debug, Default)]
pub(in crate::tones) struct Flooded {
    /// For each cell the heap it lies in, from 0, the highest first.
    pub(in crate::tones) heap_of: Vec<usize>,
    /// For each cell the density there over that of its heap's peak.
    pub(in crate::tones) height: Vec<f64>,
    /// Number of heaps.
    pub(in crate::tones) count: usize,
}

impl Heaps {
    /// No cells, and no heap.
    pub(in crate::tones) fn none() -> Self {
        Self {
            side: SIDE,
            grid: None,
            cell_at: Vec::new(),
            density: Vec::new(),
            densest: Vec::new(),
            cells: Vec::new(),
            lab: Vec::new(),
            least: 0.0,
            apart: Flooded::default(),
        }
    }

    /// The cell a place lies in.
    pub(in crate::tones) fn cell(&self, at: [f64; 3]) -> Option<usize> {
        let place = self.grid.as_ref()?.index_of(cube_of(at, self.side))?;
        self.cell_at[place].map(|cell| cell as usize)
    }

    /// How densely colours lie at a cell.
    pub(in crate::tones) fn density_of(&self, cell: usize) -> f64 {
        self.grid
            .as_ref()
            .map_or(0.0, |grid| self.density[grid.index(self.cells[cell].cube)])
    }

    /// The heaps whose peak is this many times the highest pass to a higher heap.
    pub(in crate::tones) fn flooded(&self, peak_over_saddle: f64) -> Flooded {
        let Some(grid) = &self.grid else {
            return Flooded {
                heap_of: vec![0; self.cells.len()],
                height: vec![1.0; self.cells.len()],
                count: usize::from(!self.cells.is_empty()),
            };
        };
        let share_at =
            |place: usize| self.cell_at[place].map_or(0.0, |cell| self.cells[cell as usize].weight);
        let (flood_of, floods) = flooded(
            grid,
            share_at,
            (&self.densest, &self.density),
            peak_over_saddle,
        );
        let mut number: Vec<Option<usize>> = vec![None; floods.parent.len()];
        let mut count = 0;
        for (flood, number) in number.iter_mut().enumerate() {
            if floods.root(flood) == flood {
                *number = Some(count);
                count += 1;
            }
        }
        let (heap_of, height) = self
            .cells
            .iter()
            .map(|cell| {
                let place = grid.index(cell.cube);
                let flood = floods.root(flood_of[place].unwrap_or(0));
                let height = self.density[place] / floods.peak[flood];
                (number[flood].unwrap_or(0), height)
            })
            .unzip();
        Flooded {
            heap_of,
            height,
            count,
        }
    }
}

/// The heaps of density that stand apart; at least one when there is any point.
///
/// Each point is shared among the eight cells around it, so that where cells begin matters little. Cells are flooded from
/// the densest down; where two floods meet, the lower one ends if its peak is less than twice the pass.
///
/// # Source
/// Watershed of a density: Vincent and Soille 1991, *Watersheds in digital spaces*; merging by peak over saddle as in
/// topological persistence (Edelsbrunner, Letscher and Zomorodian 2002).
pub(in crate::tones) fn heaps_of(points: &[WeightedColour]) -> Heaps {
    let cells = cells_of(points, SIDE);
    let mut heaps = Heaps {
        lab: cells.iter().map(|cell| lab_of(cell.mean)).collect(),
        grid: LatticeBox::about(&cells),
        least: least_weight(cells.iter().map(|cell| cell.weight), NEGLIGIBLE),
        cells,
        ..Heaps::none()
    };
    if let Some(grid) = &heaps.grid {
        heaps.cell_at = vec![None; grid.len()];
        for (cell, i) in heaps.cells.iter().zip(0_u32..) {
            heaps.cell_at[grid.index(cell.cube)] = Some(i);
        }
        let density = grid.smoothed(&grid.shared(points));
        heaps.densest = (0..grid.len()).filter(|i| density[*i] > 0.0).collect();
        let by_density = |a: &usize, b: &usize| density[*b].total_cmp(&density[*a]).then(a.cmp(b));
        heaps.densest.sort_unstable_by(by_density);
        heaps.density = density;
    }
    heaps.apart = heaps.flooded(PEAK_OVER_SADDLE);
    heaps
}

/// For each place the flood that reached it.
fn flooded(
    grid: &LatticeBox,
    share_at: impl Fn(usize) -> f64,
    (densest, density): (&[usize], &[f64]),
    peak_over_saddle: f64,
) -> (Vec<Option<usize>>, Floods) {
    let around_one = grid.around();
    let mut flood_of: Vec<Option<usize>> = vec![None; grid.len()];
    let mut floods = Floods::default();
    let mut around: Vec<usize> = Vec::new();
    for &place in densest {
        let height = density[place];
        around.clear();
        around.extend(
            around_one
                .iter()
                .filter_map(|step| *flood_of.get(place.checked_add_signed(*step)?)?)
                .map(|flood| floods.root(flood)),
        );
        around.sort_unstable();
        around.dedup();
        let Some(&highest) = around
            .iter()
            .max_by(|a, b| floods.peak[**a].total_cmp(&floods.peak[**b]))
        else {
            flood_of[place] = Some(floods.start(height, share_at(place)));
            continue;
        };
        flood_of[place] = Some(highest);
        floods.share[highest] += share_at(place);
        for other in around.iter().copied().filter(|flood| *flood != highest) {
            let too_small = floods.share[other] < SMALLEST_HEAP;
            if floods.peak[other] < peak_over_saddle * height || too_small {
                floods.merge(other, highest);
            }
        }
    }
    (flood_of, floods)
}

/// Floods that have not met, by union-find.
#[derive(Default)]
struct Floods {
    parent: Vec<usize>,
    peak: Vec<f64>,
    share: Vec<f64>,
}

impl Floods {
    fn start(&mut self, peak: f64, share: f64) -> usize {
        self.parent.push(self.parent.len());
        self.peak.push(peak);
        self.share.push(share);
        self.parent.len() - 1
    }

    fn root(&self, mut heap: usize) -> usize {
        while self.parent[heap] != heap {
            heap = self.parent[heap];
        }
        heap
    }

    fn merge(&mut self, lower: usize, higher: usize) {
        self.parent[lower] = higher;
        self.share[higher] += self.share[lower];
    }
}

/// The box of lattice places about some cells, with one place to spare all round.
#[derive(Debug)]
struct LatticeBox {
    low: [i32; 3],
    size: [usize; 3],
}

/// A box of more places is not made: only wild colours far outside any camera's reach could ask for it.
const MOST_PLACES: usize = 8_000_000;

impl LatticeBox {
    fn about(cells: &[Cell]) -> Option<Self> {
        let first = cells.first()?.cube;
        let (low, high) = cells.iter().fold((first, first), |(low, high), cell| {
            (
                std::array::from_fn(|i| low[i].min(cell.cube[i])),
                std::array::from_fn(|i| high[i].max(cell.cube[i])),
            )
        });
        let size: [usize; 3] = std::array::from_fn(|i| {
            usize::try_from(i64::from(high[i]) - i64::from(low[i]) + 3).unwrap_or(usize::MAX)
        });
        let places = size
            .iter()
            .try_fold(1_usize, |all, n| all.checked_mul(*n))?;
        (places <= MOST_PLACES).then_some(Self {
            low: low.map(|v| v - 1),
            size,
        })
    }

    fn len(&self) -> usize {
        self.size.iter().product()
    }

    fn steps(&self) -> [usize; 3] {
        [self.size[1] * self.size[2], self.size[2], 1]
    }

    fn index(&self, cube: [i32; 3]) -> usize {
        self.steps()
            .iter()
            .zip(cube.iter().zip(self.low))
            .map(|(step, (v, low))| step * usize::try_from(v - low).unwrap_or(0))
            .sum()
    }

    /// The place of a cube, when it lies in the box.
    fn index_of(&self, cube: [i32; 3]) -> Option<usize> {
        (0..3)
            .all(|i| {
                usize::try_from(i64::from(cube[i]) - i64::from(self.low[i]))
                    .is_ok_and(|v| v < self.size[i])
            })
            .then(|| self.index(cube))
    }

    /// The steps from a place to the 26 around it.
    fn around(&self) -> Vec<isize> {
        let [sx, sy, sz] = self.steps().map(usize::cast_signed);
        let all =
            (0..27).map(|i: isize| (i / 9 - 1) * sx + (i / 3 % 3 - 1) * sy + (i % 3 - 1) * sz);
        all.filter(|step| *step != 0).collect()
    }

    /// The weight of each place when each point is shared among the eight places whose middles lie around it, the nearer
    /// the more.
    fn shared(&self, points: &[WeightedColour]) -> Vec<f64> {
        let mut all = vec![0.0; self.len()];
        for point in points.iter().filter(|p| p.weight() > 0.0) {
            let at = point.at().map(|v| v - 0.5 * SIDE);
            let first = cube_of(at, SIDE);
            let up: [f64; 3] = std::array::from_fn(|i| at[i] / SIDE - f64::from(first[i]));
            for corner in 0..8 {
                let raised: [i32; 3] = std::array::from_fn(|i| (corner >> i) & 1);
                let part: f64 = (0..3)
                    .map(|i| if raised[i] == 1 { up[i] } else { 1.0 - up[i] })
                    .product();
                let cube = std::array::from_fn(|i| first[i] + raised[i]);
                if let Some(place) = self.index_of(cube) {
                    all[place] += part * point.weight();
                }
            }
        }
        all
    }

    /// Each place's share spread over its neighbours by the binomial kernel 1-2-1 along each axis. The spare places all
    /// round keep what is spread inside.
    fn smoothed(&self, shares: &[f64]) -> Vec<f64> {
        let mut now = shares.to_vec();
        for step in self.steps() {
            let at = |i: Option<usize>| i.and_then(|i| now.get(i)).copied().unwrap_or(0.0);
            now = (0..now.len())
                .map(|i| 0.5 * now[i] + 0.25 * (at(i.checked_sub(step)) + at(i.checked_add(step))))
                .collect();
        }
        now
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heap(l: f64, a: f64) -> impl Iterator<Item = WeightedColour> {
        (0..40).map(move |i| {
            let t = f64::from(i) / 40.0 - 0.5;
            WeightedColour::new([l + 0.02 * t, a, 0.01 * t], 1.0 / 80.0)
        })
    }

    #[test]
    fn heaps_are_counted_and_know_their_cells() {
        let two: Vec<_> = heap(0.3, 0.0).chain(heap(0.6, 0.1)).collect();
        let found = heaps_of(&two);
        assert_eq!(found.apart.count, 2);
        let of = |at| found.cell(at).map(|cell| found.apart.heap_of[cell]);
        assert_ne!(of([0.3, 0.0, 0.0]), of([0.6, 0.1, 0.0]));
        assert_eq!(of([0.9, 0.4, 0.0]), None, "no colour lies there");
        let one: Vec<_> = heap(0.3, 0.0).collect();
        assert_eq!(heaps_of(&one).apart.count, 1);
        assert_eq!(heaps_of(&[]).apart.count, 0);
    }

    #[test]
    fn a_heap_whose_top_barely_rises_above_the_pass_belongs_to_its_neighbour() {
        // Two heaps of one width, 0.06 apart: with the pass filled to eight tenths of the lower peak they are one.
        let ridge = |pass: f64| -> Vec<WeightedColour> {
            let at = |x: f64, weight: f64| WeightedColour::new([0.31 + x, 0.01, 0.01], weight);
            let heights = [1.0, 1.0, pass, pass, pass, 0.9, 0.9];
            (0..7)
                .zip(heights)
                .map(|(i, w)| at(0.02 * f64::from(i), w / 7.0))
                .collect()
        };
        assert_eq!(heaps_of(&ridge(0.85)).apart.count, 1);
        assert_eq!(heaps_of(&ridge(0.05)).apart.count, 2);
    }
}
