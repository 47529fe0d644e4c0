// Help in the plan's editor: what may stand here, what a key means; words of the plan go in as text alone.
import * as CM from "nicegui-codemirror";

const say = (words) => globalThis.steadfallWords?.[words] ?? words;

async function asked(way, state, place) {
  const body = JSON.stringify({ text: state.doc.toString(), offset: place });
  const answer = await fetch(`/api/${way}`, { method: "POST", headers: { "content-type": "application/json" }, body });
  return answer.ok ? answer.json() : null;
}

function card(hint) {
  const dom = document.createElement("div");
  dom.className = "hint-card";
  const line = (tag, text) => { if (text) dom.append(Object.assign(document.createElement(tag), { textContent: text })); };
  line("strong", hint.label);
  line("span", hint.says);
  line("code", hint.example);
  if (hint.default) line("small", `${say("without it")}: ${hint.default}`);
  if (hint.needed) line("small", say("must be given"));
  return dom;
}

async function complete(context) {
  const word = context.matchBefore(/[A-Za-z_0-9][A-Za-z_0-9 ]*/);
  if (!word && !context.explicit) return null;
  const found = await asked("complete", context.state, context.pos);
  if (!found || context.aborted || !found.hints.length) return null;
  const options = found.hints.map((hint, k) => ({
    label: hint.label, apply: hint.key ? `${hint.label}: ` : hint.label, detail: hint.example.length > 34 ? "" : hint.example,
    info: () => card(hint), boost: -k / 10, type: hint.key ? "property" : "constant",
  }));
  return { from: context.pos - found.word.length, options, validFor: /^\w*$/ };
}

const explain = CM.hoverTooltip(async (view, place) => {
  const found = await asked("explain", view.state, place);
  return found && found.hint ? { pos: place, above: true, create: () => ({ dom: card(found.hint) }) } : null;
}, { hoverTime: 400 });

// The same line of the plan in text and pictures: what is chosen in one is chosen in all.
function join(view) {
  const parts = () => document.querySelectorAll(".drawing [data-line]");
  const mark = (line) => {
    for (const part of parts()) {
      part.tabIndex = 0;
      part.classList.toggle("selected", part.dataset.line === String(line));
    }
  };
  const here = () => view.state.doc.lineAt(view.state.selection.main.head).number;
  const go = (number) => {
    const line = view.state.doc.line(Math.max(1, Math.min(number, view.state.doc.lines)));
    view.dispatch({ selection: { anchor: line.from }, effects: CM.EditorView.scrollIntoView(line.from, { y: "center" }) });
  };
  const choose = (event) => {
    const part = event.target.closest?.(".drawing [data-line]");
    if (part && (event.type !== "keydown" || event.key === "Enter")) go(Number(part.dataset.line));
  };
  const named = /^#line-(\d+)$/.exec(location.hash); // another view leads to a line
  if (named) go(Number(named[1]));
  for (const kind of ["click", "keydown"]) document.addEventListener(kind, choose);
  for (const place of document.querySelectorAll(".drawing"))
    new MutationObserver(() => mark(here())).observe(place, { childList: true });
  mark(here());
  return CM.EditorView.updateListener.of((update) => { if (update.selectionSet || update.docChanged) mark(here()); });
}

// On paper stands the whole text, each line as long as it is: the editor draws only what is seen, and wraps nothing.
function printed(view) {
  const row = (line) => {
    const item = document.createElement("li");
    item.append(Object.assign(document.createElement("code"), { textContent: line }));
    return item;
  };
  document.querySelector(".on-paper")?.replaceChildren(...view.state.doc.toString().split("\n").map(row));
}

export async function help(id, label) {
  const element = getElement(id);
  const view = element.editor ?? (await element.editorPromise);
  if (view.helped) return;
  view.helped = true;
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const paint = () => element.setTheme(dark.matches ? "githubDark" : "githubLight");
  paint();
  dark.addEventListener("change", paint);
  view.dispatch({ effects: CM.StateEffect.appendConfig.of([
    CM.EditorState.languageData.of(() => [{ autocomplete: complete }]),
    CM.EditorView.contentAttributes.of({ "aria-label": label, spellcheck: "false" }),
    explain,
    join(view),
  ]) });
  view.scrollDOM.tabIndex = 0;
  addEventListener("beforeprint", () => printed(view));
  new MutationObserver(() => { // a list that scrolls can be reached
    for (const list of view.dom.querySelectorAll(".cm-tooltip-autocomplete ul")) list.tabIndex = 0;
  }).observe(view.dom, { childList: true, subtree: true });
}
