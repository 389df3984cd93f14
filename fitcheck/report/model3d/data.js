// The model as the page carries it: bodies unpacked into what the drawing library takes.

const DATA = JSON.parse(document.getElementById('model-data').textContent);
const GRID = 65534;

function unpacked(text, Kind) {
  const bytes = Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
  return new Kind(bytes.buffer);
}

// Each body once, however many parts share it; made when it is first shown.
const bodies = DATA.bodies.map((packed) => {
  let made = null;
  return () => (made = made || unpackedBody(packed));
});

function unpackedBody(packed) {
  const Index = packed.wide ? Uint32Array : Uint16Array;
  const steps = unpacked(packed.corners, Uint16Array);
  const corners = new Float32Array(steps.length);
  for (let i = 0; i < steps.length; i += 1) corners[i] = (steps[i] / GRID) * packed.size[i % 3];
  const faces = unpacked(packed.faces, Index);
  const surface = new THREE.BufferGeometry();
  surface.setAttribute('position', new THREE.BufferAttribute(corners, 3));
  surface.setIndex(new THREE.BufferAttribute(faces, 1));
  surface.computeBoundingBox();
  surface.computeBoundingSphere();
  return {
    surface,
    corners,
    faces,
    edges: lineGeometry(corners, unpacked(packed.edges, Index)),
    size: new THREE.Vector3(...packed.size),
    closed: packed.closed,
  };
}

function lineGeometry(corners, edges) {
  const ends = new Float32Array(edges.length * 3);
  edges.forEach((corner, at) => ends.set(corners.subarray(corner * 3, corner * 3 + 3), at * 3));
  const lines = new THREE.LineSegmentsGeometry();
  if (ends.length) lines.setPositions(ends);
  return lines;
}

const along = (word) => new THREE.Vector3(...DATA.directions[word]);
const UP = along('up');
const RIGHT = along('right');
const REAR = along('rearward');
const builds = new Map(DATA.builds.map((build) => [build.key, build]));
const afterwards = builds.has('solved') ? 'solved' : 'proposed';
