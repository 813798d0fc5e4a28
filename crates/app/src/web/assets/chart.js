// A part of a chart's time is asked for in place; without this the links lead to
// the page with that part. And it reads a chart: a pointer or the arrow keys move along it, and a line under it
// tells the numbers there. They are those of the table under the chart.

import { say } from "./page.js";

const drawn = "http://www.w3.org/2000/svg";

/** Reads every chart below a part of the page. */
export function readCharts(root) {
  for (const figure of root.querySelectorAll("figure.drawing:has(.behind)")) read(figure);
}

function read(figure) {
  const svg = figure.querySelector(".paper svg");
  const paper = figure.querySelector(".paper");
  const heads = [...figure.querySelectorAll(".behind thead th")].map((th) => th.textContent);
  const rows = [...figure.querySelectorAll(".behind tbody tr[data-x]")].map((tr) => ({
    x: Number(tr.dataset.x),
    y: tr.dataset.y === undefined ? null : Number(tr.dataset.y),
    cells: [...tr.cells].map((td) => td.textContent.trim()),
  }));
  if (!svg || rows.length === 0 || figure.querySelector(".reading")) return;

  const words = document.createElement("p");
  words.className = "reading";
  words.setAttribute("role", "status");
  words.textContent = "Point at the chart or tap it, or use the arrow keys on it, to read it.";
  paper.after(words);

  const mark = document.createElementNS(drawn, "path");
  mark.setAttribute("class", "pointer");
  svg.append(mark);
  let at = null;

  const show = (i) => {
    at = Math.max(0, Math.min(rows.length - 1, i));
    const { x, y } = rows[at];
    mark.setAttribute("d", y === null
      ? `M${x} ${figure.dataset.top}V${figure.dataset.bottom}`
      : `M${x - 2} ${y}a2 2 0 1 0 4 0a2 2 0 1 0 -4 0`);
    words.textContent = told(rows[at].cells);
    words.classList.add("read");
    bring_in(mark);
  };

  // What is read stays in sight in a box narrower than its chart.
  const bring_in = (mark) => {
    const [box, there] = [paper.getBoundingClientRect(), mark.getBoundingClientRect()];
    const aside = box.width / 4;
    if (there.left < box.left + 8) paper.scrollLeft -= box.left + aside - there.left;
    if (box.right - 8 < there.right) paper.scrollLeft += there.right - box.right + aside;
  };

  const told = (cells) => cells
    .map((cell, i) => {
      const cut = heads[i].lastIndexOf(", ");
      const [name, unit] = cut < 0 ? [heads[i], ""] : [heads[i].slice(0, cut), heads[i].slice(cut + 2)];
      if (cell === "") return "";
      return i === 0 && cut < 0 ? cell : `${name} ${cell}${unit && ` ${unit}`}`;
    })
    .filter((text) => text !== "")
    .join(" · ");

  const nearest = (event) => {
    const to = svg.getScreenCTM()?.inverse();
    if (!to) return;
    const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(to);
    const far = (row) => Math.hypot(row.x - p.x, row.y === null ? 0 : row.y - p.y);
    show(rows.reduce((best, row, i) => (far(row) < far(rows[best]) ? i : best), 0));
  };
  svg.addEventListener("pointerdown", nearest);
  svg.addEventListener("pointermove", nearest);
  paper.addEventListener("keydown", (event) => {
    const sign = { "+": "+", "=": "+", "-": "−", 0: "Fit" }[event.key];
    const link = sign && figure.querySelector(`a[data-zoom="${sign}"]`);
    if (link && !event.ctrlKey && !event.altKey && !event.metaKey) {
      show_part(link, true);
      event.preventDefault();
      return;
    }
    const last = rows.length - 1;
    const to = {
      ArrowRight: at === null ? 0 : at + 1, ArrowLeft: at === null ? last : at - 1, Home: 0, End: last,
    }[event.key];
    if (to === undefined || event.ctrlKey || event.altKey || event.metaKey) return;
    show(to);
    event.preventDefault();
  });
}

/** Shows the part of the time that a link leads to, in every chart that is so led. */
async function show_part(link, from_paper) {
  const [sign, id] = [link.dataset.zoom, link.closest("figure").id];
  try {
    const reply = await fetch(link.href, { headers: { accept: "text/html" } });
    const got = new DOMParser().parseFromString(await reply.text(), "text/html");
    if (!reply.ok || !got.getElementById(id)) { location.assign(link.href); return; }
    for (const figure of document.querySelectorAll("figure.drawing[id]")) {
      const fresh = got.getElementById(figure.id);
      if (!fresh) continue;
      const open = figure.querySelector(".behind")?.open;
      const now = document.importNode(fresh, true);
      figure.replaceWith(now);
      if (open) now.querySelector(".behind").open = true;
      readCharts(now.parentElement);
    }
    history.replaceState(null, "", reply.url);
    const figure = document.getElementById(id);
    const again = figure.querySelector(`a[data-zoom="${sign}"]`) ?? figure.querySelector("a[data-zoom]");
    (from_paper ? figure.querySelector(".paper") : again)?.focus({ preventScroll: true });
    say(`Shown: ${figure.querySelector(".zoom").dataset.words}.`);
  } catch {
    say("The server does not answer. The chart is as it was.");
  }
}

document.addEventListener("click", (event) => {
  const link = event.target.closest?.("a[data-zoom]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  show_part(link, false);
});

readCharts(document);
