"""What `deploy/bench` prints: every bench in turn, each of which is a command by itself."""

from deploy import (
    bench_chat,
    bench_crowd,
    bench_estimate,
    bench_http,
    bench_list,
    bench_picture,
    bench_reply,
    bench_start,
    bench_understanding,
)

_IN_TURN = (
    bench_estimate,
    bench_understanding,
    bench_http,
    bench_picture,
    bench_start,
    bench_chat,
    bench_crowd,
    bench_reply,
    bench_list,
)


def main() -> None:
    """Everything, the shortest first."""
    for bench in _IN_TURN:
        print(f"\n== python -m {bench.__name__}", flush=True)
        bench.main()


if __name__ == "__main__":
    main()
