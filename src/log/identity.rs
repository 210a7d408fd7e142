//! What identifies vehicle, job and part, for the record: plate, VIN, odometer and the like, each as it was told.
//! Nothing is reckoned from it. Leaves to others: asking for it (`hunt/stage/handover`), showing it (`render/record`).

use crate::base::diagnostic::Diagnostic;

/// Longest value, in characters, as for other texts.
const LONGEST: usize = 400;

macro_rules! identity_keys {
    ($($variant:ident $name:literal $label:literal,)*) => {
        /// One part of the identity.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum IdentityKey {
            $(#[doc = concat!("`", $name, "`.")] $variant,)*
        }

        impl IdentityKey {
            /// Every part, in the order in which it is shown.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];

            /// Returns the word before the equals sign, which log and record use too.
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => $name,)* }
            }

            /// Returns what it is called on a form.
            pub const fn label(self) -> &'static str {
                match self { $(Self::$variant => $label,)* }
            }
        }
    };
}

identity_keys! {
    Plate "plate" "Plate",
    Vin "vin" "VIN",
    Odometer "odometer" "Odometer",
    Order "order" "Order number",
    Technician "technician" "Technician",
    Battery "battery" "Battery number",
    Part "part" "Part number",
    Time "time" "Time for the repair",
}

/// The parts that were told, in the order of [`IdentityKey::ALL`]. An empty one takes back what was told before.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Identity(Vec<(IdentityKey, String)>);

impl Identity {
    /// Makes it from what a log holds.
    pub fn of(get: impl Fn(IdentityKey) -> Option<String>) -> Self {
        Self(IdentityKey::ALL.iter().filter_map(|key| Some((*key, get(*key)?))).collect())
    }

    /// Reads `plate=AB 12 order=77`: a value ends where the next known word with its equals sign begins.
    ///
    /// # Errors
    /// Something stands before the first part, a word is none of them, or a value is too long.
    pub fn read(text: &str) -> Result<Self, Diagnostic> {
        let mut parts: Vec<(IdentityKey, String)> = Vec::new();
        for word in text.split_whitespace() {
            let told = word.split_once('=').and_then(|(name, value)| Some((key_of(name)?, value)));
            match (told, parts.last_mut()) {
                (Some((key, value)), _) => parts.push((key, value.to_owned())),
                (None, Some((_, value))) => {
                    if !value.is_empty() {
                        value.push(' ');
                    }
                    value.push_str(word);
                }
                (None, None) => {
                    return Err(Diagnostic::new(format!("\"{word}\" names no part")).expected(forms()));
                }
            }
        }
        if let Some((key, value)) = parts.iter().find(|(_, value)| value.chars().count() > LONGEST) {
            let found = format!("has {} characters", value.chars().count());
            return Err(Diagnostic::new(found).in_field(key.name()).expected(format!("at most {LONGEST}")));
        }
        if parts.is_empty() {
            return Err(Diagnostic::new("nothing was told").expected(forms()));
        }
        let newest = |key| parts.iter().rev().find(|(told, _)| *told == key).map(|(_, value)| value.clone());
        Ok(Self::of(newest))
    }

    /// Returns the parts that were told.
    pub fn parts(&self) -> impl Iterator<Item = (IdentityKey, &str)> {
        self.0.iter().map(|(key, value)| (*key, value.as_str()))
    }

    /// Returns one part; `None` if it was not told, or is empty.
    pub fn get(&self, key: IdentityKey) -> Option<&str> {
        self.parts().find(|(told, _)| *told == key).map(|(_, value)| value).filter(|value| !value.is_empty())
    }

    /// Returns true if nothing was told.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Returns this with what was told later.
    #[must_use]
    pub fn and(&self, later: &Self) -> Self {
        let told =
            |of: &Self, key| of.parts().find(|(told, _)| *told == key).map(|(_, value)| value.to_owned());
        Self::of(|key| told(later, key).or_else(|| told(self, key)))
    }

    /// Returns this with every value changed.
    #[must_use]
    pub fn map(&self, change: impl Fn(&str) -> String) -> Self {
        Self(self.parts().map(|(key, value)| (key, change(value))).collect())
    }
}

fn key_of(name: &str) -> Option<IdentityKey> {
    IdentityKey::ALL.iter().copied().find(|key| key.name().eq_ignore_ascii_case(name))
}

/// Returns the parts as they are typed.
pub fn forms() -> String {
    IdentityKey::ALL.iter().map(|key| format!("{}=…", key.name())).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_goes_on_to_the_next_known_word() {
        let told = Identity::read("plate=AB 12 CD order=77 technician=J. Doe note=x vin=").expect("read");
        assert_eq!(told.get(IdentityKey::Plate), Some("AB 12 CD"));
        assert_eq!(told.get(IdentityKey::Technician), Some("J. Doe note=x"));
        assert_eq!(told.get(IdentityKey::Vin), None);
        let later = told.and(&Identity::read("order= vin=X1").expect("read"));
        assert_eq!((later.get(IdentityKey::Order), later.get(IdentityKey::Vin)), (None, Some("X1")));
        assert_eq!(later.get(IdentityKey::Plate), Some("AB 12 CD"));
    }

    #[test]
    fn what_is_no_part_is_refused_with_the_form() {
        for text in ["", "  ", "AB 12", "colour=red"] {
            assert!(Identity::read(text).expect_err(text).to_string().contains("plate=…"), "{text}");
        }
        let long = format!("vin={}", "x".repeat(LONGEST + 1));
        assert!(Identity::read(&long).expect_err("long").to_string().contains("vin"));
    }
}
