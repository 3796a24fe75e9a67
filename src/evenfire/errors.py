"""Everything evenfire can raise, as one tree.

::

    EvenfireError
    +-- BadInput                what somebody gave cannot be used: exit code 2
    |   +-- UnreadableQuantity  a text that is no quantity of the wanted kind
    |   +-- BadPlantFile        a plant file that cannot be read, with line and key
    |   +-- BadRecordedLoad     a recording of a load that cannot be read, with line
    |   +-- BadLog              a log of a boiler that cannot be read, with line
    |   +-- ImpossibleValue     a value that cannot exist (a negative volume), refused by the value itself
    |   +-- BadRequest          a command that asks for what is not there
    |   +-- BelowNeed           a target below the pressure that the plant needs
    |   +-- BadEntry            something typed on a visit that no record can hold
    |   +-- BadContent          content that no signed record can hold, with the path to it
    |   +-- BadKey              a key, a passphrase or a fingerprint that cannot be used
    |   +-- BadStore            a store or a backup that cannot be opened, read or written
    |   +-- BadAttachment       a file that cannot be attached
    +-- OutOfRange              a physical relation asked outside the range in which it holds
    +-- Diverged                a simulated boiler that left what can be simulated, with time and state reached

A bad *boiler* is never an error: it loads and gets its findings. A missing datum is none either: it is *not judged*.
"""

from evenfire.si import Quantity


class EvenfireError(Exception):
    """Root of all errors of evenfire."""


class BadInput(EvenfireError):
    """What somebody gave cannot be used."""


class UnreadableQuantity(BadInput):
    """A text that cannot be read as a quantity of the wanted kind."""

    def __init__(self, text: str, why: str, accepted: str) -> None:
        super().__init__(text, why, accepted)
        self.text = text
        self.why = why
        self.accepted = accepted

    def __str__(self) -> str:
        return f"{self.text!r} {self.why}. {self.accepted}"


class BadPlantFile(BadInput):
    """A plant file that cannot be read: where, what was found, what to do."""

    def __init__(self, *, file: str, line: int | None, key: str | None, found: str, do: str) -> None:
        super().__init__(file, line, key, found, do)
        self.file = file
        self.line = line
        self.key = key
        self.found = found
        self.do = do

    def __str__(self) -> str:
        line = f", line {self.line}" if self.line is not None else ""
        key = f", {self.key}" if self.key else ""
        return f"{self.file}{line}{key}: {self.found}. {self.do}"


class BadRecordedLoad(BadInput):
    """A recording of a load that cannot be read: where, what was found, what is accepted."""

    def __init__(self, *, file: str, line: int | None, found: str, accepted: str) -> None:
        super().__init__(file, line, found, accepted)
        self.file = file
        self.line = line
        self.found = found
        self.accepted = accepted

    def __str__(self) -> str:
        line = f", line {self.line}" if self.line is not None else ""
        return f"{self.file}{line}: {self.found}. {self.accepted}"


class BadLog(BadInput):
    """A log of a boiler that cannot be read: where, what was found, what to do."""

    def __init__(self, *, file: str, line: int | None, found: str, do: str) -> None:
        super().__init__(file, line, found, do)
        self.file = file
        self.line = line
        self.found = found
        """With the value and the limit, where there is one"""
        self.do = do

    def __str__(self) -> str:
        line = f", line {self.line}" if self.line is not None else ""
        return f"{self.file}{line}: {self.found}. {self.do}"


class ImpossibleValue(BadInput):
    """A value that cannot exist; the frozen value refuses to be made."""

    def __init__(self, *, field: str, found: Quantity, must_be: str, limit: Quantity | None = None) -> None:
        super().__init__(field, found, must_be, limit)
        self.field = field
        self.found = found
        self.must_be = must_be
        self.limit = limit

    def __str__(self) -> str:
        limit = f" {self.limit.value:g}" if self.limit is not None else ""
        found = f"{self.found.value:g} [{self.found.dimension.value}, SI]"
        return f"{self.field} is {found}; it must be {self.must_be}{limit}"


class BadRequest(BadInput):
    """A command that asks for what is not there."""


class BelowNeed(BadInput):
    """A target below the pressure that the plant needs."""

    def __init__(self, target: Quantity, need: Quantity) -> None:
        super().__init__(target, need)
        self.target = target
        self.need = need

    def __str__(self) -> str:
        return f"the target {self.target.value:g} Pa gauge is below the need {self.need.value:g} Pa gauge"


class BadEntry(BadInput):
    """Something typed on a survey or a visit that no record can hold."""

    def __init__(self, *, what: str, found: str, must_be: str) -> None:
        super().__init__(what, found, must_be)
        self.what = what
        self.found = found
        self.must_be = must_be

    def __str__(self) -> str:
        return f"{self.what} is {self.found!r}; it must be {self.must_be}"


class BadContent(BadInput):
    """Content that no signed record can hold, or bytes that are not the one encoding of any."""

    def __init__(self, *, path: str, found: str, must_be: str) -> None:
        super().__init__(path, found, must_be)
        self.path = path
        """From the outermost object; empty for the whole"""
        self.found = found
        self.must_be = must_be

    def __str__(self) -> str:
        return f"{self.path or 'the content'} is {self.found}; it must be {self.must_be}"


class BadKey(BadInput):
    """A key, a passphrase or a fingerprint that cannot be used."""


class BadStore(BadInput):
    """A store or a backup that cannot be opened, read or written: where, what was found, what to do."""

    def __init__(self, *, place: str, found: str, do: str) -> None:
        super().__init__(place, found, do)
        self.place = place
        self.found = found
        self.do = do

    def __str__(self) -> str:
        return f"{self.place}: {self.found}. {self.do}"


class BadAttachment(BadInput):
    """A file that cannot be attached: its name, what was found, what to do."""

    def __init__(self, *, name: str, found: str, do: str) -> None:
        super().__init__(name, found, do)
        self.name = name
        self.found = found
        self.do = do

    def __str__(self) -> str:
        return f"{self.name}: {self.found}. {self.do}"


class OutOfRange(EvenfireError):
    """A physical relation was asked outside the range in which it holds."""

    def __init__(self, *, relation: str, found: Quantity, lowest: Quantity, highest: Quantity) -> None:
        super().__init__(relation, found, lowest, highest)
        self.relation = relation
        self.found = found
        self.lowest = lowest
        self.highest = highest

    def __str__(self) -> str:
        return (
            f"{self.relation}: {self.found.value:g} [{self.found.dimension.value}, SI] is outside "
            f"{self.lowest.value:g} to {self.highest.value:g}"
        )


class Diverged(EvenfireError):
    """A simulated boiler left what can be simulated: it boiled dry, filled up, or left the range of steam."""

    def __init__(self, *, why: str, time: Quantity, pressure: Quantity, contents: Quantity) -> None:
        super().__init__(why, time, pressure, contents)
        self.why = why
        self.time = time
        """Since the start of the run"""
        self.pressure = pressure
        self.contents = contents
        """Water and steam in the boiler"""

    def __str__(self) -> str:
        return (
            f"after {self.time.value:.1f} s {self.why}; it stood at {self.pressure.value:.0f} Pa gauge "
            f"with {self.contents.value:.0f} kg of water and steam"
        )
