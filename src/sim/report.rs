//! What a practice vehicle says of itself on a scan tool: an input open or shut, a module awake or asleep; it errs as vehicles
//! do. Leaves to others: the currents (`flow`), what a look finds (`look`).

use super::constants as k;
use super::fault::SimCause;
use super::flow::load_currents;
use super::vehicle::Vehicle;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::Ampere;

impl Vehicle {
    /// Reads what the vehicle reports of an input, or of a load written `FEED/LOAD`.
    ///
    /// # Errors
    /// It has no such input or load by its map.
    pub(super) fn report(&mut self, of: &str) -> Result<&'static str, Diagnostic> {
        let (is_it, errors, words) = match of.split_once('/') {
            Some((feed, load)) => {
                let index = self.load(feed, load)?;
                (self.is_awake(index), k::MODULE_REPORT_ERRORS, ("awake", "asleep"))
            }
            None => {
                self.known_input(of)?;
                (self.is_held_by(of), k::INPUT_REPORT_ERRORS, ("open", "shut"))
            }
        };
        self.pass(k::MINUTES_REPORT);
        let (missed, mistaken) = errors;
        let chance = if is_it { 1.0 - missed } else { mistaken };
        let found = self.kit.is_reported(chance, self.now(), of);
        Ok(if found { words.0 } else { words.1 })
    }

    /// Checks that a wake group of its map has this input.
    ///
    /// # Errors
    /// None has.
    pub(super) fn known_input(&self, name: &str) -> Result<(), Diagnostic> {
        if self.map.wake_groups.iter().any(|group| group.inputs.iter().any(|input| input == name)) {
            return Ok(());
        }
        Err(Diagnostic::new(format!("the practice vehicle has no input {name}"))
            .expected("an input of a wake group of its map"))
    }

    fn is_held_by(&self, name: &str) -> bool {
        let holds = |cause: &SimCause| matches!(cause, SimCause::Held { input, .. } if input == name);
        self.causes.iter().enumerate().any(|(index, cause)| self.state.acts(index) && holds(cause))
    }

    fn is_awake(&self, index: usize) -> bool {
        let Some(load) = self.wiring.loads.get(index).filter(|_| !self.state.unplugged.contains(&index))
        else {
            return false;
        };
        let currents = load_currents(&self.wiring, &self.causes, &self.state);
        let draws = currents.get(index).copied().unwrap_or(Ampere::ZERO);
        draws > load.awake * k::AWAKE_FROM.0 && draws > load.asleep * k::AWAKE_FROM.1
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sim::sample::map;

    #[test]
    fn an_input_that_holds_its_network_is_mostly_reported_open_and_a_sound_one_seldom() {
        let (mut open, mut held, mut wrong, mut sound) = (0, 0, 0, 0);
        for seed in 0..400 {
            let mut vehicle = Vehicle::new(&map(), seed);
            let inputs: Vec<String> = vehicle.map.inputs().map(|(_, name)| name.to_owned()).collect();
            for input in inputs {
                let holds = vehicle.is_held_by(&input);
                let says = vehicle.report(&input).expect("an input");
                if holds {
                    held += 1
                } else {
                    sound += 1
                }
                if says == "open" && holds {
                    open += 1
                }
                if says == "open" && !holds {
                    wrong += 1
                }
            }
        }
        assert!(held > 20 && open * 10 > held * 7, "{open} of {held}");
        assert!(wrong * 20 < sound, "{wrong} of {sound}");
    }
}
