// One photo to send: chosen, dropped or pasted, and uploaded while the client writes.

import { filled, languages, pause, pauseAfter, photoMost, renew, tell, words } from "./page.js";

const attached = document.getElementById("attached");
const preview = document.getElementById("preview");
const says = document.getElementById("attached-says");
const bar = document.getElementById("uploaded");
const attach = document.getElementById("attach");
const detach = document.getElementById("detach");
const file = document.getElementById("file");
const drop = document.getElementById("drop");
const box = document.getElementById("text");

const KINDS = file.accept.split(",");
const BYTES_MOST = photoMost * 1e6;

// The upload under way, or done (then it has its `photo`); another photo starts another.
let current = null;
let changed = () => {};

export const attachedPhoto = () => current?.photo ?? null;
export const isUploading = () => current !== null && !current.photo;

export function onPhoto(listener) {
  changed = listener;
}

export function dropPhoto() {
  current?.sending?.abort();
  current = null;
  attached.hidden = true;
  URL.revokeObjectURL(preview.src);
  preview.removeAttribute("src");
  file.value = "";
  changed();
}

function take(files) {
  if (!files.length) return;
  const [one] = files;
  // A file without a known kind is left to the server to look at.
  if (one.type && !KINDS.includes(one.type)) return tell(words["photo.unreadable"]);
  if (one.size > BYTES_MOST) return tell(filled(words["photo.too_large"], { most: photoMost }));
  tell(files.length > 1 ? words["photo.one"] : "");
  dropPhoto();
  current = { photo: null, sending: null };
  preview.src = URL.createObjectURL(one);
  bar.hidden = false;
  says.textContent = words["photo.uploading"];
  attached.hidden = false;
  changed();
  box.focus();
  upload(one, current);
}

async function upload(one, mine) {
  for (let failures = 0; current === mine; failures += 1) {
    const answer = await post(one, mine);
    if (current !== mine) return;
    if (answer.status === 201) return ready(mine, answer.photo);
    if (answer.status === 401) return renew();
    if (answer.status === 429) {
      says.textContent = words["photo.waiting"];
      await pause(1000 * answer.retryAfter);
    } else if (answer.status === 0 || answer.status >= 500 || answer.status === 408) {
      says.textContent = words["photo.waiting"];
      await pauseAfter(failures);
    } else {
      dropPhoto();
      return tell(answer.detail ?? words["photo.unreadable"]);
    }
  }
}

function ready(mine, photo) {
  mine.photo = photo;
  bar.hidden = true;
  says.textContent = words["photo.ready"];
  changed();
}

// Only this kind of request tells how far it has come.
function post(one, mine) {
  return new Promise((done) => {
    const sending = new XMLHttpRequest();
    mine.sending = sending;
    sending.open("POST", "/chat/photos");
    sending.responseType = "json";
    sending.setRequestHeader("Content-Type", one.type || "image/*");
    sending.setRequestHeader("Accept-Language", languages);
    sending.upload.addEventListener("progress", (event) => {
      if (event.lengthComputable) bar.value = event.loaded / event.total;
    });
    sending.addEventListener("loadend", () => {
      const retryAfter = Number(sending.getResponseHeader("Retry-After") ?? 1);
      done({ ...sending.response, status: sending.status, retryAfter });
    });
    bar.removeAttribute("value");
    sending.send(one);
  });
}

attach.addEventListener("click", () => file.click());
file.addEventListener("change", () => take([...file.files]));
detach.addEventListener("click", () => {
  dropPhoto();
  box.focus();
});

const hasFiles = (data) => [...(data?.types ?? [])].includes("Files");

addEventListener("paste", (event) => {
  // Text copied from a word processor often comes with a picture of itself.
  if (!hasFiles(event.clipboardData) || event.clipboardData.getData("text/plain")) return;
  event.preventDefault();
  take([...event.clipboardData.files]);
});

let within = 0;
addEventListener("dragenter", (event) => {
  if (!hasFiles(event.dataTransfer)) return;
  within += 1;
  drop.hidden = false;
});
addEventListener("dragleave", (event) => {
  if (!hasFiles(event.dataTransfer)) return;
  within -= 1;
  drop.hidden = within > 0 ? false : true;
});
addEventListener("dragover", (event) => {
  if (hasFiles(event.dataTransfer)) event.preventDefault();
});
addEventListener("drop", (event) => {
  within = 0;
  drop.hidden = true;
  if (!hasFiles(event.dataTransfer)) return;
  event.preventDefault();
  take([...event.dataTransfer.files]);
});
