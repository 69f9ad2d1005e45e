// The payload sheet as a form. Python says everything that is shown as one plain value; what the
// builder does is told as a list of acts that shrinks only when Python has heard them.

class SheetView {
  constructor(model, el) {
    this.model = model;
    this.view = Math.random().toString(36).slice(2, 10);
    this.acts = [];
    this.count = 0;
    this.sessions = 0;
    this.folded = new Map();
    this.fields = new Map();
    this.root = make(el, "div", { class: "fk-look fkf" });
    this.bar = make(this.root, "div", { class: "fkf-bar" });
    this.said = make(this.root, "div", { class: "fkf-said", role: "status" });
    this.faults = make(this.root, "div", { class: "fkf-faults", role: "alert" });
    this.body = make(this.root, "div", { class: "fkf-body" });
    this.list = make(this.body, "nav", { class: "fkf-list", "aria-label": "items" });
    this.ofItem = make(this.body, "div", { class: "fkf-item" });
    this.side = make(this.body, "div", { class: "fkf-side" });
    this.title = make(this.side, "div", { class: "fkf-picture-title" });
    this.picture = make(this.side, "div", { class: "fkf-picture" });
    this.helpBox = make(this.side, "div", { class: "fkf-help", "aria-hidden": "true" });
    this.ofCase = make(this.root, "div", { class: "fkf-case" });
    this.makeBar();
    this.root.addEventListener("keydown", (event) => this.key(event));
    this.root.addEventListener("pointerdown", () => this.pointer(true));
    for (const up of ["pointerup", "pointercancel", "pointerleave"]) this.root.addEventListener(up, () => this.pointer(false));
    this.changed = () => this.show();
    model.on("change:state", this.changed);
    this.show();
  }

  close() {
    this.model.off("change:state", this.changed);
    for (const field of this.fields.values()) for (const timer of field.timers.values()) clearTimeout(timer);
  }

  // ---- telling Python

  act(act) {
    this.acts.push({ ...act, view: this.view, n: (this.count += 1) });
    this.tell();
  }

  tell() {
    this.model.set("acts", [...this.acts]);
    this.model.save_changes();
  }

  press(does, key = "") {
    for (const field of this.fields.values()) field.flush();
    this.act({ kind: "do", do: does, key });
  }

  // whether Python has yet to answer what was typed into a field
  unheard(key, part) {
    return this.acts.some((act) => act.kind === "set" && act.key === key && (act.part ?? 0) === part);
  }

  nextSession() { return (this.sessions += 1); }

  lookAt(key) { if (key.includes(".body.") || this.looked) this.act({ kind: "focus", key }); this.looked = key.includes(".body."); }

  // Jupyter must not take keys typed here for its own; undo, redo and save are the form's
  key(event) {
    const held = event.ctrlKey || event.metaKey;
    const letter = event.key.toLowerCase();
    const does = !held ? null : letter === "z" ? (event.shiftKey ? "redo" : "undo") : letter === "y" ? "redo"
      : letter === "s" && this.state.save ? "save" : null;
    if (does) {
      event.preventDefault();
      if (document.activeElement && this.root.contains(document.activeElement) && does === "save") document.activeElement.dispatchEvent(new Event("blur"));
      this.press(does);
    }
    if (!(event.shiftKey && event.key === "Enter") && event.key !== "Tab") event.stopPropagation();
  }

  // ---- the bar

  makeBar() {
    const one = (parent, text, does, strong) => {
      const button = make(parent, "button", { type: "button", class: `fk-press${strong ? " fk-strong" : ""}` }, text);
      button.addEventListener("click", () => this.press(does));
      return button;
    };
    this.saving = make(this.bar, "span", { class: "fkf-group" });
    this.save = one(this.saving, "save the sheet", "save", true);
    this.over = one(this.saving, "save over it", "save over");
    this.load = one(this.saving, "load what is there", "load");
    this.saved = make(this.saving, "span", { class: "fkf-saved" });
    const history = make(this.bar, "span", { class: "fkf-group fkf-history" });
    this.undo = one(history, "undo", "undo");
    this.redo = one(history, "redo", "redo");
    const units = make(this.bar, "span", { class: "fkf-group", role: "group", "aria-label": "units shown and typed" });
    this.units = { mm: one(units, "mm", "mm"), in: one(units, "inches", "in") };
  }

  showBar(state) {
    this.saving.hidden = !state.save;
    if (state.save) {
      this.saved.textContent = state.save.text;
      this.saved.classList.toggle("fkf-unsaved", state.save.unsaved);
      this.save.disabled = !state.save.unsaved && !state.save.asks;
      this.over.hidden = this.load.hidden = !state.save.asks;
    }
    for (const [button, what, word] of [[this.undo, state.undo, "undo"], [this.redo, state.redo, "redo"]]) {
      button.disabled = what === null;
      button.textContent = state.layout === "page" ? word : `${word} edit`; // the board has its own
      button.title = what ? `${word}: ${what}` : `nothing to ${word}`;
    }
    for (const [unit, button] of Object.entries(this.units)) button.setAttribute("aria-pressed", state.units === unit);
    const said = [state.trouble, state.note].filter(Boolean).join("\n");
    if (this.said.textContent !== said) this.said.textContent = said;
    this.said.classList.toggle("fkf-trouble", Boolean(state.trouble));
    this.faults.replaceChildren();
    for (const fault of state.faults) make(this.faults, "p", {}, fault);
  }

  // ---- the list of items

  showList(state) {
    this.list.hidden = !state.items;
    if (!state.items) return;
    const had = this.list.contains(document.activeElement) ? document.activeElement.dataset.row : null;
    this.list.replaceChildren();
    make(this.list, "h3", { class: "fkf-title" }, "The gear");
    state.items.forEach((item, index) => {
      const row = make(this.list, "button", {
        type: "button", class: "fkf-row", "data-row": index, "aria-current": index === state.item ? "true" : null,
      });
      make(row, "span", { class: "fkf-name" }, item.name);
      make(row, "span", { class: "fkf-facts" }, item.wrong ? `${item.facts} · a fault` : item.facts);
      row.classList.toggle("fkf-wrong", item.wrong);
      row.addEventListener("click", () => this.act({ kind: "choose", item: index }));
      row.addEventListener("keydown", (event) => {
        const to = { ArrowDown: index + 1, ArrowUp: index - 1 }[event.key];
        const next = this.list.querySelector(`[data-row="${to}"]`);
        if (!next) return;
        event.preventDefault();
        next.focus();
        this.act({ kind: "choose", item: to });
      });
    });
    const does = make(this.list, "div", { class: "fkf-does" });
    const last = state.items.length - 1;
    const key = `item.${state.item}`;
    for (const [text, act, off] of [
      ["add an item", "item", false], ["copy", "copy", state.item === null], ["earlier", "earlier", !state.item],
      ["later", "later", state.item === null || state.item === last], ["remove", "remove", state.item === null],
    ]) {
      const button = make(does, "button", { type: "button", class: "fk-press", "data-row": act }, text);
      button.disabled = off;
      button.addEventListener("click", () => this.press(act, act === "item" ? "" : key));
    }
    if (had !== null) this.list.querySelector(`[data-row="${had}"]`)?.focus();
  }

  // ---- groups and their fields

  show() {
    const state = this.model.get("state");
    if (!state || !state.groups) return;
    this.state = state;
    const heard = (state.heard || {})[this.view] || 0;
    this.acts = this.acts.filter((act) => act.n > heard);
    this.root.classList.toggle("fkf-page", state.layout === "page");
    this.showBar(state);
    this.showList(state);
    const shape = JSON.stringify(state.groups, (key, value) => (
      ["value", "text", "texts", "min", "max", "step", "help", "fault", "assumed", "default", "unit", "label"].includes(key) ? undefined : value));
    if (shape === this.shape) this.patch(state);
    else this.rebuild(state);
    this.shape = shape;
    this.side.hidden = false;
    if (state.cause === "choose") this.explain(null);
    if (state.picture) {
      this.title.textContent = state.picture.title;
      this.picture.innerHTML = state.picture.svg;
    } else {
      this.title.textContent = "";
      this.picture.replaceChildren();
    }
  }

  rebuild(state) {
    const at = document.activeElement;
    const field = at && this.root.contains(at) ? at.closest("[data-key]") : null;
    const place = field ? [field.dataset.key, at.dataset.part || "0"] : null;
    for (const one of this.fields.values()) for (const timer of one.timers.values()) clearTimeout(timer);
    this.fields.clear();
    this.sections = new Map();
    this.side.appendChild(this.helpBox);
    this.explained = null;
    this.ofItem.replaceChildren();
    this.ofCase.replaceChildren();
    for (const group of state.groups) this.section(group.whole ? this.ofCase : this.ofItem, group, 0);
    this.patch(state);
    if (place) {
      const again = this.fields.get(place[0]);
      if (again) (again.inputs[Number(place[1])] || again.toggles?.[0])?.focus();
    }
  }

  section(parent, data, depth) {
    const root = make(parent, "section", { class: `fkf-section fkf-depth-${depth}`, "data-section": data.id });
    const wide = this.state.layout === "page";
    const open = this.folded.get(data.id) ?? (data.open && (wide || (depth === 0 ? !data.whole : depth > 1)));
    const head = make(root, "button", { type: "button", class: "fkf-head", "aria-expanded": String(open) }, data.title);
    const inside = make(root, "div", { class: "fkf-inside", role: "group", "aria-label": data.title });
    inside.hidden = !open;
    head.addEventListener("click", () => {
      const now = head.getAttribute("aria-expanded") !== "true";
      head.setAttribute("aria-expanded", now);
      inside.hidden = !now;
      this.folded.set(data.id, now);
    });
    const fault = make(inside, "div", { class: "fkf-fault", role: "alert" });
    const fields = make(inside, "div", { class: "fkf-fields" });
    for (const one of data.fields) this.fields.set(one.key, new Field(fields, one, this));
    const inner = make(inside, "div", { class: "fkf-inner" });
    for (const one of data.sections) this.section(inner, one, depth + 1);
    if (data.actions.length) {
      const does = make(inside, "div", { class: "fkf-does" });
      for (const { do: act, key, text } of data.actions) {
        const button = make(does, "button", { type: "button", class: "fk-press", "aria-label": `${text}: ${data.title}` }, text);
        button.addEventListener("click", () => this.press(act, key));
      }
    }
    this.sections.set(data.id, { fault, head });
  }

  patch(state) {
    const walk = (data) => {
      const { fault, head } = this.sections.get(data.id);
      fault.textContent = data.fault;
      let count = data.fault ? 1 : 0;
      for (const one of data.fields) {
        this.fields.get(one.key).patch(one, state.cause);
        if (one.fault) count += 1;
      }
      for (const one of data.sections) count += walk(one);
      // a fault must not hide in a folded group
      if (count) head.dataset.faults = count === 1 ? "1 fault" : `${count} faults`;
      else delete head.dataset.faults;
      return count;
    };
    state.groups.forEach(walk);
  }

  // What a field's number does: beside the drawing, where nothing jumps while one goes through the
  // fields; in a narrow panel under the field itself, once the pointer is up (a press must not miss
  // its button because the text above it went away).
  explain(field, passing = false) {
    const page = this.state.layout === "page";
    if (passing && !page) return;
    if (!passing) this.explained = field;
    const shown = field || this.explained;
    const put = () => {
      this.helpBox.replaceChildren();
      if (!page && shown) shown.root.appendChild(this.helpBox);
      if (!shown) return;
      if (page) make(this.helpBox, "b", {}, `${shown.data.label} `);
      make(this.helpBox, "span", {}, shown.data.help);
    };
    if (page || !this.down) put();
    else this.later = put;
  }

  pointer(down) {
    this.down = down;
    if (down || !this.later) return;
    const put = this.later;
    this.later = null;
    setTimeout(put, 0);
  }
}

function render({ model, el }) {
  const view = new SheetView(model, el);
  return () => view.close();
}

export default { render };
