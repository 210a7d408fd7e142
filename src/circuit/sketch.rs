//! A plain panel list (CSV: box, fuse, family, rating, what it feeds) to a circuit map.
//! Leaves to others: single typed lines (`lid`), the checks (`resolve`), writing the map (`schema`).

use super::check::check_written;
use super::fuse::Family;
use super::lid_line::{family_of, numbered, read_rating, split_loads};
use super::lid_text::{is_lid, read_lid};
use super::map::Map;
use super::schema::{BATTERY, BoxSchema, FORMAT, FeedSchema, FuseSchema, LoadSchema, MapSchema};
use super::wording::words_of;
use crate::base::caps::{CELLS, FEEDS, FILE_BYTES, LOADS_OF_ONE, TOLD};
use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::quantity::Unit;
use crate::base::styled::clean;

/// Column of a panel list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum PanelColumn {
    Box,
    Fuse,
    Family,
    Rating,
    Loads,
    From,
}

/// Columns of a list without a header.
const USUAL: [PanelColumn; 5] =
    [PanelColumn::Box, PanelColumn::Fuse, PanelColumn::Family, PanelColumn::Rating, PanelColumn::Loads];

/// Headings as people write them.
const HEADINGS: [(PanelColumn, &[&str]); 6] = [
    (PanelColumn::Box, &["box", "panel", "fuse box", "location", "place"]),
    (PanelColumn::Fuse, &["fuse", "id", "no", "nr", "number", "position", "slot", "fuse no"]),
    (PanelColumn::Family, &["family", "type", "style", "form", "fuse type"]),
    (PanelColumn::Rating, &["rating", "amp", "ampere", "a", "rating a", "size"]),
    (
        PanelColumn::Loads,
        &[
            "what it feeds",
            "feeds",
            "load",
            "circuit",
            "function",
            "description",
            "protect",
            "component",
            "name",
        ],
    ),
    (PanelColumn::From, &["from", "fed by", "supply", "link"]),
];

/// One row, checked by itself.
struct PanelRow {
    line: usize,
    place: String,
    id: String,
    family: Option<Family>,
    rating: f64,
    from: Option<String>,
    loads: Vec<String>,
}

/// Makes a map from a panel list, or from lines as they are typed from a lid. Of a list, commas, semicolons or tabs separate; a header is optional; cells beyond the last
/// column are further loads. Fuses of one name in several boxes get the box in front: `cabin.F1`.
///
/// # Errors
/// Every row that cannot be read, with its line: too few cells, no fuse, an unknown family, a rating that is not
/// positive; fuses of one name in one box; a list without a fuse; too large.
pub fn sketch(file: &str, text: &str, title: &str) -> Result<(Map, Vec<Diagnostic>), Faults> {
    let in_file =
        |faults: Vec<Diagnostic>| Faults(faults.into_iter().map(|fault| fault.in_file(file)).collect());
    let title = if title.trim().is_empty() { "Sketch" } else { title.trim() };
    let rows = match read_rows(text) {
        Ok(rows) => rows,
        Err(_) if text.len() <= FILE_BYTES && is_lid(text) => {
            let (map, notes) = read_lid(title, text).map_err(in_file)?;
            return Ok((map, notes.into_iter().map(|fault| fault.in_file(file)).collect()));
        }
        Err(faults) => return Err(in_file(faults)),
    };
    let mut notes = Vec::new();
    let written = written_map(title, &rows, &mut notes);
    // Faults of the map name the feed by its place in the list; the row of that place has the line.
    let place = |fault: Diagnostic| {
        let index = fault.place.field.as_deref().and_then(feed_number);
        let fault = fault.in_file(file);
        match index.and_then(|index| rows.get(index)) {
            Some(row) => fault.on_line(row.line),
            None => fault,
        }
    };
    match check_written(&written) {
        Ok((map, doubts)) => {
            notes.extend(doubts.into_iter().map(place));
            Ok((map, notes.into_iter().map(|fault| fault.in_file(file)).collect()))
        }
        Err(faults) => Err(Faults(faults.0.into_iter().map(place).collect())),
    }
}

/// Returns the number in `feeds[3].from`.
fn feed_number(field: &str) -> Option<usize> {
    field.strip_prefix("feeds[")?.split(']').next()?.parse().ok()
}

fn read_rows(text: &str) -> Result<Vec<PanelRow>, Vec<Diagnostic>> {
    if text.len() > FILE_BYTES {
        let fault = Diagnostic::new(format!("the list has {} bytes", text.len()));
        return Err(vec![fault.expected(format!("at most {FILE_BYTES}")).remedy("is this the right file?")]);
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator(text))
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let mut columns: Vec<Option<PanelColumn>> = USUAL.map(Some).to_vec();
    let (mut rows, mut faults) = (Vec::new(), Vec::new());
    let mut first = true;
    for record in reader.records() {
        if faults.len() >= TOLD {
            faults.push(Diagnostic::new("further rows were not looked at").remedy("see to these first"));
            break;
        }
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                faults.push(Diagnostic::new(clean(&error.to_string())));
                continue;
            }
        };
        let cells: Vec<&str> = record.iter().collect();
        if cells.iter().all(|cell| cell.is_empty()) {
            continue;
        }
        let line = record.position().map_or(0, csv::Position::line);
        let line = usize::try_from(line).unwrap_or(usize::MAX);
        if cells.len() > CELLS {
            let fault = Diagnostic::new(format!("the row has {} cells", cells.len())).on_line(line);
            faults.push(fault.expected(format!("at most {CELLS}")));
            continue;
        }
        match header(&cells).filter(|_| first) {
            Some(found) => columns = found,
            None => match read_row(line, &cells, &columns) {
                Ok(row) => rows.push(row),
                Err(more) => faults.extend(more.into_iter().map(|fault| fault.on_line(line))),
            },
        }
        first = false;
    }
    if rows.len() > FEEDS {
        let fault = Diagnostic::new(format!("the list has {} fuses", rows.len()));
        return Err(vec![fault.expected(format!("at most {FEEDS}"))]);
    }
    if rows.is_empty() && faults.is_empty() {
        faults.push(
            Diagnostic::new("the list has no fuse").expected("box, fuse, family, rating, what it feeds"),
        );
    }
    if faults.is_empty() { Ok(rows) } else { Err(faults) }
}

/// Tells the separator by the first line that holds something: what parts it most often, tab before semicolon
/// before comma.
fn separator(text: &str) -> u8 {
    let line = text.lines().find(|line| !line.trim().is_empty() && !line.starts_with('#')).unwrap_or("");
    let enough = |c: char| line.matches(c).count() >= 2;
    match () {
        () if enough('\t') => b'\t',
        () if enough(';') => b';',
        () => b',',
    }
}

/// Returns the columns of a header, unknown ones as `None`; nothing if the row is no header: one has headings for
/// fuse and rating.
fn header(cells: &[&str]) -> Option<Vec<Option<PanelColumn>>> {
    let column = |cell: &&str| {
        let words = words_of(cell);
        let found = HEADINGS.iter().find(|(_, names)| names.iter().any(|name| words_of(name) == words));
        found.map(|(column, _)| *column)
    };
    let found: Vec<Option<PanelColumn>> = cells.iter().map(column).collect();
    (found.contains(&Some(PanelColumn::Fuse)) && found.contains(&Some(PanelColumn::Rating))).then_some(found)
}

fn read_row(
    line: usize,
    cells: &[&str],
    columns: &[Option<PanelColumn>],
) -> Result<PanelRow, Vec<Diagnostic>> {
    let cell = |wanted: PanelColumn| {
        let index = columns.iter().position(|column| *column == Some(wanted))?;
        cells.get(index).copied().filter(|cell| !cell.is_empty())
    };
    let mut faults = Vec::new();
    let id = cell(PanelColumn::Fuse);
    if id.is_none() {
        faults.push(Diagnostic::new("the fuse has no name").in_field("fuse"));
    }
    let family = match cell(PanelColumn::Family).map(family_of) {
        Some(Ok(family)) => Some(family),
        Some(Err(fault)) => {
            faults.push(fault.in_field("family"));
            None
        }
        None => None,
    };
    let rating = match cell(PanelColumn::Rating).map(read_rating) {
        Some(Ok(rating)) => rating.base(),
        Some(Err(fault)) => {
            faults.push(fault.in_field("rating"));
            0.0
        }
        None => {
            let fault =
                Diagnostic::new("the rating is missing").expected("box, fuse, family, rating, what it feeds");
            faults.push(fault.in_field("rating"));
            0.0
        }
    };
    if !faults.is_empty() {
        return Err(faults);
    }
    let further = cells.iter().skip(columns.len()).copied();
    let named = || cell(PanelColumn::Loads).into_iter().chain(further.clone()).flat_map(split_loads);
    let count = named().count();
    if count > LOADS_OF_ONE {
        let fault = Diagnostic::new(format!("the fuse feeds {count} loads"));
        return Err(vec![fault.expected(format!("at most {LOADS_OF_ONE}"))]);
    }
    Ok(PanelRow {
        line,
        place: cell(PanelColumn::Box).unwrap_or_default().to_owned(),
        id: id.unwrap_or_default().split_whitespace().collect::<Vec<_>>().join("-"),
        family,
        rating,
        from: cell(PanelColumn::From).map(str::to_owned),
        loads: numbered(named().collect()),
    })
}

fn written_map(title: &str, rows: &[PanelRow], notes: &mut Vec<Diagnostic>) -> MapSchema {
    let mut boxes: Vec<(String, BoxSchema)> = Vec::new();
    let mut feeds = Vec::new();
    for row in rows {
        let place = Some(row.place.clone()).filter(|place| !place.is_empty());
        if let Some(place) = place.as_ref().filter(|place| !boxes.iter().any(|(id, _)| id == *place)) {
            boxes.push((place.clone(), BoxSchema::default()));
        }
        let elsewhere = |one: &&PanelRow| one.id == row.id && one.place != row.place;
        let id = if rows.iter().any(|one| elsewhere(&one)) && place.is_some() {
            format!("{}.{}", row.place.replace(['/', '='], "-"), row.id)
        } else {
            row.id.clone()
        };
        if row.family.is_none() {
            let (id, name) = (clean(&id), Family::Mini.name());
            let note = Diagnostic::new(format!("{id}: family {name} taken, the list names none"));
            notes.push(note.remedy("measure the width of its body").on_line(row.line));
        }
        feeds.push(FeedSchema {
            id: Some(id),
            from: Some(row.from.clone().unwrap_or_else(|| BATTERY.to_owned())),
            place,
            fuse: Some(FuseSchema {
                family: Some(row.family.unwrap_or(Family::Mini).name().to_owned()),
                rating_a: Some(row.rating),
                r_mohm: None,
            }),
            family_guessed: row.family.is_none().then_some(true),
            loads: row
                .loads
                .iter()
                .map(|name| LoadSchema { name: Some(name.clone()), ..LoadSchema::default() })
                .collect(),
            ..FeedSchema::default()
        });
    }
    MapSchema {
        format: Some(FORMAT.to_owned()),
        title: Some(title.to_owned()),
        boxes,
        feeds,
        ..MapSchema::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::check::check;
    use crate::circuit::map::Hazard;
    use proptest::prelude::*;

    fn made(text: &str) -> Map {
        sketch("panel.csv", text, "Panel").unwrap_or_else(|faults| panic!("{faults}")).0
    }

    #[test]
    fn a_panel_list_becomes_a_map_that_reads_back_whatever_the_separator() {
        let comma = "box,fuse,family,rating,what it feeds\ncabin,F12,mini,10,\"radio, clock\"\ncabin,F13,mini,7.5A,SRS\nbay,F1,maxi,40,fan\n";
        let semicolon = "cabin;F12;mini;10;radio, clock\ncabin;F13;mini;7,5;SRS\nbay;F1;maxi;40 A;fan\n";
        let tab = "# typed from the lid\n\nRating\tFuse No.\tBox\tType\tCircuit\n10\tF12\tcabin\tMINI\tradio; clock\n7.5\tF13\tcabin\tmini\tSRS\n40\tF1\tbay\tmaxi\tfan\n";
        let map = made(comma);
        assert_eq!((map.feeds.len(), map.boxes.len(), map.feeds[0].loads.len()), (3, 2, 2));
        assert_eq!(map.feeds[1].hazard, Some(Hazard::Restraint));
        assert_eq!(map.feeds[2].loads[0].kind, "cooling-fan");
        assert_eq!(made(semicolon), map);
        assert_eq!(made(tab), map);
        // Unquoted commas make further cells, which are further loads.
        assert_eq!(made(&comma.replace('"', "")), map);
        let again = check("again", &map.to_yaml().expect("text")).expect("sound").0;
        assert_eq!(map, again);
    }

    #[test]
    fn fuses_of_one_name_in_two_boxes_get_the_box_in_front() {
        let map = made("cabin,F1,mini,10,radio\nbay,F1,mini,10,horn\nbay,F2,mini,10,fan\n");
        let ids: Vec<&str> = map.feeds.iter().map(|feed| feed.id.as_str()).collect();
        assert_eq!(ids, ["cabin.F1", "bay.F1", "F2"]);
    }

    #[test]
    fn every_row_that_cannot_be_read_is_told_with_its_line() {
        let text = "box,fuse,family,rating,feeds\ncabin,F1,minni,10,radio\ncabin,,mini,-3,horn\ncabin,F3\ncabin,F4,mini,10,fan\n";
        let faults = sketch("panel.csv", text, "").expect_err("bad rows");
        let places: Vec<String> = faults.0.iter().map(|fault| fault.place.to_string()).collect();
        let due = [
            "panel.csv, line 2, family",
            "panel.csv, line 3, fuse",
            "panel.csv, line 3, rating",
            "panel.csv, line 4, rating",
        ];
        assert_eq!(places, due);
    }

    #[test]
    fn faults_of_the_whole_list_have_the_line_of_their_row() {
        let text = "cabin,F1,mini,10,radio\ncabin,F2,mini,10,horn\ncabin,F1,mini,10,fan\n";
        let faults = sketch("panel.csv", text, "").expect_err("a doubled fuse");
        assert_eq!(faults.0.len(), 1);
        assert_eq!(faults.0[0].place.line, Some(3), "{faults}");
        let below = "fuse,rating,family,from,feeds\nL1,80,bolt,battery,\nF1,10,mini,L9,radio\n";
        let faults = sketch("panel.csv", below, "").expect_err("no such link");
        assert_eq!(faults.0[0].place.line, Some(3), "{faults}");
        for empty in ["", "\n\n", "box,fuse,family,rating,feeds\n"] {
            assert!(sketch("panel.csv", empty, "").is_err());
        }
    }

    proptest! {
        #[test]
        fn no_list_makes_the_sketch_panic(text in "[a-zF0-9,;\t\n\". #-]{0,120}") {
            let _ = sketch("panel.csv", &text, "");
        }
    }
}
