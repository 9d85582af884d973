"""Reference values for tests/tests/weather_real_files.rs.

    weather_means.py OUTPUT_FOLDER WEATHER_FOLDER

Reads real weather files out of installed packages (never committed) with pvlib.iotools, a reader that shares no
code with ours, and writes for each file, column and month (0: the year) the mean, and the mean weighted by the
place of the row in the month (1 to 2), which a row out of order changes. Months are counted by rows: all files
are whole years of 8760 hours from 1 January. A row whose column is `place` holds latitude, longitude, UTC offset
and altitude. Values are in SI units; a sign for missing makes no row.
"""

import csv
import pathlib
import sys

import numpy as np
from pvlib.iotools import read_epw, read_tmy3

OUT = pathlib.Path(sys.argv[1])
WEATHER = pathlib.Path(sys.argv[2])
DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
EPW = {  # name of ours: name in pvlib, factor to SI, sign for missing
    "air": ("temp_air", 1.0, 99.9),
    "dew_point": ("temp_dew", 1.0, 99.9),
    "pressure": ("atmospheric_pressure", 1.0, 999999),
    "wind": ("wind_speed", 1.0, 999),
    "ghi": ("ghi", 1.0, 9999),
    "dni": ("dni", 1.0, 9999),
    "dhi": ("dhi", 1.0, 9999),
    "infrared": ("ghi_infrared", 1.0, 9999),
    "sky_cover": ("total_sky_cover", 0.1, 99),
    "albedo": ("albedo", 1.0, 999),
    "rain": ("liquid_precipitation_depth", 1.0, 999),
}
TMY3 = {
    "air": ("temp_air", 1.0, -9900),
    "dew_point": ("temp_dew", 1.0, -9900),
    "humidity": ("relative_humidity", 1.0, -9900),
    "pressure": ("pressure", 100.0, -9900),
    "wind": ("wind_speed", 1.0, -9900),
    "ghi": ("ghi", 1.0, -9900),
    "dni": ("dni", 1.0, -9900),
    "dhi": ("dhi", 1.0, -9900),
    "sky_cover": ("TotCld (tenths)", 0.1, -9900),
    "albedo": ("albedo", 1.0, -9900),
    "rain": ("Lprecip depth (mm)", 1.0, -9900),
}


def is_tmy3(path):
    with open(path, encoding="latin-1") as file:
        file.readline()
        return file.readline().startswith("Date (MM/DD/YYYY)")


def is_epw(path):
    with open(path, encoding="latin-1") as file:
        return file.readline().startswith("LOCATION,")


def statistics(values):
    yield 0, values
    start = 0
    for month, days in enumerate(DAYS, 1):
        yield month, values[start : start + 24 * days]
        start += 24 * days


rows = []
for path in sorted(WEATHER.glob("*/*/data/**/*")):
    if not path.is_file() or path.suffix.lower() not in (".csv", ".epw"):
        continue
    if is_tmy3(path):
        table, meta = read_tmy3(path, encoding="iso-8859-1")
        table = table.rename(columns={"DNI (W/m^2))": "dni"})  # so spelt in one file
        columns = TMY3
        place = [float(meta[k]) for k in ("latitude", "longitude", "TZ", "altitude")]
    elif is_epw(path):
        table, meta = read_epw(path)
        columns = EPW
        place = [float(meta[k]) for k in ("latitude", "longitude", "TZ", "altitude")]
    else:
        continue
    assert len(table) == 8760, path
    name = path.relative_to(WEATHER).as_posix()
    rows += [[name, "place", i, value, value] for i, value in enumerate(place)]
    for ours, (theirs, factor, missing) in columns.items():
        values = table[theirs].to_numpy(dtype=float)
        if np.isnan(values).any() or (values == missing).any():
            continue
        values = values * factor
        for month, part in statistics(values):
            weight = 1.0 + np.arange(len(part)) / len(part)
            rows.append([name, ours, month, part.mean(), (part * weight).mean()])

with open(OUT / "weather_means.csv", "w", newline="", encoding="utf-8") as file:
    writer = csv.writer(file)
    writer.writerow(["file", "column", "month", "mean", "mean_by_place"])
    writer.writerows(rows)
print(len({row[0] for row in rows}), "files,", len(rows), "means")
