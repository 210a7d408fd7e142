//! What a finding without a figure (a lamp lit, a relay warm, a latch reported open) says about each cause: the probability
//! of the finding where the cause sits, over that where nothing does. Findings are taken as independent of each other and of
//! the readings, given the causes; where two causes sit at one place, the finding counts once.
//! Leaves to others: the shares (`circuit/signs`), what the readings say (`posterior`).

use super::assumptions::{STILL_UP_AT_ONCE, STILL_UP_LATER};
use super::cause::{Cause, HeldBy, class_of_kind};
use super::wake_clock::Series;
use crate::circuit::id::InputId;
use crate::circuit::loads::NETWORK;
use crate::circuit::signs::{INPUT, RISES, Sign, Signs, WAKINGS};
use crate::measure::event::{TimeOut, TriedInput};
use crate::measure::observation::Panel;
use crate::measure::sighting::{Sighting, SightingPlace};
use crate::measure::sources::PartKind;
use crate::measure::together::group_of;

/// Findings, and the power that is sought.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Seen {
    /// What was found.
    pub sightings: Vec<Sighting>,
    /// Inputs that were worked without a fall of the total so far.
    pub tried: Vec<TriedInput>,
    /// What was left out for a while, and the wake-ups that came meanwhile.
    pub times_out: Vec<TimeOut>,
    /// The series of wake-ups that is known; without one a time out tells nothing.
    pub series: Option<Series>,
    /// What the excess would heat or light, in watt.
    pub watts: f64,
}

/// A finding that speaks for or against a cause: its number, and the logarithm of its likelihood ratio.
pub type Weighed = (usize, f64);

impl Seen {
    /// Returns what the findings say of a cause; none that is silent about it.
    pub(super) fn about(&self, cause: Cause, panel: &Panel) -> Vec<Weighed> {
        let each = self.sightings.iter().enumerate();
        each.filter(|(_, sighting)| sits_at(cause, sighting, panel))
            .filter_map(|(number, sighting)| {
                let sign = Signs::builtin().of(&sighting.found, class_at(cause, sighting.at, panel))?;
                self.tells(sign).then(|| (number, sign.ln_ratio(&sighting.found)))
            })
            .chain(self.not_fallen(cause, panel))
            .chain(self.silent(cause, panel))
            .collect()
    }

    /// Wake-ups that came, or did not, while a fuse was out speak about what is behind it.
    fn silent(&self, cause: Cause, panel: &Panel) -> impl Iterator<Item = Weighed> {
        let first = self.sightings.len() + self.tried.len();
        let each = self.times_out.iter().enumerate().filter(move |(_, out)| is_behind(cause, out.at, panel));
        each.filter_map(move |(number, out)| Some((first + number, self.series.as_ref()?.ln_ratio(out))))
    }

    /// An input that was worked without a fall speaks against its own holding the group, little until its modules had their
    /// time to sleep.
    fn not_fallen(&self, cause: Cause, panel: &Panel) -> impl Iterator<Item = Weighed> {
        let holds = move |tried: &TriedInput| match cause {
            Cause::Held(_, HeldBy::Input(holder)) => panel.same_input(tried.input).contains(&holder),
            _ => false,
        };
        let first = self.sightings.len();
        let each = self.tried.iter().enumerate().filter(move |(_, tried)| holds(tried));
        each.map(move |(number, tried)| {
            let still = if tried.is_watched { STILL_UP_LATER } else { STILL_UP_AT_ONCE };
            (first + number, still.ln())
        })
    }

    /// Returns true if an input was worked, with or without others that name it.
    pub(super) fn is_tried(&self, input: InputId, panel: &Panel) -> bool {
        self.tried.iter().any(|tried| panel.same_input(tried.input).contains(&input))
    }

    /// Returns true if a load reported how often it woke the others: then it is told apart from them.
    pub(super) fn has_wakings(&self, kind: PartKind) -> bool {
        let is_it =
            |at: SightingPlace| matches!(at, SightingPlace::Load(load) if kind == PartKind::Load(load));
        self.sightings.iter().any(|sighting| is_it(sighting.at) && counts_wakings(sighting))
    }

    /// Returns true if what is sought has the power to be found so.
    pub fn tells(&self, sign: &Sign) -> bool {
        self.watts >= sign.from_watts
    }
}

/// Returns what to look for first at a load; `None` at a fuse, where nothing shows what a load draws.
pub fn first_sign(at: SightingPlace, panel: &Panel) -> Option<&'static Sign> {
    match at {
        SightingPlace::Load(load) => Signs::builtin().first(class_of_kind(PartKind::Load(load), panel)),
        SightingPlace::Feed(_) | SightingPlace::Input(_) | SightingPlace::Group(_) => None,
    }
}

/// Returns what a report would say of a cause there: an input open, a module awake.
pub fn reported_sign(at: SightingPlace, panel: &Panel) -> Option<&'static Sign> {
    match at {
        SightingPlace::Input(_) => Signs::builtin().of("open", INPUT),
        SightingPlace::Load(load) => Signs::builtin().of("awake", class_of_kind(PartKind::Load(load), panel)),
        SightingPlace::Feed(_) | SightingPlace::Group(_) => None,
    }
}

fn counts_wakings(sighting: &Sighting) -> bool {
    Signs::builtin().sense(&sighting.found) == WAKINGS
}

/// Returns the logarithm of what the findings that speak of two causes count too much if both are counted.
pub(super) fn shared(first: &[Weighed], second: &[Weighed]) -> f64 {
    let both = first.iter().filter(|(number, _)| second.iter().any(|(other, _)| other == number));
    both.map(|(_, ln)| ln).sum()
}

/// Returns the class of what a finding is about: the load or input there, at a fuse what the cause says that draws.
fn class_at(cause: Cause, at: SightingPlace, panel: &Panel) -> &'static str {
    match (at, cause) {
        (SightingPlace::Input(_), _) => INPUT,
        (SightingPlace::Group(_), _) => NETWORK,
        (SightingPlace::Load(load), _) => class_of_kind(PartKind::Load(load), panel),
        (SightingPlace::Feed(_), Cause::Part(_, kind)) => class_of_kind(kind, panel),
        (SightingPlace::Feed(_), Cause::Held(..)) => NETWORK,
        (SightingPlace::Feed(_), Cause::Nothing) => class_of_kind(PartKind::Unlisted, panel),
    }
}

/// Returns true if a cause draws its current at the place of a finding, or is that input; of wakings, if it is what wakes; of
/// how a log rises, if it is that by itself.
fn sits_at(cause: Cause, sighting: &Sighting, panel: &Panel) -> bool {
    sits(cause, sighting.at, [WAKINGS, RISES].contains(&sighting.sense()), panel)
}

/// Returns true if what wakes the vehicle is off its supply with this place out: the cause itself, or the module that holds
/// its network. What else holds a network is in no one place.
pub fn is_behind(cause: Cause, at: SightingPlace, panel: &Panel) -> bool {
    sits(cause, at, true, panel)
}

fn sits(cause: Cause, at: SightingPlace, alone: bool, panel: &Panel) -> bool {
    let draws = |kind: PartKind| match cause {
        Cause::Nothing => false,
        Cause::Part(_, own) => own == kind,
        Cause::Held(_, HeldBy::Module(load)) if kind == PartKind::Load(load) => true,
        Cause::Held(group, _) => !alone && group_of(kind, panel) == Some(group),
    };
    match at {
        SightingPlace::Input(input) => {
            let named = panel.same_input(input);
            matches!(cause, Cause::Held(_, HeldBy::Input(held)) if named.contains(&held))
        }
        SightingPlace::Load(load) => draws(PartKind::Load(load)),
        SightingPlace::Group(group) => matches!(cause, Cause::Held(held, _) if held == group),
        SightingPlace::Feed(feed) => panel.parts.iter().any(|part| {
            // Many nodes have something unlisted: the one of this branch is meant.
            let is_it = match cause {
                Cause::Part(branch, PartKind::Unlisted) => {
                    part.branch == branch && part.kind == PartKind::Unlisted
                }
                _ => draws(part.kind),
            };
            is_it && part.path.contains(&feed)
        }),
    }
}
