//! The questions of the hunt by their ids, as log, answers file and record have them. An id never changes.
//! Leaves to others: how each is put (`text`), when it is due (`hunt/stage`).

use std::fmt;

macro_rules! question_ids {
    ($($variant:ident $name:literal,)*) => {
        /// A question of the hunt. Its name begins with the name of its stage.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum QuestionId {
            $(#[doc = concat!("`", $name, "`.")] $variant,)*
        }

        impl QuestionId {
            /// Every question with its name. What begins with no other name is unknown: its name is empty.
            pub(crate) const NAMES: &[(Self, &str)] = &[$((Self::$variant, $name)),*];

            /// Returns the id as log and answers file write it.
            pub fn name(self) -> &'static str {
                match self {
                    $(Self::$variant => $name,)*
                }
            }
        }
    };
}

question_ids! {
    InterviewClass "interview.class",
    InterviewVolts "interview.volts",
    InterviewBatteries "interview.batteries",
    InterviewVehicle "interview.vehicle",
    InterviewComplaint "interview.complaint",
    InterviewStand "interview.stand",
    InterviewPattern "interview.pattern",
    InterviewYear "interview.year",
    InterviewRecent "interview.recent",
    InterviewPlugged "interview.plugged",
    CautionBattery "caution.battery",
    CautionServiceInformation "caution.service-information",
    CautionMoving "caution.moving",
    CautionRestraints "caution.restraints",
    CautionHighVoltage "caution.high-voltage",
    CautionTwoBatteries "caution.two-batteries",
    CautionVapour "caution.vapour",
    CautionSeveralSources "caution.several-sources",
    CautionMotorcycle "caution.motorcycle",
    CautionGasAndMains "caution.gas-and-mains",
    CautionPull "caution.pull",
    CautionRecorder "caution.recorder",
    CautionPage "caution.page",
    FoundReach "found.reach",
    FoundTotal "found.total",
    FoundWithout "found.without",
    FoundVolts "found.volts",
    BatteryType "battery.type",
    BatteryVolts "battery.volts",
    BatteryTest "battery.test",
    BatteryFirst "battery.first",
    BatteryRating "battery.rating",
    BatteryMade "battery.made",
    BatteryRest "battery.rest",
    BatteryTemperature "battery.temperature",
    BatteryPosts "battery.posts",
    BatteryMeasured "battery.measured",
    BatteryLoad "battery.load",
    BatteryLeak "battery.leak",
    BatteryClamps "battery.clamps",
    BatteryCharged "battery.charged",
    BatteryCapacity "battery.capacity",
    BatterySerial "battery.serial",
    BatteryFitted "battery.fitted",
    BatteryRegistered "battery.registered",
    BatteryGate "battery.gate",
    BatteryAgain "battery.again",
    ChargingKnown "charging.known",
    ChargingReady "charging.ready",
    ChargingVolts "charging.volts",
    ChargingKind "charging.kind",
    ChargingFirst "charging.first",
    ChargingEqualiser "charging.equaliser",
    ChargingConverter "charging.converter",
    ChargingStud "charging.stud",
    ChargingInput "charging.input",
    ChargingTraction "charging.traction",
    ChargingRipple "charging.ripple",
    ChargingCables "charging.cables",
    ChargingLeak "charging.leak",
    ChargingPost "charging.post",
    ChargingEarth "charging.earth",
    ChargingBelt "charging.belt",
    ChargingDone "charging.done",
    ChargingGate "charging.gate",
    ChargingAgain "charging.again",
    PrepareOpened "prepare.opened",
    PrepareDone "prepare.done",
    HookUpMethod "hook-up.method",
    HookUpClamp "hook-up.clamp",
    HookUpTemperature "hook-up.temperature",
    HookUpZero "hook-up.zero",
    HookUpLinks "hook-up.links",
    HookUpLid "hook-up.lid",
    SettleWait "settle.wait",
    SettleTouched "settle.touched",
    TotalReading "total.reading",
    TotalTap "total.tap",
    TotalVolts "total.volts",
    TotalLimit "total.limit",
    TotalStand "total.stand",
    TotalWithin "total.within",
    UseTrips "use.trips",
    UseRoad "use.road",
    UseAgreed "use.agreed",
    UseVolts "use.volts",
    TrailReading "trail.reading",
    TrailVolts "trail.volts",
    NarrowReading "narrow.reading",
    RepairWhat "repair.what",
    RepairRefit "repair.refit",
    ProveProvoke "prove.provoke",
    ProveWait "prove.wait",
    ProveTotal "prove.total",
    ProveStand "prove.stand",
    ProveLog "prove.log",
    ProveRating "prove.rating",
    HandoverBack "handover.back",
    HandoverVehicle "handover.vehicle",
    HandoverDone "handover.done",
    Stage "stage",
    Unknown "",
}

impl QuestionId {
    /// Returns the name of the stage that it belongs to: what stands before the first dot.
    pub fn stage(self) -> &'static str {
        self.name().split('.').next().unwrap_or_default()
    }

    /// Returns the id with more behind its name.
    pub fn with(self, tail: impl Into<String>) -> QuestionKey {
        QuestionKey { head: self, tail: tail.into() }
    }
}

/// What a question or a stage is kept under: an id, and what may stand behind it: the name of a refitted fuse, a reading
/// that was passed over. Written and read again it is the same, byte for byte, also where the id is not known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuestionKey {
    /// The question.
    pub head: QuestionId,
    /// What stands behind its name; mostly nothing. The whole text, if the question is not known.
    pub tail: String,
}

impl QuestionKey {
    /// Reads what log or answers file have.
    pub fn read(text: &str) -> Self {
        let tail_of = |name: &str| {
            text.strip_prefix(name).filter(|tail| tail.is_empty() || tail.starts_with(['.', ' ']))
        };
        let known = QuestionId::NAMES.iter().find_map(|(id, name)| Some((*id, tail_of(name)?)));
        let (head, tail) = known.unwrap_or((QuestionId::Unknown, text));
        head.with(tail)
    }

    /// Returns the question, if nothing stands behind its name.
    pub fn plain(&self) -> Option<QuestionId> {
        Some(self.head).filter(|_| self.tail.is_empty())
    }

    /// Returns the same with more behind it.
    #[must_use]
    pub fn and(&self, more: &str) -> Self {
        self.head.with(format!("{}{more}", self.tail))
    }
}

impl From<QuestionId> for QuestionKey {
    fn from(id: QuestionId) -> Self {
        id.with("")
    }
}

impl fmt::Display for QuestionKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.head.name(), self.tail)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_id_is_read_as_itself_and_written_as_it_was() {
        for (id, name) in QuestionId::NAMES {
            assert_eq!(QuestionKey::read(name), QuestionKey::from(*id));
        }
        for (text, head, tail) in [
            ("hook-up.lid.3", QuestionId::HookUpLid, ".3"),
            ("repair.refit.C16/a b", QuestionId::RepairRefit, ".C16/a b"),
            ("trail.reading drop F12", QuestionId::TrailReading, " drop F12"),
            ("battery.volts.sure", QuestionId::BatteryVolts, ".sure"),
            ("stage charging", QuestionId::Stage, " charging"),
            ("battery.voltsage", QuestionId::Unknown, "battery.voltsage"),
            ("caution.acid", QuestionId::Unknown, "caution.acid"),
        ] {
            let key = QuestionKey::read(text);
            assert_eq!((key.head, key.tail.as_str(), key.to_string().as_str()), (head, tail, text));
        }
    }
}
