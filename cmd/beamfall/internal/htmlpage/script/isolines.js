// Lines of one level through a field, by marching squares.

// isolines are, for each of some rising levels, the lines of that level through values v[i·ny + j]
// at (x[i], y[j]), straight between the edges of cells, each as a list of points. Cells are looked
// at by marching squares.
function isolines(x, y, v, levels) {
  const nx = x.length;
  const ny = y.length;
  const bands = new Uint8Array(v.length); // how many of the levels a value has reached
  for (let n = 0; n < v.length; n++) {
    let band = 0;
    while (band < levels.length && v[n] >= levels[band]) band++;
    bands[n] = band;
  }
  const lines = levels.map((level) => new Isoline(x, y, v, level));
  for (let i = 0; i + 1 < nx; i++) {
    for (let j = 0, n = i * ny; j + 1 < ny; j++, n++) {
      const a = bands[n];
      const b = bands[n + ny];
      const c = bands[n + ny + 1];
      const d = bands[n + 1];
      if (a === b && b === c && c === d) continue;
      const most = Math.max(a, b, c, d);
      for (let k = Math.min(a, b, c, d); k < most; k++) {
        lines[k].cell(i, j, (a > k ? 1 : 0) + (b > k ? 2 : 0) + (c > k ? 4 : 0) + (d > k ? 8 : 0));
      }
    }
  }
  return lines.map((line) => line.joined());
}

// Isoline gathers one level's way through cells. An edge of the grid is called by the number of its
// first point, twice that where it goes ahead, one more where it goes left; what meets at an edge
// is one line.
class Isoline {
  constructor(x, y, v, level) {
    Object.assign(this, { x, y, v, level, next: new Map() });
  }

  // cell takes a cell of which those corners are above the level that kind says: 1 its first, then
  // around it by ahead, by ahead and left, by left.
  cell(i, j, kind) {
    const n = i * this.y.length + j;
    const near = 2 * n;
    const right = near + 1;
    const far = 2 * (n + 1);
    const left = 2 * (n + this.y.length) + 1;
    switch (kind) {
      case 1:
      case 14:
        return this.join(near, right);
      case 2:
      case 13:
        return this.join(near, left);
      case 4:
      case 11:
        return this.join(left, far);
      case 8:
      case 7:
        return this.join(right, far);
      case 3:
      case 12:
        return this.join(right, left);
      case 6:
      case 9:
        return this.join(near, far);
    }
    // A saddle goes by what is in the middle.
    const { v, y } = this;
    const middle = (v[n] + v[n + 1] + v[n + y.length] + v[n + y.length + 1]) / 4 >= this.level;
    if (middle === (kind === 5)) {
      this.join(near, left);
      this.join(right, far);
    } else {
      this.join(near, right);
      this.join(left, far);
    }
  }

  join(a, b) {
    for (const [from, to] of [
      [a, b],
      [b, a],
    ]) {
      const ends = this.next.get(from);
      if (ends) ends.push(to);
      else this.next.set(from, [to]);
    }
  }

  // point is where the level crosses an edge.
  point(edge) {
    const { x, y, v } = this;
    const n = edge >> 1;
    const i = Math.floor(n / y.length);
    const j = n % y.length;
    const ahead = edge % 2 === 0;
    const b = v[ahead ? n + y.length : n + 1];
    const t = (this.level - v[n]) / (b - v[n]);
    return ahead ? [x[i] + t * (x[i + 1] - x[i]), y[j]] : [x[i], y[j] + t * (y[j + 1] - y[j])];
  }

  joined() {
    const lines = [];
    const follow = (start) => {
      const line = [this.point(start)];
      for (let at = start; ;) {
        const to = this.next.get(at).pop();
        if (to === undefined) break;
        const back = this.next.get(to);
        back.splice(back.indexOf(at), 1);
        line.push(this.point(to));
        at = to;
      }
      lines.push(line);
    };
    for (const [edge, ends] of this.next) if (ends.length === 1) follow(edge); // open lines, from one of their ends
    for (const [edge, ends] of this.next) if (ends.length > 1) follow(edge); // what is left is closed
    return lines;
  }
}
