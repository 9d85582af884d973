"""Friction, coils, fittings, pump curves and whole networks from fluids and scipy, for tests/tests/hydraulics.

    hydraulics.py FOLDER [...]

Writes FOLDER/hydraulics.csv with the columns quantity, source, a, b, c, d, value (what a to d are stands beside each
block below; all SI) and FOLDER/hydraulics_networks.json: random networks with the flow of every piece, found with
scipy's brentq one inside the other on equations written here once more.
"""

import csv
import json
import math
import pathlib
import random
import sys

from fluids import fittings, friction
from scipy.interpolate import CubicHermiteSpline, PchipInterpolator
from scipy.optimize import brentq

FOLDER = pathlib.Path(sys.argv[1])
GRAVITY = 9.80665
rows = []


def put(quantity, source, a, b, c, d, value):
    rows.append([quantity, source] + [repr(float(x)) for x in (a, b, c, d, value)])


# a Reynolds number, b roughness over bore
for i in range(61):
    re = 4000.0 * 10 ** (i * math.log10(1e8 / 4000.0) / 60)
    for rough in (0.0, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2, 5e-2):
        put("colebrook", "fluids", re, rough, 0, 0, friction.Colebrook(re, rough))
        put("haaland", "fluids", re, rough, 0, 0, friction.Haaland(re, rough))
        put("swamee_jain", "fluids", re, rough, 0, 0, friction.Swamee_Jain_1976(re, rough))

DENSITY, VISCOSITY = 996.5, 8.51e-4


def darcy(factor, length, bore, flow):
    speed = flow / (math.pi / 4 * bore * bore)
    return factor * length / bore * DENSITY * speed * speed / 2


# Pressure drop, Pa, of straight tube: a flow, b bore, c length, d roughness. Water of DENSITY and VISCOSITY.
for bore in (0.004, 0.008, 0.0123, 0.01524, 0.0208, 0.0266, 0.0351, 0.0525):
    for length in (0.5, 10.0, 61.0, 152.4):
        for i in range(12):
            re = 60.0 * 1.9 ** i
            for rough_m in (0.0, 1.5e-6, 1e-5, 4.5e-5):
                flow = re * math.pi * bore * VISCOSITY / (4 * DENSITY)
                factor = friction.friction_factor(re, rough_m / bore)
                put("straight_drop", "fluids", flow, bore, length, rough_m, darcy(factor, length, bore, flow))

# The same of smooth coil: d coil diameter. Laminar by White up to Ito's critical Reynolds number; turbulent by other
# authors from 1.75 times that on.
for bore in (0.0123, 0.01524, 0.0208, 0.0266):
    for ratio in (20.0, 40.0, 80.0, 160.0):
        coil = bore * ratio
        critical = friction.helical_transition_Re_Ito(bore, coil)
        assert abs(critical / friction.helical_Re_crit(bore, coil, "Ito") - 1) < 1e-12
        for length in (10.0, 61.0):
            for i in range(16):
                re = 60.0 * 1.6 ** i
                flow = re * math.pi * bore * VISCOSITY / (4 * DENSITY)
                if re < critical:
                    factor = friction.helical_laminar_fd_White(re, bore, coil)
                    put("coil_laminar", "fluids White", flow, bore, length, coil, darcy(factor, length, bore, flow))
                    factor = friction.helical_laminar_fd_Schmidt(re, bore, coil)
                    put("coil_laminar", "fluids Schmidt", flow, bore, length, coil, darcy(factor, length, bore, flow))
                    factor = friction.helical_laminar_fd_Mori_Nakayama(re, bore, coil)
                    put("coil_laminar", "fluids Mori-Nakayama", flow, bore, length, coil, darcy(factor, length, bore, flow))
                elif re > 1.75 * critical:
                    for name, f in (
                        ("Mori-Nakayama", friction.helical_turbulent_fd_Mori_Nakayama),
                        ("Schmidt", friction.helical_turbulent_fd_Schmidt),
                        ("Czop", friction.helical_turbulent_fd_Czop),
                        ("Ju", friction.helical_turbulent_fd_Ju),
                    ):
                        put("coil_turbulent", f"fluids {name}", flow, bore, length, coil, darcy(f(re, bore, coil), length, bore, flow))
        put("critical", "fluids Ito", 1 / ratio, 0, 0, 0, critical)

# a bore before, b bore after, c whole angle in degrees; on the smaller bore
for ratio in (0.3, 0.5, 0.7, 0.9):
    # Crane changes formula at 45 degrees with a jump of 1 %.
    for angle in (5.0, 20.0, 44.0, 60.0, 120.0, 180.0):
        small, large = 0.05 * ratio, 0.05
        put("reducer_down", "fluids Crane", large, small, angle, 0,
            fittings.contraction_conical_Crane(Di1=large, Di2=small, angle=angle))
        # fluids gives the loss of Crane's taper on the larger bore's velocity head.
        up = fittings.diffuser_conical_Crane(Di1=small, Di2=large, angle=angle)
        put("reducer_up", "fluids Crane", small, large, angle, 0, up)
    put("contraction", "fluids Crane", large, small, 0, 0,
        fittings.contraction_sharp(Di1=large, Di2=small, method="Crane"))
    put("contraction_other", "fluids Rennels", large, small, 0, 0, fittings.contraction_sharp(Di1=large, Di2=small))
    put("expansion", "fluids Borda-Carnot", small, large, 0, 0, fittings.diffuser_sharp(Di1=small, Di2=large))
# a bore, b radius of the lip
for lip in (0.0, 0.02, 0.05, 0.1, 0.2, 0.5):
    put("entrance_rounded", "fluids Swamee", 0.05, 0.05 * lip, 0, 0,
        fittings.entrance_rounded(Di=0.05, rc=0.05 * lip, method="Swamee"))

# a flow, of the curve POINTS
POINTS = [(0.0, 7.0), (2e-4, 6.8), (6e-4, 5.6), (1.0e-3, 4.0), (1.2e-3, 0.5)]
pchip = PchipInterpolator(*zip(*POINTS))
for i in range(121):
    put("pump_points", "scipy PCHIP", i * 1e-5, 0, 0, 0, float(pchip(i * 1e-5)))

with open(FOLDER / "hydraulics.csv", "w", newline="", encoding="utf-8") as f:
    out = csv.writer(f)
    out.writerow(["quantity", "source", "a", "b", "c", "d", "value"])
    out.writerows(rows)

# --- Networks -------------------------------------------------------------------------------------------------------


def laminar(re, curvature):
    return 64 / re if curvature == 0 else friction.helical_laminar_fd_White(re, curvature, 1.0)


def turbulent(re, curvature, rough):
    straight = friction.Colebrook(re, rough)
    if curvature == 0:
        return straight
    smooth = friction.Colebrook(re, 0.0)
    ito = 4 * math.sqrt(curvature) * (0.00725 + 0.076 * (re * curvature * curvature) ** -0.25)
    return straight * max(1.0, ito / smooth)


joins = {}


def factor(re, curvature, rough):
    """The join: ln(f Re²) a cubic in ln Re between critical and 40/23 of it, slopes by differences."""
    low = 2300.0 if curvature == 0 else max(2300.0, friction.helical_transition_Re_Ito(curvature, 1.0))
    high = low * 40 / 23
    if re <= low:
        return laminar(re, curvature)
    if re >= high:
        return turbulent(re, curvature, rough)
    key = (curvature, rough)
    if key not in joins:
        def phi(x, f):
            return math.log(f(math.exp(x))) + 2 * x

        def slope(x, f):
            # Five points, step 1e-3: error of some 1e-13.
            h = 1e-3
            return (phi(x - 2 * h, f) - 8 * phi(x - h, f) + 8 * phi(x + h, f) - phi(x + 2 * h, f)) / (12 * h)

        x0, x1 = math.log(low), math.log(high)
        f0, f1 = (lambda r: laminar(r, curvature)), (lambda r: turbulent(r, curvature, rough))
        joins[key] = CubicHermiteSpline([x0, x1], [phi(x0, f0), phi(x1, f1)], [slope(x0, f0), slope(x1, f1)])
    x = math.log(re)
    return math.exp(float(joins[key](x)) - 2 * x)


def piece_drop(p, flow):
    if flow <= 0:
        return 0.0
    bore = p["bore_m"]
    area = math.pi / 4 * bore * bore
    speed = flow / area
    re = DENSITY * speed * bore / VISCOSITY
    curvature = bore / p["coil_m"] if p["coil_m"] else 0.0
    drop = p["length_m"] and darcy(factor(re, curvature, p["roughness_m"] / bore), p["length_m"], bore, flow)
    drop += p["k"] * DENSITY * speed * speed / 2
    x = flow / p["filter_flow_m3_s"]
    return drop + p["filter_pa"] * (p["linear_frac"] * x + (1 - p["linear_frac"]) * x * x)


TIGHT = dict(xtol=1e-18, rtol=8.9e-16, maxiter=500)


def drop_of(n, flow):
    if "piece" in n:
        return piece_drop(n["piece"], flow)
    if "series" in n:
        return sum(drop_of(x, flow) for x in n["series"])
    if flow <= 0:
        return 0.0
    most = min(drop_of(x, flow) for x in n["side"])
    return brentq(lambda drop: sum(flow_of(x, drop, flow) for x in n["side"]) - flow, 0.0, 1.01 * most, **TIGHT)


def flow_of(n, drop, most):
    if "side" in n:
        return sum(flow_of(x, drop, most) for x in n["side"])
    top = most
    while drop_of(n, top) < drop:
        top *= 2
    return brentq(lambda q: drop_of(n, q) - drop, 0.0, top, **TIGHT)


def flows(n, flow, into):
    if "piece" in n:
        into.append(flow)
    elif "series" in n:
        for x in n["series"]:
            flows(x, flow, into)
    else:
        drop = drop_of(n, flow)
        for x in n["side"]:
            flows(x, flow_of(x, drop, flow), into)
    return into


rng = random.Random(20_240_704)


def piece():
    return {"piece": {
        "length_m": rng.choice([0.0, 3.0, 15.0, 61.0, 150.0]),
        "bore_m": rng.choice([0.0123, 0.01524, 0.0208, 0.0266, 0.0409]),
        "roughness_m": rng.choice([0.0, 1.5e-6, 1e-4]),
        "coil_m": rng.choice([0.0, 0.0, 0.4, 0.9]),
        "k": rng.choice([0.3, 2.0, 12.0]),
        "filter_pa": rng.choice([0.0, 0.0, 2e4]),
        "filter_flow_m3_s": 1e-3,
        "linear_frac": 0.3,
    }}


def series(of, low, high):
    return {"series": [of() for _ in range(rng.randint(low, high))]}


def side(of, low, high):
    return {"side": [of() for _ in range(rng.randint(low, high))]}


kinds = [
    lambda: series(piece, 1, 5),
    lambda: side(piece, 2, 5),
    lambda: series(lambda: side(piece, 2, 3), 2, 3),
    lambda: side(lambda: series(piece, 1, 3), 2, 4),
    lambda: series(lambda: rng.choice([piece, lambda: side(lambda: series(piece, 1, 2), 2, 3)])(), 2, 4),
    lambda: side(lambda: {"series": [piece(), side(piece, 2, 2)]}, 2, 2),
]
networks = []
for i in range(72):
    network = kinds[i % len(kinds)]()
    shut_off, most = rng.uniform(2, 20), rng.uniform(5e-4, 4e-3)

    def surplus(q):
        head = shut_off * (1 - (q / most) ** 2)
        return drop_of(network, q) - DENSITY * GRAVITY * head

    total = brentq(surplus, 1e-12, most, **TIGHT)
    networks.append({
        "shut_off_m": shut_off,
        "free_flow_m3_s": most,
        "network": network,
        "total_m3_s": total,
        "flows_m3_s": flows(network, total, []),
    })
document = {"density_kg_m3": DENSITY, "viscosity_pa_s": VISCOSITY, "networks": networks}
(FOLDER / "hydraulics_networks.json").write_text(json.dumps(document, indent=1), encoding="utf-8")
