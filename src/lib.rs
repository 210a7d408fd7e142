//! fusetrail finds the circuit that flattens a parked vehicle's battery.
//!
//! Invariants, each held by a test or a lint (see DEVELOPERS.md): a module uses only lower floors; time, terminal,
//! environment and files exist only in `cli` and `log/store`; the same log entries give the same conclusions
//! on any machine at any time; bad input is a list of diagnostics, never a panic.

// Floors, top first; `tests/house` holds the arrows between them.
pub mod cli; // 11: the edge
pub mod render; // 10: documents
pub(crate) mod score; // 10: many practice vehicles hunted
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
