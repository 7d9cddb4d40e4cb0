"""Holds the estimate of the inflow against numpy, which fits the straight line directly.

usage: estimate_side_by_side.py PRINT_ESTIMATE

The inflow after N readings is the slope of numpy.polyfit, degree 1, through the readings of the volume plus the outflow so
far. The doubt is the deviation of that slope that numpy.polyfit gives for the known noise of the readings (cov="unscaled").
Exits 1 on any disagreement. The readings are invented.
"""
import subprocess
import sys

import numpy as np

NOISE_M3 = 0.4


def main(program):
    printed = subprocess.run([program], capture_output=True, text=True, check=True).stdout.splitlines()[1:]
    t_s, volume_m3, outflow_m3s, inflow_m3s, doubt_m3s = np.array([line.split(",") for line in printed], dtype=float).T
    flowed_in_m3 = volume_m3 + np.cumsum(outflow_m3s) * (t_s[1] - t_s[0])
    worst_inflow = worst_doubt = 0.0
    fits = range(5, len(t_s) + 1)
    for count in fits:
        weights = np.full(count, 1 / NOISE_M3)
        (slope, _), covariance = np.polyfit(t_s[:count], flowed_in_m3[:count], 1, w=weights, cov="unscaled")
        worst_inflow = max(worst_inflow, abs(inflow_m3s[count - 1] - max(slope, 0)))
        deviation = np.sqrt(covariance[0, 0])
        worst_doubt = max(worst_doubt, abs(doubt_m3s[count - 1] / deviation - 1))
    good = worst_inflow < 1e-8 and worst_doubt < 1e-8
    print(f"{'agree' if good else 'DISAGREE'}: {len(fits)} fits by numpy.polyfit, worst difference of the inflow "
          f"{worst_inflow:.1e} m3/s, of the doubt {worst_doubt:.1e} of itself")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
