"""Reference values for tests/tests/weather_real_files.rs and tests/tests/weather_hours.rs.

    weather_means.py OUTPUT_FOLDER WEATHER_FOLDER

Reads real weather files out of installed packages (never committed) with pvlib.iotools, a reader that shares no
code with ours, and writes

- weather_means.csv: for each file, column and month (0: the year) the mean, and the mean weighted by the place of the row in
  the month (1 to 2), which a row out of order changes. Months are counted by rows: these are whole years from 1 January. A row whose
  column is `place` holds latitude, longitude, UTC offset and altitude. A column with a missing value makes no row.
- weather_hours.csv: for each file the columns themselves, a row for each interval; a missing value is a blank cell.
- completed/: tables in the packages that came without the lines that say where the place is, written again below such lines
  (the numbers are theirs, digit for digit), and two of them moved to UTC, as an export in UTC has them.

Values are in SI units; order and length are those of local standard time.
"""

import csv
import json
import pathlib
import sys

import numpy as np
import pandas as pd
from pvlib.iotools import (
    read_epw,
    read_nsrdb_psm4,
    read_pvgis_tmy,
    read_tmy2,
    read_tmy3,
)

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

TMY2 = {
    "air": ("DryBulb", 0.1, 9999),
    "dew_point": ("DewPoint", 0.1, 9999),
    "humidity": ("RHum", 1.0, 999),
    "pressure": ("Pressure", 100.0, 9999),
    "wind": ("Wspd", 0.1, 999),
    "ghi": ("GHI", 1.0, 9999),
    "dni": ("DNI", 1.0, 9999),
    "dhi": ("DHI", 1.0, 9999),
    "sky_cover": ("TotCld", 0.1, 99),
}
NSRDB = {
    "air": ("temp_air", 1.0, -9999),
    "dew_point": ("temp_dew", 1.0, -9999),
    "humidity": ("relative_humidity", 1.0, -9999),
    "pressure": ("pressure", 100.0, -9999),
    "wind": ("wind_speed", 1.0, -9999),
    "ghi": ("ghi", 1.0, -9999),
    "dni": ("dni", 1.0, -9999),
    "dhi": ("dhi", 1.0, -9999),
    "albedo": ("albedo", 1.0, -9999),
}
PVGIS = {
    "air": ("temp_air", 1.0, None),
    "humidity": ("relative_humidity", 1.0, None),
    "pressure": ("pressure", 1.0, None),
    "wind": ("wind_speed", 1.0, None),
    "ghi": ("ghi", 1.0, None),
    "dni": ("dni", 1.0, None),
    "dhi": ("dhi", 1.0, None),
    "infrared": ("IR(h)", 1.0, None),
}
HOURS = ("air", "dew_point", "humidity", "pressure", "wind", "ghi", "dni", "dhi", "infrared", "sky_cover", "albedo")


def head(path):
    with open(path, encoding="latin-1") as file:
        return [file.readline() for _ in range(3)]


def place_of(meta, zone):
    return [float(meta["latitude"]), float(meta["longitude"]), float(zone), float(meta["altitude"])]


def read(path):
    """Table in local standard time, its columns, and the place; None when it is none of the formats."""
    first, second, third = head(path)
    if second.startswith("Date (MM/DD/YYYY)"):
        table, meta = read_tmy3(path, encoding="iso-8859-1")
        table = table.rename(columns={"DNI (W/m^2))": "dni"})  # so spelt in one file
        return table, TMY3, place_of(meta, meta["TZ"])
    if first.startswith("LOCATION,"):
        table, meta = read_epw(path)
        return table, EPW, place_of(meta, meta["TZ"])
    if path.suffix == ".tm2":
        table, meta = read_tmy2(path)
        return table, TMY2, place_of(meta, meta["TZ"])
    if first.startswith("Source,Location ID") and third.startswith("Year,"):
        table, meta = read_nsrdb_psm4(path)
        # Rows of an export in UTC are taken to local standard time by turning the whole year.
        hours = meta["Local Time Zone"] - meta["Time Zone"]
        steps = round(hours * 60 / ((table.index[1] - table.index[0]).total_seconds() / 60))
        table = table.iloc[np.roll(np.arange(len(table)), steps)]
        return table, NSRDB, place_of(meta, meta["Local Time Zone"])
    if first.startswith("Latitude (decimal degrees)") and path.name.startswith(("tmy_", "pvgis_tmy_")):
        table, meta = read_pvgis_tmy(path)
        where = meta["inputs"]
        zone = round(where["longitude"] / 15)
        table = table.iloc[np.roll(np.arange(len(table)), zone)]
        meta = {"latitude": where["latitude"], "longitude": where["longitude"], "altitude": where["elevation"]}
        return table, PVGIS, place_of(meta, zone)
    return None


def statistics(values):
    per_day = len(values) // 365
    yield 0, values
    start = 0
    for month, days in enumerate(DAYS, 1):
        yield month, values[start : start + per_day * days]
        start += per_day * days


def completed():
    """Tables without a place, below lines that give one; two of them in UTC as well."""
    folder = OUT / "completed"
    folder.mkdir(exist_ok=True)
    names = {"temp_air": "Temperature", "dew_point": "Dew Point", "dhi": "DHI", "dni": "DNI", "ghi": "GHI",
             "albedo": "Surface Albedo", "pressure": "Pressure", "wind_speed": "Wind Speed",
             "relative_humidity": "Relative Humidity"}  # of the package, and of the database
    craig = (40.53, -108.54, -7, 2168)  # of test_read_psm3.csv, whose numbers the first has too
    tables = [
        ("pvlib-0.11.2/pvlib/data/test_psm3_2017.csv", craig),
        ("pvlib-0.11.2/pvlib/data/test_psm3_tmy-2017.csv", craig),
        ("pvlib-0.11.2/pvlib/data/test_psm3_2019_5min.csv", craig),
    ]
    for city in ("golden", "miami", "nyc"):
        data = "pvdeg-0.7.4/pvdeg/data"
        with open(WEATHER / data / f"meta_{city}.json", encoding="utf-8") as file:
            meta = json.load(file)
        tables.append((f"{data}/psm4_{city}.csv", tuple(meta[k] for k in ("latitude", "longitude", "tz", "altitude"))))
    for name, (latitude, longitude, zone, altitude) in tables:
        # As text, so that no digit changes; the first column is an index.
        table = pd.read_csv(WEATHER / name, dtype=str, index_col=0).rename(columns=names)
        stem = pathlib.Path(name).stem
        write_nsrdb(folder / f"{stem}.csv", table, latitude, longitude, zone, zone, altitude)
        if stem in ("test_psm3_2017", "psm4_miami"):
            # Labels in UTC, 1 January 00:.. onwards: the first rows are then the last hours of the local year.
            time = ["Year", "Month", "Day", "Hour", "Minute"]
            steps = zone * (len(table) // 8760)
            in_utc = table.iloc[np.roll(np.arange(len(table)), -steps)].reset_index(drop=True)
            in_utc[time] = table[time].to_numpy()
            write_nsrdb(folder / f"{stem}_utc.csv", in_utc, latitude, longitude, 0, zone, altitude)
    name = "pvlib-0.11.2/pvlib/data/pvgis_tmy_test.csv"
    lines = ["Latitude (decimal degrees): 45.000", "Longitude (decimal degrees): 8.000", "Elevation (m): 250.0",
             "Irradiance Time Offset (h): 0.1761", "month,year"]
    table = pd.read_csv(WEATHER / name, dtype=str)
    lines += [f"{month},2005" for month in range(1, 13)]
    lines += [",".join(table.columns), *(",".join(row) for row in table.to_numpy()), ""]
    lines += ["T2m: 2-m air temperature (degree Celsius)", "", "PVGIS (c) European Union, 2001-2024", ""]
    (folder / "pvgis_tmy_test.csv").write_text("\r\n".join(lines), encoding="utf-8")


def write_nsrdb(path, table, latitude, longitude, zone, local_zone, altitude):
    with open(path, "w", newline="", encoding="utf-8") as file:
        file.write("Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time Zone\n")
        file.write(f"NSRDB,1,-,-,-,{latitude},{longitude},{zone},{altitude},{local_zone}\n")
        table.to_csv(file, index=False)


completed()
paths = [(path, path.relative_to(WEATHER)) for path in sorted(WEATHER.glob("*/*/data/**/*"))]
paths += [(path, path.relative_to(OUT)) for path in sorted((OUT / "completed").glob("*"))]
rows, places = [], set()
with open(OUT / "weather_hours.csv", "w", newline="", encoding="utf-8") as file:
    hours = csv.writer(file)
    hours.writerow(["file", *HOURS])
    for path, name in paths:
        if not path.is_file() or path.suffix.lower() not in (".csv", ".epw", ".tm2"):
            continue
        found = read(path)
        if found is None:
            continue
        table, columns, place = found
        name = name.as_posix()
        places.add(name)
        rows += [[name, "place", i, value, value] for i, value in enumerate(place)]
        series = {}
        for ours, (theirs, factor, missing) in columns.items():
            if theirs not in table:
                continue
            values = table[theirs].to_numpy(dtype=float)
            values = np.where(values == missing, np.nan, values) * factor
            series[ours] = values
            # Of a part of a year there are no means.
            if np.isnan(values).any() or len(table) % 8760:
                continue
            for month, part in statistics(values):
                weight = 1.0 + np.arange(len(part)) / len(part)
                rows.append([name, ours, month, part.mean(), (part * weight).mean()])
        nothing = np.full(len(table), np.nan)
        for values in zip(*(series.get(column, nothing) for column in HOURS)):
            hours.writerow([name, *("" if np.isnan(value) else value for value in values)])

with open(OUT / "weather_means.csv", "w", newline="", encoding="utf-8") as file:
    writer = csv.writer(file)
    writer.writerow(["file", "column", "month", "mean", "mean_by_place"])
    writer.writerows(rows)
print(len(places), "files,", len(rows), "means")
