//! Standing instructions on the command line.

use std::io::Write;

use schemars::JsonSchema;
use serde::Serialize;
use uuid::Uuid;

use super::{archive_path, loaded, moment, write_json};
use crate::archive::{Archive, Standing};
use crate::case::instruction::Instruction;
use crate::cli::{Cli, DataFormat, InstructionCommand};
use crate::error::{Error, Trouble, usable};
use crate::fact::MAX_TEXT;
use crate::phrase::program::{errors::did_you_mean, instructions as says};
use crate::print::json::shape::{Day, FormatKey};
use crate::ronfile::nearest;
use crate::text::clean;

/// Standing instructions, including those that were ended.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Agreements")]
pub(super) struct Listed<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The standing instructions, in the order of their numbers.
    #[serde(rename = "agreements")]
    instructions: Vec<InstructionObject<'a>>,
}

/// What a dentist has agreed to for all cases.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Agreement")]
struct InstructionObject<'a> {
    /// Its number, for `instruction end`.
    number: usize,
    /// The code of the dentist.
    dentist: &'a str,
    /// The id of the rule it answers.
    rule: &'a str,
    /// What was agreed.
    words: &'a str,
    /// The first day it applies.
    from: Day,
    /// The last day it applies, or null.
    until: Option<Day>,
    /// The day it was ended, or null.
    ended: Option<Day>,
}

/// Lists, adds or ends standing instructions.
///
/// # Errors
/// Returns an error if there is no archive, no such standing instruction or rule, or an argument is invalid.
pub(super) fn carry_out(
    cli: &Cli,
    command: &InstructionCommand,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let path = archive_path(cli)?;
    let moment = moment();
    let who = super::who(cli)?;
    match command {
        InstructionCommand::List { format } => {
            let all = Archive::open_to_read(&path)?.all_instructions()?;
            if *format == DataFormat::Json {
                return list_json(&all, out);
            }
            if all.is_empty() {
                writeln!(out, "{}", says::NONE)?;
            }
            for (number, standing) in (1..).zip(all) {
                let line = says::line(number, &standing.instruction, standing.ended);
                writeln!(out, "{line}")?;
            }
        }
        InstructionCommand::Add {
            dentist,
            rule,
            words,
            from,
            until,
        } => {
            let bad = |what: String| Error::new(Trouble::Usage, what);
            let (dentist, words) = (clean(dentist), clean(words));
            Instruction::check_code(&dentist).map_err(|why| bad(why).hint(says::CODE_HINT))?;
            if words.chars().count() > MAX_TEXT {
                return Err(bad(says::too_long(MAX_TEXT)));
            }
            let (flow, _) = usable(loaded(cli)?)?;
            if !flow.rules.iter().any(|own| own.id == *rule) {
                let error = bad(says::no_rule(&clean(rule)));
                return Err(
                    match nearest(rule, flow.rules.iter().map(|own| own.id.as_str())) {
                        Some(near) => error.hint(did_you_mean(near)),
                        None => error.hint(says::NO_RULE_HINT),
                    },
                );
            }
            let instruction = Instruction {
                id: Uuid::new_v4(),
                dentist,
                rule: rule.clone(),
                words,
                from: from.unwrap_or(moment.today),
                until: *until,
            };
            Archive::open(&path)?.agree(&instruction, moment.now, who.as_deref())?;
            writeln!(out, "{}", says::saved(instruction.from))?;
        }
        InstructionCommand::End { number } => {
            let mut archive = Archive::open_existing(&path)?;
            let all = archive.all_instructions()?;
            let standing = number.checked_sub(1).and_then(|index| all.get(index));
            let Some(standing) = standing else {
                return Err(Error::new(Trouble::NoInput, says::no_number(*number))
                    .hint(crate::phrase::faults::archive::NO_INSTRUCTION_HINT));
            };
            if let Some(ended) = standing.ended {
                writeln!(out, "{}", says::already_ended(ended))?;
            } else {
                let row = (Uuid::new_v4(), moment.now);
                archive.end_instruction(
                    standing.instruction.id,
                    moment.today,
                    row,
                    who.as_deref(),
                )?;
                writeln!(out, "{}", says::ended(moment.today))?;
            }
        }
    }
    out.flush()?;
    Ok(())
}

fn list_json(all: &[Standing], out: &mut dyn Write) -> Result<(), Error> {
    fn object((number, standing): (usize, &Standing)) -> InstructionObject<'_> {
        let Instruction {
            id: _,
            dentist,
            rule,
            words,
            from,
            until,
        } = &standing.instruction;
        InstructionObject {
            number,
            dentist,
            rule,
            words,
            from: Day(*from),
            until: until.map(Day),
            ended: standing.ended.map(Day),
        }
    }
    let listed = Listed {
        format: FormatKey,
        instructions: (1..).zip(all).map(object).collect(),
    };
    write_json(&listed, out)
}
