"""Settings for every test."""

from hypothesis import settings

# How long an example takes on a shared machine says nothing. Tests that mean time measure it.
settings.register_profile("askew", deadline=None)
settings.load_profile("askew")
