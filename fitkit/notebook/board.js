// The board: one tier of one half, seen from above. Python sends what to draw (`scene`) and, while
// an item is moved, what follows from it (`answer`); the board sends where the item was put
// (`move`) and what was clicked (`act`). Only the newest move is kept while Python is busy.

const NS = "http://www.w3.org/2000/svg";
const WAIT_MS = 3000; // an answer that takes longer is given up, the newest move is sent
const ROOM = { left: 78, right: 46, top: 74, bottom: 40 }; // pixels around the outside size

function node(parent, name, attributes = {}, text = null) {
  const made = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text !== null) made.textContent = text;
  parent.appendChild(made);
  return made;
}

function clear(element) {
  while (element.firstChild) element.removeChild(element.firstChild);
}

let boards = 0;

class Board {
  constructor(model, el) {
    this.model = model;
    this.id = `fk${(boards += 1)}`;
    this.sent = 0;
    this.waiting = null; // serial of the move that Python works on
    this.pending = null; // newest move not sent yet
    this.grip = null; // what the pointer holds
    el.classList.add("fk-board-frame");
    this.svg = node(el, "svg", { class: "fk-board", role: "application" });
    this.svg.setAttribute("aria-label", "The board: drag items, or use the arrow keys");
    this.patterns();
    for (const name of ["wall", "ghosts", "zones", "items", "sizes", "gaps", "handles"])
      this[`${name}Layer`] = node(this.svg, "g", { class: `fk-${name}` });
    model.on("change:scene", () => this.load());
    model.on("change:answer", () => this.answered());
    this.watch = new ResizeObserver(() => this.resize());
    this.watch.observe(el);
    this.width = el.clientWidth || 900;
    this.load();
  }

  // ---- coordinates: millimetres to pixels; y is flipped here and nowhere else
  x(mm) { return this.left + (mm - this.home[0]) * this.scale; }
  y(mm) { return this.top + (this.home[3] - mm) * this.scale; }

  resize() {
    const width = Math.round(this.svg.parentNode.clientWidth);
    if (width > 0 && Math.abs(width - this.width) > 1) {
      this.width = width;
      this.place();
      this.draw();
    }
  }

  load() {
    const scene = this.model.get("scene");
    if (!scene || !scene.items) return;
    this.scene = structuredClone(scene);
    if (this.grip) this.regrip();
    else this.place();
    this.draw();
  }

  regrip() {
    // a scene came while an item is held: it stays under the pointer, and the picture its scale
    const { grip } = this;
    const held = this.find(grip.item.id);
    if (held && grip.kind === "shift" && grip.live) Object.assign(held, { x: grip.item.x, y: grip.item.y });
    if (held) grip.item = held;
    else this.grip = null;
  }

  place() {
    if (!this.scene) return;
    const { box, wall } = this.scene;
    const long = box[2] - box[0] + 2 * wall;
    const wide = box[3] - box[1] + 2 * wall;
    const across = Math.max(240, this.width - ROOM.left - ROOM.right);
    this.scale = Math.min(across / long, 560 / wide);
    this.home = [...box];
    const free = this.width - ROOM.left - ROOM.right - long * this.scale;
    this.left = ROOM.left + wall * this.scale + Math.max(0, free / 2);
    this.top = ROOM.top + wall * this.scale;
    this.height = ROOM.top + ROOM.bottom + wide * this.scale;
    this.svg.setAttribute("viewBox", `0 0 ${this.width} ${this.height}`);
    this.svg.setAttribute("height", this.height);
    this.svg.setAttribute("width", this.width);
  }

  patterns() {
    const defs = node(this.svg, "defs");
    const pattern = (name, size, path, turn = 0) => {
      const made = node(defs, "pattern", {
        id: `${this.id}-${name}`, width: size, height: size, patternUnits: "userSpaceOnUse",
        patternTransform: `rotate(${turn})`,
      });
      return path(made);
    };
    pattern("dots", 7, (p) => node(p, "circle", { cx: 3.5, cy: 3.5, r: 0.7, class: "fk-dot" }));
    pattern("wall", 6, (p) => node(p, "path", { d: "M0 0V6", class: "fk-hatch" }), 45);
    pattern("connector", 5, (p) => node(p, "path", { d: "M0 0V5", class: "fk-connector" }), -45);
    pattern("cable", 5, (p) => node(p, "path", { d: "M0 2.5H5", class: "fk-soft" }));
    pattern("vent", 5, (p) => node(p, "path", { d: "M2.5 0V5", class: "fk-soft" }));
    pattern("hand", 6, (p) => node(p, "path", { d: "M0 3H6M3 0V6", class: "fk-soft" }));
  }

  fill(name) { return `url(#${this.id}-${name})`; }

  path(rings, x, y) {
    return rings
      .map((ring) => "M" + ring.map(([a, b]) =>
        `${this.x(a + x).toFixed(2)} ${this.y(b + y).toFixed(2)}`).join("L") + "Z")
      .join("");
  }

  // ---- drawing
  draw() {
    if (!this.scene) return;
    this.drawBox();
    clear(this.ghostsLayer);
    for (const ghost of this.scene.ghosts)
      node(this.ghostsLayer, "path", { d: this.path(ghost, 0, 0), class: "fk-ghost" });
    this.drawItems();
    this.drawGaps();
    this.drawHandles();
  }

  drawBox() {
    const { box, wall, corner, texts } = this.scene;
    clear(this.wallLayer);
    clear(this.sizesLayer);
    const rect = (grow, attributes) => node(this.wallLayer, "rect", {
      x: this.x(box[0] - grow), y: this.y(box[3] + grow),
      width: Math.max(1, (box[2] - box[0] + 2 * grow) * this.scale),
      height: Math.max(1, (box[3] - box[1] + 2 * grow) * this.scale), ...attributes,
    });
    const round = corner * this.scale;
    rect(wall, { class: "fk-outside", rx: Math.max(3, round) });
    rect(wall, { fill: this.fill("wall"), rx: Math.max(3, round) });
    rect(0, { class: "fk-interior", rx: round });
    rect(0, { fill: this.fill("dots"), rx: round });
    const top = this.y(box[3] + wall);
    const side = this.x(box[0] - wall);
    this.size([this.x(box[0] - wall), top - 40], [this.x(box[2] + wall), top - 40], texts.outside[0], top, "outside-length");
    this.size([this.x(box[0]), top - 18], [this.x(box[2]), top - 18], texts.interior[0], top, "interior-length");
    this.size([side - 44, this.y(box[1] - wall)], [side - 44, this.y(box[3] + wall)], texts.outside[1], side, "outside-width");
    this.size([side - 20, this.y(box[1])], [side - 20, this.y(box[3])], texts.interior[1], side, "interior-width");
  }

  size(a, b, text, edge, name) {
    const g = node(this.sizesLayer, "g", { class: "fk-size" });
    const flat = a[1] === b[1];
    const [mx, my] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    for (const end of [a, b])
      node(g, "path", { class: "fk-extension", d: flat ? `M${end[0]} ${edge}V${end[1] - 5}` : `M${edge} ${end[1]}H${end[0] - 5}` });
    node(g, "path", { class: "fk-dimension", d: `M${a}L${b}` });
    for (const [end, sign] of [[a, 1], [b, -1]]) {
      const way = flat ? [sign, 0] : [0, -sign];
      const tip = (along, across) => `${end[0] + way[0] * along + way[1] * across} ${end[1] + way[1] * along + way[0] * across}`;
      node(g, "path", { class: "fk-arrow", d: `M${tip(0, 0)}L${tip(8, 1.8)}L${tip(8, -1.8)}Z` });
    }
    const wide = text.length * 6.6 + 10;
    const label = node(g, "g", flat ? {} : { transform: `rotate(-90 ${mx} ${my})` });
    node(label, "rect", { class: "fk-paper", x: mx - wide / 2, y: my - 8, width: wide, height: 16 });
    node(label, "text", { class: "fk-number", x: mx, y: my + 4, "text-anchor": "middle", "data-size": name }, text);
  }

  drawItems() {
    clear(this.itemsLayer);
    clear(this.zonesLayer);
    for (const item of this.scene.items) this.drawItem(item);
  }

  drawItem(item) {
    const failing = this.scene.failing[item.id];
    item.zoneGroup = node(this.zonesLayer, "g");
    for (const zone of item.zones) {
      const d = this.path(zone.rings, item.x, item.y);
      node(item.zoneGroup, "path", { d, fill: this.fill(zone.kind), class: `fk-zone fk-zone-${zone.kind}` });
    }
    const classes = ["fk-item", item.id === this.scene.chosen ? "fk-chosen" : "", failing ? "fk-failing" : ""];
    const group = node(this.itemsLayer, "g", {
      class: classes.join(" ").trim(), tabindex: 0, role: "button", "data-item": item.id,
      "aria-label": `${item.name}${item.pinned ? ", pinned" : ""}${failing ? `, ${failing}` : ""}`,
    });
    item.group = group;
    node(group, "path", { d: this.path(item.rings, item.x, item.y), class: "fk-body", "fill-rule": "evenodd" });
    this.drawName(group, item, failing);
    group.addEventListener("pointerdown", (event) => this.take(event, item, "shift"));
    group.addEventListener("keydown", (event) => this.key(event, item));
    group.addEventListener("focus", () => { if (!this.grip) this.choose(item.id); });
  }

  drawName(group, item, failing) {
    const wide = item.w * this.scale;
    const high = item.h * this.scale;
    const [mx, my] = [this.x(item.x + item.w / 2), this.y(item.y + item.h / 2)];
    const upright = high > 1.6 * wide && item.name.length * 7 > wide;
    const room = upright ? high : wide;
    const label = node(group, "g", { class: "fk-label" });
    if (upright) label.setAttribute("transform", `rotate(-90 ${mx} ${my})`);
    const size = Math.max(9, Math.min(13, (1.75 * (room - 8)) / Math.max(4, item.name.length)));
    const words = item.name.length * size * 0.6 > room - 6 && item.name.includes(" ") ? item.name.split(" ") : [item.name];
    const lines = words.map((word) => [word, "fk-name", size]);
    const deep = upright ? wide : high;
    if (deep > 48 && room > item.sub.length * 5.6 + 8) lines.push([item.sub, "fk-fact", 10]);
    if (failing && deep > 30) lines.push([failing.toUpperCase(), "fk-verdict", 9]);
    if (item.pinned) lines.push(["PINNED", "fk-pin", 9]);
    let at = my - (lines.reduce((sum, line) => sum + line[2] + 3, 0) - 3) / 2;
    for (const [text, kind, high] of lines) {
      at += high;
      node(label, "text", { x: mx, y: at - 1, class: kind, "font-size": high, "text-anchor": "middle" }, text);
      at += 3;
    }
  }

  drawGaps() {
    clear(this.gapsLayer);
    const taken = [];
    for (const gap of this.scene.gaps) {
      const a = [this.x(gap.a[0]), this.y(gap.a[1])];
      const b = [this.x(gap.b[0]), this.y(gap.b[1])];
      const g = node(this.gapsLayer, "g", { class: `fk-gap fk-${gap.verdict}` });
      node(g, "path", { d: `M${a}L${b}`, class: "fk-witness" });
      for (const end of [a, b]) node(g, "circle", { cx: end[0], cy: end[1], r: 2.4, class: "fk-end" });
      this.tag(g, a, b, gap, taken);
    }
  }

  tag(g, a, b, gap, taken) {
    const wide = gap.text.length * 7 + 14;
    const high = 18;
    const middle = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    const flat = Math.abs(a[1] - b[1]) < Math.abs(a[0] - b[0]);
    const spots = [];
    for (const away of [0, 1, 2, 3])
      for (const sign of away ? [-1, 1] : [-1])
        spots.push(flat ? [middle[0], middle[1] + sign * (16 + 20 * Math.max(0, away - 1)) * (away ? 1 : 1)]
          : [middle[0] + sign * (wide / 2 + 8) * Math.max(1, away), middle[1]]);
    const free = ([x, y]) => x - wide / 2 > 2 && x + wide / 2 < this.width - 2 && y - high / 2 > 2 &&
      !taken.some((t) => Math.abs(t[0] - x) < (t[2] + wide) / 2 + 2 && Math.abs(t[1] - y) < high + 2);
    const [x, y] = spots.find(free) || spots[0];
    taken.push([x, y, wide]);
    node(g, "rect", {
      class: "fk-tag", x: x - wide / 2, y: y - high / 2, width: wide, height: high,
      rx: gap.verdict === "fails" ? 0 : high / 2,
    });
    node(g, "text", { class: "fk-tag-text", x, y: y + 4, "text-anchor": "middle", "data-gap": gap.to }, gap.text);
  }

  drawHandles() {
    clear(this.handlesLayer);
    const item = this.find(this.scene.chosen);
    if (!item) return;
    const [x0, y0, x1] = [this.x(item.x), this.y(item.y + item.h), this.x(item.x + item.w)];
    const button = (x, text, name, act) => {
      const wide = text.length * 6.4 + 14;
      const g = node(this.handlesLayer, "g", { class: "fk-button", "data-handle": name });
      node(g, "rect", { x, y: y0 - 22, width: wide, height: 17, rx: 3 });
      node(g, "text", { x: x + wide / 2, y: y0 - 10, "text-anchor": "middle" }, text);
      act(g);
      return wide;
    };
    const away = button(x0, item.pinned ? "unpin" : "pin", "pin", (g) =>
      g.addEventListener("pointerdown", (event) => {
        event.preventDefault();
        event.stopPropagation();
        this.act({ kind: "pin", id: item.id, pinned: !item.pinned });
      }));
    if (item.step < 360)
      button(Math.max(x1 - 40, x0 + away + 4), "turn", "turn", (g) =>
        g.addEventListener("pointerdown", (event) => this.take(event, item, "turn")));
  }

  // ---- moving
  find(id) { return this.scene.items.find((item) => item.id === id); }

  take(event, item, kind) {
    if (event.button !== 0) return;
    event.preventDefault();
    event.stopPropagation();
    this.choose(item.id);
    item = this.find(item.id);
    const at = this.point(event);
    this.grip = { kind, item, from: at, start: [item.x, item.y], turn: item.turn, live: false };
    if (kind === "turn") {
      const centre = [this.x(item.x + item.w / 2), this.y(item.y + item.h / 2)];
      this.grip.centre = centre;
      this.grip.angle = Math.atan2(centre[1] - at[1], at[0] - centre[0]);
    }
    const move = (next) => this.drag(next);
    const drop = (next) => {
      window.removeEventListener("pointermove", move);
      window.removeEventListener("pointerup", drop);
      window.removeEventListener("pointercancel", drop);
      this.drop(next);
    };
    window.addEventListener("pointermove", move);
    window.addEventListener("pointerup", drop);
    window.addEventListener("pointercancel", drop);
    item.group.focus({ preventScroll: true });
  }

  point(event) {
    const frame = this.svg.getBoundingClientRect();
    const zoom = this.width / frame.width;
    return [(event.clientX - frame.left) * zoom, (event.clientY - frame.top) * zoom];
  }

  drag(event) {
    const { grip } = this;
    if (!grip) return;
    const at = this.point(event);
    if (!grip.live && Math.hypot(at[0] - grip.from[0], at[1] - grip.from[1]) < 3) return;
    grip.live = true;
    const item = grip.item;
    if (grip.kind === "shift") {
      item.x = grip.start[0] + (at[0] - grip.from[0]) / this.scale;
      item.y = grip.start[1] - (at[1] - grip.from[1]) / this.scale;
      this.shift(item);
      this.send({ id: item.id, x: item.x, y: item.y });
      return;
    }
    const angle = Math.atan2(grip.centre[1] - at[1], at[0] - grip.centre[0]);
    const by = Math.round((((angle - grip.angle) * 180) / Math.PI) / item.step) * item.step;
    if (by === grip.by) return;
    grip.by = by;
    const spin = `rotate(${-(grip.turn + by - item.turn)} ${grip.centre})`;
    item.group.setAttribute("transform", spin);
    item.zoneGroup.setAttribute("transform", spin);
    this.send({ id: item.id, turn: grip.turn + by });
  }

  drop() {
    const { grip } = this;
    this.grip = null;
    if (!grip || !grip.live) return;
    const item = grip.item;
    this.send(grip.kind === "shift"
      ? { id: item.id, x: item.x, y: item.y, drop: true }
      : { id: item.id, turn: grip.turn + (grip.by || 0), drop: true });
  }

  shift(item) {
    // the outline follows the pointer at once; gaps and box come with the answer
    const index = this.scene.items.indexOf(item);
    item.group.querySelector(".fk-body").setAttribute("d", this.path(item.rings, item.x, item.y));
    item.group.querySelector(".fk-label").remove();
    this.drawName(item.group, item, this.scene.failing[item.id]);
    clear(item.zoneGroup);
    for (const zone of item.zones)
      node(item.zoneGroup, "path", { d: this.path(zone.rings, item.x, item.y), fill: this.fill(zone.kind), class: `fk-zone fk-zone-${zone.kind}` });
    this.scene.items[index] = item;
    this.drawHandles();
  }

  key(event, item) {
    const step = event.shiftKey ? 10 : 1;
    const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    const way = ways[event.key];
    if (way) {
      event.preventDefault();
      event.stopPropagation();
      item = this.find(item.id);
      item.x += way[0] * step;
      item.y += way[1] * step;
      this.shift(item);
      this.send({ id: item.id, x: item.x, y: item.y, drop: true });
    } else if (event.key === "t" && item.step < 360) {
      event.preventDefault();
      this.send({ id: item.id, turn: item.turn + (item.step > 1 ? item.step : 15), drop: true });
    } else if (event.key === "p") {
      event.preventDefault();
      this.act({ kind: "pin", id: item.id, pinned: !item.pinned });
    }
  }

  choose(id) {
    if (this.scene.chosen === id) return;
    this.scene.chosen = id;
    for (const item of this.scene.items) item.group.classList.toggle("fk-chosen", item.id === id);
    this.scene.gaps = [];
    this.drawGaps();
    this.drawHandles();
    this.act({ kind: "choose", id });
  }

  // ---- talking with Python
  act(what) {
    this.model.set("act", { ...what, n: (this.sent += 1) });
    this.model.save_changes();
  }

  send(move) {
    if (this.waiting !== null && performance.now() - this.since < WAIT_MS) {
      this.pending = move;
      return;
    }
    this.sent += 1;
    this.waiting = this.sent;
    this.since = performance.now();
    this.pending = null;
    this.model.set("move", { ...move, n: this.sent });
    this.model.save_changes();
  }

  answered() {
    const answer = this.model.get("answer");
    if (!answer || answer.n === undefined) return;
    if (answer.n === this.waiting) this.waiting = null;
    if (this.pending) this.send(this.pending);
    if (!this.scene) return;
    const item = this.find(answer.id);
    if (item && answer.rings) {
      Object.assign(item, { rings: answer.rings, zones: answer.zones, turn: answer.turn, w: answer.w, h: answer.h, x: answer.x, y: answer.y });
    }
    const refit = !this.grip && this.strayed(answer.box);
    Object.assign(this.scene, { box: answer.box, texts: answer.texts, gaps: answer.gaps, failing: answer.failing });
    if (refit) {
      this.place();
      this.draw();
      return;
    }
    this.drawBox();
    this.refresh(item);
    this.drawGaps();
    this.drawHandles();
  }

  strayed(box) {
    // has the box grown out of the picture while sliders move an item?
    const wall = this.scene.wall;
    return this.x(box[0] - wall) < 50 || this.x(box[2] + wall) > this.width - 4 ||
      this.y(box[3] + wall) < 46 || this.y(box[1] - wall) > this.height - 4;
  }

  refresh(moved) {
    for (const item of this.scene.items) {
      const failing = this.scene.failing[item.id];
      item.group.classList.toggle("fk-failing", Boolean(failing));
      if (item === moved) {
        item.group.removeAttribute("transform");
        item.zoneGroup.removeAttribute("transform");
        this.shift(item);
      } else {
        item.group.querySelector(".fk-label").remove();
        this.drawName(item.group, item, failing);
      }
    }
  }

  close() { this.watch.disconnect(); }
}

export default {
  render({ model, el }) {
    const board = new Board(model, el);
    return () => board.close();
  },
};
