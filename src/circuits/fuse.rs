//! Fuse families, ratings and their cold resistance.

/// Family of a protection element: its form, which decides its resistance at a rating.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Family {
    /// Regular blade fuse (ISO 8820-3 type C).
    Blade,
    /// Mini blade fuse (ISO 8820-3 type F).
    Mini,
    /// Low-profile mini.
    LowMini,
    /// Micro with two legs (ISO 8820-12).
    Micro2,
    /// Micro with three legs (ISO 8820-13).
    Micro3,
    /// Maxi blade fuse (ISO 8820-3 type E).
    Maxi,
    /// Slotted cartridge.
    Cartridge,
    /// Bolt-down strip.
    Bolt,
    /// Glass tube.
    Glass,
    /// Torpedo.
    Torpedo,
    /// A fusible link: a piece of wire.
    Wire,
}
