"""Opening the screens to the shop's network: only by name, only behind a passphrase."""

from __future__ import annotations

import io
from argparse import Namespace
from pathlib import Path

import pytest

from finishplan import cli, cli_app
from finishplan.records import where

PHRASE = "green felt and glue"


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(where.DATA_VARIABLE, str(tmp_path / "data"))
    monkeypatch.delenv(where.DB_VARIABLE, raising=False)


def typed(monkeypatch: pytest.MonkeyPatch, text: str) -> int:
    monkeypatch.setattr("sys.stdin", io.StringIO(text))
    return cli.main(["passphrase"])


def test_network_needs_a_passphrase_first(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["app", "--network", "192.168.1.20"]) == 2
    assert capsys.readouterr().err == (
        "finishplan: --network: the shop has no passphrase yet; set one first: finishplan passphrase\n")


def test_with_a_passphrase_only_the_named_host_is_answered(monkeypatch: pytest.MonkeyPatch,
                                                           capsys: pytest.CaptureFixture[str]) -> None:
    assert typed(monkeypatch, f"{PHRASE}\n{PHRASE}\n") == 0
    assert PHRASE not in capsys.readouterr().out
    flags = cli_app.network_flags(Namespace(network="bench-pc.local"))
    assert flags[:4] == ["--server.address", "0.0.0.0", "--browser.serverAddress", "bench-pc.local"]
    assert flags[4:] == ["--server.allowedHosts", "127.0.0.1", "--server.allowedHosts", "localhost",
                         "--server.allowedHosts", "bench-pc.local"]
    assert cli_app.network_flags(Namespace(network=None)) == []


@pytest.mark.parametrize(("text", "said"), [
    (f"{PHRASE}\n{PHRASE}!\n", "the two passphrases differ; nothing was set, try again"),
    ("short\nshort\n", "a passphrase has 10 to 200 letters; a few plain words do; type another"),
    ("", "a passphrase has 10 to 200 letters; a few plain words do; type another"),
])
def test_a_passphrase_that_cannot_be_set(text: str, said: str, monkeypatch: pytest.MonkeyPatch,
                                         capsys: pytest.CaptureFixture[str]) -> None:
    assert typed(monkeypatch, text) == 2
    assert capsys.readouterr().err == f"finishplan: {said}\n"


@pytest.mark.parametrize("host", ["a b", "http://x", "-x", "x/../y", "*", ""])
def test_a_host_that_is_none(host: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["app", f"--network={host}"]) == 2
    assert capsys.readouterr().err.startswith(f"finishplan: --network is {host!r}; give this machine's name")


def test_a_port_that_is_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["app", "--port", "0"]) == 2
    assert capsys.readouterr().err == "finishplan: --port is 0; give a port from 1 to 65535\n"
