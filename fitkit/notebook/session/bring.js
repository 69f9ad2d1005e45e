// A button that takes a text file from the builder's disk: its name and text go to Python.

export default {
  render({ model, el }) {
    el.classList.add("fk-look", "fk-bring");
    const button = document.createElement("button");
    button.type = "button";
    button.className = "fk-press";
    button.textContent = model.get("words");
    const input = document.createElement("input");
    Object.assign(input, { type: "file", accept: model.get("accept"), hidden: true });
    button.addEventListener("click", () => input.click());
    input.addEventListener("change", async () => {
      const [file] = input.files;
      if (!file) return;
      const text = await file.text();
      input.value = "";
      model.set("file", { n: (model.get("file").n || 0) + 1, name: file.name, text });
      model.save_changes();
    });
    el.append(button, input);
  },
};
