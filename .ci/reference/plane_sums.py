"""Reference values for tests/tests/aim.rs.

    plane_sums.py OUTPUT_FOLDER WEATHER_FOLDER

pvlib's irradiance of the year on planes of every tilt and facing of a map (Perez 1990), for three real typical years. The sun, the
weather and the albedo are those that plane_irradiance.py, which runs before this by its name, has written. One row a year and plane.
"""

import csv
import pathlib
import sys

import numpy as np
import pandas as pd
import pvlib

OUT = pathlib.Path(sys.argv[1])
STEP_DEG = 7.5
YEARS = ["tmy3_36n", "tmy3_55n", "epw_42n"]


def sums(year):
    hours = pd.read_csv(OUT / f"plane_irradiance_{year}.csv")
    column = {name: hours[name].to_numpy() for name in hours.columns[:16]}
    lit = (column["zenith"] < 90.0) & np.isfinite(column["air_mass"]) & (column["ghi"] > 0.0)
    for facing in np.arange(0.0, 360.0, STEP_DEG):
        for tilt in np.arange(0.0, 90.0 + STEP_DEG / 2, STEP_DEG):
            found = pvlib.irradiance.get_total_irradiance(
                tilt, facing, column["zenith"], column["azimuth"],
                column["dni"], column["ghi"], column["dhi"],
                dni_extra=column["extraterrestrial"], airmass=column["air_mass"],
                albedo=column["albedo"], model="perez",
            )
            total = np.asarray(found["poa_global"], dtype=float)
            yield [year, facing, tilt, f"{np.nansum(np.where(lit, total, 0.0)) / 1000.0:.6f}"]


with open(OUT / "plane_sums.csv", "w", encoding="utf-8", newline="") as file:
    writer = csv.writer(file)
    writer.writerow(["year", "azimuth_deg", "tilt_deg", "kwh_m2"])
    for name in YEARS:
        writer.writerows(sums(name))
