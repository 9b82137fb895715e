"""What is written down about a workstation: shorthand, the profile document and its files.

Programs import ``evenstroke``, which has ``Workstation``, ``load``, ``save`` and more. The rest is
private to this project.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from profiles.format.document import Workstation as Workstation
    from profiles.format.document import load as load
    from profiles.format.document import save as save

_PUBLIC = ("Workstation", "load", "save")


def _public(name: str) -> object:
    """The public ``name``, imported when it is first used."""
    if name not in _PUBLIC:
        raise AttributeError(f"module 'profiles' has no attribute {name!r}")
    from profiles.format import document

    return getattr(document, name)


# Not by a def: type checkers would take any name for a public one.
globals()["__getattr__"] = _public


def __dir__() -> list[str]:
    return [*globals(), *_PUBLIC]
