"""A small file system that can be filled up, and freed again."""

import contextlib
import os
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

# Far more than a run needs; memory is only taken by what is stored.
_ROOMY_BYTES = 4 << 30


class Disk:
    """A file system of its own at `folder`. Full means: not one block more than is in use."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def fill(self) -> None:
        """Leave no room."""
        state = os.statvfs(self.folder)
        self._resize((state.f_blocks - state.f_bfree) * state.f_frsize)

    def free(self) -> None:
        """Make room again."""
        self._resize(_ROOMY_BYTES)

    def _resize(self, size: int) -> None:
        subprocess.run(
            ["mount", "-o", f"remount,size={size}", str(self.folder)],
            check=True,
            capture_output=True,
        )


@contextlib.contextmanager
def small_disk() -> Iterator[Disk | None]:
    """Mount one for as long as it is needed; None where this user may not."""
    folder = Path(tempfile.mkdtemp(prefix="garlandry-disk-"))
    options = f"size={_ROOMY_BYTES},mode=755"
    try:
        mounted = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", options, "garlandry", str(folder)],
            check=False,
            capture_output=True,
        )
    except FileNotFoundError:
        yield None
        return
    try:
        yield Disk(folder) if mounted.returncode == 0 else None
    finally:
        if mounted.returncode == 0:
            subprocess.run(["umount", "--lazy", str(folder)], check=False, capture_output=True)
        with contextlib.suppress(OSError):
            folder.rmdir()
