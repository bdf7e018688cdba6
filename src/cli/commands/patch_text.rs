//! What the terminal says about a patch.

use crate::cli::args::PatchArgs;
use crate::cli::terminal::{lab_text, plain, swatch};
use hillwash::mix::{PaintId, Shelf, stirred};
use hillwash::patch::{OfferedChange, PatchReport, UNEVEN};
use hillwash::region::Region;
use std::fmt::Write;

pub(super) fn patch_text(
    report: &PatchReport,
    shelf: &Shelf,
    warnings: &[String],
    doubtful: Option<&Region>,
) -> String {
    let name = |at: PaintId| plain(&shelf[at].name);
    let pot = report.parts.iter().map(|(at, p)| (p, name(*at)));
    let mut text = format!(
        "{}, {}: {}\n",
        plain(&report.surface),
        report.tone,
        stirred(pot)
    );
    for (colour, what) in [
        (report.planned, "planned"),
        (report.predicted, "predicted"),
        (report.seen.colour, "dried, as photographed"),
    ] {
        let _ = writeln!(
            text,
            "{}  {}  {what}",
            swatch(colour.to_srgb8(), 8),
            lab_text(colour)
        );
    }
    for warning in warnings {
        let _ = writeln!(text, "note: {}", plain(warning));
    }
    text.push_str(&doubts_text(report, doubtful));
    let _ = writeln!(
        text,
        "{} (ΔE00 {:.1} ± {:.0})",
        report.direction.as_ref().map_or_else(
            || "It hardly differs from the plan".to_owned(),
            |words| format!("It is {words} than planned")
        ),
        report.difference.0,
        report.uncertainty.0
    );
    if let Some(by) = report.nearer {
        let _ = writeln!(
            text,
            "It is {:.1} {} than the last patch of this tone, if the light is the same: this step is surer than how near it is",
            by.0.abs(),
            if by.0 > 0.0 { "nearer" } else { "further off" }
        );
    }
    let _ = writeln!(text, "{}", report.verdict.advice());
    text.push_str(&addition_text(report, shelf));
    text
}

/// What may be wrong with the patch or its photo.
fn doubts_text(report: &PatchReport, doubtful: Option<&Region>) -> String {
    let mut text = String::new();
    if let Some(region) = doubtful {
        let [l, t, r, b] = region.outline.bounds();
        let _ = writeln!(
            text,
            "note: another part of the photo is nearly as likely to be the patch. The part read was {l:.2},{t:.2},{r:.2},{b:.2}; if that is wrong, give --region"
        );
    }
    if let Some(nearest) = report.doubt {
        let strength = if report.parts.len() > 1 {
            "whatever the strengths of its paints, it comes"
        } else {
            "it comes"
        };
        let _ = writeln!(
            text,
            "note: this patch cannot be of that pot: {strength} no nearer to what the photo shows than ΔE00 {:.0}. Look again at what was mixed (--mixed), where the patch is (--region) and the light. The program learns nothing from it.",
            nearest.0
        );
    }
    if report.seen.spread.0 > UNEVEN {
        let _ = writeln!(
            text,
            "note: the patch is uneven (ΔE00 {:.0} within it): brush it out flat, and two coats",
            report.seen.spread.0
        );
    }
    if report.seen.glare > 0.03 || report.seen.clipped > 0.01 {
        text.push_str("note: it shines or is blown out in places, and these were left out: photograph it from the side\n");
    }
    text
}

/// What to add to the pot, if anything makes it better.
fn addition_text(report: &PatchReport, shelf: &Shelf) -> String {
    let Some(addition) = &report.addition else {
        return String::new();
    };
    let paints = addition.paints.iter();
    let paints = paints.map(|(at, parts)| (parts, plain(&shelf[*at].name)));
    format!(
        "{}  {}  add to every {} parts in the pot: {} (then ΔE00 {:.1} on paper; a chance of {:.0} in 100 that it is nearer than now)\nthen, with its photo: --added\n",
        swatch(addition.colour.to_srgb8(), 8),
        lab_text(addition.colour),
        addition.per_parts,
        stirred(paints),
        addition.difference.0,
        100.0 * report.chance.unwrap_or_default(),
    )
}

pub(super) fn offered_text(offered: &[OfferedChange], args: &PatchArgs, text: &mut String) {
    for change in offered {
        let _ = writeln!(
            text,
            "offered: {}; by {} patches its strength is {:.2}, now {:.2}{}",
            plain(&change.paint),
            change.patches,
            change.to,
            change.from,
            change.hex.map_or_else(String::new, |hex| format!(
                ", and its colour {}  {hex}",
                swatch(hex, 4)
            )),
        );
    }
    match (&args.write_list, offered.is_empty()) {
        (None, true) => {}
        (None, false) => text
            .push_str("the list stays as it is; --write-list NEW.csv writes a copy with these\n"),
        (Some(out), true) => {
            let _ = writeln!(
                text,
                "{} was not written: the patches logged so far do not support another list. That takes patches of three different pots, two of them with the paint. The list must miss them by more than their photos may be off, and a changed list must predict them better from each other. A paint with a let-down keeps its own strength.",
                plain(&out.display().to_string())
            );
        }
        (Some(out), false) => {
            let _ = writeln!(
                text,
                "written: {}, a copy of the list with these",
                plain(&out.display().to_string())
            );
        }
    }
}
