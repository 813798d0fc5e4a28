// What was sent and has not arrived: kept in this browser in order, sent one
// by one, again and again, until the server has taken it. The server counts
// each form once by its key, so sending twice does no harm.

import { formToken, takeFormToken } from "./page.js";

const NAME = "drywright-queue";
const WAITS = [1, 2, 4, 8, 16, 30];
const AGAIN = [408, 429, 502, 503, 504];

const opened = new Promise((resolve, reject) => {
  const ask = indexedDB.open(NAME, 1);
  ask.onupgradeneeded = () => ask.result.createObjectStore("forms", { autoIncrement: true });
  ask.onsuccess = () => resolve(ask.result);
  ask.onerror = () => reject(ask.error);
});

const done = (request) => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

const forms = async (mode) => (await opened).transaction("forms", mode).objectStore("forms");

/** Everything that waits, in order: [number, form]. */
export const waiting = async () => {
  const store = await forms("readonly");
  const [keys, rows] = await Promise.all([done(store.getAllKeys()), done(store.getAll())]);
  return keys.map((key, i) => [key, rows[i]]);
};

let told = () => {};
let busy = false;
let tries = 0;
let timer = 0;

/** Who is told: ("waiting", rows) or ("taken" | "refused", row, answer). */
export const tell = (listener) => { told = listener; };

/** Keeps a form and sends it when it can. `parts`: rows of name and text or file. */
export const keep = async (url, parts, multipart) => {
  await done((await forms("readwrite")).add({ url, parts, multipart, made_at: Date.now() }));
  told("waiting", await waiting());
  drain();
};

const body = (row) => {
  const data = row.multipart ? new FormData() : new URLSearchParams();
  for (const [name, value] of row.parts) data.append(name, value);
  return data;
};

// After this browser was let in anew its forms carry another token: that of a
// page drawn now.
const letInAnew = async () => {
  try {
    const page = await fetch(location.pathname, { credentials: "same-origin" });
    return page.ok && takeFormToken(new DOMParser().parseFromString(await page.text(), "text/html"));
  } catch {
    return false;
  }
};

/** Sends what waits, one by one. */
export const drain = async () => {
  if (busy) return;
  busy = true;
  clearTimeout(timer);
  try {
    for (;;) {
      const first = (await waiting())[0];
      if (!first) { tries = 0; break; }
      const [key, row] = first;
      let answer;
      try {
        const headers = { "x-form-token": formToken() };
        answer = await fetch(row.url, { method: "POST", headers, body: body(row), credentials: "same-origin" });
      } catch {
        answer = null;
      }
      if (!answer || AGAIN.includes(answer.status)) {
        const wait = WAITS[Math.min(tries++, WAITS.length - 1)] * (0.8 + 0.4 * Math.random());
        timer = setTimeout(drain, 1000 * wait);
        break;
      }
      if (answer.status === 403 && await letInAnew()) continue;
      // Not let in, or the disk is full: it stays until that is mended.
      if ([401, 403, 507].includes(answer.status)) {
        told("stopped", row, answer);
        timer = setTimeout(drain, 30000);
        break;
      }
      tries = 0;
      const text = await answer.text();
      await done((await forms("readwrite")).delete(key));
      told(answer.ok ? "taken" : "refused", row, { status: answer.status, text, url: answer.url });
    }
  } finally {
    busy = false;
  }
  told("waiting", await waiting());
};

addEventListener("online", drain);
document.addEventListener("visibilitychange", () => { if (!document.hidden) drain(); });
