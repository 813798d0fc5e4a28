// Watches a run; without this the page says "Look again".
import { say } from "./page.js";

const panel = document.querySelector(".run[data-open='true']");
if (panel) {
  const words = panel.querySelector(".state");
  const bar = panel.querySelector("progress");
  let told = -1;
  const look = async () => {
    try {
      const reply = await fetch(panel.dataset.progress);
      if (reply.ok) {
        const at = await reply.json();
        words.textContent = at.words;
        if (bar && at.of) { bar.max = at.of; bar.value = at.done; }
        const quarter = at.of ? Math.floor((4 * at.done) / at.of) : 0;
        if (quarter !== told) { told = quarter; say(at.words); }
        if (!at.open) { location.reload(); return; }
      }
    } catch {
      words.textContent = "The server does not answer; looking again.";
    }
    setTimeout(look, document.hidden ? 5000 : 700);
  };
  look();
}
