// Messages as they come: one stream, opened again whenever it is lost.

import { pause, words } from "./page.js";

const connection = document.getElementById("connection");
// The server says something every 15 s: twice that in silence is a dead connection, as after sleep.
const SILENT_MS = 40000;
const LOOK_EVERY_MS = 5000;
const REOPEN_MS = 2000;
// A cut that heals by itself is not worth a word.
const QUIET_MS = 1500;

let stream = null;
let heardAt = 0;
let trouble;

// `take(message)` is called for each; `after()` gives the last message that the page has.
export function listen(take, after) {
  const heard = () => {
    heardAt = Date.now();
    clearTimeout(trouble);
    trouble = undefined;
    connection.textContent = "";
  };
  const open = () => {
    stream?.close();
    heardAt = Date.now();
    const opened = new EventSource(`/chat/stream?after=${after()}`);
    stream = opened;
    opened.addEventListener("open", heard);
    opened.addEventListener("alive", heard);
    opened.addEventListener("message", (event) => {
      heard();
      take(JSON.parse(event.data));
    });
    opened.addEventListener("error", async () => {
      trouble ??= setTimeout(() => { connection.textContent = words.reconnecting; }, QUIET_MS);
      // The browser itself tries again after a cut, but not after an answer that was an error.
      if (opened.readyState !== EventSource.CLOSED || opened !== stream) return;
      await pause(REOPEN_MS);
      if (opened === stream) open();
    });
  };
  const look = () => {
    if (stream && Date.now() - heardAt > SILENT_MS) open();
  };
  // A page that nobody sees needs no connection, of which a browser has few for one address.
  const seen = () => {
    if (document.hidden) {
      stream?.close();
      stream = null;
    } else if (!stream) {
      open();
    }
  };
  setInterval(look, LOOK_EVERY_MS);
  addEventListener("online", open);
  addEventListener("pageshow", (event) => { if (event.persisted) open(); });
  document.addEventListener("visibilitychange", seen);
  open();
  seen();
}
