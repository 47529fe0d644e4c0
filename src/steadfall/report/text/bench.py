"""A session of the bench in a terminal: verdict, what was exercised, how it kept its time, cautions."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from steadfall.bench.cases.script import Case
from steadfall.bench.judge.finding import Finding, Said
from steadfall.bench.judge.pace import Pace
from steadfall.bench.judge.whole import Judged
from steadfall.bench.session.loop import DONE

WIDTH = 100
TITLES = {
    Said.PASS: "PASS",
    Said.FAIL: "FAIL",
    Said.NOT_JUDGED: "COULD NOT BE JUDGED",
    Said.NOT_EXERCISED: "",
}


def session_text(
    head: Sequence[str], ended: str, judged: Judged, cautions: Sequence[str], width: int = WIDTH
) -> str:
    """All of it, at most `width` columns."""
    found = judged.conforms
    line = f" (line {found.line} of the plan)" if found.line else ""
    blocks = [
        [*head, f"it ended: {ended}" if ended else "it was cut off; what is here was recorded until then"],
        [f"{TITLES[found.said]}: {found.why}{line}"],
        list(_exact(judged)),
        list(_required(judged.required)),
        list(_covered(judged.covered)),
        [pace_text(judged.pace)],
        [f"CAUTION: {one}" for one in cautions],
    ]
    return "\n\n".join("\n".join(_wrapped(line, width) for line in block) for block in blocks if block)


def tried_text(
    rows: Iterable[tuple[Case, str, Judged]],
    together: tuple[Sequence[Finding], Sequence[Finding]],
    left_out: Sequence[str],
    cautions: Sequence[str],
    width: int = WIDTH,
) -> str:
    """Cases one by one, then what they have tried together."""
    required, covered = together
    blocks = [
        [line for case, ended, judged in rows for line in _case(case, ended, judged)],
        list(_required(required)),
        list(_covered(covered)),
        [f"no case: {one}" for one in left_out],
        [f"CAUTION: {one}" for one in cautions],
    ]
    return "\n\n".join("\n".join(_wrapped(line, width) for line in block) for block in blocks if block)


def _case(case: Case, ended: str, judged: Judged) -> Iterator[str]:
    found = judged.conforms
    broken = sum(one.said is Said.FAIL for one in judged.required)
    more = f", {broken} requirements broken" if broken else ""
    yield f"{case.name} ({case.tries}): {TITLES[found.said] or found.said.value}{more}"
    if found.said is not Said.PASS:
        yield f"  {found.why}"
    if ended != DONE:
        yield f"  it ended: {ended}"


def _exact(judged: Judged) -> Iterator[str]:
    """What the recorder says, where the controller has one, and how often each scan time came."""
    if judged.exact is None:
        return
    for one in (judged.exact.conforms, judged.exact.pace):
        yield f"{one.about}: {TITLES[one.said] or one.said.value}: {one.why}"
    yield f"scans: {', '.join(f'{many} of {ms} ms' for ms, many in judged.exact.times.items())}"


def _required(required: Sequence[Finding]) -> Iterator[str]:
    """The requirements: those that were broken in full, the others by name."""
    if not required:
        return
    by = {said: [one for one in required if one.said is said] for said in Said}
    yield f"of {len(required)} requirements {len(by[Said.PASS])} were exercised and kept"
    yield from (f"BROKEN: {one.why} (line {one.line} of the plan)" for one in by[Said.FAIL])
    for said, words in ((Said.NOT_JUDGED, "could not be judged"), (Said.NOT_EXERCISED, "not exercised")):
        if by[said]:
            yield f"{words}, {len(by[said])}: {', '.join(one.about for one in by[said])}"


def _covered(covered: Sequence[Finding]) -> Iterator[str]:
    """What came, and what did not: a pass says nothing of that."""
    came = [one.about for one in covered if one.said is Said.PASS]
    missing = [f"{one.about} (line {one.line})" for one in covered if one.said is Said.NOT_EXERCISED]
    if came:
        yield f"exercised, {len(came)} of {len(covered)}: {', '.join(came)}"
    if missing:
        yield f"NOT EXERCISED, {len(missing)}: {', '.join(missing)}"


def pace_text(pace: Pace) -> str:
    """How the session kept its time."""
    return (
        f"{pace.cycles} cycles, {pace.late} late; in ms, median, one in a thousand, longest: cycle "
        f"{_three(pace.cycle_ms)}, read {_three(pace.read_ms)}, write {_three(pace.write_ms)}"
    )


def _three(times: Sequence[float]) -> str:
    return " / ".join(f"{one:.1f}" for one in times)


def _wrapped(line: str, width: int) -> str:
    return "\n".join(textwrap.wrap(line, width, subsequent_indent="  ")) if line else ""
