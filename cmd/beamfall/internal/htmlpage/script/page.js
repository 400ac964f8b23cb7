// The page itself: its controls, what they do, and what is said in words.

const byId = (id) => document.getElementById(id);

// make is a new element with properties, attributes under attrs, and children. A text is only ever
// a text.
function make(tag, { attrs = {}, ...properties } = {}, ...children) {
  const e = Object.assign(document.createElement(tag), properties);
  for (const [name, value] of Object.entries(attrs)) e.setAttribute(name, value);
  e.append(...children);
  return e;
}

const SURFACES = ['ground', 'facing'];

class Page {
  constructor(rig, tables) {
    this.rig = rig;
    this.light = new Light(rig, tables);
    this.undone = []; // addresses to go back to
    this.owns = new Map(); // the rig's own figures, by what they depend on
    this.load(location.hash);
    this.words();
    this.controls();
    this.events();
    byId('main').hidden = false;
    this.follow();
    this.draw();
    this.loaded = performance.now(); // ms after the browser began to open the page
  }

  // load takes the setting of an address.
  load(address) {
    const { setting, foreign } = fromAddress(this.rig, address);
    this.s = { ...setting, mark: this.s?.mark };
    this.committed = toAddress(this.rig, this.s);
    this.tell(foreign ? 'This address was made by the page of another rig, or of another state of this one: what fits of it is shown.' : '');
  }

  tell(trouble) {
    byId('trouble').textContent = trouble;
    byId('trouble').hidden = !trouble;
  }

  // words fills in what does not change.
  words() {
    const { rig } = this;
    document.title = `${rig.rig}: tilts to try`;
    byId('rig').textContent = rig.rig;
    byId('caution').textContent = rig.caution.join(' ');
    byId('notes').append(...rig.notes.map((note) => make('li', { textContent: note })));
  }

  // choice is a group of radio buttons, one for each text.
  choice(place, key, texts, changed) {
    const box = byId(place);
    box.replaceChildren(...texts.map((text, i) => {
      const input = make('input', { type: 'radio', name: place, id: `${place}-${i}`, value: i });
      input.addEventListener('change', () => this.change(() => changed(i)));
      return make('span', { className: 'option' }, input, make('label', { htmlFor: input.id, textContent: text }));
    }));
  }

  controls() {
    const { rig } = this;
    this.choice('scenes', 'scene', rig.scenes.map((x) => x.name), (i) => {
      this.s.scene = i;
      this.s.circuits = circuitsOf(rig, i);
    });
    byId('scenes-field').hidden = rig.scenes.length < 2;
    this.choice('things', 'thing', rig.things.map((x) => x.name), (i) => { this.s.thing = i; });
    this.choice('airs', 'air', rig.airs.map((x) => x.name), (i) => { this.s.air = i; });
    byId('airs-field').hidden = rig.airs.length < 2;
    this.choice('units', 'units', ['metric', 'imperial'], (i) => { this.s.units = i; });
    this.choice('ahead', 'ahead', rig.ahead.map(() => ''), (i) => { this.s.ahead = i; });
    // Where there is room for one picture only, these choose which; where all are shown, the last
    // two are not.
    this.choice('picture', 'picture', ['ground', 'facing', 'section', 'lux'], (i) => {
      byId('pictures').dataset.shown = ['map', 'map', 'section', 'curve'][i];
      if (i < 2) this.s.surface = SURFACES[i];
    });
    byId('circuits').replaceChildren(...rig.circuits.map((name, i) => {
      const input = make('input', { type: 'checkbox', id: `circuit-${i}` });
      input.addEventListener('change', () => this.change(() => { this.s.circuits[i] = input.checked; }));
      return make('span', { className: 'option' }, input, make('label', { htmlFor: input.id, textContent: name }));
    }));
    byId('tilts').replaceChildren(...rig.controls.map((c, i) => this.tilt(c, i)));
  }

  // tilt is the control of one tilt: a slider between two buttons that go one step.
  tilt(c, i) {
    const slider = make('input', {
      type: 'range', id: `tilt-${i}`, min: 0, max: c.tilts.length - 1, step: 1, attrs: { list: `tilt-marks-${i}` }, disabled: c.tilts.length < 2,
    });
    const to = (k) => { this.s.tilts[i] = Math.max(0, Math.min(c.tilts.length - 1, k)); };
    slider.addEventListener('input', () => {
      to(Number(slider.value));
      this.later();
    });
    slider.addEventListener('change', () => this.change(() => to(Number(slider.value))));
    for (const event of ['focus', 'pointerdown']) slider.addEventListener(event, () => this.hold(i));
    slider.addEventListener('blur', () => this.hold(undefined));
    const step = (by, text, what) => {
      const button = make('button', { type: 'button', textContent: text, className: 'step', attrs: { 'aria-label': `${c.name}: one step ${what}` } });
      button.addEventListener('click', () => this.change(() => {
        this.s.held = i;
        to(this.s.tilts[i] + by);
      }));
      return button;
    };
    const back = make('button', { type: 'button', className: 'small', id: `tilt-back-${i}`, textContent: 'as in the rig', attrs: { 'aria-label': `${c.name}: as in the rig` } });
    back.addEventListener('click', () => this.change(() => to(c.present)));
    return make('div', { className: 'tilt', id: `tilt-box-${i}` },
      make('div', { className: 'tilt-head' },
        make('label', { htmlFor: slider.id }, make('b', { className: 'key', textContent: c.lamps.map((l) => l.key).join(', ') }), ' ' + c.name),
        make('output', { id: `tilt-value-${i}`, htmlFor: slider.id })),
      make('div', { className: 'tilt-row' }, step(-1, '\u25b2', 'up'), slider, step(1, '\u25bc', 'down')),
      make('datalist', { id: `tilt-marks-${i}` }, make('option', { value: c.present })),
      make('p', { className: 'tilt-set' }, make('span', { id: `tilt-set-${i}` }), ' ', back));
  }

  events() {
    byId('back').addEventListener('click', () => this.change(() => {
      const was = asInRig(this.rig);
      this.s.tilts = was.tilts;
      this.s.circuits = circuitsOf(this.rig, this.s.scene);
    }));
    byId('undo').addEventListener('click', () => {
      const address = this.undone.pop();
      if (address === undefined) return;
      this.load(address);
      this.follow();
      this.address();
      this.draw();
    });
    byId('copy').addEventListener('click', () => this.copy(byId('lines').value, byId('lines')));
    byId('copy-address').addEventListener('click', () => this.copy(location.href));
    addEventListener('hashchange', () => {
      this.load(location.hash);
      this.follow();
      this.draw();
    });
    new ResizeObserver(() => this.later()).observe(byId('pictures'));
    matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => this.later());
    addEventListener('beforeprint', () => this.print(true));
    addEventListener('afterprint', () => this.print(false));
    this.marks(byId('map'));
  }

  // marks lets a pointer or the arrow keys put the mark on the map.
  marks(map) {
    const { x, y } = this.rig.grid;
    const put = (i, j) => {
      const within = (v, list) => Math.max(0, Math.min(list.length - 1, v));
      this.s.mark = within(i, x) * y.length + within(j, y);
      this.later();
    };
    const point = (e) => {
      const r = map.getBoundingClientRect(), f = this.frame;
      const ahead = f.from + (e.clientX - r.left - f.x) / f.w * (f.to - f.from);
      const left = f.top - (e.clientY - r.top - f.y) / f.h * (f.top - f.bottom);
      put(nearest(x, ahead), nearest(y, left));
    };
    map.addEventListener('pointerdown', (e) => {
      map.setPointerCapture(e.pointerId);
      point(e);
    });
    map.addEventListener('pointermove', (e) => { if (e.buttons > 0) point(e); });
    map.addEventListener('keydown', (e) => {
      if (e.key === 'Escape') {
        this.s.mark = undefined;
        this.later();
        return;
      }
      const step = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[e.key];
      if (!step) return;
      e.preventDefault();
      const n = this.s.mark ?? nearest(x, 10) * y.length + nearest(y, 0), by = e.shiftKey ? 5 : 1;
      put(Math.floor(n / y.length) + by * step[0], n % y.length + by * step[1]);
    });
  }

  hold(i) {
    if (this.s.held === i) return;
    this.s.held = i;
    this.later();
  }

  // change does a change that can be undone.
  change(what) {
    what();
    const now = toAddress(this.rig, this.s);
    if (now !== this.committed) {
      this.undone.push(this.committed);
      this.committed = now;
      this.address();
    }
    this.follow();
    this.later();
  }

  address() {
    const words = toAddress(this.rig, this.s);
    history.replaceState(null, '', words ? '#' + words : location.pathname + location.search);
  }

  // follow sets the controls to the setting.
  follow() {
    const { rig, s } = this;
    const pick = (place, i) => { byId(`${place}-${i}`).checked = true; };
    pick('scenes', s.scene);
    pick('things', s.thing);
    pick('airs', s.air);
    pick('units', s.units);
    if (byId('pictures').dataset.shown === 'map') pick('picture', SURFACES.indexOf(s.surface));
    pick('ahead', s.ahead);
    s.circuits.forEach((on, i) => { byId(`circuit-${i}`).checked = on; });
    s.tilts.forEach((t, i) => { byId(`tilt-${i}`).value = t; });
    rig.ahead.forEach((m, i) => { document.querySelector(`label[for=ahead-${i}]`).textContent = distance(m, s.units).replace('.0', ''); });
    byId('undo').disabled = this.undone.length === 0;
  }

  later() {
    this.waiting ??= requestAnimationFrame(() => {
      this.waiting = undefined;
      this.draw();
    });
  }

  print(printing) {
    document.documentElement.classList.toggle('printing', printing);
    this.draw(printing ? 680 : undefined);
  }

  // reckon works out a setting's light on the track and what is seen by it.
  reckon(light) {
    const facing = this.light.along('facing', light), ground = this.light.along('ground', light);
    const { stations } = this.rig;
    const seen = this.rig.things.map((_, k) => {
      const { look, by } = this.light.look(k, light);
      return { look, by, ...sightOf(this.rig, look, by) };
    });
    return { facing, ground, seen, gaps: gapsOf(stations, facing, DARK), reach: THRESHOLDS.map((level) => reachOf(stations, facing, level)), ...this.linear(light) };
  }

  // linear are the figures that add up lamp by lamp: the light on the body and in the eye of who
  // comes the other way.
  linear(light) {
    const sum = (of) => light.tilts.reduce((total, tilt, c) => light.on[c] ? total + of(this.rig.controls[c], tilt) : total, 0);
    return {
      tops: this.rig.tops.map((_, k) => sum((c, tilt) => c.tops[light.air][tilt][k])),
      eye: sum((c, tilt) => c.oncoming[light.air][tilt][0]), glare: sum((c, tilt) => c.oncoming[light.air][tilt][1] ?? NaN),
    };
  }

  // own are the rig's figures for what is looked at now.
  own() {
    const { s } = this, key = `${s.scene} ${s.air} ${s.surface}`;
    if (!this.owns.has(key)) {
      const light = rigLightOf(this.rig, s), { x, y } = this.rig.grid;
      const [outline] = isolines(x, y, logsOf(this.light.field(s.surface, light)), [Math.log(DARK)]);
      this.owns.set(key, { ...this.reckon(light), outline });
    }
    return this.owns.get(key);
  }

  // draw shows the setting, all of it.
  draw(width) {
    const began = performance.now();
    const { rig, s } = this, look = lookOf(rig), light = lightOf(rig, s);
    const own = this.own();
    const shown = { ...this.reckon(light), field: this.light.field(s.surface, light) };
    const wide = Math.floor(width ?? byId('pictures').clientWidth), narrow = wide < 560;
    const visible = (id) => width !== undefined || byId(id).offsetParent !== null;
    if (visible('map')) this.frame = drawMap(byId('map'), wide, Math.min(narrow ? 180 : 360, heightOf(rig, s, wide)), rig, s, shown, own, look);
    if (visible('section')) this.section(drawSection(byId('section'), wide, narrow ? 140 : 190, rig, s, shown, look));
    if (visible('curve')) drawCurve(byId('curve'), wide, narrow ? 140 : 210, rig, s, shown, own, look);
    drawBars(byId('bars'), wide, rig, s, shown, own, look, narrow ? [s.thing] : rig.things.map((_, k) => k));
    this.legend(look);
    this.say(shown, own);
    this.shown = shown;
    this.took = performance.now() - began;
  }

  section({ larger, away }) {
    byId('section-title').textContent = `section on the centreline, heights drawn ×${Number(larger.toPrecision(2))}` +
      (away.length > 0 ? `; turned away from it: ${away.join(', ')}` : '');
  }

  legend(look) {
    const key = look.night + this.s.surface;
    if (this.legendOf === key) return;
    this.legendOf = key;
    const what = this.s.surface === 'ground' ? 'lux on the ground' : 'lux facing the vehicle, 0.6 m up';
    byId('map-title').textContent = `${what}; dashed: 1 lx as the rig has it.`;
    byId('legend').setAttribute('aria-label', `Colours: ${what}, from below ${look.levels[0]} to above ${look.levels[look.levels.length - 1]}`);
    byId('legend').replaceChildren(...look.bands.map((colour, i) => {
      const swatch = make('i');
      swatch.style.background = colour;
      return make('span', {}, swatch, i > 0 ? String(look.levels[i - 1]) : '\u00a0');
    }));
  }

  // say is the setting in words.
  say(shown, own) {
    const { rig, s } = this, thing = rig.things[s.thing];
    const now = shown.seen[s.thing].range, was = own.seen[s.thing].range;
    const same = distance(now, s.units) === distance(was, s.units);
    byId('answer').replaceChildren(
      make('b', { textContent: thing.name }), Number.isFinite(now) ? ' seen out to ' : ' not seen',
      ...(Number.isFinite(now) ? [make('b', { textContent: distance(now, s.units) })] : []),
      same ? '' : ` (as the rig has it: ${distance(was, s.units)})`,
      ...(Number.isFinite(now) ? [', stops within that from up to ', make('b', { textContent: speed(speedWithin(rig, now), s.units) })] : []));
    byId('map').setAttribute('aria-label', `Light from above. ${byId('answer').textContent}. Arrow keys move a mark that is read out.`);
    byId('section').setAttribute('aria-label', 'Section on the centreline with the beams of the lamps that are lit');
    byId('curve').setAttribute('aria-label', `Facing light on the centreline: ${THRESHOLDS.map((level, i) => `${level} lx out to ${distance(shown.reach[i], s.units)}`).join(', ')}`);
    byId('bars').setAttribute('aria-label', rig.things.map((t, k) => `${t.name}: ${distance(shown.seen[k].range, s.units)}`).join('; '));
    rig.controls.forEach((c, i) => this.sayTilt(c, i));
    this.sayMark();
    this.sayFigures(shown, own);
    this.sayTables();
    const lines = linesOf(rig, s);
    byId('lines').value = lines;
    byId('take-about').textContent = lines ? 'What is tried and not in the rig, as a rig file that takes the rest from it:' : 'The tilts are those of the rig; what is tried stands here as lines for the rig file.';
    byId('copy').disabled = !lines;
  }

  sayTilt(c, i) {
    const { s } = this, tilt = c.tilts[s.tilts[i]], moved = s.tilts[i] !== c.present;
    const value = tilted(tilt) + (moved ? ` (rig: ${tilted(c.tilts[c.present])})` : '');
    const set = c.lamps.map((l) => l.sets[s.units][s.tilts[i]]).join('; ');
    put(byId(`tilt-value-${i}`), value);
    put(byId(`tilt-set-${i}`), set);
    byId(`tilt-${i}`).setAttribute('aria-valuetext', `${value}. ${set}`);
    byId(`tilt-back-${i}`).hidden = !moved;
    byId(`tilt-box-${i}`).classList.toggle('moved', moved);
    byId(`tilt-box-${i}`).classList.toggle('dark', !s.circuits[c.circuit]);
  }

  sayMark() {
    const { rig, s } = this;
    if (s.mark === undefined) {
      put(byId('reading'), 'Tap the map to read it.');
      return;
    }
    const x = rig.grid.x[Math.floor(s.mark / rig.grid.y.length)], y = rig.grid.y[s.mark % rig.grid.y.length];
    const light = lightOf(rig, s), own = rigLightOf(rig, s);
    const lux = (surface, setting) => metered(this.light.at(surface, setting, s.mark));
    const where = `${distance(Math.abs(x), s.units)} ${x < 0 ? 'behind the bumper' : 'ahead'}, ${y === 0 ? 'on the centreline' : `${distance(Math.abs(y), s.units)} ${y > 0 ? 'left' : 'right'}`}`;
    put(byId('reading'), `${where}: ${lux('ground', light)} on the ground, ${lux('facing', light)} facing (rig: ${lux('ground', own)}, ${lux('facing', own)}).`);
  }

  // sayFigures is the table of what the rig has beside what is tried.
  sayFigures(shown, own) {
    const { rig, s } = this, u = s.units;
    const rows = [];
    const row = (what, of) => rows.push([what, of(own), of(shown)]);
    rig.things.forEach((t, k) => {
      row(`${t.name}: seen out to`, (f) => distance(f.seen[k].range, u));
      if (k === s.thing) {
        row('stops within that from up to', (f) => speed(speedWithin(rig, f.seen[k].range), u));
        row('it would be without the light on the body', (f) => distance(this.without(f.seen[k], 'body'), u));
        row('it would be without the light on the ground nearby', (f) => distance(this.without(f.seen[k], 'ground'), u));
      }
      if (own.seen[k].lost.length + shown.seen[k].lost.length > 0) {
        row(`${t.name}: lost before that`, (f) => f.seen[k].lost.map(([a, b]) => stretch(a, b, u)).join(', ') || 'nowhere');
      }
    });
    THRESHOLDS.forEach((level, i) => row(`${level} lx facing out to`, (f) => distance(f.reach[i], u)));
    row(`dark on the centreline (below ${DARK} lx facing)`, (f) => f.gaps.map(([a, b]) => stretch(a, b, u)).join(', ') || 'nowhere');
    rig.tops.forEach((name, k) => row(`on top of the ${name}, mean`, (f) => metered(f.tops[k])));
    row(`in an oncoming eye, ${distance(50, u).replace('.0', '')} ahead`, (f) => metered(f.eye));
    fill(byId('comes'), ['', 'as the rig has it', 'as tried'], rows.map((cells) => ({ cells, changed: cells[1] !== cells[2] })), [false, true, true]);
  }

  // without is how far a thing would be seen without the veil of one part of the light.
  without({ look, by }, part) {
    return sightOf(this.rig, look, { ...by, veil: by.veil.map((v, i) => v - by[part][i]) }).range;
  }

  sayTables() {
    const { rig, s } = this, box = byId('tables');
    const heads = rig.settings.tables[s.units];
    if (box.childElementCount !== heads.length) {
      box.replaceChildren(...heads.map((head) => make('div', {}, make('h2'),
        make('div', { className: 'wide', tabIndex: 0, attrs: { role: 'region' } }, make('table')))));
    }
    heads.forEach((head, t) => {
      const part = box.children[t];
      put(part.querySelector('h2'), head.title);
      part.querySelector('.wide').setAttribute('aria-label', head.title);
      const rows = [];
      rig.controls.forEach((c, i) => {
        const at = (k) => rig.settings.rows[s.units][i][k] ?? [];
        const moved = s.tilts[i] !== c.present;
        at(s.tilts[i]).forEach((lamp, n) => {
          rows.push({ key: c.lamps[n].key, cells: lamp[t], changed: moved });
          if (moved) rows.push({ key: c.lamps[n].key, cells: at(c.present)[n][t].map((cell, k) => k === 1 ? 'as the rig has it' : cell), was: true });
        });
      });
      rows.sort((a, b) => a.key - b.key);
      fill(part.querySelector('table'), head.columns, rows, head.right);
    });
  }

  async copy(text, field) {
    try {
      await navigator.clipboard.writeText(text);
      byId('copied').textContent = 'copied';
    } catch {
      field?.select();
      byId('copied').textContent = field ? 'marked; copy it with the keys or the menu' : 'copy it from the address bar';
    }
  }
}

// put sets a text, but does not touch what has it already: screen readers hear of every touch.
function put(e, text) {
  if (e.textContent !== text) e.textContent = text;
}

// fill makes a table of rows {cells, changed, was}; the first cell that is no number heads its row.
function fill(table, columns, rows, right) {
  const wanted = JSON.stringify([columns, rows]);
  if (table.filled === wanted) return;
  table.filled = wanted;
  const cell = (tag, text, k) => make(tag, { textContent: text, className: right[k] ? 'figure' : '' });
  table.replaceChildren(
    make('thead', {}, make('tr', {}, ...columns.map((text, k) => make('th', { textContent: text, scope: 'col', className: right[k] ? 'figure' : '' })))),
    make('tbody', {}, ...rows.map((r) => make('tr', { className: r.was ? 'was' : r.changed ? 'changed' : '' }, ...r.cells.map((text, k) => cell('td', text, k))))));
}

let page;

unpack(byId('data').textContent).then(({ header, tables }) => { page = new Page(header, tables); }).catch((error) => {
  byId('trouble').textContent = typeof DecompressionStream === 'undefined'
    ? 'This browser is too old to unpack the page; one of 2023 or later can.' : `The page is damaged: ${error.message}. Make it again with beamfall page.`;
  byId('trouble').hidden = false;
});
