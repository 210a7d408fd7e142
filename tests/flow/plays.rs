//! Hunts as they go in a yard: cured by a pull, disturbed in the middle, handed over unproven, a limit that comes late,
//! a small draw beside a large one. Leaves to others: what a single reading means (the other files here).

use crate::bench::Bench;
use crate::follow::World;
use fusetrail::base::styled::StyledText;
use fusetrail::circuit::builtin;
use fusetrail::hunt::stage::handover::{Outcome, outcome};
use fusetrail::infer::leader::LeaderKind;
use fusetrail::log::question_id::QuestionId;
use fusetrail::plan::proposal::Stop;
use fusetrail::render::json::suspects::{NextShape, SuspectsShape};
use fusetrail::text::suspects::{suspect_row, why};

fn on(name: &str) -> Bench {
    Bench::on(builtin::MAPS.iter().find(|map| map.name == name).expect("built in").text)
}

/// A log begun by hand goes on with the cautions, each acknowledged.
fn heeded(mut bench: Bench) -> Bench {
    while open_id(&bench).starts_with("caution.") {
        let id = open_id(&bench);
        bench.answer(&id, "yes");
    }
    bench
}

/// The hatch whose audio fuse carries what is too much.
fn hatch() -> Bench {
    let mut bench = on("hatch");
    bench.enter("zero 0.0").enter("total 380mA").enter("C5 2.6");
    heeded(bench)
}

fn leads(bench: &Bench) -> (LeaderKind, String) {
    let leader = bench.analysis().leader();
    (leader.kind, leader.name)
}

/// Says what stands before the open question.
fn said(bench: &Bench) -> String {
    let say = fusetrail::hunt::next(&bench.case(), bench.now()).say;
    say.iter().map(StyledText::text).collect::<Vec<_>>().join("\n")
}

fn open_id(bench: &Bench) -> String {
    bench.open().map_or_else(|why| why, |question| question.id.to_string())
}

/// Handed over in the evening, with the wait for the proof left out.
fn handed_over(repair: &str) -> Bench {
    let mut bench = hatch();
    let answers = [("handover.done", "yes"), ("handover.back", "all")];
    bench.until("repair.what", &[]).answer("repair.what", repair);
    while bench.open().is_ok() {
        let id = open_id(&bench);
        let given =
            answers.iter().find(|(known, _)| *known == id).map_or("skip tomorrow", |(_, given)| given);
        bench.answer(&id, given);
    }
    bench
}

#[test]
fn what_is_proved_the_next_morning_leaves_the_finding_as_it_was() {
    let mut bench = handed_over("audio unit replaced");
    let (evening, observed) = (leads(&bench), bench.analysis().observed.clone());
    assert_eq!((evening.0, evening.1.as_str()), (LeaderKind::Branch, "C5"));
    assert_eq!(outcome(&bench.case()), Outcome::NotProven);
    bench.wait(14 * 60).add("total 31mA");
    assert_eq!(bench.analysis().observed, observed, "the finding changed");
    assert_eq!(outcome(&bench.case()), Outcome::Proven);
    let record = bench.record();
    assert!(record.contains("It's C5") && record.contains("finished: true"), "{record}");
}

/// Flat far over the limit its total was provisional; the settled one after the repair does not take its place.
#[test]
fn a_provisional_total_of_the_fault_stays_its_total_after_the_repair() {
    let mut bench = on("hatch");
    bench.until("total.reading", &[]).answer("total.reading", "380").until("trail.reading", &[]);
    bench.answer("trail.reading", "C5 2.6").until("repair.what", &[]).answer("repair.what", "lamp switch");
    let (finding, observed) = (leads(&bench), bench.analysis().observed.clone());
    bench.wait(14 * 60).add("total 31mA");
    assert!(!bench.case().readings.last().expect("a total").provisional);
    assert_eq!((leads(&bench), &bench.analysis().observed), (finding, &observed));
}

#[test]
fn taken_up_again_the_next_morning_it_asks_for_the_proof() {
    let mut bench = handed_over("audio unit replaced");
    assert!(bench.open().is_err(), "asked at once: {}", open_id(&bench));
    bench.wait(14 * 60);
    let says = bench.says("prove.total", "31");
    assert!(says.contains("proven"), "{says}");
    bench.answer("prove.total", "31");
    assert!(open_id(&bench).contains("repaired and proven"), "{}", open_id(&bench));
    assert_eq!(leads(&bench).1, "C5");
}

#[test]
fn who_repaired_it_the_next_day_is_asked_what() {
    let mut bench = handed_over("not-repaired");
    bench.wait(14 * 60).answer("repair.what", "audio unit replaced");
    assert_ne!(outcome(&bench.case()), Outcome::Proven);
    bench.wait(600).add("total 31mA");
    assert_eq!((outcome(&bench.case()), leads(&bench).1.as_str()), (Outcome::Proven, "C5"));
}

#[test]
fn a_total_after_the_handover_is_none_of_the_fault_whoever_repaired_it() {
    let mut bench = handed_over("not-repaired");
    let observed = bench.analysis().observed.clone();
    bench.wait(14 * 60).add("total 31mA");
    assert_eq!(bench.analysis().observed, observed);
}

#[test]
fn what_is_read_before_the_repair_counts_whenever_it_is_entered() {
    let mut bench = hatch();
    bench.enter("total 379mA");
    assert!(bench.case().readings.iter().all(|reading| !reading.after_repair));
    assert!(bench.case().readings.len() == 3 && bench.case().total_after_repair().is_none());
}

const TRUCK_LIMIT: &str = "limit 100mA service information";

#[test]
fn what_explains_most_leads_and_a_small_draw_beside_it_is_said_to_be_small() {
    let mut bench = on("tipper");
    bench.enter("zero 0.0").enter(TRUCK_LIMIT).enter("total 620mA").enter("clamp K7 29mA");
    bench.enter("pull K1 620 80");
    assert_eq!(leads(&bench), (LeaderKind::Branch, "K1".to_owned()));
    let analysis = bench.analysis();
    let suspects = &analysis.ranking().suspects;
    let row = |suspect| suspect_row(suspect, &analysis.panel);
    assert_eq!(row(&suspects[0])[0], "K1");
    let small = suspects.iter().find(|suspect| suspect.id == "K7").expect("listed");
    assert!(row(small)[1].ends_with("lamps"), "{:?}", row(small));
    assert_eq!(row(small)[2..4], ["29 mA", "draws a little more"]);
    let told = why(small, analysis.excess.as_ref(), &analysis.facts.night, &analysis.panel);
    assert!(told.contains("may draw a little more than the map says"), "{told}");
    let also = bench.analysis().ranking().also(&bench.panel());
    assert!(also.is_empty(), "{also:?}");
    let record = bench.record();
    assert!(record.contains("may draw a little more than the map says"), "{record}");
    let leader = record.split("leader:").nth(1).expect("a leader");
    assert!(leader.contains("K1") && leader.find("K1") < leader.find("K7"), "{leader}");
}

/// A truck whose five fuses read before the limit came were as they should be.
const TRUCK: &str = "
format: fusetrail-map/1
title: invented lorry
class: truck
system_v: 24
sleep_after_min: 30
boxes: {cab: {where: behind the footwell cover}}
feeds:
  - {id: T1, from: battery, box: cab, fuse: {family: mini, rating_a: 10}, loads: [{name: engine control unit, asleep_ma: 2}]}
  - {id: T2, from: battery, box: cab, fuse: {family: mini, rating_a: 10}, loads: [{name: cab control module, asleep_ma: 6}]}
  - {id: T3, from: battery, box: cab, fuse: {family: mini, rating_a: 5}, loads: [{name: tachograph, asleep_ma: 8}]}
  - {id: T4, from: battery, box: cab, fuse: {family: mini, rating_a: 10}, loads: [{name: central locking, asleep_ma: 2}]}
  - {id: T5, from: battery, box: cab, fuse: {family: mini, rating_a: 10}, loads: [{name: radio, asleep_ma: 3}]}
  - {id: T6, from: battery, box: cab, fuse: {family: mini, rating_a: 5}, loads: [{name: cab lamps}]}
  - {id: T7, from: battery, box: cab, fuse: {family: mini, rating_a: 5}, loads: [{name: telematics unit, asleep_ma: 4}]}
  - {id: T8, from: battery, box: cab, fuse: {family: mini, rating_a: 15}, loads: [{name: parking heater, asleep_ma: 1}]}
";

fn truck() -> Bench {
    let mut bench = Bench::on(TRUCK);
    bench.until("total.reading", &[("settle.wait", "settled 46mA")]);
    bench.answer("total.reading", "46").until("total.limit", &[]);
    bench
}

#[test]
fn a_limit_typed_after_five_readings_is_judged_at_once_and_the_search_goes_on() {
    let mut bench = truck();
    bench.answer("total.limit", "don't know").until("trail.reading", &[("total.stand", "don't know")]);
    for line in ["zero 0.0", "T1 0.0", "T2 0.1", "T3 0.1", "T4 0.0", "T5 0.0"] {
        bench.enter(line);
    }
    let id = open_id(&bench);
    let judged = bench.says(&id, "limit 30mA service information");
    assert!(judged.contains("46") && judged.contains("30 mA") && judged.contains("over"), "{judged}");
    bench.answer(&id, "limit 30mA service information");
    assert_eq!(bench.case().answer(QuestionId::RepairWhat), None, "a limit is no repair");
    assert_eq!(bench.analysis().plan().stop, Stop::Open);
    assert_eq!(open_id(&bench), "trail.reading");
}

#[test]
fn a_limit_typed_where_the_repair_is_asked_for_is_no_repair() {
    let mut bench = truck();
    bench
        .answer("total.limit", "don't know")
        .until("trail.reading", &[("total.stand", "don't know")])
        .answer("trail.reading", "done");
    bench.until("repair.what", &[]).answer("repair.what", "limit 30mA service information");
    assert!(bench.case().limit.is_some() && bench.case().answer(QuestionId::RepairWhat).is_none());
    bench.answer("repair.what", "limit switch replaced");
    assert!(bench.case().was_repaired());
}

#[test]
fn a_limit_told_after_the_end_within_another_opens_the_search_again() {
    let mut bench = truck();
    bench.answer("total.limit", "60mA a guess");
    bench.answer("total.within", "stop");
    assert_eq!(outcome(&bench.case()), Outcome::WithinLimit);
    bench.enter("limit 30mA service information");
    assert_ne!(outcome(&bench.case()), Outcome::WithinLimit);
    assert_eq!(open_id(&bench), "trail.reading");
}

#[test]
fn a_fuse_that_took_the_draw_goes_back_at_once_and_what_stays_away_is_cured_and_not_repaired() {
    let mut bench = hatch();
    bench.enter("pull C5 380 30");
    let next = NextShape::of(&bench.analysis());
    let next = serde_json::to_value(next).expect("JSON");
    assert_eq!((&next["done"], &next["readings"][0]["action"]), (&false.into(), &"refit".into()));
    let question = bench.open().expect("the refit");
    assert!(question.prompt.contains("ut C5 back"), "{}", question.prompt);
    bench.answer("trail.reading", "32");
    bench.until("handover.done", &[]);
    let asked = bench.case().answers.iter().any(|said| said.what.question.to_string() == "repair.what");
    assert!(!asked, "nothing was repaired");
    let says = said(&bench);
    for part in ["stayed away", "had hung", "Nothing is repaired", "log it overnight"] {
        assert!(says.contains(part), "{part}: {says}");
    }
    assert_eq!(outcome(&bench.case()), Outcome::Cured);
    let record = bench.record();
    assert!(record.contains("othing is repaired") && record.contains("not repaired"), "{record}");
}

#[test]
fn a_draw_that_comes_back_with_its_fuse_goes_on_to_the_repair() {
    let mut bench = hatch();
    bench.enter("pull C5 380 30").answer("trail.reading", "378");
    bench.until("repair.what", &[]);
    assert_eq!(leads(&bench).1, "C5");
}

#[test]
fn a_fuse_that_took_little_stays_out() {
    let mut bench = on("hatch");
    bench.enter("zero 0.0").enter("total 380mA").enter("pull C5 380 376");
    let question = heeded(bench).open().expect("a reading");
    assert!(!question.prompt.contains("C5 back"), "{}", question.prompt);
}

#[test]
fn a_refit_that_is_passed_over_is_not_asked_again_in_the_trail() {
    let mut bench = hatch();
    bench.enter("pull C5 380 30").answer("trail.reading", "skip the holder is broken");
    assert!(bench.open().map_or(true, |question| !question.prompt.contains("ut C5 back")));
}

/// The hatch in the middle of the trail, asleep as was seen.
fn in_the_trail() -> Bench {
    let mut bench = on("hatch");
    bench.until("settle.wait", &[]).wait_until_flat("settle.wait", "380");
    bench.until("trail.reading", &[("total.reading", "380")]).answer("trail.reading", "zero 0.0");
    bench.answer("trail.reading", "C5 2.6");
    bench
}

#[test]
fn a_door_in_the_middle_of_the_trail_leads_back_to_the_wait() {
    let mut bench = in_the_trail();
    assert_ne!(open_id(&bench), "settle.wait");
    bench.enter("disturb driver door");
    assert_eq!(open_id(&bench), "settle.wait");
    assert_eq!(bench.case().last_disturbance(), bench.now(), "the clock starts again");
    // A total of the minutes after it is provisional, and the settled one stands.
    bench.add("total 1.2A");
    assert!(bench.case().readings.last().expect("a total").provisional);
    bench.wait_until_flat("settle.wait", "381");
    let settled = bench.case().settled_total().expect("a total").clone();
    assert!(settled.at > bench.case().last_disturbance(), "{settled:?}");
    assert_ne!(open_id(&bench), "total.reading", "the end of the wait is the total");
    assert_eq!(leads(&bench).1, "C5");
    let total = bench.analysis().total.as_ref().expect("a total").value();
    assert!((380.0..383.0).contains(&total.milli()), "{total:?}");
}

#[test]
fn a_log_begun_by_hand_waits_after_a_disturbance_too() {
    let mut bench = on("hatch");
    bench.enter("zero 0.0").enter("total 380mA");
    let mut bench = heeded(bench);
    assert_eq!(open_id(&bench), "trail.reading");
    bench.enter("disturb bonnet opened");
    assert_eq!(open_id(&bench), "settle.wait");
    bench.wait(45).add("total 378mA");
    assert_eq!(open_id(&bench), "trail.reading", "a total once the time has run ends the wait");
}

#[test]
fn a_hunt_taken_up_after_hours_asks_whether_the_vehicle_slept_on() {
    let mut bench = in_the_trail();
    let before = open_id(&bench);
    bench.wait(5 * 60);
    assert!(said(&bench).contains("last entry"), "{}", said(&bench));
    let mut touched = in_the_trail();
    touched.wait(5 * 60).answer("settle.touched", "driven");
    assert_eq!(open_id(&touched), "settle.wait");
    bench.answer("settle.touched", "no");
    assert_eq!(open_id(&bench), before, "nothing else is asked");
}

#[test]
fn a_total_settled_by_word_is_said_to_be_told() {
    let finding = |bench: &mut Bench| {
        bench.until("repair.what", &[]);
        (said(bench), bench.record())
    };
    let mut told = on("hatch");
    told.until("total.reading", &[("settle.wait", "settled 380mA")]).answer("total.reading", "380");
    told.until("trail.reading", &[]).answer("trail.reading", "C5 2.6");
    let (says, record) = finding(&mut told);
    assert!(says.contains("is your word") && record.contains("told, not seen"), "{says}\n{record}");
    let (says, record) = finding(&mut in_the_trail());
    assert!(!says.contains("is your word") && !record.contains("told, not seen"), "{says}\n{record}");
}

#[test]
fn volts_that_fell_during_the_search_stand_in_the_finding() {
    let mut bench = on("hatch");
    bench.until("total.volts", &[("settle.wait", "settled 380mA"), ("total.reading", "380")]);
    bench.answer("total.volts", "12.5").until("trail.reading", &[]).answer("trail.reading", "C5 2.6");
    bench.enter("volts 12.2");
    bench.until("repair.what", &[]);
    assert!(said(&bench).contains("12.2"), "{}", said(&bench));
    assert!(bench.record().contains("fell: \"Battery 12.50 V"), "{}", bench.record());
}

const SOCKET: &str = "
format: fusetrail-map/1
title: invented estate
class: car
limit_ma: 50
limit_source: invented
boxes: {cabin: {where: glovebox}}
feeds:
  - {id: F2, from: battery, box: cabin, fuse: {family: mini, rating_a: 15}, loads: [{name: power socket}]}
  - {id: F3, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: glovebox lamp}, {name: boot lamp}]}
  - {id: F5, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: alarm siren, asleep_ma: 4}]}
  - {id: F7, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: body control, asleep_ma: 6}]}
  - {id: F8, from: battery, box: cabin, fuse: {family: mini, rating_a: 20}, loads: [{name: wiper motor}]}
  - {id: F9, from: battery, box: cabin, fuse: {family: mini, rating_a: 15}, loads: [{name: audio unit, asleep_ma: 4}]}
";

/// A camera in the socket and a lamp: the first one found leaves the vehicle far over its limit, so the search goes on.
#[test]
fn a_camera_in_the_socket_and_a_lamp_are_both_found_in_seven_readings() {
    let world = World {
        always: vec![("F2/?", 180.0), ("F3/boot lamp", 400.0), ("F7/body control", 6.0)],
        ..World::default()
    };
    let trail = world.follow(Bench::on(SOCKET).enter("temp 25C"));
    assert!(trail.searched.len() <= 7, "{:?}", trail.searched);
    let shape = serde_json::to_value(SuspectsShape::of(&trail.end)).expect("JSON");
    let mut named: Vec<&str> =
        shape["also"].as_array().into_iter().flatten().filter_map(|one| one["name"].as_str()).collect();
    named.extend(shape["leader"]["name"].as_str());
    named.sort_unstable();
    assert_eq!(named, ["F2", "F3"], "{:?} {shape}", trail.searched);
    assert_eq!(shape["leader"]["name"], "F3", "the larger one leads");
}

/// An hour into the search the battery's volts are asked for; a tenth lower, and the total is to be read again.
#[test]
fn in_a_long_search_the_volts_are_read_again() {
    let mut bench = on("hatch");
    bench.enter("zero 0.0").enter("total 380mA").enter("volts 12.61");
    let mut bench = heeded(bench);
    assert_ne!(open_id(&bench), "trail.volts");
    bench.wait(50);
    let told = bench.says("trail.volts", "12.42");
    assert!(told.contains("12.42") && told.contains("12.61"), "{told}");
    let mut kept = bench.clone();
    kept.answer("trail.volts", "12.60");
    assert_ne!(open_id(&kept), "trail.volts");
    bench.answer("trail.volts", "not measured");
    assert_ne!(open_id(&bench), "trail.volts", "not asked again at once");
}

/// A camera in the socket, read as found and taken off: it is a cause by itself, and nothing that is gone by itself.
#[test]
fn what_is_plugged_in_is_read_with_and_without() {
    let told =
        [("interview.recent", "dash camera plugged in"), ("found.reach", "yes"), ("found.total", "210")];
    let mut bench = on("hatch");
    bench.until("found.without", &told).answer("found.without", "26");
    bench.until("total.reading", &[]).answer("total.reading", "25");
    let all = said(bench.until("total.within", &[]));
    assert!(all.contains("What was plugged in drew 184"), "{all}");
    assert!(!all.contains("gone since"), "{all}");
    // Nothing is plugged in: nothing is taken off.
    let mut bare = on("hatch");
    bare.until(
        "found.volts",
        &[("interview.plugged", "nothing"), ("found.reach", "yes"), ("found.total", "210")],
    );
    assert!(bare.case().answer(QuestionId::FoundWithout).is_none());
}
