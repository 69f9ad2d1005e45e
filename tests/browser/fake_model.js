// Plays Python to a board on a static page: records what it is told, answers after `delay`, and
// sends a new picture after each drop. Only the newest of several values set while a message is
// under way is sent on, as a notebook does it; `lose` messages are lost.

class FakeModel {
  constructor(scene, { delay = 0, lose = 0, landing = false, grid = 0 } = {}) {
    this.values = { scene, answer: {}, told: {}, heard: {} };
    this.listeners = {};
    Object.assign(this, { delay, lose, landing, grid, log: [], past: [], saves: 0 });
  }
  get(name) { return this.values[name]; }
  set(name, value) { this.values[name] = value; }
  on(event, listener) { (this.listeners[event] ||= []).push(listener); }
  off(event, listener) { this.listeners[event] = (this.listeners[event] || []).filter((one) => one !== listener); }
  put(changes) {
    Object.assign(this.values, structuredClone(changes));
    for (const name of Object.keys(changes)) for (const listener of this.listeners[`change:${name}`] || []) listener();
  }
  save_changes() {
    this.saves += 1;
    if (this.flying) { this.again = true; return; }
    const told = structuredClone(this.values.told);
    if (this.lose > 0) { this.lose -= 1; return; }
    this.flying = true;
    setTimeout(() => {
      this.flying = false;
      this.python(told);
      if (this.again) { this.again = false; this.save_changes(); }
    }, this.delay);
  }
  python({ view, list }) {
    for (const entry of list) {
      if (entry.n <= (this.values.heard[view] || 0)) continue;
      this.log.push(entry);
      const out = { heard: { ...this.values.heard, [view]: entry.n } };
      Object.assign(out, entry.act ? this.act(entry) : this.move(entry));
      this.put(out);
    }
  }
  scene(changes) { return { scene: { ...structuredClone(this.values.scene), ...changes } }; }
  item(scene, id) { return scene.items.find((item) => item.id === id); }
  act({ kind, ids, on, level, what }) {
    const next = structuredClone(this.values.scene);
    if (kind === "choose") next.chosen = ids;
    if (kind === "lock") for (const id of ids) this.item(next, id).locked = on;
    if (kind === "show") next.level = level;
    if (kind === "follow") next.follows = on;
    if (kind === "snap") next.snap[what] = on;
    if (kind === "undo" && this.past.length) { const [id, x, y] = this.past.pop(); Object.assign(this.item(next, id), { x, y }); }
    next.undo = this.past.length ? "move" : null;
    next.status = `did ${kind}`;
    return { scene: next };
  }
  move(entry) {
    const next = structuredClone(this.values.scene);
    const lead = this.item(next, entry.id);
    const answer = { n: entry.n, view: entry.view, id: entry.id, box: next.box, texts: next.texts, gaps: [], failing: {}, status: `${lead.name} moved` };
    if (entry.turn !== undefined) {
      answer.moved = { [entry.id]: { x: lead.x, y: lead.y, w: lead.w, h: lead.h, rings: lead.rings, zones: lead.zones, turn: entry.turn } };
      lead.turn = entry.turn;
      return entry.drop ? { answer, scene: next } : { answer };
    }
    let { x, y } = entry;
    if (this.grid && !entry.exact) {
      [x, y] = [x, y].map((v) => Math.round(v / this.grid) * this.grid);
      answer.land = { dx: x - entry.x, dy: y - entry.y, to: ["grid"] };
    }
    const other = next.items.find((item) => item.id !== entry.id);
    if (other) {
      answer.gaps = [{ to: other.id, kind: "item", verdict: "ok", text: "12.3", a: [x + lead.w / 2, y + lead.h / 2], b: [other.x, other.y] }];
      if (Math.abs(x - other.x) < other.w && Math.abs(y - other.y) < other.h) answer.failing = { [entry.id]: "overlaps", [other.id]: "overlaps" };
    }
    if (!entry.drop) return { answer };
    this.past.push([entry.id, lead.x, lead.y]);
    const [dx, dy] = [x - lead.x, y - lead.y];
    for (const id of entry.ids) { const item = this.item(next, id); item.x += dx; item.y += dy; }
    Object.assign(next, { gaps: answer.gaps, failing: answer.failing, undo: `move ${lead.name}`, status: `${lead.name} dropped` });
    return { answer, scene: next };
  }
}
