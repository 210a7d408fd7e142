//! What vehicle a map is of: class, volts, batteries, year. Told later than the map, they change what was assumed of it.
//! Leaves to others: what a class has (`classes`, `complete`), limits and sleep times (`limits`).

use super::check::check_written;
use super::classes::Classes;
use super::map::{Map, VehicleClass};
use super::resolve::uneven;
use crate::base::diagnostic::Faults;
use crate::base::quantity::Volt;

/// What was told of a vehicle; what was not is `None` and stays as the map has it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct VehicleTold {
    /// Class.
    pub class: Option<VehicleClass>,
    /// Volts of its system, one of [`VehicleClass::SYSTEMS`].
    pub system: Option<Volt>,
    /// Number of batteries.
    pub batteries: Option<u16>,
    /// Model year.
    pub year: Option<u16>,
}

impl Map {
    /// Returns the map of a vehicle of which this was told. What was assumed for another class gives way to what is
    /// assumed for this one; a map of which nothing was assumed so far stays so.
    ///
    /// # Errors
    /// The number of batteries doesn't fit the volts.
    pub fn of_vehicle(&self, told: &VehicleTold) -> Result<Map, Faults> {
        let mut map = self.clone();
        if let Some(class) = told.class.filter(|class| *class != self.class) {
            let bare = self.without_assumed()?;
            let assumed = bare.is_some();
            map = bare.unwrap_or(map);
            (map.class, map.system, map.told_batteries) = (class, class.usual_system(), None);
            if assumed {
                map = map.completed()?.0;
            }
        }
        if let Some(system) = told.system.filter(|system| *system != map.system) {
            (map.system, map.told_batteries) = (system, None);
        }
        map.told_batteries = told.batteries.or(map.told_batteries);
        map.year = told.year.or(map.year);
        if let Some(fault) = map.told_batteries.and_then(|count| uneven(count, map.system)) {
            return Err(fault.into());
        }
        Ok(map)
    }

    /// The map without what was assumed for its class; `None` where nothing was.
    fn without_assumed(&self) -> Result<Option<Map>, Faults> {
        let assumed: Vec<&str> =
            self.wake_groups.iter().filter(|group| group.assumed).map(|group| group.id.as_str()).collect();
        if assumed.is_empty() {
            return Ok(None);
        }
        let mut written = self.written();
        written.wake_groups.retain(|(id, _)| !assumed.contains(&id.as_str()));
        for load in written.feeds.iter_mut().flat_map(|feed| &mut feed.loads) {
            load.wake_group = load.wake_group.take().filter(|group| !assumed.contains(&group.as_str()));
        }
        let of_class = Classes::builtin().of(self.class).map_or(&[][..], |class| &class.unfused);
        if self.unfused.iter().all(|item| of_class.iter().any(|own| own.name == item.name)) {
            written.unfused.clear();
        }
        Ok(Some(check_written(&written)?.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::Unit;
    use crate::circuit::builtin;

    fn blank() -> Map {
        builtin::map("blank").expect("blank").completed().expect("completed").0
    }

    fn told(class: VehicleClass) -> VehicleTold {
        VehicleTold { class: Some(class), ..VehicleTold::default() }
    }

    #[test]
    fn another_class_takes_its_own_items_inputs_and_volts() {
        let truck = blank().of_vehicle(&told(VehicleClass::Truck)).expect("a truck");
        assert_eq!((truck.system.base(), truck.batteries(), truck.side_by_side()), (24.0, 2, 1));
        assert!(truck.wake_groups[0].inputs.contains(&"battery isolator switch".to_owned()));
        let boat = truck.of_vehicle(&told(VehicleClass::Boat)).expect("a boat");
        let names: Vec<&str> = boat.unfused.iter().map(|item| item.name.as_str()).collect();
        assert_eq!((names, boat.system.base()), (vec!["alternator", "starter", "solar regulator"], 12.0));
        let again = crate::circuit::check::check("again", &boat.to_yaml().expect("text")).expect("sound").0;
        assert_eq!(again, boat);
    }

    #[test]
    fn a_lid_typed_before_the_class_was_told_keeps_its_fuses() {
        let mut map = blank();
        map.add_feed(Some("cabin"), "F1 mini 10 radio").expect("a line");
        let truck = map.of_vehicle(&told(VehicleClass::Truck)).expect("a truck");
        assert_eq!((truck.feeds.len(), truck.wake_groups.len()), (1, 1));
        assert!(truck.feeds[0].loads[0].wake_group.is_some());
    }

    #[test]
    fn what_a_map_says_itself_outlives_another_class() {
        let hatch = builtin::map("hatch").expect("hatch");
        let other = hatch.of_vehicle(&told(VehicleClass::Electrified)).expect("fits");
        assert_eq!((&other.unfused, &other.wake_groups), (&hatch.unfused, &hatch.wake_groups));
    }

    #[test]
    fn batteries_must_make_the_volts() {
        let of = |class, batteries| VehicleTold { batteries: Some(batteries), ..told(class) };
        assert!(blank().of_vehicle(&of(VehicleClass::Truck, 3)).is_err());
        let four = blank().of_vehicle(&of(VehicleClass::Truck, 4)).expect("two pairs");
        assert_eq!((four.batteries(), four.side_by_side()), (4, 2));
        let two = blank().of_vehicle(&of(VehicleClass::Car, 2)).expect("two side by side");
        assert_eq!(two.side_by_side(), 2);
        assert_eq!(two.of_vehicle(&told(VehicleClass::Truck)).expect("a truck").batteries(), 2);
    }
}
