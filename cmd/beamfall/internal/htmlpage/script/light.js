// The light of a setting: sums of what every lamp does at its tilt.

// Light reads the tables in the order in which content.go writes them. A setting is {tilts, on}: by
// control the number of its tilt, and whether it is lit.
class Light {
  constructor(rig, tables) {
    this.rig = rig;
    this.lux = valuesOf(rig.light);
    this.cd = valuesOf(rig.sight);
    this.airs = rig.airs.map(() => ({
      lit: rig.controls.map((c) => {
        const fields = c.tilts.map(() => ({ ground: tables.next(), facing: tables.next() }));
        return {
          ground: fields.map((f) => f.ground.codes),
          facing: fields.map((f) => f.facing.codes),
          along: { ground: tables.next(), facing: tables.next() },
        };
      }),
      looks: rig.things.map((thing) => ({
        ...thing,
        isHidden: rig.stations.map((_, i) => thing.hidden.includes(i)),
        sky: { background: tables.next(), veil: tables.next() },
        lit: rig.controls.map(() => ({
          thing: tables.next(),
          background: tables.next(),
          ground: tables.next(),
          body: tables.next(),
          air: tables.next(),
        })),
      })),
    }));
  }

  // field is the illuminance (lx) on a surface, 'ground' or 'facing', of place (x[i], y[j]) in
  // i·len(y) + j.
  field(surface, setting) {
    const { lux } = this;
    const { lit } = this.airs[setting.air];
    const sum = new Float32Array(this.rig.grid.x.length * this.rig.grid.y.length);
    setting.tilts.forEach((tilt, c) => {
      if (!setting.on[c]) return;
      const codes = lit[c][surface][tilt];
      for (let i = 0; i < sum.length; i++) sum[i] += lux[codes[i]];
    });
    return sum;
  }

  // at is the illuminance (lx) on a surface at the place number n of the grid.
  at(surface, setting, n) {
    const lit = this.airs[setting.air].lit;
    return setting.tilts.reduce(
      (sum, tilt, c) => sum + (setting.on[c] ? this.lux[lit[c][surface][tilt][n]] : 0),
      0,
    );
  }

  // along is the illuminance (lx) by station on the track.
  along(surface, setting) {
    const lit = this.airs[setting.air].lit;
    return this.sum(setting, (c) => lit[c].along[surface], this.lux);
  }

  sum(setting, tableOf, values, sky) {
    const n = this.rig.stations.length;
    const sum = new Float64Array(n);
    if (sky) for (let i = 0; i < n; i++) sum[i] = values[sky.codes[i]];
    setting.tilts.forEach((tilt, c) => {
      if (!setting.on[c]) return;
      const codes = tableOf(c).codes;
      const row = tilt * n;
      for (let i = 0; i < n; i++) sum[i] += values[codes[row + i]];
    });
    return sum;
  }

  // look is what thing number k is and, by station, what light does to it: luminances in cd/m².
  look(k, setting) {
    const look = this.airs[setting.air].looks[k];
    const part = (name, sky) => this.sum(setting, (c) => look.lit[c][name], this.cd, sky);
    const by = {
      thing: part('thing'),
      background: part('background', look.sky.background),
      ground: part('ground'),
      body: part('body'),
      air: part('air'),
      sky: this.sum({ tilts: [] }, null, this.cd, look.sky.veil),
    };
    by.veil = by.ground.map((v, i) => v + by.body[i] + by.air[i] + by.sky[i]);
    return { look, by };
  }
}

// reachOf is the farthest distance (m) at which a light along the track is still a level (lx), NaN
// if nowhere.
function reachOf(stations, lux, level) {
  for (let i = lux.length - 1; i >= 0; i--) {
    if (lux[i] >= level) return i === lux.length - 1 ? stations[i] : crossing(stations, lux, i, i + 1, level);
  }
  return NaN;
}

// crossing is where between stations i and k a light passes a level, on logarithmic scales.
function crossing(stations, lux, i, k, level) {
  const a = Math.log(Math.max(lux[i], 1e-6));
  const b = Math.log(Math.max(lux[k], 1e-6));
  const t = (Math.log(level) - a) / (b - a);
  return stations[i] * (stations[k] / stations[i]) ** Math.min(1, Math.max(0, t));
}

// gapsOf are the stretches [from, to] short of the reach at a level where there is less.
function gapsOf(stations, lux, level) {
  const reach = reachOf(stations, lux, level);
  const gaps = [];
  let from = NaN;
  for (let i = 0; i < lux.length && stations[i] <= reach; i++) {
    if (lux[i] < level && Number.isNaN(from)) from = i > 0 ? crossing(stations, lux, i - 1, i, level) : 0;
    if (lux[i] >= level && !Number.isNaN(from)) {
      const to = crossing(stations, lux, i - 1, i, level);
      if (to - from > 0.05) gaps.push([from, to]);
      from = NaN;
    }
  }
  return gaps;
}
