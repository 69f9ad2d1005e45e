// The sheet that the board is drawn on: its layers, its hatches, and millimetres to pixels.

const LAYERS = ["wall", "dim", "zones", "items", "over", "land", "sizes", "webs", "names", "chosen", "gaps", "balance", "frame", "handles"];
const LEAST_ZOOM = 0.4; // of the whole case in view
const MOST_ZOOM = 24;
let boards = 0;

class View {
  constructor(parent) {
    this.id = `fkb${(boards += 1)}`;
    this.svg = node(parent, "svg", { class: "fkb-sheet", role: "application", tabindex: 0 });
    this.svg.setAttribute("aria-label", "Board. Tab goes from item to item, arrow keys move the chosen ones.");
    this.patterns();
    this.world = node(this.svg, "g");
    this.layers = {};
    for (const name of LAYERS) this.layers[name] = node(this.world, "g", { class: `fkb-${name}` });
    this.width = parent.clientWidth || 900;
    this.height = 480;
    this.scale = 1; // pixels per millimetre
    this.left = 0; // pixels to the board's origin
    this.top = 0;
    this.whole = true; // the whole case is in view, as the board itself set it
  }

  patterns() {
    const defs = (this.defs = node(this.svg, "defs"));
    const pattern = (name, size, turn, d, look) => {
      const made = node(defs, "pattern", {
        id: `${this.id}-${name}`, width: size, height: size, patternUnits: "userSpaceOnUse",
        patternTransform: `rotate(${turn})`,
      });
      node(made, "path", { d, class: look });
    };
    const dots = node(defs, "pattern", { id: `${this.id}-dots`, width: 8, height: 8, patternUnits: "userSpaceOnUse" });
    node(dots, "circle", { cx: 4, cy: 4, r: 0.75, class: "fkb-dot" });
    pattern("wall", 7, 45, "M0 0V7", "fkb-hatch");
    pattern("connector", 6, -45, "M0 0V6", "fkb-line-connector");
    pattern("cable", 6, 0, "M0 3H6", "fkb-line-soft");
    pattern("vent", 6, 0, "M3 0V6", "fkb-line-soft");
    pattern("hand", 7, 0, "M0 3.5H7M3.5 0V7", "fkb-line-soft");
    pattern("mount", 9, 0, "M0 4.5H9", "fkb-line-soft");
  }

  fill(name) { return `url(#${this.id}-${name})`; }

  // ---- millimetres to pixels on the world layer; y is flipped here and nowhere else
  x(mm) { return mm * this.scale; }
  y(mm) { return -mm * this.scale; }
  at(x, y) { return `translate(${this.x(x).toFixed(2)} ${this.y(y).toFixed(2)})`; }

  path(rings) {
    let d = "";
    for (const ring of rings) {
      d += "M";
      for (let i = 0; i < ring.length; i += 1)
        d += `${i ? "L" : ""}${this.x(ring[i][0]).toFixed(2)} ${this.y(ring[i][1]).toFixed(2)}`;
      d += "Z";
    }
    return d;
  }

  // pixels on the sheet of a pointer event, then millimetres
  point(event) {
    const frame = this.svg.getBoundingClientRect();
    return [event.clientX - frame.left, event.clientY - frame.top];
  }

  mm([px, py]) { return [(px - this.left) / this.scale, (this.top - py) / this.scale]; }

  // ---- what is in view
  room() {
    return this.width < 640 ? { left: 58, right: 14, top: 66, bottom: 30 } : { left: 76, right: 40, top: 70, bottom: 36 };
  }

  wanted(scene) {
    const room = this.room();
    const [long, wide] = [scene.box[2] - scene.box[0] + 2 * scene.wall, scene.box[3] - scene.box[1] + 2 * scene.wall];
    const across = Math.max(120, this.width - room.left - room.right);
    return { room, long, wide, across, scale: Math.max(0.01, Math.min(across / Math.max(1, long), 540 / Math.max(1, wide))) };
  }

  fit(scene, { keepHeight = false } = {}) {
    const { room, long, wide, across, scale } = this.wanted(scene);
    const high = keepHeight ? this.height - room.top - room.bottom : Math.max(150, wide * scale);
    this.scale = Math.min(scale, high / Math.max(1, wide));
    if (!keepHeight) this.height = Math.round(room.top + room.bottom + high);
    this.base = this.scale;
    this.left = room.left + Math.max(0, (across - long * this.scale) / 2) - (scene.box[0] - scene.wall) * this.scale;
    this.top = room.top + Math.max(0, (high - wide * this.scale) / 2) + (scene.box[3] + scene.wall) * this.scale;
    this.whole = true;
    this.svg.setAttribute("width", this.width);
    this.svg.setAttribute("height", this.height);
    this.place();
  }

  place() {
    this.svg.classList.toggle("fkb-part", !this.whole);
    this.world.setAttribute("transform", `translate(${this.left.toFixed(2)} ${this.top.toFixed(2)})`);
  }

  pan(dx, dy) {
    this.left += dx;
    this.top += dy;
    this.whole = false;
    this.place();
  }

  zoom(factor, [px, py] = [this.width / 2, this.height / 2]) {
    const scale = Math.min(this.base * MOST_ZOOM, Math.max(this.base * LEAST_ZOOM, this.scale * factor));
    const by = scale / this.scale;
    this.left = px - (px - this.left) * by;
    this.top = py - (py - this.top) * by;
    this.scale = scale;
    this.whole = false;
    this.place();
  }

  // has the case grown out of the picture, or shrunk to a corner of it?
  strayed(scene) {
    const { box, wall } = scene;
    const [x0, y0] = [this.left + this.x(box[0] - wall), this.top + this.y(box[3] + wall)];
    const [x1, y1] = [this.left + this.x(box[2] + wall), this.top + this.y(box[1] - wall)];
    const room = this.room();
    const out = x0 < room.left - 6 || y0 < room.top - 6 || x1 > this.width - 6 || y1 > this.height - 12;
    const { scale, wide } = this.wanted(scene);
    const high = this.height - room.top - room.bottom;
    return out || Math.min(scale, high / Math.max(1, wide)) > this.scale * 1.25;
  }

  // the part of the world layer that is seen [pixels of that layer]
  seen() { return [-this.left, -this.top, this.width - this.left, this.height - this.top]; }
}
