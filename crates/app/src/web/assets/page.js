// What every page has. Pages work without it; this only adds comfort.

// Forms that come back to where they were sent from.
for (const input of document.querySelectorAll("input[data-here]")) {
  input.value = location.pathname + location.search;
}

// A wide page shows the register of sheets unfolded.
const wide = matchMedia("(min-width: 64rem)");
const unfold = () => {
  for (const details of document.querySelectorAll(".register details")) details.open = wide.matches;
};
unfold();
wide.addEventListener("change", unfold);

// A working that is linked to is opened.
const open = () => {
  const target = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  for (let at = target; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true;
};
addEventListener("hashchange", open);
open();

/** Times of day as this place has them. */
export const clock = new Intl.DateTimeFormat([], { hour: "2-digit", minute: "2-digit" });
const dated = new Intl.DateTimeFormat([], { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });
export const local = (root) => {
  for (const time of root.querySelectorAll("time[data-utc-ms]")) {
    const at = new Date(Number(time.dataset.utcMs));
    const today = at.toDateString() === new Date().toDateString();
    time.textContent = (today ? clock : dated).format(at);
    time.dateTime = at.toISOString();
  }
};

/** What every form of this visitor carries; without it nothing is taken. */
export const formToken = () => document.querySelector("meta[name=form-token]")?.content ?? "";

/** Takes it over from a page that was drawn later; whether it is another one. */
export function takeFormToken(drawn) {
  const meta = document.querySelector("meta[name=form-token]");
  const fresh = drawn.querySelector("meta[name=form-token]")?.content;
  if (!meta || !fresh || fresh === meta.content) return false;
  meta.content = fresh;
  for (const input of document.querySelectorAll("input[name=form-token]")) input.value = fresh;
  return true;
}

/** Says something to everyone, also to those who listen to the page. */
export function say(words) {
  const status = document.getElementById("status");
  if (status) status.textContent = words;
}
