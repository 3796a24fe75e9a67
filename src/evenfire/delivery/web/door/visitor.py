"""Who is asking."""

from dataclasses import dataclass, field

from evenfire.delivery.records.registers import May, Person


@dataclass(frozen=True, slots=True, kw_only=True)
class Visitor:
    """A person at a browser, let in by a login or by the start link."""

    person: Person
    session: str
    """Short id for the audit trail; it opens nothing"""
    csrf: str = field(repr=False)
    """What a form carries as ``token`` and a fetch as ``X-Evenfire-Token``"""
    device: str
    """Kind and a mark of the session, as it stands beside what is typed: ``phone 3f2a``"""
    is_unnamed: bool
    """Somebody at this computer, while the store knows no person"""

    @property
    def may_write(self) -> bool:
        """Whether he or she may change anything."""
        return self.person.may is not May.READ

    @property
    def may_sign(self) -> bool:
        """Whether he or she may sign."""
        return self.person.may is May.SIGN
