// The items on the board: outline, zones, name, state. Nodes are kept from scene to scene, so that
// the focus stays where it is and only what changed is drawn.

const PARTS = ["g", "zones", "over", "label"];

class Picture {
  constructor(board) {
    this.board = board;
    this.view = board.view;
    this.nodes = new Map(); // id -> what is drawn of it
  }

  get scene() { return this.board.scene; }

  // does the item take part, or is it only seen through?
  live(item) { return !item.dim || this.scene.level === "all"; }

  draw() {
    this.view.svg.classList.toggle("fkb-all", this.scene.level === "all");
    const stay = new Set(this.scene.items.map((item) => item.id));
    for (const id of [...this.nodes.keys()]) if (!stay.has(id)) this.remove(id);
    for (const item of this.scene.items) this.drawItem(item);
    this.nameAll();
  }

  remove(id) {
    const drawn = this.nodes.get(id);
    for (const part of PARTS) if (drawn[part]) drawn[part].remove();
    if (drawn.clip) drawn.clip.remove();
    this.nodes.delete(id);
  }

  make(item) {
    const { layers } = this.view;
    const drawn = { live: this.live(item), dim: item.dim };
    if (drawn.live) {
      drawn.g = node(layers.items, "g", { tabindex: 0, role: "button", "data-item": item.id });
      drawn.title = node(drawn.g, "title");
      drawn.zones = node(layers.zones, "g");
      drawn.over = node(layers.over, "g");
    } else {
      drawn.g = node(layers.dim, "g", { "data-dim": item.id, "aria-hidden": "true" });
    }
    drawn.body = node(drawn.g, "path", { class: "fkb-body", "fill-rule": "evenodd" });
    this.nodes.set(item.id, drawn);
    return drawn;
  }

  drawItem(item) {
    let drawn = this.nodes.get(item.id);
    if (drawn && (drawn.live !== this.live(item) || drawn.dim !== item.dim)) {
      this.remove(item.id);
      drawn = null;
    }
    drawn = drawn || this.make(item);
    this.shape(item, drawn);
    this.place(item);
    this.mark(item);
  }

  shape(item, drawn) {
    const d = this.view.path(item.rings);
    if (drawn.d !== d) {
      drawn.d = d;
      drawn.body.setAttribute("d", d);
      drawn.lockedAs = null;
      drawn.named = null;
    }
    if (!drawn.live) return;
    const zones = item.zones.map((zone) => `${zone.kind} ${this.view.path(zone.rings)}`).join("|");
    if (drawn.zonesAs === zones) return;
    drawn.zonesAs = zones;
    clear(drawn.zones);
    clear(drawn.over);
    for (const zone of item.zones) {
      const line = this.view.path(zone.rings);
      node(drawn.zones, "path", { d: line, fill: this.view.fill(zone.kind), class: `fkb-zone fkb-zone-${zone.kind}`, "data-zone": zone.kind });
      node(drawn.over, "path", { d: line, class: `fkb-zone-edge fkb-zone-${zone.kind}` });
    }
  }

  // where it stands, and how far it is turned on the screen beyond what Python has drawn
  transform(item) {
    const at = this.view.at(item.x, item.y);
    if (!item.spin) return at;
    return `${at} rotate(${-item.spin} ${this.view.x(item.w / 2)} ${this.view.y(item.h / 2)})`;
  }

  place(item) {
    const drawn = this.nodes.get(item.id);
    const transform = this.transform(item);
    for (const part of ["g", "zones", "over"]) if (drawn[part]) drawn[part].setAttribute("transform", transform);
    if (drawn.label) drawn.label.setAttribute("transform", this.view.at(item.x, item.y));
  }

  // lock, verdict, choice: by line and words, and for those who listen
  mark(item) {
    const drawn = this.nodes.get(item.id);
    if (!drawn.live) {
      drawn.g.setAttribute("class", "fkb-dim");
      return;
    }
    const failing = this.scene.failing[item.id];
    const chosen = this.scene.chosen.includes(item.id);
    const look = ["fkb-item", chosen && "fkb-is-chosen", failing && "fkb-failing", item.dim && "fkb-dim"];
    drawn.g.setAttribute("class", look.filter(Boolean).join(" "));
    drawn.g.setAttribute("aria-pressed", chosen);
    const label = this.spoken(item, failing);
    if (drawn.spoken !== label) {
      drawn.spoken = label;
      drawn.g.setAttribute("aria-label", label);
      drawn.title.textContent = [item.name, item.sub].filter(Boolean).join(": ");
    }
    if (drawn.lockedAs !== item.locked) this.lock(item, drawn);
  }

  lock(item, drawn) {
    drawn.lockedAs = item.locked;
    if (drawn.inner) drawn.inner.remove();
    if (drawn.clip) drawn.clip.remove();
    drawn.inner = drawn.clip = null;
    if (!item.locked) return;
    const id = `${this.view.id}-in-${item.id}`.replace(/[^\w-]/g, "_");
    drawn.clip = node(this.view.defs, "clipPath", { id });
    node(drawn.clip, "path", { d: drawn.d, "clip-rule": "evenodd" });
    drawn.inner = node(null, "g", { "clip-path": `url(#${id})` });
    node(drawn.inner, "path", { d: drawn.d, class: "fkb-inner" });
    node(drawn.inner, "path", { d: drawn.d, class: "fkb-inner-free" });
    drawn.body.after(drawn.inner);
  }

  length(mm) {
    return this.scene.units === "in" ? `${(mm / 25.4).toFixed(2)} inches` : `${mm.toFixed(1)} mm`;
  }

  spoken(item, failing) {
    const [left, front] = [item.x - this.scene.box[0], item.y - this.scene.box[1]];
    const parts = [item.name, `${this.length(left)} from the left`, `${this.length(front)} from the front`];
    if (item.turn) parts.push(`turned ${Math.round(item.turn * 10) / 10} degrees`);
    const level = this.scene.levels.find((one) => one.id === item.level);
    if (this.scene.level === "all" && level) parts.push(level.name);
    if (item.locked) parts.push("locked");
    parts.push(failing || "all clear");
    return parts.join(", ");
  }

  // ---- names
  named() { return this.scene.items.filter((item) => this.live(item)); }

  nameAll() {
    const items = this.named();
    const taken = [];
    const homeless = [];
    for (const item of items) {
      if (!this.nameWithin(item, taken)) homeless.push(item);
      else taken.push(this.nameBox(item));
    }
    homeless.sort((a, b) => b.w * b.h - a.w * a.h);
    for (const item of homeless) {
      this.nameBeside(item, taken);
      const box = this.nameBox(item);
      if (box) taken.push(box);
    }
  }

  // one item's name anew, the others' stay
  name(item) {
    const taken = this.named().filter((other) => other !== item).map((other) => this.nameBox(other)).filter(Boolean);
    if (!this.nameWithin(item, taken)) this.nameBeside(item, taken);
  }

  nameWithin(item, taken) {
    const drawn = this.nodes.get(item.id);
    const failing = this.scene.failing[item.id];
    const key = `${item.name}|${item.sub}|${failing || ""}|${item.locked}|${this.scene.level === "all"}`;
    if (drawn.named === key && drawn.words && !drawn.words.leader) {
      const box = shifted(drawn.words.box, item, this.view.scale);
      if (!taken.some((other) => meets(box, other))) return true;
    }
    const { scale } = this.view;
    const through = this.scene.level === "all" || failing ? this.named().filter((one) => one !== item && meets(bounds(one, scale), bounds(item, scale))) : [];
    const words = (through.length && within(item, failing, scale, taken, through)) || within(item, failing, scale, taken);
    if (words) this.write(item, words, key);
    return Boolean(words);
  }

  nameBeside(item, taken) {
    const { scale } = this.view;
    const failing = this.scene.failing[item.id];
    const solid = this.named().filter((other) => other !== item).map((other) => bounds(other, scale));
    const words = beside(item, failing, scale, { taken, solid, room: this.room(item), lines: this.lines() }) || shortened(item, failing, scale);
    this.write(item, words, null);
  }

  // witness lines and the mark of the centre of mass, which names beside items do not cross
  lines() {
    const { gaps, webs, balance } = this.scene;
    const lines = [...gaps, ...(webs || [])].map((gap) => [gap.a, gap.b].map(([x, y]) => [this.view.x(x), this.view.y(y)]));
    if (!balance) return lines;
    const [x, y] = [this.view.x(balance.x), this.view.y(balance.y)];
    return [...lines, [[x - 11, y - 6], [x + 11, y - 6]], [[x - 11, y + 6], [x + 11, y + 6]]];
  }

  // names beside their items stay on the foam, or where the item itself is out there, in view
  room(item) {
    const { view } = this;
    const [x0, y0, x1, y1] = this.scene.box;
    const foam = [view.x(x0) + 3, view.y(y1) + 3, view.x(x1) - 3, view.y(y0) - 3];
    const seen = view.seen();
    if (!meets(foam, bounds(item, view.scale), 0)) return seen;
    return [Math.max(foam[0], seen[0]), Math.max(foam[1], seen[1]), Math.min(foam[2], seen[2]), Math.min(foam[3], seen[3])];
  }

  write(item, words, key) {
    const drawn = this.nodes.get(item.id);
    if (drawn.label) drawn.label.remove();
    drawn.label = words ? drawLabel(this.view.layers.names, words) : null;
    if (drawn.label) drawn.label.setAttribute("transform", this.view.at(item.x, item.y));
    drawn.words = words;
    drawn.named = key;
  }

  nameBox(item) {
    const drawn = this.nodes.get(item.id);
    return drawn && drawn.words ? shifted(drawn.words.box, item, this.view.scale) : null;
  }

  nameBoxes() { return this.named().map((item) => this.nameBox(item)).filter(Boolean); }

  focus(id) {
    const drawn = this.nodes.get(id);
    if (drawn && drawn.live) drawn.g.focus({ preventScroll: true });
  }
}
