//! fusetrail finds the circuit that flattens a parked vehicle's battery.
//!
//! Invariants, each held by a test or a lint (see DEVELOPERS.md): a module uses only lower floors; time, terminal,
//! environment and files exist only in `cli` and `session/store`; the same log entries give the same conclusions
//! on any machine at any time; bad input is a list of faults, never a panic.

// Floors, top first; `tests/house.rs` holds the arrows between them.
pub mod cli; // 11: the edge
pub mod report; // 10: documents
pub mod hunt; // 9: the hunt, step by step
pub mod practice; // 9: the practice vehicle
pub mod words; // 8: conclusions in words
pub mod suspects; // 7: who is to blame, what to read next
pub mod account; // 6: where the total goes
pub mod session; // 5: the log
pub mod recording; // 5: meter logs over time
pub mod battery; // 5: the supply
pub mod reading; // 4: what was measured and what it says
pub mod circuits; // 3: maps and tables
pub mod instrument; // 2: what a meter adds
pub mod numeric; // 1: linear algebra and distributions
pub mod piece; // 1: text with roles
pub mod quantity; // 1: units and uncertainty
pub mod yaml; // 1: the only place that speaks YAML
pub mod fault; // 0: what is wrong, where, and what to do
pub mod caps; // 0: what is taken at most
