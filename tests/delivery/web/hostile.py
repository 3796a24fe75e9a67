"""What somebody may type who means harm, its harmless twin, and how a page is looked at for anything that came alive.

The twin of a text is as long, with an x for every sign that a machine could take for a command. A page that shows the
one and a page that shows the other have the same elements with the same attributes, or something came out of a text.
"""

import re
import string
from dataclasses import dataclass, field
from html.parser import HTMLParser
from itertools import cycle, islice
from typing import Final
from xml.etree import ElementTree as ET

PAYLOADS: Final = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(2)>',
    "'><svg/onload=alert(3)>",
    "javascript:alert(4)",
    "{{1337*1337}}${1337*1337}#{1337*1337}",
    "{% include '/etc/passwd' %}",
    "../../etc/passwd",
    "=cmd|'/C calc'!A1",
    "+1+1",
    "-2+3",
    "@SUM(1+1)*cmd|' /C calc'!A0",
    "</textarea><script>alert(5)</script>",
    "</title></style><b onmouseover=alert(6)>x",
    "<!--y-->",
    "]]><!ENTITY x SYSTEM 'file:///etc/passwd'>&x;",
    "%0d%0aX-Bad: 1%00",
    '#read("/etc/passwd") $1337*1337$ *x* _y_ `z`',
    "\\'; DROP TABLE people; --",
    "http://evil.example/?a=1&b=2",
)
"""On one line, of signs that can be printed: they may be names."""
ONLY_IN_ENTRIES: Final = ("\t=1+1", "\u202etxt.exe", "a\nb\n=1+1", "\u2028\u0085\ufeff", "x" * 600)
"""Not to be printed, or too long for a name: taken as an entry, which keeps what was typed."""
REFUSED: Final = ("a\x00b", "a\r\nX-Bad: 1", "\x1b]0;owned\x07", "\ud800")
"""No text at all: refused also as an entry."""
LONGEST: Final = 4_000
EVALUATED: Final = re.compile(r"1[ ,.]?787[ ,.]?569")
"""What the sums in them come to, which no page and no clock says by itself."""

_COMMANDS: Final = str.maketrans(dict.fromkeys(string.punctuation, "x"))


def twin(text: str) -> str:
    """The same without any sign that a machine could take for a command."""
    return text.translate(_COMMANDS)


def turned(place: int) -> str:
    """Everything at once; each place begins with another one."""
    every = (*PAYLOADS, *ONLY_IN_ENTRIES)
    return " ".join(islice(cycle(every), place % len(every), place % len(every) + len(every)))


def own_place(address: str) -> bool:
    """Whether an address is one of this server, or of this page."""
    return address == "" or (address[0] in "/#?" and not address.startswith(("//", "/\\")))


_ADDRESSES: Final = frozenset({"href", "src", "action", "formaction", "poster", "data-follows", "data-follows-src"})
_NEVER: Final = frozenset({"style", "iframe", "object", "embed", "base", "applet", "frame", "template", "math"})
_SCRIPT: Final = {"type": "module"}


@dataclass
class Page(HTMLParser):
    """Elements of a page with their attributes, its text, and what no page of ours has."""

    content: str
    shape: list[tuple[str, ...]] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    offences: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.feed(self.content)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.shape.append((tag, *sorted(name for name, _ in attrs)))
        self.said += [value or "" for _, value in attrs]
        told = dict(attrs)
        is_ours = (told.get("src") or "").startswith("/static/") and told.get("type") == "module"
        if tag in _NEVER or (tag == "script" and not is_ours):
            self.offences.append(f"<{tag}>")
        if tag == "meta" and "http-equiv" in told:
            self.offences.append("<meta http-equiv>")
        for name, value in attrs:
            if name.startswith("on") or name == "style" or not re.fullmatch(r"[a-z][a-z-]*", name):
                self.offences.append(f"{tag} {name}")
            places = (value or "").split(",") if name == "srcset" else [value or ""] if name in _ADDRESSES else []
            self.offences += [f"{tag} {name}={each}" for each in places if not own_place(each.strip())]

    def handle_data(self, data: str) -> None:
        self.said.append(data)

    def handle_comment(self, data: str) -> None:
        self.offences.append(f"<!--{data[:40]}")

    def handle_pi(self, data: str) -> None:
        self.offences.append(f"<?{data[:40]}")

    def unknown_decl(self, data: str) -> None:
        self.offences.append(f"<![{data[:40]}")

    @property
    def text(self) -> str:
        """Everything it says, in its text and in its attributes, on one line."""
        return " ".join(" ".join(self.said).split())


_SVG: Final = "{http://www.w3.org/2000/svg}"
_DRAWN: Final = frozenset(
    {"svg", "title", "desc", "style", "g", "path", "rect", "line", "text", "tspan", "circle", "polygon", "polyline"}
    | {"defs", "clipPath", "use", "pattern", "marker", "metadata"}
)


def offences_of_drawing(svg: str) -> list[str]:
    """What no drawing of ours has: a script, a link, anything from elsewhere. It has to be well formed."""
    found = ["a document type"] if "<!DOCTYPE" in svg and "ENTITY" in svg.partition("<svg")[0] else []
    for element in ET.fromstring(svg).iter():
        name = element.tag.removeprefix(_SVG)
        inside_metadata = not element.tag.startswith(_SVG)
        if not inside_metadata and name not in _DRAWN:
            found.append(f"<{name}>")
        for attribute, value in element.attrib.items():
            plain = attribute.rpartition("}")[2]
            if plain.startswith("on") or (plain == "href" and not value.startswith("#")):
                found.append(f"{name} {plain}={value[:60]}")
        if name == "style" and re.search(r"url\(|@import|expression", element.text or ""):
            found.append("a style that fetches")
    return found
