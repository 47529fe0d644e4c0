// The rings of a trade-off by keyboard: the arrows go from one to the next, later or sooner, Enter opens it. A finger
// beside a small ring takes the nearest.
const NEAR = 24; // px
const rings = (one) => [...one.closest(".trade svg").querySelectorAll("[data-row]")];
const press = (ring) => ring.dispatchEvent(new MouseEvent("click", { bubbles: true }));

function go(ring, all) {
  for (const one of all) one.setAttribute("tabindex", one === ring ? 0 : -1);
  ring.focus();
}

document.addEventListener("keydown", (event) => {
  const ring = event.target.closest?.(".trade [data-row]");
  if (!ring) return;
  const all = rings(ring), k = all.indexOf(ring), last = all.length - 1;
  const next = Math.min(last, k + 1), before = Math.max(0, k - 1);
  const ways = { ArrowRight: next, ArrowDown: next, ArrowLeft: before, ArrowUp: before, Home: 0, End: last };
  if (event.key in ways) go(all[ways[event.key]], all);
  else if (event.key === "Enter" || event.key === " ") press(ring);
  else return;
  event.preventDefault();
});

document.addEventListener("click", (event) => {
  const figure = event.target.closest?.(".trade svg");
  if (!figure || event.target.closest("[data-row]")) return;
  const far = (ring) => {
    const box = ring.getBoundingClientRect();
    return Math.hypot(box.x + box.width / 2 - event.clientX, box.y + box.height / 2 - event.clientY);
  };
  const nearest = [...figure.querySelectorAll("[data-row]")].sort((a, b) => far(a) - far(b))[0];
  if (nearest && far(nearest) <= NEAR) press(nearest);
});
