use air::*;
use equipment::cooling::*;
fn main() {
    let a =
        MoistAir::from_pair(Property::DryBulb(26.7), Property::WetBulb(19.4), 101325.0).unwrap();
    println!(
        "W {} v {} m {}",
        a.humidity_ratio(),
        a.specific_volume_m3_per_kg(),
        0.425 / a.specific_volume_m3_per_kg()
    );
    for m in [
        0.5117,
        0.425 * 1.2041,
        0.425 * 1.2,
        0.425 / a.specific_volume_m3_per_kg(),
    ] {
        println!(
            "{m} {:?}",
            bypass_factor_from_rating(&CoilRating {
                entering: a,
                total_w: 8181.0,
                sensible_w: 6365.0,
                dry_air_kg_per_s: m
            })
        );
    }
}
