"""What is worked out of a plan once."""

import gc
from weakref import ref

from attrs import evolve

from steadfall.plan.meaning.once import once
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from tests.plan.paths import GOOD

SMALL = str(next(path for path in GOOD if path.stem == "small"))


def test_a_plan_is_asked_once_and_another_that_equals_it_anew() -> None:
    asked: list[int] = []

    @once
    def title(plan: Plan) -> str:
        asked.append(id(plan))
        return plan.title

    first, second = read_file(SMALL), read_file(SMALL)
    assert first == second
    assert [title(first), title(first), title(second), title(first)] == [first.title] * 4
    assert asked == [id(first), id(second), id(first)]
    assert title(evolve(first, title="another")) == "another"


def test_a_plan_is_not_kept_alive() -> None:
    @once
    def title(plan: Plan) -> str:
        return plan.title

    plan = read_file(SMALL)
    gone = ref(plan)
    title(plan)
    del plan
    gc.collect()
    assert gone() is None
