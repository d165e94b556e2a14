"""The queues, and how a worker waits on them.

One queue per worker process: with two or more, RQ falls back to BLPOP and a kill between
taking a job and noting it loses the job.
"""

REPLIES = "replies"
UPKEEP = "upkeep"
NAMES = (REPLIES, UPKEEP)

# A worker's own key in Redis. RQ waits for jobs `ttl - 15` seconds at a time and looks after its
# registries in between, so 20 gives a look-around every 5 s instead of every 405 s.
WORKER_TTL_S = 20
MAINTENANCE_INTERVAL_S = 5

# A job unheard of for this long is taken for abandoned and run again. Safe, because a step is
# leased and fenced by the service; more than JOB_LIMIT_S, so that only dead workers are meant.
ABANDONED_AFTER_S = 30

# The whole of one job. The lease of a step is shorter: a job that outlives its lease is refused
# by the service when it reports, so the limit only keeps a stuck connection from holding a worker.
JOB_LIMIT_S = 25.0
