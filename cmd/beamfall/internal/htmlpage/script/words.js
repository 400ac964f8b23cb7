// Lengths, speeds and light in words, as render/units has them.

const METRIC = 0;
const IMPERIAL = 1;
const FOOT = 0.3048; // m, exact, as the mile: NIST SP 811, appendix B
const MILE = 1609.344;
const NOTHING = '\u2013'; // for a value that does not exist

function fixed(v, decimals) {
  const text = v.toFixed(decimals);
  return /[1-9]/.test(text) ? text : text.replace('-', '');
}

// distance is a distance on the ground as one number with its unit: "5.2 m", "17.1 ft".
function distance(m, system) {
  if (!Number.isFinite(m)) return NOTHING;
  if (system === IMPERIAL) {
    const feet = m / FOOT;
    if (Math.abs(feet) < 19.95) return fixed(feet, 1) + ' ft';
    return Math.abs(m) < 5 * MILE ? fixed(feet, 0) + ' ft' : fixed(m / MILE, 1) + ' mi';
  }
  return fixed(m, Math.abs(m) < 99.95 ? 1 : 0) + ' m';
}

// stretch is from one distance to another, the unit said once.
function stretch(from, to, system) {
  const a = distance(from, system);
  const b = distance(to, system);
  const unit = a.slice(a.lastIndexOf(' '));
  return (b.endsWith(unit) ? a.slice(0, -unit.length) : a) + ' \u2013 ' + b;
}

function speed(v, system) {
  if (!Number.isFinite(v)) return NOTHING;
  return system === IMPERIAL ? fixed((v * 3600) / MILE, 0) + ' mph' : fixed(v * 3.6, 0) + ' km/h';
}

// metered is an illuminance with as many digits as a light meter has: "0.25 lx", "10.1 lx", "1240
// lx".
function metered(lux) {
  const decimals = lux >= 99.95 ? 0 : lux >= 9.995 ? 1 : 2;
  return (lux >= 0.005 ? fixed(lux, decimals) : '0') + ' lx';
}

// degrees is an angle as a tilt meter shows it, but with what a step of the rig has beyond: "5.0°",
// "4.25°".
function degrees(deg) {
  const hundredths = Math.round(deg * 100);
  return fixed(deg, hundredths % 10 === 0 ? 1 : 2) + '\u00b0';
}

// tilted is a tilt in words.
function tilted(deg) {
  if (Math.abs(deg) < 0.005) return 'level';
  return degrees(Math.abs(deg)) + (deg > 0 ? ' down' : ' up');
}

// chosen is a distance that someone chose, without decimals that it does not have: "30 m", "164
// ft".
function chosen(m, system) {
  const v = Number((system === IMPERIAL ? m / FOOT : m).toFixed(2));
  return system === IMPERIAL ? `${v >= 19.95 ? Math.round(v) : v} ft` : `${v} m`;
}

// twoDigits is a number that is not negative to two digits, or to whole ones: "0.25", "9.9",
// "1240".
function twoDigits(v) {
  if (v >= 9.95) return fixed(v, 0);
  return v >= 0.01 || v === 0 ? String(Number(v.toPrecision(2))) : 'under 0.01';
}
