//! Draws the figures as SVG within the page: narrow enough for a phone at full size, colours by class so that dark and
//! light are the page's affair. No script, no style attribute, no address.
//! Leaves to others: what is drawn (`figures`), escaping (`html`).

use std::fmt::Write;

use qrcode::types::Color;
use qrcode::{EcLevel, QrCode};

use super::blocks::{BarTone, Drawing, FigureBar, PageFigure};
use super::draw::{WIDTH, open, words};
use super::escape::escape;
use super::night_svg;
use super::source::shortened;
use crate::text::page::described;

/// Height of a bar with its words.
const ROW: f64 = 34.0;

/// Returns a figure.
pub fn figure(figure: &PageFigure) -> String {
    match &figure.drawing {
        Drawing::Bars { bars, limit } => bars_of(figure.caption, bars, limit.as_ref()),
        Drawing::Night(curve) => night_svg::night(figure.caption, curve),
    }
}

fn tone(tone: BarTone) -> &'static str {
    match tone {
        BarTone::Plain => "bar",
        BarTone::Blame => "bar blame",
        BarTone::Good => "bar good",
        BarTone::Open => "bar open",
    }
}

/// Longest label of a bar and longest words of its figure, in characters: both fit on one line.
const LABEL: usize = 20;
const SHOWN: usize = 34;

fn bars_of(caption: &str, bars: &[FigureBar], limit: Option<&(f64, String)>) -> String {
    let ends = bars
        .iter()
        .flat_map(|bar| [bar.value, bar.interval.map_or(0.0, |(_, high)| high), bar.before.unwrap_or(0.0)]);
    let most = ends.chain(limit.map(|limit| limit.0)).filter(|end| end.is_finite()).fold(0.0, f64::max);
    let scale = if most > 0.0 { (WIDTH - 4.0) / most } else { 0.0 };
    let at = |value: f64| (value.max(0.0) * scale).min(WIDTH - 2.0);
    let told: Vec<String> = bars.iter().map(|bar| format!("{} {}", bar.label, bar.shown)).collect();
    // Bars are few, far below 2^53.
    let rows = ROW * bars.len() as f64;
    let height = rows + if limit.is_some() { 18.0 } else { 4.0 };
    let mut out = String::new();
    open(&mut out, height, &described(caption, &told));
    for (number, bar) in bars.iter().enumerate() {
        let top = ROW * number as f64;
        words(&mut out, 0.0, top + 12.0, "label", &shortened(&bar.label, LABEL));
        words(&mut out, WIDTH, top + 12.0, "label end", &shortened(&bar.shown, SHOWN));
        let _ = write!(
            out,
            "<rect x=\"0\" y=\"{:.1}\" width=\"{WIDTH}\" height=\"9\" class=\"track\"/>",
            top + 17.0
        );
        let _ = write!(
            out,
            "<rect x=\"0\" y=\"{:.1}\" width=\"{:.1}\" height=\"9\" class=\"{}\"/>",
            top + 17.0,
            at(bar.value).max(1.0),
            tone(bar.tone)
        );
        if let Some((low, high)) = bar.interval {
            let (low, high, y) = (at(low), at(high), top + 21.5);
            let _ = write!(
                out,
                "<path d=\"M{low:.1} {y:.1}H{high:.1}M{low:.1} {:.1}v6M{high:.1} {:.1}v6\" class=\"whisker\"/>",
                y - 3.0,
                y - 3.0
            );
        }
        if let Some(before) = bar.before {
            let _ = write!(
                out,
                "<rect x=\"0\" y=\"{:.1}\" width=\"{:.1}\" height=\"3\" class=\"before\"/>",
                top + 28.0,
                at(before).max(1.0)
            );
        }
    }
    if let Some((value, told)) = limit {
        let x = at(*value);
        let _ = write!(out, "<path d=\"M{x:.1} 14V{rows:.1}\" class=\"limit\"/>");
        let (anchor, x) = if x > WIDTH / 2.0 { ("label end", x) } else { ("label", x) };
        words(&mut out, x, rows + 13.0, anchor, told);
    }
    out.push_str("</svg>");
    out
}

/// Modules of quiet space around a code, as its standard asks.
const QUIET: usize = 4;

/// Returns a text as a QR code, dark on light whatever the page's colours; empty if it is too long for one.
pub fn code(text: &str) -> String {
    let Ok(code) = QrCode::with_error_correction_level(text, EcLevel::M) else { return String::new() };
    let side = code.width();
    let whole = side + 2 * QUIET;
    let mut path = String::new();
    for (at, colour) in code.to_colors().into_iter().enumerate() {
        if colour == Color::Dark {
            let _ = write!(path, "M{} {}h1v1h-1z", at % side + QUIET, at / side + QUIET);
        }
    }
    format!(
        "<svg viewBox=\"0 0 {whole} {whole}\" class=\"code\" role=\"img\" aria-label=\"{}\"><rect width=\"{whole}\" height=\"{whole}\" class=\"paper\"/><path d=\"{path}\" class=\"ink\"/></svg>",
        escape(text)
    )
}
