// The chat page. What the conversation says is only ever set as text, never as markup.

const log = document.getElementById("log");
const items = document.getElementById("items");
const writing = document.getElementById("writing");
const notice = document.getElementById("notice");
const composer = document.getElementById("composer");
const box = document.getElementById("text");
const send = document.getElementById("send");
const words = document.getElementById("words").dataset;

const MOST = Number(box.dataset.most);
const PAUSES_MS = [500, 1000, 2000, 4000, 8000];
const WRITING_LASTS_MS = 30000;
const MARGIN_PX = 8;
const clock = new Intl.DateTimeFormat(undefined, { hour: "numeric", minute: "2-digit" });

let lastSeq = 0;
let writingTimer;
let outbox = Promise.resolve();

const pause = (ms) => new Promise((done) => setTimeout(done, ms));

// crypto.randomUUID is missing on plain http, where a shop may try the chat first.
function newUpdateId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function element(name, className, text) {
  const made = document.createElement(name);
  if (className) made.className = className;
  if (text !== undefined) made.textContent = text;
  return made;
}

// Showing

function show(message) {
  lastSeq = Math.max(lastSeq, message.seq);
  if (log.querySelector(`[data-seq="${message.seq}"]`)) return;
  if (message.direction === "in") {
    settleAnswers();
    if (!message.text.trim()) return;
    if (box.placeholder !== words.label) shortenPlaceholder();
  } else {
    expectAnswer(message.kind === "working");
  }
  const stay = following;
  const item = ownItem(message) ?? newItem(message);
  item.dataset.seq = message.seq;
  item.classList.remove("pending");
  item.querySelector(".meta").replaceChildren(timeOf(message.at));
  place(item, message.seq);
  if (stay) reveal(item);
}

// A message of the client's own is on the page before it is stored: the stored one takes its
// place, so that nothing is read out twice.
function ownItem(message) {
  if (message.direction !== "in" || !message.update_id) return null;
  return log.querySelector(`[data-update="${CSS.escape(message.update_id)}"]`);
}

function newItem(message) {
  const item = element("li", `${message.direction} ${message.kind}`);
  item.append(element("span", "unseen", message.direction === "in" ? words.you : words.shop));
  item.append(element("div", "tag", message.text));
  if (message.buttons.length) item.append(answersOf(message.buttons));
  item.append(element("p", "meta"));
  return item;
}

function timeOf(at) {
  const when = new Date(at);
  const time = element("time", "", clock.format(when));
  time.dateTime = when.toISOString();
  return time;
}

function answersOf(buttons) {
  const row = element("div", "answers");
  for (const button of buttons) {
    const made = button.url === null ? answer(button) : link(button);
    if (made) row.append(made);
  }
  return row;
}

function answer(button) {
  const made = element("button", "", button.label);
  made.type = "button";
  made.addEventListener("click", () => {
    box.focus({ preventScroll: true });
    say({ kind: "button", text: button.value, label: button.label }, button.label);
  });
  return made;
}

function link(button) {
  if (!/^https?:\/\//i.test(button.url)) return null;
  const made = element("a", "", button.label);
  made.href = button.url;
  made.target = "_blank";
  made.rel = "noopener";
  made.append(element("span", "unseen", ` (${words.opens})`));
  return made;
}

// Once a question is answered its buttons would only contradict; links stay good.
function settleAnswers() {
  for (const button of log.querySelectorAll(".out .answers button")) button.remove();
  for (const row of log.querySelectorAll(".answers:empty")) row.remove();
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

const toEnd = () => { log.scrollTop = log.scrollHeight; };

// A message taller than the log is read from its first line on.
function reveal(item) {
  const room = log.clientHeight - 2 * MARGIN_PX;
  if (item.offsetHeight <= room) return toEnd();
  following = false;
  const above = item.getBoundingClientRect().top - log.getBoundingClientRect().top;
  log.scrollTop += above - MARGIN_PX;
}

// Who reads at the end stays there when the box under it grows or a phone's keyboard opens.
let following = true;
log.addEventListener("scroll", () => {
  following = log.scrollHeight - log.scrollTop - log.clientHeight < 80;
});
new ResizeObserver(() => { if (following) toEnd(); }).observe(log);

function expectAnswer(expected) {
  clearTimeout(writingTimer);
  writing.hidden = !expected;
  if (expected) {
    writingTimer = setTimeout(() => { writing.hidden = true; }, WRITING_LASTS_MS);
  }
}

function tell(text) {
  notice.textContent = text;
}

// Saying

function say(update, shownText) {
  const whole = { update_id: newUpdateId(), ...update };
  const item = newItem({ direction: "in", kind: "say", text: shownText, buttons: [] });
  item.dataset.update = whole.update_id;
  item.classList.add("pending");
  settleAnswers();
  items.append(item);
  toEnd();
  deliver(whole, item);
}

// One after the other, so that the conversation keeps the client's order.
function deliver(update, item) {
  outbox = outbox.then(() => post(update)).then((problem) => {
    if (problem) giveBack(update, item, problem);
  });
}

async function post(update) {
  for (let failures = 0; ; failures += 1) {
    // Before the request: its turn may be answered on the stream before it is answered here.
    expectAnswer(true);
    const response = await fetch("/chat/updates", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(update),
    }).catch(() => null);
    if (response?.ok) {
      tell("");
      return null;
    }
    if (response?.status === 401) return renew();
    if (response && response.status < 500) return problemOf(response);
    expectAnswer(false);
    tell(words.unsent);
    await pause(PAUSES_MS[Math.min(failures, PAUSES_MS.length - 1)]);
  }
}

async function problemOf(response) {
  const problem = await response.json().catch(() => ({}));
  return problem.detail ?? words.refused;
}

// Without its cookie the page belongs to no chat any more: a fresh page gets a fresh one.
function renew() {
  location.reload();
  return new Promise(() => {});
}

function giveBack(update, item, problem) {
  item.remove();
  expectAnswer(false);
  tell(problem);
  if (update.kind === "text" && !box.value) {
    box.value = update.text;
    boxChanged();
  }
}

// Writing

function boxChanged() {
  const over = [...box.value].length - MOST;
  send.disabled = !box.value.trim() || over > 0;
  if (over > 0) tell(`${over} ${words.tooLong}`);
  else if (notice.textContent.endsWith(words.tooLong)) tell("");
  box.style.height = "auto";
  box.style.height = `${box.scrollHeight + 3}px`;
}

// What to write first is no help in the middle of a conversation.
function shortenPlaceholder() {
  box.placeholder = words.label;
  boxChanged();
}

box.addEventListener("input", boxChanged);

box.addEventListener("keydown", (event) => {
  // On a phone the Enter key is the only way to a new line.
  const phone = matchMedia("(pointer: coarse)").matches;
  if (event.key !== "Enter" || event.shiftKey || event.isComposing || phone) return;
  event.preventDefault();
  if (!send.disabled) composer.requestSubmit();
});

composer.addEventListener("submit", (event) => {
  event.preventDefault();
  if (send.disabled) return;
  const text = box.value;
  box.value = "";
  tell("");
  boxChanged();
  box.focus();
  say({ kind: "text", text }, text);
});

// Listening

function listen() {
  const stream = new EventSource(`/chat/stream?after=${lastSeq}`);
  stream.addEventListener("open", () => {
    if (notice.textContent === words.connecting) tell("");
  });
  stream.addEventListener("message", (event) => show(JSON.parse(event.data)));
  stream.addEventListener("error", async () => {
    if (!notice.textContent) tell(words.connecting);
    // The browser itself tries again after a cut, but not after an answer that was an error.
    if (stream.readyState !== EventSource.CLOSED) return;
    await pause(2000);
    listen();
  });
}

async function readHistory() {
  for (let failures = 0; ; failures += 1) {
    const response = await fetch("/chat/messages?after=0").catch(() => null);
    if (response?.ok) return response.json();
    if (response?.status === 401) return renew();
    tell(words.connecting);
    await pause(PAUSES_MS[Math.min(failures, PAUSES_MS.length - 1)]);
  }
}

async function begin() {
  composer.hidden = false;
  const history = await readHistory();
  tell("");
  for (const message of history) {
    show(message);
    following = true;
  }
  if (items.lastElementChild) reveal(items.lastElementChild);
  log.setAttribute("aria-busy", "false");
  boxChanged();
  listen();
  // The same id in every tab of this chat: one greeting, however often the page is opened.
  if (!history.length) {
    outbox = outbox.then(() => post({ update_id: "first-visit", kind: "start", text: "" }));
  }
}

begin();
