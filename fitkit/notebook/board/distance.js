// How far two outlines are apart. An outline is a list of rings [[x, y], ...], holes included
// (inside is where an odd number of rings surrounds a point). Used by the stand-alone page; in a
// notebook Python answers.

function boxOf(rings) {
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  for (const ring of rings)
    for (const [x, y] of ring) {
      if (x < box[0]) box[0] = x;
      if (y < box[1]) box[1] = y;
      if (x > box[2]) box[2] = x;
      if (y > box[3]) box[3] = y;
    }
  return box;
}

function boxGap(a, b) {
  const dx = Math.max(0, a[0] - b[2], b[0] - a[2]);
  const dy = Math.max(0, a[1] - b[3], b[1] - a[3]);
  return Math.hypot(dx, dy);
}

function crosses([ax, ay], [bx, by], [cx, cy], [dx, dy]) {
  const side = (px, py, qx, qy, rx, ry) => (qx - px) * (ry - py) - (qy - py) * (rx - px);
  const [p, q] = [side(ax, ay, bx, by, cx, cy), side(ax, ay, bx, by, dx, dy)];
  const [r, s] = [side(cx, cy, dx, dy, ax, ay), side(cx, cy, dx, dy, bx, by)];
  return p * q < 0 && r * s < 0;
}

// {gap, a, b}: the least distance of two outlines and where it is; 0 where they share room
function apart(first, second) {
  for (const [one, other] of [[first, second], [second, first]])
    for (const [[x, y]] of one) if (inside(other, x, y)) return { gap: 0, a: [x, y], b: [x, y] };
  const best = { gap: Infinity, a: null, b: null };
  // from the corners of one outline to the edges of the other, either way round
  const reach = (corners, edges, swap) => {
    for (const ring of corners)
      for (const [x, y] of ring)
        for (const other of edges)
          for (let i = 0, j = other.length - 1; i < other.length; j = i, i += 1) {
            const [ax, ay] = other[j];
            const [dx, dy] = [other[i][0] - ax, other[i][1] - ay];
            const t = Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy || 1)));
            const gap = Math.hypot(ax + t * dx - x, ay + t * dy - y);
            if (gap >= best.gap) continue;
            const [here, there] = [[x, y], [ax + t * dx, ay + t * dy]];
            Object.assign(best, { gap, a: swap ? there : here, b: swap ? here : there });
          }
  };
  reach(first, second, false);
  reach(second, first, true);
  const meet = boxGap(boxOf(first), boxOf(second)) > 0 ? null : crossing(first, second);
  return meet ? { gap: 0, a: meet, b: meet } : best;
}

function crossing(first, second) {
  for (const ring of first)
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i, i += 1)
      for (const other of second)
        for (let k = 0, l = other.length - 1; k < other.length; l = k, k += 1)
          if (crosses(ring[j], ring[i], other[l], other[k])) return ring[i];
  return null;
}

// rings turned counter-clockwise by `degrees` about the origin
function turnedRings(rings, degrees) {
  const turn = (degrees * Math.PI) / 180;
  const [c, s] = degrees % 90 === 0 ? [Math.round(Math.cos(turn)), Math.round(Math.sin(turn))] : [Math.cos(turn), Math.sin(turn)];
  return rings.map((ring) => ring.map(([x, y]) => [x * c - y * s, x * s + y * c]));
}

function movedRings(rings, dx, dy) { return rings.map((ring) => ring.map(([x, y]) => [x + dx, y + dy])); }
