"""Generations of points that breed: the one door to pymoo (NSGA-II on a grid of whole numbers).

K. Deb, A. Pratap, S. Agarwal and T. Meyarivan, A fast and elitist multiobjective genetic algorithm: NSGA-II,
IEEE Transactions on Evolutionary Computation 6 (2002) 182-197. What exceeds its bounds is worse than all that
does not, as there.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from pymoo.algorithms.moo.nsga2 import NSGA2
from pymoo.core.evaluator import Evaluator
from pymoo.core.problem import Problem
from pymoo.operators.crossover.sbx import SBX
from pymoo.operators.mutation.pm import PM
from pymoo.operators.repair.rounding import RoundingRepair
from pymoo.problems.static import StaticProblem

from steadfall.dose.aim import Score
from steadfall.dose.variable import Point

SPREAD_OF_CHILDREN, SPREAD_OF_CHANGES = 15.0, 10.0  # distribution indices; the greater the nearer the parents


class Generations:
    """Asks for one generation after another and is told what came of it."""

    def __init__(self, counts: Sequence[int], first: Sequence[Point], parts: int, seed: int) -> None:
        self.problem = Problem(
            n_var=len(counts),
            n_obj=parts,
            n_ieq_constr=1,
            xl=np.zeros(len(counts)),
            xu=np.array(counts) - 1,
            vtype=int,
        )
        whole = RoundingRepair()
        self.algorithm = NSGA2(
            pop_size=len(first),
            sampling=np.array(first, dtype=int),
            crossover=SBX(prob=0.9, eta=SPREAD_OF_CHILDREN, vtype=float, repair=whole),
            mutation=PM(eta=SPREAD_OF_CHANGES, vtype=float, repair=whole),
            eliminate_duplicates=True,
        )
        self.algorithm.setup(self.problem, seed=seed, verbose=False)
        self.asked: Any = None

    def ask(self) -> list[Point]:
        """The points of the next generation; none where no new one is left."""
        self.asked = self.algorithm.ask()
        rows = () if self.asked is None else self.asked.get("X")
        return [tuple(int(place) for place in row) for row in rows]

    def tell(self, scores: Sequence[Score]) -> None:
        """What came of them, in the same order."""
        found = StaticProblem(
            self.problem,
            F=np.array([one.parts for one in scores]),
            G=np.array([[one.beyond] for one in scores]),
        )
        Evaluator().eval(found, self.asked)
        self.algorithm.tell(infills=self.asked)
