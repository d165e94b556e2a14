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
  const language = asked.map((one) => (one ?? "").split("-")[0].toLowerCase()).find((one) => one in WORDS);
  const words = WORDS[language ?? "en"];

  const drawn = (name, attributes, ...inside) => {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...inside);
    return made;
  };
  const made = (name, properties, ...inside) => {
    const one = Object.assign(document.createElement(name), properties);
    one.append(...inside);
    return one;
  };
  const icon = (size, ...inside) =>
    drawn("svg", { viewBox: `0 0 ${size} ${size}`, "aria-hidden": "true", focusable: "false" }, ...inside);

  const balloons = BALLOONS.map(([cx, cy, r, fill]) => drawn("circle", { cx, cy, r, fill }));
  const opener = made("button", { type: "button", className: "opener", ariaLabel: words.open, ariaExpanded: "false" }, icon(32, ...balloons));
  const closer = made("button", { type: "button", className: "close", ariaLabel: words.close }, icon(20, drawn("path", { d: "M4 4l12 12M16 4L4 16" })));
  const bar = made("div", { className: "bar" }, made("p", { textContent: words.title }), closer);
  const panel = made("div", { className: "panel", role: "dialog", ariaLabel: words.title, hidden: true }, bar);
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

  const show = (focused) => {
    if (!frame) {
      frame = made("iframe", { title: words.title, src: address(focused) });
      panel.append(frame);
    }
    panel.hidden = false;
    opener.ariaExpanded = "true";
    opener.ariaLabel = words.close;
    remember("open");
    if (focused) frame.focus();
  };
  const close = () => {
    if (panel.hidden) return;
    panel.hidden = true;
    opener.ariaExpanded = "false";
    opener.ariaLabel = words.open;
    remember("closed");
    opener.focus();
  };
  const open = () => show(true);

  opener.addEventListener("click", () => (panel.hidden ? open() : close()));
  closer.addEventListener("click", close);
  panel.addEventListener("keydown", (event) => { if (event.key === "Escape") close(); });
  opener.addEventListener("keydown", (event) => { if (event.key === "Escape") close(); });
  // Keys that are pressed inside the frame stay there: its page tells of this one.
  addEventListener("message", (event) => {
    if (frame && event.source === frame.contentWindow && event.origin === chat && event.data === "close") close();
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
    if (remembered() === "open") show(false);
  };
  window.garlandryChat = Object.freeze({ open, close });
  if (document.body) start();
  else addEventListener("DOMContentLoaded", start);
})();
