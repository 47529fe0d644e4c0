// Draws the charts of the last prediction into an element; where one was drawn, its place in time stays. Another run
// that stands aside goes along: zoom, marks and cursor of the one are those of the other.
const apart = (place, count) => {
  const rooms = [...place.children].filter((one) => one.classList.contains("run"));
  if (rooms.length === count) return rooms;
  place.replaceChildren(...Array.from({ length: count }, () => Object.assign(document.createElement("div"), { className: "run" })));
  return [...place.children];
};

export async function show(id, way, number, titles) {
  const place = document.getElementById(`c${id}`);
  if (!place || place.dataset.number === String(number)) return;
  place.dataset.number = number;
  const answer = await fetch(`/charts/${way}?${number}`);
  if (!answer.ok) return;
  const data = await answer.json(), scrolled = window.scrollY;
  if (place.dataset.number !== String(number)) return; // a newer one is on its way
  const all = data.aside ? [data, data.aside] : [data], rooms = apart(place, all.length);
  place.classList.toggle("pair", all.length > 1);
  const drawn = []; // a figure may tell while it is drawn
  all.forEach((one, k) => {
    rooms[k].querySelector("h2")?.remove();
    const room = rooms[k].querySelector(".one-run") ?? rooms[k].appendChild(Object.assign(document.createElement("div"), { className: "one-run" }));
    const made = globalThis.steadfallCharts.draw(room, one, { told: (what) => drawn[1 - k]?.follow(what) });
    if (all.length > 1) rooms[k].prepend(Object.assign(document.createElement("h2"), { textContent: titles[k] }));
    drawn[k] = made;
  });
  window.scrollTo(0, scrolled);
}
