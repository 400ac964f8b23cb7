// The page: a setting that controls change, and that is drawn and put into words whenever it does.

class Page {
  constructor(rig, tables) {
    this.rig = rig;
    this.light = new Light(rig, tables);
    this.undone = []; // addresses to go back to
    this.owns = new Map(); // the rig's own figures, by what they depend on
    document.title = `${rig.rig}: tilts to try`;
    put(byId('rig'), rig.rig);
    put(byId('caution'), rig.caution.join(' '));
    byId('notes').append(...rig.notes.map((note) => make('li', { textContent: note })));
    buildControls(this);
    byId('main').hidden = false;
    this.open(location.hash);
    listen(this);
    this.loaded = performance.now(); // ms after the browser began to open the page
  }

  // open shows the setting of an address.
  open(address) {
    const { setting, foreign } = fromAddress(this.rig, address);
    this.s = { ...setting, mark: this.s?.mark };
    this.committed = toAddress(this.rig, this.s);
    trouble(foreign ? FOREIGN : '');
    followSetting(this);
    this.draw();
  }

  // change does a change to the setting that can be undone.
  change(what) {
    what(this.s);
    const now = toAddress(this.rig, this.s);
    if (now !== this.committed) {
      this.undone.push(this.committed);
      this.committed = now;
      this.address();
    }
    followSetting(this);
    this.later();
    this.speak();
  }

  // speak lets a screen reader say the answer, once a change is done and no other follows at once.
  speak() {
    clearTimeout(this.speaking);
    this.speaking = setTimeout(() => put(byId('spoken'), byId('answer').textContent), 400); // ms
  }

  undo() {
    const address = this.undone.pop();
    if (address === undefined) return;
    this.open(address);
    this.address();
    this.speak();
  }

  // address puts the setting into the page's address.
  address() {
    const address = this.committed ? '#' + this.committed : location.pathname + location.search;
    try {
      history.replaceState(null, '', address);
    } catch {
      location.replace('#' + this.committed); // some browsers have no history of files
    }
  }

  // hold says which control is being moved, undefined for none.
  hold(i) {
    if (this.s.held === i) return;
    this.s.held = i;
    this.later();
  }

  // mark puts the mark on a place of the grid, undefined for none.
  mark(place) {
    this.s.mark = place;
    this.later();
  }

  later() {
    this.waiting ??= requestAnimationFrame(() => {
      this.waiting = undefined;
      this.draw();
    });
  }

  print(printing) {
    const width = 700; // px in which the pictures are drawn for paper
    document.documentElement.classList.toggle('printing', printing);
    this.draw(printing ? width : undefined);
  }

  // own are the rig's figures for what is looked at now, and its line of 1 lx.
  own() {
    const { rig, light, s } = this;
    const key = `${s.scene} ${s.air} ${s.surface}`;
    if (!this.owns.has(key)) {
      const setting = rigLightOf(rig, s);
      const logs = logsOf(light.field(s.surface, setting));
      const [outline] = isolines(rig.grid.x, rig.grid.y, logs, [Math.log(DARK)]);
      this.owns.set(key, { ...figuresOf(rig, light, setting), outline });
    }
    return this.owns.get(key);
  }

  // draw shows the setting, all of it, with pictures of a width or of that which there is.
  draw(width) {
    const began = performance.now();
    const { rig, light, s } = this;
    const look = lookOf(rig);
    const setting = lightOf(rig, s);
    const own = this.own();
    const shown = { ...figuresOf(rig, light, setting), field: light.field(s.surface, setting) };
    const wide = Math.floor(width ?? byId('pictures').clientWidth);
    const narrow = wide < 560;
    const low = narrow || width !== undefined;
    const paper = { rig, s, shown, own, look, width: wide };
    const needed = (id) => width !== undefined || byId(id).offsetParent !== null;
    if (needed('map')) this.frame = drawMap(byId('map'), narrow ? 180 : 360, paper);
    if (needed('section')) put(byId('section-title'), drawSection(byId('section'), low ? 140 : 190, paper));
    if (needed('curve')) drawCurve(byId('curve'), low ? 140 : 210, paper);
    drawBars(byId('bars'), narrow ? [s.thing] : rig.things.map((_, k) => k), paper);
    this.legend(look);
    say(this, shown, own);
    const stage = byId('stage');
    const sticks = getComputedStyle(stage).position === 'sticky';
    document.documentElement.style.scrollPaddingTop = sticks ? `${stage.offsetHeight + 8}px` : '';
    this.shown = shown;
    this.took = performance.now() - began; // ms
  }

  // legend says what the colours of the map are, where that has changed.
  legend(look) {
    const what = this.s.surface === 'ground' ? 'lux on the ground' : 'lux facing the vehicle, 0.6 m up';
    const key = look.night + what;
    if (this.legendOf === key) return;
    this.legendOf = key;
    const { levels, bands } = look;
    put(byId('map-title'), `${what}; dashed: 1 lx as the rig has it.`);
    const range = `${levels[0]} to ${levels[levels.length - 1]} lx`;
    byId('legend').setAttribute('aria-label', `Colours: ${what}, in bands from ${range}.`);
    const swatches = bands.map((colour, i) => {
      const swatch = make('i');
      swatch.style.background = colour;
      return make('span', {}, swatch, i > 0 ? String(levels[i - 1]) : '\u00a0');
    });
    byId('legend').replaceChildren(...swatches);
  }
}

// trouble says what is wrong, or with nothing that nothing is.
function trouble(text) {
  put(byId('trouble'), text);
  byId('trouble').hidden = !text;
}

const FOREIGN =
  'This address was made by the page of another rig, or of another state of this one: what fits of it is shown.';

let page;

async function start() {
  if (typeof DecompressionStream === 'undefined') {
    return trouble('This browser is too old to unpack the page; one of 2023 or later can.');
  }
  try {
    const { header, tables } = await unpack(byId('data').textContent);
    page = new Page(header, tables);
  } catch (error) {
    trouble(`The page is damaged (${error.message}). Make it again with beamfall page.`);
  }
}

start();
