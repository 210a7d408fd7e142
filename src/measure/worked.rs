//! Readings for which something was worked or taken off: an input of a network, a part inside an unfused item.
//! Leaves to others: the walk through all readings (`observe`), when an input tells late (`late`).

use super::Reading;
use super::event::{Event, InnerFall, TriedInput};
use super::late::{self, whole_minutes};
use super::observation::Scope;
use super::observe::{ObservationWalk, fall, find_input, wandering};
use crate::base::quantity::{Ampere, Typed, Uncertain};
use crate::circuit::id::{InputId, UnfusedId};
use crate::circuit::inside::InnerPart;
use crate::instrument::uncertainty::{DETECTION, current, placed_current};

/// Above this share of what the total is too high by, a fall is that of the part that draws; below the other, of one that
/// does not. Editorial: between them two parts share it, or the meter can't tell.
const MUCH_OF_ABOVE: f64 = 0.5;
const LITTLE_OF_ABOVE: f64 = 0.15;

impl ObservationWalk<'_> {
    /// A part inside an unfused item was taken off. What falls with it is that item's, as a clamp would read it; what does
    /// not fall says something of the part only.
    pub(super) fn take_inside(
        &mut self,
        reading: &Reading,
        item: UnfusedId,
        part: &'static InnerPart,
        (before, after): (&Uncertain<Ampere>, &Uncertain<Ampere>),
    ) {
        let fall = fall(before, after, &self.panel.map);
        let above = before.value() - Ampere::new(self.panel.normal(Scope::Total, &self.out.interrupted));
        let is_clear = fall.value() > fall.u() * DETECTION;
        let is_it = match fall.value() > above * MUCH_OF_ABOVE {
            true if is_clear => Some(true),
            false if !is_clear || fall.value() < above * LITTLE_OF_ABOVE => Some(false),
            _ => None,
        };
        let told = InnerFall { item, part, fall: fall.value(), above, is_it };
        self.out.events.push((reading.entry, Event::Inside(told)));
        if is_it == Some(true) || (part.reads_item() && is_it == Some(false)) {
            self.observation(reading, Scope::Unfused(item), fall, false);
        }
        // What draws all the same flows in the cable up to the item: then the item's branch is not off.
        if is_it == Some(true) && !self.out.interrupted.items.contains(&item) {
            self.out.interrupted.items.push(item);
        }
    }

    pub(super) fn take_input(
        &mut self,
        reading: &Reading,
        name: &str,
        before: &Typed<Ampere>,
        after: &Typed<Ampere>,
    ) {
        let Some(input) = find_input(self.panel, name) else { return };
        let placed = placed_current(after, &reading.clamp);
        let (before, now) = (current(before, &reading.clamp), current(after, &reading.clamp));
        self.running_total(reading, &before);
        let (fall, wait) = (fall(&before, &now, &self.panel.map), late::wait(input, self.panel));
        if late::is_clear(&fall, &before) {
            self.release(reading, &[input], fall, placed);
        } else {
            let had_time = self.last_at.is_some_and(|last| reading.at - last >= whole_minutes(wait));
            let within = (!had_time).then_some(wait);
            self.out.events.push((reading.entry, Event::NotFallen { input: name.to_owned(), within }));
            self.out.tried.push(TriedInput { input, at: reading.at, is_watched: had_time });
        }
        self.running = Some(now);
    }

    /// The total fell by an input: the last of these, or one of the others.
    pub(super) fn release(
        &mut self,
        reading: &Reading,
        inputs: &[InputId],
        fall: Uncertain<Ampere>,
        after: Uncertain<Ampere>,
    ) {
        let Some((input, others)) = inputs.split_last() else { return };
        let panel = self.panel;
        let name = |input: &InputId| panel.map.input(*input).unwrap_or_default().to_owned();
        if others.is_empty() {
            self.observation(reading, Scope::FallOfInput(*input), fall, false);
        }
        let above = after.value() - panel.asleep();
        // However little that is beside what fell: it may be over the limit.
        let least = (after.u() * DETECTION).max(panel.asleep());
        let left = (above > least).then_some(above);
        let others = others.iter().map(name).collect();
        self.out.events.push((reading.entry, Event::Released { input: name(input), others, left }));
        let groups = inputs.iter().flat_map(|input| panel.same_input(*input)).map(|input| input.group);
        self.out.interrupted.released.extend(groups);
        if left.is_some() {
            // What is left is a total of its own, with the group asleep.
            self.observation(reading, Scope::Total, wandering(after, &self.panel.map), false);
        }
    }
}
