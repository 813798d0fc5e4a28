// A change is tried in place: the same page is asked for, and its answer put
// where the old one stands. Without this the form loads the page anew.
import { say } from "./page.js";
import { readCharts } from "./chart.js";

const form = document.querySelector("form[data-try]");
const answer = document.getElementById("answer");
let latest = 0;

/** Asks for the page that the form leads to, and shows its answer. */
async function ask(url) {
  const mine = ++latest;
  answer.setAttribute("aria-busy", "true");
  try {
    const reply = await fetch(url, { headers: { accept: "text/html" } });
    const got = new DOMParser().parseFromString(await reply.text(), "text/html");
    if (mine !== latest) return;
    const fresh = got.getElementById("answer");
    if (!fresh) {
      say(got.querySelector("main p")?.textContent ?? "Not answered.");
      return;
    }
    const open = new Set([...answer.querySelectorAll("details[open]")].map((d) => d.id || d.className));
    answer.replaceChildren(...fresh.childNodes);
    for (const d of answer.querySelectorAll("details")) if (open.has(d.id || d.className)) d.open = true;
    readCharts(answer);
    // What is tried has another design number.
    const foot = [document.querySelector(".title-block"), got.querySelector(".title-block")];
    if (foot[0] && foot[1]) foot[0].replaceWith(foot[1]);
    tell(got);
    history.replaceState(null, "", reply.url);
    const tried = answer.querySelector(".trial");
    const wrong = got.querySelector("#problems");
    say(wrong ? "What is tried cannot be read; see beside the fields." : tried ? "The answer to what is tried is below." : "Nothing is tried; what is saved is shown.");
  } catch {
    say("The server does not answer. What stands in the fields is kept here.");
  } finally {
    if (mine === latest) answer.removeAttribute("aria-busy");
  }
}

/** Puts what is wrong beside the fields, as the answered page has it. */
function tell(got) {
  for (const input of form.elements) {
    if (!input.name) continue;
    const fresh = got.getElementById(input.id);
    const field = input.closest(".field");
    field?.querySelector(".error")?.remove();
    const words = got.getElementById(`${input.id}-error`);
    for (const name of ["aria-invalid", "aria-describedby"]) {
      const value = fresh?.getAttribute(name);
      if (value) input.setAttribute(name, value);
      else input.removeAttribute(name);
    }
    if (words) input.before(words);
  }
}

if (form && answer) {
  const address = () => `${form.getAttribute("action")}?${new URLSearchParams(new FormData(form))}`;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    ask(address());
  });
  form.addEventListener("change", () => ask(address()));
}
