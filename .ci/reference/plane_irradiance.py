"""Reference values for tests/tests/plane_irradiance.rs.

    plane_irradiance.py OUTPUT_FOLDER WEATHER_FOLDER

Reads real weather years out of installed packages (never committed) and lets pvlib compute the sun, air mass,
extraterrestrial irradiance and the irradiance on planes by four models. One CSV a weather file, one row an
interval; the inputs stand beside the results, so that the check needs no weather reader. A value that does not
exist (sun below the horizon) is an empty cell. Also one month of measured irradiance and longwave, as hourly means.
"""

import csv
import pathlib
import sys

import numpy as np
import pandas as pd
import pvlib

OUT = pathlib.Path(sys.argv[1])
WEATHER = pathlib.Path(sys.argv[2])
ALBEDO = 0.2
# tilt, azimuth: flat, gentle, steep, upright; towards the equator, east, west, the pole and between.
PLANES = [
    (0, 180), (10, 180), (30, 180), (45, 180), (60, 180), (90, 180), (30, 90), (90, 90),
    (30, 270), (90, 270), (45, 0), (90, 0), (60, 135), (35, 225),
]
MODELS = {"perez": "perez", "hdkr": "reindl", "hay-davies": "haydavies", "isotropic": "isotropic"}
FILES = {
    "tmy3_36n": "pvlib-0.16.1/pvlib/data/723170TYA.CSV",
    "tmy3_55n": "pvlib-0.16.1/pvlib/data/703165TY.csv",
    "epw_42n": "diyepw-1.3.1/diyepw/data/tmy_epw_files/USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw",
    "epw_63n": "diyepw-1.3.1/diyepw/data/tmy_epw_files/USA_AK_Northway.AP.702910_TMY3.epw",
    "epw_52n": "pvlib-0.11.2/pvlib/data/NLD_Amsterdam062400_IWEC.epw",
}


def hours_of_2001(offset_h):
    """Starts of the hours of a typical year in UTC."""
    local = pd.date_range("2001-01-01", periods=8760, freq="h")
    return (local - pd.Timedelta(hours=offset_h)).tz_localize("UTC")


def read_tmy3(path):
    with open(path, encoding="latin-1", newline="") as file:
        lines = list(csv.reader(file))
    place, head, rows = lines[0], lines[1], lines[2:8762]
    column = {name: i for i, name in enumerate(head)}

    def take(*names):
        i = next(column[n] for n in names if n in column)
        return np.array([float(row[i]) for row in rows])

    table = {
        "ghi": take("GHI (W/m^2)"),
        "dni": take("DNI (W/m^2)", "DNI (W/m^2))"),
        "dhi": take("DHI (W/m^2)"),
        "air_c": take("Dry-bulb (C)"),
        "dew_point_c": take("Dew-point (C)"),
        "pressure_pa": take("Pressure (mbar)") * 100.0,
        "cover_frac": take("TotCld (tenths)") / 10.0,
    }
    return float(place[4]), float(place[5]), float(place[3]), table


def read_epw(path):
    with open(path, encoding="latin-1", newline="") as file:
        lines = list(csv.reader(file))
    place, rows = lines[0], [row for row in lines[8:] if len(row) > 30]
    assert len(rows) == 8760, path

    def take(i):
        return np.array([float(row[i]) for row in rows])

    table = {
        "ghi": take(13),
        "dni": take(14),
        "dhi": take(15),
        "air_c": take(6),
        "dew_point_c": take(7),
        "pressure_pa": take(9),
        "infrared": take(12),
        "cover_frac": take(22) / 10.0,
    }
    return float(place[6]), float(place[7]), float(place[8]), table


def planes(name, path):
    latitude, longitude, offset_h, table = (read_epw if path.suffix == ".epw" else read_tmy3)(path)
    start = hours_of_2001(offset_h)
    middle = start + pd.Timedelta(minutes=30)
    sun = pvlib.solarposition.spa_python(middle, latitude, longitude)
    zenith, azimuth = sun["zenith"].to_numpy(), sun["azimuth"].to_numpy()
    air_mass = pvlib.atmosphere.get_relative_airmass(
        sun["apparent_zenith"].to_numpy(), model="kastenyoung1989"
    )
    extra = pvlib.irradiance.get_extra_radiation(middle).to_numpy()
    frame = pd.DataFrame({
        "start_unix_s": (start - pd.Timestamp("1970-01-01", tz="UTC")) // pd.Timedelta(seconds=1),
        "latitude": latitude,
        "longitude": longitude,
        **table,
        "albedo": ALBEDO,
        "zenith": zenith,
        "azimuth": azimuth,
        "air_mass": air_mass,
        "extraterrestrial": extra,
    })
    lit = (zenith < 90.0) & np.isfinite(air_mass) & (table["ghi"] > 0.0)
    for tilt, facing in PLANES:
        for ours, theirs in MODELS.items():
            found = pvlib.irradiance.get_total_irradiance(
                tilt, facing, zenith, azimuth, table["dni"], table["ghi"], table["dhi"],
                dni_extra=extra, airmass=air_mass, albedo=ALBEDO, model=theirs,
            )
            total = np.asarray(found["poa_global"], dtype=float)
            frame[f"{ours} {tilt} {facing}"] = np.where(lit, total, np.nan)
    frame.to_csv(OUT / f"plane_irradiance_{name}.csv", index=False, float_format="%.9g")


def measured():
    """June 2016 at Payerne (BSRN station, one-minute means) as hourly means of complete hours."""
    path = WEATHER / "pvlib-0.11.2/pvlib/data/bsrn-pay0616.dat.gz"
    data, _ = pvlib.iotools.read_bsrn(str(path))
    column = {c.lower(): c for c in data.columns}
    names = {
        "ghi": "ghi", "dni": "dni", "dhi": "dhi", "longwave": "lwd", "air_c": "temp_air",
        "humidity": "relative_humidity", "pressure_hpa": "pressure",
    }
    wanted = data[[column[n] for n in names.values()]].copy()
    wanted.columns = list(names)
    hourly = wanted.resample("1h").mean()
    hourly[wanted.resample("1h").count() < 50] = np.nan
    hourly = hourly.interpolate(limit=3).dropna()
    saturation = 611.2 * np.exp(17.62 * hourly["air_c"] / (243.12 + hourly["air_c"]))
    vapour = np.log(saturation * hourly["humidity"].clip(1, 100) / 100.0 / 611.2)
    hourly["dew_point_c"] = 243.12 * vapour / (17.62 - vapour)  # WMO-No. 8, annex 4.B
    hourly["pressure_pa"] = hourly.pop("pressure_hpa") * 100.0
    hourly.pop("humidity")
    epoch = pd.Timestamp("1970-01-01", tz="UTC")
    hourly.insert(0, "start_unix_s", (hourly.index - epoch) // pd.Timedelta(seconds=1))
    hourly["latitude"], hourly["longitude"] = 46.815, 6.944
    hourly.to_csv(OUT / "measured_payerne.csv", index=False, float_format="%.9g")


OUT.mkdir(parents=True, exist_ok=True)
for name, file in FILES.items():
    planes(name, WEATHER / file)
measured()
