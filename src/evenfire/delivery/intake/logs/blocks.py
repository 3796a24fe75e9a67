"""From the bytes of a text file to blocks of whole lines in UTF-8, in bounded memory, with their line numbers."""

import codecs
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Final

BLOCK: Final = 16 << 20
"""[bytes]"""
LONGEST_LINE: Final = 1 << 20
"""Ten thousand columns fit; a longer line is none of a log [bytes of UTF-8]."""
HEAD: Final = 1 << 18
"""What is looked at to learn the layout [bytes]."""
SAMPLED_PLACES: Final = 16
SAMPLED_BYTES: Final = 48 << 10

UTF_8: Final = "utf-8"
WINDOWS: Final = "cp1252"
"""Western European text of one byte a character; Latin-1 is the same but for characters that no log has."""
_MARKS: Final = (
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF8, UTF_8),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_PLAIN: Final = frozenset(b"\t\r\n" + bytes(range(32, 127)))
_MOSTLY: Final = 0.7


@dataclass(frozen=True, slots=True, kw_only=True)
class Encoding:
    """How characters are stored."""

    name: str
    mark: int
    """Bytes of the byte-order mark"""

    @property
    def width(self) -> int:
        """Bytes that cannot be taken apart."""
        return 4 if self.name.startswith("utf-32") else 2 if self.name.startswith("utf-16") else 1


@dataclass(frozen=True, slots=True)
class Block:
    """Whole lines, each ended by one newline; no blank ones and no NUL bytes."""

    text: bytes
    lines: tuple[int, ...] | None
    """Line number of each row where lines were left out; nothing where they follow each other"""
    rows: int
    first: int
    """Number of the first line"""
    nul_lines: tuple[int, ...]
    """Lines in which NUL bytes stood"""
    bad_lines: tuple[int, ...]
    """Lines in which bytes stood that are no text"""
    too_long: tuple[int, ...]
    """Lines that were left out because of their length"""

    def line_of(self, row: int) -> int:
        """The line number of a row, counted from 0."""
        return self.first + row if self.lines is None else self.lines[row]


def encoding_of(path: Path) -> Encoding:
    """The encoding, told by a mark at the beginning or by what the first bytes can be."""
    with path.open("rb") as file:
        head = file.read(HEAD)
    for mark, name in _MARKS:
        if head.startswith(mark):
            return Encoding(name=name, mark=len(mark))
    pairs = head[: len(head) // 2 * 2]
    if pairs:
        # Text in UTF-16 that is mostly ASCII has a NUL in every second byte.
        for name, zeros, letters in (
            ("utf-16-le", pairs[1::2], pairs[0::2]),
            ("utf-16-be", pairs[0::2], pairs[1::2]),
        ):
            plain = sum(1 for each in letters if each in _PLAIN)
            if min(zeros.count(0), plain) > _MOSTLY * len(zeros):
                return Encoding(name=name, mark=0)
    try:
        codecs.getincrementaldecoder(UTF_8)().decode(head)
    except UnicodeDecodeError:
        return Encoding(name=WINDOWS, mark=0)
    return Encoding(name=UTF_8, mark=0)


def head_lines(path: Path, encoding: Encoding) -> list[str]:
    """The first lines, as far as a reader of layouts looks; the last may be cut off."""
    with path.open("rb") as file:
        file.seek(encoding.mark)
        raw = file.read(HEAD * encoding.width)
    text = raw.decode(encoding.name, errors="replace").replace("\0", "")
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def sampled_lines(path: Path, encoding: Encoding) -> list[list[str]]:
    """Lines from places all over the file, in its order: whole ones."""
    size = path.stat().st_size
    length = SAMPLED_BYTES * encoding.width
    found: list[list[str]] = []
    with path.open("rb") as file:
        for place in range(SAMPLED_PLACES):
            start = encoding.mark + (size - encoding.mark) * place // SAMPLED_PLACES
            start -= (start - encoding.mark) % encoding.width
            file.seek(start)
            text = file.read(length).decode(encoding.name, errors="replace").replace("\0", "")
            lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
            found.append(lines[1:-1] if place else lines[:-1])
            if size <= length:
                return [text.replace("\r\n", "\n").replace("\r", "\n").split("\n")]
        file.seek(max(encoding.mark, size - length - (size - encoding.mark - length) % encoding.width))
        text = file.read().decode(encoding.name, errors="replace").replace("\0", "")
        found.append(text.replace("\r\n", "\n").replace("\r", "\n").split("\n")[1:])
    return found


def blocks(path: Path, encoding: Encoding) -> Iterator[Block]:
    """The file in blocks, from its beginning."""
    with path.open("rb") as file:
        file.seek(encoding.mark)
        number = 1
        for raw, too_long in _whole_lines(_decoded(file, encoding)):
            count = raw.count(b"\n")
            yield _block(raw, number, count, too_long)
            number += count + (1 if too_long else 0)


def _decoded(file: BinaryIO, encoding: Encoding) -> Iterator[bytes]:
    """Pieces in UTF-8, newlines made alike; bytes that are no text become replacement characters."""
    decoder = codecs.getincrementaldecoder(encoding.name)(errors="replace")
    held = b""
    while piece := file.read(BLOCK):
        if encoding.name == UTF_8 or (encoding.name == WINDOWS and piece.isascii()):
            text = piece
        else:
            text = decoder.decode(piece).encode(UTF_8, errors="replace")
        text = held + text
        # A carriage return at the end may belong to a newline that is still to come.
        held = b"\r" if text.endswith(b"\r") else b""
        text = text[: len(text) - len(held)]
        if b"\r" in text:
            text = text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
        yield text
    last = b"" if encoding.name == UTF_8 else decoder.decode(b"", final=True).encode(UTF_8, errors="replace")
    yield last + (b"\n" if held else b"")


def _whole_lines(pieces: Iterator[bytes]) -> Iterator[tuple[bytes, bool]]:
    """Whole lines, and whether one that is too long stood behind them."""
    rest = b""
    is_skipping = False
    for piece in pieces:
        text = piece
        if is_skipping:
            end = text.find(b"\n")
            if end < 0:
                continue
            text, is_skipping = text[end + 1 :], False
        text = rest + text
        cut = text.rfind(b"\n") + 1
        rest = text[cut:]
        if len(rest) > LONGEST_LINE:
            yield text[:cut], True
            rest, is_skipping = b"", True
        elif cut:
            yield text[:cut], False
    if rest:
        yield rest + b"\n", False


def _block(raw: bytes, first: int, count: int, too_long: bool) -> Block:
    """The lines of a piece without blank ones, NUL bytes and bytes that are no text."""
    long_ones = [first + count] if too_long else []
    nul_lines: list[int] = []
    bad_lines: list[int] = []
    is_text = raw.isascii() or _is_utf_8(raw)
    if is_text and b"\0" not in raw and b"\n\n" not in raw and not raw.startswith(b"\n"):
        return Block(raw, None, count, first, (), (), tuple(long_ones))
    kept: list[bytes] = []
    numbers: list[int] = []
    for number, line in enumerate(raw.split(b"\n")[:-1], start=first):
        plain = line
        if b"\0" in plain:
            nul_lines.append(number)
            plain = plain.replace(b"\0", b"")
        if not is_text and not _is_utf_8(plain):
            bad_lines.append(number)
            plain = plain.decode(UTF_8, errors="replace").encode(UTF_8)
        if plain.strip():
            kept.append(plain)
            numbers.append(number)
    text = b"\n".join(kept) + b"\n" if kept else b""
    return Block(text, tuple(numbers), len(kept), first, tuple(nul_lines), tuple(bad_lines), tuple(long_ones))


def _is_utf_8(text: bytes) -> bool:
    try:
        text.decode(UTF_8)
    except UnicodeDecodeError:
        return False
    return True
