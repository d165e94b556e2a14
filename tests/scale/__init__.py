"""Many of each process: on one machine, on two, and with a Redis that fails over."""
