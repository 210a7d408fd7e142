//! What the record says of itself, and the names of what is printed for programs.
//! Leaves to others: the record's findings (the other files here), its shape (`render/record`).

/// A record of a simulated vehicle.
pub const PRACTICE: &str = "practice: a simulated vehicle; nothing in this record is of a real one";
/// The search before anything was read.
pub const NO_TOTAL: &str = "no settled total: these are the weights before any reading";
/// Where the weights are from.
pub const WEIGHTS: &str =
    "editorial: how likely each cause is before any reading is our own choice, for nobody publishes shares";
/// A total that was seen to be settled.
pub const SEEN: &str = "seen: flat for ten minutes in this log";
/// A total of which somebody said so.
pub const TOLD: &str = "told, not seen";
/// A reading before sleep was proved.
pub const PROVISIONAL: &str = "provisional: sleep was not proved";

/// What a redacted record leaves out, for those that hand it on.
pub const LEFT_OUT: [&str; 9] = [
    "name of the vehicle and title of its map",
    "plate, VIN, odometer, order, technician and numbers of parts",
    "names of loads, boxes, networks, inputs and meters that are not built in",
    "names of files",
    "complaint and other answers in free words",
    "notes",
    "reasons for passing over and striking",
    "what disturbed the vehicle",
    "where a limit is from that was told or stands on the map",
];

/// Returns what a schema is of.
pub fn schema(name: &str) -> &'static str {
    match name {
        "hunt" => "how a hunt ended",
        "open" => "the entry that begins a log",
        "add" => "entries that were added, and what they come to",
        "strike" => "an entry that was struck",
        "undo" => "entries that were taken back",
        "list" => "the entries of a log",
        "check" => "whether a log is whole",
        "suspects" => "who is to blame",
        "next" => "what to read next",
        "account" => "where the total goes",
        "convert" => "a drop as a current",
        "sheet" => "drops by current and rating",
        "sheet-map" => "fuses of a bay and from how many millivolts each is high",
        "record" => "the record, as JSON or YAML",
        "record-to" => "where the record was written",
        "settle" => "what a meter log shows",
        "watch" => "what was written down of a live meter",
        "watch-wake" => "what a command of watch --on-wake is given",
        "stand" => "how long a battery stands",
        "circuits-list" => "the built-in maps",
        "circuits-show" => "a map with every figure",
        "circuits-check" => "faults and doubts of a map",
        "circuits-sketch" => "the map made from a panel list",
        "practice" => "a practice vehicle",
        "practice-score" => "how well practice vehicles are hunted",
        "explain" => "a word or step, explained",
        "explain-list" => "every word and step, explained",
        "lessons" => "what a shop's hunts teach",
        "schema" => "the names of the schemas",
        "log" => "a session log, as this version writes it",
        "map" => "a circuit map, as it is written by hand",
        "answers" => "an answers file",
        _ => "",
    }
}
