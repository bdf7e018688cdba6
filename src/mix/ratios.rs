//! Whole-part ratios, and ways to pick paints.

/// All ways to pick `count` of `n`, in order.
pub(super) fn subsets(n: usize, count: usize) -> Vec<Vec<usize>> {
    fn grow(from: usize, n: usize, count: usize, now: &mut Vec<usize>, all: &mut Vec<Vec<usize>>) {
        if now.len() == count {
            all.push(now.clone());
            return;
        }
        for i in from..n {
            now.push(i);
            grow(i + 1, n, count, now, all);
            now.pop();
        }
    }
    let mut all = Vec::new();
    grow(0, n, count, &mut Vec::new(), &mut all);
    all
}

/// All coprime ratios of `count` whole numbers of at least 1 whose sum is at most `most`.
pub(super) fn coprime_ratios(count: usize, most: u32) -> Vec<Vec<u32>> {
    fn grow(count: usize, left: u32, now: &mut Vec<u32>, all: &mut Vec<Vec<u32>>) {
        if now.len() == count {
            if greatest_common_divisor(now) == 1 {
                all.push(now.clone());
            }
            return;
        }
        let still = u32::try_from(count - now.len() - 1).unwrap_or(0);
        for part in 1..=left.saturating_sub(still) {
            now.push(part);
            grow(count, left - part, now, all);
            now.pop();
        }
    }
    if count == 1 {
        return vec![vec![1]];
    }
    let mut all = Vec::new();
    grow(count, most, &mut Vec::new(), &mut all);
    all
}

pub(super) fn greatest_common_divisor(parts: &[u32]) -> u32 {
    parts.iter().fold(0, |mut a, b| {
        let mut b = *b;
        while b != 0 {
            (a, b) = (b, a % b);
        }
        a
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratio_sets_have_their_known_sizes() {
        // Counts of coprime ratio sets for sums up to 12.
        assert_eq!(coprime_ratios(2, 12).len(), 45);
        assert_eq!(coprime_ratios(3, 12).len(), 196);
        assert_eq!(coprime_ratios(4, 12).len(), 479);
    }
}
