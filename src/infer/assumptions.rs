//! Every judgement that inference and planning rest on and that no reading gives: each with its value, its unit and its
//! basis. None is measured: "Editorial" says why it is thought so.
//! Leaves to others: how exactly something is reckoned (there), the weights of causes and figures of loads (`circuits/`),
//! the judgements of the balance (`balance/assumptions`).

use crate::base::quantity::{Ampere, Minute};

// Before any reading.

/// Probability that nothing is wrong although somebody complains. Editorial: a tired battery and an unusual habit
/// bring people in too, but most who complain have a draw.
pub const NOTHING_WRONG: f64 = 0.09;
/// Probability that a fault is away at the moment, so that the vehicle reads sound. Editorial: rare, for whoever
/// measures has mostly just seen it go flat.
pub const NOT_NOW: f64 = 0.01;
/// Probability that a meter log shows too much charge above the rest although nothing of the vehicle came and went.
/// Editorial: somebody opened it and told nobody, or it is the log of another vehicle; rare.
pub const LOG_MISLEADS: f64 = 0.002;
/// Probability of a second cause beside the first. Editorial: rare, yet never out of the question.
pub const SECOND_CAUSE: f64 = 0.15;
/// How far a settled total may be from the limit, as the standard deviation of its logarithm, and still be what a
/// vehicle goes flat by, or not: at the limit half of them are. Far less flattens no battery, so that nobody complains
/// of it. Editorial: about as the limits spread that are printed, 20 to 85 mA (`circuits/limits.yaml`).
pub const FLATTENS: f64 = 0.4;
/// A settled draw so many times smaller than the least that the time to flat tells of is not what flattens it.
/// Editorial: people tell times roughly.
pub const FAR_LESS: f64 = 2.0;
/// Share of add-on devices that no map lists. Editorial: they come after the map is drawn.
pub const ADD_ON_UNLISTED: f64 = 0.6;
/// Share of every other listed cause that turns out to be something the map doesn't list. Editorial: maps leave out
/// little that was built in.
pub const LOAD_UNLISTED: f64 = 0.10;
/// How much likelier something unlisted sits at the battery post than on any one feed. Editorial: nothing is easier to
/// tie in there.
pub const BATTERY_POST: f64 = 3.0;
/// The same of a feed with feeds below it. Editorial: a long cable with its joints, and where add-ons like to be tied
/// in.
pub const CABLE_NODE: f64 = 2.0;
/// The same of a restraint or high-voltage feed. Editorial: nobody ties anything in there.
pub const LEFT_ALONE: f64 = 0.2;
/// Median excess of something unlisted. Editorial: what an add-on left on draws, from a tracker to an amplifier.
pub const UNLISTED_MEDIAN: Ampere = Ampere::from_milli(150.0);
/// Standard deviation of its logarithm. Editorial: a factor of three either way, for it can be anything.
pub const UNLISTED_LN_SD: f64 = 1.1;
/// Least spread of the size of an excess: standard deviation of its logarithm. Editorial: a catalogue figure is a
/// guide, not a measurement.
pub const LEAST_SIZE_SPREAD: f64 = 0.9;
/// How the excess of a load on two feeds may be split between them: share on the first, weight. Editorial: mostly both
/// carry some, one alone is possible.
pub const FEED_SPLITS: [(f64, f64); 5] = [(0.0, 0.15), (0.25, 0.2), (0.5, 0.3), (0.75, 0.2), (1.0, 0.15)];
/// Spread of the asleep currents that all loads of one vehicle share, relative to the map's figures. Editorial: one
/// vehicle's modules sleep deeper than another's.
pub const SHARED_SCALE: f64 = 0.2;

// Wake groups held awake.

/// Share of held groups that are held by something the map doesn't list as an input. Editorial: maps list the inputs
/// that are well known.
pub const UNKNOWN_INPUT: f64 = 0.2;
/// Share of those that are held by one of the group's own modules, each of them alike. Editorial: as often as by an
/// input that nobody listed.
pub const BY_MODULE: f64 = 0.5;
/// Activity of a held group, as a share of the awake currents of the map: median and standard deviation of the
/// logarithm. Editorial: below one, for a group seldom does all of its work while it is held.
pub const HELD_ACTIVITY: (f64, f64) = (0.6, 0.7);
/// How far single modules of a group held as a whole depart from the common activity, relative. Editorial: they do
/// different work.
pub const MODULE_SPREAD: f64 = 0.35;
/// The same where only a part of its modules stays awake. Editorial: those that sleep are at zero.
pub const PART_SPREAD: f64 = 1.0;
/// Share of held groups in which one module alone stays awake. Editorial, with the next: about half of the groups are
/// held whole.
pub const HELD_ALONE: f64 = 0.25;
/// Share of held groups of which a part stays awake, more than one module. Editorial, as above.
pub const HELD_IN_PART: f64 = 0.3;
/// Chance that one given module of a partly held group sleeps. Editorial: even, for nothing tells.
pub const MODULE_SLEEPS: f64 = 0.5;
/// A module sleeps if its fuse carries less than this share of what it would draw too much awake. Editorial: well
/// below half, since the figures of a map are rough.
pub const MODULE_QUIET: f64 = 0.3;
/// Modules of a held group that the map puts elsewhere or leaves out: standard deviation at each branch of the
/// battery, as a share of what the listed ones that are awake draw together. Editorial: a map misses a module or two of a bus.
pub const MODULES_ELSEWHERE: f64 = 0.12;

// Readings that mislead.

/// Probability that the total stands as high just after the input that holds a group was worked: its modules may not sleep
/// yet. Editorial: some timers run for a second, some for ten minutes.
pub const STILL_UP_AT_ONCE: f64 = 0.3;
/// The same once its modules had their time to sleep. Editorial: it may not have been worked all the way, or need a door's
/// time more.
pub const STILL_UP_LATER: f64 = 0.01;

/// Probability that a known series of wake-ups is not of what is sought, or that they were counted wrongly. Editorial.
pub const STRAY_SERIES: f64 = 0.05;
/// Probability of a further wake-up of something else in a time in which a fuse is left out. Editorial: a key that passes by,
/// a call of the maker's service.
pub const FOREIGN_WAKE: f64 = 0.05;

/// Probability that one given reading is bad. Editorial: another make of fuse, a unit slip, a woken module are rare.
pub const BAD_READING: f64 = 0.004;
/// The same of the total. Editorial: likelier, for a module that slept late may still have been awake.
pub const STALE_TOTAL: f64 = 0.02;
/// How far off a bad reading is: standard deviation as a share of the largest reading, and at least, in ampere.
/// Editorial: as far as a module or a slip of the unit takes it.
pub const BAD_READING_OFF: (f64, f64) = (0.5, 0.03);
/// Share of faults that end when their supply is taken away. Editorial: hung modules are common, most faults stay.
pub const HUNG_MODULE: f64 = 0.25;
/// Chance that a draw ends by itself in the minute of a pull. Editorial: modules that work now and then do.
pub const ENDS_BY_ITSELF: f64 = 0.02;
/// A pull that takes more than this share of the excess may have cured the fault: its fuse goes back at once. Editorial:
/// what takes less leaves the cause where it was, and its fuse may stay out until the end.
pub const MUCH_OF_EXCESS: f64 = 0.3;
/// Probability that a pull wakes a group, which costs the wait until it sleeps again. Editorial: one in five, from the
/// trade's practice.
pub const WAKE_RISK: f64 = 0.2;

// What is told, and when to stop.

/// Pairs below this probability are not listed. Editorial: nobody follows them up.
pub const WORTH_LISTING: f64 = 1e-3;
/// Standard deviations above normal from which a reading is clear. Editorial: more of them say no more, a narrower
/// node does.
pub const CLEAR_ENOUGH: f64 = 5.0;
/// Probability from which a branch is said to draw too much, if only a little. Editorial: likelier than not.
pub const PROBABLY: f64 = 0.5;
/// A branch that draws too much is no cause if it matters with less than this share of that probability. Editorial:
/// likelier not than so.
pub const MATTERS_LITTLE: f64 = 0.5;
/// Probability at which a branch or group counts as decided. Editorial: wrong once in twenty, which the proof after
/// the repair then finds.
pub const DECIDED: f64 = 0.95;
/// Probability from which not even a cheap reading is looked for. Editorial: no reading is surer than that.
pub const BEYOND_DOUBT: f64 = 0.99;
/// Probability from which a group is likely held. Editorial: likelier than not.
pub const LIKELY_HELD: f64 = 0.5;
/// A reading worth less than this, in bits, tells nothing. Editorial: it would be taken in vain nearly always.
pub const NOTHING_TO_GAIN: f64 = 0.03;
/// The same once the circuit is decided, of readings that narrow within it. Editorial: more is asked of them, for the
/// repair may begin.
pub const NARROWS_NOTHING: f64 = 0.05;
/// What it costs to name the wrong circuit, in minutes: the search goes on only while it is likely to save that.
/// Editorial: about what taking a sound part out and back again takes.
pub const WRONG_NAME: Minute = Minute::new(60.0);
/// For the search: standard deviations above normal from which a reading shows something. Editorial: as in a plain
/// test at 95 %.
pub const SHOWS_SOMETHING: f64 = 2.0;
/// For the search: standard deviations below the whole excess from which a reading shows all of it. Editorial: the
/// same.
pub const SHOWS_ALL: f64 = 2.0;
/// For the search: chances nearer to 0 or 1 than this are 0 or 1. Editorial: keeps its tree small, and loses few
/// outcomes.
pub const SURE_CHANCE: f64 = 0.2;
/// For the search: what an outcome too rare to be followed is taken to cost, in minutes. Editorial: a reading or two
/// more.
pub const RARE_OUTCOME: f64 = 4.0;

// Minutes of work, from the trade's practice, without the way to the box. All editorial.

/// Reading the total once more.
pub const MINUTES_TOTAL: Minute = Minute::new(0.5);
/// Shorting the leads and reading the offset.
pub const MINUTES_ZERO: Minute = Minute::new(0.3);
/// Millivolts across a fuse.
pub const MINUTES_DROP: Minute = Minute::new(0.4);
/// One fuse of those that are read along a row before anything is typed. Editorial: the tips move on to the next fuse, the
/// eyes stay on the display.
pub const MINUTES_IN_ROUND: Minute = Minute::new(0.25);
/// Typing what such a round showed. Editorial: `none`, or the few that are high.
pub const MINUTES_ROUND_TYPED: Minute = Minute::new(0.4);
/// The clamp on a cable at the battery.
pub const MINUTES_CLAMP_ON_BATTERY: Minute = Minute::new(1.2);
/// The clamp on a wire elsewhere.
pub const MINUTES_CLAMP: Minute = Minute::new(3.0);
/// Pulling a fuse, and the total before and after.
pub const MINUTES_PULL: Minute = Minute::new(5.0);
/// The same where nothing sleeps late and the ammeter is in series.
pub const MINUTES_PULL_AT_ONCE: Minute = Minute::new(1.5);
/// Putting a fuse back, and the total afterwards, without the wait until what it woke sleeps again.
pub const MINUTES_REFIT: Minute = Minute::new(1.0);
/// Unplugging a load, and the total before and after.
pub const MINUTES_UNPLUG: Minute = Minute::new(5.0);
/// Looking at a load, or feeling it.
pub const MINUTES_LOOK: Minute = Minute::new(0.5);
/// Reading on a scan tool what the vehicle says of an input or a module.
pub const MINUTES_REPORT: Minute = Minute::new(0.5);
/// Working an input, and the total before and after.
pub const MINUTES_INPUT: Minute = Minute::new(1.0);
/// Switching a known load on at a fuse, and millivolts before and after.
pub const MINUTES_STEP: Minute = Minute::new(2.0);
/// A known load as it is at hand. Editorial: a lamp of 12 W.
pub const KNOWN_LOAD: Ampere = Ampere::new(1.0);

// Rounds.

/// Fewest fuses that are read along a row. Editorial: two are typed as fast.
pub const FEWEST_IN_ROUND: usize = 3;
/// A fuse of a round is high from this share of what is sought on. Editorial: a second cause seldom draws less beside the
/// first, and what is less is found once the first is mended.
pub const HIGH_SHARE: f64 = 0.25;
/// Once a cause is found, a fuse of a round is high from this share of what a second must draw to matter. Editorial: what is
/// half as much matters only together with others.
pub const HIGH_SHARE_OF_SECOND: f64 = 0.5;
