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

/// Every family with its name in maps and options.
const NAMES: [(Family, &str); 11] = [
    (Family::Blade, "blade"),
    (Family::Mini, "mini"),
    (Family::LowMini, "low-mini"),
    (Family::Micro2, "micro2"),
    (Family::Micro3, "micro3"),
    (Family::Maxi, "maxi"),
    (Family::Cartridge, "cartridge"),
    (Family::Bolt, "bolt"),
    (Family::Glass, "glass"),
    (Family::Torpedo, "torpedo"),
    (Family::Wire, "wire"),
];

impl Family {
    /// Returns every family.
    pub fn all() -> impl Iterator<Item = Family> {
        NAMES.iter().map(|(family, _)| *family)
    }

    /// Returns the family of this name, such as `low-mini`; capitals do not matter.
    pub fn from_name(name: &str) -> Option<Family> {
        let name = name.trim();
        NAMES.iter().find(|(_, own)| own.eq_ignore_ascii_case(name)).map(|(family, _)| *family)
    }

    /// Returns its name in maps and options.
    pub fn name(self) -> &'static str {
        NAMES.iter().find(|(family, _)| *family == self).map_or("", |(_, name)| name)
    }
}
