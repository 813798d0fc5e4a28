// Units moved on the plan by drag, by tap and tap, or by keys. All of it only
// fills in the form and asks the server for the answer.
import { say } from "./page.js";

const form = document.querySelector("form.places");
const answer = document.getElementById("answer");
let asking = null;
let waiting = false;
let chosen = null;

/** Asks for the answer to what stands in the form; one question at a time. */
async function ask(extra) {
  if (asking && !extra) { waiting = true; return; }
  const query = new URLSearchParams(new FormData(form));
  if (extra) query.set("move", extra);
  asking = fetch(`${form.dataset.answer}?${query}`, { headers: { accept: "text/html" } });
  try {
    const reply = await asking;
    const text = await reply.text();
    if (reply.ok) {
      const got = new DOMParser().parseFromString(text, "text/html");
      for (const id of ["answer", "answer-more"]) swap(document.getElementById(id), got.getElementById(id));
      mark();
      say(answer.querySelector(".shares")?.textContent ?? "");
    } else {
      say(new DOMParser().parseFromString(text, "text/html").querySelector("main p")?.textContent ?? "Not answered.");
    }
  } catch {
    say("The server does not answer. What stands in the fields is kept here.");
  }
  asking = null;
  if (waiting) { waiting = false; ask(); }
}

/** Puts new content in, with what was unfolded unfolded. */
function swap(old, fresh) {
  const open = [...old.querySelectorAll("details")].map((d) => d.open);
  old.replaceChildren(...fresh.childNodes);
  old.querySelectorAll("details").forEach((d, i) => { d.open = open[i] ?? d.open; });
}

const board = () => answer.querySelector(".board");
const field = (axis, tag) => form.elements[`${axis}.${tag}`];
const inFeet = /in|ft|′|″/;

/** Metres as the field writes them: in the unit that it is in now. */
function write(input, metres) {
  input.value = inFeet.test(input.value)
    ? `${(Math.round(metres / 0.0127) / 2).toFixed(1)} in`
    : `${metres.toFixed(2)} m`;
}

function read(input) {
  const number = parseFloat(input.value.replace(",", ".").replace("−", "-"));
  return inFeet.test(input.value) ? number * 0.0254 : number;
}

/** Where in the room a pointer is, in metres from its corner. */
function place(event) {
  const at = board();
  const svg = at.querySelector("svg");
  const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const { xMm, yMm, mmPerM } = at.dataset;
  return { x: (point.x - xMm) / mmPerM, y: (yMm - point.y) / mmPerM };
}

/** The unit under a pointer, or none: the drawing names its parts by tag. */
function unitAt(event) {
  const tags = board()?.dataset.tags.split("\n") ?? [];
  const parts = document.elementsFromPoint(event.clientX, event.clientY).map((e) => e.dataset?.part);
  return parts.find((part) => part && tags.includes(part)) ?? null;
}

const shape = (tag) => [...answer.querySelectorAll("[data-part]")].filter((e) => e.dataset.part === tag);

function mark() {
  for (const e of answer.querySelectorAll(".chosen")) e.classList.remove("chosen");
  if (chosen) for (const e of shape(chosen)) e.classList.add("chosen");
}

function choose(tag) {
  chosen = tag;
  mark();
  say(tag ? `${tag} is chosen. Tap where it shall be, drag it, or use the arrow keys; R turns it.` : "");
}

function put(tag, at) {
  write(field("x", tag), at.x);
  write(field("y", tag), at.y);
  ask();
}

if (form && answer) {
  let drag = null;
  answer.addEventListener("pointerdown", (event) => {
    const tag = unitAt(event);
    if (!tag || event.button) return;
    choose(tag);
    const at = place(event);
    drag = { tag, by: { x: read(field("x", tag)) - at.x, y: read(field("y", tag)) - at.y }, moved: false, from: at };
    answer.setPointerCapture(event.pointerId);
    event.preventDefault();
  });
  answer.addEventListener("pointermove", (event) => {
    if (!drag) return;
    const at = place(event);
    drag.moved ||= Math.hypot(at.x - drag.from.x, at.y - drag.from.y) > 0.05;
    if (drag.moved) put(drag.tag, { x: at.x + drag.by.x, y: at.y + drag.by.y });
  });
  const drop = (event) => {
    if (drag) { answer.releasePointerCapture?.(event.pointerId); drag.justEnded = true; }
    drag = null;
  };
  answer.addEventListener("pointerup", drop);
  answer.addEventListener("pointercancel", drop);
  answer.addEventListener("click", (event) => {
    if (!chosen || !event.target.closest(".board svg") || unitAt(event)) return;
    put(chosen, place(event));
    choose(chosen);
  });
  answer.addEventListener("keydown", (event) => {
    const ways = { ArrowLeft: "-x", ArrowRight: "+x", ArrowUp: "+y", ArrowDown: "-y", r: "turn", R: "turn" };
    const tags = board()?.dataset.tags.split("\n") ?? [];
    if (event.key === "n" || event.key === "N") {
      choose(tags[(tags.indexOf(chosen) + 1) % tags.length]);
    } else if (chosen && ways[event.key] && event.target.closest(".board")) {
      move(`${chosen} ${ways[event.key]}`);
      event.preventDefault();
    }
  });

  /** A step as a button makes it, first in the fields, then asked. */
  function move(words) {
    const cut = words.lastIndexOf(" ");
    const [tag, how] = [words.slice(0, cut), words.slice(cut + 1)];
    if (how === "turn") {
      const select = field("facing", tag);
      const round = ["+x", "+y", "-x", "-y"];
      select.value = round[(round.indexOf(select.value) + 1) % 4];
    } else {
      const input = field(how[1], tag);
      const step = inFeet.test(input.value) ? 0.1016 : 0.1;
      write(input, read(input) + (how[0] === "+" ? step : -step));
    }
    ask();
  }

  form.addEventListener("submit", (event) => {
    const by = event.submitter;
    if (by?.formMethod === "post") return;
    event.preventDefault();
    if (by?.name === "move") move(by.value);
    else ask();
  });
  form.addEventListener("change", () => ask());
}
