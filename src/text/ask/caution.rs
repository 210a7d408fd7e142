//! The cautions in words. They never replace the vehicle maker's service information, local codes or licensed practice.

use super::wording::wordings;
use crate::log::question_id::QuestionId;

wordings! {
    CautionPage | CautionBattery | CautionServiceInformation | CautionMoving | CautionRestraints | CautionHighVoltage
        | CautionTwoBatteries | CautionVapour | CautionSeveralSources | CautionMotorcycle | CautionGasAndMains
        | CautionPull | CautionRecorder, "Understood?",
        "The record keeps that this caution was shown and acknowledged.";
}

/// Something else than yes.
pub const TYPE_YES: &str = "Type yes once it is understood, or quit.";

/// Returns what a caution says.
pub fn text(id: QuestionId) -> &'static str {
    match id {
        QuestionId::CautionBattery => {
            "Batteries give off explosive gas and hold acid: eye protection on, no sparks or flames, charger off before its clips move, jewellery off. Negative cable off first and on last. Never charge or jump a frozen battery."
        }
        QuestionId::CautionServiceInformation => {
            "The vehicle maker's service information comes first. Some makers forbid taking the battery, cables or fuses off at all; radio codes, window and steering learning and tracker alerts may follow a loss of supply."
        }
        QuestionId::CautionMoving => {
            "Parked safe, wheels chocked, out of gear or in Park. Fans, tailgates, roofs and doors can move by themselves when something wakes: hands off them, also when you trip a latch by hand."
        }
        QuestionId::CautionRestraints => {
            "Airbags and belt tensioners (yellow plugs): never pull or probe their fuses, never measure on their plugs. This tool proposes none. Work on them is for trained people with the supply off for the maker's waiting time."
        }
        QuestionId::CautionHighVoltage => {
            "This vehicle has high voltage: orange cables, the service plug and what hangs on them are for trained people with rated gloves and meters only. This tool stops there. The vehicle can start by itself: cover or guard the start button and keep the key away."
        }
        QuestionId::CautionTwoBatteries => {
            "24 V: two batteries in series. A short between them or across either is a welding current. Measure each battery by itself, and look for loads tapped off one of them."
        }
        QuestionId::CautionVapour => {
            "Petrol vapour and battery gas gather low in a boat: blow the bilge out and sniff before anything is switched, probed or unplugged, and again after each pause. No sparks."
        }
        QuestionId::CautionSeveralSources => {
            "Solar, a towing vehicle, a mains charger or a second battery may feed it: a cable that is off at one battery can be live from the other. Every source off, each battery by itself."
        }
        QuestionId::CautionMotorcycle => {
            "On its stand on level ground, in neutral, exhaust cold. A meter in series on its milliampere range must not carry ignition or starter: the key stays out while it is in."
        }
        QuestionId::CautionGasAndMains => {
            "Gas, mains and shore supply are for licensed trades: shut the gas, unplug the shore supply, leave their alarms' fuses alone."
        }
        QuestionId::CautionPull => {
            "Pull a fuse in one clean motion, never twice: a second touch wakes the vehicle. Read after a minute. One that took the draw goes back when it is asked for, the others together at the end. Never pull restraint fuses. Brake, steering, fuel, airbag and gas-alarm fuses are back before the vehicle moves."
        }
        QuestionId::CautionRecorder => {
            "A tachograph records each interruption of its supply (Regulation (EU) 2016/799, Annex I C, 3.9.8). Insert a workshop card first, or leave this fuse in and note why."
        }
        _ => "",
    }
}
