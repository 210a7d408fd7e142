//! The end of a hunt in words: what goes back, what was found, what to charge.

use super::wording::wordings;
use crate::base::quantity::AmpereHour;
use crate::base::quantity::show::bare;
use crate::base::styled::{Role, StyledText};
use crate::battery::chemistry::Chemistry;

wordings! {
    HandoverBack, "Which are back?",
        "all, or their numbers: 1 3. What is not back stays on the list. skip REASON leaves it open, and the record says not proven.";
    HandoverVehicle, "For the record: plate, VIN, order, technician?",
        "All on one line: plate=AB 12 vin=… odometer=… order=… technician=… battery=… part=… time=… Leave out what you like, Enter leaves out all. Later: add LOG vehicle …";
    HandoverDone, "Is everything back in its place?",
        "Latches, covers, fuses, plugs, charger and panel as they were. Clock, windows, steering and radio code set. The record keeps the answer.";
}

/// The repair is proven.
pub const PROVEN: &str = "repaired and proven";
/// It is not.
pub const NOT_PROVEN: &str = "not proven";
/// It went with a pull and did not come back.
pub const CURED: &str = "gone since a fuse was pulled, not repaired: it may come back";
/// Nothing is to be repaired.
pub const USED: &str = "no drain to find: how it is used takes more than driving puts back";
/// It was, and what was agreed on helped.
pub const KEPT: &str = "used too little before; as it is used now it stays charged, proven";
/// There was nothing to find.
pub const WITHIN_LIMIT: &str = "the settled draw is within its limit";

/// What must be back before the vehicle moves.
pub const BEFORE_IT_MOVES: &str = "Caution: free tripped latches before you shut a lid. Brake, steering, fuel and airbag fuses are back before it moves.";
/// Names what goes back, each with its number.
pub fn to_put_back(names: &[&str]) -> StyledText {
    let mut line = StyledText::plain("Put back:");
    for (index, name) in names.iter().enumerate() {
        line = line.and(Role::Plain, format!(" {} ", index + 1)).and(Role::Name, name);
        line = line.and(Role::Plain, if index + 1 < names.len() { "," } else { "" });
    }
    line
}

/// No number was typed.
pub const WHICH: &str = "Type all, or the numbers of what is back.";
/// Something else than yes.
pub const TYPE_YES: &str = "Type yes when that's done, or skip REASON.";

/// Says that a word is no number of the list.
pub fn no_number(word: &str) -> String {
    format!("\"{word}\" is none of the numbers; type all, or such as 1 3.")
}

/// When it stands so long: as it was found.
pub const FROM_FULL: &str = " from full";
/// After an average draw.
pub const AVERAGE_FROM_FULL: &str = " on average, from full,";
/// When it stands so long: once it is repaired.
pub const REPAIRED_FROM_FULL: &str = " after the repair, from full,";

/// Says what to charge, and how; without an amount where it is not known or hardly any.
pub fn recharge(kind: Option<Chemistry>, missing: Option<AmpereHour>) -> StyledText {
    let how = match kind {
        Some(kind) if !kind.has_acid() => "with a charger for lithium iron phosphate, above 0 °C only",
        Some(kind) => match kind.name() {
            "agm" | "gel" => "with a charger set for its type",
            _ => "with a charger",
        },
        None => "with a charger",
    };
    let Some(missing) = missing else {
        return StyledText::plain(format!("Charge the battery fully {how}. The hunt has drawn on it."));
    };
    StyledText::plain(format!("Charge the battery fully {how}; about "))
        .and(Role::Value, bare(missing, 2))
        .and(Role::Plain, " are missing.")
}
