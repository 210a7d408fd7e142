//! The two gates before the hunt, and the proof after it, as a technician meets them.

use crate::bench::Bench;
use fusetrail::base::quantity::Minute;
use fusetrail::base::styled::StyledText;
use fusetrail::circuit::builtin;
use fusetrail::hunt::stage::handover::{Outcome, outcome};
use fusetrail::hunt::stage::{back, verify};
use fusetrail::hunt::{next, supply};
use fusetrail::log::interview::FlatPattern;
use fusetrail::log::question_id::QuestionId;

fn map(name: &str) -> &'static str {
    builtin::MAPS.iter().find(|map| map.name == name).expect("built in").text
}

/// What is said before the open question.
fn said(bench: &Bench) -> String {
    let step = next(&bench.case(), bench.now());
    step.say.iter().map(StyledText::text).collect::<Vec<_>>().join("\n")
}

#[test]
fn who_knows_that_battery_and_charging_are_good_is_through_both_in_two_answers() {
    for name in ["hatch", "van", "hybrid", "tipper", "motorcycle"] {
        let mut bench = Bench::on(map(name));
        bench.until("battery.test", &[]);
        let volts = if name == "tipper" { "25.3" } else { "12.7" };
        let mut only = bench.clone();
        only.answer("battery.test", "good").answer("battery.volts", volts);
        assert!(said(&only).contains("Battery: fit"), "{name}: {}", said(&only));
        only.answer("charging.known", "good");
        bench.answer("battery.test", "both").answer("battery.volts", volts);
        assert_eq!(
            bench.case().answer(QuestionId::BatteryTest),
            Some("good"),
            "as the log has always had it"
        );
        for bench in [only, bench] {
            assert_eq!(bench.open().expect("goes on").id.to_string(), "prepare.opened", "{name}");
        }
    }
}

#[test]
fn results_at_hand_are_asked_for_and_judged() {
    let mut bench = Bench::on(map("hatch"));
    bench.until(
        "charging.known",
        &[
            ("battery.type", "flooded"),
            ("battery.volts", "12.55"),
            ("battery.test", "results"),
            ("battery.rating", "60 Ah 540 A EN"),
            ("battery.made", "K4 2016"),
            ("battery.rest", "10 h"),
            ("battery.temperature", "5C"),
            ("battery.measured", "400"),
            ("battery.load", "9.4"),
            ("battery.leak", "0.7"),
            ("battery.clamps", "bad"),
            ("battery.gate", "go-on"),
        ],
    );
    let text = said(&bench);
    for words in ["doubtful", "74 %", "0.70 V from post to case", "Clamps loose", "passed"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert_eq!(supply::evidence(&bench.case()).age, Some(10));
}

#[test]
fn a_swollen_or_frozen_battery_stops_and_nobody_goes_on_with_it() {
    let mut bench = Bench::on(map("hatch"));
    bench.until("battery.gate", &[("battery.volts", "12.6"), ("battery.test", "unsafe")]);
    assert!(said(&bench).contains("No charger, no jump leads"));
    bench.refuse("battery.gate", "go-on");
    bench.answer("battery.gate", "stop");
    assert!(bench.open().expect_err("stopped").contains("Frozen, swollen or leaking"));

    let mut cold = Bench::on(map("hatch"));
    let results = [("battery.volts", "11.6"), ("battery.test", "results"), ("battery.temperature", "-9C")];
    cold.until("battery.gate", &results);
    assert!(said(&cold).contains("may be frozen"), "{}", said(&cold));
}

#[test]
fn a_battery_that_was_charged_meanwhile_is_judged_again_in_the_same_log() {
    let mut bench = Bench::on(map("hatch"));
    bench.until("battery.gate", &[("battery.volts", "11.2"), ("battery.test", "bad")]);
    bench.answer("battery.gate", "stop");
    assert!(bench.open().is_err());
    bench.wait(600);
    bench.answer("battery.again", "yes");
    bench.answer("battery.test", "good").answer("battery.volts", "12.7");
    assert_eq!(bench.open().expect("goes on").id.to_string(), "charging.known");
}

#[test]
fn each_battery_of_a_pair_is_read_by_itself_where_nobody_knows_it_good() {
    let mut bench = Bench::on(map("tipper"));
    bench.until("battery.volts", &[]);
    let mut typed = bench.clone();
    typed.answer("battery.volts", "25.0 12.8V");
    assert!(said(&typed).contains("0.60 V apart"), "{}", said(&typed));
    // Where their charge is in doubt it is asked for.
    bench.answer("battery.volts", "24.6").until("battery.first", &[]).answer("battery.first", "12.6");
    bench.until("battery.gate", &[]);
    assert!(said(&bench).contains("0.60 V apart"), "{}", said(&bench));
}

#[test]
fn a_charging_side_is_asked_about_as_the_vehicle_has_it() {
    let asked = |name: &str, volts: &str| {
        let mut bench = Bench::on(map(name));
        let rested = if name == "tipper" { "25.2" } else { "12.6" };
        bench.until("charging.volts", &[("battery.volts", rested), ("charging.known", "measure")]);
        bench.answer("charging.volts", volts);
        let mut ids = Vec::new();
        while let Ok(question) = bench.open()
            && question.id.to_string().starts_with("charging.")
        {
            ids.push(question.id.to_string().trim_start_matches("charging.").to_owned());
            bench.answer(&question.id.to_string(), "");
        }
        ids.join(" ")
    };
    assert_eq!(asked("hatch", "14.2"), "ripple cables leak");
    assert_eq!(asked("hatch", "12.7"), "kind ripple cables leak");
    assert_eq!(asked("hybrid", "14.1"), "converter input");
    assert_eq!(asked("hybrid", "12.7"), "converter stud input gate");
    assert_eq!(asked("tipper", "28.2"), "first equaliser ripple cables leak");
    assert_eq!(asked("motorcycle", "14.2"), "ripple cables leak");
}

#[test]
fn a_hybrid_that_is_not_ready_is_not_judged_and_one_that_is_says_where_its_charge_is_lost() {
    let measure = [("battery.volts", "12.4"), ("charging.known", "measure")];
    let mut not_ready = Bench::on(map("hybrid"));
    not_ready.until("charging.ready", &measure).answer("charging.ready", "no");
    assert_eq!(not_ready.open().expect("goes on").id.to_string(), "prepare.opened");
    assert!(said(&not_ready).contains("not judged"), "{}", said(&not_ready));
    let shows = |answers: &[(&str, &str)]| {
        let mut bench = Bench::on(map("hybrid"));
        let all: Vec<(&str, &str)> = measure.iter().chain(answers).copied().collect();
        bench.until("prepare.opened", &all);
        said(&bench)
    };
    let low = ("charging.volts", "12.5");
    let on = ("charging.gate", "go-on");
    let off = [low, ("charging.converter", "0.1"), ("charging.input", "0"), on];
    assert!(shows(&off).contains("not switched on"), "{}", shows(&off));
    let inside = [low, ("charging.converter", "0.1"), ("charging.input", "1.4"), on];
    assert!(shows(&inside).contains("takes 1.4 A and gives nothing"), "{}", shows(&inside));
    let cable = [low, ("charging.converter", "22"), ("charging.stud", "14.2"), on];
    assert!(shows(&cable).contains("1.7 V lower"), "{}", shows(&cable));
    let balance = [
        ("charging.volts", "14.0"),
        ("charging.converter", "40"),
        ("charging.input", "3.0"),
        ("charging.traction", "202"),
    ];
    assert!(shows(&balance).contains("in and out agree"), "{}", shows(&balance));
}

#[test]
fn millivolts_and_clamp_are_called_too_coarse_for_a_motorcycle() {
    let mut bench = Bench::on(map("motorcycle"));
    bench.until("hook-up.method", &[]);
    let text = said(&bench);
    assert!(text.contains("can't show 1.5 mA") && text.contains("ammeter in series"), "{text}");
    assert_eq!(bench.open().expect("asked").default.as_deref(), Some("series"));
    let mut car = Bench::on(map("hatch"));
    car.until("hook-up.zero", &[]);
    assert!(!said(&car).contains("can't show"), "{}", said(&car));
}

#[test]
fn the_time_to_flat_stands_beside_the_measured_draw() {
    let mut bench = Bench::on(map("hatch"));
    bench.until(
        "total.volts",
        &[("interview.stand", "10 days"), ("settle.wait", "skip no time"), ("total.reading", "9 mA")],
    );
    let line = bench.says("total.volts", "12.6");
    assert!(line.contains("125 mA to 250 mA") && line.contains("far less"), "{line}");
}

#[test]
fn a_battery_that_sank_since_the_first_total_asks_for_it_again() {
    let mut bench = Bench::on(map("hatch"));
    let answers = [("settle.wait", "skip no time"), ("total.reading", "482 mA"), ("total.volts", "12.60")];
    bench.until("trail.reading", &answers);
    assert!(bench.says("trail.reading", "volts 12.45").contains("ead the total again"));
    assert_eq!(bench.says("trail.reading", "volts 12.55"), "");
}

#[test]
fn what_the_customer_told_is_parsed_and_kept_as_typed() {
    let mut bench = Bench::on(map("hatch"));
    bench.until(
        "caution.page",
        &[
            ("interview.complaint", "flat after 3 days, but only at one place"),
            ("interview.recent", "tracker fitted, carpet wet, fridge left in"),
        ],
    );
    let case = bench.case();
    let told = case.told();
    assert_eq!((told.stand, told.pattern), (Some(Minute::new(4320.0)), FlatPattern::OnePlace));
    assert!(told.add_on && told.water && told.plugged_in && !told.work);
    assert_eq!(case.answer(QuestionId::InterviewRecent), Some("tracker fitted, carpet wet, fridge left in"));
}

/// A hunt on the small car up to the repair, with one fuse pulled, one latch tripped and one trim off.
fn repaired(bench: &mut Bench) {
    bench.until("prepare.opened", &[("interview.complaint", "flat sometimes")]);
    bench.answer("prepare.opened", "driver door latch, boot trim");
    bench.until("trail.reading", &[("settle.wait", "skip log shows it"), ("total.reading", "482mA")]);
    bench.enter("pull C16 482 30").enter("total 482mA");
    bench.until("repair.what", &[("trail.reading", "done"), ("narrow.reading", "done")]);
    bench.answer("repair.what", "module replaced");
    bench.until("prove.provoke", &[("repair.refit.C16", "31")]);
}

#[test]
fn a_repair_is_proven_by_the_same_wait_the_fall_and_everything_back() {
    let mut bench = Bench::on(map("hatch"));
    repaired(&mut bench);
    assert!(said(&bench).contains("no latch tripped by hand"), "{}", said(&bench));
    bench.answer("prove.provoke", "stays-away");
    bench.wait_until_flat("prove.wait", "22mA");
    let text = bench.says("prove.total", "22mA");
    assert!(text.contains("22 mA (16 to 28), limit 50 mA: within. The repair is proven"), "{text}");
    bench.answer("prove.total", "22mA");
    bench.answer("prove.log", "quiet").answer("prove.rating", "60 Ah");
    let open: Vec<String> = back::open(&bench.case()).into_iter().map(|item| item.name).collect();
    assert_eq!(open, ["driver door latch", "boot trim", "cover of fuse box cabin"]);
    assert_eq!(outcome(&bench.case()), Outcome::NotProven, "not while something is open");
    bench.answer("handover.back", "1 3").answer("handover.back", "all");
    assert_eq!(outcome(&bench.case()), Outcome::Proven);
    bench.until("handover.done", &[]);
    let text = said(&bench);
    assert!(text.contains("after the repair") && text.contains("Charge the battery fully"), "{text}");
    assert!(verify::leaves_open(&bench.case()).is_empty());
}

#[test]
fn a_repair_without_a_limit_is_proven_by_the_time_that_it_must_stand() {
    let mut bench = Bench::on(map("tipper"));
    let answers = [
        ("settle.wait", "skip no time"),
        ("total.reading", "600 mA"),
        ("total.volts", "25.2"),
        ("total.limit", "don't know"),
        ("repair.what", "relay replaced"),
        ("prove.provoke", "stays-away"),
    ];
    bench.until("trail.reading", &answers).answer("trail.reading", "done");
    bench.until("prove.wait", &answers).wait_until_flat("prove.wait", "40mA");
    bench.answer("prove.total", "40mA");
    let told = bench.says("prove.stand", "14 days");
    assert!(told.contains("The repair is proven"), "{told}");
    assert_eq!(outcome(&bench.case()), Outcome::NotProven, "not without a limit");
    bench.answer("prove.stand", "").until("handover.done", &[]);
    assert_eq!(outcome(&bench.case()), Outcome::Proven);
}

#[test]
fn within_its_limit_a_latch_tripped_by_hand_is_remembered() {
    let ends = |opened: &str| {
        let mut bench = Bench::on(map("hatch"));
        bench.until("prepare.opened", &[]).answer("prepare.opened", opened);
        bench.until("total.within", &[("settle.wait", "skip no time"), ("total.reading", "22mA")]);
        said(&bench).contains("tripped by hand")
    };
    assert!(ends("driver door latch, bonnet") && !ends("boot trim"));
}

#[test]
fn a_wait_cut_short_or_a_cause_that_comes_back_proves_nothing() {
    let mut bench = Bench::on(map("hatch"));
    repaired(&mut bench);
    bench
        .answer("prove.provoke", "not-tried")
        .answer("prove.wait", "skip no time")
        .answer("prove.total", "22mA");
    bench.until("handover.done", &[]);
    assert_eq!(outcome(&bench.case()), Outcome::NotProven);
    assert!(said(&bench).contains("no settled total after the repair"), "{}", said(&bench));

    let mut back = Bench::on(map("hatch"));
    repaired(&mut back);
    back.answer("prove.provoke", "comes-back");
    back.wait_until_flat("prove.wait", "22mA");
    back.answer("prove.total", "22mA").until("handover.done", &[]);
    assert_eq!(outcome(&back.case()), Outcome::NotProven);
    assert!(verify::lacks(&back.case()).iter().any(|why| why.contains("came back")));
}

#[test]
fn a_hunt_is_handed_over_as_not_proven_and_says_so() {
    let mut bench = Bench::on(map("hatch"));
    bench.until(
        "handover.done",
        &[("settle.wait", "skip no time"), ("total.reading", "482mA"), ("trail.reading", "done")],
    );
    assert!(said(&bench).contains("not proven") && said(&bench).contains("nothing was repaired"));
    bench.answer("handover.done", "yes");
    assert!(bench.open().expect_err("the end").contains("not proven"));
}

#[test]
fn each_class_of_vehicle_has_its_own_cautions() {
    let cautions = |name: &str| {
        let mut bench = Bench::on(map(name));
        bench.until("caution.page", &[]);
        bench.refuse("caution.page", "");
        bench.answer("caution.page", "yes");
        assert!(!bench.open().expect("goes on").id.to_string().starts_with("caution."), "one page");
        bench.case()
    };
    for (name, caution) in [
        ("hybrid", QuestionId::CautionHighVoltage),
        ("tipper", QuestionId::CautionTwoBatteries),
        ("motorcycle", QuestionId::CautionMotorcycle),
    ] {
        assert_eq!(cautions(name).answer(caution), Some("yes"), "{name}");
    }
}

/// An invented sailing boat and an invented caravan, a few lines each.
fn small(class: &str) -> String {
    format!(
        "format: fusetrail-map/1\ntitle: invented {class}\nclass: {class}\nsystem_v: 12\nfeeds:\n  - {{id: F1, from: battery, fuse: {{family: blade, rating_a: 10}}, loads: [{{name: cabin lamps, kind: lamp-interior}}]}}\n  - {{id: F2, from: battery, fuse: {{family: blade, rating_a: 5}}, loads: [{{name: water pump, kind: other}}]}}\n"
    )
}

#[test]
fn a_boat_is_hunted_with_its_own_cautions_sources_and_method() {
    let boat = small("boat");
    let mut bench = Bench::on(&boat);
    bench.until("prepare.opened", &[("battery.volts", "12.7")]);
    let case = bench.case();
    for caution in
        [QuestionId::CautionVapour, QuestionId::CautionSeveralSources, QuestionId::CautionGasAndMains]
    {
        assert_eq!(case.answer(caution), Some("yes"), "{caution:?}");
    }
    assert_eq!(case.answer(QuestionId::CautionMoving), None);
    let text = said(&bench);
    assert!(text.contains("bilge") && !text.contains("window open"), "{text}");
    bench.until("hook-up.method", &[]);
    assert!(said(&bench).contains("can't show 1.0 mA"), "{}", said(&bench));
}

#[test]
fn a_caravan_has_no_default_limit_but_something_to_hold_one_against() {
    let caravan = small("caravan");
    let mut bench = Bench::on(&caravan);
    bench.until("charging.known", &[("battery.volts", "12.7"), ("battery.test", "good")]);
    bench.answer("charging.known", "measure");
    assert!(bench.open().expect("asked").prompt.contains("house battery"));
    bench.until("prepare.opened", &[("charging.volts", "13.9")]);
    assert!(said(&bench).contains("one at a time"), "{}", said(&bench));
    bench.until(
        "total.limit",
        &[("settle.wait", "skip no time"), ("total.reading", "30mA"), ("total.volts", "12.7")],
    );
    assert!(said(&bench).contains("it stands 30 d at"), "{}", said(&bench));
}

#[test]
fn a_charging_side_that_does_not_charge_may_be_seen_to_first() {
    let low = [("battery.volts", "12.4"), ("charging.known", "measure"), ("charging.volts", "11.9")];
    let mut bench = Bench::on(map("hatch"));
    bench.until("charging.gate", &low);
    assert!(said(&bench).contains("doesn't charge as it should"), "{}", said(&bench));
    bench.answer("charging.gate", "stop");
    assert!(bench.open().expect_err("stopped").contains("the charging comes first"));
    bench.wait(60);
    bench
        .answer("charging.again", "yes")
        .answer("charging.done", "new regulator")
        .answer("charging.known", "measure")
        .answer("charging.volts", "14.2");
    bench.until("prepare.opened", &[]);

    let mut on = Bench::on(map("hatch"));
    on.until("charging.gate", &low).answer("charging.gate", "go-on");
    assert_eq!(on.open().expect("goes on").id.to_string(), "prepare.opened");
}

#[test]
fn a_tap_off_one_of_two_batteries_is_said() {
    let mut bench = Bench::on(map("tipper"));
    let answers = [
        ("battery.volts", "25.2"),
        ("charging.known", "measure"),
        ("charging.volts", "28.2"),
        ("charging.first", "14.1"),
        ("charging.equaliser", "tap"),
    ];
    bench.until("prepare.opened", &answers);
    assert!(said(&bench).contains("tap off one battery, no equaliser"), "{}", said(&bench));
}

#[test]
fn what_a_tap_takes_is_told_from_the_totals_at_both_ends_of_the_pair() {
    let mut bench = Bench::on(map("tipper"));
    let answers = [
        ("battery.volts", "25.2"),
        ("charging.known", "measure"),
        ("charging.volts", "28.2"),
        ("charging.first", "13.7"),
        ("charging.equaliser", "tap"),
        ("settle.wait", "skip no time"),
        ("total.reading", "180 mA"),
        ("battery.rating", "170 Ah"),
    ];
    bench.until("prepare.opened", &answers);
    assert!(said(&bench).contains("0.80 V apart while charging"), "{}", said(&bench));
    bench.until("hook-up.method", &answers);
    assert!(said(&bench).contains("lower one's minus post"), "{}", said(&bench));
    bench.until("total.tap", &answers);
    let told = bench.says("total.tap", "80 mA");
    assert!(told.contains("2.4 Ah a day") && told.contains("about 8 days"), "{told}");
    assert!(bench.says("total.tap", "180 mA").contains("nothing is tapped"));
    bench.answer("total.tap", "80 mA");
    assert_eq!(bench.open().expect("goes on").id.to_string(), "total.volts");
}

#[test]
fn a_limit_that_nobody_knows_is_an_answer_and_costs_the_verdict() {
    let mut bench = Bench::on(map("tipper"));
    bench.until(
        "total.limit",
        &[("settle.wait", "skip no time"), ("total.reading", "300 mA"), ("total.volts", "25.2")],
    );
    bench.refuse("total.limit", "something");
    assert!(bench.says("total.limit", "don't know").contains("no verdict"));
    bench.answer("total.limit", "don't know");
    assert!(bench.analysis().limit.is_none() && bench.analysis().verdict.is_none());
    assert!(bench.open().is_ok_and(|question| question.id.to_string() != "total.limit"), "the hunt goes on");
}

#[test]
fn where_no_limit_is_published_enter_takes_a_fortnight_and_a_time_is_an_answer_to_the_limit() {
    let settled = [("settle.wait", "skip no time"), ("total.reading", "300 mA"), ("total.volts", "25.2")];
    let mut enter = Bench::on(map("tipper"));
    enter.until("total.limit", &settled);
    enter.answer("total.limit", "");
    assert_eq!(enter.open().expect("goes on").id.to_string(), "trail.reading");
    assert!(enter.case().limit.as_ref().is_some_and(|limit| limit.source.contains("14 days wanted")));
    let of = |bench: &Bench| bench.case().limit.clone().expect("a limit");
    let mut typed = Bench::on(map("tipper"));
    typed.until("total.limit", &settled).answer("total.limit", "14 days");
    assert!(of(&typed).source.contains("14 days wanted"), "{}", of(&typed).source);
}

/// Flat after a day on 60 Ah is half an ampere at least; what is settled is 20 mA.
#[test]
fn a_vehicle_flat_sooner_than_its_draw_can_make_it_is_less_likely_sound() {
    let map = builtin::MAPS.iter().find(|map| map.name == "hatch").expect("built in");
    let away = |stand: &str| {
        let mut bench = Bench::on(map.text);
        bench.until("total.reading", &[("interview.stand", stand), ("battery.volts", "12.7")]);
        bench.enter("total 20mA");
        let ranking = bench.analysis().ranking().clone();
        ranking.not_present_now / ranking.nothing_wrong
    };
    let (soon, late) = (away("1 day"), away("60 days"));
    assert!(soon > 5.0 * late, "{soon} {late}");
}
