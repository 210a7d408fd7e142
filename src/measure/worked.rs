//! Readings for which something was worked or taken off: an input of a network, a part of an unfused item, a load or a cable.
//! Leaves to others: the walk through all readings (`observe`), when an input tells late (`late`).

use super::Reading;
use super::event::{Event, InnerFall, TriedInput};
use super::late::{self, whole_minutes};
use super::observation::Scope;
use super::observe::{ObservationWalk, fall, find_input, wandering};
use crate::base::quantity::{Ampere, Typed, Uncertain};
use crate::circuit::id::{FeedId, InputId};
use crate::circuit::inside::{InnerPart, Whole};
use crate::instrument::uncertainty::{DETECTION, current, placed_current};

/// Above this share of what the total is too high by, a fall is that of the part that draws; below the other, of one that
/// does not. Editorial: between them two parts share it, or the meter can't tell.
const MUCH_OF_ABOVE: f64 = 0.5;
const LITTLE_OF_ABOVE: f64 = 0.15;

impl ObservationWalk<'_> {
    /// A part was taken off. What falls with it is the whole's, as a reading of it would show; what does not fall says
    /// something of the part only.
    pub(super) fn take_inside(
        &mut self,
        reading: &Reading,
        whole: Whole,
        part: &'static InnerPart,
        (before, after): (&Uncertain<Ampere>, &Uncertain<Ampere>),
    ) {
        let fall = fall(before, after, &self.panel.map);
        let above = before.value() - Ampere::new(self.panel.normal(Scope::Total, &self.out.interrupted));
        let is_clear = fall.value() > fall.u() * DETECTION;
        // What a sound vehicle draws behind the far end of a cable goes off with it and tells nothing.
        let sound = match whole {
            Whole::Cable(feed) => {
                Ampere::new(self.panel.normal(Scope::FallOfFeed(feed), &self.out.interrupted))
            }
            Whole::Item(_) | Whole::Load(_) => Ampere::ZERO,
        };
        let too_much = fall.value() - sound;
        let is_it = match too_much > above * MUCH_OF_ABOVE {
            true if is_clear => Some(true),
            false if !is_clear || too_much < above * LITTLE_OF_ABOVE => Some(false),
            _ => None,
        };
        let told = InnerFall { whole, part, fall: fall.value(), above, is_it };
        self.out.events.push((reading.entry, Event::Inside(told)));
        if is_it == Some(true) || (part.reads_whole() && is_it == Some(false)) {
            let scope = match whole {
                Whole::Item(item) => Scope::Unfused(item),
                Whole::Load(load) => Scope::FallOfLoad(load),
                Whole::Cable(feed) => Scope::FallOfFeed(feed),
            };
            self.observation(reading, scope, fall, false);
        }
        self.part_is_off(whole, is_it == Some(true));
    }

    /// What is off with a part. What draws all the same flows up to it: then only what hangs behind a cable is off.
    fn part_is_off(&mut self, whole: Whole, is_it: bool) {
        let boxed = self.behind(whole);
        let off = &mut self.out.interrupted;
        off.feeds.extend(boxed.into_iter().filter(|feed| !off.feeds.contains(feed)).collect::<Vec<_>>());
        match whole {
            Whole::Item(item) if is_it && !off.items.contains(&item) => off.items.push(item),
            Whole::Load(load) if is_it && !off.loads.contains(&load) => off.loads.push(load),
            Whole::Cable(feed) if is_it && !off.feeds.contains(&feed) => off.feeds.push(feed),
            _ => {}
        }
    }

    /// A part is on again; a fuse that is out by itself stays out.
    pub(super) fn part_is_on(&mut self, whole: Whole) {
        let boxed = self.behind(whole);
        let off = &mut self.out.interrupted;
        match whole {
            Whole::Item(item) => off.items.retain(|out| *out != item),
            Whole::Load(load) => off.loads.retain(|out| *out != load),
            Whole::Cable(cable) => off
                .feeds
                .retain(|out| (*out != cable && !boxed.contains(out)) || self.pulled.contains_key(out)),
        }
    }

    /// The feeds that hang at the far end of a cable.
    fn behind(&self, whole: Whole) -> Vec<FeedId> {
        let Whole::Cable(cable) = whole else { return Vec::new() };
        let feeds = self.panel.map.feeds.iter_ids();
        feeds.filter(|(_, feed)| feed.parent == Some(cable)).map(|(id, _)| id).collect()
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
