"""Laws are judged by their outcome alone: a busy machine may take its time over an example."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

settings.register_profile("laws", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("laws")
