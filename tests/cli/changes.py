"""What somebody may change in a stored proof: a row for each, with words of the sentence that it must give.

The rows of tests/cli/test_tampered.py, of a plan that refutes a requirement of its own and one more with a
power cut.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

# The requirements of the proof's four rows.
REFUTED, KEPT, ANYTHING, PAUSE = "stated.1", "stated.6", "stated.13", "upper.mist.shortest_shut"
Change = Callable[[Any], Any]


def set_to(*path: Any, value: Any) -> Change:
    """A value put in a place."""

    def change(proof: Any) -> None:
        here = proof
        for key in path[:-1]:
            here = here[key]
        here[path[-1]] = value

    return change


def without(*path: Any) -> Change:
    """What stands in a place taken out."""

    def change(proof: Any) -> None:
        here = proof
        for key in path[:-1]:
            here = here[key]
        del here[path[-1]]

    return change


def without_cuts(proof: Any) -> None:
    """The run of a power cut as one of scans alone."""
    here = proof
    for key in (*CUT_ROW, "trace", "steps"):
        here = here[key]
    cut = [step for step in here if "off_ms" in step]
    assert cut
    for step in cut:
        del step["off_ms"]


def twice(*path: Any) -> Change:
    """A list with its first row once more."""

    def change(proof: Any) -> None:
        here = proof
        for key in path:
            here = here[key]
        here.append(here[0])

    return change


REFUTED_ROW, PROVED_ROW, ANY_ROW, PAUSE_ROW = (("requirements", number) for number in range(4))
STUCK, BOUNCES, LOST, POWER = (("with_faults", number) for number in range(4))
CUT_ROW = (*POWER, "requirements", 0)
CERTIFICATE = (*PROVED_ROW, "certificate")
LEMMAS = ("lemmas", 0)
TRACE = (*REFUTED_ROW, "trace")
STEP = (*TRACE, "steps", 0)


def verdict_of(row: tuple[Any, ...], word: str, certificate: Any = None) -> Change:
    """Another verdict, with what it cannot be without."""

    def change(proof: Any) -> None:
        here = proof["requirements"][row[1]]
        here |= {"verdict": word, "trace": None, "rechecked": True, "engine": "one step", "notes": []}
        here["certificate"] = certificate or {"invariant": "true", "freed": []}
        here["witness"] = {"by": "runs", "seed": 0, "scan": 0, "at_ms": 0}

    return change


def every_lemma_true(proof: Any) -> None:
    """Lemmas that are inductive and exclude nothing."""
    proof["lemmas"][0]["lemmas"] = ["true"] * len(proof["lemmas"][0]["lemmas"])


OWN = {"invariant": "true", "freed": []}


def of_its_own(key: str, value: Any = None) -> Change:
    """A certificate of the requirement's own in place of shared lemmas, in which one thing is changed; None:
    left out.
    """

    def change(proof: Any) -> None:
        kept = proof["requirements"][PROVED_ROW[1]]["certificate"] = {**OWN, key: value}
        if value is None:
            del kept[key]

    return change


# What is changed -> the change, and words of the sentence that it must give.
SHAPE: Mapping[str, tuple[Change, str]] = {
    "no version": (without("steadfall"), "'steadfall' is missing"),
    "another version": (set_to("steadfall", value=2), "steadfall: 2; expected 1"),
    "a version that is true": (set_to("steadfall", value=True), "steadfall: True"),
    "no plan": (without("plan"), "another plan"),
    "a plan that is a text": (set_to("plan", value="here"), "another plan"),
    "another digest": (set_to("plan", "digest", value="0" * 64), "another plan"),
    "a plan without a title": (without("plan", "title"), "plan: 'title' is missing"),
    "a title that is a number": (set_to("plan", "title", value=3), "plan.title: 3"),
    "a controller's text": (set_to("code", value={"file": "a.st", "digest": "0"}), "another plan"),
    "good is a word": (set_to("good", value="yes"), "good: 'yes'; expected true or false"),
    "stopped is a number": (set_to("stopped", value=0), "stopped: 0"),
    "left_out is a text": (set_to("left_out", value=KEPT), "left_out: 'stated.6'; expected a list"),
    "faults is a text": (set_to("faults", value="power cut"), "faults: 'power cut'; expected a list"),
    "other faults": (set_to("faults", value=["power cut"]), "made with other faults"),
    "seconds is a text": (set_to("seconds", value="1"), "seconds: '1'"),
    "seconds below nothing": (set_to("seconds", value=-1), "seconds: -1"),
    "a key of nobody": (set_to("extra", value=1), "'extra' is no key"),
    "requirements is an object": (set_to("requirements", value={}), "requirements: {}; expected a list"),
    "requirements is null": (set_to("requirements", value=None), "requirements: None"),
    "no requirements": (without("requirements"), "'requirements' is missing"),
    "a row that is a text": (set_to(*PROVED_ROW, value="proved"), "requirements[1]: 'proved'"),
    "a row without a name": (without(*PROVED_ROW, "name"), "requirements[1]: 'name' is missing"),
    "a name that is a list": (set_to(*PROVED_ROW, "name", value=[]), "requirements[1].name: []"),
    "a verdict of nobody": (set_to(*PROVED_ROW, "verdict", value="PROVED"), "requirements[1].verdict: 'PR"),
    "a verdict that is a list": (set_to(*PROVED_ROW, "verdict", value=["proved"]), "requirements[1].verd"),
    "an engine of nobody": (set_to(*PROVED_ROW, "engine", value="luck"), "requirements[1].engine: 'luck'"),
    "a row's seconds": (set_to(*PROVED_ROW, "seconds", value=None), "requirements[1].seconds: None"),
    "a note on two lines": (set_to(*PROVED_ROW, "notes", value=["a\nb"]), "requirements[1].notes[0]"),
    "half a letter": (set_to(*PROVED_ROW, "notes", value=["\ud800"]), "requirements[1].notes[0]"),
    "rechecked is a word": (set_to(*PROVED_ROW, "rechecked", value="yes"), "requirements[1].rechecked"),
    "a line that is a text": (
        set_to(*PROVED_ROW, "plan_lines", 0, "line", value="53"),
        "requirements[1].plan_lines[0].line: '53'",
    ),
    "proved without a certificate": (set_to(*CERTIFICATE, value=None), "proved without a certificate"),
    "refuted without a run": (set_to(*TRACE, value=None), "refuted without a trace"),
    "proved without a witness": (set_to(*PROVED_ROW, "witness", value=None), "proved without a witness"),
    "a certificate that is a text": (set_to(*CERTIFICATE, value="true"), "requirements[1].certificate: 'tr"),
    "no invariant": (of_its_own("invariant"), "'invariant' is missing"),
    "an invariant that is a truth": (of_its_own("invariant", True), "invariant: True"),
    "an invariant that ends early": (
        of_its_own("invariant", "true))(assert false);"),
        "stated.6: certificate: invariant: letter",
    ),
    "an invariant of signals that there are not": (
        of_its_own("invariant", "|last:nowhere|"),
        "stated.6: certificate: invariant: letter 1",
    ),
    "an invariant that is a number": (of_its_own("invariant", "1"), "a number; expected"),
    "freed is a text": (of_its_own("freed", "tripped"), "freed: 'tripped'; expected a list"),
    "freed is what it must not": (of_its_own("freed", ["upper.mist"]), "certificate: freed"),
    "freed is nothing": (of_its_own("freed", ["nowhere"]), "certificate: freed"),
    "lemmas of nobody": (set_to(*CERTIFICATE, "lemmas", value="lower"), "certificate: lemmas: 'lower'"),
    "lemmas that are a number": (set_to(*CERTIFICATE, "lemmas", value=1), "certificate.lemmas: 1; expected"),
    "which that is a text": (set_to(*CERTIFICATE, "which", value="all"), "certificate.which: 'all'"),
    "a place below the first": (set_to(*CERTIFICATE, "which", value=[-1]), "certificate.which[0]: -1"),
    "a place after the last": (set_to(*CERTIFICATE, "which", value=[999]), "which: [999]; expected numbers"),
    "no lemmas at all": (without("lemmas"), "'lemmas' is missing"),
    "lemmas without a name": (without(*LEMMAS, "name"), "lemmas[0]: 'name' is missing"),
    "lemmas of another name": (set_to(*LEMMAS, "name", value="lower"), "expected the name of lemmas"),
    "lemmas about nothing": (set_to(*LEMMAS, "about", value=[]), "lemmas of 'upper': about: []"),
    "lemmas about what there is not": (set_to(*LEMMAS, "about", value=["x"]), "about: ['x']; expected"),
    "lemmas that free what they must not": (
        set_to(*LEMMAS, "freed", value=["upper.mist"]),
        "lemmas of 'upper': freed: ['upper.mist']; expected",
    ),
    "a lemma that ends early": (
        set_to(*LEMMAS, "lemmas", 0, value="true))(assert false);"),
        "lemmas of 'upper': lemmas[0]: letter",
    ),
    "a lemma about nobody": (set_to(*LEMMAS, "lemmas", 0, value="|last:nowhere|"), "lemmas[0]: letter 1"),
    "proved called vacuous": (set_to(*PROVED_ROW, "verdict", value="vacuous"), "stated.6: certificate: "),
    "more scans, and not how many": (
        set_to(*STEP, "then", value=[[40]]),
        "then[0]: [40]; expected ms and a number of scans",
    ),
    "more scans in no time": (
        set_to(*STEP, "then", value=[[0, 5]]),
        "then[0][0]: 0; expected a whole number",
    ),
    "a run without steps": (without(*TRACE, "steps"), "requirements[0].trace: 'steps' is missing"),
    "steps that are an object": (set_to(*TRACE, "steps", value={}), "requirements[0].trace.steps: {}"),
    "a step without inputs": (without(*STEP, "inputs"), "requirements[0].trace.steps[0]: 'inputs' is miss"),
    "an input that is a text": (set_to(*STEP, "inputs", "full_call", value="on"), "'on'; expected true, f"),
    "no scans": (set_to(*STEP, "scans", value=0), "requirements[0].trace.steps[0].scans: 0"),
    "half a scan": (set_to(*STEP, "scans", value=1.5), "requirements[0].trace.steps[0].scans: 1.5"),
    "time that runs back": (set_to(*STEP, "scan_ms", value=-1), "scan_ms: -1"),
    "a witness that is a list": (set_to(*PROVED_ROW, "witness", value=[1]), "requirements[1].witness: [1]"),
    "a witness by nobody": (set_to(*PROVED_ROW, "witness", "by", value="me"), "witness.by: 'me'"),
    "a seed that is a text": (set_to(*PROVED_ROW, "witness", "seed", value="1"), "witness.seed: '1'"),
    "a seed below nothing": (set_to(*PROVED_ROW, "witness", "seed", value=-1), "witness.seed: -1"),
    "a change without an input": (
        set_to(*PROVED_ROW, "witness", "then", value={"scan": 1, "to": 1}),
        "witness.then: 'input' is missing",
    ),
    "contradictions is null": (set_to("contradictions", value=None), "contradictions: None"),
    "with_faults is null": (set_to("with_faults", value=None), "with_faults: None"),
    "a fault without a name": (without(*STUCK, "fault"), "with_faults[0]: 'fault' is missing"),
    "kept is a text": (set_to(*POWER, "kept", value="all"), "with_faults[3].kept: 'all'"),
    "runs below nothing": (set_to(*STUCK, "runs", value=-6), "with_faults[0].runs: -6"),
    "a fault's row without a verdict": (
        without(*CUT_ROW, "verdict"),
        "with_faults[3].requirements[0]: 'verdict' is missing",
    ),
}

CLAIMS: Mapping[str, tuple[Change, str]] = {
    "another title": (set_to("plan", "title", value="other"), "plan: title: 'other' is stored"),
    "another date": (set_to("plan", "revised", value="1999-01-01"), "plan: revised: '1999"),
    "good": (set_to("good", value=True), "good: True is stored, and it is False"),
    "what is left out": (set_to("left_out", value=[KEPT]), "left_out: stored, and it is not so"),
    "a note": (set_to("notes", value=["all is well"]), "notes: stored, and it is not so: 'all is well'"),
    "a difference": (set_to("differences", value=["none"]), "differences: stored, and it is not so"),
    "a missing row": (without(*PROVED_ROW), "stated.6: the stored proof says nothing of it"),
    "a missing refuted row": (without(*REFUTED_ROW), "stated.1: the stored proof says nothing of it"),
    "no rows at all": (set_to("requirements", value=[]), "stated.1: the stored proof says nothing of it"),
    "a row twice": (twice("requirements"), "requirements: stored more than once: 'stated.1'"),
    "a row of nobody": (
        set_to(*PROVED_ROW, "name", value="stated.99"),
        "requirements: stored, and not of this plan: 'stated.99'",
    ),
    "a row under another name": (set_to(*ANY_ROW, "name", value=KEPT), "more than once: 'stated.6'"),
    "another sentence": (set_to(*PROVED_ROW, "sentence", value="It is so."), "stated.6: sentence: 'It is so"),
    "another origin": (set_to(*PROVED_ROW, "stated", value=False), "stated.6: stated: False is stored"),
    "another line": (set_to(*PROVED_ROW, "plan_lines", 0, "line", value=1), "stated.6: plan_lines[0]: line"),
    "no lines": (set_to(*PROVED_ROW, "plan_lines", value=[]), "stated.6: plan_lines"),
    "not rechecked": (set_to(*PROVED_ROW, "rechecked", value=None), "stated.6: rechecked: None is stored"),
    "a note of a row": (set_to(*PROVED_ROW, "notes", value=["as is known"]), "stated.6: notes"),
    "refuted called proved": (verdict_of(REFUTED_ROW, "proved"), "stated.1: cvc5 does not confirm"),
    "refuted called vacuous": (verdict_of(REFUTED_ROW, "vacuous"), "stated.1: cvc5 does not confirm"),
    "proved called unknown": (set_to(*PROVED_ROW, "verdict", value="unknown"), "stated.6: rechecked: True"),
    "an invariant that says nothing": (
        set_to(*PAUSE_ROW, "certificate", value=OWN),
        f"{PAUSE}: cvc5 does not confirm",
    ),
    "an invariant that is never so": (
        of_its_own("invariant", "false"),
        "stated.6: cvc5 does not confirm",
    ),
    "a lemma that is never so": (
        set_to(*LEMMAS, "lemmas", 0, value="false"),
        "stated.6: cvc5 does not confirm",
    ),
    "a lemma that says nothing": (every_lemma_true, f"{PAUSE}: cvc5 does not confirm"),
    "fewer lemmas than it takes": (
        set_to(*PAUSE_ROW, "certificate", "which", value=[]),
        f"{PAUSE}: cvc5 does not confirm",
    ),
    "lemmas twice": (twice("lemmas"), "lemmas: stored more than once: 'upper'"),
    "more lemmas of nobody": (
        lambda proof: proof["lemmas"].append({**proof["lemmas"][0], "name": "attic"}),
        "lemmas: stored, and not of this plan: 'attic'",
    ),
    "another moment": (set_to(*TRACE, "violated_at_ms", value=1), "stated.1: the stored run does not break"),
    "a run without steps in it": (set_to(*TRACE, "steps", value=[]), "stated.1: the stored run does not br"),
    "a step's moment": (set_to(*STEP, "at_ms", value=7), "stated.1: the stored run does not break it"),
    "later scans too far apart": (
        set_to(*TRACE, "steps", 1, "then", value=[[41, 1]]),
        "stated.1: the stored run does not break it",
    ),
    "scans too far apart": (set_to(*TRACE, "steps", 1, "scan_ms", value=41), "stated.1: the stored run does"),
    "scans without time": (set_to(*TRACE, "steps", 1, "scan_ms", value=0), "stated.1: the stored run does n"),
    "more scans than can be run": (set_to(*STEP, "scans", value=10**12), "stated.1: the stored run does not"),
    "an input of nobody": (set_to(*STEP, "inputs", "nowhere", value=True), "stated.1: the stored run does n"),
    "a switch that is a number": (set_to(*STEP, "inputs", "full_call", value=1), "stated.1: the stored run"),
    "a measured value that is true": (
        set_to(*STEP, "inputs", "upper.pressure", value=True),
        "stated.1: the stored run does not break it",
    ),
    "an input written": (set_to(*STEP, "inputs", "upper.mist", value=True), "stated.1: the stored run does"),
    "a power cut without that fault": (
        set_to(*TRACE, "steps", 1, "off_ms", value=40),
        "stated.1: the stored run does not break it",
    ),
    "a scan in which it does not apply": (
        set_to(*PAUSE_ROW, "witness", "scan", value=0),
        f"{PAUSE}: the stored run in which it applies cannot be made again",
    ),
    "a scan after the end": (
        set_to(*PAUSE_ROW, "witness", "scan", value=10**9),
        f"{PAUSE}: the stored run in which it applies cannot be made again",
    ),
    "a witness at another time": (
        set_to(*PAUSE_ROW, "witness", "at_ms", value=1),
        f"{PAUSE}: the stored run in which it applies cannot be made again",
    ),
    "a witness with another seed": (
        set_to(*PAUSE_ROW, "witness", "seed", value=1),
        f"{PAUSE}: the stored run in which it applies cannot be made again",
    ),
    "a change of an input of nobody": (
        set_to(*PAUSE_ROW, "witness", "then", value={"scan": 1, "input": "nowhere", "to": 1}),
        f"{PAUSE}: the stored run in which it applies cannot be made again",
    ),
    "a witness by its violation": (
        set_to(*PAUSE_ROW, "witness", value={"by": "its violation", "at_ms": 0}),
        f"{PAUSE}: the stored run in which it applies cannot be made again",
    ),
    "a contradiction of nobody": (
        set_to(
            "contradictions",
            value=[{"requirements": [KEPT], "sentences": [""], "plan_lines": [], "once": "", "broken": KEPT}],
        ),
        "contradictions",
    ),
}

UNDER_FAULTS: Mapping[str, tuple[Change, str]] = {
    "stopped": (set_to("stopped", value=True), ""),
    "a missing fault": (without(*POWER), "with_faults: nothing is stored of 'power cut'"),
    "no faults": (set_to("with_faults", value=[]), "with_faults: nothing is stored of 'full_call bounces'"),
    "a fault twice": (twice("with_faults"), "with_faults: stored more than once"),
    "a fault of nobody": (set_to(*STUCK, "fault", value="rust"), "with_faults: stored, and not of this plan"),
    "a fault's place": (set_to(*STUCK, "plan_line", "line", value=1), "at its upper end: plan_line: line"),
    "a fault that is not good": (set_to(*STUCK, "good", value=False), "at its upper end: good: False is st"),
    "kept by less": (without(*STUCK, "kept", 0), "at its upper end: kept: not stored"),
    "kept by a cut and broken by it": (
        set_to(*POWER, "kept", value=[KEPT, ANYTHING, PAUSE]),
        f"with power cut: stored more than once: '{PAUSE}'",
    ),
    "kept and broken at once": (twice(*POWER, "kept"), "with power cut: stored more than once"),
    "neither kept nor broken": (without(*CUT_ROW), "the stored proof says nothing of it"),
    "what may break": (set_to(*POWER, "may_break", value=[KEPT]), "with power cut: may_break"),
    "nothing is broken": (set_to(*POWER, "broken", value=[]), "with power cut: broken: not stored"),
    "what was quiet": (set_to(*STUCK, "quiet", value=[]), "at its upper end: quiet: not stored"),
    "how many runs": (set_to(*STUCK, "runs", value=60), "at its upper end: runs: 60 is stored"),
    "a run with a cut, without the cut": (
        without_cuts,
        "the stored run does not break it",
    ),
    "broken by a cut, called proved": (
        lambda proof: verdict_of(PAUSE_ROW, "proved")(
            {"requirements": [None] * 3 + proof["with_faults"][3]["requirements"]}
        ),
        "cvc5 does not confirm",
    ),
}
