// When to draw and how finely: only when something has changed; as coarsely as it takes to keep up while it moves, and
// finely once it rests. A machine without a graphics card then still follows the hand.

const WANTED = 24; // a frame while something moves [ms]
const ROW = 150; // frames closer than this belong to one movement [ms]
const REST = 170; // [ms]
// Pixels drawn to one of the window. Few steps: each change is a new picture in memory.
const STEPS = [0.625, 0.75, 1, 1.5, 2];
const DEAR = 12; // a frame that takes longer to draw holds up what else the machine has to do [ms]
const LOOK = 3; // how often it is looked whether a frame is done [ms]
const LATEST = 250; // what moves is drawn at least so often, dear or not [ms]
const FINE = 2; // edges are smoothed by drawing twice as finely

export class Pace {
  /**
   * @param {(ratio: number) => void} draw with so many pixels to one of the page
   * @param {WebGL2RenderingContext} context
   * @param {() => boolean} goesOn whether something is on its way that will be drawn
   */
  constructor(draw, context, goesOn) {
    this.draw = draw;
    this.context = context;
    this.goesOn = goesOn;
    this.cost = 0;
    this.moving = 1;
    this.last = -Infinity;
    this.ended = false;
  }

  /** Whether a frame is better left out while something that needs one anyway is on its way. */
  get dear() {
    return this.cost > DEAR && performance.now() - this.last < LATEST;
  }

  /** Draw before the next repaint of the window; several wishes are one frame. */
  wish() {
    if (this.awaited || this.ended) return;
    this.awaited = requestAnimationFrame((now) => {
      this.awaited = 0;
      this.#learn(now - this.last);
      this.last = now;
      this.draw(this.#step());
      this.#time();
      this.#restLater();
    });
  }

  end() {
    this.ended = true;
    cancelAnimationFrame(this.awaited);
    clearTimeout(this.resting);
  }

  #learn(taken) {
    if (taken > ROW * 2 || taken <= 0) return;
    // Cost goes with the number of pixels, that is with the square.
    if (taken > WANTED * 1.3) this.moving *= Math.max(0.5, Math.sqrt(WANTED / taken));
    else if (taken < WANTED * 0.8) this.moving *= 1.06;
    this.moving = Math.min(FINE, Math.max(STEPS[0], this.moving));
  }

  /** How long the machine takes to draw what it was just told to: without a graphics card far longer than telling it. */
  #time() {
    const { context } = this;
    if (this.timing || context.isContextLost()) return;
    const begun = performance.now();
    this.timing = context.fenceSync(context.SYNC_GPU_COMMANDS_COMPLETE, 0);
    context.flush();
    const look = () => {
      if (this.ended || context.isContextLost()) return void (this.timing = null);
      if (context.getSyncParameter(this.timing, context.SYNC_STATUS) !== context.SIGNALED) return void setTimeout(look, LOOK);
      context.deleteSync(this.timing);
      this.timing = null;
      const taken = performance.now() - begun;
      this.cost += (this.cost ? 0.3 : 1) * (taken - this.cost);
    };
    setTimeout(look, LOOK);
  }

  #step() {
    return STEPS.findLast((step) => step <= this.moving + 1e-6);
  }

  #restLater() {
    clearTimeout(this.resting);
    if (this.#step() >= FINE) return;
    this.resting = setTimeout(() => {
      if (this.goesOn()) return void this.#restLater();
      // The page may be busy: a frame that waits is a movement still.
      if (!this.awaited && !this.ended) this.draw(FINE);
      this.last = -Infinity;
    }, REST);
  }
}
