"""Reading files of bounded size, and writing them whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
from pathlib import Path
from typing import TYPE_CHECKING

from mapper.problems import Problem, RequestError

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["read_bounded", "refuse_existing", "write_whole"]


def read_bounded(path: str | os.PathLike[str], largest_bytes: int, what: str) -> bytes:
    """The bytes of the file at ``path``, which must be a ``what`` of at most ``largest_bytes``.

    Raises RequestError naming the file where it cannot be read or is larger; never reads past the bound.
    """
    name = os.fspath(path)
    try:
        with open(path, "rb") as file:  # noqa: PTH123 - a path may be any path-like
            content = file.read(largest_bytes + 1)
    except OSError as error:
        raise RequestError(Problem(name, f"must be a readable {what}", error.strerror or str(error))) from None
    except ValueError as error:  # a NUL in the name
        raise RequestError(Problem(ascii(name), "must be a file name", str(error))) from None
    if len(content) > largest_bytes:
        must = f"must be a {what}, which is at most {largest_bytes // 1024} KiB"
        raise RequestError(Problem(name, must, "a larger file"))
    return content


def refuse_existing(path: str | os.PathLike[str], *, force: bool) -> None:
    """Raises RequestError where ``path`` exists already and ``force`` is not set."""
    if not force and os.path.lexists(path):
        raise RequestError(Problem(os.fspath(path), "exists already", "", "Type --force to replace it"))


def write_whole(path: str | os.PathLike[str], content: bytes | Iterable[bytes], *, force: bool = False) -> None:
    """Write ``content``, whole or in parts as they are made, to ``path`` so that the file is there whole or not at all, even when the plug is pulled.

    A temporary file in the same folder is written, flushed to the disk and then given the name in one step. Without
    ``force`` the name must still be free at that step. Raises RequestError naming the file.
    """
    target = Path(path)
    refuse_existing(target, force=force)
    temporary = target.with_name(f".{target.name[:100]}.{secrets.token_hex(6)}.part")
    try:
        with open(temporary, "xb") as file:  # noqa: PTH123 - one call for make, write and flush
            file.writelines((content,) if isinstance(content, bytes) else content)
            file.flush()
            os.fsync(file.fileno())
        if force:
            os.replace(temporary, target)  # noqa: PTH105
        else:
            _name_if_free(temporary, target)
        _flush_folder(target.parent)
    except OSError as error:
        raise RequestError(Problem(str(target), "could not be written", error.strerror or str(error))) from None
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink(missing_ok=True)


def _name_if_free(temporary: Path, target: Path) -> None:
    try:
        os.link(temporary, target)
    except FileExistsError:
        refuse_existing(target, force=False)
        raise
    except OSError:
        # No hard links on this file system: a second look at the name, then the plain step.
        refuse_existing(target, force=False)
        os.replace(temporary, target)  # noqa: PTH105


def _flush_folder(folder: Path) -> None:
    # The new name lives in the folder, which has to reach the disk too. Windows cannot open a folder; there the
    # file system's own journal must do.
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
