"""Structured text as a network: the program that is in a controller today, for everything that reads
networks.

Rule of this file: whatever lies outside the subset is a problem with line and column, never left out. What is
read and how is told in docs/structured-text.md. A text is read more than once: first to learn how its timers
are called, what it assigns and what never changes, then to write the rows.
"""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.extras import opened
from steadfall.logic.network import Network
from steadfall.logic.nodes import Constant, Type, Value
from steadfall.plan.problems import MOST_LISTED
from steadfall.source import Mark, PlanError, Problem
from steadfall.st.read.declare import Text, Unit, declare, misplaced
from steadfall.st.read.expression import wanted
from steadfall.st.read.finish import finish
from steadfall.st.read.frame import Frame
from steadfall.st.read.space import Learnt, Space, UnreadableError
from steadfall.st.read.statements import problem, runner
from steadfall.st.read.text import Part, Tree, place
from steadfall.st.read.world import World

MOST_READINGS = 4  # each with what the last one found never to change


def read_st(
    text: str, name: str, names: Mapping[str, str] | None = None, *, lenient: bool = False
) -> Network:
    """The network of a text. `name` is what its places are called by; `names` maps variables to signals;
    where it is `lenient`, it may name variables that the text does not have.

    Inputs are the program's VAR_INPUT and what stands at %I, outputs its VAR_OUTPUT and what stands at %Q.
    Raises PlanError only.
    """
    problems: set[Problem] = set()
    found = declare(_parsed(text, name), name, problems)
    program = _program(found, problems)
    problems.update(misplaced(found, program))
    _raise(problems, text)
    learnt = Learnt()
    world = _run(found, program, Space(learnt, first_reading=True), problems)
    _raise(problems, text)
    for _ in range(MOST_READINGS):
        known = len(learnt.constant) + len(learnt.running)
        world = _run(found, program, Space(learnt, first_reading=False), problems)
        _raise(problems, text)
        if len(learnt.constant) + len(learnt.running) == known:
            break
    return finish(world, names or {}, text, lenient=lenient)


def _raise(problems: set[Problem], text: str) -> None:
    if problems:
        raise PlanError(sorted(problems)[:MOST_LISTED], text)


def _program(text: Text, problems: set[Problem]) -> Unit:
    """The program; where there is none, the one function block that no other one uses."""
    programs = [unit for unit in text.units.values() if unit.kind == "program"]
    if not programs:
        used = {row.type.lower() for unit in text.units.values() for row in unit.variables.values()}
        blocks = [unit for unit in text.units.values() if unit.kind == "function_block"]
        programs = [unit for unit in blocks if unit.name.lower() not in used]
    if len(programs) != 1:
        read = f"{len(programs)} programs" if programs else "no program"
        mark = programs[1].mark if programs else Mark(text.name, 1, 1)
        problems.add(Problem(mark, "program", "", read, "one PROGRAM"))
        return Unit("program", "", "", {}, None, mark)
    return programs[0]


def _run(text: Text, program: Unit, space: Space, problems: set[Problem]) -> World:
    """Reads one scan of the program."""
    world = World(text, space, lambda part, unit, prefix, kind: _first(world, part, unit, prefix, kind))
    run = runner(problems)
    try:
        world.open(Unit("program", "", "", text.globals, None, program.mark))
        world.open(program)
        for row in program.of("VAR_TEMP"):
            slot = space.slots[row.name.lower()]
            space.held[row.name.lower()] = Constant(slot.initial, slot.type)
        if program.body is not None:
            run(program.body, Frame(world, program, run))
        _settle(world)
    except UnreadableError as error:
        problems.add(problem(error))
    if not world.outputs and not problems:
        problems.add(Problem(program.mark, "program", "", "no outputs", "VAR_OUTPUT, or variables at %Q"))
    return world


def _first(world: World, part: Part, unit: Unit, prefix: str, kind: Type) -> Value:
    """A first value, which is worked out from constants."""
    mark = place(part, world.text.name)
    if part.data == "presets":
        raise UnreadableError(mark, "value", "a list of first values", "one value")
    value = wanted(part, Frame(world, unit, lambda _body, _frame: None, prefix), kind)
    if not isinstance(value, Constant):
        raise UnreadableError(mark, "value", "a first value that is not constant")
    return value.value


def _settle(world: World) -> None:
    """What the next reading is to know: timers that run at the end of every scan; variables that never
    change.
    """
    space = world.space
    for path, kind in world.instances.items():
        if kind == "TON" and space.held.get(f"{path}.#run") == Constant(True, Type.BOOL):
            space.learnt.running.add(path)
    for path, slot in space.slots.items():
        held = space.held.get(path)
        if path not in world.inputs and isinstance(held, Constant) and held.value == slot.initial:
            space.learnt.constant.add(path)


def _parsed(text: str, name: str) -> Tree:
    """The text as a tree. Raises OutsideError where what reads the grammar is not installed."""
    tree: Tree = opened("steadfall.st.read.parse").parse(text, name)
    return tree
