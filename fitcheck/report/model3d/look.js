// Colours from the style sheet (light or dark), line types as on alteration drawings, and the materials made of them.

const section = document.getElementById('model');
const dark = window.matchMedia('(prefers-color-scheme: dark)');
const LINES = {
  retained: { width: 0.9, dashed: false },
  removed: { width: 1.5, dashed: true },
  new: { width: 2, dashed: false },
};
const FADED = 0.1;
const VEILED = 0.3;
const cut = new THREE.Plane(new THREE.Vector3(1, 0, 0), 0);
const cutBy = [cut];
const lineMaterials = new Map();
const canvasSize = new THREE.Vector2(1, 1);
let unit = 1;

function colour(name) {
  return new THREE.Color(getComputedStyle(section).getPropertyValue(`--m3-${name}`).trim());
}

// A part's fill, toned down on dark paper so that its lines stay lighter than its faces.
function fillOf(part) {
  return new THREE.Color(DATA.parts[part].fill).lerp(colour('paper'), dark.matches ? 0.4 : 0);
}

// A dash of the removed outline: long, gap, short, gap; measured in the model so that it turns with it.
function dashDot(shader) {
  const plain = 'if ( mod( vLineDistance + dashOffset, dashSize + gapSize ) > dashSize ) discard;';
  const place = 'float place = mod( vLineDistance, dashSize * 1.7 );';
  const gaps = '( place > dashSize && place < dashSize * 1.25 ) || place > dashSize * 1.45';
  return shader.replace(plain, `${place} if ( ${gaps} ) discard;`);
}

function lineMaterial(change, tone, inFront) {
  const key = `${change} ${tone} ${inFront}`;
  if (!lineMaterials.has(key)) {
    const kind = LINES[change];
    const material = new THREE.LineMaterial({
      linewidth: kind.width * (tone === 'chosen' ? 1.8 : 1),
      dashed: kind.dashed,
      dashSize: unit * 0.02,
      gapSize: unit * 0.01,
      transparent: tone === 'faded' || inFront,
      opacity: tone === 'faded' ? 0.45 : 1,
      depthTest: !inFront,
    });
    material.fragmentShader = dashDot(material.fragmentShader);
    material.uniforms.resolution.value = canvasSize;
    material.clippingPlanes = section.dataset.cut ? cutBy : null;
    material.userData.tone = tone;
    material.color = colour(tone === 'chosen' ? 'mark' : 'ink');
    lineMaterials.set(key, material);
  }
  return lineMaterials.get(key);
}

function surfaceMaterial() {
  return new THREE.MeshPhongMaterial({
    specular: 0,
    shininess: 1,
    flatShading: true,
    side: THREE.DoubleSide,
    polygonOffset: true,
    polygonOffsetFactor: 2,
    polygonOffsetUnits: 8,
  });
}

const hatchInk = { value: colour('ink') };

// Cut faces are hatched on the screen, at 45 degrees one way or the other.
function cutMaterial(leaning) {
  const material = new THREE.MeshBasicMaterial({ side: THREE.DoubleSide });
  material.onBeforeCompile = (shader) => {
    const slant = leaning ? 'gl_FragCoord.x + gl_FragCoord.y' : 'gl_FragCoord.x - gl_FragCoord.y';
    shader.uniforms.hatch = hatchInk;
    shader.uniforms.pitch = { value: 9 * window.devicePixelRatio };
    shader.fragmentShader = `uniform vec3 hatch; uniform float pitch;\n${shader.fragmentShader}`.replace(
      '#include <dithering_fragment>',
      `if ( mod( ${slant}, pitch ) < pitch * 0.15 ) gl_FragColor.rgb = mix( gl_FragColor.rgb, hatch, 0.75 );`,
    );
  };
  material.customProgramCacheKey = () => `hatch ${leaning}`;
  Object.assign(material, {
    stencilWrite: true,
    stencilRef: 0,
    stencilFunc: THREE.NotEqualStencilFunc,
    stencilFail: THREE.ReplaceStencilOp,
    stencilZFail: THREE.ReplaceStencilOp,
    stencilZPass: THREE.ReplaceStencilOp,
  });
  return material;
}

function recolour() {
  hatchInk.value = colour('ink');
  lineMaterials.forEach((material) => {
    material.color = colour(material.userData.tone === 'chosen' ? 'mark' : 'ink');
    material.clippingPlanes = section.dataset.cut ? cutBy : null;
    material.needsUpdate = true;
  });
}
