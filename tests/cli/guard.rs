//! The guard of `watch`: a meter on a socket and one on a serial line, woken, unplugged, with the computer asleep.

use std::io::{BufRead, BufReader, Write};
use std::net::TcpListener;
use std::os::unix::fs::symlink;
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::thread;
use std::time::Duration;

use expectrl::Expect;

use crate::ends::wait_for;
use crate::pty::{at_terminal, end_of};
use crate::world::{World, finish};

/// A meter that shows what it is set to, in milliampere.
#[derive(Clone)]
struct Shown(Arc<AtomicU32>);

impl Shown {
    fn set(&self, milli: u32) {
        self.0.store(milli, Ordering::SeqCst);
    }

    /// One digit of noise, as a meter has it.
    fn line(&self) -> String {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let noise = COUNT.fetch_add(1, Ordering::SeqCst) % 3;
        format!("{}E-4\n", self.0.load(Ordering::SeqCst) * 10 + noise)
    }
}

/// Puts a meter on a socket.
fn on_a_socket(milli: u32) -> (Shown, String) {
    let shown = Shown(Arc::new(AtomicU32::new(milli)));
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let name = format!("scpi://{}", listener.local_addr().expect("an address"));
    let meter = shown.clone();
    thread::spawn(move || {
        for stream in listener.incoming() {
            let (mut stream, meter) = (stream.expect("a line"), meter.clone());
            thread::spawn(move || {
                let questions = BufReader::new(stream.try_clone().expect("a second handle")).lines();
                for _ in questions.map_while(Result::ok) {
                    if stream.write_all(meter.line().as_bytes()).is_err() {
                        return;
                    }
                }
            });
        }
    });
    (shown, name)
}

/// A serial line: what is written to the process comes out of the port. It is unplugged when the process is killed: no
/// other holds its end.
fn serial_line(world: &World) -> Child {
    let _ = std::fs::remove_file(world.path("tty"));
    let mut command = Command::new("script");
    command
        .args(["-qfc", "stty raw -echo; tty > tty; exec sleep 600", "/dev/null"])
        .current_dir(world.path(""));
    let line = command.stdin(Stdio::piped()).stdout(Stdio::null()).spawn().expect("a line");
    wait_for("a port", || std::fs::read_to_string(world.path("tty")).is_ok_and(|text| text.ends_with('\n')));
    symlink(world.read("tty").trim(), world.path("port")).expect("a link");
    line
}

/// The name goes with it: the system may give the number to another terminal.
fn unplug(world: &World, mut line: Child) {
    std::fs::remove_file(world.path("port")).expect("a link");
    line.kill().expect("unplugged");
    line.wait().expect("gone");
}

fn show(line: &mut Child, milli: u32, times: u32) {
    for at in 0..times {
        let said = format!("{milli}.{}\n", at % 3);
        line.stdin.as_mut().expect("piped").write_all(said.as_bytes()).expect("said");
        thread::sleep(Duration::from_millis(100));
    }
}

/// A log whose ranking has something to say.
fn with_a_log(world: &World) -> String {
    world.say("open x.hunt.yaml --map hatch --limit 50mA").ends(0);
    for words in ["zero 0.0mV", "total 24mA", "total 380mA --as-found"] {
        world.say(&format!("add x.hunt.yaml {words}")).ends(0);
    }
    let suspects = world.say("suspects x.hunt.yaml --format json").ends(0).json();
    suspects["suspects"].to_string()
}

fn events(world: &World) -> Vec<serde_json::Value> {
    let text = std::fs::read_to_string(world.path("events")).unwrap_or_default();
    text.lines().filter_map(|line| serde_json::from_str(line).ok()).collect()
}

fn at_rest(world: &World) {
    wait_for("a rest", || {
        std::fs::read_to_string(world.path("said")).is_ok_and(|text| text.contains("On guard"))
    });
}

/// Starts a watch whose talk goes to the file `said`.
fn watch(world: &World, words: &[&str]) -> Child {
    let file = std::fs::File::create(world.path("said")).expect("a file");
    let mut command = world.command();
    command
        .args(["watch", "--to", "n.csv", "--every", "0.1s", "--flat", "2s", "--format", "json"])
        .args(words);
    command.stderr(file).stdout(Stdio::piped()).stdin(Stdio::null());
    command.spawn().expect("it starts")
}

fn interrupt(child: Child) -> serde_json::Value {
    Command::new("kill").args(["-INT", &child.id().to_string()]).status().expect("kill runs");
    finish(child).ends(130).json()
}

/// The samples from one time to another.
fn samples(world: &World, from: &str, to: &str) -> usize {
    let text = world.read("n.csv");
    let cut = |text: &str| text.get(..23).unwrap_or_default().to_owned();
    let (from, to) = (cut(from), cut(to));
    text.lines().skip(1).map(cut).filter(|at| (&from..=&to).contains(&at)).count()
}

/// Even numbers from a seed.
fn moments() -> impl Iterator<Item = u64> {
    let mut state = 20_261_128_u64;
    std::iter::repeat_with(move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        state >> 33
    })
}

#[test]
fn ten_random_moments_are_each_told_at_the_second_sample_with_the_fuse_that_the_log_names() {
    let world = World::new();
    let ranking: serde_json::Value = serde_json::from_str(&with_a_log(&world)).expect("a ranking");
    let (shown, meter) = on_a_socket(24);
    let child = watch(&world, &["--meter", &meter, "--log", "x.hunt.yaml", "--on-wake", "tee -a events"]);
    at_rest(&world);
    let mut random = moments();
    for wake in 1..=10 {
        thread::sleep(Duration::from_millis(250 + random.next().unwrap_or(0) % 900));
        shown.set(60 + (random.next().unwrap_or(0) % 2000) as u32);
        wait_for("the event", || events(&world).len() == wake);
        shown.set(24);
        thread::sleep(Duration::from_millis(350));
    }
    let json = interrupt(child);
    assert_eq!(json["wakes"].as_array().map(Vec::len), Some(10), "{json}");
    assert!((json["rest_ma"].as_f64().expect("a rest") - 24.1).abs() < 0.2, "{json}");
    for (number, event) in (1..).zip(events(&world)) {
        let text = |key: &str| event[key].as_str().unwrap_or_default().to_owned();
        assert_eq!((event["number"].as_u64(), event["event"].as_str()), (Some(number), Some("wake")));
        assert!(event["unseen_from"].is_null() && event["rise_ma"].as_f64() > Some(30.0), "{event}");
        assert!(samples(&world, &text("since"), &text("at")) <= 2, "{event}\n{}", world.read("n.csv"));
        let named = event["read"][0]["branch"].as_str().expect("a fuse");
        let readable = |one: &&serde_json::Value| one["branch"] != "battery:unlisted";
        let first = ranking.as_array().and_then(|all| all.iter().find(readable)).expect("a suspect");
        assert_eq!(first["branch"], named, "{event}");
    }
    let said = world.read("said");
    assert!(said.contains("The draw is back") && said.contains("Now, before anybody opens a door"), "{said}");
    assert!(said.contains("Back at rest after"), "{said}");
}

#[test]
fn a_meter_on_a_serial_line_is_unplugged_and_plugged_again_and_nothing_is_invented() {
    let world = World::new();
    let mut line = serial_line(&world);
    let port = format!("serial:{}@9600,mA", world.path("port").display());
    let child = watch(&world, &["--meter", &port, "--on-wake", "tee -a events"]);
    show(&mut line, 24, 40);
    at_rest(&world);
    unplug(&world, line);
    wait_for("it is said", || world.read("said").contains("the meter is gone"));
    let rows = world.read("n.csv").lines().count();
    thread::sleep(Duration::from_secs(11));
    assert_eq!(world.read("n.csv").lines().count(), rows, "no sample is invented");
    let mut line = serial_line(&world);
    wait_for("it is back", || {
        show(&mut line, 380, 1);
        world.read("said").contains("The meter is back")
    });
    show(&mut line, 380, 5);
    wait_for("the event", || events(&world).len() == 1);
    unplug(&world, line);
    let json = interrupt(child);
    assert_eq!(json["gaps"].as_array().map(Vec::len), Some(1), "{json}");
    let event = &events(&world)[0];
    assert_eq!(event["unseen_from"], json["gaps"][0]["from"], "{event}");
    let said = world.read("said");
    assert!(said.contains("No samples from") && said.contains("some time between"), "{said}");
}

#[test]
fn a_computer_that_was_asleep_shows_a_gap() {
    let world = World::new();
    let (shown, meter) = on_a_socket(24);
    let child = watch(&world, &["--meter", &meter]);
    at_rest(&world);
    let signal = |name: &str| {
        Command::new("kill").args([name, &child.id().to_string()]).status().expect("kill runs");
    };
    signal("-STOP");
    let rows = world.read("n.csv").lines().count();
    thread::sleep(Duration::from_secs(11));
    shown.set(380);
    signal("-CONT");
    wait_for("it is told", || world.read("said").contains("The draw is back"));
    let json = interrupt(child);
    assert_eq!(json["gaps"].as_array().map(Vec::len), Some(1), "{json}");
    assert!(json["wakes"][0]["unseen_from"] == json["gaps"][0]["from"], "{json}");
    let (from, to) = (json["gaps"][0]["from"].as_str(), json["gaps"][0]["to"].as_str());
    assert_eq!(samples(&world, from.expect("from"), to.expect("to")), 2, "none between: {rows}");
}

#[test]
fn a_command_that_fails_is_not_there_or_hangs_is_said_and_the_watch_goes_on() {
    for (command, said) in [
        ("no-such-command-here", "cannot be started"),
        ("sh -c 'exit 3'", "ended with code 3"),
        ("sleep 600", "was ended"),
    ] {
        let world = World::new();
        let (shown, meter) = on_a_socket(24);
        let child = watch(&world, &["--meter", &meter, "--on-wake", command]);
        at_rest(&world);
        shown.set(380);
        wait_for("it is told", || world.read("said").contains("The draw is back"));
        let rows = world.read("n.csv").lines().count();
        wait_for("it goes on", || world.read("n.csv").lines().count() > rows + 5);
        shown.set(24);
        wait_for("it is over", || world.read("said").contains("Back at rest"));
        Command::new("kill").args(["-INT", &child.id().to_string()]).status().expect("kill runs");
        finish(child).ends(130);
        if command != "sleep 600" {
            let text = world.read("said");
            assert!(text.contains(said) && text.contains(command), "{command}: {text}");
        }
    }
    let world = World::new();
    for command in ["", "say 'no"] {
        let run = world.run(&["watch", "--meter", "lines:-", "--to", "n.csv", "--on-wake", command]).ends(2);
        assert!(run.talk.contains("--on-wake"), "{run:?}");
    }
    let none = world.run(&["watch", "--meter", "lines:-", "--to", "n.csv", "--log", "no.hunt.yaml"]).ends(1);
    assert!(none.talk.contains("no.hunt.yaml") && !world.path("n.csv").exists(), "{none:?}");
}

#[test]
fn it_rings_at_a_terminal_and_only_there() {
    let world = World::new();
    let (shown, meter) = on_a_socket(24);
    let line = format!("fusetrail watch --meter {meter} --to n.csv --every 0.1s --flat 2s --bell");
    let mut session = at_terminal(&world, 80, &line);
    session.expect("On guard").expect("at rest");
    shown.set(380);
    session.expect("The draw is back").expect("told");
    session.expect("\u{7}").expect("it rings");
    session.send("\u{3}").expect("Ctrl-C");
    end_of(&mut session);
    shown.set(24);
    let child = watch(&world, &["--meter", &meter, "--bell"]);
    at_rest(&world);
    shown.set(380);
    wait_for("it is told", || world.read("said").contains("The draw is back"));
    interrupt(child);
    assert!(!world.read("said").contains('\u{7}'));
}

#[test]
fn two_meters_at_once_stand_side_by_side_and_a_battery_that_goes_low_is_told() {
    let world = World::new();
    let (total, first) = on_a_socket(24);
    let (fuse, second) = on_a_socket(3);
    let (posts, third) = on_a_socket(12_600);
    let (fuse_meter, posts_meter) = (format!("F12={second},V"), format!("volts={third}"));
    let child = watch(&world, &["--meter", &first, "--meter", &fuse_meter, "--meter", &posts_meter]);
    at_rest(&world);
    total.set(380);
    fuse.set(9);
    wait_for("it is told", || world.read("said").contains("The draw is back"));
    thread::sleep(Duration::from_millis(600));
    assert!(!world.read("said").contains("Battery at"));
    posts.set(12_000);
    wait_for("the battery", || world.read("said").contains("Battery at 12.0 V"));
    wait_for("a line with it", || {
        world.read("n.csv").trim_end().rsplit(',').next().is_some_and(|v| v.starts_with("12.0"))
    });
    interrupt(child);
    let text = world.read("n.csv");
    assert!(text.starts_with("time,total (mA),F12 (mV),volts (V)\n"), "{text}");
    let last: Vec<&str> = text.lines().last().expect("a line").split(',').collect();
    assert!(last.len() == 4 && last[1].starts_with("380.") && last[3].starts_with("12.0"), "{last:?}");
    assert!(last[2].starts_with("9."), "{last:?}");
    let refused = world.run_with(&["watch", "--meter", "lines:-", "--to", "n.csv"], "1\n").ends(1);
    assert!(refused.talk.contains("no log of watch with these meters"), "{refused:?}");
}
