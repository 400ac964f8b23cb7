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

// fillTable makes a table of rows {cells, kind} under heads. The column lead says what a row is
// about; right is by column whether it is of figures.
function fillTable(table, heads, rows, lead, right) {
  const wanted = JSON.stringify([heads, rows]);
  if (table.filled === wanted) return;
  table.filled = wanted;
  const cell = (text, k, scope) => {
    const properties = { textContent: text, className: right[k] ? 'figure' : '' };
    return scope ? make('th', { ...properties, scope }) : make('td', properties);
  };
  const head = make('tr', {}, ...heads.map((text, k) => cell(text, k, 'col')));
  const body = rows.map(({ cells, kind }) => {
    const row = cells.map((text, k) => cell(text, k, k === lead ? 'row' : ''));
    return make('tr', { className: kind }, ...row);
  });
  table.replaceChildren(make('thead', {}, head), make('tbody', {}, ...body));
}
