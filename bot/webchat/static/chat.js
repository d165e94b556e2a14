// The chat page: puts its parts together and begins.

import * as conversation from "./conversation.js";
import {
  focusAfterPress, focusBox, giveBackText, shortenPlaceholder, startComposer,
} from "./composer.js";
import { listen } from "./live.js";
import {
  deliver, FIRST_VISIT, forget, keepForLater, leftOver, newUpdateId,
} from "./outbox.js";
import { pauseAfter, renew, request, settled, source, tell, told, touch, words } from "./page.js";
import { follow } from "./scrolling.js";

const TURNS_PAGE = /^page:/;
const LANGUAGE = /^language:(\w+)$/;

function say(update, shown) {
  const whole = { update_id: newUpdateId(), shown, ...update };
  conversation.showPending(whole);
  shortenPlaceholder();
  send(whole);
}

async function send(update) {
  const problem = await deliver(update, () => conversation.expectAnswer(true));
  if (!problem) return;
  conversation.takeBack(update);
  tell(problem);
  if (update.kind === "text") giveBackText(update.text);
}

function press(button, message) {
  const update = {
    kind: "button", text: button.value, label: button.label, message_ref: String(message.seq),
  };
  if (TURNS_PAGE.test(button.value)) return turnPage(update, message);
  const link = linkTo(LANGUAGE.exec(button.value)?.[1]);
  if (link) return goOnIn(link, update);
  focusAfterPress();
  say(update, button.label);
}

async function turnPage(update, message) {
  const whole = { update_id: newUpdateId(), shown: "", ...update };
  conversation.turnPage(whole.update_id, message);
  const problem = await deliver(whole, () => {});
  if (problem) tell(problem);
}

async function readHistory() {
  for (let failures = 0; ; failures += 1) {
    const response = await request("/chat/messages?after=0");
    if (response?.ok) return response.json();
    if (response?.status === 401) return renew();
    tell(words.reconnecting);
    await pauseAfter(failures);
  }
}

// The page and the conversation change their language together: the next page of this tab tells
// the conversation, which says the rest in it.

const linkTo = (language) =>
  language ? document.querySelector(`[data-language="${CSS.escape(language)}"]`) : null;

function goOnIn(link, update) {
  keepForLater({ update_id: newUpdateId(), shown: update.label, ...update });
  location.assign(link.href);
}

function offerLanguages() {
  for (const link of document.querySelectorAll("[data-language]")) {
    link.addEventListener("click", (event) => {
      if (conversation.isEmpty()) return;
      event.preventDefault();
      const { language } = link.dataset;
      goOnIn(link, { kind: "button", text: `language:${language}`, label: link.textContent });
    });
  }
}

// Inside of a website's frame keys end here; the website closes the panel.
function closeOnEscape() {
  const site = new URLSearchParams(location.search).get("framed");
  if (!site || parent === window) return;
  addEventListener("keydown", (event) => {
    if (event.key === "Escape" && !event.isComposing) parent.postMessage("close", site);
  });
}

function showHistory(history) {
  for (const message of history) {
    conversation.show(message);
    follow();
  }
  if (history.some((message) => message.direction === "in" && message.text)) shortenPlaceholder();
}

// What an earlier page of this tab could not see taken goes first, unless it was.
function sendLeftOver() {
  for (const update of leftOver) {
    if (conversation.knownUpdates.has(update.update_id)) {
      forget(update.update_id);
      continue;
    }
    if (update.shown) conversation.showPending(update);
    send(update);
  }
}

function greet() {
  send({ update_id: FIRST_VISIT, shown: "", kind: "start", text: source });
}

async function begin() {
  closeOnEscape();
  offerLanguages();
  conversation.onPress(press);
  startComposer(say);
  // On a telephone it would open the keyboard over what there is to read.
  if (location.hash === "#text" && !touch.matches) focusBox();
  const history = await readHistory();
  settled();
  if (told() === words.reconnecting) tell("");
  showHistory(history);
  if (!history.length) greet();
  sendLeftOver();
  conversation.revealLast();
  listen(conversation.show, conversation.lastSeq);
}

begin();
