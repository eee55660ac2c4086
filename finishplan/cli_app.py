"""Starting the screens, on this machine alone or behind a passphrase; what is set at the machine itself."""

from __future__ import annotations

import argparse
import getpass
import os
import re
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from finishplan.errors import BadValue, FinishplanError

if TYPE_CHECKING:
    from finishplan.records.store import Store
    from finishplan.records.where import Where

HOST = re.compile(r"[A-Za-z0-9]([A-Za-z0-9.-]{0,251}[A-Za-z0-9])?")
DEFAULT_PORT = 8501


def app_options(command: argparse.ArgumentParser) -> None:
    """Add the port of the screens, where the jobs are kept, and the name by which the shop's network reaches them."""
    command.add_argument("--port", type=int, help=f"port on this machine (default {DEFAULT_PORT})")
    command.add_argument("--network", metavar="HOST",
                         help="answer the shop's network too, behind the passphrase; HOST is this machine's name or "
                              "address as the tablets type it, as in 192.168.1.20")
    data_option(command)


def data_option(command: argparse.ArgumentParser) -> None:
    """Add the folder in which jobs, photos and backups are kept."""
    command.add_argument("--data", metavar="DIR",
                         help="folder in which jobs, photos and backups are kept (default: FINISHPLAN_DATA, else this "
                              "machine's usual place for data)")


def keep_in(folder: str | None) -> Where:
    """Return where the store stands, and have all that starts from here find it there."""
    from finishplan.records.where import DATA_VARIABLE, find

    place = find(folder)
    if folder is not None:
        os.environ[DATA_VARIABLE] = str(place.folder)
    return place


def run_app(options: argparse.Namespace) -> int:
    """Start the screens."""
    from streamlit.web.cli import main as streamlit_main

    if options.port is not None and not 1 <= options.port <= 65535:
        raise BadValue("--port", options.port, "give a port from 1 to 65535")
    place = keep_in(options.data)
    start = Path(__file__).parent / "screens" / "start.py"
    sys.argv = ["streamlit", "run", str(start), *network_flags(options)]
    if options.port is not None:
        sys.argv += ["--server.port", str(options.port)]
    kept_in = place.folder if place.url is None else "the database of FINISHPLAN_DB"
    sys.stdout.write(f"What you type is kept in {kept_in}. The screens stop with Ctrl+C here.\n")
    sys.stdout.flush()
    os.chdir(start.parent if (start.parent / ".streamlit").is_dir() else start.parent.parent.parent)
    status = streamlit_main()
    return int(status or 0)


def network_flags(options: argparse.Namespace) -> list[str]:
    """Return what opens the screens to the shop's network; nothing where it was not asked for."""
    host = options.network
    if host is None:
        return []
    if not HOST.fullmatch(host):
        raise BadValue("--network", host, "give this machine's name or address, as in 192.168.1.20 or bench-pc.local")
    from finishplan.records import passphrase

    store = opened_store()
    try:
        if not passphrase.is_set(store):
            raise FinishplanError("--network: the shop has no passphrase yet; set one first: finishplan passphrase")
    finally:
        store.close()
    flags = ["--server.address", "0.0.0.0", "--browser.serverAddress", host]
    for name in ("127.0.0.1", "localhost", host):
        flags += ["--server.allowedHosts", name]
    return flags


def run_passphrase(options: argparse.Namespace) -> int:
    """Set the passphrase that --network asks for; typed twice, never shown, kept as a hash."""
    from finishplan.records import passphrase

    keep_in(options.data)
    if options.signer is not None:
        return set_signer(options.signer)
    first = typed("New passphrase of the shop: ")
    passphrase.check(first)
    if typed("The same again: ") != first:
        raise FinishplanError("the two passphrases differ; nothing was set, try again")
    store = opened_store()
    try:
        passphrase.set_passphrase(store, first, "at this machine", datetime.now(UTC))
    finally:
        store.close()
    sys.stdout.write("The passphrase is set; whoever is in from elsewhere has to type it anew.\n")
    return 0


def passphrase_options(command: argparse.ArgumentParser) -> None:
    """Add the way to a signer's PIN where it is lost and nobody is left who could set it."""
    command.add_argument("--signer", metavar="NAME",
                         help="name NAME a finisher who signs and set their PIN instead: for a PIN that is lost, where "
                              "nobody is left who could set it on the Shop page; the shop's history tells it")
    data_option(command)


def set_signer(name: str) -> int:
    """Name a finisher who signs and set their PIN; typed twice, never shown, kept as a hash."""
    from finishplan.records import pins, signers

    first = typed(f"New PIN of {name}: ")
    pins.check_pin(first)
    if typed("The same again: ") != first:
        raise FinishplanError("the two PINs differ; nothing was set, try again")
    store = opened_store()
    try:
        signers.name_signer(store, name, first, datetime.now(UTC))
    finally:
        store.close()
    sys.stdout.write(f"{name} signs as a finisher with this PIN. The shop's history says that it was set here.\n")
    return 0


def typed(prompt: str) -> str:
    """Return what is typed, without showing it; a line of standard input where that is no keyboard."""
    if sys.stdin.isatty():
        return getpass.getpass(prompt)
    return sys.stdin.readline().rstrip("\r\n")


def opened_store() -> Store:
    """Return the store of this machine."""
    from finishplan.records.store import open_store
    from finishplan.records.where import find

    return open_store(find(), datetime.now(UTC))
