"""A second, small reading of structured text: to C, so that a compiler's own arithmetic runs it.

Written from the standard alone and sharing nothing with the product: its own words, its own parser, its own
timers, which look at a clock instead of adding up scans. It knows what emitted programs use, and stops at
anything else.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

WORD = re.compile(
    r"\s+|\(\*.*?\*\)|(?P<time>T#-?[0-9a-z]+)|(?P<real>\d+\.\d+(?:E-?\d+)?)|(?P<int>\d+)"
    r"|(?P<address>%[A-Z]+[\d.]+)|(?P<name>[A-Za-z_]\w*)|(?P<sign>:=|<=|>=|<>|[-+*/=<>().,:;])",
    re.DOTALL,
)
TYPES = {"BOOL": "int", "INT": "int", "TIME": "long long", "REAL": "double"}
PRELUDE = r"""
#include <math.h>
#include <stdio.h>
#include <string.h>
static long long now; /* ms */
#define MAX_(a, b) ((a) > (b) ? (a) : (b))
#define MIN_(a, b) ((a) < (b) ? (a) : (b))
static long long whole(double x) { return x != x ? 0 : (long long)rint(x); }
typedef struct { int IN; long long PT; int Q; long long ET; int was; long long start; } TON;
static void call_TON(TON *t) {
    if (t->IN && !t->was) t->start = now;
    t->ET = t->IN ? MIN_(now - t->start, t->PT) : 0;
    t->Q = t->IN && t->ET >= t->PT;
    t->was = t->IN;
}
typedef struct { int IN; long long PT; int Q; long long ET; int was, busy; long long start; } TP;
static void call_TP(TP *t) {
    if (t->IN && !t->was && !t->busy) { t->busy = 1; t->start = now; }
    if (t->busy) {
        t->ET = MIN_(now - t->start, t->PT);
        t->Q = t->ET < t->PT;
        if (!t->Q && !t->IN) { t->busy = 0; t->ET = 0; }
    }
    t->was = t->IN;
}
typedef struct { int S1, R, Q1; } SR;
static void call_SR(SR *t) { t->Q1 = t->S1 || (!t->R && t->Q1); }
typedef struct { int IN; long long PT; int Q; long long ET; int was; long long start; } TOF;
static void call_TOF(TOF *t) {
    if (t->IN) { t->Q = 1; t->ET = 0; }
    else {
        if (t->was) t->start = now;
        if (t->Q) { t->ET = MIN_(now - t->start, t->PT); t->Q = t->ET < t->PT; }
    }
    t->was = t->IN;
}
typedef struct { int CLK, Q, was; } R_TRIG;
static void call_R_TRIG(R_TRIG *t) { t->Q = t->CLK && !t->was; t->was = t->CLK; }
typedef struct { int CLK, Q, was; } F_TRIG;
static void call_F_TRIG(F_TRIG *t) { t->Q = !t->CLK && !t->was; t->was = !t->CLK; }
typedef struct { int S, R1, Q1; } RS;
static void call_RS(RS *t) { t->Q1 = !t->R1 && (t->S || t->Q1); }
"""
STANDARD = {
    "TON": {"IN": "BOOL", "PT": "TIME", "Q": "BOOL", "ET": "TIME"},
    "TP": {"IN": "BOOL", "PT": "TIME", "Q": "BOOL", "ET": "TIME"},
    "SR": {"S1": "BOOL", "R": "BOOL", "Q1": "BOOL"},
    "TOF": {"IN": "BOOL", "PT": "TIME", "Q": "BOOL", "ET": "TIME"},
    "R_TRIG": {"CLK": "BOOL", "Q": "BOOL"},
    "F_TRIG": {"CLK": "BOOL", "Q": "BOOL"},
    "RS": {"S": "BOOL", "R1": "BOOL", "Q1": "BOOL"},
}


def words(text: str) -> Iterator[tuple[str, str]]:
    at = 0
    while at < len(text):
        found = WORD.match(text, at)
        if found is None:
            raise ValueError(f"no word at {text[at : at + 40]!r}")
        at = found.end()
        if found.lastgroup:
            yield found.lastgroup, found.group()
    yield "end", ""


def milliseconds(text: str) -> int:
    units = {"d": 86_400_000, "h": 3_600_000, "m": 60_000, "s": 1000, "ms": 1}
    return sum(int(count) * units[unit] for count, unit in re.findall(r"(\d+)(ms|[dhms])", text))


class Translation:
    """Reads the text from left to right and writes C."""

    def __init__(self, text: str) -> None:
        self.words, self.at = list(words(text)), 0
        self.types: dict[str, dict[str, str]] = dict(STANDARD)
        self.local: dict[str, str] = {}
        self.out: list[str] = [PRELUDE]

    def take(self, *wanted: str) -> str:
        word = self.words[self.at][1]
        if wanted and word not in wanted:
            raise ValueError(f"{word!r} where {wanted} was expected: {self.words[self.at - 5 : self.at + 5]}")
        self.at += 1
        return word

    def sees(self, *wanted: str) -> bool:
        return self.words[self.at][1] in wanted

    def program(self) -> str:
        while self.words[self.at][0] != "end":
            self.unit(self.take("FUNCTION_BLOCK", "PROGRAM"))
        return "\n".join(self.out)

    def unit(self, kind: str) -> None:
        name = self.take()
        sections: dict[str, list[tuple[str, str, str]]] = {"input": [], "output": []}
        self.local, fields, first = {}, [], []
        while self.sees("VAR", "VAR_INPUT", "VAR_OUTPUT"):
            section = self.take()
            if self.sees("CONSTANT", "RETAIN"):
                self.take()
            while not self.sees("END_VAR"):
                word, type_, value, letter = self.variable()
                fields.append(f"    {TYPES.get(type_, type_)} {word};")
                first.append(f"    s->{word} = {value};" if type_ in TYPES else self.first(word, type_))
                if section == "VAR_INPUT" or letter == "I":
                    sections["input"].append((word, type_, value))
                elif section == "VAR_OUTPUT" or letter == "Q":
                    sections["output"].append((word, type_, value))
            self.take("END_VAR")
        self.types[name] = self.local
        body = self.statements(f"END_{kind}")
        self.take()
        self.out += [
            "typedef struct {",
            *fields,
            f"}} {name};",
            f"static void first_{name}({name} *s) {{",
            *first,
            "}",
        ]
        self.out += [f"static void call_{name}({name} *s) {{", body, "}"]
        if kind == "PROGRAM":
            self.main(name, sections["input"], sections["output"])

    def first(self, word: str, type_: str) -> str:
        if type_ in STANDARD:
            return f"    memset(&s->{word}, 0, sizeof s->{word});"
        return f"    first_{type_}(&s->{word});"

    def variable(self) -> tuple[str, str, str, str]:
        word, letter = self.take(), ""
        if self.sees("AT"):
            self.take()
            letter = self.take()[1]
        self.take(":")
        type_, value = self.take(), "0"
        self.local[word] = type_
        if self.sees(":="):
            self.take()
            value = self.expression()
        self.take(";")
        return word, type_, value, letter

    def statements(self, *ends: str) -> str:
        body = []
        while not self.sees(*ends):
            body.append(self.statement())
        return "\n".join(body)

    def branch(self) -> str:
        parts = [f"    if ({self.expression()}) {{"]
        self.take("THEN")
        parts.append(self.statements("ELSIF", "ELSE", "END_IF"))
        while self.sees("ELSIF"):
            self.take()
            parts.append(f"    }} else if ({self.expression()}) {{")
            self.take("THEN")
            parts.append(self.statements("ELSIF", "ELSE", "END_IF"))
        if self.sees("ELSE"):
            self.take()
            parts += ["    } else {", self.statements("END_IF")]
        self.take("END_IF")
        self.take(";")
        return "\n".join([*parts, "    }"])

    def case(self) -> str:
        """As a chain of ifs: the numbers of the states are variables here."""
        index, parts, word = self.expression(), [], "if"
        self.take("OF")
        while not self.sees("ELSE", "END_CASE"):
            labels = [self.take()]
            while self.sees(","):
                self.take()
                labels.append(self.take())
            self.take(":")
            chosen = " | ".join(f"({index} == s->{label})" for label in labels)
            parts.append(f"    {word} ({chosen}) {{")
            while not (self.sees("ELSE", "END_CASE") or self.words[self.at + 1][1] in (",", ":")):
                parts.append(self.statement())
            word = "} else if"
        self.take("ELSE")
        parts += ["    } else {", self.statements("END_CASE")]
        self.take("END_CASE")
        self.take(";")
        return "\n".join([*parts, "    }"])

    def statement(self) -> str:
        target = self.take()
        if target in ("IF", "CASE"):
            return self.branch() if target == "IF" else self.case()
        if self.sees("("):
            return self.block(target)
        self.take(":=")
        value = self.expression()
        self.take(";")
        return f"    s->{target} = {value};"

    def block(self, instance: str) -> str:
        type_, lines = self.local[instance], []
        self.take("(")
        while not self.sees(")"):
            name = self.take()
            assert name in self.types[type_]
            self.take(":=")
            lines.append(f"    s->{instance}.{name} = {self.expression()};")
            if self.sees(","):
                self.take()
        self.take(")")
        self.take(";")
        return "\n".join([*lines, f"    call_{type_}(&s->{instance});"])

    def expression(self, level: int = 0) -> str:
        levels = (("OR",), ("XOR",), ("AND",), ("=", "<>"), ("<", ">", "<=", ">="), ("+", "-"), ("*", "/"))
        if level == len(levels):
            return self.atom()
        found = self.expression(level + 1)
        while self.sees(*levels[level]):
            sign = {"OR": "|", "XOR": "^", "AND": "&", "=": "==", "<>": "!="}.get(
                self.words[self.at][1], self.take()
            )
            found = f"({found} {sign} {self.expression(level + 1)})"
        return found

    def atom(self) -> str:  # noqa: PLR0911 - one line for each form of an operand
        kind, word = self.words[self.at]
        self.at += 1
        if word in ("NOT", "-"):
            return f"({'!' if word == 'NOT' else '-'}{self.atom()})"
        if word == "(":
            inner = self.expression()
            self.take(")")
            return f"({inner})"
        if kind == "time":
            return f"{'-' if '-' in word else ''}{milliseconds(word)}LL"
        if kind in ("int", "real"):
            return word
        if word in ("TRUE", "FALSE"):
            return str(int(word == "TRUE"))
        if self.sees("("):
            return self.function(word)
        if self.sees("."):
            self.take()
            last = self.take()
            assert last in self.types[self.local[word]]
            return f"s->{word}.{last}"
        assert word in self.local, word
        return f"s->{word}"

    def function(self, name: str) -> str:
        given = []
        self.take("(")
        while not self.sees(")"):
            given.append(self.expression())
            if self.sees(","):
                self.take()
        self.take(")")
        if name == "SEL":
            return f"({given[0]} ? {given[2]} : {given[1]})"
        if name == "MUX":
            choices = "".join(f"{given[0]} == {n} ? {one} : " for n, one in enumerate(given[1:-1]))
            return f"({choices}{given[-1]})"
        shapes = {
            "LIMIT": "MIN_(MAX_({1}, {0}), {2})",
            "MAX": "MAX_({0}, {1})",
            "MIN": "MIN_({0}, {1})",
            "SQRT": "sqrt({0})",
            "REAL_TO_DINT": "whole({0})",
            "TIME_TO_REAL": "((double)({0}) / 1000.0)",  # seconds: the text must not mind which unit it is
            "INT_TO_REAL": "(double)({0})",
            "MUL_TIME": "(({0}) * ({1}))",
        }
        return shapes[name].format(*given)

    def main(
        self, name: str, inputs: list[tuple[str, str, str]], outputs: list[tuple[str, str, str]]
    ) -> None:
        """Reads `dt input input ...` line by line and answers with the outputs."""
        reads = []
        for word, type_, _ in inputs:
            form = {"REAL": "%lf", "TIME": "%lld"}.get(type_, "%d")
            reads.append(f'        if (scanf("{form}", &p.{word}) != 1) return 1;')
        shows = [f'        printf("%d ", p.{word});' for word, _, _ in outputs]
        self.out += [
            f"static {name} p;",
            "int main(void) {",
            "    long long dt;",
            f"    first_{name}(&p);",
            '    while (scanf("%lld", &dt) == 1) {',
            *reads,
            "        now += dt;",
            f"        call_{name}(&p);",
            *shows,
            '        printf("\\n");',
            "    }",
            "    return 0;",
            "}",
            "",
        ]
        self.inputs, self.outputs = [row[0] for row in inputs], [row[0] for row in outputs]
