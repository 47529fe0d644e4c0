// A file that is dropped anywhere on a page goes to the field that takes its kind: else the browser would leave the
// page and show the file.
const say = (words) => globalThis.steadfallWords?.[words] ?? words;
const files = (event) => event.dataTransfer && [...event.dataTransfer.types].includes("Files");

addEventListener("dragover", (event) => { if (files(event)) event.preventDefault(); });
addEventListener("drop", (event) => {
  if (!files(event) || event.defaultPrevented || event.target.matches?.("input[type=file]")) return;
  event.preventDefault();
  const brought = event.dataTransfer.files, name = (brought[0]?.name ?? "").toLowerCase();
  const fields = [...document.querySelectorAll("input[type=file]")];
  const field = fields.find((one) => one.accept.split(",").some((end) => name.endsWith(end)));
  for (const one of fields) one.setCustomValidity("");
  if (field) {
    field.files = brought;
    field.dispatchEvent(new Event("change", { bubbles: true }));
  } else if (fields.length) {
    fields[0].setCustomValidity(`${name}: ${say("this place takes")} ${fields[0].accept}`);
    fields[0].reportValidity();
  }
});
