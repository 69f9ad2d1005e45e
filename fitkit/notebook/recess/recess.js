// The recess view: sliders beside a section that Python draws anew at every step.

class RecessPicture {
  constructor(model, el) {
    this.model = model;
    this.link = new Link(model);
    el.classList.add("fk-look", "fkr");
    el.setAttribute("data-lm-suppress-shortcuts", "true");
    const head = tag(el, "div", { class: "fkr-head" });
    this.title = tag(head, "h3", { class: "fkr-title" });
    this.busy = tag(head, "span", { class: "fkr-busy" });
    const both = tag(el, "div", { class: "fkr-both" });
    const left = tag(both, "div", { class: "fkr-left" });
    this.section = tag(left, "div", { class: "fkr-section", role: "img" });
    this.unseen = tag(left, "p", { class: "fk-unseen", role: "status", "aria-live": "polite" });
    this.fault = tag(left, "p", { class: "fkr-fault", role: "alert" });
    this.findings = tag(left, "div", { class: "fkr-findings" });
    this.notes = tag(left, "div", { class: "fkr-notes" });
    const under = tag(left, "div", { class: "fkr-under" });
    this.parts = tag(under, "div", { class: "fkr-where" });
    this.drawn = tag(under, "div", { class: "fkr-chance" });
    this.side = tag(both, "div", { class: "fkr-side" });
    this.rows = new Map(); // key -> {row, slider, field}
    this.buttons();
    this.heard = [["shown", () => this.shown()], ["heard", () => this.link.sync()]];
    for (const [name, run] of this.heard) model.on(`change:${name}`, run);
    el.addEventListener("keydown", (event) => { if (event.key !== "Tab") event.stopPropagation(); });
    this.shown();
  }

  buttons() {
    const row = tag(this.side, "div", { class: "fkr-buttons" });
    this.press(row, "least recess that keeps all gaps", "least", "fk-press fk-strong");
    this.press(row, "least depth for it", "shallow");
    this.planned = this.press(row, "back to the plan", "planned");
    this.groups = tag(this.side, "div", { class: "fkr-groups" });
    this.saving = tag(this.side, "div", { class: "fkr-saving" });
    tag(this.saving, "h4", {}, "To keep it");
    this.lines = tag(this.saving, "pre", { class: "fkr-lines" });
    this.backs = tag(this.saving, "p", { class: "fkr-line" });
    this.keep = this.press(this.saving, "write it into the sheet", "keep");
    this.saved = tag(this.saving, "p", { class: "fkr-line", role: "status" });
  }

  press(parent, words, kind, look = "fk-press") {
    const made = tag(parent, "button", { class: look, type: "button" }, words);
    made.addEventListener("click", () => this.act({ kind }));
    return made;
  }

  act(entry) {
    this.busy.textContent = "working ...";
    this.link.act(entry);
  }

  // one slider, made once; it is never taken away under the hand
  control(told) {
    let group = this.groups.querySelector(`[data-group="${CSS.escape(told.group)}"]`);
    if (!group) {
      group = tag(this.groups, "fieldset", { class: "fkr-group", "data-group": told.group });
      tag(group, "legend", {}, told.group);
    }
    const row = tag(group, "label", { class: "fkr-row" });
    tag(row, "span", { class: "fkr-words" }, told.words);
    const slider = tag(row, "input", { type: "range", "data-key": told.key });
    const field = tag(row, "input", { type: "text", "data-field": told.key, "aria-label": `${told.group}: ${told.words}`, autocomplete: "off", spellcheck: "false" });
    const made = { row, slider, field, told };
    slider.addEventListener("input", () => this.link.tell({ id: told.key, value: Number(slider.value) }, { firm: false, gesture: told.key }));
    slider.addEventListener("change", () => this.link.tell({ id: told.key, value: Number(slider.value), drop: true }));
    field.addEventListener("focus", () => field.select());
    field.addEventListener("keydown", (event) => {
      if (event.key === "Escape") { field.value = made.told.text; field.blur(); }
      else if (event.key === "Enter") field.blur();
    });
    field.addEventListener("change", () => this.act({ kind: "type", key: told.key, text: field.value }));
    if (told.key === "cut") {
      const follow = tag(group, "button", { class: "fk-press fkr-follow", type: "button" }, "cut through the gap");
      follow.addEventListener("click", () => this.act({ kind: "follow" }));
    }
    this.rows.set(told.key, made);
    return made;
  }

  shown() {
    const now = this.model.get("shown");
    if (now.view === this.link.view) this.link.answered(now.n);
    this.busy.textContent = "";
    this.title.textContent = now.title;
    this.section.innerHTML = now.section;
    this.section.setAttribute("aria-label", now.said);
    if (this.unseen.textContent !== now.said) this.unseen.textContent = now.said;
    this.fault.textContent = now.fault;
    this.fault.hidden = !now.fault;
    for (const told of now.controls) this.set(this.rows.get(told.key) || this.control(told), told);
    this.tell(now);
    this.where(now.gap);
    this.chance(now);
    this.save(now);
  }

  set(made, told) {
    made.told = told;
    made.slider.min = told.low;
    made.slider.max = told.high;
    made.slider.step = told.step;
    const held = this.link.underWay().has(told.key);
    if (!held) made.slider.value = told.value;
    made.slider.setAttribute("aria-valuetext", told.text);
    if (document.activeElement !== made.field) made.field.value = told.text;
    made.row.classList.toggle("fkr-changed", told.changed);
  }

  tell(now) {
    const tags = { fails: "FAILS", tight: "TIGHT", unknown: "UNKNOWN", ok: "OK" };
    clear(this.findings);
    for (const one of now.findings) {
      const row = tag(this.findings, "div", { class: "fk-finding" });
      tag(row, "span", { class: `fk-tag fk-is-${one.verdict}` }, tags[one.verdict]);
      tag(row, "b", {}, one.head);
      tag(row, "span", {}, one.text);
    }
    clear(this.notes);
    for (const note of now.notes) tag(this.notes, "p", { class: "fkr-line" }, note);
  }

  // where the gap goes: a bar, and a row for each contribution
  where(gap) {
    const focused = document.activeElement && document.activeElement.dataset.gap !== undefined;
    clear(this.parts);
    if (!gap.rows.length) return;
    tag(this.parts, "h4", {}, `Where the ${gap.nominal} mm go`);
    if (gap.names.length > 1) {
      const choose = tag(this.parts, "select", { class: "fkr-choose", "data-gap": "", "aria-label": "gap looked at" });
      for (const name of gap.names) {
        const one = tag(choose, "option", { value: name }, name);
        one.selected = name === gap.chosen;
      }
      choose.addEventListener("change", () => this.act({ kind: "gap", name: choose.value }));
      if (focused) choose.focus();
    } else tag(this.parts, "p", { class: "fkr-line" }, gap.chosen);
    const bar = tag(this.parts, "div", { class: "fkr-bar", "aria-hidden": "true" });
    const part = (mm, look, colour) => {
      if (!(mm > 0.004)) return;
      const one = tag(bar, "span", { class: look });
      one.style.flexGrow = mm;
      if (colour) one.style.background = `var(--fk-${colour})`;
    };
    for (const one of gap.rows) part(one.mm, "fkr-part", one.colour);
    const { worst, keep } = gap.mm;
    part(Math.min(worst, keep), "fkr-kept");
    part(worst - Math.min(worst, keep), "fkr-over");
    if (worst < 0) bar.classList.add("fkr-short");
    const table = tag(this.parts, "table", { class: "fkr-parts" });
    const body = tag(table, "tbody");
    for (const one of gap.rows) {
      const row = tag(body, "tr", {});
      const what = tag(row, "th", { scope: "row" });
      tag(what, "i", { class: "fkr-key" }).style.background = `var(--fk-${one.colour})`;
      what.append(one.what);
      tag(row, "td", { class: "fkr-number" }, one.text);
    }
    const foot = tag(table, "tfoot");
    for (const [name, text] of gap.figures) {
      const row = tag(foot, "tr", {});
      tag(row, "th", { scope: "row" }, name);
      tag(row, "td", { class: "fkr-number" }, text);
    }
    this.sources(gap);
  }

  // where the figures are from: each source once, with what it is the source of
  sources(gap) {
    const open = this.sourcesOpen;
    const box = tag(this.parts, "details", { class: "fkr-sources" });
    box.open = Boolean(open);
    box.addEventListener("toggle", () => { this.sourcesOpen = box.open; });
    tag(box, "summary", {}, "where these figures are from");
    const by = new Map();
    for (const one of gap.rows) by.set(one.source, [...(by.get(one.source) || []), one.what]);
    const list = tag(box, "dl");
    for (const [source, whats] of by) {
      tag(list, "dt", {}, whats.join(" · "));
      tag(list, "dd", {}, source);
    }
  }

  chance(now) {
    const focused = document.activeElement && document.activeElement.dataset.spread;
    clear(this.drawn);
    if (!now.histogram) return;
    const picture = tag(this.drawn, "div", { class: "fkr-drawn", role: "img", "aria-label": now.draws });
    picture.innerHTML = now.histogram;
    const row = tag(this.drawn, "div", { class: "fkr-buttons" });
    for (const [value, words] of [["uniform", "anywhere within ±"], ["normal", "spread normally"]]) {
      const one = tag(row, "button", { class: "fk-press", type: "button", "aria-pressed": String(now.spread === value), "data-spread": value }, words);
      one.addEventListener("click", () => this.act({ kind: "spread", value }));
      if (focused === value) one.focus();
    }
  }

  save(now) {
    const changed = now.controls.some((one) => one.changed && one.key !== "cut");
    this.planned.disabled = !changed;
    this.lines.textContent = now.changes.length ? now.changes.join("\n") : "nothing differs from the plan yet";
    this.backs.textContent = now.backs;
    this.backs.hidden = !now.backs;
    this.keep.hidden = !now.sheet;
    this.keep.textContent = now.sheet ? `write it into ${now.sheet}` : "";
    this.keep.disabled = !now.changes.some((line) => !line.startsWith("#"));
    this.saved.textContent = now.saved;
  }

  close() {
    this.link.close();
    for (const [name, run] of this.heard) this.model.off(`change:${name}`, run);
  }
}

export default {
  render({ model, el }) {
    const picture = new RecessPicture(model, el);
    return () => picture.close();
  },
};
