//! What columns logged beside the total show: how much each carries of what rises, and which rises first.
//! Leaves to others: finding it (`trace/channel`, `trace/clocks`).

use super::settle::span;
use crate::base::quantity::Unit as _;
use crate::base::styled::{Role, StyledText};
use crate::trace::channel::ChannelFound;
use crate::trace::clocks::ClockOffset;

/// How a column is named.
pub const FORM: &str = "NAME=COLUMN or NAME=COLUMN,UNIT, such as F12=3,mV";

/// Two logs that show too little in common.
pub const NOT_LAID: &str =
    "too few changes of it fall on changes of the first log: the two clocks can't be laid together";

/// What to do about it.
pub const NOT_LAID_REMEDY: &str =
    "log both meters on one clock, or switch something on and off three times while both log";

/// Says what each column carries, and which rises first.
pub fn lines(all: &[ChannelFound], offset: Option<&ClockOffset>) -> Vec<StyledText> {
    let mut lines: Vec<StyledText> = offset.map(laid).into_iter().collect();
    lines.extend(all.iter().map(|one| channel(one, all.len() > 1)));
    lines
}

fn laid(offset: &ClockOffset) -> StyledText {
    let (begins, u) = (offset.begins.base() * 60.0, offset.u.base() * 120.0);
    StyledText::of(
        Role::Hint,
        format!(
            "The second log begins {begins:.1} s (± {u:.1}) after the first, by {} changes that both show.",
            offset.changes
        ),
    )
}

fn channel(found: &ChannelFound, among: bool) -> StyledText {
    let one = &found.share;
    let percent = (one.share * 100.0).clamp(0.0, 100.0);
    let line = StyledText::plain("")
        .and(Role::Name, &one.name)
        .and(Role::Plain, " carries ")
        .and(Role::Value, format!("{percent:.0} %"))
        .and(Role::Plain, " of what rises");
    if one.with == 0 {
        return line.and(Role::Plain, ".");
    }
    let lead = one.lead.map(|lead| format!(", by {}", span(lead))).unwrap_or_default();
    let told = match (one.first, one.unclear) {
        (first, _) if first > 0 => format!("; first to rise {first} of {} times{lead}.", one.with),
        (_, unclear) if unclear > 0 && among => "; the samples can't tell which rises first.".to_owned(),
        _ => "; something else rises first.".to_owned(),
    };
    line.and(Role::Plain, told)
}
