//! Draws a night: the curve over the hours, with its rest, its average and the limit.
//! Leaves to others: what is drawn (`night`), bars (`svg`).

use std::fmt::Write;

use super::blocks::NightCurve;
use super::draw::{WIDTH, open, words};
use crate::text::page;

/// Height of the drawing without its legend, and of the legend.
const NIGHT: f64 = 150.0;
const LEGEND: f64 = 18.0;
/// Space left of the curve for its scale, and below it for the hours.
const LEFT: f64 = 52.0;
const BELOW: f64 = 22.0;
/// Lowest height that is seen: half a point on paper.
const SEEN: f64 = 1.2;
/// Closest that two figures of the scale may stand.
const APART: f64 = 12.0;

/// Where hours and milliamperes lie in the drawing.
struct NightScale {
    hours: f64,
    most: f64,
}

impl NightScale {
    /// The scale is that of what comes from the rest on: what was higher before is cut off.
    fn of(curve: &NightCurve) -> Self {
        let wakes = curve.wakes.iter().map(|wake| wake.2);
        let spread = curve.spread.iter().filter(|part| part.0 >= curve.rests_after).map(|part| part.2);
        let lines = [Some(curve.level * 1.3), curve.average, curve.limit.map(|limit| limit * 1.1), Some(1.0)];
        let most = wakes.chain(spread).chain(lines.into_iter().flatten()).fold(0.0, f64::max);
        Self { hours: curve.hours.max(1e-9), most }
    }

    fn x(&self, hour: f64) -> f64 {
        LEFT + (WIDTH - LEFT - 4.0) * (hour / self.hours).clamp(0.0, 1.0)
    }

    fn y(&self, ma: f64) -> f64 {
        8.0 + (NIGHT - BELOW - 12.0) * (1.0 - (ma / self.most).clamp(0.0, 1.0))
    }
}

/// Returns the drawing.
pub(super) fn night(caption: &str, curve: &NightCurve) -> String {
    let scale = NightScale::of(curve);
    let mut out = String::new();
    open(&mut out, NIGHT + LEGEND, &page::described(caption, std::slice::from_ref(&curve.shown)));
    let ground = scale.y(0.0);
    let _ =
        write!(out, "<path d=\"M{LEFT} {:.1}V{ground:.1}H{WIDTH}\" class=\"axis\"/>", scale.y(scale.most));
    figures(&mut out, curve, &scale);
    if curve.spread.is_empty() {
        let _ = write!(out, "<path d=\"{}\" class=\"curve\"/>", wakes(curve, &scale));
    } else {
        let _ = write!(out, "<path d=\"{}\" class=\"band\"/>", spread(curve, &scale));
    }
    legend(&mut out, curve, &scale);
    for (share, (class, mark)) in
        [0.0, 0.5, 1.0].into_iter().zip(["label", "label middle", "label end"].into_iter().zip(&curve.marks))
    {
        words(&mut out, scale.x(curve.hours * share), NIGHT - 6.0, class, mark);
    }
    out.push_str("</svg>");
    out
}

/// The figures of the scale: the highest, then the rest where there is room for it.
fn figures(out: &mut String, curve: &NightCurve, scale: &NightScale) {
    let mut last = f64::NEG_INFINITY;
    for ma in [scale.most, curve.level] {
        let y = scale.y(ma) + 4.0;
        if (y - last).abs() >= APART {
            words(out, LEFT - 4.0, y, "label end", &format!("{ma:.0} mA"));
            last = y;
        }
    }
}

/// Each part of the time as a box from its lowest to its highest sample.
fn spread(curve: &NightCurve, scale: &NightScale) -> String {
    let mut path = String::new();
    let nearest = curve.spread.windows(2).filter_map(|pair| Some(pair.last()?.0 - pair.first()?.0));
    let wide = nearest.fold(f64::INFINITY, f64::min).min(curve.hours);
    for (begin, low, high) in &curve.spread {
        let (left, right) = (scale.x(*begin), scale.x(begin + wide));
        let (top, foot) = (scale.y(*high), scale.y(*low));
        let height = (foot - top).max(SEEN);
        let _ = write!(path, "M{left:.1} {top:.1}H{right:.1}v{height:.1}H{left:.1}z");
    }
    path
}

/// The rest with its wake-ups, where the log keeps no curve.
fn wakes(curve: &NightCurve, scale: &NightScale) -> String {
    let rest = scale.y(curve.level);
    let mut path = format!("M{:.1} {rest:.1}", scale.x(curve.rests_after));
    for (begin, end, peak) in &curve.wakes {
        // A wake-up of seconds is still seen in a night of hours.
        let (left, right) = (scale.x(*begin), scale.x(*end).max(scale.x(*begin) + 0.7));
        let _ = write!(path, "H{left:.1}V{:.1}H{right:.1}V{rest:.1}", scale.y(*peak));
    }
    let _ = write!(path, "H{:.1}", scale.x(curve.hours));
    path
}

/// The lines of limit and average, told apart by their dashes, with what they are below the hours.
fn legend(out: &mut String, curve: &NightCurve, scale: &NightScale) {
    let lines = [("limit", page::LIMIT, curve.limit), ("average", page::AVERAGE, curve.average)];
    let mut x = LEFT;
    for (class, name, ma) in lines {
        let Some(ma) = ma else { continue };
        let (y, foot) = (scale.y(ma), NIGHT + LEGEND - 6.0);
        let _ = write!(out, "<path d=\"M{LEFT} {y:.1}H{WIDTH}M{x:.1} {foot:.1}h22\" class=\"{class}\"/>");
        words(out, x + 26.0, foot + 4.0, "label", &format!("{name} {ma:.0} mA"));
        x += 140.0;
    }
}
