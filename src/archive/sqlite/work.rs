//! The table of the worklist.

use rusqlite::{Connection, Row, params, params_from_iter};

use super::super::{Freshness, Listed, WorkAsk, WorkOrder, WorkRow, when};
use super::column::{count as number, lossy, stored};

/// Returns rows of the worklist.
pub(super) fn list(
    conn: &Connection,
    ask: &WorkAsk,
    now: &Freshness,
) -> rusqlite::Result<Vec<Listed>> {
    let mut bound: Vec<String> = Vec::new();
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
    let filter = match groups.is_empty() {
        true => String::new(),
        false => format!("WHERE {}", groups.join(" AND ")),
    };
    let order = match ask.order {
        WorkOrder::Turn => "turn, case_number",
        WorkOrder::Last => "last DESC,case_number DESC",
        WorkOrder::Number => "case_number",
        WorkOrder::Dentist => "dentist = '', dentist, case_number",
        WorkOrder::Who => "who = '', who, case_number",
    };
    // The filter reads an index alone; only the rows that are shown are looked up.
    let query = format!(
        "SELECT w.case_number, w.last, w.body, w.engine, w.fresh_until
         FROM (SELECT case_number AS own FROM work {filter} ORDER BY closed, {order} LIMIT {most} OFFSET {skip})
         JOIN work AS w ON w.case_number = own",
        most = stored(ask.most as u64),
        skip = stored(ask.skip as u64),
    );
    let mut statement = conn.prepare_cached(&query)?;
    let rows = statement.query_map(params_from_iter(bound), |row| listed(row, now))?;
    rows.collect()
}

/// Counts the rows: all, and those in which something is left to do.
pub(super) fn count(conn: &Connection) -> rusqlite::Result<(usize, usize)> {
    let (all, open) = conn.query_row(
        "SELECT COUNT(*), COUNT(*) FILTER (WHERE closed = 0) FROM work",
        [],
        |row| Ok((number(row, 0)?, number(row, 1)?)),
    )?;
    let size = |count| usize::try_from(count).unwrap_or(usize::MAX);
    Ok((size(all), size(open)))
}

/// Returns the numbers of cases whose row has to be made anew.
pub(super) fn stale(
    conn: &Connection,
    now: &Freshness,
    most: usize,
) -> rusqlite::Result<Vec<String>> {
    let mut statement = conn.prepare_cached(
        "SELECT case_number FROM work
         WHERE engine < ?1 OR engine > ?1 OR fresh_until <= ?2
         ORDER BY closed, last DESC LIMIT ?3",
    )?;
    let rows = statement.query_map(
        params![now.engine, now.today.to_string(), stored(most as u64)],
        |row| lossy(row, 0),
    )?;
    rows.collect()
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

/// Writes a row over the one before.
pub(super) fn keep(conn: &Connection, row: &WorkRow) -> rusqlite::Result<()> {
    conn.prepare_cached(
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
pub(super) fn let_down(conn: &Connection, number: &str, last: &str) -> rusqlite::Result<()> {
    conn.prepare_cached(
        "INSERT INTO work (case_number, entries, engine, flow, closed, turn, last, dentist, who, hay, body)
         VALUES (?1, 0, '', '', 0, '8', ?2, '', '', ?3, '')
         ON CONFLICT (case_number) DO UPDATE SET engine = '', last = excluded.last",
    )?
    .execute(params![number, last, number.to_lowercase()])
    .map(|_| ())
}

/// Marks the rows of a dentist's cases: what stands for them has changed.
pub(super) fn let_down_of(conn: &Connection, dentist: &str) -> rusqlite::Result<()> {
    conn.prepare_cached("UPDATE work SET engine = '' WHERE dentist = ?1")?
        .execute([dentist])
        .map(|_| ())
}
