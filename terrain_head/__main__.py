"""``python -m terrain_head``."""

from terrain_head.cli.main import main

if __name__ == "__main__":
    main()
