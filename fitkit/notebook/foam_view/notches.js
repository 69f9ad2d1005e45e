// Notches under the hand: chosen, dragged along their pocket's edge, added, removed; mouse, touch, keys.

const CLICK_PX = 4; // a pointer that moved less has not dragged
const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

class Notches {
  constructor(view) {
    this.view = view;
    this.sheet = view.sheet;
    this.link = view.link;
    this.drag = null;
    this.adding = false;
    this.found = null; // where a notch would be added
    this.gesture = 0;
    const { svg } = this.sheet;
    svg.addEventListener("pointermove", (event) => this.look(event));
    svg.addEventListener("pointerdown", (event) => this.put(event));
    svg.addEventListener("pointerleave", () => { if (this.adding) { this.found = null; this.sheet.drawLive(null); } });
  }

  get scene() { return this.view.scene; }
  get chosen() { return this.scene.notches.find((one) => one.id === this.scene.chosen) || null; }
  here(one) { return one.layers.includes(this.view.layer.id); }

  draw() {
    const group = this.sheet.groups.notches;
    const focused = group.contains(document.activeElement) ? document.activeElement.dataset.notch : null;
    clear(group);
    for (const notch of this.scene.notches) {
      if (!this.here(notch)) continue;
      const chosen = notch.id === this.scene.chosen;
      const g = node(group, "g", {
        class: `fkl-notch${chosen ? " fkl-chosen" : ""}`, tabindex: 0, role: "button",
        "data-notch": notch.id, "aria-pressed": chosen,
        "aria-label": `${notch.text}. Arrow keys move it along the edge, Delete removes it.`,
      });
      node(g, "path", { d: this.sheet.path(notch.rings), class: "fkl-hand" });
      if (this.scene.busy) node(g, "path", { d: this.sheet.path(notch.rings), class: "fkl-pending" });
      if (chosen) node(g, "circle", { cx: this.sheet.x(notch.at[0]), cy: this.sheet.y(notch.at[1]), r: 4, class: "fkl-grip" });
      g.addEventListener("pointerdown", (event) => this.grab(event, notch, g));
      g.addEventListener("keydown", (event) => this.key(event, notch));
      g.addEventListener("focus", () => { this.view.tell(notch.text); if (!this.drag && this.scene.chosen !== notch.id) this.choose(notch.id); });
      g.addEventListener("pointerenter", () => this.view.tell(notch.text));
      g.addEventListener("pointerleave", () => this.view.tell(null));
    }
    if (this.wanted && this.scene.chosen && this.scene.chosen !== this.wanted.not) {
      this.wanted = null;
      this.focus(this.scene.chosen);
    } else if (focused) this.focus(focused);
  }

  focus(id) {
    const found = this.sheet.groups.notches.querySelector(`[data-notch="${CSS.escape(id)}"]`);
    if (found) found.focus({ preventScroll: true });
  }

  choose(id) {
    this.scene.chosen = id; // shown at once; Python says the same
    this.link.act({ kind: "choose", id });
    this.draw();
    this.view.tools.draw();
  }

  // ---- dragging
  grab(event, notch, g) {
    if (this.adding || event.button > 0) return;
    event.preventDefault();
    event.stopPropagation();
    const from = this.sheet.mm(event);
    this.drag = { notch, g, from, at: notch.at, moved: false, x: event.clientX, y: event.clientY, gesture: (this.gesture += 1) };
    g.setPointerCapture(event.pointerId);
    const move = (e) => this.pull(e);
    const end = (e) => {
      for (const name of ["pointermove", "pointerup", "pointercancel"]) g.removeEventListener(name, name === "pointermove" ? move : end);
      this.drop(e.type === "pointercancel");
    };
    g.addEventListener("pointermove", move);
    g.addEventListener("pointerup", end);
    g.addEventListener("pointercancel", end);
    g.focus({ preventScroll: true });
  }

  pull(event) {
    const { drag } = this;
    if (!drag) return;
    if (!drag.moved && Math.hypot(event.clientX - drag.x, event.clientY - drag.y) < CLICK_PX) return;
    drag.moved = true;
    const now = this.sheet.mm(event);
    [drag.px, drag.py] = [drag.at[0] + now[0] - drag.from[0], drag.at[1] + now[1] - drag.from[1]];
    const pocket = this.view.told.pockets.find((one) => one.key === drag.notch.key);
    const to = onEdge(pocket.edges, drag.px, drag.py);
    drag.live = { rings: carried(drag.notch, to), at: to.at, web: null };
    this.sheet.drawLive(drag.live);
    drag.g.classList.add("fkl-moving");
    drag.n = this.link.tell({ id: drag.notch.id, x: drag.px, y: drag.py }, { firm: false, gesture: drag.gesture });
  }

  drop(given) {
    const { drag } = this;
    this.drag = null;
    if (!drag) return;
    drag.g.classList.remove("fkl-moving");
    if (!drag.moved) {
      if (this.scene.chosen !== drag.notch.id) this.choose(drag.notch.id);
      return;
    }
    if (given) {
      this.link.tell({ id: drag.notch.id, back: true });
      this.sheet.drawLive(null);
      return;
    }
    this.link.tell({ id: drag.notch.id, x: drag.px, y: drag.py, drop: true });
  }

  // an answer of Python to the latest move
  answer(answer) {
    this.link.answered(answer.n);
    const mine = this.drag ? answer.id === this.drag.notch.id : this.adding && answer.key;
    if (!mine) return;
    this.sheet.drawLive(answer);
    this.view.say(answer.status);
  }

  // ---- adding
  add(on) {
    this.adding = on;
    this.found = null;
    this.sheet.svg.classList.toggle("fkl-adding", on);
    this.sheet.drawLive(null);
    this.view.say(on ? "Click on the edge of a pocket where the notch shall be; or Tab to a pocket and press Enter. Escape ends it." : "");
    this.view.tools.draw();
  }

  look(event) {
    if (!this.adding) return;
    const [x, y] = this.sheet.mm(event);
    let best = null;
    for (const pocket of this.view.told.pockets) {
      if (!this.here(pocket)) continue;
      const to = onEdge(pocket.edges, x, y);
      if (to && (!best || to.far < best.to.far)) best = { pocket, to };
    }
    this.found = best && { key: best.pocket.key, x, y };
    if (!best) {
      this.view.say("No pocket of this layer takes a notch: they are cut at the top of each tier. Choose a higher layer.");
      return;
    }
    this.link.tell({ key: best.pocket.key, x, y }, { firm: false, gesture: "add" });
  }

  put(event) {
    if (!this.adding || event.button > 0) return;
    this.look(event);
    if (!this.found) return;
    event.preventDefault();
    this.wanted = { not: this.scene.chosen };
    this.link.act({ kind: "add", ...this.found });
    this.add(false);
  }

  addTo(key) {
    const pocket = this.view.told.pockets.find((one) => one.key === key);
    if (!pocket) {
      this.view.say("This cut takes no notch: choose a pocket.");
      return;
    }
    if (!this.here(pocket)) this.view.show(pocket.layers[pocket.layers.length - 1]);
    this.wanted = { not: this.scene.chosen };
    this.link.act({ kind: "add", key });
    this.add(false);
  }

  remove() {
    const { chosen } = this;
    if (!chosen) return;
    this.link.act({ kind: "remove", id: chosen.id });
    this.sheet.svg.focus({ preventScroll: true });
  }

  // ---- keys
  key(event, notch) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const way = WAYS[event.key];
    if (way) {
      const step = event.shiftKey ? 10 : 1;
      this.link.tell({ id: notch.id, dx: way[0] * step, dy: way[1] * step, drop: true });
    } else if (event.key === "Delete" || event.key === "Backspace") this.remove();
    else return;
    event.preventDefault();
    event.stopPropagation();
  }
}
