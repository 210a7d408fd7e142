//! The fields of an entry: put into and taken out of a YAML mapping, with diagnostics that name the field.
//! Leaves to others: which fields an entry has (`schema`, `written/measured`, `written/opened`).

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Typed, Unit};
use crate::base::yaml::{Mapping, Value};

/// Fields being written, in order.
#[derive(Debug, Default)]
pub(super) struct Fields(Mapping);

impl Fields {
    /// Adds any value.
    pub(super) fn value(&mut self, key: &str, value: impl Into<Value>) {
        self.0.insert(Value::String(key.to_owned()), value.into());
    }

    /// Adds a text.
    pub(super) fn text(&mut self, key: &str, text: &str) {
        self.value(key, text);
    }

    /// Adds a text if there is one.
    pub(super) fn text_if(&mut self, key: &str, text: Option<&str>) {
        if let Some(text) = text {
            self.text(key, text);
        }
    }

    /// Adds a flag, but only if it is true.
    pub(super) fn flag(&mut self, key: &str, flag: bool) {
        if flag {
            self.value(key, true);
        }
    }

    /// Adds a whole number, or null if there is none.
    pub(super) fn number_or_null(&mut self, key: &str, number: Option<usize>) {
        self.value(key, number.map_or(Value::Null, Value::from));
    }

    /// Adds a value as it was typed: its text, and what was understood, in base units.
    pub(super) fn typed<U: Unit>(&mut self, key: &str, typed: &Typed<U>) {
        self.value(key, typed_value(typed));
    }

    /// Returns the mapping.
    pub(super) fn done(self) -> Mapping {
        self.0
    }
}

/// Returns a typed value as YAML. Text and number are both kept: the text is what the person meant, the number what
/// this version understood, so that another version's reading of the text cannot change a log.
fn typed_value<U: Unit>(typed: &Typed<U>) -> Mapping {
    let mut inner = Fields::default();
    inner.text("typed", &typed.text);
    inner.value("value", typed.value.base());
    inner.text("unit", U::SYMBOL);
    inner.value("step", typed.step);
    inner.done()
}

/// Fields being read. Keys that this version does not know are passed over: a newer version of the same format may
/// add some.
#[derive(Debug, Clone, Copy)]
pub(super) struct Given<'a>(pub(super) &'a Mapping);

impl<'a> Given<'a> {
    /// Takes a mapping.
    pub(super) fn of(value: &'a Value, key: &str) -> Result<Self, Diagnostic> {
        match value {
            Value::Mapping(mapping) => Ok(Self(mapping)),
            _ => Err(Diagnostic::new("is not a mapping").expected("keys with values").in_field(key)),
        }
    }

    /// Returns a field that has to be there.
    pub(super) fn value(self, key: &str) -> Result<&'a Value, Diagnostic> {
        self.value_if(key).ok_or_else(|| Diagnostic::new("is missing").in_field(key))
    }

    /// Returns a field if it is there and not null.
    pub(super) fn value_if(self, key: &str) -> Option<&'a Value> {
        self.0.get(key).filter(|value| !value.is_null())
    }

    /// Returns a text.
    pub(super) fn text(self, key: &str) -> Result<String, Diagnostic> {
        text_of(self.value(key)?, key)
    }

    /// Returns a text if it is there.
    pub(super) fn text_if(self, key: &str) -> Result<Option<String>, Diagnostic> {
        self.value_if(key).map(|value| text_of(value, key)).transpose()
    }

    /// Returns a flag; false if it is not there.
    pub(super) fn flag(self, key: &str) -> Result<bool, Diagnostic> {
        match self.value_if(key) {
            None => Ok(false),
            Some(value) => value
                .as_bool()
                .ok_or_else(|| Diagnostic::new("is no flag").expected("true or false").in_field(key)),
        }
    }

    /// Returns a finite number.
    pub(super) fn number(self, key: &str) -> Result<f64, Diagnostic> {
        self.value(key)?
            .as_f64()
            .filter(|number| number.is_finite())
            .ok_or_else(|| Diagnostic::new("is not a finite number").expected("a number").in_field(key))
    }

    /// Returns a whole number if it is there.
    pub(super) fn whole_if(self, key: &str) -> Result<Option<u64>, Diagnostic> {
        let wrong =
            || Diagnostic::new("is not a whole number").expected("a number without a point").in_field(key);
        self.value_if(key).map(|value| value.as_u64().ok_or_else(wrong)).transpose()
    }

    /// Returns the number of an entry if it is there.
    pub(super) fn entry_if(self, key: &str) -> Result<Option<usize>, Diagnostic> {
        let wrong = |_| Diagnostic::new("is too large for the number of an entry").in_field(key);
        self.whole_if(key)?.map(usize::try_from).transpose().map_err(wrong)
    }

    /// Returns a value as it was typed.
    pub(super) fn typed<U: Unit>(self, key: &str) -> Result<Typed<U>, Diagnostic> {
        typed_of(self.value(key)?, key)
    }

    /// Returns a value as it was typed, if it is there.
    pub(super) fn typed_if<U: Unit>(self, key: &str) -> Result<Option<Typed<U>>, Diagnostic> {
        self.value_if(key).map(|value| typed_of(value, key)).transpose()
    }
}

fn text_of(value: &Value, key: &str) -> Result<String, Diagnostic> {
    match value.as_str() {
        Some(text) => Ok(text.to_owned()),
        None => Err(Diagnostic::new("is not a text").expected("a text in double quotes").in_field(key)),
    }
}

fn typed_of<U: Unit>(value: &Value, key: &str) -> Result<Typed<U>, Diagnostic> {
    let given = Given::of(value, key)?;
    let read = || {
        let unit = given.text("unit")?;
        if unit != U::SYMBOL {
            return Err(Diagnostic::new("is in another unit").expected(U::SYMBOL).in_field("unit"));
        }
        let value = U::from_base(given.number("value")?);
        Ok(Typed { value, step: given.number("step")?, text: given.text("typed")? })
    };
    read().map_err(|fault: Diagnostic| within(fault, key))
}

/// Puts a diagnostic's field below another one.
pub(super) fn within(mut fault: Diagnostic, key: &str) -> Diagnostic {
    let inner = fault.place.field.take();
    fault.in_field(inner.map_or_else(|| key.to_owned(), |inner| format!("{key}.{inner}")))
}
