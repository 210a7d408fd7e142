//! Columns logged beside the total: how much of each departure a column carries, and which rose first.
//! At its rest the total is the sum of what its columns draw at theirs, so that a column's own rest is what it shows while
//! the total is at its. A rise lies between two samples; where two rises are less than two samples apart, neither is first.
//! Leaves to others: the departures (`settle`), two clocks (`clocks`), what it says of a circuit (`infer/night`).

use super::average::Accuracy;
use super::noise::Noise;
use super::samples::Trace;
use super::settle::Settling;
use super::wake::Wake;
use crate::base::quantity::{Ampere, Minute, Uncertain, Unit};
use crate::instrument::profile::Profile;
use crate::measure::night::ChannelShare;

/// A column beside the total.
#[derive(Debug, Clone, PartialEq)]
pub struct Channel {
    /// Its name: the id of a feed, where it is one.
    pub name: String,
    /// Its samples.
    pub trace: Trace,
    /// When its first sample was taken, on the total's clock, counted from the total's first sample.
    pub begins: Minute,
    /// How uncertain that is: of two clocks laid together.
    pub begins_u: Minute,
    /// Relative standard uncertainty of its conversion to a current.
    pub gain_u: f64,
    /// Meter that wrote it, if it is known.
    pub meter: Option<Profile>,
}

/// What a column shows beside the total.
#[derive(Debug, Clone, PartialEq)]
pub struct ChannelFound {
    /// Its part of the departures.
    pub share: ChannelShare,
    /// What it draws while the total is at rest.
    pub level: Option<Uncertain<Ampere>>,
    /// Its average over the same time as the total's.
    pub average: Option<Uncertain<Ampere>>,
}

/// The rest is read from so many seconds on either side of a departure, or from five samples if that is longer. Editorial:
/// near enough for drift, long enough for a mean.
const BESIDE: f64 = 120.0;

/// A column that carries less than this share of a departure did not rise with it. Editorial.
const ROSE: f64 = 0.05;

/// A rise begins at the first sample so many standard deviations of the noise above the rest …
const CLEAR: f64 = 5.0;

/// … and at this share of its height at least. Editorial.
const FOOT: f64 = 0.2;

/// A rise is looked for from so many seconds before that of the total. Editorial: a meter may average over some.
const EARLIER: f64 = 30.0;

/// Between the two samples of one rise and those of the next must lie one more at least, all but a hair: a change may be seen
/// a sample late.
const APART: f64 = 0.99;

/// Returns what each column shows of the departures of the total.
pub fn channels(found: &Settling, all: &[Channel]) -> Vec<ChannelFound> {
    let views: Vec<View<'_>> = all.iter().map(View::new).collect();
    let total = View::of(&found.trace, 0.0, 0.0);
    let sample = views.iter().chain([&total]).map(|view| view.trace.usual_seconds()).fold(0.0, f64::max);
    let spans = departures(found);
    let mut tallies = vec![Tally::default(); views.len()];
    for wake in &found.wakes {
        let Some((from, to)) = bounds(wake) else { continue };
        let charge = wake.charge.base() * 3600.0;
        let beside = Beside::of(&spans, from, to);
        let own = total.rise(&beside, charge / (to - from).max(f64::MIN_POSITIVE));
        let rises: Vec<Option<(f64, f64)>> =
            views.iter().zip(&mut tallies).map(|(view, tally)| tally.take(view, &beside, charge)).collect();
        take_order(&rises, own, APART * sample, &mut tallies);
    }
    let since = found.after.or_else(|| found.wakes.first().map(|wake| wake.start)).map_or(0.0, seconds);
    all.iter()
        .zip(views.iter().zip(tallies))
        .map(|(channel, (view, tally))| ChannelFound {
            level: view.quantity(channel, &quiet(&spans, since, seconds(found.trace.span()))),
            average: view.quantity(channel, &[(since, f64::INFINITY)]),
            share: tally.finish(&channel.name),
        })
        .collect()
}

fn seconds(time: Minute) -> f64 {
    time.base() * 60.0
}

fn bounds(wake: &Wake) -> Option<(f64, f64)> {
    let from = seconds(wake.start);
    let to = from + seconds(wake.length);
    (to > from).then_some((from, to))
}

/// Every departure, either way, in order of time.
fn departures(found: &Settling) -> Vec<(f64, f64)> {
    let mut all: Vec<(f64, f64)> = found.wakes.iter().chain(&found.dips).filter_map(bounds).collect();
    all.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    all
}

/// The stretches without a departure.
fn quiet(spans: &[(f64, f64)], since: f64, end: f64) -> Vec<(f64, f64)> {
    let starts = std::iter::once(since).chain(spans.iter().map(|(_, to)| *to));
    let ends = spans.iter().map(|(from, _)| *from).chain([end]);
    starts.zip(ends).filter(|(from, to)| from < to).collect()
}

/// A departure with the rest on either side of it.
struct Beside {
    before: (f64, f64),
    inside: (f64, f64),
    after: (f64, f64),
}

impl Beside {
    fn of(spans: &[(f64, f64)], from: f64, to: f64) -> Self {
        let at = spans.partition_point(|(start, _)| *start < from);
        let last = at.checked_sub(1).and_then(|at| spans.get(at)).map_or(f64::NEG_INFINITY, |(_, end)| *end);
        let next = spans.get(at + 1).map_or(f64::INFINITY, |(start, _)| *start);
        Self { before: (last.min(from), from), inside: (from, to), after: (to, next.max(to)) }
    }
}

/// A column on the total's clock.
struct View<'a> {
    trace: &'a Trace,
    /// What its clock is behind the total's, in seconds, and how far that may be off.
    behind: f64,
    spare: f64,
    noise: Noise,
}

impl<'a> View<'a> {
    fn new(channel: &'a Channel) -> Self {
        Self::of(&channel.trace, seconds(channel.begins), 2.0 * seconds(channel.begins_u))
    }

    fn of(trace: &'a Trace, behind: f64, spare: f64) -> Self {
        Self { trace, behind, spare, noise: Noise::of(trace.values(), trace.step().base()) }
    }

    /// The samples of a stretch, as indices.
    fn within(&self, from: f64, to: f64) -> std::ops::Range<usize> {
        let at = |time: f64| self.trace.times().partition_point(|own| *own + self.behind < time);
        at(from)..at(to)
    }

    /// Returns true if it was logging over a stretch, all but a sample.
    fn covers(&self, (from, to): (f64, f64)) -> bool {
        let usual = self.trace.usual_seconds();
        let last = self.trace.times().last().copied().unwrap_or(0.0);
        self.behind <= from + usual && to - usual <= last + self.behind + usual
    }

    /// Mean over some samples, and the seconds that they speak for; nothing without any.
    fn mean(&self, samples: std::ops::Range<usize>) -> Option<(f64, f64)> {
        let (mut held, mut sum) = (0.0, 0.0);
        for at in samples {
            let own = self.trace.held(at);
            held += own;
            sum += own * self.trace.values().get(at).copied().unwrap_or(0.0);
        }
        (held > 0.0).then(|| (sum / held, held))
    }

    /// The rest beside a departure, on both sides as far as there is one; a sample next to it may be part of it.
    fn base(&self, beside: &Beside) -> Option<f64> {
        let usual = self.trace.usual_seconds();
        let reach = BESIDE.max(5.0 * usual);
        let guard = 2.0 * usual + self.spare;
        let side =
            |(from, to): (f64, f64)| self.mean(self.within(from + guard, to - guard)).map(|(mean, _)| mean);
        let (first, end) = beside.inside;
        let before = side((beside.before.0.max(first - reach), beside.before.1));
        let after = side((beside.after.0, beside.after.1.min(end + reach)));
        match (before, after) {
            (Some(before), Some(after)) => Some((before + after) / 2.0),
            (one, other) => one.or(other),
        }
    }

    /// Charge above a rest during a departure, in ampere-seconds.
    fn charge(&self, beside: &Beside, base: f64) -> f64 {
        let guard = self.trace.usual_seconds() + self.spare;
        let from = (beside.inside.0 - guard).max(beside.before.0);
        let to = (beside.inside.1 + guard).min(beside.after.1);
        self.mean(self.within(from, to)).map_or(0.0, |(mean, held)| (mean - base) * held)
    }

    /// When it rose with a departure: between these two moments. `height` is its mean height in it.
    fn rise(&self, beside: &Beside, height: f64) -> Option<(f64, f64)> {
        let base = self.base(beside)?;
        let foot = (CLEAR * self.noise.sigma).max(FOOT * height).max(2.0 * self.trace.step().base());
        let from = (beside.inside.0 - EARLIER - self.spare).max(beside.before.0);
        let values = self.trace.values();
        let risen = |at: &usize| values.get(*at).is_some_and(|value| value - base > foot);
        let at = self.within(from, beside.inside.1 + self.spare).find(risen)?;
        let time = |at: usize| self.trace.times().get(at).map(|own| own + self.behind);
        let last = at.checked_sub(1).and_then(time).unwrap_or(f64::NEG_INFINITY);
        Some((last - self.spare, time(at)? + self.spare))
    }

    /// Its mean over some stretches of the total's clock.
    fn quantity(&self, channel: &Channel, stretches: &[(f64, f64)]) -> Option<Uncertain<Ampere>> {
        let (mut held, mut sum, mut count) = (0.0, 0.0, 0);
        for (from, to) in stretches {
            let samples = self.within(*from, *to);
            count += samples.len();
            if let Some((mean, seconds)) = self.mean(samples) {
                held += seconds;
                sum += mean * seconds;
            }
        }
        let accuracy = Accuracy { noise: self.noise, meter: channel.meter.as_ref(), step: self.trace.step() };
        let mean = (held > 0.0).then(|| sum / held)?;
        Some(accuracy.of(mean, count).with_own(Ampere::new(mean.abs() * channel.gain_u)))
    }
}

/// What a column did over all departures.
#[derive(Debug, Clone, Default)]
struct Tally {
    charge: f64,
    /// Charge of the departures that it covers.
    whole: f64,
    carries: usize,
    with: usize,
    first: usize,
    unclear: usize,
    leads: Vec<f64>,
}

impl Tally {
    /// Counts a departure in, and returns when the column rose with it.
    fn take(&mut self, view: &View<'_>, beside: &Beside, charge: f64) -> Option<(f64, f64)> {
        let base = view.base(beside).filter(|_| view.covers(beside.inside))?;
        self.whole += charge;
        let own = view.charge(beside, base);
        self.charge += own;
        self.carries += usize::from(own > charge / 2.0);
        if own < ROSE * charge {
            return None;
        }
        let (from, to) = beside.inside;
        let rise = view.rise(beside, own / (to - from).max(f64::MIN_POSITIVE))?;
        self.with += 1;
        Some(rise)
    }

    fn finish(mut self, name: &str) -> ChannelShare {
        self.leads.sort_unstable_by(f64::total_cmp);
        ChannelShare {
            name: name.to_owned(),
            share: if self.whole > 0.0 { self.charge / self.whole } else { 0.0 },
            carries: self.carries,
            with: self.with,
            first: self.first,
            unclear: self.unclear,
            lead: self.leads.get(self.leads.len() / 2).map(|lead| Minute::new(lead / 60.0)),
        }
    }
}

/// Tells which column rose first, if the samples tell it. Where the total rose before any of them, something else did.
fn take_order(rises: &[Option<(f64, f64)>], total: Option<(f64, f64)>, apart: f64, tallies: &mut [Tally]) {
    let mut risen: Vec<(usize, (f64, f64))> =
        rises.iter().enumerate().filter_map(|(at, rise)| Some((at, (*rise)?))).collect();
    risen.sort_by(|a, b| a.1.1.total_cmp(&b.1.1));
    let Some((at, (from, to))) = risen.first().copied() else { return };
    if total.is_some_and(|(_, end)| end + apart <= from) {
        return;
    }
    let later = risen.iter().skip(1).map(|(_, rise)| *rise);
    if later.clone().all(|(start, _)| to + apart <= start) {
        let Some(tally) = tallies.get_mut(at) else { return };
        tally.first += 1;
        // Each rise is half way between its two samples.
        let middle = |(from, to): (f64, f64)| (from.max(to - 3600.0) + to) / 2.0;
        tally.leads.extend(later.map(middle).reduce(f64::min).map(|next| next - middle((from, to))));
        return;
    }
    for (at, (start, _)) in &risen {
        if *start < to + apart {
            tallies.get_mut(*at).into_iter().for_each(|tally| tally.unclear += 1);
        }
    }
}
