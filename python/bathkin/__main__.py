"""`python -m bathkin`."""

from bathkin.cli import main

if __name__ == "__main__":
    main()
