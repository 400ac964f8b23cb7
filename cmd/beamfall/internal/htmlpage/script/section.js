// The section on the centreline: ground, vehicle and beams from the side.

const FACTORS = [0.1, 0.2, 0.5, 1, 1.5, 2, 3, 4, 5, 8, 10, 15, 20, 30, 50]; // heights may be drawn larger by
const LIKE_ITSELF = 4; // the factor up to which a vehicle still looks like one

// drawSection draws it, and returns in words how heights are drawn and what is not in it.
function drawSection(canvas, height, { rig, s, shown, look, width }) {
  const sheet = new Sheet(canvas, width, height, look);
  const extent = extentOf(rig, s);
  const box = boxOf(width, height, 6);
  const lamps = rig.controls.flatMap((c) => c.lamps.map((l) => l.place.Z));
  const heights = [...rig.vehicle.fromAside.flat().map(([, z]) => z), ...lamps];
  const ground = rig.ground.flat().flatMap(([x, z]) => (x >= extent[0] && x <= extent[1] ? [z] : []));
  const low = Math.min(0, ...ground);
  const high = Math.max(1.8, ...heights, ...ground.map((z) => z + 1.8));
  const scale = box.w / (extent[1] - extent[0]); // px to the metre, along
  const room = (0.8 * box.h) / ((high - low) * scale);
  const factor = FACTORS.filter((k) => k <= room).pop() ?? room;
  const total = box.h / (scale * factor);
  const bottom = low - 0.1 * total;
  const f = new Frame(box, extent, bottom, bottom + total);
  const { beams, away } = beamsOf(rig, s);
  const beyond = 10 * (extent[1] - extent[0]); // m, so that wedges end out of sight
  const line = (points, style) => sheet.line(points.map((p) => f.point(p)), style);
  sheet.within(f, () => {
    sheet.box(f, { fill: look.sky });
    sheet.veiled(Math.min(0.12, 0.4 / beams.length), () => {
      for (const { from, aim } of beams) {
        if (!aim.lower || !aim.upper) continue;
        const rays = raysBetween(aim.lower, aim.upper).map((d) => endOf(rig, from, d, f, beyond));
        line([from, ...rays], { fill: look.ink });
      }
    });
    for (const { from, aim, held } of beams) {
      for (const edge of [aim.lower, aim.upper]) {
        if (edge) line([from, endOf(rig, from, edge, f)], { colour: look.muted, width: 0.8, dash: [3, 3] });
      }
      line([from, endOf(rig, from, aim.axis, f)], { colour: held ? look.accent : look.ink, width: 1.6 });
    }
    const soil = rig.ground.flat();
    line([...soil, [extent[1], bottom], [extent[0], bottom]], { fill: look.ground });
    line(soil, { colour: look['vehicle-edge'], width: 1.5 });
    for (const corners of factor <= LIKE_ITSELF ? rig.vehicle.fromAside : []) {
      line(corners, { fill: look.vehicle, colour: look['vehicle-edge'] });
    }
    for (const { x } of ticksAhead(f, s.units)) {
      sheet.line([[x, f.y + f.h - 5], [x, f.y + f.h]], { colour: look.muted });
    }
    drawThing(sheet, f, rig, s, shown.seen[s.thing].range);
    for (const { from, aim, key } of beams) {
      const [x, y] = f.point(from);
      sheet.box({ x: x - 2, y: y - 2, w: 4, h: 4 }, { fill: look.ink });
      sheet.label(key, ...f.point(endOf(rig, from, aim.axis, f)), f, { bold: true });
    }
  });
  const words = `section on the centreline, heights drawn \u00d7${Number(factor.toPrecision(2))}`;
  return words + (away.length > 0 ? `; turned away from it: ${away.join(', ')}` : '');
}

// beamsOf are the lamps that are lit and shine along the section, and the names of those that are
// turned away from it by more than 60°.
function beamsOf(rig, s) {
  const beams = [];
  const away = [];
  const { on } = lightOf(rig, s);
  rig.controls.forEach((c, i) => {
    for (const l of on[i] ? c.lamps : []) {
      const aim = l.aims[s.tilts[i]];
      const level = Math.sqrt(Math.max(0, 1 - aim.axis[1] ** 2)); // length of the axis seen from above
      if (Math.abs(aim.axis[0]) < level / 2) away.push(l.name);
      else beams.push({ key: c.set ? String(l.key) : '', from: [l.place.X, l.place.Z], aim, held: i === s.held });
    }
  });
  return { beams, away };
}

// drawThing stands the thing that is looked for where it is just seen.
function drawThing(sheet, f, rig, s, range) {
  const at = onTrack(rig.track, range || 0).at[0];
  if (Number.isNaN(range) || at > f.to) return;
  const thing = rig.things[s.thing];
  const z = groundAt(rig, at);
  const [x, foot] = f.point([at, z]);
  const head = Math.min(foot - 3, f.py(z + thing.height));
  sheet.line([[x, foot], [x, head]], { colour: sheet.look.accent, width: 4 });
  sheet.taken.push({ x: x - 2, y: head, w: 4, h: foot - head });
  sheet.label(`${thing.name} ${distance(range, s.units)}`, x, head, f, { bold: true });
}

// groundAt is the height of the ground on the centreline.
function groundAt(rig, x) {
  const [a, b] = rig.ground.find(([, end]) => x <= end[0]) ?? rig.ground[rig.ground.length - 1];
  return a[1] + ((x - a[0]) / (b[0] - a[0])) * (b[1] - a[1]);
}

// raysBetween are directions from one to another, close together where they are near level.
function raysBetween(lower, upper) {
  const n = 60;
  const side = Math.sign(lower[0] + upper[0]) || 1;
  const [from, to] = [lower, upper].map(([dx, dz]) => Math.cbrt(Math.atan2(dz, side * dx)));
  return Array.from({ length: n + 1 }, (_, i) => {
    const angle = (from + (i / n) * (to - from)) ** 3;
    return [side * Math.cos(angle), Math.sin(angle)];
  });
}

// endOf is where a ray in the section meets the ground, or gets so far (m) beyond the frame.
function endOf(rig, [x, z], [dx, dz], f, beyond = 0) {
  let t = Infinity;
  for (const [at, rate, low, high] of [[x, dx, f.from, f.to], [z, dz, f.bottom, f.top]]) {
    if (rate !== 0) t = Math.min(t, ((rate > 0 ? high : low) - at) / rate);
  }
  t += beyond / Math.hypot(dx, dz);
  for (const [a, b] of rig.ground) {
    const [gx, gz] = [b[0] - a[0], b[1] - a[1]];
    const turn = dx * gz - dz * gx;
    const along = ((a[0] - x) * gz - (a[1] - z) * gx) / turn;
    const on = ((a[0] - x) * dz - (a[1] - z) * dx) / turn;
    if (along > 0 && on >= 0 && on <= 1) t = Math.min(t, along); // not so where turn is 0
  }
  return [x + t * dx, z + t * dz];
}
