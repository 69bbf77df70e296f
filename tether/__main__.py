"""`python -m tether`."""

from tether.cli import main

if __name__ == "__main__":
    main()
