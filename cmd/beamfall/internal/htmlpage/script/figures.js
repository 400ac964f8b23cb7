// The figures of a setting: what its light comes to.

const DARK = 1; // lx facing: a stretch of the track with less is dark
const THRESHOLDS = [1, 3]; // lx facing

// figuresOf works out a setting's light along the track, what is seen by it, and what adds up lamp
// by lamp.
function figuresOf(rig, light, setting) {
  const facing = light.along('facing', setting);
  const seen = rig.things.map((_, k) => {
    const { look, by } = light.look(k, setting);
    return { look, by, ...(rig.airs[setting.air].noRange ? NOT_SEEN : sightOf(rig, look, by)) };
  });
  const sum = (of) => {
    const parts = setting.tilts.map((tilt, c) => (setting.on[c] ? of(rig.controls[c], tilt) : 0));
    return parts.reduce((a, b) => a + b, 0);
  };
  return {
    facing,
    ground: light.along('ground', setting),
    seen,
    gaps: gapsOf(rig.stations, facing, DARK),
    reach: THRESHOLDS.map((level) => reachOf(rig.stations, facing, level)),
    tops: rig.tops.map((_, k) => sum((c, tilt) => c.tops[setting.air][tilt][k])),
    eye: sum((c, tilt) => c.oncoming[setting.air][tilt][0]),
    eyeVeil: sum((c, tilt) => c.oncoming[setting.air][tilt][1] ?? NaN),
  };
}

// rangeWithout is how far a thing would be seen without the veil of one part of the light: of the
// 'body', the 'ground' or the 'air'.
function rangeWithout(rig, { look, by, range }, part) {
  if (Number.isNaN(range)) return NaN;
  return sightOf(rig, look, { ...by, veil: by.veil.map((v, i) => v - by[part][i]) }).range;
}
