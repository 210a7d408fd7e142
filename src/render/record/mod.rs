//! The record: one document for the work order, made from the log alone. Everything that was said, passed over,
//! struck or found, with the log's last seal. Its top-level keys are a contract.
//! Leaves to others: conclusions and their words (`hunt`, `text`), what is left out on request (`redact`).

mod findings;
mod sections;
mod source;
mod timeline;

use serde_json::{Value, json};

use super::redact::LEFT_OUT;
use crate::base::diagnostic::Diagnostic;
use crate::base::yaml;
use crate::circuit::fuse_table::FuseTable;
use crate::hunt::analysis::Analysis;

pub use source::RecordSource;

/// Format name of the record.
pub const FORMAT: &str = "fusetrail-record/1";

/// Returns the record with its top-level keys in the order of the contract.
///
/// # Errors
/// The tables of this build do not read.
pub fn record(source: &RecordSource) -> Result<Value, Diagnostic> {
    let case = source.case;
    let analysis = Analysis::of(case)?;
    let table = FuseTable::builtin()?;
    let redaction = source.redaction;
    let mut record = json!({
        "format": FORMAT,
        "complaint": sections::complaint(case, redaction),
        "vehicle": sections::vehicle(case, redaction),
        "battery": sections::battery(case, redaction),
        "setup": sections::setup(case, redaction),
        "timeline": timeline::timeline(source, &analysis),
        "limit": sections::limit(case, redaction),
        "total": sections::total(case, &analysis),
        "account": super::json::account(&analysis),
        "suspects": findings::suspects(case, &analysis),
        "narrowed": findings::narrowed(case, &analysis, redaction),
        "repair": findings::repair(case, redaction),
        "proof": findings::proof(case, redaction),
        "cautions": findings::cautions(case, redaction),
        "versions": versions(source, table.version()),
        "struck": timeline::struck(source),
    });
    round(&mut record);
    Ok(record)
}

/// Returns the record as one YAML document.
///
/// # Errors
/// The tables of this build do not read, or the record has no YAML form.
pub fn to_yaml(source: &RecordSource) -> Result<String, Diagnostic> {
    yaml::write(&record(source)?)
}

fn versions(source: &RecordSource, tables: &str) -> Value {
    let opened = &source.case.opened;
    let unknown = source.case.unknown.iter().map(|one| json!({"entry": one.entry, "kind": one.kind}));
    json!({
        "program": env!("CARGO_PKG_VERSION"),
        "log_begun_with": opened.program,
        "fuse_tables": tables,
        "fuse_tables_when_begun": opened.tables,
        "entries": source.entries.len(),
        "seal": source.seal,
        "entries_edited_after_writing": source.edited,
        "torn_bytes_at_the_end": source.torn,
        "entries_of_unknown_kind": unknown.collect::<Vec<_>>(),
        "left_out": if source.redaction.0 { json!(LEFT_OUT) } else { json!([]) },
    })
}

/// Rounds every number to four decimals: a microampere in a record says nothing.
fn round(value: &mut Value) {
    match value {
        Value::Number(number) if number.is_f64() => {
            if let Some(rounded) = number.as_f64().map(|number| (number * 1e4).round() / 1e4) {
                *value = json!(rounded);
            }
        }
        Value::Array(items) => items.iter_mut().for_each(round),
        Value::Object(entries) => entries.values_mut().for_each(round),
        _ => {}
    }
}
