//! The JSON Schema of every object that `--as json` writes.

use std::io::Write;

use clap::ValueEnum as _;
use schemars::{Schema, SchemaGenerator};

use super::write_json;
use super::{
    archive, diff, expected, files, flows, instructions, limits, list, replay, rules, settings,
};
use crate::cli::ObjectName;
use crate::error::Error;
use crate::phrase::program::command_line::schema_title;
use crate::print::json::Judged;
use crate::print::json::follow_up::FollowUpObject;
use crate::print::json::history::Past;
use crate::print::json::outcomes::Outcomes;
use crate::print::json::rates::Rates;
use crate::print::json::shape::{Shape, schema};

/// Prints the schema of one object, or of all if `object` is `None`.
///
/// # Errors
/// Returns an error if the output cannot be written.
pub(super) fn carry_out(object: Option<ObjectName>, out: &mut dyn Write) -> Result<(), Error> {
    write_json(&of(object), out)
}

/// Returns the schema of one object, or of any that is written.
pub(super) fn of(object: Option<ObjectName>) -> Schema {
    let objects = match &object {
        Some(object) => std::slice::from_ref(object),
        None => ObjectName::value_variants(),
    };
    let value = object.and_then(|object| object.to_possible_value());
    let command = value.map(|value| value.get_name().replace('-', " "));
    let title = schema_title(command.as_deref());
    let shapes: Vec<Shape> = objects.iter().map(|object| shape(*object)).collect();
    schema(&title, &shapes)
}

fn shape(object: ObjectName) -> Shape {
    match object {
        ObjectName::Judge | ObjectName::Print => SchemaGenerator::subschema_for::<Judged<'_>>,
        ObjectName::List => SchemaGenerator::subschema_for::<list::Worklist<'_>>,
        ObjectName::History => SchemaGenerator::subschema_for::<Past<'_>>,
        ObjectName::Outcome => SchemaGenerator::subschema_for::<Outcomes<'_>>,
        ObjectName::Rules => SchemaGenerator::subschema_for::<rules::RulesObject<'_>>,
        ObjectName::FollowUp => SchemaGenerator::subschema_for::<FollowUpObject<'_>>,
        ObjectName::Rates => SchemaGenerator::subschema_for::<Rates<'_>>,
        ObjectName::Files => SchemaGenerator::subschema_for::<files::Files<'_>>,
        ObjectName::FlowCheck => SchemaGenerator::subschema_for::<flows::Checked<'_>>,
        ObjectName::FlowDiff => SchemaGenerator::subschema_for::<diff::DiffObject<'_>>,
        ObjectName::FlowTest => SchemaGenerator::subschema_for::<expected::Tested>,
        ObjectName::FlowReplay => SchemaGenerator::subschema_for::<replay::ReplayObject<'_>>,
        ObjectName::FlowFacts => SchemaGenerator::subschema_for::<flows::Facts<'_>>,
        ObjectName::FlowSources => SchemaGenerator::subschema_for::<limits::Sources<'_>>,
        ObjectName::InstructionList => SchemaGenerator::subschema_for::<instructions::Listed<'_>>,
        ObjectName::ArchiveCheck => SchemaGenerator::subschema_for::<archive::CheckedObject>,
        ObjectName::Settings => SchemaGenerator::subschema_for::<settings::InForce>,
    }
}
