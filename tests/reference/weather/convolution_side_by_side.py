"""Holds the inflow hydrograph against numpy and scipy, which compute it independently.

usage: convolution_side_by_side.py PRINT_INFLOW STORMS_FOLDER

The sewer response is compared with (a) numpy.convolve of rain increments and the triangles' ordinates, and (b) the
convolution integral by scipy.integrate.quad with the rain rate of the table and each triangle as functions; the surface
runoff with numpy.convolve of curve-number excess and the dimensionless unit hydrograph, interpolated by scipy. Volumes
are compared by scipy.integrate.trapezoid. Exits 1 on any disagreement.

Sources: definition of the convolution integral; curve number and retention, USDA-NRCS TR-55 (2nd ed., June 1986), eqs 2-1
to 2-4; time to peak D/2 + 0.6 Tc, USDA-NRCS National Engineering Handbook Part 630 Ch. 16. The catchment is invented.
"""
import subprocess
import sys

import numpy as np
from scipy.integrate import quad, trapezoid
from scipy.interpolate import interp1d

STEP_S = 10.0
DEPTH_M, BEGINS_S = 0.1, 1800.0
SEWERED_M2, TRIANGLES = 1.5e6, [(0.05, 1800.0, 1.5), (0.04, 7200.0, 2.0), (0.03, 21600.0, 3.0)]
SURFACE_M2, CURVE_NUMBER, CONCENTRATION_S, BURST_S = 4e5, 78.0, 2700.0, 360.0


def table(path):
    rows = [line.split(",") for line in open(path) if line[0].isdigit()]
    return np.array(rows, dtype=float)


def triangle(t, r, peak_s, ratio):
    """Ordinate per metre of rain and square metre, 1/s."""
    base_s = peak_s * (1 + ratio)
    top = 2 * r / base_s
    return np.interp(t, [0, peak_s, base_s], [0, top, 0], left=0, right=0)


def main(program, storms):
    printed = subprocess.run([program], capture_output=True, text=True, check=True).stdout.splitlines()[1:]
    ours = np.array([line.split(",") for line in printed], dtype=float)
    t_s, rain_m, sewer_m3s, surface_m3s = ours.T
    failures = 0

    def compare(what, value, reference, tolerance):
        nonlocal failures
        worst = float(np.max(np.abs(np.asarray(value) - np.asarray(reference))) / np.max(np.abs(reference)))
        good = worst <= tolerance
        failures += not good
        print(f"{'agree' if good else 'DISAGREE':8s} {what}: worst difference {worst:.2e} of the peak, allowed {tolerance:.0e}")

    storm = table(f"{storms}/nrcs_type_ii_24h.csv")
    cumulative = interp1d(storm[:, 0] * 3600 + BEGINS_S, DEPTH_M * storm[:, 1], bounds_error=False,
                          fill_value=(0, DEPTH_M))
    compare("cumulative rain, scipy interp1d", rain_m, cumulative(t_s), 1e-12)

    # A cell's rain falls throughout the cell, so the discrete convolution takes the triangles at the cells' middles.
    increments = np.diff(cumulative(t_s))
    middles = t_s[:-1] + STEP_S / 2
    discrete = np.zeros_like(t_s)
    for r, peak_s, ratio in TRIANGLES:
        discrete[1:] += SEWERED_M2 * np.convolve(increments, triangle(middles, r, peak_s, ratio))[: len(t_s) - 1]
    compare("sewer response, numpy convolve", sewer_m3s, discrete, 1e-9)

    knots_s = storm[:, 0] * 3600 + BEGINS_S
    rates_m_s = np.diff(DEPTH_M * storm[:, 1]) / np.diff(knots_s)
    picked = [int(round(h * 3600 / STEP_S)) for h in (6.0, 11.9, 12.55, 12.9, 13.4, 15.0, 20.0, 26.0, 33.0)]
    integrals = []
    for i in picked:
        total = 0.0
        for r, peak_s, ratio in TRIANGLES:
            # Piece by piece between every kink of rain and triangle, where the integrand is a straight line.
            kinks = np.concatenate([knots_s, [t_s[i], t_s[i] - peak_s, t_s[i] - peak_s * (1 + ratio)]])
            low = max(BEGINS_S, t_s[i] - peak_s * (1 + ratio))
            kinks = np.unique(kinks[(kinks >= low) & (kinks <= min(t_s[i], knots_s[-1]))])
            kinks = np.unique(np.concatenate([[low], kinks]))
            for a, b in zip(kinks[:-1], kinks[1:]):
                rate = rates_m_s[np.searchsorted(knots_s, (a + b) / 2) - 1]
                total += SEWERED_M2 * rate * quad(lambda x: float(triangle(t_s[i] - x, r, peak_s, ratio)), a, b)[0]
        integrals.append(total)
    compare("sewer response, scipy quad of the convolution integral", sewer_m3s[picked], integrals, 1e-9)
    compare("sewer volume, scipy trapezoid", [trapezoid(sewer_m3s, t_s)],
            [SEWERED_M2 * DEPTH_M * sum(r for r, _, _ in TRIANGLES)], 1e-12)

    retention_m = (1000 / CURVE_NUMBER - 10) * 0.0254
    ends_s = np.arange(0, 86400 + BEGINS_S + BURST_S, BURST_S)
    beyond_m = np.maximum(cumulative(ends_s) - 0.2 * retention_m, 0)
    excess_m = np.diff(beyond_m**2 / (beyond_m + retention_m))
    unit = table(f"{storms}/nrcs_dimensionless_unit_hydrograph.csv")
    peak_s = BURST_S / 2 + 0.6 * CONCENTRATION_S
    shape = interp1d(unit[:, 0] * peak_s, unit[:, 1] / (trapezoid(unit[:, 1], unit[:, 0]) * peak_s),
                     bounds_error=False, fill_value=0)
    impulses = np.zeros_like(t_s)
    impulses[(ends_s[:-1] / STEP_S).astype(int)] = excess_m
    runoff = SURFACE_M2 * np.convolve(impulses, shape(t_s))[: len(t_s)]
    compare("surface runoff, numpy convolve", surface_m3s, runoff, 1e-9)
    compare("surface volume, scipy trapezoid", [trapezoid(surface_m3s, t_s)], [SURFACE_M2 * excess_m.sum()], 1e-12)

    print(f"{failures} disagreements")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2]))
