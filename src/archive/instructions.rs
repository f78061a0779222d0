//! Standing instructions: a chain of rows of their own, under the same discipline as the journals. Ending one appends.

use jiff::Timestamp;
use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::chain::{self, Hash, NONE};
use super::{Archive, ArchiveError, work};
use crate::case::instruction::Instruction;

/// What the chain of standing instructions has in place of a case's number.
const CHAIN: &str = "standing agreements";

/// One row.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
struct Row {
    id: Uuid,
    when: Timestamp,
    who: Option<String>,
    body: What,
}

#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
enum What {
    Agreed(Instruction),
    Ended {
        #[serde(alias = "agreement")]
        instruction: Uuid,
        on: Date,
    },
}

/// A standing instruction, and the day it was ended.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Standing {
    /// The agreement.
    pub instruction: Instruction,
    /// The first day it holds no longer, where somebody ended it.
    pub ended: Option<Date>,
}

impl Archive {
    /// Keeps a standing instruction. The same one is kept once.
    ///
    /// # Errors
    /// Another has its id, the rows are damaged, or the system failed.
    pub fn agree(
        &mut self,
        instruction: &Instruction,
        when: Timestamp,
        who: Option<&str>,
    ) -> Result<(), ArchiveError> {
        self.add_row(&Row {
            id: instruction.id,
            when,
            who: who.map(str::to_owned),
            body: What::Agreed(instruction.clone()),
        })
    }

    /// Ends a standing instruction from a day on. `id` is a fresh one for the row.
    ///
    /// # Errors
    /// There is no such agreement, the rows are damaged, or the system failed.
    pub fn end_instruction(
        &mut self,
        instruction: Uuid,
        on: Date,
        (id, when): (Uuid, Timestamp),
        who: Option<&str>,
    ) -> Result<(), ArchiveError> {
        if !self
            .all_instructions()?
            .iter()
            .any(|s| s.instruction.id == instruction)
        {
            return Err(ArchiveError::NoInstruction(instruction.to_string()));
        }
        self.add_row(&Row {
            id,
            when,
            who: who.map(str::to_owned),
            body: What::Ended { instruction, on },
        })
    }

    /// Returns the standing instructions that nobody ended, the oldest first.
    ///
    /// # Errors
    /// The rows are damaged, or the system failed.
    pub fn instructions(&self) -> Result<Vec<Instruction>, ArchiveError> {
        let all = self.all_instructions()?.into_iter();
        Ok(all
            .filter(|standing| standing.ended.is_none())
            .map(|standing| standing.instruction)
            .collect())
    }

    /// Returns every standing instruction that was ever kept, the oldest first.
    ///
    /// # Errors
    /// The rows are damaged, or the system failed.
    pub fn all_instructions(&self) -> Result<Vec<Standing>, ArchiveError> {
        let tx = self
            .conn
            .unchecked_transaction()
            .map_err(|e| self.sql(&e))?;
        let (rows, _, _) = rows(&tx).map_err(|error| self.sql(&error))??;
        let mut list: Vec<Standing> = Vec::new();
        for row in rows {
            match row.body {
                What::Agreed(instruction) => list.push(Standing {
                    instruction,
                    ended: None,
                }),
                What::Ended { instruction, on } => {
                    if let Some(standing) =
                        list.iter_mut().find(|s| s.instruction.id == instruction)
                    {
                        standing.ended = Some(on);
                    }
                }
            }
        }
        Ok(list)
    }

    /// Returns the rows of the standing instructions as they were written, the oldest first, each as a line of JSON.
    ///
    /// # Errors
    /// The rows are damaged, or the system failed.
    pub fn instruction_rows(&self) -> Result<Vec<String>, ArchiveError> {
        let tx = self
            .conn
            .unchecked_transaction()
            .map_err(|e| self.sql(&e))?;
        let (rows, _, _) = rows(&tx).map_err(|error| self.sql(&error))??;
        let lines = rows.iter().map(serde_json::to_string);
        lines
            .collect::<Result<_, _>>()
            .map_err(|error| self.no_row(&error))
    }

    /// Takes in a row as [`Archive::instruction_rows`] gives it. One that is there already is kept once.
    ///
    /// # Errors
    /// It is no such row, another has its id, or the system failed.
    pub fn bring_instruction(&mut self, line: &str) -> Result<(), ArchiveError> {
        let row = serde_json::from_str(line).map_err(|error| self.no_row(&error))?;
        self.add_row(&row)
    }

    fn no_row(&self, error: &serde_json::Error) -> ArchiveError {
        ArchiveError::NotARow(error.to_string())
    }

    fn add_row(&mut self, row: &Row) -> Result<(), ArchiveError> {
        let path = self.path.clone();
        let sql = |error: rusqlite::Error| ArchiveError::from_sql(&path, &error);
        let body = serde_json::to_string(row).map_err(|error| ArchiveError::Io {
            path: path.clone(),
            why: error.to_string(),
        })?;
        let tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(sql)?;
        let (known, count, before) = rows(&tx).map_err(sql)??;
        if let Some(same) = known.iter().find(|known| known.id == row.id) {
            return if same == row {
                Ok(())
            } else {
                Err(ArchiveError::IdTaken(row.id))
            };
        }
        let number = count.saturating_add(1);
        let hash = chain::hash(&before, CHAIN, number, &body);
        tx.execute(
            "INSERT INTO agreement (number, id, body, before_hash, hash) VALUES (?1, ?2, ?3, ?4, ?5)",
            params![chain::stored(number), row.id.to_string(), body, before, hash],
        )
        .map_err(sql)?;
        let dentist = match &row.body {
            What::Agreed(instruction) => Some(instruction.dentist.as_str()),
            What::Ended { instruction, .. } => known.iter().find_map(|known| match &known.body {
                What::Agreed(own) if own.id == *instruction => Some(own.dentist.as_str()),
                _ => None,
            }),
        };
        if let Some(dentist) = dentist {
            work::let_down_of(&tx, dentist).map_err(sql)?;
        }
        tx.execute(
            "INSERT INTO agreement_head (one, entries, hash) VALUES (1, ?1, ?2)
             ON CONFLICT (one) DO UPDATE SET entries = excluded.entries, hash = excluded.hash",
            params![chain::stored(number), hash],
        )
        .map_err(sql)?;
        tx.commit().map_err(sql)
    }
}

/// The rows with their number and the hash that they end with.
type Rows = (Vec<Row>, u64, Hash);

/// Walks the chain.
fn rows(conn: &Connection) -> rusqlite::Result<Result<Rows, ArchiveError>> {
    let mut statement = conn.prepare_cached(
        "SELECT number, id, body, before_hash, hash FROM agreement ORDER BY number",
    )?;
    let mut found = statement.query([])?;
    let mut list = Vec::new();
    let (mut count, mut last) = (0_u64, NONE);
    while let Some(row) = found.next()? {
        let expected = count.saturating_add(1);
        let damaged = || ArchiveError::InstructionDamaged(expected);
        let body: Option<String> = row.get(2).ok();
        let entry: Option<Row> = body
            .as_deref()
            .and_then(|body| serde_json::from_str(body).ok());
        let (Some(body), Some(entry)) = (body, entry) else {
            return Ok(Err(damaged()));
        };
        let whole = chain::count(row, 0).ok() == Some(expected)
            && row.get::<_, String>(1).ok() == Some(entry.id.to_string())
            && row.get::<_, Hash>(3).ok() == Some(last);
        let hash = chain::hash(&last, CHAIN, expected, &body);
        if !whole || row.get::<_, Hash>(4).ok() != Some(hash) {
            return Ok(Err(damaged()));
        }
        (count, last) = (expected, hash);
        list.push(entry);
    }
    let head: Option<(u64, Option<Hash>)> = conn
        .prepare_cached("SELECT entries, hash FROM agreement_head")?
        .query_row([], |row| {
            Ok((chain::count(row, 0).unwrap_or_default(), row.get(1).ok()))
        })
        .optional()?;
    let ends = match head {
        Some((entries, hash)) => entries == count && hash == Some(last) && count > 0,
        None => count == 0,
    };
    Ok(if ends {
        Ok((list, count, last))
    } else {
        Err(ArchiveError::InstructionDamaged(count.saturating_add(1)))
    })
}

/// Says what is damaged.
pub(super) fn check(conn: &Connection) -> rusqlite::Result<Option<ArchiveError>> {
    Ok(rows(conn)?.err())
}
