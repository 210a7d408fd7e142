//! What a shop's own hunts teach: what the causes were, by class of vehicle, age and season; how long they took; what a
//! sound fuse carries on vehicles of one name. Counted from logs alone, without weighing causes anew.
//! Leaves to others: reading the files (`cli`), the words (`text`), what learnt shares do (`infer/weight`).

mod lesson;
mod summary;

pub use lesson::{Lesson, lesson};
pub(crate) use lesson::{class_of, kind_of_item};
pub use summary::{Baseline, CauseCount, LessonGroup, Lessons};
