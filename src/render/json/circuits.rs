//! The JSON shapes of `circuits`: the list of built-in maps, and one map. A check's stands with it (`circuit/check`).

use crate::base::quantity::Unit;
use crate::circuit::id::FeedId;
use crate::circuit::map::{Feed, FuseBox, Load, Map, Unfused, WakeGroup};

shape! {
    /// What `circuits list` prints.
    MapListShape(listed: Vec<(&'static str, Map)>) {
        maps: Vec<ListedMapShape> = listed.iter().map(|(name, map)| ListedMapShape::of(name, map)).collect(),
    }

    /// A built-in map.
    ListedMapShape(called: &'static str, map: &Map) {
        name: &'static str = called,
        title: String = map.title.clone(),
        system_v: f64 = map.system.base(),
        /// How many feeds it has.
        feeds: usize = map.feeds.len(),
    }

    /// What `circuits show` and `circuits sketch` print: a map with every figure spelled out.
    MapShape(map: &Map) {
        title: String = map.title.clone(),
        class: &'static str = map.class.name(),
        system_v: f64 = map.system.base(),
        model_year: Option<u16> = map.year,
        batteries: u16 = map.batteries(),
        boxes: Vec<BoxShape> = map.boxes.iter().map(BoxShape::of).collect(),
        wake_groups: Vec<WakeGroupShape> = map.wake_groups.iter().map(WakeGroupShape::of).collect(),
        feeds: Vec<MapFeedShape> = map.feeds.iter().map(|feed| MapFeedShape::of(feed, map)).collect(),
        unfused: Vec<UnfusedShape> = map.unfused.iter().map(|item| UnfusedShape::of(item, map)).collect(),
        sleep_after_min: Option<f64> = map.sleep_after.map(Unit::base),
        limit_ma: Option<f64> = map.limit.as_ref().map(|limit| limit.current.milli()),
    }

    /// A fuse box.
    BoxShape(place: &FuseBox) {
        id: String = place.id.clone(),
        #[serde(rename = "where")]
        place: String = place.place.clone(),
        reach_min: f64 = place.reach.base(),
    }

    /// A wake group with what holds it awake.
    WakeGroupShape(group: &WakeGroup) {
        id: String = group.id.clone(),
        inputs: Vec<String> = group.inputs.clone(),
    }

    /// A fuse or link.
    MapFeedShape(feed: &Feed, map: &Map) {
        id: String = feed.id.clone(),
        from: String = parent(map, feed.parent),
        #[serde(rename = "box")]
        place: Option<String> = map.box_of(feed).map(|place| place.id.clone()),
        family: &'static str = feed.fuse.family.name(),
        rating_a: f64 = feed.fuse.rating.base(),
        /// What makes it dangerous to touch.
        guard: Option<&'static str> = feed.hazard.map(|hazard| hazard.name()),
        loads: Vec<LoadShape> = feed.loads.iter().map(|load| LoadShape::of(load, map)).collect(),
    }

    /// What a feed supplies.
    LoadShape(load: &Load, map: &Map) {
        name: String = load.name.clone(),
        kind: String = load.kind.clone(),
        kind_guessed: bool = load.kind_guessed,
        asleep_ma: f64 = load.asleep.milli(),
        awake_ma: f64 = load.awake.milli(),
        sleeps_after_min: f64 = load.sleeps_after.base(),
        wake_group: Option<String> = load.wake_group.and_then(|at| map.wake_groups.get(at)).map(|group| group.id.clone()),
        also_from: Vec<String> = load.also_from.iter().map(|at| parent(map, Some(*at))).collect(),
    }

    /// What is connected without a fuse.
    UnfusedShape(item: &Unfused, map: &Map) {
        name: String = item.name.clone(),
        kind: String = item.kind.clone(),
        from: String = parent(map, item.parent),
        /// True if it may carry current either way.
        source: bool = item.source,
    }
}

/// Returns the id of the feed above, or the battery.
pub fn parent(map: &Map, at: Option<FeedId>) -> String {
    at.and_then(|at| map.feeds.get(at)).map_or("battery".to_owned(), |feed| feed.id.clone())
}
