// What is tried, and how it is looked at; and its way into the address behind # and back.

// asInRig is the setting that the rig has, in its first scene.
function asInRig(rig) {
  return {
    tilts: rig.controls.map((c) => c.present), scene: 0, circuits: circuitsOf(rig, 0),
    thing: 0, air: 0, units: rig.units, ahead: rig.ahead.length - 1, surface: 'ground',
  };
}

// circuitsOf is, by circuit, whether a scene has it on.
const circuitsOf = (rig, scene) => rig.circuits.map((_, i) => rig.scenes[scene].circuits.includes(i));

// lightOf is of a setting what light needs to know.
const lightOf = (rig, s) => ({ tilts: s.tilts, on: rig.controls.map((c) => s.circuits[c.circuit]), air: s.air });

// rigLightOf is the light of the rig's own tilts and of the scene without switches tried.
function rigLightOf(rig, s) {
  const own = circuitsOf(rig, s.scene);
  return { tilts: rig.controls.map((c) => c.present), on: rig.controls.map((c) => own[c.circuit]), air: s.air };
}

// A word is an entry of the address. Numbers count from 0, so that no name has to go into it.
const numbersIn = (list) => list.flatMap((on, i) => on ? [i] : []).join('.');

// toAddress is what of a setting is not as in the rig.
function toAddress(rig, s) {
  const was = asInRig(rig), words = new URLSearchParams();
  const tilts = rig.controls.map((c, i) => c.tilts[s.tilts[i]]);
  if (s.tilts.some((t, i) => t !== was.tilts[i])) words.set('tilts', tilts.join('_'));
  if (s.scene !== was.scene) words.set('scene', s.scene);
  if (numbersIn(s.circuits) !== numbersIn(circuitsOf(rig, s.scene))) words.set('on', numbersIn(s.circuits));
  for (const key of ['thing', 'air', 'units', 'ahead', 'surface']) {
    if (s[key] !== was[key]) words.set(key, s[key]);
  }
  if (words.size > 0) words.set('rig', rig.digest);
  return words.toString();
}

// fromAddress is the setting of an address, and whether it was made by a page of another rig. What
// it does not say, or says in a way that does not fit, is as in the rig.
function fromAddress(rig, address) {
  const s = asInRig(rig), words = new URLSearchParams(address.replace(/^#/, ''));
  const number = (text, count, otherwise) => /^\d{1,4}$/.test(text ?? '') && Number(text) < count ? Number(text) : otherwise;
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
  list.forEach((x, i) => { if (Math.abs(x - v) < Math.abs(list[best] - v)) best = i; });
  return best;
}

// linesOf is what in the rig file, or on the command line, is other than the rig has it.
function linesOf(rig, s) {
  const moved = rig.controls.map((c, i) => ({ ...c, tilt: c.tilts[s.tilts[i]] })).filter((c, i) => s.tilts[i] !== c.present);
  if (moved.length === 0) return '';
  const base = rig.base ? `base = ${rig.base}\n` : '';
  return base + moved.map((c) => `\n[[lamp]]\nname = ${c.quoted}\ntilt = "${c.tilt} deg"\n`).join('');
}
