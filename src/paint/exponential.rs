//! The exponential of negative numbers, for all bands of a film at once.

/// exp(x) − 1 of a number from −∞ to 0, within two units of the last digit; without a branch, so that a loop over bands is
/// worked out several at a time.
///
/// x = k ln 2 + r with |r| ≤ ln 2 / 2; the series of exp(r) − 1 up to r¹³, whose rest is below 1e-17 of it; then
/// 2ᵏ (exp(r) − 1) + (2ᵏ − 1), which keeps all digits near 0.
///
/// # Source
/// Cody and Waite 1980, *Software manual for the elementary functions*, for ln 2 in two pieces. From memory, not re-read.
#[inline]
pub(super) fn less_by(x: f64) -> f64 {
    /// Added and taken away again, it rounds to a whole number, whose bits then end the sum.
    const TO_WHOLE: f64 = 6_755_399_441_055_744.0;
    const LN_2_HIGH: f64 = 6.931_471_803_691_238e-1;
    const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;
    /// Below this nothing of exp(x) is left beside 1.
    const NOTHING_LEFT: f64 = -40.0;
    let x = x.max(NOTHING_LEFT);
    let sum = x * std::f64::consts::LOG2_E + TO_WHOLE;
    let k = sum - TO_WHOLE;
    let r = (x - k * LN_2_HIGH) - k * LN_2_LOW;
    let power = f64::from_bits(sum.to_bits().wrapping_add(1023) << 52);
    let s = r * r;
    let four = |[a, b, c, d]: [f64; 4]| (a + r * b) + s * (c + r * d);
    let a = four([1.0 / 6.0, 1.0 / 24.0, 1.0 / 120.0, 1.0 / 720.0]);
    let b = four([
        1.0 / 5_040.0,
        1.0 / 40_320.0,
        1.0 / 362_880.0,
        1.0 / 3_628_800.0,
    ]);
    let c = four([
        1.0 / 39_916_800.0,
        1.0 / 479_001_600.0,
        1.0 / 6_227_020_800.0,
        0.0,
    ]);
    let quad = s * s;
    let series = r + (0.5 * s + r * s * (a + quad * (b + quad * c)));
    power * series + (power - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the standard library's.
    #[test]
    fn what_a_film_lets_through_is_the_exponential_to_its_last_digits() {
        let near = (0..300).map(|i| -(2.0_f64.powi(-i)));
        let all = (0..500_000).map(|i| -9.1e-5 * f64::from(i));
        for x in near.chain(all).chain([0.0, -1e6, f64::NEG_INFINITY]) {
            let (own, standard) = (less_by(x), x.exp_m1());
            let off = (own - standard).abs();
            assert!(off <= 4.5e-16 * standard.abs(), "{x}: {own} {standard}");
        }
    }
}
