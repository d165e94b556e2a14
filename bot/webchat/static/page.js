// What all parts of the chat page share: its words, its notices, its memory, its requests.

const own = document.getElementById("page").dataset;
const notice = document.getElementById("notice");
const announced = document.getElementById("announced");

export const words = JSON.parse(own.words);
export const locale = own.locale;
export const source = own.source;
export const textMost = Number(own.textMost);
export const photoMost = Number(own.photoMost);
export const touch = matchMedia("(pointer: coarse)");

const PAUSES_MS = [500, 1000, 2000, 4000, 8000];

export const pause = (ms) => new Promise((done) => setTimeout(done, ms));

// Longer after each failure in a row.
export const pauseAfter = (failures) =>
  pause(PAUSES_MS[Math.min(failures, PAUSES_MS.length - 1)]);

export const filled = (text, values) =>
  text.replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);

export function element(name, className, text) {
  const made = document.createElement(name);
  if (className) made.className = className;
  if (text !== undefined) made.textContent = text;
  return made;
}

// A notice stays until something else is told. The same again is not read out again.
export function tell(text) {
  if (notice.textContent !== text) notice.textContent = text;
}

export const told = () => notice.textContent;

// For those who hear the page: what changed where they are not looking.
export function announce(text) {
  announced.textContent = text;
}

// What this tab remembers over a reload. A browser may forbid it, then it is as if empty.
export function recall(name) {
  try {
    return JSON.parse(sessionStorage.getItem(name));
  } catch {
    return null;
  }
}

export function remember(name, value) {
  try {
    sessionStorage.setItem(name, JSON.stringify(value));
  } catch { /* forbidden, or full: the page itself still knows */ }
}

// The answers, also those that refuse, come in the page's language; the browser's own list names
// the region, which orders days and months.
const language = document.documentElement.lang;
const regional = navigator.languages.find((one) => one.split("-")[0] === language);
export const languages = [...new Set([regional ?? language, ...navigator.languages])].join(",");

// Null where nobody answers.
export const request = (address, options = {}) =>
  fetch(address, {
    ...options,
    headers: { ...options.headers, "Accept-Language": languages },
  }).catch(() => null);

export async function problemOf(response) {
  const problem = await response.json().catch(() => ({}));
  return problem.detail ?? words.refused;
}

// Without its cookie the page belongs to no chat any more: a fresh page gets a fresh one. Where
// even that brings none the browser keeps it back, and only a page of its own will do.
export function renew() {
  const address = new URL(location.href);
  if (address.searchParams.has("renewed")) {
    document.getElementById("blocked").hidden = false;
    document.getElementById("composer").hidden = true;
    document.getElementById("log").setAttribute("aria-busy", "false");
  } else {
    address.searchParams.set("renewed", "");
    location.replace(address);
  }
  return new Promise(() => {});
}

// Once a chat has answered, losing the cookie later is another matter.
export function settled() {
  const address = new URL(location.href);
  if (!address.searchParams.has("renewed")) return;
  address.searchParams.delete("renewed");
  history.replaceState(null, "", address);
}
