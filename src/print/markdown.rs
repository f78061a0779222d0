use super::{Block, Document};

pub(super) fn markdown(document: &Document) -> String {
    let mut out = String::new();
    let mut in_list = false;
    for block in &document.blocks {
        let listed = matches!(block, Block::Point { .. } | Block::Source(_));
        if in_list && !listed {
            out.push('\n');
        }
        in_list = listed;
        match block {
            Block::Sheet(_) | Block::Page => {}
            Block::Title(text) => out.push_str(&format!("# {}\n\n", escape(text))),
            Block::Heading(text) => out.push_str(&format!("## {}\n\n", escape(text))),
            Block::Picture(picture) if !picture.tells => {}
            Block::Picture(picture) => {
                out.push_str(&format!("{}\n\n", escape(&picture.caption)));
            }
            Block::Text(text) => out.push_str(&format!("{}\n\n", escape(text))),
            Block::Point {
                mark, text, under, ..
            } => {
                // A dash is what Markdown itself puts there.
                let mark = mark.strip_prefix('-').unwrap_or(mark).trim_start();
                let gap = if mark.is_empty() { "" } else { " " };
                out.push_str(&format!("- {}{gap}{}\n", escape(mark), escape(text)));
                for line in under {
                    out.push_str(&format!("  - {}\n", escape(line)));
                }
            }
            Block::Source(text) => out.push_str(&format!("- {}\n", escape(text))),
            Block::Blank(label) => out.push_str(&format!(
                "{}: \\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\n\n",
                escape(label)
            )),
            Block::Table { head, rows } => {
                let line = |cells: &[String]| {
                    let cells: Vec<String> = cells.iter().map(|cell| escape(cell)).collect();
                    format!("| {} |\n", cells.join(" | "))
                };
                out.push_str(&line(head));
                out.push_str(&format!("|{}\n", "---|".repeat(head.len())));
                for row in rows {
                    out.push_str(&line(row));
                }
                out.push('\n');
            }
        }
    }
    out
}

/// Keeps text from being read as markup, HTML included.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '\\' | '`' | '*' | '_' | '[' | ']' | '#' | '|' | '!' | '~' => {
                out.push('\\');
                out.push(c);
            }
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_in_a_cell_does_not_split_it() {
        let mut document = Document::default();
        document.table(["a", "b"], vec![["1|2".to_owned(), "3".to_owned()]]);
        assert_eq!(
            markdown(&document),
            "| a | b |\n|---|---|\n| 1\\|2 | 3 |\n\n"
        );
    }

    #[test]
    fn hostile_text_stays_text() {
        let mut document = Document::default();
        document.title("<script>alert(1)</script> [a](javascript:b) `c` *d* #e");
        assert_eq!(
            markdown(&document),
            "# &lt;script&gt;alert(1)&lt;/script&gt; \\[a\\](javascript:b) \\`c\\` \\*d\\* \\#e\n\n"
        );
    }
}
