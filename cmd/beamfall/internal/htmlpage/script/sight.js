// From what light on an eye finds a thing: W. Adrian, Visibility of targets: model for calculation,
// Lighting Research and Technology 21 (1989) 181, with the constants of geometry/sight, which the
// tests hold this to.

// threshold is the least difference in luminance (cd/m²) that an observer finds, for a thing of a
// size in minutes of arc and an eye adapted to a luminance (cd/m²).
function threshold(observer, adaptation, arcmin, darker) {
  const l = Math.max(adaptation, 1e-4);
  const lg = Math.log10(l);
  const size = Math.min(arcmin, 60);
  let flux, lum;
  if (l >= 0.6) {
    flux = Math.log10(4.1925 * l ** 0.1556) + 0.1684 * l ** 0.5867;
    lum = 0.05946 * l ** 0.466;
  } else if (l > 0.00418) {
    flux = 10 ** (-0.072 + 0.3372 * lg + 0.0866 * lg * lg);
    lum = 10 ** (-1.256 + 0.319 * lg);
  } else {
    flux = 10 ** (0.028 + 0.173 * lg);
    lum = 10 ** (-0.891 + 0.5275 * lg + 0.0227 * lg * lg);
  }
  const base = 2.6 * (flux / size + lum) ** 2;
  const x = Math.log10(size) + 0.523;
  const y = lg + 6;
  const a = 0.36 - (0.0972 * x * x) / (x * x - 2.513 * x + 2.7895);
  const b = 0.355 - (0.1217 * y * y) / (y * y - 10.4 * y + 52.28);
  let least = ((base * (Math.hypot(a, b) / 2.1 + observer.glance)) / observer.glance) * observer.ageFactor;
  if (darker && l > 0.004) {
    const c = l >= 0.1 ? 0.125 : 0.075;
    const m = 10 ** -(10 ** -(c * (lg + 1) ** 2 + 0.0245));
    least *= Math.max(0, 1 - (m * size ** (-0.6 * l ** -0.1488)) / (2.4 * base));
  }
  return least;
}

// A thing along the track by some light is, by station: {thing, background, veil} luminances in
// cd/m². between is what it is a share t of the way from station i to the next.

function between(rig, look, by, i, t) {
  const mix = (values) => {
    const a = values[i];
    const b = values[i + 1];
    return a > 0 && b > 0 ? Math.exp(Math.log(a) + t * (Math.log(b) - Math.log(a))) : a + t * (b - a);
  };
  return {
    at: rig.stations[i] + t * (rig.stations[i + 1] - rig.stations[i]),
    thing: mix(by.thing),
    background: mix(by.background),
    veil: mix(by.veil),
    arcmin: mix(look.arcmin),
  };
}

// plainness is how plain a thing is in a place: by how much, as a share, its level is above that
// which counts as seen.
function plainness(observer, p) {
  const darker = p.thing < p.background;
  const least = threshold(observer, p.background + p.veil, p.arcmin, darker);
  return { at: p.at, margin: Math.abs(p.thing - p.background) / least / observer.level - 1, darker };
}

const HIDDEN = -1; // the margin of what cannot be seen by any light

// seenStretches are the parts of the track on which a thing is seen, [from, to] in m.
function seenStretches(rig, look, by) {
  const { observer, stations } = rig;
  const places = []; // with the station below each and how far from it to the next
  const add = (i, t) => {
    const p = plainness(observer, between(rig, look, by, i, t));
    if (look.isHidden[t > 0.5 ? i + 1 : i]) p.margin = HIDDEN;
    places.push({ i, t, ...p });
    return places[places.length - 1];
  };
  for (let i = 0; i < stations.length; i++) {
    const before = places[places.length - 1];
    const last = i === stations.length - 1;
    const here = add(last ? i - 1 : i, last ? 1 : 0);
    // Where a thing turns from brighter than its background to darker, it is not seen on the way.
    if (before && before.margin >= 0 && here.margin >= 0 && before.darker !== here.darker) {
      places.pop();
      let lo = 0;
      let hi = 1;
      while (hi - lo > 1e-4) {
        const t = (lo + hi) / 2;
        if (plainness(observer, between(rig, look, by, i - 1, t)).darker === before.darker) lo = t;
        else hi = t;
      }
      add(i - 1, lo);
      places.push(here);
    }
  }
  // edge is where between two neighbouring places, in one of which the thing is seen, that changes.
  const edge = (seen, unseen) => {
    const i = Math.min(seen.i, unseen.i);
    const share = (p) => (p.i === i ? p.t : 1);
    let a = share(seen);
    let b = share(unseen);
    if (unseen.margin === HIDDEN) return stations[i] + look.turns[i] * (stations[i + 1] - stations[i]);
    while (Math.abs(a - b) > 1e-4) {
      const t = (a + b) / 2;
      if (plainness(observer, between(rig, look, by, i, t)).margin >= 0) a = t;
      else b = t;
    }
    return stations[i] + a * (stations[i + 1] - stations[i]);
  };
  const seen = [];
  places.forEach((p, n) => {
    if (p.margin < 0) return;
    const before = places[n - 1];
    const after = places[n + 1];
    if (!before || before.margin < 0) seen.push([before ? edge(p, before) : p.at, p.at]);
    seen[seen.length - 1][1] = after && after.margin < 0 ? edge(p, after) : p.at;
  });
  return seen;
}

// NOT_SEEN is the sight of what is nowhere seen.
const NOT_SEEN = { range: NaN, lost: [], seen: [] };

// sightOf is how far a thing is seen, in m, NaN if nowhere; the stretches of at least a metre from
// 5 m on where it is lost before that; and where it is seen.
function sightOf(rig, look, by) {
  const seen = seenStretches(rig, look, by);
  const lost = [];
  if (seen.length === 0) return NOT_SEEN;
  let from = 5;
  for (const [a, b] of seen) {
    if (a - from >= 1) lost.push([from, a]);
    from = Math.max(from, b);
  }
  return { range: seen[seen.length - 1][1], lost, seen };
}

// speedWithin is from how fast the vehicle stops within a distance, m/s.
function speedWithin(rig, m) {
  if (!Number.isFinite(m)) return NaN;
  const { stations, speed: speeds } = rig;
  let i = stations.findIndex((s) => s >= m);
  if (i < 0) return speeds[speeds.length - 1];
  if (i === 0) i = 1;
  const t = (m - stations[i - 1]) / (stations[i] - stations[i - 1]);
  return Math.max(0, speeds[i - 1] + t * (speeds[i] - speeds[i - 1]));
}
