// Which build, from where, how far it is assembled, pulled apart or cut.

const find = (selector) => section.querySelector(selector);

function fillBuilds() {
  const field = find('.m3-builds');
  const keys = [...builds.keys(), 'difference'];
  keys.forEach((key) => {
    const input = element('input', { type: 'radio', name: 'm3-build', value: key });
    input.checked = key === state.build;
    const words = key === 'difference' ? 'difference' : builds.get(key).title;
    field.append(element('label', {}, input, element('span', {}, words)));
    input.addEventListener('change', () => setBuild(key, state.aged));
  });
  const ages = DATA.builds.some((build) => build.aged.length);
  find('.m3-age').hidden = !ages;
  find('.m3-age input').addEventListener('change', (event) => setBuild(state.build, event.target.checked));
}

function setBuild(key, aged) {
  state.build = key;
  state.aged = aged;
  state.spot = null;
  mark.points = null;
  section.querySelectorAll('[name=m3-build]').forEach((input) => (input.checked = input.value === key));
  find('.m3-age input').checked = aged;
  find('.m3-key').dataset.build = key;
  if (key === 'original') setSteps(DATA.steps.length);
  find('.m3-steps').hidden = key === 'original' || !DATA.steps.length;
  followBuild();
  signParts();
  listLegs();
  refresh();
}

function setSteps(step) {
  state.step = step;
  find('.m3-steps input').value = step;
  const last = step > 0 ? DATA.parts[DATA.steps[step - 1]].name : 'what is retained';
  const words = step === DATA.steps.length ? `all ${step} in` : `${step} of ${DATA.steps.length}: ${last}`;
  find('.m3-steps output').textContent = words;
  find('.m3-steps input').setAttribute('aria-valuetext', words);
}

function setParted(share) {
  state.apart = share;
  const words = share ? `${Math.round(share * 100)} %` : 'together';
  find('.m3-apart input').value = share * 100;
  find('.m3-apart input').setAttribute('aria-valuetext', words);
  find('.m3-apart output').textContent = words;
  shownGroup().pieces.forEach((piece) => piece.place());
  dressSection();
  redraw();
}

function fillSection() {
  const choice = find('.m3-cut select');
  DATA.faces.forEach(([low, high], axis) => {
    choice.append(element('option', { value: axis }, `across ${low}–${high}`));
  });
  choice.addEventListener('change', () => cutAt(choice.value === '' ? null : Number(choice.value), where.share));
  find('.m3-cut input').addEventListener('input', (event) => cutAt(where.axis, event.target.value / 1000));
  find('.m3-turn').addEventListener('click', () => {
    where.turned = !where.turned;
    cutAt(where.axis, where.share);
  });
}

function cutAt(axis, share) {
  where.axis = axis;
  where.share = Math.min(Math.max(share, 0), 1);
  const input = find('.m3-cut input');
  input.disabled = find('.m3-turn').disabled = axis === null;
  find('.m3-cut select').value = axis === null ? '' : axis;
  input.value = where.share * 1000;
  setSection();
  let words = 'no cut';
  if (axis !== null) {
    const [low] = DATA.faces[axis];
    const whole = boxOf(shownGroup().pieces);
    const depth = where.share * (whole.max.getComponent(axis) - whole.min.getComponent(axis));
    words = `${depth.toFixed(0)} mm from the ${low}`;
  }
  find('.m3-cut output').textContent = words;
  input.setAttribute('aria-valuetext', words);
}

function fillControls() {
  fillBuilds();
  fillSection();
  const steps = find('.m3-steps input');
  steps.max = DATA.steps.length;
  steps.addEventListener('input', () => {
    setSteps(Number(steps.value));
    refresh();
  });
  find('.m3-apart input').addEventListener('input', (event) => {
    setParted(event.target.value / 100);
    seeWhole();
  });
  section.querySelectorAll('[data-look]').forEach((button) => {
    button.addEventListener('click', () => lookFrom(button.dataset.look));
  });
  find('.m3-back').addEventListener('click', everything);
  find('.m3-here').addEventListener('click', () => cutThrough(mark.points));
  DATA.says.forEach((words) => find('.m3-says').append(element('li', {}, words)));
}

// Back to all parts as they were ticked, seen whole.
function everything() {
  state.spot = null;
  cutAt(null, where.share);
  choose(null, false);
  lookFrom('corner');
}
