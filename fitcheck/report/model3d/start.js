// Picking, flights to findings, what the rest of the page may call, and the start.

const ray = new THREE.Raycaster();
let pressed = null;

// The part under a point of the canvas: what is solid before what is seen through, nothing that is cut away.
function partAt(x, y) {
  const at = new THREE.Vector2((x / canvasSize.x) * 2 - 1, 1 - (y / canvasSize.y) * 2);
  ray.setFromCamera(at, camera);
  const surfaces = shownGroup().pieces.filter((piece) => piece.isShown).map((piece) => piece.surface);
  const hits = ray
    .intersectObjects(surfaces)
    .filter((hit) => where.axis === null || cut.distanceToPoint(hit.point) >= 0)
    .map((hit) => hit.object.userData.piece);
  const solid = hits.find((piece) => !piece.isFaded && !piece.isGhost);
  const first = solid || hits[0];
  return first ? first.part : null;
}

function startPicking() {
  canvas.addEventListener('pointerdown', (event) => {
    canvas.focus({ preventScroll: true });
    pressed = [event.clientX, event.clientY];
  });
  canvas.addEventListener('pointerup', (event) => {
    const moved = pressed ? Math.hypot(event.clientX - pressed[0], event.clientY - pressed[1]) : Infinity;
    pressed = null;
    if (moved > 5 || event.button !== 0) return;
    const frame = canvas.getBoundingClientRect();
    const [x, y] = [event.clientX - frame.left, event.clientY - frame.top];
    const [wide, high] = whereabouts();
    if (mark.points && x < wide && y < high) return;
    choose(partAt(x, y), true);
  });
}

// Flies to where both points are seen at their true distance apart, or a path in its full bend. The parts they belong to
// are kept, with those that the path runs over; the rest is faded, and nothing is cut away.
function fly(points, names = [], path = []) {
  const ends = points.map((point) => new THREE.Vector3(...point));
  const corners = path.map((point) => new THREE.Vector3(...point));
  const parts = names.map((name) => byName.get(name)).filter((part) => part !== undefined);
  canvas.parentElement.scrollIntoView({ block: 'nearest', behavior: still.matches ? 'auto' : 'smooth' });
  setParted(0);
  if (parts.some((part) => state.hidden.has(part))) parts.forEach((part) => state.hidden.delete(part));
  setSteps(DATA.steps.length);
  cutAt(null, where.share);
  state.spot = parts.length ? new Set([...parts, ...runOver(corners)]) : null;
  state.chosen = null;
  mark.points = points;
  mark.way = path;
  mark.broken = [];
  mark.words = mark.straight = '';
  refresh();
  const box = new THREE.Box3().setFromPoints([...ends, ...corners]);
  const from = squareTo(corners) || across(ends[1].clone().sub(ends[0]));
  flyTo(box.getCenter(new THREE.Vector3()), from, closeUp(box, from, parts));
}

function across(gap) {
  const from = CORNER.clone();
  if (gap.length() < 1e-6) return from;
  const way = gap.clone().normalize();
  from.addScaledVector(way, -from.dot(way));
  return from.length() > 0.2 ? from : UP.clone().addScaledVector(way, -UP.dot(way));
}

// Where a path that bends is seen broadside, a little from above; null where it is as good as straight.
function squareTo(corners) {
  const normal = new THREE.Vector3();
  for (let at = 1; at + 1 < corners.length; at += 1) {
    normal.add(corners[at].clone().sub(corners[0]).cross(corners[at + 1].clone().sub(corners[0])));
  }
  const reach = new THREE.Box3().setFromPoints(corners).getSize(new THREE.Vector3()).length();
  if (!corners.length || normal.length() < 0.02 * reach * reach) return null;
  normal.normalize().multiplyScalar(normal.dot(CORNER) < 0 ? -1 : 1);
  return normal.addScaledVector(UP, 0.5).addScaledVector(CORNER, 0.15).normalize();
}

// The parts, other than the case, on whose surface the middle of a stretch of the path lies.
function runOver(corners) {
  const middles = corners.slice(1).map((corner, at) => corner.clone().add(corners[at]).multiplyScalar(0.5));
  const solid = shownGroup().pieces.filter((piece) => !piece.isGhost && !DATA.parts[piece.part].see_through);
  return solid.filter((piece) => middles.some((point) => touches(piece, point))).map((piece) => piece.part);
}

const TOUCHING = 0.1;

function touches(piece, point) {
  if (piece.box.distanceToPoint(point) > TOUCHING) return false;
  const { corners, faces } = piece.body;
  const local = point.clone().sub(piece.low);
  const [triangle, nearest] = [new THREE.Triangle(), new THREE.Vector3()];
  for (let face = 0; face < faces.length; face += 3) {
    [triangle.a, triangle.b, triangle.c].forEach((end, at) => end.fromArray(corners, faces[face + at] * 3));
    if (triangle.closestPointToPoint(local, nearest).distanceTo(local) < TOUCHING) return true;
  }
  return false;
}

// So near that the distance shows, and so far that the smaller of the parts is seen about it.
function closeUp(box, from, parts) {
  const length = box.getSize(new THREE.Vector3()).length();
  const boxes = shownGroup().pieces.filter((piece) => parts.includes(piece.part)).map((piece) => piece.box);
  const around = Math.min(...boxes.map((one) => distanceAlong(one, from)), Infinity);
  const most = Math.max(length * 150, unit * 0.3);
  return Math.max(length * 16, Math.min(boxes.length ? around * 1.3 : unit * 0.3, most));
}

function flyToPart(part) {
  const piece = shownGroup().pieces.find((one) => one.part === part);
  if (!piece) return;
  flyTo(piece.world.getCenter(new THREE.Vector3()), CORNER, 1.4 * distanceAlong(piece.world, CORNER));
}

function flyToFinding(number) {
  const one = told.get(number);
  if (!one) return;
  mark.broken = one.broken;
  say(`${one.word}: ${one.text}${one.legend}`);
  if (!one.points) {
    if (one.parts.length) choose(one.parts[0], false);
    return;
  }
  const key = builds.has(one.build) ? one.build : state.build;
  if (key !== state.build || one.aged !== state.aged) setBuild(key, one.aged);
  fly(one.points, one.parts.map((part) => DATA.parts[part].name), one.way);
  mark.words = one.value;
  mark.straight = one.straight ? `straight across ${one.straight}` : '';
  mark.broken = one.broken;
  say(`${one.word}: ${one.text}${one.legend}`);
}

function select(name) {
  choose(name === null || !byName.has(name) ? null : byName.get(name), false);
}

// Where the eye is and what is shown, for the page around it.
function looking() {
  return {
    target: orbit.target.toArray(),
    eye: camera.position.toArray(),
    flying: flight !== null,
    build: state.build,
    step: state.step,
    chosen: state.chosen === null ? null : DATA.parts[state.chosen].name,
    shown: shownGroup().pieces.filter((piece) => piece.isShown).map((piece) => DATA.parts[piece.part].name),
    faded: shownGroup().pieces.filter((piece) => piece.isShown && piece.isFaded).map((piece) => DATA.parts[piece.part].name),
  };
}

// A printer gets a picture: a canvas drawn on demand prints empty.
function printPicture() {
  if (flight) fliesOn(Infinity);
  draw();
  find('.m3-print').style.background = getComputedStyle(canvas.parentElement).backgroundColor;
  find('.m3-print').src = canvas.toDataURL('image/png');
}

function start() {
  try {
    startCamera();
  } catch (error) {
    section.dataset.state = 'off';
    console.info(`No 3D here: ${error.message}`);
    return;
  }
  section.dataset.state = 'on';
  fillList();
  fillControls();
  startPicking();
  setSteps(DATA.steps.length);
  setParted(0);
  cutAt(null, 0.5);
  setBuild(state.build, false);
  fitCanvas();
  lookFrom('corner', false);
  dark.addEventListener('change', () => {
    recolour();
    refresh();
  });
  window.addEventListener('beforeprint', printPicture);
  document.addEventListener('fitcheck:finding', (event) => flyToFinding(event.detail));
  window.fitcheck3d = { fly, select, looking };
}

if (DATA.parts.length) start();
else section.dataset.state = 'empty';
