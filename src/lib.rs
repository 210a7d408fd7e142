//! fusetrail finds the circuit that flattens a parked vehicle's battery.
//!
//! Invariants, each held by a test or a lint (see DEVELOPERS.md): a module uses only lower floors; time, terminal,
//! environment and files exist only in `cli` and `log/store`; the same log entries give the same conclusions
//! on any machine at any time; bad input is a list of diagnostics, never a panic.
//!
//! # The way of a reading through the house
//! `add x drop F12 3.0mV`, or the same typed at a prompt:
//! 1. [`measure::kind`] has the row of the kind: its words, its target, its values with the unit of a bare number.
//!    `measure::grammar` reads the line by that row, and [`log::typed`] makes the entry, with the meter, zero and box
//!    temperature in force.
//! 2. [`log::store`] puts the entry on disk, sealed; [`log::replay`] adds it to the [`log::case::Case`].
//! 3. [`measure::observe`] turns all readings of the case into [`measure::observation::Observation`]s: current sources that
//!    add up to so much, with errors that other readings share.
//! 4. [`balance`] says where the total goes; [`infer`] weighs every cause; [`plan`] says what to read next. Each is reckoned
//!    when somebody asks ([`plan::analysis::Analysis`]), and then kept.
//! 5. [`text`] puts it into words, `render` into JSON and the record, and `cli` shows it.

// Floors, top first; `tests/house` holds the arrows between them.
pub mod cli; // 12: the edge
pub mod render; // 11: documents
pub(crate) mod score; // 11: many practice vehicles hunted
pub(crate) mod lessons; // 10: what a shop's hunts teach
pub mod hunt; // 9: the hunt, step by step
pub mod text; // 8: conclusions in words
pub mod sim; // 7: the practice vehicle
pub mod plan; // 7: what to read next, when to stop
pub mod infer; // 6: who is to blame
pub mod balance; // 5: where the total goes
pub mod log; // 4: what was entered
pub mod trace; // 4: meter logs over time
pub mod battery; // 4: the supply
pub mod measure; // 3: what was measured and what it says
pub mod circuit; // 2: maps and tables
pub mod instrument; // 1: what a meter adds
pub mod base; // 0: quantities, statistics, text, diagnostics, YAML
