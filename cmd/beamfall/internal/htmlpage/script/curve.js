// Light and sight by distance along the track: curves of lux, and bars where things are seen.

// drawCurve draws the light on the centreline.
function drawCurve(canvas, height, { rig, s, shown, own, look, width }) {
  const sheet = new Sheet(canvas, width, height, look);
  const near = rig.stations.findIndex((d) => d > 3); // nearer than that, light only gets stronger
  const most = [shown.facing, shown.ground, own.facing].map((lux) => Math.max(...lux.slice(near)));
  const decades = Math.max(1, Math.ceil(Math.log10(Math.max(...most))));
  const f = new Frame(boxOf(width, height, FIGURES), extentOf(rig, s), -1, decades);
  axisAhead(sheet, f, s.units);
  const tight = f.h / (decades + 1) < 16; // no room for every figure
  for (let d = -1; d <= decades; d++) {
    const y = f.py(d);
    sheet.line([[f.x, y], [f.x + f.w, y]], { colour: look.grid });
    if (tight && (decades - d) % 2 === 1) continue;
    const text = Number((10 ** d).toPrecision(1)) + (d === decades ? ' lx' : '');
    sheet.write(text, f.x - 6, Math.max(y, 8), { colour: look.muted, align: 'right' });
  }
  sheet.within(f, () => {
    for (const [from, to] of shown.gaps) {
      const dark = f.stretch(from, to);
      sheet.veiled(0.25, () => sheet.box(dark, { fill: look.caution }));
      if (dark.w < sheet.measure('dark')) continue;
      sheet.label('dark', dark.x + dark.w / 2, f.y + 12, f, { colour: look.caution, offsets: [[0, 0, 'center']] });
    }
    THRESHOLDS.forEach((level, i) => {
      const y = f.py(Math.log10(level));
      sheet.line([[f.x, y], [f.x + f.w, y]], { colour: look.accent, dash: [1, 3] });
      sheet.write(level + ' lx', f.x + 4, y + (i > 0 ? -7 : 8), { colour: look.accent, halo: true });
    });
    const curve = (lux, style) => {
      const points = rig.stations.map((d, i) => f.point([d, Math.log10(Math.max(lux[i], 1e-3))]));
      const end = points.findIndex(([x]) => x > f.x + f.w);
      sheet.line(end < 0 ? points : points.slice(0, end + 1), style);
    };
    curve(own.facing, { colour: look.ink, ...DASHED });
    curve(shown.ground, { colour: look.ink, width: 1.4, dash: [1.5, 2.5] });
    curve(shown.facing, { colour: look.accent, width: 2.4 });
  });
  sheet.box(f, { colour: look.edge });
}

const BAR = 17; // px for each thing

// drawBars draws where on the track some things are seen, by their numbers.
function drawBars(canvas, things, { rig, s, shown, own, look, width }) {
  const sheet = new Sheet(canvas, width, BAR * things.length + 4, look);
  const extent = extentOf(rig, s);
  things.forEach((k, row) => {
    const f = new Frame({ x: GUTTER, y: 2 + BAR * row, w: width - GUTTER - MARGIN, h: BAR }, extent, 0, 1);
    const picked = k === s.thing;
    const name = shortened(sheet, rig.things[k].name, GUTTER - 8);
    sheet.write(name, f.x - 6, f.y + BAR / 2, { align: 'right', bold: picked, colour: picked ? look.ink : look.muted });
    const level = (y, from, to, style) => sheet.line([[f.px(from), f.y + y], [f.px(to), f.y + y]], style);
    level(BAR / 2, 0, extent[1], { colour: look.grid });
    const { range, seen } = shown.seen[k];
    sheet.within(f, () => {
      for (const [from, to] of own.seen[k].seen) level(13, from, to, { colour: look.ink, width: 1.6 });
      for (const [from, to] of seen) level(6.5, from, to, { colour: picked ? look.accent : look.muted, width: 8 });
    });
    const text = Number.isNaN(range) ? 'not seen' : distance(range, s.units);
    const x = f.px(Math.min(range || 0, extent[1]));
    const left = x + sheet.measure(text) + 10 < f.x + f.w;
    sheet.write(text, x + (left ? 5 : -5), f.y + 7, { align: left ? 'left' : 'right', halo: true, bold: picked });
  });
}
