//! Standing instructions: one more stream, under the same discipline as the journals. Ending one appends.

use std::ops::ControlFlow;

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::chain::{Chain, Hash, Written};
use super::store::{Appended, Beside, Kept, Store, Stream};
use super::{Archive, ArchiveError};
use crate::case::instruction::Instruction;

/// One row.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub(super) struct Row {
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

    /// Returns how many rows the standing instructions have: a number that changes with each that is agreed or ended. Whoever
    /// judges by them asks for it before reading them.
    ///
    /// # Errors
    /// The system failed.
    pub fn count_standing(&self) -> Result<u64, ArchiveError> {
        let ends = self.store.ends(&Stream::Standing);
        let head = ends.map_err(|error| self.said(error))?.head;
        Ok(head.map_or(0, |head| head.count))
    }

    /// Returns every standing instruction that was ever kept, the oldest first.
    ///
    /// # Errors
    /// The rows are damaged, or the system failed.
    pub fn all_instructions(&self) -> Result<Vec<Standing>, ArchiveError> {
        let rows = self.instruction_rows()?;
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

    /// Returns the rows of the standing instructions as they were written, the oldest first, each as a line of JSON. Without
    /// `free_text` the words that were agreed are left out.
    ///
    /// # Errors
    /// The rows are damaged, or the system failed.
    pub fn instruction_lines(&self, free_text: bool) -> Result<Vec<String>, ArchiveError> {
        let mut rows = self.instruction_rows()?;
        if !free_text {
            for row in &mut rows {
                if let What::Agreed(instruction) = &mut row.body {
                    instruction.words.clear();
                }
            }
        }
        let lines: Result<_, _> = rows.iter().map(serde_json::to_string).collect();
        lines.map_err(|error| not_a_row(&error))
    }

    /// Takes in a row as [`Archive::instruction_lines`] gives it. One that is there already is kept once.
    ///
    /// # Errors
    /// It is no such row, another has its id, or the system failed.
    pub fn bring_instruction(&mut self, line: &str) -> Result<(), ArchiveError> {
        self.add_row(&serde_json::from_str(line).map_err(|error| not_a_row(&error))?)
    }

    fn instruction_rows(&self) -> Result<Vec<Row>, ArchiveError> {
        rows(&*self.store)
            .map_err(|error| self.said(error))?
            .map(|(rows, _)| rows)
    }

    fn add_row(&mut self, row: &Row) -> Result<(), ArchiveError> {
        let said = |error: serde_json::Error| ArchiveError::Io {
            path: self.path.clone(),
            why: error.to_string(),
        };
        let body = serde_json::to_string(row).map_err(said)?;
        let stream = Stream::Standing;
        // Whoever is first wins, and the next turn comes after it.
        for _ in 0..super::TURNS {
            let known = self.instruction_rows()?;
            let ends = self.store.ends(&stream).map_err(|e| self.said(e))?;
            let mut chain = Chain::at_end(&stream, &ends)?;
            let expected = chain.head();
            if let Some(same) = known.iter().find(|known| known.id == row.id) {
                return if same == row {
                    let stands = self.store.stands(&stream, &expected);
                    stands.map_err(|error| self.said(error))
                } else {
                    Err(ArchiveError::IdTaken(row.id))
                };
            }
            let dentist = match &row.body {
                What::Agreed(instruction) => Some(instruction.dentist.as_str()),
                What::Ended { instruction, .. } => {
                    known.iter().find_map(|known| match &known.body {
                        What::Agreed(own) if own.id == *instruction => Some(own.dentist.as_str()),
                        _ => None,
                    })
                }
            };
            let written = Written {
                kind: String::new(),
                body: body.clone(),
            };
            let next = chain.add(Some(row.id), row.when.to_string(), written);
            let beside = dentist.map_or(Beside::Nothing, Beside::MarkAll);
            let kept = self.store.append(&stream, &expected, &[next], beside);
            if kept.map_err(|error| self.said(error))? == Appended::Kept {
                return Ok(());
            }
        }
        Err(ArchiveError::Busy(self.path.clone()))
    }
}

fn not_a_row(error: &serde_json::Error) -> ArchiveError {
    ArchiveError::NotARow(error.to_string())
}

/// The rows, and their hashes.
type Rows = (Vec<Row>, Vec<Hash>);

/// Walks the chain.
pub(super) fn rows(store: &dyn Store) -> Kept<Result<Rows, ArchiveError>> {
    let stream = Stream::Standing;
    let mut chain = Chain::new(&stream);
    let (mut list, mut hashes) = (Vec::new(), Vec::new());
    let mut broken = None;
    let head = store.read(&stream, 0, &mut |row| {
        let read = chain.next(&row).map(serde_json::from_str);
        match read {
            Ok(Ok::<Row, _>(own)) if row.id.as_deref() == Some(&own.id.to_string()) => {
                list.push(own);
                hashes.push(chain.hash);
                ControlFlow::Continue(())
            }
            Ok(_) => {
                broken = Some(chain.unreadable());
                ControlFlow::Break(())
            }
            Err(error) => {
                broken = Some(error);
                ControlFlow::Break(())
            }
        }
    })?;
    if let Some(error) = broken {
        return Ok(Err(error));
    }
    if (head.is_some() || !list.is_empty())
        && let Err(error) = chain.end(head.as_ref())
    {
        return Ok(Err(error));
    }
    Ok(Ok((list, hashes)))
}
