//! The load catalogue: kinds of load, what they draw, how often they are the cause, and which kind a name means.
//! Leaves to others: the figures (`circuits/loads.yaml`), matching words (`wording`), what a map makes of them
//! (`check`), how weights become priors (`infer`).

use serde::Deserialize;

use super::map::Hazard;
use super::tables;
use super::wording::{Phrase, phrases_in, words_of};
use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::quantity::{Ampere, Minute, Volt};
use crate::base::yaml;

/// Kind that stands for every load that is none of the others.
pub const OTHER: &str = "other";

/// Cause that is no kind of load: a network held awake by an input.
pub const NETWORK: &str = "network";

/// Where a figure is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum KindBasis {
    /// Read in a published source.
    S,
    /// Computed from published figures.
    C,
    /// From memory.
    M,
    /// Editorial: our own choice.
    E,
}

impl KindBasis {
    /// Returns the basis in words.
    pub fn words(self) -> &'static str {
        match self {
            KindBasis::S => "published",
            KindBasis::C => "computed from published figures",
            KindBasis::M => "from memory",
            KindBasis::E => "editorial",
        }
    }
}

/// A class of causes with its share among the causes found.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KindCause {
    /// Short name, such as `add-on`.
    pub id: String,
    /// Share in percent; editorial, nobody publishes shares.
    pub weight: f64,
    /// The cause in words.
    pub words: String,
    /// True of things built for the volts of their vehicle: what is on draws the same power on any system.
    #[serde(default)]
    pub by_power: bool,
}

/// A kind of load.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadKind {
    /// Short name, such as `audio`.
    pub id: String,
    /// The kind in words.
    pub words: String,
    /// What people call it.
    pub synonyms: Vec<String>,
    /// Class of causes that it belongs to.
    pub cause: String,
    /// Its part of the share of its cause, in percent; editorial.
    pub weight: f64,
    /// True if it is a module that falls asleep by itself, usually on a wake group.
    pub module: bool,
    /// True if it may carry current either way.
    pub source_of_current: bool,
    /// True if what it draws when it is on is a matter of its power, so that volts change the current.
    pub by_power: bool,
    /// Why its circuit must be handled with care.
    pub hazard: Option<Hazard>,
    /// Current asleep, or off.
    pub asleep: Ampere,
    /// Basis of `asleep`.
    pub asleep_basis: KindBasis,
    /// Current awake, or on, or failed.
    pub awake: Ampere,
    /// Basis of `awake`.
    pub awake_basis: KindBasis,
    /// Time to fall asleep after the last disturbance; zero for what is no module.
    pub sleep: Minute,
    /// Basis of `sleep`.
    pub sleep_basis: KindBasis,
    /// Median of the current that it draws too much when it is the fault; editorial.
    pub excess: Ampere,
    /// Standard deviation of the natural logarithm of that current; editorial.
    pub excess_log_sd: f64,
    /// What wakes it, in words.
    pub wakes: String,
    /// Where the figures are from, in words.
    pub source: String,
}

/// The catalogue.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Catalogue {
    causes: Vec<KindCause>,
    kinds: Vec<LoadKind>,
    /// Every synonym as words, with the index of its kind.
    phrases: Vec<Phrase>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CatalogueSchema {
    format: String,
    causes: Vec<KindCause>,
    kinds: Vec<KindSchema>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct KindSchema {
    id: String,
    words: String,
    synonyms: Vec<String>,
    cause: String,
    weight: f64,
    module: bool,
    #[serde(default)]
    source_of_current: bool,
    #[serde(default)]
    guard: Option<String>,
    asleep: AwakeFigure,
    awake: AwakeFigure,
    sleep: SleepTime,
    excess: SizeSpread,
    wakes: String,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AwakeFigure {
    ma: f64,
    basis: KindBasis,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SleepTime {
    min: f64,
    basis: KindBasis,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SizeSpread {
    ma: f64,
    log_sd: f64,
}

impl Catalogue {
    tables::builtin!(pub Catalogue, Catalogue::read(tables::LOADS));

    /// Reads a catalogue.
    ///
    /// # Errors
    /// Not YAML of the expected form, an unknown format, cause or guard, a doubled kind, a number that is negative
    /// or not finite, an excess that is not positive, or no kind `other`.
    pub fn read(text: &str) -> Result<Catalogue, Faults> {
        let written: CatalogueSchema = yaml::read(text)?;
        let mut faults = Vec::new();
        if written.format != "fusetrail-loads/1" {
            faults.push(
                Diagnostic::new(format!("the format is {}", written.format)).expected("fusetrail-loads/1"),
            );
        }
        let mut catalogue = Catalogue { causes: written.causes, ..Catalogue::default() };
        for kind in written.kinds {
            let kind = kind.checked(&catalogue, &mut faults);
            let index = catalogue.kinds.len();
            catalogue.phrases.extend(kind.synonyms.iter().map(|synonym| Phrase::new(synonym, index)));
            catalogue.phrases.push(Phrase::new(&kind.id, index));
            catalogue.kinds.push(kind);
        }
        if catalogue.get(OTHER).is_none() {
            faults.push(Diagnostic::new("there is no kind \"other\""));
        }
        if faults.is_empty() { Ok(catalogue) } else { Err(Faults(faults)) }
    }

    /// Returns every kind.
    pub fn kinds(&self) -> &[LoadKind] {
        &self.kinds
    }

    /// Returns every class of causes.
    pub fn causes(&self) -> &[KindCause] {
        &self.causes
    }

    /// Returns the class of causes of this name.
    pub fn cause(&self, id: &str) -> Option<&KindCause> {
        self.causes.iter().find(|cause| cause.id == id)
    }

    /// Returns the kind of this short name.
    pub fn get(&self, id: &str) -> Option<&LoadKind> {
        self.kinds.iter().find(|kind| kind.id == id)
    }

    /// Guesses the kind from a name as people write it: word by word, capitals and punctuation aside. Of several
    /// that occur the longest wins, of equally long ones the later in the name, for a name ends with what it is.
    pub fn guess(&self, name: &str) -> Option<&LoadKind> {
        let found = phrases_in(&self.phrases, &words_of(name));
        let best = found.iter().max_by_key(|hit| (hit.letters, hit.start))?;
        self.kinds.get(best.target)
    }

    /// Guesses from a name why a circuit must be handled with care; any word that hints at it counts, so that in
    /// doubt the circuit is guarded. Of several reasons the strictest is returned.
    pub fn guess_guard(&self, name: &str) -> Option<Hazard> {
        let found = phrases_in(&self.phrases, &words_of(name));
        found
            .iter()
            .filter_map(|hit| self.kinds.get(hit.target)?.hazard)
            .min_by_key(|guard| guard.strictness())
    }
}

/// Volts of the system that the figures of the catalogue are for.
const TABLED: Volt = Volt::new(12.0);

impl LoadKind {
    /// Returns the factor from what the catalogue says it draws when it is on to what it draws at these volts.
    pub fn at_volts(&self, system: Volt) -> f64 {
        if self.by_power && system > Volt::ZERO { TABLED / system } else { 1.0 }
    }
}

impl KindSchema {
    fn checked(self, catalogue: &Catalogue, faults: &mut Vec<Diagnostic>) -> LoadKind {
        let mut refuse = |fault: Diagnostic| faults.push(fault.in_field(&self.id));
        if catalogue.get(&self.id).is_some() {
            refuse(Diagnostic::new("is there twice"));
        }
        if catalogue.cause(&self.cause).is_none() {
            refuse(Diagnostic::new(format!("the cause {} is not listed", self.cause)));
        }
        let guard = self.guard.as_deref().and_then(Hazard::from_name);
        if self.guard.is_some() && guard.is_none() {
            refuse(Diagnostic::new("its guard is not known"));
        }
        let by_power = catalogue.cause(&self.cause).is_some_and(|cause| cause.by_power);
        let sound = |value: f64| value.is_finite() && value >= 0.0;
        if ![self.weight, self.asleep.ma, self.awake.ma, self.sleep.min].into_iter().all(sound) {
            refuse(Diagnostic::new("a number is negative or not finite"));
        }
        if !(sound(self.excess.ma) && self.excess.ma > 0.0 && sound(self.excess.log_sd)) {
            refuse(Diagnostic::new("the excess must be positive"));
        }
        LoadKind {
            id: self.id,
            words: self.words,
            synonyms: self.synonyms,
            cause: self.cause,
            weight: self.weight,
            module: self.module,
            source_of_current: self.source_of_current,
            by_power,
            hazard: guard,
            asleep: Ampere::from_milli(self.asleep.ma),
            asleep_basis: self.asleep.basis,
            awake: Ampere::from_milli(self.awake.ma),
            awake_basis: self.awake.basis,
            sleep: Minute::new(self.sleep.min),
            sleep_basis: self.sleep.basis,
            excess: Ampere::from_milli(self.excess.ma),
            excess_log_sd: self.excess.log_sd,
            wakes: self.wakes,
            source: self.source,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_built_in_catalogue_reads_and_its_weights_add_up() {
        let catalogue = Catalogue::read(crate::circuit::tables::LOADS).unwrap_or_else(|f| panic!("{f}"));
        let causes: f64 = catalogue.causes().iter().map(|cause| cause.weight).sum();
        assert!((causes - 100.0).abs() < 1e-9, "{causes}");
        for cause in catalogue.causes() {
            let kinds: f64 = catalogue.kinds().iter().filter(|k| k.cause == cause.id).map(|k| k.weight).sum();
            let due = if cause.id == NETWORK { 0.0 } else { cause.weight };
            assert!((kinds - due).abs() < 1e-9, "{}: {kinds} instead of {due}", cause.id);
        }
        for kind in catalogue.kinds() {
            assert!(kind.awake >= kind.asleep, "{}", kind.id);
            assert!(kind.excess_log_sd >= 0.3, "{}: the spread must stay broad", kind.id);
            assert!(kind.module || kind.sleep == Minute::ZERO, "{}: only modules fall asleep", kind.id);
        }
    }

    #[test]
    fn no_two_kinds_share_a_synonym() {
        let catalogue = Catalogue::builtin();
        for (index, one) in catalogue.phrases.iter().enumerate() {
            for other in catalogue.phrases.iter().skip(index + 1) {
                assert!(one.words != other.words || one.target == other.target, "{:?}", one.words);
            }
        }
    }

    #[test]
    fn names_from_fuse_box_lids_are_understood() {
        let cases = include_str!("../../tests/data/lid-names.txt");
        let mut count = 0;
        for line in cases.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty()) {
            let (name, due) = line.rsplit_once('=').expect("name = kind");
            let kind = Catalogue::builtin().guess(name).map_or("-", |kind| kind.id.as_str());
            assert_eq!(kind, due.trim(), "{name}");
            count += 1;
        }
        assert!(count >= 60, "{count}");
    }

    #[test]
    fn a_name_that_hints_at_danger_is_guarded() {
        let guard = |name: &str| Catalogue::builtin().guess_guard(name);
        assert_eq!(guard("SRS"), Some(Hazard::Restraint));
        assert_eq!(guard("cluster, air-bag lamp"), Some(Hazard::Restraint));
        assert_eq!(guard("EPS / ABS"), Some(Hazard::Brake));
        assert_eq!(guard("F/PUMP"), Some(Hazard::Fuel));
        assert_eq!(guard("HV ECU"), Some(Hazard::Hv));
        assert_eq!(guard("Gas valve"), Some(Hazard::Gas));
        assert_eq!(guard("steering wheel heater"), None);
        assert_eq!(guard("brake lamps"), None);
        assert_eq!(guard("radio"), None);
    }

    /// Source: UN R37 gives watts at 13.5 V, a 21 W lamp at most 26.5 (from memory); current goes with volts to the 0.55
    /// (a handbook for electrical engineers of 1978). 12.4 V is a battery at rest.
    #[test]
    fn lamps_are_reckoned_at_resting_volts() {
        let at_rest = |watts: f64| 1000.0 * watts / 13.5 * (12.4_f64 / 13.5).powf(0.55);
        let awake = |kind: &str| Catalogue::builtin().get(kind).expect("a kind").awake.milli();
        assert!((at_rest(5.0) - awake("lamp-interior")).abs() < 5.0, "{}", at_rest(5.0));
        assert!((at_rest(26.5) - 1870.0).abs() < 5.0, "{}", at_rest(26.5));
        assert!((2.0 * at_rest(21.0)..2.0 * at_rest(26.5)).contains(&awake("lamp-brake")));
    }

    #[test]
    fn a_lamp_draws_half_on_twice_the_volts_and_a_module_the_same() {
        let factor = |kind: &str, volts: f64| {
            Catalogue::builtin().get(kind).expect("a kind").at_volts(Volt::new(volts))
        };
        assert_eq!([factor("lamp-box", 24.0), factor("relay", 6.0), factor("audio", 24.0)], [0.5, 2.0, 1.0]);
    }

    #[test]
    fn a_broken_catalogue_is_refused_with_every_fault() {
        let text = "format: x\ncauses: []\nkinds:\n  - {id: a, words: a, synonyms: [], cause: none, weight: -1, module: false, asleep: {ma: 0, basis: E}, awake: {ma: 0, basis: E}, sleep: {min: 0, basis: E}, excess: {ma: 0, log_sd: 1}, wakes: a, source: a}\n";
        let faults = Catalogue::read(text).expect_err("must be refused");
        assert_eq!(faults.0.len(), 5, "{faults}");
    }
}
