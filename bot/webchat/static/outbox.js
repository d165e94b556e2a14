// Updates on their way to the shop: in order, until they are taken, also over a reload.

import {
  filled, locale, pause, pauseAfter, problemOf, recall, remember, renew, request, tell, told, words,
} from "./page.js";

const MEMORY = "outbox";
const A_MOMENT_S = 60;
// The same id in every tab of a chat: one greeting, however often the page is opened.
export const FIRST_VISIT = "first-visit";
let waiting = recall(MEMORY) ?? [];
// What an earlier page of this tab could not see taken.
export const leftOver = [...waiting];
let last = Promise.resolve();

// crypto.randomUUID is missing on plain http, where a shop may try the chat first.
export function newUpdateId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function keep(updates) {
  waiting = updates;
  remember(MEMORY, waiting);
}

const without = (id) => waiting.filter((one) => one.update_id !== id);

export function forget(updateId) {
  keep(without(updateId));
}

// Kept for the next page of this tab.
export function keepForLater(update) {
  keep([...waiting, update]);
}

// Gives null once the update is taken, or the words of its refusal. `before` is called ahead of
// each attempt: the answer may come on the stream before the request itself is answered.
export function deliver(update, before) {
  keep([...without(update.update_id), update]);
  const taken = last.then(() => post(update, before));
  last = taken;
  return taken;
}

async function post(update, before) {
  let meanwhile = "";
  for (let failures = 0; ; failures += 1) {
    before();
    const response = await request("/chat/updates", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(wire(update)),
    });
    if (response?.status === 401) return renew();
    if (response?.status === 429) {
      const seconds = Number(response.headers.get("Retry-After") ?? 1);
      tell(meanwhile = untilThen(seconds));
      await pause(1000 * seconds);
    } else if (!response || response.status >= 500 || response.status === 408) {
      tell(words.unsent);
      await pauseAfter(failures);
    } else {
      keep(without(update.update_id));
      if (!response.ok) return problemOf(response);
      if ([words.unsent, meanwhile].includes(told())) tell("");
      return null;
    }
  }
}

// Nobody watches for many minutes: what takes that long has a time of day.
function untilThen(seconds) {
  if (seconds <= A_MOMENT_S) return words.too_fast;
  const at = new Date(Date.now() + 1000 * seconds);
  const time = at.toLocaleTimeString(locale, { hour: "numeric", minute: "2-digit" });
  return filled(words.too_many, { time });
}

// `shown` is what the page itself shows of it meanwhile.
function wire({ shown, ...update }) {
  return update;
}
