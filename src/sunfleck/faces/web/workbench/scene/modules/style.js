// How the words and marks over the picture look. Colours come from the theme as properties of the root.

export const STYLE = `
.sf-scene { position: relative; min-height: 16rem; }
.sf-view { position: absolute; inset: 0; overflow: hidden; background: var(--sf-ground); color: var(--sf-ink);
  font-size: 0.8125rem; line-height: 1.3; -webkit-user-select: none; user-select: none; }
.sf-view canvas { display: block; position: absolute; inset: 0; width: 100%; height: 100%; outline: none; }
.sf-view canvas:focus-visible ~ .sf-ring { box-shadow: inset 0 0 0 2px var(--sf-accent); }
.sf-ring, .sf-words, .sf-marks { position: absolute; inset: 0; pointer-events: none; overflow: hidden; }
.sf-label { position: absolute; left: 0; top: 0; white-space: nowrap; font-variant-numeric: tabular-nums; }
.sf-name { padding: 0 0.45em; color: var(--sf-ink); font-weight: 500;
  text-shadow: 0 0 3px var(--sf-ground), 0 0 3px var(--sf-ground), 0 0 6px var(--sf-ground); }
.sf-length { padding: 0 0.4em; color: var(--sf-paper); background: var(--sf-accent); border-radius: 2px; font-weight: 500; }
.sf-iso { padding: 0 0.25em; font-size: 0.6875rem; color: #fff; background: rgb(20 32 43 / 72%); border-radius: 2px; }
.sf-mark { position: absolute; left: 0; top: 0; width: 28px; height: 28px; padding: 0; border: 0; background: none;
  pointer-events: auto; cursor: pointer; outline: none; }
.sf-mark svg { width: 22px; height: 22px; display: block; margin: 3px; fill: var(--sf-ink); stroke: var(--sf-ground);
  stroke-width: 1.6; paint-order: stroke; overflow: visible; }
.sf-mark svg .open { fill: var(--sf-ground); stroke: var(--sf-ink); stroke-width: 2.6; paint-order: normal; }
.sf-mark.sf-over svg, .sf-mark.sf-short svg { fill: var(--sf-accent); }
.sf-mark:focus-visible { box-shadow: 0 0 0 2px var(--sf-accent); border-radius: 50%; }
.sf-word { position: absolute; left: 30px; top: 50%; transform: translateY(-50%); width: max-content; max-width: 15rem; padding: 0.15em 0.5em;
  text-align: left; color: var(--sf-ink); background: var(--sf-paper); border-radius: 2px; display: none; pointer-events: none; }
.sf-turned .sf-word { left: auto; right: 30px; }
.sf-mark:hover, .sf-mark:focus { z-index: 2; }
.sf-mark:hover .sf-word, .sf-mark:focus .sf-word { display: block; }
.sf-hint { position: absolute; left: 50%; bottom: 0.6rem; transform: translateX(-50%); color: var(--sf-ink); display: none;
  pointer-events: none; white-space: nowrap; }
@media (pointer: coarse) { .sf-hint { display: block; } .sf-armed .sf-hint { display: none; } }
.sf-none { position: absolute; inset: 0; display: grid; place-items: center; padding: 2rem; text-align: center; }
.sf-none[hidden] { display: none; }
.sf-aside { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
`;
