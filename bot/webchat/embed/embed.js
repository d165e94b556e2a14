// The chat on the shop's website: one tag, one round button, and nothing loaded until it is pressed.
(() => {
  "use strict";
  if (window.garlandryChat) return;

  const WORDS = {{ words | tojson }};
  const STYLE = {{ style | tojson }};
  const MEMORY = "garlandry-chat";
  const SVG = "http://www.w3.org/2000/svg";
  const BALLOONS = [
    [7, 10, 6, "#1f5a46"], [25, 10, 6, "#d9604c"], [12, 20, 6.5, "#e8c27a"],
    [21, 21, 6, "#7fae97"], [16, 11, 4, "#f2d9c8"],
  ];

  const tag = document.currentScript;
  const chat = new URL(tag.src).origin;
  const asked = [tag.dataset.lang, document.documentElement.lang, navigator.language];
  const primary = (one) => (one ?? "").split("-")[0].toLowerCase();
  const language = asked.map(primary).find((one) => Object.hasOwn(WORDS, one));
  const words = WORDS[language ?? "en"];

  const filled = (made, attributes, inside) => {
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    made.append(...inside);
    return made;
  };
  const drawn = (name, attributes, ...inside) =>
    filled(document.createElementNS(SVG, name), attributes, inside);
  const made = (name, attributes, ...inside) =>
    filled(document.createElement(name), attributes, inside);
  const icon = (size, ...inside) =>
    drawn("svg", { viewBox: `0 0 ${size} ${size}`, "aria-hidden": "true" }, ...inside);
  const button = (name, label, drawing) =>
    made("button", { type: "button", class: name, "aria-label": label }, drawing);

  const balloons = BALLOONS.map(([cx, cy, r, fill]) => drawn("circle", { cx, cy, r, fill }));
  const opener = button("opener", words.open, icon(32, ...balloons));
  const cross = drawn("path", { d: "M4 4l12 12M16 4L4 16" });
  const closer = button("close", words.close, icon(20, cross));
  const bar = made("div", { class: "bar" }, made("p", {}, words.title), closer);
  const panel = made("div", { class: "panel", role: "dialog", "aria-label": words.title }, bar);
  let frame = null;

  const address = (focused) => {
    const query = new URLSearchParams({ framed: location.origin });
    if (language) query.set("site_lang", language);
    if (tag.dataset.source) query.set("source", tag.dataset.source.slice(0, 64));
    return `${chat}/?${query}${focused ? "#text" : ""}`;
  };

  // A browser may forbid it; then the panel is closed on the next page.
  const remember = (state) => {
    try { sessionStorage.setItem(MEMORY, state); } catch { /* as said */ }
  };
  const remembered = () => {
    try { return sessionStorage.getItem(MEMORY); } catch { return null; }
  };

  const setOpen = (open) => {
    panel.hidden = !open;
    opener.setAttribute("aria-expanded", open);
    opener.setAttribute("aria-label", open ? words.close : words.open);
    remember(open ? "open" : "closed");
  };
  const show = (focused) => {
    if (!frame) {
      frame = made("iframe", { title: words.title, src: address(focused) });
      panel.append(frame);
    }
    setOpen(true);
    if (focused) frame.focus();
  };
  const close = () => {
    if (panel.hidden) return;
    setOpen(false);
    opener.focus();
  };
  const open = () => show(true);

  opener.addEventListener("click", () => (panel.hidden ? open() : close()));
  closer.addEventListener("click", close);
  for (const one of [panel, opener]) {
    one.addEventListener("keydown", (event) => { if (event.key === "Escape") close(); });
  }
  // Keys that are pressed inside the frame stay there: its page tells of this one.
  addEventListener("message", (event) => {
    const own = event.origin === chat && event.source === frame?.contentWindow;
    if (own && event.data === "close") close();
  });

  const start = () => {
    const host = document.createElement("div");
    const root = host.attachShadow({ mode: "open" });
    // A sheet made by a script asks nothing of the website's own rules for styles.
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(STYLE);
    root.adoptedStyleSheets = [sheet];
    root.append(opener, panel);
    host.lang = language ?? "en";
    document.body.append(host);
    const wasOpen = remembered() === "open";
    setOpen(false);
    if (wasOpen) show(false);
  };
  window.garlandryChat = Object.freeze({ open, close });
  if (document.body) start();
  else addEventListener("DOMContentLoaded", start);
})();
