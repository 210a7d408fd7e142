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
pub(crate) mod prepare;
pub mod verify;
pub(crate) mod repair;
pub(crate) mod settle;
pub(crate) mod total;
pub mod search;

use chrono::{DateTime, FixedOffset};

use super::question::Question;
use super::step::{HuntStep, Taken};
use crate::log::case::Case;

/// A stage: its name begins the ids of its questions.
pub struct Stage {
    /// Name, and beginning of the ids of its questions.
    pub name: &'static str,
    /// What to ask next in this stage; `None` once it is done.
    pub next: fn(&Case, DateTime<FixedOffset>) -> Option<HuntStep>,
    /// What an answer makes.
    pub take: fn(&Case, &Question, &str, DateTime<FixedOffset>) -> Taken,
}

/// The stages in order.
pub const ALL: [Stage; 14] = [
    Stage { name: "interview", next: interview::next, take: interview::take },
    Stage { name: "caution", next: super::caution::next, take: super::caution::take },
    Stage { name: "found", next: found::next, take: found::take },
    Stage { name: "battery", next: battery::next, take: battery::take },
    Stage { name: "charging", next: charging::next, take: charging::take },
    Stage { name: "prepare", next: prepare::next, take: prepare::take },
    Stage { name: "hook-up", next: hook_up::next, take: hook_up::take },
    Stage { name: "settle", next: settle::next, take: settle::take },
    Stage { name: "total", next: total::next, take: total::take },
    Stage { name: "trail", next: search::next, take: search::take },
    Stage { name: "narrow", next: isolate::next, take: isolate::take },
    Stage { name: "repair", next: repair::next, take: repair::take },
    Stage { name: "prove", next: verify::next, take: verify::take },
    Stage { name: "handover", next: handover::next, take: handover::take },
];
