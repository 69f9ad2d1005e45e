// What the builder does, told to Python. Everything goes through one synced value, `told`: the
// entries that Python has not said it heard, oldest first. Moves of one gesture give way to the
// newest of them while they wait; drops and acts are never left out and never overtaken. What is
// not heard is told again, and Python passes over what it knows: nothing is lost on the way.

const AGAIN_MS = 2500; // told again when nothing was heard for so long
const ANSWER_MS = 400; // the next live move waits so long at most for the answer to the last

class Link {
  constructor(model) {
    this.model = model;
    this.view = `v${Math.random().toString(36).slice(2, 10)}`; // several views of one board may be open
    this.last = 0; // the newest number given
    this.done = 0; // the newest number heard
    this.queue = []; // {entry, firm, gesture, told}
    this.moves = new Map(); // number -> the move, for its answer
    this.waiting = 0; // number of the live move whose answer is awaited
    this.timer = null;
  }

  // a live move of `gesture`, or (firm) a drop or an act; gives its number
  tell(entry, { firm = true, gesture = null } = {}) {
    const newest = this.queue[this.queue.length - 1];
    if (newest && !newest.told && !newest.firm && newest.gesture === gesture) this.queue.pop();
    const n = (this.last += 1);
    this.queue.push({ entry: { ...entry, n, view: this.view }, firm, gesture, told: false });
    if (entry.id !== undefined) {
      this.moves.set(n, entry);
      if (this.moves.size > 80) this.moves.delete(this.moves.keys().next().value);
    }
    this.pump();
    return n;
  }

  act(entry) { return this.tell({ ...entry, act: true }); }

  pump() {
    if (!this.queue.length || this.queue.some((one) => one.told)) return;
    if (!this.queue.some((one) => one.firm) && this.waiting > 0) {
      const left = ANSWER_MS - (performance.now() - this.since);
      if (left > 0) {
        clearTimeout(this.patience);
        this.patience = setTimeout(() => this.pump(), left + 1);
        return;
      }
    }
    this.send();
  }

  send() {
    for (const one of this.queue) one.told = true;
    const newest = this.queue[this.queue.length - 1].entry;
    this.waiting = newest.act ? 0 : newest.n;
    this.since = performance.now();
    this.model.set("told", { view: this.view, list: this.queue.map((one) => one.entry) });
    this.model.save_changes();
    clearTimeout(this.timer);
    this.timer = setTimeout(() => { if (this.queue.length) this.send(); }, AGAIN_MS);
  }

  // Python has handled all entries up to `n`
  heard(n) {
    if (!(n > this.done)) return;
    this.done = n;
    this.queue = this.queue.filter((one) => one.entry.n > n);
    if (!this.queue.length) clearTimeout(this.timer);
    this.pump();
  }

  sync() { this.heard((this.model.get("heard") || {})[this.view]); }

  answered(n) {
    if (n >= this.waiting) this.waiting = 0;
    this.heard(n);
    this.pump();
  }

  // ids of items with moves that Python has not handled yet
  underWay() {
    const ids = new Set();
    for (const { entry } of this.queue)
      if (!entry.act) for (const id of entry.ids || [entry.id]) ids.add(id);
    return ids;
  }

  awaits(kind) { return this.queue.some((one) => one.entry.act && one.entry.kind === kind); }

  close() {
    clearTimeout(this.timer);
    clearTimeout(this.patience);
  }
}
