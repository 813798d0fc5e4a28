// Waits for the laptop's yes; without this the page asks for itself anew.
import { say } from "./page.js";

const look = async () => {
  try {
    const reply = await fetch("/pair/state");
    if (!reply.ok || !(await reply.json()).waits) { location.replace("/pair/wait"); return; }
    say("");
  } catch {
    say("The laptop does not answer; looking again. Stay on its Wi-Fi.");
  }
  setTimeout(look, 1500);
};
look();
