// The parts of one build in the scene: which are shown, faded, chosen, pulled apart.

const scene = new THREE.Scene();
const state = {
  build: afterwards,
  aged: false,
  step: DATA.steps.length,
  apart: 0,
  chosen: null,
  spot: null,
  hidden: new Set(),
  faded: new Set(DATA.parts.flatMap((part, number) => (part.see_through ? [number] : []))),
};
const stepOf = new Map(DATA.steps.map((part, at) => [part, at + 1]));
const groups = new Map();

class Piece {
  constructor([part, body, x, y, z], how) {
    this.part = part;
    this.body = bodies[body]();
    this.how = how;
    this.low = new THREE.Vector3(x, y, z);
    this.box = new THREE.Box3(this.low.clone(), this.low.clone().add(this.body.size));
    this.lift = new THREE.Vector3();
    this.group = new THREE.Group();
    this.surface = new THREE.Mesh(this.body.surface, surfaceMaterial());
    this.surface.userData.piece = this;
    this.lines = new THREE.LineSegments2(this.body.edges, lineMaterial(this.lineType, 'plain', false));
    this.group.add(this.surface);
    if (this.body.edges.attributes.instanceStart) {
      this.lines.computeLineDistances();
      this.group.add(this.lines);
    }
    this.group.position.copy(this.low);
  }

  // How the outline is drawn; a retained part's old place counts as removed.
  get lineType() {
    return this.how === 'old place' ? 'removed' : DATA.parts[this.part].change;
  }

  get isGhost() {
    return state.build === 'difference' && (this.how === 'old place' || DATA.parts[this.part].change === 'removed');
  }

  get isShown() {
    return !state.hidden.has(this.part) && !((stepOf.get(this.part) || 0) > state.step && !this.isGhost);
  }

  get isFaded() {
    return state.spot ? !state.spot.has(this.part) : state.faded.has(this.part) && state.chosen !== this.part;
  }

  // While a finding is shown its two parts have the colours of its section; else each part that of its role.
  get tint() {
    if (state.spot) return colour(state.spot.get(this.part) || 'rest');
    const plain = state.build === 'difference' && DATA.parts[this.part].change === 'retained';
    return plain ? colour('plain') : fillOf(this.part);
  }

  dress() {
    const chosen = state.chosen === this.part;
    const faded = this.isFaded;
    const material = this.surface.material;
    this.group.visible = this.isShown;
    material.visible = !this.isGhost;
    material.color = this.tint;
    if (chosen) material.color.lerp(colour('mark'), 0.25);
    // Where a colour tells which part is which, it must not drown in the shade.
    material.emissive.copy(material.color).multiplyScalar(state.spot && !faded ? 0.16 : 0);
    const seeThrough = faded || (state.spot !== null && DATA.parts[this.part].see_through);
    material.transparent = seeThrough;
    material.opacity = faded ? FADED : seeThrough ? VEILED : 1;
    material.depthWrite = !seeThrough;
    material.clippingPlanes = section.dataset.cut ? cutBy : null;
    material.needsUpdate = true;
    this.lines.material = lineMaterial(this.lineType, chosen ? 'chosen' : faded ? 'faded' : 'plain', this.isGhost);
    this.lines.renderOrder = this.isGhost ? 5 : 0;
    this.place();
  }

  place() {
    this.group.position.copy(this.low).addScaledVector(this.lift, state.apart);
  }

  get world() {
    return this.box.clone().translate(this.lift.clone().multiplyScalar(state.apart));
  }
}

function placesOf(key) {
  const build = builds.get(key);
  return state.aged && build.aged.length ? build.aged : build.places;
}

// What the difference shows: the later build, what goes, and where a retained part that is moved stood before.
function differencePieces() {
  const after = placesOf(afterwards);
  const now = new Map(after.map((place) => [place[0], place]));
  const before = placesOf('original').filter((place) => {
    const later = now.get(place[0]);
    return !later || place.some((value, at) => Math.abs(value - later[at]) > 0.01);
  });
  return [...after.map((place) => new Piece(place, '')), ...before.map((place) => new Piece(place, 'old place'))];
}

function shownGroup() {
  const key = `${state.build} ${state.aged}`;
  if (!groups.has(key)) {
    const pieces =
      state.build === 'difference' ? differencePieces() : placesOf(state.build).map((place) => new Piece(place, ''));
    setApart(pieces);
    const group = new THREE.Group();
    pieces.forEach((piece) => group.add(piece.group));
    scene.add(group);
    groups.set(key, { group, pieces });
  }
  return groups.get(key);
}

// Pulled apart: every underside height is a storey; storeys part upward, and parts move off the middle in plan.
function setApart(pieces) {
  const whole = boxOf(pieces);
  const middle = whole.getCenter(new THREE.Vector3());
  const heights = pieces.map((piece) => Math.min(piece.box.min.dot(UP), piece.box.max.dot(UP)));
  const storeys = [...new Set(heights.map((height) => Math.round(height)))].sort((a, b) => a - b);
  const reach = whole.getSize(new THREE.Vector3()).length();
  const storey = (reach * 0.55) / Math.max(storeys.length - 1, 1);
  pieces.forEach((piece, at) => {
    const flat = piece.box.getCenter(new THREE.Vector3()).sub(middle);
    flat.addScaledVector(UP, -flat.dot(UP));
    piece.lift.copy(flat.multiplyScalar(0.3)).addScaledVector(UP, storeys.indexOf(Math.round(heights[at])) * storey);
  });
}

function boxOf(pieces) {
  return pieces.reduce((box, piece) => box.union(piece.world), new THREE.Box3());
}

function dressAll() {
  const shown = shownGroup();
  groups.forEach((other) => {
    other.group.visible = other === shown;
  });
  shown.pieces.forEach((piece) => piece.dress());
  dressSection();
  redraw();
}
