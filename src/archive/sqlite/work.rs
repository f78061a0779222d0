//! The table of the worklist.

use std::ops::ControlFlow;

use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension, Row, params, params_from_iter};

use super::super::{Freshness, Listed, WorkAsk, WorkOrder, WorkRow, when};
use super::column::{count as number, lossy, stored};

/// Gives rows of the worklist one by one.
pub(super) fn list(
    conn: &Connection,
    ask: &WorkAsk,
    now: &Freshness,
    each: &mut dyn FnMut(Listed) -> ControlFlow<()>,
) -> rusqlite::Result<()> {
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
    let mut statement = conn.prepare_cached(&query)?;
    for row in statement.query_map(params_from_iter(bound), |row| listed(row, now))? {
        if each(row?).is_break() {
            break;
        }
    }
    Ok(())
}

/// Returns how many rows stand before a case, or `None` if it is not among them.
pub(super) fn place_of(
    conn: &Connection,
    own: &str,
    ask: &WorkAsk,
) -> rusqlite::Result<Option<usize>> {
    let mut bound = vec![own.to_owned()];
    let filter = holding(ask, &mut bound);
    let query = format!("SELECT 1 FROM work WHERE case_number = ?1 AND {filter}");
    if !conn
        .prepare_cached(&query)?
        .exists(params_from_iter(&bound))?
    {
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
    let mut statement = conn.prepare_cached(&query)?;
    let count = statement.query_row(params_from_iter(&bound), |row| number(row, 0))?;
    Ok(Some(size(count)))
}

/// Returns the row of a case.
pub(super) fn row_of(
    conn: &Connection,
    own: &str,
    now: &Freshness,
) -> rusqlite::Result<Option<Listed>> {
    conn.prepare_cached(
        "SELECT case_number, last, body, engine, fresh_until FROM work WHERE case_number = ?1",
    )?
    .query_row([own], |row| listed(row, now))
    .optional()
}

/// Returns how many rows there are: all, and those in which something is left to do.
pub(super) fn count(conn: &Connection) -> rusqlite::Result<(usize, usize)> {
    // Without its row somebody else took it away: then they are counted.
    let mut statement = conn.prepare_cached(
        "SELECT COALESCE((SELECT listed FROM tally), (SELECT COUNT(*) FROM work)),
                COALESCE((SELECT open FROM tally), (SELECT COUNT(*) FROM work WHERE closed = 0))",
    )?;
    let (all, open) = statement.query_row([], |row| Ok((number(row, 0)?, number(row, 1)?)))?;
    Ok((size(all), size(open)))
}

/// Counts the cases that come first in the day's order, and those that are late.
pub(super) fn first_and_late(conn: &Connection, today: Date) -> rusqlite::Result<(usize, usize)> {
    // Turns are a digit and a day: each part counts a stretch of the index and reads nothing else.
    let mut statement = conn.prepare_cached(
        "SELECT (SELECT COUNT(*) FROM work INDEXED BY work_open WHERE closed = 0 AND turn < '1'),
                (SELECT COUNT(*) FROM work INDEXED BY work_open
                 WHERE closed = 0 AND turn >= '00' AND turn < '0' || ?1)
              + (SELECT COUNT(*) FROM work INDEXED BY work_open
                 WHERE closed = 0 AND turn >= '10' AND turn < '1' || ?1)",
    )?;
    let (first, late) = statement.query_row([today.to_string()], |row| {
        Ok((number(row, 0)?, number(row, 1)?))
    })?;
    Ok((size(first), size(late)))
}

/// Counts the cases whose row has to be made anew.
pub(super) fn count_stale(conn: &Connection, now: &Freshness) -> rusqlite::Result<usize> {
    Ok(size(stale_rows(conn, now)?.saturating_add(without(conn)?)))
}

/// Counts the rows that do not hold. Left to choose, SQLite reads the whole table: each part names its index.
fn stale_rows(conn: &Connection, now: &Freshness) -> rusqlite::Result<u64> {
    conn.prepare_cached(
        "SELECT (SELECT COUNT(*) FROM work INDEXED BY work_by_engine WHERE engine < ?1)
              + (SELECT COUNT(*) FROM work INDEXED BY work_by_engine WHERE engine > ?1)
              + (SELECT COUNT(*) FROM work INDEXED BY work_by_day WHERE fresh_until <= ?2 AND engine = ?1)",
    )?
    .query_row(params![now.engine, now.today.to_string()], |row| {
        number(row, 0)
    })
}

/// Returns how many cases have no row. Each append leaves one, so that somebody else took it away; but those that are walked for
/// practice have none.
fn without(conn: &Connection) -> rusqlite::Result<u64> {
    conn.prepare_cached(
        "SELECT MAX(COALESCE((SELECT cases - listed FROM tally),
                (SELECT COUNT(*) FROM head) - (SELECT COUNT(*) FROM work))
              - (SELECT COUNT(*) FROM practice_case JOIN head USING (case_number)), 0)",
    )?
    .query_row([], |row| number(row, 0))
}

fn size(count: u64) -> usize {
    usize::try_from(count).unwrap_or(usize::MAX)
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
    if let Some(who) = &ask.who {
        // What a filter looks through has the code too, and stands in the index: most rows end there.
        bound.push(who.to_lowercase());
        let code = bound.len();
        groups.push(format!("instr(hay, ?{code}) > 0"));
        groups.push(format!("lower(who) = ?{code}"));
    }
    if ask.calls {
        groups.extend(["closed = 0", "turn < '1'"].map(str::to_owned));
    }
    if let Some(day) = ask.due_before {
        bound.push(day.to_string());
        let day = bound.len();
        groups.extend(["closed = 0", "substr(turn, 2) >= '0'"].map(str::to_owned));
        groups.push(format!("substr(turn, 2) < ?{day}"));
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

/// Returns the numbers of cases whose row has to be made anew.
pub(super) fn stale(
    conn: &Connection,
    now: &Freshness,
    most: usize,
) -> rusqlite::Result<Vec<String>> {
    let mut found = Vec::new();
    if stale_rows(conn, now)? > 0 {
        let mut statement = conn.prepare_cached(
            "SELECT case_number FROM work
             WHERE engine < ?1 OR engine > ?1 OR fresh_until <= ?2
             ORDER BY closed, last DESC LIMIT ?3",
        )?;
        let bound = params![now.engine, now.today.to_string(), stored(most as u64)];
        let rows = statement.query_map(bound, |row| lossy(row, 0))?;
        found = rows.collect::<Result<Vec<_>, _>>()?;
    }
    if found.len() < most && without(conn)? > 0 {
        let mut statement = conn.prepare_cached(
            "SELECT case_number FROM head
             WHERE NOT EXISTS (SELECT 1 FROM work WHERE work.case_number = head.case_number)
               AND NOT EXISTS (SELECT 1 FROM practice_case AS own WHERE own.case_number = head.case_number)
             LIMIT ?1",
        )?;
        let rows =
            statement.query_map([stored((most - found.len()) as u64)], |row| lossy(row, 0))?;
        found.extend(rows.collect::<Result<Vec<_>, _>>()?);
    }
    Ok(found)
}

fn listed(row: &Row<'_>, now: &Freshness) -> rusqlite::Result<Listed> {
    let body = lossy(row, 2)?;
    let fresh_until: Option<String> = row.get(4)?;
    let holds = fresh_until.is_none_or(|day| day > now.today.to_string());
    Ok(Listed {
        number: lossy(row, 0)?,
        last: when(&lossy(row, 1)?),
        body: (!body.is_empty()).then_some(body),
        fresh: lossy(row, 3)? == now.engine && holds,
    })
}

/// Writes a row over the one before; marks it where the standing instructions are others than it was judged by.
pub(super) fn keep(conn: &Connection, row: &WorkRow) -> rusqlite::Result<()> {
    conn.prepare_cached(
        // A replaced row would count twice: SQLite asks no trigger when it takes the one before away.
        "INSERT INTO work (case_number, entries, engine, flow, fresh_until, closed, turn, last, dentist, who, hay, body)
         VALUES (?1, ?2, CASE WHEN COALESCE((SELECT entries FROM agreement_head), 0) = ?13 THEN ?3 ELSE '' END,
         ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)
         ON CONFLICT (case_number) DO UPDATE SET entries = excluded.entries, engine = excluded.engine,
         flow = excluded.flow, fresh_until = excluded.fresh_until, closed = excluded.closed, turn = excluded.turn,
         last = excluded.last, dentist = excluded.dentist, who = excluded.who, hay = excluded.hay, body = excluded.body",
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
        row.body,
        stored(row.standing)
    ])
    .map(|_| ())
}

/// Marks the row of a case that was written to without a row, and makes one where there is none.
pub(super) fn let_down(conn: &Connection, number: &str, last: &str) -> rusqlite::Result<()> {
    conn.prepare_cached(
        "INSERT INTO work (case_number, entries, engine, flow, closed, turn, last, dentist, who, hay, body)
         VALUES (?1, 0, '', '', 0, '8', ?2, '', '', ?3, '')
         ON CONFLICT (case_number) DO UPDATE SET engine = '', last = excluded.last",
    )?
    .execute(params![number, last, number.to_lowercase()])
    .map(|_| ())
}

/// Takes a case out of the worklist, and keeps it out: the table's trigger lets no row of it in again.
pub(super) fn set_apart(conn: &Connection, number: &str) -> rusqlite::Result<()> {
    conn.prepare_cached(
        "INSERT INTO practice_case (case_number) VALUES (?1) ON CONFLICT DO NOTHING",
    )?
    .execute([number])?;
    conn.prepare_cached("DELETE FROM work WHERE case_number = ?1")?
        .execute([number])
        .map(|_| ())
}

/// Marks the rows of a dentist's cases: what stands for them has changed.
pub(super) fn let_down_of(conn: &Connection, dentist: &str) -> rusqlite::Result<()> {
    conn.prepare_cached("UPDATE work SET engine = '' WHERE dentist = ?1")?
        .execute([dentist])
        .map(|_| ())
}
