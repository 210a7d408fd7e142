//! The questions about the charging side in words. High voltage is left to trained people.

use super::always::AGAIN;
use super::wording::wordings;
use crate::base::quantity::Ampere;
use crate::base::quantity::show::bare;
use crate::circuit::map::VehicleClass;

wordings! {
    ChargingKnown, "Is the charging good?",
        "A plain regulator gives 13.7 to 14.6 V at 20 °C. Smart charging may show 12.2 to 15.5 V and be right. Read the rested volts before the engine runs.",
        "good" => "", "measure" => "now", "later" => "the record says so";
    ChargingReady, "Is the vehicle really ready?",
        "Ready lamp lit, in Park, no fault codes of the high-voltage system. Accessory alone does not switch the converter on. It can move by itself: wheels chocked, nobody in front of it.",
        "yes" => "lamp lit, in Park, no codes", "no" => "it won't get ready", "unknown" => "";
    ChargingStud ["V"], "Volts at the converter's 12 V output stud, vehicle ready",
        "Meter on DC volts, from the stud or the first point of its 12 V cable to the battery's minus post. Good: a volt or more above the battery at rest. Beware: never an orange cable. Good here and low at the posts: cable, link or earth.";
    ChargingTraction ["V"], "Volts of the traction battery, from the scan tool",
        "Scan tool only, never with a meter. Good: the range that its service information names. Beware: it can move by itself. It shows whether the converter takes in about what it gives out.";
    ChargingVolts ["V"], "Battery volts, engine at a fast idle",
        "Parked safe, exhaust gas outside.";
    ChargingKind, "Does the engine computer set the charging volts?",
        "A sensor on the battery's negative post, or one wire to the alternator's plug, tells it. Then 12.2 to 15.5 V may be right.",
        "smart" => "it does", "plain" => "a plain regulator", "unknown" => "";
    ChargingFirst ["V"], "The same for the first battery alone",
        "Its own negative post to its own positive post, all else as before. Good: half of what both show, within 0.2 V. Beware: a 12 V tap pulls one down while the sum looks good.";
    ChargingEqualiser, "How is 12 V made on this vehicle?",
        "An equaliser keeps a tapped pair level. A converter takes from both. A tap without either flattens one battery.",
        "converter" => "24 to 12 V", "equaliser" => "a tap with one",
        "tap" => "off one battery", "none" => "nothing runs on 12 V", "unknown" => "";
    ChargingConverter ["A"], "Clamp on the converter's 12 V output, vehicle ready",
        "Clamp zeroed, around the cable from the converter to the 12 V battery or its fuse box. Good: it gives current. Beware: never clamp an orange cable.";
    ChargingInput ["A"], "Converter input current, from the scan tool",
        "Read it from the maker's scan procedure only. Good: about as many watts in as out. Beware: nothing is clamped, opened or probed on the high-voltage side.";
    ChargingRipple ["mV"], "Ripple at the battery, meter on AC volts",
        "Meter on AC volts at the posts, engine running, headlamps on. Good: under 90 mV. Printed limits are 90, 100 and 300 mV. Beware: more means diodes. Hands off belts and fans.";
    ChargingCables ["V"], "Larger drop of the two charging cables",
        "Charging post to battery plus, then case to battery minus. Engine running, headlamps and blower on. Good: up to 0.2 V (common practice). Beware: belts, fans. The post is live.";
    ChargingLeak ["mA"], "Clamp on the cable to the alternator or regulator, key off",
        "Clamp zeroed, around the cable to the alternator or regulator, key off. Good: about 2 mA or less. Beware: its post is live. Skip it if you can't reach it: it can be clamped later.";
    ChargingPost ["V"], "Volts at the charging post against its own case, running as before",
        "One probe on the post, one on its own case. Good: as high as at the battery, or a little more. Beware: the post is live with the engine off, too: no spanner, no ring. Low there too: belt, regulator or alternator.";
    ChargingEarth ["V"], "Drop of the earth side alone: its case to battery minus",
        "Case to battery minus, running, the same things switched on. Good: half of what both sides lose together, or less. Beware: belts, fans. What is not lost here is lost in the plus cable.";
    ChargingBelt, "Does the belt hold?",
        "Engine off and cold, key out: tight, dry, not shiny, and it turns the pulley when pulled by hand.",
        "holds" => "tight and dry", "slips" => "slips, loose or glazed", "unknown" => "";
    ChargingDone, "What was done to the charging side?",
        "In words, for the record. Then it is measured again.";
    ChargingGate, "See to the charging first?",
        "Without charging it goes flat without any draw, and both may be wrong. You can measure the draw all the same.",
        "go-on" => "with the draw; the record says so", "stop" => "here; go on with this log later";
    ChargingAgain, "Has the charging been seen to?",
        AGAIN,
        "yes" => "judge it again", "no" => "not yet";
}

/// Returns prompt and help of the volts while it is charged, where they are other than on a car.
pub fn running(class: VehicleClass) -> Option<(&'static str, &'static str)> {
    Some(match class {
        VehicleClass::Car => return None,
        VehicleClass::Electrified => {
            ("Battery volts with the vehicle made ready", "In Park, wheels chocked, nobody in front.")
        }
        VehicleClass::Motorcycle => (
            "Battery volts with the engine at 4000 to 5000 a minute",
            "Exhaust gas outside, clear of chain and fan, on its stand, in neutral. At idle a stator gives little.",
        ),
        VehicleClass::Boat => (
            "Battery volts with the engine running, or its charger on",
            "Blow the bilge out first: petrol vapour. Read at the battery posts only. Mains is for licensed trades.",
        ),
        VehicleClass::Caravan => (
            "Volts of the house battery while its charger, panel or split relay charges it",
            "Each source by itself: towing vehicle, panel, mains charger. Read at the battery posts only.",
        ),
        VehicleClass::Truck => (
            "Volts of both batteries with the engine running at a fast idle",
            "Parked safe, exhaust gas outside. Each battery by itself comes next.",
        ),
    })
}

/// Says, behind the help, what a converter usually takes.
pub fn usual((low, high, source): (Ampere, Ampere, &str)) -> String {
    format!(" Usual are {} to {} ({source}).", bare(low, 2), bare(high, 2))
}

/// An empty answer to what was done.
pub const SAY_WHAT: &str = "Say in words what was done to it.";

/// Says that the hunt stops for this.
pub fn comes_first(why: &str) -> String {
    format!("the charging comes first: {why}")
}

/// What restarts the sleep clock.
pub const ENGINE_RUN: &str = "engine run, or vehicle made ready";
