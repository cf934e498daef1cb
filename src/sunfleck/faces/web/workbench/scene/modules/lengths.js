// Lengths and sentences in the reader's units; both come from the page.

export class Words {
  /**
   * @param {{unit: string, metre: number, part: number}} lengths unit, how many a metre has, and to which part of it
   * @param {Record<string, string>} sentences with `{…}` to be filled in
   */
  constructor(lengths, sentences) {
    this.lengths = lengths;
    this.sentences = sentences;
  }

  /** A length in words, to the part that is shown. [m] */
  length(metres) {
    const { unit, metre, part } = this.lengths;
    const value = Math.round((metres * metre) / part) * part;
    return `${Number(value.toFixed(2)) + 0} ${unit}`;
  }

  /** A sentence with its gaps filled. */
  say(name, gaps = {}) {
    return (this.sentences[name] ?? name).replace(/\{(\w+)\}/g, (whole, gap) => gaps[gap] ?? whole);
  }

  /** A sentence about a place. */
  place(name, what, [x, y, z]) {
    return this.say(name, { name: what, x: this.length(x), y: this.length(y), z: this.length(z) });
  }
}
