// Drawing: a canvas that is sharp on every screen, axes, and lines of one level. It knows nothing
// of lamps.

// Look is the colours of the theme that a browser asks for, from the style sheet.
function lookOf(rig) {
  const style = getComputedStyle(document.documentElement);
  const colour = (name) => style.getPropertyValue('--' + name).trim();
  const night = matchMedia('screen and (prefers-color-scheme: dark)').matches;
  const names = ['background', 'plate', 'edge', 'ink', 'muted', 'grid', 'accent', 'caution', 'vehicle', 'vehicle-edge', 'ground', 'sky'];
  const look = Object.fromEntries(names.map((name) => [name, colour(name)]));
  return { ...look, night, levels: rig.looks.levels, ...(night ? rig.looks.night : rig.looks.paper) };
}

const FONT = '12px system-ui, sans-serif';

// Sheet is a canvas of a width and height in CSS pixels, cleared. Its pen draws in those.
class Sheet {
  constructor(canvas, width, height, look) {
    const ratio = Math.min(window.devicePixelRatio || 1, 3);
    const w = Math.round(width * ratio), h = Math.round(height * ratio);
    if (canvas.width !== w || canvas.height !== h) {
      canvas.width = w;
      canvas.height = h;
      canvas.style.width = width + 'px';
      canvas.style.height = height + 'px';
    }
    Object.assign(this, { canvas, width, height, ratio, look, taken: [] });
    this.pen = canvas.getContext('2d');
    this.pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    this.pen.fillStyle = look.background;
    this.pen.fillRect(0, 0, width, height);
    this.pen.font = FONT;
    this.pen.lineJoin = 'round';
    this.pen.textBaseline = 'middle';
  }

  // line draws through points [[x, y], …]; a closed one may be filled.
  line(points, { colour, width = 1, dash = [], fill, closed = false }) {
    const { pen } = this;
    pen.beginPath();
    points.forEach(([x, y], i) => { if (i === 0) pen.moveTo(x, y); else pen.lineTo(x, y); });
    if (closed) pen.closePath();
    if (fill) {
      pen.fillStyle = fill;
      pen.fill();
    }
    if (!colour) return;
    pen.setLineDash(dash);
    pen.strokeStyle = colour;
    pen.lineWidth = width;
    pen.stroke();
    pen.setLineDash([]);
  }

  // within draws in a box only.
  within(box, draw) {
    this.pen.save();
    this.pen.beginPath();
    this.pen.rect(box.x, box.y, box.w, box.h);
    this.pen.clip();
    draw();
    this.pen.restore();
  }

  measure(text) { return this.pen.measureText(text).width; }

  // write sets a text with its anchor at (x, y): align is left, center or right. Over a picture it
  // gets a halo.
  write(text, x, y, { colour = this.look.ink, align = 'left', halo = false, bold = false } = {}) {
    const { pen } = this;
    if (bold) pen.font = '600 ' + FONT;
    pen.textAlign = align;
    if (halo) {
      pen.strokeStyle = this.look.background;
      pen.lineWidth = 3;
      pen.strokeText(text, x, y);
    }
    pen.fillStyle = colour;
    pen.fillText(text, x, y);
    if (bold) pen.font = FONT;
  }

  // label writes beside a point, at the first of some offsets where it meets no other label and
  // stays within a box. It returns whether there was room.
  label(text, x, y, box, options = {}) {
    const w = this.measure(text) + 4, h = 15;
    const offsets = options.offsets ?? [[6, -9, 'left'], [6, 9, 'left'], [-6, -9, 'right'], [-6, 9, 'right'], [0, -14, 'center'], [0, 14, 'center']];
    for (const [dx, dy, align] of offsets) {
      const left = x + dx - (align === 'right' ? w : align === 'center' ? w / 2 : 0);
      const place = { x: left, y: y + dy - h / 2, w, h };
      if (place.x < box.x || place.x + w > box.x + box.w || place.y < box.y || place.y + h > box.y + box.h) continue;
      const apart = options.apart ?? 0;
      if (this.taken.some((t) => t.x - apart < place.x + w && place.x - apart < t.x + t.w && t.y < place.y + h && place.y < t.y + t.h)) continue;
      this.taken.push(place);
      this.write(text, left + 2, y + dy, { halo: true, ...options });
      return true;
    }
    return false;
  }
}

// ticksOf are round numbers between from and to, at least gap apart.
function ticksOf(from, to, gap) {
  const decade = 10 ** Math.floor(Math.log10(gap));
  const step = [1, 2, 5, 10].map((m) => m * decade).find((s) => s >= gap * 0.999);
  const ticks = [];
  for (let i = Math.ceil(from / step - 1e-9); i * step <= to + 1e-9; i++) ticks.push(Number((i * step).toPrecision(12)));
  return ticks;
}

// isolines are, for each of some rising levels, the lines of that level through values v[i·ny + j]
// at (x[i], y[j]), straight between the edges of cells, each as a list of points. Cells are looked
// at by marching squares.
function isolines(x, y, v, levels) {
  const nx = x.length, ny = y.length;
  const bands = new Uint8Array(v.length); // how many of the levels a value has reached
  for (let n = 0; n < v.length; n++) {
    let band = 0;
    while (band < levels.length && v[n] >= levels[band]) band++;
    bands[n] = band;
  }
  const lines = levels.map((level) => new Isoline(x, y, v, level));
  for (let i = 0; i + 1 < nx; i++) {
    for (let j = 0, n = i * ny; j + 1 < ny; j++, n++) {
      const a = bands[n], b = bands[n + ny], c = bands[n + ny + 1], d = bands[n + 1];
      if (a === b && b === c && c === d) continue;
      const most = Math.max(a, b, c, d);
      for (let k = Math.min(a, b, c, d); k < most; k++) lines[k].cell(i, j, (a > k ? 1 : 0) + (b > k ? 2 : 0) + (c > k ? 4 : 0) + (d > k ? 8 : 0));
    }
  }
  return lines.map((line) => line.joined());
}

// Isoline gathers one level's way through cells. An edge of the grid is called by the number of its
// first point, twice that where it goes ahead, one more where it goes left; what meets at an edge
// is one line.
class Isoline {
  constructor(x, y, v, level) {
    Object.assign(this, { x, y, v, level, next: new Map() });
  }

  // cell takes a cell of which those corners are above the level that kind says: 1 its first, then
  // around it by ahead, by ahead and left, by left.
  cell(i, j, kind) {
    const n = i * this.y.length + j, near = 2 * n, right = near + 1, far = 2 * (n + 1), left = 2 * (n + this.y.length) + 1;
    switch (kind) {
      case 1: case 14: return this.join(near, right);
      case 2: case 13: return this.join(near, left);
      case 4: case 11: return this.join(left, far);
      case 8: case 7: return this.join(right, far);
      case 3: case 12: return this.join(right, left);
      case 6: case 9: return this.join(near, far);
    }
    // A saddle goes by what is in the middle.
    const { v, y } = this, middle = (v[n] + v[n + 1] + v[n + y.length] + v[n + y.length + 1]) / 4 >= this.level;
    if (middle === (kind === 5)) {
      this.join(near, left);
      this.join(right, far);
    } else {
      this.join(near, right);
      this.join(left, far);
    }
  }

  join(a, b) {
    for (const [from, to] of [[a, b], [b, a]]) {
      const ends = this.next.get(from);
      if (ends) ends.push(to);
      else this.next.set(from, [to]);
    }
  }

  // point is where the level crosses an edge.
  point(edge) {
    const { x, y, v } = this, n = edge >> 1, i = Math.floor(n / y.length), j = n % y.length;
    const ahead = edge % 2 === 0, b = v[ahead ? n + y.length : n + 1];
    const t = (this.level - v[n]) / (b - v[n]);
    return ahead ? [x[i] + t * (x[i + 1] - x[i]), y[j]] : [x[i], y[j] + t * (y[j + 1] - y[j])];
  }

  joined() {
    const lines = [];
    const follow = (start) => {
      const line = [this.point(start)];
      for (let at = start; ;) {
        const to = this.next.get(at).pop();
        if (to === undefined) break;
        const back = this.next.get(to);
        back.splice(back.indexOf(at), 1);
        line.push(this.point(to));
        at = to;
      }
      lines.push(line);
    };
    for (const [edge, ends] of this.next) if (ends.length === 1) follow(edge); // open lines, from one of their ends
    for (const [edge, ends] of this.next) if (ends.length > 1) follow(edge); // what is left is closed
    return lines;
  }
}

// placesOf finds places in a rising list: of each value the number below it and how far it is to
// the next, -1 outside.
function placesOf(list, values) {
  const index = new Int32Array(values.length), share = new Float32Array(values.length);
  let k = 0;
  values.forEach((v, n) => {
    if (v < list[0] || v > list[list.length - 1]) {
      index[n] = -1;
      return;
    }
    while (k > 0 && list[k] > v) k--;
    while (k + 2 < list.length && list[k + 1] < v) k++;
    index[n] = k;
    share[n] = (v - list[k]) / (list[k + 1] - list[k]);
  });
  return { index, share };
}
