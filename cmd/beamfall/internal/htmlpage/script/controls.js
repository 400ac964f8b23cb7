// The controls, and what they do to the setting.

// buildControls makes the controls of a page.
function buildControls(page) {
  const { rig } = page;
  // choose makes a group of radio buttons, one for each text.
  const choose = (place, texts, chosen) => {
    const one = (text, i) =>
      option(text, { type: 'radio', name: place, id: `${place}-${i}` }, () => page.change((s) => chosen(s, i)));
    byId(place).replaceChildren(...texts.map(one));
  };
  const names = (list) => list.map((x) => x.name);
  choose('scenes', names(rig.scenes), (s, i) => Object.assign(s, { scene: i, circuits: circuitsOf(rig, i) }));
  choose('things', names(rig.things), (s, i) => Object.assign(s, { thing: i }));
  choose('airs', names(rig.airs), (s, i) => Object.assign(s, { air: i }));
  choose('units', ['metric', 'imperial'], (s, i) => Object.assign(s, { units: i }));
  choose('ahead', names(rig.ahead), (s, i) => Object.assign(s, { ahead: i }));
  choose('picture', ['ground', 'facing', 'section', 'lux'], (s, i) => {
    // Where there is room for one picture only, these choose which; where all are shown, the last
    // two are not.
    byId('pictures').dataset.shown = ['map', 'map', 'section', 'curve'][i];
    if (i < 2) s.surface = SURFACES[i];
  });
  byId('scenes-field').hidden = rig.scenes.length < 2;
  byId('airs-field').hidden = rig.airs.length < 2;
  const circuit = (name, i) =>
    option(name, { type: 'checkbox', id: `circuit-${i}` }, (input) => {
      page.change((s) => (s.circuits[i] = input.checked));
    });
  byId('circuits').replaceChildren(...names(rig.circuits).map(circuit));
  rig.controls.forEach((c, i) => {
    if (c.tilts.length > 1) byId('tilts').append(tiltControl(page, c, i));
  });
}

// tiltControl is the control of one tilt: a slider between two buttons that go one step.
function tiltControl(page, c, i) {
  const to = (s, k) => (s.tilts[i] = Math.max(0, Math.min(c.tilts.length - 1, k)));
  const marks = make('datalist', { id: `tilt-marks-${i}` }, make('option', { value: c.present }));
  const range = { type: 'range', min: 0, max: c.tilts.length - 1 };
  const slider = make('input', { id: `tilt-${i}`, ...range, attrs: { list: marks.id } });
  slider.addEventListener('input', () => {
    to(page.s, Number(slider.value));
    page.later();
  });
  slider.addEventListener('change', () => page.change((s) => to(s, Number(slider.value))));
  for (const event of ['focus', 'pointerdown']) slider.addEventListener(event, () => page.hold(i));
  slider.addEventListener('blur', () => page.hold(undefined));
  const step = (by, text, what) =>
    button(text, { className: 'step', attrs: { 'aria-label': `${c.name}: one step ${what}` } }, () => {
      page.s.held = i;
      page.change((s) => to(s, s.tilts[i] + by));
    });
  const was = `back to ${tilted(c.tilts[c.present])}`;
  const back = button(
    was,
    { className: 'small', id: `tilt-back-${i}`, attrs: { 'aria-label': `${c.name}: ${was}, as in the rig` } },
    () => page.change((s) => to(s, c.present)),
  );
  const key = make('b', { className: 'key', textContent: c.lamps.map((l) => l.key).join(', ') });
  const label = make('label', { htmlFor: slider.id }, key, ' ' + c.name);
  const value = make('output', { id: `tilt-value-${i}`, htmlFor: slider.id });
  return make(
    'div',
    { className: 'tilt', id: `tilt-box-${i}` },
    make('div', { className: 'tilt-head' }, label, value),
    make('div', { className: 'tilt-row' }, step(-1, '\u25b2', 'up'), slider, step(1, '\u25bc', 'down'), marks),
    make('p', { className: 'tilt-set' }, make('span', { id: `tilt-set-${i}` }), back),
  );
}

// followSetting sets the controls to the setting.
function followSetting(page) {
  const { rig, s } = page;
  const pick = (place, i) => (byId(`${place}-${i}`).checked = true);
  pick('scenes', s.scene);
  pick('things', s.thing);
  pick('airs', s.air);
  pick('units', s.units);
  pick('ahead', s.ahead);
  if (byId('pictures').dataset.shown === 'map') pick('picture', SURFACES.indexOf(s.surface));
  s.circuits.forEach((on, i) => (byId(`circuit-${i}`).checked = on));
  rig.controls.forEach((c, i) => {
    if (c.tilts.length > 1) byId(`tilt-${i}`).value = s.tilts[i];
  });
  rig.ahead.forEach((m, i) => put(byId(`ahead-${i}`).nextSibling, chosen(m, s.units)));
  byId('undo').disabled = page.undone.length === 0;
}

// listen lets what is not a control of the setting do what it does.
function listen(page) {
  const { rig } = page;
  byId('back').addEventListener('click', () =>
    page.change((s) => Object.assign(s, { tilts: asInRig(rig).tilts, circuits: circuitsOf(rig, s.scene) })),
  );
  byId('undo').addEventListener('click', () => page.undo());
  byId('copy').addEventListener('click', () => copy(byId('lines').value, byId('lines')));
  byId('copy-address').addEventListener('click', () => copy(location.href));
  addEventListener('hashchange', () => {
    if (location.hash.slice(1) !== page.committed) page.open(location.hash);
  });
  new ResizeObserver(() => page.later()).observe(byId('pictures'));
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => page.later());
  addEventListener('beforeprint', () => page.print(true));
  addEventListener('afterprint', () => page.print(false));
  letMark(page, byId('map'));
}

// letMark lets a pointer or the arrow keys put the mark on the map. It stands on a place of the
// grid, where light is known without guessing between places. A pointer that takes hold of where an
// axis meets the ground drags that instead.
function letMark(page, map) {
  const { x, y } = page.rig.grid;
  const within = (v, list) => Math.max(0, Math.min(list.length - 1, v));
  const put = (i, j) => page.mark(within(i, x) * y.length + within(j, y));
  const pixel = (e) => {
    const box = map.getBoundingClientRect();
    return [e.clientX - box.left, e.clientY - box.top];
  };
  let held; // {i, l}: a control and the lamp of it whose hit is dragged
  const point = (e) => {
    const [ahead, left] = page.frame.metres(...pixel(e));
    if (!held) return put(nearest(x, ahead), nearest(y, left));
    page.s.tilts[held.i] = tiltThrough(held.l, ahead, left, page.s.tilts[held.i]);
    followSetting(page);
    page.later();
  };
  map.addEventListener('pointerdown', (e) => {
    map.setPointerCapture(e.pointerId);
    held = hitAt(page, ...pixel(e));
    if (held) page.hold(held.i);
    else point(e);
  });
  map.addEventListener('pointermove', (e) => {
    if (e.buttons > 0) point(e);
    else map.classList.toggle('over', Boolean(hitAt(page, ...pixel(e))));
  });
  for (const event of ['pointerup', 'pointercancel']) {
    map.addEventListener(event, () => {
      if (held) page.change(() => {});
      held = undefined;
      page.hold(undefined);
    });
  }
  const arrows = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  map.addEventListener('keydown', (e) => {
    if (e.key === 'Escape') page.mark(undefined);
    const step = arrows[e.key];
    if (!step) return;
    e.preventDefault();
    const n = page.s.mark ?? nearest(x, 10) * y.length + nearest(y, 0);
    const by = e.shiftKey ? 5 : 1;
    put(Math.floor(n / y.length) + by * step[0], (n % y.length) + by * step[1]);
  });
}

// hitAt is the control, of several tilts and lit, and the lamp of it whose axis meets the ground
// nearest to a pixel of the map; undefined if none does so close by.
function hitAt({ rig, s, frame }, px, py) {
  const { on } = lightOf(rig, s);
  let best = { off: 16 }; // px, of a finger
  rig.controls.forEach((c, i) => {
    for (const l of on[i] && c.tilts.length > 1 ? c.lamps : []) {
      const { hit } = l.aims[s.tilts[i]];
      if (!hit) continue;
      const [x, y] = frame.point(hit);
      const off = Math.hypot(x - px, y - py);
      if (off < best.off) best = { off, i, l };
    }
  });
  return best.l && best;
}

// tiltThrough is the number of the tilt at which a lamp's axis meets the ground nearest to a place;
// as now, if it never does.
function tiltThrough(lamp, ahead, left, now) {
  let best = { off: Infinity, k: now };
  lamp.aims.forEach(({ hit }, k) => {
    const off = hit ? Math.hypot(hit[0] - ahead, hit[1] - left) : Infinity;
    if (off < best.off) best = { off, k };
  });
  return best.k;
}

// copy puts a text where it can be pasted from, or marks it in its field where that is not allowed.
async function copy(text, field) {
  try {
    await navigator.clipboard.writeText(text);
    put(byId('copied'), 'Copied.');
  } catch {
    field?.select();
    put(byId('copied'), field ? 'Marked; copy it with the keys or the menu.' : 'Copy it from the address bar.');
  }
}
