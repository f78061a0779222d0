//! What came back, as a document: the same figures on the command line, on the screen and on paper.

use super::{Block, Document, Picture};
use crate::case::outcome::Kind;
use crate::drawing::{FEW_AT_RISK, Figure, Word, coming, funnel, letter, staying};
use crate::fact::Place;
use crate::learn::{Against, Asked, Figures, Ripe, Row, Unfit};
use crate::phrase::learn as says;
use crate::phrase::outcome;
use crate::statistics::Confidence;
use crate::statistics::survival::{Curve, Incidence};
use crate::tooth::Notation;

/// A month in days.
const MONTH: f64 = 30.4375;
/// After so many months it is told how many stay.
const TIMES: [i32; 7] = [1, 3, 6, 12, 24, 36, 60];
/// After so many it is told what came back, by kind.
const TIMES_BY_KIND: [i32; 4] = [1, 6, 12, 24];
/// The largest scale and width of a chart on paper, in mm.
const CHART: (f64, f64) = (1.6, 168.0);

/// Returns what the record says; `unread` cases could not be read.
pub fn rates(found: &Figures, asked: &Asked, unread: usize, notation: Notation) -> Document {
    let mut document = Document::default();
    document.title(title(asked));
    for line in known(found, asked, unread) {
        document.text(line);
    }
    document.text(all(found, asked));
    if !found.rows.is_empty() {
        groups(&mut document, found, asked);
    }
    what_for(&mut document, found, asked);
    if found.halves.len() > 1 {
        let rows = found.halves.iter().map(|row| [name(row), share(&row.ripe)]);
        document.heading(says::HALVES);
        document.table([says::DELIVERED_IN, says::CAME_BACK], rows.collect());
    }
    if let Some(curve) = &found.curve {
        stays(&mut document, curve);
    }
    if let Some(own) = &found.by_kind {
        comes(&mut document, says::BY_KIND, own);
    }
    // Of people there would be a page of tables, and few returns in each.
    let people = asked.by.iter().any(|by| by.is_people());
    for row in found.rows.iter().filter(|_| !people) {
        if let Some(own) = &row.by_kind {
            comes(&mut document, &says::by_kind_of(&name(row)), own);
        }
    }
    if found.delivered > 0 {
        unfound(&mut document, found, notation);
    }
    document
}

/// Returns what is asked, as a title.
pub fn title(asked: &Asked) -> String {
    says::title(&asked.kinds, asked.months)
}

/// Returns until when the figures go and what is not known: the first lines of every page.
pub fn known(found: &Figures, asked: &Asked, unread: usize) -> [String; 2] {
    let not_known = says::NotKnown {
        unheard: found.unheard,
        withdrawn: found.withdrawn,
        open: found.open,
        since: found.since,
        lost: found.lost,
        unripe: found.unripe,
        unripe_came: found.unripe_came,
        unread,
    };
    [
        says::about(
            asked.from,
            asked.to.map_or(found.closing, |to| to.min(found.closing)),
            found.delivered,
        ),
        says::not_known(not_known, asked.months, found.delivered),
    ]
}

/// Returns why there are no figures, and what to do instead.
pub fn unfit(why: &Unfit) -> (String, &'static str) {
    match why {
        Unfit::NoReturn => (says::NO_RETURN.to_owned(), says::NO_RETURN_HINT),
        Unfit::NoTime => (says::NO_TIME.to_owned(), says::NO_TIME_HINT),
        Unfit::NotByTechnician => (
            says::NOT_BY_TECHNICIAN.to_owned(),
            says::NOT_BY_TECHNICIAN_HINT,
        ),
        Unfit::FewPeople(people) => (says::few_people(*people), says::FEW_PEOPLE_HINT),
    }
}

/// Returns how many of all came back.
pub fn all(found: &Figures, asked: &Asked) -> String {
    let own = &found.all;
    let interval = own.interval.map(|own| (own.low, own.high));
    let what = says::kinds(&asked.kinds);
    says::came(
        &what,
        asked.months,
        (own.came, own.of),
        interval,
        own.is_few(),
    )
}

/// Returns the name of a group.
pub fn name(row: &Row) -> String {
    let names = row
        .names
        .iter()
        .map(|name| name.as_deref().unwrap_or(says::NOT_KNOWN));
    names.collect::<Vec<_>>().join(", ")
}

/// Returns a share with its interval, in words.
pub fn share(ripe: &Ripe) -> String {
    let interval = ripe.interval.map(|own| (own.low, own.high));
    says::share((ripe.came, ripe.of), interval, ripe.is_few())
}

/// Returns how a group compares with the others, in words.
pub fn against(row: &Row) -> String {
    match &row.against {
        Against::NotCompared => String::new(),
        Against::TooFew => says::TOO_FEW.to_owned(),
        Against::FewDentists => says::FEW_DENTISTS.to_owned(),
        Against::Times(times) => says::times(times.ratio, times.low, times.high),
    }
}

/// Returns what groups can be told apart by and what not, in words.
pub fn remarks(found: &Figures) -> Vec<String> {
    let came = found.all.came;
    let mut lines = Vec::new();
    for row in &found.rows {
        if let Against::Times(times) = &row.against
            && let Some((ratio, own)) = &times.within_dentists
        {
            lines.push(says::within_dentists(&name(row), *ratio, own.low, own.high));
        }
    }
    let out = found.rows.iter().filter(|row| row.stands_out);
    let out: Vec<String> = out.map(name).collect();
    if found.nothing_follows {
        lines.push(says::too_few(came));
    } else if out.is_empty() {
        lines.push(says::NO_DIFFERENCE.to_owned());
    } else {
        lines.push(says::stand_out(&out));
        let wide = |row: &Row| {
            let holds = matches!(&row.against, Against::Times(times) if times.holds_one());
            row.stands_out && holds
        };
        if found.rows.iter().any(wide) {
            lines.push(says::ALL_THE_TIME.to_owned());
        }
        lines.push(says::NO_CAUSE.to_owned());
    }
    // Where something is seen, there were enough to see it.
    if came < found.needed && out.is_empty() {
        lines.push(says::needed(came, found.needed));
    }
    lines
}

fn groups(document: &mut Document, found: &Figures, asked: &Asked) {
    let words: Vec<String> = asked.by.iter().map(|by| by.words().to_owned()).collect();
    document.heading(says::by(&words));
    let people = asked.by.iter().any(|by| by.is_people());
    let head = asked.by.first().map_or("", |by| by.as_str());
    if people {
        let rows = found.rows.iter().enumerate().map(|(nth, row)| {
            let letter = found.funnel.as_ref().map(|_| format!("{} ", letter(nth)));
            [
                format!("{}{}", letter.unwrap_or_default(), name(row)),
                share(&row.ripe),
            ]
        });
        document.table([head, says::CAME_BACK], rows.collect());
    } else {
        let rows = found
            .rows
            .iter()
            .map(|row| [name(row), share(&row.ripe), against(row)]);
        document.table([head, says::CAME_BACK, says::AGAINST], rows.collect());
    }
    for line in remarks(found) {
        document.text(line);
    }
    if let Some((figure, caption)) = funnel_of(found) {
        chart(document, says::FUNNEL, caption, figure);
    }
}

/// Returns the dentists in their funnel, with what it shows.
pub fn funnel_of(found: &Figures) -> Option<(Figure, String)> {
    let own = found.funnel.as_ref()?;
    let names = own.points.iter().enumerate().map(|(nth, point)| {
        let name = point.name.as_deref().unwrap_or(says::NOT_KNOWN);
        format!("{} {name}", letter(nth))
    });
    let caption = says::funnel_caption(own.target, &names.collect::<Vec<_>>());
    Some((funnel(own)?, caption))
}

fn what_for(document: &mut Document, found: &Figures, asked: &Asked) {
    // Of one kind that was asked for, the number stands above.
    if !found.kinds.is_empty() && asked.kinds.len() != 1 {
        document.heading(says::FOR_WHAT);
        let rows = found.kinds.iter();
        let rows = rows.map(|(kind, of)| [outcome::kind(*kind).to_owned(), says::counted(*of)]);
        document.table([says::KIND, ""], rows.collect());
    }
    if !found.foreseen.is_empty() {
        document.heading(says::FORESEEN);
        let rows = found.foreseen.iter();
        let rows = rows.map(|(seen, of)| [outcome::foreseen(*seen).to_owned(), says::counted(*of)]);
        document.table([says::SAID, ""], rows.collect());
    }
}

/// How long restorations stay, as far as enough of them are followed.
fn stays(document: &mut Document, curve: &Curve) {
    if curve.at_risk(0.0) < FEW_AT_RISK {
        return;
    }
    document.heading(says::CURVE);
    let rows = staying_rows(curve);
    let ends = rows.len() < TIMES.len();
    document.table(
        [says::AFTER, says::STILL, says::BETWEEN, says::FOLLOWED],
        rows,
    );
    if ends {
        document.text(says::TOO_FEW_FOLLOWED);
    }
    if let Some(figure) = staying(curve) {
        chart(
            document,
            says::CURVE,
            says::CURVE_CAPTION.to_owned(),
            figure,
        );
    }
}

/// Returns how many stay after some months, with the band and how many are still followed.
pub fn staying_rows(curve: &Curve) -> Vec<[String; 4]> {
    let mut rows = Vec::new();
    for months in TIMES {
        let at = f64::from(months) * MONTH;
        let at_risk = curve.at_risk(at);
        let point = curve.at(at, Confidence::P95);
        let (Ok(point), true) = (point, at_risk >= FEW_AT_RISK) else {
            break;
        };
        let band = point.interval.map(|own| says::between(own.low, own.high));
        rows.push([
            says::after(months),
            says::percent(point.value),
            band.unwrap_or_default(),
            at_risk.to_string(),
        ]);
    }
    rows
}

/// What restorations came back for first, as far as enough of them are followed; nothing where nothing came back.
fn comes(document: &mut Document, heading: &str, own: &Incidence<Kind>) {
    let times = TIMES_BY_KIND.into_iter();
    let enough = |months: &i32| own.at_risk(f64::from(*months) * MONTH) >= FEW_AT_RISK;
    let times: Vec<i32> = times.take_while(enough).collect();
    let kinds = own.kinds();
    if kinds.is_empty() || times.is_empty() {
        return;
    }
    document.heading(heading);
    let head = times.iter().map(|months| says::after(*months));
    let head = [says::KIND.to_owned()].into_iter().chain(head).collect();
    let row = |kind: &Kind| {
        let shares = times.iter().map(|months| {
            let point = own.at(*kind, f64::from(*months) * MONTH, Confidence::P95);
            point.map_or_else(
                |_| String::new(),
                |own| says::so_many(own.value, own.interval.map(|own| (own.low, own.high))),
            )
        });
        let name = [outcome::kind(*kind).to_owned()];
        name.into_iter().chain(shares).collect()
    };
    let rows = kinds.iter().map(row).collect();
    document.blocks.push(Block::Table { head, rows });
    // Of groups it need not be said again.
    if heading == says::BY_KIND {
        document.text(says::BY_KIND_MEANS);
    }
    if let Some(figure) = coming(own) {
        chart(document, heading, by_kind_caption(own), figure);
    }
}

/// Says which curve is which kind.
pub fn by_kind_caption(own: &Incidence<Kind>) -> String {
    let kinds = own.kinds().into_iter().enumerate();
    let names = kinds.map(|(nth, kind)| says::lettered(letter(nth), outcome::kind(kind)));
    says::by_kind_caption(&names.collect::<Vec<_>>())
}

fn unfound(document: &mut Document, found: &Figures, notation: Notation) {
    document.heading(says::UNFOUND);
    if found.unfound.is_empty() {
        document.text(says::UNFOUND_NONE);
        return;
    }
    document.text(says::UNFOUND_WHY);
    for own in &found.unfound {
        let teeth = own.teeth.iter().filter_map(|at| match at {
            Place::Unit(tooth) => Some(notation.show(*tooth)),
            _ => None,
        });
        let teeth: Vec<String> = teeth.collect();
        let line = says::unfound(&own.number, &teeth, own.what, own.on, own.seen);
        document.point("-", None, line, Vec::new());
    }
}

/// Returns the words of a chart's labels, in their order.
pub fn chart_words(figure: &Figure) -> Vec<String> {
    let say = |word: Word| match word {
        Word::Share(share) => says::percent(share),
        Word::Months(months) => months.to_string(),
        Word::Count(count) => count.to_string(),
        Word::Letter(letter) => letter.to_string(),
        // No chart has a tooth.
        _ => String::new(),
    };
    figure.labels.iter().map(|label| say(label.word)).collect()
}

fn chart(document: &mut Document, title: &str, caption: String, figure: Figure) {
    document.blocks.push(Block::Picture(Box::new(Picture {
        title: title.to_owned(),
        describes: caption.clone(),
        caption,
        // The table above says the same.
        tells: false,
        legend: String::new(),
        words: chart_words(&figure),
        figure,
        size: CHART,
    })));
}
