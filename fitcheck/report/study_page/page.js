(function () {
'use strict';
// The page stands without this script; it adds sorting, filters, and the way between findings and the 3D view.

const table = document.querySelector('table.findings');
const STEP = Number((table && table.dataset.helping) || 0);

function make(kind, words, act) {
  const node = document.createElement(kind);
  node.textContent = words;
  if (kind === 'button') node.type = 'button';
  if (act) node.addEventListener('click', act);
  return node;
}

// ---- the list of findings

const body = table && table.tBodies[0];
const rows = body ? [...body.rows].map((line, at) => ({
  line,
  at,
  names: line.dataset.parts.toLowerCase(),
  data: line.dataset,
})) : [];
const filters = document.querySelector('form.filters');
const shown = document.getElementById('shown');
const further = document.getElementById('further');
let order = rows;
let most = STEP;

function wanted() {
  const given = new FormData(filters);
  const name = (given.get('part') || '').trim().toLowerCase();
  const statuses = new Set(given.getAll('status'));
  const [check, layout] = [given.get('check'), given.get('layout')];
  return (row) =>
    statuses.has(row.data.key) &&
    (given.get('free') || row.data.free === undefined) &&
    (!check || row.data.check === check) &&
    (!layout || !row.data.layout || row.data.layout.includes(layout)) &&
    (!name || row.names.includes(name));
}

// Every row that passes the filters, as many of them as are asked for.
function fill() {
  const passed = order.filter(wanted());
  const open = new Set(passed.slice(0, most));
  rows.forEach((row) => (row.line.hidden = !open.has(row)));
  const cut = passed.length > open.size ? `, the first ${open.size} shown` : '';
  shown.textContent = `${passed.length} of ${rows.length} rows${cut}`;
  further.hidden = passed.length <= open.size;
  further.textContent = `Show ${Math.min(STEP, passed.length - open.size)} more`;
}

const NUMBERS = new Set(['rank', 'found', 'required', 'left']);

function compared(key, way) {
  return (one, other) => {
    const [a, b] = [one.data[key], other.data[key]];
    // What has no figure stands last, whichever way the rest is sorted.
    if (a === undefined || b === undefined) return (a === undefined) - (b === undefined) || one.at - other.at;
    const order = NUMBERS.has(key) ? Number(a) - Number(b) : a.localeCompare(b, 'en', { numeric: true });
    return way * order || one.at - other.at;
  };
}

function sortBy(head) {
  const way = head.getAttribute('aria-sort') === 'ascending' ? -1 : 1;
  table.querySelectorAll('th[aria-sort]').forEach((each) => each.removeAttribute('aria-sort'));
  head.setAttribute('aria-sort', way > 0 ? 'ascending' : 'descending');
  order = [...rows].sort(compared(head.dataset.sort, way));
  body.append(...order.map((row) => row.line));
  fill();
}

function startTable() {
  rows.forEach((row) => row.line.classList.remove('later'));
  table.querySelectorAll('th[data-sort]').forEach((head) => {
    const button = make('button', head.textContent, () => sortBy(head));
    head.replaceChildren(button);
  });
  filters.addEventListener('input', () => { most = STEP; fill(); });
  filters.addEventListener('submit', (event) => event.preventDefault());
  filters.addEventListener('reset', () => setTimeout(() => { most = STEP; fill(); }));
  further.addEventListener('click', () => { most += STEP; fill(); });
  rows.forEach((row) => { if (row.line.querySelector('.fly')) row.line.dataset.flies = ''; });
  body.addEventListener('click', (event) => {
    const line = event.target.closest('tr');
    if (!line || event.target.closest('a, button, summary, details') || String(window.getSelection())) return;
    const button = line.querySelector('.fly');
    if (button) fly(button);
  });
  fill();
}

// A row that a link points to may be filtered out or not shown yet.
function uncover(id) {
  const line = id && document.getElementById(id);
  if (!line) return;
  line.querySelector('details').open = true;
  if (line.hidden) {
    filters.reset();
    setTimeout(() => {
      if (filters.elements.free) filters.elements.free.checked = true;
      most = rows.length;
      fill();
      line.scrollIntoView({ block: 'center' });
    });
  }
}

function listPart(name) {
  filters.reset();
  setTimeout(() => {
    filters.elements.part.value = name;
    most = STEP;
    fill();
    go(document.getElementById('findings'), 'start');
    filters.elements.part.focus({ preventScroll: true });
  });
}

// ---- to the 3D view and back

const calm = window.matchMedia('(prefers-reduced-motion: reduce)');

function go(where, block) {
  if (where) where.scrollIntoView({ behavior: calm.matches ? 'auto' : 'smooth', block });
}

// What was just shown, and the way back, under the picture: it lies over nothing, and goes when it has been left behind.
// The words stand in a place that is always there, so that they are read out when they change.
const model = document.getElementById('model');
const bar = make('div', '');
const heard = make('span', '');
const acts = make('span', '');
// Whether the 3D section is on the screen, and whether it has been since something was shown.
let inView = false;
let reached = false;

function startBar() {
  bar.className = 'back';
  heard.setAttribute('role', 'status');
  bar.append(heard, acts);
  const told = model.querySelector('.m3-told');
  if (model.dataset.state === 'on') told.before(bar);
  else model.append(bar);
  new IntersectionObserver(([entry]) => {
    inView = entry.isIntersecting;
    if (inView) reached = heard.textContent !== '';
    else if (reached && !bar.contains(document.activeElement)) withdraw();
  }).observe(model);
}

function offer(words, ...buttons) {
  heard.textContent = words;
  reached = inView;
  acts.replaceChildren(...buttons, make('button', 'Close', () => {
    withdraw();
    picture().focus({ preventScroll: true });
  }));
}

// What takes the keys while something is shown: the picture, or where it would be.
function picture() {
  if (model.dataset.state === 'on') return model.querySelector('canvas');
  const title = model.querySelector('h2');
  title.tabIndex = -1;
  return title;
}

function withdraw() {
  heard.textContent = '';
  acts.replaceChildren();
}

function fly(button) {
  const index = Number(button.dataset.finding);
  const line = document.getElementById(`f${index}`);
  document.querySelectorAll('.findings tr[aria-current]').forEach((each) => each.removeAttribute('aria-current'));
  if (line) line.setAttribute('aria-current', 'true');
  document.dispatchEvent(new CustomEvent('fitcheck:finding', { detail: index }));
  go(model, 'start');
  picture().focus({ preventScroll: true });
  const words = button.getAttribute('aria-label').replace(/^[^:]*: /, '');
  offer(`Shown in 3D: ${words}`, make('button', 'Back to where I was', () => {
    go(button, 'center');
    button.focus({ preventScroll: true });
    withdraw();
  }));
}

document.addEventListener('click', (event) => {
  const flies = event.target.closest('button.fly');
  if (flies) fly(flies);
  const lists = event.target.closest('button.of-part');
  if (lists && table) listPart(lists.dataset.part);
  const link = event.target.closest('a[href^="#f"]');
  if (link && table) uncover(link.getAttribute('href').slice(1));
  const rule = event.target.closest('a[href^="#rule-"]');
  if (rule) document.querySelector(rule.getAttribute('href')).closest('details').open = true;
});

document.addEventListener('keydown', (event) => {
  const open = event.key === 'Escape' && event.target.closest('.more details[open]');
  if (!open) return;
  open.open = false;
  open.querySelector('summary').focus();
});

// A part clicked in the 3D view: the view lists what was found about it, the table can show the same.
document.addEventListener('fitcheck:part', (event) => {
  const name = event.detail;
  if (name === null || name === undefined || !table) return;
  const count = rows.filter((row) => row.data.parts.split('\n').includes(name)).length;
  if (!count) return;
  offer(`${name}: ${count} in the list of findings`, make('button', 'List them', () => listPart(name)));
});

// ---- which part of the page is read, and printing

const links = new Map([...document.querySelectorAll('nav a')].map((link) => [link.hash.slice(1), link]));

let read = null;

function mark() {
  let current = null;
  links.forEach((link, id) => {
    const section = document.getElementById(id);
    if (section && section.getBoundingClientRect().top < window.innerHeight / 3) current = link;
  });
  links.forEach((link) => (link === current ? link.setAttribute('aria-current', 'true') : link.removeAttribute('aria-current')));
  if (current && current !== read) current.closest('ol').scrollLeft = current.offsetLeft - 60;
  read = current;
}

let waiting = false;
window.addEventListener('scroll', () => {
  if (waiting) return;
  waiting = true;
  requestAnimationFrame(() => { waiting = false; mark(); });
}, { passive: true });

// What is wider than the page says that it slides.
const wide = [...document.querySelectorAll('.wide, .pan')];
const widths = new ResizeObserver(() => wide.forEach((each) => {
  each.classList.toggle('slides', each.scrollWidth > each.clientWidth + 1);
}));
wide.forEach((each) => widths.observe(each));

let opened = [];
window.addEventListener('beforeprint', () => {
  opened = [...document.querySelectorAll('details.openprint:not([open])')];
  opened.forEach((each) => (each.open = true));
});
window.addEventListener('afterprint', () => opened.forEach((each) => (each.open = false)));

startBar();
if (table) startTable();
if (table && location.hash.startsWith('#f')) uncover(location.hash.slice(1));
mark();
})();
