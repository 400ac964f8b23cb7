// What a setting comes to, in words and tables.

// say puts the figures of a setting into words, beside the rig's own.
function say(page, shown, own) {
  const { rig, s } = page;
  sayAnswer(rig, s, shown, own);
  sayPictures(rig, s, shown);
  rig.controls.forEach((c, i) => {
    if (c.tilts.length > 1) sayTilt(s, c, i);
  });
  sayMark(page);
  sayFigures(rig, s, shown, own);
  sayTables(rig, s);
  const lines = linesOf(rig, s);
  byId('lines').value = lines;
  byId('lines').hidden = !lines;
  byId('copy').hidden = !lines;
  put(
    byId('take-about'),
    lines
      ? 'What is tried and not in the rig: lines for a rig file, or for the command line where a lamp is from there.'
      : 'The tilts are those of the rig. Those that are tried come here as lines for a rig file.',
  );
}

// sayAnswer is the answer in one line.
function sayAnswer(rig, s, shown, own) {
  const strong = (text) => make('b', { textContent: text });
  const range = shown.seen[s.thing].range;
  const now = distance(range, s.units);
  const was = distance(own.seen[s.thing].range, s.units);
  const beside = now === was ? '' : ` (rig: ${was})`;
  const words = [strong(rig.things[s.thing].name)];
  if (rig.airs[s.air].noRange) words.push(`: ${rig.airs[s.air].noRange}`);
  else if (Number.isNaN(range)) words.push(' is nowhere seen', beside);
  else {
    const stops = speed(speedWithin(rig, range), s.units);
    words.push(' seen out to ', strong(now), beside, '; stops within that from up to ', strong(stops));
  }
  byId('answer').replaceChildren(...words);
}

// sayPictures describes the pictures to whoever cannot see them.
function sayPictures(rig, s, shown) {
  const label = (id, text) => byId(id).setAttribute('aria-label', text);
  const range = (k) => distance(shown.seen[k].range, s.units);
  const reach = THRESHOLDS.map((level, i) => `${level} lx out to ${distance(shown.reach[i], s.units)}`);
  label('map', `Light from above. ${byId('answer').textContent}. Arrow keys move a mark that is read out.`);
  label('section', 'Section on the centreline, with the beams of the lamps that are lit.');
  label('curve', `Facing light on the centreline: ${reach.join(', ')}.`);
  label('bars', `How far things are seen: ${rig.things.map((t, k) => `${t.name} ${range(k)}`).join(', ')}.`);
}

function sayTilt(s, c, i) {
  const moved = s.tilts[i] !== c.present;
  const value = tilted(c.tilts[s.tilts[i]]);
  const sets = c.lamps.map((l) => l.sets[s.units][s.tilts[i]]);
  const alike = sets.every((set) => set === sets[0]);
  const lines = alike ? [sets[0]] : sets.map((set, n) => `${c.lamps[n].key}: ${set}`);
  put(byId(`tilt-value-${i}`), value);
  put(byId(`tilt-set-${i}`), lines.join('\n'));
  byId(`tilt-${i}`).setAttribute('aria-valuetext', `${value}. ${lines.join('; ')}`);
  byId(`tilt-back-${i}`).hidden = !moved;
  byId(`tilt-box-${i}`).classList.toggle('moved', moved);
  byId(`tilt-box-${i}`).classList.toggle('off', !s.circuits[c.circuit]);
}

// sayMark reads the mark on the map.
function sayMark({ rig, s, light }) {
  byId('reading').classList.toggle('untouched', s.mark === undefined);
  if (s.mark === undefined) return put(byId('reading'), 'Tap the map to read it; drag a dot to tilt.');
  const [x, y] = placeOf(rig.grid, s.mark);
  const along = `${distance(Math.abs(x), s.units)} ${x < 0 ? 'behind the bumper' : 'ahead'}`;
  const aside = y === 0 ? 'on the centreline' : `${distance(Math.abs(y), s.units)} ${y > 0 ? 'left' : 'right'}`;
  const lux = (setting) => {
    const at = (surface) => metered(light.at(surface, setting, s.mark));
    return `${at('ground')} on the ground, ${at('facing')} facing`;
  };
  const now = lux(lightOf(rig, s));
  const was = lux(rigLightOf(rig, s));
  put(byId('reading'), `${along}, ${aside}: ${now}${now === was ? '' : ` (as the rig has it: ${was})`}.`);
}

// tight is a quantity that does not part from its unit at the end of a line.
const tight = (text) => text.replaceAll(' ', '\u00a0');

// sayFigures is the table of what the rig has beside what is tried.
function sayFigures(rig, s, shown, own) {
  const u = s.units;
  const rows = [];
  const row = (what, of) => {
    const cells = [what, of(own), of(shown)];
    rows.push({ cells, kind: cells[1] === cells[2] ? '' : 'changed' });
  };
  const stretches = (list) => list.map(([a, b]) => stretch(a, b, u)).join(', ') || 'nowhere';
  rig.things.forEach((t, k) => {
    row(`${t.name}: seen out to; stops within that from`, ({ seen }) => {
      const { range } = seen[k];
      if (Number.isNaN(range)) return NOTHING;
      return `${tight(distance(range, u))}, ${tight(speed(speedWithin(rig, range), u))}`;
    });
    const lost = (f) => f.seen[k].lost;
    if (lost(own).length + lost(shown).length > 0) row('lost before that', (f) => stretches(lost(f)));
    if (k !== s.thing) return;
    for (const [part, what] of Object.entries({ ground: 'on the ground', body: 'on the body', air: 'in the air' })) {
      const range = (f) => distance(rangeWithout(rig, f.seen[k], part), u);
      if (shown.seen[k].by[part].some((v) => v > 0)) row(`without the glare of the light ${what}`, range);
    }
  });
  THRESHOLDS.forEach((level, i) => row(`${level} lx facing, out to`, (f) => distance(f.reach[i], u)));
  row(`dark on the centreline (below ${DARK} lx facing)`, (f) => stretches(f.gaps));
  rig.tops.forEach((name, k) => row(`on top of the ${name}, mean`, (f) => metered(f.tops[k])));
  row(`in an oncoming eye, ${chosen(50, u)} ahead`, (f) => metered(f.eye));
  row('veil in that eye', (f) => (Number.isNaN(f.eyeVeil) ? NOTHING : `${twoDigits(f.eyeVeil)} cd/m\u00b2`));
  fillTable(byId('comes'), ['', 'as the rig has it', 'as tried'], rows, 0, [false, true, true]);
}

// sayTables are the tables of a plan, with a row of how the rig has it below each lamp that is
// tried another way.
function sayTables(rig, s) {
  const heads = rig.settings.tables[s.units];
  const box = byId('tables');
  if (box.childElementCount === 0) {
    const wide = () => make('div', { className: 'wide', tabIndex: 0, attrs: { role: 'region' } }, make('table'));
    box.append(...heads.map(() => make('div', {}, make('h2'), wide())));
  }
  heads.forEach((head, t) => {
    const rows = [];
    rig.controls.forEach((c, i) => {
      const moved = s.tilts[i] !== c.present;
      const cellsAt = (tilt, n) => rig.settings.rows[s.units][i][tilt][n][t];
      c.lamps.forEach((l, n) => {
        if (!rig.settings.rows[s.units][i][s.tilts[i]]) return;
        rows.push({ key: l.key, cells: cellsAt(s.tilts[i], n), kind: moved ? 'changed' : '' });
        if (!moved) return;
        const was = cellsAt(c.present, n).map((cell, k) => (head.columns[k] === 'lamp' ? 'as the rig has it' : cell));
        rows.push({ key: l.key, cells: was, kind: 'was' });
      });
    });
    rows.sort((a, b) => a.key - b.key);
    const [title, wide] = box.children[t].children;
    put(title, head.title);
    wide.setAttribute('aria-label', head.title);
    fillTable(wide.firstChild, head.columns, rows, head.columns.indexOf('lamp'), head.right);
  });
}
