//! Runs that are killed at random moments, two writers at once, clocks that jump, things in the way: whatever was
//! acknowledged is there, whatever goes in as one piece is there whole or not at all, and the log goes on. The long
//! form kills ten thousand runs: `cargo test --test cli torture -- --ignored --nocapture`.
#![cfg(unix)]

use std::fs::{self, File};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use crate::world::{START, World, finish};

const LOG: &str = "x.hunt.yaml";

/// Numbers that look random, the same in every run (a linear congruential generator with the constants of MMIX).
struct SimRng(u64);

impl SimRng {
    fn next(&mut self, below: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % below
    }
}

/// What came of many kills.
#[derive(Debug, Default)]
struct Count {
    kills: usize,
    running: usize,
    acknowledged: usize,
}

impl Count {
    /// Ends a run by one of three signals after a random part of this time.
    fn kill(&mut self, child: &mut Child, dice: &mut SimRng, within: Duration) {
        thread::sleep(within.mul_f64(dice.next(1000) as f64 / 1000.0));
        self.kills += 1;
        self.running += usize::from(child.try_wait().expect("a state").is_none());
        match dice.next(4) {
            0 => signal(child, "TERM"),
            1 => signal(child, "HUP"),
            _ => child.kill().expect("killed"),
        }
        child.wait().expect("it ends");
    }

    fn say(&self, what: &str) {
        println!(
            "{what}: {} kills, {} of them while it ran, {} acknowledged, 0 lost",
            self.kills, self.running, self.acknowledged
        );
    }
}

fn signal(child: &Child, name: &str) {
    Command::new("kill")
        .args([&format!("-{name}"), &child.id().to_string()])
        .stderr(Stdio::null())
        .status()
        .expect("kill runs");
}

/// Starts a command with its output in a file, where it stays whatever happens to the run.
fn start(world: &World, line: &str, stdin: Stdio) -> Child {
    let screen = File::create(world.path("screen")).expect("a file");
    let mut command = world.command();
    command.args(World::words(line)).stdin(stdin).stdout(screen).stderr(Stdio::null());
    command.spawn().expect("it starts")
}

fn begun() -> World {
    let world = World::new();
    world.say("open x.hunt.yaml --map hatch --at 2026-11-02T07:40:00+01:00").ends(0);
    world
}

/// Returns how long a command takes.
fn length(world: &World, line: &str) -> Duration {
    let began = Instant::now();
    start(world, line, Stdio::null()).wait().expect("ends");
    began.elapsed()
}

/// Returns the number of entries; the log may have a torn end, but nothing in it was changed.
fn entries(world: &World) -> usize {
    let found = world.say("check x.hunt.yaml --format json").json();
    assert!(
        found["edited"] == serde_json::json!([]) && found["unreadable"] == serde_json::json!([]),
        "{found}"
    );
    usize::try_from(found["entries"].as_u64().expect("a count")).expect("small")
}

/// Kills a command that adds `adds` entries, again and again, on one log.
fn kill_writers(line: &str, adds: usize, times: usize, world: &World, seed: u64) -> Count {
    let (mut dice, mut count) = (SimRng(seed), Count::default());
    let length = length(world, line).mul_f64(1.6);
    let mut had = entries(world);
    for _ in 0..times {
        let mut child = start(world, line, Stdio::null());
        count.kill(&mut child, &mut dice, length);
        let now = entries(world);
        assert!(now == had || now == had + adds, "{had} entries, then {now}: {line} goes in as one piece");
        let shown = world.read("screen");
        // A line of the result says that its entries are in.
        if shown.contains('\n') {
            assert_eq!(now, had + adds, "acknowledged and not there: {shown}");
            count.acknowledged += adds;
        }
        had = now;
    }
    world.say("add x.hunt.yaml note 'it goes on'").ends(0);
    let found = world.say("check x.hunt.yaml --format json").ends(0).json();
    assert_eq!(found["entries"].as_u64(), Some(had as u64 + 1));
    count
}

fn kill_adds(times: usize, seed: u64) -> usize {
    let note = kill_writers("add x.hunt.yaml note 'as it was found'", 1, times * 3, &begun(), seed);
    note.say("add note");
    let drops = kill_writers("add x.hunt.yaml drop C3=0.1mV C4=0.2mV C5=0", 3, times, &begun(), seed + 1);
    drops.say("add drop, three at once");
    note.kills + drops.kills
}

fn kill_nights(times: usize, seed: u64) -> usize {
    let mut kills = Count::default();
    let mut dice = SimRng(seed);
    let night = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/pulse.csv");
    let world = begun();
    fs::copy(night, world.path("night.csv")).expect("a sample");
    let fresh = world.read(LOG);
    let line = "settle night.csv --into x.hunt.yaml";
    let length = length(&world, line).mul_f64(1.6);
    for _ in 0..times {
        world.write(LOG, &fresh);
        let mut child = start(&world, line, Stdio::null());
        kills.kill(&mut child, &mut dice, length);
        let now = entries(&world);
        assert!(now == 1 || now == 3, "a night goes in whole or not at all: {now}");
        if world.read("screen").contains("Entry 3: ") {
            assert_eq!(now, 3);
            kills.acknowledged += 2;
        }
    }
    kills.say("settle --into");
    kills.kills
}

fn kill_watches(times: usize, seed: u64) -> usize {
    let (mut dice, mut count) = (SimRng(seed), Count::default());
    let world = World::new();
    let mut lines = 0;
    for _ in 0..times {
        let mut feeder = Command::new("sh");
        feeder.args(["-c", "i=0; while [ $i -lt 40 ]; do echo 25.$i; sleep 0.002; i=$((i+1)); done"]);
        let mut feeder = feeder.stdout(Stdio::piped()).spawn().expect("sh runs");
        let pipe = feeder.stdout.take().expect("piped");
        let mut child = start(&world, "watch --meter lines:-,mA --to n.csv", pipe.into());
        count.kill(&mut child, &mut dice, Duration::from_millis(140));
        let _ = feeder.kill();
        feeder.wait().expect("ended");
        let text = fs::read_to_string(world.path("n.csv")).unwrap_or_default();
        let now = text.lines().count();
        assert!(now >= lines, "lines were lost: {lines}, then {now}");
        assert!(text.is_empty() || text.starts_with("time,current (mA)\n"), "{text}");
        lines = now;
    }
    count.acknowledged = lines;
    count.say("watch");
    count.kills
}

#[test]
fn writers_killed_at_random_moments_lose_nothing_acknowledged() {
    assert_eq!(kill_adds(25, 11), 100);
    assert_eq!(kill_nights(20, 12), 20);
    assert_eq!(kill_watches(20, 13), 20);
}

#[test]
#[ignore = "takes half an hour: ten thousand kills"]
fn ten_thousand_kills_lose_nothing_acknowledged() {
    let began =
        [kill_adds(2000, 21), kill_nights(800, 22), kill_watches(600, 23), crate::kill::kill_hunts(600)];
    println!("{} kills", began.iter().sum::<usize>());
    assert!(began.iter().sum::<usize>() >= 10_000);
}

#[test]
fn of_many_writers_at_once_each_gets_in_whole_or_is_told_who_holds_the_log() {
    let world = begun();
    let mut kept = 0;
    for round in 0..6 {
        let line = format!("add x.hunt.yaml note 'round {round}' --format json");
        let words = World::words(&line);
        let children: Vec<Child> = (0..8).map(|_| world.start(&words)).collect();
        for child in children {
            let run = finish(child);
            match run.code {
                Some(0) => kept += 1,
                Some(75) => assert!(run.talk.contains("another run is writing"), "{run:?}"),
                _ => panic!("{run:?}"),
            }
        }
    }
    assert_eq!(entries(&world), kept + 1);
    assert!(kept >= 6, "somebody gets in each time: {kept}");
    assert!(!world.path("x.hunt.yaml.lock").exists());
}

#[test]
fn a_clock_set_back_or_forward_loses_nothing_and_the_hunt_goes_on() {
    let world = World::new();
    let hunt = |start: &str, input: &str| {
        world.run_with(&["hunt", LOG, "--practice", "3", "--at-start", start], input)
    };
    hunt(START, &("\n".repeat(30) + "quit\n")).ends(0);
    let before = entries(&world);
    for start in [
        "2026-11-01T00:00:00+01:00",
        "2026-10-25T02:30:00+02:00",
        "2027-06-01T00:00:00Z",
        "1970-01-01T00:00:00Z",
    ] {
        let note = ["add", LOG, "note", "the clock jumped", "--at-start", start];
        world.run(&note).ends(0);
        let run = world.run_with(&["hunt", LOG, "--at-start", start], "\nquit\n");
        assert!(matches!(run.code, Some(0)), "{start}: {run:?}");
        for command in ["suspects", "next", "account", "record"] {
            world.run(&[command, LOG, "--at-start", start]).ends(0);
        }
    }
    assert!(entries(&world) >= before + 4);
    let end = hunt(START, &"\n".repeat(400));
    assert!(end.code == Some(0) && end.out.contains("The hunt is at its end"), "{end:?}");
}

#[test]
fn folders_pipes_and_links_in_the_way_are_refused_with_words_and_stay() {
    let world = begun();
    fs::create_dir(world.path("folder.hunt.yaml")).expect("a folder");
    Command::new("mkfifo").arg(world.path("pipe.hunt.yaml")).status().expect("mkfifo runs");
    std::os::unix::fs::symlink(world.path("nowhere"), world.path("link.hunt.yaml")).expect("a link");
    for name in ["folder", "pipe", "link"] {
        for line in [
            "open LOG --map hatch",
            "add LOG note x",
            "suspects LOG",
            "check LOG",
            "record LOG",
            "strike LOG 2 --why x",
        ] {
            let run = world.say(&line.replace("LOG", &format!("{name}.hunt.yaml"))).ends(1);
            assert!(run.talk.contains(&format!("{name}.hunt.yaml")), "{line}: {run:?}");
        }
    }
    assert!(!world.path("nowhere").exists() && world.path("folder.hunt.yaml").is_dir());
    let names: Vec<String> = fs::read_dir(world.path(""))
        .expect("a folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(names.len(), 4, "nothing was put beside them: {names:?}");
}
