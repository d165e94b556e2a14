// Buttons and colours under a message. `press(button, click)` is called for what was
// pressed, with the click that did it.

import { element, filled, locale, words } from "./page.js";

const STILL = "still";
const BLANK = /^[\s·]*$/;
const DAY = /^answer:\d+:date:(\d{4}-\d{2}-\d{2})$/;
const WEEK = 7;

const fullDay = new Intl.DateTimeFormat(locale, {
  weekday: "long", day: "numeric", month: "long", year: "numeric", timeZone: "UTC",
});

export function choicesOf(buttons, press) {
  const flowing = buttons.filter((button) => button.row === null);
  const made = [...inRows(buttons, press)];
  if (flowing.length) {
    const row = element("div", "answers");
    flowing.forEach((button, at) => {
      const one = control(button, at, press);
      if (one) row.append(one);
    });
    if (row.childElementCount) made.push(row);
  }
  return made;
}

function inRows(buttons, press) {
  const rows = new Map();
  for (const button of buttons) {
    if (button.row === null) continue;
    rows.set(button.row, [...(rows.get(button.row) ?? []), button]);
  }
  if (!rows.size) return [];
  const grid = element("div", "rows");
  // What follows a lone cell that only tells something is about that.
  let subject = null;
  let table = null;
  for (const cells of rows.values()) {
    if (cells.length === WEEK && buttons.some(isDay)) {
      if (!table) {
        table = calendar(subject);
        const month = element("div", "month");
        month.append(table);
        grid.append(month);
      }
      table.append(week(cells, press));
      continue;
    }
    const row = rowOf(cells, press, subject);
    grid.append(row);
    subject = cells.find(tellsSomething)?.label ?? null;
  }
  return [grid];
}

const isStill = (button) => button.value === STILL;
const isDay = (button) => DAY.test(button.value ?? "");
const tellsSomething = (button) => isStill(button) && !BLANK.test(button.label);

// What cells that cannot be pressed tell, such as the month of a calendar.
export const tellings = (buttons) =>
  buttons.filter(tellsSomething).map((button) => button.label);

function rowOf(cells, press, subject) {
  const row = element("div", "row");
  if (subject && !cells.every(isStill)) {
    row.setAttribute("role", "group");
    row.setAttribute("aria-label", subject);
  }
  cells.forEach((button, at) => {
    const made = isStill(button) ? inert(button, "span") : control(button, at, press);
    if (made) row.append(made);
  });
  return row;
}

function calendar(month) {
  const table = element("table", "calendar");
  if (month) table.setAttribute("aria-label", month);
  return table;
}

function week(cells, press) {
  const row = element("tr");
  const names = cells.every(tellsSomething);
  cells.forEach((button, at) => {
    const cell = isStill(button) ? inert(button, names ? "th" : "td") : element("td");
    if (names) cell.scope = "col";
    if (!isStill(button)) cell.append(control(button, at, press));
    row.append(cell);
  });
  return row;
}

const inert = (button, name) => element(name, "still", BLANK.test(button.label) ? "" : button.label);

function control(button, at, press) {
  return button.url === null ? answer(button, at, press) : link(button);
}

function answer(button, at, press) {
  const made = element("button", "", button.label);
  made.type = "button";
  made.dataset.row = button.row ?? "";
  made.dataset.at = at;
  const name = spokenName(button);
  if (name) made.setAttribute("aria-label", name);
  made.addEventListener("click", (click) => press(button, click));
  return made;
}

// A bare "5" or "‹ May" says too little to who does not see where it stands.
function spokenName(button) {
  const day = DAY.exec(button.value);
  if (day) return fullDay.format(new Date(`${day[1]}T00:00:00Z`));
  if (button.label.startsWith("‹ ")) return filled(words.earlier, { label: button.label.slice(2) });
  if (button.label.endsWith(" ›")) return filled(words.later, { label: button.label.slice(0, -2) });
  return null;
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

export function swatchesOf(swatches) {
  const list = element("ul", "swatches");
  list.setAttribute("aria-label", words.colours);
  for (const { name, hex } of swatches) {
    const item = element("li");
    const chip = element("span", "chip");
    chip.style.backgroundColor = hex;
    item.append(chip, element("span", "", name));
    list.append(item);
  }
  return list;
}

// Where the focus is among the cells of `item`, to find the same place again after a change.
export function placeIn(item) {
  const focused = document.activeElement;
  if (!item.contains(focused) || focused.tagName !== "BUTTON") return null;
  return { row: focused.dataset.row, at: Number(focused.dataset.at) };
}

// The nearest one that can be pressed, in the same row if there is any.
export function focusPlace(item, place) {
  const buttons = [...item.querySelectorAll("button")];
  const beside = buttons.filter((button) => button.dataset.row === place.row);
  const away = (button) => Math.abs(Number(button.dataset.at) - place.at);
  const nearest = (beside.length ? beside : buttons).sort((one, other) => away(one) - away(other));
  nearest[0]?.focus({ preventScroll: true });
}
