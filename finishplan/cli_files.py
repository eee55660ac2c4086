"""The files that a command names: read, checked, and laid over the shipped defaults; errors name the file."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.records.files import read_bytes, read_file
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.survey import choices
from finishplan.survey.job import Job, read_job_dict

MAX_STDIN = 10_000_001


def load(path: str, read: Callable[[Any], Any]) -> Any:
    """Return what ``read`` makes of the JSON in the file at ``path``; errors name the file."""
    try:
        raw = read_bytes(sys.stdin.buffer.read(MAX_STDIN)) if path == "-" else read_file(Path(path))
        return read(raw)
    except FinishplanError as error:
        raise FinishplanError(f"{file_name(path)}: {error}") from None


def file_name(path: str) -> str:
    """Return a file as messages name it."""
    return "standard input" if path == "-" else path


def check_to_write(option: str, path: str, end: str) -> None:
    """Refuse a name for a file to write that does not say its kind, or lies in a folder that is not there."""
    if not path.lower().endswith(end):
        raise BadValue(option, path, f"name a file that ends in {end}")
    if not Path(path).parent.exists():
        raise BadValue(option, path, "there is no such folder; make it first, or name another")


def load_job(options: argparse.Namespace) -> Job:
    """Return the job that was named, with the view that was asked for."""
    job: Job = load(options.job, read_job_dict)
    view = getattr(options, "seen_from", None)
    if view is None:
        return job
    if view not in choices.VIEWS:
        raise UnknownName("--seen-from", view, choices.VIEWS)
    panels = tuple(panel.model_copy(update={"seen_from": None}) for panel in job.panels)
    return job.model_copy(update={"seen_from": view, "panels": panels})


def load_profile(options: argparse.Namespace) -> Profile:
    """Return the shop that was named over the shipped defaults."""
    if options.shop is None:
        return default_profile()
    profile: Profile = load(options.shop, lambda raw: apply_shop(default_profile(), raw))
    return profile
