//! What the program takes at most, all in one place: beyond any vehicle, and small enough that every command ends
//! within seconds. Each refusal says the cap and the figure found. All of them are editorial.
//! Leaves to others: holding to them (the reader of each input). The README has the same figures as a table.

/// Bytes of a circuit map, a panel list or an answers file.
pub const FILE_BYTES: usize = 1024 * 1024;

/// Bytes of a whole session log, and of any YAML text.
pub const YAML_BYTES: usize = 8 * 1024 * 1024;

/// Lists and mappings of a YAML text that stand one in the other.
pub const YAML_DEPTH: usize = 64;

/// Directives (lines that begin with `%`) of a YAML text.
pub const YAML_DIRECTIVES: usize = 8;

/// Faults of one file that are told, and as many warnings; the others are counted.
pub const TOLD: usize = 500;

/// Feeds of a map, or rows of a panel list.
pub const FEEDS: usize = 1000;

/// Feeds that stand one below the other: real vehicles have four or five.
pub const LEVELS: usize = 32;

/// Loads on one feed.
pub const LOADS_OF_ONE: usize = 100;

/// Loads of a map.
pub const LOADS: usize = 6000;

/// Unfused items of a map.
pub const UNFUSED: usize = 200;

/// Boxes of a map, and wake groups.
pub const BOXES: usize = 200;

/// Inputs of one wake group.
pub const INPUTS: usize = 100;

/// Further feeds of one load.
pub const ALSO_FROM: usize = 16;

/// Characters of the name of a feed, an unfused item, a box or a wake group.
pub const NAME: usize = 80;

/// Characters of the name of a load or an input.
pub const LOAD_NAME: usize = 160;

/// Characters of any other text of a map: a title, a place, a source.
pub const TEXT: usize = 400;

/// Cells of a row of a panel list.
pub const CELLS: usize = 120;

/// Ids in an answers file.
pub const ANSWER_IDS: usize = 2000;

/// Answers in an answers file, lists counted one by one.
pub const ANSWERS: usize = 20_000;

/// Characters of an id or an answer in an answers file.
pub const ANSWER: usize = 2000;

/// Rows of a meter log.
pub const LOG_ROWS: usize = 20_000_000;

/// Bytes of a meter log, unpacked.
pub const LOG_BYTES: u64 = 400_000_000;

/// Bytes of one row of a meter log.
pub const LOG_ROW_BYTES: usize = 64 * 1024;

/// Readings of a session log that count: struck ones and those of a wait left out.
pub const READINGS: usize = 2500;

/// Readings of one kind at one place: each beyond the first few only repeats them.
pub const READINGS_OF_ONE: usize = 400;

/// Readings times feeds: what an analysis of both has to go through.
pub const READINGS_BY_FEEDS: usize = 400_000;

/// Zeros of a session log that count: each is an error of its own that all readings after it share.
pub const ZEROS: usize = 200;

/// Fuses typed from a lid into one session log.
pub const TYPED_FUSES: usize = 300;
