//! `schema`: the JSON Schema of a file, for editors and scripts.

use crate::cli::Problems;
use crate::cli::args::{SchemaArgs, SchemaOf};
use crate::cli::terminal::say;
use hillwash::scene::scene_schema;
use hillwash::share::plan_schema;

pub(crate) fn run(args: &SchemaArgs) -> Result<(), Problems> {
    let schema = match args.of {
        SchemaOf::Scene => scene_schema(),
        SchemaOf::Plan => plan_schema(),
    };
    say(&format!("{schema:#}"))
}
