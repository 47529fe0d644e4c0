"""Which certificates without faults are ones with power cuts too: those whose invariant a cut keeps.

Rule of this file: what is said here rests on cvc5. Of a certificate of one requirement the solver is asked
first where nothing is stored yet, since it is quicker to say no.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from attrs import evolve

from steadfall.logic.cone import cone
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.certificate import Certificate, script
from steadfall.prove.decide.lemma_set import ByLemmas, LemmaSet
from steadfall.prove.decide.lemma_set import kept_by_cuts as lemmas_kept
from steadfall.prove.decide.result import Verdict
from steadfall.prove.engines import recheck
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Answer, Solver
from steadfall.prove.system.step import Model, model

Given = tuple[Sequence[Verdict], Ask]


def by_certificate(proved: Iterable[Verdict], ask: Ask) -> list[Given]:
    """Verdicts that lean on the same lemmas together, others each for itself."""
    found: dict[object, list[Verdict]] = {}
    for row in proved:
        kept = row.certificate
        found.setdefault(kept.of if isinstance(kept, ByLemmas) else row.required.name, []).append(row)
    return [(rows, ask) for rows in found.values()]


def kept_by_cuts(of: Watched, given: Given) -> frozenset[str]:
    """The names of those requirements whose certificate a cut keeps."""
    rows, ask = given
    first = rows[0].certificate
    if isinstance(first, ByLemmas):
        return _by_lemmas(of, first.of, rows)
    return frozenset(row.required.name for row in rows if survives(of, row, ask))


def _by_lemmas(of: Watched, kept: LemmaSet, rows: Sequence[Verdict]) -> frozenset[str]:
    part = model_of(of, kept)
    which = {row.required.bad: row.certificate.which for row in rows if isinstance(row.certificate, ByLemmas)}
    good = lemmas_kept(part, kept, which)
    return frozenset(row.required.name for row in rows if row.required.bad in good)


def model_of(of: Watched, kept: LemmaSet) -> Model:
    """What lemmas speak of, as the plan gives it now, with the power cuts that are asked for."""
    bads = {row.name: row.bad for row in of.required}
    part = cone(
        of.network, [bads[name] for name in kept.about if name in bads], frozenset(kept.freed).__contains__
    )
    return model(part, of.plan.scan.longest_ms, power_cut=of.faults.power_cut, single=True)


def survives(of: Watched, verdict: Verdict, ask: Ask) -> bool:
    """Whether a certificate of one requirement is one with power cuts: a cut keeps its invariant."""
    certificate = verdict.certificate
    if not isinstance(certificate, Certificate):
        return False
    part = _part(of, verdict, certificate)
    return _keeps(cuts_alone(part), certificate, Budget(ask.effort)) and (
        not ask.recheck or _confirmed(part, certificate)
    )


def confirms(of: Watched, verdict: Verdict) -> bool:
    """Whether cvc5 says that a cut keeps the invariant of a certificate of one requirement."""
    certificate = verdict.certificate
    if not isinstance(certificate, Certificate):
        return False
    return _confirmed(_part(of, verdict, certificate), certificate)


def _part(of: Watched, verdict: Verdict, certificate: Certificate) -> Model:
    freed = frozenset(certificate.freed)
    return of.model(cone(of.network, [verdict.required.bad], freed.__contains__))


def _confirmed(part: Model, certificate: Certificate) -> bool:
    return recheck.holds(script(part, (), certificate, cut=True))


def cuts_alone(part: Model) -> Model:
    """A model with power cuts, of whose steps only the cuts are left."""
    assert part.cut is not None  # noqa: S101 - a cut is asked about
    cut = (part.cut[0], part.space.value(True))
    post = {key: terms.simplify(terms.substitute(term, cut)) for key, term in part.post.items()}
    return evolve(part, post=post, allowed=terms.simplify(terms.substitute(part.allowed, cut)))


def _keeps(part: Model, certificate: Certificate, budget: Budget) -> bool:
    inside = terms.And(part.space.read(certificate.invariant, part.state), part.ends)
    after = terms.substitute(inside, *zip(part.state, part.after, strict=True))
    solver = Solver(part.space)
    solver.add(inside, part.allowed, terms.Not(after))
    return solver.ask(budget) is Answer.NO
