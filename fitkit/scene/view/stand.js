// Where everything stands as the case is closed, open or taken apart, and how it is looked at.

const STATES = { closed: [0, 0], open: [1, 0], apart: [1, 1] }; // how far open, how far lifted

function standing(scene, open, apart) {
  const [, width, height] = scene.room, [, wallY, wallZ] = scene.wall, top = height - scene.closing + wallZ;
  const hinge = [width + wallY, scene.closing];
  const turn = open * Math.PI, cos = Math.cos(turn), sin = Math.sin(turn);
  const reach = 0.1 * Math.max(...scene.room), away = open * reach * (0.6 + 1.6 * apart);
  const down = open * (top - wallZ - scene.closing); // the open part lies on the bench beside the other
  const place = (part, [x, y, z]) => {
    const lift = part.lift * apart;
    if (!part.swings) return [x, y, z + lift];
    const dy = y - hinge[0], dz = z - hinge[1];
    return [x, hinge[0] + dy * cos + dz * sin + away, hinge[1] - dy * sin + dz * cos + down + lift];
  };
  const way = (part, [x, y, z]) => (part.swings ? [x, y * cos + z * sin, -y * sin + z * cos] : [x, y, z]);
  return { place, way };
}

function axes(yaw, pitch) {
  const a = (yaw * Math.PI) / 180, b = (pitch * Math.PI) / 180;
  const towards = [Math.sin(a) * Math.cos(b), -Math.cos(a) * Math.cos(b), Math.sin(b)];
  const right = [Math.cos(a), Math.sin(a), 0];
  const up = [-Math.sin(a) * Math.sin(b), Math.cos(a) * Math.sin(b), Math.cos(b)];
  return { right, up, towards };
}

const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

// the middle and the extent of what is shown, on the picture's plane
function extent(meshes, stand, view, cut) {
  const out = [Infinity, Infinity, -Infinity, -Infinity];
  for (const mesh of meshes) {
    for (const x of mesh.box.x) for (const y of mesh.box.y) for (const z of mesh.box.z) {
      const spot = stand.place(mesh.part, [x, y, z]), across = dot(spot, view.right), along = dot(spot, view.up);
      out[0] = Math.min(out[0], across); out[1] = Math.min(out[1], along);
      out[2] = Math.max(out[2], across); out[3] = Math.max(out[3], along);
    }
  }
  return out;
}

function light(normal) {
  if (normal[2] > 0.999) return 1;
  const side = 0.74 - 0.12 * normal[1] + 0.07 * normal[0];
  return normal[2] > 0 ? side + (1 - side) * normal[2] : side * (1 + 0.4 * normal[2]);
}

// paint everything that is shown; painter, meshes, camera, colours
function paintCase(painter, meshes, { stand, view, scale, middle, cut, palette, thick }) {
  painter.clear(palette.paper);
  const ox = painter.width / 2 - middle[0] * scale, oy = painter.height / 2 + middle[1] * scale;
  const flat = cut ? [[1, 2], [0, 2], [0, 1]][cut.axis] : null;
  const clip = cut ? cut.at * cut.keep : null;
  const spots = (mesh) => mesh.points.map((p) => {
    const spot = stand.place(mesh.part, p);
    return {
      x: ox + dot(spot, view.right) * scale, y: oy - dot(spot, view.up) * scale, d: dot(spot, view.towards),
      c: cut ? p[cut.axis] * cut.keep : 0, u: flat ? p[flat[0]] : 0, v: flat ? p[flat[1]] : 0,
    };
  });
  const bias = 1.6 / scale + 0.15, ink = packed(palette.ink);
  const lines = [];
  const all = cut ? meshes.flatMap((mesh) => [[mesh, clip], [cutFaces(mesh, cut), null]]) : meshes.map((mesh) => [mesh, null]);
  for (const [mesh, limit] of all) {
    const at = spots(mesh), base = palette[mesh.part.kind], shades = new Map();
    const pattern = limit === null && cut ? cutPattern(mesh.part.kind, palette, scale) : null;
    for (const face of mesh.faces) {
      const [a, b, c] = face.of, bright = face.cut ? 1 : light(stand.way(mesh.part, face.normal));
      const key = Math.round(bright * 200);
      if (!shades.has(key)) shades.set(key, packed(mixed(base, palette.shade, (1 - bright) * 0.75)));
      painter.triangle(at[a], at[b], at[c], shades.get(key), mesh.index + 1, face.cut ? pattern : null, limit);
    }
    const wide = mesh.part.kind === "item" || limit === null && cut ? thick : Math.max(1, thick - 1);
    for (const [a, b] of mesh.edges) lines.push([at[a], at[b], wide, limit]);
  }
  for (const [a, b, wide, limit] of lines) painter.line(a, b, ink, wide, limit, bias);
}

// cut faces: foam dotted, panels hatched at 45 degrees, gear white
function cutPattern(kind, palette, scale) {
  const base = packed(palette[kind === "panel" || kind === "support" ? "paper" : kind]), mark = packed(palette.dot), ink = packed(palette.hatch);
  const step = Math.max(5, 12 / scale);
  if (kind === "foam" || kind === "accent") {
    const size = step * (kind === "accent" ? 0.22 : 0.16);
    return (u, v) => {
      const row = Math.floor(v / step), du = u + (row & 1 ? step / 2 : 0);
      const x = du - step * Math.floor(du / step) - step / 2, y = v - row * step - step / 2;
      return x * x + y * y < size * size ? mark : base;
    };
  }
  if (kind === "panel" || kind === "support") {
    const pitch = Math.max(4, 9 / scale);
    return (u, v) => ((u + v) / pitch - Math.floor((u + v) / pitch) < 0.22 ? ink : base);
  }
  return () => base;
}
