//! Amounts as a hand measures them.

use crate::units::{DROP, Millilitres};

/// "14 drops", "4.5 ml", "18 ml", "1.2 litres": rounded up to what can be counted or read off a syringe or cup.
#[must_use]
pub(super) fn hand_ml(volume: Millilitres) -> String {
    let ml = volume.value();
    if ml < 1.0 - 1e-9 {
        let drops = (ml / DROP - 1e-6).ceil().max(1.0);
        match drops {
            d if d <= 1.0 => "a drop".to_owned(),
            d => format!("{d:.0} drops"),
        }
    } else if ml < 10.0 - 1e-9 {
        format!("{} ml", (ml * 2.0 - 1e-6).ceil() / 2.0)
    } else if ml < 1000.0 {
        format!("{:.0} ml", (ml - 1e-6).ceil())
    } else {
        format!("{:.1} litres", (ml / 100.0 - 1e-6).ceil() / 10.0)
    }
}

/// "48.8 ml": to a tenth, for purchases.
#[must_use]
pub(super) fn exact_ml(volume: Millilitres) -> String {
    format!("{:.1} ml", volume.value())
}

/// "a", "a and b", "a, b and c".
#[must_use]
pub(super) fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_told_as_a_hand_measures_them() {
        for (ml, told) in [
            (0.02, "a drop"),
            (0.7, "14 drops"),
            (0.96, "20 drops"),
            (1.0, "1 ml"),
            (4.2, "4.5 ml"),
            (11.0, "11 ml"),
            (17.3, "18 ml"),
            (1230.0, "1.3 litres"),
        ] {
            assert_eq!(hand_ml(Millilitres::new(ml).unwrap()), told, "{ml}");
        }
    }
}
