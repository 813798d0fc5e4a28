// Shows at once when a phone asks to be let in; without this the page asks for
// itself anew. The life of the code runs down in between.
import { say } from "./page.js";

const panel = document.querySelector("[data-sharing]");
const life = document.querySelector("[data-left-s]");
const since = performance.now();
// A form that is under way brings a new page by itself.
let sent = false;
addEventListener("submit", () => { sent = true; });

const look = async () => {
  if (life) {
    const left = Number(life.dataset.leftS) - (performance.now() - since) / 1000;
    life.textContent = Math.max(1, Math.ceil(left / 60));
  }
  try {
    const reply = await fetch("/share/state");
    const same = reply.ok && (await reply.json()).state === panel.dataset.sharing;
    if (sent) return;
    if (!same) { location.reload(); return; }
    say("");
  } catch {
    say("The server does not answer; looking again.");
  }
  setTimeout(look, document.hidden ? 10000 : 2000);
};
look();
