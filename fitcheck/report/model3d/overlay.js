// What is drawn over the picture and never hidden by a part: the line of a finding, names, the directions of the vehicle.

const over = section.querySelector('.m3-over');
const SVG = 'http://www.w3.org/2000/svg';
// The finding that is shown: its points, its way, what is written beside them, and the parts that bear their names.
const mark = { points: null, way: [], legs: [], words: '', straight: '', named: [] };

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
  startWriting();
  drawDirections();
  if (mark.points) {
    drawSpot();
    drawMark();
  } else if (state.chosen !== null) drawName();
  drawNames();
}

// Where all of it is seen small: its frame, and a ring about the place.
function drawSpot() {
  const [wide, high] = whereabouts();
  const [start, end] = mark.points;
  const at = onPicture(start.map((value, axis) => (value + end[axis]) / 2), overview, [wide, high]);
  put('rect', { x: 0, y: 0, width: wide, height: high, class: 'm3-where' });
  if (at) put('circle', { cx: at[0], cy: at[1], r: 7, class: 'm3-spot' });
}

const laid = (corners) => corners.map((point) => point.map((value) => value.toFixed(1)).join(',')).join(' ');

// The line between the two points; where a path bends, the path leg by leg, and the straight line dashed with a figure
// of its own.
function drawMark() {
  const corners = mark.legs.length ? [mark.legs[0].ends[0], ...mark.legs.map((leg) => leg.ends[1])] : mark.way;
  const bends = corners.length > 2;
  const seen = (bends ? corners : mark.points).map((point) => onPicture(point));
  if (seen.some((point) => point === null)) return;
  const [first, last] = [seen[0], seen[seen.length - 1]];
  if (bends && mark.straight) put('polyline', { points: laid([first, last]), class: 'm3-straight' });
  put('polyline', { points: laid(seen), class: 'm3-line-under' });
  if (mark.legs.length) {
    mark.legs.forEach((leg, at) => put('polyline', { points: laid(seen.slice(at, at + 2)), class: `m3-line m3-leg m3-${leg.line}` }));
    seen.slice(1, -1).forEach(([x, y]) => put('circle', { cx: x, cy: y, r: 2, class: 'm3-end' }));
  } else put('polyline', { points: laid(seen), class: 'm3-line' });
  [first, last].forEach(([x, y]) => put('circle', { cx: x, cy: y, r: 3.5, class: 'm3-end' }));
  seen.slice(1).forEach((end, at) => keepClear(seen[at], end));
  const middle = first.map((value, at) => (value + last[at]) / 2);
  write([middle[0], Math.min(...seen.map(([, y]) => y)) - 20], mark.words, 'm3-label');
  mark.legs.forEach((leg, at) => write(half(seen[at], seen[at + 1]), leg.figure, 'm3-figure'));
  if (bends) write([middle[0], Math.max(...seen.map(([, y]) => y)) + 22], mark.straight, 'm3-figure');
}

const half = (one, other) => one.map((value, at) => (value + other[at]) / 2);

function drawName() {
  const piece = shownGroup().pieces.find((one) => one.part === state.chosen && one.isShown);
  if (!piece) return;
  const at = onPicture(piece.world.getCenter(new THREE.Vector3()).toArray());
  if (at) write(at, DATA.parts[state.chosen].name, 'm3-label');
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
    const close = taken.filter((other) => Math.hypot(other.x - seen.x / flat, other.y - seen.y / flat) < 0.5);
    const reach = Math.max(12 + 26 * flat, ...close.map((other) => other.reach + (Math.abs(seen.y) > Math.abs(seen.x) ? 13 : 34)));
    taken.push({ x: seen.x / flat, y: seen.y / flat, reach });
    const at = { x: left + (seen.x / flat) * reach, y: bottom + 4 - (seen.y / flat) * reach };
    put('text', { ...at, class: 'm3-word', 'text-anchor': 'middle' }, word);
  });
}
