// What pointers do: mouse, pen and fingers. One pointer drags an item, turns it by its handle, or
// draws a frame over empty foam; the middle button, or Space held, moves the sheet; two fingers
// move and scale it.

const SLACK = 4; // pixels before a press becomes a drag

class Gestures {
  constructor(board) {
    this.board = board;
    this.view = board.view;
    this.fingers = new Map(); // pointer id -> place on the sheet
    this.grip = null; // what the pointer holds
    this.space = false; // Space is held
    this.asked = null; // animation frame asked for
    const { svg } = this.view;
    svg.addEventListener("pointerdown", (event) => this.down(event));
    svg.addEventListener("pointermove", (event) => this.moved(event));
    svg.addEventListener("pointerup", (event) => this.up(event));
    svg.addEventListener("pointercancel", (event) => this.cancelled(event));
    svg.addEventListener("lostpointercapture", (event) => { if (this.fingers.has(event.pointerId)) this.cancelled(event); });
    svg.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    svg.addEventListener("touchstart", (event) => { if (event.touches.length > 1) event.preventDefault(); }, { passive: false });
    svg.addEventListener("mousedown", (event) => event.preventDefault()); // the board sets the focus itself
    svg.addEventListener("auxclick", (event) => { if (event.button === 1) event.preventDefault(); });
    this.blurred = () => { this.space = false; this.finish(); };
    window.addEventListener("blur", this.blurred);
  }

  holds(kind) { return this.grip !== null && this.grip.kind === kind; }

  dragging() { return this.grip !== null && this.grip.live === true; }

  // ids under the pointer's hold
  held() { return this.grip && this.grip.ids ? this.grip.ids : []; }

  down(event) {
    this.board.byKeys(false);
    const at = this.view.point(event);
    this.fingers.set(event.pointerId, at);
    if (this.fingers.size === 2 && event.pointerType === "touch") {
      this.letGo();
      this.grip = { kind: "pinch", pinch: this.spread() };
      event.preventDefault();
      this.capture(event);
      return;
    }
    if (this.grip || this.fingers.size > 1) return;
    if (event.button === 1 || (event.button === 0 && this.space)) this.grip = { kind: "pan", pointer: event.pointerId, last: at };
    else if (event.button === 0) this.press(event, at);
    else {
      this.fingers.delete(event.pointerId);
      return;
    }
    event.preventDefault();
    this.capture(event);
  }

  capture(event) {
    // a pointer that is gone already cannot be held
    if (event.isTrusted !== false) this.view.svg.setPointerCapture(event.pointerId);
  }

  press(event, at) {
    const { board } = this;
    const start = { pointer: event.pointerId, from: at, live: false };
    if (event.target.closest("[data-handle]")) {
      const item = board.lead();
      if (item) this.grip = { ...start, kind: "turn", ids: [item.id], turn: item.turn, by: 0, gesture: board.gesture(), pivot: this.pivot(item) };
      return;
    }
    const hit = event.target.closest("[data-item]");
    if (!hit) {
      board.focusSheet();
      this.grip = { ...start, kind: "frame", more: event.shiftKey || board.several };
      return;
    }
    const { item: id } = hit.dataset;
    const { chosen } = board.scene;
    if (event.shiftKey || board.several) {
      const off = chosen.includes(id);
      board.choose(off ? chosen.filter((other) => other !== id) : [...chosen, id]);
      if (off) return;
    } else if (!chosen.includes(id)) board.choose([id]);
    else start.then = [id]; // a click on one of several chosen: that one alone
    board.picture.focus(id);
    if (board.find(id).locked) {
      this.grip = { ...start, kind: "stuck", ids: [] };
      return;
    }
    const ids = board.movable(id);
    const places = new Map(ids.map((one) => [one, [board.find(one).x, board.find(one).y]]));
    this.grip = { ...start, kind: "shift", id, ids, places, gesture: board.gesture() };
  }

  pivot(item) {
    const { view } = this;
    return [view.left + view.x(item.x + item.w / 2), view.top + view.y(item.y + item.h / 2)];
  }

  moved(event) {
    if (!this.fingers.has(event.pointerId)) return;
    this.fingers.set(event.pointerId, this.view.point(event));
    if (!this.grip) return;
    this.alt = event.altKey;
    if (this.asked === null) this.asked = requestAnimationFrame(() => { this.asked = null; this.follow(); });
  }

  // the newest place of the pointer, once per animation frame
  follow() {
    const { grip, view, board } = this;
    if (!grip) return;
    if (grip.kind === "pinch") {
      this.pinch(grip);
      return;
    }
    const at = this.fingers.get(grip.pointer);
    if (!at) return;
    if (grip.kind === "pan") {
      view.pan(at[0] - grip.last[0], at[1] - grip.last[1]);
      grip.last = at;
      board.panned();
      return;
    }
    if (!grip.live && Math.hypot(at[0] - grip.from[0], at[1] - grip.from[1]) < SLACK) return;
    if (!grip.live) this.begin(grip);
    if (grip.kind === "frame") board.marks.drawFrame([view.mm(grip.from), view.mm(at)]);
    if (grip.kind === "shift") this.shift(grip, at);
    if (grip.kind === "turn") this.turn(grip, at);
  }

  begin(grip) {
    grip.live = true;
    if (grip.kind === "stuck") this.board.say(`${this.board.lead().name} is locked: unlock it to move it`);
    this.view.svg.classList.toggle("fkb-dragging", grip.kind === "shift" || grip.kind === "turn");
  }

  shift(grip, at) {
    const [dx, dy] = [(at[0] - grip.from[0]) / this.view.scale, (grip.from[1] - at[1]) / this.view.scale];
    // told first, then drawn: Python works while the browser paints
    for (const [id, [x, y]] of grip.places) Object.assign(this.board.find(id), { x: x + dx, y: y + dy });
    this.board.tellShift(grip.id, grip.ids, { gesture: grip.gesture, exact: this.alt });
    for (const [id, [x, y]] of grip.places) this.board.put(id, x + dx, y + dy);
  }

  turn(grip, at) {
    const item = this.board.find(grip.ids[0]);
    const angle = ([x, y]) => (Math.atan2(grip.pivot[1] - y, x - grip.pivot[0]) * 180) / Math.PI;
    const step = item.step > 1 ? item.step : this.alt ? 1 : 5;
    let by = angle(at) - angle(grip.from);
    by -= 360 * Math.round(by / 360);
    const turn = item.step > 1 ? grip.turn + Math.round(by / step) * step : Math.round((grip.turn + by) / step) * step;
    if (turn === grip.turn + grip.by) return;
    grip.by = turn - grip.turn;
    this.board.spin(item, turn);
    this.board.tellTurn(item, turn, { gesture: grip.gesture });
  }

  up(event) {
    const known = this.fingers.has(event.pointerId);
    const at = this.view.point(event);
    if (known && this.grip && this.grip.kind !== "pinch" && this.grip.pointer === event.pointerId) {
      this.fingers.set(event.pointerId, at);
      this.alt = event.altKey;
      this.follow();
      this.fingers.delete(event.pointerId);
      this.finish(at);
      return;
    }
    this.fingers.delete(event.pointerId);
    if (this.holds("pinch")) this.end();
  }

  // the drag ends where it is; what was moved is dropped there
  finish(at = null) {
    const { grip, board } = this;
    if (!grip) return;
    this.end();
    if (grip.kind === "frame") {
      board.marks.drawFrame(null);
      if (grip.live && at) board.chooseIn(this.view.mm(grip.from), this.view.mm(at), grip.more);
      else if (!grip.live && !grip.more) board.choose([]);
    } else if (grip.kind === "shift" && grip.live) board.tellShift(grip.id, grip.ids, { drop: true, exact: this.alt, gesture: grip.gesture });
    else if (grip.kind === "turn" && grip.live) board.tellTurn(board.find(grip.ids[0]), grip.turn + grip.by, { drop: true, gesture: grip.gesture });
    else if (grip.then && at) board.choose(grip.then);
    board.settled(grip.live ? grip.ids : []);
  }

  // the pointer was taken away: nothing is dropped, what was held goes back
  cancelled(event) {
    this.fingers.delete(event.pointerId);
    if (this.grip && (this.grip.kind === "pinch" || this.grip.pointer === event.pointerId)) this.letGo();
  }

  // what is held goes back to where it was; was anything held?
  letGo() {
    const { grip, board } = this;
    if (!grip) return false;
    this.end();
    board.marks.drawFrame(null);
    if (grip.live && grip.kind === "shift") {
      for (const [id, [x, y]] of grip.places) if (board.find(id)) board.put(id, x, y);
      board.tellShift(grip.id, grip.ids, { back: true, gesture: grip.gesture });
    }
    if (grip.live && grip.kind === "turn") {
      board.spin(board.find(grip.ids[0]), grip.turn);
      board.tellTurn(board.find(grip.ids[0]), grip.turn, { back: true, gesture: grip.gesture });
    }
    board.settled(grip.live ? grip.ids : []);
    return grip.live;
  }

  end() {
    this.grip = null;
    this.view.svg.classList.remove("fkb-dragging");
    if (this.asked !== null) cancelAnimationFrame(this.asked);
    this.asked = null;
  }

  // ---- scale and place of the sheet
  spread() {
    const [a, b] = [...this.fingers.values()];
    return { middle: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], apart: Math.max(12, Math.hypot(a[0] - b[0], a[1] - b[1])) };
  }

  pinch(grip) {
    if (this.fingers.size < 2) return;
    const now = this.spread();
    this.view.pan(now.middle[0] - grip.pinch.middle[0], now.middle[1] - grip.pinch.middle[1]);
    this.view.zoom(now.apart / grip.pinch.apart, now.middle);
    grip.pinch = now;
    this.board.zoomed();
  }

  wheel(event) {
    if (!event.ctrlKey && !event.metaKey) return; // the notebook scrolls
    event.preventDefault();
    const lines = event.deltaMode === 1 ? 16 : 1;
    this.view.zoom(Math.exp(-Math.max(-60, Math.min(60, event.deltaY * lines)) * 0.006), this.view.point(event));
    this.board.zoomed();
  }

  close() {
    window.removeEventListener("blur", this.blurred);
    this.end();
  }
}
