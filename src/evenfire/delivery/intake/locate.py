"""Where in the text of a plant file a key stands; loaded and run only when there is something to complain about."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tree_sitter import Node

Path = tuple[str | int, ...]


def line_of(text: str, path: Path) -> int | None:
    """The line of a key, counted from 1: its own, else that of the nearest table around it, else nothing."""
    return Lines(text).of(path)


class Lines:
    """The line of every key and table of one text."""

    def __init__(self, text: str) -> None:
        self._lines: dict[Path, int] = {}
        root = syntax(text)
        for node in root.children:
            if node.type == "pair":
                self._note_pair((), node)
        for path, node in headed_tables(root):
            self._note_header(path, node)
            for pair in pairs(node):
                self._note_pair(path, pair)

    def of(self, path: Path) -> int | None:
        """The line of a key, counted from 1: its own, else that of the nearest table around it, else nothing."""
        for length in range(len(path), 0, -1):
            if path[:length] in self._lines:
                return self._lines[path[:length]]
        return None

    def _note_header(self, path: Path, node: "Node") -> None:
        """The table itself, and the tables around it that have no header of their own above."""
        for length in range(1, len(path)):
            self._lines.setdefault(path[:length], _line(node))
        self._lines[path] = _line(node)

    def _note_pair(self, above: Path, pair: "Node") -> None:
        """The key, and all keys in its value; a pile instead of recursion, since nesting is the writer's choice."""
        pile: list[tuple[Path, Node]] = [(above, pair)]
        while pile:
            path, node = pile.pop()
            match node.type:
                case "pair":
                    for key in keys(node.children[0]):
                        path = (*path, key)
                        self._lines.setdefault(path, _line(node))
                    pile.append((path, value_of(node)))
                case "inline_table":
                    pile.extend((path, child) for child in node.children if child.type == "pair")
                case "array":
                    for place, child in enumerate(_values(node)):
                        self._lines.setdefault((*path, place), _line(child))
                        pile.append(((*path, place), child))
                case _:
                    continue


_KEYS = frozenset({"bare_key", "quoted_key", "dotted_key"})
_NO_VALUES = frozenset({"[", "]", ",", "comment", "ERROR"})


def syntax(text: str) -> "Node":
    """The syntax tree of a text; byte places count from the beginning of the text in UTF-8."""
    from tree_sitter import Language, Parser
    from tree_sitter_toml import language

    return Parser(Language(language())).parse(text.encode()).root_node


def headed_tables(root: "Node") -> Iterator[tuple[Path, "Node"]]:
    """Each table that has a header, in the order of the text; tables of a list carry their place in it."""
    counts: dict[Path, int] = {}
    for node in root.children:
        header = next((child for child in node.children if child.type in _KEYS), None)
        if node.type not in {"table", "table_array_element"} or header is None:
            continue
        path: Path = ()
        *around, last = keys(header)
        for key in around:
            path = (*path, key)
            path = (*path, counts[path]) if path in counts else path
        path = (*path, last)
        if node.type == "table_array_element":
            counts[path] = counts.get(path, -1) + 1
        yield ((*path, counts[path]) if path in counts else path), node


def pairs(table: "Node") -> Iterator["Node"]:
    """The key-value pairs that stand under a header."""
    return (child for child in table.children if child.type == "pair")


def _line(node: "Node") -> int:
    return int(node.start_point[0]) + 1


def _values(array: "Node") -> Iterator["Node"]:
    return (child for child in array.children if child.type not in _NO_VALUES)


def value_of(pair: "Node") -> "Node":
    """The value of a pair; a comment behind it may belong to the pair too, so the value is not its last part."""
    return pair.children[2] if len(pair.children) > 2 else pair.children[-1]


def keys(node: "Node") -> list[str]:
    """The parts of a key, unquoted."""
    if node.type != "dotted_key":
        return [_unquoted(node)]
    return [part for child in node.children if child.type in _KEYS for part in keys(child)]


def _unquoted(node: "Node") -> str:
    text = (node.text or b"").decode(errors="replace")
    if node.type == "quoted_key":
        import tomllib

        try:
            return next(iter(tomllib.loads(f"{text} = 0")))
        except (ValueError, StopIteration):
            return text[1:-1]
    return text
