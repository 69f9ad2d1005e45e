// A small painter of its own: triangles and lines onto pixels with a depth for each. It needs no
// graphics driver, so that the view is the same in every browser, on paper and off the network.

function rgb(text) {
  const value = parseInt(text.slice(1), 16);
  return [value >> 16, (value >> 8) & 255, value & 255];
}

const mixed = (a, b, share) => a.map((v, k) => Math.round(v + (b[k] - v) * share));
const packed = ([r, g, b]) => ((255 << 24) | (b << 16) | (g << 8) | r) >>> 0;

class Painter {
  constructor(width, height) {
    this.width = width;
    this.height = height;
    this.colour = new Uint32Array(width * height);
    this.depth = new Float32Array(width * height);
    this.owner = new Uint16Array(width * height);
  }

  clear(colour) {
    this.colour.fill(packed(colour));
    this.depth.fill(-1e9);
    this.owner.fill(0);
  }

  // points: x, y, depth (greater is nearer) and the coordinate along the cut; limit: kept above it
  triangle(a, b, c, fill, owner, pattern, clip) {
    const area = (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
    if (area >= 0) return; // turned away (y runs down)
    if (clip !== null && a.c < clip && b.c < clip && c.c < clip) return;
    const test = clip !== null && (a.c < clip || b.c < clip || c.c < clip);
    const slope = (key) => [
      ((b[key] - a[key]) * (c.y - a.y) - (c[key] - a[key]) * (b.y - a.y)) / area,
      ((c[key] - a[key]) * (b.x - a.x) - (b[key] - a[key]) * (c.x - a.x)) / area,
    ];
    const [dx, dy] = slope("d"), [cx, cy] = test ? slope("c") : [0, 0];
    const [ux, uy] = pattern ? slope("u") : [0, 0], [vx, vy] = pattern ? slope("v") : [0, 0];
    const top = Math.max(0, Math.ceil(Math.min(a.y, b.y, c.y) - 0.5));
    const foot = Math.min(this.height - 1, Math.floor(Math.max(a.y, b.y, c.y) - 0.5));
    for (let y = top; y <= foot; y++) {
      const at = y + 0.5;
      let left = Infinity, right = -Infinity;
      for (const [p, q] of [[a, b], [b, c], [c, a]]) {
        if (p.y <= at === q.y <= at) continue;
        const x = p.x + ((at - p.y) / (q.y - p.y)) * (q.x - p.x);
        left = Math.min(left, x);
        right = Math.max(right, x);
      }
      const from = Math.max(0, Math.ceil(left - 0.5)), to = Math.min(this.width - 1, Math.ceil(right - 0.5) - 1);
      const rx = from + 0.5 - a.x, ry = at - a.y;
      let depth = a.d + rx * dx + ry * dy, along = test ? a.c + rx * cx + ry * cy : 0;
      let u = pattern ? a.u + rx * ux + ry * uy : 0, v = pattern ? a.v + rx * vx + ry * vy : 0;
      for (let x = from, k = y * this.width + from; x <= to; x++, k++) {
        if (depth > this.depth[k] && (!test || along >= clip)) {
          this.depth[k] = depth;
          this.colour[k] = pattern ? pattern(u, v) : fill;
          this.owner[k] = owner;
        }
        depth += dx;
        along += cx;
        u += ux;
        v += vx;
      }
    }
  }

  line(a, b, colour, wide, clip, bias) {
    const steps = Math.max(1, Math.ceil(Math.max(Math.abs(b.x - a.x), Math.abs(b.y - a.y))));
    if (steps > 8000) return;
    const flat = Math.abs(b.x - a.x) >= Math.abs(b.y - a.y), half = (wide - 1) / 2;
    for (let k = 0; k <= steps; k++) {
      const t = k / steps;
      if (clip !== null && a.c + t * (b.c - a.c) < clip - 1e-6) continue;
      const depth = a.d + t * (b.d - a.d) + bias, x = a.x + t * (b.x - a.x), y = a.y + t * (b.y - a.y);
      for (let w = 0; w < wide; w++) {
        const px = Math.floor(flat ? x : x - half + w), py = Math.floor(flat ? y - half + w : y);
        if (px < 0 || py < 0 || px >= this.width || py >= this.height) continue;
        const at = py * this.width + px;
        if (depth >= this.depth[at]) this.colour[at] = colour;
      }
    }
  }
}
