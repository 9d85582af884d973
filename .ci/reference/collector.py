"""Films and conduction from reference libraries, for tests/tests/collector/films.rs.

    collector.py FOLDER [...]

Writes FOLDER/collector.csv with the columns quantity, source, a, b, c, value; what a, b and c are stands beside each.
"""

import csv
import math
import pathlib
import sys

import fluids
import ht
from ht.conv_free_immersed import Nu_horizontal_cylinder_Churchill_Chu, Nu_horizontal_plate_McAdams
from ht.conv_internal import (
    helical_turbulent_Nu_Schmidt,
    helical_turbulent_Nu_Xin_Ebadian,
    turbulent_Gnielinski,
)

rows = []


def put(quantity, source, a, b, c, value):
    rows.append((quantity, source, repr(float(a)), repr(float(b)), repr(float(c)), repr(float(value))))


def logs(first, last, n):
    return [first * (last / first) ** (i / (n - 1)) for i in range(n)]


# a = Reynolds number, b = Prandtl number: Gnielinski with Petukhov's friction factor.
for re in logs(3e3, 1e6, 40):
    for pr in (3.0, 5.83, 7.0, 10.0):
        f = (0.79 * math.log(re) - 1.64) ** -2
        put("gnielinski", "ht", re, pr, 0, turbulent_Gnielinski(Re=re, Pr=pr, fd=f))

# a = Reynolds number, b = Prandtl number, c = bore over coil diameter: two neighbours of the turbulent coil.
for re in logs(2.3e4, 1e5, 12):
    for curvature in (0.0127, 0.0254, 0.05, 0.08):
        put("coil_turbulent", "ht Schmidt", re, 5.83, curvature, helical_turbulent_Nu_Schmidt(re, 5.83, curvature, 1.0))
        put("coil_turbulent", "ht Xin & Ebadian", re, 5.83, curvature, helical_turbulent_Nu_Xin_Ebadian(re, 5.83, curvature, 1.0))

# a = bore over coil diameter: critical Reynolds number of a coil.
for curvature in logs(0.005, 0.2, 20):
    put("coil_critical", "fluids Schmidt", curvature, 0, 0, fluids.helical_transition_Re_Schmidt(curvature, 1.0))

# a = Reynolds number, b = Prandtl number: cylinder across the wind.
for re in logs(1.0, 1e5, 50):
    for pr in (0.70, 0.71, 0.73):
        put("cylinder_wind", "ht", re, pr, 0, ht.Nu_cylinder_Churchill_Bernstein(Re=re, Pr=pr))
    # Neighbours, which differ by what such correlations differ.
    put("cylinder_wind_neighbour", "ht Zukauskas", re, 0.71, 0, ht.Nu_cylinder_Zukauskas(Re=re, Pr=0.71))
    put("cylinder_wind_neighbour", "ht Sanitjai & Goldstein", re, 0.71, 0, ht.Nu_cylinder_Sanitjai_Goldstein(Re=re, Pr=0.71))

# a = Rayleigh number (Grashof 1/Pr of it): natural convection of a horizontal cylinder and of a hot plate facing up.
for ra in logs(1e2, 1e8, 40):
    put("cylinder_natural", "ht", ra, 0.71, 0, Nu_horizontal_cylinder_Churchill_Chu(Pr=0.71, Gr=ra / 0.71))
for ra in logs(1.01e7, 1e10, 20):
    put("plate_natural", "ht", ra, 0.71, 0, Nu_horizontal_plate_McAdams(Pr=0.71, Gr=ra / 0.71, buoyancy=True))

# a = spacing, b = outside diameter, c = depth, m: conduction of one cylinder below a plane (one W/(m K), one metre).
for depth in (0.05, 0.1, 0.3):
    for diameter in (0.012, 0.0159, 0.0267):
        put("single_buried", "ht", 0, diameter, depth, ht.S_isothermal_pipe_to_plane(diameter, depth, 1.0))

folder = pathlib.Path(sys.argv[1])
folder.mkdir(parents=True, exist_ok=True)
with open(folder / "collector.csv", "w", newline="") as out:
    writer = csv.writer(out)
    writer.writerow(("quantity", "source", "a", "b", "c", "value"))
    writer.writerows(rows)
