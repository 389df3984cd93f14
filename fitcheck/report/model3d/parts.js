// The list of parts: shown or not, faded or not, chosen; and what was found about the chosen one.

const rowOf = new Map();
const told = new Map(DATA.told.map((one) => [one.number, one]));
const aboutPart = new Map(DATA.parts.map((_, part) => [part, []]));
const GRAVEST = ['not met', 'cannot tell', 'under concession', 'not checked', 'met'];
const byName = new Map(DATA.parts.map((part, number) => [part.name, number]));
const found = section.querySelector('.m3-found');

DATA.told.forEach((one) => one.parts.forEach((part) => aboutPart.get(part).push(one)));
aboutPart.forEach((list) => list.sort((a, b) => GRAVEST.indexOf(a.word) - GRAVEST.indexOf(b.word)));

function element(kind, attributes = {}, ...inside) {
  const node = document.createElement(kind);
  Object.entries(attributes).forEach(([name, value]) => node.setAttribute(name, value));
  node.append(...inside);
  return node;
}

function say(words) {
  section.querySelector('.m3-told').textContent = words;
}

function signed(sign, word) {
  const mood = word.replace(/ /g, '-');
  const mark = element('span', { class: `m3-sign m3-${mood}`, 'aria-hidden': 'true' }, sign);
  return [mark, element('span', { class: 'm3-word-of' }, word)];
}

function fillList() {
  const list = section.querySelector('.m3-parts ul');
  DATA.parts.forEach((part, number) => {
    const tick = element('input', { type: 'checkbox', 'aria-label': `show ${part.name}` });
    const name = element('button', { type: 'button', class: 'm3-name' }, part.name);
    const fade = element('button', { type: 'button', class: 'm3-fade', 'aria-label': `fade ${part.name}` }, 'fade');
    const line = element('span', { class: `m3-type m3-type-${part.change}`, title: part.change });
    line.append(element('span', { class: 'm3-hear' }, part.change));
    const sign = element('div', {});
    const who = element('div', { class: 'm3-who' }, name, sign);
    const row = element('li', {}, tick, line, who, fade);
    tick.addEventListener('change', () => setFlag(state.hidden, number, !tick.checked));
    fade.addEventListener('click', () => setFlag(state.faded, number, !state.faded.has(number)));
    name.addEventListener('click', () => choose(number, true));
    list.append(row);
    rowOf.set(number, { row, tick, name, fade, sign });
  });
  section.querySelector('.m3-filter').addEventListener('input', sift);
  section.querySelectorAll('[data-all]').forEach((button) => button.addEventListener('click', () => setAll(button.dataset.all)));
}

// The worst that was found about each part in the build that is shown.
function signParts() {
  rowOf.forEach(({ sign }, part) => {
    const worst = aboutPart.get(part).find(isOfThisBuild);
    const says = worst && worst.word !== 'met' ? signed(worst.sign, worst.word) : [];
    sign.replaceChildren(...says);
    sign.hidden = !says.length;
  });
}

function setFlag(flags, part, on) {
  if (on) flags.add(part);
  else flags.delete(part);
  state.spot = null;
  refresh();
}

// Show, fade or hide all parts that the filter leaves in the list.
function setAll(what) {
  rowOf.forEach(({ row }, part) => {
    if (row.hidden) return;
    (what === 'hide' ? state.hidden.add : state.hidden.delete).call(state.hidden, part);
    if (what !== 'hide') (what === 'fade' ? state.faded.add : state.faded.delete).call(state.faded, part);
  });
  state.spot = null;
  refresh();
}

function sift() {
  const wanted = section.querySelector('.m3-filter').value.trim().toLowerCase();
  const here = new Set(shownGroup().pieces.map((piece) => piece.part));
  rowOf.forEach(({ row }, part) => {
    const words = `${DATA.parts[part].name} ${DATA.parts[part].role} ${DATA.parts[part].change}`.toLowerCase();
    row.hidden = !here.has(part) || !words.includes(wanted);
  });
}

function refresh() {
  rowOf.forEach(({ row, tick, name, fade }, part) => {
    tick.checked = !state.hidden.has(part);
    fade.setAttribute('aria-pressed', state.faded.has(part));
    name.setAttribute('aria-pressed', state.chosen === part);
    row.classList.toggle('m3-chosen', state.chosen === part);
  });
  sift();
  section.querySelector('.m3-close').hidden = mark.points === null;
  dressAll();
}

// A part chosen here or in the picture is told to the rest of the page.
function choose(part, tells) {
  state.chosen = part;
  state.spot = null;
  mark.points = null;
  showFound(part);
  listLegs();
  refresh();
  if (part === null) {
    say('');
    return;
  }
  const { name, role, change } = DATA.parts[part];
  say(`${name}: ${role}, ${change}`);
  bringIntoList(rowOf.get(part).row);
  if (tells) document.dispatchEvent(new CustomEvent('fitcheck:part', { detail: name }));
}

// Scrolls the list alone: the page stays where the reader left it.
function bringIntoList(row) {
  const list = row.parentElement;
  const [top, bottom] = [row.offsetTop, row.offsetTop + row.offsetHeight];
  if (top < list.scrollTop) list.scrollTop = top;
  else if (bottom > list.scrollTop + list.clientHeight) list.scrollTop = bottom - list.clientHeight;
}

const MOST_FOUND = 100;
let foundAbout = null;

// Whether a finding speaks of what is shown; the difference shows the build that goes and the one that comes.
function isOfThisBuild(one) {
  const keys = state.build === 'difference' ? ['original', afterwards] : [state.build];
  return one.builds.some((key) => keys.includes(key));
}

function showFound(part) {
  foundAbout = part;
  found.replaceChildren();
  if (part === null) return;
  const list = aboutPart.get(part).filter(isOfThisBuild);
  const { title: build } = builds.get(state.build) || {};
  const of = !build ? '' : state.build === 'solved' ? ` with the ${build}` : ` in the ${build} build`;
  const closer = element('button', { type: 'button' }, 'come nearer');
  closer.addEventListener('click', () => flyToPart(part));
  const title = element('h3', {}, `Found about ${DATA.parts[part].name}${of}`);
  found.append(element('div', { class: 'm3-found-head' }, title, closer));
  if (!list.length) found.append(element('p', {}, 'Nothing was asked about this part here, alone or with another.'));
  const open = list.filter((one) => one.word !== 'met');
  const met = list.filter((one) => one.word === 'met');
  found.append(listed(open));
  if (met.length) found.append(element('details', {}, element('summary', {}, `${met.length} met`), listed(met)));
}

// In another build the list is another, and a part that is not in it is not spoken of.
function followBuild() {
  const isHere = (part) => shownGroup().pieces.some((piece) => piece.part === part);
  if (state.chosen !== null && !isHere(state.chosen)) {
    state.chosen = null;
    say('');
  } else if (state.chosen === null) say('');
  showFound(foundAbout !== null && isHere(foundAbout) ? foundAbout : null);
}

// The legs of the shown path under the picture, and which line is which.
function listLegs() {
  const legs = mark.points ? mark.legs : [];
  const list = section.querySelector('.m3-legs');
  list.hidden = !legs.length;
  list.replaceChildren(...legs.map((leg) => element('li', {}, leg.words)));
  section.querySelectorAll('.m3-key [data-line]').forEach((item) => {
    item.hidden = !legs.some((leg) => leg.line === item.dataset.line);
  });
}

function listed(list) {
  const items = element('ul');
  list.slice(0, MOST_FOUND).forEach((one) => {
    const button = element('button', { type: 'button' }, ...signed(one.sign, one.word), element('span', {}, one.text));
    button.disabled = !one.points;
    button.addEventListener('click', () => flyToFinding(one.number));
    items.append(element('li', {}, button));
  });
  if (list.length > MOST_FOUND) items.append(element('li', {}, `and ${list.length - MOST_FOUND} more`));
  return items;
}
