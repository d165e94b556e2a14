// The conversation as the page shows it. What it says is only ever set as text, never as markup.

import { choicesOf, focusPlace, placeIn, swatchesOf, tellings } from "./choices.js";
import { FIRST_VISIT } from "./outbox.js";
import { announce, element, locale, words } from "./page.js";
import { isAtEnd, reveal, toEnd } from "./scrolling.js";

const log = document.getElementById("log");
const items = document.getElementById("items");
const writing = document.getElementById("writing");

const WRITING_LASTS_MS = 30000;
const BUSY_LASTS_MS = 8000;
const TWICE_MS = 400;
const SAME_SPOT_PX = 24;
const GARLAND_PX = { width: 1200, height: 900 };
const clock = new Intl.DateTimeFormat(locale, { hour: "numeric", minute: "2-digit" });
const clockAndDay = new Intl.DateTimeFormat(locale, {
  month: "short", day: "numeric", hour: "numeric", minute: "2-digit",
});

// Message → the item that shows it; one that took another's place shares its item.
const itemOf = new Map();
// Presses that only turn a page: they are not something that the client said.
const quiet = new Set();
let last = 0;
let writingTimer;
let lastClick = null;
let press = () => {};

export const isEmpty = () => items.childElementCount === 0;
export const lastSeq = () => last;
export const knownUpdates = new Set();

// `pressed(button, message)` is called for each button that is pressed.
export function onPress(pressed) {
  press = pressed;
}

export function show(message) {
  if (itemOf.has(message.seq)) return;
  last = Math.max(last, message.seq);
  const edited = message.edits === null ? null : itemOf.get(Number(message.edits));
  if (message.direction === "in") showOwn(message);
  else if (edited) replace(edited, message);
  else showNew(message);
}

function showOwn(message) {
  if (message.update_id) knownUpdates.add(message.update_id);
  // What a start carries, such as a campaign, is nothing that the client said either.
  const silent = quiet.has(message.update_id) || message.update_id === FIRST_VISIT;
  if (silent || !(message.text.trim() || message.photo)) {
    itemOf.set(message.seq, null);
    return;
  }
  settleAnswers();
  // A message of the client's own is on the page before it is stored: the stored one takes its
  // place, so that nothing is read out twice.
  put(message, pendingItem(message.update_id) ?? newItem(message));
}

function showNew(message) {
  expectAnswer(message.kind === "working");
  put(message, newItem(message));
}

function put(message, item) {
  const stay = isAtEnd();
  itemOf.set(message.seq, item);
  item.dataset.seq = message.seq;
  item.classList.remove("pending");
  item.querySelector(".meta").replaceChildren(timeOf(message.at));
  place(item, message.seq);
  if (stay) reveal(item);
}

const pendingItem = (updateId) =>
  updateId ? items.querySelector(`[data-update="${CSS.escape(updateId)}"]`) : null;

function newItem(message) {
  const item = element("li", `${message.direction} ${message.kind}`);
  item.labels = new Set();
  fill(item, message);
  return item;
}

function fill(item, message) {
  for (const button of message.buttons) item.labels.add(button.label);
  item.message = message;
  const parts = [element("span", "unseen", message.direction === "in" ? words.you : words.shop)];
  if (message.photo) parts.push(photoOf(message));
  if (message.picture) parts.push(garlandOf(message.picture));
  if (message.text.trim()) parts.push(element("div", "tag", message.text));
  if (message.swatches.length) parts.push(swatchesOf(message.swatches));
  parts.push(...choicesOf(message.buttons, (button, click) => pressed(button, item, click)));
  item.replaceChildren(...parts, element("p", "meta"));
}

function photoOf(message) {
  const photo = element("img", "photo");
  photo.alt = words["photo.yours"];
  photo.src = `/chat/photos/${message.photo}`;
  photo.addEventListener("error", () => {
    photo.replaceWith(element("p", "tag", words["photo.lost"]));
  });
  return photo;
}

// The client's own garland, drawn. Its room is kept from the start, so that nothing jumps.
function garlandOf({ url, alt }) {
  const figure = element("figure", "impression");
  const whole = element("a", "");
  whole.href = url;
  whole.target = "_blank";
  whole.rel = "noopener";
  const picture = element("img", "");
  picture.loading = "lazy";
  picture.width = GARLAND_PX.width;
  picture.height = GARLAND_PX.height;
  picture.alt = alt;
  picture.src = url;
  // Links to a price run out, and then the text stands alone.
  picture.addEventListener("error", () => figure.remove());
  whole.append(picture, element("span", "unseen", ` (${words.opens})`));
  figure.append(whole, element("figcaption", "", words["picture.impression"]));
  return figure;
}

function timeOf(at) {
  const when = new Date(at);
  const today = when.toDateString() === new Date().toDateString();
  const time = element("time", "", (today ? clock : clockAndDay).format(when));
  time.dateTime = when.toISOString();
  return time;
}

// Changing a message in its place

function replace(item, message) {
  expectAnswer(false);
  dropPress(item, message.seq);
  itemOf.set(message.seq, item);
  const before = item.message;
  const focused = placeIn(item);
  // Else all of it would be read out again, each day of a calendar.
  item.setAttribute("aria-live", "off");
  item.className = `${message.direction} ${message.kind}`;
  fill(item, message);
  item.querySelector(".meta").replaceChildren(timeOf(message.at));
  if (focused) focusPlace(item, focused);
  announce(changes(before, message).join(". "));
}

function changes(before, after) {
  const known = new Set(tellings(before.buttons));
  const told = tellings(after.buttons).filter((text) => !known.has(text));
  return after.text === before.text ? told : [after.text, ...told];
}

// What was pressed shows in the message itself, here and where the history is read again.
function dropPress(item, seq) {
  for (const [earlier, own] of itemOf) {
    const said = own?.message;
    if (earlier < Number(item.dataset.seq) || earlier > seq) continue;
    if (said?.direction !== "in" || !item.labels.has(said.text)) continue;
    own.remove();
    itemOf.set(earlier, null);
    return;
  }
}

function pressed(button, item, click) {
  if (item.getAttribute("aria-busy") === "true" || isSecondOfTwo(click, item)) return;
  press(button, item.message);
}

// Who clicks twice means one button; meanwhile the next question may have come under the pointer.
function isSecondOfTwo(click, item) {
  const first = lastClick;
  lastClick = { item, at: click.timeStamp, x: click.clientX, y: click.clientY };
  const byKey = click.detail === 0;
  if (byKey || !first || first.item === item || click.timeStamp - first.at > TWICE_MS) return false;
  return Math.hypot(click.clientX - first.x, click.clientY - first.y) < SAME_SPOT_PX;
}

// A page is being turned: until it has, another press would turn the same page.
export function turnPage(updateId, message) {
  const item = itemOf.get(message.seq);
  quiet.add(updateId);
  item.setAttribute("aria-busy", "true");
  const stop = () => item.removeAttribute("aria-busy");
  const timer = setTimeout(stop, BUSY_LASTS_MS);
  const seen = new MutationObserver(() => {
    clearTimeout(timer);
    seen.disconnect();
    stop();
  });
  seen.observe(item, { childList: true });
}

// Once a question is answered its buttons would only contradict; links stay good.
function settleAnswers() {
  for (const item of items.querySelectorAll(".out")) {
    for (const rows of item.querySelectorAll(".rows")) rows.remove();
    for (const button of item.querySelectorAll(".answers button")) button.remove();
    for (const row of item.querySelectorAll(".answers:empty")) row.remove();
  }
}

function place(item, seq) {
  const later = (other) => other !== item && Number(other.dataset.seq ?? Infinity) > seq;
  const next = [...items.children].find(later);
  if (next === undefined) {
    if (item.parentNode === null) items.append(item);
  } else if (item.nextElementSibling !== next) {
    items.insertBefore(item, next);
  }
}

// What the client says, before it is stored

export function showPending(update) {
  const item = newItem({
    direction: "in", kind: "say", text: update.shown, photo: update.photo ?? null,
    picture: null, buttons: [], swatches: [],
  });
  item.dataset.update = update.update_id;
  item.classList.add("pending");
  settleAnswers();
  items.append(item);
  toEnd();
}

export function takeBack(update) {
  pendingItem(update.update_id)?.remove();
  expectAnswer(false);
}

export function expectAnswer(expected) {
  clearTimeout(writingTimer);
  writing.hidden = !expected;
  if (expected) {
    writingTimer = setTimeout(() => { writing.hidden = true; }, WRITING_LASTS_MS);
  }
}

export function revealLast() {
  if (items.lastElementChild) reveal(items.lastElementChild);
  log.setAttribute("aria-busy", "false");
}
