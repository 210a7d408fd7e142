//! Draws the figures as SVG within the page: narrow enough for a phone at full size, colours by class so that dark and
//! light are the page's affair. No script, no style attribute, no address.
//! Leaves to others: what is drawn (`figures`), escaping (`html`).

use std::fmt::Write;

use qrcode::types::Color;
use qrcode::{EcLevel, QrCode};

use super::blocks::{BarTone, Drawing, FigureBar, NightCurve, PageFigure};
use super::escape::escape;
use super::source::shortened;
use crate::text::page::described;

/// Width of a drawing, in its own units: those of a narrow phone.
const WIDTH: f64 = 340.0;
/// Height of a bar with its words.
const ROW: f64 = 34.0;
/// Height of a night's drawing.
const NIGHT: f64 = 150.0;

/// Returns a figure.
pub fn figure(figure: &PageFigure) -> String {
    match &figure.drawing {
        Drawing::Bars { bars, limit } => bars_of(figure.caption, bars, limit.as_ref()),
        Drawing::Night(curve) => night(figure.caption, curve),
    }
}

fn open(out: &mut String, height: f64, told: &str) {
    let told = escape(told);
    let _ = write!(out, "<svg viewBox=\"0 0 {WIDTH} {height:.0}\" role=\"img\" aria-label=\"{told}\">");
}

fn tone(tone: BarTone) -> &'static str {
    match tone {
        BarTone::Plain => "bar",
        BarTone::Blame => "bar blame",
        BarTone::Good => "bar good",
        BarTone::Open => "bar open",
    }
}

fn words(out: &mut String, x: f64, y: f64, class: &str, text: &str) {
    let _ = write!(out, "<text x=\"{x:.1}\" y=\"{y:.1}\" class=\"{class}\">{}</text>", escape(text));
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

/// Space left of a night's curve for its scale, and below it for the hours.
const LEFT: f64 = 44.0;
const BELOW: f64 = 22.0;

fn night(caption: &str, curve: &NightCurve) -> String {
    let most = curve.wakes.iter().map(|wake| wake.2).fold(curve.level * 1.3, f64::max).max(1.0);
    let x = |hour: f64| LEFT + (WIDTH - LEFT - 4.0) * (hour / curve.hours.max(1e-9)).clamp(0.0, 1.0);
    let y = |ma: f64| 8.0 + (NIGHT - BELOW - 12.0) * (1.0 - (ma / most).clamp(0.0, 1.0));
    let mut out = String::new();
    open(&mut out, NIGHT, &described(caption, std::slice::from_ref(&curve.shown)));
    let ground = y(0.0);
    let _ = write!(out, "<path d=\"M{LEFT} {:.1}V{ground:.1}H{WIDTH}\" class=\"axis\"/>", y(most));
    for ma in [curve.level, most] {
        words(&mut out, LEFT - 4.0, y(ma) + 4.0, "label end", &format!("{ma:.0} mA"));
    }
    let mut path = format!("M{:.1} {:.1}", x(curve.rests_after), y(curve.level));
    for (begin, end, peak) in &curve.wakes {
        // A wake-up of seconds is still seen in a night of hours.
        let (left, right) = (x(*begin), x(*end).max(x(*begin) + 0.7));
        let _ = write!(path, "H{left:.1}V{:.1}H{right:.1}V{:.1}", y(*peak), y(curve.level));
    }
    let _ = write!(path, "H{:.1}", x(curve.hours));
    let _ = write!(out, "<path d=\"{path}\" class=\"curve\"/>");
    for share in [0.0, 0.5, 1.0] {
        let hour = curve.hours * share;
        let class = if share == 0.0 {
            "label"
        } else if share == 1.0 {
            "label end"
        } else {
            "label middle"
        };
        words(&mut out, x(hour), NIGHT - 6.0, class, &format!("{hour:.1} h"));
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
