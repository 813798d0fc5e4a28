//! Crop classes: what is taken where a survey is silent.
//!
//! Numbers with a published source name it; the others are chosen here and
//! say so. A class never decides anything that the room file says.

use quantity::{Band, Given, Source};
use serde::Serialize;

use crate::choice::choice;

choice! {
    /// Kind of crop.
    CropKind {
        LeafyGreens = "leafy greens", "lettuce, herbs, microgreens";
        Propagation = "propagation", "cuttings, seedlings, grafts";
        FruitingVine = "fruiting vine", "tomato, cucumber, pepper";
        TallFlowering = "tall flowering", "tall flowering crops under strong light";
        DryingRoom = "drying room", "harvested crop hung to dry";
    }
}

choice! {
    /// Stage of growth, for the default targets.
    Stage {
        Propagation = "propagation", "rooting cuttings, seedlings";
        Leafy = "leafy", "leaves for harvest";
        Vegetative = "vegetative", "growth before flowering";
        FlowerEarly = "flower early", "first half of flowering";
        FlowerLate = "flower late", "second half of flowering: the driest target";
        Fruiting = "fruiting", "fruit set and harvest";
        Drying = "drying", "hung after harvest";
    }
}

/// Default targets of a stage: lights-on and lights-off.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StageTargets {
    /// Dry bulb with lights on \[°C\].
    pub day_c: Band,
    /// Dry bulb with lights off \[°C\].
    pub night_c: Band,
    /// Relative humidity, both.
    pub rel_humidity: Band,
    /// VPD that a chosen pair of the two should keep to \[Pa\].
    pub vpd_pa: Band,
    /// What they rest on.
    pub source: Source,
}

/// What is taken of a kind of crop where the survey is silent.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CropClass {
    /// The kind.
    pub kind: CropKind,
    /// Stage that is taken: the one that is hardest on the plant.
    pub stage: Stage,
    /// Light a day \[s\].
    pub photoperiod_s: Given<f64>,
    /// Photon flux that such crops usually get \[µmol/(m² s)\].
    pub ppfd_umol_per_m2_s: Given<Band>,
    /// Leaf area per canopy area.
    pub lai: Given<Band>,
    /// Share of the light that the canopy intercepts.
    pub coverage: Given<Band>,
    /// Leaf to air resistance with circulation fans on \[s/m\].
    pub leaf_air_s_per_m: Given<Band>,
    /// Leaf resistance with lights off \[s/m\].
    pub night_resistance_s_per_m: Given<Band>,
    /// Leaf resistance with lights on, as a multiple of the published light
    /// response.
    pub day_resistance_factor: Given<Band>,
    /// Share of the water taken up that leaves as vapour.
    pub vapour_share: Given<f64>,
    /// Water a day per canopy area that is plausible, low and high
    /// \[kg/(m² day)\]; `None` where no source is known.
    pub plausible_kg_per_m2_day: Option<Given<Band>>,
}

const GRAAMANS: &str = "Graamans et al. 2017, Plant factories; crop transpiration and energy balance, Agricultural Systems 153, read second hand";
const MODEL_DAY: &str =
    "range of the big-leaf model of Graamans et al. 2017 over the usual light and night resistance";

const LEAF_AIR: Given<Band> = Given::assumed(
    Band::new(80.0, 100.0, 200.0),
    Source::published(
        GRAAMANS,
        "section 3.1.3: 100 s/m with fans on, 200 off; lower end chosen",
    ),
);
const NIGHT: Given<Band> = Given::assumed(
    Band::new(450.0, 1200.0, 2400.0),
    Source::assumed(
        "450 s/m: Graamans et al. 2017 at no light; 2400 s/m: Seginer 1984, rose; 1200 s/m chosen between, giving about 18 % of the day rate",
    ),
);
/// The light response was fitted to lettuce and agrees with its measured
/// water within the reading of a graph.
const LETTUCE: Given<Band> = Given::assumed(
    Band::new(0.9, 1.0, 1.1),
    Source::published(
        GRAAMANS,
        "figure 3: measured lettuce within about 5 %, read from a graph; spread doubled",
    ),
);
/// For other species the two published numbers that bracket it.
const OTHER_SPECIES: Given<Band> = Given::assumed(
    Band::new(0.75, 1.0, 1.4),
    Source::assumed(
        "low end: a sealed wheat chamber gave off 11 % more than the light response of lettuce (SAE 932172); high end: closing at 1000 ppm of carbon dioxide after Stanghellini 1987",
    ),
);
const VAPOUR: Given<f64> = Given::assumed(
    0.955,
    Source::published(
        "Ohyama et al. 2020, Agronomy 10:723 (lettuce, closed room: 4.0 % stays); Kozai 2013, Proc. Jpn Acad. B 89:447 (about 95 %)",
        "water use efficiency",
    ),
);
const VAPOUR_AS_LETTUCE: Given<f64> = Given::assumed(
    0.955,
    Source::assumed("as published for lettuce; no number for this crop is known to us"),
);

const fn hours(h: f64, source: Source) -> Given<f64> {
    Given::assumed(h * 3600.0, source)
}

const CLASSES: &[CropClass] = &[
    CropClass {
        kind: CropKind::LeafyGreens,
        stage: Stage::Leafy,
        photoperiod_s: hours(
            16.0,
            Source::common_practice("16 h of light for leafy greens"),
        ),
        ppfd_umol_per_m2_s: Given::assumed(
            Band::new(150.0, 250.0, 300.0),
            Source::common_practice("light of indoor leafy greens"),
        ),
        lai: Given::assumed(
            Band::new(2.0, 3.0, 3.5),
            Source::published(GRAAMANS, "leaf area index 3; spread chosen"),
        ),
        coverage: Given::assumed(
            Band::new(0.85, 0.9, 0.95),
            Source::published(GRAAMANS, "cultivation cover 0.9; spread chosen"),
        ),
        leaf_air_s_per_m: LEAF_AIR,
        night_resistance_s_per_m: NIGHT,
        day_resistance_factor: LETTUCE,
        vapour_share: VAPOUR,
        plausible_kg_per_m2_day: Some(Given::assumed(
            Band::new(1.5, 2.25, 3.0),
            Source::published(
                "Barbosa et al. 2015, Int. J. Environ. Res. Public Health 12:6879 (41 kg/m2 a year at 20 L/kg); model days either side",
                "abstract; product computed",
            ),
        )),
    },
    CropClass {
        kind: CropKind::Propagation,
        stage: Stage::Propagation,
        photoperiod_s: hours(18.0, Source::common_practice("18 h of light for cuttings")),
        ppfd_umol_per_m2_s: Given::assumed(
            Band::new(50.0, 100.0, 200.0),
            Source::common_practice("weak light over cuttings"),
        ),
        lai: Given::assumed(
            Band::new(0.5, 1.0, 2.0),
            Source::assumed("young plants do not close the canopy"),
        ),
        coverage: Given::assumed(
            Band::new(0.22, 0.39, 0.63),
            Source::assumed("1 - exp(-0.5 LAI) over the leaf area taken"),
        ),
        leaf_air_s_per_m: LEAF_AIR,
        night_resistance_s_per_m: NIGHT,
        day_resistance_factor: OTHER_SPECIES,
        vapour_share: VAPOUR_AS_LETTUCE,
        plausible_kg_per_m2_day: None,
    },
    CropClass {
        kind: CropKind::FruitingVine,
        stage: Stage::Fruiting,
        photoperiod_s: hours(
            16.0,
            Source::common_practice("16 h of light for fruiting vines"),
        ),
        ppfd_umol_per_m2_s: Given::assumed(
            Band::new(200.0, 400.0, 600.0),
            Source::common_practice("light of vines without sun"),
        ),
        lai: Given::assumed(
            Band::new(2.0, 3.0, 4.0),
            Source::assumed("a trained vine with lower leaves taken off"),
        ),
        coverage: Given::assumed(
            Band::new(0.7, 0.85, 0.95),
            Source::assumed("rows with aisles between"),
        ),
        leaf_air_s_per_m: LEAF_AIR,
        night_resistance_s_per_m: NIGHT,
        day_resistance_factor: OTHER_SPECIES,
        vapour_share: VAPOUR_AS_LETTUCE,
        plausible_kg_per_m2_day: None,
    },
    CropClass {
        kind: CropKind::TallFlowering,
        stage: Stage::FlowerLate,
        photoperiod_s: hours(12.0, Source::common_practice("12 h of light to flower")),
        ppfd_umol_per_m2_s: Given::assumed(
            Band::new(800.0, 900.0, 1000.0),
            Source::common_practice("light of tall flowering rooms"),
        ),
        lai: Given::assumed(
            Band::new(2.5, 3.0, 3.5),
            Source::assumed(
                "active leaf area capped near 3, as Graamans et al. 2017 advise for their model",
            ),
        ),
        coverage: Given::assumed(
            Band::new(0.85, 0.95, 1.0),
            Source::assumed("a closed canopy under nets"),
        ),
        leaf_air_s_per_m: LEAF_AIR,
        night_resistance_s_per_m: NIGHT,
        day_resistance_factor: OTHER_SPECIES,
        vapour_share: VAPOUR_AS_LETTUCE,
        plausible_kg_per_m2_day: Some(Given::assumed(
            Band::new(3.5, 4.94, 6.0),
            Source::assumed(MODEL_DAY),
        )),
    },
    CropClass {
        kind: CropKind::DryingRoom,
        stage: Stage::Drying,
        photoperiod_s: hours(0.0, Source::common_practice("a drying room is dark")),
        ppfd_umol_per_m2_s: Given::assumed(
            Band::exact(0.0),
            Source::common_practice("a drying room is dark"),
        ),
        lai: Given::assumed(Band::exact(0.0), Source::assumed("nothing grows here")),
        coverage: Given::assumed(Band::exact(0.0), Source::assumed("nothing grows here")),
        leaf_air_s_per_m: LEAF_AIR,
        night_resistance_s_per_m: NIGHT,
        day_resistance_factor: OTHER_SPECIES,
        vapour_share: Given::assumed(1.0, Source::assumed("what dries leaves as vapour")),
        plausible_kg_per_m2_day: None,
    },
];

impl CropKind {
    /// The class of this kind.
    pub fn class(self) -> &'static CropClass {
        static ALL: &[CropClass] = CLASSES;
        let found = ALL.iter().find(|c| c.kind == self);
        found.unwrap_or_else(|| unreachable!("every kind has a class; a test holds it so"))
    }
}

impl Stage {
    /// Default targets: bands of the trade, not of a controlled study. The
    /// middle of dry bulb and relative humidity lies inside the VPD band; the
    /// corners do not.
    pub fn targets(self) -> StageTargets {
        const PRACTICE: Source =
            Source::common_practice("set-point bands of the trade, not of a controlled study");
        const DRYING: Source = Source::common_practice("slow drying near 60 °F and 60 % RH");
        let band = |low: f64, high: f64| Band::new(low, f64::midpoint(low, high), high);
        let targets = |day: (f64, f64), night: (f64, f64), rh: (f64, f64), vpd_kpa: (f64, f64)| {
            StageTargets {
                day_c: band(day.0, day.1),
                night_c: band(night.0, night.1),
                rel_humidity: band(rh.0 / 100.0, rh.1 / 100.0),
                vpd_pa: band(vpd_kpa.0 * 1000.0, vpd_kpa.1 * 1000.0),
                source: if self == Self::Drying {
                    DRYING
                } else {
                    PRACTICE
                },
            }
        };
        match self {
            Self::Propagation => targets((23.0, 26.0), (21.0, 24.0), (75.0, 90.0), (0.3, 0.7)),
            Self::Leafy => targets((20.0, 24.0), (17.0, 21.0), (60.0, 75.0), (0.6, 1.0)),
            Self::Vegetative => targets((24.0, 28.0), (20.0, 24.0), (60.0, 70.0), (0.8, 1.2)),
            Self::FlowerEarly => targets((24.0, 28.0), (20.0, 24.0), (50.0, 60.0), (1.0, 1.5)),
            Self::FlowerLate => targets((22.0, 26.0), (18.0, 22.0), (45.0, 55.0), (1.1, 1.6)),
            Self::Fruiting => targets((21.0, 27.0), (16.0, 19.0), (60.0, 80.0), (0.4, 1.0)),
            Self::Drying => targets((15.0, 21.0), (15.0, 21.0), (55.0, 62.0), (0.6, 1.1)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_its_class() {
        for (word, _) in CropKind::WORDS {
            let kind = CropKind::from_word(word);
            assert_eq!(kind.class().kind, kind);
        }
    }

    #[test]
    fn bands_are_in_order() {
        let ordered = |b: Band| b.low <= b.likely && b.likely <= b.high;
        for class in CLASSES {
            for band in [
                &class.ppfd_umol_per_m2_s,
                &class.lai,
                &class.coverage,
                &class.leaf_air_s_per_m,
                &class.night_resistance_s_per_m,
            ] {
                assert!(ordered(band.value), "{:?}", class.kind);
            }
        }
        for (word, _) in Stage::WORDS {
            let t = Stage::from_word(word).targets();
            for band in [t.day_c, t.night_c, t.rel_humidity, t.vpd_pa] {
                assert!(ordered(band), "{word}");
            }
        }
    }

    /// The middle of dry bulb and RH keeps to the VPD band, which is stated to
    /// 0.1 kPa. Saturation pressure: Magnus form of WMO-No. 8 (2023).
    #[test]
    fn middle_of_targets_keeps_to_the_vpd_band() {
        const HALF_A_DIGIT_PA: f64 = 50.0;
        let saturation_pa = |t: f64| 611.2 * (17.62 * t / (243.12 + t)).exp();
        for (word, _) in Stage::WORDS {
            let t = Stage::from_word(word).targets();
            let allowed = t.vpd_pa.low - HALF_A_DIGIT_PA..=t.vpd_pa.high + HALF_A_DIGIT_PA;
            for dry_bulb_c in [t.day_c.likely, t.night_c.likely] {
                let vpd_pa = saturation_pa(dry_bulb_c) * (1.0 - t.rel_humidity.likely);
                assert!(allowed.contains(&vpd_pa), "{word} {vpd_pa}");
            }
        }
    }
}
