"""RQ jobs between bot and service. They reach the service and the Bot API over HTTP only."""
