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

/** Says something to everyone, also to those who listen to the page. */
export function say(words) {
  const status = document.getElementById("status");
  if (status) status.textContent = words;
}
