"""Closings and run-ups of the textbook machines compared with scipy.

Sources: equations after P. Krause, O. Wasynczuk, S. Sudhoff, Analysis of Electric Machinery, chapter on induction
machines, from memory, written a second time here in a frame that turns with the line (constant voltages, complex flux
linkages). Parameters: transcribed from public simulation scripts; their attribution to the table of that book is from
memory. solve_ivp integrates (DOP853, relative tolerance 1e-9). The limit is 0.5 % of the current and of the span of the
torque. The run-up has the torque of the quasi-steady circuit on the same fan.

Usage: closing_side_by_side.py PRINT_CLOSINGS
"""
import json
import subprocess
import sys

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

HZ, POLE_PAIRS, VOLTS = 60.0, 2, 2300.0
BASE = 2 * np.pi * HZ
MACHINES = {  # rs, xls, xm, xlr, rr, J
    500: (0.262, 1.206, 54.02, 1.206, 0.187, 11.06),
    2250: (0.029, 0.226, 13.04, 0.226, 0.022, 63.87),
}


def circuit(machine, volts, hz, slip):
    """Stator and rotor phasor (rms, rotor current positive into the rotor) and torque."""
    rs, xls, xm, xlr, rr, _ = machine
    a = hz / HZ
    rotor = rr / slip + 1j * a * xlr
    mutual = 1j * a * xm
    stator = volts / np.sqrt(3) / (rs + 1j * a * xls + mutual * rotor / (mutual + rotor))
    branch = -stator * mutual / (mutual + rotor)
    return stator, branch, 3 * abs(branch) ** 2 * rr / slip * POLE_PAIRS / (2 * np.pi * hz)


def rated(machine, horsepower):
    """Rated slip and torque: the slip at which the shaft gives its rated power."""
    field = BASE / POLE_PAIRS
    slip = brentq(lambda s: circuit(machine, VOLTS, HZ, s)[2] * field * (1 - s) - horsepower * 745.7, 1e-4, 0.04)
    return slip, circuit(machine, VOLTS, HZ, slip)[2]


def closing(case):
    machine = MACHINES[round(case["horsepower"])]
    rs, xls, xm, xlr, rr, inertia = machine
    ls, lr, lm = (xls + xm) / BASE, (xlr + xm) / BASE, xm / BASE
    det = ls * lr - lm * lm
    rated_slip, rated_torque = rated(machine, case["horsepower"])
    rated_speed = BASE / POLE_PAIRS * (1 - rated_slip)

    def load(speed):
        return case["load"] * rated_torque * (speed / rated_speed) ** 2

    hz = HZ + case["slip_hz"]
    volts = VOLTS * (1 + case["volts_difference"])
    field = 2 * np.pi * hz / POLE_PAIRS
    slip = brentq(lambda s: circuit(machine, volts, hz, s)[2] - load(field * (1 - s)), 1e-6, 0.04)
    stator, rotor, torque_before = circuit(machine, volts, hz, slip)
    turned = np.sqrt(2) * np.exp(1j * np.radians(case["angle_deg"]))
    psi_s = (ls * stator + lm * rotor) * turned
    psi_r = (lr * rotor + lm * stator) * turned
    speed = field * (1 - slip)
    torque_peaks = [torque_before]

    if case["gap_s"] > 0:  # no stator current, the rotor flux decays and turns; frame of the line
        def coast(_, y):
            w = POLE_PAIRS * y[2]
            psi = y[0] + 1j * y[1]
            d = (1j * (w - BASE) - rr / lr) * psi
            return [d.real, d.imag, -load(y[2]) / inertia]

        end = solve_ivp(coast, (0, case["gap_s"]), [psi_r.real, psi_r.imag, speed], method="DOP853", rtol=1e-9, atol=1e-9).y[:, -1]
        psi_r, speed = end[0] + 1j * end[1], end[2]
        psi_s = lm / lr * psi_r
        torque_peaks = [0.0]

    peak_volts = VOLTS * np.sqrt(2 / 3)

    def torque(s, r):
        return 1.5 * POLE_PAIRS * lm / det * (np.conj(r) * s).imag

    def fed(_, y):
        s, r, w = y[0] + 1j * y[1], y[2] + 1j * y[3], POLE_PAIRS * y[4]
        ds = peak_volts - rs * (lr * s - lm * r) / det - 1j * BASE * s
        dr = -rr * (ls * r - lm * s) / det - 1j * (BASE - w) * r
        return [ds.real, ds.imag, dr.real, dr.imag, (torque(s, r) - load(y[4])) / inertia]

    t = np.linspace(0, 0.3, 12001)
    run = solve_ivp(fed, (0, 0.3), [psi_s.real, psi_s.imag, psi_r.real, psi_r.imag, speed], method="DOP853", rtol=1e-9, atol=1e-9,
                    t_eval=t)
    s, r = run.y[0] + 1j * run.y[1], run.y[2] + 1j * run.y[3]
    current = abs(lr * s - lm * r) / det
    torques = np.concatenate([torque_peaks, torque(s, r)])
    return current.max(), torques.max(), torques.min()


def run_up(case):
    machine = MACHINES[round(case["horsepower"])]
    rated_slip, rated_torque = rated(machine, case["horsepower"])
    field = BASE / POLE_PAIRS
    rated_speed = field * (1 - rated_slip)

    def rate(_, y):
        return [(circuit(machine, VOLTS, HZ, 1 - y[0] / field)[2] - rated_torque * (y[0] / rated_speed) ** 2) / machine[5]]

    def arrived(_, y):
        return y[0] - case["to_rad_s"]

    arrived.terminal = True
    return solve_ivp(rate, (0, 100), [0.0], events=arrived, rtol=1e-8, atol=1e-8).t_events[0][0]


def main():
    ours = json.loads(subprocess.run([sys.argv[1]], capture_output=True, check=True, text=True).stdout)
    worst = 0.0
    print("closing                                            current, A        highest, N m        lowest, N m    worst, %")
    for case in ours["closings"]:
        current, high, low = closing(case)
        span = high - low
        off = 100 * max(abs(case["peak_current_a"] / current - 1), abs(case["torque_max_nm"] - high) / span,
                        abs(case["torque_min_nm"] - low) / span)
        worst = max(worst, off)
        print(f"{case['horsepower']:5.0f} hp {case['angle_deg']:4.0f} deg {case['slip_hz']:4.1f} Hz {case['load']:3.1f} load gap {case['gap_s']:3.1f} s"
              f"  {case['peak_current_a']:9.1f} {current:9.1f} {case['torque_max_nm']:9.0f} {high:9.0f} {case['torque_min_nm']:9.0f} {low:9.0f}"
              f"  {off:6.3f}")
    for case in ours["run_ups"]:
        seconds = run_up(case)
        off = 100 * abs(case["seconds"] / seconds - 1)
        worst = max(worst, off)
        print(f"{case['horsepower']:5.0f} hp run-up to {case['to_rad_s']} rad/s: {case['seconds']:.4f} s, {seconds:.4f} s  {off:6.3f}")
    print(f"worst disagreement {worst:.3f} %, allowed 0.5 %")
    return 0 if worst <= 0.5 else 1


if __name__ == "__main__":
    sys.exit(main())
