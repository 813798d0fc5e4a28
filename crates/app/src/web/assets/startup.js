// The start-up in the hand: forms that wait for the network, timers, photos.
// Without this every form is sent by itself and the page is drawn anew.
import { clock, local, named, say } from "./page.js";
import { drain, keep, tell, waiting } from "./queue.js";

const field = document.querySelector(".field-page");
const panel = document.querySelector(".queue");

// Timers: what the server said was left, less what has passed since by a clock
// that nobody can set, and by the time of day after a sleep.
let drawn = { ticks: performance.now(), day: Date.now() };
const passed = () => Math.max(performance.now() - drawn.ticks, Date.now() - drawn.day, 0);
const server = () => Number(field?.dataset.serverMs ?? Date.now());
const minutes = (ms) => {
  const s = Math.max(0, Math.ceil(ms / 1000));
  return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`;
};
let over = false;
const tick = () => {
  const since = passed();
  for (const left of document.querySelectorAll("[data-left-ms]")) {
    const ms = Number(left.dataset.leftMs) - since;
    left.textContent = 0 < ms ? `${minutes(ms)} left` : "the time is over";
    if (ms <= 0 && !left.dataset.over) {
      left.dataset.over = "1";
      over = true;
      say("A waiting time is over.");
      navigator.vibrate?.([300, 100, 300]);
    }
  }
  for (const span of document.querySelectorAll("[data-since-ms]")) {
    span.textContent = minutes(server() + since - Number(span.dataset.sinceMs));
  }
  if (over) { over = false; renew(); }
};

// Draws the page anew from what the server says, but for what is being typed.
const dirty = new Set();
const put = (text) => {
  const fresh = new DOMParser().parseFromString(text, "text/html");
  const new_field = fresh.querySelector(".field-page");
  if (!field || !new_field) return;
  drawn = { ticks: performance.now(), day: Date.now() };
  field.dataset.serverMs = new_field.dataset.serverMs;
  document.title = fresh.title;
  const heading = [field.querySelector("h1"), new_field.querySelector("h1")];
  if (heading[0] && heading[1]) heading[0].textContent = heading[1].textContent;
  for (const old of field.querySelectorAll("section.step")) {
    const now = new_field.querySelector(`#${CSS.escape(old.id)}`);
    if (!now || dirty.has(old.id)) continue;
    // What somebody unfolded stays so, as long as it stands as it did.
    const fold = [old, now].map((s) => s.querySelector(":scope > details"));
    if (fold[0]?.open && fold[1] && old.dataset.standing === now.dataset.standing) fold[1].open = true;
    old.replaceWith(document.importNode(now, true));
  }
  for (const old of field.querySelectorAll("[data-renew]")) {
    const now = new_field.querySelector(`[data-renew="${old.dataset.renew}"]`);
    if (now) old.replaceWith(document.importNode(now, true));
  }
  const foot = [document.querySelector(".title-block"), fresh.querySelector(".title-block")];
  if (foot[0] && foot[1]) foot[0].replaceWith(document.importNode(foot[1], true));
  dress(field);
  filter();
  tick();
  watch_next();
};

// What the server drew, as this script wants it.
const dress = (root) => {
  local(root);
  for (const form of root.querySelectorAll("form[data-photo]")) form.classList.add("by-itself");
};

// What came of a step that was sent: its heading and verdict in sight. A step
// that is folded away as done leaves its words in the status line.
const show_verdict = (id) => {
  const step = id && document.getElementById(id);
  const verdict = step?.querySelector(".standing b")?.textContent ?? "saved";
  const title = step?.querySelector("h2")?.textContent.trim() ?? "";
  say(`${title} – ${verdict}, ${clock.format(new Date())}.`);
  const target = step?.hidden
    ? [...document.querySelectorAll("section.step[data-standing=open]")].find((s) => !s.hidden)
    : step;
  target?.scrollIntoView({ block: "start" });
};
const renew = async () => {
  try {
    const answer = await fetch(location.pathname, { credentials: "same-origin" });
    if (answer.ok) put(await answer.text());
  } catch { /* Out of reach: what stands here stays. */ }
};

const step_of = (parts) => (parts.find(([name]) => name === "step") ?? [])[1];
const mark = (rows) => {
  for (const old of document.querySelectorAll(".waits")) old.remove();
  for (const [, row] of rows) {
    const at = document.getElementById(step_of(row.parts) ?? "");
    if (!at || at.querySelector(":scope > .waits")) continue;
    const words = document.createElement("p");
    words.className = "waits";
    words.textContent = "◷ waiting to send";
    at.querySelector("h2").after(words);
  }
  if (!panel) return;
  const old = rows.some(([, row]) => 3600000 < Date.now() - row.made_at);
  panel.hidden = rows.length === 0;
  panel.textContent = rows.length
    ? `${rows.length} waiting to send; do not close this page.${old ? " Something waits for more than an hour: come within reach of the laptop." : ""}`
    : "";
};

tell((what, row, answer) => {
  if (what === "waiting") { mark(row); return; }
  if (what === "stopped") {
    say(answer.status === 507 ? "The laptop cannot save: its disk is full or read-only. Nothing is lost here." : "This phone is not let in any more; pair it again. Nothing is lost here.");
    return;
  }
  const id = step_of(row.parts);
  if (what === "taken") {
    dirty.delete(id);
    forget(id);
    document.querySelector(".problem")?.remove();
    if (new URL(answer.url).pathname === location.pathname) {
      put(answer.text);
      if (!row.multipart) show_verdict(id);
    } else {
      renew();
      say(`Saved ${clock.format(new Date())}.`);
    }
    return;
  }
  // Refused: the form comes back with what is wrong beside what was typed.
  const fresh = new DOMParser().parseFromString(answer.text, "text/html");
  const now = id && fresh.querySelector(`#${CSS.escape(id)}`);
  const old = id && document.getElementById(id);
  const why = fresh.querySelector(".problem") ?? fresh.querySelector("main");
  if (row.multipart) {
    // The picture that was shown while it was sent was not taken.
    old?.querySelector(".just-taken")?.remove();
    const chosen = old?.querySelector("[data-photo] input[type=file]");
    if (chosen) chosen.value = "";
  }
  if (now && old) old.replaceWith(document.importNode(now, true));
  document.querySelector(".problem")?.remove();
  const problem = document.createElement("div");
  problem.className = "problem";
  problem.tabIndex = -1;
  problem.append(...document.importNode(why, true).childNodes);
  field?.prepend(problem);
  problem.focus();
  say("Not saved; what is wrong stands at the top.");
  dress(document);
});

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("form[data-queue]") || !form.reportValidity()) return;
  event.preventDefault();
  const data = new FormData(form, event.submitter ?? undefined);
  const multipart = form.enctype === "multipart/form-data";
  // Sent later, perhaps after this phone was paired anew: by then another one is carried.
  data.delete("form-token");
  const parts = [...data.entries()];
  if (multipart) {
    const at = parts.findIndex(([name]) => name === "photo");
    if (at < 0 || parts[at][1].size === 0) { say("Choose a photo first."); return; }
    parts[at] = ["photo", await small(parts[at][1])];
  }
  // The next time this form is sent is another time.
  const key = form.querySelector("[name=key]");
  if (key) key.value = Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
  dirty.delete(step_of(parts));
  await keep(form.action, parts, multipart);
  if (!multipart) say("Kept; being sent.");
});

// A photo is shown at once, made smaller, and sent without another tap.
const LONGEST = 2560;
const small = async (file) => {
  try {
    const picture = await createImageBitmap(file);
    const scale = LONGEST / Math.max(picture.width, picture.height);
    // What is small enough is sent as it is, with what the camera wrote into it.
    if (1 <= scale || document.querySelector("[name=position]:checked")) return file;
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * scale);
    canvas.height = Math.round(picture.height * scale);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    return await new Promise((resolve) => canvas.toBlob((blob) => resolve(blob ?? file), "image/jpeg", 0.9));
  } catch {
    // Not a picture that this browser knows: the server says what is wrong.
    return file;
  }
};
document.addEventListener("change", (event) => {
  const input = event.target;
  if (input.matches("[data-open-only]")) {
    try { localStorage.setItem(ONLY, input.checked ? "1" : ""); } catch { /* Not remembered. */ }
    filter();
    return;
  }
  if (!input.matches("[data-photo] input[type=file]") || !input.files.length) return;
  const form = input.form;
  const shown = document.createElement("img");
  shown.src = URL.createObjectURL(input.files[0]);
  shown.alt = "Photo, being sent";
  shown.className = "just-taken";
  form.before(shown);
  form.requestSubmit();
});
// What is typed and not sent is kept in this browser, and put back when the
// page comes again: phones drop a page while their camera is open.
const DRAFT = "drywright-typed:";
const typed = "input[type=text], textarea, select, input[type=radio]";
const draft_of = (id) => `${DRAFT}${location.pathname}#${id}`;
const forget = (id) => { try { localStorage.removeItem(draft_of(id)); } catch { /* None was kept. */ } };
const keep_draft = (step) => {
  const rows = [...step.querySelectorAll(typed)]
    .filter((i) => i.name && (i.type === "radio" ? i.checked : i.value))
    .map((i) => [i.form?.className ?? "", i.name, i.value]);
  try { localStorage.setItem(draft_of(step.id), JSON.stringify(rows)); } catch { /* No room: it stays on the page. */ }
};
const put_back = (step) => {
  let rows = [];
  try { rows = JSON.parse(localStorage.getItem(draft_of(step.id)) ?? "[]"); } catch { return; }
  for (const [form, name, value] of rows) {
    for (const input of step.querySelectorAll(typed)) {
      if (input.name !== name || (input.form?.className ?? "") !== form) continue;
      if (input.type === "radio") input.checked = input.value === value;
      else if (!input.value) input.value = value;
      dirty.add(step.id);
    }
  }
};
document.addEventListener("input", (event) => {
  const step = event.target.closest?.("section.step");
  if (!step || !event.target.matches(typed)) return;
  dirty.add(step.id);
  keep_draft(step);
});

// The step that an address names is unfolded; while the one that comes next is
// in sight, the line that leads to it is out of the way.
const unfold = () => {
  const id = named(location.hash);
  const fold = id && document.getElementById(id)?.querySelector(":scope > details");
  if (fold) fold.open = true;
};
const seen = new IntersectionObserver((entries) => {
  const next = document.querySelector(".at-hand");
  for (const { target, isIntersecting } of entries) {
    const to = named(next?.querySelector("a")?.hash ?? "");
    if (to && to === target.id) next.classList.toggle("seen", isIntersecting);
  }
}, { rootMargin: "-30% 0px -30% 0px" });
const watch_next = () => {
  seen.disconnect();
  const next = document.querySelector(".at-hand a");
  const step = next && document.getElementById(named(next.hash));
  if (step) seen.observe(step);
};
addEventListener("hashchange", unfold);

// Only what is open; remembered, for it is the view to work by.
const ONLY = "drywright-open-only";
const filter = () => {
  const only = document.querySelector("[data-open-only]")?.checked;
  for (const step of document.querySelectorAll("section.step[data-standing]")) {
    step.hidden = Boolean(only) && ["done", "left-out", "closed"].includes(step.dataset.standing);
  }
};

const only = document.querySelector("[data-open-only]");
try { if (only) only.checked = Boolean(localStorage.getItem(ONLY)); } catch { /* As it was drawn. */ }
dress(document);
// A page that came back with what is wrong holds what was typed already.
if (!document.querySelector(".problem")) for (const step of document.querySelectorAll("section.step")) put_back(step);
filter();
unfold();
watch_next();
tick();
setInterval(tick, 1000);
addEventListener("pageshow", tick);
document.addEventListener("visibilitychange", () => { if (!document.hidden) { tick(); renew(); } });
document.getElementById("problems")?.focus();
mark(await waiting());
drain();
