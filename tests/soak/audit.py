"""Known faults of what the program stands on: every package it needs, as installed, against published advisories.

    python -m pip install -e ".[audit]" && python -m tests.soak.audit

Asks the advisory service of the package index (pip-audit) where the network answers. Where it does not, a database
that comes as a package (safety-db) is looked through; how old that is stands in what is printed.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from datetime import UTC, datetime
from importlib import metadata, util
from pathlib import Path
from typing import Any

from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet

TOP = Path(__file__).parents[2]
EXTRAS = ("postgres", "test")


def name_of(name: str) -> str:
    """A package's name as the index writes it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def needed() -> dict[str, str]:
    """Every package that the program or its tests need here, and theirs: name and version."""
    found: dict[str, str] = {}
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    asked = [Requirement(text) for text in (*project["dependencies"], *(t for name in EXTRAS for t in extras[name]))]
    while asked:
        wanted = asked.pop()
        try:
            here = metadata.distribution(wanted.name)
        except metadata.PackageNotFoundError:
            continue
        chosen = {"", *wanted.extras}
        if name_of(wanted.name) in found and not wanted.extras:
            continue
        found[name_of(wanted.name)] = here.version
        for text in here.requires or ():
            need = Requirement(text)
            if need.marker is None or any(need.marker.evaluate({"extra": extra}) for extra in chosen):
                asked.append(need)
    return found


def online(packages: dict[str, str]) -> str | None:
    """What the advisory service says of the packages; None where it does not answer."""
    if util.find_spec("pip_audit") is None:
        return None
    listed = "\n".join(f"{name}=={version}" for name, version in sorted(packages.items()))
    asked = subprocess.run([sys.executable, "-m", "pip_audit", "--no-deps", "--disable-pip", "-f", "json", "-r",
                            "/dev/stdin"], input=listed, capture_output=True, text=True, check=False, timeout=300)
    try:
        told: list[dict[str, Any]] = json.loads(asked.stdout)["dependencies"]
    except (ValueError, KeyError):
        return None
    if all("skip_reason" in one for one in told):
        return None  # the index here carries no advisories
    bad = [f"{one['name']} {one['version']}: {fault['id']}" for one in told for fault in one.get("vulns", ())]
    return "\n".join([*bad, f"advisory service: {len(told)} packages looked at, {len(bad)} known faults"])


def offline(packages: dict[str, str]) -> str | None:
    """What the database that comes as a package says; None where it is not installed."""
    found = util.find_spec("safety_db")
    if found is None or found.origin is None:
        return None
    known: dict[str, Any] = json.loads(Path(found.origin).with_name("insecure_full.json").read_text(encoding="utf-8"))
    bad = [f"{name} {version}: {fault.get('cve') or fault['id']}" for name, version in sorted(packages.items())
           for fault in known.get(name, ()) if any(SpecifierSet(spec).contains(version) for spec in fault["specs"])]
    made = datetime.fromtimestamp(known["$meta"]["timestamp"], UTC).date()
    return "\n".join([*bad, f"offline database of {made} ({len(known) - 1} packages known): {len(packages)} packages "
                            f"looked at, {len(bad)} known faults. Ask the service where there is a network"])


def main() -> int:
    """Look everything up and say what was found; 1 where there are known faults or nothing to look them up in."""
    packages = needed()
    told = online(packages) or offline(packages)
    if told is None:
        print("no advisories here: the service does not answer, and no database is installed (extra audit)")
        return 1
    print(told)
    return 0 if ", 0 known faults" in told else 1


if __name__ == "__main__":
    sys.exit(main())
