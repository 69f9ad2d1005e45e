// Names beside what they name: only where a part can be seen, and none over another.

// for each part's owner number: how much of it is seen, and where its middle is
function seen(painter) {
  const found = new Map();
  const { width, height, owner } = painter;
  for (let y = 0, k = 0; y < height; y++) {
    for (let x = 0; x < width; x++, k++) {
      const id = owner[k];
      if (!id) continue;
      let one = found.get(id);
      if (!one) found.set(id, (one = { count: 0, x: 0, y: 0, left: x, leftY: y, right: x, rightY: y }));
      one.count++; one.x += x; one.y += y;
      if (x < one.left) { one.left = x; one.leftY = y; }
      if (x > one.right) { one.right = x; one.rightY = y; }
    }
  }
  return found;
}

function nearestOwn(painter, ids, x, y) {
  let best = null, least = Infinity;
  for (let py = 0; py < painter.height; py += 2) for (let px = 0; px < painter.width; px += 2) {
    if (!ids.has(painter.owner[py * painter.width + px])) continue;
    const far = (px - x) ** 2 + (py - y) ** 2;
    if (far < least) { least = far; best = [px, py]; }
  }
  return best;
}

// whether anything is drawn where a name would stand
function covered(painter, box, frame, zoom) {
  const x0 = Math.floor((box.left - frame.left) * zoom), x1 = Math.ceil((box.right - frame.left) * zoom);
  const y0 = Math.floor((box.top - frame.top) * zoom), y1 = Math.ceil((box.bottom - frame.top) * zoom);
  for (let y = Math.max(0, y0); y < Math.min(painter.height, y1); y++)
    for (let x = Math.max(0, x0); x < Math.min(painter.width, x1); x++) if (painter.owner[y * painter.width + x]) return true;
  return false;
}

// names of gear over it, names of sheets at their left end; zoom: picture pixels per screen pixel
function placeNames(layer, painter, meshes, { zoom, sheets, chosen }) {
  layer.replaceChildren();
  const there = seen(painter), gear = new Map(), taken = [];
  for (const mesh of meshes) {
    const one = there.get(mesh.index + 1);
    if (!one || mesh.part.kind !== "item") continue;
    const key = `${mesh.part.half}/${mesh.part.name}`;
    const sum = gear.get(key) || { name: mesh.part.name, ids: new Set(), count: 0, x: 0, y: 0 };
    sum.ids.add(mesh.index + 1); sum.count += one.count; sum.x += one.x; sum.y += one.y;
    gear.set(key, sum);
  }
  const put = (text, x, y, kind) => {
    const tag = document.createElement("span");
    tag.className = kind;
    tag.textContent = text;
    layer.append(tag);
    tag.style.left = `${x / zoom}px`;
    tag.style.top = `${y / zoom}px`;
    const box = tag.getBoundingClientRect(), frame = layer.getBoundingClientRect();
    const hits = taken.some((b) => box.left < b.right && b.left < box.right && box.top < b.bottom && b.top < box.bottom);
    const over = kind.startsWith("fk-sheet") && covered(painter, box, frame, zoom);
    if (hits || over || box.left < frame.left || box.right > frame.right) return tag.remove();
    return taken.push(box);
  };
  const order = [...gear.values()].sort((a, b) => (b.name === chosen) - (a.name === chosen) || b.count - a.count);
  for (const one of order) {
    if (one.count < 60 * zoom * zoom && one.name !== chosen) continue;
    const spot = nearestOwn(painter, one.ids, one.x / one.count, one.y / one.count);
    if (spot) put(one.name, spot[0], spot[1], one.name === chosen ? "fk-name fk-chosen" : "fk-name");
  }
  if (!sheets) return;
  for (const mesh of meshes) {
    const one = there.get(mesh.index + 1);
    if (!one || (mesh.part.kind !== "foam" && mesh.part.kind !== "accent")) continue;
    const text = `${mesh.part.name} · ${Math.round((mesh.part.z[1] - mesh.part.z[0]) * 10) / 10} mm`;
    put(text, one.left, one.leftY, "fk-sheet-name") || put(text, one.right, one.rightY, "fk-sheet-name fk-right");
  }
}
