// Puts the form where the script tag stands, in a frame that is as high as its content:
//
//   <script src="https://…/form/embed.js" lang="es" data-source="spring fair"></script>
//
// `lang` is the language of the form (the page's own without it); `data-source` names the page or
// campaign that the request came from.
(() => {
  "use strict";

  const script = document.currentScript;
  const home = new URL(script.src).origin;
  const titles = { en: "Ask for a price", es: "Pide un precio" };

  const around = script.closest("[lang]");
  const language = around ? around.lang.slice(0, 2).toLowerCase() : "";
  const address = new URL("/form", home);
  if (language in titles) address.searchParams.set("lang", language);
  if (script.dataset.source) address.searchParams.set("source", script.dataset.source);

  const frame = document.createElement("iframe");
  frame.src = address.href;
  frame.title = titles[language] || titles.en;
  frame.style.cssText = "display: block; width: 100%; height: 70rem; border: 0;";

  let loads = 0;
  frame.addEventListener("load", () => {
    frame.contentWindow.postMessage("garland: how tall?", home);
    loads += 1;
    // The next page begins at its top, not where the button of the last one was.
    if (loads > 1 && frame.getBoundingClientRect().top < 0) frame.scrollIntoView();
  });

  addEventListener("message", (event) => {
    if (event.origin !== home || event.source !== frame.contentWindow) return;
    const height = Number(event.data && event.data.height);
    if (height > 0 && height < 50000) frame.style.height = `${Math.ceil(height)}px`;
  });

  script.after(frame);
})();
