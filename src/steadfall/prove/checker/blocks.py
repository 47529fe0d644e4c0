"""Latches, edges and timers as text for the checker: what each gives, and what it keeps for the next scan."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from steadfall.logic import nodes
from steadfall.logic.nodes import Node, Type
from steadfall.prove.checker.nodes import Page, least
from steadfall.prove.system.kept import age, elapsed, last, state


def _rise(page: Page, node: nodes.Rise, name: str) -> str:
    page.after[state(name)] = page.of(node.part)
    return f"(and {page.of(node.part)} (not {page.own(state(name))}))"


def _fall(page: Page, node: nodes.Fall, name: str) -> str:
    page.after[state(name)] = f"(not {page.of(node.part)})"
    return f"(and (not {page.of(node.part)}) (not {page.own(state(name))}))"


def _set_dominant(page: Page, node: nodes.SetDominant, name: str) -> str:
    return f"(or {page.of(node.set)} (and (not {page.of(node.reset)}) {page.own(last(name))}))"


def _reset_dominant(page: Page, node: nodes.ResetDominant, name: str) -> str:
    return f"(and (not {page.of(node.reset)}) (or {page.of(node.set)} {page.own(last(name))}))"


def _preset(page: Page, node: Any) -> str:
    preset = page.of(node.preset)
    return f"(ite (< {preset} 0) 0 {preset})"


def _counted(page: Page, name: str, preset: str) -> str:
    return least(f"(+ {page.own(elapsed(name))} {page.own('dt')})", preset)


def _timer(page: Page, name: str, et: str, new: str) -> None:
    page.after[elapsed(name)] = page.define(page.own(f"ET {name}"), Type.TIME, et)
    page.after[state(name)] = new


def _ton(page: Page, node: nodes.Ton, name: str) -> str:
    on, preset = page.of(node.part), _preset(page, node)
    going = f"(ite {page.own(state(name))} {_counted(page, name, preset)} 0)"
    _timer(page, name, f"(ite {on} {going} 0)", on)
    return f"(and {on} (>= {page.own(f'ET {name}')} {preset}))"


def _tof(page: Page, node: nodes.Tof, name: str) -> str:
    on, preset, was = page.of(node.part), _preset(page, node), page.own(state(name))
    counted = f"(ite (= {was} 2) {_counted(page, name, preset)} {page.own(elapsed(name))})"
    lasts = f"(and (or (= {was} 1) (= {was} 2)) (< {counted} {preset}))"
    over = f"(ite (or (= {was} 1) (= {was} 2)) (ite {lasts} 2 3) {was})"
    _timer(page, name, f"(ite {on} 0 {counted})", f"(ite {on} 1 {over})")
    return f"(or {on} {lasts})"


def _tp(page: Page, node: nodes.Tp, name: str) -> str:
    on, preset, was = page.of(node.part), _preset(page, node), page.own(state(name))
    counted = f"(ite (= {was} 2) {_counted(page, name, preset)} {page.own(elapsed(name))})"
    begun = f"(or (= {was} 2) (and (= {was} 0) {on}))"
    lasts = f"(and {begun} (< {counted} {preset}))"
    ends = f"(and (not {lasts}) (or {begun} (= {was} 3)))"
    new = f"(ite {lasts} 2 (ite {ends} (ite {on} 3 0) {was}))"
    _timer(page, name, f"(ite (and {ends} (not {on})) 0 {counted})", new)
    return lasts


def _since(page: Page, node: nodes.Since, name: str) -> str:
    return least(f"(+ {page.own(age(name))} {page.own('dt')})", str(node.limit_ms))


BLOCKS: Mapping[type[Node], Callable[[Page, Any, str], str]] = {
    nodes.Rise: _rise,
    nodes.Fall: _fall,
    nodes.SetDominant: _set_dominant,
    nodes.ResetDominant: _reset_dominant,
    nodes.Ton: _ton,
    nodes.Tof: _tof,
    nodes.Tp: _tp,
    nodes.Since: _since,
}
