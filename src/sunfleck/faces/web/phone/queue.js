// Entries on their way: kept on this phone until the computer has said that they are safe.
// The same id goes with every try, so that an entry whose answer got lost is not taken twice.
import { newId, remember, remembered } from "./parts.js";

const AGAIN = 4000;
let sending = false;
let told = () => {};
let link = { state: "", words: "" };

export const kept = () => remembered("outbox", []);
export const linkNow = () => link;

function change(id, edit) {
  // Read anew each time: a second tab of this phone may have added to it.
  remember("outbox", kept().flatMap((each) => (each.id === id ? edit(each) : [each])));
}

export function onAnswer(listener) {
  told = listener;
}

// Another plan or survey may be served at this address the next time: an entry goes into its own only.
export const unsent = (key) => kept().filter((each) => each.refused === null && each.body.key === key);
export const ofOthers = (key) => kept().filter((each) => each.body.key !== key);

let here = null;
export function serves(key) {
  here = key;
}

export function put(path, body, label) {
  const entry = { id: newId(), path, body: { ...body, key: here }, label, refused: null };
  remember("outbox", [...kept(), entry]);
  void flush();
  return entry.id;
}

export const drop = (id) => change(id, () => []);

export async function ask(path, body) {
  const options = body === undefined
    ? {}
    : { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) };
  const answer = await fetch(path, { credentials: "same-origin", cache: "no-store", ...options });
  let found = {};
  try {
    found = await answer.json();
  } catch {
    found = { error: `the computer answered ${answer.status}` };
  }
  return { status: answer.status, found };
}

function setLink(state, words) {
  link = { state, words };
}

export function noteLink(status, found) {
  if (status === 401) setLink("no session", found.error);
  else if (status >= 500) setLink("trouble", found.error ?? `the computer answered ${status}`);
  else setLink("here", "");
}

export const noteGone = () => setLink("gone", "the computer does not answer");

export async function flush() {
  if (sending) return;
  sending = true;
  try {
    for (;;) {
      const next = unsent(here)[0];
      if (!next) break;
      const { status, found } = await ask(next.path, { ...next.body, id: next.id });
      noteLink(status, found);
      if (found.state === "another round") {
        here = null;
        break;
      }
      if (status === 200 && found.state !== "refused") {
        drop(next.id);
      } else if (status === 200 || [400, 413, 415].includes(status)) {
        change(next.id, (each) => [{ ...each, refused: found.problems ?? [found.error] }]);
      } else {
        break;
      }
      told(next, found);
    }
  } catch {
    noteGone();
  } finally {
    sending = false;
  }
  told(null, null);
}

setInterval(() => {
  if (unsent(here).length) void flush();
}, AGAIN);
addEventListener("online", () => void flush());
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) void flush();
});
