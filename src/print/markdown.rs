use super::{Block, Document};

pub(super) fn markdown(document: &Document) -> String {
    let mut out = String::new();
    let mut in_list = false;
    for block in &document.blocks {
        if in_list && !matches!(block, Block::Point { .. }) {
            out.push('\n');
        }
        in_list = matches!(block, Block::Point { .. });
        match block {
            Block::Title(text) => out.push_str(&format!("# {}\n\n", escape(text))),
            Block::Heading(text) => out.push_str(&format!("## {}\n\n", escape(text))),
            Block::Text(text) => out.push_str(&format!("{}\n\n", escape(text))),
            Block::Point {
                mark, text, under, ..
            } => {
                out.push_str(&format!("- {} {}\n", escape(mark), escape(text)));
                for line in under {
                    out.push_str(&format!("  - {}\n", escape(line)));
                }
            }
            Block::Blank(label) => out.push_str(&format!(
                "{}: \\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\n\n",
                escape(label)
            )),
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
    fn hostile_text_stays_text() {
        let mut document = Document::default();
        document.title("<script>alert(1)</script> [a](javascript:b) `c` *d* #e");
        assert_eq!(
            markdown(&document),
            "# &lt;script&gt;alert(1)&lt;/script&gt; \\[a\\](javascript:b) \\`c\\` \\*d\\* \\#e\n\n"
        );
    }
}
