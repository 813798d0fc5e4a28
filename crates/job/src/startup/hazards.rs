//! What can hurt, and the usual cautions. Reminders, no safety plan: local
//! codes, the site's rules and the machine's instructions rule.

use quantity::Source;

/// A kind of danger.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HazardKind {
    /// A heavy thing.
    Lifting,
    /// Work above the floor.
    Height,
    /// Live parts.
    Electricity,
    /// A machine that starts by itself.
    StartsByItself,
    /// Fans.
    Rotating,
    /// What the building carries.
    Structure,
    /// Refrigerant.
    Refrigerant,
    /// Water on floors, near live parts; condensate.
    Water,
}

/// A danger with its caution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hazard {
    /// Which.
    pub kind: HazardKind,
    /// What to mind.
    pub caution: &'static str,
}

/// What the cautions rest on.
pub const SOURCE: Source = Source::memory(
    "29 CFR 1910 and 1926; NFPA 70E; EPA 40 CFR 82 subpart F; NIOSH 94-110",
    "section names only; local codes and licensed practice rule",
);

pub(super) const LIFTING: Hazard = Hazard {
    kind: HazardKind::Lifting,
    caution: "Weigh it by its plate: what is more than one person may lift wants two, or a rated lift; nobody beneath, temporary support until every nut is locked.",
};
pub(super) const HEIGHT: Hazard = Hazard {
    kind: HazardKind::Height,
    caution: "Above the floor: a ladder or platform that is made for it, on firm ground, tools tied.",
};
pub(super) const ELECTRICITY: Hazard = Hazard {
    kind: HazardKind::Electricity,
    caution: "Live parts: a licensed electrician measures, with rated gloves, meter and leads; lock out and prove dead before anything is touched.",
};
pub(super) const STARTS: Hazard = Hazard {
    kind: HazardKind::StartsByItself,
    caution: "The unit starts by itself when its delay is over: hands out, panels on, or the disconnect locked.",
};
pub(super) const ROTATING: Hazard = Hazard {
    kind: HazardKind::Rotating,
    caution: "Fan: guards on, sleeves and hair away from the inlet.",
};
pub(super) const STRUCTURE: Hazard = Hazard {
    kind: HazardKind::Structure,
    caution: "What the building carries is for a licensed structural engineer; no hanging from sprinkler pipe, conduit or ceiling grid.",
};
pub(super) const WATER: Hazard = Hazard {
    kind: HazardKind::Water,
    caution: "Water: keep it off live parts, wipe what is spilt; condensate is no drinking water.",
};
pub(super) const REFRIGERANT: Hazard = Hazard {
    kind: HazardKind::Refrigerant,
    caution: "Do not open the refrigerant circuit: that is for a licensed technician; a mildly flammable refrigerant wants no flame or glowing lamp near a leak.",
};
