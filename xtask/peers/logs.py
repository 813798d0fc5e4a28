"""Times the reading of a log onto steps of a minute with a reference library.

usage: logs.py LIBRARY FILE

LIBRARY is one of the names in WAYS. Writes one line: rows per second in the
best of three rounds, rows, minutes, mean of the first channel over its
minutes, peak memory of the process [MB].

All do the same work: read the table, its times included, and take the mean of
each of its five channels over each minute. None is told the types.
"""

import resource
import sys
import time

CHANNELS = [
    "Canopy temp (°C)",
    "Canopy RH (%)",
    "CO2 (ppm)",
    "Light (lux)",
    "D1 power (W)",
]


def duckdb(path):
    import duckdb as library

    means = ", ".join(f'avg("{c}")' for c in CHANNELS)

    def run():
        rows, minutes, mean = library.sql(
            f"""select sum(n), count(*), avg(m) from (
                select date_trunc('minute', "Time") as t, count(*) as n, avg("{CHANNELS[0]}") as m, {means}
                from read_csv('{path}') group by 1)"""
        ).fetchone()
        return int(rows), int(minutes), float(mean)

    return run


def polars(path):
    import polars as library

    def run():
        minutes = (
            library.scan_csv(path, try_parse_dates=True)
            .group_by(library.col("Time").dt.truncate("1m"))
            .agg(library.len().alias("n"), *[library.col(c).mean() for c in CHANNELS])
            .collect(engine="streaming")
        )
        return minutes["n"].sum(), minutes.height, minutes[CHANNELS[0]].mean()

    return run


WAYS = {"duckdb": duckdb, "polars": polars}


def main():
    _, way, path = sys.argv
    run = WAYS[way](path)
    best = float("inf")
    for _ in range(3):
        start = time.perf_counter()
        rows, minutes, mean = run()
        best = min(best, time.perf_counter() - start)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000.0
    print(f"{rows / best:.0f},{rows},{minutes},{mean:.6f},{peak:.1f}")


main()
