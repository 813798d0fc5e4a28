//! Ids of entries: what a reading in the record answers.

pub(in crate::startup) const CAME: &str = "came";
pub(in crate::startup) const UPRIGHT: &str = "upright";
pub(in crate::startup) const LAID: &str = "lay down";
pub(in crate::startup) const UNKNOWN: &str = "not known";
pub(in crate::startup) const STOOD: &str = "stood";

pub(in crate::startup) const PLATE_V: &str = "plate_volts";
pub(in crate::startup) const PLATE_MCA: &str = "plate_min_circuit";
pub(in crate::startup) const PLATE_MOCP: &str = "plate_max_protection";
pub(in crate::startup) const DEVICE: &str = "device";

pub(in crate::startup) const TILT_FRONT: &str = "low_at_front";
pub(in crate::startup) const TILT_LEFT: &str = "low_at_left";

pub(in crate::startup) const TRAP_DROP: &str = "trap_drop";
pub(in crate::startup) const TRAP_SEAL: &str = "trap_seal";
pub(in crate::startup) const POURED: &str = "poured";
pub(in crate::startup) const BUCKET: &str = "bucket";
pub(in crate::startup) const EMPTY_AFTER: &str = "empty_after";
pub(in crate::startup) const FALL: &str = "fall";

pub(in crate::startup) const VOLTS: [&str; 3] = ["volts_1", "volts_2", "volts_3"];
pub(in crate::startup) const AMPS: [&str; 3] = ["amps_1", "amps_2", "amps_3"];

pub(in crate::startup) const ROOM_SHOWS: &str = "room_shows";
pub(in crate::startup) const SET_TO: &str = "set_to";

pub(in crate::startup) const ROOM_T: &str = "room_dry_bulb";
pub(in crate::startup) const INLET_T: &str = "inlet_dry_bulb";
pub(in crate::startup) const INLET_RH: &str = "inlet_humidity";
pub(in crate::startup) const DISCHARGE_T: &str = "discharge_dry_bulb";
pub(in crate::startup) const DISCHARGE_RH: &str = "discharge_humidity";

pub(in crate::startup) const WATER: &str = "water";
pub(in crate::startup) const OVER: &str = "over";
pub(in crate::startup) const CYCLES: &str = "cycles";
pub(in crate::startup) const BACK_AFTER: &str = "back_after";
pub(in crate::startup) const APART: &str = "apart";

pub(in crate::startup) const JAR_T: &str = "jar_temperature";
pub(in crate::startup) const SETTLED: &str = "settled";
pub(in crate::startup) const OVER_NACL: &str = "over_nacl";
pub(in crate::startup) const OVER_MGCL2: &str = "over_mgcl2";
pub(in crate::startup) const DRY: &str = "dry";
pub(in crate::startup) const WET: &str = "wet";
pub(in crate::startup) const SENSOR_SHOWS: &str = "sensor_shows";
