// Forms that lose nothing: what is typed is kept in this browser until it is
// saved, and offered back, never put back unasked. In the editor, a problem
// leads to its line.
import { say } from "./page.js";

const problems = document.getElementById("problems");
if (problems) problems.focus();

const form = document.querySelector("form[data-draft]");
const key = `draft ${location.pathname}`;
const read = () => {
  const texts = {};
  for (const e of form.elements) if (e.name && !["hidden", "submit"].includes(e.type)) texts[e.name] = e.value;
  return texts;
};
const store = {
  get: () => { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } },
  set: (v) => { try { localStorage.setItem(key, JSON.stringify(v)); } catch { /* full or refused: the page still holds it */ } },
  drop: () => { try { localStorage.removeItem(key); } catch { /* nothing to drop */ } },
};

if (form) {
  const drawn = read();
  if (document.querySelector("[data-saved]")) store.drop();
  const draft = store.get();
  const differs = draft && Object.entries(draft).some(([name, text]) => name in drawn && drawn[name] !== text);
  if (differs && !form.hasAttribute("data-typed")) {
    const bar = document.createElement("div");
    bar.className = "draft";
    const words = document.createElement("p");
    words.textContent = "Something typed here earlier was not saved.";
    const back = document.createElement("button");
    back.type = "button";
    back.textContent = "Put it back";
    const drop = document.createElement("button");
    drop.type = "button";
    drop.textContent = "Drop it";
    back.onclick = () => {
      for (const [name, text] of Object.entries(draft)) if (form.elements[name]) form.elements[name].value = text;
      bar.remove();
      say("What was typed is back in the fields. It is not saved yet.");
    };
    drop.onclick = () => { store.drop(); bar.remove(); };
    bar.append(words, back, drop);
    form.before(bar);
  }
  let wait = 0;
  const keep = () => store.set(read());
  form.addEventListener("input", () => { clearTimeout(wait); wait = setTimeout(keep, 500); });
  document.addEventListener("visibilitychange", () => { if (document.hidden && wait) keep(); });
}

const text = document.getElementById("text");
if (text) {
  const at = (line, column) => {
    const lines = text.value.split("\n");
    return lines.slice(0, line - 1).reduce((n, l) => n + l.length + 1, 0) + column - 1;
  };
  for (const link of document.querySelectorAll("a[data-line]")) {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      const line = Number(link.dataset.line);
      const from = at(line, Number(link.dataset.column));
      text.focus();
      text.setSelectionRange(from, at(line + 1, 1) - 1);
      text.scrollTop = (line - 4) * (text.scrollHeight / text.value.split("\n").length);
    });
  }
  const caret = document.getElementById("caret");
  const tell = () => {
    const before = text.value.slice(0, text.selectionStart).split("\n");
    caret.textContent = `line ${before.length}, column ${before[before.length - 1].length + 1}`;
  };
  for (const name of ["keyup", "click", "focus"]) text.addEventListener(name, tell);
}
