"""Writes units_pint.csv: unit factors as the Pint library knows them.

Run: pip install pint==0.25.3; python units_pint.py > units_pint.csv
Tolerance 1e-12 where Pint holds exact definitions. Pint holds its Btu as 1055.056 J,
seven digits, so rows with a Btu in them carry 5e-7.
"""
import csv
import sys

import pint

ROWS = [
    ("Length", "1 in", "inch", "m"), ("Length", "1 ft", "foot", "m"), ("Length", "1 mi", "mile", "m"),
    ("Area", "1 ft2", "foot**2", "m**2"), ("Volume", "1 gal", "gallon", "m**3"), ("Volume", "1 ft3", "foot**3", "m**3"),
    ("Mass", "1 lb", "pound", "kg"), ("Mass", "1 oz", "ounce", "kg"), ("Mass", "1 gr", "grain", "kg"),
    ("Mass", "1 ton", "short_ton", "kg"), ("Mass", "1 t", "tonne", "kg"),
    ("MassRate", "1 lb/h", "pound/hour", "kg/s"), ("WaterRate", "1 lb/d", "pound/day", "kg/s"),
    ("WaterFlux", "1 lb/ft2/h", "pound/foot**2/hour", "kg/m**2/s"),
    ("HumidityRatio", "1 gr/lb", "grain/pound", "dimensionless"),
    ("Pressure", "1 psi", "psi", "Pa"), ("Pressure", "1 in w.g.", "inch_H2O", "Pa"),
    ("AirFlow", "1 cfm", "foot**3/minute", "m**3/s"), ("Speed", "1 fpm", "foot/minute", "m/s"), ("Speed", "1 mph", "mph", "m/s"),
    ("Power", "1 hp", "horsepower", "W"), ("Energy", "1 kWh", "kilowatt_hour", "J"),
    ("Energy", "1 Btu", "Btu", "J"), ("Power", "1 Btu/h", "Btu/hour", "W"), ("Cooling", "1 ton", "refrigeration_ton", "W"),
    ("HeatFlux", "1 Btu/(h ft2)", "Btu/hour/foot**2", "W/m**2"),
    ("Transmittance", "1 Btu/(h ft2 F)", "Btu/hour/foot**2/delta_degF", "W/m**2/K"),
    ("HeatCapacity", "1 Btu/F", "Btu/delta_degF", "J/K"), ("Enthalpy", "1 Btu/lb", "Btu/pound", "J/kg"),
    ("SpecificVolume", "1 ft3/lb", "foot**3/pound", "m**3/kg"), ("Density", "1 lb/ft3", "pound/foot**3", "kg/m**3"),
    ("TemperatureDifference", "1 °F", "delta_degF", "K"), ("Temperature", "78 °F", "degF", "degC"),
    ("PhotonFlux", "1 mol/m2/d", "mole/m**2/day", "micromole/m**2/s"), ("Angle", "1 °", "degree", "radian"),
    ("Duration", "1 wk", "week", "s"),
]

units = pint.UnitRegistry()
out = csv.writer(sys.stdout, lineterminator="\n")
out.writerow(["dim", "text", "expected_si", "relative_tolerance", "source"])
for dim, text, name, si in ROWS:
    size = float(text.split()[0])
    value = units.Quantity(size, name).to(si).magnitude
    tolerance = "5e-7" if "Btu" in name or "refrigeration" in name else "1e-12"
    out.writerow([dim, text, repr(value), tolerance, f"Pint {pint.__version__}, {name}"])
