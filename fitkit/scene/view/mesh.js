// Prisms as triangles and drawn edges, and the faces that a cut lays open. All lengths in mm.

const SHARP = Math.cos((20 * Math.PI) / 180);

function ringCorners(ring) {
  const corners = [];
  for (let k = 0; k < ring.length; k += 2) corners.push([ring[k], ring[k + 1]]);
  return corners;
}

function meshOf(part, index) {
  const points = [], faces = [], edges = [];
  const [z0, z1] = part.z;
  for (const piece of part.pieces) {
    const rings = piece.rings.map(ringCorners), flat = rings.flat(), low = points.length, high = low + flat.length;
    for (const z of part.z) for (const [x, y] of flat) points.push([x, y, z]);
    for (let k = 0; k < piece.triangles.length; k += 3) {
      const [a, b, c] = piece.triangles.slice(k, k + 3);
      faces.push({ of: [high + a, high + b, high + c], normal: [0, 0, 1] });
      faces.push({ of: [low + c, low + b, low + a], normal: [0, 0, -1] });
    }
    let first = 0;
    for (const ring of rings) {
      const n = ring.length;
      for (let k = 0; k < n; k++) {
        const a = first + k, b = first + ((k + 1) % n), before = ring[(k + n - 1) % n];
        const dx = ring[(k + 1) % n][0] - ring[k][0], dy = ring[(k + 1) % n][1] - ring[k][1], length = Math.hypot(dx, dy) || 1;
        const normal = [dy / length, -dx / length, 0];
        faces.push({ of: [low + a, low + b, high + b], normal }, { of: [low + a, high + b, high + a], normal });
        if (part.lines[0]) edges.push([low + a, low + b]);
        if (part.lines[1]) edges.push([high + a, high + b]);
        const ex = ring[k][0] - before[0], ey = ring[k][1] - before[1];
        if ((ex * dx + ey * dy) / ((Math.hypot(ex, ey) || 1) * length) < SHARP) edges.push([low + a, high + a]);
      }
      first += n;
    }
  }
  const xs = points.map((p) => p[0]), ys = points.map((p) => p[1]);
  const box = { x: [Math.min(...xs), Math.max(...xs)], y: [Math.min(...ys), Math.max(...ys)], z: [z0, z1] };
  return { part, index, points, faces, edges, box };
}

// where a line x = at (axis 0) or y = at (axis 1) runs inside a piece: pairs along the other axis
function crossings(piece, axis, at) {
  const found = [];
  for (const ring of piece.rings.map(ringCorners)) {
    for (let k = 0; k < ring.length; k++) {
      const a = ring[k], b = ring[(k + 1) % ring.length];
      if (a[axis] > at === b[axis] > at) continue;
      const share = (at - a[axis]) / (b[axis] - a[axis]);
      found.push(a[1 - axis] + share * (b[1 - axis] - a[1 - axis]));
    }
  }
  found.sort((p, q) => p - q);
  const pairs = [];
  for (let k = 0; k + 1 < found.length; k += 2) pairs.push([found[k], found[k + 1]]);
  return pairs;
}

// the faces that the plane lays open, seen from the side that is taken away
function cutFaces(mesh, cut) {
  const { axis, at, keep } = cut, [z0, z1] = mesh.part.z;
  const points = [], faces = [], edges = [], normal = [0, 0, 0];
  normal[axis] = -keep;
  const add = (a, b, c) => faces.push({ of: keep === (axis === 1 ? 1 : -1) ? [a, b, c] : [c, b, a], normal, cut: true });
  for (const piece of mesh.part.pieces) {
    if (axis === 2) {
      if (at <= z0 || at >= z1) continue;
      const first = points.length, rings = piece.rings.map(ringCorners);
      for (const [x, y] of rings.flat()) points.push([x, y, at]);
      for (let k = 0; k < piece.triangles.length; k += 3) add(...piece.triangles.slice(k, k + 3).map((one) => first + one));
      let start = first;
      for (const ring of rings) {
        ring.forEach((_, k) => edges.push([start + k, start + ((k + 1) % ring.length)]));
        start += ring.length;
      }
      continue;
    }
    for (const [low, high] of crossings(piece, axis, at)) {
      const first = points.length, spot = (v, z) => (axis === 0 ? [at, v, z] : [v, at, z]);
      points.push(spot(low, z0), spot(high, z0), spot(high, z1), spot(low, z1));
      add(first, first + 1, first + 2);
      add(first, first + 2, first + 3);
      for (let k = 0; k < 4; k++) edges.push([first + k, first + ((k + 1) % 4)]);
    }
  }
  return { part: mesh.part, index: mesh.index, points, faces, edges };
}
