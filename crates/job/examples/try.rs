//! scratch
use job::*;
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let rd = |p: &str| std::fs::read_to_string(p).unwrap();
    let site = rd(&a[1]);
    let room = match room::Room::read(Some((&a[1], &site)), (&a[2], &rd(&a[2]))) { Ok(r) => r, Err(p) => { for x in p.iter() { println!("{x}"); } return; } };
    let mut files: Vec<(String, String)> = std::fs::read_dir("catalog").unwrap().map(|e| { let p = e.unwrap().path(); (p.display().to_string(), std::fs::read_to_string(&p).unwrap()) }).collect();
    files.sort();
    let cat = match equipment::Catalog::read(&files) { Ok(c) => c, Err(p) => { for x in p.iter() { println!("{x}"); } return; } };
    let t = std::time::Instant::now();
    let load = load::hourly(&room, Effort::Full).unwrap();
    println!("load {:?}", t.elapsed());
    println!("{:#?}", load.trust);
    println!("day {:?} measured {:?}", load.water_kg_per_day, load.measured.as_ref().map(|m| (m.vapour_kg_per_day, m.drawn_kg_per_day, m.worth_draws, m.agrees)));
    for p in &load.periods { println!("{:?} {:.4?} sens {:.0?}", p.period, p.mean.water_kg_per_s.map(|x| x*3600.0), p.mean.sensible_w);
      for s in &p.mean.sources { println!("   {} {:.3?} kg/h {:.0} W", s.source.word(), s.water_kg_per_s.map(|x| x*3600.0), s.mean_sensible_w); } }
    let t = std::time::Instant::now();
    let sel = selection::choose(&room, &load, &cat, Effort::Full, &Silent).unwrap();
    println!("select {:?}", t.elapsed());
    for c in &sel.capacities { println!("{} rated {:.1} L/d on {:.1} ({:.1}C) off {:.1} ({:.1}C) screened {:?} {:?} {:?}", c.code, c.rated_kg_per_s*86400.0, c.lights_on.removal_kg_per_s*86400.0, c.lights_on.inlet_dry_bulb_c, c.lights_off.removal_kg_per_s*86400.0, c.lights_off.inlet_dry_bulb_c, c.screened_count(&load), c.lights_on.beyond, c.lights_off.beyond); }
    for c in &sel.candidates { println!("{} meets {} held {}/{} by {:?} nocoil {:?} oneout {} kWh {:.1} cost {:?} {:?} rh {:?} short {:?} starts {}", c.judged.units.words(), c.meets, c.judged.held_days, c.judged.days, c.judged.held_days_by_period, c.without_coil_water.as_ref().map(|j| j.held_days), c.one_unit_out.held_days, c.judged.units_j_per_day.likely/3.6e6, c.first_cost, c.cost_over_years, c.judged.highest_rel_humidity.map(|b| b.map(|b| (b.likely*100.0) as i32)), c.judged.cooling_shortfall_s, c.judged.most_starts_per_hour); }
    println!("{:?} binding {:?}", sel.ordered_by, sel.binding);
    for m in &sel.measures { println!("{} {} -> {}", m.what, m.before, m.after.held_days); }
    for e in &sel.errands { println!("{:?}", e); }
    let t = std::time::Instant::now();
    let day = day::prove(&room, &load, &cat, &sel.design_set()).unwrap();
    println!("day {:?}", t.elapsed());
    let s = &day.series;
    for h in 0..75 { let i = 7*60+h*1; println!("{:5.1} h T {:.1} RH {:.1} leaf {:.1} on {:b} cool {:?} crop {:.2} kg/h cool {:.2} unit {:.2} exch {:.2} surf {:.2} med {:.2}", s.time_s(i)/3600.0, s.dry_bulb_c[i], s.rel_humidity[i]*100.0, s.leaf_c[i], s.dehumidifiers_on[i], s.cooling_run.get(i), s.water_kg_per_s[i][0]*3600.0, s.water_kg_per_s[i][9]*3600.0, s.water_kg_per_s[i][10]*3600.0, s.water_kg_per_s[i][7]*3600.0, s.water_kg_per_s[i][2]*3600.0, s.water_kg_per_s[i][1]*3600.0); }
    println!("bal {:?}", day.balance);
    for sc in &day.scenarios { println!("{:?} {:?}", sc.kind, sc.holds); }
    let mut f = survey::findings(&room); f.extend(load.findings.clone()); f.extend(sel.findings.clone()); f.extend(day.findings.clone());
    for f in f { println!("{:?} {}: {}\n   why {}\n   do {}", f.severity, f.check, f.what.show(quantity::UnitSystem::Us), f.why.show(quantity::UnitSystem::Us), f.remedy.show(quantity::UnitSystem::Us)); }
}
