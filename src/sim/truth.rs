//! The truth for the reveal at the end of a practice hunt and for scoring, named as the contract names branches.
//! Leaves to others: drawing it (`fault`), holding it against what was found (`cli`, scoring).

use super::fault::SimCause;
use super::wiring::Wiring;
use crate::base::quantity::Ampere;
use crate::circuit::id::FeedId;
use crate::circuit::map::Map;

/// What the ranking calls a load that the map does not know.
pub const UNLISTED: &str = "unlisted load";
/// How a device is told of that somebody left plugged in.
const DEVICE: &str = "device in a socket";

/// What a vehicle really has.
#[derive(Debug, Clone, PartialEq)]
pub struct Truth {
    /// The causes; none if nothing is wrong.
    pub causes: Vec<TrueCause>,
    /// Odd things about this vehicle that may have misled.
    pub oddities: Vec<Oddity>,
    /// Settled total of the vehicle without its faults.
    pub sound_total: Ampere,
    /// What drew besides as it was found, and ended for good once the vehicle was touched.
    pub gone: Option<(String, Ampere)>,
}

/// What may have misled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Oddity {
    /// The lid lists a load on this fuse, and it is on another.
    Lid {
        /// The load.
        load: String,
        /// The fuse.
        feed: String,
    },
    /// This fuse is of an odd make.
    Make(String),
}

/// One cause, told.
#[derive(Debug, Clone, PartialEq)]
pub struct TrueCause {
    /// Branch: a feed, `FEED:unlisted`, an unfused item, `battery:unlisted`, or a wake group.
    pub branch: String,
    /// Other feeds that supply the same load.
    pub also: Vec<String>,
    /// What draws: a load as the lid names it, an unfused item, `unlisted load`; for a group, its input.
    pub load: String,
    /// True if the map does not know what draws.
    pub unlisted: bool,
    /// True if the branch is a wake group.
    pub held: bool,
    /// Loads that are held awake; empty unless the branch is a wake group.
    pub held_loads: Vec<String>,
    /// What it draws too much.
    pub excess: Ampere,
    /// True if taking its supply away cures it, so that it may be gone after a pull.
    pub hung: bool,
}

impl Truth {
    /// Names the causes as the ranking names branches and groups.
    pub fn names(&self) -> Vec<String> {
        self.causes.iter().map(|cause| cause.branch.clone()).collect()
    }

    /// Returns true if a branch or group is a cause; either feed of a twice-fed load will do.
    pub fn is_cause(&self, branch: &str) -> bool {
        self.causes.iter().any(|cause| cause.branch == branch || cause.also.iter().any(|feed| feed == branch))
    }

    pub(super) fn new(
        map: &Map,
        wiring: &Wiring,
        causes: &[SimCause],
        gone: Option<(String, Ampere)>,
    ) -> Self {
        Self {
            causes: causes.iter().map(|cause| told(map, wiring, cause)).collect(),
            oddities: oddities(map, wiring, causes),
            sound_total: wiring.sound_total(),
            gone,
        }
    }
}

fn told(map: &Map, wiring: &Wiring, cause: &SimCause) -> TrueCause {
    let id = |feed: &FeedId| map.feed_name(*feed).to_owned();
    let name = |load: &usize| wiring.loads.get(*load).map(|load| load.name.clone()).unwrap_or_default();
    let plain = |branch: String, load: String, excess: Ampere| TrueCause {
        branch,
        also: Vec::new(),
        unlisted: load == UNLISTED,
        load,
        held: false,
        held_loads: Vec::new(),
        excess,
        hung: false,
    };
    match cause {
        SimCause::Load { load, excess, hung, .. } => {
            let mut feeds: Vec<String> =
                wiring.loads.get(*load).iter().flat_map(|l| &l.feeds).map(|(feed, _)| id(feed)).collect();
            let also = feeds.split_off(feeds.len().min(1));
            let branch = feeds.pop().unwrap_or_else(|| "battery:unlisted".into());
            TrueCause { also, hung: *hung, ..plain(branch, name(load), *excess) }
        }
        SimCause::Feed { feed, excess, device, .. } => {
            let own = map.feeds.get(*feed).is_some_and(|feed| !feed.loads.is_empty());
            let above = map.feeds.iter().any(|other| other.parent == Some(*feed));
            let branch = if above && !own { format!("{}:unlisted", id(feed)) } else { id(feed) };
            let load = if *device { DEVICE } else { UNLISTED };
            TrueCause { unlisted: true, ..plain(branch, load.into(), *excess) }
        }
        SimCause::Unfused { item, excess, .. } => {
            let name = map.unfused_name(*item).to_owned();
            plain(name.clone(), name, *excess)
        }
        SimCause::Battery { excess } => plain("battery:unlisted".into(), UNLISTED.into(), *excess),
        SimCause::Held { group, input, loads } => {
            let branch = map.wake_groups.get(*group).map(|group| group.id.clone()).unwrap_or_default();
            let asleep = |load: &usize| wiring.loads.get(*load).map_or(Ampere::ZERO, |load| load.asleep);
            let excess = loads.iter().map(|(load, level)| *level - asleep(load)).sum();
            let held_loads = loads.iter().map(|(load, _)| name(load)).collect();
            TrueCause { held: true, held_loads, ..plain(branch, input.clone(), excess) }
        }
    }
}

/// Tells what may have misled: a faulty load on another fuse than the lid says, a fuse of an odd make on its way.
fn oddities(map: &Map, wiring: &Wiring, causes: &[SimCause]) -> Vec<Oddity> {
    let id = |feed: FeedId| map.feed_name(feed).to_owned();
    let mut out = Vec::new();
    for cause in causes {
        let feeds: Vec<FeedId> = match cause {
            SimCause::Load { load, .. } => {
                let Some(load) = wiring.loads.get(*load) else { continue };
                if let (Some(listed), Some((real, _))) = (load.listed_on, load.feeds.first())
                    && listed != *real
                {
                    out.push(Oddity::Lid { load: load.name.clone(), feed: id(listed) });
                }
                load.feeds.iter().map(|(feed, _)| *feed).collect()
            }
            SimCause::Feed { feed, .. } => vec![*feed],
            _ => Vec::new(),
        };
        for feed in feeds.into_iter().filter(|feed| wiring.fuses.get(*feed).is_some_and(|fuse| fuse.odd)) {
            out.push(Oddity::Make(id(feed)));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::sample::map;
    use super::super::vehicle::Vehicle;

    #[test]
    fn either_feed_of_a_twice_fed_load_is_right() {
        let mut truth = Vehicle::new(&map(), 1).truth();
        truth.causes[0].branch = "F6".into();
        truth.causes[0].also = vec!["F7".into()];
        assert!(truth.is_cause("F6") && truth.is_cause("F7") && !truth.is_cause("F5"));
        assert_eq!(truth.names(), ["F6"]);
    }
}
