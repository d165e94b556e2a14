"""`service.leads.vitals` over the real database, Redis and disk."""

from service.storage.vitals.vitals import RealVitals

__all__ = ["RealVitals"]
