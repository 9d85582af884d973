"""Least squares and correlated errors from scipy and numpy, for tests/tests/check_least_squares.rs.

    check.py FOLDER [...]

Writes FOLDER/check_fit.json: cooling water read at uneven times, with priors on what is unknown; the same residuals are written
once more in the test. scipy.optimize.least_squares finds the parameters and their covariance; the likelihood of a process that
forgets, read with errors, is computed with the whole covariance matrix (no filter).
"""

import json
import math
import pathlib
import sys

import numpy as np
from scipy.optimize import least_squares

FOLDER = pathlib.Path(sys.argv[1])
rng = np.random.default_rng(20)


def water(parameters, hours):
    """Water that cools to the air: start, loss per hour and gain of a daily sun, integrated exactly."""
    start, loss, gain = parameters
    air, omega = 15.0, 2.0 * math.pi / 24.0
    # T' = -loss (T - air) + gain (1 - cos(omega t))
    forced = lambda t: gain / loss - gain * (loss * np.cos(omega * t) + omega * np.sin(omega * t)) / (
        loss**2 + omega**2
    )
    return air + forced(hours) + (start - air - forced(0.0)) * np.exp(-loss * hours)


cases = []
for case in range(12):
    hours = np.sort(rng.uniform(0.0, 24.0 * rng.uniform(3, 12), size=int(rng.integers(12, 60))))
    truth = [rng.uniform(18, 28), rng.uniform(0.004, 0.03), rng.uniform(0.05, 0.5)]
    measured = water(truth, hours) + 0.2 * rng.standard_normal(hours.size)
    prior = [truth[0] + rng.normal(), truth[1] * 1.3, truth[2] * 0.8]
    spread = [2.0, truth[1] * 0.5, truth[2] * 0.5]

    def residuals(z):
        parameters = [p + s * x for p, s, x in zip(prior, spread, z)]
        return np.concatenate([(measured - water(parameters, hours)) / 0.2, z])

    found = least_squares(residuals, np.zeros(3), method="lm", xtol=1e-14, ftol=1e-14, gtol=1e-14)
    covariance = np.linalg.inv(found.jac.T @ found.jac)

    # The likelihood of all misses together: errors of each reading, and an Ornstein-Uhlenbeck process that starts at 0.
    model_sd, forgets, reading = rng.uniform(0.05, 0.6), 60.0, rng.uniform(0.1, 0.3)
    since = hours - hours[0]
    a, b = np.meshgrid(since, since)
    process = model_sd**2 * (np.exp(-np.abs(a - b) / forgets) - np.exp(-(a + b) / forgets))
    whole = process + reading**2 * np.eye(hours.size)
    misses = measured - water(truth, hours)
    cases.append(
        {
            "hours": hours.tolist(),
            "measured": measured.tolist(),
            "prior": prior,
            "spread": spread,
            "z": found.x.tolist(),
            "cost": float(found.cost),
            "covariance": covariance.tolist(),
            "model_sd": model_sd,
            "reading_sd": reading,
            "misses": misses.tolist(),
            "quadratic": float(misses @ np.linalg.solve(whole, misses)),
            "log_determinant": float(np.linalg.slogdet(whole)[1]),
        }
    )

(FOLDER / "check_fit.json").write_text(json.dumps(cases), encoding="utf-8")
