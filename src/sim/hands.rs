//! How careful the hands are that work on the practice vehicle. Leaves to others: how messy ones slip (`slips`).

/// How careful the hands are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Hands {
    /// What the display shows is what is typed.
    #[default]
    Plain,
    /// They slip at the rates of `constants`.
    Messy,
}

impl Hands {
    /// Returns the hands of this name: `plain`, `messy`.
    pub fn from_name(name: &str) -> Option<Self> {
        [Self::Plain, Self::Messy].into_iter().find(|hands| hands.name() == name)
    }

    /// Returns their name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            Self::Messy => "messy",
        }
    }
}
