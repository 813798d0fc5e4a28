//! Lights: power, photons, clock.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Dim, Given, Source};
use serde::Serialize;

use crate::crop::Crop;

pub(crate) const LIGHT: Section = Section {
    key: "light",
    title: "Lights",
    help: "What the lights draw, what reaches the canopy, and when.",
    repeat: Repeat::Optional,
    fields: &[
        Field::new(
            "power",
            Kind::quantity(Dim::Power, 0.0, 1e7),
            Need::Required,
            "Electrical power of all lights and drivers, full on.",
        ),
        Field::new(
            "ppfd",
            Kind::quantity(Dim::PhotonFlux, 0.0, 3000.0),
            Need::Optional,
            "Photon flux at the canopy; left out: from power, efficacy and canopy.",
        ),
        Field::new(
            "efficacy",
            Kind::quantity(Dim::PhotonEfficacy, 0.3, 5.0),
            Need::default(
                "2.5 umol/J",
                Source::assumed("a mid-range LED luminaire; read the nameplate"),
            ),
            "Photons per joule.",
        ),
        Field::new(
            "reaching_canopy",
            Kind::quantity(Dim::Fraction, 0.1, 1.0),
            Need::default("90 %", Source::assumed("losses to walls and aisles")),
            "Share of the photons that reach the canopy; counts only where ppfd is left out.",
        ),
        Field::new(
            "light_energy",
            Kind::quantity(Dim::PhotonEnergy, 0.10, 0.35),
            Need::default(
                "0.20 J/umol",
                Source::published(
                    "Graamans et al. 2017, Plant factories; crop transpiration and energy balance, Agricultural Systems 153",
                    "light of its table 2 per photon, read second hand",
                ),
            ),
            "Energy that the canopy absorbs per photon.",
        ),
        Field::new(
            "on",
            Kind::Clock,
            Need::default(
                "06:00",
                Source::assumed("only the clock on the curves depends on it"),
            ),
            "When the lights come on.",
        ),
        Field::new(
            "photoperiod",
            Kind::quantity(Dim::Duration, 0.0, 86_400.0),
            Need::Optional,
            "Hours of light a day; left out: the crop's.",
        ),
        Field::new(
            "ramp",
            Kind::quantity(Dim::Duration, 0.0, 7200.0),
            Need::default(
                "0 min",
                Source::assumed("lights switch at once: the hardest case"),
            ),
            "Time to come on and to go out, inside the photoperiod.",
        ),
        Field::new(
            "heat_in_room",
            Kind::quantity(Dim::Fraction, 0.0, 1.0),
            Need::default(
                "100 %",
                Source::assumed("lamps and drivers hang in the room"),
            ),
            "Share of the electrical power that ends up in the room.",
        ),
        Field::new(
            "mounting",
            Kind::quantity(Dim::Length, 0.0, 30.0),
            Need::Optional,
            "Height of the lights above the floor.",
        ),
    ],
};

/// The lights of the room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Light {
    /// Electrical power, full on \[W\].
    pub power_w: Given<f64>,
    /// Photon flux at the canopy, full on \[µmol/(m² s)\].
    pub ppfd_umol_per_m2_s: Given<f64>,
    /// Photons per joule \[µmol/J\].
    pub efficacy_umol_per_j: Given<f64>,
    /// Energy that the canopy absorbs per photon \[J/µmol\].
    pub light_energy_j_per_umol: Given<f64>,
    /// Second of day when the lights come on.
    pub on_s: Given<u32>,
    /// Light a day \[s\].
    pub photoperiod_s: Given<f64>,
    /// Time to come on and to go out, inside the photoperiod \[s\].
    pub ramp_s: Given<f64>,
    /// Share of the power that ends up in the room.
    pub heat_in_room: Given<f64>,
    /// Height of the lights \[m\].
    pub mounting_m: Option<Given<f64>>,
}

impl Light {
    pub(crate) fn new(e: &Entry, crop: Option<&Crop>) -> Self {
        const TWELVE_HOURS: Source = Source::assumed("twelve hours, where no crop says otherwise");
        let power_w = e.need_value("power");
        let efficacy_umol_per_j = e.need_value("efficacy");
        let photoperiod_s = e.value("photoperiod").unwrap_or_else(|| match crop {
            Some(crop) => crop.class().photoperiod_s.clone(),
            None => Given::assumed(43_200.0, TWELVE_HOURS),
        });
        let ppfd = e.value("ppfd").unwrap_or_else(|| {
            let photons = power_w.value * efficacy_umol_per_j.value;
            ppfd_from_power(photons * e.need_value("reaching_canopy").value, crop)
        });
        Self {
            ppfd_umol_per_m2_s: ppfd,
            power_w,
            efficacy_umol_per_j,
            light_energy_j_per_umol: e.need_value("light_energy"),
            on_s: e.need_clock("on"),
            photoperiod_s,
            ramp_s: e.need_value("ramp"),
            heat_in_room: e.need_value("heat_in_room"),
            mounting_m: e.value("mounting"),
        }
    }

    /// Seconds since the lights came on, 0 to a day.
    fn since_on_s(&self, second_of_day: f64) -> f64 {
        (second_of_day - f64::from(self.on_s.value)).rem_euclid(86_400.0)
    }

    /// Whether the lights are on (or ramping) at this second after midnight.
    pub fn on_at(&self, second_of_day: f64) -> bool {
        self.since_on_s(second_of_day) < self.photoperiod_s.value
    }

    /// Output as a share of full, 0 to 1, with the ramps.
    pub fn share_at(&self, second_of_day: f64) -> f64 {
        let since_on_s = self.since_on_s(second_of_day);
        let until_off_s = self.photoperiod_s.value - since_on_s;
        let always_on = self.photoperiod_s.value >= 86_400.0;
        match (until_off_s > 0.0, self.ramp_s.value > 0.0) {
            (false, _) => 0.0,
            (true, true) if !always_on => {
                (since_on_s.min(until_off_s) / self.ramp_s.value).min(1.0)
            }
            (true, _) => 1.0,
        }
    }

    /// Seconds since the lights went out, or `None` while they are on.
    pub fn since_off_s(&self, second_of_day: f64) -> Option<f64> {
        let since = self.since_on_s(second_of_day) - self.photoperiod_s.value;
        (since >= 0.0).then_some(since)
    }
}

/// Photon flux from the photons that reach the canopy, or of the crop class
/// where there is no canopy to divide by.
fn ppfd_from_power(photons_umol_per_s: f64, crop: Option<&Crop>) -> Given<f64> {
    const DIVIDED: Source =
        Source::assumed("light power times efficacy and reaching share, over the canopy");
    const NO_CROP: Source = Source::assumed("no canopy to take up light");
    match crop {
        Some(crop) if crop.canopy_m2.value > 0.0 => {
            Given::assumed(photons_umol_per_s / crop.canopy_m2.value, DIVIDED)
        }
        _ => Given::assumed(0.0, NO_CROP),
    }
}
