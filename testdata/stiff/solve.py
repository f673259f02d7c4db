#!/usr/bin/env python3
"""The equations of physics/transport handed to general-purpose stiff solvers.

Needs Python 3 with NumPy and SciPy (Debian: python3-scipy). Not part of the program:
it writes the reference that a test compares with, and prints a table of errors and
times at several tolerances.

    python3 testdata/stiff/solve.py           writes testdata/vectors/transport_stiff.toml
    python3 testdata/stiff/solve.py --table   prints the table only

The equations are written again here from EN 15026, not carried over: the balance at
the sheet is solved exactly where the program linearises it, and the solver has its own
Jacobian by differences.
"""
import sys
import time

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

DELTA0, LATENT, CW, SIGMA = 2e-10, 2.5e6, 4187.0, 5.67e-8

# A cold roof: paint, plasterboard, quilt, OSB, felt. thickness, cells, then
# heat capacity, lambda, its rise, mu dry, mu wet, w80, w free, absorption.
BODIES = [
    (0.0125, 4, 7e5, 0.21, 0.001, 10, 4, 6, 400, 0.3),
    (0.150, 12, 3e4, 0.04, 0.0002, 1, 1, 0.5, 300, 0.0),
    (0.018, 8, 1.1e6, 0.13, 0.0005, 50, 30, 90, 550, 0.002),
]
PAINT_SD, FELT_R, FELT_SD, RSI, ABSORB, EMIT = 0.1, 0.035, 400.0, 0.10, 0.9, 0.9
HOURS = 72
START_T, START_RH = 12.0, 0.75


def air(hour):
    """Air at whole hours; between them it goes in straight lines."""
    day = 2 * np.pi * hour / 24
    t = 4 + 5 * np.cos(day - 4)
    return np.array([20.0, 1250 + 100 * np.cos(day), t, 650 + 40 * np.cos(day - 4),
                     max(0.0, 450 * np.sin(day - 1.5)), 270 + 20 * np.cos(day), 18.0])


MARKS = np.array([air(h) for h in range(HOURS + 1)])


def air_at(s):
    k = min(int(s // 3600), HOURS - 1)
    f = s / 3600 - k
    return (1 - f) * MARKS[k] + f * MARKS[k + 1]


def spread(i):
    return np.concatenate([np.full(b[1], float(b[i])) for b in BODIES])


DX = np.concatenate([np.full(b[1], b[0] / b[1]) for b in BODIES])
BODY = np.concatenate([np.full(b[1], i) for i, b in enumerate(BODIES)])
RHOC, LAM, RISE, MUD, MUW, W80, WF, ABS = (spread(i) for i in range(2, 10))
B = 0.8 * (WF - W80) / (0.8 * WF - W80)
A = WF * (B - 1)
N = len(DX)
SAME = BODY[1:] == BODY[:-1]


def psat(t):
    return np.where(t >= 0, 610.5 * np.exp(17.269 * t / (237.3 + t)), 610.5 * np.exp(21.875 * t / (265.5 + t)))


def rates(s, y):
    w, h = y[:N], y[N:]
    t = h / (RHOC + CW * w)
    over = np.maximum(w - WF, 0) / WF
    phi = B * w / (A + w) + over**2
    slope = A * B / (A + w) ** 2
    liquid = np.where(ABS > 0, 3.8 * (ABS / WF) ** 2 * 1000.0 ** np.minimum(w / WF - 1, 0) / slope, 0.0)
    perm = DELTA0 / MUD + (DELTA0 / MUW - DELTA0 / MUD) * np.clip((phi - 0.25) / (0.715 - 0.25), 0, 1)
    lam = LAM + RISE * w
    pv = phi * psat(t)
    half = DX / 2
    dist = half[:-1] + half[1:]
    gv = np.where(SAME, (perm[:-1] * half[:-1] + perm[1:] * half[1:]) / dist**2,
                  1 / (half[:-1] / perm[:-1] + half[1:] / perm[1:]))
    with np.errstate(divide="ignore"):
        series = 1 / (half[:-1] / liquid[:-1] + half[1:] / liquid[1:])
    gl = np.where(SAME, (liquid[:-1] * half[:-1] + liquid[1:] * half[1:]) / dist**2, series)
    gh = 1 / (half[:-1] / lam[:-1] + half[1:] / lam[1:])
    room, roomp, out, outp, sun, sky, hc = air_at(s)
    fw, fh = np.empty(N + 1), np.empty(N + 1)
    v = gv * (pv[:-1] - pv[1:])
    liq = gl * (phi[:-1] - phi[1:])
    fw[1:-1] = v + liq
    fh[1:-1] = gh * (t[:-1] - t[1:]) + LATENT * v + CW * (t[:-1] + t[1:]) / 2 * (v + liq)
    fw[0] = (roomp - pv[0]) / (PAINT_SD / DELTA0 + half[0] / perm[0])
    fh[0] = (room - t[0]) / (RSI + half[0] / lam[0]) + fw[0] * (LATENT + CW * (room + t[0]) / 2)
    fw[N] = (pv[-1] - outp) / (FELT_SD / DELTA0 + half[-1] / perm[-1])
    g = 1 / (FELT_R + half[-1] / lam[-1])

    def face(ts):
        return g * (t[-1] - ts) + hc * (out - ts) + ABSORB * sun + EMIT * (sky - SIGMA * (ts + 273.15) ** 4)

    ts = brentq(face, -80, 150, xtol=1e-12, rtol=1e-14)
    fh[N] = g * (t[-1] - ts) + fw[N] * (LATENT + CW * (t[-1] + out) / 2)
    return np.concatenate([(fw[:-1] - fw[1:]) / DX, (fh[:-1] - fh[1:]) / DX])


def sparsity():
    near = np.abs(np.subtract.outer(np.arange(N), np.arange(N))) <= 1
    return np.tile(near, (2, 2))


def solve(method, rtol):
    w0 = A * START_RH / (B - START_RH)
    y = np.concatenate([w0, (RHOC + CW * w0) * START_T])
    atol = np.concatenate([np.full(N, rtol * 0.1), np.full(N, rtol * 1e5)])
    evals = 0
    began = time.perf_counter()
    for k in range(HOURS):  # the weather has a corner at each hour
        r = solve_ivp(rates, (3600 * k, 3600 * (k + 1)), y, method=method, rtol=rtol, atol=atol, jac_sparsity=sparsity())
        if not r.success:
            raise SystemExit(r.message)
        y = r.y[:, -1]
        evals += r.nfev
    w = y[:N]
    return w, y[N:] / (RHOC + CW * w), time.perf_counter() - began, evals


def line(name, values):
    return name + " = [" + ", ".join(f"{v:.10g}" for v in values) + "]\n"


def main():
    ref_w, ref_t, _, _ = solve("Radau", 1e-10)
    other_w, other_t, _, _ = solve("BDF", 1e-9)
    agree_w, agree_t = np.max(np.abs(ref_w - other_w)), np.max(np.abs(ref_t - other_t))
    import scipy

    rows = []
    for method in ("Radau", "BDF"):
        for rtol in (1e-2, 1e-3, 1e-4, 1e-5, 1e-6):
            w, t, seconds, evals = solve(method, rtol)
            rows.append((method, rtol, np.max(np.abs(w - ref_w)), np.max(np.abs(t - ref_t)), seconds, evals))
            print("%-6s %.0e  water %.2e kg/m3  temperature %.2e K  %.2f s  %d evaluations" % rows[-1])
    print("Radau and BDF at their tightest differ by %.1e kg/m3 and %.1e K" % (agree_w, agree_t))
    if "--table" in sys.argv:
        return
    here = __file__.rsplit("/", 1)[0] if "/" in __file__ else "."
    with open(here + "/../vectors/transport_stiff.toml", "w", encoding="utf-8") as f:
        f.write('name = "three days of a cold roof by general-purpose stiff solvers"\n')
        f.write('source = "SciPy %s, solve_ivp: Radau at rtol 1e-10, with BDF at 1e-9 beside it; written by testdata/stiff/solve.py"\n' % scipy.__version__)
        f.write('status = "reference solution of the same equations, written again from EN 15026; the two solvers differ by %.0e kg/m3 and %.0e K"\n' % (agree_w, agree_t))
        f.write("# Cells from the room outwards. The roof and the weather stand in solve.py.\n")
        f.write("start_c = %g\nstart_rh = %g\nhours = %d\n" % (START_T, START_RH, HOURS))
        f.write("# room degC, room Pa, outdoors degC, Pa, sun W/m2, sky W/m2, heat transfer outside W/m2K, at whole hours\n")
        f.write("air = [\n" + "".join("  [" + ", ".join(f"{v:.10g}" for v in row) + "],\n" for row in MARKS) + "]\n")
        f.write(line("water", ref_w) + line("temperature", ref_t))
        for method, rtol, ew, et, seconds, evals in rows:
            f.write('\n[[solver]]\nmethod = "%s"\nrtol = %.0e\nwater_error = %.3e\ntemperature_error = %.3e\nseconds = %.3f\nevaluations = %d\n' % (method, rtol, ew, et, seconds, evals))


main()
