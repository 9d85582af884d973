"""Reference values for tests/tests/weather_plain.rs.

    plain_csv.py OUTPUT_FOLDER WEATHER_FOLDER

Writes plain CSV files as other programs would: clock times of whole years from Python's `zoneinfo` (the IANA time zones, with their
daylight saving), units from `scipy.constants`, the table by pandas, packed by Python's gzip. Beside each file stand the values in
SI units by which it was made, in the order of local standard time.

Standard time is that of 15 January or 15 July, whichever is the nearer to UTC's west (the lesser offset).
"""

import datetime as dt
import gzip
import pathlib
import sys
import zoneinfo

import numpy as np
import pandas as pd
from scipy import constants

OUT = pathlib.Path(sys.argv[1])
HOUR = dt.timedelta(hours=1)
CM2 = 1e-4  # m²

#        zone, latitude, longitude, minutes, label, separator
FILES = [
    ("Europe/Berlin", 52.5, 13.4, 60, "time", ","),
    ("America/St_Johns", 47.6, -52.7, 30, "time_end", ";"),
    ("Australia/Lord_Howe", -31.6, 159.1, 15, "time_middle", "\t"),
    ("Pacific/Auckland", -36.8, 174.8, 60, "time", ";"),
    ("America/Santiago", -33.4, -70.7, 60, "time_end", ","),
]

random = np.random.default_rng(20260514)
for zone_name, latitude, longitude, minutes, label, separator in FILES:
    zone = zoneinfo.ZoneInfo(zone_name)
    standard = min(dt.datetime(2026, month, 15, tzinfo=zone).utcoffset() for month in (1, 7))
    start = dt.datetime(2026, 1, 1, tzinfo=dt.timezone(standard))
    step = dt.timedelta(minutes=minutes)
    count = int(dt.timedelta(days=365) / step)
    ahead = {"time": 0 * step, "time_middle": step / 2, "time_end": step}[label]
    times = [(start + i * step + ahead).astimezone(zone).isoformat(sep=" ") for i in range(count)]
    si = pd.DataFrame(
        {
            "air_c": random.uniform(-20, 40, count),
            "dew_point_c": random.uniform(-30, 20, count),
            "pressure_pa": random.uniform(95e3, 103e3, count),
            "wind_m_s": random.uniform(0, 20, count),
            "ghi_w_m2": random.uniform(1, 1000, count),
            "dni_w_m2": random.uniform(1, 900, count),
            "dhi_w_m2": random.uniform(1, 500, count),
            "rain_mm": random.uniform(0, 9, count),
        }
    )
    seconds = step.total_seconds()
    written = pd.DataFrame(
        {
            "rain_in": si.rain_mm * 1e-3 / constants.inch,
            label: times,
            "Air (°F)": constants.convert_temperature(si.air_c, "Celsius", "Fahrenheit"),
            "dew_point_k": constants.convert_temperature(si.dew_point_c, "Celsius", "Kelvin"),
            "pressure_mmhg": si.pressure_pa / constants.mmHg,
            "wind_kn" if minutes == 60 else "wind_mph": si.wind_m_s / (constants.knot if minutes == 60 else constants.mph),
            "ghi_kj_m2": si.ghi_w_m2 * seconds / constants.kilo,
            "dni_wh_m2": si.dni_w_m2 * seconds / constants.hour,
            "dhi_j_cm2": si.dhi_w_m2 * seconds * CM2,
        }
    )
    name = zone_name.split("/")[1].lower()
    head = f"# place: {zone_name}\n# latitude_deg: {latitude}\n# longitude_deg: {longitude}\n# altitude_m: 50\n"
    table = written.to_csv(sep=separator, index=False, decimal="," if separator == ";" else ".", lineterminator="\r\n")
    with gzip.open(OUT / f"plain_{name}.csv.gz", "wb") as packed:
        packed.write((head + table).encode())
    with open(OUT / f"plain_{name}_expected.csv", "w") as out:
        out.write(f"{standard.total_seconds() / 3600},{minutes},{count}\n")
        si.to_csv(out, index=False)
