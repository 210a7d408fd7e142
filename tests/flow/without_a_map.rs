//! A hunt without a map: what vehicle it is comes first and decides the rest, and the fuse-box lid is typed in and said
//! back line by line.

use fusetrail::base::quantity::{Minute, Unit};
use fusetrail::base::styled::StyledText;
use fusetrail::circuit::builtin;
use fusetrail::hunt::analysis::sleep_after;
use fusetrail::hunt::{next, supply};
use fusetrail::log::question_id::QuestionId;

use crate::bench::Bench;

/// A blank map as a hunt begins with it.
fn blank() -> Bench {
    let map = builtin::map("blank").expect("built in").completed().expect("completed").0;
    Bench::on(&map.to_yaml().expect("text"))
}

fn said(bench: &Bench) -> String {
    let step = next(&bench.case(), bench.now());
    step.say.iter().map(StyledText::text).collect::<Vec<_>>().join("\n")
}

fn asked(bench: &Bench) -> (String, Option<String>) {
    let question = bench.open().expect("a question");
    (question.id.to_string(), question.default)
}

fn is(id: &str, default: &str) -> (String, Option<String>) {
    (id.to_owned(), Some(default.to_owned()))
}

#[test]
fn the_vehicle_is_asked_first_and_each_answer_sets_the_next_default() {
    let mut bench = blank();
    assert!(said(&bench).contains("No map is given"), "{}", said(&bench));
    assert_eq!(asked(&bench), is("interview.class", "car"));
    bench.refuse("interview.class", "zeppelin");
    bench.answer("interview.class", "truck");
    assert_eq!(asked(&bench), is("interview.volts", "24"));
    bench.refuse("interview.volts", "13 V");
    bench.answer("interview.volts", "24 V");
    assert_eq!(asked(&bench), is("interview.batteries", "2"));
    bench.refuse("interview.batteries", "3");
    bench.answer("interview.batteries", "4");
    assert_eq!(asked(&bench), is("interview.year", "don't know"));
    bench.refuse("interview.year", "14");
    let follows = bench.says("interview.year", "1994");
    assert!(follows.contains("none is published") && follows.contains("10 min"), "{follows}");
    assert!(follows.contains("without a fuse: alternator, starter"), "{follows}");
    assert!(follows.contains("340") && follows.contains("2 side by side"), "{follows}");
    bench.answer("interview.year", "1994");
    assert_eq!(asked(&bench).0, "interview.complaint");

    let case = bench.case();
    assert_eq!((case.map.system.base(), case.map.batteries(), case.map.year), (24.0, 4, Some(1994)));
    assert_eq!(sleep_after(&case), Minute::new(10.0));
    assert_eq!(case.told().year, Some(1994));
    bench.until("caution.page", &[]);
    bench.until("prepare.opened", &[("battery.volts", "25.3")]);
    let case = bench.case();
    for caution in [QuestionId::CautionTwoBatteries, QuestionId::CautionSeveralSources] {
        assert_eq!(case.answer(caution), Some("yes"), "{caution:?}");
    }
    assert_eq!(supply::known_capacity(&case).expect("a table").side_by_side, 2);
}

#[test]
fn back_takes_the_class_back_with_all_that_followed_from_it() {
    let mut bench = blank();
    bench.answer("interview.class", "boat");
    let names = |bench: &Bench| -> Vec<String> {
        bench.case().map.unfused.iter().map(|item| item.name.clone()).collect()
    };
    assert!(names(&bench).contains(&"solar regulator".to_owned()));
    bench.answer("interview.volts", "back");
    assert_eq!(asked(&bench), is("interview.class", "car"));
    assert_eq!(names(&bench), ["alternator", "starter"]);
}

#[test]
fn on_a_map_the_vehicle_is_not_asked_about() {
    let text = builtin::MAPS.iter().find(|map| map.name == "hatch").expect("built in").text;
    let mut bench = Bench::on(text);
    assert_eq!(asked(&bench).0, "interview.complaint");
    // A map that says how long it takes to sleep settles the year; so does one that has it.
    bench.answer("interview.complaint", "flat after 3 days");
    assert_eq!(asked(&bench).0, "interview.recent");
    let ages =
        text.lines().filter(|line| !line.starts_with("sleep_after_min")).collect::<Vec<_>>().join("\n");
    let mut asks = Bench::on(&ages);
    asks.answer("interview.complaint", "flat after 3 days").answer("interview.year", "2021");
    assert_eq!(asks.case().map.year, Some(2021));
    let mut told = Bench::on(&ages.replacen("class: car", "class: car\nmodel_year: 2018", 1));
    assert_eq!(told.case().told().year, Some(2018));
    told.answer("interview.complaint", "flat after 3 days");
    assert_eq!(asked(&told).0, "interview.recent");
}

#[test]
fn main_links_are_asked_and_feed_the_boxes_that_lines_name() {
    let mut bench = blank();
    bench.until("hook-up.links", &[]);
    bench.refuse("hook-up.links", "two");
    let links = bench.says("hook-up.links", "150 cabin, 80 engine bay");
    assert!(
        links.contains("L1: link 150 A to cabin") && links.contains("L2: link 80 A to engine-bay"),
        "{links}"
    );
    bench.answer("hook-up.links", "150 cabin, 80 engine bay");
    assert!(said(&bench).contains("F12 mini 10 radio"), "{}", said(&bench));
    assert!(bench.says("hook-up.lid", "box cabin").contains("sit in: cabin"));
    bench.answer("hook-up.lid", "box cabin");
    assert!(bench.open().expect("asked").prompt.contains("Fuse 1 from the lid, box cabin"));
    let first = bench.says("hook-up.lid", "F1 10 RDO, clock");
    assert!(first.contains("F1 in cabin: mini 10 A (family guessed) below L1"), "{first}");
    assert!(first.contains("RDO (audio)") && first.contains("all blade"), "{first}");
    bench.answer("hook-up.lid", "F1 10 RDO, clock");
    let second = bench.says("hook-up.lid", "F2 7.5 airbag");
    assert!(second.contains("(family guessed)") && !second.contains("all blade"), "{second}");
    assert!(second.contains("never probed, pulled or unplugged"), "{second}");
    bench.answer("hook-up.lid", "F2 7.5 airbag");
    // One word corrects the last fuse, two the whole box.
    let blade = bench.says("hook-up.lid", "blade");
    assert!(blade.contains("F2 in cabin: blade 7.5 A below") && !blade.contains("guessed"), "{blade}");
    assert!(bench.says("hook-up.lid", "all micro2").contains("F1, F2: micro2"));
    bench.answer("hook-up.lid", "all micro2").answer("hook-up.lid", "Engine Bay:");
    bench.answer("hook-up.lid", "F1 mini 20 horn").answer("hook-up.lid", "");
    assert_ne!(asked(&bench).0, "hook-up.lid");
    let map = bench.case().map;
    let lines: Vec<String> = map
        .feeds
        .iter()
        .filter_map(|feed| Some(format!("{} {} {}", feed.id, feed.fuse.words(), map.feed_name(feed.parent?))))
        .collect();
    assert_eq!(lines, ["F1 micro2 10 A L1", "F2 micro2 7.5 A L1", "engine-bay.F1 mini 20 A L2"]);
}

#[test]
fn a_box_that_was_chosen_is_taken_back_by_itself() {
    let mut bench = blank();
    bench.until("hook-up.lid", &[]);
    bench.refuse("hook-up.lid", &format!("box {}", "x".repeat(81)));
    bench.answer("hook-up.lid", "cabin:").answer("hook-up.lid", "box boot").answer("hook-up.lid", "back");
    bench.answer("hook-up.lid", "F1 mini 10 radio");
    let map = bench.case().map;
    let boxes: Vec<&str> = map.boxes.iter().map(|one| one.id.as_str()).collect();
    assert_eq!(boxes, ["cabin"]);
}

#[test]
fn the_limit_of_the_class_is_the_default_and_its_source_stays() {
    let mut bench = blank();
    let answers = [("hook-up.lid", ""), ("settle.wait", "skip no time"), ("total.reading", "300 mA")];
    bench.until("hook-up.lid", &[]).answer("hook-up.lid", "F1 mini 10 radio");
    bench.until("total.limit", &answers);
    assert_eq!(asked(&bench), is("total.limit", "50 mA"));
    assert!(said(&bench).contains("default for passenger cars"), "{}", said(&bench));
    bench.answer("total.limit", "");
    assert!(bench.case().limit.is_none(), "the figure of the class stays what it is");
    assert!(bench.analysis().limit.as_ref().is_some_and(|limit| limit.source.contains("passenger cars")));
    assert_eq!(asked(&bench).0, "total.volts");
    assert!(bench.says("total.volts", "12.6").contains("limit 50 mA"), "after the limit is known");
    bench.answer("total.volts", "12.6");
    assert_ne!(asked(&bench).0, "total.stand");
}

#[test]
fn without_a_published_limit_the_time_that_it_must_stand_gives_one() {
    let mut bench = blank();
    bench
        .answer("interview.class", "truck")
        .answer("interview.volts", "24")
        .answer("interview.batteries", "2");
    bench.until("hook-up.lid", &[]).answer("hook-up.lid", "F1 mini 10 radio");
    let answers = [
        ("battery.volts", "25.3"),
        ("hook-up.lid", ""),
        ("settle.wait", "skip no time"),
        ("total.reading", "400 mA"),
        ("total.volts", "25.2"),
    ];
    bench.until("total.limit", &answers);
    let before = bench.clone();
    bench.refuse("total.limit", "soon");
    bench.refuse("total.limit", "0 days");
    bench.refuse("total.limit", "4000 days");
    let text = bench.says("total.limit", "14 days");
    assert!(text.contains("from 14 days wanted"), "{text}");
    let allowed =
        supply::stock(&bench.case(), true).expect("a stock").allowed(Minute::new(14.0 * 1440.0).into());
    // 400 mA on 170 Ah: what was settled is judged at once.
    assert!(text.contains("Settled draw 400"), "{text}");
    bench.answer("total.limit", "14 days");
    let limit = bench.analysis().limit.clone().expect("a limit");
    assert!((limit.current / allowed.value() - 1.0).abs() < 0.05, "{limit:?}");
    assert!(limit.source.contains("from 14 days wanted") && limit.source.contains("170"), "{limit:?}");
    assert!(bench.analysis().verdict.is_some());
    // The rating of its battery, where it is told, gives the limit more closely.
    let mut rated = before;
    let rating = fusetrail::log::question_id::QuestionId::BatteryRating.into();
    let answer = "90 Ah".to_owned();
    rated.enter_events(vec![fusetrail::log::entry::LogEvent::Answer { question: rating, answer }]);
    let text = rated.says("total.limit", "14 days");
    assert!(text.contains("90 Ah as printed"), "{text}");
    // A figure that somebody finds later comes before it.
    bench.until("trail.reading", &[]);
    bench.enter("limit 30mA service information");
    assert_eq!(bench.analysis().limit.as_ref().map(|limit| limit.current.milli()), Some(30.0));
}
