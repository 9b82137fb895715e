"""Reading files of bounded size, and writing them whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import stat
import sys
import time
from pathlib import Path, PureWindowsPath
from typing import TYPE_CHECKING

from mapper.phrases import phrase
from mapper.problems import GIVE_FORCE, Problem, RequestError
from profiles.standard import is_standard, name_of, read_standard, write_standard

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator


#: Names of devices, whatever follows a dot, and characters that Windows keeps for itself
#: (Microsoft, "Naming Files, Paths, and Namespaces"). A colon names a hidden part of another file
#: there, so that what was written would seem to be lost.
RESERVED = frozenset(
    [
        "con",
        "prn",
        "aux",
        "nul",
        *(f"{device}{number}" for device in ("com", "lpt") for number in range(10)),
    ]
)
_FORBIDDEN = re.compile(r'[<>:"|?*\x00-\x1f]')


def _on_windows() -> bool:
    return sys.platform == "win32"


#: The permissions of a new file, of which the system takes away what the user's mask says.
_NEW_MODE = 0o666


def refuse_forbidden(path: str | os.PathLike[str]) -> None:
    """Raise RequestError on Windows where ``path`` has a name that Windows forbids."""
    if not _on_windows():
        return
    for name in PureWindowsPath(path).parts[bool(PureWindowsPath(path).anchor) :]:
        plain = name.partition(".")[0].rstrip().casefold()
        if (
            plain in RESERVED
            or _FORBIDDEN.search(name)
            or (name.endswith((".", " ")) and name.strip("."))
        ):
            must = phrase("must be a name that Windows allows")
            instead = phrase(
                'Leave out < > : " | ? *, a dot or space at the end, and names of devices like '
                "con and com1"
            )
            raise RequestError(Problem(os.fspath(path), must, ascii(name), instead))


def at_line(file: str, line: int) -> str:
    """Where the ``line`` of a ``file`` is, for a problem in it."""
    return phrase("{file} line {line}", file=file, line=line)


def reason_of(error: Exception) -> str:
    """Why a file could not be read or written, in plain words where the system's own are not."""
    if isinstance(error, FileNotFoundError):
        return phrase("no such file or folder")
    return getattr(error, "strerror", None) or str(error) or type(error).__name__


def names_in(folder: str | os.PathLike[str]) -> list[str]:
    """The names of the entries of ``folder``, in no order.

    Raises RequestError if it cannot be read.
    """
    try:
        return os.listdir(folder)  # noqa: PTH208 - names alone, of a hundred thousand files
    except OSError as error:
        where = os.fspath(folder)
        raise RequestError(
            Problem(where, phrase("must be a readable folder"), reason_of(error))
        ) from None


def read_bounded(
    path: str | os.PathLike[str], largest_bytes: int, what: str, *, plain: bool = False
) -> bytes:
    """The bytes of the file at ``path``.

    ``what`` is the kind of file, for messages. With ``plain`` a link, a pipe or a device is refused
    instead of followed or waited for. Raises RequestError naming the file if it cannot be read or
    has more than ``largest_bytes``, beyond which nothing is read.
    """
    name = name_of(path)
    try:
        if plain:
            _refuse_special(path)
        content = (
            read_standard(largest_bytes) if is_standard(path) else _head(path, largest_bytes + 1)
        )
    except OSError as error:
        must = phrase("must be a readable {what}", what=what)
        came = reason_of(error)
        raise RequestError(Problem(name, must, came, is_missing=not plain)) from None
    except RequestError:
        raise
    except ValueError as error:  # a NUL in the name
        raise RequestError(
            Problem(ascii(name), phrase("must be a file name"), str(error))
        ) from None
    if len(content) > largest_bytes:
        must = phrase(
            "must be a {what}, which is at most {largest_bytes} KiB",
            what=what,
            largest_bytes=largest_bytes // 1024,
        )
        raise RequestError(Problem(name, must, phrase("a larger file")))
    return content


def read_text(path: str | os.PathLike[str], largest_bytes: int, what: str, instead: str) -> str:
    """The text in UTF-8 of the file at ``path``, which ``read_bounded`` reads.

    Raises RequestError as that does, and with what to do ``instead`` for other bytes.
    """
    try:
        return read_bounded(path, largest_bytes, what).decode("utf-8-sig")
    except UnicodeDecodeError:
        must = phrase("must be text in UTF-8")
        raise RequestError(Problem(os.fspath(path), must, phrase("other bytes"), instead)) from None


def _head(path: str | os.PathLike[str], size_bytes: int) -> bytes:
    with open(path, "rb") as file:  # noqa: PTH123 - a path may be any path-like
        return file.read(size_bytes)


def _refuse_special(path: str | os.PathLike[str]) -> None:
    if not stat.S_ISREG(os.lstat(path).st_mode):
        must = phrase("must be a plain file")
        came = phrase("a link, a folder, a device or a pipe")
        raise RequestError(Problem(os.fspath(path), must, came))


def refuse_existing(path: str | os.PathLike[str], *, force: bool) -> None:
    """Raise RequestError if ``path`` already exists, unless ``force`` is set."""
    if not force and os.path.lexists(path) and not is_standard(path):
        raise RequestError(Problem(os.fspath(path), phrase("already exists"), "", GIVE_FORCE))


def judge_names(
    paths: Iterable[str | os.PathLike[str] | None],
    *,
    force: bool,
    new_folders: Collection[Path] = (),
) -> None:
    """Raise RequestError with every name of ``paths`` that cannot be written to; None is no name.

    A command that writes several files asks this before it writes the first. ``new_folders`` are
    those that it makes itself.
    """
    problems: list[Problem] = []
    for path in dict.fromkeys(os.fspath(path) for path in paths if path is not None):
        try:
            refuse_forbidden(path)
            refuse_existing(path, force=force)
            if force and os.path.lexists(path) and not is_standard(path):
                _to_replace(Path(path))
            folder = Path(path).parent
            if not is_standard(path) and folder not in new_folders and not folder.is_dir():
                raise could_not_write(
                    path, FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT))
                )
        except RequestError as error:
            problems += error.problems
    if problems:
        raise RequestError(*problems)


def fill_new(path: str | os.PathLike[str], content: bytes, mode: int = _NEW_MODE) -> None:
    """Create the file ``path`` with ``content``, and flush it to the disk.

    ``mode`` are the most permissions that it gets. Raises OSError, and FileExistsError if the file
    is there already. A file that could not be filled is left for the caller to remove.
    """
    # O_BINARY is there on Windows alone, where lines would be changed without it.
    descriptor = os.open(
        path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode
    )
    try:
        rest = memoryview(content)
        while rest:
            rest = rest[os.write(descriptor, rest) :]
        flush(descriptor)
    finally:
        os.close(descriptor)


def write_whole(path: str | os.PathLike[str], content: bytes, *, force: bool = False) -> None:
    """Write ``content`` to ``path``: the whole file or nothing.

    That holds even when the power fails. Raises RequestError naming the file, as ``writing_whole``.
    """
    if is_standard(path):
        write_standard(content)
        return
    with writing_whole(path, force=force) as temporary:
        fill_new(temporary, content, mode_at(path, force=force))


def mode_at(path: str | os.PathLike[str], *, force: bool) -> int:
    """The permissions that a file written to ``path`` has: with ``force`` those of the file there.

    Whoever fills the temporary file of ``writing_whole`` gives it these from the start, so that
    nobody reads in it what the file is closed for.
    """
    mode = _to_replace(Path(path))[1] if force else None
    return _NEW_MODE if mode is None else mode


@contextlib.contextmanager
def writing_whole(path: str | os.PathLike[str], *, force: bool = False) -> Iterator[Path]:
    """A temporary path that becomes the file ``path`` once the block has filled and flushed it.

    The temporary file lies in the folder of ``path`` and gets its name in one step. Without
    ``force`` the name must still be free at that step. With it, the file there is replaced: a
    symbolic link stays and its target is replaced, the new file keeps the mode of the old one, and
    what is no plain file is refused. If the block fails nothing is left. Where ``path`` stands for
    standard output, it gets the content once the block has ended. Raises RequestError naming the
    file.
    """
    if is_standard(path):
        from tempfile import TemporaryDirectory

        with TemporaryDirectory(prefix="evenstroke-") as folder:
            yield Path(folder) / "content"
            write_standard((Path(folder) / "content").read_bytes())
        return
    target = Path(path)
    refuse_forbidden(path)
    refuse_existing(target, force=force)
    mode = None
    if force:
        target, mode = _to_replace(target)
    temporary = target.with_name(f".{target.name[:100]}.{os.urandom(6).hex()}.part")
    try:
        _clear_old_parts(target)
        yield temporary
        if force:
            if mode is not None:
                os.chmod(temporary, mode)  # noqa: PTH101
            _replace(temporary, target)
        else:
            _name_if_free(temporary, target)
        flush_folder(target.parent)
    except RequestError:
        raise
    except (OSError, ValueError) as error:
        raise could_not_write(target, error) from None
    finally:
        remove_if_there(temporary)


def _to_replace(target: Path) -> tuple[Path, int | None]:
    """The file to replace, with links followed, and its mode; None where there is no file yet."""
    try:
        found = Path(os.path.realpath(target)) if target.is_symlink() else target
        kind = found.stat()
    except FileNotFoundError:
        return found, None
    except (OSError, ValueError) as error:
        raise could_not_write(target, error) from None
    if not stat.S_ISREG(kind.st_mode):
        raise RequestError(
            Problem(
                str(target), phrase("must be a plain file"), phrase("a folder, a device or a pipe")
            )
        )
    return found, stat.S_IMODE(kind.st_mode)


#: A part that nobody has written to for so long was left by a run that was killed.
OLD_PART_S = 3600.0


def _clear_old_parts(target: Path) -> None:
    """Remove the temporary files that killed runs left when they wrote ``target``."""
    parts = re.compile(rf"\.{re.escape(target.name[:100])}\.[0-9a-f]{{12}}\.part")
    for name in _names_beginning(target.parent, f".{target.name[:100]}."):
        part = target.with_name(name)
        with contextlib.suppress(OSError):
            if parts.fullmatch(name) and time.time() - os.lstat(part).st_mtime > OLD_PART_S:
                os.unlink(part)  # noqa: PTH108


def _names_beginning(folder: Path, start: str) -> list[str]:
    with contextlib.suppress(OSError), os.scandir(folder) as found:
        return [entry.name for entry in found if entry.name.startswith(start)]
    return []


def could_not_write(path: str | os.PathLike[str], error: OSError | ValueError) -> RequestError:
    """The error to raise for a file that could not be written."""
    reason = reason_of(error)
    return RequestError(
        Problem(str(path).replace("\0", "\\0"), phrase("could not be written"), reason)
    )


def remove_if_there(path: str | os.PathLike[str]) -> None:
    """Remove one of our own files; it may be gone already, and one that cannot be removed stays."""
    with contextlib.suppress(OSError, ValueError):
        os.unlink(path)  # noqa: PTH108


def make_folder(path: Path, *, above: bool = False) -> None:
    """Create the folder ``path`` and flush its name to the disk, unless it is there already.

    With ``above`` missing folders above it are created too. Raises OSError.
    """
    if path.is_dir():
        return
    if above and path.parent != path:
        make_folder(path.parent, above=True)
    with contextlib.suppress(FileExistsError):
        os.mkdir(path)  # noqa: PTH102
    if not path.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), str(path))
    flush_folder(path.parent)


def _name_if_free(temporary: Path, target: Path) -> None:
    try:
        os.link(temporary, target)
    except FileExistsError:
        refuse_existing(target, force=False)
        raise
    except (OSError, AttributeError):
        # No hard links on this file system, or in this Python: a second look at the name, then the
        # plain step.
        refuse_existing(target, force=False)
        _replace(temporary, target)


#: Windows lets nobody replace a file that is open. A virus scanner has it open for a moment, an
#: editor for long.
_PATIENCE_S = 2.0


def _replace(temporary: Path, target: Path) -> None:
    """Give ``temporary`` the name ``target``, waiting on Windows until nobody has it open."""
    until = time.monotonic() + _PATIENCE_S
    while True:
        try:
            os.replace(temporary, target)  # noqa: PTH105
        except PermissionError as error:
            if not _on_windows():
                raise
            if time.monotonic() > until:
                must = phrase("could not be replaced")
                raise RequestError(
                    Problem(
                        str(target),
                        must,
                        reason_of(error),
                        phrase("Close the program that has it open"),
                    )
                ) from None
            time.sleep(0.05)
        else:
            return


def flush_folder(folder: str | os.PathLike[str]) -> None:
    """Flush the names in ``folder`` to the disk, where the system can.

    A new name is stored in its folder, which has to reach the disk too. Windows cannot open a
    folder: there the file system's own journal must do.
    """
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


#: The errors of file systems that have nothing to flush, or no way to.
_NO_FLUSHING = {errno.EINVAL, errno.ENOSYS, errno.ENOTSUP}


def flush(descriptor: int) -> None:
    """Flush an open file to the disk, where the file system can. Raises OSError."""
    try:
        os.fsync(descriptor)
    except OSError as error:
        if error.errno not in _NO_FLUSHING:
            raise


#: So long a process waits for its turn in a folder.
_TURN_S = 5.0


@contextlib.contextmanager
def taking_turns(folder: str | os.PathLike[str]) -> Iterator[bool]:
    """Hold the lock of ``folder`` itself, where the system has such locks; whether it is held.

    It ends with the process, whatever happens. Where it is not held (Windows, a network share
    without locks, a holder that was halted) what is written must keep apart without it. Raises
    OSError where the folder cannot be opened.
    """
    try:
        import fcntl
    except ImportError:  # Windows
        yield False
        return
    descriptor = os.open(folder, os.O_RDONLY)
    held = False
    try:
        patient_until = time.monotonic() + _TURN_S
        while not held:
            try:
                fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
                held = True
            except BlockingIOError:
                if time.monotonic() > patient_until:
                    break
                time.sleep(0.01)
            except OSError:
                break
        yield held
    finally:
        os.close(descriptor)
