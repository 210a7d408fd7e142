//! Readings that are absurd for a parked vehicle.
