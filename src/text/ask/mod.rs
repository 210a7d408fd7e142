//! The hunt's own words, a file for each part of it: how its questions are put, and what is said beside them.
//! Leaves to others: which question is due and what an answer makes (`hunt/stage`).

pub(crate) mod always;
pub(crate) mod battery;
pub(crate) mod bench;
pub(crate) mod caution;
pub(crate) mod charging;
pub(crate) mod handover;
pub(crate) mod hook_up;
pub(crate) mod interview;
pub(crate) mod lid;
pub(crate) mod prepare;
pub(crate) mod prove;
pub(crate) mod reading;
pub(crate) mod settle;
pub(crate) mod total;
pub(crate) mod usage;
mod wording;

pub use self::wording::Wording;

use crate::log::question_id::QuestionId;

/// Returns how a question is put. Where its words depend on the vehicle, these are the usual ones.
pub fn wording(id: QuestionId) -> Wording {
    let tables = [
        interview::WORDINGS,
        caution::WORDINGS,
        battery::WORDINGS,
        charging::WORDINGS,
        prepare::WORDINGS,
        hook_up::WORDINGS,
        lid::WORDINGS,
        settle::WORDINGS,
        total::WORDINGS,
        usage::WORDINGS,
        reading::WORDINGS,
        prove::WORDINGS,
        handover::WORDINGS,
    ];
    let known = tables.into_iter().flatten().find(|wording| wording.ids.contains(&id));
    known.copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_question_is_worded_and_can_be_explained() {
        for (id, name) in QuestionId::NAMES {
            if !matches!(id, QuestionId::Stage | QuestionId::Unknown) {
                let wording = wording(*id);
                assert!(wording.prompt.len() > 5 && wording.help.len() > 20, "{name}");
            }
        }
    }
}
