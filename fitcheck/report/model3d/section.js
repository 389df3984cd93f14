// The section: everything on one side of a plane is taken away, and closed bodies show a hatched face where they are cut.

const where = { axis: null, share: 0.5, turned: false };
const capsOf = new WeakMap();
const flatSquare = new THREE.PlaneGeometry(1, 1);

function tally(side, operation) {
  const material = new THREE.MeshBasicMaterial({ side });
  Object.assign(material, {
    depthWrite: false,
    depthTest: false,
    colorWrite: false,
    stencilWrite: true,
    stencilFunc: THREE.AlwaysStencilFunc,
    stencilFail: operation,
    stencilZFail: operation,
    stencilZPass: operation,
    clippingPlanes: cutBy,
  });
  return material;
}

const countIn = tally(THREE.BackSide, THREE.IncrementWrapStencilOp);
const countOut = tally(THREE.FrontSide, THREE.DecrementWrapStencilOp);

// Counting back faces up and front faces down leaves a count where the plane runs inside the body.
function capOf(piece, order) {
  if (!capsOf.has(piece)) {
    const inward = new THREE.Mesh(piece.body.surface, countIn);
    const outward = new THREE.Mesh(piece.body.surface, countOut);
    const face = new THREE.Mesh(flatSquare, cutMaterial(piece.part % 2 === 0));
    inward.renderOrder = outward.renderOrder = 10 + order;
    face.renderOrder = 10.5 + order;
    face.onAfterRender = () => renderer.clearStencil();
    piece.group.add(inward, outward);
    scene.add(face);
    capsOf.set(piece, { face, meshes: [inward, outward, face] });
  }
  return capsOf.get(piece);
}

function dressSection() {
  groups.forEach(({ pieces }) =>
    pieces.forEach((piece) => {
      const cap = capsOf.get(piece);
      if (cap) cap.meshes.forEach((mesh) => (mesh.visible = false));
    }),
  );
  clearOutlines();
  if (where.axis === null) return;
  const { pieces } = shownGroup();
  const whole = boxOf(pieces);
  const low = whole.min.getComponent(where.axis);
  const at = low + where.share * (whole.max.getComponent(where.axis) - low);
  cut.normal.set(0, 0, 0).setComponent(where.axis, where.turned ? 1 : -1);
  cut.constant = where.turned ? -at : at;
  pieces.forEach((piece, order) => {
    const low = piece.world.min.getComponent(where.axis);
    const isCut = piece.isShown && !piece.isGhost && low < at && at < piece.world.max.getComponent(where.axis);
    if (!isCut) return;
    outlineCut(piece, where.axis, at);
    if (piece.body.closed) layCap(piece, order, at);
  });
}

function layCap(piece, order, at) {
  const box = piece.world;
  const axis = where.axis;
  const { face, meshes } = capOf(piece, order);
  meshes.forEach((mesh) => (mesh.visible = true));
  face.material.color = piece.tint;
  const size = box.getSize(new THREE.Vector3());
  face.rotation.set(axis === 1 ? Math.PI / 2 : 0, axis === 0 ? Math.PI / 2 : 0, 0);
  face.scale.set(axis === 0 ? size.z : size.x, axis === 1 ? size.z : size.y, 1);
  box.getCenter(face.position).setComponent(axis, at);
}

// A cut through a place where two parts come close, laid so that their distance lies in the cut and faces the eye.
function cutThrough(points) {
  const [start, end] = points.map((point) => new THREE.Vector3(...point));
  const gap = end.clone().sub(start).toArray().map(Math.abs);
  const toEye = camera.position.clone().sub(orbit.target);
  const axes = [0, 1, 2].filter((axis) => axis !== gap.indexOf(Math.max(...gap)));
  const [axis] = axes.sort((a, b) => Math.abs(toEye.getComponent(b)) - Math.abs(toEye.getComponent(a)));
  const { min, max } = boxOf(shownGroup().pieces);
  const at = (start.getComponent(axis) + end.getComponent(axis)) / 2;
  where.turned = toEye.getComponent(axis) < 0;
  cutAt(axis, (at - min.getComponent(axis)) / (max.getComponent(axis) - min.getComponent(axis)));
}

function setSection() {
  const was = section.dataset.cut;
  mark.named.forEach((one) => (one.point = null)); // what bore a name may be cut away
  if (where.axis === null) delete section.dataset.cut;
  else section.dataset.cut = 'yes';
  if (was !== section.dataset.cut) {
    recolour();
    dressAll();
  } else {
    dressSection();
    redraw();
  }
}
