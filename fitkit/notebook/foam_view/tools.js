// What stands around the sheet: buttons with words, the notch's numbers, findings, the files.

const LINES = [["pocket", "pocket"], ["notch", "finger notch"], ["channel", "channel"], ["relief", "relief"], ["item", "item in its pocket"], ["web", "web below its limit"]];
const TAGS = { ok: "OK", tight: "TIGHT", fails: "FAILS", unknown: "UNKNOWN" };

class Tools {
  constructor(view, row, under) {
    this.view = view;
    const button = (text, run, parent = row) => {
      const made = tag(parent, "button", { class: "fk-press", type: "button" }, text);
      made.addEventListener("click", run);
      return made;
    };
    const act = (kind, more = () => ({})) => () => view.link.act({ kind, ...more() });
    this.add = button("add a notch", () => view.notches.add(!view.notches.adding));
    this.of = tag(row, "span", { class: "fkl-of", role: "group", "aria-label": "the chosen notch" });
    this.name = tag(this.of, "b", { class: "fkl-name" });
    this.fields = {};
    for (const [name, help] of [["width", "along the edge"], ["depth", "how far it reaches into the foam"]]) {
      const word = tag(this.of, "label", { title: help }, `${name} `);
      const field = tag(word, "input", { type: "text", size: 8, "data-field": name, "aria-describedby": `${view.sheet.id}-fault`, "aria-label": `${name}: ${help}` });
      field.addEventListener("change", () => this.sized());
      this.fields[name] = field;
    }
    this.remove = button("remove this notch", () => view.notches.remove(), this.of);
    this.planned = button("as planned", act("planned", () => ({ key: view.notches.chosen.key })), this.of);
    this.back = tag(row, "span", { class: "fkl-back" });
    this.undo = button("undo", act("undo"), this.back);
    this.redo = button("redo", act("redo"), this.back);
    this.all = button("all notches as planned", act("planned"), this.back);
    this.fault = tag(under, "p", { class: "fkl-fault", role: "alert", id: `${view.sheet.id}-fault` });
    this.legend(under);
    this.findings = tag(under, "div", { class: "fkl-findings" });
    const files = tag(under, "div", { class: "fkl-files" });
    this.write = button("write the cutting files", act("write"), files);
    this.write.classList.add("fk-strong");
    this.saved = tag(files, "span", { class: "fkl-saved", role: "status" });
    this.caution = tag(under, "p", { class: "fkl-caution" });
    this.notes = tag(under, "details", { class: "fkl-notes" });
  }

  legend(parent) {
    const row = tag(parent, "div", { class: "fkl-legend", "aria-label": "lines" });
    for (const [kind, text] of LINES) {
      const one = tag(row, "span");
      const svg = node(null, "svg", { width: 30, height: 10, "aria-hidden": "true" });
      node(svg, "path", { d: "M1 5H29", class: `fkl-sample fkl-sample-${kind}` });
      one.appendChild(svg);
      tag(one, "span", {}, text);
    }
  }

  sized() {
    const { chosen } = this.view.notches;
    if (!chosen) return;
    this.view.link.act({ kind: "size", id: chosen.id, width: this.fields.width.value, depth: this.fields.depth.value });
  }

  draw() {
    const { scene, notches, told } = this.view;
    const { chosen } = notches;
    this.add.setAttribute("aria-pressed", notches.adding);
    this.add.textContent = notches.adding ? "click on an edge …" : "add a notch";
    this.of.hidden = !chosen;
    this.name.textContent = chosen ? chosen.name : "";
    if (chosen) {
      const same = this.shown === chosen.id;
      for (const [name, field] of Object.entries(this.fields))
        if (!(same && field === document.activeElement && field.value !== this.told[name])) field.value = chosen[name];
      const pocket = told.pockets.find((one) => one.key === chosen.key);
      this.planned.hidden = !scene.own.includes(chosen.key);
      this.planned.textContent = `${pocket ? pocket.name : ""} as planned`;
      this.told = { width: chosen.width, depth: chosen.depth };
    }
    this.shown = chosen ? chosen.id : null;
    for (const name of ["undo", "redo"]) {
      this[name].disabled = !scene[name];
      this[name].textContent = scene[name] ? `${name}: ${scene[name]}` : name;
    }
    this.all.disabled = !scene.own.length;
    this.fault.textContent = scene.fault || "";
    this.fault.hidden = !scene.fault;
    this.write.hidden = !scene.may_write;
    this.write.disabled = Boolean(scene.busy);
    this.saved.textContent = scene.saved || "";
    this.caution.textContent = scene.may_write ? scene.caution : "";
    this.drawFindings(scene);
  }

  drawFindings(scene) {
    const key = JSON.stringify([scene.findings, scene.notes]);
    if (key === this.as) return;
    this.as = key;
    clear(this.findings);
    for (const one of scene.findings) {
      const row = tag(this.findings, "div", { class: "fk-finding" });
      tag(row, "span", { class: `fk-tag fk-is-${one.verdict}` }, TAGS[one.verdict]);
      tag(row, "b", {}, one.head);
      tag(row, "span", {}, one.text);
    }
    clear(this.notes);
    const many = scene.notes.length;
    this.notes.hidden = !many;
    tag(this.notes, "summary", {}, `to know before cutting: ${many} ${many === 1 ? "note" : "notes"}`);
    const list = tag(this.notes, "ul");
    for (const text of scene.notes) tag(list, "li", {}, text);
    this.notes.open = scene.notes.some((text) => text.includes("notch"));
  }
}
