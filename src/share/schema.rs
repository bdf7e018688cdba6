//! JSON Schemas of the files people write and receive.

use super::PlanFile;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde_json::Value;

/// JSON Schema, draft 2020-12, of one type.
fn schema_of<T: JsonSchema>() -> Value {
    SchemaSettings::draft2020_12()
        .into_generator()
        .into_root_schema_for::<T>()
        .to_value()
}

/// The schema of `plan.json`.
#[must_use]
pub fn plan_schema() -> Value {
    let mut schema = schema_of::<PlanFile>();
    schema["properties"]["format"]["const"] = super::plan_file::FORMAT.into();
    schema
}
