// How the board is drawn: the wall, the foam, the items and their zones, sizes and gaps, as SVG.
// It is read together with board.js, as one module.

const NS = "http://www.w3.org/2000/svg";
const ROOM = { left: 78, right: 46, top: 74, bottom: 40 }; // pixels around the outside size

function node(parent, name, attributes = {}, text = null) {
  const made = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text !== null) made.textContent = text;
  parent.appendChild(made);
  return made;
}

function clear(element) {
  while (element.firstChild) element.removeChild(element.firstChild);
}

let boards = 0;

class Picture {
  constructor(el) {
    this.id = `fk${(boards += 1)}`;
    el.classList.add("fk-board-frame");
    this.svg = node(el, "svg", { class: "fk-board", role: "application" });
    this.svg.setAttribute("aria-label", "The board: drag items, or use the arrow keys");
    this.patterns();
    for (const name of ["wall", "ghosts", "zones", "items", "sizes", "gaps", "handles"])
      this[`${name}Layer`] = node(this.svg, "g", { class: `fk-${name}` });
    this.width = el.clientWidth || 900;
  }

  // ---- coordinates: millimetres to pixels; y is flipped here and nowhere else
  x(mm) { return this.left + (mm - this.home[0]) * this.scale; }
  y(mm) { return this.top + (this.home[3] - mm) * this.scale; }

  place() {
    if (!this.scene) return;
    const { box, wall } = this.scene;
    const long = box[2] - box[0] + 2 * wall;
    const wide = box[3] - box[1] + 2 * wall;
    const across = Math.max(240, this.width - ROOM.left - ROOM.right);
    this.scale = Math.min(across / long, 560 / wide);
    this.home = [...box];
    const free = this.width - ROOM.left - ROOM.right - long * this.scale;
    this.left = ROOM.left + wall * this.scale + Math.max(0, free / 2);
    this.top = ROOM.top + wall * this.scale;
    this.height = ROOM.top + ROOM.bottom + wide * this.scale;
    this.svg.setAttribute("viewBox", `0 0 ${this.width} ${this.height}`);
    this.svg.setAttribute("height", this.height);
    this.svg.setAttribute("width", this.width);
  }

  patterns() {
    const defs = node(this.svg, "defs");
    const pattern = (name, size, path, turn = 0) => {
      const made = node(defs, "pattern", {
        id: `${this.id}-${name}`, width: size, height: size, patternUnits: "userSpaceOnUse",
        patternTransform: `rotate(${turn})`,
      });
      return path(made);
    };
    pattern("dots", 7, (p) => node(p, "circle", { cx: 3.5, cy: 3.5, r: 0.7, class: "fk-dot" }));
    pattern("wall", 6, (p) => node(p, "path", { d: "M0 0V6", class: "fk-hatch" }), 45);
    pattern("connector", 5, (p) => node(p, "path", { d: "M0 0V5", class: "fk-connector" }), -45);
    pattern("cable", 5, (p) => node(p, "path", { d: "M0 2.5H5", class: "fk-soft" }));
    pattern("vent", 5, (p) => node(p, "path", { d: "M2.5 0V5", class: "fk-soft" }));
    pattern("hand", 6, (p) => node(p, "path", { d: "M0 3H6M3 0V6", class: "fk-soft" }));
  }

  fill(name) { return `url(#${this.id}-${name})`; }

  path(rings, x, y) {
    return rings
      .map((ring) => "M" + ring.map(([a, b]) =>
        `${this.x(a + x).toFixed(2)} ${this.y(b + y).toFixed(2)}`).join("L") + "Z")
      .join("");
  }

  // ---- drawing
  draw() {
    if (!this.scene) return;
    this.drawBox();
    clear(this.ghostsLayer);
    for (const ghost of this.scene.ghosts)
      node(this.ghostsLayer, "path", { d: this.path(ghost, 0, 0), class: "fk-ghost" });
    this.drawItems();
    this.drawGaps();
    this.drawHandles();
  }

  drawBox() {
    const { box, wall, corner, texts } = this.scene;
    clear(this.wallLayer);
    clear(this.sizesLayer);
    const rect = (grow, attributes) => node(this.wallLayer, "rect", {
      x: this.x(box[0] - grow), y: this.y(box[3] + grow),
      width: Math.max(1, (box[2] - box[0] + 2 * grow) * this.scale),
      height: Math.max(1, (box[3] - box[1] + 2 * grow) * this.scale), ...attributes,
    });
    const round = corner * this.scale;
    rect(wall, { class: "fk-outside", rx: Math.max(3, round) });
    rect(wall, { fill: this.fill("wall"), rx: Math.max(3, round) });
    rect(0, { class: "fk-interior", rx: round });
    rect(0, { fill: this.fill("dots"), rx: round });
    const top = this.y(box[3] + wall);
    const side = this.x(box[0] - wall);
    this.size([this.x(box[0] - wall), top - 40], [this.x(box[2] + wall), top - 40], texts.outside[0], top, "outside-length");
    this.size([this.x(box[0]), top - 18], [this.x(box[2]), top - 18], texts.interior[0], top, "interior-length");
    this.size([side - 44, this.y(box[1] - wall)], [side - 44, this.y(box[3] + wall)], texts.outside[1], side, "outside-width");
    this.size([side - 20, this.y(box[1])], [side - 20, this.y(box[3])], texts.interior[1], side, "interior-width");
  }

  size(a, b, text, edge, name) {
    const g = node(this.sizesLayer, "g", { class: "fk-size" });
    const flat = a[1] === b[1];
    const [mx, my] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    for (const end of [a, b])
      node(g, "path", { class: "fk-extension", d: flat ? `M${end[0]} ${edge}V${end[1] - 5}` : `M${edge} ${end[1]}H${end[0] - 5}` });
    node(g, "path", { class: "fk-dimension", d: `M${a}L${b}` });
    for (const [end, sign] of [[a, 1], [b, -1]]) {
      const way = flat ? [sign, 0] : [0, -sign];
      const tip = (along, across) => `${end[0] + way[0] * along + way[1] * across} ${end[1] + way[1] * along + way[0] * across}`;
      node(g, "path", { class: "fk-arrow", d: `M${tip(0, 0)}L${tip(8, 1.8)}L${tip(8, -1.8)}Z` });
    }
    const wide = text.length * 6.6 + 10;
    const label = node(g, "g", flat ? {} : { transform: `rotate(-90 ${mx} ${my})` });
    node(label, "rect", { class: "fk-paper", x: mx - wide / 2, y: my - 8, width: wide, height: 16 });
    node(label, "text", { class: "fk-number", x: mx, y: my + 4, "text-anchor": "middle", "data-size": name }, text);
  }

  drawItems() {
    clear(this.itemsLayer);
    clear(this.zonesLayer);
    for (const item of this.scene.items) this.drawItem(item);
  }

  drawItem(item) {
    const failing = this.scene.failing[item.id];
    item.zoneGroup = node(this.zonesLayer, "g");
    for (const zone of item.zones) {
      const d = this.path(zone.rings, item.x, item.y);
      node(item.zoneGroup, "path", { d, fill: this.fill(zone.kind), class: `fk-zone fk-zone-${zone.kind}` });
    }
    const classes = ["fk-item", item.id === this.scene.chosen ? "fk-chosen" : "", failing ? "fk-failing" : ""];
    const group = node(this.itemsLayer, "g", {
      class: classes.join(" ").trim(), tabindex: 0, role: "button", "data-item": item.id,
      "aria-label": `${item.name}${item.pinned ? ", pinned" : ""}${failing ? `, ${failing}` : ""}`,
    });
    item.group = group;
    node(group, "path", { d: this.path(item.rings, item.x, item.y), class: "fk-body", "fill-rule": "evenodd" });
    this.drawName(group, item, failing);
    this.listen(group, item);
  }

  drawName(group, item, failing) {
    const wide = item.w * this.scale;
    const high = item.h * this.scale;
    const [mx, my] = [this.x(item.x + item.w / 2), this.y(item.y + item.h / 2)];
    const upright = high > 1.6 * wide && item.name.length * 7 > wide;
    const room = upright ? high : wide;
    const label = node(group, "g", { class: "fk-label" });
    if (upright) label.setAttribute("transform", `rotate(-90 ${mx} ${my})`);
    const size = Math.max(9, Math.min(13, (1.75 * (room - 8)) / Math.max(4, item.name.length)));
    const words = item.name.length * size * 0.6 > room - 6 && item.name.includes(" ") ? item.name.split(" ") : [item.name];
    const lines = words.map((word) => [word, "fk-name", size]);
    const deep = upright ? wide : high;
    if (deep > 48 && room > item.sub.length * 5.6 + 8) lines.push([item.sub, "fk-fact", 10]);
    if (failing && deep > 30) lines.push([failing.toUpperCase(), "fk-verdict", 9]);
    if (item.pinned) lines.push(["PINNED", "fk-pin", 9]);
    let at = my - (lines.reduce((sum, line) => sum + line[2] + 3, 0) - 3) / 2;
    for (const [text, kind, high] of lines) {
      at += high;
      node(label, "text", { x: mx, y: at - 1, class: kind, "font-size": high, "text-anchor": "middle" }, text);
      at += 3;
    }
  }

  drawGaps() {
    clear(this.gapsLayer);
    const taken = [];
    for (const gap of this.scene.gaps) {
      const a = [this.x(gap.a[0]), this.y(gap.a[1])];
      const b = [this.x(gap.b[0]), this.y(gap.b[1])];
      const g = node(this.gapsLayer, "g", { class: `fk-gap fk-${gap.verdict}` });
      node(g, "path", { d: `M${a}L${b}`, class: "fk-witness" });
      for (const end of [a, b]) node(g, "circle", { cx: end[0], cy: end[1], r: 2.4, class: "fk-end" });
      this.tag(g, a, b, gap, taken);
    }
  }

  tag(g, a, b, gap, taken) {
    const wide = gap.text.length * 7 + 14;
    const high = 18;
    const middle = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    const flat = Math.abs(a[1] - b[1]) < Math.abs(a[0] - b[0]);
    const spots = [];
    for (const away of [0, 1, 2, 3])
      for (const sign of away ? [-1, 1] : [-1])
        spots.push(flat ? [middle[0], middle[1] + sign * (16 + 20 * Math.max(0, away - 1)) * (away ? 1 : 1)]
          : [middle[0] + sign * (wide / 2 + 8) * Math.max(1, away), middle[1]]);
    const free = ([x, y]) => x - wide / 2 > 2 && x + wide / 2 < this.width - 2 && y - high / 2 > 2 &&
      !taken.some((t) => Math.abs(t[0] - x) < (t[2] + wide) / 2 + 2 && Math.abs(t[1] - y) < high + 2);
    const [x, y] = spots.find(free) || spots[0];
    taken.push([x, y, wide]);
    node(g, "rect", {
      class: "fk-tag", x: x - wide / 2, y: y - high / 2, width: wide, height: high,
      rx: gap.verdict === "fails" ? 0 : high / 2,
    });
    node(g, "text", { class: "fk-tag-text", x, y: y + 4, "text-anchor": "middle", "data-gap": gap.to }, gap.text);
  }
}
