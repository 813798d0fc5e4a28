"""Times full air states with a reference library.

usage: states.py LIBRARY FILE

LIBRARY is one of the names in WAYS. FILE has lines of dry bulb [C], relative
humidity (0 to 1) and pressure [Pa], separated by commas. Writes one line:
states per second in the best round through the file (so that other work on
the machine counts little), states, mean of the five properties.

The properties are humidity ratio, dew point, wet bulb, enthalpy [kJ/kg dry
air] and specific volume [m3/kg dry air].
"""

import sys
import time

# How long rounds are repeated [s], and how many there are at least.
ENOUGH_S = 1.0
ROUNDS = 3


def psychrolib_python(states):
    # Without numba the library is plain Python, one state a call.
    sys.modules["numba"] = None
    import psychrolib

    psychrolib.SetUnitSystem(psychrolib.SI)

    def run():
        total = 0.0
        for t, rh, p in states:
            w, wet, dew, _, h, v, _ = psychrolib.CalcPsychrometricsFromRelHum(t, rh, p)
            total += w + dew + wet + h / 1000.0 + v
        return total

    return run


def psychrolib_numba(states):
    # With numba each function is compiled and takes arrays.
    import numpy
    import psychrolib

    psychrolib.SetUnitSystem(psychrolib.SI)
    t, rh, p = numpy.array(states).T.copy()

    def run():
        w = psychrolib.GetHumRatioFromRelHum(t, rh, p)
        dew = psychrolib.GetTDewPointFromRelHum(t, rh)
        wet = psychrolib.GetTWetBulbFromHumRatio(t, w, p)
        h = psychrolib.GetMoistAirEnthalpy(t, w)
        v = psychrolib.GetMoistAirVolume(t, w, p)
        return float((w + dew + wet + h / 1000.0 + v).sum())

    return run


def coolprop_calls(states):
    # A C++ core, one property of one state a call.
    from CoolProp.CoolProp import HAPropsSI

    def run():
        total = 0.0
        for t, rh, p in states:
            given = ("T", t + 273.15, "R", rh, "P", p)
            total += HAPropsSI("W", *given)
            total += HAPropsSI("Tdp", *given) - 273.15
            total += HAPropsSI("Twb", *given) - 273.15
            total += HAPropsSI("Hda", *given) / 1000.0
            total += HAPropsSI("Vda", *given)
        return total

    return run


def coolprop_arrays(states):
    # The same core over arrays: the loop is compiled too.
    import numpy
    from CoolProp.CoolProp import HAPropsSI

    t, rh, p = numpy.array(states).T.copy()
    given = ("T", t + 273.15, "R", rh, "P", p)

    def run():
        w = HAPropsSI("W", *given)
        dew = HAPropsSI("Tdp", *given) - 273.15
        wet = HAPropsSI("Twb", *given) - 273.15
        h = HAPropsSI("Hda", *given) / 1000.0
        v = HAPropsSI("Vda", *given)
        return float(numpy.sum(w + dew + wet + h + v))

    return run


WAYS = {
    "psychrolib-python": psychrolib_python,
    "psychrolib-numba": psychrolib_numba,
    "coolprop-calls": coolprop_calls,
    "coolprop-arrays": coolprop_arrays,
}


def main():
    way, path = sys.argv[1:]
    with open(path, encoding="ascii") as file:
        states = [tuple(map(float, line.split(","))) for line in file]
    run = WAYS[way](states)
    total = run()  # compiles where there is something to compile

    rounds = []
    while len(rounds) < ROUNDS or sum(rounds) < ENOUGH_S:
        start = time.perf_counter()
        total = run()
        rounds.append(time.perf_counter() - start)
    count = len(states)
    print(f"{count / min(rounds):.0f},{count},{total / (5 * count):.4f}")


if __name__ == "__main__":
    main()
