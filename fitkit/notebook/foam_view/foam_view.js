// The foam view: a slider through the layers, each as it will be cut, and its notches to move.

class FoamPicture {
  constructor(model, el) {
    this.model = model;
    this.link = new Link(model);
    el.classList.add("fk-look", "fkl");
    el.setAttribute("data-lm-suppress-shortcuts", "true");
    const head = tag(el, "div", { class: "fkl-head" });
    const top = tag(head, "div", { class: "fkl-top" });
    this.title = tag(top, "h3", { class: "fkl-title" });
    this.busy = tag(top, "span", { class: "fkl-busy", role: "status" });
    this.facts = tag(head, "dl", { class: "fkl-facts" });
    const slide = tag(head, "label", { class: "fkl-slide" });
    tag(slide, "span", { class: "fkl-word" }, "layer");
    this.slider = tag(slide, "input", { type: "range", min: 0, step: 1 });
    this.count = tag(slide, "span", { class: "fkl-count" });
    const both = tag(el, "div", { class: "fkl-both" });
    this.side = tag(both, "div", { class: "fkl-side" });
    this.stage = tag(both, "div", { class: "fkl-stage" });
    this.sheet = new Sheet(this.stage);
    this.sheet.svg.setAttribute("tabindex", -1);
    this.numbers = tag(this.stage, "p", { class: "fkl-numbers" });
    this.info = tag(this.stage, "p", { class: "fkl-info", "aria-hidden": "true" });
    this.row = tag(el, "div", { class: "fkl-row" });
    this.status = tag(el, "p", { class: "fkl-status", role: "status", "aria-live": "polite" });
    const under = tag(el, "div", { class: "fkl-under" });
    this.told = model.get("layers");
    this.scene = model.get("scene");
    this.k = this.told.first || 0;
    this.stack = new Stack(this.side, (k) => this.go(k));
    this.notches = new Notches(this);
    this.tools = new Tools(this, this.row, under);
    this.slider.addEventListener("input", () => this.go(Number(this.slider.value)));
    el.addEventListener("keydown", (event) => this.key(event));
    this.watch = new ResizeObserver(() => this.resized());
    this.watch.observe(this.stage);
    this.heard = [
      ["layers", () => { this.told = model.get("layers"); this.k = Math.min(this.k, Math.max(0, this.told.layers.length - 1)); this.draw(); }],
      ["scene", () => this.rescene()],
      ["answer", () => { const answer = model.get("answer"); if (answer.view === this.link.view) this.notches.answer(answer); }],
      ["heard", () => this.link.sync()],
    ];
    for (const [name, run] of this.heard) model.on(`change:${name}`, run);
    this.draw();
  }

  get layer() { return this.told.layers[this.k]; }

  resized() {
    const wide = this.stage.clientWidth;
    if (!wide || Math.abs(wide - (this.seen || 0)) < 2) return;
    this.seen = wide;
    this.draw();
  }

  go(k) {
    if (k < 0 || k >= this.told.layers.length || k === this.k) return;
    this.k = k;
    this.draw();
  }

  show(id) { this.go(this.told.layers.findIndex((one) => one.id === id)); }

  rescene() {
    this.scene = this.model.get("scene");
    if (!this.notches.drag) this.sheet.drawLive(null);
    this.busy.textContent = this.scene.busy || "";
    if (this.scene.status) this.say(this.scene.status);
    this.notches.draw();
    this.tools.draw();
  }

  draw() {
    const { layers, title } = this.told;
    if (!layers.length) {
      this.title.textContent = "This plan has no foam";
      return;
    }
    const { layer } = this;
    this.title.textContent = layer.name;
    clear(this.facts);
    for (const [name, text] of [["kit", title], ...layer.facts, ["sizes in", this.told.units]]) {
      const one = tag(this.facts, "div");
      tag(one, "dt", {}, name);
      tag(one, "dd", {}, text);
    }
    this.slider.max = layers.length - 1;
    this.slider.value = this.k;
    this.slider.setAttribute("aria-valuetext", `${layer.name}, ${layer.facts[0][1]}`);
    this.count.textContent = `${this.k + 1} of ${layers.length}`;
    this.stack.draw(this.told, this.k);
    const focused = this.sheet.groups.cuts.contains(document.activeElement) ? document.activeElement.dataset.cut : null;
    this.sheet.fit(layers, this.stage.clientWidth || 800);
    this.sheet.draw(layer, (made, cut) => this.listen(made, cut));
    if (focused) {
      const again = this.sheet.groups.cuts.querySelector(`[data-cut="${CSS.escape(focused)}"]`);
      if (again) again.focus({ preventScroll: true });
    }
    this.numbers.textContent = this.sheet.numbered.map((one, k) => `${k + 1} ${one.name}`).join(" · ");
    this.tell(null);
    this.rescene();
  }

  listen(made, cut) {
    made.addEventListener("pointerenter", () => this.tell(cut.text));
    made.addEventListener("pointerleave", () => this.tell(null));
    made.addEventListener("focus", () => this.tell(cut.text));
    made.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" && event.key !== " ") return;
      event.preventDefault();
      event.stopPropagation();
      this.notches.addTo(cut.key);
    });
  }

  // what is under the pointer or has the focus
  tell(text) { this.info.textContent = text || "Point at a cut to see what it is for; drag a notch along its pocket's edge."; }

  say(text) { if (this.status.textContent !== text) this.status.textContent = text; }

  key(event) {
    const typing = event.target.tagName === "INPUT" && event.target.type === "text";
    if (event.key !== "Tab") event.stopPropagation();
    if (event.key === "Escape" && this.notches.adding) this.notches.add(false);
    else if (typing) return;
    else if (event.key === "PageUp") this.go(this.k + 1);
    else if (event.key === "PageDown") this.go(this.k - 1);
    else if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z") this.link.act({ kind: event.shiftKey ? "redo" : "undo" });
    else if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "y") this.link.act({ kind: "redo" });
    else return;
    event.preventDefault();
  }

  close() {
    this.watch.disconnect();
    this.link.close();
    for (const [name, run] of this.heard) this.model.off(`change:${name}`, run);
  }
}

export default {
  render({ model, el }) {
    const picture = new FoamPicture(model, el);
    return () => picture.close();
  },
};
