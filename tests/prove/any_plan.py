"""Small plans of any kind, made by a seed: stages, doses, climbs, calls, guards, settings, a person's acts.

Rule of this file: a plan is text, of the logic alone. Its times are short, so that runs come everywhere. Not
every text is a good plan; those that are not are passed over.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.source import PlanError

HEAD = """steadfall: 1
title: A made-up plan
supplies:
  works_water: {fluid: water}
  works_air: {fluid: air}
"""
RAMP = "ramps:\n  fall: {of: metal, when: call, fall: 60 K/min, to: 80 degC, band: 10 K}\n"
STEAM = "  - {name: back-pressure, when: steam > 7 barg%s, reset: reset_button}\n"


def any_plans(seeds: Sequence[int]) -> Iterator[tuple[int, Plan]]:
    """The plans of some seeds, but for those that are none."""
    for seed in seeds:
        try:
            yield seed, read_text(any_text(seed), f"{seed}.yaml")
        except PlanError:
            continue


def any_text(seed: int) -> str:
    """The text of a seed."""
    return _Maker(random.Random(seed)).text()


class _Maker:
    def __init__(self, luck: random.Random) -> None:
        self.luck = luck
        self.longest = luck.choice((20, 40, 65, 100))
        self.settings: list[str] = []
        self.inputs = ["reset_button: {kind: switch}", "steam: {kind: pressure, range: 0 .. 16 barg}"]
        self.feedback = self.often(0.3)
        self.drain = luck.choice((None, "open", "shut"))
        self.ramp = self.often(0.2)
        self.stages: list[str] = []
        self.names: list[str] = []

    def often(self, share: float) -> bool:
        return self.luck.random() < share

    def ms(self, low: int, high: int) -> str:
        """A time, sometimes to be set at a panel."""
        value = self.luck.randint(low // 10, high // 10) * 10
        if self.often(0.92):
            return f"{value} ms"
        name, least = f"time_{len(self.settings) + 1}", max(10, value // 2)
        self.settings.append(f"{name}: {{default: {value} ms, adjustable: {least} ms .. {2 * value} ms}}")
        return name

    def text(self) -> str:
        nominal = min(20, self.longest)
        kind, circuits = self.kind(), self.circuits()
        rest = "".join((self.calls(), self.guards(), self.person(), self.shown(), self.required()))
        settings = "settings:\n" + "".join(f"  {row}\n" for row in self.settings) if self.settings else ""
        scan = f"scan: {{nominal: {nominal} ms, longest: {self.longest} ms}}\n"
        inputs = "inputs:\n" + "".join(f"  {row}\n" for row in self.inputs)
        return HEAD + scan + settings + kind + circuits + inputs + rest

    def kind(self) -> str:
        times = [
            f"{what}: {self.ms(100, 500)}" for what in ("shortest_open", "shortest_shut") if self.often(0.5)
        ]
        valves = [f"mist: {{{', '.join(('supply: works_water', *times))}}}"]
        feedback = (
            f", feedback: {{input: flood_is_open, within: {self.ms(200, 900)}}}" if self.feedback else ""
        )
        rested = f", shortest_shut: {self.ms(100, 400)}" if self.often(0.2) else ""
        valves += [f"flood: {{supply: works_water{rested}{feedback}}}", "sweep: {supply: works_air}"]
        valves += [f"drain: {{opens: outlet_bypass, rest: {self.drain}}}"] if self.drain else []
        many = self.luck.randint(1, 3)
        self.stages = (
            ["dosing", "soaking", "full"][-many:] if self.often(0.5) else ["dosing", "wet", "full"][:many]
        )
        stages = [self.stage(name, last=name == self.stages[-1]) for name in self.stages]
        steps = [f"{{name: blow_out, sweep: open, for: {self.ms(200, 1500)}}}"] if self.often(0.9) else []
        if self.drain and steps and self.often(0.6):
            steps.append(f"{{name: emptying, drain: open, for: {self.ms(200, 1500)}}}")
        down = f"    step_down: after {self.ms(100, 900)}\n" if self.often(0.3) else ""
        cold = "    cold_start: idle\n" if self.often(0.3) or not steps else ""
        lines = ["circuit_types:\n  coil:\n    valves:\n"]
        lines += [f"      {row}\n" for row in valves]
        lines += ["    stages:\n", *(f"      - {row}\n" for row in stages), down, cold]
        lines += ["    finish:\n", *(f"      - {row}\n" for row in steps)] if steps else []
        return "".join(lines)

    def stage(self, name: str, *, last: bool) -> str:
        does = [f"name: {name}"]
        water = self.luck.choice(("mist", "mist", "flood"))
        action = self.luck.choice(("open", "dose", "dose", "dose", "none"))
        swept = self.often(0.7)
        does += ["sweep: open"] if swept else []
        if action != "none":
            does.append(f"{water}: {'open' if action == 'open' else self.dose()}")
        if not last:
            does.append(f"climb: {self.climb()}")
        return f"{{{', '.join(does)}}}"

    def dose(self) -> str:
        if self.ramp and self.often(0.5):
            return f"{{share_of: fall, cycle: {self.luck.randint(10, 40) * 100} ms}}"
        parts = [f"open: {self.ms(100, 900)}", f"shut: {self.ms(100, 1500)}"]
        if self.often(0.2):
            parts.append("clock: free")
        elif self.often(0.25):
            then = self.luck.choice(
                ("open", "shut", f"{{open: {self.ms(100, 600)}, shut: {self.ms(100, 900)}}}")
            )
            parts += [f"for: {self.ms(300, 1500)}", f"then: {then}"]
        return f"{{{', '.join(parts)}}}"

    def climb(self) -> str:
        after = f"after {self.ms(200, 2500)}"
        cool = "metal < 120 degC" + (" with hysteresis 5 K" if self.often(0.2) else "")
        lasting = f"({cool} for {self.ms(50, 500)})"
        return self.luck.choice(
            (
                after,
                cool,
                f"{after} and {cool}",
                f"{after} or {cool}",
                f"{after} and {lasting}",
                f"({cool}) or step goes on",
            )
        )

    def circuits(self) -> str:
        self.names = ["upper", "lower"][: self.luck.choice((1, 1, 2))]
        self.inputs += ["metal: {kind: temperature, range: 0 .. 250 degC}", "step: {kind: switch}"]
        rows = []
        for name in self.names:
            delay = f", delay_doses: {self.ms(50, 900)}" if self.often(0.3) else ""
            rows.append(f"  {name}: {{type: coil{delay}}}\n")
            if self.feedback:
                self.inputs.append(f"{name}.flood_is_open: {{kind: switch}}")
        ramp = (
            "ramps:\n  fall: {of: metal, when: call, fall: 60 K/min, to: 80 degC, band: 10 K}\n"
            if self.ramp
            else ""
        )
        return "circuits:\n" + "".join(rows) + ramp

    def calls(self) -> str:
        last, first = self.stages[-1], self.stages[0]
        self.inputs.append("call: {kind: switch}")
        rows = [f"{{when: call, allows: {last}}}"]
        if self.often(0.3):
            self.inputs.append("gentle: {kind: switch}")
            rows.append(f"{{when: gentle, allows: {first}}}")
        if self.often(0.25):
            self.inputs += ["start: {kind: button}", "stop: {kind: button, normal: on}"]
            rows.append(f"{{start: start, stop: stop, allows: {last}}}")
        if self.often(0.2):
            self.inputs.append("demand: {kind: percent, range: 0 .. 100 %, normal: 0 %}")
            high = f", {last}: 80 %" if last != first else ""
            rows.append(f"{{demand: demand, thresholds: {{{first}: 10 %{high}}}, hysteresis: 4 %}}")
        elif self.ramp and self.often(0.6):
            rows[0] = f"{{demand: fall, thresholds: {{{first}: 10 %}}, hysteresis: 4 %}}"
        restart = "restart: by itself\n" if self.often(0.4) else ""
        return restart + "calls:\n" + "".join(f"  - {row}\n" for row in rows)

    def guards(self) -> str:
        found = ""
        if self.often(0.7):
            self.inputs.append("air_ok: {kind: switch, normal: on}")
            lasting = f" for {self.ms(50, 400)}" if self.often(0.2) else ""
            on = self.luck.choice(("all water", "all water", "[mist]", "[flood]"))
            found += f"permissives:\n  - {{name: air, needs: air_ok{lasting}, for: {on}}}\n"
        if self.often(0.6):
            found += "trips:\n" + STEAM % (f" for {self.ms(50, 400)}" if self.often(0.6) else "")
            if self.feedback:
                name = self.names[0]
                found += f"  - {{name: limit switch, when: {name}.flood.disagrees, reset: reset_button}}\n"
        return found

    def person(self) -> str:
        found = ""
        if self.often(0.25):
            self.inputs.append("held: {kind: switch}")
            found += "hold: {while: held}\n"
        if self.often(0.25) and len(self.stages) > 1:
            self.inputs.append("on_button: {kind: button}")
            found += f"step_on:\n  - {{button: on_button, from: [{self.stages[0]}]}}\n"
        if self.often(0.25):
            self.inputs += [
                "key: {kind: switch}",
                "mist_by_hand: {kind: switch}",
                "sweep_by_hand: {kind: switch}",
            ]
            found += "hand:\n  while: key\n"
            found += "".join(f"  {self.names[0]}.{one}: {one}_by_hand\n" for one in ("mist", "sweep"))
        if self.often(0.2):
            self.inputs.append("test_button: {kind: button}")
            valves = ", ".join(f"{name}.{valve}" for name in self.names for valve in ("mist", "flood"))
            times = f"for: {self.ms(200, 600)}, pause: {self.ms(100, 500)}"
            found += f"test: {{start: test_button, valves: [{valves}], {times}}}\n"
        return found

    def shown(self) -> str:
        found = ""
        if self.often(0.3):
            self.inputs.append("acknowledge: {kind: switch}")
            found += f"alarms:\n  - {{name: hot, when: metal > 150 degC for {self.ms(50, 500)}}}\n"
            found += "  - {name: steam, when: steam > 5 barg}\nacknowledge: acknowledge\n"
        if self.often(0.3):
            on, off = self.ms(50, 500), self.ms(50, 500)
            found += f"outputs:\n  pump: {{on: running, on_after: {on}, off_after: {off}}}\n"
        return found

    def required(self) -> str:
        one, luck = self.names[0], self.luck
        last, some = self.stages[-1], luck.randint(2, 30) * 100
        rows = [
            f"{{never: {one}.mist and not {one}.sweep, name: swept}}",
            f"{{every_opening: {one}.mist, lasts at most: {some} ms, name: not too long}}",
            f"{{whenever: call for {some} ms, then: not {one} is idle, name: answered}}",
            f"{{at_most: {luck.randint(1, 9)} openings of {one}.mist in {luck.randint(5, 40) * 100} ms}}",
            f"{{never: {one} is {last} and {one}.stage_time > {luck.randint(5, 50) * 100} ms}}",
        ]
        return "requirements:\n" + "".join(f"  - {row}\n" for row in luck.sample(rows, 2))
