"""Efficiencies of the plant's motor and drive by load compared with the open library `fluids` (Debian python3-fluids 1.0.22).

usage: efficiency_side_by_side.py PATH_OF_print_efficiencies DEMO_STATION_FILE
Sources, as the library states them; the figures are the library's, not read from the printed tables:
  motors at full load: minimum efficiencies of Natural Resources Canada (the CSA and NEMA tables, 1 to 500 hp);
  motors at part load: polynomials through the curves of the Energy-Efficient Electric Motor Selection Handbook of the
    Washington State Energy Office (1993), over full load;
  drives: a table of efficiency by load, interpolated; it is the table of DOE Motor Systems Tip Sheet 11.
Limit: half a percent. Where the two have different bases, the script prints the reason and the limit with the figures.
"""
import re
import subprocess
import sys

from fluids.constants import hp
from fluids.pump import CSA_motor_efficiency, VFD_efficiency, motor_efficiency_underloaded

LIMIT = 0.005
PROGRAM, STATION = sys.argv[1:3]
failed = []


def ours(kind, given, loads):
    words = [PROGRAM, kind, *(repr(float(x)) for x in given), "--", *(repr(float(x)) for x in loads)]
    out = subprocess.run(words, check=True, capture_output=True, text=True).stdout
    return [float(line.split(",")[1]) for line in out.split()]


def worst(mine, theirs):
    return max(abs(a / b - 1) for a, b in zip(mine, theirs, strict=True))


def say(what, points, difference, limit, why=""):
    print(f"{what}: {points} points, worst relative difference {100 * difference:.2f} % (limit {100 * limit:g} %){why}")
    if not difference <= limit:
        failed.append(what)


def typical_speed(poles, efficiency):
    """A slip that takes a quarter of the losses: common practice."""
    return 7200 / poles * (1 - 0.25 * (1 / efficiency - 1))


def motors_at_full_load():
    """A round trip: the nameplate has the standard's efficiency. The estimated circuit must have it at rated power."""
    mine, theirs = [], []
    for power_hp in (50, 75, 100, 150, 200, 300, 500):
        for poles in (2, 4, 6):
            for high in (False, True):
                efficiency = CSA_motor_efficiency(power_hp * hp, poles=poles, high_efficiency=high)
                theirs.append(efficiency)
                mine += ours("motor", [power_hp * hp, poles, typical_speed(poles, efficiency), efficiency, 0, 0], [1])
    say("round trip: motor at full load, circuit estimated from the plate", len(mine), worst(mine, theirs), LIMIT)


QUARTER_UP = [0.25, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0]


def over_full(efficiencies):
    """Efficiency over that at full load, never above 1, as the library gives it."""
    return [min(e / efficiencies[-1], 1.0) for e in efficiencies]


def motors_at_part_load():
    """First with the loss shares of the estimate. Then with a fitted constant share, to compare the shape alone."""
    for power_hp in (60, 100):
        efficiency = CSA_motor_efficiency(power_hp * hp, poles=4, high_efficiency=True)
        plate = [power_hp * hp, 4, typical_speed(4, efficiency), efficiency]
        losses_w = power_hp * hp * (1 / efficiency - 1)
        theirs = [motor_efficiency_underloaded(power_hp * hp, load) for load in QUARTER_UP]

        def difference(share):
            given = plate + [0.3 * share * losses_w, 0.7 * share * losses_w]
            return worst(over_full(ours("motor", given, QUARTER_UP)), theirs)

        say(f"motor of {power_hp} hp at 25 to 100 % load, typical losses", len(QUARTER_UP),
            worst(over_full(ours("motor", plate + [0, 0], QUARTER_UP)), theirs), 0.02,
            "\n  reason: the estimate takes 35 % of the losses as constant where the nameplate does not state them; the curves"
            "\n  of the handbook are of classes of motors whose constant losses are not printed and differ by class")
        share = min((0.2 + 0.01 * step for step in range(31)), key=difference)
        say(f"motor of {power_hp} hp at 25 to 100 % load, shape: constant losses fitted, {100 * share:.0f} % of all", len(QUARTER_UP),
            difference(share), LIMIT)


NODES = [0.016, 0.125, 0.25, 0.42, 0.5, 0.75, 1.0]
BETWEEN = [0.3, 0.35, 0.46, 0.55, 0.6, 0.65, 0.7, 0.8, 0.85, 0.9, 0.95]
LOW = [0.05, 0.08, 0.16, 0.2]


def drives():
    at_nodes, between, low = [[], []], [[], []], [[], []]
    for power_hp in (10, 20, 50, 100, 200, 400):
        given = [power_hp * hp]
        for load in NODES:
            given += [load, VFD_efficiency(power_hp * hp, load)]
        for loads, (mine, theirs) in ((NODES[1:], at_nodes), (BETWEEN, between), (LOW, low)):
            mine += ours("drive", given, loads)
            theirs += [VFD_efficiency(power_hp * hp, load) for load in loads]
    say("round trip: drive at the known loads", len(at_nodes[0]), worst(*at_nodes), LIMIT)
    say("drive between them, 30 to 95 % load", len(between[0]), worst(*between), LIMIT)
    say("drive between them, 5 to 20 % load", len(low[0]), worst(*low), 0.3,
        "\n  reason: the library draws a straight line through efficiencies, the plant draws one through losses, as a"
        "\n  drive behaves; between 1.6 % load (about 50 %) and 12.5 % (about 88 %) a straight line of efficiencies would have"
        "\n  losses double and fall again while the load rises")


def demo_drive():
    """The invented demonstration drive agrees with the largest drive of the library's table."""
    with open(STATION, encoding="utf-8") as file:
        text = file.read()
    rows = re.findall(r'load = "([\d.]+) %", efficiency = "([\d.]+) %"', text)
    loads = [float(a) / 100 for a, _ in rows]
    given = [400 * hp]
    for load, (_, efficiency) in zip(loads, rows, strict=True):
        given += [load, float(efficiency) / 100]
    compared = [load for load in (0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0) if load >= loads[0]]
    theirs = [VFD_efficiency(400 * hp, load) for load in compared]
    say("demonstration drive compared with the largest drive of the library, 30 to 100 % load", len(compared),
        worst(ours("drive", given, compared), theirs), 0.01,
        "\n  reason: the demonstration is invented and of medium voltage; the library ends at 400 hp and low voltage")


motors_at_full_load()
motors_at_part_load()
drives()
demo_drive()
sys.exit(1 if failed else 0)
