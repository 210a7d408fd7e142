//! x
use super::map::Map;
use crate::fault::{Fault, Faults};
/// x
pub fn sketch(_: &str, _: &str, _: &str) -> Result<(Map, Vec<Fault>), Faults> {
    Err(Fault::new("not yet").into())
}
