// Rows of the price book are added and removed in place; without this, buttons ask the server.
"use strict";

const NEW = "__n__";

function nextNumber(list, name) {
  const numbers = [...list.querySelectorAll(":scope > [data-row]")].map((row) =>
    Number(row.id.slice(name.length + 1)),
  );
  return Math.max(-1, ...numbers) + 1;
}

function add(button) {
  const list = button.closest("[data-rows]");
  const name = list.dataset.rows;
  const blank = list.querySelector(":scope > template");
  const made = document.createElement("template");
  made.innerHTML = blank.innerHTML.replaceAll(`${name}.${NEW}`, `${name}.${nextNumber(list, name)}`);
  const row = made.content.firstElementChild;
  list.querySelector(":scope > [data-none]")?.remove();
  list.insertBefore(row, blank);
  row.open = true;
  row.querySelector("input, select, textarea")?.focus();
}

function remove(button) {
  const list = button.closest("[data-rows]");
  button.closest("[data-row]").remove();
  list.querySelector(":scope > .actions > [data-add]").focus();
}

document.querySelector("form.book").addEventListener("click", (event) => {
  const button = event.target.closest("[data-add], [data-remove]");
  if (button === null) return;
  event.preventDefault();
  if (button.hasAttribute("data-add")) add(button);
  else remove(button);
});
