// Plan and program side by side: a line that is chosen shows its lines on the other side, and goes there.
const lines = (row) => row.dataset.lines.trim().split(" ").filter(Boolean);

function choose(event) {
  const row = event.target.closest?.(".listing [data-lines]");
  if (!row || (event.type === "keydown" && event.key !== "Enter")) return;
  const own = new Set(lines(row)), here = row.closest(".listing");
  let first = null;
  for (const other of document.querySelectorAll(".listing [data-lines]")) {
    const alike = own.size > 0 && lines(other).some((line) => own.has(line));
    other.classList.toggle("chosen", alike);
    if (alike && !first && other.closest(".listing") !== here) first = other;
  }
  first?.scrollIntoView({ block: "center" });
}

for (const kind of ["click", "keydown"]) document.addEventListener(kind, choose);
