"""One change of the code in one place, as mutmut thinks of them, and the file that it makes.

Only what changes the code is taken of the tool. What it runs is not: it puts all changed copies of a function beside
each other in one file, and what stands there is asked by name at each call, which some tests of ours see.
"""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Collection
from pathlib import Path

import libcst as cst
from libcst.metadata import MetadataWrapper, ParentNodeProvider, PositionProvider
from mutmut.mutation.file_mutation import Mutation, MutationVisitor, deep_replace
from mutmut.mutation.mutators import mutation_operators
from mutmut.mutation.pragma_handling import IgnoredCode

from tests.mutation.sample import Mutant


class Changes:
    """All changes of one file; they are made when they are asked for."""

    def __init__(self, root: Path, file: str) -> None:
        self.file = file
        visitor = MutationVisitor(mutation_operators, IgnoredCode(set(), set(), set()))
        wrapper = MetadataWrapper(
            cst.parse_module((root / file).read_text(encoding="utf-8")), unsafe_skip_copy=True
        )
        self._module = wrapper.visit(visitor)
        count: Counter[str] = Counter()
        self._found: dict[str, Mutation] = {}
        for change in visitor.mutations:
            function = change.contained_by_top_level_function
            if isinstance(function, cst.FunctionDef):  # else it stands above all functions
                called = function.name.value
                count[called] += 1
                self._found[f"{file}:{called}:{count[called]}"] = change

    @property
    def names(self) -> list[str]:
        """Names of all changes: file, function, and a number within it."""
        return list(self._found)

    def mutant(self, name: str) -> Mutant:
        """One of them."""
        change = self._found[name]
        function = change.contained_by_top_level_function
        old, new = change.original_node, change.mutated_node
        before = cst.Module([function]).code
        after = cst.Module([deep_replace(function, old, new)]).code
        text = deep_replace(self._module, old, new).code
        return Mutant(name, self.file, text, self._module.code, self._span(old), before, after)

    def _span(self, node: cst.CSTNode) -> tuple[int, int]:
        """Lines of the statement that a node is of; of a block only its head, and of a function's head all of its body."""
        wrapper = MetadataWrapper(self._module, unsafe_skip_copy=True)
        places, parents = wrapper.resolve(PositionProvider), wrapper.resolve(ParentNodeProvider)
        at: cst.CSTNode = node
        while not isinstance(at, cst.SimpleStatementLine | cst.BaseCompoundStatement):
            at = parents[at]
        whole = places[at]
        if isinstance(at, cst.SimpleStatementLine) or at is node:
            return whole.start.line, whole.end.line
        if isinstance(at, cst.FunctionDef):
            return places[at.body].start.line, whole.end.line
        return whole.start.line, max(whole.start.line, places[node].end.line)


def raising(root: Path, file: str, reached: Collection[int]) -> Mutant | None:
    """A file in which one function of those that are reached raises at once: every test that comes there fails.

    Parameters
    ----------
    root, file
        The project's folder, and the file below it.
    reached
        Numbers of lines that are run.
    """
    text = (root / file).read_text(encoding="utf-8")
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef) and node.body[-1].lineno in reached:
            at = node.body[-1]
            rows = text.splitlines(keepends=True)
            rows.insert(at.lineno - 1, f"{' ' * at.col_offset}raise RuntimeError\n")
            lines = (at.lineno, at.lineno)
            return Mutant(f"{file}:{node.name}:raises", file, "".join(rows), text, lines, "", "")
    return None
