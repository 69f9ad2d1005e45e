"""``python -m fitkit`` is the command line."""

from fitkit.cli import main

if __name__ == "__main__":
    main()
