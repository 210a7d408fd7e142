//! Battery, charging side, use, circuit, network, nothing: each of 24 invented vehicles is hunted from its first
//! question on, its meters showing what its circuit gives. What leads, against which limit, what is asked next and the
//! reason given are those that a technician would expect.

mod circuit;
mod repaired;
mod table;

use std::collections::BTreeSet;

use fusetrail::base::styled::StyledText;
use fusetrail::circuit::builtin;
use fusetrail::circuit::map::{Feed, Load};
use fusetrail::hunt::analysis::Analysis;
use fusetrail::hunt::next;

use crate::bench::Bench;
use crate::follow::World;
use table::{ROWS, Row};

/// What a hunt came to.
struct Came {
    leader: (String, String),
    limit: Option<f64>,
    next: String,
    said: String,
}

fn hunt(row: &Row) -> Came {
    let map = builtin::MAPS.iter().find(|known| known.name == row.map).map_or(row.map, |known| known.text);
    let mut bench = Bench::on(map);
    let asleep = asleep(&bench);
    let more = row.draws.iter().map(|(_, ma)| ma).sum::<f64>();
    let held = row.held.iter().flat_map(|(_, draws)| draws.iter()).map(|(_, ma)| ma).sum::<f64>();
    let total = asleep.iter().map(|(_, ma)| ma).sum::<f64>() + more + held;
    let shown = if total < 20.0 { format!("{total:.2} mA") } else { format!("{total:.0} mA") };
    for _ in 0..120 {
        let Ok(question) = bench.open() else { break };
        let id = question.id.to_string();
        let ends = id.as_str() == row.next
            || ["trail.reading", "narrow.reading", "repair.what"].contains(&id.as_str());
        let circuit = row.next == "trail" && id == "trail.reading";
        if circuit {
            let always = asleep.iter().map(|(place, ma)| (place.clone().leak() as &'static str, *ma));
            let always = always.chain(row.draws.iter().copied()).collect();
            let (holder, awake) = row.held.unwrap_or_default();
            World { always, awake: awake.to_vec(), holder, ..World::default() }.follow(&mut bench);
            break;
        }
        if ends {
            break;
        }
        if ["settle.wait", "prove.wait"].contains(&id.as_str()) {
            bench.wait(4).answer(&id, &shown);
            continue;
        }
        let told = row.told.iter().find(|(known, _)| *known == id).map(|(_, text)| (*text).to_owned());
        let total = (id == "total.reading").then(|| shown.clone());
        let text =
            told.or(total).or_else(|| row.supply.shows(&id)).unwrap_or_else(|| match question.default {
                Some(_) => String::new(),
                None => "skip not for this case".to_owned(),
            });
        bench.answer(&id, &text);
    }
    let analysis = Analysis::of(&bench.case());
    let leader = analysis.leader();
    let step = next(&bench.case(), bench.now());
    let lines = step.say.iter().map(StyledText::text).collect::<Vec<_>>().join("\n");
    let open = bench.open().map_or_else(|why| why, |question| question.id.to_string());
    Came {
        leader: (leader.kind.word().to_owned(), leader.name),
        limit: analysis.limit.as_ref().map(|limit| limit.current.milli()),
        next: if row.next == "trail" { "trail".to_owned() } else { open },
        said: lines + &bench.record(),
    }
}

/// What every load of the map draws asleep by right.
fn asleep(bench: &Bench) -> Vec<(String, f64)> {
    let map = bench.case().map;
    let of = |feed: &Feed, load: &Load| (format!("{}/{}", feed.id, load.name), load.asleep.milli());
    let loads = map.feeds.iter().flat_map(|feed| feed.loads.iter().map(move |load| of(feed, load)));
    let unfused = map.unfused.iter().map(|item| (item.name.clone(), item.asleep.milli()));
    loads.chain(unfused).filter(|(_, ma)| *ma > 0.0).collect()
}

fn faults(row: &Row) -> Vec<String> {
    // The bench panics where an answer is refused or a question is not the one expected.
    let came = match std::panic::catch_unwind(|| hunt(row)) {
        Ok(came) => came,
        Err(why) => {
            let why = why.downcast_ref::<String>().map_or("it panics", String::as_str);
            return vec![format!("{}: {why}", row.name)];
        }
    };
    let mut faults = Vec::new();
    let mut wants = |is: bool, what: String| {
        if !is {
            faults.push(format!("{}: {what}", row.name));
        }
    };
    let leader = (came.leader.0.as_str(), came.leader.1.as_str());
    wants(leader == row.leader, format!("leads {leader:?}, not {:?}", row.leader));
    let near = match (came.limit, row.limit) {
        (Some(found), Some((wanted, percent))) => (found - wanted).abs() <= wanted * percent / 100.0 + 1e-9,
        // A hunt that stops before its total has no limit of its own yet.
        (found, None) => found.is_none(),
        (None, Some(_)) => false,
    };
    wants(near, format!("limit {:?}, not {:?}", came.limit, row.limit));
    wants(came.next == row.next, format!("then {}, not {}", came.next, row.next));
    wants(came.said.contains(row.reason), format!("\"{}\" is not said", row.reason));
    faults
}

#[test]
fn each_of_twenty_four_vehicles_comes_to_what_a_technician_would_say() {
    let mut wrong = Vec::new();
    for row in &ROWS {
        wrong.extend(faults(row));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn the_table_has_six_classes_and_six_kinds_of_cause_and_each_name_once() {
    let names: BTreeSet<&str> = ROWS.iter().map(|row| row.name).collect();
    assert_eq!(names.len(), 24);
    let classes: BTreeSet<&str> = ROWS.iter().filter_map(|row| row.name.split(',').next()).collect();
    assert_eq!(classes.len(), 7, "a van is a class of car: {classes:?}");
    let causes: BTreeSet<&str> = ROWS.iter().map(|row| row.leader.0).collect();
    for kind in ["battery", "charging", "use", "branch", "group", "nothing"] {
        assert!(causes.contains(kind), "{kind}");
    }
}

/// The circuit itself: what it shows agrees, and is what makes each case.
#[test]
fn what_each_circuit_shows_agrees() {
    for row in &ROWS {
        let (plus, earth) = row.supply.drops();
        let stud = row.supply.stud();
        let posts = row.supply.running();
        let given = row.supply.source.volts > row.supply.rested();
        assert!(!given || (stud - posts - plus - earth).abs() < 1e-9, "{}: {stud} {posts}", row.name);
        assert!(given || posts < row.supply.rested(), "{}", row.name);
    }
}
