// The words around the sheet: title and facts, levels, what can be done with what is chosen, undo,
// snapping, the interior, the scale, and the keys.

class Tools {
  constructor(board, head, foot) {
    this.board = board;
    const top = tag(head, "div", { class: "fkb-top" });
    this.title = tag(top, "h3", { class: "fkb-title" });
    this.busy = tag(top, "span", { class: "fkb-busy" });
    this.facts = tag(head, "dl", { class: "fkb-facts" });
    this.row = tag(head, "div", { class: "fkb-row" });
    this.levels = tag(this.row, "div", { class: "fkb-tabs", role: "tablist", "aria-label": "half and tier" });
    this.history = this.group(this.row, "", "undo and redo", "fkb-history");
    this.undo = this.button(this.history, "undo", () => board.act({ kind: "undo" }));
    this.redo = this.button(this.history, "redo", () => board.act({ kind: "redo" }));
    this.makeChosen(tag(head, "div", { class: "fkb-row fkb-of-chosen" }));
    this.makeFoot(tag(foot, "div", { class: "fkb-row" }));
    this.live = tag(foot, "div", { class: "fk-unseen", "aria-live": "polite", role: "status", "data-live": "" });
  }

  group(parent, word, label, look = "") {
    const made = tag(parent, "div", { class: `fkb-group ${look}`, role: "group", "aria-label": label });
    if (word) tag(made, "span", { class: "fkb-word", "aria-hidden": "true" }, word);
    return made;
  }

  button(parent, text, act, label = null) {
    const made = tag(parent, "button", { type: "button", class: "fkb-button" }, text);
    if (label) made.setAttribute("aria-label", label);
    made.addEventListener("click", () => { if (made.getAttribute("aria-disabled") !== "true") act(made); });
    return made;
  }

  // a button that can do nothing now keeps the focus, so that keys still reach the board
  rests(button, off) { button.setAttribute("aria-disabled", Boolean(off)); }

  makeChosen(row) {
    const { board } = this;
    this.name = tag(row, "span", { class: "fkb-chosen-name", "data-chosen": "" });
    const does = this.group(row, "", "what is chosen");
    this.lock = this.button(does, "lock", () => board.lockChosen());
    this.turnLeft = this.button(does, "turn left", () => board.turnBy(1, false));
    this.turnRight = this.button(does, "turn right", () => board.turnBy(-1, false));
    this.over = this.button(does, "turn over", () => board.over());
    this.send = tag(does, "select", { class: "fkb-button", "aria-label": "send what is chosen to another tier or half" });
    this.send.addEventListener("change", () => {
      const level = this.send.value;
      this.send.value = "";
      if (level) board.sendTo(level);
    });
    this.several = this.button(does, "choose several", () => {
      board.several = !board.several;
      this.several.setAttribute("aria-pressed", board.several);
    });
    this.several.setAttribute("aria-pressed", false);
  }

  makeFoot(row) {
    const { board } = this;
    this.snaps = this.group(row, "snap to", "snap to");
    this.snap = {};
    for (const [what, word] of [["grid", "grid"], ["gear", "gear"], ["walls", "walls"]])
      this.snap[what] = this.button(this.snaps, word, (made) =>
        board.act({ kind: "snap", what, on: made.getAttribute("aria-pressed") !== "true" }));
    this.follow = this.group(row, "interior", "interior");
    this.follows = this.button(this.follow, "follows", () => board.act({ kind: "follow", on: true }));
    this.fixed = this.button(this.follow, "fixed", () => board.act({ kind: "follow", on: false }));
    const view = this.group(row, "view", "view");
    this.button(view, "closer", () => board.zoomBy(1.25));
    this.button(view, "farther", () => board.zoomBy(0.8));
    this.button(view, "whole case", () => board.wholeCase());
    const keys = tag(row, "details", { class: "fkb-keys" });
    tag(keys, "summary", {}, "keys");
    const list = tag(keys, "dl", { class: "fkb-keys-list" });
    for (const [key, does] of KEYS) {
      const pair = tag(list, "div");
      tag(pair, "dt", {}, key);
      tag(pair, "dd", {}, does);
    }
  }

  draw() {
    const { scene } = this.board;
    this.title.textContent = scene.title;
    this.busy.textContent = scene.busy || "";
    this.drawFacts(scene.facts);
    this.drawLevels(scene);
    for (const [button, word, text] of [[this.undo, "undo", scene.undo], [this.redo, "redo", scene.redo]]) {
      this.rests(button, !text);
      button.textContent = text ? `${word}: ${text}` : word;
      button.title = text || "";
    }
    this.snaps.hidden = !scene.snap;
    for (const what of ["grid", "gear", "walls"])
      if (scene.snap) this.snap[what].setAttribute("aria-pressed", Boolean(scene.snap[what]));
    this.snap.grid.textContent = scene.grid ? `grid ${scene.grid} mm` : "grid";
    this.follows.setAttribute("aria-pressed", scene.follows);
    this.fixed.setAttribute("aria-pressed", !scene.follows);
    this.drawChosen();
  }

  drawFacts(facts) {
    const key = JSON.stringify(facts);
    if (key === this.factsAs) return;
    this.factsAs = key;
    clear(this.facts);
    for (const [name, text] of facts || []) {
      const pair = tag(this.facts, "div");
      tag(pair, "dt", {}, name);
      tag(pair, "dd", {}, text);
    }
  }

  drawLevels(scene) {
    const used = scene.levels.filter((level) => !level.empty || level.id === scene.level);
    const levels = used.length > 1 ? [...used, { id: "all", name: "all seen through" }] : used;
    const key = JSON.stringify([scene.levels, scene.level]);
    if (key === this.levelsAs) return;
    this.levelsAs = key;
    const held = this.levels.contains(document.activeElement);
    clear(this.levels);
    for (const level of levels) {
      const on = level.id === scene.level;
      const tab = tag(this.levels, "button", { type: "button", class: "fkb-tab", role: "tab", "aria-selected": on, tabindex: on ? 0 : -1, "data-level": level.id }, level.name);
      tab.addEventListener("click", () => this.board.show(level.id));
      tab.addEventListener("keydown", (event) => {
        const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
        if (!by) return;
        event.preventDefault();
        const at = levels.findIndex((one) => one.id === level.id);
        this.board.show(levels[(at + by + levels.length) % levels.length].id);
      });
      if (on && held) tab.focus();
    }
    clear(this.send);
    tag(this.send, "option", { value: "" }, "send to …");
    for (const level of scene.levels) tag(this.send, "option", { value: level.id }, level.empty ? `${level.name} (empty)` : level.name);
    this.send.hidden = scene.levels.length < 2 || scene.sends === false;
  }

  drawChosen() {
    const { board } = this;
    const { scene } = board;
    const items = scene.chosen.map((id) => board.find(id)).filter(Boolean);
    const lead = items[0];
    const none = !lead;
    this.name.textContent = none ? "nothing chosen" : items.length > 1 ? `${lead.name} and ${items.length - 1} more` : lead.name;
    this.name.classList.toggle("fkb-none", none);
    this.rests(this.lock, none);
    this.lock.textContent = !none && items.every((item) => item.locked) ? "unlock" : "lock";
    const turns = !none && lead.step < 360 && !lead.locked;
    this.rests(this.turnLeft, !turns);
    this.rests(this.turnRight, !turns);
    this.rests(this.over, none || !lead.over || lead.locked);
    this.over.hidden = scene.items.every((item) => !item.over);
    this.rests(this.send, none || items.every((item) => item.locked));
  }

  // told to those who listen, once it rests
  say(text) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => { if (this.live.textContent !== text) this.live.textContent = text; }, 200);
  }

  close() { clearTimeout(this.timer); }
}
