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
    choose(partAt(event.clientX - frame.left, event.clientY - frame.top), true);
  });
}

// Flies to where both points are seen at their true distance apart, the parts they belong to kept, the rest faded.
function fly(points, names = []) {
  const [start, end] = points.map((point) => new THREE.Vector3(...point));
  const gap = end.clone().sub(start);
  const parts = names.map((name) => byName.get(name)).filter((part) => part !== undefined);
  canvas.parentElement.scrollIntoView({ block: 'nearest', behavior: still.matches ? 'auto' : 'smooth' });
  setParted(0);
  if (parts.some((part) => state.hidden.has(part))) parts.forEach((part) => state.hidden.delete(part));
  setSteps(DATA.steps.length);
  state.spot = parts.length ? new Set(parts) : null;
  state.chosen = null;
  mark.points = points;
  mark.way = [];
  mark.words = '';
  refresh();
  flyTo(start.clone().add(end).multiplyScalar(0.5), across(gap), closeUp(gap.length()));
}

function across(gap) {
  const from = CORNER.clone();
  if (gap.length() < 1e-6) return from;
  const way = gap.clone().normalize();
  from.addScaledVector(way, -from.dot(way));
  return from.length() > 0.2 ? from : UP.clone().addScaledVector(way, -UP.dot(way));
}

const closeUp = (length) => Math.max(length * 16, unit * 0.3);

function flyToPart(part) {
  const piece = shownGroup().pieces.find((one) => one.part === part);
  if (!piece) return;
  flyTo(piece.world.getCenter(new THREE.Vector3()), CORNER, 1.4 * distanceAlong(piece.world, CORNER));
}

// The path of a finding that is not straight, corner by corner.
function way(points) {
  mark.way = points;
  mark.points = mark.points || [points[0], points[points.length - 1]];
  refresh();
  const box = new THREE.Box3().setFromPoints(points.map((point) => new THREE.Vector3(...point)));
  flyTo(box.getCenter(new THREE.Vector3()), CORNER, Math.max(distanceAlong(box, CORNER) * 1.5, unit * 0.3));
}

function flyToFinding(number) {
  const one = told.get(number);
  if (!one) return;
  say(`${one.word}: ${one.text}`);
  if (!one.points) {
    if (one.parts.length) choose(one.parts[0], false);
    return;
  }
  const key = builds.has(one.build) ? one.build : state.build;
  if (key !== state.build || one.aged !== state.aged) setBuild(key, one.aged);
  fly(one.points, one.parts.map((part) => DATA.parts[part].name));
  mark.words = one.value ? `${one.value} as drawn` : '';
  if (one.way.length > 1) way(one.way);
  say(`${one.word}: ${one.text}`);
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
  window.fitcheck3d = { fly, select, way, looking };
}

if (DATA.parts.length) start();
else section.dataset.state = 'empty';
