// The outline of each cut face: where the plane runs through a body's triangles.

const outlines = new THREE.Group();
scene.add(outlines);

function clearOutlines() {
  outlines.children.forEach((lines) => lines.geometry.dispose());
  outlines.clear();
}

function outlineCut(piece, axis, at) {
  const { corners, faces } = piece.body;
  const offset = piece.group.position;
  const level = at - offset.getComponent(axis);
  const ends = [];
  for (let face = 0; face < faces.length; face += 3) cross(corners, faces, face, axis, level, ends);
  if (!ends.length) return;
  const lines = new THREE.LineSegments2(new THREE.LineSegmentsGeometry().setPositions(ends), outlineMaterial());
  lines.position.copy(offset);
  lines.renderOrder = 2000;
  outlines.add(lines);
}

// The two points where one triangle crosses the plane, if it does; a corner in the plane counts as above it.
function cross(corners, faces, face, axis, level, ends) {
  const heights = [0, 1, 2].map((at) => corners[faces[face + at] * 3 + axis] - level);
  const above = heights.map((height) => height >= 0);
  if (above[0] === above[1] && above[1] === above[2]) return;
  for (let at = 0; at < 3; at += 1) {
    const next = (at + 1) % 3;
    if (above[at] === above[next]) continue;
    const share = heights[at] / (heights[at] - heights[next]);
    const [one, other] = [faces[face + at] * 3, faces[face + next] * 3];
    for (let side = 0; side < 3; side += 1) {
      ends.push(corners[one + side] + share * (corners[other + side] - corners[one + side]));
    }
  }
}

let inkOfCut = null;

function outlineMaterial() {
  if (!inkOfCut) {
    inkOfCut = new THREE.LineMaterial({ linewidth: 1.6, polygonOffset: true, polygonOffsetFactor: -2, polygonOffsetUnits: -4 });
    inkOfCut.uniforms.resolution.value = canvasSize;
  }
  inkOfCut.color = colour('ink');
  return inkOfCut;
}
