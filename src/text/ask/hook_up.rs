//! Connecting the meter in words.

use super::wording::wordings;
use crate::base::quantity::Ampere;
use crate::base::quantity::show::bare;
use crate::base::styled::{Role, StyledText};
use crate::text::pair::CLAMP_AT;

wordings! {
    HookUpMethod, "How is the total read?",
        "The last digit of its display tells what it can't see. A clamp needs no break in the supply. An ammeter goes in with a fused jumper across it until it carries the current, so that nothing loses its supply.",
        "clamp" => "clamp around every cable on one post; its last digit is 1 mA (0.001 A)",
        "clamp-10ma" => "the same; its last digit is 10 mA (0.01 A)",
        "series" => "ammeter in the negative cable, bridged until in place; mA range, last digit 0.01 mA",
        "series-10a" => "the same on its A range; last digit 1 mA (0.001 A)";
    HookUpClamp, "Clamp: what is its last digit?",
        "The total is read in series; a clamp on a cable has an error of its own. Look at its display with nothing in its jaws.",
        "1ma" => "1 mA (0.001 A)", "10ma" => "10 mA (0.01 A)";
    HookUpTemperature ["°C"], "Temperature at the fuse boxes",
        "A fuse at 60 °C has 13 % more resistance than at 25 °C, at -10 °C 13 % less. If you can't tell, skip it: the currents are then told less closely.";
    HookUpZero ["mV"], "Millivolt meter: leads shorted on one bare metal spot, it shows",
        "Type every digit of its display, such as 0.1 or 0.02: the last one tells what it can't see. The offset is taken off every drop; the smallest current that shows falls by about half. Use the range that you will use on the fuses.";
}

/// Says how the meter is connected.
pub fn connect() -> [StyledText; 4] {
    [
        StyledText::of(Role::Heading, "Connect the meter"),
        StyledText::plain("Clamp: zero it beside the cable, same place and direction each time; every cable on one post is inside, accessory leads too.").indented(2),
        StyledText::of(Role::Caution, "Caution: an ammeter in series: never crank, switch on or open a door with it (door locks alone draw about 20 A). Leads in the current jacks are a short across the battery posts.").indented(2),
        StyledText::plain("Switch the meter's own auto-off off. Probe tips bare 4 mm at most.").indented(2),
    ]
}

/// Says where the clamp goes on two batteries in series.
pub fn pair() -> StyledText {
    StyledText::plain(CLAMP_AT).indented(2)
}

/// Says that drops across fuses can't show the limit.
pub fn drops_too_coarse(limit: Ampere, meter: &str, floor: Ampere) -> String {
    format!(
        "Millivolts across a fuse can't show {} here: the smallest that {meter} shows on any of its fuses is {}.",
        bare(limit, 2),
        bare(floor, 2)
    )
}

/// Says that the clamp can't show the limit.
pub fn clamp_too_coarse(clamp: &str, floor: Ampere) -> String {
    format!(
        "{clamp} can't show it either (its smallest is {}): an ammeter in series in the negative cable, bridged until in place, on its mA range once the vehicle sleeps.",
        bare(floor, 2)
    )
}
