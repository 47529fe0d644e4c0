"""`python -m steadfall` is the same as `steadfall`."""

from steadfall.cli import run

if __name__ == "__main__":
    run()
