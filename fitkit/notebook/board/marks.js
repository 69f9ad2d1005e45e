// What is marked on the board: the wall and the sizes, gaps with their numbers, webs, where an item
// lands, the centre of mass, what is chosen, and the handle that turns it.

const STEM = 26; // pixels from an item to its handle

class Marks {
  constructor(board) {
    this.board = board;
    this.view = board.view;
    this.taken = []; // where tags stand
  }

  get scene() { return this.board.scene; }

  draw() {
    this.drawBox();
    this.drawLand(null);
    this.drawChosen();
    this.drawFindings();
  }

  // gaps, webs and the centre of mass share the free room
  drawFindings() {
    this.taken = this.board.picture.nameBoxes();
    if (this.knob) this.taken.push(this.knob());
    const { balance } = this.scene;
    if (balance) {
      const [x, y] = [this.view.x(balance.x), this.view.y(balance.y)];
      this.taken.push([x - 8, y - 8, x + 8, y + 8]);
    }
    this.drawGaps();
    this.drawLandText();
    this.drawWebs();
    this.drawBalance();
  }

  // ---- wall and sizes
  drawBox() {
    const { box, wall, corner, texts } = this.scene;
    const key = JSON.stringify([box, wall, corner, texts, this.view.scale]);
    if (key === this.boxAs) return;
    this.boxAs = key;
    const { view } = this;
    const { wall: layer, sizes } = view.layers;
    clear(layer);
    clear(sizes);
    const rect = (grow, attributes) => node(layer, "rect", {
      x: view.x(box[0] - grow), y: view.y(box[3] + grow),
      width: Math.max(1, view.x(box[2] - box[0] + 2 * grow)),
      height: Math.max(1, view.x(box[3] - box[1] + 2 * grow)), ...attributes,
    });
    const round = view.x(corner || 0);
    rect(wall, { class: "fkb-outside", rx: Math.max(4, round) });
    rect(wall, { fill: view.fill("wall"), class: "fkb-hatched", rx: Math.max(4, round) });
    rect(0, { class: "fkb-interior", rx: round, "data-foam": "" });
    rect(0, { fill: view.fill("dots"), class: "fkb-hatched", rx: round });
    const top = view.y(box[3] + wall);
    const side = view.x(box[0] - wall);
    const [x0, x1, X0, X1] = [box[0], box[2], box[0] - wall, box[2] + wall].map((v) => view.x(v));
    const [y0, y1, Y0, Y1] = [box[1], box[3], box[1] - wall, box[3] + wall].map((v) => view.y(v));
    this.size([X0, top - 42], [X1, top - 42], texts.outside[0], top, "outside-length");
    this.size([x0, top - 20], [x1, top - 20], texts.interior[0], top, "interior-length");
    const aside = this.view.room().left < 70 ? [40, 18] : [46, 22];
    this.size([side - aside[0], Y0], [side - aside[0], Y1], texts.outside[1], side, "outside-width");
    this.size([side - aside[1], y0], [side - aside[1], y1], texts.interior[1], side, "interior-width");
  }

  size(a, b, text, edge, name) {
    const g = node(this.view.layers.sizes, "g", { class: "fkb-size" });
    const flat = a[1] === b[1];
    const [mx, my] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    for (const end of [a, b])
      node(g, "path", { class: "fkb-extension", d: flat ? `M${end[0]} ${edge - 3}V${end[1] - 5}` : `M${edge - 3} ${end[1]}H${end[0] - 5}` });
    node(g, "path", { class: "fkb-dimension", d: `M${a}L${b}` });
    for (const [end, sign] of [[a, 1], [b, -1]]) {
      const way = flat ? [sign, 0] : [0, -sign];
      const tip = (along, across) => `${end[0] + way[0] * along + way[1] * across} ${end[1] + way[1] * along + way[0] * across}`;
      node(g, "path", { class: "fkb-arrow", d: `M${tip(0, 0)}L${tip(9, 1.7)}L${tip(9, -1.7)}Z` });
    }
    const wide = textWidth(text, 11.5) + 10;
    const label = node(g, "g", flat ? {} : { transform: `rotate(-90 ${mx} ${my})` });
    node(label, "rect", { class: "fkb-paper", x: mx - wide / 2, y: my - 8, width: wide, height: 16 });
    node(label, "text", { class: "fkb-number", x: mx, y: my + 4, "text-anchor": "middle", "data-size": name }, text);
  }

  // ---- gaps and webs
  ends(pair) { return [pair.a, pair.b].map(([x, y]) => [this.view.x(x), this.view.y(y)]); }

  drawGaps() {
    const layer = this.view.layers.gaps;
    clear(layer);
    for (const gap of this.scene.gaps) {
      const [a, b] = this.ends(gap);
      const g = node(layer, "g", { class: `fkb-gap fkb-${gap.verdict}`, "data-gap": gap.to });
      node(g, "path", { d: `M${a}L${b}`, class: "fkb-witness" });
      for (const end of [a, b]) node(g, "circle", { cx: end[0], cy: end[1], r: 2.4, class: "fkb-end" });
      this.tag(g, a, b, gap.text, gap.verdict === "fails" ? 0 : 9);
    }
  }

  drawWebs() {
    const layer = this.view.layers.webs;
    clear(layer);
    const near = (p, q) => Math.hypot(p[0] - q[0], p[1] - q[1]) < 4;
    for (const web of this.scene.webs || []) {
      const [a, b] = this.ends(web);
      const told = this.scene.gaps.some((gap) => {
        const [c, d] = this.ends(gap);
        return (near(a, c) && near(b, d)) || (near(a, d) && near(b, c));
      });
      if (told) continue; // its gap says it already
      const g = node(layer, "g", { class: "fkb-web" });
      node(g, "path", { d: `M${a}L${b}`, class: "fkb-witness" });
      const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
      const [ux, uy] = [(b[0] - a[0]) / long, (b[1] - a[1]) / long];
      for (const end of [a, b])
        node(g, "path", { class: "fkb-tick", d: `M${end[0] - 5 * uy} ${end[1] + 5 * ux}L${end[0] + 5 * uy} ${end[1] - 5 * ux}` });
      this.tag(g, a, b, web.text, 0);
    }
  }

  // a number on its witness line, where it covers least
  tag(g, a, b, text, rx) {
    const [wide, high] = [textWidth(text, 11, 700) + 14, 17];
    const [mx, my] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    const long = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const [ux, uy] = long > 0.5 ? [(b[0] - a[0]) / long, (b[1] - a[1]) / long] : [1, 0];
    const reach = Math.abs(uy) * wide / 2 + Math.abs(ux) * high / 2; // half the tag across the line
    const spots = long > Math.abs(ux) * wide + Math.abs(uy) * high + 26 ? [[mx, my]] : [];
    for (const away of [reach + 5, reach + 16, reach + 30, reach + 48, reach + 70])
      for (const along of [0, long / 2 + 12, -long / 2 - 12, long / 2 + 40, -long / 2 - 40])
        for (const sign of [-1, 1]) spots.push([mx + sign * away * -uy + along * ux, my + sign * away * ux + along * uy]);
    const seen = this.view.seen();
    const boxes = spots.map(([x, y]) => [x - wide / 2, y - high / 2, x + wide / 2, y + high / 2]);
    const covers = (box) => {
      let sum = 0;
      for (const other of this.taken)
        if (meets(box, other)) sum += 1 + Math.max(0, Math.min(box[2], other[2]) - Math.max(box[0], other[0])) * Math.max(0, Math.min(box[3], other[3]) - Math.max(box[1], other[1]));
      if (box[0] < seen[0] + 2 || box[1] < seen[1] + 2 || box[2] > seen[2] - 2 || box[3] > seen[3] - 2) sum += 1e4;
      return sum;
    };
    let [best, least] = [boxes[0], Infinity];
    for (const box of boxes) {
      const sum = covers(box);
      if (sum < least) [best, least] = [box, sum];
      if (!sum) break;
    }
    this.taken.push(best);
    const [x, y] = [(best[0] + best[2]) / 2, (best[1] + best[3]) / 2];
    if (Math.hypot(x - mx, y - my) > reach + 24) node(g, "path", { class: "fkb-leader", d: `M${mx} ${my}L${x} ${y}` });
    node(g, "rect", { class: "fkb-tag", x: best[0], y: best[1], width: wide, height: high, rx });
    node(g, "text", { class: "fkb-tag-text", x, y: y + 4, "text-anchor": "middle" }, text);
  }

  drawBalance() {
    const layer = this.view.layers.balance;
    clear(layer);
    const { balance } = this.scene;
    if (!balance) return;
    const [x, y] = [this.view.x(balance.x), this.view.y(balance.y)];
    node(layer, "circle", { cx: x, cy: y, r: 6, class: "fkb-balance-ring" });
    node(layer, "path", { d: `M${x} ${y}V${y - 6}A6 6 0 0 1 ${x + 6} ${y}ZM${x} ${y}V${y + 6}A6 6 0 0 1 ${x - 6} ${y}Z`, class: "fkb-balance-fill" });
    node(layer, "path", { d: `M${x - 11} ${y}H${x + 11}M${x} ${y - 11}V${y + 11}`, class: "fkb-balance-cross" });
    const [wide, high] = [textWidth(balance.text, 10) + 8, 14];
    const spots = [[x + 13 + wide / 2, y - 11], [x - 13 - wide / 2, y - 11], [x + 13 + wide / 2, y + 11], [x - 13 - wide / 2, y + 11], [x, y - 22], [x, y + 22], [x, y - 40], [x, y + 40], [x + 24 + wide / 2, y - 34], [x - 24 - wide / 2, y + 34]];
    const box = ([cx, cy]) => [cx - wide / 2, cy - high / 2, cx + wide / 2, cy + high / 2];
    const bodies = this.board.picture.named().map((item) => bounds(item, this.view.scale));
    const open = (spot, all) => !all.some((other) => meets(box(spot), other));
    const hides = (spot) => bodies.reduce((sum, body) => sum + shareOf(body, box(spot)), 0);
    const least = (all) => all.reduce((best, spot) => (!best || hides(spot) < hides(best) ? spot : best), null);
    const free = spots.find((spot) => open(spot, [...this.taken, ...bodies])) || least(spots.filter((spot) => open(spot, this.taken))) || spots[0];
    const [x0, y0] = box(free);
    this.taken.push(box(free));
    node(layer, "rect", { class: "fkb-balance-back", x: x0, y: y0, width: wide, height: high, rx: 2 });
    node(layer, "text", { class: "fkb-balance-text", x: free[0], y: free[1] + 3.5, "text-anchor": "middle", "data-balance": "" }, balance.text);
  }

  // ---- while an item moves
  drawLand(land) {
    const layer = this.view.layers.land;
    clear(layer);
    this.land = land;
    if (!land) return;
    for (const { item, x, y } of land.items)
      node(layer, "path", { class: "fkb-land-line", d: this.view.path(item.rings), transform: this.view.at(x, y) });
  }

  // beside the outline where it lands, if there is room
  drawLandText() {
    if (!this.land) return;
    const [{ item, x, y }] = this.land.items;
    const to = Array.isArray(this.land.to) ? this.land.to.join(", ") : this.land.to;
    const text = to ? `lands here, by ${to}` : "lands here";
    const [x0, y0, x1, y1] = bounds({ ...item, x, y }, this.view.scale);
    const wide = textWidth(text, 10) + 6;
    const [mx, my] = [(x0 + x1) / 2, (y0 + y1) / 2];
    const spots = [[mx, y1 + 11], [mx, y0 - 11], [x1 + wide / 2 + 6, my], [x0 - wide / 2 - 6, my], [mx, y1 + 28], [mx, y0 - 28]];
    const box = (spot) => [spot[0] - wide / 2, spot[1] - 7, spot[0] + wide / 2, spot[1] + 7];
    const free = spots.find((spot) => !this.taken.some((other) => meets(box(spot), other)));
    if (!free) return;
    this.taken.push(box(free));
    const { land: layer } = this.view.layers;
    for (const old of layer.querySelectorAll("text")) old.remove();
    node(layer, "text", { class: "fkb-land-text", x: free[0], y: free[1] + 3.5, "text-anchor": "middle" }, text);
  }

  drawFrame(frame) {
    clear(this.view.layers.frame);
    if (!frame) return;
    const [[ax, ay], [bx, by]] = frame;
    node(this.view.layers.frame, "rect", {
      class: "fkb-frame-line", x: this.view.x(Math.min(ax, bx)), y: this.view.y(Math.max(ay, by)),
      width: this.view.x(Math.abs(bx - ax)), height: this.view.x(Math.abs(by - ay)),
    });
  }

  // ---- what is chosen
  drawChosen() {
    const { chosen: layer, handles } = this.view.layers;
    clear(layer);
    clear(handles);
    this.marked = [];
    this.knob = null;
    this.scene.chosen.forEach((id, index) => {
      const item = this.board.find(id);
      if (!item) return;
      const failing = this.scene.failing[id];
      const g = node(layer, "g", { class: `fkb-mark ${index ? "" : "fkb-lead"} ${failing ? "fkb-failing" : ""}` });
      node(g, "path", { d: this.view.path(item.rings), class: "fkb-mark-line" });
      const [w, h] = [this.view.x(item.w), this.view.x(item.h)];
      const [o, l] = [5, Math.min(11, Math.max(4, Math.min(w, h) / 3))];
      const corner = (x, y, sx, sy) => `M${x + sx * l} ${y}H${x}V${y + sy * l}`;
      node(g, "path", { class: "fkb-brackets", d: corner(-o, o, 1, -1) + corner(w + o, o, -1, -1) + corner(-o, -h - o, 1, 1) + corner(w + o, -h - o, -1, 1) });
      this.marked.push({ item, g });
      if (!index && item.step < 360 && !item.locked) this.drawHandle(item, w, h);
    });
    this.placeChosen();
  }

  drawHandle(item, w, h) {
    if (!this.side || !this.board.gestures.holds("turn")) this.side = this.handleSide(item, w, h); // in hand it stays
    const [ux, uy] = this.side;
    const at = (far) => [w / 2 + ux * (w / 2 + far), -h / 2 + uy * (h / 2 + far)];
    const [foot, [x, y]] = [at(0), at(STEM)];
    this.knob = () => shifted([Math.min(foot[0], x) - 9, Math.min(foot[1], y) - 9, Math.max(foot[0], x) + 9, Math.max(foot[1], y) + 9], item, this.view.scale);
    const g = node(this.view.layers.handles, "g", { class: "fkb-handle", "data-handle": "turn" });
    node(g, "path", { d: `M${foot}L${x} ${y}`, class: "fkb-stem" });
    node(g, "circle", { cx: x, cy: y, r: 20, class: "fkb-reach" });
    node(g, "circle", { cx: x, cy: y, r: 7, class: "fkb-ball" });
    node(g, "title", {}, "drag to turn");
    this.angle = node(g, "text", { x: x + 12, y: y + 4, class: "fkb-angle" });
    this.marked.push({ item, g });
  }

  // above the item, or where its handle covers least
  handleSide(item, w, h) {
    const ways = [[0, -1], [0, 1], [1, 0], [-1, 0]];
    const seen = this.view.seen();
    const names = this.board.picture.nameBoxes();
    const bodies = this.board.picture.named().filter((one) => one !== item).map((one) => bounds(one, this.view.scale));
    const lines = this.board.picture.lines().map(([a, b]) => [Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.max(a[0], b[0]), Math.max(a[1], b[1])]);
    let [best, least] = [ways[0], Infinity];
    for (const way of ways) {
      const [x, y] = [this.view.x(item.x) + w / 2 + way[0] * (w / 2 + STEM), this.view.y(item.y) - h / 2 + way[1] * (h / 2 + STEM)];
      const box = [x - 9, y - 9, x + 9, y + 9];
      const out = box[0] < seen[0] || box[1] < seen[1] || box[2] > seen[2] || box[3] > seen[3];
      const sum = (out ? 100 : 0) + 3 * names.filter((other) => meets(box, other)).length + 2 * lines.filter((other) => meets(box, other)).length + bodies.filter((other) => meets(box, other)).length;
      if (sum < least) [best, least] = [way, sum];
    }
    return best;
  }

  placeChosen() {
    for (const { item, g } of this.marked || []) g.setAttribute("transform", this.board.picture.transform(item));
  }

  sayAngle(text) { if (this.angle) this.angle.textContent = text; }
}

// how much of a box another one hides, 0 to 1
function shareOf([x0, y0, x1, y1], over) {
  const [wide, high] = [Math.min(x1, over[2]) - Math.max(x0, over[0]), Math.min(y1, over[3]) - Math.max(y0, over[1])];
  return wide > 0 && high > 0 ? (wide * high) / Math.max(1, (x1 - x0) * (y1 - y0)) : 0;
}
