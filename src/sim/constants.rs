//! Every constant of the simulated world, in one place: unit, meaning, basis.
//! The world is kept apart from what the estimator assumes: other spreads, other shapes, other weights, wrong names
//! on the lid, fuses of odd make. Unless a basis is named, a figure is editorial: invented for practice.
//! Leaves to others: drawing from them (`vehicle`, `fault`, `wiring`, `meters`).

use crate::base::quantity::{Ampere, AmpereHour, Celsius, Minute, Volt};

// ---- asleep and awake currents -------------------------------------------------------------------------------------

/// Spread of a load's true asleep current about the map's: standard deviation of the natural logarithm.
pub const ASLEEP_LN_SD: f64 = 0.40;
/// Spread that all loads of one vehicle share (fitted options, software): standard deviation of the logarithm.
pub const ASLEEP_VEHICLE_LN_SD: f64 = 0.15;
/// Spread of a load's true awake current about the map's: standard deviation of the logarithm.
pub const AWAKE_LN_SD: f64 = 0.30;
/// Highest total of a sound vehicle, as a share of its limit; a draw above it is scaled down to it.
pub const SOUND_AT_MOST: f64 = 0.80;
/// Spread of what a source (converter, second battery, solar) carries asleep, either way: standard deviation.
pub const SOURCE_SD: Ampere = Ampere::from_milli(2.0);

// ---- what the map does not know ------------------------------------------------------------------------------------

/// Unlisted loads per listed load: each listed load brings, with this probability, one that the map leaves out.
pub const UNLISTED_SHARE: f64 = 0.10;
/// Share of the unlisted loads that hang at the battery post instead of on a feed.
pub const UNLISTED_AT_BATTERY: f64 = 0.12;
/// Median asleep current of an unlisted load.
pub const UNLISTED_MEDIAN: Ampere = Ampere::from_milli(1.5);
/// Spread of the asleep current of unlisted loads: standard deviation of the logarithm.
pub const UNLISTED_LN_SD: f64 = 0.8;
/// Share of loads that hang on another feed than the lid says (two names swapped).
pub const MISNAMED_SHARE: f64 = 0.03;
/// Share of loads on two feeds though the map tells of one only.
pub const TWICE_FED_UNTOLD: f64 = 0.02;
/// Least share that one of two feeds carries of a twice-fed load; the split is uniform from here to one minus this.
pub const TWICE_FED_LEAST: f64 = 0.25;

// ---- fuses ---------------------------------------------------------------------------------------------------------

/// Fuse to fuse of one make: standard deviation of the resistance, relative. Basis: several makers' bands have
/// half-widths of 2–6 %.
pub const FUSE_SD: f64 = 0.04;
/// Make of one family in one vehicle against the table's maker: uniform half-width, relative. Basis: same maker,
/// regular against mini blade, differ by −8…+7 %; named second makers are rare.
pub const MAKE_HALF_WIDTH: f64 = 0.09;
/// Share of fuses that somebody replaced by one of an odd make.
pub const ODD_MAKE_SHARE: f64 = 0.03;
/// Odd makes: lowest and highest factor on the resistance. Basis: errors up to 30 % are told in the trade.
pub const ODD_MAKE_RANGE: (f64, f64) = (0.72, 1.35);
/// Spread of a resistance that the map says was measured: relative standard deviation.
pub const MEASURED_SD: f64 = 0.015;
/// Test points leave part of the blade legs out: highest shortfall per ampere of rating, uniform from zero.
/// Basis: about 5 % at 10 A and 18–20 % at 30 A for the whole legs, of which the points leave out a part.
pub const POINTS_SHORTFALL_PER_AMPERE: f64 = 0.004;
/// The shortfall at test points is never more than this, relative.
pub const POINTS_SHORTFALL_MOST: f64 = 0.14;
/// Temperature coefficient of the element: lowest and highest, per kelvin. Basis: zinc 0.0038, copper up to 0.0040.
pub const ALPHA_RANGE: (f64, f64) = (0.0036, 0.0040);
/// Cold resistance of a feed without any figure: `a · (rating/A)^b` milliohm, `a` here. Basis: the law fitted to the
/// blade-like families' sheets; for other forms it is no more than a plausible size.
pub const LAW_MOHM: f64 = 126.7;
/// Exponent of that law.
pub const LAW_EXPONENT: f64 = -1.222;
/// Spread about that law: standard deviation of the logarithm.
pub const LAW_LN_SD: f64 = 0.15;

// ---- temperature ---------------------------------------------------------------------------------------------------

/// Mean temperature of the place where the work is done.
pub const AMBIENT_MEAN: Celsius = Celsius::new(16.0);
/// Its standard deviation from vehicle to vehicle.
pub const AMBIENT_SD: Celsius = Celsius::new(8.0);
/// Coldest and warmest place.
pub const AMBIENT_RANGE: (Celsius, Celsius) = (Celsius::new(-8.0), Celsius::new(36.0));
/// Box against the place: mean (boxes under a bonnet keep some heat).
pub const BOX_WARMTH_MEAN: Celsius = Celsius::new(2.0);
/// Box against the place: standard deviation.
pub const BOX_WARMTH_SD: Celsius = Celsius::new(3.0);
/// Error of the thermometer: standard deviation.
pub const THERMOMETER_SD: Celsius = Celsius::new(1.2);

// ---- meters --------------------------------------------------------------------------------------------------------

/// Offset of the voltmeter, as a share of its stated counts: standard deviation of a normal, cut at the counts.
pub const OFFSET_SD_OF_COUNTS: f64 = 0.5;
/// Drift of that offset: standard deviation between meters, in counts of the last digit per hour.
pub const OFFSET_DRIFT_SD: f64 = 0.12;
/// Gain error, as a share of the stated percent: uniform half-width.
pub const GAIN_OF_PERCENT: f64 = 0.9;
/// Noise of a voltmeter reading: standard deviation, in counts of the last digit.
pub const VOLTS_NOISE_COUNTS: f64 = 0.25;
/// Thermal voltage between the probe contacts of one reading: standard deviation. Basis: copper–brass 3 µV/K times
/// about 1.5 K.
pub const THERMAL_SD: Volt = Volt::new(4.5e-6);
/// Noise of a clamp reading: standard deviation, in counts of the last digit.
pub const CLAMP_NOISE_COUNTS: f64 = 0.5;
/// Offset of a clamp each time it is put on anew (zeroed beside the cable), as a share of its stated counts:
/// standard deviation of a normal, cut at the counts.
pub const CLAMP_OFFSET_SD_OF_COUNTS: f64 = 0.35;
/// Flutter of a vehicle's own draw while it is read: standard deviation, relative to the current.
pub const FLUTTER: f64 = 0.002;
/// Last digit of the thermometer.
pub const THERMOMETER_STEP: Celsius = Celsius::new(1.0);
/// Last digit of battery volts.
pub const BATTERY_VOLTS_STEP: Volt = Volt::new(0.01);
/// Noise of battery volts: standard deviation.
pub const BATTERY_VOLTS_NOISE: Volt = Volt::new(0.006);

// ---- the hidden fault ----------------------------------------------------------------------------------------------

/// Weight of a listed load that draws too much.
pub const WEIGHT_LOAD: f64 = 45.0;
/// Weight of an unlisted load on a feed that draws too much.
pub const WEIGHT_UNLISTED: f64 = 13.0;
/// Weight of a cable or fitting behind a feed that has feeds below it and no loads of its own.
pub const WEIGHT_LINK_UNLISTED: f64 = 4.0;
/// Weight of an unfused item that draws too much.
pub const WEIGHT_UNFUSED: f64 = 10.0;
/// Weight of something unlisted at the battery post.
pub const WEIGHT_BATTERY_UNLISTED: f64 = 4.0;
/// Weight of a wake group held awake by one of its inputs.
pub const WEIGHT_HELD: f64 = 24.0;

/// How likely a kind of load is the faulty one, and how much it then draws too much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KindOfExcess {
    /// Parts of the kind's or load's name that mark it, lower case; the first row that fits is taken.
    pub words: &'static [&'static str],
    /// Weight among the listed loads.
    pub weight: f64,
    /// Median excess.
    pub median: Ampere,
    /// Spread: standard deviation of the logarithm.
    pub ln_sd: f64,
    /// Probability that it is a hung module, which a pull of its fuse cures.
    pub hung: f64,
}

/// A row of the table of kinds.
const fn kind(
    words: &'static [&'static str],
    weight: f64,
    median_ma: f64,
    ln_sd: f64,
    hung: f64,
) -> KindOfExcess {
    KindOfExcess { words, weight, median: Ampere::from_milli(median_ma), ln_sd, hung }
}

/// Kinds of load. Sizes lie about the awake or failed currents that the trade tells of; weights are this world's own.
pub const KINDS: [KindOfExcess; 16] = [
    kind(
        &["dongle", "plug-in", "add-on", "addon", "accessor", "tow", "dash cam", "dashcam"],
        14.0,
        130.0,
        0.6,
        0.05,
    ),
    kind(&["tracker"], 6.0, 70.0, 0.5, 0.15),
    kind(&["telematic", "phone"], 9.0, 210.0, 0.4, 0.5),
    kind(&["audio", "radio", "amplifier", "amp", "navigation", "infotainment"], 9.0, 260.0, 0.5, 0.3),
    kind(&["lamp", "headlamp", "light"], 8.0, 420.0, 0.5, 0.0),
    kind(&["relay"], 6.0, 165.0, 0.35, 0.05),
    kind(&["pump", "compressor", "clutch", "glow"], 2.0, 2800.0, 0.5, 0.0),
    kind(&["blower", "fan", "heater"], 3.0, 900.0, 0.7, 0.0),
    kind(&["body", "bcm", "gateway"], 6.0, 520.0, 0.5, 0.35),
    kind(&["engine", "ecu", "ecm", "transmission"], 5.0, 320.0, 0.5, 0.35),
    kind(&["cluster", "instrument"], 4.0, 260.0, 0.5, 0.3),
    kind(&["climate", "seat", "door", "window", "roof", "mirror"], 6.0, 180.0, 0.6, 0.25),
    kind(&["alarm", "immobil", "keyless", "lock"], 5.0, 110.0, 0.6, 0.25),
    kind(&["socket", "usb", "outlet", "charger"], 7.0, 240.0, 0.8, 0.0),
    kind(&["airbag", "restraint", "brake", "steering"], 1.5, 210.0, 0.6, 0.3),
    kind(&[], 3.0, 200.0, 0.8, 0.15),
];

/// An unlisted load or a leak: median excess.
pub const UNLISTED_EXCESS_MEDIAN: Ampere = Ampere::from_milli(230.0);
/// Its spread: standard deviation of the logarithm.
pub const UNLISTED_EXCESS_LN_SD: f64 = 0.8;
/// An unfused item (alternator, cable): median excess.
pub const UNFUSED_EXCESS_MEDIAN: Ampere = Ampere::from_milli(330.0);
/// Its spread: standard deviation of the logarithm.
pub const UNFUSED_EXCESS_LN_SD: f64 = 0.9;
/// No fault draws more than this share of the rating of a fuse above it.
pub const EXCESS_AT_MOST_OF_RATING: f64 = 0.6;
/// Share of held groups of which every load stays awake; in the others each load does with `HELD_EACH`.
pub const HELD_WHOLE: f64 = 0.6;
/// Probability that one load of a partly held group stays awake.
pub const HELD_EACH: f64 = 0.55;
/// What a held load draws against its awake current: lowest and highest factor, uniform.
pub const HELD_LEVEL: (f64, f64) = (0.4, 1.0);
/// The settled total is at least this many times the limit: the vehicle really goes flat.
pub const OVER_LIMIT_AT_LEAST: f64 = 1.6;
/// Largest factor by which one fault's excess is drawn above that least total when its own size fell short,
/// uniform from one.
pub const RAISED_AT_MOST: f64 = 1.5;
/// The limit when the map states none, for a passenger car. Basis: 50 mA, several trade sources.
pub const LIMIT_CAR: Ampere = Ampere::from_milli(50.0);
/// The same for a motorcycle. Basis: 1.2–1.5 mA in two owner's manuals.
pub const LIMIT_MOTORCYCLE: Ampere = Ampere::from_milli(1.5);
/// The same for a boat. Basis: under 1 mA with all off.
pub const LIMIT_BOAT: Ampere = Ampere::from_milli(1.0);
/// The same for a truck: no published figure was found.
pub const LIMIT_TRUCK: Ampere = Ampere::from_milli(80.0);

/// In scoring: weight of one cause (a held group counts as one).
pub const MIX_ONE: f64 = 0.60;
/// In scoring: weight of two causes.
pub const MIX_TWO: f64 = 0.25;
/// In scoring: weight of nothing wrong.
pub const MIX_NOTHING: f64 = 0.15;

// ---- pulls, refits, sleep ------------------------------------------------------------------------------------------

/// Probability that the wake-group neighbours of a pulled fuse's loads wake when their partner goes.
pub const PULL_WAKES: f64 = 0.15;
/// How long they then stay awake, against their own sleep time: lowest and highest factor.
pub const PULL_WAKE_TIME: (f64, f64) = (0.2, 0.6);
/// Probability that a load is awake for a while after its fuse is refitted.
pub const REFIT_WAKES: f64 = 0.7;
/// How long it then stays awake, against its own sleep time: lowest and highest factor.
pub const REFIT_WAKE_TIME: (f64, f64) = (0.3, 1.0);
/// Spread of a load's sleep time about the map's: standard deviation of the logarithm.
pub const SLEEP_LN_SD: f64 = 0.15;
/// No load sleeps later than this many times the longest sleep time that the map states for the vehicle.
pub const SLEEP_AT_MOST: f64 = 1.2;
/// After an input is worked its bus goes quiet by itself; loads without a sleep time of their own take this long.
pub const BUS_QUIET: Minute = Minute::new(1.5);

// ---- battery -------------------------------------------------------------------------------------------------------

/// Rested volts of a 12 V battery at the start: lowest and highest, uniform; scaled to the system.
pub const RESTED_VOLTS: (Volt, Volt) = (Volt::new(12.38), Volt::new(12.72));
/// Volts with the engine running on a 12 V system: lowest and highest, uniform; scaled to the system.
pub const RUNNING_VOLTS: (Volt, Volt) = (Volt::new(13.9), Volt::new(14.6));
/// Fall of the rested volts per ampere-hour drawn, on a 12 V battery. Basis: about 0.7 V over 60 Ah.
pub const VOLTS_PER_AMPERE_HOUR: Volt = Volt::new(0.012);

// ---- how long the work takes ---------------------------------------------------------------------------------------

/// Leads shorted and the offset read.
pub const MINUTES_ZERO: Minute = Minute::new(0.3);
/// Battery volts read.
pub const MINUTES_VOLTS: Minute = Minute::new(0.5);
/// Engine run and volts read.
pub const MINUTES_RUNNING: Minute = Minute::new(3.0);
/// Temperature of one box read.
pub const MINUTES_TEMPERATURE: Minute = Minute::new(0.5);
/// Reading on a scan tool what the vehicle says of an input or a module.
pub const MINUTES_REPORT: Minute = Minute::new(0.5);
/// Looking at a load, or feeling it.
pub const MINUTES_LOOK: Minute = Minute::new(0.5);
/// Total read with the clamp in place.
pub const MINUTES_TOTAL: Minute = Minute::new(0.3);
/// Drop across one fuse read.
pub const MINUTES_DROP: Minute = Minute::new(0.4);
/// The same as one of several along a row, before anything is typed.
pub const MINUTES_IN_ROUND: Minute = Minute::new(0.25);
/// Typing what was read along a row.
pub const MINUTES_ROUND_TYPED: Minute = Minute::new(0.4);
/// Clamp on a cable at the battery.
pub const MINUTES_CLAMP_BATTERY: Minute = Minute::new(1.2);
/// Clamp elsewhere.
pub const MINUTES_CLAMP: Minute = Minute::new(3.0);
/// A fuse pulled and the total read before and after.
pub const MINUTES_PULL: Minute = Minute::new(5.0);
/// From the pull itself to the reading after it, part of `MINUTES_PULL`.
pub const MINUTES_AFTER_PULL: Minute = Minute::new(1.0);
/// A fuse refitted and the total read.
pub const MINUTES_REFIT: Minute = Minute::new(1.0);
/// A load unplugged and the total read before and after.
pub const MINUTES_UNPLUG: Minute = Minute::new(5.0);
/// A load plugged in again.
pub const MINUTES_REPLUG: Minute = Minute::new(1.0);
/// An input worked, before the wait for its group to sleep again.
pub const MINUTES_INPUT: Minute = Minute::new(1.0);
/// A known load switched on and both drops read.
pub const MINUTES_STEP: Minute = Minute::new(2.0);
/// The known load of a step: lowest and highest current, uniform. Basis: lamps of 12 to 40 W.
pub const STEP_CURRENT: (Ampere, Ampere) = (Ampere::new(1.0), Ampere::new(3.2));
/// The known load of a step is never more than this share of the fuse's rating.
pub const STEP_AT_MOST_OF_RATING: f64 = 0.25;

// ---- nights ---------------------------------------------------------------------------------------------------------

/// A telematics unit checks in: least and longest period. Basis: 9–10 min, a maker's bulletin.
pub const PULSE_PERIOD: (Minute, Minute) = (Minute::new(9.0), Minute::new(10.0));
/// How long it is up: least and longest. Basis: 45 s, the same bulletin.
pub const PULSE_LASTS: (Minute, Minute) = (Minute::new(0.65), Minute::new(0.85));
/// What it draws more then: least and most. Basis: 80–240 mA, the same bulletin.
pub const PULSE_MORE: (Ampere, Ampere) = (Ampere::from_milli(100.0), Ampere::from_milli(220.0));
/// Spread of how long one is up: relative standard deviation.
pub const PULSE_JITTER: f64 = 0.05;
/// A converter supports the 12 V battery: least and longest period. Shorter than in life, so that a night shows it.
pub const SUPPORT_PERIOD: (Minute, Minute) = (Minute::new(160.0), Minute::new(220.0));
/// How long it does: least and longest.
pub const SUPPORT_LASTS: (Minute, Minute) = (Minute::new(12.0), Minute::new(25.0));
/// What then flows more from the battery: the current reverses. Strongest and weakest.
pub const SUPPORT_MORE: (Ampere, Ampere) = (Ampere::new(-9.0), Ampere::new(-4.0));

// ---- what the customer tells ---------------------------------------------------------------------------------------

/// What a battery of the usual size gives until it no longer cranks; the complaint follows from it.
pub const USABLE: AmpereHour = AmpereHour::new(30.0);
/// The same of a motorcycle.
pub const USABLE_MOTORCYCLE: AmpereHour = AmpereHour::new(4.0);
/// The same of a truck.
pub const USABLE_TRUCK: AmpereHour = AmpereHour::new(80.0);
/// Chance that a customer tells of a device that was added, where an add-on is the cause.
pub const TELLS_ADD_ON: f64 = 0.7;
/// The same where something unlisted is the cause: it was fitted by somebody, but perhaps before the customer's time.
pub const TELLS_UNLISTED: f64 = 0.4;
/// The same where something else is the cause.
pub const TELLS_ADD_ON_ANYWAY: f64 = 0.08;
/// Chance that a customer tells of work on the vehicle, whatever the cause.
pub const TELLS_WORK: f64 = 0.15;
/// Chance that a customer tells of water, whatever the cause: this world has no leaks.
pub const TELLS_WATER: f64 = 0.04;
/// Chance that a customer tells of something left plugged in, where a socket or a plug-in is the cause.
pub const TELLS_PLUGGED: f64 = 0.6;
/// The same where something else is the cause.
pub const TELLS_PLUGGED_ANYWAY: f64 = 0.1;
/// Chance that a customer can tell that it goes flat every time; the others don't know.
pub const TELLS_ALWAYS: f64 = 0.6;
/// Draw that the complaint reckons with at least.
pub const LEAST_DRAW: Ampere = Ampere::from_milli(1.0);

// ---- looks ---------------------------------------------------------------------------------------------------------

/// Power of a lamp below which nobody sees it, in watt: a light-emitting diode that only glimmers.
pub const LAMP_DARK_BELOW: f64 = 0.05;
/// Power of a lamp from which everybody sees it, in watt.
pub const LAMP_LIT_FROM: f64 = 0.6;
/// Lamps: share of those lit that are overlooked, and of those dark that are taken for lit.
pub const LAMP_ERRORS: (f64, f64) = (0.06, 0.004);
/// Power below which nothing feels warm, in watt.
pub const COLD_BELOW: f64 = 0.3;
/// Power from which a hand or a thermal camera tells warmth for certain, in watt. Basis: a small case warms by some 10 K
/// per watt.
pub const WARM_FROM: f64 = 3.0;
/// Warmth: share that is overlooked, and share that is felt where nothing draws (sun, a lamp beside it).
pub const WARMTH_ERRORS: (f64, f64) = (0.25, 0.05);
/// Reports of inputs: share of those that hold a network awake and are reported shut (a contact that bounces), and of sound
/// ones that are reported open.
pub const INPUT_REPORT_ERRORS: (f64, f64) = (0.12, 0.02);
/// Reports of modules: share of those awake that are reported asleep, and of those asleep that are reported awake (asked awake
/// by the tool).
pub const MODULE_REPORT_ERRORS: (f64, f64) = (0.15, 0.06);
/// A module is awake if it draws more than this share of what it draws awake, and more than so many times its asleep current.
pub const AWAKE_FROM: (f64, f64) = (0.2, 2.0);

// ---- as found ------------------------------------------------------------------------------------------------------

/// Share of vehicles on which something draws as found that a door or the key ends for good: a module that hung, a latch
/// that had not closed all the way. Basis: the trade tells of draws that are "gone since it was opened"; the share is
/// editorial.
pub const GONE_ONCE_TOUCHED: f64 = 0.06;
/// What that draws, as a share of the awake current of the module that hangs: lowest and highest, uniform.
pub const GONE_LEVEL: (f64, f64) = (0.4, 1.0);

// ---- devices plugged in ----------------------------------------------------------------------------------------------

/// Share of the causes on vehicles with a socket that are a device left in it (dash camera, charger, cool box), which no
/// map lists. Editorial: what people plug in is common, what flattens a battery of it is less so.
pub const DEVICE_SHARE: f64 = 0.04;
/// Median of what such a device draws. Basis: dash cameras in parking mode 100–400 mA.
pub const DEVICE_MEDIAN: Ampere = Ampere::from_milli(190.0);
/// Its spread: standard deviation of the logarithm.
pub const DEVICE_LN_SD: f64 = 0.5;

// ---- messy hands -----------------------------------------------------------------------------------------------------
// Editorial throughout: no count of such slips was found; each is a little more than a careful technician would own up to.

/// Share of drops read through lacquer or beside the test point: the display shows what it shows without contact, 0.
pub const NO_CONTACT: f64 = 0.02;
/// Share of typed values with the decimal point one place off, as often up as down.
pub const SLIPPED_POINT: f64 = 0.005;
/// Share of clamp readings with the clamp the wrong way round: the sign turns.
pub const CLAMP_REVERSED: f64 = 0.02;
/// Share of vehicles of which one module falls asleep only after the total was read: the first total is too high.
pub const LATE_SLEEPER: f64 = 0.04;
/// Share of fuses that somebody replaced by one of an odd make, where the hands that worked on it before were messy too.
pub const ODD_MAKE_SHARE_MESSY: f64 = 0.08;
/// Share of slips, of those that the tool asks about or calls doubtful, that are looked at again and put right; the others
/// are said to be right. A reading that the balance names is read again whenever the plan asks for it.
pub const PUT_RIGHT: f64 = 0.9;
