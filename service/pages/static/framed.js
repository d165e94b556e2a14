// Inside a frame on the owner's website: tells the website how tall the page is, whenever that
// changes. Only the websites that may frame the page are answered, and only the framing one.
(() => {
  "use strict";

  if (window === window.parent) return;
  document.documentElement.classList.add("framed");

  const websites = document.currentScript.dataset.websites.split(" ");
  let website = null;

  const tell = () => {
    if (website === null) return;
    const { height } = document.documentElement.getBoundingClientRect();
    window.parent.postMessage({ height }, website);
  };

  addEventListener("message", (event) => {
    if (event.source !== window.parent || !websites.includes(event.origin)) return;
    if (event.data !== "garland: how tall?") return;
    website = event.origin;
    tell();
  });

  new ResizeObserver(tell).observe(document.documentElement);
})();
