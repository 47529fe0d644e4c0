"""The option that hands many runs to a cluster."""

from __future__ import annotations

import click

on_cluster = click.option(
    "--cluster",
    metavar="ADDRESS",
    default="",
    help="Do the runs on the Dask cluster of this scheduler, as tcp://10.0.0.5:8786.",
)
