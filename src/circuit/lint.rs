//! Doubts about a map that is sound in form: ratings that cannot belong together, empty boxes, wake groups without
//! loads, figures that contradict each other. Leaves to others: diagnostics (`parse`, `resolve`).

use super::id::LoadId;
use super::map::Map;
use super::resolve::feed_way;
use super::schema::MapSchema;
use super::spotted::{KeyPath, SpottedKey, item, key, spot};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Unit};
use crate::base::styled::clean;
use crate::base::yaml::PathStep;

/// Fuses below a link may together be rated this many times the link before it is called absurd: editorial. Real
/// boxes reach four to six times, since not all loads run at once.
const ABSURD: f64 = 8.0;

/// Adds the doubts.
pub(super) fn warn(map: &Map, written: &MapSchema, doubts: &mut SpottedKey) {
    ratings(map, doubts);
    boxes(map, doubts);
    wake_groups(map, doubts);
    loads(map, doubts);
    if written.limit_source.is_some() && written.limit_ma.is_none() {
        let fault = Diagnostic::new("limit_source stands without limit_ma, so it is not used");
        spot(doubts, &top("limit_source"), fault);
    }
}

fn top(name: &str) -> KeyPath {
    vec![PathStep::Key(name.to_owned())]
}

fn ratings(map: &Map, doubts: &mut SpottedKey) {
    let mut below = map.feeds.map_ids(|_| (Ampere::ZERO, 0_usize));
    for (index, feed) in map.feeds.iter_ids() {
        let Some(parent_index) = feed.parent else { continue };
        let Some(parent) = map.feeds.get(parent_index) else { continue };
        if feed.fuse.rating > parent.fuse.rating {
            let doubt = Diagnostic::new(format!(
                "{} ({} A) hangs below {} ({} A), which would blow first",
                clean(&feed.id),
                feed.fuse.rating.base(),
                clean(&parent.id),
                parent.fuse.rating.base()
            ));
            let way = key(&key(&feed_way(index), "fuse"), "rating_a");
            spot(doubts, &way, doubt.remedy("check rating_a and from"));
        }
        if let Some((sum, count)) = below.get_mut(parent_index) {
            *sum = *sum + feed.fuse.rating;
            *count += 1;
        }
    }
    for (index, (feed, (sum, count))) in map.feeds.iter().zip(&below).enumerate() {
        if *sum > feed.fuse.rating * ABSURD {
            let doubt = Diagnostic::new(format!(
                "the {count} fuses below {} add up to {} A, over {ABSURD} times its {} A",
                clean(&feed.id),
                sum.base(),
                feed.fuse.rating.base()
            ));
            let way = key(&key(&feed_way(index), "fuse"), "rating_a");
            spot(doubts, &way, doubt.remedy("check its rating, or whether some hang elsewhere"));
        }
        let asleep: Ampere = feed.loads.iter().map(|load| load.asleep).sum();
        if asleep > feed.fuse.rating {
            let id = clean(&feed.id);
            let doubt = Diagnostic::new(format!("the loads on {id} draw more asleep than its rating"));
            spot(doubts, &feed_way(index), doubt.remedy("are the figures in mA?"));
        }
    }
}

fn boxes(map: &Map, doubts: &mut SpottedKey) {
    for (index, fuse_box) in map.boxes.iter_ids() {
        if !map.feeds.iter().any(|feed| feed.place == Some(index)) {
            let fault = Diagnostic::new(format!("the box {} is empty", clean(&fuse_box.id)));
            spot(doubts, &key(&top("boxes"), &fuse_box.id), fault.remedy("no feed names it"));
        }
    }
}

fn wake_groups(map: &Map, doubts: &mut SpottedKey) {
    for (index, group) in map.wake_groups.iter_ids() {
        let way = key(&top("wake_groups"), &group.id);
        let mut loads = map.feeds.iter().flat_map(|feed| &feed.loads);
        if !loads.any(|load| load.wake_group == Some(index)) {
            spot(doubts, &way, Diagnostic::new(format!("no load is on the wake group {}", clean(&group.id))));
        }
        if group.inputs.is_empty() {
            let id = clean(&group.id);
            let doubt = Diagnostic::new(format!("the wake group {id} has no inputs, so none can be tested"));
            spot(doubts, &way, doubt);
        }
    }
}

fn loads(map: &Map, doubts: &mut SpottedKey) {
    for (LoadId { feed, at }, load) in map.loads() {
        let way = item(&key(&feed_way(feed), "loads"), at);
        let name = clean(&load.name);
        if load.awake < load.asleep {
            let doubt = Diagnostic::new(format!("{name} draws less awake than asleep"));
            spot(doubts, &key(&way, "awake_ma"), doubt.remedy("are they swapped?"));
        }
        if map.sleep_after.is_some_and(|longest| load.sleeps_after > longest) {
            let doubt = Diagnostic::new(format!(
                "{name} falls asleep later than sleep_after_min of the whole vehicle"
            ));
            spot(doubts, &key(&way, "sleeps_after_min"), doubt);
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::circuit::check::check;

    fn warnings(text: &str) -> Vec<String> {
        let (_, warnings) = check("x.yaml", text).unwrap_or_else(|faults| panic!("{faults}"));
        warnings.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn what_is_doubtful_is_said_with_its_line() {
        let found = warnings(include_str!("../../tests/data/map-doubtful.yaml"));
        let due = [
            "x.yaml, line 4, limit_source: limit_source stands",
            "x.yaml, line 6, boxes.attic: the box attic is empty",
            "x.yaml, line 8, wake_groups.bus: no load is on the wake group bus",
            "x.yaml, line 8, wake_groups.bus: the wake group bus has no inputs",
            "x.yaml, line 10, feeds[0].fuse.rating_a: the 9 fuses below L1 add up to 95 A",
            "x.yaml, line 11, feeds[1].fuse.rating_a: F1 (15 A) hangs below L1 (10 A)",
            "x.yaml, line 12, feeds[2].loads[0]: hazelnut: no kind is known",
            "x.yaml, line 13, feeds[3].loads[0]: RDO: kind audio guessed",
            "x.yaml, line 14, feeds[4]: F4: guard restraint guessed",
            "x.yaml, line 15, feeds[5].guard: F5 is not guarded though its names hint at brake",
            "x.yaml, line 16, feeds[6].loads[0].awake_ma: clock draws less awake",
            "x.yaml, line 16, feeds[6].loads[0].sleeps_after_min: clock falls asleep later",
        ];
        assert_eq!(found.len(), due.len(), "{}", found.join("\n"));
        for (said, due) in found.iter().zip(due) {
            assert!(said.starts_with(due), "{said}\nshould begin\n{due}");
        }
    }
}
