"""A file that a command writes: whole or not at all, and never half of it over an older one."""

import errno
import os
import tempfile
from pathlib import Path

from wetleaf.trade.errors import BadInput


def write_whole(out: Path, content: bytes) -> None:
    """Write a file beside its place and move it there. Raises BadInput when it cannot be written."""
    try:
        if out.exists() and not os.access(out, os.W_OK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        if out.exists() and not out.is_file():
            out.write_bytes(content)  # a device such as /dev/stdout; a folder is refused by the system
        else:
            _write_and_move(out.resolve(), content)
    except OSError as refusal:
        raise BadInput(
            f"{out} cannot be written: {refusal.strerror}.", way_out="Choose another place for it."
        ) from refusal


def _write_and_move(out: Path, content: bytes) -> None:
    handle, name = tempfile.mkstemp(dir=out.parent, prefix=f".{out.name[:40]}-")
    try:
        with os.fdopen(handle, "wb") as beside:
            beside.write(content)
            beside.flush()
            os.fsync(beside.fileno())
        os.chmod(name, _mode_of(out))
        os.replace(name, out)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _mode_of(out: Path) -> int:
    """The rights of the file that is replaced, else those a new file gets here."""
    if out.exists():
        return out.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
