"""One idea: no test is timed; a slow machine finds the same as a fast one."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
