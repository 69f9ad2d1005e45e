// Stands in for Python on a page of its own: it keeps the pieces, answers moves and acts, and
// remembers every step. Gaps between the bodies that keep a distance, the walls and the interior that follows
// are worked out here; heights, foam and zones are not: they are checked when the layout is
// loaded back.

const SHOWN = 3; // gaps that hold, shown of the chosen item
const SAME = 1e-6; // millimetres that count as nothing

class OfflineModel {
  constructor(data) {
    this.data = data;
    this.listeners = {};
    this.values = { scene: {}, answer: {}, told: {}, heard: {} };
    this.level = data.level;
    this.follows = data.follows;
    this.chosen = [];
    this.box = [...Object.values(data.scenes)[0].box];
    this.pieces = new Map();
    for (const scene of Object.values(data.scenes))
      for (const item of scene.items) if (!this.pieces.has(item.id)) this.pieces.set(item.id, this.piece(item, data.scenes));
    this.near = new Map(); // id -> [[other, limit], ...]
    for (const [a, b, limit] of data.pairs)
      for (const [one, other] of [[a, b], [b, a]]) this.near.set(one, [...(this.near.get(one) || []), [other, limit]]);
    this.known = new Map(); // gaps of pairs that have not moved since
    this.past = [];
    this.future = [];
    this.dirty = false;
    this.settle();
    this.values.scene = this.scene("");
  }

  // ---- as the widget's model in a notebook
  get(name) { return this.values[name]; }
  set(name, value) { this.values[name] = value; }
  on(event, listener) { (this.listeners[event] ||= []).push(listener); }
  off(event, listener) { this.listeners[event] = (this.listeners[event] || []).filter((one) => one !== listener); }

  save_changes() {
    const { view, list } = structuredClone(this.values.told);
    setTimeout(() => {
      for (const entry of list)
        if (!(entry.n <= this.values.heard[view])) this.put({ heard: { ...this.values.heard, [view]: entry.n }, ...(entry.act ? this.acted(entry) : this.moved(entry)) });
    });
  }

  put(changes) {
    Object.assign(this.values, changes);
    for (const name of Object.keys(changes)) for (const listener of this.listeners[`change:${name}`] || []) listener();
  }

  // ---- the pieces
  piece(item, scenes) {
    const own = Object.values(scenes).flatMap((scene) => scene.items).find((one) => one.id === item.id && !one.dim) || item;
    const level = own.level || Object.keys(scenes).find((id) => id !== "all" && scenes[id].items.some((one) => one.id === item.id && !one.dim));
    return { ...structuredClone(own), level, dim: false, over: false, measured: { rings: own.rings, zones: own.zones, turn: own.turn } };
  }

  // the piece as turned, its box's middle where it was
  turn(piece, degrees) {
    const { rings, zones, turn } = piece.measured;
    const turned = turnedRings(rings, degrees - turn);
    const [x0, y0, x1, y1] = boxOf(turned);
    const [w, h] = [x1 - x0, y1 - y0];
    const made = zones.map((zone) => ({ ...zone, rings: movedRings(turnedRings(zone.rings, degrees - turn), -x0, -y0) }));
    return { ...piece, rings: movedRings(turned, -x0, -y0), zones: made, w, h, x: piece.x + (piece.w - w) / 2, y: piece.y + (piece.h - h) / 2, turn: ((degrees % 360) + 360) % 360 };
  }

  body(piece) { return movedRings(piece.rings, piece.x, piece.y); }

  change(id, piece) {
    this.pieces.set(id, piece);
    for (const key of [...this.known.keys()]) if (key.split("|").includes(id)) this.known.delete(key);
  }

  gap(a, b) {
    const key = a < b ? `${a}|${b}` : `${b}|${a}`;
    if (!this.known.has(key)) {
      const [p, q] = key.split("|").map((id) => this.pieces.get(id));
      this.known.set(key, apart(this.body(p), this.body(q)));
    }
    const found = this.known.get(key);
    return a < b ? found : { gap: found.gap, a: found.b, b: found.a };
  }

  outline(piece) { return [piece.x, piece.y, piece.x + piece.w, piece.y + piece.h]; }

  // pairs that are nearer than they may be
  tooNear() {
    const found = [];
    for (const [a, b, limit] of this.data.pairs) {
      const [p, q] = [this.pieces.get(a), this.pieces.get(b)];
      if (boxGap(this.outline(p), this.outline(q)) >= limit - SAME) continue;
      const { gap } = this.gap(a, b);
      if (gap < limit - SAME) found.push([a, b, gap]);
    }
    return found;
  }

  settle() {
    if (!this.follows) return;
    const keep = this.data.clearance;
    const box = [Infinity, Infinity, -Infinity, -Infinity];
    const take = ([x0, y0, x1, y1], by) => {
      box[0] = Math.min(box[0], x0 - by);
      box[1] = Math.min(box[1], y0 - by);
      box[2] = Math.max(box[2], x1 + by);
      box[3] = Math.max(box[3], y1 + by);
    };
    for (const piece of this.pieces.values()) {
      take(this.outline(piece), keep);
      for (const zone of piece.zones) take(boxOf(movedRings(zone.rings, piece.x, piece.y)), 0);
    }
    if (this.pieces.size) this.box = box;
  }

  failing() {
    const marks = {};
    const [x0, y0, x1, y1] = this.box;
    const keep = this.data.clearance - SAME;
    for (const [id, piece] of this.pieces) {
      const [a, b, c, d] = this.outline(piece);
      const least = Math.min(a - x0, b - y0, x1 - c, y1 - d);
      const zones = piece.zones.map((zone) => boxOf(movedRings(zone.rings, piece.x, piece.y)));
      if (least < -SAME || zones.some((z) => Math.min(z[0] - x0, z[1] - y0, x1 - z[2], y1 - z[3]) < -SAME)) marks[id] = "outside";
      else if (least < keep) marks[id] = "too close";
    }
    for (const [a, b, gap] of this.tooNear().sort((p, q) => q[2] - p[2])) marks[a] = marks[b] = gap <= 0 ? "overlaps" : "too close";
    return marks;
  }

  // ---- gaps of the chosen item
  gaps() {
    const lead = this.pieces.get(this.chosen[0]);
    if (!lead) return [];
    const all = [];
    for (const [other, limit] of this.near.get(lead.id) || []) all.push({ to: other, limit, kind: "item", ...this.gap(lead.id, other) });
    const [x0, y0, x1, y1] = this.outline(lead);
    const [mx, my] = [(x0 + x1) / 2, (y0 + y1) / 2];
    const [X0, Y0, X1, Y1] = this.box;
    const walls = [["left wall", x0 - X0, [x0, my], [X0, my]], ["right wall", X1 - x1, [x1, my], [X1, my]], ["front wall", y0 - Y0, [mx, y0], [mx, Y0]], ["back wall", Y1 - y1, [mx, y1], [mx, Y1]]];
    for (const [to, gap, a, b] of walls) all.push({ to, limit: this.data.clearance, kind: "wall", gap, a, b });
    all.sort((p, q) => p.gap - p.limit - (q.gap - q.limit));
    const fails = all.filter((one) => one.gap < one.limit - SAME);
    const rest = all.filter((one) => one.gap >= one.limit - SAME).slice(0, SHOWN);
    return [...fails, ...rest].map(({ to, limit, kind, gap, a, b }) => {
      const bad = gap < limit - SAME;
      const text = bad && gap <= 0 ? (kind === "wall" ? "outside" : "overlaps") : bad ? `${this.tenths(gap)} < ${this.length(limit)}` : this.tenths(gap);
      return { to, kind, verdict: bad ? "fails" : "ok", text, a, b };
    });
  }

  // ---- figures
  get inches() { return Object.values(this.data.scenes)[0].units === "in"; }
  tenths(mm) { return this.inches ? (mm / 25.4).toFixed(2) : mm.toFixed(1); }
  length(mm) { return String(Number(this.inches ? (mm / 25.4).toFixed(3) : mm.toFixed(1))); }
  sizes(values) { return `${values.map((mm) => this.length(mm)).join(" × ")} ${this.inches ? "in" : "mm"}`; }

  drawn() {
    const first = Object.values(this.data.scenes)[0];
    const inner = [this.box[2] - this.box[0], this.box[3] - this.box[1]];
    const outer = inner.map((mm) => mm + 2 * first.wall);
    const [high, highest] = this.data.heights_mm || [];
    const facts = first.facts.filter(([name]) => name === "mass");
    return {
      box: [...this.box],
      texts: { interior: inner.map((mm) => `${this.length(mm)} interior`), outside: outer.map((mm) => `${this.length(mm)} outside`) },
      facts: [["interior", this.sizes(high ? [...inner, high] : inner)], ["outside", this.sizes(highest ? [...outer, highest] : outer)], ...facts],
      gaps: this.gaps(), failing: this.failing(), balance: null,
    };
  }

  scene(status) {
    const { scenes } = this.data;
    const first = Object.values(scenes)[0];
    const used = scenes[this.level] || { ...first, items: [...this.pieces.values()] };
    const items = used.items.map((item) => ({ ...this.pieces.get(item.id), dim: item.dim, measured: undefined }));
    return {
      ...used, items, level: this.level, follows: this.follows, chosen: this.chosen.filter((id) => items.some((item) => item.id === id)),
      snap: null, sends: false, webs: [], busy: null, status, undo: this.words(this.past), redo: this.words(this.future), ...this.drawn(),
    };
  }

  words(steps) { return steps.length ? steps[steps.length - 1].what : null; }

  // ---- what the builder does
  state() { return { pieces: new Map(this.pieces), follows: this.follows, box: this.box }; }

  step(what, before = this.state()) {
    this.past.push({ what, ...before });
    this.future = [];
    this.dirty = true;
  }

  restore(from, to) {
    const step = from.pop();
    if (!step) return "nothing to take back";
    to.push({ what: step.what, ...this.state() });
    for (const [id, piece] of step.pieces) if (this.pieces.get(id) !== piece) this.change(id, piece);
    Object.assign(this, { follows: step.follows, box: step.box });
    this.dirty = true;
    return step.what;
  }

  moved(entry) {
    const lead = this.pieces.get(entry.id);
    const before = (this.before ||= this.state());
    if (entry.back) for (const [id, piece] of before.pieces) if (this.pieces.get(id) !== piece) this.change(id, piece);
    const answer = { n: entry.n, view: entry.view, id: entry.id, land: null };
    if (entry.turn !== undefined && !entry.back) {
      const now = this.turn(lead, entry.turn);
      this.change(entry.id, now);
      const { x, y, w, h, rings, zones, turn } = now;
      answer.moved = { [entry.id]: { x, y, w, h, rings, zones, turn } };
    } else if (!entry.back) {
      const [dx, dy] = [entry.x - lead.x, entry.y - lead.y];
      for (const id of entry.ids) {
        const piece = this.pieces.get(id);
        this.change(id, { ...piece, x: piece.x + dx, y: piece.y + dy });
      }
    }
    this.settle();
    const many = entry.ids && entry.ids.length > 1 ? ` and ${entry.ids.length - 1} more` : "";
    const what = `${entry.turn === undefined ? "move" : "turn"} ${lead.name}${many}`;
    Object.assign(answer, this.drawn(), { status: this.told(lead) });
    if (entry.drop) this.step(what, before);
    if (entry.drop || entry.back) this.before = null;
    return entry.drop || entry.back ? { answer, scene: this.scene(answer.status) } : { answer };
  }

  told(lead) {
    const bad = this.failing()[lead.id];
    const [x, y] = [lead.x - this.box[0], lead.y - this.box[1]];
    return bad ? `${lead.name}: ${bad}` : `${lead.name} stands free, ${this.length(x)} from the left, ${this.length(y)} from the front`;
  }

  acted(entry) {
    let status = "";
    if (entry.kind === "choose") this.chosen = entry.ids;
    else if (entry.kind === "show") {
      this.level = entry.level;
      this.chosen = [];
    } else if (entry.kind === "lock") {
      const names = entry.ids.map((id) => this.pieces.get(id).name);
      status = `${names.join(", ")} ${entry.on ? "locked" : "unlocked"}`;
      this.step(`${entry.on ? "lock" : "unlock"} ${names[0]}`);
      for (const id of entry.ids) this.change(id, { ...this.pieces.get(id), locked: entry.on });
    } else if (entry.kind === "follow" && entry.on !== this.follows) {
      this.step(entry.on ? "let the interior follow" : "fix the interior");
      this.follows = entry.on;
      this.settle();
    } else if (entry.kind === "undo") status = `taken back: ${this.restore(this.past, this.future)}`;
    else if (entry.kind === "redo") status = `done again: ${this.restore(this.future, this.past)}`;
    return { scene: this.scene(status) };
  }

  // ---- the layout, to be loaded back
  layout() {
    const placements = this.data.placements.map((old) => {
      const piece = this.pieces.get(`${old.item}/${old.copy}`);
      const exact = (value) => Math.round(value * 1e4) / 1e4;
      return piece ? { ...old, turn_deg: exact(piece.turn), x_mm: exact(piece.x), y_mm: exact(piece.y) } : old;
    });
    const locked = [...this.pieces.values()].filter((piece) => piece.locked).map((piece) => piece.id);
    return { format: "fitkit-layout", version: 1, plan: this.data.plan, placements, locked, follows: this.follows };
  }
}

function openPage() {
  const data = JSON.parse(document.getElementById("fk-board-data").textContent);
  const model = new OfflineModel(data);
  render({ model, el: document.getElementById("fk-board") });
  const said = document.getElementById("fk-saved");
  document.getElementById("fk-save").addEventListener("click", () => {
    const text = JSON.stringify(model.layout(), null, 1);
    const link = tag(null, "a", { href: URL.createObjectURL(new Blob([text], { type: "application/json" })), download: data.file });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
    model.dirty = false;
    said.textContent = `${data.file} saved: load it back on the board of the notebook`;
  });
  window.addEventListener("beforeunload", (event) => { if (model.dirty) event.preventDefault(); });
  return model;
}
