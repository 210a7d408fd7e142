//! Connecting the meter in words.

use super::wording::wordings;
use crate::base::quantity::Ampere;
use crate::base::quantity::show::bare;
use crate::base::styled::{Role, StyledText};
use crate::text::pair::CLAMP_AT;

wordings! {
    HookUpMethod, "Total read with?",
        "A clamp breaks nothing. Bridge an ammeter with a fused jumper until it carries the current, so that nothing loses its supply. The last digit of the display is the least it can show.",
        "clamp" => "last digit 1 mA (0.001 A)", "clamp-10ma" => "last digit 10 mA (0.01 A)",
        "series" => "ammeter in the negative cable, mA range", "series-10a" => "the same, A range";
    HookUpClamp, "Clamp: what is its last digit?",
        "The total is read in series. A clamp on a cable has an error of its own. Look at its display with nothing in its jaws.",
        "1ma" => "0.001 A", "10ma" => "0.01 A";
    HookUpTemperature ["°C"], "Temperature at the fuse boxes",
        "Skip it if you can't tell: the currents are then less exact.";
    HookUpZero ["mV"], "Leads shorted: mV, and °C at fuses",
        "Type every digit, such as 0.1 or 0.02, and behind it the temperature at the fuse boxes: 0.1mV 15C.";
}

/// Says how the meter is connected.
pub fn connect() -> [StyledText; 3] {
    [
        StyledText::of(Role::Heading, "Meter on, auto-off off"),
        StyledText::plain("- Clamp: zero it beside the cable, every cable of one post inside.").indented(2),
        StyledText::of(Role::Caution, "- Caution: with an ammeter in series never crank or open a door. Leads in its current jacks short a battery.").indented(2),
    ]
}

/// Says where the clamp goes on two batteries in series.
pub fn pair() -> StyledText {
    StyledText::plain(CLAMP_AT).indented(2)
}

/// Says that drops across fuses can't show the limit.
pub fn drops_too_coarse(limit: Ampere, meter: &str, floor: Ampere) -> String {
    format!("Across a fuse {meter} can't show {}: {} or more.", bare(limit, 2), bare(floor, 2))
}

/// Says that the clamp can't show the limit.
pub fn clamp_too_coarse(clamp: &str, floor: Ampere) -> String {
    format!(
        "{clamp}: {} or more. Better an ammeter in the negative cable, bridged until in place.",
        bare(floor, 2)
    )
}
