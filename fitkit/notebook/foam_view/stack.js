// The case closed, seen from the side: the layers as they lie on each other, one of them chosen.

const STACK = { wide: 96, name: 15, high: 300, least: 17, gap: 12 }; // pixels

class Stack {
  constructor(parent, choose) {
    this.choose = choose;
    this.svg = node(parent, "svg", { class: "fkl-stack", role: "group", "aria-label": "the layers, seen from the side" });
  }

  draw(told, current) {
    clear(this.svg);
    const layers = told.layers.map((layer, k) => ({ ...layer, k }));
    const total = layers.reduce((sum, one) => sum + one.z[1] - one.z[0], 0) || 1;
    const high = (one) => Math.max(STACK.least, ((one.z[1] - one.z[0]) / total) * STACK.high);
    let y = 0;
    const halves = [...told.halves].reverse(); // the half on top first
    for (const half of halves) {
      node(this.svg, "text", { x: 0, y: y + 11, class: "fkl-half" }, `${half} half`);
      y += STACK.name;
      for (const one of layers.filter((layer) => layer.half === half).sort((a, b) => b.z[0] - a.z[0])) {
        const tall = high(one);
        const here = one.k === current;
        const g = node(this.svg, "g", {
          class: `fkl-layer${here ? " fkl-here" : ""}`, role: "button", "data-layer": one.id,
          "aria-label": `${one.name}, ${one.thick} thick`, "aria-pressed": here,
        });
        node(g, "rect", { x: 1.5, y: y + 1, width: STACK.wide - 3, height: tall - 2, class: `fkl-board fkl-${one.material}` });
        node(g, "text", { x: 9, y: y + tall / 2 + 4, class: "fkl-index" }, one.index);
        node(g, "text", { x: STACK.wide - 9, y: y + tall / 2 + 4, class: "fkl-thick", "text-anchor": "end" }, `${one.thick} ${told.units}`);
        if (one.webs.length) node(g, "text", { x: 23, y: y + tall / 2 + 4, class: "fkl-mark" }, "thin");
        g.addEventListener("click", () => this.choose(one.k));
        y += tall;
      }
      y += STACK.gap;
      if (half !== halves[halves.length - 1]) {
        node(this.svg, "path", { d: `M0 ${y - STACK.gap / 2}H${STACK.wide + 4}`, class: "fkl-closing" });
      }
    }
    this.svg.setAttribute("width", STACK.wide + 4);
    this.svg.setAttribute("height", y);
  }
}
