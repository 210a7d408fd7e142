//! The readings of a practice hunt: each takes its time, does to the vehicle what such work does, and gives what
//! the display shows. Leaves to others: the meters' errors (`meters`), the state (`state`).

use super::constants as k;
use super::state::{wait_after_input, wait_after_refit};
use super::vehicle::Vehicle;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Celsius, Minute, Typed, Volt};
use crate::circuit::id::FeedId;
use crate::circuit::map::Access;
use crate::measure::kind::{MeasurementKind, TypedSlot};

/// A total before a piece of work and one after it.
pub type BeforeAfter = (Typed<Ampere>, Typed<Ampere>);
/// Drops without and with a known load, and the current of that load.
pub type LoadStep = (Typed<Volt>, Typed<Volt>, Typed<Ampere>);

impl Vehicle {
    /// Takes a reading of any kind: its values in the order of the table of kinds.
    ///
    /// # Errors
    /// The vehicle has no such place, or it can't be reached.
    pub fn measure(
        &mut self,
        kind: MeasurementKind,
        at: &str,
        running: bool,
    ) -> Result<Vec<TypedSlot>, Diagnostic> {
        use TypedSlot::{Ampere as A, Celsius as C, Volt as V};
        let both = |(before, after): BeforeAfter| vec![A(before), A(after)];
        Ok(match kind {
            MeasurementKind::Zero => vec![V(self.zero())],
            MeasurementKind::Temperature => vec![C(self.temperature_outside())],
            MeasurementKind::Volts if running => vec![V(self.volts_running())],
            MeasurementKind::Volts => vec![V(self.volts())],
            MeasurementKind::Total => vec![A(self.total()), TypedSlot::Flag(false)],
            MeasurementKind::Drop => vec![V(self.drop(at)?)],
            MeasurementKind::Clamp => vec![A(self.clamp(at)?)],
            MeasurementKind::Pull => both(self.pull(at)?),
            MeasurementKind::Refit => vec![A(self.refit(at)?)],
            MeasurementKind::Unplug => {
                let (feed, load) = at.split_once('/').unwrap_or((at, ""));
                both(self.unplug(feed, load)?)
            }
            MeasurementKind::Input => both(self.input(at)?),
            MeasurementKind::Step => {
                let (before, after, current) = self.step(at)?;
                vec![V(before), V(after), A(current)]
            }
            MeasurementKind::Look if at.contains('/') => vec![TypedSlot::Word(self.look(at)?.to_owned())],
            MeasurementKind::Out => self.leave_out(at)?.to_vec(),
            MeasurementKind::Report => vec![TypedSlot::Word(self.report(at)?.to_owned())],
            other => {
                let word = other.row().word;
                return Err(Diagnostic::new(format!("a practice vehicle gives no {word}"))
                    .remedy("pass it over: skip REASON"));
            }
        })
    }

    /// Reads the millivolt meter with its leads shorted.
    pub fn zero(&mut self) -> Typed<Volt> {
        self.pass(k::MINUTES_ZERO);
        self.kit.show_drop(Volt::ZERO, self.now(), "leads shorted")
    }

    /// Reads the rested volts of the battery.
    pub fn volts(&mut self) -> Typed<Volt> {
        self.pass(k::MINUTES_VOLTS);
        self.kit.show_volts(self.rested_volts(), self.now(), "rested")
    }

    /// Reads the battery volts with the engine running. The engine run is a disturbance: the caller says so.
    pub fn volts_running(&mut self) -> Typed<Volt> {
        self.pass(k::MINUTES_RUNNING);
        self.kit.show_volts(self.kit.running * self.cells(), self.now(), "running")
    }

    /// Reads the temperature of the place.
    pub fn temperature_outside(&mut self) -> Typed<Celsius> {
        self.pass(k::MINUTES_TEMPERATURE);
        self.kit.show_temperature(self.temperature_of(None), self.now(), "outside")
    }

    /// Reads the total.
    pub fn total(&mut self) -> Typed<Ampere> {
        self.pass(k::MINUTES_TOTAL);
        self.see_total()
    }

    /// Returns what the clamp on the battery cable shows at this moment; takes no time.
    pub fn see_total(&self) -> Typed<Ampere> {
        self.kit.show_total(self.true_total(), self.now())
    }

    /// Reads the drop across a fuse.
    ///
    /// # Errors
    /// No such fuse, no test points within reach, or the fuse is out.
    pub fn drop(&mut self, feed: &str) -> Result<Typed<Volt>, Diagnostic> {
        let index = self.probed(feed)?;
        self.go_to(index);
        self.pass(k::MINUTES_DROP);
        Ok(self.see_drop(index, feed, Ampere::ZERO))
    }

    /// Reads a feed or an unfused item with the clamp.
    ///
    /// # Errors
    /// Neither is on the vehicle, the feed cannot be reached, or its fuse is out.
    pub fn clamp(&mut self, at: &str) -> Result<Typed<Ampere>, Diagnostic> {
        let minutes = |parent: Option<FeedId>| {
            if parent.is_none() { k::MINUTES_CLAMP_BATTERY } else { k::MINUTES_CLAMP }
        };
        if let Some(item) = self.map.unfused.iter().find(|item| item.name == at) {
            self.pass(minutes(item.parent));
        } else {
            let (index, found) = self.feed(at)?;
            let (probe, parent) = (found.access, found.parent);
            if probe == Access::None {
                return Err(unreachable(at, "a clamp"));
            }
            self.is_in(index, at)?;
            self.go_to(index);
            self.pass(minutes(parent));
        }
        Ok(self.kit.show_clamp(self.true_current(at).unwrap_or_default(), self.now(), at))
    }

    /// Pulls a fuse and leaves it out: totals before and after.
    ///
    /// # Errors
    /// No such fuse, it cannot be pulled, or it is out already.
    pub fn pull(&mut self, feed: &str) -> Result<BeforeAfter, Diagnostic> {
        let (index, found) = self.feed(feed)?;
        if !matches!(found.access, Access::Points | Access::Pull) {
            return Err(unreachable(feed, "a pull"));
        }
        self.is_in(index, feed)?;
        self.go_to(index);
        self.pass(k::MINUTES_PULL - k::MINUTES_AFTER_PULL);
        let before = self.see_total();
        let (world, state) = self.parts();
        state.take_out(world, index);
        self.pass(k::MINUTES_AFTER_PULL);
        Ok((before, self.see_total()))
    }

    /// Puts a fuse back: the total afterwards. `FEED/LOAD` plugs that load in again.
    ///
    /// # Errors
    /// No such fuse, or it is not out.
    pub fn refit(&mut self, feed: &str) -> Result<Typed<Ampere>, Diagnostic> {
        if let Some((of, load)) = self.split(feed) {
            return self.replug(&of, &load);
        }
        if let Some((item, part)) = feed.split_once('/')
            && let Some(part) = self.inner_part(item, part)
        {
            return self.put_part_on(part);
        }
        let (index, _) = self.feed(feed)?;
        if !self.state.out.contains(&index) {
            return Err(Diagnostic::new(format!("the fuse {feed} is not out")));
        }
        self.go_to(index);
        let (world, state) = self.parts();
        let wait = wait_after_refit(world, index);
        state.put_back(world, index);
        self.pass(wait);
        Ok(self.see_total())
    }

    /// Unplugs a load and leaves it so: totals before and after.
    ///
    /// # Errors
    /// No such load on that feed by the map, or it is unplugged already.
    pub fn unplug(&mut self, feed: &str, load: &str) -> Result<BeforeAfter, Diagnostic> {
        if let Some(part) = self.inner_part(feed, load) {
            return self.take_part_off(part);
        }
        let index = self.load(feed, load)?;
        if self.state.unplugged.contains(&index) {
            return Err(Diagnostic::new(format!("{feed}/{load} is unplugged already")));
        }
        self.pass(k::MINUTES_UNPLUG - k::MINUTES_AFTER_PULL);
        let before = self.see_total();
        let (world, state) = self.parts();
        state.unplug(world, index);
        self.pass(k::MINUTES_AFTER_PULL);
        Ok((before, self.see_total()))
    }

    /// Plugs a load in again: the total afterwards.
    ///
    /// # Errors
    /// No such load on that feed by the map, or it is not unplugged.
    pub fn replug(&mut self, feed: &str, load: &str) -> Result<Typed<Ampere>, Diagnostic> {
        let index = self.load(feed, load)?;
        if !self.state.unplugged.contains(&index) {
            return Err(Diagnostic::new(format!("{feed}/{load} is not unplugged")));
        }
        let (world, state) = self.parts();
        state.replug(world, index);
        self.pass(k::MINUTES_REPLUG);
        Ok(self.see_total())
    }

    /// Works an input of a wake group and waits until the group is asleep again: totals before and after.
    ///
    /// # Errors
    /// No wake group of the map has such an input.
    pub fn input(&mut self, name: &str) -> Result<BeforeAfter, Diagnostic> {
        self.known_input(name)?;
        self.pass(k::MINUTES_INPUT);
        let before = self.see_total();
        let (world, state) = self.parts();
        let wait = wait_after_input(world, name);
        state.work(world, name);
        self.pass(wait);
        Ok((before, self.see_total()))
    }

    /// Switches a known load on behind a fuse and off again: drops without and with it, and its current.
    ///
    /// # Errors
    /// No such fuse, no test points within reach, or no supply at it.
    pub fn step(&mut self, feed: &str) -> Result<LoadStep, Diagnostic> {
        let index = self.probed(feed)?;
        let rating = self.feed(feed)?.1.fuse.rating;
        self.go_to(index);
        self.pass(k::MINUTES_STEP);
        let known = self.kit.step_current(rating, self.now(), feed);
        let before = self.see_drop(index, &format!("{feed} before"), Ampere::ZERO);
        let after = self.see_drop(index, &format!("{feed} after"), known);
        let current = self.kit.show_clamp(known, self.now(), &format!("{feed} known load"));
        Ok((before, after, current))
    }

    /// Shows the drop across a fuse that carries so much more than it does by itself.
    pub(super) fn see_drop(&self, feed: FeedId, place: &str, more: Ampere) -> Typed<Volt> {
        let through = self.flow().through.get(feed).copied().unwrap_or_default() + more;
        let truth = self.resistance(feed).map_or(Volt::ZERO, |resistance| through * resistance);
        self.kit.show_drop(truth, self.now(), place)
    }

    /// Finds a fuse that can be probed now.
    pub(super) fn probed(&self, feed: &str) -> Result<FeedId, Diagnostic> {
        let (index, found) = self.feed(feed)?;
        if found.access != Access::Points {
            return Err(unreachable(feed, "probes"));
        }
        self.is_in(index, feed)?;
        Ok(index)
    }

    /// Refuses a feed that is out or lies below one that is.
    fn is_in(&self, feed: FeedId, id: &str) -> Result<(), Diagnostic> {
        let out = crate::sim::wiring::chain(&self.map, feed).find(|at| self.state.out.contains(at));
        let Some(out) = out.and_then(|at| self.map.feeds.get(at)) else { return Ok(()) };
        Err(Diagnostic::new(format!("{id} has no supply: the fuse {} is out", out.id))
            .remedy("refit it first, then wait for sleep"))
    }

    /// Walks to the box of a feed, if the work before was in another.
    pub(super) fn go_to(&mut self, feed: FeedId) {
        let Some(place) = self.map.feeds.get(feed).and_then(|feed| feed.place) else { return };
        if self.state.at_box.replace(place) != Some(place) {
            let reach = self.map.boxes.get(place).map_or(Minute::ZERO, |place| place.reach);
            self.pass(reach);
        }
    }

    /// Splits `FEED/LOAD` where the map has such a load.
    pub(super) fn split(&self, text: &str) -> Option<(String, String)> {
        self.map.feeds.iter().find_map(|feed| {
            let load = text.strip_prefix(feed.id.as_str())?.strip_prefix('/')?;
            feed.loads.iter().any(|known| known.name == load).then(|| (feed.id.clone(), load.to_owned()))
        })
    }
}

fn unreachable(feed: &str, with: &str) -> Diagnostic {
    Diagnostic::new(format!("{feed} cannot be reached with {with}"))
}

#[cfg(test)]
mod tests {
    use super::super::sample::map;
    use super::*;
    use crate::base::quantity::Unit;
    use crate::instrument::profile::{Profile, Way};

    fn fine() -> Profile {
        Profile { name: "hundredth-mv".into(), way: Way::Volts, resolution: 1e-5, percent: 0.3, counts: 3.0 }
    }

    fn clamp() -> Profile {
        Profile { name: "clamp-1ma".into(), way: Way::Clamp, resolution: 1e-3, percent: 1.5, counts: 5.0 }
    }

    #[test]
    fn the_same_seed_gives_the_same_vehicle_and_the_same_readings() {
        let shown = |seed| {
            let mut vehicle = Vehicle::new(&map(), seed);
            let drops: Vec<String> =
                ["F1", "F4", "F6"].iter().map(|feed| vehicle.drop(feed).expect("a drop").text).collect();
            let pull = vehicle.pull("F5").expect("a pull");
            (vehicle.zero().text, drops, pull, vehicle.clamp("L2").expect("a clamp").text, vehicle)
        };
        for seed in 0..30 {
            assert_eq!(shown(seed), shown(seed));
            assert_ne!(shown(seed).4, shown(seed + 1).4);
        }
    }

    #[test]
    fn a_drop_over_the_true_resistance_is_the_current_within_the_meters_error() {
        for seed in 0..100 {
            let mut vehicle = Vehicle::new(&map(), seed).with_meters(&fine(), &clamp());
            for feed in ["F1", "F2", "F4", "F5", "F6", "F7"] {
                let zero = vehicle.zero();
                let shown = vehicle.drop(feed).expect("a drop");
                let resistance = vehicle.true_resistance(feed).expect("a fuse");
                let truth = vehicle.true_current(feed).expect("a feed");
                // 0.3 % of reading; five deviations of warmth and noise twice, rounding twice.
                let most = Volt::new(truth.base() * resistance.base() * 0.003 + 45e-6);
                let error = ((shown.value - zero.value) / resistance - truth).abs();
                assert!(error <= most / resistance, "seed {seed}, {feed}: {shown:?} for {truth:?}");
            }
        }
    }

    #[test]
    fn totals_and_clamps_stay_within_the_clamps_statement() {
        for seed in 0..200 {
            let mut vehicle = Vehicle::new(&map(), seed);
            let total = vehicle.total().value;
            let within = |shown: Ampere, truth: Ampere| {
                // Percent and counts, and five deviations of flutter and noise.
                (shown - truth).abs().base() <= truth.abs().base() * (0.015 + 0.01) + 0.005 + 0.003
            };
            assert!(within(total, vehicle.true_total()), "seed {seed}: {total:?}");
            for at in ["L1", "L2", "converter", "trailer cable"] {
                let shown = vehicle.clamp(at).expect("a clamp").value;
                assert!(within(shown, vehicle.true_current(at).expect("on the map")), "seed {seed}: {at}");
            }
        }
    }

    #[test]
    fn a_known_load_step_gives_the_fuses_own_resistance() {
        for seed in 0..100 {
            let mut vehicle = Vehicle::new(&map(), seed).with_meters(&fine(), &clamp());
            let (before, after, current) = vehicle.step("F4").expect("a step");
            let found = (after.value - before.value) / current.value;
            let truth = vehicle.true_resistance("F4").expect("a fuse");
            // 1 A at the least: 10 mA of the clamp, 0.3 and 1.5 % of gain, flutter, noise on 7 mV.
            assert!((found / truth - 1.0).abs() < 0.045, "seed {seed}: {found:?} for {truth:?}");
        }
    }

    #[test]
    fn work_takes_its_time_and_the_way_to_another_box_too() {
        let mut vehicle = Vehicle::new(&map(), 1);
        let mut took = |work: &mut dyn FnMut(&mut Vehicle)| {
            let start = vehicle.now();
            work(&mut vehicle);
            (vehicle.now() - start).base()
        };
        let mut drop = |feed: &'static str| took(&mut |v: &mut Vehicle| assert!(v.drop(feed).is_ok()));
        assert!((drop("F4") - 1.9).abs() < 1e-9);
        assert!((drop("F5") - 0.4).abs() < 1e-9);
        assert!((drop("F1") - 1.9).abs() < 1e-9);
        assert!((took(&mut |v| assert!(v.pull("F2").is_ok())) - 5.0).abs() < 1e-9);
    }

    #[test]
    fn what_cannot_be_read_is_refused_with_a_reason() {
        let mut vehicle = Vehicle::new(&map(), 1);
        let says = |fault: Diagnostic, words: &str| assert!(fault.to_string().contains(words), "{fault}");
        says(vehicle.drop("F99").expect_err("unknown"), "no fuse F99");
        says(vehicle.drop("L1").expect_err("no points"), "cannot be reached");
        says(vehicle.pull("L1").expect_err("no pull"), "cannot be reached");
        says(vehicle.unplug("F4", "blower").expect_err("not there"), "no load blower");
        says(vehicle.input("sunroof").expect_err("unknown"), "no input");
        says(vehicle.refit("F4").expect_err("is in"), "is not out");
        vehicle.pull("F4").expect("a pull");
        says(vehicle.drop("F4").expect_err("is out"), "the fuse F4 is out");
        says(vehicle.pull("F4").expect_err("is out"), "the fuse F4 is out");
        let start = vehicle.now();
        vehicle.pass(Minute::new(-5.0));
        vehicle.pass(Minute::new(f64::NAN));
        assert_eq!(vehicle.now(), start);
    }
}
