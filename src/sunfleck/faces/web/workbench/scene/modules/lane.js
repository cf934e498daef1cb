// Events that come faster than they are answered: one is under way, of those that wait only the newest is sent.

const PATIENCE = 250; // [ms]

export class Lane {
  /**
   * @param {(name: string, what: object) => void} emit
   * @param {() => void} late called when an answer does not come in time
   */
  constructor(emit, late) {
    this.emit = emit;
    this.late = late;
    this.seq = 0;
    this.underWay = 0;
    this.waiting = null;
  }

  /** Send this now, or when the one before was answered or a quarter of a second has passed. */
  offer(name, what) {
    this.waiting = [name, what];
    if (!this.underWay) this.#send();
  }

  /** The page has painted what belongs to an event. */
  answered(seq) {
    if (!this.underWay || seq < this.underWay) return;
    this.#free();
  }

  /** Nothing that waits is wanted any more; the next number, for a last event that does not wait. */
  end() {
    this.waiting = null;
    this.#free();
    return ++this.seq;
  }

  #send() {
    const [name, what] = this.waiting;
    this.waiting = null;
    this.underWay = ++this.seq;
    this.timer = setTimeout(() => {
      this.#free();
      this.late();
    }, PATIENCE);
    this.emit(name, { seq: this.underWay, ...what });
  }

  #free() {
    clearTimeout(this.timer);
    this.underWay = 0;
    if (this.waiting) this.#send();
  }
}
