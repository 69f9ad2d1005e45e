// Where names stand: inside their item where there is room, else beside it on a leader. Names do
// not cover each other, and none runs out of its item.

const PAD = 4; // pixels between a text and the outline
const LINE = 1.22; // line height
const HIGHEST = 13; // pixels of type
const LEAST = 9;

function inside(rings, x, y) {
  let odd = false;
  for (const ring of rings)
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i, i += 1) {
      const [[ax, ay], [bx, by]] = [ring[i], ring[j]];
      if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) odd = !odd;
    }
  return odd;
}

// does the rectangle lie within the outline? (millimetres; x0 < x1, y0 < y1)
function holds(rings, [x0, y0, x1, y1]) {
  const [mx, my] = [(x0 + x1) / 2, (y0 + y1) / 2];
  for (const [x, y] of [[x0, y0], [x1, y0], [x0, y1], [x1, y1], [mx, y0], [mx, y1], [x0, my], [x1, my]])
    if (!inside(rings, x, y)) return false;
  for (const ring of rings)
    for (const [x, y] of ring) if (x > x0 && x < x1 && y > y0 && y < y1) return false;
  return true;
}

function meets(a, b, free = 2) {
  return a[0] < b[2] + free && b[0] < a[2] + free && a[1] < b[3] + free && b[1] < a[3] + free;
}

function block(lines) {
  let [wide, high] = [0, 0];
  for (const line of lines) {
    const spaced = line.look === "fkb-name" || line.look === "fkb-fact" ? 0 : 0.06 * line.size * line.text.length;
    wide = Math.max(wide, textWidth(line.text, line.size, line.weight) + spaced);
    high += line.size * LINE;
  }
  return { lines, wide, high };
}

// the name as one line, or broken at its spaces into two of like width
function broken(name) {
  const words = name.split(" ");
  if (words.length < 2) return null;
  let best = null;
  for (let i = 1; i < words.length; i += 1) {
    const two = [words.slice(0, i).join(" "), words.slice(i).join(" ")];
    const most = Math.max(...two.map((text) => textWidth(text, 12, 600)));
    if (!best || most < best.most) best = { two, most };
  }
  return best.two;
}

function states(item, failing) {
  const rows = [];
  if (failing) rows.push({ text: failing.toUpperCase(), size: LEAST, weight: 700, look: "fkb-verdict" });
  if (item.locked) rows.push({ text: "LOCKED", size: LEAST, weight: 700, look: "fkb-locked" });
  return rows;
}

function* blocks(item, failing) {
  const after = states(item, failing);
  const two = broken(item.name);
  const named = (texts, size) => texts.map((text) => ({ text, size, weight: 600, look: "fkb-name" }));
  const fact = item.sub ? [{ text: item.sub, size: 10, weight: 400, look: "fkb-fact" }] : [];
  for (const size of [HIGHEST, 11.5]) {
    yield block([...named([item.name], size), ...fact, ...after]);
    if (two) yield block([...named(two, size), ...fact, ...after]);
  }
  for (const size of [HIGHEST, 11.5, 10, LEAST]) {
    yield block([...named([item.name], size), ...after]);
    if (two) yield block([...named(two, size), ...after]);
  }
}

// where in its box a name may have its middle, the box's own middle first
const SPOTS = [];
for (let i = 1; i < 12; i += 1) for (let j = 1; j < 12; j += 1) SPOTS.push([i / 12, j / 12]);
SPOTS.sort((a, b) => Math.hypot(a[0] - 0.5, a[1] - 0.5) - Math.hypot(b[0] - 0.5, b[1] - 0.5));

function area(rings) {
  let sum = 0;
  for (const ring of rings) {
    let part = 0;
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i, i += 1) part += ring[j][0] * ring[i][1] - ring[i][0] * ring[j][1];
    sum = sum ? sum - Math.abs(part / 2) : Math.abs(part / 2); // holes after the outer ring
  }
  return sum;
}

// the point of the outline nearest to (x, y)
function nearest(rings, x, y) {
  let [best, least] = [[x, y], Infinity];
  for (const ring of rings)
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i, i += 1) {
      const [[ax, ay], [bx, by]] = [ring[j], ring[i]];
      const [dx, dy] = [bx - ax, by - ay];
      const t = Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy || 1)));
      const far = Math.hypot(ax + t * dx - x, ay + t * dy - y);
      if (far < least) [best, least] = [[ax + t * dx, ay + t * dy], far];
    }
  return best;
}

// does the other item's outline run through the box? (pixels of the world layer)
function cuts(other, box, scale) {
  if (!meets(box, bounds(other, scale))) return false;
  const [x0, y0, x1, y1] = [box[0] / scale - other.x, -box[3] / scale - other.y, box[2] / scale - other.x, -box[1] / scale - other.y];
  const here = inside(other.rings, x0, y0);
  for (let i = 0; i <= 6; i += 1)
    for (let j = 0; j <= 3; j += 1)
      if (inside(other.rings, x0 + ((x1 - x0) * i) / 6, y0 + ((y1 - y0) * j) / 3) !== here) return true;
  return other.rings.some((ring) => ring.some(([x, y]) => x > x0 && x < x1 && y > y0 && y < y1));
}

// the largest label that the item holds: {lines, x, y, upright, box} in pixels from its corner;
// the outlines of `others`, seen through, do not run through it
function within(item, failing, scale, taken, others = []) {
  const [wide, high] = [item.w * scale, item.h * scale];
  const narrow = wide < high;
  const most = area(item.rings) * scale * scale;
  for (const one of blocks(item, failing))
    for (const upright of narrow ? [false, true] : [false]) {
      const [w, h] = (upright ? [one.high, one.wide] : [one.wide, one.high]).map((v) => v + 2 * PAD);
      if (w > wide || h > high || w * h > most) continue;
      for (const [fx, fy] of SPOTS) {
        const [cx, cy] = [fx * wide, fy * high];
        const box = [cx - w / 2, cy - h / 2, cx + w / 2, cy + h / 2];
        if (!holds(item.rings, box.map((v) => v / scale))) continue;
        const drawn = { ...one, x: cx, y: -cy, upright, box: [box[0], -box[3], box[2], -box[1]] };
        const there = shifted(drawn.box, item, scale);
        if (taken.some((other) => meets(there, other))) continue;
        if (others.some((other) => cuts(other, there, scale))) continue;
        return drawn;
      }
    }
  return null;
}

function shifted([x0, y0, x1, y1], item, scale) {
  const [dx, dy] = [item.x * scale, -item.y * scale];
  return [x0 + dx, y0 + dy, x1 + dx, y1 + dy];
}

function bounds(item, scale) { return shifted([0, -item.h * scale, item.w * scale, 0], item, scale); }

// does the line from a to b run through the box?
function passes([a, b], box) {
  const steps = Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / 5) || 1;
  for (let i = 0; i <= steps; i += 1) {
    const [x, y] = [a[0] + ((b[0] - a[0]) * i) / steps, a[1] + ((b[1] - a[1]) * i) / steps];
    if (x > box[0] && x < box[2] && y > box[1] && y < box[3]) return true;
  }
  return false;
}

// beside the item on a leader: as `within`, with the leader's ends
function beside(item, failing, scale, { taken, solid, room, lines }) {
  const one = block([{ text: item.name, size: 10.5, weight: 600, look: "fkb-name" }, ...states(item, failing)]);
  const [wide, high] = [item.w * scale, item.h * scale];
  const [w, h] = [one.wide + 4, one.high + 2];
  const ways = [[1, 0], [-1, 0], [0, -1], [0, 1], [1, -1], [-1, -1], [1, 1], [-1, 1]];
  for (const away of [8, 18, 32])
    for (const [ax, ay] of ways) {
      const cx = wide / 2 + ax * (wide / 2 + away + w / 2) * (ay && ax ? 0.8 : 1);
      const cy = -high / 2 + ay * (high / 2 + away + h / 2) * (ay && ax ? 0.8 : 1);
      const box = [cx - w / 2, cy - h / 2, cx + w / 2, cy + h / 2];
      const there = shifted(box, item, scale);
      if (there[0] < room[0] || there[1] < room[1] || there[2] > room[2] || there[3] > room[3]) continue;
      if (lines.some((line) => passes(line, there)) || taken.some((other) => meets(there, other)) || solid.some((other) => meets(there, other, 1))) continue;
      const [fx, fy] = nearest(item.rings, cx / scale, -cy / scale).map((v) => v * scale);
      const to = [Math.max(box[0], Math.min(box[2], fx)), Math.max(box[1], Math.min(box[3], -fy))];
      return { ...one, x: cx, y: cy, upright: false, box, leader: [[fx, -fy], to] };
    }
  return null;
}

// the first letters and the number, where nothing else has room
function shortened(item, failing, scale) {
  const after = states(item, failing);
  return letters(item, after, scale) || (after.length ? letters(item, [], scale) : null);
}

function letters(item, after, scale) {
  const [, word, number] = item.name.match(/^(.*?)\s*(\d*)$/);
  for (let many = word.length - 1; many >= (number ? 1 : 3); many -= 1) {
    const text = `${word.slice(0, many).trimEnd()}…${number}`;
    const one = block([{ text, size: LEAST, weight: 600, look: "fkb-name" }, ...after]);
    const wide = one.wide + 4;
    const [w, h] = [item.w * scale, item.h * scale];
    if (wide > w || one.high > h) continue;
    const box = [w / 2 - wide / 2, h / 2 - one.high / 2, w / 2 + wide / 2, h / 2 + one.high / 2];
    if (!holds(item.rings, box.map((v) => v / scale))) continue;
    return { ...one, x: w / 2, y: -h / 2, upright: false, box: [box[0], -box[3], box[2], -box[1]] };
  }
  return null;
}

function drawLabel(parent, label) {
  const g = node(parent, "g", { class: "fkb-label" });
  if (label.leader) {
    const [a, b] = label.leader;
    node(g, "path", { class: "fkb-leader", d: `M${a.map((v) => v.toFixed(1))}L${b.map((v) => v.toFixed(1))}` });
  }
  const lines = node(g, "g", label.upright ? { transform: `rotate(-90 ${label.x} ${label.y})` } : {});
  let at = label.y - label.high / 2;
  for (const line of label.lines) {
    at += line.size * LINE;
    node(lines, "text", {
      x: label.x.toFixed(1), y: (at - line.size * 0.28).toFixed(1), "font-size": line.size,
      class: line.look, "text-anchor": "middle",
    }, line.text);
  }
  return g;
}
