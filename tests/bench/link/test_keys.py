"""OPC UA with a user, certificates, sign and encrypt: whoever should come in does, nobody else, and no secret
stays.
"""

from __future__ import annotations

import stat
from collections.abc import Iterator
from pathlib import Path

import pytest
from attrs import evolve

from steadfall.bench.link.exchange import LostError
from steadfall.bench.link.file import PASSWORD, Access, LinkFile, with_access
from steadfall.bench.link.opcua.client import OpcUaLink
from steadfall.bench.link.opcua.keys import new_keys
from steadfall.bench.link.wires import Wire
from steadfall.cli import main
from steadfall.logic.nodes import Type
from steadfall.source import OutsideError
from tests.bench.link.guarded import SECRET, guarded

WIRES = [Wire("mist", Type.BOOL, False, node="ns=2;s=mist")]
PATIENT_S = 20.0


@pytest.fixture(scope="module")
def there(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    """A controller that asks who comes; its address, and a folder with keys of both."""
    folder = tmp_path_factory.mktemp("keys")
    with guarded(folder, WIRES) as address:
        yield address, folder


def access(folder: Path, server: str = "server.der") -> Access:
    return Access("bench", folder / "bench.der", folder / "bench.key", folder / server)


def test_with_key_user_and_password_it_comes_in(
    there: tuple[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    address, folder = there
    monkeypatch.setenv(PASSWORD, SECRET)
    link = OpcUaLink(LinkFile(address, access=access(folder)), WIRES, PATIENT_S)
    assert link.read().values == {"mist": True}
    assert SECRET not in repr(vars(link))
    link.close()


def test_a_password_that_was_typed_is_taken_before_that_of_the_environment(
    there: tuple[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    address, folder = there
    monkeypatch.setenv(PASSWORD, "another")
    file = LinkFile(address, access=evolve(access(folder), user="nobody"))
    link = OpcUaLink(with_access(file, Access("bench", password=SECRET)), WIRES, PATIENT_S)
    assert link.read().values == {"mist": True}
    assert SECRET not in repr(with_access(file, Access("bench", password=SECRET)))
    link.close()


def test_without_the_password_or_the_keys_it_does_not(
    there: tuple[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    address, folder = there
    monkeypatch.setenv(PASSWORD, "another")
    with pytest.raises(LostError) as told:
        OpcUaLink(LinkFile(address, access=access(folder)), WIRES, PATIENT_S)
    assert "another" not in str(told.value)
    with pytest.raises(LostError):
        OpcUaLink(LinkFile(address), WIRES, PATIENT_S)


def test_a_server_with_another_certificate_is_not_believed(
    there: tuple[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    address, folder = there
    monkeypatch.setenv(PASSWORD, SECRET)
    with pytest.raises(LostError, match="another certificate than server_certificate"):
        OpcUaLink(LinkFile(address, access=access(folder, server="bench.der")), WIRES, PATIENT_S)


def test_keys_are_their_owners_and_are_never_written_over(there: tuple[str, Path]) -> None:
    _, folder = there
    assert stat.S_IMODE((folder / "bench.key").stat().st_mode) == 0o600
    with pytest.raises(OutsideError, match="never written over"):
        new_keys(folder)


def test_the_verb_makes_them(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["bench", "--new-keys", str(tmp_path / "keys")]) == 0
    assert [path.name for path in sorted((tmp_path / "keys").iterdir())] == ["bench.der", "bench.key"]
    assert "the key stays here" in capsys.readouterr().err
    assert main(["bench"]) == 2
