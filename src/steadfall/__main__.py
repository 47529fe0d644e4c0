"""`steadfall`, and `python -m steadfall`."""

from __future__ import annotations

import gc
import importlib
import signal


def run() -> None:
    """The console script: while the commands are loaded there is nothing that Ctrl-C would have to tidy."""
    if signal.getsignal(signal.SIGINT) is not signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
    gc.disable()  # to load makes no garbage: to look for some took a sixteenth of `size`; a verb enables it
    importlib.import_module("steadfall.cli").run()


if __name__ == "__main__":
    run()
