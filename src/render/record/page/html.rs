//! Writes a page as one HTML file: style inside, no script, nothing asked of any address. Every text is escaped here.
//! Leaves to others: what the page says (`blocks` and who fills them), figures (`svg`).

use std::fmt::Write;

use super::blocks::{HandoverPage, PageBlock, PageGrid, PagePart, Tone};
use super::escape::escape;
use super::svg;
use crate::text::page;

const STYLE: &str = include_str!("page.css");

/// From this many characters on a cell may be broken over lines.
const LONG: usize = 36;

/// Returns the page as HTML.
pub fn write(page: &HandoverPage) -> String {
    let mut out = String::new();
    let title = escape(&page.title);
    let _ = write!(
        out,
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n\
         <link rel=\"icon\" href=\"data:,\">\n<title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<main>\n<h1>{title}</h1>\n"
    );
    for part in &page.parts {
        write_part(&mut out, part, &page.letterhead);
    }
    out.push_str("</main>\n</body>\n</html>\n");
    out
}

fn write_part(out: &mut String, part: &PagePart, letterhead: &[String]) {
    let _ = writeln!(out, "<section class=\"part {}\" aria-labelledby=\"{0}\">", part.name);
    if !letterhead.is_empty() && part.name != "evidence" {
        let lines: Vec<String> = letterhead.iter().map(|line| escape(line)).collect();
        let _ = writeln!(out, "<p class=\"letterhead\">{}</p>", lines.join("<br>"));
    }
    let _ = writeln!(out, "<h2 id=\"{}\">{}</h2>", part.name, escape(part.heading));
    let mut numbered = 0;
    for block in &part.blocks {
        numbered += 1;
        write_block(out, block, &format!("{}-{numbered}", part.name));
    }
    out.push_str("</section>\n");
}

fn write_block(out: &mut String, block: &PageBlock, id: &str) {
    match block {
        PageBlock::Heading(text) => drop(writeln!(out, "<h3>{}</h3>", escape(text))),
        PageBlock::Say(tone, text) => drop(writeln!(out, "<p{}>{}</p>", class(*tone), escape(text))),
        PageBlock::Facts(facts) => {
            out.push_str("<dl>\n");
            for (label, value) in facts {
                let value = value.as_deref().map(escape);
                let empty = if value.is_none() { " class=\"blank\"" } else { "" };
                let value = value.unwrap_or_else(|| "&nbsp;".to_owned());
                let _ = writeln!(out, "<div><dt>{}</dt><dd{empty}>{value}</dd></div>", escape(label));
            }
            out.push_str("</dl>\n");
        }
        PageBlock::Points(points) => {
            let points: Vec<String> =
                points.iter().map(|point| format!("<li>{}</li>", escape(point))).collect();
            let _ = writeln!(out, "<ul>{}</ul>", points.join("\n"));
        }
        PageBlock::Grid(grid) => write_grid(out, grid, id),
        PageBlock::Figure(figure) => {
            let drawn = svg::figure(figure);
            let _ =
                writeln!(out, "<figure><figcaption>{}</figcaption>{drawn}</figure>", escape(figure.caption));
        }
        PageBlock::Seal(seal) => {
            let code = svg::code(seal);
            let told = escape(page::SEAL);
            let _ = writeln!(
                out,
                "<div class=\"seal\">{code}<p><code>{}</code><br>{told}</p></div>",
                escape(seal)
            );
        }
    }
}

fn class(tone: Tone) -> &'static str {
    match tone {
        Tone::Plain => "",
        Tone::Lead => " class=\"lead\"",
        Tone::Good => " class=\"good\"",
        Tone::Doubt => " class=\"doubt\"",
        Tone::Aside => " class=\"aside\"",
    }
}

/// A table scrolls by itself where it is wider than the screen, and can be reached by keyboard for that.
fn write_grid(out: &mut String, grid: &PageGrid, id: &str) {
    let head: String =
        grid.head.iter().map(|head| format!("<th scope=\"col\">{}</th>", escape(head))).collect();
    let _ = writeln!(
        out,
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-labelledby=\"{id}\"><table><caption id=\"{id}\">{}</caption><thead><tr>{head}</tr></thead><tbody>",
        escape(grid.caption)
    );
    for row in &grid.rows {
        let cell = |cell: &String| {
            let long = if cell.chars().count() > LONG { " class=\"long\"" } else { "" };
            format!("<td{long}>{}</td>", escape(cell))
        };
        let cells: String = row.iter().map(cell).collect();
        let _ = writeln!(out, "<tr>{cells}</tr>");
    }
    out.push_str("</tbody></table></div>\n");
}
