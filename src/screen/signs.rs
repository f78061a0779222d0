//! What is put on a screen that shows ASCII only: each special sign has a reading.
//!
//! A view is respelled before it is laid out, since a reading may be longer than its sign; what is said of its data is
//! respelled where it is said. Letters of any language stay as somebody typed them.

use std::borrow::Cow;

use super::theme::Signs;
use crate::session::view::{
    AboutCase, CallRow, CallView, CellView, ChoiceView, EvidenceLine, FindRow, FindView,
    FindingLine, FindingsView, FollowUpRow, FollowUpView, GoneLine, GripView, Header, HelpView,
    HistoryView, LastView, Leaf, LeafView, LineView, OptionLine, OptionsView, OutcomeView,
    PageView, PanelLine, PictureView, Plate, PresentView, QuestionsView, RatesView, ReadyLine,
    StepView, SummaryLine, TabView, UnitView, View, WallChange, WorklistRow, WorklistView,
};
use crate::tooth::as_typed;

/// Each sign of the program and of the flow that comes with it, with its reading.
const READINGS: &[(char, &str)] = &[
    ('–', "-"),
    ('—', "-"),
    ('−', "-"),
    ('…', ".."),
    ('·', "*"),
    ('×', "x"),
    ('±', "+/-"),
    ('≤', "<="),
    ('≥', ">="),
    ('²', "2"),
    ('³', "3"),
    ('µ', "u"),
    ('°', " deg"),
    ('→', "->"),
    ('►', ">"),
    ('▲', "^"),
    ('▼', "v"),
    ('●', "="),
    ('─', "-"),
];

/// The units that have a sign, which stand alone in a column.
const UNITS: &[(&str, &str)] = &[("mm²", "mm2"), ("mm³", "mm3"), ("µm", "um"), ("°", "deg")];

impl Signs {
    /// Returns a text as it is put on the screen.
    pub fn spell(self, text: &str) -> Cow<'_, str> {
        match self {
            Signs::Ascii if !text.is_ascii() => Cow::Owned(in_ascii(text)),
            _ => Cow::Borrowed(text),
        }
    }
}

fn in_ascii(text: &str) -> String {
    let mut out = String::new();
    for c in as_typed(text).chars() {
        if let Some((_, reading)) = READINGS.iter().find(|(sign, _)| *sign == c) {
            let first = out.is_empty() || out.ends_with(' ');
            out.push_str(if first { reading.trim_start() } else { reading });
        } else {
            out.push(c);
        }
    }
    out
}

/// Returns a view in ASCII, but for letters.
pub(super) fn ascii_view(view: &View) -> View {
    let mut own = view.clone();
    own.respell();
    own
}

/// Something with texts in it.
trait Respell {
    fn respell(&mut self);
}

impl Respell for String {
    fn respell(&mut self) {
        if let Cow::Owned(text) = Signs::Ascii.spell(self) {
            *self = text;
        }
    }
}

/// Words of the program itself; of these only units have signs.
impl Respell for &'static str {
    fn respell(&mut self) {
        if let Some((_, reading)) = UNITS.iter().find(|(sign, _)| sign == self) {
            *self = reading;
        }
    }
}

impl<T: Respell> Respell for Option<T> {
    fn respell(&mut self) {
        self.iter_mut().for_each(Respell::respell);
    }
}

impl<T: Respell> Respell for Vec<T> {
    fn respell(&mut self) {
        self.iter_mut().for_each(Respell::respell);
    }
}

impl<T: Respell, const N: usize> Respell for [T; N] {
    fn respell(&mut self) {
        self.iter_mut().for_each(Respell::respell);
    }
}

impl<T: Respell> Respell for Box<T> {
    fn respell(&mut self) {
        self.as_mut().respell();
    }
}

impl<A: Respell, B: Respell> Respell for (A, B) {
    fn respell(&mut self) {
        self.0.respell();
        self.1.respell();
    }
}

impl<A: Respell, B: Respell, C: Respell> Respell for (A, B, C) {
    fn respell(&mut self) {
        self.0.respell();
        self.1.respell();
        self.2.respell();
    }
}

/// What has no text in it.
macro_rules! silent {
    ($($own:ty),+) => { $(impl Respell for $own { fn respell(&mut self) {} })+ };
}

silent!(bool, char, usize);

/// The texts of a shape, and what of it has none. A field that is named nowhere does not compile.
macro_rules! texts {
    ($($own:ident { $($text:ident)+; $($other:ident)* })+) => {
        $(impl Respell for $own {
            fn respell(&mut self) {
                let $own { $($text,)+ $($other: _),* } = self;
                $($text.respell();)+
            }
        })+
    };
}

texts! {
    View { header page help prompt notice not_saved tip tabs keys find; context scroll }
    TabView { key name; count here }
    Header { number units material notation state_words trying with days late; verdict not_covered state expected }
    UnitView { name; present }
    WorklistView { rows empty about filter order progress notation found ready today; first more marked typing counts picked }
    AboutCase { title found lines; }
    WorklistRow { number units dentist state state_in_short result beside due who last turn; verdict late picked }
    QuestionsView {
        steps answer_keys how lines present findings none gone open_points more_key again picture;
        left present_line
    }
    CellView { name typed; value unit decimals state origin }
    StepView { title; state answered of }
    PresentView { name place asks choices beyond input takes last two_answers asked refusal goes_back; }
    ChoiceView { words short; digit now }
    LastView { cell beside; }
    GoneLine { place; level }
    FindingLine { place says; level passed new folded }
    FindingsView { findings none detail evidence rest figures open_points to_come; marked }
    EvidenceLine { what found from; needs }
    SummaryLine { text; heading level }
    HelpView { picture sections; }
    // What is drawn chooses its own signs.
    PictureView { title sketch plates grip legend says caution; of }
    Plate { title words; figure }
    GripView { says marks; advised value spread limits level }
    HistoryView { title lines; }
    OutcomeView { title known asks choices says then; }
    FindView { words rows count; }
    FindRow { kind line; digit marked }
    CallView { count ready rows panel; }
    ReadyLine { label cell; marked }
    CallRow { section text; number level mark marked }
    RatesView { title by lines plates captions; }
    LeafView { leaf right; marked first }
    Leaf { title before over head rows after; goes bar }
    FollowUpView { title of head rows choices says asks; }
    FollowUpRow { cells; digit marked named }
    OptionsView { now rows waiting detail; marked full }
    OptionLine { section does wall price barred; rank verdict grip cut days }
    WallChange { place; before after }
}

impl Respell for PageView {
    fn respell(&mut self) {
        match self {
            PageView::Worklist(page) => page.respell(),
            PageView::Questions(page) => page.respell(),
            PageView::Findings(page) => page.respell(),
            PageView::Summary(lines) => lines.respell(),
            PageView::Call(page) => page.respell(),
            PageView::Options(page) => page.respell(),
            PageView::Picture(page) => page.respell(),
            PageView::History(page) => page.respell(),
            PageView::Outcome(page) => page.respell(),
            PageView::Rates(page) => page.respell(),
            PageView::Leaf(page) => page.respell(),
            PageView::FollowUp(page) => page.respell(),
        }
    }
}

impl Respell for LineView {
    fn respell(&mut self) {
        match self {
            LineView::Heading { title, columns } => {
                title.respell();
                columns.respell();
            }
            LineView::Row {
                label,
                unit: _,
                cells,
            } => {
                label.respell();
                cells.respell();
            }
            LineView::Ask { label, place, cell } => {
                label.respell();
                place.respell();
                cell.respell();
            }
            LineView::Idle { label, why } => {
                label.respell();
                why.respell();
            }
        }
    }
}

impl Respell for PanelLine {
    fn respell(&mut self) {
        match self {
            PanelLine::Heading(text) | PanelLine::Text(text) | PanelLine::Dim(text) => {
                text.respell();
            }
            PanelLine::Pick {
                digit: _,
                ticked: _,
                marked: _,
                text,
                note,
            } => {
                text.respell();
                note.respell();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tooth::{Notation, Tooth};

    #[test]
    fn signs_are_read_and_letters_stay() {
        for (text, wanted) in [
            ("plain", "plain"),
            ("0.87 ± 0.05", "0.87 +/- 0.05"),
            ("10 to 20° is", "10 to 20 deg is"),
            ("°", "deg"),
            ("50 µm, 7 mm², h²·w 27 mm³", "50 um, 7 mm2, h2*w 27 mm3"),
            ("–", "-"),
            ("2.1 × ≥ 3 …", "2.1 x >= 3 .."),
            ("Brücke für größere Höhe, 歯", "Brücke für größere Höhe, 歯"),
        ] {
            assert_eq!(Signs::Ascii.spell(text), wanted);
            assert_eq!(Signs::Braille.spell(text), text);
        }
    }

    #[test]
    fn a_tooth_reads_as_it_can_be_typed() {
        for text in ["18", "24", "36", "45"] {
            let tooth: Tooth = Notation::Iso3950.read(text).unwrap();
            let shown = Notation::Palmer.show(tooth);
            let line = format!("44 {shown}-{shown}");
            let spelled = Signs::Ascii.spell(&line);
            assert!(spelled.is_ascii(), "{spelled}");
            let (_, one) = spelled.rsplit_once('-').unwrap();
            assert_eq!(Notation::Palmer.read(one), Ok(tooth), "{spelled}");
        }
    }

    /// A unit of the catalogue is either plain or has its reading.
    #[test]
    fn every_unit_has_a_reading() {
        for (sign, reading) in UNITS {
            assert_eq!(Signs::Ascii.spell(sign), *reading);
        }
        for spec in crate::fact::CATALOGUE {
            if let crate::fact::Kind::Number { unit, .. } = &spec.kind {
                let mut symbol = unit.symbol();
                symbol.respell();
                assert!(symbol.is_ascii(), "{symbol}");
            }
        }
    }
}
