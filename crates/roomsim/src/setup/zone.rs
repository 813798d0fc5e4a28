//! The air of the room and what it stands in.

use crate::timetable::Supply;

/// One well-mixed zone.
#[derive(Clone, Debug)]
pub struct Zone {
    /// Air volume \[m³\].
    pub volume_m3: f64,
    /// Barometric pressure \[Pa\].
    pub pressure_pa: f64,
    /// Heat conductance to outdoor air, Σ U·A \[W/K\].
    pub outdoor_conductance_w_per_k: f64,
    /// Heat conductance to the adjacent space, Σ U·A \[W/K\].
    pub adjacent_conductance_w_per_k: f64,
    /// Heat capacity of what follows the air within minutes, leaves, benches
    /// and other thin things \[J/K\]; the air's own comes on top.
    pub fast_capacity_j_per_k: f64,
    /// Structure and contents that follow the air slowly.
    pub mass: Option<ThermalMass>,
    /// What takes up and gives back water.
    pub moisture: MoistureStorage,
    /// Water that the zone holds over water that its air holds, 1 or more.
    ///
    /// The simplest stand-in for buffering; 1 beside a [`MoistureStorage`].
    pub air_moisture_multiplier: f64,
    /// Air that comes and goes, stream by stream.
    pub exchanges: Vec<Exchange>,
    /// The surface on which dew would form first.
    pub coldest_surface: Option<ColdSurface>,
}

/// Heat store with one temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThermalMass {
    /// Heat capacity \[J/K\].
    pub capacity_j_per_k: f64,
    /// Conductance between air and mass \[W/K\].
    pub conductance_w_per_k: f64,
}

/// What in the room takes up water when the air is humid and gives it back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MoistureStorage {
    /// Nothing.
    None,
    /// One layer at one relative humidity.
    Layer {
        /// Water held per unit of relative humidity (0 to 1) \[kg\].
        capacity_kg: f64,
        /// Vapour conductance between air and layer \[kg/(s Pa)\].
        conductance_kg_per_s_pa: f64,
    },
    /// A material resolved in depth, sealed at its far side.
    Wall {
        /// Exposed area \[m²\].
        area_m2: f64,
        /// Thickness \[m\].
        thickness_m: f64,
        /// Vapour permeability δ \[kg/(m s Pa)\].
        permeability_kg_per_m_s_pa: f64,
        /// Water held per volume and unit of relative humidity ξ \[kg/m³\].
        capacity_kg_per_m3: f64,
        /// Surface coefficient β \[kg/(m² s Pa)\].
        surface_kg_per_m2_s_pa: f64,
        /// Cells, 2 to 64; thin at the surface and growing with depth.
        cells: usize,
    },
}

/// The air on the other side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Boundary {
    /// Outdoor air of the timetable.
    Outdoor,
    /// Adjacent space of the timetable.
    Adjacent,
}

/// Air that leaks or is blown in; as much dry air leaves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exchange {
    /// Volume flow at the state of the boundary air \[m³/s\].
    pub flow_m3_per_s: f64,
    /// Where it comes from.
    pub with: Boundary,
    /// Whether a power cut stops it: a fan's does, a leak goes on.
    pub supply: Supply,
}

/// Beyond the coldest surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ColdSurfaceBoundary {
    /// Outdoor air of the timetable.
    Outdoor,
    /// Adjacent space of the timetable.
    Adjacent,
    /// A constant temperature \[°C\]: a chilled pipe, the ground.
    At(f64),
}

/// The coldest inner surface: T_si = T_i − U·R_si·(T_i − T_e).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColdSurface {
    /// Thermal transmittance there \[W/(m² K)\].
    pub transmittance_w_per_m2_k: f64,
    /// Inner surface resistance \[m² K/W\].
    pub surface_resistance_m2_k_per_w: f64,
    /// What is beyond.
    pub boundary: ColdSurfaceBoundary,
    /// Area on which water may condense \[m²\]; 0 watches the margin only.
    pub area_m2: f64,
}
