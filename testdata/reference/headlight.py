#!/usr/bin/env python3
"""How bright the lobes of beam/headlight/pattern.go have to be.

Where the lobes of a headlight sit and how wide they are is chosen there. This script finds the brightness of
each that gives the least flux with every minimum of the rule kept, 4 % to spare, and no maximum passed: a
linear program. Limits are those of the tests of beam/headlight, which name the sources.

    python3 headlight.py > headlight.csv        (Debian: apt-get install python3-scipy)

Columns: beam, least flux (lm), then the brightness (cd) of each lobe, those below the cut-off first.
"""
import numpy as np
from scipy.optimize import linprog

DEGREE = np.pi / 180
SPARE = 1.04

# x, y, across, up-down in degrees on the screen, as in pattern.go; then the edge: level, run, turn, blur
BEAMS = {
    "UN R149 low": ([(0, -1.4, 25, 3.5), (-0.7, -0.65, 9, 1.3), (0.9, -0.5, 2, 0.9)],
                    (-0.73, 4, 1, 0.25), [(0, 0, 8, 12)]),
    "FMVSS 108 low": ([(0, -0.7, 25, 3), (0, -2.5, 4, 4), (1.8, -1, 2, 1.05)],
                      (-0.83, 1.2, 0.3, 0.32), [(0, 0.75, 11.5, 3)]),
    "UN R149 high": ([], None, [(0, 0, 3.7, 2), (0, 0, 15, 3)]),
    "FMVSS 108 high": ([], None, [(0, 0, 3.3, 2), (0, 0, 14.7, 3)]),
}

# What no rule asks for and a low beam has all the same, our own choice: light to the sides and on the foreground.
OWN = [(-20, -2.5, 450, 0), (20, -2.5, 450, 0), (-30, -3, 130, 0), (30, -3, 130, 0), (0, -8, 150, 0)]

# H, V, least, most (0: none); sums of several directions as lists
LIMITS = {
    "UN R149 low": [
        (1.15, -0.57, 12100, 0), (1.72, -0.86, 10100, 0), (0, -0.86, 5100, 0), (-3.43, -0.86, 5000, 37000),
        (0, -1.72, 2500, 0), (9, -1.72, 1700, 0), (-9, -1.72, 1700, 0), (-3.43, 0.57, 0, 350), (2.5, 1, 0, 1750),
        (0, 0, 0, 625), (1.5, 1.5, 0, 625), (-8, 0, 65, 0), (-4, 0, 125, 0),
        ([-8, 0, 8], [4, 4, 4], 190, 0), ([-4, 0, 4], [2, 2, 2], 375, 0),
    ] + [(h, 0.57, 0, 625) for h in range(-20, -7)] + [(h, -4, 500, 0) for h in np.arange(-4.5, 2.1, 0.5)],
    "FMVSS 108 low": [
        (-4, 0, 135, 0), (-8, 0, 64, 0), (1.3, -0.6, 10000, 0), (0, -0.86, 4500, 0), (-3.5, -0.86, 1800, 12000),
        (2, -1.5, 15000, 0), (9, -2, 1250, 0), (-9, -2, 1250, 0), (15, -2, 1000, 0), (-15, -2, 1000, 0),
        (4, -4, 0, 12500), (-8, 4, 64, 0), (8, 4, 64, 0), (-4, 2, 135, 0), (0, 10, 0, 125),
    ] + [(h, 0.5, 500, 2700) for h in (1, 2, 3)] + [(h, 1.5, 200, 1400) for h in (1, 2, 3)]
      + [(-h, 0.5, 0, 1000) for h in (1.5, 3, 9)] + [(-h, 1, 0, 700) for h in (1.5, 3, 9)],
    "UN R149 high": [(0, 0, 40500, 215000), (3, 0, 17500, 0), (6, 0, 5000, 0), (9, 0, 3400, 0), (12, 0, 1500, 0)],
    "FMVSS 108 high": [
        (0, 0, 40000, 75000), (3, 0, 15000, 0), (6, 0, 5000, 0), (9, 0, 3000, 0), (12, 0, 1500, 0),
        (0, 2, 1500, 0), (3, 1, 5000, 0), (0, -1.5, 5000, 0), (9, -1.5, 2000, 0), (0, -2.5, 2500, 0),
        (12, -2.5, 1000, 0), (0, -4, 0, 5000),
    ],
}


def screen(h, v):
    h, v = np.asarray(h) * DEGREE, np.asarray(v) * DEGREE
    return np.tan(h) / DEGREE, np.tan(v) / np.cos(h) / DEGREE


def parts(beam, x, y):
    """The light of each lobe of brightness 1."""
    below, edge, free = BEAMS[beam]
    lobes = [(1 + ((x - l[0]) / l[2]) ** 2 + ((y - l[1]) / l[3]) ** 2) ** -2.0 for l in below + free]
    if edge:
        level, run, turn, blur = edge
        ramp = lambda u: (np.sqrt(u * u + turn * turn) + u) / 2
        t = (y - level - np.tan(15 * DEGREE) * (ramp(x) - ramp(x - run))) / blur
        passes = (1 - t / np.sqrt(1 + t * t)) / 2
        lobes = [l * passes if i < len(below) else l for i, l in enumerate(lobes)]
    return lobes


def graded(n, near, far):
    """Points and weights from -far to far, close together around 0."""
    u = (np.arange(n) + 0.5) / n * 2 - 1
    k = np.arcsinh(far / near)
    return near * np.sinh(k * u), near * np.cosh(k * u) * k * 2 / n


def fluxes(beam):
    x, wx = graded(600, 1, 60 / DEGREE)
    y, wy = graded(1600, 0.2, 60 / DEGREE)
    x, y = np.meshgrid(x, y - 0.5, indexing="ij")
    w = np.outer(wx, wy) * DEGREE**2 / (1 + (x * DEGREE) ** 2 + (y * DEGREE) ** 2) ** 1.5
    return [float((p * w).sum()) for p in parts(beam, x, y)]


def main():
    for beam in BEAMS:
        a, b = [], []
        for h, v, least, most in LIMITS[beam] + (OWN if "low" in beam else []):
            row = np.array([np.sum(p) for p in parts(beam, *screen(h, v))])
            if least:
                a.append(-row / least), b.append(-SPARE)
            if most:
                a.append(row / most), b.append(1 / SPARE)
        flux = fluxes(beam)
        best = linprog(flux, A_ub=a, b_ub=b)
        print(",".join([beam, "%.1f" % best.fun] + ["%.0f" % cd for cd in best.x]))


main()
