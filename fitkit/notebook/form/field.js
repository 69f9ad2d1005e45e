// One field of the form: a label, what is typed or chosen, its unit, and its fault beside it.

function make(parent, name, attributes = {}, text = null) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes))
    if (value !== null && value !== undefined && value !== false) made.setAttribute(key, value === true ? "" : value);
  if (text !== null) made.textContent = text;
  if (parent) parent.appendChild(made);
  return made;
}

let fieldCount = 0;

class Field {
  constructor(parent, data, form) {
    this.form = form;
    this.key = data.key;
    this.name = `fk-field-${(fieldCount += 1)}`;
    this.root = make(parent, "div", { class: `fkf-field fkf-${data.kind}`, "data-key": data.key });
    this.label = make(this.root, "label", { class: "fkf-label", for: this.name });
    this.box = make(this.root, "div", { class: "fkf-box" });
    this.fault = make(this.root, "div", { class: "fkf-fault", id: `${this.name}-fault`, role: "alert" });
    this.help = make(this.root, "div", { class: "fk-unseen", id: `${this.name}-help` });
    this.inputs = [];
    this.timers = new Map();
    this.tells = new Map();
    this.waiting = new Map();
    this.build(data);
    this.root.addEventListener("focusin", () => form.explain(this));
    this.root.addEventListener("pointerenter", () => form.explain(this, true));
    this.root.addEventListener("pointerleave", () => form.explain(null, true));
    this.patch(data, "start");
  }

  build(data) {
    const { kind } = data;
    if (kind === "choice" || kind === "flag") this.select(data);
    else if (kind === "choices") this.several(data);
    else if (kind === "points") this.typed(make(this.box, "textarea", { rows: 3, spellcheck: "false" }), 0);
    else if (data.names.length)
      data.names.forEach((word, part) => {
        const cell = make(this.box, "span", { class: "fkf-part" });
        this.typed(make(cell, "input", { type: "text", "aria-label": `${data.label}, ${word}`, autocomplete: "off" }), part);
        make(cell, "span", { class: "fkf-part-name", "aria-hidden": "true" }, word);
      });
    else {
      const input = make(this.box, "input", { type: "text", autocomplete: "off", spellcheck: "false" });
      this.typed(input, 0);
      if (data.choices.length) {
        const list = make(this.box, "datalist", { id: `${this.name}-list` });
        for (const [value] of data.choices) make(list, "option", { value });
        input.setAttribute("list", list.id);
      }
    }
    if (this.inputs[0]) this.inputs[0].id = this.name;
    for (const input of this.inputs) input.setAttribute("aria-describedby", `${this.name}-fault ${this.name}-help`);
    this.unit = make(this.box, "span", { class: "fkf-unit" });
  }

  select(data) {
    const select = make(this.box, "select");
    this.inputs.push(select);
    select.addEventListener("change", () => this.send(select.value, null));
    for (const [value, word] of [["", ""], ...data.choices]) make(select, "option", { value }, word);
  }

  several(data) {
    const group = make(this.box, "div", { class: "fkf-several", role: "group", "aria-label": data.label });
    this.toggles = data.choices.map(([value, word]) => {
      const toggle = make(group, "button", { type: "button", class: "fkf-toggle", "data-value": value }, word);
      toggle.addEventListener("click", () => {
        const on = this.toggles.filter((one) => (one.getAttribute("aria-pressed") === "true") !== (one === toggle));
        this.send(on.map((one) => one.dataset.value).join(","), null);
      });
      return toggle;
    });
  }

  // what is typed is told while it is typed, a moment after the last key
  typed(input, part) {
    this.inputs.push(input);
    input.dataset.part = part;
    const tell = () => {
      clearTimeout(this.timers.get(part));
      this.timers.delete(part);
      if (input.value !== this.told(part)) this.send(input.value, this.data.names.length ? part : null, part);
    };
    this.tells.set(part, tell);
    input.addEventListener("input", () => {
      clearTimeout(this.timers.get(part));
      this.timers.set(part, setTimeout(tell, 220));
    });
    input.addEventListener("focus", () => {
      this.session = this.form.nextSession();
      this.form.lookAt(this.key);
    });
    input.addEventListener("blur", () => {
      tell();
      if (this.data) this.put(input, part, true);
    });
    input.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && input.tagName === "INPUT") {
        tell();
        input.select();
      } else if (event.key === "ArrowUp" || event.key === "ArrowDown") this.stepBy(event, input);
    });
  }

  // arrow keys count up and down, within the bounds that Python gave
  stepBy(event, input) {
    const { kind, step, min, max, choices } = this.data;
    if (!["length", "number", "count", "lengths"].includes(kind) || choices.length) return;
    const text = input.value.trim() || input.placeholder;
    if (!/^[-+]?(\d+\.?\d*|\.\d+)$/.test(text)) return;
    event.preventDefault();
    const way = event.key === "ArrowUp" ? 1 : -1;
    let value = Number(text) + way * step * (event.shiftKey ? 10 : 1);
    if (min !== null) value = Math.max(min, value);
    if (max !== null) value = Math.min(max, value);
    input.value = String(Number(value.toFixed(4)));
    input.dispatchEvent(new Event("input"));
  }

  // what was typed and not told yet is told at once
  flush() {
    for (const part of [...this.timers.keys()]) this.tells.get(part)();
  }

  told(part) {
    if (this.waiting.has(part)) return this.waiting.get(part);
    return this.shown(part);
  }

  shown(part) {
    return this.data.texts ? this.data.texts[part] : this.data.text;
  }

  send(text, part, slot = 0) {
    this.waiting.set(slot, text);
    this.form.act({ kind: "set", key: this.key, text, part, session: this.session || 0 });
  }

  patch(data, cause) {
    this.data = data;
    this.label.textContent = data.label;
    this.fault.textContent = data.fault;
    this.root.classList.toggle("fkf-wrong", Boolean(data.fault));
    this.root.classList.toggle("fkf-assumed", data.assumed);
    const default_ = data.assumed && data.default ? ` Not given: ${data.default} is assumed.` : "";
    this.help.textContent = data.help + default_;
    this.unit.textContent = data.assumed && data.default ? `${data.unit} assumed`.trim() : data.unit;
    if (this.toggles) {
      const on = (data.assumed ? data.default.split(", ") : data.text.split(",")) || [];
      for (const toggle of this.toggles) toggle.setAttribute("aria-pressed", on.includes(toggle.dataset.value));
      return;
    }
    const forced = ["undo", "redo", "units", "choose", "do", "start"].includes(cause);
    this.inputs.forEach((input, part) => {
      input.setAttribute("aria-invalid", Boolean(data.fault));
      // what was typed since is newer than what Python answers here
      const newer = cause !== "start" && (this.timers.has(part) || this.form.unheard(this.key, part));
      const sure = forced && !newer;
      if (sure) this.waiting.delete(part);
      if (input.tagName === "SELECT") this.patchSelect(input, data);
      else {
        const assumed = data.names.length ? data.default.split(", ") : [data.default];
        input.placeholder = data.assumed ? assumed[part] ?? assumed[0] : "";
        this.put(input, part, sure || (!newer && document.activeElement !== input));
      }
    });
  }

  put(input, part, sure) {
    if (!sure) return;
    const text = this.shown(part);
    if (input.value !== text) input.value = text;
    if (input.tagName === "TEXTAREA") input.rows = Math.max(3, Math.min(12, text.split("\n").length));
    this.waiting.delete(part);
  }

  patchSelect(select, data) {
    const first = select.options[0];
    first.textContent = data.default ? `${data.default} (assumed)` : "not given";
    first.hidden = first.disabled = data.needed;
    const known = [...select.options].some((one) => one.value === data.text);
    for (const odd of [...select.querySelectorAll("[data-odd]")]) odd.remove();
    if (!known) make(select, "option", { value: data.text, "data-odd": true }, data.text);
    select.value = data.text;
  }
}
