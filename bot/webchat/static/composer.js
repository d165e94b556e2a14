// The box to write into, with a photo beside it.

import { attachedPhoto, dropPhoto, isUploading, onPhoto } from "./photo.js";
import {
  filled, locale, recall, remember, tell, textMost, told, touch, words,
} from "./page.js";

const composer = document.getElementById("composer");
const box = document.getElementById("text");
const send = document.getElementById("send");

const DRAFT = "draft";
let tooLong = "";

function changed() {
  const over = [...box.value].length - textMost;
  const nothing = !box.value.trim() && !attachedPhoto();
  send.disabled = nothing || over > 0 || isUploading();
  if (over > 0) {
    tooLong = filled(words.too_long, { count: over.toLocaleString(locale) });
    tell(tooLong);
  } else if (tooLong && told() === tooLong) {
    tell("");
  }
  box.style.height = "auto";
  box.style.height = `${box.scrollHeight + 3}px`;
  remember(DRAFT, box.value);
}

// `say(update, shown)` is called with what the client wrote.
export function startComposer(say) {
  composer.hidden = false;
  box.value = recall(DRAFT) ?? "";
  box.addEventListener("input", changed);
  box.addEventListener("keydown", (event) => {
    // On a telephone the Enter key is the only way to a new line.
    if (event.key !== "Enter" || event.shiftKey || event.isComposing || touch.matches) return;
    event.preventDefault();
    if (!send.disabled) composer.requestSubmit();
  });
  composer.addEventListener("submit", (event) => {
    event.preventDefault();
    if (send.disabled) return;
    const text = box.value;
    const photo = attachedPhoto();
    box.value = "";
    dropPhoto();
    tell("");
    changed();
    box.focus();
    say(photo ? { kind: "photo", text: text.trim(), photo } : { kind: "text", text }, text);
  });
  onPhoto(changed);
  changed();
}

export function giveBackText(text) {
  if (box.value) return;
  box.value = text;
  changed();
}

// What to write first is no help in the middle of a conversation.
export function shortenPlaceholder() {
  if (box.placeholder === words.message) return;
  box.placeholder = words.message;
  changed();
}

// Pressing a button takes it away, and the focus must be somewhere: not where a telephone would
// open its keyboard.
export function focusAfterPress() {
  const next = touch.matches ? document.getElementById("log") : box;
  next.focus({ preventScroll: true });
}

export const focusBox = () => box.focus();
