// Draws the charts of the last prediction into an element; where one was drawn, its place in time stays.
export async function show(id, number) {
  const place = document.getElementById(`c${id}`);
  if (!place || place.dataset.number === String(number)) return;
  place.dataset.number = number;
  const answer = await fetch(`/charts/cooldown?${number}`);
  if (!answer.ok) return;
  const data = await answer.json();
  const scrolled = window.scrollY;
  globalThis.steadfallCharts.draw(place, data);
  window.scrollTo(0, scrolled);
}
