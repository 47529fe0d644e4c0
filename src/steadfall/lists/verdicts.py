"""What a proof said of the plan that a program was made from, for the papers that go with the program."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from attrs import frozen

# In which words the papers tell a verdict.
WORDS: Mapping[str, str] = {
    "proved": "proved",
    "refuted": "REFUTED",
    "vacuous": "proved, but never exercised",
    "unknown": "NOT PROVED",
}
NO_PROOF = "nothing says that this program was proved; `steadfall prove PLAN --out DIR`, then --proof DIR"


@frozen
class Requirement:
    """A requirement as a sentence, and its verdict by the word of the stored proof."""

    sentence: str
    verdict: str

    @property
    def holds(self) -> bool:
        """Whether it is proved."""
        return self.verdict == "proved"


Proof = tuple[Requirement, ...]


def warning(proof: Proof | None) -> str:
    """What whoever hands the program on must be told; nothing where all is proved."""
    if proof is None:
        return NO_PROOF
    counts = {word: sum(row.verdict == word for row in proof) for word in WORDS if word != "proved"}
    told = [f"{count} {WORDS[word]}" for word, count in counts.items() if count]
    return f"of {len(proof)} requirements: {', '.join(told)}" if told else ""


def verdict_lines(proof: Proof | None, digest: str) -> Iterator[str]:
    """A section of the description, as Markdown."""
    yield "## What is proved of it"
    yield ""
    if proof is None:
        yield f"- **{NO_PROOF[0].upper()}{NO_PROOF[1:]}.**"
    else:
        held = sum(row.holds for row in proof)
        yield f"Of the plan with digest {digest or 'none'}: {held} of {len(proof)} requirements are proved."
        yield ""
        yield from (f"- {WORDS[row.verdict]}: {row.sentence}" for row in proof)
    yield ""
