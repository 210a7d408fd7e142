//! Connecting the meter in words.

use super::wording::wordings;
use crate::base::quantity::Ampere;
use crate::base::quantity::show::bare;
use crate::base::styled::{Role, StyledText};

wordings! {
    HookUpMethod, "How do you read the total?",
        "A clamp breaks nothing. Bridge an ammeter with a fused jumper until it carries the current, so that nothing loses its supply.",
        "clamp" => "around every cable on one post", "series" => "ammeter in the negative cable";
    HookUpTemperature ["°C"], "Temperature at the fuse boxes",
        "A hot fuse has more resistance: 13 % more at 60 °C than at 25 °C. Skip it if you can't tell: the currents are then less exact.";
    HookUpZero ["mV"], "Leads shorted the meter shows, and °C at the fuses",
        "Hold both probe tips on one bare spot, on the range you will use. Behind it the temperature at the fuse boxes: 0.1mV 15C. The offset comes off every fuse reading. Type series if an ammeter in the cable reads the total.";
}

/// Says how the meter is connected.
pub fn connect() -> [StyledText; 3] {
    [
        StyledText::of(Role::Heading, "Connect the meter, auto-off off"),
        StyledText::plain("- Clamp: zero it beside the cable; every cable on one post inside.").indented(2),
        StyledText::of(Role::Caution, "- Caution: with an ammeter in series never crank or open a door. Leads in its current jacks short a battery.").indented(2),
    ]
}

/// Says that drops across fuses can't show the limit.
pub fn drops_too_coarse(limit: Ampere, meter: &str, floor: Ampere) -> String {
    format!(
        "Millivolts across a fuse can't show {} here: {meter} shows {} or more.",
        bare(limit, 2),
        bare(floor, 2)
    )
}

/// Says that the clamp can't show the limit.
pub fn clamp_too_coarse(clamp: &str, floor: Ampere) -> String {
    format!(
        "{clamp} shows {} or more. Better: an ammeter in the negative cable, bridged until in place.",
        bare(floor, 2)
    )
}
