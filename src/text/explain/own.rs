//! Words that this program uses in a sense of its own.

super::explained! {
    "hunt" => "The whole job, from the complaint to the proof. It is written down as it goes, and can be left and gone on with.";
    "session log" | "log" => "The file of a hunt. Each answer is on disk before the next question. Each entry is sealed to the one before.";
    "entry" => "One line of the log: an answer, a reading, a note. list numbers them; strike takes one out and keeps it in the file.";
    "seal" => "A number that goes over all entries before it. Note the last one: check tells later whether anything was changed.";
    "circuit map" | "map" => "What feeds what: battery, links, boxes, fuses and what hangs on them. From a file, a panel list or the lid of the fuse box.";
    "branch" => "All that one fuse carries itself, whether the map lists it or not. What hangs on fuses below it is not counted.";
    "account" => "Where the total goes, fuse by fuse, as far as it was read. Type account at any question.";
    "placed" | "allocated" => "The part of the total that readings have found a fuse for.";
    "still to find" | "unplaced" | "unallocated" => "The part of the total that no reading has found a fuse for yet.";
    "floor" | "smallest current" => "The least current that a reading can tell from nothing. With a 0.1 mV meter a 15 A mini fuse shows 44 mA or more. Below it a reading says: under so much.";
    "disturbance" | "disturb" => "Anything that wakes the vehicle: a door, a key, a charger. The wait starts again.";
    "suspect" => "A fuse, item or network that may draw too much. all lists them; why tells the reasons.";
    "leader" | "leads" => "The suspect that explains most of what is too much.";
    "excess" | "too much" => "What the total is above what the map expects of a sleeping vehicle.";
    "something not listed" | "unlisted load" => "Something on a fuse that its map doesn't name: a tracker, a camera, a tow bar.";
    "something not on the map" | "unlisted" => "Something that draws at the battery or behind a link and is on no fuse of the map. Follow the cables at the post by eye.";
    "kept awake" | "wake group" | "held awake" => "A network whose modules don't fall asleep. Look for the one switch that keeps it awake, not for four bad modules.";
    "wake-up" => "The draw rises for a while and falls again by itself. Some are normal, such as a phone module each ten minutes.";
    "verdict" | "within" | "over" | "undecided" => "The settled draw held against the limit. Undecided means: too near for this meter, and the program says what would decide it.";
    "limit" => "The most that the vehicle may draw asleep. The maker's figure comes first, then the map's, then the usual one of its class. Or the days that it must stand give one.";
    "provisional" => "A total read before it was sure that all sleeps. It counts until a later one is read.";
    "stand time" | "stands" => "How long the battery bears a draw until it no longer cranks. From capacity, charge, temperature and what it loses by itself.";
    "charge ledger" | "ledger" => "Where a night's ampere-hours went: the level at rest, series of wake-ups, single events.";
    "round" => "Fuses of one box read in a row before anything is typed, up to the first that is high. Type none, the high ones, or all in order.";
    "sheet" => "Millivolts for each current and fuse, to print and take to the vehicle.";
    "certain enough to act" => "95 % or more. Mend it, then prove that the draw is gone.";
    "very likely" => "85 to 95 %. One more reading is worth it before parts are bought.";
    "likely" => "60 to 85 %. It leads, and others are still in the race.";
    "possible" => "20 to 60 %. Worth a look when you are there anyway.";
    "unlikely" => "Under 20 %. It is not out, but others come first.";
    "odds" | "probability" => "How likely a cause is, in five words: certain enough to act, very likely, likely, possible, unlikely. Each word has one range everywhere.";
    "fit" | "not-yet" | "doubtful" => "What is said of the battery. Not-yet means: charge or test it first. Doubtful means: it failed something.";
    "nothing wrong" => "Every reading is about what the map expects. Then look at the limit, the battery, the charging, and the night.";
    "not present now" | "nothing now" => "There was a draw, and it is away. Log a night, or leave it as the customer does and read again.";
    "cured by a pull" | "cured" => "The draw went when a fuse came out and stayed away after. A module had hung. Nothing is repaired, and it may come back.";
    "practice vehicle" | "practice" => "A vehicle in the computer with a hidden fault. Enter reads its meter and lets its time go by.";
    "record" => "What is handed over: complaint, readings, finding, repair and proof in one document.";
    "not proven" => "Something is missing before the repair counts as proved: a total, a limit, a fuse that is not back.";
    "as found" => "A reading taken before anything was touched. If the draw is gone afterwards, that is a finding too.";
    "conflict" | "doesn't fit" => "Two readings can't both be right. Read again the one that is named.";
}
