"""The job file: one fastener, its hole, the metals and the bush, in TOML.

Lengths, angles and loads are text with their unit (``depth = "25 mm"``). A key that no section has is
an error, never a silence.
"""

from __future__ import annotations

from threadwright.job.keys import parse_load
from threadwright.job.read import job_from_tables, read_job
from threadwright.job.records import (
    BushWish,
    Fastener,
    Hole,
    Job,
    Parent,
    Screw,
    SheetWish,
    collar_length,
    surroundings,
    wish,
)
from threadwright.job.run import plan_job
from threadwright.repair.wish import Locate

__all__ = [
    "BushWish",
    "Fastener",
    "Hole",
    "Job",
    "Locate",
    "Parent",
    "Screw",
    "SheetWish",
    "collar_length",
    "job_from_tables",
    "parse_load",
    "plan_job",
    "read_job",
    "surroundings",
    "wish",
]
