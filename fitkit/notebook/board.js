// The board: one tier of one half, seen from above. Python sends what to draw (`scene`) and, while
// an item is moved, what follows from it (`answer`); the board sends where the item was put
// (`move`) and what was clicked (`act`).

class Board extends Picture {
  constructor(model, el) {
    super(el);
    this.model = model;
    this.link = new Link(model);
    this.grip = null; // what the pointer holds
    model.on("change:scene", () => this.load());
    model.on("change:answer", () => this.answered());
    this.watch = new ResizeObserver(() => this.resize());
    this.watch.observe(el);
    this.load();
  }

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

  listen(group, item) {
    group.addEventListener("pointerdown", (event) => this.take(event, item, "shift"));
    group.addEventListener("keydown", (event) => this.key(event, item));
    group.addEventListener("focus", () => { if (!this.grip) this.choose(item.id); });
  }

  drawHandles() {
    clear(this.handlesLayer);
    const item = this.find(this.scene.chosen);
    if (!item) return;
    const [x0, y0, x1] = [this.x(item.x), this.y(item.y + item.h), this.x(item.x + item.w)];
    // inside the item where there is room, else above it
    const inside = item.h * this.scale > 84 && item.w * this.scale > 104;
    const top = inside ? y0 + 5 : y0 - 22;
    const inset = inside ? 6 : 0;
    const button = (x, text, name, act) => {
      const wide = text.length * 6.4 + 14;
      const g = node(this.handlesLayer, "g", { class: "fk-button", "data-handle": name });
      node(g, "rect", { x, y: top, width: wide, height: 17, rx: 3 });
      node(g, "text", { x: x + wide / 2, y: top + 12, "text-anchor": "middle" }, text);
      act(g);
      return wide;
    };
    const away = button(x0 + inset, item.pinned ? "unpin" : "pin", "pin", (g) =>
      g.addEventListener("pointerdown", (event) => {
        event.preventDefault();
        event.stopPropagation();
        this.act({ kind: "pin", id: item.id, pinned: !item.pinned });
      }));
    if (item.step < 360)
      button(Math.max(x1 - 40 - inset, x0 + inset + away + 4), "turn", "turn", (g) =>
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
    this.model.set("act", { ...what, n: this.link.next() });
    this.model.save_changes();
  }

  send(move) { this.link.send(move); }

  answered() {
    const answer = this.model.get("answer");
    if (!answer || answer.n === undefined) return;
    this.link.heard(answer.n);
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
