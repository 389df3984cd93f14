// What is drawn over the picture and never hidden by a part: the line of a finding, names, the directions of the vehicle.

const over = section.querySelector('.m3-over');
const SVG = 'http://www.w3.org/2000/svg';
const mark = { points: null, way: [], words: '' };

function put(kind, attributes, words = '') {
  const node = document.createElementNS(SVG, kind);
  Object.entries(attributes).forEach(([name, value]) => node.setAttribute(name, value));
  if (words) node.textContent = words;
  over.append(node);
  return node;
}

// Where a point of the model lies on the picture; null behind the eye.
function onPicture(point) {
  const seen = new THREE.Vector3(...point).project(camera);
  if (seen.z > 1) return null;
  return [((seen.x + 1) / 2) * canvasSize.x, ((1 - seen.y) / 2) * canvasSize.y];
}

function drawOverlay() {
  over.replaceChildren();
  over.setAttribute('viewBox', `0 0 ${canvasSize.x} ${canvasSize.y}`);
  drawDirections();
  if (mark.points) drawMark();
  else if (state.chosen !== null) drawName();
}

function drawMark() {
  const path = mark.way.length > 1 ? mark.way : mark.points;
  const seen = path.map(onPicture);
  if (seen.some((point) => point === null)) return;
  const line = seen.map((point) => point.map((value) => value.toFixed(1)).join(',')).join(' ');
  put('polyline', { points: line, class: 'm3-line-under' });
  put('polyline', { points: line, class: 'm3-line' });
  [seen[0], seen[seen.length - 1]].forEach(([x, y]) => put('circle', { cx: x, cy: y, r: 3.5, class: 'm3-end' }));
  const middle = seen[Math.floor(seen.length / 2)];
  const beside = seen.length === 2 ? seen[0].map((value, at) => (value + seen[1][at]) / 2) : middle;
  label(beside, mark.words);
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
