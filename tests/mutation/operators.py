"""What is changed in the code: cosmic-ray's operators, and two for faults that they do not make.

A wrong word and two neighbours that changed places are the faults of this project's tables and
sentences. Left out are changes that mean nothing here: of annotations, which are never evaluated,
of docstrings, of zip's check of lengths, and operators on bits, which no length has.
"""

import itertools
import re
from collections import defaultdict
from functools import cache

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.operators.operator import Example, Operator
from cosmic_ray.plugins import get_operator, operator_names
from parso.python.tree import String

_BITS = re.compile(r"_(BitAnd|BitOr|BitXor|LShift|RShift)")
_NEEDS_NAMES = ("VariableReplacer", "VariableInserter")
# What no operator changes, and most of a text is.
_NEVER = {"name", "newline", "endmarker"}
_PUNCTUATION = set("()[]{},:.=;") | {"->"}
_ROWS = {"arglist", "testlist_comp", "testlist", "testlist_star_expr", "subscriptlist"}


class WrongText(Operator):
    """Puts ``XX`` into a text."""

    def mutation_positions(self, node):
        if node.type == "string" and not _is_docstring(node) and not _is_annotation(node):
            yield node.start_pos, node.end_pos
        if node.type == "fstring_string":
            yield node.start_pos, node.end_pos

    def mutate(self, node, index):  # noqa: ARG002 - the operator has one change a place
        if node.type == "fstring_string":
            node.value = "XX" + node.value
            return node
        quote = re.search("'''|\"\"\"|'|\"", node.value).group()
        start = node.value.index(quote) + len(quote)
        value = node.value[:start] + "XX" + node.value[start:]
        return String(value, node.start_pos, node.prefix)

    @classmethod
    def examples(cls):
        return (Example('x = "left"', 'x = "XXleft"'),)


class SwappedNeighbours(Operator):
    """Lets two neighbours of a call, a tuple, a list or a table change places."""

    def mutation_positions(self, node):
        for one, other in _neighbours(node):
            yield one.start_pos, other.end_pos

    def mutate(self, node, index):
        one, other = _neighbours(node)[index]
        here, there = node.children.index(one), node.children.index(other)
        first, last = one.get_first_leaf(), other.get_first_leaf()
        first.prefix, last.prefix = last.prefix, first.prefix
        node.children[here], node.children[there] = other, one
        return node

    @classmethod
    def examples(cls):
        return (
            Example("f(a, b)", "f(b, a)"),
            Example("x = {1: a, 2: b}", "x = {1: b, 2: a}"),
        )


def _neighbours(node):
    """Pairs of values side by side: by position in a row, by key in a table."""
    if node.type in _ROWS and not _in_any_order(node):
        values = node.children[::2]
        pairs = itertools.pairwise(values)
    elif node.type == "dictorsetmaker" and len(node.children) > 1 and node.children[1] == ":":
        values = node.children[2::4]
        pairs = itertools.pairwise(values)
    else:
        return []
    return [
        (one, other)
        for one, other in pairs
        if one.get_code(include_prefix=False) != other.get_code(include_prefix=False)
        and not {one.type, other.type} & {"argument", "star_expr", "operator", "sync_comp_for"}
        and not _is_annotation(node)
    ]


def _in_any_order(node):
    """Whether it stands in a call whose arguments may change places."""
    name = node.parent.get_previous_leaf() if node.parent.type == "trailer" else None
    return name is not None and name.value in {"max", "min", "hypot", "sorted", "set"}


def _is_docstring(leaf):
    return leaf.parent.type in {"simple_stmt", "file_input"}


def _is_of_the_call(node):
    """Whether it is a star that multiplies nothing, or zip's check of lengths."""
    if node.type == "operator" and node.value in {"*", "**"}:
        return node.parent.type not in {"term", "power"}
    return node.parent is not None and node.parent.get_code().strip() == "strict=True"


def _is_dotted_error(node):
    """Whether it is a handler of an error of a module, which cosmic-ray cannot replace."""
    return node.type == "except_clause" and "." in node.get_code()


def _is_annotation(node):
    """Whether it stands behind a colon or an arrow that names a type, or in a block for types."""
    child = node
    while child.parent is not None:
        parent = child.parent
        if parent.type == "annassign" and child is parent.children[1]:
            return True
        if parent.type == "tfpdef" and child is parent.children[2]:
            return True
        if parent.type == "funcdef" and getattr(parent, "annotation", None) is child:
            return True
        if _is_for_types(parent):
            return True
        child = parent
    return _is_for_types(node)


def _is_for_types(node):
    """Whether it is a block that is there for types alone."""
    return node.type == "if_stmt" and node.children[1].get_code().strip() == "TYPE_CHECKING"


@cache
def operators():
    """Name and operator of each kind of change."""
    found = {
        name.partition("/")[2]: get_operator(name)()
        for name in operator_names()
        if not _BITS.search(name) and not name.endswith(_NEEDS_NAMES)
    }
    return found | {"WrongText": WrongText(), "SwappedNeighbours": SwappedNeighbours()}


def changes(code):
    """Every single change of ``code``.

    Its place (line and column), the operator's name and which of its occurrences it is.
    """
    found, counts, known = [], defaultdict(int), operators()
    for node in ast_nodes(get_ast(code)):
        if node.type in _NEVER or (node.type == "operator" and node.value in _PUNCTUATION):
            continue
        for name, operator in known.items():
            for place, _ in operator.mutation_positions(node):
                if not (_is_annotation(node) or _is_of_the_call(node) or _is_dotted_error(node)):
                    found.append((place, name, counts[name]))
                counts[name] += 1
    return found


def changed(code, name, occurrence):
    """``code`` with one change."""
    return mutate_code(code, operators()[name], occurrence)
