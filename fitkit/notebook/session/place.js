// The place of the chosen item: sliders and numbers for x, y and turn. Python sets `place`; only
// what the builder does is sent back, as `move`, in the same words as the board's.

class Place {
  constructor(model, el) {
    this.model = model;
    this.link = new Link(model);
    el.classList.add("fk-place");
    this.rows = {};
    for (const name of ["x", "y", "turn"]) this.rows[name] = this.row(el, name);
    this.listeners = [["change:place", () => this.load()], ["change:heard", () => this.link.sync()]];
    for (const [event, listener] of this.listeners) model.on(event, listener);
    this.load();
  }

  row(el, name) {
    const row = document.createElement("label");
    row.className = "fk-place-row";
    const word = document.createElement("span");
    word.textContent = name;
    const slider = document.createElement("input");
    const figure = document.createElement("input");
    slider.type = "range";
    figure.type = "number";
    for (const input of [slider, figure]) {
      input.dataset.place = `${name}-${input.type}`;
      input.setAttribute("aria-label", `${name} of the chosen item`);
    }
    const unit = document.createElement("span");
    unit.textContent = name === "turn" ? "°" : "mm"; // as shown; the slider's own value is in mm
    row.append(word, slider, figure, unit);
    el.appendChild(row);
    const put = (value, drop) => {
      if (!Number.isFinite(value)) return;
      slider.value = value;
      figure.value = this.figure(name, value);
      this.say(name, value, drop);
    };
    slider.addEventListener("input", () => put(slider.valueAsNumber, false));
    slider.addEventListener("change", () => put(slider.valueAsNumber, true));
    figure.addEventListener("input", () => { this.typing = figure; });
    figure.addEventListener("change", () => {
      this.typing = null;
      put(figure.valueAsNumber * this.per(name), true);
    });
    // the notebook's own keys must not act while a number is typed or a slider is moved
    row.addEventListener("keydown", (event) => event.stopPropagation());
    return { slider, figure, unit };
  }

  inches(name) { return name !== "turn" && this.unit === "in"; }
  per(name) { return this.inches(name) ? 25.4 : 1; } // millimetres in the unit shown

  figure(name, value) {
    const fine = this.inches(name) ? 1000 : 10;
    return String(Math.round((value / this.per(name)) * fine) / fine);
  }

  load() {
    const place = this.model.get("place");
    disable(this.rows, !place || place.id === undefined);
    if (!place || place.id === undefined) return;
    this.id = place.id;
    this.unit = place.unit;
    for (const [name, { slider, figure, unit }] of Object.entries(this.rows)) {
      const { value, min, max, step, fixed } = place[name];
      Object.assign(slider, { min, max, step });
      Object.assign(figure, { min: min / this.per(name), max: max / this.per(name), step: "any" });
      if (name !== "turn") unit.textContent = this.unit;
      slider.disabled = figure.disabled = Boolean(fixed);
      const active = document.activeElement;
      if (active !== slider || !this.link.queue.length) slider.value = value;
      if (this.typing !== figure) figure.value = this.figure(name, value);
    }
    this.at = { x: place.x.value, y: place.y.value };
  }

  say(name, value, drop) {
    const move = name === "turn" ? { turn: value } : { ...this.at, [name]: value };
    if (name !== "turn") this.at[name] = value;
    this.link.tell({ id: this.id, ...move, exact: true, ...(drop ? { drop } : {}) }, { firm: drop, gesture: name });
  }

  close() {
    for (const [event, listener] of this.listeners) this.model.off(event, listener);
    this.link.close();
  }
}

function disable(rows, hidden) {
  for (const { slider, figure } of Object.values(rows)) slider.disabled = figure.disabled = hidden;
}

export default {
  render({ model, el }) {
    const place = new Place(model, el);
    return () => place.close();
  },
};
