#!/usr/bin/env python3
"""Writes lux.csv: the illuminance at single points from single lamps, worked out with numpy from the formulas alone.

A lamp is 20 000 points of light along its width (one for a point), each with its own straight line to the point lit. The
flux that scales the beam is a sum over θ and φ. Boxes and the knots of the ground are asked for each line whether
they are in the way. Nothing is fitted, interpolated or left out.

    python3 lux.py > lux.csv        (Debian: apt-get install python3-numpy)

Columns: lengths in m, angles in degrees, flux in lm, intensity in cd, illuminance in lx. `box` is rear/front/right/left/
bottom/top, `knots` is ahead:height/..., both empty for none. The plane at (x, y, height over the ground) is `ground`
(the ground's own surface), `facing` (vertical, normal -x) or a unit normal nx/ny/nz.
"""
import csv, itertools, sys
import numpy as np

R = np.radians
COLUMNS = ("case ahead left up tilt turn roll width lumens profile across updown field_across field_updown nose_up "
           "rear_axle grade cross_fall visibility box knots x y height plane peak_cd lux").split()


def half_edge(across, updown, phi):
    return ((np.cos(phi) / R(across / 2)) ** 2 + (np.sin(phi) / R(updown / 2)) ** 2) ** -0.5


def relative(c, theta, phi):
    """Intensity over the peak."""
    h = half_edge(c["across"], c["updown"], phi)
    with np.errstate(invalid="ignore", divide="ignore"):
        if c["profile"] == "gaussian" and c["field_across"]:
            p = np.log(np.log2(10)) / np.log(half_edge(c["field_across"], c["field_updown"], phi) / h)
            i = np.exp2(-(theta / h) ** p)
        elif c["profile"] == "gaussian":
            i = np.exp2(-(theta / h) ** 2)
        elif c["profile"] == "cosine":
            i = np.where(theta < np.pi / 2, np.abs(np.cos(theta)) ** (np.log(0.5) / np.log(np.cos(h))), 0)
        else:
            i = (theta <= h) * 1.0
    return np.where(theta < np.pi / 2, i, 0)


def peak(c):
    """cd: the flux over the front hemisphere is the lumens."""
    phi = (np.arange(720) + 0.5) * 2 * np.pi / 720
    if c["profile"] == "uniform":
        flux = np.mean(1 - np.cos(half_edge(c["across"], c["updown"], phi))) * 2 * np.pi
        return c["lumens"] / flux
    u = (np.arange(6000) + 0.5) / 6000  # θ = u³·90°: fine at the axis
    theta, dtheta = u ** 3 * np.pi / 2, 3 * u ** 2 * np.pi / 2 / 6000
    flux = sum(np.sum(relative(c, theta, p) * np.sin(theta) * dtheta) for p in phi) * 2 * np.pi / 720
    return c["lumens"] / flux


def about(axis, angle):
    """Right-handed turn by an angle about a unit vector (Rodrigues)."""
    k = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    return np.eye(3) + np.sin(angle) * k + (1 - np.cos(angle)) * k @ k


def knots(c):
    return [tuple(map(float, k.split(":"))) for k in c["knots"].split("/")] if c["knots"] else []


def ground(c, x, y):
    k = knots(c)
    along = np.interp(x, [a for a, _ in k], [z for _, z in k]) if k else c["grade"] * x
    return along + c["cross_fall"] * y


def lux(c):
    # lamp's axes as set: turn about up, tilt about its left, roll about its beam
    turn = about(np.array([0, 0, 1.0]), R(c["turn"]))
    ahead, left = turn @ [1, 0, 0], turn @ [0, 1, 0]
    ahead = about(left, R(c["tilt"])) @ ahead
    left = about(ahead, R(c["roll"])) @ left
    n = 20000 if c["width"] else 1
    e = ((np.arange(n) + 0.5) / n - 0.5) * c["width"]
    parked = np.array([c["ahead"], c["left"], c["up"]]) + e[:, None] * left
    # as driven: the nose up about the rear axle's contact
    axle, nose = np.array([c["rear_axle"], 0, 0]), about(np.array([0, -1.0, 0]), R(c["nose_up"]))
    at, ahead, left = axle + (parked - axle) @ nose.T, nose @ ahead, nose @ left
    top = np.cross(ahead, left)

    x, y = c["x"], c["y"]
    p = np.array([x, y, ground(c, x, y) + c["height"]])
    if c["plane"] == "ground":
        slope = (ground(c, x + 1e-5, y) - ground(c, x - 1e-5, y)) / 2e-5
        normal = np.array([-slope, -c["cross_fall"], 1.0])
        normal /= np.linalg.norm(normal)
    elif c["plane"] == "facing":
        normal = np.array([-1.0, 0, 0])
    else:
        normal = np.array(list(map(float, c["plane"].split("/"))))

    ray = p - at
    d = np.linalg.norm(ray, axis=1)
    ray_1 = ray / d[:, None]
    theta = np.arccos(np.clip(ray_1 @ ahead, -1, 1))
    phi = np.arctan2(ray_1 @ top, ray_1 @ left)
    i = c["peak_cd"] * relative(c, theta, phi)
    air = 0.05 ** (d / c["visibility"]) if c["visibility"] else 1.0
    E = i * np.maximum(0, -(ray_1 @ normal)) / d ** 2 * air

    for kx, kz in knots(c):
        with np.errstate(divide="ignore", invalid="ignore"):
            s = (kx - at[:, 0]) / ray[:, 0]
            over = at[:, 2] + s * ray[:, 2] - kz - c["cross_fall"] * (at[:, 1] + s * ray[:, 1])
            E[(s > 0) & (s < 1 - 1e-9) & (over < -1e-9)] = 0
    if c["box"]:
        b = np.array(list(map(float, c["box"].split("/")))).reshape(3, 2)
        q = axle + nose.T @ (p - axle)
        r = q - parked
        with np.errstate(divide="ignore", invalid="ignore"):
            s = (b[None, :, :] - parked[:, :, None]) / r[:, :, None]
        enter, leave = s.min(axis=2).max(axis=1), s.max(axis=2).min(axis=1)
        E[np.minimum(leave, 1) - np.maximum(enter, 0) > 1e-9] = 0
    return E.mean()


PLAIN = dict(ahead=-1.9, left=0.0, up=2.05, tilt=5.0, turn=0.0, roll=0.0, width=0.0, lumens=10000.0, profile="gaussian",
             across=10.0, updown=10.0, field_across=0.0, field_updown=0.0, nose_up=0.0, rear_axle=-4.0, grade=0.0,
             cross_fall=0.0, visibility=0.0, box="", knots="", height=0.0)

LAMPS = {
    "spot": {},
    "spot bar": dict(width=1.0),
    "long bar": dict(width=1.3, ahead=-0.1, up=0.75, tilt=1.0, across=20.0, updown=8.0),
    "flood": dict(up=1.2, tilt=12.0, across=60.0, updown=20.0, width=0.5, roll=10.0),
    "field": dict(field_across=24.0, field_updown=24.0, width=0.6),
    "oval field": dict(across=40.0, updown=10.0, field_across=60.0, field_updown=25.0, roll=-35.0, width=0.9, tilt=8.0),
    "diffuse": dict(profile="cosine", across=120.0, updown=120.0, tilt=25.0, width=1.1),
    "cosine": dict(profile="cosine", across=50.0, updown=30.0, tilt=15.0),
    "side": dict(ahead=-2.2, left=0.7, up=2.0, tilt=20.0, turn=75.0, across=36.0, updown=36.0, width=0.3, lumens=1400.0),
    "rear": dict(ahead=-5.0, up=1.9, tilt=15.0, turn=180.0, across=36.0, updown=36.0, width=0.5, lumens=8000.0),
    "even": dict(profile="uniform", across=30.0, updown=30.0, tilt=12.0),
    "work light": dict(ahead=-2.0, up=3.2, tilt=90.0, across=150.0, updown=150.0, width=0.4),
}
SITES = {
    "plain": {},
    "loaded": dict(nose_up=0.8),
    "hood": dict(box="-1.5/-0.2/-0.8/0.8/0.5/1.15", nose_up=-0.5),
    "grade": dict(grade=0.04, cross_fall=-0.02, visibility=800.0),
    "crest": dict(knots="-30:0/30:0/60:-3/80:-2.5", visibility=2000.0),
}
AHEAD = [(3, 0.5), (12, -1), (25, 2), (62, 0.3)]
AWAY = {"side": [(-2, 3), (0, 9), (3, 22)], "rear": [(-7, 0.5), (-12, -1), (-30, 1)], "work light": [(-2, 0.2), (1, 3), (-6, -9)]}
PLANES = [("ground", 0.0), ("facing", 0.6), ("-0.6/0/0.8", 1.0)]

out = csv.DictWriter(sys.stdout, COLUMNS, lineterminator="\n")
out.writeheader()
for k, ((lamp, l), (site, s)) in enumerate(itertools.product(LAMPS.items(), SITES.items())):
    c = {**PLAIN, **l, **s}
    c["peak_cd"] = peak(c)
    for j, (x, y) in enumerate(AWAY.get(lamp, AHEAD)):
        plane, height = PLANES[(j + k) % 3]
        if lamp in AWAY and plane == "facing":
            plane = "0.6/0/0.8"  # toward what is behind
        c.update(case=f"{lamp}, {site}", x=float(x), y=float(y), plane=plane, height=height)
        row = {**c, "lux": lux(c)}
        out.writerow({n: "%.9g" % v if isinstance(v, float) else v for n, v in row.items()})
