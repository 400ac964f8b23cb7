"""What a driver sees, worked out with numpy from the formulas alone, by sums over very many points.

Bars are rows of points of light, boxes are asked for each ray, the veil is a sum over even steps of direction, the glow of
the air one over even steps of every line of sight. Nothing is shared with the program, nothing is fitted or tabled. The rigs
are those of geometry/sight/reference_test.go.

    python3 sight.py > sight.csv        (Debian: apt-get install python3-numpy; a quarter of an hour)

Lengths in m, luminances in cd/m2. Columns: rig; what is looked for, where; lux on it; luminance of it, of its background,
of the veil by ground, body, air and sky; size in minutes of arc; threshold; visibility level.
"""
import csv
import sys

import numpy as np

R = np.radians


class Rig:
    def __init__(self, name, lamps, boxes, eye, nose_up, axle, ground=0.15, grade=0.0, cross=0.0, visibility=None,
                 particles=None, age=40, glance=0.2, sky=0.001):
        self.name, self.ground, self.grade, self.cross = name, ground, grade, cross
        self.age, self.glance, self.sky_l = age, glance, sky
        self.nose, self.axle = R(nose_up), axle
        self.sigma = np.log(20) / visibility if visibility else 0.0
        self.particles = particles
        self.boxes = boxes                                       # as parked: (min, max)
        self.eye = self.driven(np.array([eye]))[0]
        e = np.array(eye)
        self.seen_boxes = [b for b in boxes if not (np.all(e > b[0]) and np.all(e < b[1]))]
        self.emitters = []                                       # place, axes, shape(theta, phi), candela
        for at, tilt, turn, width, spans, shape, flux in lamps:
            t, y = R(tilt), R(turn)
            ahead = np.array([np.cos(t) * np.cos(y), np.cos(t) * np.sin(y), -np.sin(t)])
            left = np.array([-np.sin(y), np.cos(y), 0.0])
            up = np.cross(ahead, left)
            peak = flux / unit_flux(shape)
            length = sum(b - a for a, b in spans)
            for a, b in spans:
                n = max(1, round(24 * (b - a) * width)) if width else 1
                for i in range(n):
                    e = a + (b - a) * (i + 0.5) / n if width else 0.0
                    place = self.driven(np.array([np.array(at) + e * width / 2 * left]))[0]
                    self.emitters.append((place, *(self.turned(np.array([v]))[0] for v in (ahead, left, up)), shape,
                                          peak * (b - a) / length / n))

    def turned(self, v):
        s, c = np.sin(self.nose), np.cos(self.nose)
        return np.stack([c * v[:, 0] - s * v[:, 2], v[:, 1], s * v[:, 0] + c * v[:, 2]], axis=1)

    def driven(self, p):
        p = p - [self.axle, 0, 0]
        return self.turned(p) + [self.axle, 0, 0]

    def parked(self, p):
        p = p - [self.axle, 0, 0]
        s, c = np.sin(-self.nose), np.cos(-self.nose)
        return np.stack([c * p[:, 0] - s * p[:, 2], p[:, 1], s * p[:, 0] + c * p[:, 2]], axis=1) + [self.axle, 0, 0]

    def height(self, x, y):
        return self.grade * x + self.cross * y

    @property
    def normal(self):
        n = np.array([-self.grade, -self.cross, 1.0])
        return n / np.linalg.norm(n)

    def through(self, d):
        return np.exp(-self.sigma * d)

    def shaded(self, p, q):
        """Whether a box stands between points p (n, 3) and a point q."""
        a, b = self.parked(p), self.parked(np.array([q]))[0]
        d = b - a
        out = np.zeros(len(p), bool)
        for lo, hi in self.boxes:
            with np.errstate(divide="ignore", invalid="ignore"):
                t0, t1 = (lo - a) / d, (hi - a) / d
            near, far = np.minimum(t0, t1).max(axis=1), np.maximum(t0, t1).min(axis=1)
            out |= np.minimum(far, 1) - np.maximum(near, 0) > 1e-9
        return out

    def arriving(self, p):
        """For each emitter: E on a plane across its light, and the unit vectors toward it, at points p (n, 3)."""
        for place, ahead, left, up, shape, candela in self.emitters:
            v = p - place
            d = np.linalg.norm(v, axis=1)
            u = v / d[:, None]
            a, l, z = u @ ahead, u @ left, u @ up
            theta = np.arctan2(np.hypot(l, z), a)
            i = np.where(a > 0, candela * shape(theta, np.arctan2(z, l)), 0)
            i[self.shaded(p, place)] = 0
            yield i / d**2 * self.through(d), -u

    def lux(self, p, normal):
        return sum(e * np.maximum(0, toward @ normal) for e, toward in self.arriving(p))

    def looks(self, d):
        """What is met in directions d (n, 3): 0 sky, 1 ground, 2 top, 3 another face; how far; where."""
        rate = d @ self.normal
        over = (self.eye - [0, 0, self.height(self.eye[0], self.eye[1])]) [2] * self.normal[2]
        with np.errstate(divide="ignore", invalid="ignore"):
            far = np.where(rate < 0, -over / rate, np.inf)
        what = np.where(np.isfinite(far), 1, 0)
        e = self.parked(np.array([self.eye]))[0]
        zero = self.parked(np.zeros((1, 3)))[0]
        dp = self.parked(d) - zero
        for lo, hi in self.seen_boxes:
            with np.errstate(divide="ignore", invalid="ignore"):
                t0, t1 = (lo - e) / dp, (hi - e) / dp
            least = np.minimum(t0, t1)
            near, out = least.max(axis=1), np.maximum(t0, t1).min(axis=1)
            hit = (near < out) & (near > 0) & (near < far)
            top = (least.argmax(axis=1) == 2) & (dp[:, 2] < 0)
            what = np.where(hit, np.where(top, 2, 3), what)
            far = np.where(hit, near, far)
        return what, far, self.eye + d * np.where(np.isfinite(far), far, 0)[:, None]

    def glow(self, d, far, steps=160):
        """Single scattering along directions d (n, 3) up to far (n)."""
        if not self.particles:
            return np.zeros(len(d))
        b, g1, g2, omega = self.particles
        hg = lambda g, c: (1 - g * g) / (4 * np.pi * (1 + g * g - 2 * g * c) ** 1.5)
        far = np.minimum(far, 12 / self.sigma)
        total = np.zeros(len(d))
        for k in range(steps):                                   # even steps of log(s + 0.3)
            lo, hi = (0.3 * ((far + 0.3) / 0.3) ** (x / steps) - 0.3 for x in (k, k + 1))
            s = (lo + hi) / 2
            for e, toward in self.arriving(self.eye + d * s[:, None]):
                c = np.einsum("ij,ij->i", toward, d)
                total += e * ((1 - b) * hg(g1, c) + b * hg(-g2, c)) * self.through(s) * (hi - lo)
        return omega * self.sigma * total

    def luminance(self, d):
        """Of what is seen in directions d: of ground, of tops, of sky, of the air."""
        what, far, p = self.looks(d)
        ground, top = np.zeros(len(d)), np.zeros(len(d))
        g, t = what == 1, what == 2
        if g.any():
            ground[g] = self.lux(p[g], self.normal) * self.ground / np.pi * self.through(far[g])
        if t.any():
            up = self.turned(np.array([[0, 0, 1.0]]))[0]
            top[t] = self.lux(p[t], up) * 0.1 / np.pi * self.through(far[t])
        sky = np.where(what == 0, self.sky_l * (1 if self.sigma == 0 else 0), 0)
        return ground, top, sky, np.where(what == 3, 0, self.glow(d, far))

    def veil(self, line, angles, turns, air):
        a = np.exp(np.log(1) + np.log(90) * (np.arange(angles) + 0.5) / angles)      # degrees
        v = 10 / a**3 + (5 / a**2 + 0.05 / a) * (1 + (self.age / 62.5) ** 4) + 0.00125
        r = R(a)
        w = v * np.cos(r) * np.sin(r) * r * np.log(90) / angles * 2 * np.pi / turns
        phi = 2 * np.pi * (np.arange(turns) + 0.5) / turns
        e1 = np.cross(line, [0, 1, 0])
        e1 /= np.linalg.norm(e1)
        e2 = np.cross(line, e1)
        d = (np.cos(r)[:, None, None] * line + np.sin(r)[:, None, None] * (
            np.cos(phi)[None, :, None] * e1 + np.sin(phi)[None, :, None] * e2)).reshape(-1, 3)
        weight = np.repeat(w, turns)
        if air:
            what, far, _ = self.looks(d)
            return (weight * np.where(what == 3, 0, self.glow(d, far, 80))).sum()
        keep, self.particles = self.particles, None
        ground, top, sky, _ = self.luminance(d)
        self.particles = keep
        return (weight * ground).sum(), (weight * top).sum(), (weight * sky).sum()

    def toward(self, p):
        d = p - self.eye
        return d / np.linalg.norm(d), np.linalg.norm(d)

    def at(self, x, y, up):
        return np.array([x, y, self.height(x, y) + up])

    def row(self, thing, x, y):
        name, width, height, rho, lies = thing
        if lies:
            centre = self.at(x, y, 0)
            line, d = self.toward(centre)
            lux = self.lux(centre[None], self.normal)[0]
            area = width * height * abs(line @ self.normal)
            beside = [self.at(x - height / 2 - 0.1, y, 0), self.at(x + height / 2 + 0.1, y, 0)]
        else:
            centre = self.at(x, y, height / 2)
            line, d = self.toward(centre)
            lux = self.lux(np.array([self.at(x, y, height * k / 6) for k in (1, 3, 5)]), np.array([-1.0, 0, 0])).mean()
            area = width * height
            beside = [self.at(x, y, 0), self.at(x, y, height)]
        lt = self.through(d) * rho / np.pi * lux + self.glow(line[None], np.array([d]), 3000)[0]
        dirs = np.array([self.toward(b)[0] for b in beside])
        what, far, _ = self.looks(dirs)
        keep, self.particles = self.particles, None
        lb = sum(np.sum(v) for v in self.luminance(dirs)) / 2
        self.particles = keep
        lb += np.where(what == 3, 0, self.glow(dirs, far, 3000)).sum() / 2
        ground, body, sky = self.veil(line, 500, 500, False)
        air = self.veil(line, 90, 120, True) if self.particles else 0.0
        size = min(60, 2 * np.degrees(np.arctan(np.sqrt(area / np.pi) / d)) * 60)
        dl = threshold(lb + ground + body + sky + air, size, self.age, self.glance, lt < lb)
        return [self.name, name, x, y] + ["%.5g" % v for v in (
            lux, lt, lb, ground, body, air, sky, size, dl, abs(lt - lb) / dl)]


def threshold(l, a, age, t, darker):
    l = max(l, 1e-4)
    g = np.log10(l)
    if l >= 0.6:
        f, m = np.log10(4.1925 * l**0.1556) + 0.1684 * l**0.5867, 0.05946 * l**0.466
    elif l > 0.00418:
        f, m = 10 ** (-0.072 + 0.3372 * g + 0.0866 * g * g), 10 ** (-1.256 + 0.319 * g)
    else:
        f, m = 10 ** (0.028 + 0.173 * g), 10 ** (-0.891 + 0.5275 * g + 0.0227 * g * g)
    base = 2.6 * (f / a + m) ** 2
    x, y = np.log10(a) + 0.523, g + 6
    aa = 0.36 - 0.0972 * x * x / (x * x - 2.513 * x + 2.7895)
    bb = 0.355 - 0.1217 * y * y / (y * y - 10.4 * y + 52.28)
    af = 1 if age <= 23 else (age - 19) ** 2 / 2160 + 0.99 if age <= 64 else (age - 56.6) ** 2 / 116.3 + 1.43
    dl = base * (np.hypot(aa, bb) / 2.1 + t) / t * af
    if darker and l > 0.004:
        c = 0.125 if l >= 0.1 else 0.075
        dl *= max(0, 1 - 10 ** (-(10 ** (-(c * (g + 1) ** 2 + 0.0245)))) * a ** (-0.6 * l**-0.1488) / (2.4 * base))
    return dl


def gaussian(across, updown, p=2.0):
    h, v = R(across / 2), R(updown / 2)
    return lambda theta, phi: 2.0 ** (-((theta**2 * (np.cos(phi) ** 2 / h**2 + np.sin(phi) ** 2 / v**2)) ** (p / 2)))


def unit_flux(shape, n=1500):
    theta = (np.arange(n) + 0.5) / n * np.pi / 2
    phi = (np.arange(360) + 0.5) / 360 * 2 * np.pi
    t, f = np.meshgrid(theta, phi, indexing="ij")
    return (shape(t, f) * np.sin(t)).sum() * (np.pi / 2 / n) * (2 * np.pi / 360)


WHOLE = [(-1, 1)]
SPOT = gaussian(9, 9, np.log(np.log2(10)) / np.log(20 / 9))
BOXES = [(np.array(lo), np.array(hi)) for lo, hi in [
    ((-1.5, -0.85, 0.55), (-0.15, 0.85, 1.15)), ((-3.5, -0.9, 0.55), (-1.5, 0.9, 1.95)),
    ((-5.5, -0.95, 0.6), (-3.5, 0.95, 2.2))]]
TRAIL = [
    ((-1.65, 0, 2.1), 5, 0, 1.2, [(-0.6, 0.6)], gaussian(10, 10), 6300),
    ((-1.65, 0, 2.1), 5, 0, 1.2, [(-1, -0.6), (0.6, 1)], gaussian(36, 36), 4200),
    ((-0.05, 0.55, 0.8), 0, 0, 0, WHOLE, SPOT, 2660),
    ((-0.05, -0.55, 0.8), 0, 0, 0, WHOLE, SPOT, 2660),
    ((-0.05, 0, 0.65), 3, 0, 0.3, WHOLE, gaussian(60, 20), 4200)]
DUST = (0.048, 0.7555, 0.4, 0.95)
EYE = (-2.2, 0.42, 1.65)
THINGS = {
    "person": ("person", 0.5, 1.7, 0.05, False), "rock": ("rock", 0.4, 0.3, 0.15, False),
    "rut": ("rut", 1.5, 0.3, 0.02, True)}

out = csv.writer(sys.stdout, lineterminator="\n")
out.writerow("rig thing ahead left lux thing_cd background ground body air sky size threshold level".split())
clear = Rig("clear", TRAIL, BOXES, EYE, 0.6, -4.1)
old = Rig("old eyes on a slope", TRAIL[:3], BOXES[:1], EYE, -0.5, -4.1, ground=0.3, grade=0.03, cross=-0.02,
          visibility=600, age=68, glance=0.4)
dust = Rig("dust", TRAIL, BOXES, EYE, 0.6, -4.1, visibility=150, particles=DUST)
for rig, thing, x, y in [
        (clear, "person", 40, 0), (clear, "person", 208, 0), (clear, "person", 60, 6), (clear, "rock", 15, 0),
        (clear, "rock", 150, -2), (clear, "rut", 8, 0), (clear, "rut", 42, 0),
        (old, "person", 30, 0), (old, "person", 120, 1), (old, "rut", 20, 0), (old, "rock", 60, -3),
        (dust, "person", 15, 0), (dust, "person", 25, 0), (dust, "rut", 14, 0), (dust, "rock", 30, 2)]:
    out.writerow(rig.row(THINGS[thing], x, y))
    sys.stdout.flush()
