// Drawing: a canvas that is sharp on every screen, in the colours of the theme. It knows nothing of
// lamps.

// COLOURS are those of the style sheet that drawings use.
const COLOURS = [
  ...['background', 'edge', 'ink', 'muted', 'grid', 'accent', 'caution'],
  ...['vehicle', 'vehicle-edge', 'ground', 'sky'],
];

// lookOf is the colours and light levels of the theme that a browser asks for; on paper, of paper.
function lookOf(rig) {
  const root = document.documentElement;
  const style = getComputedStyle(root);
  const dark = matchMedia('screen and (prefers-color-scheme: dark)').matches;
  const night = dark && !root.classList.contains('printing');
  const colours = COLOURS.map((name) => [name, style.getPropertyValue('--' + name).trim()]);
  const bands = night ? rig.looks.night : rig.looks.paper;
  return { ...Object.fromEntries(colours), night, levels: rig.looks.levels, ...bands };
}

const FONT = '12px system-ui, sans-serif';
const LETTERS = 15; // px that a line of text is high

// Sheet is a canvas of a width and height in CSS pixels, cleared. All of its methods take those.
class Sheet {
  constructor(canvas, width, height, look) {
    const ratio = Math.min(window.devicePixelRatio || 1, 3);
    const w = Math.round(width * ratio);
    const h = Math.round(height * ratio);
    if (canvas.width !== w || canvas.height !== h) {
      Object.assign(canvas, { width: w, height: h });
      canvas.style.width = width + 'px';
      canvas.style.height = height + 'px';
    }
    Object.assign(this, { width, height, ratio, look });
    this.taken = []; // boxes of labels and of what they must not cover
    this.pen = canvas.getContext('2d');
    this.pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    Object.assign(this.pen, { fillStyle: look.background, font: FONT, lineJoin: 'round', textBaseline: 'middle' });
    this.pen.fillRect(0, 0, width, height);
  }

  // line draws through points [[x, y], …]; one that is filled is closed.
  line(points, { colour, width = 1, dash = [], fill }) {
    const { pen } = this;
    pen.beginPath();
    points.forEach(([x, y], i) => (i === 0 ? pen.moveTo(x, y) : pen.lineTo(x, y)));
    if (fill) {
      pen.closePath();
      pen.fillStyle = fill;
      pen.fill();
    }
    if (!colour) return;
    pen.setLineDash(dash);
    Object.assign(pen, { strokeStyle: colour, lineWidth: width });
    pen.stroke();
    pen.setLineDash([]);
  }

  // box fills a box, or draws its outline.
  box({ x, y, w, h }, style) {
    const corners = [[x, y], [x + w, y], [x + w, y + h], [x, y + h]];
    this.line(style.fill ? corners : [...corners, corners[0]], style);
  }

  dot(x, y, radius, fill) {
    const { pen } = this;
    pen.beginPath();
    pen.arc(x, y, radius, 0, 7);
    Object.assign(pen, { fillStyle: fill, strokeStyle: this.look.background, lineWidth: 1.5 });
    pen.fill();
    pen.stroke();
  }

  // within draws in a box only.
  within({ x, y, w, h }, draw) {
    this.pen.save();
    this.pen.beginPath();
    this.pen.rect(x, y, w, h);
    this.pen.clip();
    draw();
    this.pen.restore();
  }

  // veiled draws so that a share of it shows.
  veiled(share, draw) {
    this.pen.globalAlpha = share;
    draw();
    this.pen.globalAlpha = 1;
  }

  measure(text) {
    return this.pen.measureText(text).width;
  }

  // write sets a text with its anchor at (x, y): its left end, its centre or its right end. Over a
  // drawing it gets a halo.
  write(text, x, y, { colour = this.look.ink, align = 'left', halo = false, bold = false } = {}) {
    const { pen } = this;
    Object.assign(pen, { font: bold ? '600 ' + FONT : FONT, textAlign: align });
    if (halo) {
      Object.assign(pen, { strokeStyle: this.look.background, lineWidth: 3 });
      pen.strokeText(text, x, y);
    }
    pen.fillStyle = colour;
    pen.fillText(text, x, y);
    pen.font = FONT;
  }

  // label writes beside a point, at the first of some offsets [dx, dy, align] at which it stays
  // within a box and keeps apart from all labels; nowhere if there is none.
  label(text, x, y, within, { offsets = BESIDE, apart = 0, ...style } = {}) {
    const w = this.measure(text) * (style.bold ? 1.1 : 1) + 4;
    for (const [dx, dy, align] of offsets) {
      const left = x + dx - { left: 0, center: w / 2, right: w }[align];
      const place = { x: left, y: y + dy - LETTERS / 2, w, h: LETTERS };
      if (!inside(place, within) || this.taken.some((other) => overlap(place, other, apart))) continue;
      this.taken.push(place);
      return this.write(text, left + 2, y + dy, { halo: true, ...style });
    }
  }
}

// BESIDE are the places of a label around a point, the best first.
const BESIDE = [
  ...[-9, 9].map((dy) => [6, dy, 'left']),
  ...[-9, 9].map((dy) => [-6, dy, 'right']),
  ...[-14, 14].map((dy) => [0, dy, 'center']),
];

const inside = (a, b) => a.x >= b.x && a.y >= b.y && a.x + a.w <= b.x + b.w && a.y + a.h <= b.y + b.h;

const overlap = (a, b, apart) =>
  a.x < b.x + b.w + apart && b.x < a.x + a.w + apart && a.y < b.y + b.h && b.y < a.y + a.h;

// boxAround is the box that points lie in.
function boxAround(points) {
  const [x, y] = [0, 1].map((i) => Math.min(...points.map((p) => p[i])));
  const [right, bottom] = [0, 1].map((i) => Math.max(...points.map((p) => p[i])));
  return { x, y, w: right - x, h: bottom - y };
}

// shortened is a text that fits a width, both its ends kept.
function shortened(sheet, text, width) {
  if (sheet.measure(text) <= width) return text;
  const letters = Array.from(text);
  for (let n = letters.length - 1; n > 1; n--) {
    const head = Math.ceil(n / 2);
    const short = [...letters.slice(0, head), '\u2026', ...letters.slice(letters.length - n + head)].join('');
    if (sheet.measure(short) <= width) return short;
  }
  return '\u2026';
}

// ticksOf are round numbers between from and to, at least gap apart.
function ticksOf(from, to, gap) {
  const decade = 10 ** Math.floor(Math.log10(gap));
  const step = [1, 2, 5, 10].map((m) => m * decade).find((s) => s >= gap * 0.999);
  const ticks = [];
  for (let i = Math.ceil(from / step - 1e-9); i * step <= to + 1e-9; i++) {
    ticks.push(Number((i * step).toPrecision(12)));
  }
  return ticks;
}
