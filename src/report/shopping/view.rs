//! What to have ready: paints and scatter, what is short, what to buy.

use crate::plan::{Plan, Purpose, ScatterLine, ShoppingLine};
use crate::report::hand::{exact_ml, hand_ml};
use crate::report::words::{ml, or_dash};

/// One paint to have ready.
#[derive(Debug)]
pub(in crate::report) struct ShoppingView {
    pub(in crate::report) paint: String,
    pub(in crate::report) needed: String,
    pub(in crate::report) on_hand: String,
    pub(in crate::report) to_buy: String,
    pub(in crate::report) price: String,
    /// True if there is nothing to buy or check.
    pub(in crate::report) enough: bool,
    /// True when nobody knows whether there is enough.
    pub(in crate::report) check: bool,
}

/// Paints and scatter to have ready.
pub(in crate::report) fn ready(plan: &Plan<'_>) -> Vec<ShoppingView> {
    let paints = plan.shopping.iter().map(|line| ShoppingView {
        paint: match line.purpose {
            Purpose::Paint => line.paint.clone(),
            other if line.paint.contains(other.word()) => line.paint.clone(),
            other => format!("{} ({})", line.paint, other.word()),
        },
        needed: or_dash(line.needed.map(hand_ml)),
        on_hand: or_dash(line.on_hand.map(|v| ml(v.value()))),
        to_buy: to_buy_words(line),
        price: or_dash(line.price.filter(|p| *p > 0.0).map(|p| format!("{p:.2}"))),
        enough: line.to_buy == Some(0),
        check: line.to_buy.is_none() && line.short.is_none_or(|short| short.value() <= 0.0),
    });
    paints.chain(scatter_ready(plan)).collect()
}

/// What to buy: "2 pots (48.8 ml short)", "2.3 ml short", "none", "check the shelf".
fn to_buy_words(line: &ShoppingLine) -> String {
    let short = line.short.filter(|short| short.value() > 0.0);
    match (line.to_buy, short) {
        (Some(0), _) => "none".to_owned(),
        (Some(n), Some(short)) => {
            let s = if n == 1 { "" } else { "s" };
            format!("{n} pot{s} ({} short)", exact_ml(short))
        }
        (None, Some(short)) => format!("{} short", exact_ml(short)),
        (Some(n), None) => format!("{n}"),
        (None, None) => "check the shelf".to_owned(),
    }
}

/// Scatter to have ready.
fn scatter_ready(plan: &Plan<'_>) -> impl Iterator<Item = ShoppingView> {
    plan.scatter_shopping
        .iter()
        .map(|line| scatter_line(line, plan))
}

fn scatter_line(line: &ScatterLine, plan: &Plan<'_>) -> ShoppingView {
    let grams = |g: Option<crate::units::Grams>| {
        g.map_or_else(|| "–".to_owned(), |g| format!("{} g", g.value()))
    };
    ShoppingView {
        paint: plan.kinds[line.kind].name.clone(),
        needed: grams(line.needed),
        on_hand: grams(line.on_hand),
        to_buy: match line.to_buy {
            Some(g) if g.value() <= 0.0 => "none".to_owned(),
            Some(g) => format!("{} g short", g.value()),
            None => "check the shelf".to_owned(),
        },
        price: "–".to_owned(),
        enough: line.to_buy.is_some_and(|g| g.value() <= 0.0),
        check: line.to_buy.is_none(),
    }
}
