// The board: one tier of one half, or all seen through, from above. Python sends what to draw
// (`scene`) and, while items move, what follows from it (`answer`); the board tells what the
// builder does (`told`, see link.js) and draws what is dragged at once by itself.

class Board {
  constructor(model, el) {
    this.model = model;
    el.classList.add("fk-look", "fkb");
    el.dataset.lmSuppressShortcuts = "true"; // the notebook's own keys rest while the focus is here
    this.root = el;
    const head = tag(el, "div", { class: "fkb-head" });
    const stage = tag(el, "div", { class: "fkb-stage" });
    const foot = tag(el, "div", { class: "fkb-feet" });
    this.scene = null;
    this.several = false;
    this.count = 0;
    this.view = new View(stage);
    this.link = new Link(model);
    this.picture = new Picture(this);
    this.marks = new Marks(this);
    this.tools = new Tools(this, head, foot);
    this.gestures = new Gestures(this);
    this.keys = new Keys(this);
    this.view.svg.addEventListener("focusin", (event) => this.focused(event));
    this.listeners = [
      ["change:scene", () => this.load()],
      ["change:answer", () => this.answered()],
      ["change:heard", () => this.link.sync()],
    ];
    for (const [event, listener] of this.listeners) model.on(event, listener);
    this.stage = stage;
    this.watch = new ResizeObserver(() => this.resize());
    this.watch.observe(stage);
    this.load();
  }

  find(id) { return this.scene.items.find((item) => item.id === id); }
  lead() { return this.scene.chosen.length ? this.find(this.scene.chosen[0]) : undefined; }
  gesture() { return (this.count += 1); }

  // ---- drawing
  resize() {
    const width = Math.round(this.stage.clientWidth);
    if (!width || !this.scene || Math.abs(width - this.view.width) < 2) return;
    this.view.width = width;
    this.view.fit(this.scene);
    this.draw();
  }

  draw() {
    if (!this.scene) return;
    this.picture.draw();
    this.marks.draw();
    this.tools.draw();
  }

  load() {
    const scene = this.model.get("scene");
    if (!scene || !scene.items) return;
    this.link.sync();
    const old = this.scene;
    this.scene = { ...structuredClone(scene) };
    if (old) this.keep(old);
    const width = Math.round(this.stage.clientWidth);
    if (width) this.view.width = width;
    const { grip } = this.gestures;
    if (!old) this.view.fit(this.scene);
    else if (!grip && this.view.whole && this.view.strayed(this.scene)) this.view.fit(this.scene);
    this.draw();
    this.say(this.scene.status);
  }

  // what the builder did and Python has not handled yet stands, whatever the scene says
  keep(old) {
    const { grip } = this.gestures;
    const own = this.link.underWay();
    for (const id of [...this.gestures.held(), ...(this.keys.run ? this.keys.run.ids : [])]) own.add(id);
    for (const id of own) {
      const [now, before] = [this.find(id), old.items.find((item) => item.id === id)];
      if (!now || !before) continue;
      if (before.spin || (grip && grip.kind === "turn" && grip.ids.includes(id))) now.spin = before.turn + (before.spin || 0) - now.turn;
      else Object.assign(now, { x: before.x, y: before.y });
    }
    if (this.link.awaits("choose")) this.scene.chosen = old.chosen;
    this.scene.chosen = this.scene.chosen.filter((id) => this.find(id));
    if (this.scene.chosen[0] !== scene0(this.model)) this.scene.gaps = [];
    if (grip && grip.ids && grip.ids.some((id) => !this.find(id))) this.gestures.end();
  }

  zoomed() {
    if (this.drawing) return;
    this.drawing = requestAnimationFrame(() => { this.drawing = null; this.draw(); });
  }

  panned() { this.marks.drawChosen(); }

  // about what is chosen, if it is in view, else about the middle
  zoomBy(factor) {
    const lead = this.lead();
    const at = lead && this.gestures.pivot(lead);
    const seen = at && at[0] > 0 && at[1] > 0 && at[0] < this.view.width && at[1] < this.view.height;
    this.view.zoom(factor, seen ? at : undefined);
    this.zoomed();
  }

  wholeCase() { this.view.fit(this.scene); this.draw(); }

  // ---- what moves on the screen at once
  put(id, x, y) {
    const item = this.find(id);
    Object.assign(item, { x, y });
    this.picture.place(item);
    this.marks.placeChosen();
  }

  spin(item, turn) {
    item.spin = turn - item.turn;
    this.picture.place(item);
    this.marks.placeChosen();
    this.marks.sayAngle(`${Math.round(((turn % 360) + 360) % 360)}°`);
  }

  // after a drag: the names of what moved find their room again
  settled(ids = []) {
    if (!this.scene) return;
    this.marks.drawLand(null);
    for (const id of ids) if (this.find(id)) this.picture.name(this.find(id));
    this.marks.drawFindings();
    this.marks.drawChosen();
  }

  // the focus is shown while the builder works by keys
  byKeys(on) { this.root.classList.toggle("fkb-by-keys", on); }

  // ---- choosing
  choose(ids) {
    if (String(ids) === String(this.scene.chosen)) return;
    this.keys.rest();
    const old = this.scene.chosen;
    this.scene.chosen = ids;
    if (old[0] !== ids[0]) this.scene.gaps = [];
    for (const id of new Set([...old, ...ids])) if (this.find(id)) this.picture.mark(this.find(id));
    this.marks.drawChosen();
    this.marks.drawFindings();
    this.tools.drawChosen();
    this.act({ kind: "choose", ids });
  }

  chooseAll() { this.choose(this.picture.named().map((item) => item.id)); }

  chooseIn(a, b, more) {
    const [x0, x1] = [Math.min(a[0], b[0]), Math.max(a[0], b[0])];
    const [y0, y1] = [Math.min(a[1], b[1]), Math.max(a[1], b[1])];
    const met = this.picture.named()
      .filter((item) => item.x < x1 && item.x + item.w > x0 && item.y < y1 && item.y + item.h > y0)
      .map((item) => item.id);
    this.choose(more ? [...new Set([...this.scene.chosen, ...met])] : met);
  }

  focused(event) {
    const hit = event.target.closest("[data-item]");
    if (!hit || this.gestures.grip || !this.scene) return;
    if (!this.scene.chosen.includes(hit.dataset.item)) this.choose([hit.dataset.item]);
  }

  chooseFocused() {
    const hit = document.activeElement.closest("[data-item]");
    if (hit) this.choose([hit.dataset.item]);
  }

  focusSheet() { this.view.svg.focus({ preventScroll: true }); }

  // what moves when `id` is dragged: it first, and all chosen with it, but none that is locked
  movable(id) {
    const ids = this.scene.chosen.includes(id) ? this.scene.chosen : [id];
    return [id, ...ids.filter((one) => one !== id)].filter((one) => this.find(one) && !this.find(one).locked);
  }

  // ---- acting
  act(what) {
    if (what.kind !== "choose") this.keys.rest();
    this.link.act(what);
  }

  show(level) { if (level !== this.scene.level) this.act({ kind: "show", level }); }
  say(text) { if (text) this.tools.say(text); }

  lockChosen() {
    const ids = [...this.scene.chosen];
    if (ids.length) this.act({ kind: "lock", ids, on: !ids.every((id) => this.find(id).locked) });
  }

  free() { return this.scene.chosen.filter((id) => !this.find(id).locked); }

  over() {
    const ids = this.free().filter((id) => this.find(id).over);
    if (ids.length) this.act({ kind: "over", ids });
    else if (this.lead()) this.say(`${this.lead().name} may not be turned over`);
  }

  sendTo(level) {
    const ids = this.free().filter((id) => (this.find(id).level || this.scene.level) !== level);
    if (ids.length) this.act({ kind: "send", ids, level });
    else this.say(this.scene.chosen.length ? "what is chosen is locked, or there already" : "choose what to send first");
  }

  sendBy(way) {
    const lead = this.lead();
    if (!lead || this.scene.sends === false) return;
    const at = this.scene.levels.findIndex((level) => level.id === (lead.level || this.scene.level));
    const next = this.scene.levels[at + way];
    if (next) this.sendTo(next.id);
  }

  turnBy(way, fine) {
    const item = this.lead();
    if (!item || item.step >= 360 || item.locked || this.gestures.grip) return;
    this.keys.rest();
    const step = item.step > 1 ? item.step : fine ? 1 : 15;
    const turn = item.turn + (item.spin || 0) + way * step;
    this.spin(item, turn);
    this.tellTurn(item, turn, { drop: true });
  }

  // ---- telling
  tellShift(id, ids, how) {
    const { x, y } = this.find(id);
    const places = new Map(ids.map((one) => [one, [this.find(one).x - x, this.find(one).y - y]]));
    const n = this.tell({ ids, id, x, y }, how);
    if (this.link.moves.has(n)) this.link.moves.get(n).places = places;
  }

  tellTurn(item, turn, how) { this.tell({ id: item.id, turn }, how); }

  tell(move, { drop, back, exact, gesture = null }) {
    if (drop) move.drop = true;
    if (back) move.back = true; // let go of: it stands where it stood
    if (exact) move.exact = true; // no snapping
    return this.link.tell(move, { firm: Boolean(drop || back), gesture });
  }

  // ---- hearing
  answered() {
    const answer = this.model.get("answer");
    if (!answer || answer.n === undefined) return;
    if (answer.view !== undefined && answer.view !== this.link.view) return;
    const move = this.link.moves.get(answer.n);
    this.link.answered(answer.n);
    // for who measures how soon a move is answered
    this.root.dispatchEvent(new CustomEvent("fitkit-answered", { detail: answer.n, bubbles: true }));
    if (!this.scene) return;
    const { touched, shaped } = this.takeUp(answer, move);
    const before = this.scene.failing;
    for (const part of ["box", "texts", "failing", "balance", "facts"])
      if (answer[part] !== undefined) this.scene[part] = answer[part];
    if (answer.gaps && (!answer.id || answer.id === this.scene.chosen[0])) this.scene.gaps = answer.gaps;
    for (const item of this.scene.items) {
      const other = before[item.id] !== this.scene.failing[item.id];
      if (!other && !touched.has(item.id)) continue;
      this.picture.mark(item);
      if (other && this.picture.live(item)) this.picture.name(item);
    }
    this.marks.drawBox();
    if (shaped || this.scene.chosen.some((id) => before[id] !== this.scene.failing[id])) this.marks.drawChosen();
    this.marks.drawFindings();
    this.tools.drawFacts(this.scene.facts);
    if (answer.status) this.say(answer.status);
    if (!this.gestures.grip && this.view.whole && this.view.strayed(this.scene)) {
      this.view.fit(this.scene, { keepHeight: true });
      this.draw();
    }
  }

  // places and shapes as Python has them, and where the moved ones land; gives who was touched,
  // and whether a shape or place changed
  takeUp(answer, move) {
    const busy = this.link.underWay();
    const held = new Set([...this.gestures.held(), ...(this.keys.run ? this.keys.run.ids : [])]);
    const turning = this.gestures.holds("turn");
    const touched = new Set(Object.keys(answer.moved || {}));
    let shaped = false;
    for (const [id, now] of Object.entries(answer.moved || {})) {
      const item = this.find(id);
      if (!item) continue;
      const { x, y, ...rest } = now;
      const wanted = item.turn + (item.spin || 0);
      const stays = busy.has(id) || (held.has(id) && !turning);
      Object.assign(item, stays ? rest : now);
      item.spin = stays || held.has(id) ? wanted - item.turn : 0;
      this.picture.drawItem(item);
      shaped = true;
    }
    if (!move || !move.places) {
      this.marks.drawLand(null);
      return { touched, shaped };
    }
    const { land } = answer;
    if (move.drop || move.back) this.marks.drawLand(null);
    const places = [...move.places].map(([id, [px, py]]) => ({ item: this.find(id), x: move.x + px + (land ? land.dx : 0), y: move.y + py + (land ? land.dy : 0) })).filter((one) => one.item);
    for (const { item } of places) touched.add(item.id);
    if (!move.drop) this.marks.drawLand(land && places.length && this.gestures.holds("shift") ? { items: places, to: land.to } : null);
    else
      for (const { item, x, y } of places)
        if (land && !busy.has(item.id) && !held.has(item.id)) this.put(item.id, x, y);
    return { touched, shaped };
  }

  close() {
    this.keys.rest();
    for (const [event, listener] of this.listeners) this.model.off(event, listener);
    this.watch.disconnect();
    if (this.drawing) cancelAnimationFrame(this.drawing);
    for (const part of [this.gestures, this.keys, this.tools, this.link]) part.close();
  }
}

// whom the scene's gaps belong to
function scene0(model) { return (model.get("scene").chosen || [])[0]; }

function render({ model, el }) {
  const board = new Board(model, el);
  return () => board.close();
}

export default { render };
