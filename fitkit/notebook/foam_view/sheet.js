// The sheet of foam that is looked at, as SVG: what is cut out of it, names, sizes and thin webs.

const ROOM = { left: 66, right: 22, top: 48, bottom: 18 }; // pixels around the sheet
const GROUPS = ["foam", "lines", "cuts", "items", "notches", "sizes", "names", "webs", "live"];
let sheets = 0;

function boxOf(rings) {
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of rings[0]) [x0, y0, x1, y1] = [Math.min(x0, x), Math.min(y0, y), Math.max(x1, x), Math.max(y1, y)];
  return [x0, y0, x1, y1];
}

// the point of an edge nearest to (x, y), and the way out of the pocket there
function onEdge(edges, x, y) {
  let best = null;
  for (const ring of edges) {
    let twice = 0;
    for (let i = 1; i < ring.length; i += 1) twice += ring[i - 1][0] * ring[i][1] - ring[i][0] * ring[i - 1][1];
    for (let i = 1; i < ring.length; i += 1) {
      const [[ax, ay], [bx, by]] = [ring[i - 1], ring[i]];
      const [dx, dy] = [bx - ax, by - ay];
      const long = dx * dx + dy * dy;
      if (!long) continue;
      const t = Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / long));
      const [px, py] = [ax + t * dx, ay + t * dy];
      const far = Math.hypot(px - x, py - y);
      if (best && far >= best.far) continue;
      const s = (twice > 0 ? 1 : -1) / Math.sqrt(long);
      best = { far, at: [px, py], out: [dy * s, -dx * s] };
    }
  }
  return best;
}

// rings of a notch carried from one place on an edge to another
function carried(notch, to) {
  const [ox, oy] = notch.out;
  const [px, py] = to.out;
  return notch.rings.map((ring) => ring.map(([x, y]) => {
    const [dx, dy] = [x - notch.at[0], y - notch.at[1]];
    const [along, out] = [dx * oy - dy * ox, dx * ox + dy * oy];
    return [to.at[0] + along * py + out * px, to.at[1] - along * px + out * py];
  }));
}

class Sheet {
  constructor(parent) {
    this.id = `fkl${(sheets += 1)}`;
    this.svg = node(parent, "svg", { class: "fkl-sheet", role: "group", "aria-label": "the layer, seen from above" });
    const defs = node(this.svg, "defs");
    const dots = node(defs, "pattern", { id: `${this.id}-dots`, width: 7, height: 7, patternUnits: "userSpaceOnUse" });
    node(dots, "circle", { cx: 3.5, cy: 3.5, r: 0.7, class: "fkl-dot" });
    this.groups = {};
    for (const name of GROUPS) this.groups[name] = node(this.svg, "g", { class: `fkl-${name}` });
    this.width = 800;
  }

  x(mm) { return this.left + (mm - this.layer.box[0]) * this.scale; }
  y(mm) { return this.top + (this.layer.box[3] - mm) * this.scale; }

  // a pointer's place in millimetres
  mm(event) {
    const box = this.svg.getBoundingClientRect();
    const zoom = box.width / this.width || 1;
    const [px, py] = [(event.clientX - box.left) / zoom, (event.clientY - box.top) / zoom];
    return [(px - this.left) / this.scale + this.layer.box[0], this.layer.box[3] - (py - this.top) / this.scale];
  }

  path(rings) {
    return rings.map((ring) => "M" + ring.map(([x, y]) => `${this.x(x).toFixed(2)} ${this.y(y).toFixed(2)}`).join("L") + "Z").join("");
  }

  // the same scale for all layers, so that nothing jumps from one to the next
  fit(layers, width) {
    let [long, wide] = [1, 1];
    for (const layer of layers) {
      long = Math.max(long, layer.box[2] - layer.box[0]);
      wide = Math.max(wide, layer.box[3] - layer.box[1]);
    }
    this.width = Math.max(320, width);
    this.scale = Math.min((this.width - ROOM.left - ROOM.right) / long, 600 / wide);
    this.top = ROOM.top;
    this.left = ROOM.left + Math.max(0, (this.width - ROOM.left - ROOM.right - long * this.scale) / 2);
    this.height = ROOM.top + wide * this.scale + ROOM.bottom;
    for (const [name, value] of [["width", this.width], ["height", this.height]]) this.svg.setAttribute(name, value);
    this.svg.setAttribute("viewBox", `0 0 ${this.width} ${this.height}`);
  }

  draw(layer, listen) {
    this.layer = layer;
    const { foam, lines, cuts, items } = this.groups;
    for (const name of ["foam", "lines", "cuts", "items", "names", "sizes", "webs"]) clear(this.groups[name]);
    const d = this.path(layer.outline);
    node(foam, "path", { d, class: `fkl-outline fkl-${layer.material}` });
    node(foam, "path", { d, fill: `url(#${this.id}-dots)` });
    // lines first, then what is cut away on top: of each line the half beside the foam is left
    const drawn = layer.cuts.map((cut) => ({ cut, d: this.path(cut.rings) }));
    for (const { cut, d: path } of drawn) node(lines, "path", { d: path, class: `fkl-line fkl-line-${cut.kind}` });
    const seen = new Set();
    for (const { cut, d: path } of drawn) {
      const made = node(cuts, "path", { d: path, class: `fkl-cut fkl-cut-${cut.kind}`, "fill-rule": "evenodd" });
      const name = `${cut.key} ${cut.kind}`;
      if (cut.kind !== "notch" && !seen.has(name)) {
        seen.add(name);
        for (const [key, value] of [["tabindex", 0], ["role", "button"], ["aria-label", cut.text], ["data-cut", name]]) made.setAttribute(key, value);
      }
      listen(made, cut);
    }
    for (const item of layer.items) node(items, "path", { d: this.path(item.rings), class: "fkl-item" });
    this.drawSizes(layer);
    this.drawNames(layer);
    this.drawWebs(layer.webs);
  }

  drawSizes(layer) {
    const [x0, y0, x1, y1] = layer.box;
    this.size([this.x(x0), ROOM.top - 22], [this.x(x1), ROOM.top - 22], layer.texts[0], this.top, "length");
    const side = this.x(x0);
    this.size([side - 24, this.y(y0)], [side - 24, this.y(y1)], layer.texts[1], side, "width");
  }

  size(a, b, text, edge, name) {
    const g = node(this.groups.sizes, "g");
    const flat = a[1] === b[1];
    const [mx, my] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    for (const end of [a, b])
      node(g, "path", { class: "fkl-extension", d: flat ? `M${end[0]} ${edge - 3}V${end[1] - 5}` : `M${edge - 3} ${end[1]}H${end[0] - 5}` });
    node(g, "path", { class: "fkl-dimension", d: `M${a}L${b}` });
    for (const [end, sign] of [[a, 1], [b, -1]]) {
      const way = flat ? [sign, 0] : [0, -sign];
      const tip = (along, across) => `${end[0] + way[0] * along + way[1] * across} ${end[1] + way[1] * along + way[0] * across}`;
      node(g, "path", { class: "fkl-arrow", d: `M${tip(0, 0)}L${tip(9, 1.7)}L${tip(9, -1.7)}Z` });
    }
    const wide = textWidth(text, 11.5) + 10;
    const label = node(g, "g", flat ? {} : { transform: `rotate(-90 ${mx} ${my})` });
    node(label, "rect", { class: "fkl-paper", x: mx - wide / 2, y: my - 8, width: wide, height: 16 });
    node(label, "text", { class: "fkl-number", x: mx, y: my + 4, "text-anchor": "middle", "data-size": name }, text);
  }

  // each pocket's name once, in its largest piece, or beside it on a leader
  drawNames(layer) {
    const largest = new Map();
    for (const cut of layer.cuts) {
      if (cut.kind !== "pocket" && cut.kind !== "relief") continue;
      const [x0, y0, x1, y1] = boxOf(cut.rings);
      const rings = cut.rings.map((ring) => ring.map(([x, y]) => [x - x0, y - y0]));
      const one = { name: cut.name, sub: cut.kind === "relief" ? "relief" : cut.sub, x: x0, y: y0, w: x1 - x0, h: y1 - y0, rings };
      const known = largest.get(cut.key);
      if (!known || one.w * one.h > known.w * known.h) largest.set(cut.key, one);
    }
    this.taken = [];
    this.numbered = [];
    const solid = layer.cuts.map(({ rings }) => {
      const [x0, y0, x1, y1] = boxOf(rings).map((v) => v * this.scale);
      return [x0, -y1, x1, -y0];
    });
    const lines = [];
    const [bx, by] = [layer.box[0], layer.box[1]];
    const room = [bx * this.scale, -layer.box[3] * this.scale, layer.box[2] * this.scale, -by * this.scale];
    const late = [];
    const put = (one, label) => {
      const g = node(this.groups.names, "g", { transform: `translate(${this.x(one.x).toFixed(1)} ${this.y(one.y).toFixed(1)})` });
      drawLabel(g, label);
      this.taken.push(shifted(label.box, one, this.scale));
      if (label.leader) lines.push(label.leader.map(([x, y]) => [x + one.x * this.scale, y - one.y * this.scale]));
    };
    for (const one of [...largest.values()].sort((a, b) => b.w * b.h - a.w * a.h)) {
      const label = within(one, null, this.scale, this.taken);
      if (label) put(one, label);
      else late.push(one);
    }
    for (const one of late) {
      const label = beside(one, null, this.scale, { taken: this.taken, solid, room, lines }) || shortened(one, null, this.scale);
      if (label) put(one, label);
      else this.numbered.push(one);
    }
    this.numbered.forEach((one, k) => this.number(one, k + 1));
  }

  // a number where no name has room; what it stands for is said under the sheet
  number(one, k) {
    const [wide, high] = [textWidth(String(k), 9, 700) / 2 + 1, 5];
    const box = ([fx, fy]) => [fx * one.w - wide / this.scale, fy * one.h - high / this.scale, fx * one.w + wide / this.scale, fy * one.h + high / this.scale];
    const [fx, fy] = SPOTS.find((spot) => holds(one.rings, box(spot))) || [0.5, 0.5];
    node(this.groups.names, "text", {
      x: this.x(one.x + fx * one.w).toFixed(1), y: (this.y(one.y + fy * one.h) + 3.3).toFixed(1), class: "fkl-numbered", "text-anchor": "middle",
    }, k);
  }

  drawWebs(webs) {
    clear(this.groups.webs);
    const taken = this.taken.map(([x0, y0, x1, y1]) => this.pixels(x0, y0, x1, y1));
    for (const web of webs) this.web(this.groups.webs, web, taken);
  }

  // a box of the names' own pixels (from the case's origin) in the sheet's
  pixels(x0, y0, x1, y1) {
    const [dx, dy] = [this.x(0), this.y(0)];
    return [x0 + dx, y0 + dy, x1 + dx, y1 + dy];
  }

  web(parent, web, taken) {
    const [a, b] = [web.a, web.b].map(([x, y]) => [this.x(x), this.y(y)]);
    const g = node(parent, "g", { class: `fkl-web fkl-${web.verdict}`, "data-web": web.name });
    node(g, "title", {}, `${web.name}: ${web.text}`);
    const long = Math.hypot(b[0] - a[0], b[1] - a[1]);
    if (long < 0.5) node(g, "path", { class: "fkl-tick", d: `M${a[0] - 5} ${a[1] - 5}L${a[0] + 5} ${a[1] + 5}M${a[0] - 5} ${a[1] + 5}L${a[0] + 5} ${a[1] - 5}` });
    node(g, "path", { class: "fkl-witness", d: `M${a}L${b}` });
    const [ux, uy] = long < 0.5 ? [1, 0] : [(b[0] - a[0]) / long, (b[1] - a[1]) / long];
    if (long >= 0.5)
      for (const end of [a, b]) node(g, "path", { class: "fkl-tick", d: `M${end[0] - 5 * uy} ${end[1] + 5 * ux}L${end[0] + 5 * uy} ${end[1] - 5 * ux}` });
    const [wide, high] = [textWidth(web.text, 11, 700) + 14, 17];
    const middle = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    const spots = [];
    for (const away of [16, 30, 46, 64])
      for (const [sx, sy] of [[-uy, ux], [uy, -ux], [ux, uy], [-ux, -uy]])
        spots.push([middle[0] + sx * (away + Math.abs(sx) * wide / 2), middle[1] + sy * away]);
    const at = ([x, y]) => [x - wide / 2, y - high / 2, x + wide / 2, y + high / 2];
    const free = (spot) => {
      const box = at(spot);
      return box[0] > 2 && box[1] > 2 && box[2] < this.width - 2 && box[3] < this.height - 2 && !taken.some((other) => meets(box, other));
    };
    const spot = spots.find(free) || spots[0];
    taken.push(at(spot));
    node(g, "path", { class: "fkl-leader", d: `M${middle}L${spot}` });
    node(g, "rect", { class: "fkl-tag", x: spot[0] - wide / 2, y: spot[1] - high / 2, width: wide, height: high, rx: web.verdict === "fails" ? 0 : 8 });
    node(g, "text", { class: "fkl-tag-text", x: spot[0], y: spot[1] + 4, "text-anchor": "middle" }, web.text);
  }

  // what is under the hand: the notch where it would be cut, and its tightest web
  drawLive(live) {
    clear(this.groups.live);
    if (!live) return;
    node(this.groups.live, "path", { d: this.path(live.rings), class: `fkl-ghost${live.web && live.web.verdict === "fails" ? " fkl-fails" : ""}` });
    node(this.groups.live, "circle", { cx: this.x(live.at[0]), cy: this.y(live.at[1]), r: 3, class: "fkl-end" });
    if (live.web) this.web(this.groups.live, live.web, this.taken.map((box) => this.pixels(...box)));
  }
}
