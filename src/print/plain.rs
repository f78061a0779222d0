use textwrap::Options;
use unicode_width::UnicodeWidthStr;

use super::{Block, Document};

/// The columns of a plain print.
const WIDTH: usize = 78;

pub(super) fn text(document: &Document) -> String {
    let mut out = String::new();
    let mut line = |text: &str| {
        out.push_str(text.trim_end());
        out.push('\n');
    };
    let mut first = true;
    for block in &document.blocks {
        match block {
            Block::Title(text) => {
                if !first {
                    line("");
                    line("");
                }
                line(text);
                line(&"=".repeat(text.width().min(WIDTH)));
            }
            Block::Heading(text) => {
                line("");
                line(text);
                line(&"-".repeat(text.width().min(WIDTH)));
            }
            Block::Text(text) => {
                for wrapped in textwrap::wrap(text, WIDTH) {
                    line(&wrapped);
                }
            }
            Block::Point {
                mark, text, under, ..
            } => {
                let first = format!("{mark} ");
                let indent = " ".repeat(first.width());
                let options = Options::new(WIDTH)
                    .initial_indent(&first)
                    .subsequent_indent(&indent);
                for wrapped in textwrap::wrap(text, options) {
                    line(&wrapped);
                }
                for text in under {
                    let options = Options::new(WIDTH)
                        .initial_indent(&indent)
                        .subsequent_indent(&indent);
                    for wrapped in textwrap::wrap(text, options) {
                        line(&wrapped);
                    }
                }
            }
            Block::Blank(label) => {
                let rest = WIDTH.saturating_sub(label.width() + 2).min(40);
                line(&format!("{label}: {}", "_".repeat(rest)));
            }
        }
        first = false;
    }
    out
}
