//! What is doubtful about a reading, each in one sentence that asks for something.
//! Leaves to others: finding it (`measure/doubt`).

use crate::base::quantity::show::bare;
use crate::measure::doubt::Doubt;

/// Says what is doubtful.
pub fn doubt(doubt: &Doubt) -> String {
    match doubt {
        Doubt::OverTotal { at, current, total } => format!(
            "{at} shows {}, more than the total of {}: clamp the right cable the right way round, or read the total again",
            bare(*current, 3),
            bare(*total, 3)
        ),
        Doubt::Rose { before, after } => format!(
            "the total rose from {} to {}: something woke; wait until it sleeps and read again",
            bare(*before, 3),
            bare(*after, 3)
        ),
        Doubt::Large(current) => format!(
            "{} is more than a parked vehicle draws: is the unit right, is everything off?",
            bare(*current, 3)
        ),
        Doubt::DropOverTotal { feed, drop, current, total, needed, cold } => format!(
            "{drop} on {feed} means {}, more than the total of {}; for the total to be right the fuse would need {:.0} mΩ and not {:.1}: is the unit right, are the probes on the fuse's own points, has the total changed?",
            bare(*current, 3),
            bare(*total, 3),
            needed.milli(),
            cold.milli()
        ),
        Doubt::DropLarge { feed, drop, current } => {
            format!("{drop} on {feed} means {}: is the unit right?", bare(*current, 3))
        }
        Doubt::Negative(feed) => format!(
            "{feed} reads negative beyond the meter's offset: probes the wrong way round, or a source behind it?"
        ),
        Doubt::SmallStep(feed) => {
            format!("the step on {feed} is too small to tell from nothing: use a load of an ampere or more")
        }
    }
}
