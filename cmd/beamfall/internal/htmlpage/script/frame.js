// The pictures stand one above the other on one axis of distance, so that a dark stretch is seen in
// all of them. Each takes what page.js calls paper: the rig, the setting s, the figures shown and
// own, the look, and the width in px.

const GUTTER = 56; // px left of a picture's frame
const MARGIN = 10; // px right of it
const FIGURES = 20; // px below it, for figures

// Frame is a box of pixels over metres ahead (x) and, in each picture, its own measure up (y).
class Frame {
  constructor({ x, y, w, h }, [from, to], bottom, top) {
    Object.assign(this, { x, y, w, h, from, to, bottom, top });
  }

  px(m) {
    return this.x + ((m - this.from) / (this.to - this.from)) * this.w;
  }

  py(v) {
    return this.y + ((this.top - v) / (this.top - this.bottom)) * this.h;
  }

  // point is the pixel of (x, y), and metres the way back.
  point([x, y]) {
    return [this.px(x), this.py(y)];
  }

  metres(px, py) {
    const { from, to, bottom, top } = this;
    return [from + ((px - this.x) / this.w) * (to - from), top - ((py - this.y) / this.h) * (top - bottom)];
  }

  // stretch is the box between two distances, all of the frame high.
  stretch(from, to) {
    const x = this.px(from);
    return { x, y: this.y, w: this.px(to) - x, h: this.h };
  }
}

// boxOf is where in a picture of a height the frame stands.
const boxOf = (width, height, below) => ({ x: GUTTER, y: 6, w: width - GUTTER - MARGIN, h: height - 6 - below });

// extentOf is from where to where ahead (m) pictures show: behind the vehicle as well where lamps
// that are lit look there.
function extentOf(rig, s) {
  const ahead = rig.ahead[s.ahead];
  const corners = rig.vehicle.fromAbove.flat().map(([x]) => x);
  const lamps = rig.controls.flatMap((c) => c.lamps.map((l) => l.place.X));
  const tail = Math.min(0, ...corners, ...lamps);
  const { on, tilts } = lightOf(rig, s);
  const back = rig.controls.some((c, i) => on[i] && c.lamps.some((l) => l.aims[tilts[i]].axis[0] < -0.3));
  return [Math.max(rig.grid.x[0], tail - (back ? 0.4 * ahead : 0.02 * ahead + 1)), ahead];
}

// unitOf is the unit of axes: how many metres it is, and its name.
const unitOf = (system) => (system === IMPERIAL ? { size: FOOT, name: ' ft' } : { size: 1, name: ' m' });

// ticksAhead are the round distances of a frame, in its unit, and the pixels where they are.
function ticksAhead(f, system) {
  const { size } = unitOf(system);
  const gap = 48; // px
  const ticks = ticksOf(f.from / size, f.to / size, ((gap / f.w) * (f.to - f.from)) / size);
  return ticks.map((t) => ({ t, x: f.px(t * size) }));
}

// axisAhead draws lines at round distances, and their figures below the frame.
function axisAhead(sheet, f, system) {
  const ticks = ticksAhead(f, system);
  ticks.forEach(({ t, x }, i) => {
    sheet.line([[x, f.y], [x, f.y + f.h]], { colour: sheet.look.grid });
    const text = t + (i === ticks.length - 1 ? unitOf(system).name : '');
    const room = sheet.width - sheet.measure(text) / 2 - 1;
    sheet.write(text, Math.min(x, room), f.y + f.h + 10, { colour: sheet.look.muted, align: 'center' });
  });
}
