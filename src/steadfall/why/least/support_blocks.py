"""What the value of a latch, edge or timer rests on in a scan; see `why.least.support` for the rule.

A timer that is running comes out as it does by what it has counted, by the time since the last scan and by
its preset; one that has run out needs no more time. A preset of 0 (or below) decides by itself where the
standard says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from steadfall.logic import nodes
from steadfall.scan.interpreter import ON, OUT, REST, TIMING
from steadfall.why.facts.facts import CLOCK, DT, PREVIOUS, Fact, Part, Ways
from steadfall.why.least.view import View


def _clock(view: View) -> Fact:
    return Fact(CLOCK, view.name)


def _last(view: View) -> Fact:
    return Fact(PREVIOUS, view.name)


def rise(node: nodes.Rise, view: View) -> Ways:
    """True: now and not before. False: not now, or before already."""
    if view.now:
        return ((node.part, _clock(view)),)
    off: Ways = () if view.value(node.part) else ((node.part,),)
    return (*off, *(((_clock(view),),) if view.edge_before(node.part) else ()))


def fall(node: nodes.Fall, view: View) -> Ways:
    """True: not now and before (or first scan). False: now, or not before."""
    if view.now:
        return ((node.part, _clock(view)),)
    on: Ways = ((node.part,),) if view.value(node.part) else ()
    return (*on, *(((_clock(view),),) if view.edge_before(node.part) is False else ()))


def set_dominant(node: nodes.SetDominant, view: View) -> Ways:
    """Set wins; else cleared by reset; else as it was."""
    sets, resets = view.value(node.set), view.value(node.reset)
    if view.now:
        return (
            *(((node.set,),) if sets else ()),
            *(((node.reset, _last(view)),) if view.last and not resets else ()),
        )
    cleared: Ways = ((node.set, node.reset),) if resets else ()
    return (*cleared, *(((node.set, _last(view)),) if not view.last else ()))


def reset_dominant(node: nodes.ResetDominant, view: View) -> Ways:
    """Reset wins; else set; else as it was."""
    sets, resets = view.value(node.set), view.value(node.reset)
    if view.now:
        return (
            *(((node.reset, node.set),) if sets else ()),
            *(((node.reset, _last(view)),) if view.last else ()),
        )
    cleared: Ways = ((node.reset,),) if resets else ()
    return (*cleared, *(((node.set, _last(view)),) if not sets and not view.last else ()))


def _preset(node: nodes.Timer, view: View) -> int:
    return max(int(view.value(node.preset)), 0)


def _counted(view: View, preset: int) -> tuple[Part, ...]:
    """What the count rests on: once it has run out, the time since the last scan changes nothing."""
    return (_clock(view),) if view.clock.et >= preset else (_clock(view), DT)


def ton(node: nodes.Ton, view: View) -> Ways:
    """True once its part has held for the preset."""
    preset, clock = _preset(node, view), view.clock
    counted = _counted(view, preset)
    if view.now:
        return ((node.part, node.preset),) if not preset else ((node.part, *counted, node.preset),)
    off: Ways = () if view.value(node.part) else ((node.part,),)
    if clock.state == REST:
        return (*off, *(((_clock(view), node.preset),) if preset else ()))
    return (*off, *(((*counted, node.preset),) if clock.et + view.moment.dt < preset else ()))


def ton_counted(node: nodes.Ton, view: View) -> Ways:
    """The elapsed time of an on-delay."""
    preset, clock = _preset(node, view), view.clock
    off: Ways = () if view.value(node.part) else ((node.part,),)
    none: Ways = ((node.preset,),) if not preset else ()
    if clock.state == REST:
        return (*off, *none, (_clock(view),))
    return (*off, *none, *(() if off else ((node.part, *_counted(view, preset), node.preset),)))


def tof(node: nodes.Tof, view: View) -> Ways:
    """True while its part holds and for the preset after it."""
    preset, clock = _preset(node, view), view.clock
    counted, on = _counted(view, preset), bool(view.value(node.part))
    found: list[tuple[Part, ...]] = [(node.part,)] if on else []
    runs = clock.state == TIMING and clock.et + view.moment.dt < preset
    if runs:
        found.append((*counted, node.preset))
    if clock.state == ON and clock.et < preset:
        found.append((_clock(view), node.preset))
    if not view.now:
        if clock.state == TIMING:
            found.append((node.part, *counted, node.preset))
        if clock.state in (REST, OUT):
            found.append((node.part, _clock(view)))
        if clock.state == ON:
            found.append((node.part, _clock(view), node.preset))
        if not preset:
            found.append((node.part, node.preset))
    return tuple(found)


def tof_counted(node: nodes.Tof, view: View) -> Ways:
    """The elapsed time of an off-delay: 0 while its part holds, then counting, then standing."""
    preset, clock = _preset(node, view), view.clock
    if view.value(node.part):
        return ((node.part,), *(((_clock(view),),) if clock.state == ON and not clock.et else ()))
    if clock.state == TIMING:
        return ((node.part, *_counted(view, preset), node.preset),)
    if clock.state == ON:
        return ((_clock(view),),)
    return ((node.part, _clock(view)),)


def tp(node: nodes.Tp, view: View) -> Ways:
    """True for the preset from a rising part on."""
    preset, clock = _preset(node, view), view.clock
    none: Ways = ((node.preset,),) if not preset else ()
    if clock.state == TIMING:
        return (*none, (*_counted(view, preset), node.preset))
    if clock.state == OUT:
        return (*none, (_clock(view),))
    return ((node.part, _clock(view), node.preset),) if view.now else (*none, *_unless_on(node, view))


def _unless_on(node: nodes.Tp, view: View) -> Ways:
    return () if view.value(node.part) else ((node.part, _clock(view)),)


def tp_counted(node: nodes.Tp, view: View) -> Ways:
    """The elapsed time of a pulse."""
    preset, clock = _preset(node, view), view.clock
    if clock.state == TIMING:
        runs = clock.et + view.moment.dt < preset
        counted: tuple[Part, ...] = (*_counted(view, preset), node.preset)
        return (counted,) if runs else ((node.part, *counted),)
    return ((node.part, _clock(view)),) if clock.state == OUT else ((_clock(view),),)


def since(node: nodes.Since, view: View) -> Ways:
    """How long ago the event was; at the limit, or straight from 0, less is enough."""
    event, limit, last = Fact(PREVIOUS, node.event), node.limit_ms, int(view.last)
    if limit == 0:
        return ((),)
    if view.moment.last[node.event]:
        return ((event, DT), *(((_last(view), DT),) if last == 0 else ()))
    if last >= limit:
        return ((event, _last(view)),)
    return ((event, _last(view), DT), *(((_last(view), DT),) if last == 0 else ()))


COUNTED: Mapping[type[nodes.Timer], Callable[[Any, View], Ways]] = {
    nodes.Ton: ton_counted,
    nodes.Tof: tof_counted,
    nodes.Tp: tp_counted,
}
