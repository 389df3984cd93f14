"""Settings for all tests. This file also puts its folder on the import path, so that tests find `engine_layouts`."""

from hypothesis import settings

# The same cases on every machine: a law that fails is found while working on it, not by chance in somebody's run.
settings.register_profile("fixed", derandomize=True, deadline=None)
settings.load_profile("fixed")
