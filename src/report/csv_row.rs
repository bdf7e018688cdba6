//! One row of the table, by the names of its columns.

/// One row, by the names of its columns; what does not apply stays empty.
#[derive(Debug, Clone, Default)]
pub(super) struct CsvRow {
    pub(super) surface: String,
    pub(super) treatment: String,
    pub(super) role: String,
    pub(super) colour_name: String,
    pub(super) share: String,
    pub(super) photographed: String,
    pub(super) planned: String,
    pub(super) pot: String,
    pub(super) pot_ml: String,
    pub(super) paint: String,
    pub(super) parts: String,
    pub(super) paint_ml: String,
    pub(super) predicted: String,
    pub(super) de2000: String,
    pub(super) uncertainty_de: String,
    pub(super) target_uncertainty_de: String,
    pub(super) grams: String,
    pub(super) straight: String,
    pub(super) short_ml: String,
    pub(super) short_g: String,
    pub(super) count: String,
    pub(super) across_mm: String,
    pub(super) teaspoons: String,
    pub(super) glue_ml: String,
    pub(super) over_cm: String,
    pub(super) r#where: String,
    pub(super) material: String,
    pub(super) land: String,
}

impl CsvRow {
    /// The columns by name, in the order in which they are written.
    pub(super) fn columns(self) -> [(&'static str, String); 29] {
        [
            ("format", "hillwash.schedule/1".to_owned()),
            ("surface", self.surface),
            ("treatment", self.treatment),
            ("role", self.role),
            ("colour_name", self.colour_name),
            ("share", self.share),
            ("photographed", self.photographed),
            ("planned", self.planned),
            ("pot", self.pot),
            ("pot_ml", self.pot_ml),
            ("paint", self.paint),
            ("parts", self.parts),
            ("paint_ml", self.paint_ml),
            ("predicted", self.predicted),
            ("de2000", self.de2000),
            ("uncertainty_de", self.uncertainty_de),
            ("target_uncertainty_de", self.target_uncertainty_de),
            ("grams", self.grams),
            ("straight", self.straight),
            ("short_ml", self.short_ml),
            ("short_g", self.short_g),
            ("count", self.count),
            ("across_mm", self.across_mm),
            ("teaspoons", self.teaspoons),
            ("glue_ml", self.glue_ml),
            ("over_cm", self.over_cm),
            ("where", self.r#where),
            ("material", self.material),
            ("land", self.land),
        ]
    }
}
