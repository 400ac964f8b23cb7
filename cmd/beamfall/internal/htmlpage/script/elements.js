// Elements of the document. What a rig says only ever becomes a text of one, never markup.

const byId = (id) => document.getElementById(id);

// make is a new element with properties, attributes under attrs, and children.
function make(tag, { attrs = {}, ...properties } = {}, ...children) {
  const e = Object.assign(document.createElement(tag), properties);
  for (const [name, value] of Object.entries(attrs)) e.setAttribute(name, value);
  e.append(...children);
  return e;
}

// button is one that does something.
function button(text, properties, does) {
  const e = make('button', { type: 'button', textContent: text, ...properties });
  e.addEventListener('click', does);
  return e;
}

// option is a radio button or a checkbox with its label.
function option(text, properties, changed) {
  const input = make('input', properties);
  input.addEventListener('change', () => changed(input));
  const label = make('label', { htmlFor: input.id, textContent: text });
  return make('span', { className: 'option' }, input, label);
}

// put sets a text, but does not touch what has it already: screen readers hear of every touch.
function put(e, text) {
  if (e.textContent !== text) e.textContent = text;
}

// fillTable makes a table of rows {cells, kind} under heads. right is by column whether it is of
// figures.
function fillTable(table, heads, rows, right) {
  const wanted = JSON.stringify([heads, rows]);
  if (table.filled === wanted) return;
  table.filled = wanted;
  const row = (kind, tag, texts, more) => {
    const cell = (text, k) => make(tag, { textContent: text, className: right[k] ? 'figure' : '', ...more });
    return make('tr', { className: kind }, ...texts.map(cell));
  };
  const body = rows.map(({ cells, kind }) => row(kind, 'td', cells));
  table.replaceChildren(make('thead', {}, row('', 'th', heads, { scope: 'col' })), make('tbody', {}, ...body));
}
