//! The truth for the reveal at the end of a practice hunt and for scoring, named as the contract names branches.
//! Leaves to others: drawing it (`fault`), holding it against what was found (`cli`, scoring).

use super::fault::SimCause;
use super::wiring::Wiring;
use crate::base::quantity::Ampere;
use crate::base::quantity::show::bare;
use crate::base::styled::{Role, StyledText};
use crate::circuit::id::FeedId;
use crate::circuit::map::Map;

/// What the ranking calls a load that the map does not know.
const UNLISTED: &str = "unlisted load";
/// How a device is told of that somebody left plugged in.
const DEVICE: &str = "device in a socket";

/// What a vehicle really has.
#[derive(Debug, Clone, PartialEq)]
pub struct Truth {
    /// The causes; none if nothing is wrong.
    pub causes: Vec<TrueCause>,
    /// Odd things about this vehicle that may have misled, in words.
    pub oddities: Vec<String>,
    /// Settled total of the vehicle without its faults.
    pub sound_total: Ampere,
    /// What drew besides as it was found, and ended for good once the vehicle was touched.
    pub gone: Option<(String, Ampere)>,
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

    /// Tells the truth in words.
    pub fn tell(&self) -> Vec<StyledText> {
        let mut lines = vec![StyledText::of(Role::Heading, "What was really wrong")];
        if self.causes.is_empty() {
            lines.push(
                StyledText::plain("Nothing: this vehicle is sound. It draws ")
                    .and(Role::Value, bare(self.sound_total, 3)),
            );
        }
        lines.extend(self.causes.iter().map(TrueCause::tell));
        if self.causes.iter().any(|cause| cause.hung) {
            let text = "It is a hung module: taking its supply away cures it for the time being.";
            lines.push(StyledText::of(Role::Hint, text));
        }
        if let Some((load, current)) = &self.gone {
            lines.push(
                StyledText::plain("As found, ")
                    .and(Role::Name, load)
                    .and(Role::Plain, " hung and drew ")
                    .and(Role::Value, bare(*current, 3))
                    .and(Role::Plain, "; a touch ended it"),
            );
        }
        lines.extend(self.oddities.iter().map(|text| StyledText::of(Role::Hint, text)));
        lines
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

impl TrueCause {
    fn tell(&self) -> StyledText {
        let excess = bare(self.excess, 3);
        if self.held {
            return StyledText::plain("The input ")
                .and(Role::Name, &self.load)
                .and(Role::Plain, " kept the wake group ")
                .and(Role::Name, &self.branch)
                .and(Role::Plain, " awake: ")
                .and(Role::Plain, self.held_loads.join(", "))
                .and(Role::Plain, ", together ")
                .and(Role::Value, excess)
                .and(Role::Plain, " too much");
        }
        let line = match self.branch.strip_suffix(":unlisted") {
            Some("battery") => StyledText::plain("Something unlisted at the battery post"),
            Some(feed) => StyledText::plain("Something unlisted behind ").and(Role::Name, feed),
            None if self.load == self.branch => StyledText::of(Role::Name, &self.load),
            None if self.load == UNLISTED => {
                StyledText::plain("An unlisted load on ").and(Role::Name, &self.branch)
            }
            None => {
                StyledText::of(Role::Name, &self.load).and(Role::Plain, " on ").and(Role::Name, &self.branch)
            }
        };
        let line = line.and(Role::Plain, " drew ").and(Role::Value, excess).and(Role::Plain, " too much");
        if self.also.is_empty() {
            line
        } else {
            line.and(Role::Plain, "; it is fed by ")
                .and(Role::Name, self.also.join(", "))
                .and(Role::Plain, " too")
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
fn oddities(map: &Map, wiring: &Wiring, causes: &[SimCause]) -> Vec<String> {
    let id = |feed: FeedId| map.feed_name(feed);
    let mut out = Vec::new();
    for cause in causes {
        let feeds: Vec<FeedId> = match cause {
            SimCause::Load { load, .. } => {
                let Some(load) = wiring.loads.get(*load) else { continue };
                if let (Some(listed), Some((real, _))) = (load.listed_on, load.feeds.first())
                    && listed != *real
                {
                    out.push(format!("The lid lists {} on {}: it is wrong.", load.name, id(listed)));
                }
                load.feeds.iter().map(|(feed, _)| *feed).collect()
            }
            SimCause::Feed { feed, .. } => vec![*feed],
            _ => Vec::new(),
        };
        for feed in feeds.into_iter().filter(|feed| wiring.fuses.get(*feed).is_some_and(|fuse| fuse.odd)) {
            out.push(format!("The fuse {} is of an odd make: its drop misleads.", id(feed)));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::fault::FaultPlan;
    use super::super::sample::map;
    use super::super::vehicle::Vehicle;
    use super::*;

    fn text(truth: &Truth) -> String {
        truth.tell().iter().map(StyledText::text).collect::<Vec<String>>().join("\n")
    }

    #[test]
    fn the_truth_is_told_with_place_and_size() {
        for seed in 0..100 {
            let truth = Vehicle::new(&map(), seed).truth();
            let told = text(&truth);
            let cause = truth.causes.first().expect("a cause");
            let place = cause.branch.split(':').next().expect("a first part");
            let load = if cause.load == UNLISTED { "unlisted" } else { &cause.load };
            for word in [place, load, &bare(cause.excess, 3)] {
                assert!(told.contains(word), "{word} is not in: {told}");
            }
            assert!(cause.held_loads.iter().all(|load| told.contains(load)));
            assert_eq!(cause.held, truth.names() == ["body-bus"]);
        }
    }

    #[test]
    fn either_feed_of_a_twice_fed_load_is_right() {
        let mut truth = Vehicle::new(&map(), 1).truth();
        truth.causes[0].branch = "F6".into();
        truth.causes[0].also = vec!["F7".into()];
        assert!(truth.is_cause("F6") && truth.is_cause("F7") && !truth.is_cause("F5"));
        assert_eq!(truth.names(), ["F6"]);
    }

    #[test]
    fn a_sound_vehicle_is_told_as_sound() {
        let truth = Vehicle::planned(&map(), 1, FaultPlan::Nothing).truth();
        assert!(text(&truth).contains("this vehicle is sound"));
        assert!(truth.names().is_empty());
    }
}
