//! Why a setup cannot be run.

/// Why a setup cannot be run: which number, what it is, what is allowed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SetupError {
    /// A number outside its range, or not a number.
    #[error("{what} is {value}; {allowed} is allowed")]
    Number {
        /// What the number is.
        what: String,
        /// What was given.
        value: f64,
        /// What is allowed, in words.
        allowed: &'static str,
    },
    /// A step that does not divide a day.
    #[error("a step of {step_s} s does not divide a day into whole steps; 60 s does")]
    Step {
        /// The step \[s\].
        step_s: f64,
    },
    /// Start air above saturation.
    #[error(
        "air of {dry_bulb_c} °C cannot hold {humidity_ratio} kg/kg to start with; \
         it is saturated at {saturated} kg/kg"
    )]
    Supersaturated {
        /// Dry bulb \[°C\].
        dry_bulb_c: f64,
        /// Humidity ratio.
        humidity_ratio: f64,
        /// Most that the air can hold.
        saturated: f64,
    },
    /// A machine table made for another barometric pressure.
    #[error(
        "the table of {machine} holds at {table_pa} Pa and the room is at {room_pa} Pa; \
         compile it at the pressure of the room"
    )]
    Pressure {
        /// Which machine.
        machine: String,
        /// Pressure of the table \[Pa\].
        table_pa: f64,
        /// Pressure of the room \[Pa\].
        room_pa: f64,
    },
    /// An event names a machine that is not there.
    #[error("an event at {at_s} s names {machine}, and the room has {count}")]
    NoSuchMachine {
        /// When \[s\].
        at_s: f64,
        /// Which machine, counted from 0.
        machine: String,
        /// How many there are.
        count: usize,
    },
    /// Water on the floor of a room without a floor to wet.
    #[error("{what} wets the floor at {at_s} s, and the setup has no floor film")]
    NoFloor {
        /// When \[s\].
        at_s: f64,
        /// What wets it.
        what: &'static str,
    },
    /// Heating would work against cooling.
    #[error(
        "{what}: the heating setpoint {heating_c} °C is above the cooling setpoint {cooling_c} °C"
    )]
    Setpoints {
        /// Lights on or off, or transition.
        what: &'static str,
        /// Heating setpoint \[°C\].
        heating_c: f64,
        /// Cooling setpoint \[°C\].
        cooling_c: f64,
    },
}
