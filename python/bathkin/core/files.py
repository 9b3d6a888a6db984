"""Output files: regular ones move into place whole, pipes and devices are written to."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from bathkin.core.neutral import neutral_table

if TYPE_CHECKING:
    import pandas as pd

# What a full disk, a quota and a limit on the size of files say.
_FULL = frozenset({errno.ENOSPC, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC)})


class NotWrittenError(OSError):
    """A file could not be written to its end; what stood there before stands there still."""

    def __str__(self) -> str:
        return str(self.args[-1])


class Place(NamedTuple):
    """Where an output goes.

    Attributes:
        path: As given.
        target: The regular file, links followed; None for what is written to as it is.
        stream: Standard output or error (1 or 2) where that is the same file.
    """

    path: Path
    target: Path | None
    stream: int | None

    def is_standard_output(self) -> bool:
        """Whether it goes where results are printed."""
        return self.stream == 1


def place_of(path: str | os.PathLike[str]) -> Place:
    """Where an output goes, and that it can be written there.

    Raises:
        OSError: For a directory, a disk, a socket, a place in a directory that is not there, and
            for what has no right to be written, the administrator's own included.
    """
    given = Path(path)
    try:
        found = os.stat(given)
    except (FileNotFoundError, NotADirectoryError):
        # Nothing there, or a link to nothing: the place the link names.
        target = Path(os.path.realpath(given))
        if not target.parent.is_dir():
            told = target if given.is_symlink() else given
            gone = f"there is no directory {told.parent} to write {told.name} to"
            raise FileNotFoundError(gone) from None
        _check_right(target.parent, given, "the directory")
        return Place(given, target, None)
    if stat.S_ISDIR(found.st_mode):
        raise IsADirectoryError(f"{given} is a directory, not a file")
    if stat.S_ISBLK(found.st_mode) or stat.S_ISSOCK(found.st_mode):
        what = "disk" if stat.S_ISBLK(found.st_mode) else "socket"
        raise PermissionError(f"{given} is a {what}, which no output is written over")
    stream = next((number for number in (1, 2) if _is_open_as(number, found)), None)
    if stream is not None:
        return Place(given, None, stream)
    _check_right(given, given, "the file")
    if not stat.S_ISREG(found.st_mode):
        return Place(given, None, None)
    target = Path(os.path.realpath(given))
    _check_right(target.parent, given, "its directory")
    return Place(given, target, None)


def write(path: str | os.PathLike[str], content: bytes, *, keep: Iterable[Path] = ()) -> None:
    """Writes an output: one function for all of them.

    A regular file is written beside its place and moved there whole, at the end of every link: a
    reader never finds half of it, and a failure leaves the old one. A pipe or a device is opened
    and written to. Standard output, by whatever name, gets it behind what was printed so far.

    Args:
        path: Where.
        content: What.
        keep: Files that were read for it, which it does not replace.

    Raises:
        NotWrittenError: When it cannot be written to its end, as on a full disk.
        OSError: As `place_of`, and for a file to keep.
    """
    place = place_of(path)
    if clash(place.path, keep):
        raise FileExistsError(f"{path}: that file is read: expected another one")
    try:
        if place.target is not None:
            _replace(place.target, content)
        elif place.stream is not None:
            _into_stream(place.stream, content)
        else:
            # No O_CREAT: what is gone by now is not made a file.
            with os.fdopen(os.open(place.path, os.O_WRONLY), "wb") as device:
                device.write(content)
    except BrokenPipeError as error:
        raise NotWrittenError(error.errno, f"{path}: its reader went away") from error
    except OSError as error:
        raise not_written(str(path), error) from error


def not_written(what: str, error: OSError) -> NotWrittenError:
    """Says what could not be written, and why."""
    why = "the disk is full" if error.errno in _FULL else error.strerror
    return NotWrittenError(error.errno, f"{what} could not be written: {why}")


def write_table(
    path: str | os.PathLike[str],
    table: pd.DataFrame,
    *,
    index: bool | str = False,
    keep: Iterable[Path] = (),
) -> None:
    """Writes a table as CSV, with a decimal point and ten digits; `index` may name its index.

    Texts that a spreadsheet would take for a formula get an apostrophe (see `neutral`).

    Raises:
        OSError: As `write`.
    """
    label = index if isinstance(index, str) else None
    text = neutral_table(table).to_csv(index=bool(index), index_label=label, float_format="%.10g")
    write(path, text.encode(), keep=keep)


def is_same(one: Path, other: Path) -> bool:
    """Whether two paths are one file, by name or by link."""
    try:
        return os.path.samefile(one, other)
    except OSError:
        return os.path.realpath(one) == os.path.realpath(other)


def clash(path: Path, read: Iterable[Path]) -> Path | None:
    """The first of the files read that an output would replace; a device may be both."""
    if path.exists() and not path.is_file():
        return None
    return next((one for one in read if is_same(path, one)), None)


def _replace(target: Path, content: bytes) -> None:
    known = target.stat() if target.exists() else None
    handle, name = tempfile.mkstemp(prefix=".bathkin-", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            _sync(file.fileno())
        if known is not None:
            _keep(lambda: os.chown(name, known.st_uid, known.st_gid))
        os.chmod(name, stat.S_IMODE(known.st_mode) if known else 0o666 & ~_umask())
        os.replace(name, target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    _keep(lambda: _sync_directory(target.parent))


def _keep(step: Callable[[], object]) -> None:
    """A step that the content does not depend on: another's file, a system without it."""
    with contextlib.suppress(OSError, AttributeError):
        step()


def _sync(handle: int) -> None:
    """What was written is on the disk; some file systems have no such call."""
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP):
            raise


def _sync_directory(directory: Path) -> None:
    handle = os.open(directory, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _into_stream(number: int, content: bytes) -> None:
    """Behind what was printed to a standard stream so far."""
    import sys

    (sys.stdout if number == 1 else sys.stderr).flush()
    left = memoryview(content)
    while left:
        left = left[os.write(number, left) :]


def _is_open_as(number: int, found: os.stat_result) -> bool:
    try:
        known = os.fstat(number)
    except OSError:
        return False
    return (known.st_dev, known.st_ino) == (found.st_dev, found.st_ino)


def _check_right(of: Path, path: Path, what: str) -> None:
    """Refuses what may not be written; root, who may write anything, is told by the write bits."""
    marked = of.stat().st_mode & 0o222
    if not marked or not os.access(of, os.W_OK):
        raise PermissionError(f"{path}: {what} may not be written to (mode {_mode(of)})")


def _mode(path: Path) -> str:
    return stat.filemode(path.stat().st_mode)


def _umask() -> int:
    current = os.umask(0o022)
    os.umask(current)
    return current
