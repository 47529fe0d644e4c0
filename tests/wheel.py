"""The wheel as a stranger gets it: built, installed alone into a bare environment elsewhere, and used there.

`make wheel` runs this. What a wheel can lack is what no test in the repository notices: a template, a table,
a starter, the grammar.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Sequence
from pathlib import Path

ROOT = Path(__file__).parents[1]
PLAN, NAME = "press/plan.yaml", "upper.drain.at_rest"
# Verb by verb, each with what it must leave in the folder.
USES: Sequence[tuple[Sequence[str], Sequence[str]]] = (
    (("new", "press"), (PLAN,)),
    (("new", "oven", "--pattern", "oven"), ("oven/plan.yaml",)),
    (("new", "barrel", "--pattern", "barrel"), ("barrel/plan.yaml",)),
    (("check", "oven/plan.yaml"), ()),
    (("schema",), ()),
    (
        ("predict", "press/plan.yaml", "--coarse", "--out", "report"),
        ("report/report.html", "report/trace.parquet"),
    ),
    (
        ("prove", "press/plan.yaml", "--only", NAME, "--out", "proof"),
        ("proof/proof.html", "proof/proof.json"),
    ),
    (("emit", PLAN, "--out", "code"), ("code/controller.st", "code/io_list.xlsx")),
    (("compare", PLAN, "code/controller.st", "--out", "same"), ("same/compare.html",)),
)


def run(words: Iterable[str | Path], folder: Path) -> str:
    """Run a command in a folder with nothing of this repository in its environment; give what it prints."""
    env = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    env |= {"STEADFALL_CACHE": str(folder / "cache")}
    line = [str(word) for word in words]
    done = subprocess.run(line, check=False, cwd=folder, env=env, capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"{' '.join(line)}: exit code {done.returncode}\n{done.stdout}{done.stderr}")
    return done.stdout


def built(folder: Path) -> Path:
    """The wheel, of a copy of what is in the repository: nothing is left in it."""
    source = folder / "source"
    source.mkdir()
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, source)
    shutil.copytree(ROOT / "src", source / "src", ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
    run(
        [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", "wheels", source],
        folder,
    )
    return next((folder / "wheels").glob("*.whl"))


def main() -> None:
    """Build, install, use."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        wheel = built(folder)
        run([sys.executable, "-m", "venv", "bare"], folder)
        programs = folder / "bare" / ("Scripts" if os.name == "nt" else "bin")
        pip: list[str | Path] = [
            programs / "python",
            "-m",
            "pip",
            "--disable-pip-version-check",
            "install",
            "--quiet",
        ]
        run([*pip, "-c", ROOT / "constraints.txt", f"{wheel}[all]"], folder)
        for words, files in USES:
            run([programs / "steadfall", *words], folder)
            for file in files:
                if not (folder / file).stat().st_size:
                    sys.exit(f"{file} is empty")
        proof = json.loads((folder / "proof" / "proof.json").read_text(encoding="utf-8"))
        where = run([programs / "python", "-c", "import steadfall; print(steadfall.__file__)"], folder)
        if not proof["good"] or str(folder.resolve()) not in str(Path(where.strip()).resolve()):
            sys.exit(f"the proof is not good, or {where.strip()} is not what was installed")
    print("the wheel checks, predicts, proves, emits and compares on its own")


if __name__ == "__main__":
    main()
