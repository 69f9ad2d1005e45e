// What keys do. They are the board's own while the focus is in it: the notebook does not see them.

const REST_MS = 500; // after so long without a key, what the arrows moved is dropped
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const KEYS = [
  ["Tab", "from item to item"],
  ["arrows", "move what is chosen by 1 mm, with Shift by 10 mm"],
  ["t, Shift+t", "turn; a free one by 15°, with Alt by 1°"],
  ["l", "lock or unlock"],
  ["m", "turn over, where the item may"],
  ["Page up, Page down", "to the next tier or half"],
  ["Ctrl+A", "choose all on the board"],
  ["Shift and click", "choose one more, or one less"],
  ["drag over foam", "choose all in the frame"],
  ["Alt while dragging", "no snapping"],
  ["Ctrl+Z, Ctrl+Y", "undo, redo"],
  ["Escape", "let go; choose nothing"],
  ["+  −  0", "closer, farther, whole case"],
  ["Ctrl and wheel", "closer, farther"],
  ["Space and drag", "move the sheet"],
];

class Keys {
  constructor(board) {
    this.board = board;
    this.run = null; // arrows pressed one after another: one move
    board.root.addEventListener("keydown", (event) => this.down(event));
    board.root.addEventListener("keyup", (event) => this.released(event));
    board.root.addEventListener("focusout", (event) => {
      if (!board.root.contains(event.relatedTarget)) { this.rest(); board.gestures.space = false; }
    });
  }

  down(event) {
    event.stopPropagation();
    if (!this.board.scene) return;
    if (!["Shift", "Control", "Alt", "Meta", " ", "Escape"].includes(event.key)) this.board.byKeys(true);
    if (this.board.gestures.dragging() && ![" ", "Escape"].includes(event.key)) {
      event.preventDefault(); // one thing at a time: the drag ends first
      return;
    }
    const onSheet = event.target.closest(".fkb-sheet") !== null;
    const typing = event.target.closest("input, select, textarea") !== null;
    const done = event.ctrlKey || event.metaKey ? !typing && this.command(event) : onSheet && this.plain(event);
    if (done) event.preventDefault();
  }

  released(event) {
    event.stopPropagation();
    if (event.key === " ") this.board.gestures.space = false;
    if (ARROWS[event.key]) this.later();
  }

  command(event) {
    const { board } = this;
    const key = event.key.toLowerCase();
    if (key === "z") board.act({ kind: event.shiftKey ? "redo" : "undo" });
    else if (key === "y") board.act({ kind: "redo" });
    else if (key === "a") board.chooseAll();
    else return false;
    return true;
  }

  plain(event) {
    const { board } = this;
    const arrow = ARROWS[event.key];
    if (arrow) this.shift(arrow, event.shiftKey ? 10 : 1);
    else if (event.code === "KeyT" || event.key.toLowerCase() === "t") board.turnBy(event.shiftKey ? -1 : 1, event.altKey);
    else if (event.key === "l") board.lockChosen();
    else if (event.key === "m") board.over();
    else if (event.key === "PageUp") board.sendBy(1);
    else if (event.key === "PageDown") board.sendBy(-1);
    else if (event.key === "+" || event.key === "=") board.zoomBy(1.25);
    else if (event.key === "-") board.zoomBy(0.8);
    else if (event.key === "0") board.wholeCase();
    else if (event.key === " ") board.gestures.space = true;
    else if (event.key === "Escape") this.escape();
    else if (event.key === "Enter") board.chooseFocused();
    else return false;
    return true;
  }

  escape() {
    if (!this.board.gestures.letGo()) this.board.choose([]);
  }

  // ---- arrows: live while they go on, dropped when they rest
  shift([dx, dy], step) {
    const { board } = this;
    const lead = board.lead();
    if (!lead || board.gestures.grip) return;
    const ids = board.movable(lead.id);
    if (!ids.length) {
      board.say(`${lead.name} is locked: unlock it to move it`);
      return;
    }
    if (this.run && String(this.run.ids) !== String(ids)) this.rest();
    if (!this.run) this.run = { id: ids[0], ids, gesture: board.gesture() };
    for (const id of ids) board.put(id, board.find(id).x + dx * step, board.find(id).y + dy * step);
    board.tellShift(this.run.id, ids, { gesture: this.run.gesture, exact: true });
    this.later();
  }

  later() {
    clearTimeout(this.timer);
    if (this.run) this.timer = setTimeout(() => this.rest(), REST_MS);
  }

  rest() {
    clearTimeout(this.timer);
    const { run, board } = this;
    this.run = null;
    if (run && run.ids.every((id) => board.find(id))) board.tellShift(run.id, run.ids, { drop: true, exact: true, gesture: run.gesture });
    if (run) board.settled(run.ids);
  }

  close() { clearTimeout(this.timer); }
}
