//! How much of each pot.

/// Paint in one brushed coat: 100 ml a square metre. Common practice, no source.
pub const ML_PER_CM2_AND_COAT: f64 = 0.01;
/// What is mixed beyond need: brush, palette, second thoughts. Common practice, no source.
pub const RESERVE: f64 = 1.3;
