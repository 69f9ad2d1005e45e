// The view of a case: what is shown is chosen by words; turned by pointer, touch and keys.

const CUTS = { none: null, length: 0, width: 1, height: 2 };
const LOOKS = { "front left": [-27.5, 37], front: [0, 12], left: [-78, 16], above: [0, 89.9], "back right": [152.5, 37] };
const AXIS_WORDS = { length: "across the length", width: "across the width", height: "level, across the height" };

function made(tag, kind, text, parent) {
  const one = document.createElement(tag);
  if (kind) one.className = kind;
  if (text) one.textContent = text;
  if (parent) parent.append(one);
  return one;
}

function coloursOf(root) {
  const style = getComputedStyle(root);
  const named = (name, plain) => {
    const text = style.getPropertyValue(name).trim();
    return rgb(/^#[0-9a-f]{6}$/i.test(text) ? text : plain);
  };
  const paper = named("--fk-paper", "#FBFAF5"), ink = named("--fk-ink", "#20303A"), foam = named("--fk-foam", "#E9E4D8");
  const dark = paper[0] < 128;
  return {
    paper, ink, foam, dot: named("--fk-dot", "#B9B09C"), hatch: mixed(ink, paper, 0.35),
    accent: mixed(foam, named("--fk-tight", "#966605"), 0.35), item: dark ? [62, 76, 86] : [255, 255, 255],
    panel: mixed(foam, named("--fk-quiet", "#5F6E78"), 0.18), support: mixed(foam, named("--fk-quiet", "#5F6E78"), 0.42), shade: dark ? [8, 12, 15] : mixed(ink, foam, 0.25),
  };
}

function caseView(root, scene, start = {}) {
  const meshes = scene.parts.map(meshOf);
  const size = { length: scene.room[0], width: scene.room[1], height: scene.room[2] };
  const now = {
    state: "closed", open: 0, apart: 0, yaw: LOOKS["front left"][0], pitch: LOOKS["front left"][1], zoom: 1, pan: [0, 0],
    cut: "none", at: { length: size.length / 2, width: size.width / 2, height: scene.closing / 2 }, other: false,
    hidden: new Set(), chosen: null, ...start,
  };
  [now.open, now.apart] = STATES[now.state];
  root.classList.add("fk-look", "fk-case-view");
  root.replaceChildren();
  const bars = made("div", "fk-view-bars", "", root);
  const frame = made("div", "fk-view-frame", "", root);
  const canvas = made("canvas", "", "", frame), names = made("div", "fk-view-names", "", frame);
  names.setAttribute("aria-hidden", "true");
  canvas.tabIndex = 0;
  canvas.setAttribute("role", "img");
  const said = made("p", "fk-view-said", "", root);
  said.setAttribute("role", "status");
  made("p", "fk-view-help", "Drag to turn, with Shift to shift, wheel or + and − to come nearer; arrow keys turn, 0 shows the whole.", root);

  const group = (title) => {
    const box = made("div", "fk-view-group", "", bars);
    box.setAttribute("role", "group");
    box.setAttribute("aria-label", title);
    made("span", "fk-view-word", title, box);
    return box;
  };
  const buttons = [];
  const press = (box, text, on, act) => {
    const one = made("button", "fk-press", text, box);
    one.type = "button";
    one.addEventListener("click", act);
    buttons.push(() => one.setAttribute("aria-pressed", String(on())));
    return one;
  };
  const caseBox = group("case");
  for (const [state, word] of [["closed", "closed"], ["open", "open"], ["apart", "taken apart"]])
    press(caseBox, word, () => now.state === state, () => go(state));
  const cutBox = group("cut");
  for (const cut of Object.keys(CUTS)) press(cutBox, cut === "none" ? "not cut" : cut, () => now.cut === cut, () => { now.cut = cut; changed(); });
  const cutRow = made("label", "fk-view-cut", "", cutBox);
  const slider = made("input", "", "", cutRow);
  Object.assign(slider, { type: "range", min: 0, step: 1 });
  slider.setAttribute("aria-label", "where the case is cut, in mm");
  const reading = made("output", "", "", cutRow);
  slider.addEventListener("input", () => { now.at[now.cut] = Number(slider.value); changed(); });
  slider.addEventListener("keydown", (event) => event.stopPropagation());
  const side = press(cutBox, "other side", () => now.other, () => { now.other = !now.other; changed(); });
  const showBox = group("shown");
  const toggle = (key, text) => press(showBox, text, () => !now.hidden.has(key), () => {
    now.hidden.has(key) ? now.hidden.delete(key) : now.hidden.add(key);
    changed();
  });
  for (const half of scene.halves) {
    if (half.tiers === 1) toggle(`${half.name}/1`, half.name === "lid" ? "loose lid" : scene.halves.length > 1 && half.name !== "tray" ? `${half.name} half` : half.name);
    else for (let tier = 1; tier <= half.tiers; tier++) toggle(`${half.name}/${tier}`, `${half.name} half, tier ${tier}`);
  }
  toggle("panel", "walls");
  if (scene.parts.some((part) => part.kind === "support")) toggle("support", "supports");
  toggle("foam", "foam");
  toggle("item", "gear");
  const lookBox = group("seen from");
  for (const [name, [yaw, pitch]] of Object.entries(LOOKS))
    press(lookBox, name, () => now.yaw === yaw && now.pitch === pitch, () => { Object.assign(now, { yaw, pitch, zoom: 1, pan: [0, 0] }); changed(); });

  const shown = () => meshes.filter(({ part }) => {
    if (now.hidden.has(part.kind === "accent" ? "foam" : part.kind)) return false;
    const half = scene.halves.find((one) => one.name === part.half);
    if (part.tier) return !now.hidden.has(`${part.half}/${part.tier}`);
    return ![...Array(half.tiers)].every((_, k) => now.hidden.has(`${part.half}/${k + 1}`));
  });
  const cutNow = () => {
    if (now.cut === "none") return null;
    const axis = CUTS[now.cut], usual = axis === 2 ? -1 : Math.cos((now.yaw * Math.PI) / 180) >= 0 || axis === 0 ? 1 : -1;
    const keep = axis === 0 && now.yaw > 0 && now.yaw < 180 ? -1 : usual;
    return { axis, at: now.at[now.cut], keep: now.other ? -keep : keep };
  };

  let alive = true, still = 0, waiting = 0, id = null, drawnOnce = false;
  const paint = (fine) => {
    if (!alive || !frame.clientWidth) return;
    const ratio = Math.min(2, (window.devicePixelRatio || 1) * (fine ? 2 : 1));
    const width = Math.round(frame.clientWidth * ratio), height = Math.round(frame.clientHeight * ratio);
    const visible = shown(), stand = standing(scene, now.open, now.apart), view = axes(now.yaw, now.pitch), cut = cutNow();
    const [x0, y0, x1, y1] = extent(visible.length ? visible : meshes, stand, view);
    const margin = 0.93 - 0.09 * now.apart, fit = Math.min((width * margin) / (x1 - x0), (height * margin) / (y1 - y0));
    const scale = fit * now.zoom;
    const middle = [(x0 + x1) / 2 - (now.pan[0] * ratio) / scale, (y0 + y1) / 2 + (now.pan[1] * ratio) / scale];
    const painter = new Painter(width, height), palette = coloursOf(root);
    paintCase(painter, visible, { stand, view, scale, middle, cut, palette, thick: fine || ratio > 1.5 ? 3 : 2 });
    canvas.width = width;
    canvas.height = height;
    canvas.getContext("2d").putImageData(new ImageData(new Uint8ClampedArray(painter.colour.buffer), width, height), 0, 0);
    names.hidden = !fine;
    id = { painter, ratio };
    if (fine) placeNames(names, painter, visible, { zoom: ratio, sheets: now.apart > 0.99, chosen: now.chosen });
    drawnOnce = true;
    canvas.dataset.drawn = fine ? "fine" : "quick";
  };
  const soon = (fine) => {
    if (!waiting) waiting = requestAnimationFrame(() => { waiting = 0; paint(fine && !moving); });
    clearTimeout(still);
    if (!fine) still = setTimeout(() => paint(true), 160);
  };
  let moving = false;
  const tell = () => {
    const cut = cutNow();
    slider.max = now.cut === "none" ? 1 : Math.round(size[now.cut]);
    cutRow.hidden = side.hidden = !cut;
    if (cut) {
      slider.value = now.at[now.cut];
      reading.textContent = `${Math.round(now.at[now.cut])} mm`;
      slider.setAttribute("aria-valuetext", reading.textContent);
    }
    const through = cut ? [...new Set(meshes.filter((mesh) => mesh.part.kind === "item" && cutFaces(mesh, cut).faces.length).map((mesh) => mesh.part.name))] : [];
    const state = { closed: "closed", open: "open", apart: "taken apart" }[now.state];
    said.textContent = cut
      ? `The case ${state}, cut ${AXIS_WORDS[now.cut]} at ${Math.round(cut.at)} mm from the ${{ length: "left", width: "front", height: "floor" }[now.cut]} inside: ${through.length ? `through ${through.join(", ")}` : "no gear there"}.`
      : `The case ${state}${now.state === "closed" && !now.hidden.has("panel") ? "; cut it or open it to see the gear" : ""}.`;
    canvas.setAttribute("aria-label", `${scene.title}. ${said.textContent}`);
    for (const update of buttons) update();
    root.dispatchEvent(new CustomEvent("fk-view", { detail: { state: now.state, cut: now.cut, at: cut ? cut.at : null } }));
  };
  const changed = (fine = false) => { tell(); soon(fine); };
  const go = (state) => {
    const from = [now.open, now.apart], to = STATES[state], begin = performance.now();
    const time = matchMedia("(prefers-reduced-motion: reduce)").matches ? 0 : 420;
    now.state = state;
    tell();
    moving = true;
    const step = (at) => {
      if (!alive) return;
      const t = time ? Math.min(1, (at - begin) / time) : 1, ease = t * t * (3 - 2 * t);
      [now.open, now.apart] = from.map((v, k) => v + (to[k] - v) * ease);
      paint(false);
      if (t < 1 && now.state === state) requestAnimationFrame(step);
      else { moving = false; if (now.state === state) paint(true); }
    };
    requestAnimationFrame(step);
  };
  const turn = (yaw, pitch) => {
    now.yaw = ((now.yaw + yaw + 540) % 360) - 180;
    now.pitch = Math.max(-30, Math.min(89.9, now.pitch + pitch));
  };

  const fingers = new Map();
  canvas.addEventListener("pointerdown", (event) => {
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    canvas.setPointerCapture(event.pointerId);
    canvas.focus({ preventScroll: true });
  });
  canvas.addEventListener("pointermove", (event) => {
    const was = fingers.get(event.pointerId);
    if (!was) return point(event);
    const dx = event.clientX - was[0], dy = event.clientY - was[1];
    if (fingers.size === 2) {
      const other = [...fingers.entries()].find(([key]) => key !== event.pointerId)[1];
      const before = Math.hypot(was[0] - other[0], was[1] - other[1]), after = Math.hypot(event.clientX - other[0], event.clientY - other[1]);
      now.zoom = Math.max(0.5, Math.min(8, (now.zoom * after) / (before || 1)));
      now.pan = [now.pan[0] + dx / 2, now.pan[1] + dy / 2];
    } else if (event.shiftKey || event.buttons === 2) now.pan = [now.pan[0] + dx, now.pan[1] + dy];
    else turn(-dx * 0.4, dy * 0.4);
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    moving = true;
    changed();
  });
  const lift = (event) => {
    fingers.delete(event.pointerId);
    if (moving && !fingers.size) { moving = false; soon(true); }
  };
  canvas.addEventListener("pointerup", lift);
  canvas.addEventListener("pointercancel", lift);
  canvas.addEventListener("contextmenu", (event) => event.preventDefault());
  const point = (event) => {
    if (!id) return;
    const box = canvas.getBoundingClientRect();
    const x = Math.floor((event.clientX - box.left) * id.ratio), y = Math.floor((event.clientY - box.top) * id.ratio);
    const owner = id.painter.owner[y * id.painter.width + x] || 0, part = owner ? meshes[owner - 1].part : null;
    canvas.title = part ? (part.kind === "item" ? part.name : part.kind === "panel" ? part.name : `sheet ${part.name}`) : "";
  };
  canvas.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && document.activeElement !== canvas) return; // the page scrolls on
    event.preventDefault();
    now.zoom = Math.max(0.5, Math.min(8, now.zoom * Math.exp(-event.deltaY * 0.0015)));
    changed();
  }, { passive: false });
  canvas.addEventListener("keydown", (event) => {
    const keys = {
      ArrowLeft: () => turn(8, 0), ArrowRight: () => turn(-8, 0), ArrowUp: () => turn(0, 6), ArrowDown: () => turn(0, -6),
      "+": () => { now.zoom = Math.min(8, now.zoom * 1.2); }, "=": () => { now.zoom = Math.min(8, now.zoom * 1.2); },
      "-": () => { now.zoom = Math.max(0.5, now.zoom / 1.2); }, 0: () => Object.assign(now, { zoom: 1, pan: [0, 0] }),
    };
    event.stopPropagation();
    if (!keys[event.key] || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    keys[event.key]();
    changed();
  });
  const sized = new ResizeObserver(() => soon(!drawnOnce || !moving));
  sized.observe(frame);
  const themed = new MutationObserver(() => soon(true));
  for (const one of [document.body, document.documentElement]) themed.observe(one, { attributes: true });
  const system = matchMedia("(prefers-color-scheme: dark)"), redraw = () => soon(true);
  system.addEventListener("change", redraw);
  tell();
  soon(true);
  return {
    now,
    close() {
      alive = false;
      sized.disconnect();
      themed.disconnect();
      system.removeEventListener("change", redraw);
      clearTimeout(still);
      root.replaceChildren();
    },
  };
}
