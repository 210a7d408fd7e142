//! The record: one document for the work order, made from the log alone. Everything that was said, passed over,
//! struck or found, with the log's last seal. Its top-level keys are a contract.
//! Leaves to others: conclusions and their words (`hunt`, `text`), what is left out on request (`redact`).

mod findings;
mod night;
pub(crate) mod page;
pub(crate) mod readings;
mod sections;
mod source;
mod timeline;

use serde_json::Value;

use self::findings::{CautionShape, FoundShape, NarrowedShape, ProofShape, RecordSuspectsShape, RepairShape};
use self::night::NightShape;
use self::sections::{
    BatteryShape, ChargingShape, ComplaintShape, RecordLimitShape, RecordVehicleShape, SetupShape, TotalShape,
};
use self::timeline::{RecordStruckShape, TimelineShape};

use super::json::log::NewerShape;
use super::json::suspects::AccountShape;
use crate::base::diagnostic::Diagnostic;
use crate::base::yaml;
use crate::circuit::fuse_table::FuseTable;
use crate::hunt::analysis::Analysis;
use crate::text::record::LEFT_OUT;

pub use source::RecordSource;

use self::page::blocks::HandoverPage;
use self::page::source::PageSource;

/// Format name of the record.
pub const FORMAT: &str = "fusetrail-record/1";

shape! {
    /// The record.
    RecordShape(source: &RecordSource, analysis: &Analysis, tables: &str) [
        let RecordSource { case, redaction, .. } = *source;
    ] {
        format: &'static str = FORMAT,
        leader: FoundShape = FoundShape::of(analysis),
        complaint: ComplaintShape = ComplaintShape::of(case, redaction),
        vehicle: RecordVehicleShape = RecordVehicleShape::of(case, redaction),
        battery: BatteryShape = BatteryShape::of(case, redaction),
        setup: SetupShape = SetupShape::of(case, redaction),
        /// Every entry of the log in order.
        timeline: Vec<TimelineShape> = timeline::timeline(source, analysis),
        limit: RecordLimitShape = RecordLimitShape::of(case, redaction),
        total: TotalShape = TotalShape::of(case, analysis),
        account: AccountShape = AccountShape::of(analysis),
        suspects: RecordSuspectsShape = RecordSuspectsShape::of(case, analysis),
        narrowed: NarrowedShape = NarrowedShape::of(case, analysis, redaction),
        repair: RepairShape = RepairShape::of(case, redaction),
        proof: ProofShape = ProofShape::of(case, redaction),
        /// Every caution that this vehicle needs.
        cautions: Vec<CautionShape> = CautionShape::all(case, redaction),
        versions: VersionsShape = VersionsShape::of(source, tables),
        struck: Vec<RecordStruckShape> = timeline::struck(source),
        charging: ChargingShape = ChargingShape::of(case, redaction),
        /// What a meter log showed while nobody looked, the newest one; null without one.
        night: Option<NightShape> = case.watched.last().map(|seen| NightShape::of(&seen.what, case, redaction)),
        /// Seal of the last entry.
        seal: String = source.seal.to_owned(),
    }

    /// What the record was made with and from.
    VersionsShape(source: &RecordSource, tables: &str) [let opened = &source.case.opened;] {
        program: &'static str = env!("CARGO_PKG_VERSION"),
        log_begun_with: String = opened.program.clone(),
        fuse_tables: String = tables.to_owned(),
        fuse_tables_when_begun: String = opened.tables.clone(),
        /// How many entries the log has.
        entries: usize = source.entries.len(),
        /// Seal of the last entry.
        seal: String = source.seal.to_owned(),
        entries_edited_after_writing: Vec<usize> = source.edited.to_vec(),
        torn_bytes_at_the_end: Option<usize> = source.torn,
        entries_of_unknown_kind: Vec<NewerShape> = source.case.unknown.iter().map(|one| NewerShape::of(one.entry, &one.kind)).collect(),
        left_out: Vec<&'static str> = if source.redaction.0 { LEFT_OUT.to_vec() } else { Vec::new() },
    }
}

fn shape(source: &RecordSource) -> RecordShape {
    RecordShape::of(source, &Analysis::of(source.case), FuseTable::builtin().version())
}

/// Returns the page that people read, under the shop's letterhead.
pub(crate) fn page(source: &RecordSource, letterhead: &[String]) -> HandoverPage {
    let record = shape(source);
    let rows = readings::rows(source, &Analysis::of(source.case));
    page::page(PageSource { record: &record, rows: &rows, letterhead })
}

/// Returns the readings as CSV.
///
/// # Errors
/// They have no form as CSV.
pub(crate) fn csv(source: &RecordSource) -> Result<String, Diagnostic> {
    readings::csv(&readings::rows(source, &Analysis::of(source.case)))
}

/// Returns the record with its top-level keys in the order of the contract.
///
/// # Errors
/// The record has no JSON form.
pub fn record(source: &RecordSource) -> Result<Value, Diagnostic> {
    let mut record =
        serde_json::to_value(shape(source)).map_err(|error| Diagnostic::new(error.to_string()))?;
    round(&mut record);
    Ok(record)
}

/// Returns the record as one YAML document.
///
/// # Errors
/// The record has no YAML form.
pub fn to_yaml(source: &RecordSource) -> Result<String, Diagnostic> {
    yaml::write(&record(source)?)
}

/// Rounds every number to four decimals: a microampere in a record says nothing.
fn round(value: &mut Value) {
    match value {
        Value::Number(number) if number.is_f64() => {
            if let Some(rounded) = number.as_f64().map(|number| (number * 1e4).round() / 1e4) {
                *value = Value::from(rounded);
            }
        }
        Value::Array(items) => items.iter_mut().for_each(round),
        Value::Object(entries) => entries.values_mut().for_each(round),
        _ => {}
    }
}
