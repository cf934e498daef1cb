// Elements made by name, and what this phone remembers.

export function el(tag, props = {}, ...children) {
  const made = document.createElement(tag);
  for (const [key, value] of Object.entries(props)) {
    if (value === undefined || value === null || value === false) continue;
    if (key === "text") made.textContent = value;
    else if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else made.setAttribute(key, value === true ? "" : value);
  }
  made.append(...children.filter((child) => child !== null && child !== undefined));
  return made;
}

export const list = (words, kind) => el("ul", { class: kind }, ...words.map((text) => el("li", { text })));

// What a browser cannot keep (private browsing, full) still works until its page is closed.
const shortLived = new Map();

export function remembered(key, otherwise) {
  try {
    const text = shortLived.has(key) ? shortLived.get(key) : localStorage.getItem(`sunfleck.${key}`);
    return text === null || text === undefined ? otherwise : JSON.parse(text);
  } catch {
    return otherwise;
  }
}

export function remember(key, value) {
  const text = JSON.stringify(value);
  try {
    localStorage.setItem(`sunfleck.${key}`, text);
    shortLived.delete(key);
  } catch {
    shortLived.set(key, text);
  }
}

export const lasts = () => shortLived.size === 0;

// Not crypto.randomUUID: a browser has that for https only, and a local network has none.
export function newId() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
