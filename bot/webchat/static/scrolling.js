// Who reads at the end stays there; a message taller than the log is read from its first line on.

const log = document.getElementById("log");
const MARGIN_PX = 8;
const NEAR_PX = 80;

let following = true;
// Where a tall message put the log: short of the end, however little.
let heldAt = null;
export const isAtEnd = () => following;

export function toEnd() {
  following = true;
  log.scrollTop = log.scrollHeight;
}

export function follow() {
  following = true;
}

export function reveal(item) {
  const room = log.clientHeight - 2 * MARGIN_PX;
  if (item.offsetHeight <= room) return toEnd();
  following = false;
  const above = item.getBoundingClientRect().top - log.getBoundingClientRect().top;
  log.scrollTop += above - MARGIN_PX;
  heldAt = log.scrollTop;
}

log.addEventListener("scroll", () => {
  if (log.scrollTop === heldAt) return;
  heldAt = null;
  following = log.scrollHeight - log.scrollTop - log.clientHeight < NEAR_PX;
});
// The box under the log grows, or a telephone's keyboard opens.
new ResizeObserver(() => { if (following) toEnd(); }).observe(log);

// Where a keyboard lies over the page instead of making it smaller.
visualViewport?.addEventListener("resize", () => {
  const covered = innerHeight - visualViewport.height > 1 && visualViewport.scale === 1;
  document.body.style.height = covered ? `${visualViewport.height}px` : "";
  if (covered) scrollTo(0, 0);
});
