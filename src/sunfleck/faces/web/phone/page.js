// The meter round on a phone: a list of measuring points, one point at a time, and the tests to pass.
import { el, lasts, list, remember, remembered } from "./parts.js";
import { ask, drop, flush, kept, linkNow, noteGone, noteLink, ofOthers, onAnswer, put, serves, unsent } from "./queue.js";

const LABELS = {
  uvi: ["UV index", ""],
  lux: ["Brightness", "lux"],
  ppfd: ["Plant light", "µmol/m²s"],
  surface: ["Surface temperature", null],
  air: ["Air temperature", null],
  humidity: ["Humidity", "%"],
};
const SIGNS = { "not read": "○", read: "●", "asked about": "▲", "on this phone": "◐" };
const QUICK = 1500;
const SLOW = 12000;

const at = (id) => document.getElementById(id);
let round = null;
let view = { name: "points" };
let form = null;
let mine = null;

// ---- what the computer knows ------------------------------------------------------------------

async function refresh() {
  let wait = SLOW;
  try {
    const { status, found } = await ask("/state");
    noteLink(status, found);
    if (status === 200) {
      const another = round !== null && round.key !== found.key;
      round = found;
      serves(round.key);
      remember("round", round);
      if (another && view.name === "entry") show({ name: "points" });
      if (unsent(round.key).length) void flush();
      wait = round.comparing || round.waiting ? QUICK : SLOW;
    }
  } catch {
    noteGone();
  }
  update();
  clearTimeout(refresh.timer);
  refresh.timer = setTimeout(refresh, document.hidden ? SLOW : wait);
}

async function start() {
  const token = location.hash.slice(1);
  round = remembered("round", null);
  serves(round?.key ?? null);
  if (token) {
    // Out of the address bar, the history and any screenshot; it works once anyway.
    history.replaceState(null, "", "/");
    try {
      await ask("/session", { token });
    } catch {
      noteGone();
    }
  }
  await refresh();
  void flush();
}

// ---- what stands on the screen ----------------------------------------------------------------

function show(next) {
  view = next;
  form = null;
  mine = null;
  at("answer").replaceChildren();
  build();
  at("main").scrollTop = 0;
  at("main").focus({ preventScroll: true });
}

function build() {
  at("main").replaceChildren();
  at("actions").replaceChildren();
  if (round === null) return buildClosed();
  at("tabs").hidden = false;
  for (const [id, here] of [["to-points", view.name !== "stops"], ["to-stops", view.name === "stops"]]) {
    if (here) at(id).setAttribute("aria-current", "page");
    else at(id).removeAttribute("aria-current");
  }
  if (view.name === "entry") buildEntry();
  else if (view.name === "stops") buildStops();
  else buildPoints();
  update();
}

// What changes by itself is renewed; what is being typed stays.
function update() {
  header();
  if (round === null) return buildClosed();
  if (at("tabs").hidden) return build();
  if (at("answer").dataset.waits === "told" && round.waiting) at("answer").dataset.waits = "seen";
  if (at("answer").dataset.waits === "seen" && !round.waiting) tell("Taken in: the survey was mended.", "taken");
  if (view.name === "points") fillPoints();
  if (view.name === "entry") fillPoint();
  if (view.name === "stops") fillStops();
}

function header() {
  const { state, words } = linkNow();
  const toSend = round ? unsent(round.key).length : 0;
  const others = ofOthers(round?.key ?? null).length;
  const refused = kept().length - toSend - others;
  if (round) {
    at("title").textContent = round.plan;
    at("round").textContent = [round.survey, round.kind, round.blind ? "blind check" : ""].filter(Boolean).join(" · ");
  }
  const lines = [];
  if (state === "gone") lines.push("No connection. Go on entering: this phone keeps it and sends it later.");
  if (state === "no session" && round) lines.push("This phone is let in no more: scan a new code. What it keeps is sent then.");
  if (state === "trouble") lines.push(`${words}. It is tried again.`);
  if (toSend) lines.push(`${toSend} to send`);
  if (others) lines.push(`${others} kept for another round, sent when that is served at this address`);
  if (refused) lines.push(`${refused} to correct`);
  if (round?.waiting) lines.push(`${round.waiting} waiting beside the survey, which is broken. At the computer: ${round.problems[0] ?? ""}`);
  if (round?.not_compared && !round.comparing) lines.push(`Not held against the plan: ${round.not_compared}`);
  if (!lasts()) lines.push("This browser keeps nothing: close the page only when all is sent.");
  const text = lines.join(" · ");
  if (at("link").textContent !== text) at("link").textContent = text;
}

function buildClosed() {
  at("tabs").hidden = true;
  const { state, words } = linkNow();
  const told = state === "gone" ? "The computer does not answer. Is this phone in its network, and is the page still served there?"
    : state === "" ? "One moment."
    : "Each phone needs a code of its own, and each code works once. Scan the next one on the computer's screen.";
  at("main").replaceChildren(el("div", { class: "notice" }, el("h2", { text: state === "" ? "Meter round" : "Not let in" }), el("p", { text: told }),
    state === "trouble" ? el("p", { text: words }) : null));
}

// ---- the list of measuring points -------------------------------------------------------------

function buildPoints() {
  at("main").append(cautions(), el("div", { id: "points" }));
}

function cautions() {
  const box = el("details", { class: "cautions", open: remembered("cautions", true) },
    el("summary", { text: "Before you reach in" }), list(round.cautions, "plain"));
  box.addEventListener("toggle", () => remember("cautions", box.open));
  return box;
}

const onPhone = (name) => kept().filter((each) => each.body.key === round.key && each.path === "/reading" && each.body.at === name);

function stateOf(station) {
  const own = onPhone(station.name);
  if (own.some((each) => each.refused)) return "asked about";
  return own.length ? "on this phone" : station.state;
}

function fillPoints() {
  const rows = round.stations.map((station) => {
    const state = stateOf(station);
    const count = station.readings.length;
    return el("li", {}, el("button", { type: "button", class: "row", "data-state": state, onclick: () => show({ name: "entry", station: station.name }) },
      el("span", { class: "sign", "aria-hidden": "true", text: SIGNS[state] }),
      el("span", { class: "what" }, el("strong", { text: station.name }), station.where || station.note ? el("span", { class: "small", text: station.where || station.note }) : ""),
      el("span", { class: "state", text: count > 1 && state === "read" ? `read, ${count}` : state })));
  });
  const read = round.stations.filter((station) => station.readings.length).length;
  const none = el("p", { class: "notice", text: "The plan has no measuring points yet: `sunfleck stations PLAN` proposes them, with lines to paste into it." });
  replace(at("points"), rows.length
    ? [el("h2", { text: `${read} of ${rows.length} points read` }), el("ul", { class: "rows" }, ...rows)]
    : [none]);
  const next = nextPoint();
  replace(at("actions"), next ? [el("button", { type: "button", class: "main", text: `Next: ${next.name}`, onclick: () => show({ name: "entry", station: next.name }) })]
    : rows.length ? [el("p", { class: "small", text: "Every point has a reading. Tap one to read it again." })] : []);
}

const nextPoint = () => round.stations.find((station) => stateOf(station) === "not read" && station.name !== view.station);

// Focus stays where it was when a list is drawn anew.
function replace(place, children) {
  const old = [...place.querySelectorAll("button, input, summary")];
  const index = old.indexOf(document.activeElement);
  const inside = index >= 0;
  place.replaceChildren(...children);
  if (inside) place.querySelectorAll("button, input, summary")[index]?.focus({ preventScroll: true });
}

// ---- one measuring point ----------------------------------------------------------------------

function buildEntry() {
  // Who has come as far has seen them; they stay one tap away.
  remember("cautions", false);
  const meters = round.meters;
  const chosen = meters.some((each) => each.name === remembered("meter", "")) ? remembered("meter", "") : meters[0]?.name ?? "";
  const meter = el("select", { id: "meter" }, ...meters.map((each) => el("option", { value: each.name, text: each.name })));
  meter.value = chosen;
  const values = el("div", { id: "values" });
  const mesh = el("input", { type: "checkbox", id: "mesh", role: "switch" });
  const lamps = round.lamps.map((name, k) => {
    const box = el("input", { type: "checkbox", role: "switch", id: `lamp${k}`, value: name });
    box.checked = round.lit.includes(name);
    return box;
  });
  const note = el("input", { type: "text", id: "note", maxlength: 400, autocomplete: "off", enterkeyhint: "done" });
  form = { showEntered: false, meter, values, mesh, lamps, note };
  meter.addEventListener("change", () => {
    remember("meter", meter.value);
    fields();
  });
  const lit = el("fieldset", { class: "switches" }, el("legend", { text: "Lamps on" }),
    ...lamps.map((box) => el("label", { class: "switch", for: box.id }, el("span", { text: box.value }), box)));
  const more = el("details", { class: "more", open: remembered("more", false) }, el("summary", { text: "Mesh, lamps, note" }),
    el("label", { class: "switch", for: "mesh" }, el("span", { text: "Mesh lifted" }), mesh), lit,
    el("label", { class: "field", for: "note" }, el("span", { text: "Note" }), note));
  more.addEventListener("toggle", () => remember("more", more.open));
  const typed = el("form", { id: "typed", novalidate: true, onsubmit: (event) => { event.preventDefault(); enter(); } },
    meters.length ? el("label", { class: "field", for: "meter" }, el("span", { text: "Meter" }), meter)
      : el("p", { class: "notice", text: "This survey has no meter yet: `sunfleck survey instrument` enters one." }),
    values, more);
  at("main").append(el("div", { id: "point" }), typed);
  readyToType();
  fields();
}

function readyToType() {
  at("typed").hidden = false;
  form.showEntered = false;
  at("answer").replaceChildren();
  replace(at("actions"), [
    el("button", { type: "button", text: "Back", onclick: () => show({ name: "points" }) }),
    el("button", { type: "submit", form: "typed", class: "main", text: "Enter" }),
  ]);
}

// The form gives its room to what is asked and expected; the thumb finds what comes next.
function afterEntering() {
  const next = nextPoint();
  at("typed").hidden = true;
  form.showEntered = true;
  replace(at("actions"), [
    el("button", { type: "button", class: next ? "" : "main", text: "More here", onclick: () => { readyToType(); update(); form.values.querySelector("input[type=text]")?.focus(); } }),
    next ? el("button", { type: "button", class: "main", text: `Next: ${next.name}`, onclick: () => show({ name: "entry", station: next.name }) })
      : el("button", { type: "button", text: "Back", onclick: () => show({ name: "points" }) }),
  ]);
  at("actions").lastElementChild.focus({ preventScroll: true });
}

function fields() {
  const reads = round.meters.find((each) => each.name === form.meter.value)?.reads ?? [];
  const warm = reads.some((key) => LABELS[key][1] === null);
  const degrees = remembered("degrees", round.degrees);
  const unit = (value, text) => {
    const box = el("input", { type: "radio", name: "degrees", id: value, value });
    box.checked = degrees === value;
    box.addEventListener("change", () => { remember("degrees", value); units(); });
    return el("label", { class: "segment", for: value }, box, el("span", { text }));
  };
  replace(form.values, [
    warm ? el("fieldset", { class: "segments" }, el("legend", { text: "The display shows" }), unit("degC", "°C"), unit("degF", "°F")) : null,
    ...reads.map((key) => el("label", { class: "field", for: key }, el("span", { text: LABELS[key][0] }),
      el("span", { class: "measure" }, el("input", { type: "text", inputmode: "decimal", id: key, name: key, autocomplete: "off", enterkeyhint: "done", maxlength: 40 }),
        el("span", { class: "unit", "data-warm": LABELS[key][1] === null, text: LABELS[key][1] ?? "" })))),
  ].filter(Boolean));
  units();
}

function units() {
  const text = remembered("degrees", round.degrees) === "degF" ? "°F" : "°C";
  for (const each of form.values.querySelectorAll("[data-warm]")) each.textContent = text;
}

function fillPoint() {
  const station = round.stations.find((each) => each.name === view.station);
  if (!station || !at("point")) return;
  const told = [el("h2", { text: station.name }), el("p", { text: [station.where, ...station.walls].filter(Boolean).join("; ") }), el("p", { text: `Hold: ${station.hold}` })];
  if (station.note) told.push(el("p", { text: station.note }));
  if (station.reads?.length) told.push(el("p", { class: "read", text: `Read here: ${station.reads.join(", ")}` }));
  if (station.expected?.length) told.push(list(station.expected, "plain"));
  else if (round.blind && !station.readings.length) told.push(el("p", { class: "small", text: "What is expected shows once you have entered yours." }));
  else if (round.comparing && !station.readings.length) told.push(el("p", { class: "small", text: "What is expected is being worked out; go on reading." }));
  const own = onPhone(station.name);
  if (station.readings.length || own.length) {
    const box = el("details", { class: "more", open: form.showEntered }, el("summary", { text: `Entered here: ${station.readings.length + own.length}` }), el("ul", { class: "entered" },
      ...station.readings.map((each) => el("li", { "data-asked": String(each.asked.length > 0) }, el("strong", { text: each.values }),
        el("span", { class: "small", text: [each.with, each.how].filter(Boolean).join("; ") }),
        each.expected.length ? list(each.expected, "plain") : null,
        each.asked.length ? list(each.asked, "asked") : null)),
      ...own.map((each) => el("li", { "data-asked": String(each.refused !== null) }, el("strong", { text: each.label }),
        el("span", { class: "small", text: each.refused ? "not taken" : "on this phone, to be sent" }),
        each.refused ? list(each.refused, "asked") : null,
        each.refused ? el("button", { type: "button", text: "Correct it", onclick: () => correct(each) }) : null))),
      el("p", { class: "small", text: "Wrong? Enter it again: both stay in the survey. Say in the note which is right." }));
    // Set aside while typing, so that the fields stay where the thumb is.
    box.addEventListener("toggle", () => { form.showEntered = box.open; });
    told.push(box);
  }
  replace(at("point"), told);
}

function correct(entry) {
  readyToType();
  if (round.meters.some((each) => each.name === entry.body.with)) form.meter.value = entry.body.with;
  if (entry.body.degrees) remember("degrees", entry.body.degrees);
  fields();
  for (const key of Object.keys(LABELS)) if (at(key) && entry.body[key]) at(key).value = entry.body[key];
  form.note.value = entry.body.note ?? "";
  form.mesh.checked = entry.body.mesh === "lifted";
  drop(entry.id);
  update();
  form.values.querySelector("input[type=text]")?.focus();
}

function enter() {
  const typed = [...form.values.querySelectorAll("input[type=text]")].filter((each) => each.value.trim());
  if (!form.meter.value) return;
  if (!typed.length) return tell("Type what the meter shows first.", "asked");
  const now = new Date();
  const body = { at: view.station, with: form.meter.value, degrees: remembered("degrees", round.degrees),
    time: `${String(now.getHours()).padStart(2, "0")}:${String(now.getMinutes()).padStart(2, "0")}` };
  for (const each of typed) body[each.name] = each.value.trim();
  if (form.mesh.checked) body.mesh = "lifted";
  const on = form.lamps.filter((box) => box.checked).map((box) => box.value);
  if (on.join("\n") !== round.lamps.filter((name) => round.lit.includes(name)).join("\n")) body.lit = on.join(", ") || "none";
  if (form.note.value.trim()) body.note = form.note.value.trim();
  const label = typed.map((each) => `${LABELS[each.name][0]} ${each.value.trim()} ${each.parentElement.querySelector(".unit").textContent}`.trim()).join(", ");
  for (const each of typed) each.value = "";
  form.note.value = "";
  afterEntering();
  tell(`${label}: kept on this phone, being sent.`, "kept");
  mine = put("/reading", body, label);
  update();
}

function tell(words, kind, more = []) {
  at("answer").className = kind;
  delete at("answer").dataset.waits;
  at("answer").replaceChildren(el("p", {}, el("strong", { text: words })), ...more);
}

onAnswer((entry, found) => {
  if (entry && entry.id === mine) {
    mine = null;
    const asked = found.asked?.length ? [list(found.asked, "asked"), el("p", { class: "small", text: "It is taken as you typed it. If it is wrong, enter it again." })] : [];
    const expected = found.expected?.length ? [list(found.expected, "plain")] : [];
    if (found.state === "taken" || found.state === "already") tell(`Taken: ${entry.label}`, "taken", [...expected, ...asked]);
    else if (found.state === "waiting") {
      tell(`Kept: ${entry.label}`, "kept", [el("p", { text: "The survey's file is broken. Mend it at the computer; this is taken in then." })]);
      at("answer").dataset.waits = "told";
    }
    else tell(`Not taken: ${entry.label}`, "asked", [list(found.problems ?? [found.error], "asked")]);
  } else if (!entry && mine && linkNow().state !== "here") {
    tell("Kept on this phone; it is sent as soon as the computer answers. Go on.", "kept");
  }
  update();
  if (entry) void refresh();
});

// ---- tests before the animal moves in ---------------------------------------------------------

function buildStops() {
  const who = el("input", { type: "text", id: "who", autocomplete: "name", maxlength: 80 });
  who.value = remembered("who", round.by);
  who.addEventListener("change", () => remember("who", who.value.trim()));
  at("main").append(el("h2", { text: "Before an animal moves in" }),
    el("p", { class: "small", text: "Common practice, no source. Each is signed with a name; the computer sets today's date." }),
    el("label", { class: "field", for: "who" }, el("span", { text: "Who tests" }), who), el("div", { id: "stops" }));
}

function fillStops() {
  const place = at("stops");
  if (!place) return;
  if (round.stops === null) return replace(place, [el("p", { class: "small", text: round.not_compared || "The list is being drawn up from the plan." })]);
  if (place.contains(document.activeElement) && document.activeElement.tagName === "INPUT") return;
  const open = new Set([...place.querySelectorAll("details[open]")].map((each) => each.dataset.key));
  const notes = Object.fromEntries([...place.querySelectorAll("input")].map((each) => [each.dataset.key, each.value]));
  replace(place, round.stops.map((stop, k) => {
    const own = kept().find((each) => each.body.key === round.key && each.path === "/held" && each.body.what === stop.key);
    const done = stop.by ? `${stop.by}, ${stop.date}` : own ? (own.refused ? "not taken" : "on this phone") : "not yet";
    const note = el("input", { type: "text", id: `note-stop-${k}`, maxlength: 400, autocomplete: "off", "data-key": stop.key });
    note.value = notes[stop.key] ?? "";
    return el("details", { class: "stop", "data-key": stop.key, open: open.has(stop.key) },
      el("summary", { class: "row", "data-state": stop.by ? "read" : "not read" },
        el("span", { class: "sign", "aria-hidden": "true", text: stop.by ? "●" : own ? "◐" : "○" }),
        el("span", { class: "what" }, el("strong", { text: stop.what })), el("span", { class: "state", text: done })),
      el("div", { class: "inside" }, el("p", { text: stop.how }), stop.note ? el("p", { class: "small", text: stop.note }) : null,
        own?.refused ? list(own.refused, "asked") : null,
        el("label", { class: "field", for: note.id }, el("span", { text: "Note" }), note),
        el("button", { type: "button", class: "main", text: stop.by ? "Passed again" : "Passed", onclick: () => pass(stop, note, own) })));
  }));
}

function pass(stop, note, own) {
  const by = at("who").value.trim();
  if (!by) {
    at("who").focus();
    return tell("Write who tested it first.", "asked");
  }
  remember("who", by);
  if (own?.refused) drop(own.id);
  const body = { what: stop.key, by };
  if (note.value.trim()) body.note = note.value.trim();
  note.value = "";
  tell(`${stop.what}: kept on this phone, being sent.`, "kept");
  mine = put("/held", body, stop.what);
  update();
}

at("to-points").addEventListener("click", () => show({ name: "points" }));
at("to-stops").addEventListener("click", () => show({ name: "stops" }));
void start();
