"""Opening the screens to the shop's network: only by name, only behind a passphrase."""

from __future__ import annotations

import io
from argparse import Namespace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from finishplan import cli, cli_app
from finishplan.records import pins, signers, where

PHRASE = "green felt and glue"


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(where.DATA_VARIABLE, str(tmp_path / "data"))
    monkeypatch.delenv(where.DB_VARIABLE, raising=False)


def typed(monkeypatch: pytest.MonkeyPatch, text: str, *more: str) -> int:
    monkeypatch.setattr("sys.stdin", io.StringIO(text))
    return cli.main(["passphrase", *more])


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


def test_a_lost_pin_is_set_at_the_machine_and_the_history_tells_it(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert typed(monkeypatch, "2580\n2580\n", "--signer", "Ana") == 0
    out = capsys.readouterr().out
    assert "Ana signs as a finisher with this PIN" in out and "2580" not in out
    store = cli_app.opened_store()
    try:
        assert store.shop("x", datetime.now(UTC)).body["people"] == [{"id": "Ana", "role": "finisher"}]
        assert [line.wording for line in store.history("shop", 2)] == [
            "PIN of Ana set at the machine itself", "Ana, finisher, named at the machine itself"]
        assert pins.try_pin(store, "Ana", "2580", datetime.now(UTC)).right
        assert [(line.tried, line.who) for line in pins.attempts(store)][-1] == ("set", signers.AT_MACHINE)
    finally:
        store.close()


@pytest.mark.parametrize(("name", "text", "said"), [
    ("Ana", "2580\n2581\n", "the two PINs differ; nothing was set, try again"),
    ("Ana", "1234\n1234\n", "a PIN of one digit over and over, or of digits in a row, is guessed first; type another"),
    ("Ana", "", "a PIN is 4 to 12 digits, 0 to 9; type another"),
    (pins.NOT_A_PERSON, "2580\n2580\n",
     "that is no name of a person; give the short name that a finisher signs with"),
])
def test_a_signer_who_cannot_be_named(name: str, text: str, said: str, monkeypatch: pytest.MonkeyPatch,
                                      capsys: pytest.CaptureFixture[str]) -> None:
    assert typed(monkeypatch, text, "--signer", name) == 2
    assert capsys.readouterr().err == f"finishplan: {said}\n"


@pytest.mark.parametrize("host", ["a b", "http://x", "-x", "x/../y", "*", ""])
def test_a_host_that_is_none(host: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["app", f"--network={host}"]) == 2
    assert capsys.readouterr().err.startswith(f"finishplan: --network is {host!r}; give this machine's name")


def test_a_port_that_is_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["app", "--port", "0"]) == 2
    assert capsys.readouterr().err == "finishplan: --port is 0; give a port from 1 to 65535\n"


def test_the_data_folder_is_named_before_the_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr("streamlit.web.cli.main", lambda: 0)
    monkeypatch.chdir(tmp_path)
    assert cli.main(["app", "--data", "bench"]) == 0
    assert where.find().folder == tmp_path / "bench"
    told = capsys.readouterr().out
    assert told == f"What you type is kept in {tmp_path / 'bench'}. The screens stop with Ctrl+C here.\n"
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{PHRASE}\n{PHRASE}\n"))
    assert cli.main(["passphrase", "--data", str(tmp_path / "other")]) == 0
    assert (tmp_path / "other" / "finishplan.sqlite3").exists()


def test_a_data_folder_that_is_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["app", "--data", "a\0b"]) == 2
    assert capsys.readouterr().err == "finishplan: the data folder's name holds a NUL; give a plain folder name\n"
