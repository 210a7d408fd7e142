//! A map that says nothing of networks or of what hangs at the battery, as every fuse-box lid and panel list, gets what
//! its class of vehicle has; and a fuller map as a lid tells it.
//! Leaves to others: what a class has (`classes`), which loads are modules (`loads`), the checks (`resolve`).

use super::check::check_written;
use super::classes::{ClassDefaults, Classes};
use super::map::{Map, VehicleClass};
use super::schema::{BATTERY, FeedSchema, GroupSchema, LoadSchema, MapSchema, UnfusedSchema};
use crate::base::diagnostic::{Diagnostic, Faults};

/// Name of the network that stands for all of a vehicle's.
const NETWORK: &str = "network";

/// Modules that are taken as one network at most. Editorial: about twice what the fuses of a vehicle feed.
const MODULES: usize = 80;

impl Map {
    /// Returns the map with what every vehicle of its class has, where it says nothing: one network of all modules, with
    /// its inputs; unfused items. What was assumed is told.
    ///
    /// # Errors
    /// An unfused item of the class has the name of a fuse.
    pub fn completed(&self) -> Result<(Map, Vec<Diagnostic>), Faults> {
        let Some(class) = Classes::builtin().of(self.class) else { return Ok((self.clone(), Vec::new())) };
        let mut written = self.written();
        let mut assumed = Vec::new();
        if written.unfused.is_empty() {
            let taken = |name: &str| self.feeds.iter().any(|feed| feed.id == name);
            written.unfused = class.unfused.iter().filter(|item| !taken(&item.name)).map(unfused).collect();
            let names: Vec<&str> = class.unfused.iter().map(|item| item.name.as_str()).collect();
            let fault = Diagnostic::new(format!(
                "connected to the battery without a fuse, as on every {}: {} (assumed)",
                self.class.name(),
                names.join(", ")
            ));
            assumed.push(fault.remedy("where this vehicle differs, its map says so under unfused:"));
        }
        if written.wake_groups.is_empty() {
            written.wake_groups = vec![(NETWORK.to_owned(), network(class))];
        }
        let map = check_written(&written)?.0;
        let modules = map.feeds.iter().flat_map(|feed| &feed.loads).filter(|load| load.wake_group.is_some());
        let modules = modules.count();
        if self.wake_groups.is_empty() && modules > MODULES {
            return Ok((check_written(&MapSchema { wake_groups: Vec::new(), ..written })?.0, assumed));
        }
        if self.wake_groups.is_empty() && modules > 0 {
            let fault = Diagnostic::new(format!(
                "no networks listed: the {modules} modules of this {} count as one",
                self.class.name()
            ));
            assumed.push(fault.remedy("wake_groups: lists them"));
        }
        Ok((map, assumed))
    }

    /// Returns the map as the lids of the fuse boxes tell it: fuses, their boxes and links, and names of what they feed.
    /// Networks, figures, second feeds and unfused items are those of the class.
    ///
    /// # Errors
    /// As [`Map::completed`].
    pub fn as_lid(&self) -> Result<Map, Faults> {
        let mut written = MapSchema {
            wake_groups: Vec::new(),
            unfused: Vec::new(),
            sleep_after_min: None,
            ..self.written()
        };
        written.feeds.iter_mut().for_each(as_on_a_lid);
        Ok(check_written(&written)?.0.completed()?.0)
    }
}

impl VehicleClass {
    /// Returns true if an input that every vehicle of the class has is the same as one that a fuller map calls `other`.
    pub fn is_same_input(self, name: &str, other: &str) -> bool {
        name == other || Classes::builtin().of(self).is_some_and(|class| class.is_same_input(name, other))
    }
}

fn unfused(item: &super::classes::DefaultUnfused) -> UnfusedSchema {
    UnfusedSchema {
        name: Some(item.name.clone()),
        from: Some(BATTERY.to_owned()),
        kind: Some(item.kind.clone()),
        source: Some(item.source),
        assumed: Some(true),
        ..UnfusedSchema::default()
    }
}

fn network(class: &ClassDefaults) -> GroupSchema {
    GroupSchema { inputs: class.inputs.iter().map(|input| input.name.clone()).collect(), assumed: Some(true) }
}

fn as_on_a_lid(feed: &mut FeedSchema) {
    feed.guard = None;
    feed.fuse.iter_mut().for_each(|fuse| fuse.r_mohm = None);
    for load in &mut feed.loads {
        *load = LoadSchema { name: load.name.take(), ..LoadSchema::default() };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::builtin;

    #[test]
    fn a_lid_gets_one_network_of_its_modules_and_what_its_class_has() {
        let mut map = builtin::map("blank").expect("blank").completed().expect("completed").0;
        map.add_feed(Some("cabin"), "F1 mini 10 radio").expect("a line");
        map.add_feed(Some("cabin"), "F2 mini 10 glovebox lamp").expect("a line");
        map.add_feed(Some("cabin"), "F3 mini 15 body control module").expect("a line");
        let grouped: Vec<bool> = map.feeds.iter().map(|feed| feed.loads[0].wake_group.is_some()).collect();
        assert_eq!(grouped, [true, false, true]);
        assert!(map.wake_groups[0].assumed && map.wake_groups[0].inputs.len() > 5);
        let names: Vec<&str> = map.unfused.iter().map(|item| item.name.as_str()).collect();
        assert_eq!(names, ["alternator", "starter"]);
        let again = crate::circuit::check::check("again", &map.to_yaml().expect("text")).expect("sound").0;
        assert_eq!(again, map);
    }

    #[test]
    fn what_a_map_says_itself_stays_as_it_is() {
        for name in ["hatch", "van", "hybrid", "e-van", "tipper", "motorcycle", "motorhome", "boat"] {
            let map = builtin::map(name).expect(name);
            let (completed, assumed) = map.completed().expect(name);
            if !map.wake_groups.is_empty() {
                assert_eq!((&completed, assumed.len()), (&map, 0), "{name}");
            }
        }
    }

    #[test]
    fn a_fuller_map_as_its_lids_tell_it_keeps_fuses_and_names_only() {
        let hatch = builtin::map("hatch").expect("hatch");
        let lid = hatch.as_lid().expect("a lid");
        let line = |map: &Map| -> Vec<_> {
            let names = |feed: &super::super::map::Feed| -> Vec<String> {
                feed.loads.iter().map(|load| load.name.clone()).collect()
            };
            map.feeds
                .iter()
                .map(|feed| (feed.id.clone(), feed.parent, feed.fuse.clone(), names(feed)))
                .collect()
        };
        assert_eq!(line(&lid), line(&hatch));
        assert_eq!(lid.wake_groups.len(), 1);
        assert!(lid.feeds.iter().flat_map(|feed| &feed.loads).all(|load| load.also_from.is_empty()));
    }
}
