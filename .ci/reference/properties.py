"""Moist air and water from reference libraries, for tests/tests/properties.rs.

    properties.py FOLDER [...]

Writes FOLDER/properties.csv with the columns quantity, source, a, b, c, value. a is a temperature in degrees Celsius
(an altitude in metres for the standard pressure), b and c what else the quantity needs; all SI.
"""

import csv
import pathlib
import sys

import psychrolib
from CoolProp.CoolProp import PropsSI
from iapws import IAPWS97

psychrolib.SetUnitSystem(psychrolib.SI)
SEA = 101325.0
rows = []


def put(quantity, source, a, b, c, value):
    rows.append((quantity, source, repr(float(a)), repr(float(b)), repr(float(c)), repr(float(value))))


def steps(first, last, step):
    n = round((last - first) / step)
    return [first + i * step for i in range(n + 1)]


# Saturation over liquid water. Below the triple point psychrolib turns to ice, CoolProp and iapws end.
for t in steps(0.5, 60.0, 0.5):
    put("saturation_pressure_pa", "psychrolib", t, 0, 0, psychrolib.GetSatVapPres(t))
    put("saturation_pressure_pa", "CoolProp", t, 0, 0, PropsSI("P", "T", t + 273.15, "Q", 0, "Water"))
    put("saturation_pressure_pa", "iapws", t, 0, 0, IAPWS97(T=t + 273.15, x=0).P * 1e6)

for t in steps(0.5, 60.0, 0.5):
    vapour = PropsSI("H", "T", t + 273.15, "Q", 1, "Water")
    liquid = PropsSI("H", "T", t + 273.15, "Q", 0, "Water")
    put("latent_heat_j_kg", "CoolProp", t, 0, 0, vapour - liquid)

# Moist air: b = vapour pressure in Pa, c = atmospheric pressure in Pa.
for t in steps(-20.0, 60.0, 2.5):
    for humidity in (0.1, 0.3, 0.5, 0.7, 0.9):
        # The vapour pressure by Hyland & Wexler over liquid; what is compared is what follows from it.
        if t < 0.5:
            continue
        vapour = psychrolib.GetVapPresFromRelHum(t, humidity)
        dew = psychrolib.GetTDewPointFromVapPres(t, vapour)
        if dew > 0.1:
            put("dew_point_c", "psychrolib", t, vapour, 0, dew)
            put("relative_humidity_frac", "psychrolib", t, dew, 0, humidity)
        for pressure in (70000.0, 85000.0, SEA):
            put("humidity_ratio", "psychrolib", t, vapour, pressure, psychrolib.GetHumRatioFromVapPres(vapour, pressure))
            wet = psychrolib.GetTWetBulbFromRelHum(t, humidity, pressure)
            if wet > 0.1:
                put("wet_bulb_c", "psychrolib", t, vapour, pressure, wet)

for altitude in steps(-400.0, 4000.0, 100.0):
    put("pressure_at_altitude_pa", "psychrolib", altitude, 0, 0, psychrolib.GetStandardAtmPressure(altitude))

for t in steps(-20.0, 120.0, 2.5):
    kelvin = t + 273.15
    for pressure in (70000.0, SEA):
        put("air_density_kg_m3", "CoolProp", t, 0, pressure, PropsSI("D", "T", kelvin, "P", pressure, "Air"))
        viscosity = PropsSI("V", "T", kelvin, "P", pressure, "Air")
        density = PropsSI("D", "T", kelvin, "P", pressure, "Air")
        put("air_kinematic_viscosity_m2_s", "CoolProp", t, 0, pressure, viscosity / density)
        put("air_conductivity_w_m_k", "CoolProp", t, 0, pressure, PropsSI("L", "T", kelvin, "P", pressure, "Air"))
        put("air_prandtl", "CoolProp", t, 0, pressure, PropsSI("PRANDTL", "T", kelvin, "P", pressure, "Air"))

for t in steps(0.5, 99.5, 0.5):
    kelvin = t + 273.15
    for quantity, key in (
        ("water_density_kg_m3", "D"),
        ("water_specific_heat_j_kg_k", "C"),
        ("water_conductivity_w_m_k", "L"),
        ("water_dynamic_viscosity_pa_s", "V"),
        ("water_prandtl", "PRANDTL"),
        ("water_expansion_1_k", "ISOBARIC_EXPANSION_COEFFICIENT"),
    ):
        put(quantity, "CoolProp", t, 0, SEA, PropsSI(key, "T", kelvin, "P", SEA, "Water"))
    other = IAPWS97(T=kelvin, P=SEA * 1e-6)
    put("water_density_kg_m3", "iapws", t, 0, SEA, other.rho)
    put("water_specific_heat_j_kg_k", "iapws", t, 0, SEA, other.cp * 1e3)
    put("water_conductivity_w_m_k", "iapws", t, 0, SEA, other.k)
    put("water_dynamic_viscosity_pa_s", "iapws", t, 0, SEA, other.mu)

folder = pathlib.Path(sys.argv[1])
folder.mkdir(parents=True, exist_ok=True)
with (folder / "properties.csv").open("w", newline="", encoding="utf-8") as out:
    writer = csv.writer(out)
    writer.writerow(("quantity", "source", "a", "b", "c", "value"))
    writer.writerows(rows)
print(f"properties.csv: {len(rows)} values")
