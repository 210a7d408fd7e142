//! Small files of every shape that could hang or swell a reader: each ends soon, in little memory, without a panic.

use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::world::World;

/// Address space that a run may take, in KiB: what it touches is less.
const ROOM: u32 = 400_000;

/// Longest run. An idle machine takes a tenth of it; tests share theirs.
const LIMIT: Duration = Duration::from_secs(20);

const HEAD: &str = "format: fusetrail-map/1\ntitle: t\n";

/// Largest file of a test, in bytes.
const MOST: usize = 1_000_000;

fn feed(id: usize, more: &str) -> String {
    format!("- {{id: F{id}, from: battery, fuse: {{family: mini, rating_a: 10}}{more}}}\n")
}

fn feeds(count: usize, more: impl Fn(usize) -> String) -> String {
    (0..count).map(|id| feed(id, &more(id))).collect()
}

fn list(count: usize, item: impl Fn(usize) -> String) -> String {
    (0..count).map(|at| item(at) + ",").collect()
}

/// A map with one feed that carries these loads.
fn loads(text: &str) -> String {
    format!("{HEAD}feeds:\n{}", feed(1, &format!(", loads: [{text}]")))
}

/// Shapes of YAML text, sound or not.
fn yaml_shapes() -> Vec<(&'static str, String)> {
    let tags: String = (0..50_000).map(|i| format!("%TAG !a{i}! a\n")).collect();
    let laughs: String =
        ('b'..'k').zip('a'..'j').map(|(to, from)| format!("{to}: &{to} [*{from},*{from}]\n")).collect();
    vec![
        ("braces", "{a: ".repeat(100_000)),
        ("brackets", "[".repeat(100_000)),
        ("dashes", "- ".repeat(100_000)),
        ("question marks", "? ".repeat(100_000)),
        ("braces behind a plain text", "a: b\n  \"\n".to_owned() + &"c: {a: ".repeat(100_000)),
        ("steps", (0..1200).map(|i| " ".repeat(i) + "a:\n").collect()),
        ("tag directives", tags + "---\na: 1\n"),
        ("laughs", format!("a: &a [x, x]\n{laughs}")),
        ("a long alias", format!("t: &t {}\nfeeds: [{}]", "x".repeat(400_000), "*t,".repeat(150_000))),
        ("tabs", "\t".repeat(MOST)),
        ("lines", format!("a:{}b", "\n".repeat(MOST))),
        ("documents", "--- 1\n".repeat(160_000)),
        ("quotes", "'".repeat(MOST)),
        ("colons", ": ".repeat(500_000)),
        ("anchors", "&a ".repeat(300_000)),
        ("bars", "|\n".repeat(400_000)),
        ("a long text over lines", format!("a: {}", "b\n ".repeat(300_000))),
        ("an open quote", format!("a: \"{}", "x\n".repeat(400_000))),
        ("pairs", format!("{{{}}}", "a,".repeat(400_000))),
    ]
}

/// Shapes of maps.
fn map_shapes() -> Vec<(&'static str, String)> {
    let with = |text: String| format!("{HEAD}feeds: []\n{text}");
    vec![
        ("unknown keys", with((0..90_000).map(|i| format!("k{i}: 1\n")).collect())),
        ("doubled keys", with("k:\n".repeat(300_000))),
        ("comments", with("# x\n".repeat(240_000))),
        ("boxes", with(format!("boxes: {{{}}}", list(100_000, |i| format!("b{i}"))))),
        ("doubled boxes", with(format!("boxes: {{{}}}", "b,".repeat(400_000)))),
        ("inputs", with(format!("wake_groups: {{g: {{inputs: [{}]}}}}", list(100_000, |i| format!("i{i}"))))),
        ("groups", with(format!("wake_groups: {{{}}}", list(100_000, |i| format!("g{i}"))))),
        ("unfused items", with(format!("unfused: [{}]", list(45_000, |i| format!("{{name: u{i}}}"))))),
        ("loads", loads(&list(120_000, |i| format!("l{i}")))),
        ("doubled loads", loads(&"lamp,".repeat(190_000))),
        ("a load of many words", loads(&"brake lamp ".repeat(90_000))),
        (
            "further feeds",
            loads(&format!("{{name: x, also_from: [{}]}}", list(100_000, |i| format!("F{i}")))),
        ),
        ("a long kind", loads(&format!("{{name: x, kind: {}}}", "x".repeat(900_000)))),
        ("a long title", format!("format: fusetrail-map/1\ntitle: {}\nfeeds: []\n", "x".repeat(900_000))),
        ("empty feeds", format!("{HEAD}feeds: [{}]\n", "{},".repeat(300_000))),
        ("feeds that are nothing", format!("{HEAD}feeds:\n{}", "-\n".repeat(400_000))),
        ("feeds", format!("{HEAD}feeds:\n{}", feeds(12_000, |_| String::new()))),
        ("as many feeds as are taken", format!("{HEAD}feeds:\n{}", feeds(1000, |_| String::new()))),
        (
            "loads on each",
            format!(
                "{HEAD}feeds:\n{}",
                feeds(190, |_| format!(", loads: [{}]", list(100, |i| format!("l{i}"))))
            ),
        ),
        (
            "as many loads as are taken",
            format!("{HEAD}feeds:\n{}", feeds(1000, |_| ", loads: [radio, x, brake lamp]".into())),
        ),
    ]
}

/// Shapes of panel lists.
fn list_shapes() -> Vec<(&'static str, String)> {
    vec![
        ("rows", (0..38_000).map(|i| format!("cabin,F{i},mini,10,radio\n")).collect()),
        ("bad rows", "x\n".repeat(500_000)),
        ("cells", format!("cabin,F1,mini,10{}", ",a".repeat(400_000))),
        ("loads", format!("cabin,F1,mini,10,\"{}\"", list(120_000, |i| format!("l{i}")))),
        ("a load of many words", format!("cabin,F1,mini,10,{}", "brake lamp ".repeat(90_000))),
        ("boxes", (0..50_000).map(|i| format!("b{i},F1,mini,10\n")).collect()),
        ("headings", format!("fuse,rating{}", ",fuse no".repeat(100_000))),
        (
            "parents",
            format!("fuse,rating,from\n{}", list(1000, |i| format!("F{i},10,G{i}\n")).replace("\n,", "\n")),
        ),
        ("quotes", "\"".repeat(MOST)),
    ]
}

/// Shapes of answers files.
fn answers_shapes() -> Vec<(&'static str, String)> {
    vec![
        ("stars", format!("\"{}*b\": x\n", "*a".repeat(500))),
        ("ids", (0..90_000).map(|i| format!("q{i}: x\n")).collect()),
        ("ids of stars", (0..1900).map(|i| format!("\"*{i}{}\": x\n", "*a".repeat(200))).collect()),
        ("doubled ids", "q: x\n".repeat(150_000)),
        ("answers", format!("care.keys: [{}]\n", "x,".repeat(480_000))),
        ("a long answer", format!("start.map: {}\n", "x".repeat(900_000))),
        ("braces", "{a: ".repeat(100_000)),
    ]
}

/// Runs in little room and returns how it ended, with what it said.
fn run(world: &World, arguments: &[&str]) -> Result<String, String> {
    let program = world.command();
    let mut command = Command::new("sh");
    command.arg("-c").arg(format!("ulimit -v {ROOM}; exec \"$@\"")).arg("sh").arg(program.get_program());
    command.args(arguments).current_dir(world.path("")).env_clear().env("COLUMNS", "80").env("TZ", "UTC");
    let (out, talk) = (world.path("out"), world.path("talk"));
    command.stdin(Stdio::null()).stdout(std::fs::File::create(&out).expect("a file"));
    command.stderr(std::fs::File::create(&talk).expect("a file"));
    let begun = Instant::now();
    let mut child = command.spawn().expect("sh starts");
    let status = loop {
        match child.try_wait().expect("waited for") {
            Some(status) => break status,
            None if begun.elapsed() > LIMIT => {
                child.kill().expect("ended");
                child.wait().expect("waited for");
                return Err(format!("no end after {LIMIT:?}"));
            }
            None => std::thread::sleep(Duration::from_millis(10)),
        }
    };
    let said = world.read("talk") + &world.read("out");
    let shown: String = said.chars().take(300).collect();
    match status.code() {
        Some(0..=2) if !said.contains("panicked") && said.len() < 3_000_000 => Ok(said),
        code => Err(format!("{code:?}, {} bytes: {shown}", said.len())),
    }
}

fn all_end(file: &str, shapes: Vec<(&'static str, String)>, commands: &[&[&str]]) {
    let world = World::new();
    let mut bad = Vec::new();
    for (name, text) in shapes {
        world.write(file, text.get(..MOST).unwrap_or(&text));
        for command in commands {
            if let Err(how) = run(&world, command) {
                bad.push(format!("{name}: {}: {how}", command.join(" ")));
            }
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

#[test]
fn every_shape_of_yaml_and_map_ends_soon_in_little_memory() {
    let shapes = yaml_shapes().into_iter().chain(map_shapes()).collect();
    all_end("x.yaml", shapes, &[&["circuits", "check", "x.yaml"], &["circuits", "show", "x.yaml", "--yaml"]]);
}

#[test]
fn every_shape_of_a_panel_list_ends_soon_in_little_memory() {
    all_end("x.csv", list_shapes(), &[&["circuits", "sketch", "x.csv"]]);
}

#[test]
fn every_shape_of_an_answers_file_ends_soon_in_little_memory() {
    let hunt = ["hunt", "--practice", "1", "--answers", "x.yaml", "x.hunt.yaml"];
    all_end("x.yaml", answers_shapes(), &[&hunt]);
}

#[test]
fn a_figure_that_no_vehicle_has_is_refused_with_its_range_wherever_it_is_given() {
    let world = World::new();
    world.write("night.csv", "s,mA\n0,25\n1,25\n2,1e25\n3,25\n1e300,25\n");
    for line in [
        "convert --family mini --rating 10 --drop 1e300V",
        "convert --family mini --rating 1e308 --drop 3mV",
        "convert --family mini --rating 10 --drop 3mV --temp 1e9C",
        "convert --family mini --rating 10 --drop 3mV --resistance 1e-300",
        "convert --family mini --rating 10 --drop 3mV --meter 1e300V,1,2",
        "sheet --family mini --temp 1e9C",
        "sheet --family mini --meter 1e-300V,1e300,2",
        "stand --draw 1e308mA",
        "stand --draw 50mA --capacity 1e308Ah",
        "stand --draw 50mA --reserve 1e308",
        "stand --draw 50mA --days 1e308",
        "stand --draw 50mA --ocv 1e308",
        "settle night.csv --every 1e308",
        "settle night.csv --shunt 1e308",
        "settle night.csv --limit 1e308",
        "open x.hunt.yaml --map hatch --limit 1e308mA",
    ] {
        let run = world.say(line);
        assert!(matches!(run.code, Some(1 | 2)) && run.talk.contains("expected"), "{line}: {run:?}");
    }
    let number = |key: &str| format!("{HEAD}{key}: 1e308\nfeeds: []\n");
    for text in [
        number("system_v"),
        number("limit_ma"),
        number("sleep_after_min"),
        loads("{name: x, asleep_ma: 1e308}"),
    ] {
        world.write("x.yaml", &text);
        let said = world.say("circuits check x.yaml").ends(1).out;
        assert!(said.contains("is 1e308") && said.contains(" to "), "{said}");
    }
    let settled = world.say("settle night.csv --format json").out;
    assert!(
        !settled.contains("inf") && !settled.contains("NaN") && settled.contains("\"skipped\":2"),
        "{settled}"
    );
}

#[test]
fn nothing_foreign_reaches_a_terminal_in_any_form() {
    let world = World::new();
    let bad = "a\u{1b}[2J\u{7}\u{9b}31m\u{202e}b\u{200b}\u{7f}";
    let escaped = bad
        .replace('\u{1b}', "\\e")
        .replace('\u{7}', "\\a")
        .replace('\u{7f}', "\\x7f")
        .replace('\u{9b}', "\\x9b");
    let loads = format!(", loads: [\"{escaped}\"]");
    let map =
        format!("format: fusetrail-map/1\ntitle: \"{escaped}\"\nfeeds:\n{}# \u{202e}\n", feed(1, &loads));
    world.write("x.yaml", &map);
    world.write("raw.yaml", &format!("title: {bad}\n"));
    world.write("x.csv", &format!("cabin,F1,mini,10,{bad}\n"));
    world.write("night.csv", &format!("{bad},mA\n0,25\n1,25\n"));
    world.write("x.ans", &format!("\"{escaped}\": \"{escaped}\"\ncare.x: [\"{escaped}\"]\n"));
    let show = world.run(&["circuits", "show", "x.yaml", "--yaml"]).ends(0);
    world.write("again.yaml", &show.out);
    world.run(&["circuits", "check", "again.yaml"]).ends(0);
    let file = format!("{bad}.yaml");
    world.write(&file, &map);
    let runs: [&[&str]; 16] = [
        &["circuits", "show", "x.yaml"],
        &["circuits", "show", "x.yaml", "--yaml"],
        &["circuits", "show", "raw.yaml", "--yaml"],
        &["circuits", "show", "x.yaml", "--format", "json"],
        &["circuits", "check", &file],
        &["circuits", "check", &file, "--format", "json"],
        &["circuits", "sketch", "x.csv"],
        &["circuits", "sketch", "x.csv", "--format", "json"],
        &["settle", "night.csv"],
        &["settle", "night.csv", "--column", bad],
        &["hunt", "x.hunt.yaml", "--map", "x.yaml", "--answers", "x.ans"],
        &["convert", "--family", bad, "--rating", bad, "--drop", bad],
        &["sheet", "--family", "mini", "--meter", bad],
        &["stand", "--draw", bad],
        &["circuits", bad],
        &[bad, "--color", "never", bad],
    ];
    for arguments in runs {
        let run = world.run(arguments);
        let hidden = |c: char| c != '\n' && (c.is_control() || matches!(c, '\u{202e}' | '\u{200b}'));
        assert!(!(run.out.clone() + &run.talk).contains(hidden), "{arguments:?}: {run:?}");
    }
}
