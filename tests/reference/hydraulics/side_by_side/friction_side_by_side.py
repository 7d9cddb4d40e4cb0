"""Friction factors of the plant compared with the open library `fluids` (Debian python3-fluids 1.0.22), over the Moody chart.

usage: friction_side_by_side.py PATH_OF_hydraulics_trace
The laminar and Colebrook branches of the plant and the two explicit formulas must agree with the library within 1e-9.
Between Re 2000 and 4000 the plant and the library interpolate in different ways, so that range is left out.
"""
import csv
import subprocess
import sys

import fluids.friction as friction


def main():
    rows = list(csv.DictReader(subprocess.run([sys.argv[1], "friction"], check=True, capture_output=True,
                                              text=True).stdout.splitlines()))
    worst = {"plant": 0.0, "haaland": 0.0}
    compared = 0
    for row in rows:
        re, rough = float(row["reynolds"]), float(row["relative_roughness"])
        if 2000 <= re <= 4000:
            continue
        compared += 1
        expected = {"plant": friction.friction_laminar(re) if re < 2000 else friction.Colebrook(re, rough)}
        if re > 4000:
            expected["haaland"] = friction.Haaland(re, rough)
        for name, value in expected.items():
            worst[name] = max(worst[name], abs(float(row[name]) / value - 1))
    limit = 1e-9
    for name, value in worst.items():
        print(f"friction factor, {name}: {compared} points, worst relative difference {value:.2e} (limit {limit:.0e})")
    return 0 if compared > 200 and max(worst.values()) < limit else 1


sys.exit(main())
