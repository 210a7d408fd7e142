//! The words of the page that is handed over: what the customer reads, what the work order says, the labels of the evidence.
//! Leaves to others: the findings themselves (the other files here), the page's make-up (`render/record/page`).

/// Heads the customer's page.
pub const CUSTOMER: &str = "What flattened the battery";
/// Heads the work order.
pub const ORDER: &str = "Work order";
/// Heads the evidence.
pub const EVIDENCE: &str = "Evidence";

/// No proof stands behind the finding.
pub const INDICATION: &str =
    "An indication, not a proof: no total after a repair shows yet that this was all.";
/// The finding is proven.
pub const PROOF: &str = "Proven: the draw was read again after the repair, and it is within its limit.";
/// A total after the repair is there, and something else is not.
pub const NOT_YET: &str = "An indication, not a proof yet: the work order says what is open.";
/// Nothing was read.
pub const NOT_MEASURED: &str = "No settled draw was read, so nothing was found yet.";
/// A practice vehicle.
pub const PRACTICE: &str = "Practice. A simulated vehicle: nothing here is of a real one.";
/// Texts were left out.
pub const REDACTED: &str = "Names and free words were left out of this copy.";
/// What to do after the night's end.
pub const AGAIN: &str = "If the battery goes flat again, bring this page: the next hunt goes on from here.";
/// What the code is.
pub const SEAL: &str =
    "Last seal of the session log. fusetrail check LOG --seal SEAL tells whether the log is still this one.";
/// Nothing is open.
pub const NOTHING_OPEN: &str = "Nothing is open.";
/// The rest of a text stands elsewhere.
pub const MORE: &str = "… (in full under Evidence)";
/// No reading was taken.
pub const NO_READING: &str = "No reading was taken.";

/// Says what was found, for somebody who doesn't know the trade. `part` is what fails there, if it was told apart.
pub fn found(kind: &str, name: &str, part: Option<&str>, proven: bool) -> String {
    let is = if proven { "It was" } else { "It is most likely" };
    let place = place(name);
    match (kind, part) {
        ("branch" | "cured", Some(part)) => format!("{is} the {part}, on {place}."),
        ("branch" | "cured", None) => format!("{is} something on {place}."),
        ("unfused", _) => format!("{is} the {name}. It has no fuse of its own."),
        ("group", Some(part)) => {
            format!("{is} a network that does not go to sleep ({name}). What keeps it awake: {part}.")
        }
        ("group", None) => format!("{is} a network that does not go to sleep ({name})."),
        ("battery", _) => format!("{is} the battery itself."),
        ("charging", _) => format!("{is} the charging side: it does not fill the battery."),
        ("use", _) => format!("{is} how the vehicle is used: it stands too long, or is driven too little."),
        ("nothing", _) => "Nothing draws too much: the vehicle sleeps as it should.".to_owned(),
        ("not-present", _) => "Nothing draws too much now. The fault may come at times only.".to_owned(),
        _ => format!("{is} {name}."),
    }
}

/// Says where a branch is, without names of our own.
pub fn place(name: &str) -> String {
    match name.strip_suffix(":unlisted") {
        Some("battery") => "the battery post, not on the map".to_owned(),
        Some(feed) => format!("what {feed} feeds, not on the map"),
        None => format!("fuse {name}"),
    }
}

/// Names a branch in a list, without names of our own.
pub fn somewhere(name: &str) -> String {
    match name.strip_suffix(":unlisted") {
        Some("battery") => "unlisted at battery".to_owned(),
        Some(feed) => format!("unlisted, below {feed}"),
        None => name.to_owned(),
    }
}

/// Says that a reading shows less than its meter can.
pub fn under(floor: &str) -> String {
    format!("under {floor}")
}

/// Says how likely something is, and was before any circuit was read.
pub fn now_and_before(now: &str, before: &str) -> String {
    format!("{now} (was: {before})")
}

/// Says how a part failed: what it drew too much while all else slept.
pub fn failed(excess: &str) -> String {
    format!("Draws {excess} more than it should while the vehicle sleeps.")
}

/// Says how a part failed that draws at times: what the night's log showed of it.
pub fn failed_at_times(what: &str) -> String {
    format!("Draws at times while the vehicle should sleep: {what}.")
}

/// Says which question is open where the hunt has not reached its end.
pub fn unfinished(prompt: &str) -> String {
    format!("unfinished: \"{prompt}\" is open")
}

/// Says that a network stays awake.
pub fn held_awake(excess: &str) -> String {
    format!("Stays awake: its modules draw {excess} together.")
}

/// Says how long the search took.
pub fn took(hours: f64) -> String {
    if hours < 1.5 { format!("{:.0} minutes", hours * 60.0) } else { format!("{hours:.1} hours") }
}

/// Describes a figure for those who can't see it: its caption and what it shows.
pub fn described(caption: &str, rows: &[String]) -> String {
    format!("{caption}: {}", rows.join("; "))
}

/// Says what a night shows.
pub fn night(hours: f64, level: &str, peak: &str, count: usize) -> String {
    format!("{hours:.1} hours at rest at {level}, {count} wake-ups up to {peak}")
}

/// Says what a night shows that never rests.
pub fn restless(hours: f64, low: &str, high: &str) -> String {
    format!("{hours:.1} hours up and down between {low} and {high}")
}

/// Says what a night cost: rest, average, both against the limit, and how long a battery stands so.
pub fn night_cost(
    rest: Option<&str>,
    average: &str,
    limit: Option<(String, &str)>,
    days: Option<&str>,
) -> String {
    let mut said = match rest {
        Some(rest) if rest == average => format!("It rests at {rest} all the time."),
        Some(rest) => format!("It rests at {rest}. With what wakes it, the average is {average}."),
        None => format!("It never rests. The average is {average}."),
    };
    said += &match limit {
        Some((limit, "over")) => format!(" That is over the limit of {limit}."),
        Some((limit, "within")) => format!(" That is within the limit of {limit}."),
        Some((limit, _)) => format!(" The limit is {limit}: this night alone doesn't tell."),
        None => String::new(),
    };
    said + &days.map(|days| format!(" A full battery stands {days} of it.")).unwrap_or_default()
}

/// Says that the first minutes were higher than the figure.
pub fn cut_off(highest: &str) -> String {
    format!("Cut off at the top: before its rest it drew up to {highest}.")
}

/// Says how the average of a night was read.
pub fn logged(hours: f64) -> String {
    format!("average over {hours:.1} h that were logged, wake-ups in")
}

/// Says what a day takes.
pub fn ah_a_day(amount: f64) -> String {
    format!("{:.2} Ah a day", amount + 0.0)
}

/// Says what a line of the ledger may be.
pub fn may_be(name: &str, usual: bool) -> String {
    if usual { format!("{name}: usual, takes little") } else { name.to_owned() }
}

/// Says that only some wake-ups are drawn.
pub fn drawn(first: usize, of: usize) -> String {
    format!("The first {first} of {of} wake-ups are drawn.")
}

/// Says how many suspects are not listed.
pub fn others(count: usize) -> String {
    format!("{count} others are together under 1 in 100.")
}

/// Title of the whole.
pub const TITLE: &str = "Battery drain";
/// The draw was within its limit from the start.
pub const WITHIN: &str = "The settled draw is within its limit: no circuit draws too much.";
/// What the figures show.
pub const FIGURE_TOTALS: &str = "Draw of the sleeping vehicle, against its limit";
/// Where the total goes.
pub const FIGURE_GOES: &str = "Where the draw goes, by what was read";
/// Suspects.
pub const FIGURE_SUSPECTS: &str = "Suspects: thick as it stands now, thin before any circuit was read";
/// Stand time.
pub const FIGURE_STAND: &str = "Days a full battery stands, with 95 % interval";
/// The night.
pub const FIGURE_NIGHT: &str = "The night that was logged";
/// Heads the night.
pub const NIGHT: &str = "The night";
/// The ledger as a table.
pub const LEDGER: &str = "The night's charge, line by line";
/// The line of the limit.
pub const LIMIT: &str = "limit";
/// The line of the average.
pub const AVERAGE: &str = "average";
/// The night's charge.
pub const FIGURE_LEDGER: &str = "What the night's charge went to";

/// Says what vehicle its map is of.
pub(crate) fn vehicle_line(class: &str, volts: f64, fuses: usize) -> String {
    format!("{class}, {volts} V, {fuses} fuses on the map")
}
