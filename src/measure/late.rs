//! Inputs whose fall comes late: one that is released starts the sleep timers of the modules that it held awake, and the
//! total falls after them, not at once. Leaves to others: the walk through the readings (`observe`).

use chrono::{DateTime, Duration, FixedOffset};

use super::event::TriedInput;
use super::observation::Panel;
use crate::base::quantity::{Ampere, Minute, Uncertain, Unit};
use crate::circuit::id::InputId;
use crate::instrument::uncertainty::DETECTION;

/// A fall below this share of the total is no release. Editorial.
const CLEAR_FALL: f64 = 0.2;
/// Modules of a map that says nothing of their sleep take so long. Editorial: most bodies are quiet in ten minutes.
const USUAL_WAIT: Minute = Minute::new(10.0);

/// What needs longer to sleep is not waited for: by then the others of its network are asleep, and that shows. Editorial.
const LONGEST_WAIT: Minute = Minute::new(30.0);

/// Returns how long the modules that an input wakes may take to sleep once it is released.
pub fn wait(input: InputId, panel: &Panel) -> Minute {
    let groups: Vec<_> = panel.same_input(input).into_iter().map(|input| input.group).collect();
    let of_it =
        panel.map.loads().filter(|(_, load)| load.wake_group.is_some_and(|group| groups.contains(&group)));
    let longest = of_it.map(|(_, load)| load.sleeps_after).fold(Minute::ZERO, Minute::max);
    let most = panel.map.sleep_after.unwrap_or(LONGEST_WAIT);
    if longest > Minute::ZERO { longest.min(most) } else { USUAL_WAIT }
}

/// Returns true if a total fell clearly, beside what it was.
pub(super) fn is_clear(fall: &Uncertain<Ampere>, before: &Uncertain<Ampere>) -> bool {
    fall.value() > (fall.u() * DETECTION).max(before.value() * CLEAR_FALL)
}

/// Returns the inputs, the one worked last at the end, after which a total that has fallen by now may have fallen.
pub(super) fn fallen_since(tried: &[TriedInput], now: DateTime<FixedOffset>, panel: &Panel) -> Vec<InputId> {
    let late = |tried: &&TriedInput| {
        !tried.is_watched && now - tried.at <= whole_minutes(wait(tried.input, panel) * 2.0)
    };
    tried.iter().filter(late).map(|tried| tried.input).collect()
}

/// A total that still stands when the modules had their time acquits the input.
pub(super) fn watch(tried: &mut [TriedInput], now: DateTime<FixedOffset>, panel: &Panel) {
    for one in tried {
        one.is_watched |= now - one.at >= whole_minutes(wait(one.input, panel));
    }
}

/// A time of whole minutes, as the clock of a log counts.
pub(super) fn whole_minutes(time: Minute) -> Duration {
    Duration::minutes(time.base().ceil() as i64)
}
