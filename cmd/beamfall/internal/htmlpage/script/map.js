// The light from above: its bands and isolux lines, where axes meet the ground, how far a thing is
// seen; what the rig has is dashed.

const DASHED = { dash: [5, 4], width: 1.4 };

// drawMap draws it at most so high, and returns its frame.
function drawMap(canvas, most, paper) {
  const { rig, s, shown, own, look, width } = paper;
  const extent = extentOf(rig, s);
  const sides = 18 + 0.16 * rig.ahead[s.ahead]; // m across, more the less there is ahead
  const scale = (width - GUTTER - MARGIN) / (extent[1] - extent[0]);
  const height = Math.min(most, Math.round(sides * scale) + 6 + FIGURES);
  const sheet = new Sheet(canvas, width, height, look);
  const box = boxOf(width, height, FIGURES);
  const half = box.h / scale / 2;
  const f = new Frame(box, extent, -half, half);
  const logs = logsOf(shown.field);
  const isolux = isolines(rig.grid.x, rig.grid.y, logs, look.levels.map(Math.log));
  paintBands(sheet, f, rig.grid, logs);
  axisAhead(sheet, f, s.units);
  axisAcross(sheet, f, s.units);
  sheet.within(f, () => {
    const line = (points, style) => sheet.line(points.map((p) => f.point(p)), style);
    for (const side of rig.width > 0 ? [-0.5, 0.5] : []) {
      line(besideTrack(rig.track, side * rig.width), { colour: look.muted, dash: [2, 4] });
    }
    for (const corners of rig.vehicle.fromAbove) {
      line(corners, { fill: look.vehicle, colour: look['vehicle-edge'] });
      sheet.taken.push(boxAround(corners.map((p) => f.point(p))));
    }
    isolux.forEach((lines, i) => {
      for (const points of lines) line(points, { colour: look.lines[i], width: look.levels[i] === DARK ? 1.8 : 1 });
    });
    for (const points of own.outline) line(points, { colour: look.ink, ...DASHED });
    const range = shown.seen[s.thing].range;
    const text = `${rig.things[s.thing].name} ${distance(range, s.units)}`;
    drawSightLine(sheet, f, rig, own.seen[s.thing].range, { colour: look.ink, ...DASHED });
    drawSightLine(sheet, f, rig, range, { colour: look.accent, width: 2.5 }, text);
    drawHits(sheet, f, rig, s);
    labelLines(sheet, f, isolux);
  });
  sheet.box(f, { colour: look.edge });
  if (s.mark !== undefined) sheet.within(f, () => drawMark(sheet, f.point(placeOf(rig.grid, s.mark))));
  return f;
}

// placeOf is the place of a number of the grid.
const placeOf = ({ x, y }, n) => [x[Math.floor(n / y.length)], y[n % y.length]];

// logsOf are the logarithms of a field, no darker than next to nothing.
function logsOf(field) {
  const least = 1e-4; // lx
  const logs = new Float32Array(field.length).fill(Math.log(least));
  for (let i = 0; i < field.length; i++) if (field[i] > least) logs[i] = Math.log(field[i]);
  return logs;
}

// paintBands paints the bands of a field of light, straight between its places on a logarithmic
// scale.
function paintBands(sheet, f, grid, logs) {
  const most = 6e5; // pixels
  const ratio = Math.min(sheet.ratio, Math.sqrt(most / (f.w * f.h)));
  const w = Math.round(f.w * ratio);
  const h = Math.round(f.h * ratio);
  const canvas = (paintBands.canvas ??= document.createElement('canvas'));
  if (canvas.width !== w || canvas.height !== h) Object.assign(canvas, { width: w, height: h });
  const pen = canvas.getContext('2d');
  const image = pen.createImageData(w, h);
  const pixels = new Uint32Array(image.data.buffer);
  const { low, fine, colours } = bandTable(sheet.look);
  const middles = (n, from, to) => Array.from({ length: n }, (_, i) => from + ((i + 0.5) / n) * (to - from));
  const ahead = placesIn(grid.x, middles(w, f.from, f.to));
  const left = placesIn(grid.y, middles(h, f.top, f.bottom));
  const nx = grid.x.length;
  const ny = grid.y.length;
  const line = new Float32Array(nx); // the field along the row of pixels
  for (let row = 0, n = 0; row < h; row++) {
    const j = left.index[row];
    const t = left.share[row];
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

// bandTable is the colours of light levels by steps of their logarithm, from the lowest level on:
// as the bytes of a pixel, of which red is the first in memory.
function bandTable({ levels, bands }) {
  const fine = 64; // steps to a factor of e
  const low = Math.log(levels[0]);
  const bytes = bands.map((colour) => {
    const v = Number.parseInt(colour.slice(1), 16);
    return (0xff000000 | ((v & 255) << 16) | (((v >> 8) & 255) << 8) | (v >> 16)) >>> 0;
  });
  const colours = new Uint32Array(Math.ceil(Math.log(levels[levels.length - 1] / levels[0]) * fine) + 2);
  colours.forEach((_, step) => {
    const light = levels[0] * Math.exp((step - 0.5) / fine);
    colours[step] = bytes[levels.filter((level) => level <= light).length];
  });
  return { low, fine, colours };
}

// placesIn finds values in a rising list: of each the number of the one below, and what share of
// the way to the next it is. The number is -1 of what is outside.
function placesIn(list, values) {
  const index = new Int32Array(values.length).fill(-1);
  const share = new Float32Array(values.length);
  let k = 0;
  values.forEach((v, n) => {
    if (v < list[0] || v > list[list.length - 1]) return;
    while (k > 0 && list[k] > v) k--;
    while (k + 2 < list.length && list[k + 1] < v) k++;
    index[n] = k;
    share[n] = (v - list[k]) / (list[k + 1] - list[k]);
  });
  return { index, share };
}

// axisAcross writes how far to the left and right the map goes.
function axisAcross(sheet, f, system) {
  const { size, name } = unitOf(system);
  const gap = 34; // px
  for (const t of ticksOf(f.bottom / size, f.top / size, ((gap / f.h) * (f.top - f.bottom)) / size)) {
    const y = f.py(t * size);
    if (y < f.y + 8 || y > f.y + f.h - 4) continue;
    sheet.line([[f.x - 4, y], [f.x, y]], { colour: sheet.look.muted });
    const text = t === 0 ? '0' : Math.abs(t) + name + (t > 0 ? ' L' : ' R');
    sheet.write(text, f.x - 6, y, { colour: sheet.look.muted, align: 'right' });
  }
}

// besideTrack is the line that runs beside the track, so far to the left of it.
function besideTrack(track, left) {
  return track.flatMap(([a, b]) => {
    const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
    const d = Math.hypot(dx, dy) || 1;
    return [a, b].map(([x, y]) => [x - (left * dy) / d, y + (left * dx) / d]);
  });
}

// onTrack is the place at a distance along the track, and the direction of the track there.
function onTrack(track, s) {
  const length = ([a, b]) => Math.hypot(b[0] - a[0], b[1] - a[1]);
  let k = 0;
  for (; k + 1 < track.length && s > length(track[k]); k++) s -= length(track[k]);
  const [a, b] = track[k];
  const along = [0, 1].map((i) => (b[i] - a[i]) / length(track[k]));
  return { at: [0, 1].map((i) => a[i] + s * along[i]), along };
}

// drawSightLine is a line across the track where a thing is just seen, with a text if there is one.
function drawSightLine(sheet, f, rig, range, style, text) {
  if (Number.isNaN(range)) return;
  const { at, along } = onTrack(rig.track, range);
  if (at[0] > f.to) {
    const offsets = [-24, 24].map((dy) => [0, dy, 'right']);
    if (text) sheet.label(text + ' \u2192', f.x + f.w, f.py(0), f, { bold: true, offsets });
    return;
  }
  const half = Math.max(rig.width / 2 + 1, (14 / f.w) * (f.to - f.from));
  sheet.line([half, -half].map((d) => f.point([at[0] - d * along[1], at[1] + d * along[0]])), style);
  const offsets = [-24, 24, -9, 9].flatMap((dy) => [[6, dy, 'left'], [-6, dy, 'right']]);
  if (text) sheet.label(text, ...f.point(at), f, { bold: true, offsets });
}

// labelLines writes the levels where their lines reach farthest from the vehicle in the middle of
// the map, but none so close to another that they read as one.
function labelLines(sheet, f, isolux) {
  isolux.forEach((lines, i) => {
    let best = { far: -Infinity };
    for (const [x, y] of lines.flat()) {
      const far = Math.abs(x) - 2 * Math.abs(y);
      if (far > best.far && x >= f.from && x <= f.to && Math.abs(y) < f.top * 0.8) best = { far, x, y };
    }
    if (best.x === undefined) return;
    const level = sheet.look.levels[i];
    const offsets = [[3, 0, 'left'], [-3, 0, 'right']];
    sheet.label(level + (level === DARK ? ' lx' : ''), ...f.point([best.x, best.y]), f, { offsets, apart: 8 });
  });
}

// drawHits marks the lamps that are lit, and where their axes meet the ground by their numbers.
function drawHits(sheet, f, rig, s) {
  const { look } = sheet;
  const { on } = lightOf(rig, s);
  rig.controls.forEach((c, i) => {
    for (const l of on[i] ? c.lamps : []) {
      const { hit } = l.aims[s.tilts[i]];
      const colour = i === s.held ? look.accent : look.ink;
      const [x0, y0] = f.point([l.place.X, l.place.Y]);
      sheet.box({ x: x0 - 1.5, y: y0 - 1.5, w: 3, h: 3 }, { fill: colour });
      if (!hit) continue;
      const [x, y] = f.point(hit);
      if (i === s.held) sheet.line([[x0, y0], [x, y]], { colour, width: 1.5 });
      sheet.dot(x, y, 4, colour);
      sheet.taken.push({ x: x - 5, y: y - 5, w: 10, h: 10 });
      if (c.set) sheet.label(String(l.key), x, y, f, { bold: true });
    }
  });
}

// drawMark is a cross at the place that is read.
function drawMark(sheet, [x, y]) {
  for (const [colour, width] of [[sheet.look.background, 4], [sheet.look.ink, 1.5]]) {
    sheet.line([[x - 9, y], [x + 9, y]], { colour, width });
    sheet.line([[x, y - 9], [x, y + 9]], { colour, width });
  }
}
