"""Computes crates/air/tests/cross/psychrometric_states.csv anew.

usage: make_states.py COMMITTED NEW

Reads the states (id, group, altitude, pressure, dry bulb, relative humidity)
of COMMITTED, computes all other columns with PsychroLib and CoolProp, writes
NEW in the same form, and says on standard output how the two differ.
"""

import csv
import sys

sys.modules["numba"] = None
import psychrolib  # noqa: E402
from CoolProp.CoolProp import HAPropsSI  # noqa: E402

INPUTS = ["id", "group", "altitude_m", "p_Pa", "tdb_C", "rh_pct"]
DIGITS = {
    "pws_Pa": 3,
    "pws_eff_Pa": 3,
    "pw_Pa": 3,
    "w_kg_per_kg": 9,
    "tdp_C": 4,
    "twb_C": 4,
    "h_kJ_per_kg_da": 4,
    "v_m3_per_kg_da": 7,
    "rho_moist_kg_per_m3": 7,
    "vpd_kPa": 6,
}


def by_psychrolib(t, rh, p):
    w, wet, dew, pw, h, v, _ = psychrolib.CalcPsychrometricsFromRelHum(t, rh, p)
    pws = psychrolib.GetSatVapPres(t)
    return {
        "pws_Pa": pws,
        "pw_Pa": pw,
        "w_kg_per_kg": w,
        "tdp_C": dew,
        "twb_C": wet,
        "h_kJ_per_kg_da": h / 1000.0,
        "v_m3_per_kg_da": v,
        "rho_moist_kg_per_m3": psychrolib.GetMoistAirDensity(t, w, p),
        "vpd_kPa": psychrolib.GetVaporPressureDeficit(t, w, p) / 1000.0,
    }


def by_coolprop(t, rh, p):
    def of(name, r=rh):
        return HAPropsSI(name, "T", t + 273.15, "R", r, "P", p)

    pws, pw, w, v = of("P_w", 1.0), of("P_w"), of("W"), of("Vda")
    return {
        "pws_eff_Pa": pws,
        "pw_Pa": pw,
        "w_kg_per_kg": w,
        "tdp_C": of("Tdp") - 273.15,
        "twb_C": of("Twb") - 273.15,
        "h_kJ_per_kg_da": of("Hda") / 1000.0,
        "v_m3_per_kg_da": v,
        "rho_moist_kg_per_m3": (1.0 + w) / v,
        "vpd_kPa": (pws - pw) / 1000.0,
    }


def main():
    committed_path, new_path = sys.argv[1:]
    psychrolib.SetUnitSystem(psychrolib.SI)
    with open(committed_path, newline="", encoding="ascii") as file:
        reader = csv.DictReader(file)
        columns, committed = reader.fieldnames, list(reader)

    rows = []
    for old in committed:
        row = {name: old[name] for name in INPUTS}
        state = float(old["tdb_C"]), float(old["rh_pct"]) / 100.0, float(old["p_Pa"])
        for library, compute in (("psychrolib", by_psychrolib), ("coolprop", by_coolprop)):
            for name, value in compute(*state).items():
                row[f"{library}_{name}"] = f"{value:.{DIGITS[name]}f}"
        rows.append(row)
    with open(new_path, "w", newline="", encoding="ascii") as file:
        writer = csv.DictWriter(file, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)

    different, largest, where = 0, 0.0, ""
    for old, new in zip(committed, rows):
        for name in columns:
            if name in INPUTS:
                continue
            digits = DIGITS[name.split("_", 1)[1]]
            # In units of the last printed digit.
            steps = abs(float(old[name]) - float(new[name])) * 10**digits
            if 0.5 < steps:
                different += 1
            if largest < steps:
                largest, where = steps, f"{name} of state {old['id']}"
    cells = len(rows) * (len(columns) - len(INPUTS))
    print(f"{different} of {cells} numbers differ; largest by {largest:.0f} of the last digit", where)


if __name__ == "__main__":
    main()
