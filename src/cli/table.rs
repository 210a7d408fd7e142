//! Tables for people: columns where there is room for them, `name: value` lists below 60 columns.
//! Leaves to others: what stands in the cells.

use comfy_table::presets::NOTHING;
use comfy_table::{CellAlignment, ContentArrangement, LineStyle};

use super::paint::paint;
use crate::base::styled::{Role, StyledText, clean};

/// Below this many columns a table becomes a list.
const NARROW: usize = 60;

/// A table: headings, and rows of as many cells.
#[derive(Debug, Clone, Default)]
pub struct Table {
    headings: Vec<String>,
    right: Vec<usize>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// Begins a table with its headings.
    pub fn new(headings: &[&str]) -> Self {
        Self { headings: headings.iter().map(|text| clean(text)).collect(), ..Self::default() }
    }

    /// Sets columns, counted from 0, flush right, as numbers stand.
    #[must_use]
    pub fn right(mut self, columns: &[usize]) -> Self {
        self.right = columns.to_vec();
        self
    }

    /// Adds a row; control and invisible characters are spelled out.
    pub fn row<T: AsRef<str>>(&mut self, cells: impl IntoIterator<Item = T>) {
        self.rows.push(cells.into_iter().map(|cell| clean(cell.as_ref())).collect());
    }

    /// Renders the table to at most `width` columns, each line ended by a line end.
    pub fn render(&self, width: usize) -> String {
        if width < NARROW { self.list(width) } else { self.grid(width) }
    }

    /// Renders the table as columns whatever the width, for a sheet whose caller sees to it that they fit.
    pub fn grid(&self, width: usize) -> String {
        let mut table = comfy_table::Table::new();
        table.load_style(NOTHING.header_separator(LineStyle::none().fill('-').junction('-')));
        table.set_content_arrangement(ContentArrangement::Dynamic);
        table.set_width(u16::try_from(width).unwrap_or(u16::MAX));
        table.set_header(&self.headings);
        for row in &self.rows {
            table.add_row(row);
        }
        for at in &self.right {
            if let Some(column) = table.column_mut(*at) {
                column.set_cell_alignment(CellAlignment::Right);
            }
        }
        let mut text = String::new();
        for line in table.lines() {
            text.push_str(line.trim_end());
            text.push('\n');
        }
        text
    }

    fn list(&self, width: usize) -> String {
        let mut lines = Vec::new();
        for (count, row) in self.rows.iter().enumerate() {
            if count > 0 {
                lines.push(StyledText::new());
            }
            for (heading, cell) in self.headings.iter().zip(row).filter(|(_, cell)| !cell.is_empty()) {
                lines.push(StyledText::plain(heading).and(Role::Plain, ": ").and(Role::Plain, cell));
            }
        }
        paint(&lines, width, false)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::paint::columns;

    fn sample() -> Table {
        let mut table = Table::new(&["fuse", "current", "what it feeds"]).right(&[1]);
        table.row(["F12", "411 mA", "audio unit, clock, hands-free module, tailgate lamp, towing socket"]);
        table.row(["F3\u{1b}[2J", "1 mA", ""]);
        table
    }

    #[test]
    fn a_table_fits_its_width_and_carries_no_control_character() {
        for width in [40, 59, 60, 80, 120] {
            let text = sample().render(width);
            assert!(text.chars().all(|c| c == '\n' || !c.is_control()));
            assert!(text.lines().all(|line| columns(line) <= width), "{width}\n{text}");
        }
    }

    #[test]
    fn below_sixty_columns_it_is_a_list() {
        assert!(sample().render(59).starts_with("fuse: F12\ncurrent: 411 mA\n"));
        assert!(sample().render(60).contains("fuse"), "{}", sample().render(60));
    }
}
