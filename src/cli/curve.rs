//! A small curve of a current over time, in blocks or in plain characters.
//! Leaves to others: the samples.

use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Minute, Unit};

/// Rows of the curve.
const ROWS: usize = 6;

/// Widest curve, in columns.
const WIDEST: usize = 100;

/// Draws samples as rows of text no wider than `width`: for each column the highest sample of its stretch of time, so
/// that short pulses are seen. Times count from the first sample. The scale is that of what comes from `since` on: what
/// was higher before is cut off.
pub fn draw(
    samples: impl Iterator<Item = (Minute, Ampere)>,
    span: Minute,
    since: Minute,
    width: usize,
    blocks: bool,
) -> Vec<String> {
    let label = 9;
    let columns = width.saturating_sub(label + 1).clamp(10, WIDEST);
    let mut highest = vec![f64::NEG_INFINITY; columns];
    let (mut top, mut above) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
    for (time, current) in samples {
        let share = time.base() / span.base().max(f64::MIN_POSITIVE);
        // From 0 to the number of columns less one.
        let at = ((share * columns as f64) as usize).min(columns - 1);
        if let Some(highest) = highest.get_mut(at) {
            *highest = highest.max(current.base());
        }
        let seen = if time >= since { &mut top } else { &mut above };
        *seen = seen.max(current.base());
    }
    let top = if top > 0.0 { top } else { above.max(f64::MIN_POSITIVE) };
    let marks: Vec<char> = if blocks { " ▁▂▃▄▅▆▇█".chars() } else { " .:#".chars() }.collect();
    let parts = marks.len() - 1;
    let mut rows: Vec<String> = (0..ROWS)
        .map(|row| {
            let below = (ROWS - 1 - row) * parts;
            let cells = highest.iter().map(|value| {
                let filled = if value.is_finite() {
                    (value.max(0.0) / top * (ROWS * parts) as f64).ceil() as usize
                } else {
                    0
                };
                marks.get(filled.saturating_sub(below).min(parts)).copied().unwrap_or(' ')
            });
            let name = match row {
                0 => bare(Ampere::new(top), 3),
                row if row == ROWS - 1 => "0".to_owned(),
                _ => String::new(),
            };
            format!("{name:>label$} {}", cells.collect::<String>().trim_end())
        })
        .collect();
    let end = if span.base() < 120.0 {
        format!("{:.0} min", span.base())
    } else {
        format!("{:.1} h", span.base() / 60.0)
    };
    rows.push(format!("{:>label$} 0{end:>rest$}", "", rest = columns - 1));
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_pulse_is_seen_and_no_row_is_too_wide() {
        let sample = |second: u32| {
            let current = if second == 3_000 { 200.0 } else { 25.0 };
            (Minute::new(f64::from(second) / 60.0), Ampere::from_milli(current))
        };
        for (width, blocks) in [(80, true), (60, false), (20, false)] {
            let rows = draw((0..7_200).map(sample), Minute::new(120.0), Minute::ZERO, width, blocks);
            assert!(rows.iter().all(|row| row.chars().count() <= width.max(20)), "{rows:?}");
            assert!(rows[0].ends_with(if blocks { '█' } else { '#' }), "{rows:?}");
            assert!(blocks || rows.iter().all(|row| row.is_ascii()));
        }
        // The first minutes a hundred times higher: the pulse and the rest are seen all the same.
        let woken = |second: u32| if second < 600 { Ampere::new(9.0) } else { sample(second).1 };
        let samples = (0..7_200).map(|second| (sample(second).0, woken(second)));
        let rows = draw(samples, Minute::new(120.0), Minute::new(10.0), 80, true);
        assert!(rows[0].trim_start().starts_with("200 mA █"), "{rows:?}");
        assert!(
            rows[0].matches('█').count() < 9 && !rows[ROWS - 1].contains(' '.to_string().repeat(12).as_str()),
            "{rows:?}"
        );
        assert_eq!(draw([].into_iter(), Minute::ZERO, Minute::ZERO, 80, true).len(), ROWS + 1);
    }
}
