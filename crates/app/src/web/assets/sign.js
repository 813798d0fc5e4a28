// Signatures drawn with a finger. Without this a line is left on paper.
import { local } from "./page.js";

local(document);
for (const form of document.querySelectorAll("form[data-sign]")) {
  const pad = form.querySelector(".pad");
  const canvas = pad.querySelector("canvas");
  const pen = canvas.getContext("2d");
  const field = form.querySelector("[name=strokes]");
  let strokes = [];
  let stroke = null;
  pad.hidden = false;
  pen.lineWidth = 6;
  pen.lineCap = pen.lineJoin = "round";
  pen.strokeStyle = getComputedStyle(canvas).color;

  // Thousandths of the field's width, x to the right, y down.
  const at = (event) => {
    const box = canvas.getBoundingClientRect();
    const to = (px) => Math.round((1000 * px) / box.width);
    return [to(event.clientX - box.left), to(event.clientY - box.top)];
  };
  const line = (from, to) => {
    pen.beginPath();
    pen.moveTo(...from);
    pen.lineTo(...to);
    pen.stroke();
  };
  const put = () => { field.value = strokes.length ? JSON.stringify(strokes) : ""; };
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    stroke = [at(event)];
    strokes.push(stroke);
    line(stroke[0], stroke[0]);
    event.preventDefault();
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!stroke) return;
    const to = at(event);
    const last = stroke[stroke.length - 1];
    if (Math.hypot(to[0] - last[0], to[1] - last[1]) < 3) return;
    line(last, to);
    stroke.push(to);
  });
  const end = () => { stroke = null; put(); };
  canvas.addEventListener("pointerup", end);
  canvas.addEventListener("pointercancel", end);
  form.querySelector("[data-clear]").addEventListener("click", () => {
    strokes = [];
    pen.clearRect(0, 0, canvas.width, canvas.height);
    put();
  });
}
