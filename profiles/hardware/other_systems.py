"""The EDIDs that Windows keeps in its registry, and macOS in what ``ioreg -a`` prints.

Pure functions over the answers of those systems. They were tried with answers of the documented
shapes and never on such a computer.
"""

from __future__ import annotations

import plistlib
import subprocess
from typing import TYPE_CHECKING, Any, Protocol

if TYPE_CHECKING:
    from collections.abc import Iterator

#: Below HKEY_LOCAL_MACHINE: a key for each model, in it one for each display that was ever
#: connected.
REGISTRY = r"SYSTEM\CurrentControlSet\Enum\DISPLAY"
_IOREG = ("/usr/sbin/ioreg", "-a", "-l", "-r", "-w0", "-c")
_CLASSES = ("IODisplayConnect", "AppleCLCD2", "IOMobileFramebufferShim")
LARGEST_ANSWER_BYTES = 64 * 1024 * 1024


class Registry(Protocol):
    """What is asked of a registry: the names below a key, and a value of bytes.

    Both are empty where there is none.
    """

    def below(self, key: str) -> list[str]: ...

    def value(self, key: str, name: str) -> bytes | None: ...


def edids_of_registry(registry: Registry) -> dict[str, bytes]:
    """The EDIDs of the displays that are connected now, by model and instance as in the registry.

    A display that was connected once keeps its key; only one that is there now has a ``Control``
    key below it.
    """
    found = {}
    for model in registry.below(REGISTRY):
        for instance in registry.below(rf"{REGISTRY}\{model}"):
            key = rf"{REGISTRY}\{model}\{instance}"
            edid = registry.value(rf"{key}\Device Parameters", "EDID")
            if edid and "Control" in registry.below(key):
                found[f"{model}-{instance}"] = edid
    return found


def edids_of_ioreg(answer: bytes) -> dict[str, bytes]:
    """The EDIDs in a property list that ``ioreg -a`` printed, numbered as they come.

    Empty where ``answer`` is no property list.
    """
    try:
        tree = plistlib.loads(answer) if answer.strip() else []
    except Exception:  # noqa: BLE001 - what plistlib and expat raise is of many kinds
        return {}
    found = dict.fromkeys(_edids_in(tree))
    return {f"display-{at}": edid for at, edid in enumerate(found, 1)}


def _edids_in(tree: Any) -> Iterator[bytes]:
    todo = [tree]
    while todo:
        part = todo.pop()
        if isinstance(part, dict):
            for key, value in part.items():
                if key in {"IODisplayEDID", "EDID"} and isinstance(value, bytes):
                    yield value
            todo += reversed(list(part.values()))
        elif isinstance(part, list):
            todo += reversed(part)


class WindowsRegistry:
    """The registry of the running Windows, by the standard library's ``winreg``."""

    def below(self, key: str) -> list[str]:
        import winreg as registry

        try:
            with registry.OpenKey(registry.HKEY_LOCAL_MACHINE, key) as opened:  # type: ignore[attr-defined, unused-ignore]
                count = registry.QueryInfoKey(opened)[0]  # type: ignore[attr-defined, unused-ignore]
                enum_key = registry.EnumKey  # type: ignore[attr-defined, unused-ignore]
                return [enum_key(opened, at) for at in range(count)]
        except OSError:
            return []

    def value(self, key: str, name: str) -> bytes | None:
        import winreg as registry

        try:
            with registry.OpenKey(registry.HKEY_LOCAL_MACHINE, key) as opened:  # type: ignore[attr-defined, unused-ignore]
                value = registry.QueryValueEx(opened, name)[0]  # type: ignore[attr-defined, unused-ignore]
        except OSError:
            return None
        return value if isinstance(value, bytes) else None


def ask_ioreg() -> bytes:
    """What ``ioreg`` prints of the first class of displays that has an EDID; empty where none."""
    for name in _CLASSES:
        try:
            done = subprocess.run([*_IOREG, name], capture_output=True, timeout=10, check=False)  # noqa: S603 - a program of the system, by its full path
        except (OSError, subprocess.SubprocessError):
            return b""
        if edids_of_ioreg(done.stdout[:LARGEST_ANSWER_BYTES]):
            return done.stdout
    return b""
