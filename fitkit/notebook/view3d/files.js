// The buttons of the workshop page, and the files that were written, as links that open them.

// a link to a file beside the notebook: by the server's own address in the lab, else as it is
function fileAddress(path) {
  const encoded = path.split("/").map(encodeURIComponent).join("/");
  const told = document.getElementById("jupyter-config-data");
  if (document.body.dataset.voila || !told) return encoded;
  const base = JSON.parse(told.textContent).baseUrl || "/";
  const open = decodeURIComponent(location.pathname).match(/\/(?:tree|notebooks|doc\/tree)\/(.*\.ipynb)$/);
  const folder = open && open[1].includes("/") ? open[1].replace(/[^/]*$/, "") : "";
  return `${base}files/${folder.split("/").map(encodeURIComponent).join("/")}${encoded}`;
}

export default {
  render({ model, el }) {
    const root = document.createElement("section");
    root.className = "fk-look fk-files";
    root.setAttribute("aria-label", "files to write");
    el.append(root);
    const add = (tag, kind, text, parent = root) => {
      const one = document.createElement(tag);
      if (kind) one.className = kind;
      one.textContent = text;
      parent.append(one);
      return one;
    };
    const act = (name) => { model.set("asked", { name, n: (model.get("asked").n || 0) + 1 }); model.save_changes(); };
    const row = add("div", "fk-files-row", "");
    const write = add("button", "fk-press fk-strong", "write all files", row);
    const again = add("button", "fk-press", "", row);
    const stop = add("button", "fk-press", "stop", row);
    for (const [one, name] of [[write, "write"], [again, "plan"], [stop, "stop"]]) {
      one.type = "button";
      one.addEventListener("click", () => act(name));
    }
    const said = add("p", "fk-files-said", "");
    said.setAttribute("role", "status");
    const list = add("div", "fk-files-list", "");
    const draw = () => {
      const busy = model.get("busy"), plan = model.get("offer");
      write.disabled = again.disabled = Boolean(busy);
      write.hidden = !model.get("ready");
      again.hidden = !plan;
      again.textContent = plan;
      stop.hidden = busy !== "plan";
      said.textContent = model.get("said");
    };
    const show = () => {
      list.replaceChildren();
      for (const group of model.get("files")) {
        add("h5", "", group.name, list);
        const items = add("ul", "", "", list);
        for (const path of group.paths) {
          const link = add("a", "", path.split("/").slice(1).join("/"), add("li", "", "", items));
          link.href = fileAddress(path);
          link.target = "_blank";
          link.rel = "noopener";
          link.addEventListener("pointerdown", () => { link.href = fileAddress(path); });
        }
      }
    };
    const listeners = ["busy", "said", "offer", "ready"].map((name) => [`change:${name}`, draw]);
    listeners.push(["change:files", show]);
    for (const [event, listener] of listeners) model.on(event, listener);
    draw();
    show();
    return () => { for (const [event, listener] of listeners) model.off(event, listener); };
  },
};
