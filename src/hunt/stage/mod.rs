//! The stages of the hunt, in order: each says which of its questions is open and what an answer makes.
//! Leaves to others: the order of questions within a stage (its own file).

pub(crate) mod asking;
pub mod back;
pub(crate) mod battery;
pub(crate) mod battery_detail;
pub(crate) mod charging;
pub(crate) mod found;
pub mod handover;
pub(crate) mod hook_up;
pub(crate) mod interview;
pub(crate) mod isolate;
mod lid;
pub(crate) mod prepare;
pub mod verify;
pub mod repair;
pub mod settle;
pub(crate) mod total;
mod usage;
pub mod search;

use chrono::{DateTime, FixedOffset};

use super::question::Question;
use super::step::{HuntStep, Taken};
use crate::log::case::Case;

/// A stage: its name begins the ids of its questions.
pub struct Stage {
    /// Name, and beginning of the ids of its questions.
    pub name: &'static str,
    /// True if nothing of it is asked any more once readings were entered by hand.
    pub before_readings: bool,
    /// What to ask next in this stage; `None` once it is done.
    pub next: fn(&Case, DateTime<FixedOffset>) -> Option<HuntStep>,
    /// What an answer makes.
    pub take: fn(&Case, &Question, &str, DateTime<FixedOffset>) -> Taken,
}

const fn stage(
    name: &'static str,
    before_readings: bool,
    next: fn(&Case, DateTime<FixedOffset>) -> Option<HuntStep>,
    take: fn(&Case, &Question, &str, DateTime<FixedOffset>) -> Taken,
) -> Stage {
    Stage { name, before_readings, next, take }
}

/// The stages in order.
pub const ALL: [Stage; 15] = [
    stage("interview", true, interview::next, interview::take),
    stage("caution", false, super::caution::next, super::caution::take),
    stage("found", true, found::next, found::take),
    stage("battery", true, battery::next, battery::take),
    stage("charging", true, charging::next, charging::take),
    stage("prepare", true, prepare::next, prepare::take),
    stage("hook-up", true, hook_up::next, hook_up::take),
    stage("settle", true, settle::next, settle::take),
    stage("total", false, total::next, total::take),
    stage("use", false, usage::next, usage::take),
    stage("trail", false, search::next, search::take),
    stage("narrow", false, isolate::next, isolate::take),
    stage("repair", false, repair::next, repair::take),
    stage("prove", false, verify::next, verify::take),
    stage("handover", false, handover::next, handover::take),
];
