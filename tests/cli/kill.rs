//! A hunt killed at fifty moments: whatever was acknowledged on the screen is in the log, and the log goes on.

use std::fs::{self, File};
use std::process::Stdio;
use std::time::{Duration, Instant};

use super::world::World;

const ANSWERS: &str = include_str!("../../samples/practice-answers.yaml");

/// Returns the values that the screen acknowledged, in order: each reading of the meter after which more was shown.
fn acknowledged(screen: &str) -> Vec<String> {
    let lines: Vec<&str> = screen.lines().collect();
    // What the meter showed stands behind the prompt, where it would have been typed.
    let shown = |(at, line): (usize, &&str)| {
        let (prompt, reading) = line.split_once(" > ")?;
        let is_read = prompt.ends_with("[read the meter]")
            && reading.starts_with(['-', '0', '1', '2', '3', '4', '5', '6', '7', '8', '9']);
        is_read.then_some(())?;
        lines.get(at + 1..)?.iter().any(|later| !later.trim().is_empty()).then(|| reading.to_owned())
    };
    let readings = lines.iter().enumerate().filter_map(shown);
    // Two values stand side by side where a total was read before and after.
    readings.flat_map(|text| split_values(&text)).collect()
}

fn split_values(text: &str) -> Vec<String> {
    let words: Vec<&str> = text.split(' ').collect();
    words.chunks(2).map(|pair| pair.join(" ")).collect()
}

/// Returns the first acknowledged value that the log does not hold in its turn.
fn missing(values: &[String], log: &str) -> Option<String> {
    let mut rest = log;
    for value in values {
        let keys = ["typed: ", "typed: \"", "answer: ", "answer: \"", "says: ", "found: "];
        let found = keys.iter().find_map(|key| {
            let sought = format!("{key}{value}");
            rest.find(&sought).map(|at| at + sought.len())
        });
        match found {
            Some(end) => rest = rest.get(end..).unwrap_or(""),
            None => return Some(value.clone()),
        }
    }
    None
}

/// Kills hunts on practice vehicles at so many moments, each over the whole run, and returns how many were killed.
pub fn kill_hunts(times: u32) -> usize {
    let world = World::new();
    world.write("answers.yaml", ANSWERS);
    let start = |log: &str, seed: u32, screen: &str| {
        let file = File::create(world.path(screen)).expect("a file for the screen");
        let mut command = world.command();
        command.args(["hunt", log, "--practice", &seed.to_string(), "--answers", "answers.yaml"]);
        let both = file.try_clone().expect("a second handle");
        command.stdin(Stdio::null()).stdout(both).stderr(file).spawn().expect("starts")
    };
    let began = Instant::now();
    assert!(start("whole.hunt.yaml", 3, "whole.txt").wait().expect("ends").success());
    let whole = began.elapsed();
    let screen = fs::read_to_string(world.path("whole.txt")).expect("the screen");
    assert!(acknowledged(&screen).len() > 10, "the whole hunt shows its readings:\n{screen}");
    let (mut cut_short, mut seen) = (0, 0);
    for moment in 0..times {
        let log = format!("{moment}.hunt.yaml");
        let mut child = start(&log, 3 + moment / 50, "screen.txt");
        // Moments over the whole run, in an order that is not the same as the run's own steps.
        std::thread::sleep(whole.mul_f64(f64::from(moment * 37 % 50) / 50.0) + Duration::from_millis(1));
        let ended = child.try_wait().expect("a state").is_some();
        child.kill().expect("killed");
        child.wait().expect("gone");
        cut_short += u32::from(!ended);
        let screen = fs::read_to_string(world.path("screen.txt")).expect("the screen");
        let values = acknowledged(&screen);
        seen += values.len();
        let held = fs::read_to_string(world.path(&log)).unwrap_or_default();
        assert_eq!(
            missing(&values, &held),
            None,
            "moment {moment}: acknowledged and not in the log\n{screen}\n{held}"
        );
        if !held.is_empty() {
            let note = world.run(&["add", &log, "note", "goes on"]);
            assert_eq!(note.code, Some(0), "moment {moment}: {}", note.talk);
        }
    }
    println!("hunt: {times} kills, {cut_short} of them while it ran, {seen} readings acknowledged, 0 lost");
    assert!(cut_short * 2 > times, "the hunts were killed while they ran: {cut_short}");
    usize::try_from(times).expect("small")
}

#[test]
fn nothing_acknowledged_is_lost_when_the_hunt_is_killed() {
    kill_hunts(50);
}
