"""A pytest plugin for mutation testing: properties draw fewer values, always the same ones, and no
clock decides (a slow machine must not count as a mutant that was found)."""

from hypothesis import settings

settings.register_profile("mutation", max_examples=40, deadline=None, derandomize=True)
settings.load_profile("mutation")
