"""Where the command begins: the version alone must not wait for the command library."""

from __future__ import annotations

import sys

from mandrelgen import __version__


def main() -> None:
    """Run the command line."""
    if sys.argv[1:] == ["--version"]:
        sys.stdout.write(f"mandrelgen {__version__}\n")
        return
    collect_rarely()
    try:
        from mandrelgen.cli import main as commands
    except KeyboardInterrupt:  # stopped before there was a command: nothing was done
        sys.exit(130)
    commands()


def collect_rarely() -> None:
    """A run makes many small frozen values and next to no cycles: look for these less often.
    Nothing may pile up for it: `tests/benchmarks/growth.py` runs with this setting."""
    import gc

    gc.set_threshold(50_000, 20, 20)


if __name__ == "__main__":
    main()
