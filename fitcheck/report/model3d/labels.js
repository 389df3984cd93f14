// What is written on the picture: each word as near as can be to what it speaks of, and clear of all that is there already.

const nameBoard = section.querySelector('.m3-names');
const REACHES = [0, 12, 20, 30, 42, 56, 72, 90, 112, 140, 175];
const TURNS = [...Array(16).keys()].map((at) => ((at % 2 ? -1 : 1) * Math.ceil(at / 2) * Math.PI) / 8);
let written = [];

// The corners of the picture that are not free: the directions, the small picture of all, and the buttons.
function startWriting() {
  const { x: wide, y: high } = canvasSize;
  written = [[0, high - 92, 118, high]];
  if (!mark.points) return;
  const [small, low] = whereabouts();
  const buttons = section.querySelector('.m3-close');
  written.push([0, 0, small, low], [buttons.offsetLeft, 0, wide, buttons.offsetTop + buttons.offsetHeight]);
}

// Nothing is written on a line.
function keepClear(start, end) {
  const count = Math.ceil(Math.hypot(end[0] - start[0], end[1] - start[1]) / 8);
  if (count > 400) return;
  for (let at = 0; at <= count; at += 1) {
    const [x, y] = start.map((value, side) => value + ((end[side] - value) * at) / Math.max(count, 1));
    written.push([x - 4, y - 4, x + 4, y + 4]);
  }
}

const boxAbout = ([x, y], [wide, high]) => [x - wide / 2, y - high / 2, x + wide / 2, y + high / 2];

function isFree([left, top, right, bottom]) {
  if (left < 3 || top < 3 || right > canvasSize.x - 3 || bottom > canvasSize.y - 3) return false;
  return !written.some((box) => left < box[2] && box[0] < right && top < box[3] && box[1] < bottom);
}

// The middle of the free place of this size that lies nearest to a point, of equally near ones the one that lies most in
// the direction of `heading`; null where there is none.
function freePlace([x, y], size, heading = -Math.PI / 2) {
  for (const reach of REACHES) {
    for (const turn of reach ? TURNS.map((each) => heading + each) : [heading]) {
      const beside = reach ? (Math.cos(turn) * size[0]) / 2 : 0;
      const at = [x + reach * Math.cos(turn) + beside, y + reach * Math.sin(turn)];
      if (isFree(boxAbout(at, size))) return at;
    }
  }
  return null;
}

// Words near a point of the picture; left out where nothing is free about it.
function write(point, words, kind) {
  if (!words) return;
  const text = put('text', { class: kind, 'text-anchor': 'middle' }, words);
  const { width, height } = text.getBBox();
  const size = [width + 8, height + 2];
  const within = (value, half, most) => Math.min(Math.max(value, half + 4), Math.max(most - half - 4, half + 4));
  const wanted = [within(point[0], size[0] / 2, canvasSize.x), within(point[1], size[1] / 2, canvasSize.y)];
  const at = freePlace(wanted, size);
  if (!at) {
    text.remove();
    return;
  }
  text.setAttribute('x', at[0]);
  text.setAttribute('y', at[1] + height * 0.3);
  written.push(boxAbout(at, size));
}

// The names of the parts of the shown finding: each at a point of its part that the eye can see.
function drawNames() {
  nameBoard.replaceChildren();
  if (!mark.points || flight) return;
  mark.named.forEach((one) => {
    if (!one.point) one.point = seenPoint(one) || one.near;
    const at = onPicture(one.point);
    if (at) hangName(one, at);
  });
}

function hangName({ part, tone, near, away }, spot) {
  const label = element('span', { class: 'm3-name-of' }, element('i', { class: `m3-tone m3-tone-${tone}` }), DATA.parts[part].name);
  nameBoard.append(label);
  const size = [label.offsetWidth + 4, label.offsetHeight + 4];
  const within = (value, half, most) => Math.min(Math.max(value, half + 4), Math.max(most - half - 4, half + 4));
  const wanted = [within(spot[0], size[0] / 2, canvasSize.x), within(spot[1], size[1] / 2, canvasSize.y)];
  const [start, other] = [onPicture(near), away ? onPicture(away) : null];
  const heading = start && other ? Math.atan2(start[1] - other[1], start[0] - other[0]) : Math.PI / 2;
  const at = freePlace(wanted, size, heading) || wanted;
  // In shares of the picture, so that they keep their places on a sheet of another size.
  label.style.left = `${(100 * at[0]) / canvasSize.x}%`;
  label.style.top = `${(100 * at[1]) / canvasSize.y}%`;
  written.push(boxAbout(at, size));
  const [left, top, right, bottom] = boxAbout(at, size);
  const inside = left <= spot[0] && spot[0] <= right && top <= spot[1] && spot[1] <= bottom;
  if (inside) return;
  put('line', { x1: at[0], y1: at[1], x2: spot[0], y2: spot[1], class: 'm3-leader' });
  put('circle', { cx: spot[0], cy: spot[1], r: 2.2, class: 'm3-dot' });
}

const MOST_LOOKED_AT = 40;
const MOST_TRIANGLES = 3e6;

// A point on the seen surface of a part where its name covers little: away from the other part of the pair, else about
// the middle of what is seen of it.
function seenPoint({ part, near, away }) {
  const piece = shownGroup().pieces.find((one) => one.part === part && one.isShown);
  const start = onPicture(near);
  if (!piece || !start) return null;
  // Where shapes are fine, fewer places are looked at, so that nobody waits for a name.
  const solid = shownGroup().pieces.filter((one) => one.isShown && !one.isFaded).map((one) => one.surface);
  const fine = solid.reduce((sum, surface) => sum + surface.geometry.index.count / 3, 1);
  const other = away ? onPicture(away) : null;
  const far = other ? Math.hypot(start[0] - other[0], start[1] - other[1]) : 0;
  const reach = Math.min(canvasSize.x, canvasSize.y) * 0.22;
  const box = flatBox(piece.world);
  const middle = [0, 1].map((side) => (Math.max(box[side], 0) + Math.min(box[side + 2], canvasSize.getComponent(side))) / 2);
  const wanted = far > 0.5 ? start.map((value, side) => value + ((value - other[side]) / far) * reach) : middle;
  const spots = [];
  for (let x = 1; x < 16; x += 1) for (let y = 1; y < 12; y += 1) spots.push([(canvasSize.x * x) / 16, (canvasSize.y * y) / 12]);
  const off = ([x, y]) => Math.hypot(x - wanted[0], y - wanted[1]);
  const tried = [wanted, ...spots.sort((one, next) => off(one) - off(next))]
    .filter(([x, y]) => x > box[0] && x < box[2] && y > box[1] && y < box[3] && isFree(boxAbout([x, y], [40, 20])))
    .slice(0, Math.max(4, Math.min(MOST_LOOKED_AT, MOST_TRIANGLES / fine)));
  for (const [x, y] of tried) {
    ray.setFromCamera(new THREE.Vector2((x / canvasSize.x) * 2 - 1, 1 - (y / canvasSize.y) * 2), camera);
    const [hit] = ray.intersectObjects(solid).filter((one) => where.axis === null || cut.distanceToPoint(one.point) >= 0);
    if (hit && hit.object.userData.piece === piece) return hit.point.toArray();
  }
  return null;
}

// The rectangle of the picture that a box of the model covers.
function flatBox({ min, max }) {
  const corners = [min.x, max.x].flatMap((x) => [min.y, max.y].flatMap((y) => [min.z, max.z].map((z) => onPicture([x, y, z]))));
  if (corners.includes(null)) return [0, 0, canvasSize.x, canvasSize.y];
  const [xs, ys] = [0, 1].map((side) => corners.map((corner) => corner[side]));
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}
