"""How hypothesis runs: no time limit for an example, since the machine may be busy; the same examples in
CI.
"""

import os

from hypothesis import settings

settings.register_profile("steadfall", deadline=None, derandomize="CI" in os.environ, print_blob=True)
settings.load_profile("steadfall")
