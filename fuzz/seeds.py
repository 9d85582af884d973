#!/usr/bin/env python3
"""Writes fuzz/corpus: some days of the samples in every format. Needs nothing but Python and this checkout."""

import gzip
import pathlib

here = pathlib.Path(__file__).resolve().parent
samples = here.parent / "weather-samples"


def put(target, name, body, head=True):
    """The first byte says whether the target puts its own head before the rest (see src/lib.rs)."""
    folder = here / "corpus" / target
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes((b"\x0d" if head else b"\x0c") + body)


def lines(rows):
    return ("\n".join(rows) + "\n").encode()


for place in ("temperate", "cool-south", "hot-dry"):
    epw = (samples / f"{place}.epw").read_text().splitlines()
    csv = (samples / f"{place}.tmy3.csv").read_text().splitlines() if place == "temperate" else None
    for day in (0, 58, 180):
        rows = [r.split(",") for r in epw[8 + 24 * day : 8 + 24 * (day + 2)]]
        name = f"{place}-{day}"
        put("epw", name, lines(map(",".join, rows)))
        put("epw", name + "-whole", lines(epw[:8] + list(map(",".join, rows))), head=False)
        if csv:
            put("tmy3", name + "-whole", lines(csv[:2] + csv[2 + 24 * day : 2 + 24 * (day + 2)]), head=False)
        put("gz", name, gzip.compress(lines(epw[:8] + list(map(",".join, rows))), mtime=0), head=False)
        tmy3, nsrdb, pvgis, tmy2, plain = [], [], [], [], []
        for r in rows:
            year, month, day_, hour = (int(v) for v in r[:4])
            air, dew, rh, pressure = (float(v) for v in r[6:10])
            ghi, dni, dhi = (float(v) for v in r[13:16])
            # The samples have none of these.
            infrared, cover, albedo = 310.0, 5.0, "0.2"
            wind = float(r[21])
            tmy3.append(
                f"{month:02}/{day_:02}/{year},{hour:02}:00,{ghi},{dni},{dhi},{cover},{air},{dew},{rh},{pressure / 100},{wind},{albedo},0.2,1"
            )
            nsrdb.append(
                f"{year},{month},{day_},{hour - 1},30,{ghi},{dni},{dhi},{air},{dew},{rh},{pressure / 100},{wind},{albedo}"
            )
            pvgis.append(
                f"{year}{month:02}{day_:02}:{hour - 1:02}00,{air},{rh},{ghi},{dni},{dhi},{infrared},{wind},90,{pressure}"
            )
            t = [" "] * 141 + ["0"]
            for first, last, text in [
                (2, 3, f"{year % 100:02}"), (4, 5, f"{month:2}"), (6, 7, f"{day_:2}"), (8, 9, f"{hour:2}"),
                (18, 21, f"{ghi:4.0f}"), (24, 27, f"{dni:4.0f}"), (30, 33, f"{dhi:4.0f}"), (60, 61, f"{cover:2.0f}"),
                (68, 71, f"{air * 10:4.0f}"), (74, 77, f"{dew * 10:4.0f}"), (80, 82, f"{rh:3.0f}"),
                (85, 88, f"{pressure / 100:4.0f}"), (96, 98, f"{wind * 10:3.0f}"),
            ]:
                t[first - 1 : last] = list(text[: last - first + 1])
            tmy2.append("".join(t))
            plain.append(f"{year}-{month:02}-{day_:02} {hour - 1:02}:00,{air},{dew},{wind},{ghi},{dni},{dhi},0.2")
        put("tmy3", name, lines(tmy3))
        put("nsrdb", name, lines(nsrdb))
        put("pvgis", name, lines(pvgis))
        put("tmy2", name, lines(tmy2))
        put("plain", name, lines(plain))
        put("plain", name + "-semicolons", lines(
            ["# latitude_deg: 42,1 N;;", "# longitude_deg: 85,3 W", "# altitude: 853 ft", "# time: middle", "# missing: -999 x", "# wind_height_m: 2",
             "# interval_minutes: 60", "# typical: yes", "", "date;time;air_f;RH (%);wind_mph;ghi_kj_m2;sky_cover_oktas;pressure_inhg;rain_in;remark"]
            + [f"{int(r[2]):02}.{int(r[1]):02}.{r[0]};{int(r[3]) - 1:02}:30:00;{float(r[6]) * 1.8 + 32};{r[8]};{r[21]};{float(r[13]) * 3.6};4;29,5;-;x" for r in rows]
        ), head=False)
        put("plain", name + "-offsets", lines(
            ["# latitude_deg: 42.1", "# longitude_deg: -85.3", "time_end,air_c,humidity_percent,wind_m_s,ghi_w_m2"]
            + [f"{r[0]}-{int(r[1]):02}-{int(r[2]):02}T{int(r[3]):02}:00-05:00,{r[6]},{r[8]},{r[21]},{r[13]}" for r in rows]
        ), head=False)

months = range(1, 13)
put_normals = here / "corpus" / "normals"
put_normals.mkdir(parents=True, exist_ok=True)
for table in sorted(here.parent.glob("weather-samples/*normals*")) + sorted(here.parent.glob("tests/bad/normals/*.csv")):
    (put_normals / table.name).write_bytes(table.read_bytes())
(put_normals / "made.csv").write_bytes(lines(
    ["# place: Nowhere", "# latitude_deg: 42.1", "# longitude_deg: -85.3", "# altitude_m: 260", "# utc_offset_h: -5",
     "month,max_c,min_c,sun_kwh_m2,dew_point_c,wind_m_s,rain_mm,rain_days"]
    + [f"{m},{10 + m},{m},{4 + m % 3},{m - 2},3,50,9" for m in months]
))
