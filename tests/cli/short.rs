//! The short way: whole practice hunts with Enter alone, measured in lines, words and answers, so that the talk stays
//! short whatever is added.

use std::collections::HashSet;

use crate::world::World;

/// Map, seed, and the most lines and words that a hunt on it may print, both streams together. The aim is 45 % of what the
/// same hunts printed before they were written short; two are longer still (hybrid: 1,162 words; motorcycle: 127 lines and 792 words). A number may
/// only fall.
const BUDGETS: [(&str, u32, usize, usize); 6] = [
    ("hatch", 3, 128, 1196),
    ("hatch", 5, 105, 962),
    ("van", 3, 157, 1472),
    ("hybrid", 3, 128, 1206),
    ("tipper", 3, 140, 1306),
    ("motorcycle", 3, 144, 1320),
];

/// The hunts that are played: map and seed.
pub const HUNTS: [(&str, u32); 6] =
    [("hatch", 3), ("hatch", 5), ("van", 3), ("hybrid", 3), ("tipper", 3), ("motorcycle", 3)];

/// Most answers up to the first circuit reading, that one left out.
const ANSWERS: usize = 12;
/// The same with a pair of batteries and no published limit: the first battery alone, and the limit, are asked besides.
const OF_A_PAIR: usize = 14;
/// Most lines between a reading and the next prompt, in the middle.
const AFTER_A_READING: usize = 6;

/// A whole hunt with Enter alone: what it printed, in order.
pub fn played(map: &str, seed: u32) -> String {
    played_on(World::new(), map, seed)
}

fn played_on(world: World, map: &str, seed: u32) -> String {
    let input = "\n".repeat(400);
    let line = format!("hunt x.hunt.yaml --practice {seed} --map {map}");
    let mut command = world.command();
    command.args(World::words(&line));
    let (mut reader, writer) = std::io::pipe().expect("a pipe");
    command.stdout(writer.try_clone().expect("a second end")).stderr(writer);
    command.stdin(std::process::Stdio::piped());
    let mut child = command.spawn().expect("the program starts");
    drop(command);
    let mut stdin = child.stdin.take().expect("piped");
    let typing = std::thread::spawn(move || {
        let _ = std::io::Write::write_all(&mut stdin, input.as_bytes());
    });
    let mut text = String::new();
    std::io::Read::read_to_string(&mut reader, &mut text).expect("text");
    typing.join().expect("typed");
    assert!(child.wait().expect("ends").success(), "{text}");
    text
}

/// A line on which something is typed.
fn is_prompt(line: &str) -> bool {
    line == ">" || line.ends_with(" >") || line.contains("> ")
}

/// Where a reading on a circuit is asked for; a long prompt goes on in the next line.
fn asks_for_circuit(line: &str) -> bool {
    ["Clamp ", "Across ", "Pull ", "Round ", "Unplug "].iter().any(|word| line.starts_with(word))
}

/// A prompt for a reading on a circuit.
fn is_circuit(line: &str) -> bool {
    is_prompt(line) && asks_for_circuit(line)
}

#[test]
fn a_practice_hunt_is_told_in_less_than_half_the_lines() {
    let mut over = Vec::new();
    for (map, seed, lines, words) in BUDGETS {
        let text = played(map, seed);
        let has = (text.lines().count(), text.split_whitespace().count());
        if has.0 > lines || has.1 > words {
            over.push(format!("{map} {seed}: {has:?} of {lines} lines, {words} words"));
        }
    }
    assert!(over.is_empty(), "{over:#?}");
}

#[test]
fn the_first_circuit_is_read_after_a_dozen_answers() {
    for (map, seed, ..) in BUDGETS {
        let text = played(map, seed);
        assert!(text.lines().any(asks_for_circuit), "no circuit is read: {text}");
        let before = text.lines().take_while(|line| !asks_for_circuit(line));
        let prompts: Vec<&str> = before.filter(|line| is_prompt(line)).collect();
        let most = if map == "tipper" { OF_A_PAIR } else { ANSWERS };
        let count = prompts.len();
        assert!(count <= most, "{map} {seed}: {count} answers\n{}", prompts.join("\n"));
    }
}

#[test]
fn a_reading_is_followed_by_few_lines() {
    for (map, seed, ..) in BUDGETS {
        let text = played(map, seed);
        let lines: Vec<&str> = text.lines().filter(|line| !line.is_empty()).collect();
        let mut after: Vec<usize> = lines
            .iter()
            .enumerate()
            .filter(|(_, line)| is_circuit(line))
            .map(|(at, _)| lines[at + 1..].iter().take_while(|line| !is_prompt(line)).count())
            .collect();
        after.sort_unstable();
        assert!(after[after.len() / 2] <= AFTER_A_READING, "{map} {seed}: {after:?}\n{text}");
    }
}

#[test]
fn nothing_is_said_twice_in_one_hunt() {
    for (map, seed, ..) in BUDGETS {
        // So wide that no line is wrapped: pieces of lines may be alike.
        let text = played_on(World::new().columns("500"), map, seed);
        let mut seen = HashSet::new();
        let said = text.lines().map(str::trim).filter(|line| !line.is_empty() && !is_prompt(line));
        let twice: Vec<&str> = said.filter(|line| !seen.insert(*line)).collect();
        assert!(twice.is_empty(), "{map} {seed}: {twice:#?}");
    }
}
