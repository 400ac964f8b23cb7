// The four pictures, one above the other on one axis of distance, so that a dark stretch is seen in
// all of them.

const GUTTER = 56, MARGIN = 10; // px left and right of a picture's frame
const DARK = 1; // lx facing: what a stretch with less counts as
const THRESHOLDS = [1, 3]; // lx

// Frame is a box of pixels over metres ahead (x) and, in each picture, its own measure up (y).
class Frame {
  constructor(box, from, to, bottom, top) {
    Object.assign(this, { ...box, from, to, bottom, top });
  }

  px(m) { return this.x + (m - this.from) / (this.to - this.from) * this.w; }
  py(v) { return this.y + (this.top - v) / (this.top - this.bottom) * this.h; }
  point([x, y]) { return [this.px(x), this.py(y)]; }
}

// heightOf is how high the map is, so that it shows more to the sides the less it shows ahead.
function heightOf(rig, s, width) {
  const [from, to] = extentOf(rig, s);
  return Math.round((18 + 0.16 * rig.ahead[s.ahead]) / (to - from) * (width - GUTTER - MARGIN)) + 26;
}

// extentOf is from where to where ahead (m) pictures show: behind the vehicle as well where lamps
// that are lit look there.
function extentOf(rig, s) {
  const ahead = rig.ahead[s.ahead];
  const tail = Math.min(0, ...rig.vehicle.fromAbove.flat().map(([x]) => x), ...rig.controls.flatMap((c) => c.lamps.map((l) => l.place.X)));
  const light = lightOf(rig, s);
  const back = rig.controls.some((c, i) => light.on[i] && c.lamps.some((l) => l.aims[light.tilts[i]].axis[0] < -0.3));
  const behind = Math.max(rig.grid.x[0], back ? tail - 0.4 * ahead : tail - 0.02 * ahead - 1);
  return [behind, ahead];
}

// axisAhead draws the marks of distances, and their figures where there is room below the frame.
function axisAhead(sheet, f, system, figures) {
  const unit = system === IMPERIAL ? FOOT : 1, name = system === IMPERIAL ? ' ft' : ' m';
  const ticks = ticksOf(f.from / unit, f.to / unit, 48 / f.w * (f.to - f.from) / unit);
  ticks.forEach((t, i) => {
    const x = f.px(t * unit);
    sheet.line([[x, f.y], [x, f.y + f.h]], { colour: sheet.look.grid });
    if (!figures) return;
    const text = i === ticks.length - 1 ? t + name : String(t);
    const half = sheet.measure(text) / 2;
    sheet.write(text, Math.min(x, sheet.width - half - 1), f.y + f.h + 10, { colour: sheet.look.muted, align: 'center' });
  });
}

// bandsOver paints the bands of a field of light, straight between its places on a logarithmic
// scale.
function bandsOver(sheet, f, grid, logs) {
  const { look } = sheet;
  const ratio = Math.min(sheet.ratio, Math.sqrt(6e5 / (f.w * f.h)));
  const w = Math.round(f.w * ratio), h = Math.round(f.h * ratio);
  bandsOver.canvas ??= document.createElement('canvas');
  const canvas = bandsOver.canvas;
  if (canvas.width !== w || canvas.height !== h) {
    canvas.width = w;
    canvas.height = h;
  }
  const pen = canvas.getContext('2d');
  const image = pen.createImageData(w, h), pixels = new Uint32Array(image.data.buffer);
  const low = Math.log(look.levels[0]), fine = 64; // steps of the table of colours to a factor of e
  const high = Math.log(look.levels[look.levels.length - 1]);
  const colours = new Uint32Array(Math.ceil((high - low) * fine) + 2);
  const packed = look.bands.map((c) => {
    const v = Number.parseInt(c.slice(1), 16);
    return (0xff000000 | (v & 255) << 16 | (v >> 8 & 255) << 8 | v >> 16) >>> 0;
  });
  for (let i = 1, band = 0; i < colours.length; i++) {
    while (band < look.levels.length && low + (i - 0.5) / fine >= Math.log(look.levels[band])) band++;
    colours[i] = packed[band];
  }
  colours[0] = packed[0];
  const middle = (n, from, step) => Float64Array.from({ length: n }, (_, i) => from + (i + 0.5) * step);
  const ahead = placesOf(grid.x, middle(w, f.from, (f.to - f.from) / w));
  const left = placesOf(grid.y, middle(h, f.top, (f.bottom - f.top) / h));
  const nx = grid.x.length, ny = grid.y.length, line = new Float32Array(nx);
  for (let row = 0, n = 0; row < h; row++) {
    const j = left.index[row], t = left.share[row];
    if (j < 0) {
      n += w;
      continue;
    }
    for (let i = 0, k = j; i < nx; i++, k += ny) line[i] = logs[k] + t * (logs[k + 1] - logs[k]);
    for (let column = 0; column < w; column++, n++) {
      const i = ahead.index[column];
      if (i < 0) continue;
      const v = line[i] + ahead.share[column] * (line[i + 1] - line[i]);
      const step = Math.floor((v - low) * fine) + 1;
      pixels[n] = colours[step < 0 ? 0 : step >= colours.length ? colours.length - 1 : step];
    }
  }
  pen.putImageData(image, 0, 0);
  sheet.pen.drawImage(canvas, f.x, f.y, f.w, f.h);
}

// logsOf are the logarithms of a field, no darker than next to nothing.
function logsOf(field) {
  const logs = new Float32Array(field.length);
  for (let i = 0; i < field.length; i++) logs[i] = field[i] > 1e-4 ? Math.log(field[i]) : -9.2;
  return logs;
}

// drawMap is the light from above. shown is what page.js works out of a setting, own the same of
// the rig as it is.
function drawMap(canvas, width, height, rig, s, shown, own, look) {
  const sheet = new Sheet(canvas, width, height, look);
  const [from, to] = extentOf(rig, s);
  const box = { x: GUTTER, y: 6, w: width - GUTTER - MARGIN, h: height - 6 - 20 };
  const half = (to - from) / box.w * box.h / 2;
  const f = new Frame(box, from, to, -half, half);
  const logs = logsOf(shown.field);
  bandsOver(sheet, f, rig.grid, logs);
  axisAhead(sheet, f, s.units, true);
  axisAcross(sheet, f, s.units);
  sheet.within(f, () => {
    if (rig.width > 0) {
      for (const side of [-0.5, 0.5]) {
        sheet.line(beside(rig.track, side * rig.width).map((p) => f.point(p)), { colour: look.muted, dash: [2, 4] });
      }
    }
    rig.vehicle.fromAbove.forEach((box) => sheet.line(box.map((p) => f.point(p)), { closed: true, fill: look.vehicle, colour: look['vehicle-edge'] }));
    const isolux = isolines(rig.grid.x, rig.grid.y, logs, look.levels.map(Math.log));
    isolux.forEach((lines, i) => {
      for (const line of lines) sheet.line(line.map((p) => f.point(p)), { colour: look.lines[i], width: look.levels[i] === DARK ? 1.8 : 1 });
    });
    for (const line of own.outline) sheet.line(line.map((p) => f.point(p)), { colour: look.ink, width: 1.4, dash: [5, 4] });
    drawSightLine(sheet, f, rig, own.seen[s.thing].range, { colour: look.ink, dash: [5, 4], width: 1.4 });
    drawSightLine(sheet, f, rig, shown.seen[s.thing].range, { colour: look.accent, width: 2.5 },
      `${rig.things[s.thing].name} ${distance(shown.seen[s.thing].range, s.units)}`);
    drawHits(sheet, f, rig, s);
    labelLines(sheet, f, isolux);
  });
  sheet.line([[f.x, f.y], [f.x + f.w, f.y], [f.x + f.w, f.y + f.h], [f.x, f.y + f.h]], { closed: true, colour: look.edge });
  if (s.mark !== undefined) {
    const [x, y] = f.point([rig.grid.x[Math.floor(s.mark / rig.grid.y.length)], rig.grid.y[s.mark % rig.grid.y.length]]);
    for (const [colour, width] of [[look.background, 4], [look.ink, 1.5]]) {
      sheet.line([[x - 9, y], [x + 9, y]], { colour, width });
      sheet.line([[x, y - 9], [x, y + 9]], { colour, width });
    }
  }
  return f;
}

// axisAcross writes how far to the left and right the map goes.
function axisAcross(sheet, f, system) {
  const unit = system === IMPERIAL ? FOOT : 1, name = system === IMPERIAL ? ' ft' : ' m';
  for (const t of ticksOf(f.bottom / unit, f.top / unit, 40 / f.h * (f.top - f.bottom) / unit)) {
    const y = f.py(t * unit);
    if (y < f.y + 8 || y > f.y + f.h - 4) continue;
    sheet.line([[f.x - 4, y], [f.x, y]], { colour: sheet.look.muted });
    sheet.write(t === 0 ? '0' : Math.abs(t) + name + (t > 0 ? ' L' : ' R'), f.x - 6, y, { colour: sheet.look.muted, align: 'right' });
  }
}

// beside is the track's line so far to the left of it.
function beside(track, left) {
  return track.flatMap(([a, b]) => {
    const dx = b[0] - a[0], dy = b[1] - a[1], d = Math.hypot(dx, dy) || 1;
    return [a, b].map(([x, y]) => [x - left * dy / d, y + left * dx / d]);
  });
}

// onTrack is the place at a distance along the track and the direction of the track there.
function onTrack(rig, s) {
  for (const [a, b] of rig.track) {
    const d = Math.hypot(b[0] - a[0], b[1] - a[1]);
    if (s <= d || b === rig.track[rig.track.length - 1][1]) {
      const u = [(b[0] - a[0]) / d, (b[1] - a[1]) / d];
      return { at: [a[0] + s * u[0], a[1] + s * u[1]], along: u };
    }
    s -= d;
  }
  return null;
}

// drawSightLine is a line across the track where a thing is just seen.
function drawSightLine(sheet, f, rig, range, pen, text) {
  if (!Number.isFinite(range)) return;
  if (range > f.to) {
    if (text) sheet.label(text + ' \u2192', f.x + f.w - 2, f.py(0), f, { bold: true, offsets: [[0, -24, 'right'], [0, 24, 'right']] });
    return;
  }
  const { at, along } = onTrack(rig, range);
  const half = Math.max(rig.width / 2 + 1, 14 / f.w * (f.to - f.from));
  const ends = [half, -half].map((d) => f.point([at[0] - d * along[1], at[1] + d * along[0]]));
  sheet.line(ends, pen);
  if (!text) return;
  const [x, y] = f.point(at);
  if (x < f.x + f.w) sheet.label(text, x, y, f, { bold: true, offsets: [[6, -24, 'left'], [-6, -24, 'right'], [6, 24, 'left'], [-6, 24, 'right'], [6, -9, 'left'], [-6, -9, 'right']] });
}

// labelLines writes the levels where their lines reach farthest from the vehicle in the middle of
// the map, but not so close to another that they read as one.
function labelLines(sheet, f, isolux) {
  const places = [];
  isolux.forEach((lines, i) => {
    let best = null;
    for (const [x, y] of lines.flat()) {
      if (x < f.from || x > f.to || Math.abs(y) > f.top * 0.8) continue;
      const far = Math.abs(x) - 2 * Math.abs(y);
      if (!best || far > best.far) best = { far, x, y };
    }
    if (best) places.push({ i, at: f.point([best.x, best.y]) });
  });
  for (const { i, at: [x, y] } of places) {
    const level = sheet.look.levels[i];
    sheet.label(level + (level === DARK ? ' lx' : ''), x, y, f, { offsets: [[3, 0, 'left'], [-3, 0, 'right']], apart: 8 });
  }
}

// drawHits marks where the axes of the lamps that are lit meet the ground, by the lamps' numbers.
function drawHits(sheet, f, rig, s) {
  const { look } = sheet, light = lightOf(rig, s);
  rig.controls.forEach((c, i) => {
    if (!light.on[i]) return;
    c.lamps.forEach((l) => {
      const { hit } = l.aims[s.tilts[i]];
      const lamp = f.point([l.place.X, l.place.Y]);
      if (i === s.held && hit) sheet.line([lamp, f.point(hit)], { colour: look.accent, width: 1.5 });
      sheet.line([[lamp[0] - 1, lamp[1]], [lamp[0] + 1, lamp[1]]], { colour: look.ink, width: 3 });
      if (!hit) return;
      const [x, y] = f.point(hit);
      if (x < f.x || x > f.x + f.w || y < f.y || y > f.y + f.h) return;
      sheet.pen.beginPath();
      sheet.pen.arc(x, y, 4, 0, 7);
      sheet.pen.fillStyle = i === s.held ? look.accent : look.ink;
      sheet.pen.fill();
      sheet.pen.strokeStyle = look.background;
      sheet.pen.lineWidth = 1.5;
      sheet.pen.stroke();
      sheet.taken.push({ x: x - 5, y: y - 5, w: 10, h: 10 });
      sheet.label(String(l.key), x, y, f, { bold: true });
    });
  });
}

// drawSection is the vehicle, the ground and the beams from the side, heights drawn larger than
// lengths.
function drawSection(canvas, width, height, rig, s, shown, look) {
  const sheet = new Sheet(canvas, width, height, look);
  const [from, to] = extentOf(rig, s);
  const box = { x: GUTTER, y: 6, w: width - GUTTER - MARGIN, h: height - 12 };
  const ground = rig.ground.flat().filter(([x]) => x >= from && x <= to).map(([, z]) => z);
  const tops = [...rig.vehicle.fromAside.flat().map(([, z]) => z), ...rig.controls.flatMap((c) => c.lamps.map((l) => l.place.Z))];
  const low = Math.min(0, ...ground), high = Math.max(1.8, ...tops, ...ground.map((z) => z + 1.8));
  const scale = box.w / (to - from); // px to the metre, along
  const most = box.h * 0.8 / ((high - low) * scale);
  const larger = [0.1, 0.2, 0.5, 1, 1.5, 2, 3, 5, 8, 10, 15, 20, 30, 50].filter((e) => e <= most).pop() ?? most;
  const total = box.h / (scale * larger), bottom = low - 0.1 * total;
  const f = new Frame(box, from, to, bottom, bottom + total);
  const away = [];
  sheet.within(f, () => {
    sheet.line([[f.x, f.y], [f.x + f.w, f.y], [f.x + f.w, f.y + f.h], [f.x, f.y + f.h]], { closed: true, fill: look.sky });
    const light = lightOf(rig, s), beams = [];
    rig.controls.forEach((c, i) => {
      if (!light.on[i]) return;
      c.lamps.forEach((l) => {
        const a = l.aims[s.tilts[i]];
        if (Math.abs(a.axis[0]) < 0.5 * Math.sqrt(1 - a.axis[1] ** 2)) away.push(l.name);
        else beams.push({ i, l, a });
      });
    });
    sheet.pen.globalAlpha = Math.min(0.16, 0.5 / beams.length);
    for (const { l, a } of beams) {
      if (!a.lower || !a.upper) continue;
      const lamp = [l.place.X, l.place.Z];
      sheet.line([lamp, endOf(rig, l, a.lower, f), endOf(rig, l, a.upper, f)].map((p) => f.point(p)), { closed: true, fill: look.ink });
    }
    sheet.pen.globalAlpha = 1;
    for (const { i, l, a } of beams) {
      const held = i === s.held, ends = [a.axis, a.lower, a.upper].filter(Boolean).map((d) => endOf(rig, l, d, f));
      ends.forEach((end, k) => sheet.line([[l.place.X, l.place.Z], end].map((p) => f.point(p)),
        { colour: held ? look.accent : k === 0 ? look.ink : look.muted, width: k === 0 ? 1.6 : 0.8, dash: k === 0 ? [] : [3, 3] }));
      const [x, y] = f.point(ends[0]);
      sheet.label(String(l.key), Math.min(x, f.x + f.w - 14), Math.min(Math.max(y, f.y + 10), f.y + f.h - 8), f, { bold: true });
    }
    const soil = rig.ground.flat().map((p) => f.point(p));
    sheet.line([...soil, [f.px(to), f.y + f.h], [f.px(from), f.y + f.h]], { closed: true, fill: look.ground });
    sheet.line(soil, { colour: look['vehicle-edge'], width: 1.5 });
    if (larger <= 4) rig.vehicle.fromAside.forEach((box) => sheet.line(box.map((p) => f.point(p)), { closed: true, fill: look.vehicle, colour: look['vehicle-edge'] }));
    for (const { l } of beams) {
      const [x, y] = f.point([l.place.X, l.place.Z]);
      sheet.line([[x - 2, y], [x + 2, y]], { colour: look.ink, width: 4 });
    }
    const range = shown.seen[s.thing].range, thing = rig.things[s.thing];
    if (Number.isFinite(range) && range < to) {
      const z = groundAt(rig, range), tall = thing.height;
      const foot = f.point([range, z]), head = f.point([range, z + tall]);
      sheet.line([foot, [head[0], Math.min(head[1], foot[1] - 3)]], { colour: look.accent, width: 4 });
      sheet.label(`${thing.name} ${distance(range, s.units)}`, head[0], head[1], f, { bold: true });
    }
    axisTicks(sheet, f, s.units);
  });
  return { larger, away };
}

// axisTicks are short marks of distances at the foot of a frame.
function axisTicks(sheet, f, system) {
  const unit = system === IMPERIAL ? FOOT : 1;
  for (const t of ticksOf(f.from / unit, f.to / unit, 48 / f.w * (f.to - f.from) / unit)) {
    const x = f.px(t * unit);
    sheet.line([[x, f.y + f.h - 5], [x, f.y + f.h]], { colour: sheet.look.muted });
  }
}

// groundAt is the height of the ground on the centreline.
function groundAt(rig, x) {
  for (const [a, b] of rig.ground) if (x <= b[0]) return a[1] + (x - a[0]) / (b[0] - a[0]) * (b[1] - a[1]);
  return rig.ground[rig.ground.length - 1][1][1];
}

// endOf is where a ray from a lamp in the section meets the ground, or leaves the frame.
function endOf(rig, lamp, [dx, dz], f) {
  const x = lamp.place.X, z = lamp.place.Z;
  let t = 2 * (f.to - f.from) / Math.max(1e-6, Math.hypot(dx, dz));
  for (const [a, b] of rig.ground) {
    const gx = b[0] - a[0], gz = b[1] - a[1], turn = dx * gz - dz * gx;
    if (Math.abs(turn) < 1e-12) continue;
    const along = ((a[0] - x) * gz - (a[1] - z) * gx) / turn, on = ((a[0] - x) * dz - (a[1] - z) * dx) / turn;
    if (along > 1e-9 && on >= 0 && on <= 1) t = Math.min(t, along);
  }
  return [x + t * dx, z + t * dz];
}

// drawCurve is the light on the centreline by distance.
function drawCurve(canvas, width, height, rig, s, shown, own, look) {
  const sheet = new Sheet(canvas, width, height, look);
  const [from, to] = extentOf(rig, s);
  const first = rig.stations.findIndex((d) => d > 3); // nearer, light only gets stronger
  const most = Math.max(10, ...[shown.facing, shown.ground, own.facing].map((lux) => Math.max(...lux.slice(first))));
  const decades = Math.ceil(Math.log10(most));
  const f = new Frame({ x: GUTTER, y: 6, w: width - GUTTER - MARGIN, h: height - 6 - 20 }, from, to, -1, decades);
  axisAhead(sheet, f, s.units, true);
  for (let d = -1; d <= decades; d++) {
    sheet.line([[f.x, f.py(d)], [f.x + f.w, f.py(d)]], { colour: look.grid });
    if ((decades - d) % (f.h / (decades + 1) < 16 ? 2 : 1) === 0) {
      sheet.write(Number((10 ** d).toPrecision(1)) + (d === decades ? ' lx' : ''), f.x - 6, Math.max(f.py(d), 8), { colour: look.muted, align: 'right' });
    }
  }
  sheet.within(f, () => {
    for (const [a, b] of shown.gaps) {
      sheet.pen.globalAlpha = 0.25;
      sheet.line([[f.px(a), f.y], [f.px(b), f.y], [f.px(b), f.y + f.h], [f.px(a), f.y + f.h]], { closed: true, fill: look.caution });
      sheet.pen.globalAlpha = 1;
      sheet.label('dark', f.px((a + b) / 2), f.y + 12, f, { colour: look.caution, offsets: [[0, 0, 'center']] });
    }
    for (const level of THRESHOLDS) {
      const y = f.py(Math.log10(level));
      sheet.line([[f.x, y], [f.x + f.w, y]], { colour: look.accent, dash: [1, 3] });
      sheet.write(level + ' lx', f.x + 4, y + (level > DARK ? -7 : 8), { colour: look.accent, halo: true });
    }
    const curve = (lux, pen) => {
      const points = [];
      rig.stations.forEach((d, i) => { if (d <= to * 1.1) points.push([f.px(d), f.py(Math.log10(Math.max(lux[i], 1e-3)))]); });
      sheet.line(points, pen);
    };
    curve(own.facing, { colour: look.ink, width: 1.4, dash: [5, 4] });
    curve(shown.ground, { colour: look.ink, width: 1.4, dash: [1.5, 2.5] });
    curve(shown.facing, { colour: look.accent, width: 2.4 });
  });
  sheet.line([[f.x, f.y], [f.x + f.w, f.y], [f.x + f.w, f.y + f.h], [f.x, f.y + f.h]], { closed: true, colour: look.edge });
}

const BAR = 17; // px for each thing

// drawBars is where on the track things are seen.
function drawBars(canvas, width, rig, s, shown, own, look, things) {
  const sheet = new Sheet(canvas, width, BAR * things.length + 4, look);
  const [from, to] = extentOf(rig, s);
  things.forEach((k, row) => {
    const thing = rig.things[k];
    const f = new Frame({ x: GUTTER, y: 2 + BAR * row, w: width - GUTTER - MARGIN, h: BAR }, from, to, 0, 1);
    const picked = k === s.thing;
    sheet.write(shortened(sheet, thing.name, GUTTER - 8), f.x - 6, f.y + BAR / 2, { align: 'right', bold: picked, colour: picked ? look.ink : look.muted });
    sheet.line([[f.px(0), f.y + BAR / 2], [f.x + f.w, f.y + BAR / 2]], { colour: look.grid });
    sheet.within(f, () => {
      for (const [a, b] of own.seen[k].seen) sheet.line([[f.px(a), f.y + 13], [f.px(b), f.y + 13]], { colour: look.ink, width: 1.6 });
      for (const [a, b] of shown.seen[k].seen) {
        sheet.line([[f.px(a), f.y + 6.5], [f.px(b), f.y + 6.5]], { colour: picked ? look.accent : look.muted, width: 8 });
      }
    });
    const range = shown.seen[k].range;
    const text = distance(range, s.units);
    if (Number.isFinite(range)) {
      const x = f.px(Math.min(range, to)), w = sheet.measure(text);
      const inside = x + w + 6 > f.x + f.w;
      sheet.write(text, inside ? x - 5 : x + 5, f.y + 7, { align: inside ? 'right' : 'left', halo: true, bold: picked });
    } else sheet.write('not seen', f.px(0) + 4, f.y + 7, { colour: look.muted, halo: true });
  });
}

// shortened is a text that fits a width, both its ends kept.
function shortened(sheet, text, width) {
  if (sheet.measure(text) <= width) return text;
  const letters = Array.from(text);
  for (let n = letters.length - 1; n > 2; n--) {
    const head = Math.ceil(n / 2);
    const t = letters.slice(0, head).join('') + '\u2026' + letters.slice(letters.length - (n - head)).join('');
    if (sheet.measure(t) <= width) return t;
  }
  return '\u2026';
}
