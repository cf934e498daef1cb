"""``python -m sunfleck``."""

from sunfleck.faces.cli import main

if __name__ == "__main__":
    main(prog_name="sunfleck")
