"""Output files: written beside their place and moved there whole."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd


def write(path: str | os.PathLike[str], content: bytes) -> None:
    """Writes a file; a reader never finds half of it, and a failure leaves the old one.

    Raises:
        OSError: When the directory is missing or cannot be written to.
    """
    target = Path(path)
    check_place(target)
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        mode = target.stat().st_mode if target.exists() else 0o666 & ~_umask()
        os.chmod(name, mode)
        os.replace(name, target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def check_place(target: Path) -> None:
    """Whether a file can stand there.

    Raises:
        OSError: For a directory, or a place in one that is not there.
    """
    if target.is_dir():
        raise IsADirectoryError(f"{target} is a directory, not a file")
    if not target.parent.is_dir():
        raise FileNotFoundError(f"there is no directory {target.parent} to write {target.name} to")


def write_table(path: str | os.PathLike[str], table: pd.DataFrame, *, index: bool = False) -> None:
    """Writes a table as CSV, with a decimal point and ten digits.

    Raises:
        OSError: When the file cannot be written.
    """
    write(path, table.to_csv(index=index, float_format="%.10g").encode())


def _umask() -> int:
    current = os.umask(0o022)
    os.umask(current)
    return current
