"""mandrelgen: from a pen maker's threads and bores to mandrels a metal turner can make."""

__version__ = "0.1.0"
