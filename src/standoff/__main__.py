"""`python -m standoff` is the command line."""

from __future__ import annotations

from standoff.cli import main

if __name__ == "__main__":
    main(prog_name="standoff")
