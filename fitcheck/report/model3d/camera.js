// The eye: orbit by mouse, touch and keys, flights to a place, and drawing only when something has changed.

const canvas = section.querySelector('canvas');
const camera = new THREE.PerspectiveCamera(18, 1, 1, 1000);
const still = window.matchMedia('(prefers-reduced-motion: reduce)');
const CORNER = REAR.clone().multiplyScalar(-0.75).addScaledVector(RIGHT, -0.55).addScaledVector(UP, 0.75).normalize();
const LOOKS = {
  corner: CORNER,
  above: UP.clone(),
  left: RIGHT.clone().negate(),
  rear: REAR.clone(),
};
let renderer = null;
let orbit = null;
let flight = null;
let asked = false;

function redraw() {
  if (asked || !renderer) return;
  asked = true;
  requestAnimationFrame((now) => {
    asked = false;
    if (flight) fliesOn(now);
    draw();
  });
}

function draw() {
  renderer.render(scene, camera);
  if (mark.points) drawWhereabouts();
  drawOverlay();
}

// In a corner all parts from the same side, so that a place seen from near is known again.
const overview = new THREE.PerspectiveCamera(18, 1, 1, 1000);

function drawWhereabouts() {
  const [wide, high] = whereabouts();
  const from = camera.position.clone().sub(orbit.target).normalize();
  const box = shownBox();
  box.getCenter(overview.position).addScaledVector(from, 1.06 * distanceAlong(box, from));
  Object.assign(overview, { near: camera.near, far: camera.far, aspect: wide / high });
  overview.quaternion.copy(camera.quaternion);
  overview.updateProjectionMatrix();
  overview.updateMatrixWorld();
  renderer.setScissorTest(true);
  renderer.setScissor(0, canvasSize.y - high, wide, high);
  renderer.setViewport(0, canvasSize.y - high, wide, high);
  renderer.render(scene, overview);
  renderer.setScissorTest(false);
  renderer.setViewport(0, 0, canvasSize.x, canvasSize.y);
}

// Its width and height: the upper left corner of the picture.
const whereabouts = () => [canvasSize.x * 0.27, canvasSize.y * 0.27];

function startCamera() {
  renderer = new THREE.WebGLRenderer({ canvas, antialias: true, alpha: true, stencil: true });
  renderer.localClippingEnabled = true;
  renderer.setClearColor(0x000000, 0);
  camera.up.copy(UP);
  camera.add(new THREE.DirectionalLight(0xffffff, 0.36));
  camera.children[0].position.set(-0.6, 0.8, 1);
  scene.add(camera, new THREE.HemisphereLight(0xffffff, 0xb9b4aa, 0.68));
  scene.children[scene.children.length - 1].position.copy(UP);
  orbit = new THREE.OrbitControls(camera, canvas);
  orbit.enableZoom = false;
  orbit.addEventListener('change', redraw);
  orbit.addEventListener('start', () => (flight = null));
  // The wheel turns the page until the view has been clicked or tabbed to.
  canvas.addEventListener('focus', () => (orbit.enableZoom = true));
  canvas.addEventListener('blur', () => (orbit.enableZoom = false));
  canvas.addEventListener('keydown', byKey);
  canvas.addEventListener('webglcontextrestored', redraw);
  new ResizeObserver(fitCanvas).observe(canvas.parentElement);
  const box = boxOf(shownGroup().pieces);
  unit = box.getSize(new THREE.Vector3()).length() || 1;
  camera.near = unit / 400;
  camera.far = unit * 30;
  fitCanvas();
  lookFrom('corner', false);
}

function fitCanvas() {
  const { clientWidth: wide, clientHeight: high } = canvas.parentElement;
  if (!wide || !high) return;
  renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
  renderer.setSize(wide, high, false);
  canvasSize.set(wide, high);
  camera.aspect = wide / high;
  camera.updateProjectionMatrix();
  redraw();
}

// Distance from which a box is just seen whole, looked at along a way.
function distanceAlong(box, from) {
  const view = new THREE.Matrix4().lookAt(from, new THREE.Vector3(), Math.abs(from.dot(UP)) > 0.99 ? RIGHT : UP);
  const [level, upright, toward] = [0, 1, 2].map((axis) => new THREE.Vector3().setFromMatrixColumn(view, axis));
  const half = Math.tan(THREE.MathUtils.degToRad(camera.fov / 2));
  const reach = box.getSize(new THREE.Vector3()).multiplyScalar(0.5);
  const distances = [-1, 1].flatMap((x) => [-1, 1].flatMap((y) => [-1, 1].map((z) => {
    const corner = reach.clone().multiply(new THREE.Vector3(x, y, z));
    const wide = Math.abs(corner.dot(level)) / (half * camera.aspect);
    return corner.dot(toward) + Math.max(wide, Math.abs(corner.dot(upright)) / half);
  })));
  return Math.max(...distances, unit / 200);
}

function shownBox() {
  const shown = shownGroup().pieces.filter((piece) => piece.isShown);
  return boxOf(shown.length ? shown : shownGroup().pieces);
}

function lookFrom(name, smoothly = true) {
  const box = shownBox();
  flyTo(box.getCenter(new THREE.Vector3()), LOOKS[name], 1.06 * distanceAlong(box, LOOKS[name]), smoothly);
}

// All that is shown, from where the eye looks now.
function seeWhole() {
  const box = shownBox();
  const from = camera.position.clone().sub(orbit.target).normalize();
  flyTo(box.getCenter(new THREE.Vector3()), from, 1.06 * distanceAlong(box, from), false);
}

function flyTo(target, from, distance, smoothly = true) {
  // Straight down or up is no place to orbit from: the eye keeps a hair to the left, so that the rear lies to the right.
  const way = from.clone().normalize();
  if (Math.abs(way.dot(UP)) > 0.9999) way.addScaledVector(RIGHT, -0.002).normalize();
  const eye = target.clone().addScaledVector(way, distance);
  flight = { fromTarget: orbit.target.clone(), fromEye: camera.position.clone(), target, eye, start: null };
  if (!smoothly || still.matches) fliesOn(Infinity);
  redraw();
}

function fliesOn(now) {
  if (flight.start === null && now !== Infinity) flight.start = now;
  const share = now === Infinity ? 1 : Math.min((now - flight.start) / 450, 1);
  const eased = share * share * (3 - 2 * share);
  const { fromTarget, fromEye, target, eye } = flight;
  if (share === 1) flight = null;
  orbit.target.lerpVectors(fromTarget, target, eased);
  const reach = fromEye.distanceTo(fromTarget) * (1 - eased) + eye.distanceTo(target) * eased;
  const way = fromEye.clone().sub(fromTarget).normalize().lerp(eye.clone().sub(target).normalize(), eased);
  camera.position.copy(orbit.target).addScaledVector(way.normalize(), reach);
  orbit.update();
  if (share < 1) redraw();
}

function turnBy(level, upright) {
  const way = camera.position.clone().sub(orbit.target);
  way.applyAxisAngle(UP, level);
  const side = UP.clone().cross(way).normalize();
  const height = UP.angleTo(way) - upright;
  if (height > 0.02 && height < Math.PI - 0.02) way.applyAxisAngle(side, -upright);
  camera.position.copy(orbit.target).add(way);
  orbit.update();
  redraw();
}

function shiftBy(across, upright) {
  const step = camera.position.distanceTo(orbit.target) * 0.05;
  const moved = new THREE.Vector3().setFromMatrixColumn(camera.matrix, 0).multiplyScalar(across * step);
  moved.addScaledVector(new THREE.Vector3().setFromMatrixColumn(camera.matrix, 1), upright * step);
  camera.position.add(moved);
  orbit.target.add(moved);
  orbit.update();
  redraw();
}

function nearer(share) {
  const way = camera.position.clone().sub(orbit.target);
  const reach = THREE.MathUtils.clamp(way.length() * share, unit / 100, unit * 12);
  camera.position.copy(orbit.target).addScaledVector(way.normalize(), reach);
  orbit.update();
  redraw();
}

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

function byKey(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const arrow = ARROWS[event.key];
  if (arrow && event.shiftKey) shiftBy(arrow[0], arrow[1]);
  else if (arrow) turnBy(arrow[0] * 0.15, arrow[1] * 0.12);
  else if (event.key === '+' || event.key === '=') nearer(1 / 1.2);
  else if (event.key === '-') nearer(1.2);
  else if (event.key === 'Home') lookFrom('corner');
  else if (event.key === 'Escape') everything();
  else return;
  flight = arrow || event.key === '+' || event.key === '-' ? null : flight;
  event.preventDefault();
}
