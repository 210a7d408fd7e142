//! The user's own settings: letterhead of the page, meters of one's own, and how figures are shown. They change what is shown
//! and what has not to be typed, never what follows from a log.
//! Leaves to others: showing figures so (`display`).
#![allow(clippy::disallowed_methods, reason = "reads the environment for the place of the settings")]

use std::collections::BTreeMap;
use std::env;
use std::path::PathBuf;

use serde::Deserialize;

use super::files;
use crate::base::diagnostic::Diagnostic;
use crate::base::styled::{Role, StyledText};
use crate::base::yaml;
use crate::text::shell;

/// Settings as they are written.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct ConfigFile {
    letterhead: Vec<String>,
    meters: BTreeMap<String, String>,
    temperature: Option<String>,
    decimal: Option<String>,
}

/// Settings.
#[derive(Debug, Clone, Default)]
pub struct Config {
    /// Lines above the page that is handed over.
    pub letterhead: Vec<String>,
    /// Figures of one's own meters, by name.
    meters: BTreeMap<String, String>,
    /// Temperatures are shown in °F.
    pub fahrenheit: bool,
    /// Figures are shown with a comma.
    pub comma: bool,
    /// Where they were read; `None` if there is no such file.
    path: Option<PathBuf>,
}

/// Returns where the settings are: `FUSETRAIL_CONFIG`, else the platform's place for them.
pub fn place() -> Option<PathBuf> {
    let of = |name: &str| env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let folder = if cfg!(windows) {
        of("APPDATA")
    } else if cfg!(target_os = "macos") {
        of("HOME").map(|home| home.join("Library/Application Support"))
    } else {
        of("XDG_CONFIG_HOME").or_else(|| of("HOME").map(|home| home.join(".config")))
    };
    of("FUSETRAIL_CONFIG").or_else(|| folder.map(|folder| folder.join("fusetrail").join("config.yaml")))
}

impl Config {
    /// Reads the settings; without a file they are the usual ones.
    ///
    /// # Errors
    /// The file cannot be read, or has a setting that is unknown or of another form.
    pub fn read() -> Result<Self, Diagnostic> {
        let Some(path) = place().filter(|path| path.exists()) else { return Ok(Self::default()) };
        let told = Self::of(&files::read(&path)?).map_err(|fault| fault.in_file(&path.to_string_lossy()))?;
        Ok(Self { path: Some(path), ..told })
    }

    fn of(text: &str) -> Result<Self, Diagnostic> {
        let file: ConfigFile = if text.trim().is_empty() { ConfigFile::default() } else { yaml::read(text)? };
        let one_of = |key: &str, told: Option<String>, [usual, other]: [&str; 2]| match told.as_deref() {
            None => Ok(false),
            Some(told) if told == usual => Ok(false),
            Some(told) if told == other => Ok(true),
            Some(told) => {
                let fault = Diagnostic::new(format!("is {told}")).in_field(key);
                Err(fault.expected(format!("\"{usual}\" or \"{other}\"")))
            }
        };
        Ok(Self {
            letterhead: file.letterhead,
            meters: file.meters,
            fahrenheit: one_of("temperature", file.temperature, ["C", "F"])?,
            comma: one_of("decimal", file.decimal, [".", ","])?,
            path: None,
        })
    }

    /// Returns a meter's figures where its name is one of one's own, else the name as it is.
    pub fn meter<'a>(&'a self, name: &'a str) -> &'a str {
        self.meters.get(name).map_or(name, String::as_str)
    }

    /// Says where the settings were read.
    pub fn told(&self) -> Vec<StyledText> {
        let told = match (&self.path, place()) {
            (Some(path), _) => shell::settings(&path.to_string_lossy()),
            (None, Some(path)) => shell::no_settings(&path.to_string_lossy()),
            (None, None) => return Vec::new(),
        };
        vec![StyledText::of(Role::Hint, told)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_are_read_and_what_is_none_is_refused() {
        let config = Config::of(
            "letterhead: [Example Garage]\nmeters: {bench: '0.01mV,0.3,3'}\ntemperature: F\ndecimal: ','\n",
        );
        let config = config.expect("read");
        assert!(config.fahrenheit && config.comma);
        assert_eq!((config.meter("bench"), config.meter("tenth-mv")), ("0.01mV,0.3,3", "tenth-mv"));
        assert!(!Config::of("").expect("empty").comma);
        for wrong in ["colour: red", "temperature: K", "decimal: ';'", "letterhead: 3"] {
            assert!(Config::of(wrong).is_err(), "{wrong}");
        }
    }
}
