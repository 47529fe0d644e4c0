"""What a plan accepts is looked up without the plant."""

import subprocess
import sys

from tests.examples import EXAMPLES

CHECKS = """
import sys
from steadfall.app.check import check
assert check(sys.argv[1]).plan.accepted
sys.exit("numba" in sys.modules)
"""


def test_a_plan_that_accepts_failures_is_checked_without_the_kernels() -> None:
    """They take longer to load than all else that `check` does."""
    run = subprocess.run([sys.executable, "-c", CHECKS, str(EXAMPLES["press"])], check=False)
    assert run.returncode == 0
