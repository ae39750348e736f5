"""Mutants of a module, each judged by the tests that ought to notice it.

Cosmic Ray makes the mutants. They are never written to a file: each lives in a forked process whose
import of the module is answered with the mutated source, so that nothing can be left in the tree
and Python, numpy and pytest are started once. A mutant that the compiler sees no difference in
(annotations) is left out, and so is a shift or a bitwise operator in place of arithmetic, which no
float survives.
"""

from __future__ import annotations

import argparse
import ast
import difflib
import importlib.abc
import importlib.machinery
import importlib.util
import json
import os
import random
import signal
import sys
import time
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, ModuleType

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "bridgewire"
TARGETS = Path(__file__).with_name("targets.toml")
ORDER = "test_order.py"
"""Turns every failing case round; a rule is judged by its own ones."""
GENERAL = ("test_cases.py", "test_meta.py", "test_every_finding_has_a_case.py", ORDER)
"""Tests of all rules, which judge none as a whole."""
PRELOADED = ("numpy", "hypothesis", "pytest", "yaml", "click", "attrs", "tree_sitter")
BITWISE = ("BitAnd", "BitOr", "BitXor", "LShift", "RShift")
EXAMPLES = "tests/docs/test_docstring_examples.py::test_examples_of_a_module_run"
KILLED, SURVIVED, TIMED_OUT = "killed", "survived", "timeout"


@dataclass(frozen=True)
class Target:
    """A module and the arguments of pytest that judge it."""

    module: str
    file: Path
    tests: tuple[str, ...]

    @property
    def import_name(self) -> str:
        return ".".join(["bridgewire", *self.file.relative_to(PACKAGE).with_suffix("").parts])


@dataclass(frozen=True)
class Mutant:
    """One change of a source."""

    operator: str
    occurrence: int
    source: str


def target(module: str) -> Target:
    """Target of ``physics/tree``, or of a rule: ``rules/fir001``."""
    stated = tomllib.loads(TARGETS.read_text(encoding="utf-8"))
    files = sorted(PACKAGE.glob(f"{module}.py")) or sorted(PACKAGE.glob(f"{module}_*.py"))
    if len(files) != 1:
        raise SystemExit(f"{module}: {len(files)} files of that name under {PACKAGE}")
    if module in stated:
        found = Target(module, files[0], ())
        examples = f"{EXAMPLES}[{found.import_name}]"
        return Target(module, files[0], (*stated[module]["tests"], examples))
    if not module.startswith("rules/"):
        raise SystemExit(f"{module}: no tests stated in {TARGETS}")
    code = files[0].stem[:6].upper()
    cases = f"tests/rules/test_cases.py::test_case_gives_what_it_says[{code}/"
    names = sorted(p.stem for p in (ROOT / "tests" / "rules" / "cases" / code).glob("*.toml"))
    about = sorted(
        str(p.relative_to(ROOT))
        for p in (ROOT / "tests" / "rules").glob("test_*.py")
        if p.name not in GENERAL and code in p.read_text(encoding="utf-8")
    )
    if not names:  # found by no check of a show, so that there is only its description to judge
        meta = "tests/rules/test_meta.py::test_rule_has_a_check_unless_found_at_load"
        return Target(module, files[0], (f"{meta}[{code}]", *about))
    order = (f"tests/rules/{ORDER}", "-k", f"not test_order_of_tables or {code}")
    return Target(module, files[0], (*(f"{cases}{n}]" for n in names), *about, *order))


class _NoAnnotations(ast.NodeTransformer):
    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AnnAssign:
        self.generic_visit(node)
        node.annotation = ast.Constant(None)
        return node

    def visit_arg(self, node: ast.arg) -> ast.arg:
        node.annotation = None
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.FunctionDef:
        self.generic_visit(node)
        node.returns = None
        return node


def meaning(source: str) -> str:
    """What the compiler sees of a source, but for annotations."""
    return ast.dump(_NoAnnotations().visit(ast.parse(source)))


def worth_trying(operator: str) -> bool:
    """Whether an operator makes more than a crash of every float, as a shift of one does."""
    kind, _, change = operator.rpartition("/")[2].partition("_")
    if kind == "NoOp":
        return False
    if kind != "ReplaceBinaryOperator":
        return True
    old, new = change.split("_")
    return (old in BITWISE) == (new in BITWISE)


def mutants(source: str) -> Iterator[Mutant]:
    """Every mutant that is another program than the source and than those before it."""
    from cosmic_ray.ast import ast_nodes, get_ast
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator, operator_names

    seen = {meaning(source)}
    tree = get_ast(source)
    for name in sorted(operator_names()):
        kind = get_operator(name)
        if kind.arguments() or not worth_trying(name):
            continue
        places = sum(1 for node in ast_nodes(tree) for _ in kind().mutation_positions(node))
        for occurrence in range(places):
            changed = mutate_code(source, kind(), occurrence)
            if changed is None:
                continue
            try:
                other = meaning(changed)
            except SyntaxError:
                continue
            if other not in seen:
                seen.add(other)
                yield Mutant(name.rpartition("/")[2], occurrence, changed)


class _Loader(importlib.machinery.SourceFileLoader):
    def __init__(self, name: str, path: str, source: str) -> None:
        super().__init__(name, path)
        self._source = source

    def get_code(self, fullname: str) -> CodeType:
        return compile(self._source, self.path, "exec", dont_inherit=True)


class _Finder(importlib.abc.MetaPathFinder):
    """Answers the import of one module with another source."""

    def __init__(self, name: str, file: Path, source: str) -> None:
        self._name, self._file, self._source = name, str(file), source

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        if fullname != self._name:
            return None
        loader = _Loader(fullname, self._file, self._source)
        return importlib.util.spec_from_file_location(fullname, self._file, loader=loader)


def judge(of: Target, source: str) -> int:
    """Exit code of pytest with that source. Run in a forked process: imports are not undone."""
    import hypothesis
    import pytest

    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    sys.meta_path.insert(0, _Finder(of.import_name, of.file, source))
    # Now, for pytest puts its own finder before all others.
    mutated = importlib.import_module(of.import_name)
    assert isinstance(mutated.__loader__, _Loader)
    # One failing example is enough; nothing is kept from one mutant to the next.
    useless = (hypothesis.Phase.shrink, hypothesis.Phase.explain)
    phases = [p for p in hypothesis.Phase if p not in useless]
    hypothesis.settings.register_profile(
        "mutants", derandomize=True, database=None, deadline=None, phases=phases
    )
    hypothesis.settings.load_profile("mutants")
    early = "ignore::pytest.PytestAssertRewriteWarning"  # what comes above is imported too soon
    options = ["-x", "-q", "-p", "no:cacheprovider", "--tb=no", "-W", early]
    return int(pytest.main([*options, *of.tests]))


def _forked(of: Target, source: str) -> int:
    pid = os.fork()
    if pid == 0:
        os.setsid()
        code = 1
        try:
            code = judge(of, source)
        finally:
            os._exit(code)
    return pid


def run_all(of: Target, chosen: Sequence[Mutant], jobs: int, limit_s: float) -> list[str]:
    """What became of each mutant, with so many processes at a time."""
    outcome = [""] * len(chosen)
    waiting = list(range(len(chosen)))[::-1]
    running: dict[int, tuple[int, float]] = {}
    while waiting or running:
        while waiting and len(running) < jobs:
            number = waiting.pop()
            running[_forked(of, chosen[number].source)] = (number, time.monotonic() + limit_s)
        for pid, (number, until) in list(running.items()):
            done, status = os.waitpid(pid, os.WNOHANG)
            if done:
                outcome[number] = SURVIVED if os.waitstatus_to_exitcode(status) == 0 else KILLED
                del running[pid]
            elif time.monotonic() > until:
                os.killpg(pid, signal.SIGKILL)
                os.waitpid(pid, 0)
                outcome[number] = TIMED_OUT
                del running[pid]
        time.sleep(0.01)
    return outcome


def difference(old: str, new: str) -> str:
    lines = difflib.unified_diff(old.splitlines(), new.splitlines(), n=0, lineterm="")
    return "\n".join(line for line in lines if not line.startswith(("---", "+++")))


def mutate(
    of: Target, sample: int, seed: int, jobs: int, notes: Path | None, again: Path | None
) -> tuple[int, int]:
    """Judge the mutants of one module; how many were killed and how many survived."""
    source = of.file.read_text(encoding="utf-8")
    every = list(mutants(source))
    chosen = every
    name = f"{of.module.replace('/', '-')}.json"
    if again:
        noted = json.loads((again / name).read_text(encoding="utf-8"))["survived"]
        wanted = {(n["operator"], n["occurrence"], n["change"]) for n in noted}
        chosen = [
            m for m in every if (m.operator, m.occurrence, difference(source, m.source)) in wanted
        ]
        if len(chosen) != len(noted):
            raise SystemExit(f"{of.module}: the source is not that of the notes in {again}")
    elif 0 < sample < len(every):
        chosen = [every[i] for i in sorted(random.Random(seed).sample(range(len(every)), sample))]
    start = time.monotonic()
    if run_all(of, [Mutant("none", 0, source)], 1, 600.0) != [SURVIVED]:
        raise SystemExit(f"{of.module}: its tests fail without a mutant")
    limit_s = 10.0 + 5.0 * jobs * (time.monotonic() - start)
    outcome = run_all(of, chosen, jobs, limit_s)
    left = [m for m, o in zip(chosen, outcome, strict=True) if o == SURVIVED]
    stopped = outcome.count(TIMED_OUT)
    print(
        f"{of.module}: {len(every)} mutants, {len(chosen)} tried, "
        f"{len(chosen) - len(left)} killed ({stopped} by time), {len(left)} survived",
        flush=True,
    )
    for m in left:
        print(f"  {m.operator} {m.occurrence}")
        print("    " + difference(source, m.source).replace("\n", "\n    "), flush=True)
    if notes:
        notes.mkdir(parents=True, exist_ok=True)
        record = {
            "mutants": len(every),
            "tried": len(chosen),
            "timeouts": stopped,
            "survived": [
                {
                    "operator": m.operator,
                    "occurrence": m.occurrence,
                    "change": difference(source, m.source),
                }
                for m in left
            ],
        }
        (notes / name).write_text(json.dumps(record, indent=1) + "\n", encoding="utf-8")
    return len(chosen) - len(left), len(left)


def main() -> None:
    """Mutate the modules that the command line names, or those of targets.toml."""
    parser = argparse.ArgumentParser(prog=".ci/mutants", description=__doc__)
    parser.add_argument("modules", nargs="*", metavar="MODULE", help="physics/tree, rules/fir001 …")
    parser.add_argument("--sample", type=int, default=0, help="mutants a module; all where absent")
    parser.add_argument("--seed", type=int, default=1, help="of the sample")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--notes", type=Path, help="folder for a JSON file of each module")
    parser.add_argument("--again", type=Path, help="such a folder: only what survived then")
    asked = parser.parse_args()
    os.chdir(ROOT)
    os.environ["PYTHONPATH"] = str(ROOT / "src")
    sys.path[:0] = [str(ROOT / "src"), str(ROOT)]
    for name in PRELOADED:
        importlib.import_module(name)
    names = asked.modules or list(tomllib.loads(TARGETS.read_text(encoding="utf-8")))
    counts = [
        mutate(target(n), asked.sample, asked.seed, asked.jobs, asked.notes, asked.again)
        for n in names
    ]
    killed, left = (sum(column) for column in zip(*counts, strict=True))
    print(f"all: {killed + left} tried, {killed} killed, {left} survived")


if __name__ == "__main__":
    main()
