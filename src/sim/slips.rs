//! Hands that work on the practice vehicle as hands do: a probe without contact, a slipped decimal point, a clamp the wrong
//! way round, a module that was not asleep yet when the total was read. Draws hang on place and time, as those of the meters.
//! Leaves to others: what the display showed (`readings`), who looks again (`score`).

use super::clock::seconds;
use super::constants as k;
use super::fuses::fuses;
use super::hands::Hands;
use super::rng::SimRng;
use super::vehicle::Vehicle;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Typed, Unit, Volt};
use crate::measure::kind::{MeasurementKind, TypedSlot};

impl Vehicle {
    /// Puts a vehicle into these hands; messy ones have replaced more of its fuses by others.
    #[must_use]
    pub fn with_hands(mut self, hands: Hands) -> Self {
        self.hands = hands;
        if hands == Hands::Messy {
            self.wiring.fuses = fuses(&self.map, self.seed, k::ODD_MAKE_SHARE_MESSY);
        }
        self
    }

    /// Keeps one module awake for longer than the vehicle was waited for, if the hands are messy and it so happens.
    pub fn oversleep(&mut self) {
        let mut rng = self.slips("late sleeper", "");
        let awakes = self.wiring.loads.iter().map(|load| (load.awake - load.asleep).base().max(0.0));
        let picked = rng.pick(&awakes.collect::<Vec<f64>>());
        let share = rng.between(k::PULL_WAKE_TIME.0, k::PULL_WAKE_TIME.1);
        let happens = self.hands == Hands::Messy && rng.chance(k::LATE_SLEEPER);
        let Some((at, load)) = picked.and_then(|at| Some((at, self.wiring.loads.get(at)?))) else { return };
        let until = self.now() + load.sleep * share;
        if let Some(known) = self.state.awake_until.get_mut(at).filter(|_| happens) {
            *known = known.max(until);
        }
    }

    /// Returns what is typed instead of what the display showed; `None` if the hands don't slip.
    pub fn slip(&self, kind: MeasurementKind, at: &str, shown: &[TypedSlot]) -> Option<Vec<TypedSlot>> {
        if self.hands == Hands::Plain {
            return None;
        }
        let mut rng = self.slips(kind.row().word, at);
        let (missed, reversed) = (rng.chance(k::NO_CONTACT), rng.chance(k::CLAMP_REVERSED));
        let (slipped, up) = (rng.chance(k::SLIPPED_POINT), rng.chance(0.5));
        match kind {
            MeasurementKind::Drop if missed => {
                Some(vec![TypedSlot::Volt(self.kit.show_drop(Volt::ZERO, self.now(), at))])
            }
            MeasurementKind::Clamp if reversed => shown.iter().map(turned).collect(),
            MeasurementKind::Zero | MeasurementKind::Look => None,
            _ if slipped => {
                let first = shown.first().and_then(|slot| shifted(slot, up))?;
                Some(std::iter::once(first).chain(shown.iter().skip(1).cloned()).collect())
            }
            _ => None,
        }
    }

    /// Draws whether somebody who is asked about a slip there looks again and puts it right.
    pub fn puts_right(&self, at: &str) -> bool {
        self.slips("put right", at).chance(k::PUT_RIGHT)
    }

    fn slips(&self, what: &str, at: &str) -> SimRng {
        SimRng::keyed(self.seed, &format!("slip {what} {at}"), seconds(self.now()))
    }
}

/// Returns a current with its sign turned.
fn turned(slot: &TypedSlot) -> Option<TypedSlot> {
    let TypedSlot::Ampere(shown) = slot else { return Some(slot.clone()) };
    let text = shown.text.strip_prefix('-').map_or_else(|| format!("-{}", shown.text), str::to_owned);
    Some(TypedSlot::Ampere(Typed::measured(-shown.value, shown.step, text)))
}

/// Returns a value with its decimal point one place off.
fn shifted(slot: &TypedSlot, up: bool) -> Option<TypedSlot> {
    match slot {
        TypedSlot::Volt(shown) => typed(shown, up).map(TypedSlot::Volt),
        TypedSlot::Ampere(shown) => typed(shown, up).map(TypedSlot::Ampere),
        TypedSlot::Celsius(_) | TypedSlot::Minute(_) | TypedSlot::Flag(_) | TypedSlot::Word(_) => None,
    }
}

fn typed<U: Readable>(shown: &Typed<U>, up: bool) -> Option<Typed<U>> {
    let (number, unit) = shown.text.split_once(' ')?;
    let decimals = number.split_once('.').map_or(0, |(_, digits)| digits.len());
    let value: f64 = number.parse().ok()?;
    let text = if up {
        format!("{:.*} {unit}", decimals.saturating_sub(1), value * 10.0)
    } else {
        format!("{:.*} {unit}", decimals + 1, value / 10.0)
    };
    U::read(&text, U::SYMBOL).ok()
}

#[cfg(test)]
mod tests {
    use super::super::sample::map;
    use super::*;
    use crate::base::quantity::{Ampere, Minute};

    fn current(text: &str) -> TypedSlot {
        TypedSlot::Ampere(Ampere::read(text, "mA").expect("a current"))
    }

    #[test]
    fn a_slipped_point_is_one_place_off_and_a_turned_clamp_has_the_other_sign() {
        let text = |slot: Option<TypedSlot>| slot.expect("a slip").text().to_owned();
        assert_eq!(text(shifted(&current("482 mA"), true)), "4820 mA");
        assert_eq!(text(shifted(&current("482 mA"), false)), "48.2 mA");
        assert_eq!(text(shifted(&current("1.482 A"), true)), "14.82 A");
        assert_eq!(text(turned(&current("482 mA"))), "-482 mA");
        assert_eq!(text(turned(&current("-3 mA"))), "3 mA");
    }

    #[test]
    fn messy_hands_slip_as_often_as_stated_and_plain_ones_never() {
        let messy = Vehicle::new(&map(), 5).with_hands(Hands::Messy);
        let plain = Vehicle::new(&map(), 5);
        let (mut missed, mut turned) = (0, 0);
        for minute in 0..4000 {
            let at = |vehicle: &Vehicle| {
                let mut vehicle = vehicle.clone();
                vehicle.pass(Minute::new(f64::from(minute)));
                vehicle
            };
            let shown = [TypedSlot::Volt(Volt::read("5.0 mV", "mV").expect("a drop"))];
            let drop = at(&messy).slip(MeasurementKind::Drop, "F1", &shown);
            missed += usize::from(drop.is_some_and(|typed| typed[0].text().starts_with("0.")));
            let clamp = at(&messy).slip(MeasurementKind::Clamp, "L1", &[current("80 mA")]);
            turned += usize::from(clamp.is_some_and(|typed| typed[0].text() == "-80 mA"));
            assert_eq!(at(&plain).slip(MeasurementKind::Clamp, "L1", &[current("80 mA")]), None);
        }
        for count in [missed, turned] {
            assert!((50..115).contains(&count), "{count} of 4000 at 2 %");
        }
    }

    #[test]
    fn a_late_sleeper_is_still_awake_at_the_total_and_asleep_later() {
        let late: Vec<u64> = (0..400)
            .filter(|seed| {
                let mut vehicle = Vehicle::new(&map(), *seed).with_hands(Hands::Messy);
                let asleep = vehicle.true_total();
                vehicle.oversleep();
                let is_late = vehicle.true_total() > asleep;
                vehicle.pass(Minute::new(60.0));
                assert!((vehicle.true_total() - asleep).abs().milli() < 1e-9, "seed {seed}");
                is_late
            })
            .collect();
        assert!((4..36).contains(&late.len()), "{late:?}");
    }
}
