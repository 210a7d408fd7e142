//! What many hunts teach together. Shares and means come with 95 % intervals; baselines are drawn towards what the maps
//! expect, the more so the fewer readings they rest on.
//! Leaves to others: one hunt (`lesson`), words and JSON (`text`, `render`).

use std::collections::BTreeMap;

use super::lesson::Lesson;
use crate::base::quantity::{Share, Uncertain};
use crate::circuit::learnt::LearntShares;
use crate::circuit::loads::Catalogue;

/// How many readings the map's own expectation of a fuse counts for. Editorial.
const EXPECTATION: f64 = 2.0;

/// What many hunts teach.
#[derive(Debug, Clone, PartialEq)]
pub struct Lessons {
    /// How many hunts were read.
    pub hunts: usize,
    /// How many of them ended with a proven cause.
    pub proven: usize,
    /// The causes, most frequent first.
    pub causes: Vec<CauseCount>,
    /// The same by class, age and season.
    pub groups: Vec<LessonGroup>,
    /// Mean minutes from first entry to last, with the standard uncertainty of the mean.
    pub minutes: Option<(f64, f64)>,
    /// Mean number of readings, with the standard uncertainty of the mean.
    pub readings: Option<(f64, f64)>,
    /// What sound fuses carry, vehicle by vehicle.
    pub baselines: Vec<Baseline>,
    /// Shares of causes, learnt from the proven ones.
    pub learnt: LearntShares,
}

/// How often a class of causes was found.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseCount {
    /// Class of causes, as in the catalogue.
    pub class: String,
    /// In words.
    pub words: String,
    /// How often.
    pub count: usize,
    /// Its share among the proven ones.
    pub share: Uncertain<Share>,
}

/// Hunts that have something in common.
#[derive(Debug, Clone, PartialEq)]
pub struct LessonGroup {
    /// What they have in common: class, age or season.
    pub by: &'static str,
    /// Which.
    pub name: String,
    /// How many.
    pub hunts: usize,
    /// The causes found in them.
    pub causes: Vec<(String, usize)>,
}

/// What a sound fuse carries on vehicles of one name.
#[derive(Debug, Clone, PartialEq)]
pub struct Baseline {
    /// Name of the vehicle.
    pub vehicle: String,
    /// The fuse.
    pub fuse: String,
    /// How many readings.
    pub readings: usize,
    /// Usual current asleep, in mA.
    pub usual_ma: f64,
}

impl Lessons {
    /// Sums hunts up.
    pub fn of(hunts: &[Lesson]) -> Self {
        let catalogue = Catalogue::builtin();
        let classes: Vec<&str> =
            hunts.iter().filter_map(|one| Some(one.cause.as_ref()?.class.as_str())).collect();
        let count = |class: &str| classes.iter().filter(|one| **one == class).count();
        let mut causes: Vec<CauseCount> = catalogue
            .causes()
            .iter()
            .map(|cause| {
                let count = count(&cause.id);
                let share = share(count, classes.len());
                CauseCount { class: cause.id.clone(), words: cause.words.clone(), count, share }
            })
            .filter(|cause| cause.count > 0)
            .collect();
        causes.sort_by_key(|cause| std::cmp::Reverse(cause.count));
        Self {
            hunts: hunts.len(),
            proven: classes.len(),
            causes,
            groups: groups(hunts),
            minutes: mean(hunts.iter().map(|one| one.minutes)),
            // Numbers of readings are far below 2^53.
            readings: mean(hunts.iter().map(|one| one.readings as f64)),
            baselines: baselines(hunts),
            learnt: LearntShares::learn(
                catalogue,
                hunts.iter().filter_map(|one| Some((one.cause.as_ref()?.class.as_str(), &one.exposure[..]))),
            ),
        }
    }
}

/// Share of so many of so many, with half a hunt added either way (Jeffreys' interval is about so wide; common practice).
fn share(count: usize, of: usize) -> Uncertain<Share> {
    let all = of as f64 + 1.0;
    let part = (count as f64 + 0.5) / all;
    Uncertain::new(Share::new(part), Share::new((part * (1.0 - part) / (all + 1.0)).sqrt()))
}

fn mean(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    let all: Vec<f64> = values.collect();
    let count = all.len() as f64;
    if all.is_empty() {
        return None;
    }
    let mean = all.iter().sum::<f64>() / count;
    let variance = all.iter().map(|one| (one - mean).powi(2)).sum::<f64>() / (count - 1.0).max(1.0);
    Some((mean, (variance / count).sqrt()))
}

fn season(month: u32) -> &'static str {
    match month {
        12 | 1 | 2 => "December to February",
        3..=5 => "March to May",
        6..=8 => "June to August",
        _ => "September to November",
    }
}

fn age(year: Option<u16>) -> &'static str {
    match year {
        None => "year not told",
        Some(..2006) => "before 2006",
        Some(2006..2016) => "2006 to 2015",
        Some(_) => "from 2016",
    }
}

/// What hunts have in common, and which.
type Common<'a> = (&'static str, &'a str);

/// How many hunts, and how often each class of causes was found in them.
type Found = (usize, BTreeMap<String, usize>);

fn groups(hunts: &[Lesson]) -> Vec<LessonGroup> {
    let mut all: BTreeMap<Common, Found> = BTreeMap::new();
    for one in hunts {
        for key in [("class", one.class), ("age", age(one.year)), ("season", season(one.month))] {
            let (count, causes) = all.entry(key).or_default();
            *count += 1;
            if let Some(cause) = &one.cause {
                *causes.entry(cause.class.clone()).or_default() += 1;
            }
        }
    }
    let group = |((by, name), (hunts, causes)): (Common, Found)| {
        let mut causes: Vec<(String, usize)> = causes.into_iter().collect();
        causes.sort_by_key(|one| std::cmp::Reverse(one.1));
        LessonGroup { by, name: name.to_owned(), hunts, causes }
    };
    all.into_iter().map(group).collect()
}

fn baselines(hunts: &[Lesson]) -> Vec<Baseline> {
    let mut all: BTreeMap<(&str, &str), (usize, f64, f64)> = BTreeMap::new();
    for one in hunts {
        for (fuse, read, expected) in &one.sound {
            let sums = all.entry((&one.vehicle, fuse)).or_default();
            *sums = (sums.0 + 1, sums.1 + read.max(0.0), *expected);
        }
    }
    let baseline =
        |((vehicle, fuse), (readings, sum, expected)): ((&str, &str), (usize, f64, f64))| Baseline {
            vehicle: vehicle.to_owned(),
            fuse: fuse.to_owned(),
            readings,
            usual_ma: (sum + EXPECTATION * expected) / (readings as f64 + EXPECTATION),
        };
    all.into_iter().map(baseline).collect()
}

#[cfg(test)]
mod tests {
    use super::super::lesson::LessonCause;
    use super::*;

    fn hunt(class: Option<&str>, f12: f64) -> Lesson {
        Lesson {
            vehicle: "grey van".to_owned(),
            class: "car",
            year: Some(2012),
            month: 1,
            minutes: 60.0,
            readings: 5,
            cause: class.map(|class| LessonCause { class: class.to_owned(), place: "F1".to_owned() }),
            exposure: vec![("lamp".to_owned(), 1.0)],
            sound: vec![("F12".to_owned(), f12, 1.0)],
        }
    }

    #[test]
    fn causes_are_counted_and_baselines_drawn_towards_the_map() {
        let hunts =
            [hunt(Some("lamp"), 3.0), hunt(Some("lamp"), 3.0), hunt(Some("audio"), 3.0), hunt(None, 3.0)];
        let lessons = Lessons::of(&hunts);
        assert_eq!((lessons.hunts, lessons.proven), (4, 3));
        assert_eq!((lessons.causes[0].class.as_str(), lessons.causes[0].count), ("lamp", 2));
        assert!((lessons.baselines[0].usual_ma - (12.0 + 2.0) / 6.0).abs() < 1e-9);
        let class = lessons.groups.iter().find(|group| group.by == "class").expect("a class");
        assert_eq!((class.hunts, class.causes[0].1), (4, 2));
        assert_eq!(lessons.learnt.cases, 3);
        assert_eq!(Lessons::of(&[]).minutes, None);
    }
}
