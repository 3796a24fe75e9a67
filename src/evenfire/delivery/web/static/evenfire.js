// Nothing typed is lost: every stroke is kept in this browser at once, sent as an entry, and forgotten here only when
// the server has said that it is on the disk. Sending an entry twice is harmless: its id is made here, once.
const user = document.body.dataset.user, token = document.body.dataset.token;
const bar = document.getElementById("link-state");
const PREFIX = "evenfire kept ";
const PAUSE = 700, POLL = 5000, SLOWEST = 20000, PATIENCE = 15000;

const mine = `${PREFIX}${user} `;
const keyOf = (draft, path) => `${mine}${draft} ${path}`;
const keysKept = () => Object.keys(localStorage).filter(key => key.startsWith(mine));
// What is kept of one field: ``text`` typed and not yet made an entry, ``based_on`` under it, ``sending`` an entry that
// was made and not yet acknowledged, ``refused`` why the server took it not.
const kept = key => { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } };
function keep(key, value) {
  try { localStorage.setItem(key, JSON.stringify(value)); return true; }
  catch { say("This browser keeps nothing more: what you type now is only on this page until it says saved. Write it on paper too."); return false; }
}
function uuid() {
  const b = crypto.getRandomValues(new Uint8Array(16));
  b[6] = b[6] & 15 | 64; b[8] = b[8] & 63 | 128;
  const hex = [...b].map(x => x.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
function say(text) { if (bar && bar.textContent !== text) bar.textContent = text; }

// ---- fields -------------------------------------------------------------------------------------------------------
const controls = () => document.querySelectorAll("[data-path]");
const draftOf = control => control.closest("[data-draft]").dataset.draft;
const basesOf = control => control.dataset.bases ? control.dataset.bases.split(" ") : [];
const controlOf = (draft, path) => [...controls()].find(each => each.dataset.path === path && draftOf(each) === draft);
const partsOf = key => { const [draft, ...path] = key.slice(mine.length).split(" "); return [draft, path.join(" ")]; };
const part = (control, name) => control.closest(".field").querySelector(name);

function show(control, state) {
  const place = part(control, ".state");
  if (place.textContent !== state) { place.textContent = state; place.dataset.is = state; }
  // What is not saved is never out of sight; of flaps that shut each other none is opened.
  const flap = state && state !== "saved" && control.closest("details:not([open], [name])");
  if (flap) flap.open = true;
}
function read(control, answer) {
  const place = part(control, ".reading");
  place.textContent = answer.why_not || answer.reading || "";
  place.classList.toggle("unread", Boolean(answer.why_not));
}
function twoValues(control, heads) {
  const box = control.closest(".field");
  box.querySelector(".values")?.remove();
  if (new Set(heads.map(head => head.text.trim())).size < 2) return false;
  const values = document.createElement("div");
  values.className = "values"; values.setAttribute("role", "group"); values.setAttribute("aria-label", "Two values");
  for (const head of heads) {
    const line = document.createElement("p"), button = document.createElement("button");
    button.type = "button"; button.dataset.take = head.text; button.textContent = `Take ${head.text || "nothing"}`;
    line.append(button, ` ${head.by}, ${head.device}, ${head.at}`); values.append(line);
  }
  box.append(values);
  return true;
}
// What stands on the server, put into a field that nobody is typing into.
function stands(control, field) {
  control.dataset.bases = field.heads.map(head => head.id).join(" ");
  read(control, field);
  const two = twoValues(control, field.heads);
  show(control, two ? "two values" : field.heads.length ? "saved" : "");
  const text = field.text;
  if (text) control.closest("[data-spare]")?.removeAttribute("hidden");
  if (two || control.value === text || control === document.activeElement) return;
  write(control, text);
}
function write(control, text) {
  if (control.tagName === "SELECT" && ![...control.options].some(each => each.value === text)) control.add(new Option(text));
  control.value = text; press(control, text);
}
// Words that are buttons beside each other: the one that stands is pressed.
function press(control, text) {
  for (const button of control.closest(".field").querySelectorAll(".pick [data-take]")) button.setAttribute("aria-pressed", button.dataset.take === text);
}
// A bare number takes the unit that its box shows; whoever reads another one frees the box by its unit button.
const whole = control => control.dataset.unit && /^\s*[-+]?\d[\d.,]*\s*$/.test(control.value) ? `${control.value.trim()} ${control.dataset.unit}` : control.value;

function typed(control, text) {
  const key = keyOf(draftOf(control), control.dataset.path), now = kept(key) || {};
  now.text = text; delete now.refused;
  now.based_on ??= now.sending ? [now.sending.id] : basesOf(control);
  keep(key, now); show(control, "kept here"); press(control, text);
  clearTimeout(control.pause); control.pause = setTimeout(() => send(key), control.closest("[data-pause]")?.dataset.pause ?? PAUSE);
}

document.addEventListener("input", event => { if (event.target.dataset?.path) typed(event.target, whole(event.target)); });
document.addEventListener("change", event => {
  const control = event.target;
  if (!control.dataset?.path) return;
  if (control.value !== whole(control)) control.value = whole(control);
  alongside(control); send(keyOf(draftOf(control), control.dataset.path));
});
document.addEventListener("click", event => {
  const link = event.target.closest('a[href^="#"]'), summary = event.target.closest("summary"), button = event.target.closest("button");
  if (link) reveal(link.hash);
  if (summary?.parentNode.id) history.replaceState(null, "", `#${summary.parentNode.id}`);
  if (!button) return;
  const field = button.closest(".field"), control = field?.querySelector("[data-path]");
  if (button.dataset.take !== undefined && control) {
    const again = button.closest(".pick") && button.getAttribute("aria-pressed") === "true";
    put(control, again ? "" : button.dataset.take); button.closest(".values")?.remove();
  }
  else if (button.dataset.puts) act(button);
  else if (button.dataset.free !== undefined && control) { delete control.dataset.unit; control.inputMode = "text"; control.focus(); button.remove(); }
  else if (button.dataset.drop !== undefined && control) drop(control);
  else if (button.dataset.now !== undefined) put(at(button.dataset.now), wallClock());
  else if (button.dataset.clock !== undefined) clock(button);
});
function put(control, text) {
  write(control, text); typed(control, text); send(keyOf(draftOf(control), control.dataset.path)); alongside(control);
}
const at = path => document.getElementById(`f-${path}`);
// No text is the time on the wall; that overwrites nothing, nor does what is written along with another field.
function puts(json, gently) {
  for (const [path, text] of JSON.parse(json)) { const control = at(path); if (control && !control.disabled && control.value !== text && !(control.value && (gently || text === null))) put(control, text ?? wallClock()); }
}
function alongside(control) { if (control.dataset.puts && control.value) puts(control.dataset.puts, true); }
// A button that writes several fields (in a new row where it asks for more), and goes on to the first empty one of
// those that come then, with its stop watch running.
function act({ dataset }) {
  const { puts: json, then = "", starts = "" } = dataset, table = dataset.more;
  const row = table ? [...rows(table)].find(each => each.hidden)?.dataset.row ?? newRow(table) : "";
  puts(json.replaceAll(".+.", `.${row}.`));
  const paths = then.replaceAll(".+.", `.${row}.`).split(" "), place = paths.findIndex(path => at(path) && !at(path).value);
  if (place < 0) return;
  reveal(`#f-${paths[place]}`);
  const watch = document.querySelector(`[data-clock="${starts.split(" ")[place]}"]`);
  if (watch && !watch.began) clock(watch);
}
// A table has one empty row that is hidden; what it is made of makes the next ones, also while the link is dead.
const rows = table => document.querySelectorAll(`[data-spare="${table}"]`);
const fresh = {}, learn = place => { for (const each of place.querySelectorAll("[data-spare]")) fresh[each.dataset.spare] ??= each.outerHTML; };
learn(document);
function newRow(table) {
  const last = [...rows(table)].at(-1), first = rows(table)[0].dataset.row, next = Number(last.dataset.row) + 1;
  last.insertAdjacentHTML("afterend", fresh[table].replace(new RegExp(`(${table}[.-]|row="|Test |Change |Device )${first}\\b`, "g"), `$1${next}`));
  for (const control of controls()) tie(control);
  return next;
}
// A field's reading and state are told with it.
function tie(control) {
  const told = [".reading", ".state"].map(name => { const place = part(control, name); return place.id ||= `${name[1]}-${control.dataset.path}`; });
  control.setAttribute("aria-describedby", told.join(" "));
}
const named = hash => { try { return hash.length > 1 && document.getElementById(decodeURIComponent(hash.slice(1))); } catch { return null; } };
function reveal(hash) {
  const found = named(hash);
  if (!found) return;
  const box = found.closest(".field") ?? found;
  for (let each = box; each; each = each.parentElement) { if (each.tagName === "DETAILS") each.open = true; each.removeAttribute("hidden"); }
  box.scrollIntoView({ block: box === found ? "start" : "center" });
  (found.hidden ? box.querySelector("button") : found).focus({ preventScroll: true });
}
function wallClock() {
  const now = new Date(), two = number => String(number).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())} ${two(now.getHours())}:${two(now.getMinutes())}`;
}
// A stop watch in a button: first press starts, second writes the seconds into its field.
function clock(button) {
  if (!button.began) { button.began = performance.now(); button.label = button.textContent; button.textContent = button.dataset.stop; return; }
  const seconds = (performance.now() - button.began) / 1000;
  button.began = 0; button.textContent = button.label;
  put(at(button.dataset.clock), `${seconds.toFixed(1)} s`);
}
function drop(control) {
  localStorage.removeItem(keyOf(draftOf(control), control.dataset.path));
  part(control, ".values")?.remove(); poll();
  control.value = control.defaultValue ?? ""; show(control, basesOf(control).length ? "saved" : "");
}

// ---- sending ------------------------------------------------------------------------------------------------------
const busy = new Map();
let slow = 1000, again = 0;

// One tab of a browser sends a field at a time where the browser can arrange that; where not, the worst is the same
// entry sent twice, which changes nothing.
const alone = (key, work) => navigator.locks ? navigator.locks.request(key, work) : work();

function send(key) {
  if (!busy.has(key)) busy.set(key, alone(key, () => sendOne(key)).finally(() => busy.delete(key)).then(more => { if (more) return send(key); }));
  return busy.get(key);
}
async function sendOne(key) {
  const now = kept(key);
  if (!now || now.refused) return false;
  if (!now.sending) {
    const [draft, path] = partsOf(key);
    now.sending = { id: uuid(), draft, path, text: now.text, at: new Date().toISOString(), device: document.body.dataset.device, based_on: now.based_on };
    delete now.text; delete now.based_on;
    if (!keep(key, now)) return false;
  }
  const { id, ...entry } = now.sending;
  const answer = await fetched(`/entries/${id}`, { method: "PUT", body: JSON.stringify(entry), headers: { "Content-Type": "application/json" } });
  if (answer === null) { later(); return false; }
  const control = controlOf(entry.draft, entry.path);
  const since = kept(key) || {};
  if (answer.status === 200) {
    slow = 1000;
    if (since.text === undefined) localStorage.removeItem(key);
    else { since.based_on = [id]; delete since.sending; keep(key, since); }
    if (control) {
      if (since.text === undefined) stands(control, answer.body);
      else { control.dataset.bases = answer.body.heads.map(head => head.id).join(" "); show(control, "kept here"); }
    }
    refresh(); state();
    return since.text !== undefined;
  }
  if (answer.status === 401) { state("login"); return false; }
  if (answer.status >= 500 || answer.status === 429) { later(); return false; }
  since.refused = answer.body?.why || `The server does not take it (${answer.status}).`;
  keep(key, since); state();
  if (control) refused(control, since.refused);
  return false;
}
function refused(control, why) {
  show(control, "not taken"); read(control, { why_not: why });
  const box = control.closest(".field");
  if (box.querySelector("[data-drop]")) return;
  const values = document.createElement("div"), button = document.createElement("button");
  values.className = "values"; button.type = "button"; button.dataset.drop = ""; button.textContent = "Let go of what I typed";
  values.append(button); box.append(values);
}
async function fetched(place, options = {}) {
  const giveUp = new AbortController(), timer = setTimeout(() => giveUp.abort(), PATIENCE);
  try {
    const answer = await fetch(place, { ...options, signal: giveUp.signal, redirect: "error", headers: { Accept: "application/json", "X-Evenfire-Token": token, ...options.headers } });
    const text = await answer.text();
    let body = null;
    try { body = JSON.parse(text); } catch { body = text; }
    return { status: answer.status, body };
  } catch { return null; } finally { clearTimeout(timer); }
}
function later() { state("cut"); clearTimeout(again); again = setTimeout(sendAll, slow); slow = Math.min(2 * slow, SLOWEST); }
async function sendAll() { for (const key of keysKept()) await send(key); state(); }
function state(what) {
  const waiting = keysKept().length, many = `${waiting} ${waiting === 1 ? "field is" : "fields are"} kept here`;
  if (!waiting) say("");
  else if (what === "login") say(`You are not logged in any more. ${many}, in this browser. Log in as the same person on this device: they are sent then.`);
  else if (what === "cut") say(`No answer from the server. ${many}, in this browser, and sent as soon as it answers.`);
  else if (keysKept().some(key => kept(key)?.refused)) letGo(many);
}
// What was not taken and has no field on this page: here is where it is read once more, and let go.
function letGo(many) {
  const lost = keysKept().filter(key => kept(key)?.refused && !controlOf(...partsOf(key)));
  if (!lost.length) { say(`${many}, and not all was taken: see the red ones.`); return; }
  if (bar.lost === lost.join()) return;
  say(lost.map(key => `Not taken: "${kept(key).sending.text}". ${kept(key).refused}`).join(" "));
  const button = document.createElement("button");
  button.textContent = "I have read it: let go of it"; bar.append(" ", button); bar.lost = lost.join();
  button.onclick = () => { for (const key of lost) localStorage.removeItem(key); bar.lost = ""; bar.textContent = ""; state(); };
}
for (const name of ["online", "pageshow", "focus"]) addEventListener(name, () => { slow = 1000; sendAll(); });
document.addEventListener("visibilitychange", () => { slow = 1000; sendAll(); });
// Another tab of this browser typed, or had something acknowledged.
addEventListener("storage", event => {
  if (!event.key?.startsWith(mine)) return;
  const control = controlOf(...partsOf(event.key));
  if (!control) return;
  if (event.newValue) restore(control); else poll();
});

// ---- what others typed --------------------------------------------------------------------------------------------
function restore(control) {
  const now = kept(keyOf(draftOf(control), control.dataset.path));
  if (!now) return;
  const text = now.text ?? now.sending?.text ?? "";
  if (text) control.closest("[data-spare]")?.removeAttribute("hidden");
  if (control.value !== text && control !== document.activeElement) write(control, text);
  if (now.refused) refused(control, now.refused); else show(control, "kept here");
}
let counter = "";
async function poll() {
  const region = document.querySelector("[data-draft]");
  if (!region || document.hidden) return;
  const answer = await fetched(`/drafts/${region.dataset.draft}/fields?since=${encodeURIComponent(counter)}`);
  if (answer?.status !== 200) return;
  if (counter && counter !== answer.body.counter) refresh();
  counter = answer.body.counter;
  for (const field of answer.body.fields) {
    const [table, row] = field.path.split(".");
    for (let last = fresh[table] && field.text ? [...rows(table)].at(-1).dataset.row : row; Number(last) < row;) last = newRow(table);
    const control = controlOf(region.dataset.draft, field.path);
    if (control && !kept(keyOf(region.dataset.draft, field.path))) stands(control, field);
  }
}

// ---- parts of a page that follow what was saved ---------------------------------------------------------------------
let soon = 0;
function refresh() { clearTimeout(soon); soon = setTimeout(refreshNow, 300); }
async function refreshNow() {
  const answers = new Map();
  for (const place of document.querySelectorAll("[data-follows]")) {
    if (place.contains(document.activeElement) && document.activeElement.matches("input, select, textarea")) continue;
    const from = place.dataset.follows;
    if (!answers.has(from)) {
      const answer = await fetched(from, { headers: { Accept: "text/html" } }), parsed = document.createElement("template");
      parsed.innerHTML = answer?.status === 200 && typeof answer.body === "string" ? answer.body : "";
      answers.set(from, parsed);
    }
    // Several places may follow one answer, each its own part of it.
    const { content, innerHTML } = answers.get(from), { part } = place.dataset;
    const html = part ? content.querySelector(`[data-part="${part}"]`)?.innerHTML : innerHTML || undefined;
    if (html !== undefined && place.innerHTML !== html) place.innerHTML = html;
  }
  for (const image of document.querySelectorAll("img[data-follows-src]")) image.src = `${image.dataset.followsSrc}${image.dataset.followsSrc.includes("?") ? "&" : "?"}now=${Date.now()}`;
}

// ---- long work ------------------------------------------------------------------------------------------------------
async function watch(place) {
  const answer = await fetched(`/progress/${place.dataset.work}`);
  if (answer?.status === 404 || answer?.body?.ended) { if (!keysKept().length) location.reload(); else { await sendAll(); location.reload(); } return; }
  if (answer?.status === 200) {
    const { done, total, what } = answer.body, meter = place.querySelector("progress");
    if (total) { meter.max = total; meter.value = done; } else meter.removeAttribute("value");
    place.querySelector(".what").textContent = what;
  }
  setTimeout(() => watch(place), 600);
}

// ---- forms that want everything saved first -----------------------------------------------------------------------
document.addEventListener("submit", async event => {
  const form = event.target, wanted = form.dataset.wantsAllSaved;
  const waiting = () => keysKept().some(key => key.startsWith(`${mine}${wanted} `));
  if (wanted === undefined || !waiting()) return;
  event.preventDefault();
  await sendAll();
  // What was typed a moment ago is judged by now, and nobody has seen that.
  if (!waiting() && form.elements.seen) { await refreshNow(); say("Not sent: what you typed last is saved now. Look at what is said of it, then do it again."); }
  else if (!waiting()) form.submit();
  else say("Not sent: fields of this page are kept here and not saved yet. Wait until every one says saved, then do it again.");
});

// ---- leaving --------------------------------------------------------------------------------------------------------
document.getElementById("leave")?.addEventListener("submit", event => {
  const waiting = keysKept();
  if (!waiting.length) return;
  event.preventDefault();
  const ask = document.createElement("dialog");
  ask.innerHTML = "<p></p><div class=acts><button class=first value=stay>Stay and send them</button><button value=leave>Log out and keep them here</button><button value=wipe>Log out and let go of them</button></div>";
  ask.querySelector("p").textContent = `${waiting.length} ${waiting.length === 1 ? "field" : "fields"} that you typed did not reach the server. Kept here, anybody with this device could read them; they are sent when you log in here again.`;
  ask.addEventListener("click", click => {
    const chosen = click.target.value;
    if (!chosen) return;
    ask.close(); ask.remove();
    if (chosen === "stay") { sendAll(); return; }
    if (chosen === "wipe") waiting.forEach(key => localStorage.removeItem(key));
    event.target.submit();
  });
  document.body.append(ask); ask.showModal();
});

// ---- parts of a page that are not needed at once ----------------------------------------------------------------------
// They come right after it, all of them in one answer, and stay: should the link drop, they are there.
async function fill() {
  const places = [...document.querySelectorAll("[data-fill]")];
  if (!places.length) return;
  const answer = await fetched(places[0].dataset.fill, { headers: { Accept: "text/html" } }), parsed = document.createElement("template");
  if (answer?.status !== 200) { setTimeout(fill, 2000); return; }
  parsed.innerHTML = answer.body;
  const waits = location.hash.length > 1 && !named(location.hash);
  for (const place of places) {
    place.innerHTML = parsed.content.querySelector(`[data-part="${place.dataset.part}"]`)?.innerHTML ?? "";
    delete place.dataset.fill; learn(place);
    for (const control of place.querySelectorAll("[data-path]")) { tie(control); restore(control); }
  }
  if (waits) reveal(location.hash);
  // Something may have been saved between the answer and now.
  counter = ""; poll();
}

if (user) {
  for (const control of controls()) { tie(control); restore(control); }
  reveal(location.hash); fill();
  sendAll();
  poll(); setInterval(poll, POLL);
  for (const place of document.querySelectorAll("[data-work]")) watch(place);
}
