//! Default limits by class of vehicle, the advice from reserve capacity, the alarm line of one fuse, and how long a
//! vehicle of some year may take to fall asleep. Leaves to others: the figures (`circuits/limits.yaml`), and which
//! limit counts when several are known (`battery`).

use serde::Deserialize;

use super::loads::KindBasis;
use super::map::{Limit, Map, VehicleClass};
use super::tables;
use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::quantity::{Ampere, Day, Minute};
use crate::base::yaml;

/// The default limit of one class of vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct ClassLimit {
    /// The class.
    pub class: VehicleClass,
    /// The limit; `None` where no published figure was found and the user has to be asked.
    pub limit: Option<Ampere>,
    /// What is usual, in words.
    pub usual: String,
    /// Basis of the limit.
    pub basis: KindBasis,
    /// Where it is from, in words.
    pub source: String,
    /// Days that it must stand where nobody knows better, if its limit goes by that.
    pub stand: Option<Day>,
    /// What is little on it, beside what is little on a car.
    pub against_car: f64,
}

/// Line above which the current of one fuse counts as high.
#[derive(Debug, Clone, PartialEq)]
pub struct FuseAlarm {
    /// Some count it as high above this.
    pub from: Ampere,
    /// All count it as high above this.
    pub to: Ampere,
    /// What an immobiliser circuit may take.
    pub immobiliser: Ampere,
    /// Where it is from, in words.
    pub source: String,
}

/// Where a limit is from that somebody gives, in words.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GivenLimit {
    /// With the log, as it is opened.
    pub opened: String,
    /// Later, without saying where it is from.
    pub typed: String,
}

/// The table of limits.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Limits {
    /// Where a limit is from that somebody gives.
    pub given: GivenLimit,
    classes: Vec<ClassLimit>,
    reserve: Option<(f64, String)>,
    alarm: Option<FuseAlarm>,
    sleep: Vec<(Option<u16>, Minute)>,
    sleep_unknown: Minute,
    sleep_source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LimitsSchema {
    format: String,
    classes: Vec<ClassSchema>,
    reserve: ReserveSchema,
    fuse_alarm: AlarmSchema,
    sleep: Vec<SleepSchema>,
    sleep_unknown: UnknownSchema,
    given: GivenLimit,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ClassSchema {
    class: String,
    #[serde(default)]
    limit_ma: Option<f64>,
    usual: String,
    basis: KindBasis,
    source: String,
    #[serde(default)]
    stand_days: Option<f64>,
    #[serde(default)]
    against_car: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ReserveSchema {
    minutes_per_ma: f64,
    #[serde(rename = "basis")]
    _basis: KindBasis,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AlarmSchema {
    from_ma: f64,
    to_ma: f64,
    immobiliser_ma: f64,
    #[serde(rename = "basis")]
    _basis: KindBasis,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SleepSchema {
    #[serde(default)]
    before_year: Option<u16>,
    minutes: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct UnknownSchema {
    minutes: f64,
    #[serde(rename = "basis")]
    _basis: KindBasis,
    source: String,
}

impl Limits {
    tables::builtin!(pub Limits, Limits::read(tables::LIMITS));

    /// Reads a table.
    ///
    /// # Errors
    /// Not YAML of the expected form, an unknown format or class, a number that is not positive and finite.
    pub fn read(text: &str) -> Result<Limits, Faults> {
        let written: LimitsSchema = yaml::read(text)?;
        let mut faults = Vec::new();
        if written.format != "fusetrail-limits/1" {
            faults.push(
                Diagnostic::new(format!("the format is {}", written.format)).expected("fusetrail-limits/1"),
            );
        }
        let alarm = &written.fuse_alarm;
        let mut numbers = vec![written.reserve.minutes_per_ma, written.sleep_unknown.minutes];
        numbers.extend([alarm.from_ma, alarm.to_ma, alarm.immobiliser_ma]);
        numbers.extend(written.sleep.iter().map(|row| row.minutes));
        numbers.extend(
            written.classes.iter().flat_map(|row| [row.limit_ma, row.stand_days, row.against_car]).flatten(),
        );
        if !numbers.iter().all(|number| number.is_finite() && *number > 0.0) {
            faults.push(Diagnostic::new("a number is not above zero"));
        }
        let mut classes = Vec::new();
        for row in written.classes {
            match VehicleClass::from_name(&row.class) {
                Some(class) => classes.push(ClassLimit {
                    class,
                    limit: row.limit_ma.map(Ampere::from_milli),
                    usual: row.usual,
                    basis: row.basis,
                    source: row.source,
                    stand: row.stand_days.map(Day::new),
                    against_car: row.against_car.unwrap_or(1.0),
                }),
                None => faults.push(Diagnostic::new(format!("the class {} is not known", row.class))),
            }
        }
        if !faults.is_empty() {
            return Err(Faults(faults));
        }
        Ok(Limits {
            given: written.given,
            classes,
            reserve: Some((written.reserve.minutes_per_ma, written.reserve.source)),
            alarm: Some(FuseAlarm {
                from: Ampere::from_milli(alarm.from_ma),
                to: Ampere::from_milli(alarm.to_ma),
                immobiliser: Ampere::from_milli(alarm.immobiliser_ma),
                source: alarm.source.clone(),
            }),
            sleep: written.sleep.iter().map(|row| (row.before_year, Minute::new(row.minutes))).collect(),
            sleep_unknown: Minute::new(written.sleep_unknown.minutes),
            sleep_source: written.sleep_unknown.source,
        })
    }

    /// Returns what is known for a class of vehicle.
    pub fn class(&self, class: VehicleClass) -> Option<&ClassLimit> {
        self.classes.iter().find(|row| row.class == class)
    }

    /// Returns the default limit of a class; `None` where no published figure was found and the user must be asked.
    pub fn default_limit(&self, class: VehicleClass) -> Option<Limit> {
        let row = self.class(class)?;
        Some(Limit { current: row.limit?, source: row.source.clone() })
    }

    /// Returns for how many days a vehicle of a class must stand where nobody knows better and its limit goes by that.
    pub fn stand(&self, class: VehicleClass) -> Option<Day> {
        self.class(class)?.stand
    }

    /// Returns the limit that a battery's reserve capacity would suggest: advice, a limit only if the user takes it.
    ///
    /// # Source
    /// A maker's manual of 2001: minutes / 4 in milliampere.
    pub fn reserve_advice(&self, reserve: Minute) -> Option<Limit> {
        let (minutes_per_ma, source) = self.reserve.as_ref()?;
        Some(Limit {
            current: Ampere::from_milli(reserve / Minute::new(*minutes_per_ma)),
            source: source.clone(),
        })
    }

    /// Returns the line above which the current of one fuse counts as high.
    pub fn fuse_alarm(&self) -> Option<&FuseAlarm> {
        self.alarm.as_ref()
    }

    /// Returns how long a vehicle of a model year may take to fall asleep, with where that is from.
    pub fn sleep_after(&self, year: Option<u16>) -> (Minute, &str) {
        let row = |year: u16| self.sleep.iter().find(|(before, _)| before.is_none_or(|before| year < before));
        let minutes = year.and_then(row).map_or(self.sleep_unknown, |(_, minutes)| *minutes);
        (minutes, &self.sleep_source)
    }
}

impl Map {
    /// Returns what is as little on this vehicle as so much is on a car.
    pub fn scaled(&self, on_a_car: Ampere) -> Ampere {
        on_a_car * Limits::builtin().class(self.class).map_or(1.0, |row| row.against_car)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_little_on_a_motorcycle_is_far_less_than_on_a_car() {
        let little = |name: &str| {
            let map = crate::circuit::builtin::map(name).expect("built in");
            map.scaled(Ampere::from_milli(2.0)).milli()
        };
        assert_eq!(["hatch", "tipper"].map(little), [2.0, 2.0]);
        assert!((little("motorcycle") - 0.1).abs() < 1e-9);
    }

    #[test]
    fn each_class_has_its_row_and_a_class_without_a_figure_has_no_limit() {
        let limits = Limits::read(crate::circuit::tables::LIMITS).unwrap_or_else(|f| panic!("{f}"));
        for (class, _) in VehicleClass::NAMES {
            assert!(limits.class(class).is_some(), "{class:?}");
        }
        let ma = |class| limits.default_limit(class).map(|limit| limit.current.milli());
        assert_eq!(ma(VehicleClass::Car), Some(50.0));
        assert_eq!(ma(VehicleClass::Motorcycle), Some(1.5));
        assert_eq!(ma(VehicleClass::Truck), None);
    }

    #[test]
    fn a_reserve_of_100_minutes_suggests_25_milliampere() {
        let advice = Limits::builtin().reserve_advice(Minute::new(100.0)).expect("a rule");
        assert!((advice.current.milli() - 25.0).abs() < 1e-9);
        assert!(advice.source.contains("40 days"));
    }

    #[test]
    fn younger_vehicles_may_take_longer_to_sleep() {
        let minutes = |year| Limits::builtin().sleep_after(year).0 / Minute::new(1.0);
        let found: Vec<f64> =
            [1995, 1996, 2005, 2006, 2015, 2016, 2020, 2021].map(|year| minutes(Some(year))).to_vec();
        assert_eq!(found, [10.0, 30.0, 30.0, 45.0, 45.0, 60.0, 60.0, 90.0]);
        assert_eq!(minutes(None), 45.0);
    }

    #[test]
    fn a_broken_table_is_refused() {
        let text = crate::circuit::tables::LIMITS
            .replace("class: boat\n    limit_ma: 1", "class: barge\n    limit_ma: -1");
        let faults = Limits::read(&text).expect_err("must be refused");
        assert_eq!(faults.0.len(), 2, "{faults}");
    }
}
