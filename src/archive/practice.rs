//! Practice: one more stream, under the same discipline as the journals. What a row means is said above the archive.

use std::collections::BTreeSet;
use std::ops::ControlFlow;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::chain::{Chain, Hash, Written};
use super::store::{Appended, Beside, Kept, Store, Stream};
use super::{Archive, ArchiveError, CaseRow};

/// One thing that somebody did in practice.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Practice {
    /// Its id.
    pub id: Uuid,
    /// When.
    pub when: Timestamp,
    /// The code of whose record it stands in.
    pub who: String,
    /// The number of the case that was walked for it: no case of the laboratory, and in no list of its work.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub case: Option<String>,
    /// What was done.
    pub act: serde_json::Value,
}

impl Archive {
    /// Keeps what somebody did in practice. The same row is kept once.
    ///
    /// # Errors
    /// Another row has its id, the rows are damaged, or the system failed.
    pub fn practise(&mut self, row: &Practice) -> Result<(), ArchiveError> {
        let body = serde_json::to_string(row).map_err(|error| ArchiveError::Io {
            path: self.path.clone(),
            why: error.to_string(),
        })?;
        let stream = Stream::Practice;
        let id = row.id.to_string();
        // Whoever is first wins, and the next turn comes after it.
        for _ in 0..super::TURNS {
            let ends = self.store.ends(&stream).map_err(|e| self.said(e))?;
            let mut chain = Chain::at_end(&stream, &ends)?;
            let expected = chain.head();
            let known = self.store.known(&stream, &id).map_err(|e| self.said(e))?;
            match known {
                Some((_, own)) if own == body => {
                    let stands = self.store.stands(&stream, &expected);
                    return stands.map_err(|error| self.said(error));
                }
                Some(_) => return Err(ArchiveError::IdTaken(row.id)),
                None => {}
            }
            let written = Written {
                kind: String::new(),
                body: body.clone(),
            };
            let next = chain.add(Some(row.id), row.when.to_string(), written);
            let beside = row.case.as_deref().map_or(Beside::Nothing, Beside::Apart);
            let kept = self.store.append(&stream, &expected, &[next], beside);
            if kept.map_err(|error| self.said(error))? == Appended::Kept {
                self.see();
                return Ok(());
            }
        }
        Err(ArchiveError::Busy(self.path.clone()))
    }

    /// Returns everything that anybody did in practice, the oldest first.
    ///
    /// # Errors
    /// The rows are damaged, or the system failed.
    pub fn practice(&self) -> Result<Vec<Practice>, ArchiveError> {
        let read = rows(&*self.store).map_err(|error| self.said(error))?;
        read.map(|(rows, _)| rows)
    }

    /// Lists the cases of the laboratory as [`Archive::cases`] does: all but those that were walked for practice.
    ///
    /// # Errors
    /// As for [`Archive::cases`] and [`Archive::practice`].
    pub fn own_cases(&self) -> Result<Vec<CaseRow>, ArchiveError> {
        let practice = self.practice()?.into_iter();
        let apart: BTreeSet<String> = practice.filter_map(|row| row.case).collect();
        let mut cases = self.cases()?;
        cases.retain(|row| !apart.contains(&row.number));
        Ok(cases)
    }

    /// Returns the rows as they were written, the oldest first, each as a line of JSON.
    ///
    /// # Errors
    /// The rows are damaged, or the system failed.
    pub fn practice_lines(&self) -> Result<Vec<String>, ArchiveError> {
        let rows = self.practice()?;
        let lines: Result<_, _> = rows.iter().map(serde_json::to_string).collect();
        lines.map_err(|error: serde_json::Error| ArchiveError::NotPractice(error.to_string()))
    }

    /// Takes in a row as [`Archive::practice_lines`] gives it. One that is there already is kept once.
    ///
    /// # Errors
    /// It is no such row, another has its id, or the system failed.
    pub fn bring_practice(&mut self, line: &str) -> Result<(), ArchiveError> {
        let row = serde_json::from_str(line)
            .map_err(|error| ArchiveError::NotPractice(error.to_string()))?;
        self.practise(&row)
    }
}

/// The rows, and their hashes.
type Rows = (Vec<Practice>, Vec<Hash>);

/// The hashes of the rows.
pub(super) fn hashes(store: &dyn Store) -> Kept<Result<Vec<Hash>, ArchiveError>> {
    Ok(rows(store)?.map(|(_, hashes)| hashes))
}

/// Walks the chain.
fn rows(store: &dyn Store) -> Kept<Result<Rows, ArchiveError>> {
    let stream = Stream::Practice;
    let mut chain = Chain::new(&stream);
    let (mut list, mut hashes) = (Vec::new(), Vec::new());
    let mut broken = None;
    let head = store.read(&stream, 0, &mut |row| {
        let read = chain.next(&row).map(serde_json::from_str);
        match read {
            Ok(Ok::<Practice, _>(own)) if row.id.as_deref() == Some(&own.id.to_string()) => {
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
