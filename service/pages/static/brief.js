// Beside the brief: what it comes to while one types. Without this script a button asks for it.
(() => {
  "use strict";

  const form = document.querySelector("form[data-estimate]");
  const figures = document.getElementById("figures");
  const PAUSE_MS = 500;

  let waiting = 0;
  let asked = null;

  const ask = async () => {
    if (asked) asked.abort();
    asked = new AbortController();
    const body = new URLSearchParams(new FormData(form));
    body.set("part", "figures");
    figures.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch(form.dataset.estimate, { method: "POST", body, signal: asked.signal });
      // Signed out, or gone: the button says so in words.
      if (answer.ok && !answer.redirected) figures.innerHTML = await answer.text();
      figures.removeAttribute("aria-busy");
    } catch (error) {
      if (error.name !== "AbortError") figures.removeAttribute("aria-busy");
    }
  };

  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(ask, PAUSE_MS);
  });
})();
