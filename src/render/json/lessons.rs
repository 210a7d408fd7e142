//! The JSON shape of `lessons`. Leaves to others: counting (`lessons`).

use crate::base::quantity::show::{Q, q};
use crate::lessons::{Baseline, CauseCount, LessonGroup, Lessons};

shape! {
    /// What `lessons` prints.
    LessonsShape(lessons: &Lessons, over: &[(String, String)]) {
        /// How many hunts were read.
        hunts: usize = lessons.hunts,
        /// How many of them end with a cause that the total after the repair proves.
        proven: usize = lessons.proven,
        /// Logs that were not read, and why.
        passed_over: Vec<PassedOverShape> = over.iter().map(|(file, why)| PassedOverShape::of(file, why)).collect(),
        /// Most frequent first.
        causes: Vec<CauseCountShape> = lessons.causes.iter().map(CauseCountShape::of).collect(),
        /// The same by class of vehicle, age and season.
        groups: Vec<GroupCountShape> = lessons.groups.iter().map(GroupCountShape::of).collect(),
        /// Mean from first entry to last; null without a hunt.
        minutes: Option<Q> = lessons.minutes.map(|mean| mean_of(mean, "min")),
        /// Mean number of readings after the total; null without a hunt.
        readings: Option<Q> = lessons.readings.map(|mean| mean_of(mean, "1")),
        baselines: Vec<BaselineShape> = lessons.baselines.iter().map(BaselineShape::of).collect(),
        /// Learnt shares in percent, by class of causes.
        weights: Vec<WeightShape> = lessons.learnt.shares.iter().map(|(class, share)| WeightShape::of(class, *share)).collect(),
    }

    /// A log that was passed over.
    PassedOverShape(name: &str, reason: &str) {
        file: String = name.to_owned(),
        why: String = reason.to_owned(),
    }

    /// How often a class of causes was found.
    CauseCountShape(cause: &CauseCount) {
        kind: String = cause.class.clone(),
        words: String = cause.words.clone(),
        count: usize = cause.count,
        share: Q = q(&cause.share).within(0.0, 100.0),
    }

    /// Hunts that have something in common.
    GroupCountShape(group: &LessonGroup) {
        by: &'static str = group.by,
        name: String = group.name.clone(),
        hunts: usize = group.hunts,
        causes: Vec<KindCountShape> = group.causes.iter().map(|(class, count)| KindCountShape::of(class, *count)).collect(),
    }

    /// How often, in a group.
    KindCountShape(class: &str, often: usize) {
        kind: String = class.to_owned(),
        count: usize = often,
    }

    /// What a sound fuse carries.
    BaselineShape(one: &Baseline) {
        vehicle: String = one.vehicle.clone(),
        fuse: String = one.fuse.clone(),
        readings: usize = one.readings,
        usual_ma: f64 = one.usual_ma,
    }

    /// A learnt share.
    WeightShape(class: &str, share: f64) {
        kind: String = class.to_owned(),
        percent: f64 = share,
    }
}

/// A mean with its interval.
fn mean_of((value, u): (f64, f64), unit: &'static str) -> Q {
    Q { value, u, low: value - 1.96 * u, high: value + 1.96 * u, unit }
}
