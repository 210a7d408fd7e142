//! Makes foreign text inert in HTML and SVG. Leaves to others: where it stands (`html`, `svg`).

use crate::base::styled::clean;

/// Makes a foreign text inert in HTML and SVG: hidden characters spelled out, the five that mean something named.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in clean(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hostile_text_is_inert() {
        let escaped = escape("<script>\"'&\u{1b}[2J\u{202e}</script>");
        assert_eq!(escaped, "&lt;script&gt;&quot;&#39;&amp;\\u{1b}[2J\\u{202e}&lt;/script&gt;");
    }
}
