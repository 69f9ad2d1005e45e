// Moves told to Python: one is under way at a time, and only the newest of those made meanwhile
// is told next. So Python never works on what the builder has already left.

const WAIT_MS = 3000; // an answer that takes longer is given up, the newest move is sent

class Link {
  constructor(model) {
    this.model = model;
    this.sent = 0;
    this.waiting = null; // serial of the move that Python works on
    this.pending = null; // newest move not sent yet
  }

  busy() { return this.waiting !== null && performance.now() - this.since < WAIT_MS; }

  next() { return (this.sent += 1); }

  send(move) {
    if (this.busy()) {
      this.pending = move;
      return;
    }
    this.waiting = this.next();
    this.since = performance.now();
    this.pending = null;
    this.model.set("move", { ...move, n: this.waiting });
    this.model.save_changes();
  }

  heard(serial) {
    if (serial === this.waiting) this.waiting = null;
    if (this.pending) this.send(this.pending);
  }
}
