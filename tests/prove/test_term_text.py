"""An invariant from a file: one term of declared symbols, or it is refused before a solver sees it."""

from __future__ import annotations

import pytest

from steadfall.logic.cone import cone
from steadfall.prove.decide.certificate import Certificate, script
from steadfall.prove.engines import recheck
from steadfall.prove.requirements.whole import watched
from steadfall.prove.solver.term_text import DEEPEST, NotATermError, one_term
from tests.prove.plans import guarded

SYMBOLS = {"started": "Bool", "last:upper.stage": "Int", "state:x.y": "Bool", "a!7": "Bool"}

TERMS = (
    "true",
    " started\n",
    "|started|",
    "(and started (not |state:x.y|))",
    "(=> started (<= 0 |last:upper.stage| 12))",
    "(= (- 3) (* (- 2) |last:upper.stage|))",
    "(>= (ite started 1 0) (mod |last:upper.stage| 4))",
    "(let ((a!1 (+ |last:upper.stage| 1)) (a!2 started)) (let ((a!3 (< a!1 2))) (or a!2 a!3)))",
    "(and " + "(let ((a!1 started)) a!1) " * 3 + ")",
)

ESCAPES = {
    "a second term": "true true",
    "a command after the term": "true true))(assert false)(define-fun other () Bool (and true",
    "the end of the definition, and the rest a comment": "true))(assert false);",
    "a bracket too many": "(and true))",
    "a bracket too few": "(and true",
    "nothing": "",
    "only spaces": "  \n",
    "an empty bracket": "()",
    "a comment": "true ; (",
    "a comment in a term": "(and true ;\n true)",
    "a text": '(= "a" "a")',
    "a text that shuts brackets": '(and true "))(assert false)")',
    "a command as a term": "(assert false)",
    "declared anew": "(declare-const y Bool)",
    "a new sort": "(declare-sort S 0)",
    "an annotation": "(! true :named other)",
    "a keyword": ":named",
    "a quantifier": "(forall ((x Int)) true)",
    "an index": "((_ divisible 3) |last:upper.stage|)",
    "a cast": "((as started Bool))",
    "an operator of no table": "(select |state:x.y| 1)",
    "the invariant itself": "(invariant started)",
    "a step's symbol": "|started@0|",
    "an input": "dt",
    "bars in bars": "|started||started|",
    "bars around a bracket": "|true)(assert false|",
    "bars that are not shut": "|started",
    "a name with a backslash": "|star\\ted|",
    "an unquoted name with a colon": "last:upper.stage",
    "a symbol of another case": "Started",
    "a number": "3",
    "a whole number where a truth belongs": "(and |last:upper.stage| true)",
    "a comparison of two kinds": "(= started |last:upper.stage|)",
    "an order of truths": "(< started started)",
    "a choice of two kinds": "(ite started 1 started)",
    "a power of unknowns": "(= 1 (* |last:upper.stage| |last:upper.stage|))",
    "a division by an unknown": "(= 1 (div 4 |last:upper.stage|))",
    "a division by nothing": "(= 1 (mod |last:upper.stage| 0))",
    "a real number": "(< 1.5 2)",
    "a hexadecimal number": "(= #x0 #x0)",
    "a letter of another script": "(and true \u0441)",
    "a zero byte": "true\x00",
    "let that names a symbol": "(let ((started true)) started)",
    "let that names a symbol like a part": "(let ((a!7 true)) a!7)",
    "let that names an operator": "(let ((and true)) true)",
    "let that names true": "(let ((true false)) true)",
    "let that names twice": "(let ((a!1 true) (a!1 false)) a!1)",
    "let that names again within": "(let ((a!1 true)) (let ((a!1 false)) a!1))",
    "let that uses its own name": "(let ((a!1 (not a!1))) a!1)",
    "a name used outside its let": "(and (let ((a!1 true)) a!1) a!1)",
    "let without a term": "(let ((a!1 true)))",
    "let with two terms": "(let ((a!1 true)) true true)",
    "let of a word": "(let a!1 true)",
    "let of words": "(let (a!1 true) true)",
    "brackets without end": "(not " * (DEEPEST + 2) + "true" + ")" * (DEEPEST + 2),
    "a hundred thousand brackets": "(" * 100_000,
    "what opens as often as it shuts": "(" * 100_000 + ")" * 100_000,
}


@pytest.mark.parametrize("text", TERMS)
def test_a_term_is_written_anew(text: str) -> None:
    made = one_term(text, SYMBOLS)
    assert made.split() == text.replace("( ", "(").replace(" )", ")").split()
    assert one_term(made, SYMBOLS) == made


@pytest.mark.parametrize("text", ESCAPES.values(), ids=list(ESCAPES))
def test_what_is_no_term_is_refused_with_its_place(text: str) -> None:
    with pytest.raises(NotATermError, match=r"^letter \d+: "):
        one_term(text, SYMBOLS)


@pytest.mark.parametrize("text", [text for text in ESCAPES.values() if "a!7" not in text])
def test_no_question_is_made_of_it(text: str) -> None:
    """The goal can be reached: whatever stands for the invariant, it must not be confirmed."""
    of = watched(guarded())
    row = next(one for one in of.required if one.name == "upper.sweep.at_rest")
    part = of.model(cone(of.network, [row.exercised]))
    with pytest.raises(NotATermError):
        script(part, [row.exercised], Certificate(text))


def test_many_lets_in_lets_are_one_term() -> None:
    text = "started"
    for number in range(5_000):
        text = f"(let ((a!{number + 10} (and started true))) {text})"
    assert one_term(text, SYMBOLS) == text


def test_what_is_read_is_what_cvc5_is_asked() -> None:
    of = watched(guarded())
    row = next(one for one in of.required if one.name == "upper.sweep.at_rest")
    part = of.model(cone(of.network, [row.bad]))
    text = script(part, [row.bad], Certificate("(or  started\n(not |started|))"))
    assert "Bool (and (or started (not |started|)) " in text
    assert len(recheck.answers(text)) == 3
