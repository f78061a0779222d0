//! The worklist's rows: one a case, made from its journal and written with it.
//!
//! What a row says of a case is for whoever judges; here it is kept, looked through and put in order.

use std::ops::ControlFlow;

use jiff::Timestamp;
use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension, Row, Transaction, params, params_from_iter};

use super::chain::{self, stored};
use super::{Archive, ArchiveError};

/// A row of the worklist.
#[derive(Clone, PartialEq, Debug)]
pub struct WorkRow {
    /// The case's number.
    pub number: String,
    /// How many journal entries it was made from.
    pub entries: u64,
    /// What judged it, with its version.
    pub engine: String,
    /// The digest of the flow that the case was judged by.
    pub flow: String,
    /// The first day on which it no longer holds, where a standing instruction begins or ends then.
    pub fresh_until: Option<Date>,
    /// Whether nothing is left to do: delivered, withdrawn, closed.
    pub closed: bool,
    /// Where it stands in the day's order: the smaller text first, equal ones by number.
    pub turn: String,
    /// When the case was last written to.
    pub last: Timestamp,
    /// The dentist's code, or nothing.
    pub dentist: String,
    /// Who has the case, or nothing.
    pub who: String,
    /// What a filter looks through, in small letters.
    pub hay: String,
    /// What is shown of the case, in the words of whoever made the row.
    pub body: String,
}

/// A row as it is listed.
#[derive(Clone, PartialEq, Debug)]
pub struct Listed {
    /// The case's number.
    pub number: String,
    /// When the case was last written to.
    pub last: Timestamp,
    /// What is shown of it, or `None` if no row was made yet.
    pub body: Option<String>,
    /// Whether it was made from the whole journal by this engine, and still holds.
    pub fresh: bool,
}

/// The order of the worklist. What is closed comes last in each.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum WorkOrder {
    /// By turn: what needs a call first, then the earliest due day.
    #[default]
    Turn,
    /// The case last written to first.
    Last,
    /// By number.
    Number,
    /// By the dentist's code.
    Dentist,
    /// By who has it.
    Who,
}

/// What is asked of the worklist.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct WorkAsk {
    /// What each row must contain: one word of each group, in small letters.
    pub words: Vec<Vec<String>>,
    /// The order.
    pub order: WorkOrder,
    /// How many rows to leave out.
    pub skip: usize,
    /// The most rows.
    pub most: usize,
}

/// What makes a row stand for its case still.
#[derive(Clone, PartialEq, Debug)]
pub struct Freshness {
    /// What judges now.
    pub engine: String,
    /// Today.
    pub today: Date,
}

impl Archive {
    /// Returns rows of the worklist.
    ///
    /// # Errors
    /// The system failed.
    pub fn work(&self, ask: &WorkAsk, now: &Freshness) -> Result<Vec<Listed>, ArchiveError> {
        let mut rows = Vec::new();
        self.each_work(ask, now, &mut |row| {
            rows.push(row);
            ControlFlow::Continue(())
        })?;
        Ok(rows)
    }

    /// Gives rows of the worklist one by one, as they are at one moment, until `each` breaks off.
    ///
    /// # Errors
    /// The system failed.
    pub fn each_work(
        &self,
        ask: &WorkAsk,
        now: &Freshness,
        each: &mut dyn FnMut(Listed) -> ControlFlow<()>,
    ) -> Result<(), ArchiveError> {
        let mut bound = Vec::new();
        let filter = holding(ask, &mut bound);
        // The filter reads an index alone; only the rows that are shown are looked up.
        let query = format!(
            "SELECT w.case_number, w.last, w.body, w.engine, w.fresh_until
             FROM (SELECT case_number AS own FROM work WHERE {filter} ORDER BY {order} LIMIT {most} OFFSET {skip})
             JOIN work AS w ON w.case_number = own",
            order = order(ask.order),
            most = stored(ask.most as u64),
            skip = stored(ask.skip as u64),
        );
        let sql = |error: rusqlite::Error| self.sql(&error);
        let mut statement = self.conn.prepare_cached(&query).map_err(sql)?;
        let rows = statement
            .query_map(params_from_iter(bound), |row| listed(row, now))
            .map_err(sql)?;
        for row in rows {
            if each(row.map_err(sql)?).is_break() {
                break;
            }
        }
        Ok(())
    }

    /// Returns how many rows stand before a case in the order and through the filter of `ask`, or `None` if the case is not
    /// among them.
    ///
    /// # Errors
    /// The system failed.
    pub fn place_of(&self, number: &str, ask: &WorkAsk) -> Result<Option<usize>, ArchiveError> {
        let mut bound = vec![number.to_owned()];
        let filter = holding(ask, &mut bound);
        let sql = |error: rusqlite::Error| self.sql(&error);
        let own = format!("SELECT closed FROM work WHERE case_number = ?1 AND {filter}");
        let own: Option<bool> = self
            .conn
            .prepare_cached(&own)
            .and_then(|mut own| {
                own.query_row(params_from_iter(&bound), |row| row.get(0))
                    .optional()
            })
            .map_err(sql)?;
        if own.is_none() {
            return Ok(None);
        }
        let (columns, before) = match ask.order {
            WorkOrder::Turn => ("closed, turn, case_number", "<"),
            WorkOrder::Last => ("-closed, last, case_number", ">"),
            WorkOrder::Number => ("closed, case_number", "<"),
            WorkOrder::Dentist => ("closed, dentist = '', dentist, case_number", "<"),
            WorkOrder::Who => ("closed, who = '', who, case_number", "<"),
        };
        let query = format!(
            "SELECT COUNT(*) FROM work
             WHERE ({columns}) {before} (SELECT {columns} FROM work WHERE case_number = ?1) AND {filter}",
        );
        let count = self
            .conn
            .prepare_cached(&query)
            .and_then(|mut count| {
                count.query_row(params_from_iter(&bound), |row| chain::count(row, 0))
            })
            .map_err(sql)?;
        Ok(Some(usize::try_from(count).unwrap_or(usize::MAX)))
    }

    /// Returns when a case was last written to, as its row has it, or `None` if it has none.
    ///
    /// # Errors
    /// The system failed.
    pub fn last_of(&self, number: &str) -> Result<Option<Timestamp>, ArchiveError> {
        let last = self
            .conn
            .prepare_cached("SELECT last FROM work WHERE case_number = ?1")
            .and_then(|mut own| {
                own.query_row([number], |row| chain::lossy(row, 0))
                    .optional()
            });
        let last = last.map_err(|error| self.sql(&error))?;
        Ok(last.as_deref().map(super::when))
    }

    /// Counts the cases: all of them, and those in which something is left to do.
    ///
    /// # Errors
    /// The system failed.
    pub fn count(&self) -> Result<(usize, usize), ArchiveError> {
        let counted = self.conn.query_row(
            // Each reads the smallest index that tells.
            "SELECT (SELECT COUNT(*) FROM work), (SELECT COUNT(*) FROM work WHERE closed = 0)",
            [],
            |row| Ok((chain::count(row, 0)?, chain::count(row, 1)?)),
        );
        let (all, open) = counted.map_err(|error| self.sql(&error))?;
        let size = |count| usize::try_from(count).unwrap_or(usize::MAX);
        Ok((size(all), size(open)))
    }

    /// Counts the cases in which something is left to do: those that come first in the day's order (their turn begins with
    /// `0`), and those whose turn names a day before today.
    ///
    /// # Errors
    /// The system failed.
    pub fn count_first_and_late(&self, today: Date) -> Result<(usize, usize), ArchiveError> {
        let counted = self.conn.query_row(
            "SELECT COUNT(*) FILTER (WHERE turn < '1'),
                    COUNT(*) FILTER (WHERE substr(turn, 2) >= '0' AND substr(turn, 2) < ?1)
             FROM work WHERE closed = 0",
            [today.to_string()],
            |row| Ok((chain::count(row, 0)?, chain::count(row, 1)?)),
        );
        let (first, late) = counted.map_err(|error| self.sql(&error))?;
        let size = |count| usize::try_from(count).unwrap_or(usize::MAX);
        Ok((size(first), size(late)))
    }

    /// Counts the cases whose row has to be made anew.
    ///
    /// # Errors
    /// The system failed.
    pub fn count_stale(&self, now: &Freshness) -> Result<usize, ArchiveError> {
        let counted = self.conn.query_row(
            "SELECT COUNT(*) FROM work WHERE engine < ?1 OR engine > ?1 OR fresh_until <= ?2",
            params![now.engine, now.today.to_string()],
            |row| chain::count(row, 0),
        );
        let count = counted.map_err(|error| self.sql(&error))?;
        Ok(usize::try_from(count).unwrap_or(usize::MAX))
    }

    /// Returns the numbers of cases whose row has to be made anew, the one last written to first.
    ///
    /// # Errors
    /// The system failed.
    pub fn stale(&self, now: &Freshness, most: usize) -> Result<Vec<String>, ArchiveError> {
        let sql = |error: rusqlite::Error| self.sql(&error);
        let mut statement = self
            .conn
            .prepare_cached(
                "SELECT case_number FROM work
                 WHERE engine < ?1 OR engine > ?1 OR fresh_until <= ?2
                 ORDER BY closed, last DESC LIMIT ?3",
            )
            .map_err(sql)?;
        let rows = statement
            .query_map(
                params![now.engine, now.today.to_string(), stored(most as u64)],
                |row| chain::lossy(row, 0),
            )
            .map_err(sql)?;
        rows.collect::<Result<Vec<_>, _>>().map_err(sql)
    }

    /// Keeps a row, unless the case has been written to since it was made; returns whether it was kept.
    ///
    /// # Errors
    /// The system failed.
    pub fn put_work(&mut self, row: &WorkRow) -> Result<bool, ArchiveError> {
        Ok(!self.put_all_work(std::slice::from_ref(row))?.is_empty())
    }

    /// Keeps rows in one transaction, but none whose case has been written to since it was made; returns the numbers of
    /// those that were kept.
    ///
    /// # Errors
    /// The system failed.
    pub fn put_all_work(&mut self, rows: &[WorkRow]) -> Result<Vec<String>, ArchiveError> {
        let path = self.path.clone();
        let sql = |error: rusqlite::Error| ArchiveError::from_sql(&path, &error);
        let tx = self
            .conn
            .transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)
            .map_err(sql)?;
        let mut kept = Vec::new();
        for row in rows {
            let entries = super::head(&tx, &row.number)
                .map_err(sql)?
                .map(|head| head.count);
            if entries == Some(row.entries) {
                keep(&tx, row).map_err(sql)?;
                kept.push(row.number.clone());
            }
        }
        tx.commit().map_err(sql)?;
        Ok(kept)
    }
}

/// Returns the condition that the words of `ask` make, with what is bound in it.
fn holding(ask: &WorkAsk, bound: &mut Vec<String>) -> String {
    let mut groups = Vec::new();
    for group in &ask.words {
        let mut one_of = Vec::new();
        for word in group {
            bound.push(word.clone());
            one_of.push(format!("instr(hay, ?{}) > 0", bound.len()));
        }
        if !one_of.is_empty() {
            groups.push(format!("({})", one_of.join(" OR ")));
        }
    }
    match groups.is_empty() {
        true => "1".to_owned(),
        false => groups.join(" AND "),
    }
}

/// Returns the columns of an order, what is closed last.
fn order(order: WorkOrder) -> &'static str {
    match order {
        WorkOrder::Turn => "closed, turn, case_number",
        WorkOrder::Last => "closed, last DESC, case_number DESC",
        WorkOrder::Number => "closed, case_number",
        WorkOrder::Dentist => "closed, dentist = '', dentist, case_number",
        WorkOrder::Who => "closed, who = '', who, case_number",
    }
}

fn listed(row: &Row<'_>, now: &Freshness) -> rusqlite::Result<Listed> {
    let body = chain::lossy(row, 2)?;
    let fresh_until: Option<String> = row.get(4)?;
    let holds = fresh_until.is_none_or(|day| day > now.today.to_string());
    Ok(Listed {
        number: chain::lossy(row, 0)?,
        last: super::when(&chain::lossy(row, 1)?),
        body: (!body.is_empty()).then_some(body),
        fresh: chain::lossy(row, 3)? == now.engine && holds,
    })
}

/// Writes a row over the one before.
pub(super) fn keep(tx: &Transaction<'_>, row: &WorkRow) -> rusqlite::Result<()> {
    tx.prepare_cached(
        "INSERT OR REPLACE INTO work (case_number, entries, engine, flow, fresh_until, closed, turn, last, dentist,
         who, hay, body) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
    )?
    .execute(params![
        row.number,
        stored(row.entries),
        row.engine,
        row.flow,
        row.fresh_until.map(|day| day.to_string()),
        row.closed,
        row.turn,
        row.last.to_string(),
        row.dentist,
        row.who,
        row.hay,
        row.body
    ])
    .map(|_| ())
}

/// Marks the row of a case that was written to without a row, and makes one where there is none.
pub(super) fn let_down(
    tx: &Transaction<'_>,
    number: &str,
    last: Timestamp,
) -> rusqlite::Result<()> {
    tx.prepare_cached(
        "INSERT INTO work (case_number, entries, engine, flow, closed, turn, last, dentist, who, hay, body)
         VALUES (?1, 0, '', '', 0, '8', ?2, '', '', ?3, '')
         ON CONFLICT (case_number) DO UPDATE SET engine = '', last = excluded.last",
    )?
    .execute(params![number, last.to_string(), number.to_lowercase()])
    .map(|_| ())
}

/// Marks the rows of a dentist's cases: what stands for them has changed.
pub(super) fn let_down_of(conn: &Connection, dentist: &str) -> rusqlite::Result<()> {
    conn.prepare_cached("UPDATE work SET engine = '' WHERE dentist = ?1")?
        .execute([dentist])
        .map(|_| ())
}
