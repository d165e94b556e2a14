// Ticks on the build sheet stay while one works, on this device; without this they last until the
// page is loaded again.
"use strict";

const bench = document.querySelector("[data-ticks]");
const key = `ticks:${bench.dataset.ticks}`;
const boxes = [...bench.querySelectorAll("input[type=checkbox]")];
const place = bench.querySelector("[data-place]");
const forget = bench.querySelector("[data-forget]");

function kept() {
  try {
    return new Set(JSON.parse(localStorage.getItem(key) ?? "[]"));
  } catch {
    // A browser that keeps nothing, or something else under this name: begin with none.
    return new Set();
  }
}

function keep() {
  const ticked = boxes.filter((box) => box.checked).map((box) => box.name);
  try {
    localStorage.setItem(key, JSON.stringify(ticked));
  } catch {
    // Nothing can be kept here: they last as long as the page.
  }
}

function isDone(row) {
  return [...row.querySelectorAll("input")].every((box) => box.checked);
}

// In every list the first row that is not done is where one is.
function showPlace() {
  for (const list of bench.querySelectorAll("ol, ul")) {
    const rows = [...list.querySelectorAll(":scope > [data-row]")];
    const next = rows.find((row) => !isDone(row));
    const begun = rows.some((row) => row.querySelector("input:checked"));
    for (const row of rows) {
      if (begun && row === next) row.setAttribute("aria-current", "step");
      else row.removeAttribute("aria-current");
    }
  }
  const current = bench.querySelectorAll("[aria-current=step]");
  place.hidden = current.length === 0;
  forget.hidden = !boxes.some((box) => box.checked);
}

const ticked = kept();
for (const box of boxes) box.checked = ticked.has(box.name);
showPlace();

bench.addEventListener("change", () => {
  keep();
  showPlace();
});

place.addEventListener("click", () => {
  const current = [...bench.querySelectorAll("[aria-current=step]")].at(-1);
  current?.scrollIntoView({ block: "center" });
  current?.querySelector("input:not(:checked)")?.focus({ preventScroll: true });
});

forget.addEventListener("click", () => {
  for (const box of boxes) box.checked = false;
  keep();
  showPlace();
});
