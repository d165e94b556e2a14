// How far a long work is, told as it goes on. Without this script a link looks again.
(() => {
  "use strict";

  const box = document.querySelector("[data-progress]");
  const bar = box.querySelector("progress");
  const told = box.querySelector("[role=status]");
  const EVERY_MS = 1500;

  const look = async () => {
    try {
      const answer = await fetch(box.dataset.progress, { headers: { Accept: "application/json" } });
      if (answer.ok) {
        const now = await answer.json();
        bar.value = now.share;
        if (told.textContent !== now.state) told.textContent = now.state;
        if (!now.running) {
          window.location.reload();
          return;
        }
      }
    } catch {
      // The service is away for a moment: the next look finds it.
    }
    window.setTimeout(look, EVERY_MS);
  };

  window.setTimeout(look, EVERY_MS);
})();
