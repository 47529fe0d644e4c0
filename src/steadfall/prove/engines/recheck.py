"""The second opinion: cvc5 answers the three questions of a certificate.

Rule of this file: nothing of the first solver is asked here; the text alone decides.
"""

from __future__ import annotations

from steadfall.source import OutsideError

try:
    import cvc5
except ImportError:  # pragma: no cover - the extra is installed where the tests run
    cvc5 = None

QUESTIONS = 3
UNITS = 3_000_000  # of its own work, for one question: a minute or so; most take less than a hundredth of it
# How it goes about its work: on the certificates of 14 plans, two thirds of the time of its defaults.
OPTIONS = {
    "incremental": "true",
    "ext-rew-prep": "use",
    "static-learning": "false",
    "heuristic-pivots": "0",
}


def answers(text: str, units: int = UNITS) -> list[str]:
    """What cvc5 says to each question of a script."""
    if cvc5 is None:
        raise OutsideError("cvc5 is not installed; 'pip install steadfall[prove]' brings it")
    solver = cvc5.Solver(cvc5.TermManager())
    for name, value in {**OPTIONS, "rlimit-per": str(units)}.items():
        solver.setOption(name, value)
    parser = cvc5.InputParser(solver)
    parser.setStringInput(cvc5.InputLanguage.SMT_LIB_2_6, text, "certificate")
    symbols = parser.getSymbolManager()
    found: list[str] = []
    while not (command := parser.nextCommand()).isNull():
        said = str(command.invoke(solver, symbols)).strip()
        if command.getCommandName() == "check-sat":
            found.append(said)
    return found


def holds(text: str, questions: int = QUESTIONS) -> bool:
    """Whether every question of a certificate is answered as it must be."""
    return answers(text) == ["unsat"] * questions
