// What is tried, and how it is looked at; and its way into the address behind # and back.

const SURFACES = ['ground', 'facing'];

// asInRig is the setting that the rig has, in its first scene.
function asInRig(rig) {
  return {
    tilts: rig.controls.map((c) => c.present),
    scene: 0,
    circuits: circuitsOf(rig, 0),
    thing: 0,
    air: 0,
    units: rig.units,
    ahead: rig.ahead.length - 1,
    surface: 'ground',
  };
}

// circuitsOf is, by circuit, whether a scene has it on.
const circuitsOf = (rig, scene) => rig.circuits.map((_, i) => rig.scenes[scene].circuits.includes(i));

// lightOf is of a setting what light needs to know.
const lightOf = (rig, s) => ({
  tilts: s.tilts,
  on: rig.controls.map((c) => s.circuits[c.circuit]),
  air: s.air,
});

// rigLightOf is the light of the rig's own tilts and of the scene without switches tried.
function rigLightOf(rig, s) {
  const own = circuitsOf(rig, s.scene);
  return {
    tilts: rig.controls.map((c) => c.present),
    on: rig.controls.map((c) => own[c.circuit]),
    air: s.air,
  };
}

// numbersIn are the numbers, from 0, of what is on: so no name has to go into the address.
const numbersIn = (list) => list.flatMap((on, i) => (on ? [i] : [])).join('.');

// toAddress is what of a setting is not as in the rig.
function toAddress(rig, s) {
  const was = asInRig(rig);
  const words = new URLSearchParams();
  const tilts = rig.controls.map((c, i) => c.tilts[s.tilts[i]]);
  if (s.tilts.some((t, i) => t !== was.tilts[i])) words.set('tilts', tilts.join('_'));
  if (s.scene !== was.scene) words.set('scene', s.scene);
  if (numbersIn(s.circuits) !== numbersIn(circuitsOf(rig, s.scene))) words.set('on', numbersIn(s.circuits));
  for (const key of ['thing', 'air', 'units', 'ahead', 'surface']) {
    if (s[key] !== was[key]) words.set(key, s[key]);
  }
  if (words.toString()) words.set('rig', rig.digest);
  return words.toString();
}

// fromAddress is the setting of an address, and whether it was made by a page of another rig. What
// it does not say, or says in a way that does not fit, is as in the rig.
function fromAddress(rig, address) {
  const s = asInRig(rig);
  const words = new URLSearchParams(address.replace(/^#/, ''));
  const number = (text, count, otherwise) =>
    /^\d{1,4}$/.test(text ?? '') && Number(text) < count ? Number(text) : otherwise;
  s.scene = number(words.get('scene'), rig.scenes.length, s.scene);
  s.circuits = circuitsOf(rig, s.scene);
  if (words.has('on')) {
    const on = words.get('on').split('.').map((t) => number(t, rig.circuits.length, -1));
    s.circuits = rig.circuits.map((_, i) => on.includes(i));
  }
  const tilts = (words.get('tilts') ?? '').split('_');
  rig.controls.forEach((c, i) => {
    const wanted = Number.parseFloat(tilts[i]);
    if (Number.isFinite(wanted)) s.tilts[i] = nearest(c.tilts, wanted);
  });
  s.thing = number(words.get('thing'), rig.things.length, s.thing);
  s.air = number(words.get('air'), rig.airs.length, s.air);
  s.units = number(words.get('units'), 2, s.units);
  s.ahead = number(words.get('ahead'), rig.ahead.length, s.ahead);
  if (SURFACES.includes(words.get('surface'))) s.surface = words.get('surface');
  return { setting: s, foreign: words.has('rig') && words.get('rig') !== rig.digest };
}

// nearest is the number of the value nearest to v in a rising list.
function nearest(list, v) {
  let best = 0;
  list.forEach((x, i) => {
    if (Math.abs(x - v) < Math.abs(list[best] - v)) best = i;
  });
  return best;
}

// linesOf is what is tried and not in the rig: a rig file that takes the rest from the rig's own,
// and options for lamps of the command line.
function linesOf(rig, s) {
  const parts = [];
  const options = [];
  rig.controls.forEach((c, i) => {
    const tilt = c.tilts[s.tilts[i]];
    if (s.tilts[i] === c.present) return;
    if (c.option) options.push(`${c.option} ${argument(`${c.flag},tilt=${tilt}`)}\n`);
    else parts.push(`[[lamp]]\nname = ${quoted(c.name)}\ntilt = "${tilt} deg"\n`);
  });
  if (numbersIn(s.circuits) !== numbersIn(circuitsOf(rig, s.scene))) {
    const on = rig.circuits.filter((c, i) => s.circuits[i] && c.inFile).map((c) => quoted(c.name));
    parts.push(`[[scene]]\nname = "tried"\ncircuits = [${on.join(', ')}]\n`);
  }
  if (parts.length > 0 && rig.base) parts.unshift(`base = ${quoted(rig.base)}\n`);
  if (options.length > 0) parts.push(options.join(''));
  return parts.join('\n');
}

// argument is a text as one word of a shell.
const argument = (text) => (/["\\$`!]/.test(text) ? `'${text.replaceAll("'", "'\\''")}'` : `"${text}"`);

// quoted is a text as a basic string of TOML, which JSON's is but for the delete character.
const quoted = (text) => JSON.stringify(text).replaceAll('\u007f', '\\u007f');
