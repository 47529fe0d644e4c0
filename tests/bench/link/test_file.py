"""A link file says who is where; what does not fit is told at its place, all at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadfall.bench.link.file import LinkFile, joined, link_of, read_link
from steadfall.bench.link.wires import Form, Register, Table, placed, signals
from steadfall.logic.build.whole import build
from steadfall.source import OutsideError, PlanError
from tests.bench.made import plan_of

GOOD = """address: modbus.tcp://192.168.0.20:502
device: 3
word_order: low first
cycle: 100 ms
settle: 30 s
signals:
  upper.mist: {modbus: coil 3}
  upper.pressure: {modbus: holding register 10, type: int16, scale: 10}
"""


def problems(text: str) -> list[str]:
    with pytest.raises(PlanError) as told:
        link_of(text, "link.yaml", Path())
    return [one.sentence() for one in told.value.problems]


def test_a_good_one_is_read() -> None:
    link = link_of(GOOD, "link.yaml", Path())
    assert (link.address, link.device, link.low_word_first) == ("modbus.tcp://192.168.0.20:502", 3, True)
    assert (link.cycle_ms, link.settle_ms) == (100, 30_000)
    place = link.places["upper.pressure"]
    assert (place.register, place.form, place.scale) == (Register(Table.HOLDING, 10), Form.INT16, 10.0)


def test_keys_lie_beside_the_file_and_no_secret_in_it() -> None:
    text = "address: opc.tcp://a:1/\nuser: bench\ncertificate: own.pem\nkey: own.key\n"
    access = link_of(text, "link.yaml", Path("there")).access
    assert (access.user, access.certificate, access.key) == (
        "bench",
        Path("there/own.pem"),
        Path("there/own.key"),
    )
    assert problems("address: opc.tcp://a:1/\npassword: secret\n")[0].startswith(
        "link.yaml:2:1: 'password' is no"
    )


def test_an_address_alone_will_do() -> None:
    assert read_link("opc.tcp://127.0.0.1:4840/") == LinkFile("opc.tcp://127.0.0.1:4840/")
    with pytest.raises(OutsideError, match="cannot read"):
        read_link("no_such_file.yaml")


def test_all_that_is_wrong_is_told_at_once_with_its_place() -> None:
    found = problems(
        "address: tcp://a\ndevice: 300\nword_order: middle\nsignals:\n  a.b: {modbus: bulb 3, scale: 0}\n"
    )
    assert [line.partition(": ")[0] for line in found] == [
        "link.yaml:1:10",
        "link.yaml:2:9",
        "link.yaml:3:13",
        "link.yaml:5:17",
        "link.yaml:5:32",
    ]
    assert all("expected" in line for line in found)
    assert problems("device: 1\n") == [
        "link.yaml:1:1: address: no address; expected that of the controller such as "
        "'opc.tcp://192.168.0.20:4840/' [missing]"
    ]


def test_what_the_bench_must_move_needs_a_place_that_can_be_written() -> None:
    plan = plan_of("wiring")
    wires = placed(signals(plan, build(plan)), plan)
    with pytest.raises(PlanError) as told:
        joined(wires, link_of(GOOD, "link.yaml", Path()))
    found = {(one.slug, one.key) for one in told.value.problems}
    assert ("not-writable", "full_call") in found  # the plan has it on a terminal: discrete input 0
    assert ("no-place", "upper.flood") in found
    assert ("no-place", "upper.stage") not in found, "a stage is welcome, and not needed"
    assert not any(key in ("upper.mist", "upper.pressure") for _, key in found)


def test_a_cycle_is_a_time_that_a_session_can_hold() -> None:
    found = problems("address: opc.tcp://a:1/\ncycle: 2 ms\nsettle: 5 barg\n")
    assert [line.partition(": ")[0] for line in found] == ["link.yaml:2:8", "link.yaml:3:9"]


def test_a_name_that_is_none_is_told_with_the_nearest() -> None:
    plan = plan_of("wiring")
    text = "address: opc.tcp://a:1/\nsignals: {uper.mist: {opcua: ns=2;s=a}}\n"
    with pytest.raises(PlanError, match="did you mean"):
        joined(placed(signals(plan, build(plan)), plan), link_of(text, "link.yaml", Path()))
