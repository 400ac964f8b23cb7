"""Glow of air with particles along lines of sight, rendered by POV-Ray 3.7 from airlight.pov beside this file.

Run in this directory with povray and numpy at hand: python3 airlight.py. It writes airlight.csv: for the middle of every
pixel a unit direction from the eye (ahead, left, up), how far the line of sight goes before it meets the hood, the post, the
ground or the wall 30 m ahead (m), and the luminance of the air on it (cd/m2). Pixels darker than 0.5 cd/m2, of which the
picture has too few levels, are left out.
"""
import csv
import subprocess
import tempfile

import numpy as np

W, H, SCALE = 32, 24, 1 / 400
EYE = np.array([-2.2, 0.42, 1.65])  # ahead, left, up
BOXES = [((-1.5, -0.85, 0.55), (-0.15, 0.85, 1.15)), ((0.5, -0.5, 0), (0.7, -0.3, 1.8))]


def picture():
    with tempfile.NamedTemporaryFile(suffix=".ppm") as out:
        subprocess.run(
            ["povray", "+Iairlight.pov", "+O" + out.name, "+FP16", f"+W{W}", f"+H{H}", "File_Gamma=1.0", "-D", "-GA"],
            check=True, capture_output=True)
        data = open(out.name, "rb").read()
    # P6, comments, width, height, greatest value, then the pixels
    fields, at = [], 0
    while len(fields) < 4:
        end = data.index(b"\n", at)
        line = data[at:end]
        at = end + 1
        fields += line.split(b"#")[0].split()
    assert fields[0] == b"P6" and [int(f) for f in fields[1:]] == [W, H, 65535]
    return np.frombuffer(data[at:], dtype=">u2").reshape(H, W, 3)[:, :, 0] / 65535


def distance(d):
    far = (30 - EYE[0]) / d[0]
    if d[2] < 0:
        far = min(far, -EYE[2] / d[2])
    for lo, hi in BOXES:
        t0, t1 = 0, np.inf
        for k in range(3):
            a, b = sorted(((lo[k] - EYE[k]) / d[k], (hi[k] - EYE[k]) / d[k]))
            t0, t1 = max(t0, a), min(t1, b)
        if t0 < t1:
            far = min(far, t0)
    return far


with open("airlight.csv", "w", newline="") as f:
    out = csv.writer(f, lineterminator="\n")
    out.writerow(["ahead", "left", "up", "distance", "glow"])
    values = picture()
    for j in range(H):
        for i in range(W):
            glow = values[j, i] / SCALE / (4 * np.pi)
            d = np.array([1, -((i + 0.5) / W - 0.5) * 1.6, (0.5 - (j + 0.5) / H) * 1.2])
            d /= np.linalg.norm(d)
            if glow >= 0.5:
                out.writerow(["%.6f" % x for x in (*d, distance(d))] + ["%.5g" % glow])
