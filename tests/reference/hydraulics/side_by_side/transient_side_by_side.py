"""A whole well, pumps and main, and a booster set's air vessel, compared with scipy.integrate.solve_ivp (python3-scipy).

usage: transient_side_by_side.py PATH_OF_hydraulics_trace
Source: the equations are those that the headers of the plant's models state, written a second time here: rigid column,
pumps on monotone cubics with affinity, ideal check valves, Colebrook and Hazen-Williams, stage-storage table, weir,
polytropic vessel. The station is invented. SciPy integrates with error control. The plant takes 100 ms steps of a
first-order method, which leaves a difference while flows change (0.1 s against a column time of some 5 s). The limit is
0.5 % of the largest value throughout.
"""
import csv
import math
import subprocess
import sys

import numpy
from scipy.integrate import solve_ivp
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

G = 9.80665
LIMIT = 0.005

# The pump: catalogue, branch loss, and the rules of pump_curve.hpp beyond the last point and for a stopped impeller.
FLOW = numpy.array([0, 0.2, 0.4, 0.55])
HEAD = numpy.array([52.0, 47, 40, 32])
BRANCH = 5.0
STOPPED = 0.6 * 40 / 0.4**2
HEAD_CURVE = PchipInterpolator(FLOW, HEAD)
X = numpy.concatenate([numpy.linspace(0, 0.55, 40001), numpy.linspace(0.55, 3, 40001)[1:]])
BEYOND = HEAD[-1] + HEAD_CURVE.derivative()(0.55) * (X - 0.55) - STOPPED * (X - 0.55) ** 2
LIFT = numpy.where(X <= 0.55, HEAD_CURVE(numpy.minimum(X, 0.55)), BEYOND) - BRANCH * X**2


def pump_flow(speed, lift):
    """Flow of one branch whose check valve is ideal."""
    if speed < 1e-3:
        return math.sqrt(-lift / (BRANCH + STOPPED)) if lift < 0 else 0.0
    return speed * float(numpy.interp(-lift / speed**2, -LIFT, X))


def darcy(re, rough):
    if re < 2000:
        return 64 / re
    if re < 4000:
        return darcy(1999.999, rough) + (re - 2000) / 2000 * (darcy(4000, rough) - darcy(1999.999, rough))
    return brentq(lambda f: 1 / math.sqrt(f) + 2 * math.log10(rough / 3.7 + 2.51 / (re * math.sqrt(f))), 1e-3, 1)


def main_loss(flow):
    if flow <= 0:
        return 0.0
    loss = 0.0
    area = math.pi / 4 * 1.0**2
    head = (flow / area) ** 2 / (2 * G)
    loss += (darcy(flow / area * 1.0 / 1.004e-6, 0.0003) * 1500 / 1.0 + 6) * head
    area = math.pi / 4 * 0.9**2
    loss += 10.67 * 500 * (flow / 120) ** 1.852 / 0.9**4.8704 + 4 * (flow / area) ** 2 / (2 * G)
    return loss


LOSS_FLOW = numpy.linspace(0, 3, 6001)
LOSS = numpy.array([main_loss(q) for q in LOSS_FLOW])
INERTIA = (1500 / (math.pi / 4) + 500 / (math.pi / 4 * 0.81)) / G


def ramp(t, start, lasts):
    return min(1.0, max(0.0, (t - start) / lasts))


def transient_speeds(t):
    if t >= 900:
        return 0.0, 0.0, 0.0, 0.0
    return ramp(t, 10, 20), ramp(t, 200, 10), 0.94 * ramp(t, 400, 30) - 0.09 * ramp(t, 600, 60), 0.0


def transient_rates(t, y):
    volume, flow = y[0], max(0.0, y[1])
    level = float(numpy.interp(volume, [0, 60, 340, 600], [0, 2, 6, 8]))
    speeds = transient_speeds(t)
    highest = max(s * s for s in speeds) * HEAD[0]
    if flow <= 1e-9:
        header = level + highest
        drive = header - 25
        flow_rate = max(0.0, drive) / INERTIA
    else:
        header = level + brentq(lambda lift: sum(pump_flow(s, lift) for s in speeds) - flow, -2000, highest, xtol=1e-10)
        flow_rate = (header - 25 - float(numpy.interp(flow, LOSS_FLOW, LOSS))) / INERTIA
    over = 1.84 * 5 * max(0.0, level - 5.0) ** 1.5
    return [0.5 + 1.0 * ramp(t, 100, 200) - flow - over, flow_rate, flow]


def integrate(rates, start, marks, times, column=None):
    """Integrates piece by piece between the marks where inputs bend. A column at rest starts the next piece from rest."""
    out = {times_i: None for times_i in times}
    y, values = list(start), []
    for begin, end in zip(marks, marks[1:]):
        at = begin
        while at < end:
            stop = (lambda t, y: y[column]) if column is not None and y[column] > 1e-9 else None
            if stop:
                stop.terminal, stop.direction = True, -1
            solved = solve_ivp(rates, (at, end), y, rtol=1e-7, atol=1e-9, max_step=1.0, dense_output=True, events=stop)
            for t in times:
                if at < t <= solved.t[-1] + 1e-12:
                    out[t] = solved.sol(t)
            at, y = float(solved.t[-1]), list(solved.y[:, -1])
            if column is not None and solved.status == 1:
                y[column] = 0.0
    return numpy.array([out[t] for t in times])


def rows_of(program, case):
    text = subprocess.run([program, case], check=True, capture_output=True, text=True).stdout
    return {key: numpy.array([float(row[key]) for row in csv.DictReader(text.splitlines())])
            for key in text.splitlines()[0].split(",")}


def report(name, times, ours, theirs, scale):
    differences = numpy.abs(ours - theirs) / scale
    worst = float(numpy.max(differences))
    print(f"{name}: worst difference {100 * worst:.3f} % of {scale:.4g} at {times[int(numpy.argmax(differences))]} s, "
          f"median {100 * float(numpy.median(differences)):.4f} % (limit {100 * LIMIT} %)")
    return worst < LIMIT


def transient(program):
    ours = rows_of(program, "transient")
    times = [float(t) for t in ours["t_s"]]
    marks = [0, 10, 30, 100, 200, 210, 300, 400, 430, 600, 660, 900, 1500]
    theirs = integrate(transient_rates, [60 + 70, 0.0, 0.0], marks, times, column=1)
    level = numpy.interp(theirs[:, 0], [0, 60, 340, 600], [0, 2, 6, 8])
    flow = numpy.maximum(0, theirs[:, 1])
    over = 1.84 * 5 * numpy.maximum(0.0, level - 5.0) ** 1.5
    good = report("level, m", times, ours["level_m"], level, float(numpy.ptp(level)))
    good &= report("flow in the main, m3/s", times, ours["main_flow_m3s"], flow, float(numpy.max(flow)))
    good &= report("overflow, m3/s", times, ours["overflow_m3s"], over, float(numpy.max(over)))
    good &= report("pumped volume, m3", times, ours["pumped_m3"], theirs[:, 2], float(theirs[-1, 2]))
    return good and float(numpy.max(over)) > 0.3 and float(numpy.max(flow)) > 0.8


def vessel_head(held):
    """Pressure head at which the vessel and the stretch of the header (1e-4 m2) hold this volume of water."""
    atmosphere = 101325 / (998.2 * G)

    def surplus(head):
        air = 3 * ((20 + atmosphere) / (head + atmosphere)) ** (1 / 1.2) if head > 20 else 3.0
        return 1e-4 * head + 3 - air - held

    return brentq(surplus, -5, 500, xtol=1e-10)


def vessel_rates(t, y):
    head = vessel_head(y[0])
    pumped = pump_flow(ramp(t, 0, 10), head - 5) + pump_flow(0.95 * ramp(t, 0, 10), head - 5)
    return [pumped - (0.3 * ramp(t, 15, 5) + 0.3 * ramp(t, 60, 5) - 0.6 * ramp(t, 160, 20)), pumped]


def vessel(program):
    ours = rows_of(program, "vessel")
    times = [float(t) for t in ours["t_s"]]
    atmosphere = 101325 / (998.2 * G)
    held = 1e-4 * 35 + 3 - 3 * ((20 + atmosphere) / (35 + atmosphere)) ** (1 / 1.2)
    theirs = integrate(vessel_rates, [held, 0.0], [0, 10, 15, 20, 60, 65, 160, 180, 300], times)
    head = numpy.array([vessel_head(w) for w in theirs[:, 0]])
    good = report("booster header pressure, m", times, ours["pressure_m"], head, float(numpy.max(head)))
    good &= report("booster water held, m3", times, ours["held_m3"], theirs[:, 0], float(numpy.max(theirs[:, 0])))
    good &= report("booster pumped volume, m3", times, ours["pumped_m3"], theirs[:, 1], float(theirs[-1, 1]))
    return good


results = [transient(sys.argv[1]), vessel(sys.argv[1])]
sys.exit(0 if all(results) else 1)
