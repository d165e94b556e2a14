"""The queues, and how a worker waits on them.

One queue per worker process: with two or more, RQ falls back to BLPOP and a kill between
taking a job and noting it loses the job.
"""

# Quotes. A channel that is slow must not hold them up, so that what is sent through one has a
# queue, and a worker, of its own.
REPLIES = "replies"
DELIVERIES = "deliveries"
UPKEEP = "upkeep"
# Long work in many parts: nobody's price waits behind it.
CHORES = "chores"
NAMES = (REPLIES, DELIVERIES, UPKEEP, CHORES)

# A worker's own key in Redis. RQ waits for jobs `ttl - 15` seconds at a time and looks after its
# registries in between, so 20 gives a look-around every 5 s instead of every 405 s.
WORKER_TTL_S = 20
MAINTENANCE_INTERVAL_S = 5

# A job unheard of for this long is taken for abandoned and run again. Safe, because a step is
# leased and fenced by the service; more than JOB_LIMIT_S with the calls before and after it, so
# that only dead workers are meant. The step of a dead worker is handed over long before, by the
# sweep.
ABANDONED_AFTER_S = 120

# One send through a channel; more than the channel's own limits for one request together.
SEND_LIMIT_S = 45.0
# While a step is worked on its lease, which is three times as long, is renewed this often.
RENEW_LEASE_EVERY_S = 1.3

# The work on one step, so that a stuck connection does not hold a worker for ever.
JOB_LIMIT_S = 60.0
