//! The pen: what every drawing of the page begins with and how words stand in it. Every text is escaped here.
//! Leaves to others: the drawings (`svg`, `night_svg`).

use std::fmt::Write;

use super::escape::escape;

/// Width of a drawing, in its own units: those of a narrow phone.
pub(super) const WIDTH: f64 = 340.0;

/// Begins a drawing; `told` is what it shows, for those who can't see it.
pub(super) fn open(out: &mut String, height: f64, told: &str) {
    let told = escape(told);
    let _ = write!(out, "<svg viewBox=\"0 0 {WIDTH} {height:.0}\" role=\"img\" aria-label=\"{told}\">");
}

/// Writes words at a place.
pub(super) fn words(out: &mut String, x: f64, y: f64, class: &str, text: &str) {
    let _ = write!(out, "<text x=\"{x:.1}\" y=\"{y:.1}\" class=\"{class}\">{}</text>", escape(text));
}
