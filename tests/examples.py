"""The example plans of the repository."""

from pathlib import Path

ROOT = Path(__file__).parent.parent
EXAMPLES = {path.stem: path for path in sorted((ROOT / "examples").glob("*.yaml"))}
