//! What numbers of a list measure.

/// What a number measures, and so which units it may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Measure {
    /// No unit.
    Plain,
    /// Red, green or blue, 0 to 255.
    Channel,
    /// A ratio to 1: "1.3", "130 %".
    Ratio,
    /// Parts to one: "3", "1:3", "3 parts".
    Parts,
    /// Millilitres.
    Volume,
    /// Millilitres, or a share of the pot: "half", "50 %", "2 pots".
    Stock,
    /// Grams.
    Mass,
    /// Millimetres.
    Length,
    /// Grams a millilitre.
    Density,
    /// Grams a square decimetre.
    Cover,
    /// Money.
    Price,
}
