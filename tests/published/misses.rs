//! Gathers every row that misses its published value, so that one run names them all.
#![expect(
    clippy::print_stdout,
    reason = "the worst distance is worth reading when a tolerance is reviewed"
)]

use std::fmt::Debug;

/// The outcome of one check over many rows.
#[derive(Debug)]
pub(crate) struct Misses {
    subject: &'static str,
    compared: usize,
    worst: (f64, String),
    lines: Vec<String>,
}

impl Misses {
    pub(crate) fn of(subject: &'static str) -> Self {
        Self {
            subject,
            compared: 0,
            worst: (0.0, String::new()),
            lines: Vec::new(),
        }
    }

    /// `got` must lie within `tolerance` of `published`; what is no number misses.
    #[expect(
        clippy::too_many_arguments,
        reason = "a tolerance, and the four things that every comparison names"
    )]
    pub(crate) fn within(
        &mut self,
        tolerance: f64,
        row: &str,
        what: &str,
        got: f64,
        published: f64,
    ) {
        self.compared += 1;
        let off = (got - published).abs();
        if off > self.worst.0 {
            self.worst = (off, format!("{row}, {what}"));
        }
        if off.is_nan() || off > tolerance {
            self.lines.push(format!(
                "{row}, {what}: found {got}, published {published}, off by {off:.3e}, allowed {tolerance:.0e}"
            ));
        }
    }

    /// As [`Misses::within`], the tolerance as a fraction of the published value.
    #[expect(
        clippy::too_many_arguments,
        reason = "a tolerance, and the four things that every comparison names"
    )]
    pub(crate) fn within_fraction(
        &mut self,
        fraction: f64,
        row: &str,
        what: &str,
        got: f64,
        published: f64,
    ) {
        self.within(fraction * published.abs(), row, what, got, published);
    }

    /// Three values at once, as the letters of `what` name them.
    #[expect(
        clippy::too_many_arguments,
        reason = "a tolerance, and the four things that every comparison names"
    )]
    pub(crate) fn three_within(
        &mut self,
        tolerance: f64,
        row: &str,
        what: [&str; 3],
        got: [f64; 3],
        published: [f64; 3],
    ) {
        for ((what, got), published) in what.into_iter().zip(got).zip(published) {
            self.within(tolerance, row, what, got, published);
        }
    }

    /// `got` must be the published value itself.
    pub(crate) fn equal<T: PartialEq + Debug>(
        &mut self,
        row: &str,
        what: &str,
        got: &T,
        published: &T,
    ) {
        self.compared += 1;
        if got != published {
            self.lines.push(format!(
                "{row}, {what}: found {got:?}, published {published:?}"
            ));
        }
    }

    /// Ends the check: `comparisons` were made, none of them missed.
    pub(crate) fn none_among(self, comparisons: usize) {
        println!(
            "{}: {} comparisons, worst {:.3e} ({})",
            self.subject, self.compared, self.worst.0, self.worst.1
        );
        assert!(
            self.lines.is_empty(),
            "{}: {} of {} comparisons miss\n{}",
            self.subject,
            self.lines.len(),
            self.compared,
            self.lines.join("\n")
        );
        assert_eq!(
            self.compared, comparisons,
            "{}: the number of comparisons",
            self.subject
        );
    }
}

#[test]
#[should_panic(expected = "row 7, L*: found 51, published 50")]
fn a_value_that_is_off_is_named_with_its_row() {
    let mut misses = Misses::of("made up");
    misses.within(0.5, "row 7", "L*", 51.0, 50.0);
    misses.none_among(1);
}

#[test]
#[should_panic(expected = "row 8, L*: found NaN")]
fn what_is_no_number_misses() {
    let mut misses = Misses::of("made up");
    misses.within(0.5, "row 8", "L*", f64::NAN, 50.0);
    misses.none_among(1);
}

#[test]
#[should_panic(expected = "the number of comparisons")]
fn a_check_that_compared_nothing_fails() {
    Misses::of("made up").none_among(1);
}
