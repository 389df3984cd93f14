// What is drawn over the picture and never hidden by a part: the line of a finding, names, the directions of the vehicle.

const over = section.querySelector('.m3-over');
const SVG = 'http://www.w3.org/2000/svg';
const mark = { points: null, way: [], broken: [], words: '', straight: '' };

function put(kind, attributes, words = '') {
  const node = document.createElementNS(SVG, kind);
  Object.entries(attributes).forEach(([name, value]) => node.setAttribute(name, value));
  if (words) node.textContent = words;
  over.append(node);
  return node;
}

// Where a point of the model lies on the picture; null behind the eye.
function onPicture(point, eye = camera, [wide, high] = [canvasSize.x, canvasSize.y]) {
  const seen = new THREE.Vector3(...point).project(eye);
  if (seen.z > 1) return null;
  return [((seen.x + 1) / 2) * wide, ((1 - seen.y) / 2) * high];
}

function drawOverlay() {
  over.replaceChildren();
  over.setAttribute('viewBox', `0 0 ${canvasSize.x} ${canvasSize.y}`);
  drawDirections();
  if (mark.points) {
    drawSpot();
    drawMark();
  } else if (state.chosen !== null) drawName();
}

// Where all of it is seen small: its frame, and a ring about the place.
function drawSpot() {
  const [wide, high] = whereabouts();
  const [start, end] = mark.points;
  const at = onPicture(start.map((value, axis) => (value + end[axis]) / 2), overview, [wide, high]);
  put('rect', { x: 0, y: 0, width: wide, height: high, class: 'm3-where' });
  if (at) put('circle', { cx: at[0], cy: at[1], r: 7, class: 'm3-spot' });
}

// The line between the two points; where a path bends, the path, and the straight line dashed with a figure of its own.
function drawMark() {
  const bends = mark.way.length > 2;
  const seen = (bends ? mark.way : mark.points).map((point) => onPicture(point));
  if (seen.some((point) => point === null)) return;
  const [first, last] = [seen[0], seen[seen.length - 1]];
  const laid = (corners) => corners.map((point) => point.map((value) => value.toFixed(1)).join(',')).join(' ');
  if (bends) put('polyline', { points: laid([first, last]), class: 'm3-straight' });
  put('polyline', { points: laid(seen), class: 'm3-line-under' });
  put('polyline', { points: laid(seen), class: 'm3-line' });
  const breaks = mark.broken.map((ends) => ends.map((point) => onPicture(point))).filter((ends) => !ends.includes(null));
  breaks.forEach((ends) => put('polyline', { points: laid(ends), class: 'm3-broken' }));
  [first, last].forEach(([x, y]) => put('circle', { cx: x, cy: y, r: 3.5, class: 'm3-end' }));
  const middle = first.map((value, at) => (value + last[at]) / 2);
  if (!bends) {
    label(middle, mark.words);
    return;
  }
  label([middle[0], Math.min(...seen.map(([, y]) => y))], mark.words);
  label([middle[0], Math.max(...seen.map(([, y]) => y)) + 36], mark.straight);
}

function drawName() {
  const piece = shownGroup().pieces.find((one) => one.part === state.chosen && one.isShown);
  if (!piece) return;
  const at = onPicture(piece.world.getCenter(new THREE.Vector3()).toArray());
  if (at) label(at, DATA.parts[state.chosen].name);
}

function label([x, y], words) {
  if (!words) return;
  const text = put('text', { class: 'm3-label', 'text-anchor': 'middle' }, words);
  const half = Math.min(text.getBBox().width / 2 + 6, canvasSize.x / 2);
  text.setAttribute('x', Math.min(Math.max(x, half), canvasSize.x - half));
  text.setAttribute('y', Math.min(Math.max(y - 14, 20), canvasSize.y - 8));
}

const WORDS = [
  [UP, 'up'],
  [RIGHT, 'right'],
  [REAR, 'rear'],
];

function drawDirections() {
  const turned = camera.matrixWorldInverse;
  const [left, bottom] = [58, canvasSize.y - 42];
  const taken = [];
  WORDS.forEach(([way, word]) => {
    const seen = way.clone().transformDirection(turned);
    put('line', { x1: left, y1: bottom, x2: left + seen.x * 26, y2: bottom - seen.y * 26, class: 'm3-way' });
    const flat = Math.hypot(seen.x, seen.y);
    if (flat < 0.2) return;
    // Two directions that lie over one another on the picture keep their words apart.
    const close = taken.some((other) => Math.hypot(other.x - seen.x / flat, other.y - seen.y / flat) < 0.5);
    const reach = 12 + 26 * flat + (close ? 12 : 0);
    taken.push({ x: seen.x / flat, y: seen.y / flat });
    const at = { x: left + (seen.x / flat) * reach, y: bottom + 4 - (seen.y / flat) * reach };
    put('text', { ...at, class: 'm3-word', 'text-anchor': 'middle' }, word);
  });
}
