//! The cautions in words. They never replace the vehicle maker's service information, local codes or licensed practice.

use super::wording::wordings;
use crate::log::question_id::QuestionId;

wordings! {
    CautionPage | CautionBattery | CautionServiceInformation | CautionMoving | CautionRestraints | CautionHighVoltage
        | CautionTwoBatteries | CautionVapour | CautionSeveralSources | CautionMotorcycle | CautionGasAndMains
        | CautionPull | CautionRecorder, "Read and understood?",
        "Type yes once you have read them. They are shown once in a hunt, and the record keeps your yes.";
}

/// Something else than yes.
pub const TYPE_YES: &str = "Read them, then type yes. Or type quit.";

/// What stands above a page of cautions.
pub fn heading(id: QuestionId) -> &'static str {
    match id {
        QuestionId::CautionPull => "Caution: before a fuse or plug comes out",
        _ => "Caution: before you touch the vehicle",
    }
}

/// Returns what a caution says.
pub fn text(id: QuestionId) -> &'static str {
    match id {
        QuestionId::CautionBattery => {
            "Battery gas and acid: eye protection, no sparks, no jewellery. Negative off first, on last. Charger off before its clips move. Never charge a frozen battery."
        }
        QuestionId::CautionServiceInformation => {
            "The maker's service information comes first: battery and fuses may have to stay. Radio, windows, steering may need setting again."
        }
        QuestionId::CautionMoving => {
            "Wheels chocked, in Park or out of gear. Fans and tailgates can start by themselves: hands off."
        }
        QuestionId::CautionRestraints => {
            "Airbags and belts (yellow plugs): never pull or probe their fuses or plugs."
        }
        QuestionId::CautionHighVoltage => {
            "High voltage: leave orange cables and the service plug alone. The vehicle can start by itself: guard the start button, keep the key away."
        }
        QuestionId::CautionTwoBatteries => {
            "24 V from two batteries: a short across one of them welds. Measure each one by itself."
        }
        QuestionId::CautionVapour => {
            "Petrol vapour gathers low in a boat: blow the bilge out and sniff before you switch or probe. Again after each break. No sparks."
        }
        QuestionId::CautionSeveralSources => {
            "Solar, charger, towing vehicle or a second battery can feed it: every source off. A cable off at one battery can be live from the other."
        }
        QuestionId::CautionMotorcycle => {
            "On its stand, level, in neutral, exhaust cold. With a meter in series the key stays out: ignition or starter would burn it."
        }
        QuestionId::CautionGasAndMains => {
            "Gas, mains and shore supply are for licensed trades. Shut the gas, unplug the shore supply. Leave the fuses of gas alarms alone."
        }
        QuestionId::CautionPull => {
            "One clean motion, never twice: a second touch wakes it. Never one of airbags or belts. Brake, steering and fuel fuses are back before it moves."
        }
        QuestionId::CautionRecorder => {
            "A tachograph records each interruption of its supply (Regulation (EU) 2016/799, Annex I C, 3.9.8). Insert a workshop card first, or leave this fuse in and note why."
        }
        _ => "",
    }
}
