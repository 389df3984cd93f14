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

// Flies to where both points are seen. The parts they belong to are kept, in the colours of the finding's section, with
// those that its path runs over; the rest is faded, and nothing is cut away.
function fly(points, names = []) {
  const parts = names.map((name) => byName.get(name)).filter((part) => part !== undefined);
  show({ points, parts, over: [], way: [], legs: [], value: '', straight: '', eye: null });
}

function show({ points, parts, over: further, way, legs, value, straight, eye }) {
  const ends = points.map((point) => new THREE.Vector3(...point));
  const corners = [...way, ...legs.flatMap((leg) => leg.ends)].map((point) => new THREE.Vector3(...point));
  const kept = [...parts, ...further];
  canvas.parentElement.scrollIntoView({ block: 'nearest', behavior: still.matches ? 'auto' : 'smooth' });
  setParted(0);
  kept.forEach((part) => state.hidden.delete(part));
  setSteps(DATA.steps.length);
  cutAt(null, where.share);
  state.spot = kept.length ? new Map(kept.map((part, at) => [part, at < parts.length ? TONES[at] || 'rest' : 'rest'])) : null;
  state.chosen = null;
  const across = straight ? `straight across ${straight}` : '';
  Object.assign(mark, { points, way, legs, words: value, straight: across, named: named(points, parts, further, legs) });
  listLegs();
  refresh();
  const box = new THREE.Box3().setFromPoints([...ends, ...corners]);
  const from = seenFrom(eye, ends[1].clone().sub(ends[0]), corners.length > 0);
  flyTo(box.getCenter(new THREE.Vector3()), from, closeUp(box, from, parts));
}

const TONES = ['one', 'two'];

// The names to be written: of the pair, each at its end of the line, and of what the path runs over, at its first leg there.
function named(points, parts, further, legs) {
  const pair = parts.map((part, at) => ({ part, tone: TONES[at] || 'rest', near: points[at] || points[0], away: points[1 - at], point: null }));
  const others = further.map((part) => {
    const leg = legs.find((one) => one.part === part) || { ends: points };
    const near = leg.ends[0].map((value, axis) => (value + leg.ends[1][axis]) / 2);
    return { part, tone: 'rest', near, away: null, point: null };
  });
  return [...pair, ...others];
}

// The side that the finding's section is seen from, a little from above, so that it is known again. A gap is seen square
// to it, at its true length.
function seenFrom(eye, gap, isPath) {
  const from = eye ? new THREE.Vector3(...eye) : CORNER.clone();
  if (eye && from.dot(UP) > 0.9) return UP.clone();
  if (eye) from.addScaledVector(UP, 0.3);
  if (gap.length() > 1e-6 && !isPath) {
    const way = gap.normalize();
    from.addScaledVector(way, -from.dot(way));
    if (from.length() < 0.2) from.copy(UP).addScaledVector(way, -UP.dot(way));
  }
  return from.normalize();
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
  if (one.points) {
    const key = one.builds.includes(state.build) ? state.build : one.builds.find((each) => builds.has(each));
    if (key && (key !== state.build || one.aged !== state.aged)) setBuild(key, one.aged);
    show(one);
  } else if (one.parts.length) choose(one.parts[0], false);
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
    colours: Object.fromEntries(shownGroup().pieces.map((piece) => [DATA.parts[piece.part].name, piece.tint.getHexString()])),
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
