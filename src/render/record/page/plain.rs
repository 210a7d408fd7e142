//! Writes a page as lines of text: what HTML shows, without pictures. The edge wraps and colours them.
//! Leaves to others: what the page says (`blocks` and who fills them).

use unicode_width::UnicodeWidthStr;

use super::blocks::{Drawing, FigureBar, HandoverPage, PageBlock, PageGrid, Tone};
use crate::base::styled::{Role, StyledText, clean};

/// Longest bar, in columns.
const BAR: f64 = 20.0;
/// Widest column but the last.
const COLUMN: usize = 24;
/// What stands where something is filled in by hand.
const BLANK: &str = "____________________";

/// Returns the page as lines.
pub fn lines(page: &HandoverPage) -> Vec<StyledText> {
    let mut lines = vec![StyledText::of(Role::Heading, &page.title)];
    for part in &page.parts {
        lines.push(StyledText::new());
        lines.push(StyledText::of(Role::Heading, part.heading.to_uppercase()));
        if part.name != "evidence" {
            lines.extend(page.letterhead.iter().map(StyledText::plain));
        }
        for block in &part.blocks {
            add(&mut lines, block);
        }
    }
    lines
}

fn add(lines: &mut Vec<StyledText>, block: &PageBlock) {
    match block {
        PageBlock::Heading(text) => lines.extend([StyledText::new(), StyledText::of(Role::Heading, text)]),
        PageBlock::Say(tone, text) => lines.push(StyledText::of(role(*tone), text)),
        PageBlock::Facts(facts) => {
            let width = facts.iter().map(|(label, _)| label.width()).max().unwrap_or_default();
            lines.extend(facts.iter().map(|(label, value)| {
                let value = value.as_deref().unwrap_or(BLANK);
                StyledText::of(Role::Hint, format!("{label:width$}  ")).and(Role::Plain, value).indented(2)
            }));
        }
        PageBlock::Points(points) => {
            lines.extend(points.iter().map(|point| StyledText::plain(format!("- {point}")).indented(2)));
        }
        PageBlock::Grid(grid) => add_grid(lines, grid),
        PageBlock::Figure(figure) => {
            lines.push(StyledText::of(Role::Hint, figure.caption));
            match &figure.drawing {
                Drawing::Bars { bars, limit } => {
                    add_bars(lines, bars);
                    lines
                        .extend(limit.as_ref().map(|(_, told)| StyledText::of(Role::Hint, told).indented(2)));
                }
                Drawing::Night(curve) => lines.push(StyledText::plain(&curve.shown).indented(2)),
            }
        }
        PageBlock::Seal(seal) => lines.push(StyledText::of(Role::Hint, "Last seal ").and(Role::Plain, seal)),
    }
}

fn role(tone: Tone) -> Role {
    match tone {
        Tone::Plain => Role::Plain,
        Tone::Lead => Role::Value,
        Tone::Good => Role::Good,
        Tone::Doubt => Role::Doubt,
        Tone::Aside => Role::Hint,
    }
}

fn add_bars(lines: &mut Vec<StyledText>, bars: &[FigureBar]) {
    let most = bars.iter().map(|bar| bar.value).fold(0.0, f64::max);
    let width = bars.iter().map(|bar| bar.label.width()).max().unwrap_or_default().min(COLUMN);
    for bar in bars {
        let full = if most > 0.0 { (bar.value.max(0.0) / most * BAR).round() } else { 0.0 };
        // A bar is at most as long as BAR.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let drawn = "#".repeat(full as usize);
        let label = padded(&bar.label, width);
        lines.push(StyledText::plain(format!("{label}  {drawn:20}  {}", bar.shown)).indented(2));
    }
}

/// Returns a text on so many columns, cut if it is wider.
fn padded(text: &str, width: usize) -> String {
    let mut out = String::new();
    for c in clean(text).chars() {
        out.push(c);
        if out.width() > width {
            out.pop();
            break;
        }
    }
    let left = width.saturating_sub(out.width());
    out + &" ".repeat(left)
}

fn add_grid(lines: &mut Vec<StyledText>, grid: &PageGrid) {
    let last = grid.head.len().saturating_sub(1);
    let widest = |column: usize| {
        let cells = grid.rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.width());
        let head = grid.head.get(column).map_or(0, |head| head.width());
        cells.chain([head]).max().unwrap_or_default().min(COLUMN)
    };
    let widths: Vec<usize> = (0..last).map(widest).collect();
    let row = |cells: &[&str], role: Role| {
        let text = cells.iter().enumerate().map(|(column, cell)| match widths.get(column) {
            Some(width) => padded(cell, *width) + "  ",
            None => (*cell).to_owned(),
        });
        StyledText::of(role, text.collect::<String>().trim_end()).indented(2)
    };
    lines.push(StyledText::of(Role::Hint, grid.caption));
    lines.push(row(&grid.head, Role::Hint));
    lines.extend(
        grid.rows.iter().map(|cells| row(&cells.iter().map(String::as_str).collect::<Vec<_>>(), Role::Plain)),
    );
}
