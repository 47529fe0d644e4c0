"""What each verb says of a plan, in a form in which the names can be exchanged.

Rule of this file: a verb's result becomes named texts. Those of the plain twin, with its names exchanged,
must be those of any other twin, to the letter.
"""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tests.house.verbs import run

Said = dict[str, str]
WITHOUT = frozenset({"digest", "digests", "seconds", "column"})  # what other letters and the clock change
BOOKS = ("io_list.csv", "alarms.csv")


def predicted(plan: Path) -> Said:
    """`predict`: the summary, the result, the report's words, every column's heading, unit and values."""
    folder = plan.parent / "predicted"
    ran = run("predict", plan, "--coarse", "--out", folder)
    said = {"exit code": str(ran.code), "summary": words(ran.out), "report": page(folder / "report.html")}
    result = json.loads((folder / "prediction.json").read_text(encoding="utf-8"))
    said |= {f"result {key}": spelled(value) for key, value in result.items()}
    with (folder / "trace.csv").open(encoding="utf-8", newline="") as file:
        said |= {f"trace {title}": " ".join(cells) for title, *cells in zip(*csv.reader(file), strict=True)}
    with (folder / "events.csv").open(encoding="utf-8", newline="") as file:
        for time, signal, value in csv.reader(file):
            said[f"events {signal}"] = f"{said.get(f'events {signal}', '')} {time} {value}"
    return said


def sized(plan: Path) -> Said:
    """`size`: what is printed, the result, the page's words; of a plan without a plant that it has none."""
    folder = plan.parent / "sized"
    ran = run("size", plan, "--out", folder)
    if not folder.exists():
        return {"exit code": str(ran.code), "said": words(ran.err)}
    said = {"exit code": str(ran.code), "said": words(ran.out), "page": page(folder / "sizes.html")}
    result = json.loads((folder / "sizes.json").read_text(encoding="utf-8"))
    return said | {f"result {key}": spelled(value) for key, value in result.items()}


def emitted(plan: Path) -> Said:
    """`emit`: what the names of the text stand for, the lists, and the text compared with the plan."""
    folder = plan.parent / "emitted"
    ran = run("emit", plan, "--out", folder)
    said = {name: book(folder / name) for name in BOOKS} | {
        "operation": words(_text(folder / "operation.md"))
    }
    said |= {"exit code": str(ran.code), "cause and effect": page(folder / "cause_and_effect.html")}
    said["map"] = " ".join(line.partition(": ")[2] for line in _text(folder / "map.yaml").splitlines()[1:])
    return said | read_back(plan, folder / "controller.st")


def read_back(plan: Path, code: Path) -> Said:
    """`compare` of a plan with its own text: every output and its verdict."""
    ran = run("compare", plan, code, "--json")
    rows = [f"{row['name']} {row['name_in_second']} {row['verdict']}" for row in ran.json()["each"]]
    return {"read back": f"{ran.code} {', '.join(rows)}"}


def compared(plan: Path) -> Said:
    """`compare` with itself."""
    ran = run("compare", plan, plan)
    return {"exit code": str(ran.code), "said": words(ran.out)}


def reasoned(plan: Path, asked: tuple[tuple[str, str], ...]) -> Said:
    """`why`: the sentences for some signals at some moments of the recorded prediction."""
    said = {}
    for signal, moment in asked:
        ran = run(
            "why",
            plan,
            "--signal",
            signal,
            "--at",
            moment,
            "--trace",
            plan.parent / "predicted" / "events.csv",
        )
        said[f"{signal} at {moment}"] = words(f"{ran.code} {ran.out} {ran.err}")
    return said


def proved(plan: Path, only: tuple[str, ...] = ()) -> Said:
    """`prove`: every requirement's sentence and verdict."""
    ran = run("prove", plan, "--json", *(word for name in only for word in ("--only", name)))
    rows = [
        f"{row['name']}: {row.get('sentence', '')}: {row['verdict']}" for row in ran.json()["requirements"]
    ]
    return {"exit code": str(ran.code), "verdicts": "\n".join(sorted(rows))}


def book(path: Path) -> str:
    """A list without the identifiers in the code, which may not be the code's own words."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = [
            {key: cell for key, cell in row.items() if key != "name in code"} for row in csv.DictReader(file)
        ]
    return spelled(rows)


def page(path: Path) -> str:
    """The words of a page, without its packed data, its style and the plan's own text. In the drawings names
    are wrapped and cut where their room ends, so that their titles speak for them.
    """
    text = re.sub(r"(?s)<(script|style|pre)\b.*?</\1>", " ", _text(path))
    text = re.sub(r'(?s)<figure class="sheet" id="(?:piping|table)">.*?</figure>', _titles, text)
    return words(re.sub(r"(?s)<[^>]*>", " ", text))


def _titles(drawing: re.Match[str]) -> str:
    found = re.findall(r"(?s)<title>(.*?)</title>", drawing.group())
    assert found
    return " ".join(found)


def words(text: str) -> str:
    """A text without its line ends, its rulers, digests, and figures of the time that it took."""
    text = re.sub(r"[Tt]ook [0-9.]+ s|[0-9a-f]{12,64}", "", text)
    return " ".join(re.sub(r"[-─═│┃━]{2,}", " ", text).split())


def spelled(value: Any) -> str:
    """A result as text."""
    return json.dumps(_kept(value), ensure_ascii=False)


def exchanged(said: Mapping[str, str], names: Mapping[str, str]) -> Said:
    """What the plain twin says, with its names exchanged and, as in sentences, with spaces in them."""
    if not names:
        return {_spaced(key): _spaced(text) for key, text in said.items()}
    any_of = "|".join(sorted(map(re.escape, names), key=len, reverse=True))
    pattern = re.compile(rf"(?<![A-Za-z0-9])(?:{any_of})(?![A-Za-z0-9])")
    return {
        _spaced(pattern.sub(lambda m: names[m.group()], key)): _spaced(
            pattern.sub(lambda m: names[m.group()], text)
        )
        for key, text in said.items()
    }


def differences(plain: Said, twin: Said) -> list[str]:
    """Where two results part, each with the words about the first difference."""
    found = []
    for key in plain | twin:
        one, two = plain.get(key, "(missing)"), twin.get(key, "(missing)")
        if one != two:
            at = next(
                (i for i, (a, b) in enumerate(zip(one, two, strict=False)) if a != b), min(len(one), len(two))
            )
            near = slice(max(0, at - 60), at + 60)
            found.append(f"{key}: plain '...{one[near]}', twin '...{two[near]}'")
    return found


def _kept(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _kept(inner) for key, inner in value.items() if key not in WITHOUT}
    return [_kept(inner) for inner in value] if isinstance(value, list) else value


def _spaced(text: str) -> str:
    return text.replace("_", " ")


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8")
